#include "analyse/risk/exact_plan.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

/* The search for a better order stops after about this many looks at an edge or a node. */
static const double WORK_MOST = 1e7;

/* Edges side by side. */

typedef struct {
    int low, high, edge;
} ends;

static int by_ends(const void *left, const void *right)
{
    const ends *a = left, *b = right;
    if (a->low != b->low)
        return a->low < b->low ? -1 : 1;
    if (a->high != b->high)
        return a->high < b->high ? -1 : 1;
    return (a->edge > b->edge) - (a->edge < b->edge);
}

/* sorted: room for every edge. */
static void gather_edges(const risk_model *m, exact_plan *plan, ends *sorted)
{
    for (size_t e = 0; e < m->edge_count; e++) {
        int u = m->edges[e].u, v = m->edges[e].v;
        sorted[e] = (ends){u < v ? u : v, u < v ? v : u, (int)e};
    }
    if (m->edge_count)
        qsort(sorted, m->edge_count, sizeof *sorted, by_ends);
    for (size_t i = 0; i < m->edge_count; i++) {
        const ends *at = &sorted[i];
        double p = m->edges[at->edge].p;
        if (i == 0 || at->low != at[-1].low || at->high != at[-1].high)
            plan->edges[plan->edge_count++] = (exact_edge){at->low, at->high, 0, 1};
        exact_edge *together = &plan->edges[plan->edge_count - 1];
        together->passes += together->holds * p;
        together->holds *= 1 - p;
        plan->edge_of[at->edge] = plan->edge_count - 1;
    }
}

/* Orders. */

typedef struct {
    const risk_model *m;
    int *first, *beside; /* neighbours of each node: beside[first[v] .. first[v+1]) */
    int *left;           /* by node: edges not yet taken; -1: not in the frontier yet */
    int *order, *best, *tried;
    int *place; /* by node: in the order at hand */
    int *leaving;
    double cost; /* of best */
    double work;
} ordering;

/* edge_at: the edge of the plan beside each neighbour. */
static void connect(const exact_plan *plan, ordering *o, int *edge_at)
{
    for (int e = 0; e < plan->edge_count; e++) {
        o->first[plan->edges[e].u + 1]++;
        o->first[plan->edges[e].v + 1]++;
    }
    for (int v = 0; v < o->m->node_count; v++) {
        o->first[v + 1] += o->first[v];
        o->place[v] = o->first[v];
    }
    for (int e = 0; e < plan->edge_count; e++) {
        int u = plan->edges[e].u, v = plan->edges[e].v;
        edge_at[o->place[u]] = edge_at[o->place[v]] = e;
        o->beside[o->place[u]++] = v;
        o->beside[o->place[v]++] = u;
    }
}

/* About how much work an order makes: the frontier's states at each node. */
static double cost_of(ordering *o, const int *order)
{
    int nodes = o->m->node_count, width = 0;
    double cost = 0;
    for (int i = 0; i < nodes; i++) {
        o->place[order[i]] = i;
        o->leaving[i] = 0;
    }
    for (int v = 0; v < nodes; v++) {
        int last = o->place[v];
        for (int k = o->first[v]; k < o->first[v + 1]; k++)
            last = o->place[o->beside[k]] > last ? o->place[o->beside[k]] : last;
        if (v != o->m->always)
            o->leaving[last]++;
    }
    for (int i = 0; i < nodes; i++) {
        width += order[i] != o->m->always;
        cost += ldexp(1, 2 * (width < 400 ? width : 400));
        width -= o->leaving[i];
    }
    o->work += nodes + o->first[nodes];
    return cost;
}

static void copy(int *to, const int *from, int count)
{
    for (int i = 0; i < count; i++)
        to[i] = from[i];
}

static void keep_if_better(ordering *o, const int *order)
{
    double cost = cost_of(o, order);
    if (cost < o->cost) {
        o->cost = cost;
        copy(o->best, order, o->m->node_count);
    }
}

/* Puts a node next; returns by how much the frontier grows. */
static int put(ordering *o, int v, int *count)
{
    int grows = 1;
    o->order[(*count)++] = v;
    o->left[v] = o->first[v + 1] - o->first[v];
    for (int k = o->first[v]; k < o->first[v + 1]; k++) {
        int beside = o->beside[k];
        if (o->left[beside] < 0)
            continue;
        o->left[v]--;
        grows -= --o->left[beside] == 0;
    }
    return grows - (o->left[v] == 0);
}

