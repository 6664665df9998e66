#include "graph/reach.h"

#include <stdlib.h>

#include "base/error.h"
#include "base/order.h"
#include "graph/graph.h"
#include "ship/state.h"

struct reach {
    const coaming_ship *ship;
    reach_setting setting;
    size_t vertices;
    int *order, *position; /* vertex at a position, position of a vertex */
    int *end;              /* by position: where the subtree that starts there ends */
    int *root;             /* by position: where the component starts */
    int *parent;           /* by vertex */
    int *edge;             /* by link: edge number, -1 if it does not pass */
    bool *bridge;          /* by edge */
    int *first,
        *way; /* the ways on of space s: way[first[s] .. first[s + 1]); NULL until asked for */
};

void reach_free(reach *r)
{
    if (!r)
        return;
    memory_free(r->order);
    memory_free(r->position);
    memory_free(r->end);
    memory_free(r->root);
    memory_free(r->parent);
    memory_free(r->edge);
    memory_free(r->bridge);
    memory_free(r->first);
    memory_free(r->way);
    memory_free(r);
}

int reach_outside(const reach *r)
{
    return r->setting.outside ? (int)r->ship->space_count : -1;
}

int reach_vertex(const reach *r, coaming_place place)
{
    if (place >= 0)
        return space_reached(&r->ship->spaces[place], r->setting.hazard, r->setting.level) ? place
                                                                                           : -1;
    if (r->setting.hazard == COAMING_AIR && place == COAMING_SEA)
        return -1;
    return reach_outside(r);
}

/* Both sides of a link as vertices; false if the level or the hazard rules the link out. */
static bool link_vertices(const reach *r, int l, int *a, int *b)
{
    const ship_link *k = &r->ship->links[l];
    if (!link_reached(k, r->setting.hazard, r->setting.level))
        return false;
    *a = reach_vertex(r, k->a);
    *b = reach_vertex(r, k->b);
    return *a >= 0 && *b >= 0;
}

static bool state_passes(const reach *r, int l)
{
    link_state state = link_state_in(&r->ship->links[l], r->setting.condition, r->setting.hazard);
    return state == LINK_PASSES || (state == LINK_UNTESTED && r->setting.untested_pass);
}

bool reach_passes(const reach *r, int link)
{
    return r->edge[link] >= 0;
}

/* met: by space, the last space that a way to it was found from, numbered from 1. */
static void find_ways(reach *r, int *met)
{
    const coaming_ship *ship = r->ship;
    int count = 0;
    for (size_t s = 0; s < ship->space_count; s++) {
        r->first[s] = count;
        for (int i = ship->first[s]; i < ship->first[s + 1]; i++) {
            int l = ship->incident[i];
            coaming_place next = link_other_side(&ship->links[l], (coaming_place)s);
            if (next < 0 || !reach_passes(r, l) || met[next] == (int)s + 1)
                continue;
            met[next] = (int)s + 1;
            r->way[count++] = l;
        }
    }
    r->first[ship->space_count] = count;
}

coaming_status reach_ways(reach *r, int space, const int **ways, int *count, coaming_error *error)
{
    size_t n = r->ship->space_count;
    if (!r->way) {
        int *met = memory_new(n, sizeof *met);
        memory_free(r->first); /* of a try that failed */
        r->first = memory_new(n + 1, sizeof *r->first);
        r->way = memory_new(2 * r->ship->link_count, sizeof *r->way);
        if (met && r->first && r->way)
            find_ways(r, met);
        bool made = met && r->first && r->way;
        memory_free(met);
        if (!made) {
            memory_free(r->way);
            r->way = NULL;
            return error_memory(error);
        }
    }
    *ways = r->way + r->first[space];
    *count = r->first[space + 1] - r->first[space];
    return COAMING_OK;
}

/* Turns order and parent into positions, ends of subtrees and components. */
static void index_forest(reach *r)
{
    int n = (int)r->vertices;
    for (int p = 0; p < n; p++) {
        r->position[r->order[p]] = p;
        r->end[p] = p + 1;
    }
    for (int p = n - 1; p >= 0; p--) {
        int parent = r->parent[r->order[p]];
        if (parent >= 0 && r->end[r->position[parent]] < r->end[p])
            r->end[r->position[parent]] = r->end[p];
    }
    for (int p = 0; p < n; p++) {
        int parent = r->parent[r->order[p]];
        r->root[p] = parent < 0 ? p : r->root[r->position[parent]];
    }
}

