/* The way of before: a closure that holds is settled from the start again wherever it has water on
 * both sides, and each source has a state of its own. */
#include "plain_settle.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "ship/state.h"

/* One state of all closures. */
typedef struct {
    const coaming_place *source;
    size_t sources;
    coaming_answer answer;
    int forced; /* -1: none */
    bool forced_passes;
} world;

struct plain_settler {
    const coaming_ship *ship;
    int condition;
    coaming_flotation *flotation;
    int *outside; /* links with an outside end */
    size_t outside_count;
    bool *flooded;      /* by space: of the state at work */
    settled work, held; /* room for every space: the state at work, that of a closure holding */
    settled *base[2]; /* by answer, then by place: 0 the outside, then each space; spaces NULL: not
                         yet */
    arena memory;
};

void plain_free(plain_settler *t)
{
    if (!t)
        return;
    coaming_flotation_free(t->flotation);
    arena_free(&t->memory);
    memory_free(t);
}

static bool make_room(plain_settler *t)
{
    size_t n = t->ship->space_count;
    t->outside = arena_new(&t->memory, t->ship->link_count, sizeof *t->outside);
    t->flooded = arena_new(&t->memory, n, sizeof *t->flooded);
    t->work.spaces = arena_new(&t->memory, n, sizeof *t->work.spaces);
    t->work.by = arena_new(&t->memory, n, sizeof *t->work.by);
    t->held.spaces = arena_new(&t->memory, n, sizeof *t->held.spaces);
    t->held.by = arena_new(&t->memory, n, sizeof *t->held.by);
    for (int i = 0; i < 2; i++)
        t->base[i] = arena_new(&t->memory, n + 1, sizeof *t->base[i]);
    return t->outside && t->flooded && t->work.spaces && t->work.by && t->held.spaces &&
           t->held.by && t->base[0] && t->base[1];
}

coaming_status plain_new(const coaming_ship *ship, int condition, plain_settler **out,
                         coaming_error *error)
{
    plain_settler *t = memory_new(1, sizeof *t);
    if (!t)
        return error_memory(error);
    t->ship = ship;
    t->condition = condition;
    coaming_status status = coaming_flotation_new(ship, COAMING_NO_LOADING, &t->flotation, error);
    if (status == COAMING_OK && !make_room(t))
        status = error_memory(error);
    if (status != COAMING_OK) {
        plain_free(t);
        return status;
    }
    for (size_t l = 0; l < ship->link_count; l++)
        if (ship->links[l].a < 0 || ship->links[l].b < 0)
            t->outside[t->outside_count++] = (int)l;
    *out = t;
    return COAMING_OK;
}

coaming_flotation *plain_flotation(plain_settler *t)
{
    return t->flotation;
}

static bool plain_wet(const plain_settler *t, const settled *s, int link)
{
    return s->at.afloat != COAMING_AFLOAT_YES || coaming_float_height(t->ship, &s->at, link) < 0;
}

static bool space_wet(const plain_settler *t, int space)
{
    const coaming_float *at = &t->work.at;
    double least, greatest;
    if (at->afloat != COAMING_AFLOAT_YES)
        return true;
    space_extent_along(&t->ship->spaces[space], at->normal, &least, &greatest);
    return least < at->height;
}

static bool passes(const plain_settler *t, const world *w, int l)
{
    if (l == w->forced)
        return w->forced_passes;
    return link_passes(&t->ship->links[l], t->condition, COAMING_WATER,
                       w->answer != COAMING_AS_BUILT, w->answer == COAMING_UNTESTED_LEAK);
}

static void take(plain_settler *t, int space, int by)
{
    t->flooded[space] = true;
    t->work.spaces[t->work.count] = space;
    t->work.by[t->work.count++] = by;
}

/* Water comes over a link to a space that has none yet. */
static void try_link(plain_settler *t, const world *w, int l, coaming_place to)
{
    if (to >= 0 && !t->flooded[to] && passes(t, w, l) && plain_wet(t, &t->work, l) &&
        space_wet(t, to))
        take(t, to, l);
}

/* Spreads with the ship where she is. */
static void spread(plain_settler *t, const world *w)
{
    const coaming_ship *ship = t->ship;
    for (size_t i = 0; i < w->sources; i++) {
        coaming_place s = w->source[i];
        if (s >= 0 && !t->flooded[s] && space_wet(t, s))
            take(t, s, -1);
    }
    for (size_t i = 0; i < t->outside_count; i++) {
        const ship_link *k = &ship->links[t->outside[i]];
        try_link(t, w, t->outside[i], k->a < 0 ? k->b : k->a);
    }
    for (size_t i = 0; i < t->work.count; i++) {
        int s = t->work.spaces[i];
        for (int j = ship->first[s]; j < ship->first[s + 1]; j++) {
            int l = ship->incident[j];
            try_link(t, w, l, link_other_side(&ship->links[l], s));
        }
    }
}

static void copy_state(settled *to, const settled *from)
{
    memcpy(to->spaces, from->spaces, from->count * sizeof *to->spaces);
    memcpy(to->by, from->by, from->count * sizeof *to->by);
    to->count = from->count;
    to->afloat_count = from->afloat_count;
    to->at = from->at;
}