/* What put would return, and how many neighbours are still to come. */
static int growth_of(const ordering *o, int v, int *to_come)
{
    int grows = 1;
    *to_come = 0;
    for (int k = o->first[v]; k < o->first[v + 1]; k++) {
        int left = o->left[o->beside[k]];
        *to_come += left < 0;
        grows -= left == 1;
    }
    return grows - (*to_come == 0);
}

/* From a first node on always that which lets the frontier grow least; among equals that which has
 * fewest neighbours to come. */
static void go_on_narrow(ordering *o, int start)
{
    int nodes = o->m->node_count, count = 0;
    for (int v = 0; v < nodes; v++)
        o->left[v] = -1;
    if (o->m->always >= 0)
        put(o, o->m->always, &count);
    if (start != o->m->always)
        put(o, start, &count);
    while (count < nodes) {
        int chosen = -1, least = 0, fewest = 0;
        for (int v = 0; v < nodes; v++) {
            int to_come;
            if (o->left[v] >= 0)
                continue;
            int grows = growth_of(o, v, &to_come);
            if (chosen < 0 || grows < least || (grows == least && to_come < fewest)) {
                chosen = v;
                least = grows;
                fewest = to_come;
            }
        }
        put(o, chosen, &count);
    }
    o->work += (double)nodes * (nodes + o->first[nodes]);
}

/* Moves a node of the best order to each other place. */
static void move_node(ordering *o, int v)
{
    int nodes = o->m->node_count, count = 0;
    for (int i = 0; i < nodes; i++)
        if (o->best[i] != v)
            o->tried[count++] = o->best[i];
    o->tried[count] = v;
    keep_if_better(o, o->tried);
    for (int i = count; i > 0; i--) {
        o->tried[i] = o->tried[i - 1];
        o->tried[i - 1] = v;
        keep_if_better(o, o->tried);
    }
}

typedef struct {
    double along;
    int node;
} stop;

static int by_along(const void *left, const void *right)
{
    const stop *a = left, *b = right;
    if (a->along != b->along)
        return a->along < b->along ? -1 : 1;
    return (a->node > b->node) - (a->node < b->node);
}

/* stops: room for every node. */
static void find_order(ordering *o, stop *stops)
{
    int nodes = o->m->node_count;
    double one = (double)nodes * (nodes + o->first[nodes]); /* work of one search */
    for (int v = 0; v < nodes; v++)
        stops[v] = (stop){o->m->along[v], v};
    if (nodes > 0)
        qsort(stops, (size_t)nodes, sizeof *stops, by_along);
    for (int i = 0; i < nodes; i++)
        o->order[i] = stops[i].node;
    o->cost = INFINITY;
    keep_if_better(o, o->order);
    /* one search at least, but for a ship so large that it would take seconds */
    for (int i = 0; i < nodes && o->work + one < (i == 0 ? 10 * WORK_MOST : WORK_MOST / 2); i++) {
        go_on_narrow(o, stops[i].node);
        keep_if_better(o, o->order);
    }
    for (double before = INFINITY; o->cost < before && o->work < WORK_MOST;) {
        before = o->cost;
        for (int v = 0; v < nodes && o->work + one < WORK_MOST; v++)
            move_node(o, v);
    }
}

/* Steps. */

typedef struct {
    const risk_model *m;
    exact_plan *plan;
    const ordering *o;
    int *frontier, *place; /* nodes; place of each, -1: not there */
    int *edge_at;          /* edge of the plan, as o->beside */
    int width;
} stepping;

static void add_step(stepping *s, exact_step step)
{
    s->plan->steps[s->plan->step_count++] = step;
}

static void enter(stepping *s, int v)
{
    s->place[v] = s->width;
    s->frontier[s->width++] = v;
    if (s->width > s->plan->widest)
        s->plan->widest = s->width;
}

static void leave(stepping *s, int v)
{
    add_step(s, (exact_step){EXACT_LEAVE, v, s->place[v], -1});
    s->width--;
    for (int i = s->place[v]; i < s->width; i++) {
        s->frontier[i] = s->frontier[i + 1];
        s->place[s->frontier[i]] = i;
    }
    s->place[v] = -1;
}