static coaming_status traverse(reach *r, coaming_error *error)
{
    int *ends = memory_new(2 * r->ship->link_count, sizeof *ends);
    if (!ends)
        return error_memory(error);
    int edges = 0;
    for (size_t l = 0; l < r->ship->link_count; l++) {
        int a, b;
        r->edge[l] = -1;
        if (state_passes(r, (int)l) && link_vertices(r, (int)l, &a, &b)) {
            ends[2 * edges] = a;
            ends[2 * edges + 1] = b;
            r->edge[l] = edges++;
        }
    }
    graph *g = NULL;
    coaming_status status = graph_new(r->vertices, (size_t)edges, ends, false, &g, error);
    if (status == COAMING_OK)
        status = graph_forest(g, r->order, r->parent, error);
    if (status == COAMING_OK)
        status = graph_bridges(g, r->bridge, error);
    if (status == COAMING_OK)
        index_forest(r);
    graph_free(g);
    memory_free(ends);
    return status;
}

coaming_status reach_new(const coaming_ship *ship, reach_setting setting, reach **out,
                         coaming_error *error)
{
    if (setting.hazard == COAMING_WATER)
        setting.outside = true;
    reach *r = memory_new(1, sizeof *r);
    if (!r)
        return error_memory(error);
    r->ship = ship;
    r->setting = setting;
    r->vertices = ship->space_count + (setting.outside ? 1 : 0);
    r->order = memory_new(r->vertices, sizeof *r->order);
    r->position = memory_new(r->vertices, sizeof *r->position);
    r->end = memory_new(r->vertices, sizeof *r->end);
    r->root = memory_new(r->vertices, sizeof *r->root);
    r->parent = memory_new(r->vertices, sizeof *r->parent);
    r->edge = memory_new(ship->link_count, sizeof *r->edge);
    r->bridge = memory_new(ship->link_count, sizeof *r->bridge);
    coaming_status status;
    if (!r->order || !r->position || !r->end || !r->root || !r->parent || !r->edge || !r->bridge)
        status = error_memory(error);
    else
        status = traverse(r, error);
    if (status != COAMING_OK)
        reach_free(r);
    else
        *out = r;
    return status;
}

size_t reach_vertices(const reach *r)
{
    return r->vertices;
}

coaming_place reach_place_at(const reach *r, int position)
{
    int v = r->order[position];
    return v == reach_outside(r) ? COAMING_WEATHER : v;
}

int reach_position(const reach *r, int vertex)
{
    return r->position[vertex];
}

reach_run reach_component(const reach *r, int vertex)
{
    int root = r->root[r->position[vertex]];
    return (reach_run){root, r->end[root]};
}

bool reach_in(reach_run run, int position)
{
    return run.from <= position && position < run.to;
}

static reach_set one_run(reach_run run)
{
    return (reach_set){{run, {0, 0}}};
}

static bool set_has(reach_set set, int position)
{
    return reach_in(set.run[0], position) || reach_in(set.run[1], position);
}

reach_sides reach_sides_of(const reach *r, int closure)
{
    reach_sides sides = {REACH_NOTHING, {{{0, 0}, {0, 0}}}, {{{0, 0}, {0, 0}}}};
    int a, b;
    if (!link_vertices(r, closure, &a, &b) || a == b)
        return sides;
    reach_run ca = reach_component(r, a), cb = reach_component(r, b);
    int edge = r->edge[closure];
    if (edge < 0) {
        if (ca.from == cb.from)
            return sides;
        return (reach_sides){REACH_JOINS, one_run(ca), one_run(cb)};
    }
    if (!r->bridge[edge])
        return sides;
    /* A bridge lies in every spanning forest: one side is the parent of the other. */
    bool b_below = r->parent[b] == a;
    int top = r->position[b_below ? b : a];
    reach_run below = {top, r->end[top]};
    reach_set rest = {{{ca.from, below.from}, {below.to, ca.to}}};
    if (b_below)
        return (reach_sides){REACH_PARTS, rest, one_run(below)};
    return (reach_sides){REACH_PARTS, one_run(below), rest};
}

reach_set reach_exposed(const reach *r, int closure, int source)
{
    reach_set nothing = {{{0, 0}, {0, 0}}};
    reach_sides sides = reach_sides_of(r, closure);
    if (sides.change == REACH_NOTHING || source < 0)
        return nothing;
    reach_set beyond = set_has(sides.near, r->position[source]) ? sides.far : sides.near;
    bool wet_anyway =
        r->setting.hazard == COAMING_WATER && set_has(beyond, r->position[reach_outside(r)]);
    return wet_anyway ? nothing : beyond;
}

size_t reach_size(reach_set set)
{
    return (size_t)(set.run[0].to - set.run[0].from) + (size_t)(set.run[1].to - set.run[1].from);
}

size_t reach_list(const reach *r, reach_set set, uint64_t *bits, int *spaces)
{
    size_t count = 0;
    for (int i = 0; i < 2; i++)
        for (int p = set.run[i].from; p < set.run[i].to; p++)
            if (r->order[p] != reach_outside(r))
                spaces[count++] = r->order[p];
    order_distinct(spaces, count, bits, order_words(r->ship->space_count));
    return count;
}
