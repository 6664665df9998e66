#include <math.h>

#include "analyse/hold/net.h"
#include "base/error.h"
#include "graph/graph.h"
#include "ship/state.h"

static coaming_place outside_of(const ship_link *l)
{
    return l->a < 0 ? l->a : l->b;
}

static bool stands_open(const net *n, size_t link)
{
    return n->held && !n->held[link] && net_leak(n, link) < 1 &&
           !link_shut(&n->ship->links[link], n->condition);
}

/* As the way finds it. */
static double way_leak(const net *n, size_t link)
{
    const ship_link *l = &n->ship->links[link];
    bool passes = link_state_as_built(l, n->condition, n->hazard) == LINK_PASSES;
    return n->held && !n->held[link] && passes ? 1 : net_leak(n, link);
}

static void way_edges(const net *n, const bool *goal, net_edges *e)
{
    static const double a_link = 1e-12; /* of equal ways the one over fewest links */
    int ends[2];
    e->count = 0;
    for (int i = 0; i <= net_number(n, NET_OUTSIDE); i++) {
        if (net_is_source(n, i))
            net_edges_add(e, net_number(n, NET_START), i, -1, 0);
        if (i < net_number(n, NET_OUTSIDE) && goal[i] && n->space[i])
            net_edges_add(e, i, net_number(n, NET_GOAL), -1, 0);
    }
    for (size_t l = 0; l < n->ship->link_count; l++)
        if (net_ends(n, l, ends) && way_leak(n, l) > 0)
            net_edges_add(e, ends[0], ends[1], (int)l, a_link - log(way_leak(n, l)));
}

/* Takes the way apart into steps. path: edges, the first and last of them only joining. */
static bool take_way(const net *n, const net_edges *e, const int *path, size_t count,
                     coaming_hold_way *way)
{
    way->steps = arena_new(n->memory, count, sizeof *way->steps);
    if (!way->steps)
        return false;
    int at = e->ends[2 * path[0] + 1];
    bool outside = at == net_number(n, NET_OUTSIDE);
    way->from = outside ? outside_of(&n->ship->links[e->link[path[1]]]) : at;
    way->step_count = 0;
    way->probability = 1;
    for (size_t i = 1; i + 1 < count; i++) {
        const int *ends = &e->ends[2 * path[i]];
        int link = e->link[path[i]];
        at = ends[0] == at ? ends[1] : ends[0];
        double leak = way_leak(n, (size_t)link);
        way->probability *= leak;
        way->steps[way->step_count++] =
            (coaming_hold_step){link, at, leak, stands_open(n, (size_t)link)};
    }
    return true;
}

/* find_way with room for its edges and its path. */
static coaming_status find_way_in(const net *n, const bool *goal, net_edges *e, int *path,
                                  coaming_hold_way *way, bool *found, coaming_error *error)
{
    size_t vertices = n->ship->space_count + NET_OTHERS, count = 0;
    graph *g = NULL;
    way_edges(n, goal, e);
    coaming_status status = graph_new(vertices, e->count, e->ends, false, &g, error);
    if (status == COAMING_OK)
        status = graph_way(g, e->weight, net_number(n, NET_START), net_number(n, NET_GOAL), path,
                           &count, error);
    graph_free(g);
    *found = status == COAMING_OK && count > 0;
    if (*found && !take_way(n, e, path, count, way))
        status = error_memory(error);
    return status;
}

/* The weakest way to one of the spaces that are marked; *found is false if none leads there. */
coaming_status net_way(const net *n, const bool *goal, coaming_hold_way *way, bool *found,
                       coaming_error *error)
{
    net_edges e;
    bool room = net_edges_make(n, &e);
    int *path = memory_new(n->ship->space_count + NET_OTHERS, sizeof *path);
    coaming_status status = COAMING_MEMORY;
    if (room && path)
        status = find_way_in(n, goal, &e, path, way, found, error);
    else
        error_memory(error);
    memory_free(path);
    net_edges_free(&e);
    return status;
}
