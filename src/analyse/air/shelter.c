/* A shelter is held at a pressure and what it loses then is summed up: that is
 * the flow it needs. What is round it follows with less than its pressure (the
 * matrix of the net is an M-matrix), so air comes the easier out by every
 * closure the higher it stands, and the least pressure that keeps it clean is
 * found by halving. */
#include "analyse/air/shelter.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/joined.h"
#include "ship/state.h"

typedef struct {
    const air_stretch *stretches;
    size_t count;
    const air_model *m; /* of the first */
    arena *memory;
    bool *taken; /* spaces of shelters so far */
    bool *in;    /* of this one */
    bool *open;  /* nodes round it that have a way out, or air of their own, but
                  for it */
    int *joined; /* by node, see base/joined.h */
    air_net tried;
} work;

static bool node_in(const work *w, int node)
{
    return (size_t)node < w->m->ship->space_count && w->in[node];
}

/* Is the link on the boundary; and is its first side the one within? */
static bool bounds(const work *w, size_t link, bool *first)
{
    const air_link *l = &w->m->net.links[link];
    *first = node_in(w, l->a);
    return *first != node_in(w, l->b);
}

/* All that stands open to the space, but the outside. */
static void spread(work *w, int space)
{
    int outside = (int)w->m->ship->space_count;
    joined_begin(w->joined, w->m->net.node_count);
    for (size_t k = 0; k < w->m->net.link_count; k++) {
        const air_link *l = &w->m->net.links[k];
        if (w->m->ways[k].state == COAMING_AIR_OPEN && l->a != outside && l->b != outside)
            joined_join(w->joined, l->a, l->b);
    }
    for (int s = 0; s < outside; s++)
        w->in[s] = joined_sign(w->joined, s) == joined_sign(w->joined, space);
}

/* What only the shelter leads out of stands as it does, and says nothing of it: of a net, whose fans and
 * sources are those of one stretch. */
static void find_open(work *w, const air_net *net)
{
    int outside = (int)w->m->ship->space_count;
    joined_begin(w->joined, net->node_count);
    for (size_t k = 0; k < net->link_count; k++) {
        const air_link *l = &net->links[k];
        if (!node_in(w, l->a) && !node_in(w, l->b))
            joined_join(w->joined, l->a, l->b);
    }
    memset(w->open, 0, net->node_count * sizeof *w->open);
    for (int s = 0; s <= outside; s++) {
        const air_node *node = &net->nodes[s];
        if (!node_in(w, s) && (s == outside || node->supply > 0 || node->fan_flow > 0))
            w->open[joined_sign(w->joined, s)] = true;
    }
    for (int s = 0; s <= outside; s++)
        w->open[s] = w->open[joined_sign(w->joined, s)];
}

/* Least Pa by which the inside is over the outside of its boundary, at any
 * height of it. */
static double least(const work *w, const air_net *net)
{
    double lowest = INFINITY;
    for (size_t k = 0; k < net->link_count; k++) {
        bool first;
        const air_link *l = &net->links[k];
        if (!bounds(w, k, &first) || !w->open[first ? l->b : l->a])
            continue;
        double low = air_link_drop(net, l, l->low), high = air_link_drop(net, l, l->high);
        lowest = fmin(lowest, first ? fmin(low, high) : fmin(-low, -high));
    }
    return lowest;
}

/* m3/s of a mass a second, of the air outside, as fans are rated. */
static double as_outside(const work *w, double flow)
{
    return flow / w->m->net.nodes[w->m->net.node_count - 1].density;
}

/* m3/s that goes out by a link of the boundary, less what comes in; first: its
 * first side is within. */
static double outward(const work *w, const air_link *l, bool first)
{
    return (first ? 1 : -1) * as_outside(w, l->forth - l->back);
}

/* The same by all of the boundary. */
static double lost(const work *w, const air_net *net)
{
    double sum = 0;
    for (size_t k = 0; k < net->link_count; k++) {
        bool first;
        if (bounds(w, k, &first))
            sum += outward(w, &net->links[k], first);
    }
    return sum;
}

/* The net with the shelter so many Pa over the still air outside. */
static coaming_status hold_at(work *w, double over, coaming_error *error)
{
    const air_net *net = &w->m->net;
    memcpy(w->tried.nodes, net->nodes, net->node_count * sizeof *net->nodes);
    memcpy(w->tried.links, net->links, net->link_count * sizeof *net->links);
    double outside = net->nodes[net->node_count - 1].density;
    for (size_t s = 0; s < w->m->ship->space_count; s++) {
        air_node *node = &w->tried.nodes[s];
        if (!w->in[s])
            continue;
        node->fixed = true;
        node->pressure = over + (node->density - outside) * AIR_GRAVITY * w->m->middles[s];
    }
    return air_net_solve(&w->tried, error);
}

/* Pa below which rounding alone says that air comes in. */
static const double STILL = 1e-6;

static bool is_clean(const work *w)
{
    return least(w, &w->tried) >= -STILL;
}

