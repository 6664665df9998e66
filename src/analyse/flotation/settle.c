/*
 * Flooding and floating by turns. Method: water spreads, breadth first, over what passes and is
 * under at the present plane; then she is solved with all that is wet open to the sea; until a turn
 * takes no more. Argument: spaces are only ever added, so there are at most as many turns as spaces;
 * a turn takes all that it can before she moves, so the order of links decides only by which of them
 * a space is told to be reached. Forcing a closure to hold changes nothing unless it passes with
 * water on both sides, forcing it to pass nothing unless it is under with water on one: else the
 * state without is returned. Cost: for each turn a flotation (kept by set) and a look at the links;
 * memory: the flooded spaces of each source asked about.
 */
#include "analyse/flotation/settle.h"

#include <math.h>
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
    const bool *decided; /* by link: passes, whatever its state; NULL: by the answer */
} world;

struct settler {
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

void settler_free(settler *t)
{
    if (!t)
        return;
    coaming_flotation_free(t->flotation);
    arena_free(&t->memory);
    memory_free(t);
}

static bool make_room(settler *t)
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

coaming_status settler_new(const coaming_ship *ship, int condition, int loading, settler **out,
                           coaming_error *error)
{
    settler *t = memory_new(1, sizeof *t);
    if (!t)
        return error_memory(error);
    t->ship = ship;
    t->condition = condition;
    coaming_status status = coaming_flotation_new(ship, loading, &t->flotation, error);
    if (status == COAMING_OK && !make_room(t))
        status = error_memory(error);
    if (status != COAMING_OK) {
        settler_free(t);
        return status;
    }
    for (size_t l = 0; l < ship->link_count; l++)
        if (ship->links[l].a < 0 || ship->links[l].b < 0)
            t->outside[t->outside_count++] = (int)l;
    *out = t;
    return COAMING_OK;
}

coaming_flotation *settler_flotation(settler *t)
{
    return t->flotation;
}

bool settler_wet(const settler *t, const settled *s, int link)
{
    return s->at.afloat != COAMING_AFLOAT_YES || coaming_float_height(t->ship, &s->at, link) < 0;
}

bool settler_reaches(const settler *t, const coaming_float *at, int space)
{
    double least, greatest;
    if (at->afloat != COAMING_AFLOAT_YES)
        return true;
    space_extent_along(&t->ship->spaces[space], at->normal, &least, &greatest);
    return least < at->height;
}

static bool space_wet(const settler *t, int space)
{
    return settler_reaches(t, &t->work.at, space);
}

double settler_volume(settler *t, const settled *s, int space)
{
    const ship_space *p = &t->ship->spaces[space];
    if (s->at.afloat != COAMING_AFLOAT_YES)
        return p->volume;
    const coaming_flotation *f = t->flotation;
    plane water = plane_make(atan2(-s->at.normal[1], s->at.normal[2]), asin(-s->at.normal[0]),
                             s->at.height, f->middle);
    return flotation_water_in(f, space, &water);
}

static bool passes(const settler *t, const world *w, int l)
{
    if (l == w->forced)
        return w->forced_passes;
    if (w->decided)
        return w->decided[l];
    return link_passes(&t->ship->links[l], t->condition, COAMING_WATER,
                       w->answer != COAMING_AS_BUILT, w->answer == COAMING_UNTESTED_LEAK);
}

static void take(settler *t, int space, int by)
{
    t->flooded[space] = true;
    t->work.spaces[t->work.count] = space;
    t->work.by[t->work.count++] = by;
}

/* Water comes over a link to a space that has none yet. */
static void try_link(settler *t, const world *w, int l, coaming_place to)
{
    if (to >= 0 && !t->flooded[to] && passes(t, w, l) && settler_wet(t, &t->work, l) &&
        space_wet(t, to))
        take(t, to, l);
}

/* Spreads with the ship where she is. */
static void spread(settler *t, const world *w)
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
    if (to == from)
        return;
    memcpy(to->spaces, from->spaces, from->count * sizeof *to->spaces);
    memcpy(to->by, from->by, from->count * sizeof *to->by);
    to->count = from->count;
    to->afloat_count = from->afloat_count;
    to->at = from->at;
}

/* Flooding and floating by turns, from what is in t->work. */
static coaming_status settle_on(settler *t, const world *w, coaming_error *error)
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
static coaming_status settle(settler *t, const world *w, const settled *from, coaming_error *error)
{
    memset(t->flooded, 0, t->ship->space_count * sizeof *t->flooded);
    if (from)
        copy_state(&t->work, from);
    else
        t->work = (settled){t->work.spaces, t->work.by, 0, 0, t->flotation->intact};
    for (size_t i = 0; i < t->work.count; i++)
        t->flooded[t->work.spaces[i]] = true;
    return settle_on(t, w, error);
}

