#include "analyse/risk/exact_layer.h"

#include <string.h>

#include "base/memory.h"

void *exact_resize(exact_budget *b, void *old, size_t old_bytes, size_t bytes)
{
    if (bytes > old_bytes && bytes - old_bytes > b->most - b->used) {
        b->over = true;
        return NULL;
    }
    void *piece = memory_resize(old, bytes, 1);
    if (!piece) {
        b->out = true;
        return NULL;
    }
    if (bytes > old_bytes)
        memset((char *)piece + old_bytes, 0, bytes - old_bytes);
    b->used = b->used - old_bytes + bytes;
    if (b->used > b->peak)
        b->peak = b->used;
    return piece;
}

void exact_give_back(exact_budget *b, void *piece, size_t bytes)
{
    if (!piece)
        return;
    b->used -= bytes;
    memory_free(piece);
}

static unsigned char greatest_of(const unsigned char *labels, int width)
{
    unsigned char greatest = 0;
    for (int i = 0; i < width; i++)
        greatest = labels[i] > greatest ? labels[i] : greatest;
    return greatest;
}

/* Finding. */

/* FNV-1a (Fowler, Noll and Vo; constants from memory), with the high bits brought down. */
static size_t hash_of(const unsigned char *labels, int width)
{
    uint64_t h = 0xcbf29ce484222325u;
    for (int i = 0; i < width; i++)
        h = (h ^ labels[i]) * 0x100000001b3u;
    return (size_t)(h ^ h >> 29);
}

/* The slot of a state, or the free one where it would go. */
static size_t slot_of(const exact_layer *l, const exact_index *index, const unsigned char *labels)
{
    size_t width = (size_t)l->width, mask = index->size - 1;
    size_t slot = hash_of(labels, l->width) & mask;
    while (width > 0 && index->slots[slot] &&
           memcmp(exact_labels(l, index->slots[slot] - 1), labels, width) != 0)
        slot = (slot + 1) & mask;
    return slot;
}

bool exact_index_new(exact_budget *b, exact_index *index)
{
    index->size = 64;
    index->slots = exact_resize(b, NULL, 0, index->size * sizeof *index->slots);
    return index->slots != NULL;
}

void exact_index_fill(exact_index *index, const exact_layer *l)
{
    memset(index->slots, 0, index->size * sizeof *index->slots);
    for (size_t i = 0; i < l->count; i++)
        index->slots[slot_of(l, index, exact_labels(l, i))] = (uint32_t)i + 1;
}

void exact_index_free(exact_budget *b, exact_index *index)
{
    exact_give_back(b, index->slots, index->size * sizeof *index->slots);
    index->slots = NULL;
}

static bool index_grow(exact_budget *b, exact_index *index, const exact_layer *l)
{
    size_t bytes = index->size * sizeof *index->slots;
    uint32_t *grown = exact_resize(b, index->slots, bytes, 2 * bytes);
    if (!grown)
        return false;
    index->slots = grown;
    index->size *= 2;
    exact_index_fill(index, l);
    return true;
}

/* Layers. */

/* Makes an array as long as wanted. */
static bool resize(exact_budget *b, void **array, size_t *room, size_t wanted, size_t unit)
{
    void *resized = exact_resize(b, *array, *room * unit, wanted * unit);
    if (!resized)
        return false;
    *array = resized;
    *room = wanted;
    return true;
}
#define RESIZE(b, array, room, wanted)                                                             \
    resize((b), (void **)&(array), &(room), (wanted), sizeof *(array))

/* At least as long as wanted, and by half longer when it must grow. */
#define ROOM(b, array, room, wanted)                                                               \
    ((wanted) <= (room) || RESIZE(b, array, room, (wanted) + (wanted) / 2 + 8))

static bool room_for_one(exact_budget *b, exact_layer *l, exact_index *index, size_t numbers)
{
    if (l->count == EXACT_NOWHERE - 1) {
        b->over = true;
        return false;
    }
    return ROOM(b, l->states, l->state_room, l->count + 1) &&
           ROOM(b, l->labels, l->label_room, (l->count + 1) * (size_t)l->width) &&
           ROOM(b, l->numbers, l->number_room, l->number_count + numbers) &&
           (2 * l->count < index->size || index_grow(b, index, l));
}

uint32_t exact_find(exact_budget *b, exact_layer *l, exact_index *index,
                    const unsigned char *labels)
{
    size_t slot = slot_of(l, index, labels), width = (size_t)l->width;
    if (index->slots[slot])
        return index->slots[slot] - 1;
    unsigned char greatest = greatest_of(labels, l->width);
    size_t numbers = exact_numbers(greatest);
    if (!room_for_one(b, l, index, numbers))
        return EXACT_NOWHERE;
    if (width > 0)
        memcpy(l->labels + l->count * width, labels, width);
    l->states[l->count] = (exact_state){
        .at = l->number_count, .next = {EXACT_NOWHERE, EXACT_NOWHERE}, .labels = greatest};
    l->number_count += numbers;                                       /* new bytes are zero */
    index->slots[slot_of(l, index, labels)] = (uint32_t)l->count + 1; /* the index may have grown */
    return (uint32_t)l->count++;
}

bool exact_layer_close(exact_budget *b, exact_layer *l)
{
    return RESIZE(b, l->states, l->state_room, l->count) &&
           RESIZE(b, l->labels, l->label_room, l->count * (size_t)l->width) &&
           RESIZE(b, l->numbers, l->number_room, l->number_count);
}

bool exact_layer_numbers(exact_budget *b, exact_layer *l)
{
    return l->numbers || RESIZE(b, l->numbers, l->number_room, l->number_count);
}

void exact_layer_drop_numbers(exact_budget *b, exact_layer *l)
{
    exact_give_back(b, l->numbers, l->number_room * sizeof *l->numbers);
    l->numbers = NULL;
    l->number_room = 0;
}

void exact_layer_free(exact_budget *b, exact_layer *l)
{
    exact_layer_drop_numbers(b, l);
    exact_give_back(b, l->labels, l->label_room);
    exact_give_back(b, l->states, l->state_room * sizeof *l->states);
    *l = (exact_layer){0};
}