/* Takes the edge between two nodes in the frontier, of which one may then have no more. */
static void take_edge(stepping *s, int v, int beside, int edge)
{
    add_step(s, (exact_step){EXACT_EDGE, edge, s->place[v], s->place[beside]});
    s->o->left[v]--;
    if (--s->o->left[beside] == 0 && beside != s->m->always)
        leave(s, beside);
}

/* The edges between a node that has just entered and those in the frontier; first those after which
 * the other node leaves, then (last) the rest. */
static void take_edges(stepping *s, int v, bool last)
{
    const ordering *o = s->o;
    for (int k = o->first[v]; k < o->first[v + 1]; k++) {
        int beside = o->beside[k];
        if (s->edge_at[k] < 0 || s->place[beside] < 0 || (!last && o->left[beside] > 1))
            continue;
        take_edge(s, v, beside, s->edge_at[k]);
        s->edge_at[k] = -1;
    }
}

static void list_steps(stepping *s)
{
    const ordering *o = s->o;
    for (int v = 0; v < s->m->node_count; v++) {
        s->place[v] = -1;
        o->left[v] = o->first[v + 1] - o->first[v];
    }
    if (s->m->always >= 0)
        enter(s, s->m->always);
    for (int i = 0; i < s->m->node_count; i++) {
        int v = o->best[i];
        if (v == s->m->always)
            continue;
        add_step(s, (exact_step){EXACT_ENTER, v, s->width, -1});
        enter(s, v);
        take_edges(s, v, false);
        take_edges(s, v, true);
        if (o->left[v] == 0)
            leave(s, v);
    }
}

/* All together. */

static bool plan_made(const risk_model *m, exact_plan *plan, ordering *o, stepping *s)
{
    size_t nodes = (size_t)m->node_count, edges = m->edge_count;
    int **const by_node[] = {&o->left,  &o->order,   &o->best,     &o->tried,
                             &o->place, &o->leaving, &s->frontier, &s->place};
    for (size_t i = 0; i < sizeof by_node / sizeof *by_node; i++)
        if (!(*by_node[i] = memory_new(nodes, sizeof **by_node[i])))
            return false;
    o->first = memory_new(nodes + 1, sizeof *o->first);
    o->beside = memory_new(2 * edges, sizeof *o->beside);
    s->edge_at = memory_new(2 * edges, sizeof *s->edge_at);
    plan->edge_of = memory_new(edges, sizeof *plan->edge_of);
    plan->edges = memory_new(edges, sizeof *plan->edges);
    plan->steps = memory_new(2 * nodes + edges, sizeof *plan->steps);
    ends *sorted = memory_new(edges, sizeof *sorted);
    stop *stops = memory_new(nodes, sizeof *stops);
    bool good = o->first && o->beside && s->edge_at && plan->edge_of && plan->edges &&
                plan->steps && sorted && stops;
    if (good) {
        gather_edges(m, plan, sorted);
        connect(plan, o, s->edge_at);
        find_order(o, stops);
        list_steps(s);
    }
    memory_free(sorted);
    memory_free(stops);
    return good;
}

bool exact_plan_new(const risk_model *m, exact_plan *plan)
{
    ordering o = {.m = m};
    stepping s = {.m = m, .plan = plan, .o = &o};
    *plan = (exact_plan){0};
    bool good = plan_made(m, plan, &o, &s);
    void *const scratch[] = {o.left,  o.order,  o.best,     o.tried, o.place,  o.leaving,
                             o.first, o.beside, s.frontier, s.place, s.edge_at};
    for (size_t i = 0; i < sizeof scratch / sizeof *scratch; i++)
        memory_free(scratch[i]);
    if (!good)
        exact_plan_free(plan);
    return good;
}

bool exact_plan_again(const exact_plan *order, const risk_model *m, exact_plan *plan)
{
    *plan = *order;
    plan->edges = memory_new((size_t)order->edge_count, sizeof *plan->edges);
    if (!plan->edges)
        return false;
    for (int i = 0; i < order->edge_count; i++)
        plan->edges[i] = (exact_edge){order->edges[i].u, order->edges[i].v, 0, 1};
    for (size_t e = 0; e < m->edge_count; e++) {
        exact_edge *together = &plan->edges[order->edge_of[e]];
        together->passes += together->holds * m->edges[e].p;
        together->holds *= 1 - m->edges[e].p;
    }
    return true;
}

void exact_plan_free(exact_plan *plan)
{
    memory_free(plan->edge_of);
    memory_free(plan->edges);
    memory_free(plan->steps);
    *plan = (exact_plan){0};
}
