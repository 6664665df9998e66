/* Results by set of flooded spaces: a chained hash table over the members' numbers. */
#include <stdint.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "base/hash.h"

struct kept_float {
    kept_float *next;
    uint64_t hash;
    coaming_float result;
    arm_curve *arms[2];                  /* to port, to starboard; NULL until asked for */
    kept_grade *grades[COAMING_ANSWERS]; /* NULL until asked for */
    size_t count;
    int members[];
};

static uint64_t hash_of(const bool *flooded, size_t spaces, size_t *count)
{
    uint64_t hash = HASH_START;
    const bool *end = flooded ? flooded + spaces : NULL;
    *count = 0;
    for (const bool *at = flooded; at && at < end; at++) {
        if (!*at)
            at = memchr(at, true, (size_t)(end - at));
        if (!at)
            break;
        ++*count;
        hash = hash_step(hash, (uint64_t)(at - flooded));
    }
    return hash ^ hash >> 32;
}

static bool same_set(const kept_float *k, const bool *flooded)
{
    for (size_t i = 0; i < k->count; i++)
        if (!flooded[k->members[i]])
            return false;
    return true;
}

static kept_float *find(const coaming_flotation *f, const bool *flooded)
{
    if (!f->kept_places)
        return NULL;
    size_t count;
    uint64_t hash = hash_of(flooded, f->ship->space_count, &count);
    for (kept_float *k = f->kept[hash % f->kept_places]; k; k = k->next)
        if (k->hash == hash && k->count == count && same_set(k, flooded))
            return k;
    return NULL;
}

const coaming_float *kept_find(const coaming_flotation *f, const bool *flooded)
{
    const kept_float *k = find(f, flooded);
    return k ? &k->result : NULL;
}

arm_curve *kept_arms(coaming_flotation *f, const bool *flooded, double side)
{
    kept_float *k = find(f, flooded);
    int which = side < 0;
    if (k && !k->arms[which])
        k->arms[which] = memory_new(1, sizeof *k->arms[which]);
    return k ? k->arms[which] : NULL;
}

kept_grade *kept_grade_of(coaming_flotation *f, const bool *flooded, coaming_answer answer)
{
    kept_float *k = find(f, flooded);
    if (k && !k->grades[answer])
        k->grades[answer] = memory_new(1, sizeof *k->grades[answer]);
    return k ? k->grades[answer] : NULL;
}

static bool grow(coaming_flotation *f)
{
    size_t places = f->kept_places ? 2 * f->kept_places : 256;
    kept_float **wider = memory_new(places, sizeof *wider);
    if (!wider)
        return false;
    for (size_t i = 0; i < f->kept_places; i++) {
        for (kept_float *k = f->kept[i], *next; k; k = next) {
            next = k->next;
            k->next = wider[k->hash % places];
            wider[k->hash % places] = k;
        }
    }
    memory_free(f->kept);
    f->kept = wider;
    f->kept_places = places;
    return true;
}

static void free_one(kept_float *k)
{
    for (int side = 0; side < 2; side++)
        memory_free(k->arms[side]);
    for (int answer = 0; answer < COAMING_ANSWERS; answer++)
        memory_free(k->grades[answer]);
    memory_free(k);
}

bool kept_add(coaming_flotation *f, const bool *flooded, const coaming_float *result)
{
    if (f->kept_count >= f->kept_places && !grow(f))
        return false;
    size_t count, filled = 0;
    uint64_t hash = hash_of(flooded, f->ship->space_count, &count);
    kept_float *k = memory_new(1, sizeof *k + count * sizeof k->members[0]);
    if (!k)
        return false;
    k->hash = hash;
    k->result = *result;
    k->count = count;
    for (size_t s = 0; s < f->ship->space_count; s++)
        if (flooded && flooded[s])
            k->members[filled++] = (int)s;
    k->next = f->kept[hash % f->kept_places];
    f->kept[hash % f->kept_places] = k;
    f->kept_count++;
    return true;
}

void kept_free(coaming_flotation *f)
{
    for (size_t i = 0; i < f->kept_places; i++) {
        for (kept_float *k = f->kept[i], *next; k; k = next) {
            next = k->next;
            free_one(k);
        }
    }
    memory_free(f->kept);
}
