#include "read/latest.h"

#include <string.h>

#include "base/hash.h"
#include "base/memory.h"

static uint64_t hash_key(const latest_key *key)
{
    uint64_t hash = hash_step(hash_step(HASH_START, (unsigned)key->closure), (unsigned)key->kind);
    for (size_t i = 0; i < sizeof key->date; i++)
        hash = hash_step(hash, (unsigned char)key->date[i]);
    return hash_mix(hash);
}

/* The slot of the key, or the free one where it belongs. */
static latest_slot *find(const latest_entries *t, const latest_key *key)
{
    size_t at = hash_key(key) & (t->room - 1);
    while (t->slots[at].taken && memcmp(&t->slots[at].key, key, sizeof *key) != 0)
        at = (at + 1) & (t->room - 1);
    return &t->slots[at];
}

/* The room is a power of two. */
static bool grow(latest_entries *t)
{
    enum { ROOM_FIRST = 64 };
    latest_entries more = {NULL, t->used, t->room ? 2 * t->room : ROOM_FIRST};
    more.slots = memory_new(more.room, sizeof *more.slots);
    if (!more.slots)
        return false;
    for (size_t i = 0; i < t->room; i++)
        if (t->slots[i].taken)
            *find(&more, &t->slots[i].key) = t->slots[i];
    memory_free(t->slots);
    *t = more;
    return true;
}

int *latest_of(latest_entries *t, const latest_key *key)
{
    if (2 * (t->used + 1) > t->room && !grow(t))
        return NULL;
    latest_slot *slot = find(t, key);
    if (!slot->taken) {
        *slot = (latest_slot){*key, -1, true};
        t->used++;
    }
    return &slot->latest;
}

void latest_free(latest_entries *t)
{
    memory_free(t->slots);
    *t = (latest_entries){NULL, 0, 0};
}
