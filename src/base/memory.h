/*
 * base/memory.h - the one place where the project's own code takes memory.
 *
 * Everything allocated here can be made to fail on purpose (memory_fail_at), so that tests can walk
 * through every out-of-memory path. An arena hands out memory that is freed all at once.
 */
#ifndef BASE_MEMORY_H
#define BASE_MEMORY_H

#include <stdbool.h>
#include <stddef.h>

/* Zeroed memory for count items; NULL when out of memory or on overflow. count 0 gives one item. */
void *memory_new(size_t count, size_t size);
void *memory_resize(void *old, size_t count, size_t size);
void memory_free(void *pointer);
/* As memory_new of so many bytes, for what only saves work: who gets none goes without. */
void *memory_to_spare(size_t size);
/* As memory_resize, in the shape of realloc: for libraries that let their memory be provided. */
void *memory_again(void *old, size_t size);

/* Makes room for one more item in a growing array; false when out of memory (array untouched). */
bool memory_room(void **array, size_t count, size_t *capacity, size_t size);
#define MEMORY_ROOM(array, count, capacity)                                                        \
    memory_room((void **)&(array), (count), &(capacity), sizeof *(array))

/* The n-th allocation from now (counted from 1) and all after it fail; 0 switches this off. */
void memory_fail_at(size_t n);
/* Allocations asked for since the last memory_fail_at. */
size_t memory_asked(void);
/* With a watcher the pieces of arenas are counted and can fail too, as if each were an allocation of its
 * own. It is told the number of each and the place in the program that asks, by whatever thread does (NULL:
 * it can go without), and says whether it fails. NULL: nobody watches. To be called while one thread runs. */
typedef bool (*memory_watcher)(size_t number, const void *place);
void memory_watch(memory_watcher watcher);

typedef struct arena_block arena_block;
typedef struct {
    arena_block *blocks;
} arena;

/* Zeroed and aligned for any type; NULL when out of memory. */
void *arena_new(arena *a, size_t count, size_t size);
char *arena_text(arena *a, const char *text);
void arena_free(arena *a);

#endif
