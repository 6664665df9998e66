#include "analyse/hold/net.h"

#include <math.h>

#include "ship/state.h"

int net_number(const net *n, int other)
{
    return (int)n->ship->space_count + other;
}

static bool make_drawn(net *n)
{
    if (n->drawn)
        return true;
    n->leaking = arena_new(n->memory, n->ship->closure_count * NET_DRAWN, sizeof *n->leaking);
    n->drawn = arena_new(n->memory, n->ship->closure_count, sizeof *n->drawn);
    return n->leaking && n->drawn;
}

bool net_make(net *n)
{
    n->begins = arena_new(n->memory, n->ship->space_count + 1, sizeof *n->begins);
    n->space = arena_new(n->memory, n->ship->space_count + 1, sizeof *n->space);
    n->link = arena_new(n->memory, n->ship->link_count + 1, sizeof *n->link);
    n->reached = arena_new(n->memory, n->ship->space_count + 1, sizeof *n->reached);
    n->by_design = arena_new(n->memory, n->ship->space_count + 1, sizeof *n->by_design);
    if (n->by_design && n->hazard == COAMING_WATER)
        mark_open_by_design(n->ship, n->loading, n->by_design);
    for (size_t i = 0; n->begins && n->by_design && i < n->source_count; i++) {
        if (n->sources[i] < 0)
            continue;
        n->begins[n->sources[i]] = true;
        n->by_design[n->sources[i]] = false;
    }
    return n->begins && n->space && n->link && n->reached && n->by_design && make_drawn(n);
}

void net_add_level(net *n, double level)
{
    for (size_t i = 0; i < n->ship->space_count; i++)
        n->space[i] = n->space[i] || space_reached(&n->ship->spaces[i], n->hazard, level);
    for (size_t i = 0; i < n->ship->link_count; i++)
        n->link[i] = n->link[i] || link_reached(&n->ship->links[i], n->hazard, level);
}

/* -1: the hazard does not get there. */
static int place_number(const net *n, coaming_place place)
{
    if (place >= 0)
        return n->space[place] ? place : -1;
    return n->outside ? net_number(n, NET_OUTSIDE) : -1;
}

/* The two ends of a link that can carry the hazard on; false if it cannot. */
bool net_ends(const net *n, size_t link, int ends[2])
{
    const ship_link *l = &n->ship->links[link];
    if (!n->link[link])
        return false;
    ends[0] = place_number(n, l->a);
    ends[1] = place_number(n, l->b);
    return ends[0] >= 0 && ends[1] >= 0 && ends[0] != ends[1];
}

bool net_slows(const net *n, size_t link)
{
    return n->nested && link_slows(&n->ship->links[link], n->hazard);
}

double net_leak(const net *n, size_t link)
{
    const ship_link *l = &n->ship->links[link];
    if (n->sound && n->sound[link])
        return 0;
    if (net_slows(n, link))
        return fmax(n->leaks[link], COAMING_HOLD_SLOWS);
    if (!link_can_hold(l, n->hazard))
        return 1;
    return n->leaks[link];
}

bool net_lets_through(const net *n, size_t link)
{
    const ship_link *l = &n->ship->links[link];
    return (!l->passage && n->leaks[link] >= 1) ||
           link_passes(l, n->condition, n->hazard, true, false);
}

coaming_hold_closure net_closure(const net *n, size_t link, bool last)
{
    return (coaming_hold_closure){.closure = (int)link,
                                  .leak_probability = net_leak(n, link),
                                  .must_be_shut = !link_shut(&n->ship->links[link], n->condition),
                                  .last = last,
                                  .slows = net_slows(n, link)};
}

double net_worth(const net *n, int space)
{
    return n->by_design[space] ? 0 : n->ship->spaces[space].worth;
}

bool net_is_source(const net *n, int place)
{
    return place == net_number(n, NET_OUTSIDE) ? n->outside : n->begins[place] && n->space[place];
}

bool net_all_dry(const net *n)
{
    bool any = false;
    for (size_t i = 0; i < n->source_count; i++) {
        if (n->sources[i] >= 0 && n->space[n->sources[i]])
            return false;
        any = any || n->sources[i] >= 0;
    }
    return any;
}

int net_root(int *parent, int i)
{
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

bool net_edges_make(const net *n, net_edges *e)
{
    size_t room = n->ship->link_count + 2 * (n->ship->space_count + NET_OTHERS);
    e->ends = memory_new(2 * room, sizeof *e->ends);
    e->link = memory_new(room, sizeof *e->link);
    e->weight = memory_new(room, sizeof *e->weight);
    e->count = 0;
    return e->ends && e->link && e->weight;
}

void net_edges_free(net_edges *e)
{
    memory_free(e->ends);
    memory_free(e->link);
    memory_free(e->weight);
}

void net_edges_add(net_edges *e, int a, int b, int link, double weight)
{
    e->ends[2 * e->count] = a;
    e->ends[2 * e->count + 1] = b;
    e->link[e->count] = link;
    e->weight[e->count++] = weight;
}