static coaming_answer answer_of(bool untested_pass)
{
    return untested_pass ? COAMING_UNTESTED_LEAK : COAMING_AS_TESTED;
}

coaming_status settler_breach(settler *t, const int *spaces, size_t count, coaming_answer answer,
                              int held, const settled **out, coaming_error *error)
{
    world w = {spaces, count, answer, held, false, NULL};
    coaming_status status = settle(t, &w, NULL, error);
    if (status == COAMING_OK)
        *out = &t->work;
    return status;
}

coaming_status settler_named(settler *t, const int *spaces, size_t count, coaming_answer answer,
                             bool goes_on, const settled **out, coaming_error *error)
{
    world w = {NULL, 0, answer, -1, false, NULL};
    memset(t->flooded, 0, t->ship->space_count * sizeof *t->flooded);
    t->work.count = 0;
    for (size_t i = 0; i < count; i++)
        take(t, spaces[i], -1);
    t->work.afloat_count = count;
    *out = &t->work;
    coaming_status status = coaming_flotation_solve(t->flotation, t->flooded, &t->work.at, error);
    if (status == COAMING_OK && goes_on && t->work.at.afloat == COAMING_AFLOAT_YES)
        status = settle_on(t, &w, error);
    return status;
}

coaming_status settler_on(settler *t, const settled *from, const settler_links *links,
                          const settled **out, coaming_error *error)
{
    world w = {links->source, links->sources, COAMING_AS_TESTED, -1, false, links->passes};
    *out = &t->work;
    return settle(t, &w, from, error);
}

coaming_status settled_keep(const settled *s, arena *memory, settled *copy, coaming_error *error)
{
    int *spaces = arena_new(memory, s->count, sizeof *spaces);
    int *by = arena_new(memory, s->count, sizeof *by);
    if (!spaces || !by)
        return error_memory(error);
    *copy = (settled){spaces, by, 0, 0, s->at};
    copy_state(copy, s);
    return COAMING_OK;
}

size_t settler_next(settler *t, coaming_answer answer, const coaming_float *at)
{
    world w = {NULL, 0, answer, -1, false, NULL};
    size_t before = t->work.count;
    t->work.at = *at;
    spread(t, &w);
    return before;
}

const bool *settler_flooded(const settler *t)
{
    return t->flooded;
}

coaming_status settler_base(settler *t, coaming_place source, bool untested_pass,
                            const settled **out, coaming_error *error)
{
    settled *base = &t->base[untested_pass][source < 0 ? 0 : source + 1];
    *out = base;
    if (base->spaces)
        return COAMING_OK;
    world w = {&source, 1, answer_of(untested_pass), -1, false, NULL};
    coaming_status status = settle(t, &w, NULL, error);
    if (status != COAMING_OK)
        return status;
    return settled_keep(&t->work, &t->memory, base, error);
}

static bool among(const settled *s, coaming_place place)
{
    for (size_t i = 0; place >= 0 && i < s->count; i++)
        if (s->spaces[i] == place)
            return true;
    return place < 0; /* the outside always has water */
}

/* Holding changes the base only if the closure passes now and has water on both sides. */
static coaming_status hold(settler *t, const world *w, bool untested_pass, const settled **out,
                           coaming_error *error)
{
    const ship_link *k = &t->ship->links[w->forced];
    world as_is = *w;
    as_is.forced = -1;
    coaming_status status = settler_base(t, w->source[0], untested_pass, out, error);
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

coaming_status settler_forced(settler *t, coaming_place source, bool untested_pass, int closure,
                              bool forced_passes, const settled **out, coaming_error *error)
{
    const ship_link *k = &t->ship->links[closure];
    world w = {&source, 1, answer_of(untested_pass), closure, false, NULL};
    coaming_status status = hold(t, &w, untested_pass, out, error);
    if (status != COAMING_OK || !forced_passes)
        return status;
    /* Passing changes something only under water, with water on one side. */
    if (!settler_wet(t, *out, closure) || among(*out, k->a) == among(*out, k->b))
        return COAMING_OK;
    w.forced_passes = true;
    status = settle(t, &w, *out, error);
    if (status == COAMING_OK)
        *out = &t->work;
    return status;
}
