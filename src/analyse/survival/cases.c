#include "analyse/survival/cases.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/damage.h"
#include "analyse/survival/zones.h"
#include "base/error.h"
#include "base/hash.h"
#include "base/order.h"

/* Limits nearer than this to each other are one, m: they come from sums that round. */
static const double SAME = 1e-6;
/* A weight that is nothing but rounding. */
static const double NO_WEIGHT = 1e-14;

typedef struct kept_set {
    struct kept_set *next;
    uint64_t hash;
    size_t number;
} kept_set;

struct damage_cases {
    const coaming_ship *ship;
    arena memory;
    subdivision zones;
    damage_law law;
    space_set *sets;
    size_t set_count, set_capacity;
    size_t named;      /* spaces, set by set */
    kept_set **places; /* by hash */
    size_t place_count;
    /* at work */
    bool *marked;                       /* by space */
    int *members;                       /* of the set at work */
    double *depths, *heights, *bottoms; /* limits: room for all targets of a side */
    size_t *extents;
};

void damage_cases_free(damage_cases *c)
{
    if (!c)
        return;
    arena_free(&c->memory);
    memory_free(c->sets);
    memory_free(c->places);
    memory_free(c);
}

void case_list_free(case_list *list)
{
    memory_free(list->cases);
    memory_free(list->boxes);
}

size_t damage_cases_set_count(const damage_cases *c)
{
    return c->set_count;
}

space_set damage_cases_set(const damage_cases *c, size_t set)
{
    return c->sets[set];
}

size_t damage_cases_zone_count(const damage_cases *c)
{
    return c->zones.count;
}

double damage_cases_place(const damage_cases *c, size_t i)
{
    return c->zones.places[i];
}

double damage_cases_length(const damage_cases *c)
{
    return c->zones.length;
}

double damage_cases_breadth(const damage_cases *c)
{
    return c->zones.breadth;
}

static bool make_room(damage_cases *c)
{
    const subdivision *z = &c->zones;
    size_t most = z->first[0][z->count];
    if (z->first[1][z->count] > most)
        most = z->first[1][z->count];
    c->marked = arena_new(&c->memory, c->ship->space_count, sizeof *c->marked);
    c->members = arena_new(&c->memory, c->ship->space_count, sizeof *c->members);
    c->depths = arena_new(&c->memory, most, sizeof *c->depths);
    c->bottoms = arena_new(&c->memory, most, sizeof *c->bottoms);
    c->heights = arena_new(&c->memory, most, sizeof *c->heights);
    c->extents = arena_new(&c->memory, most + 1, sizeof *c->extents);
    return c->marked && c->members && c->depths && c->heights && c->bottoms && c->extents;
}

coaming_status damage_cases_new(const coaming_ship *ship, double deepest, damage_cases **out,
                                coaming_error *error)
{
    damage_cases *c = memory_new(1, sizeof *c);
    if (!c)
        return error_memory(error);
    c->ship = ship;
    if (!subdivide(ship, deepest, &c->memory, &c->zones) || !make_room(c)) {
        damage_cases_free(c);
        return error_memory(error);
    }
    c->law = damage_law_of(c->zones.length);
    *out = c;
    return COAMING_OK;
}

/* --- sets of spaces, each kept once --- */

static bool grow(damage_cases *c)
{
    size_t places = c->place_count ? 2 * c->place_count : 256;
    kept_set **wider = memory_new(places, sizeof *wider);
    if (!wider)
        return false;
    for (size_t i = 0; i < c->place_count; i++) {
        for (kept_set *k = c->places[i], *next; k; k = next) {
            next = k->next;
            k->next = wider[k->hash % places];
            wider[k->hash % places] = k;
        }
    }
    memory_free(c->places);
    c->places = wider;
    c->place_count = places;
    return true;
}

static bool keep(damage_cases *c, const int *members, size_t count, uint64_t hash, size_t *number)
{
    c->named += count;
    if (c->named > COAMING_SURVIVAL_NAMED_MOST || (c->set_count >= c->place_count && !grow(c)) ||
        !MEMORY_ROOM(c->sets, c->set_count, c->set_capacity))
        return false;
    int *copy = arena_new(&c->memory, count, sizeof *copy);
    kept_set *k = arena_new(&c->memory, 1, sizeof *k);
    if (!copy || !k)
        return false;
    memcpy(copy, members, count * sizeof *copy);
    *number = c->set_count++;
    c->sets[*number] = (space_set){copy, count};
    *k = (kept_set){c->places[hash % c->place_count], hash, *number};
    c->places[hash % c->place_count] = k;
    return true;
}

