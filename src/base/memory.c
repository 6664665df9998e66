#include "base/memory.h"

#include <stdalign.h>
#include <stdatomic.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

static atomic_size_t asked; /* threads ask too */
static size_t fail_at;
static memory_watcher watched_by;

void memory_fail_at(size_t n)
{
    asked = 0;
    fail_at = n;
}

size_t memory_asked(void)
{
    return asked;
}

void memory_watch(memory_watcher watcher)
{
    watched_by = watcher;
}

static bool refused(const void *place)
{
    size_t number = atomic_fetch_add_explicit(&asked, 1, memory_order_relaxed) + 1;
    return (watched_by && watched_by(number, place)) || (fail_at && number >= fail_at);
}

#define ASKED_FROM __builtin_return_address(0)

void *memory_new(size_t count, size_t size)
{
    return refused(ASKED_FROM) ? NULL : calloc(count ? count : 1, size);
}

void *memory_to_spare(size_t size)
{
    return refused(NULL) ? NULL : calloc(size ? size : 1, 1);
}

static void *resize_for(const void *place, void *old, size_t count, size_t size)
{
    if (refused(place) || (size && count > SIZE_MAX / size))
        return NULL;
    return realloc(old, count && size ? count * size : 1);
}

void *memory_resize(void *old, size_t count, size_t size)
{
    return resize_for(ASKED_FROM, old, count, size);
}

void *memory_again(void *old, size_t size)
{
    return memory_resize(old, size, 1);
}

void memory_free(void *pointer)
{
    free(pointer);
}

bool memory_room(void **array, size_t count, size_t *capacity, size_t size)
{
    if (count < *capacity)
        return true;
    size_t wanted = *capacity ? *capacity * 2 : 8;
    void *grown = resize_for(ASKED_FROM, *array, wanted, size);
    if (!grown)
        return false;
    *array = grown;
    *capacity = wanted;
    return true;
}

struct arena_block {
    arena_block *next;
    size_t used, size;
    alignas(max_align_t) unsigned char data[];
};

enum { ARENA_BLOCK = 64 * 1024 };

void *arena_new(arena *a, size_t count, size_t size)
{
    size_t unit = alignof(max_align_t);
    if ((watched_by && refused(ASKED_FROM)) || (size && count > (SIZE_MAX / 4) / size))
        return NULL;
    size_t bytes = (count * size + unit - 1) / unit * unit;
    if (!a->blocks || a->blocks->size - a->blocks->used < bytes) {
        size_t room = bytes > ARENA_BLOCK ? bytes : ARENA_BLOCK;
        arena_block *block = memory_new(1, sizeof *block + room);
        if (!block)
            return NULL;
        block->next = a->blocks;
        block->size = room;
        a->blocks = block;
    }
    void *piece = a->blocks->data + a->blocks->used;
    a->blocks->used += bytes;
    return piece;
}

char *arena_text(arena *a, const char *text)
{
    size_t length = strlen(text) + 1;
    char *copy = arena_new(a, length, 1);
    if (copy)
        memcpy(copy, text, length);
    return copy;
}

void arena_free(arena *a)
{
    while (a->blocks) {
        arena_block *next = a->blocks->next;
        memory_free(a->blocks);
        a->blocks = next;
    }
}