/* Flooding and floating by turns, from what is in t->work. */
static coaming_status settle_on(plain_settler *t, const world *w, coaming_error *error)
{
    for (;;) {
        size_t before = t->work.count;
        spread(t, w);
        if (t->work.at.afloat == COAMING_AFLOAT_YES)
            t->work.afloat_count = t->work.count;
        if (t->work.count == before || t->work.at.afloat != COAMING_AFLOAT_YES)
            return COAMING_OK;
        coaming_status status =
            coaming_flotation_solve(t->flotation, t->flooded, &t->work.at, error);
        if (status != COAMING_OK)
            return status;
    }
}

/* Fills t->work; from: a state to go on from, or NULL for the undamaged ship. */
static coaming_status settle(plain_settler *t, const world *w, const settled *from,
                             coaming_error *error)
{
    memset(t->flooded, 0, t->ship->space_count * sizeof *t->flooded);
    t->work.count = 0;
    t->work.at = t->flotation->intact;
    if (from)
        copy_state(&t->work, from);
    for (size_t i = 0; i < t->work.count; i++)
        t->flooded[t->work.spaces[i]] = true;
    return settle_on(t, w, error);
}

static coaming_answer answer_of(bool untested_pass)
{
    return untested_pass ? COAMING_UNTESTED_LEAK : COAMING_AS_TESTED;
}

coaming_status plain_breach(plain_settler *t, const int *spaces, size_t count,
                            coaming_answer answer, int held, const settled **out,
                            coaming_error *error)
{
    world w = {spaces, count, answer, held, false};
    coaming_status status = settle(t, &w, NULL, error);
    if (status == COAMING_OK)
        *out = &t->work;
    return status;
}

coaming_status plain_base(plain_settler *t, coaming_place source, bool untested_pass,
                          const settled **out, coaming_error *error)
{
    settled *base = &t->base[untested_pass][source < 0 ? 0 : source + 1];
    *out = base;
    if (base->spaces)
        return COAMING_OK;
    world w = {&source, 1, answer_of(untested_pass), -1, false};
    coaming_status status = settle(t, &w, NULL, error);
    if (status != COAMING_OK)
        return status;
    size_t count = t->work.count;
    int *spaces = arena_new(&t->memory, count, sizeof *spaces);
    int *by = arena_new(&t->memory, count, sizeof *by);
    if (!spaces || !by)
        return error_memory(error);
    memcpy(spaces, t->work.spaces, count * sizeof *spaces);
    memcpy(by, t->work.by, count * sizeof *by);
    *base = (settled){spaces, by, count, t->work.afloat_count, t->work.at};
    return COAMING_OK;
}

static bool among(const settled *s, coaming_place place)
{
    for (size_t i = 0; place >= 0 && i < s->count; i++)
        if (s->spaces[i] == place)
            return true;
    return place < 0; /* the outside always has water */
}

/* Holding changes the base only if the closure passes now and has water on both sides. */
static coaming_status hold(plain_settler *t, const world *w, bool untested_pass,
                           const settled **out, coaming_error *error)
{
    const ship_link *k = &t->ship->links[w->forced];
    world as_is = *w;
    as_is.forced = -1;
    coaming_status status = plain_base(t, w->source[0], untested_pass, out, error);
    if (status != COAMING_OK || !passes(t, &as_is, w->forced) || !among(*out, k->a) ||
        !among(*out, k->b))
        return status;
    status = settle(t, w, NULL, error);
    if (status != COAMING_OK)
        return status;
    copy_state(&t->held, &t->work);
    *out = &t->held;
    return COAMING_OK;
}

coaming_status plain_forced(plain_settler *t, coaming_place source, bool untested_pass, int closure,
                            bool forced_passes, const settled **out, coaming_error *error)
{
    const ship_link *k = &t->ship->links[closure];
    world w = {&source, 1, answer_of(untested_pass), closure, false};
    coaming_status status = hold(t, &w, untested_pass, out, error);
    if (status != COAMING_OK || !forced_passes)
        return status;
    /* Passing changes something only under water, with water on one side. */
    if (!plain_wet(t, *out, closure) || among(*out, k->a) == among(*out, k->b))
        return COAMING_OK;
    w.forced_passes = true;
    status = settle(t, &w, *out, error);
    if (status == COAMING_OK)
        *out = &t->work;
    return status;
}

const bool *plain_flooded(const plain_settler *t)
{
    return t->flooded;
}

/* -- plain bodies -- */

static const double WIDE = 1e9; /* m: wider than any ship, and small enough to reckon with */

static body widened(arena *memory, const body *from)
{
    body b = *from;
    b.groups = arena_new(memory, b.group_count, sizeof *b.groups);
    if (!b.groups)
        exit(1);
    if (b.group_count)
        memcpy(b.groups, from->groups, b.group_count * sizeof *b.groups);
    for (int k = 0; k < 3; k++) {
        b.all.half[k] = WIDE;
        for (size_t i = 0; i < b.group_count; i++)
            b.groups[i].half[k] = WIDE;
    }
    return b;
}

void plain_make(coaming_ship *ship)
{
    hull_shape *hull = arena_new(&ship->memory, 1, sizeof *hull);
    body *bodies = arena_new(&ship->memory, 2 * ship->space_count, sizeof *bodies);
    if (!hull || !bodies)
        exit(1);
    *hull = *ship->hull;
    hull->body = widened(&ship->memory, &ship->hull->body);
    ship->hull = hull;
    for (size_t s = 0; s < ship->space_count; s++) {
        bodies[2 * s] = widened(&ship->memory, ship->spaces[s].inside);
        bodies[2 * s + 1] = widened(&ship->memory, ship->spaces[s].above);
        ship->spaces[s].inside = &bodies[2 * s];
        ship->spaces[s].above = &bodies[2 * s + 1];
    }
}