/* The number of a set; false: out of memory, or too many are named. */
static bool number_of(damage_cases *c, const int *members, size_t count, size_t *number)
{
    uint64_t hash = hash_ints(HASH_START, members, count);
    kept_set *k = c->place_count ? c->places[hash % c->place_count] : NULL;
    for (; k; k = k->next) {
        const space_set *s = &c->sets[k->number];
        if (k->hash == hash && s->count == count &&
            !memcmp(s->spaces, members, count * sizeof *members)) {
            *number = k->number;
            return true;
        }
    }
    return keep(c, members, count, hash, number);
}

/* --- cases of one group of zones --- */

/* The box at work: it meets what begins no deeper than `depth`, with its bottom no higher than
 * `up_to`, and its top above `down_to`. */
typedef struct {
    damage_cases *c;
    case_list *list;
    double draught;
    int side;
    size_t first, last;      /* zones */
    const target *from, *to; /* what lies in them */
    double depth, up_to, down_to;
} box;

static int order_lengths(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Sorted, each once. */
static size_t tidy(double *limits, size_t count)
{
    size_t kept = 0;
    qsort(limits, count, sizeof *limits, order_lengths);
    for (size_t i = 0; i < count; i++)
        if (!kept || limits[i] > limits[kept - 1] + SAME)
            limits[kept++] = limits[i];
    return kept;
}

static bool met(const box *b, const target *t)
{
    return t->depth <= b->depth + SAME && t->z0 <= b->up_to + SAME && t->z1 > b->down_to + SAME;
}

/* What the box opens; false: out of memory. none: nothing. */
static bool opened(const box *b, size_t *set, bool *none)
{
    damage_cases *c = b->c;
    size_t count = 0;
    for (const target *t = b->from; t < b->to; t++) {
        if (!met(b, t) || c->marked[t->space])
            continue;
        c->marked[t->space] = true;
        c->members[count++] = t->space;
    }
    for (size_t i = 0; i < count; i++)
        c->marked[c->members[i]] = false;
    qsort(c->members, count, sizeof *c->members, order_ints);
    *none = count == 0;
    return number_of(c, c->members, count, set);
}

/* The sets of the box and of what it is if it does not reach down so far. */
static bool list_extents(box *b, const size_t **list, size_t *count)
{
    damage_cases *c = b->c;
    size_t limits = 0;
    bool none;
    b->down_to = -INFINITY;
    for (const target *t = b->from; t < b->to; t++)
        if (met(b, t) && t->z1 < b->draught - SAME)
            c->bottoms[limits++] = t->z1;
    limits = tidy(c->bottoms, limits);
    *count = 1;
    if (!opened(b, &c->extents[0], &none))
        return false;
    for (size_t i = 0; i < limits; i++) {
        size_t set;
        b->down_to = c->bottoms[i];
        if (!opened(b, &set, &none))
            return false;
        if (!none && set != c->extents[*count - 1])
            c->extents[(*count)++] = set;
    }
    size_t *copy = arena_new(&c->memory, *count, sizeof *copy);
    if (copy)
        memcpy(copy, c->extents, *count * sizeof *copy);
    *list = copy;
    return copy != NULL;
}

static bool add_case(box *b, double penetration, double height, double weight)
{
    case_list *l = b->list;
    damage_case found = {.starboard = b->side != 0,
                         .first = b->first,
                         .last = b->last,
                         .penetration = penetration,
                         .height = height,
                         .weight = weight};
    if (!(weight > NO_WEIGHT))
        return true;
    if (!list_extents(b, &found.extents, &found.extent_count) ||
        !MEMORY_ROOM(l->cases, l->count, l->capacity))
        return false;
    l->cases[l->count++] = found;
    return true;
}

/* Of the penetration at work: up to each bottom above the water of what it meets, then without
 * limit. */
static bool add_heights(box *b, double penetration, double weight)
{
    damage_cases *c = b->c;
    size_t limits = 0;
    double below = 0;
    b->down_to = -INFINITY;
    b->up_to = INFINITY;
    for (const target *t = b->from; t < b->to; t++)
        if (met(b, t) && t->z0 > b->draught + SAME)
            c->heights[limits++] = t->z0;
    limits = tidy(c->heights, limits);
    b->up_to = b->draught;
    for (size_t i = 0; i <= limits; i++) {
        bool top = i == limits;
        double height = top ? INFINITY : c->heights[i];
        double v = top ? 1 : damage_v(height - b->draught);
        if (!add_case(b, penetration, height, weight * (v - below)))
            return false;
        below = v;
        b->up_to = height;
    }
    return true;
}

static bool add_group(box *b)
{
    damage_cases *c = b->c;
    const subdivision *z = &c->zones;
    size_t limits = 0;
    double half = z->breadth / 2, before = 0;
    for (const target *t = b->from; t < b->to; t++)
        if (t->depth > SAME && t->depth < half - SAME)
            c->depths[limits++] = t->depth;
    limits = tidy(c->depths, limits);
    b->depth = 0;
    for (size_t i = 0; i <= limits; i++) {
        double depth = i < limits ? c->depths[i] : half;
        double weight = damage_of_group(&c->law, z->ends, b->first, b->last, depth / z->breadth);
        if (!add_heights(b, depth, weight - before))
            return false;
        before = weight;
        b->depth = depth;
    }
    return true;
}

static bool add_side(damage_cases *c, double draught, int side, case_list *list)
{
    const subdivision *z = &c->zones;
    const target *all = z->targets[side];
    for (size_t first = 0; first < z->count; first++) {
        for (size_t last = first; last < z->count && damage_spans(&c->law, z->ends, first, last);
             last++) {
            box b = {.c = c,
                     .list = list,
                     .draught = draught,
                     .side = side,
                     .first = first,
                     .last = last,
                     .from = all + z->first[side][first],
                     .to = all + z->first[side][last + 1]};
            if (!add_group(&b))
                return false;
        }
    }
    return true;
}

/* --- cases that open the same are one --- */

static int order_of_extents(const damage_case *a, const damage_case *b)
{
    if (a->starboard != b->starboard)
        return a->starboard ? 1 : -1;
    if (a->extent_count != b->extent_count)
        return a->extent_count < b->extent_count ? -1 : 1;
    for (size_t i = 0; i < a->extent_count; i++)
        if (a->extents[i] != b->extents[i])
            return a->extents[i] < b->extents[i] ? -1 : 1;
    return 0;
}

/* Side, then from aft, short before long, shallow before deep, low before high. */
static int order_of_place(const damage_case *a, const damage_case *b)
{
    if (a->starboard != b->starboard)
        return a->starboard ? 1 : -1;
    if (a->first != b->first)
        return a->first < b->first ? -1 : 1;
    if (a->last != b->last)
        return a->last < b->last ? -1 : 1;
    if (a->penetration != b->penetration)
        return a->penetration < b->penetration ? -1 : 1;
    return (a->height > b->height) - (a->height < b->height);
}

static int order_by_place(const void *left, const void *right)
{
    return order_of_place(left, right);
}

static int order_by_extents(const void *left, const void *right)
{
    int order = order_of_extents(left, right);
    return order ? order : order_of_place(left, right);
}

/* Into the heaviest of them; sums go in the order of places, so that they are the same bits for a
 * ship and her mirror image. False: out of memory. */
static bool merge(case_list *list)
{
    size_t kept = 0;
    double heaviest = 0;
    list->boxes = memory_new(list->count, sizeof *list->boxes);
    if (!list->boxes)
        return false;
    qsort(list->cases, list->count, sizeof *list->cases, order_by_extents);
    for (size_t i = 0; i < list->count; i++) {
        damage_case from = list->cases[i], *to = kept ? &list->cases[kept - 1] : NULL;
        list->boxes[i] = (damage_box){from.first, from.last, from.weight};
        bool other = !to || order_of_extents(to, &from);
        if (other)
            to = &list->cases[kept++];
        double weight = other ? from.weight : to->weight + from.weight;
        size_t first_box = other ? i : to->first_box;
        if (other || from.weight > heaviest) {
            heaviest = from.weight;
            *to = from;
        }
        to->weight = weight;
        to->first_box = first_box;
        to->box_count = i + 1 - first_box;
    }
    list->count = kept;
    qsort(list->cases, list->count, sizeof *list->cases, order_by_place);
    return true;
}

coaming_status damage_cases_list(damage_cases *c, double draught, case_list *list,
                                 coaming_error *error)
{
    *list = (case_list){0};
    if (!add_side(c, draught, 0, list) || !add_side(c, draught, 1, list) || !merge(list)) {
        case_list_free(list);
        *list = (case_list){0};
        return c->named > COAMING_SURVIVAL_NAMED_MOST
                   ? error_set(
                         error, COAMING_INPUT,
                         "her decks and bulkheads make so many cases of damage that what they "
                         "open would name more than %d spaces",
                         COAMING_SURVIVAL_NAMED_MOST)
                   : error_memory(error);
    }
    return COAMING_OK;
}
