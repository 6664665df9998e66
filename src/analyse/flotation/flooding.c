#include "analyse/flotation/flooding.h"

#include <math.h>

#include "base/dot.h"
#include "ship/opening.h"
#include "ship/state.h"

static void put_link(const flood_plan *p, size_t l, int condition)
{
    const ship_link *k = &p->ship->links[l];
    flood_link *f = &p->links[l];
    *f = (flood_link){.a = k->a, .b = k->b};
    opening_place(p->ship, &k->clear, f->at);
    for (int answer = 0; answer < COAMING_ANSWERS; answer++)
        f->passes[answer] = link_passes(k, condition, COAMING_WATER, answer != COAMING_AS_BUILT,
                                        answer == COAMING_UNTESTED_LEAK);
}

static void widen(flood_space *f, const body *b, double low[3], double high[3])
{
    size_t corners = b->faces ? b->start[b->faces] : 0;
    for (size_t i = 0; i < corners; i++) {
        const double *at = b->points + 3 * i;
        if (at[2] < low[2])
            for (int k = 0; k < 3; k++)
                f->corner[k] = at[k];
        for (int k = 0; k < 3; k++) {
            low[k] = fmin(low[k], at[k]);
            high[k] = fmax(high[k], at[k]);
        }
    }
}

static void put_space(const flood_plan *p, size_t s)
{
    double low[3] = {INFINITY, INFINITY, INFINITY}, high[3] = {-INFINITY, -INFINITY, -INFINITY};
    flood_space *f = &p->spaces[s];
    widen(f, p->ship->spaces[s].inside, low, high);
    widen(f, p->ship->spaces[s].above, low, high);
    for (int k = 0; k < 3; k++) {
        f->middle[k] = (low[k] + high[k]) / 2;
        f->half[k] = (high[k] - low[k]) / 2;
    }
}

/* In the order of the links at each space. */
static void put_ways(flood_plan *p, int answer)
{
    const coaming_ship *ship = p->ship;
    int count = 0;
    for (size_t s = 0; s < ship->space_count; s++) {
        p->first_way[answer][s] = count;
        for (int j = ship->first[s]; j < ship->first[s + 1]; j++) {
            const flood_link *l = &p->links[ship->incident[j]];
            int to = l->a == (int)s ? l->b : l->a;
            if (to >= 0 && l->passes[answer])
                p->ways[answer][count++] =
                    (flood_way){{l->at[0], l->at[1], l->at[2]}, ship->incident[j], to};
        }
    }
    p->first_way[answer][ship->space_count] = count;
}

static bool make_ways(flood_plan *p, arena *memory, int answer)
{
    p->ways[answer] = arena_new(memory, 2 * p->ship->link_count, sizeof **p->ways);
    p->first_way[answer] = arena_new(memory, p->ship->space_count + 1, sizeof **p->first_way);
    if (!p->ways[answer] || !p->first_way[answer])
        return false;
    put_ways(p, answer);
    return true;
}

bool flood_plan_make(flood_plan *p, arena *memory, const coaming_ship *ship, int condition)
{
    *p = (flood_plan){.ship = ship};
    p->links = arena_new(memory, ship->link_count, sizeof *p->links);
    p->spaces = arena_new(memory, ship->space_count, sizeof *p->spaces);
    p->outside = arena_new(memory, ship->link_count, sizeof *p->outside);
    if (!p->links || !p->spaces || !p->outside)
        return false;
    for (size_t s = 0; s < ship->space_count; s++)
        put_space(p, s);
    for (size_t l = 0; l < ship->link_count; l++) {
        put_link(p, l, condition);
        if (ship->links[l].a < 0 || ship->links[l].b < 0)
            p->outside[p->outside_count++] = (int)l;
    }
    for (int answer = 0; answer < COAMING_ANSWERS; answer++)
        if (!make_ways(p, memory, answer))
            return false;
    return true;
}

