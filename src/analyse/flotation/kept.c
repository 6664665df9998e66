/*
 * Results by set of flooded spaces: a chained hash table, its keys a bit for each space. Grades hang
 * on the set and on which openings let water in, whatever the state of the closures is called: so they
 * are kept by these. What they all take is counted, and beyond the bound nothing more is kept.
 */
#include <stdint.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "base/hash.h"
#include "base/order.h"

/* A grade by the openings. */
typedef struct opened_grade {
    struct opened_grade *next;
    coaming_float asked;
    arm_detail detail;
    graded found;
    size_t count;
    int openings[];
} opened_grade;

struct kept_float {
    kept_float *next;
    uint64_t hash;
    coaming_float result;
    arm_curve *arms[2];                  /* to port, to starboard; NULL until asked for */
    kept_grade *grades[COAMING_ANSWERS]; /* NULL until asked for */
    opened_grade *opened;
    uint64_t bits[];
};

/* Memory that counts against the bound. NULL: it would be passed, or there is none. */
static void *take(coaming_flotation *f, size_t bytes)
{
    if (bytes > f->kept_most || f->kept_bytes > f->kept_most - bytes)
        return NULL;
    void *taken = memory_to_spare(bytes);
    f->kept_bytes += taken ? bytes : 0;
    return taken;
}

void kept_bound(coaming_flotation *f, size_t most)
{
    f->kept_most = most;
}

/* Eight flags, a byte each, as the bits of one: of the product of x and the sum of 2^(7 j), j = 1 to 8,
 * bit 56 + i is flag i alone, for the others fall beside it or past the end. */
static uint64_t eight_bits(const bool *flags)
{
    uint64_t eight;
    memcpy(&eight, flags, sizeof eight);
    return eight * UINT64_C(0x0102040810204080) >> 56;
}

/* Puts a bit for each space into f->kept_key, and returns the hash of them. */
static uint64_t key_of(const coaming_flotation *f, const bool *flooded)
{
    size_t spaces = f->ship->space_count, words = order_words(spaces);
    uint64_t hash = HASH_START;
    for (size_t w = 0; w < words; w++) {
        size_t count = spaces - 64 * w < 64 ? spaces - 64 * w : 64;
        const bool *of = flooded ? flooded + 64 * w : NULL;
        uint64_t word = 0;
        size_t i = 0;
        for (; of && i + 8 <= count; i += 8)
            word |= eight_bits(of + i) << i;
        for (; of && i < count; i++)
            word |= (uint64_t)of[i] << i;
        f->kept_key[w] = word;
        hash = hash_step(hash, word);
        hash ^= hash >> 32; /* so that high bits tell in low ones */
    }
    return hash;
}

static kept_float *find(const coaming_flotation *f, const bool *flooded)
{
    if (!f->kept_places)
        return NULL;
    uint64_t hash = key_of(f, flooded);
    size_t bytes = order_words(f->ship->space_count) * sizeof *f->kept_key;
    for (kept_float *k = f->kept[hash % f->kept_places]; k; k = k->next)
        if (k->hash == hash && !memcmp(k->bits, f->kept_key, bytes))
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
        k->arms[which] = take(f, sizeof *k->arms[which]);
    return k ? k->arms[which] : NULL;
}

kept_grade *kept_grade_of(coaming_flotation *f, const bool *flooded, coaming_answer answer)
{
    kept_float *k = find(f, flooded);
    if (k && !k->grades[answer])
        k->grades[answer] = take(f, sizeof *k->grades[answer]);
    return k ? k->grades[answer] : NULL;
}

bool same_water_plane(const coaming_float *a, const coaming_float *b)
{
    return a->height == b->height && a->normal[0] == b->normal[0] && a->normal[1] == b->normal[1] &&
           a->normal[2] == b->normal[2];
}

bool same_rest(const coaming_float *a, const coaming_float *b)
{
    return a->either_side == b->either_side && same_water_plane(a, b);
}

const graded *kept_opened(const coaming_flotation *f, const bool *flooded, const coaming_float *at,
                          arm_detail detail)
{
    const kept_float *k = find(f, flooded);
    const opening_list *list = &f->openings;
    for (const opened_grade *g = k ? k->opened : NULL; g; g = g->next)
        if (g->count == list->count && g->detail == detail && same_rest(&g->asked, at) &&
            (!g->count || !memcmp(g->openings, list->link, g->count * sizeof *list->link)))
            return &g->found;
    return NULL;
}

void kept_add_opened(coaming_flotation *f, const bool *flooded, const coaming_float *asked,
                     arm_detail detail, const graded *found)
{
    kept_float *k = find(f, flooded);
    size_t count = f->openings.count;
    opened_grade *g = k ? take(f, sizeof *g + count * sizeof g->openings[0]) : NULL;
    if (!g)
        return;
    g->asked = *asked;
    g->detail = detail;
    g->found = *found;
    g->count = count;
    if (count)
        memcpy(g->openings, f->openings.link, count * sizeof g->openings[0]);
    g->next = k->opened;
    k->opened = g;
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
    f->kept_bytes += (places - f->kept_places) * sizeof *wider;
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
    for (opened_grade *g = k->opened, *next; g; g = next) {
        next = g->next;
        memory_free(g);
    }
    memory_free(k);
}

/* A set and its place in the table. */
static size_t bytes_of_set(const coaming_flotation *f)
{
    return sizeof(kept_float) + order_words(f->ship->space_count) * sizeof *f->kept_key +
           2 * sizeof *f->kept;
}

bool kept_add(coaming_flotation *f, const bool *flooded, const coaming_float *result)
{
    size_t words = order_words(f->ship->space_count), bytes = bytes_of_set(f);
    if (bytes > f->kept_most || f->kept_bytes > f->kept_most - bytes)
        return true; /* the bound is met */
    if (f->kept_count >= f->kept_places && !grow(f))
        return false;
    uint64_t hash = key_of(f, flooded);
    kept_float *k = memory_new(1, sizeof *k + words * sizeof k->bits[0]);
    if (!k)
        return false;
    f->kept_bytes += sizeof *k + words * sizeof k->bits[0];
    k->hash = hash;
    k->result = *result;
    memcpy(k->bits, f->kept_key, words * sizeof k->bits[0]);
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