static coaming_status find_clean(work *w, coaming_air_shelter *s, coaming_error *error)
{
    double low = 0, high = COAMING_AIR_TRIED;
    s->clean = s->clean_flow = NAN;
    coaming_status status = hold_at(w, high, error);
    if (status != COAMING_OK || !is_clean(w))
        return status;
    for (int i = 0; status == COAMING_OK && high - low > 1e-3; i++) {
        double middle = i ? (low + high) / 2 : 0;
        status = hold_at(w, middle, error);
        if (is_clean(w))
            high = middle;
        else
            low = middle;
    }
    if (status == COAMING_OK)
        status = hold_at(w, high, error);
    s->clean = high;
    s->clean_flow = lost(w, &w->tried);
    return status;
}

static int by_flow(const void *left, const void *right)
{
    const coaming_air_cost *a = left, *b = right;
    if (a->flow != b->flow)
        return a->flow > b->flow ? -1 : 1;
    return a->link - b->link;
}

/* What a link would pass at the same pressures were it shut and sound. */
static double sound_share(const air_model *m, const coaming_air_way *way)
{
    const ship_link *l = &m->ship->links[way->link];
    if (l->passage)
        return 1;
    coaming_air_state best = l->rating == NONTIGHT ? COAMING_AIR_NONTIGHT : COAMING_AIR_SOUND;
    double area = air_way_area(m->ship, way->link, best);
    return way->area > 0 ? fmin(1, area / way->area) : 1;
}

static bool list_costs(work *w, coaming_air_shelter *s)
{
    coaming_air_cost *costs = arena_new(w->memory, w->tried.link_count, sizeof *costs);
    for (size_t k = 0; costs && k < w->tried.link_count; k++) {
        bool first;
        if (!bounds(w, k, &first))
            continue;
        double flow = outward(w, &w->tried.links[k], first);
        costs[s->cost_count++] =
            (coaming_air_cost){w->m->ways[k].link, flow, flow * sound_share(w->m, &w->m->ways[k])};
    }
    if (costs)
        qsort(costs, s->cost_count, sizeof *costs, by_flow);
    s->costs = costs;
    return costs;
}

static bool list_spaces(work *w, coaming_air_shelter *s)
{
    int *spaces = arena_new(w->memory, w->m->ship->space_count, sizeof *spaces);
    for (size_t i = 0; spaces && i < w->m->ship->space_count; i++) {
        if (!w->in[i])
            continue;
        w->taken[i] = true;
        spaces[s->space_count++] = (int)i;
        s->fan += as_outside(w, w->m->net.nodes[i].blown);
    }
    s->spaces = spaces;
    return spaces;
}

/* Its boundary is what it is in the first stretch: what is opened there later
 * has next to no pressure. What is round it has the air of each stretch. */
static bool list_later(work *w, coaming_air_shelter *s)
{
    double *later = arena_new(w->memory, w->count, sizeof *later);
    for (size_t i = 1; later && i < w->count; i++) {
        const air_net *net = &w->stretches[i].model.net;
        find_open(w, net);
        later[i - 1] = least(w, net);
    }
    s->later = later;
    return later;
}

static coaming_status find(work *w, int space, coaming_air_shelter *s, coaming_error *error)
{
    spread(w, space);
    if (!list_spaces(w, s) || !list_later(w, s))
        return error_memory(error);
    find_open(w, &w->m->net);
    s->pressure = least(w, &w->m->net);
    coaming_status status = find_clean(w, s, error);
    if (status == COAMING_OK)
        status = hold_at(w, w->m->how->overpressure, error);
    if (status != COAMING_OK)
        return status;
    s->needed = lost(w, &w->tried);
    return list_costs(w, s) ? COAMING_OK : error_memory(error);
}

coaming_status air_shelters(const air_stretch *stretches, size_t count, arena *memory,
                            coaming_air_answer *answer, coaming_error *error)
{
    const air_model *m = &stretches->model;
    const coaming_ship *ship = m->ship;
    work w = {.stretches = stretches, .count = count, .m = m, .memory = memory, .tried = m->net};
    w.taken = arena_new(memory, ship->space_count, sizeof *w.taken);
    w.in = arena_new(memory, ship->space_count, sizeof *w.in);
    w.open = arena_new(memory, m->net.node_count, sizeof *w.open);
    w.joined = arena_new(memory, m->net.node_count, sizeof *w.joined);
    w.tried.nodes = arena_new(memory, m->net.node_count, sizeof *w.tried.nodes);
    w.tried.links = arena_new(memory, m->net.link_count, sizeof *w.tried.links);
    coaming_air_shelter *found = arena_new(memory, ship->fan_count, sizeof *found);
    if (!w.taken || !w.in || !w.open || !w.joined || !w.tried.nodes || !w.tried.links || !found)
        return error_memory(error);
    answer->shelters = found;
    coaming_status status = COAMING_OK;
    for (size_t f = 0; f < ship->fan_count && status == COAMING_OK; f++)
        if (!w.taken[ship->fans[f].supplies])
            status = find(&w, ship->fans[f].supplies, &found[answer->shelter_count++], error);
    return status;
}