bool flood_passes(const flood_plan *p, const flood_world *w, int l)
{
    if (l == w->forced)
        return w->forced_passes;
    return w->decided ? w->decided[l] : p->links[l].passes[w->answer];
}

bool flood_link_wet(const flood_plan *p, const coaming_float *at, int l)
{
    return at->afloat != COAMING_AFLOAT_YES || dot(at->normal, p->links[l].at) - at->height < 0;
}

/* Strict to the last bit, as the corners themselves are: the box only tells where it leaves no
 * doubt. */
bool flood_space_wet(const flood_plan *p, const coaming_float *at, int space)
{
    if (at->afloat != COAMING_AFLOAT_YES)
        return true;
    const flood_space *f = &p->spaces[space];
    const double *n = at->normal;
    if (dot(n, f->corner) < at->height)
        return true;
    double reach = fabs(n[0]) * f->half[0] + fabs(n[1]) * f->half[1] + fabs(n[2]) * f->half[2];
    if (dot(n, f->middle) - reach > at->height + 1e-6)
        return false;
    double least, greatest;
    space_extent_along(&p->ship->spaces[space], n, &least, &greatest);
    return least < at->height;
}

void flood_take(settled *s, bool *flooded, int space, int by)
{
    flooded[space] = true;
    s->spaces[s->count] = space;
    s->by[s->count++] = by;
}

/* Water comes over a link to a space that has none yet. */
static void try_link(const flood_plan *p, const flood_world *w, settled *s, bool *flooded, int l,
                     coaming_place to)
{
    if (to >= 0 && !flooded[to] && flood_passes(p, w, l) && flood_link_wet(p, &s->at, l) &&
        flood_space_wet(p, &s->at, to))
        flood_take(s, flooded, to, l);
}

/* By the links of which each is decided by hand. */
static void spread_decided(const flood_plan *p, const flood_world *w, settled *s, bool *flooded,
                           size_t first)
{
    const coaming_ship *ship = p->ship;
    for (size_t i = first; i < s->count; i++) {
        int from = s->spaces[i];
        for (int j = ship->first[from]; j < ship->first[from + 1]; j++) {
            const flood_link *l = &p->links[ship->incident[j]];
            try_link(p, w, s, flooded, ship->incident[j], l->a == from ? l->b : l->a);
        }
    }
}

/* A link forced to pass is no way here: it matters only where it has water on one side, and then it
 * is taken first of all. */
void flood_spread_from(const flood_plan *p, const flood_world *w, settled *s, bool *flooded,
                       size_t first)
{
    if (w->decided) {
        spread_decided(p, w, s, flooded, first);
        return;
    }
    const flood_way *ways = p->ways[w->answer];
    const int *first_way = p->first_way[w->answer];
    bool lost = s->at.afloat != COAMING_AFLOAT_YES;
    for (size_t i = first; i < s->count; i++) {
        const flood_way *end = ways + first_way[s->spaces[i] + 1];
        for (const flood_way *l = ways + first_way[s->spaces[i]]; l < end; l++)
            if (!flooded[l->to] && l->link != w->forced &&
                (lost || dot(s->at.normal, l->at) - s->at.height < 0) &&
                flood_space_wet(p, &s->at, l->to))
                flood_take(s, flooded, l->to, l->link);
    }
}

void flood_spread(const flood_plan *p, const flood_world *w, settled *s, bool *flooded)
{
    for (size_t i = 0; i < w->sources; i++) {
        coaming_place source = w->source[i];
        if (source >= 0 && !flooded[source] && flood_space_wet(p, &s->at, source))
            flood_take(s, flooded, source, -1);
    }
    for (size_t i = 0; i < p->outside_count; i++) {
        const flood_link *l = &p->links[p->outside[i]];
        try_link(p, w, s, flooded, p->outside[i], l->a < 0 ? l->b : l->a);
    }
    flood_spread_from(p, w, s, flooded, 0);
}
