#include "risk_plain.h"

#include <stdlib.h>
#include <string.h>

static void spread(const risk_model *m, const bool *passes, int from, bool *reached)
{
    reached[from] = true;
    for (bool changed = true; changed;) {
        changed = false;
        for (size_t e = 0; e < m->edge_count; e++) {
            int u = m->edges[e].u, v = m->edges[e].v;
            if (passes[e] && reached[u] != reached[v])
                changed = reached[u] = reached[v] = true;
        }
    }
}

double plain_state_loss(const risk_model *m, const bool *passes)
{
    double sum = 0;
    for (int s = 0; s < m->node_count; s++) {
        bool reached[PLAIN_NODES] = {false};
        spread(m, passes, s, reached);
        if (m->always >= 0)
            spread(m, passes, m->always, reached);
        for (int v = 0; v < m->node_count; v++)
            sum += reached[v] ? m->weight[s] * m->mass[v] : 0;
    }
    return sum;
}

/* Marks where ways lead that have gone through the edge. */
static void walk(const risk_model *m, const bool *passes, int at, int edge, bool through,
                 bool *on_way, bool *by_edge)
{
    on_way[at] = true;
    by_edge[at] |= through;
    for (size_t e = 0; e < m->edge_count; e++) {
        int u = m->edges[e].u, v = m->edges[e].v;
        int to = u == at ? v : u;
        if (passes[e] && (u == at || v == at) && !on_way[to])
            walk(m, passes, to, edge, through || (int)e == edge, on_way, by_edge);
    }
    on_way[at] = false;
}

/* From one of the sources; a way that meets the other is none, for what is beyond that comes from
 * there. */
static void walk_from(const risk_model *m, const bool *passes, int source, int other, int edge,
                      bool *by_edge)
{
    bool on_way[PLAIN_NODES] = {false};
    if (source < 0)
        return;
    if (other >= 0)
        on_way[other] = true;
    walk(m, passes, source, edge, false, on_way, by_edge);
}

double plain_state_way(const risk_model *m, const bool *passes, int edge)
{
    double sum = 0;
    for (int s = 0; s < m->node_count; s++) {
        bool by_edge[PLAIN_NODES] = {false};
        int outside = m->always == s ? -1 : m->always;
        if (m->weight[s] == 0)
            continue;
        walk_from(m, passes, s, outside, edge, by_edge);
        walk_from(m, passes, outside, s, edge, by_edge);
        for (int v = 0; v < m->node_count; v++)
            sum += by_edge[v] ? m->weight[s] * m->mass[v] : 0;
    }
    return sum;
}

static bool uncertain(const risk_edge *e)
{
    return e->p > 0 && e->p < 1;
}

static bool is_bridge(const risk_model *m, const bool *passes, size_t edge)
{
    bool without[PLAIN_EDGES], reached[PLAIN_NODES] = {false};
    memcpy(without, passes, sizeof without);
    without[edge] = false;
    spread(m, without, m->edges[edge].u, reached);
    return passes[edge] && !reached[m->edges[edge].v];
}

/* Nodes of the component of an edge that passes, without the outside. */
static void component(const risk_model *m, const bool *passes, size_t edge, bool *nodes)
{
    bool inside[PLAIN_EDGES];
    for (size_t e = 0; e < m->edge_count; e++)
        inside[e] = passes[e] && m->edges[e].u != m->always && m->edges[e].v != m->always;
    const risk_edge *k = &m->edges[edge];
    spread(m, inside, k->u == m->always ? k->v : k->u, nodes);
}

static int bridges_of(const risk_model *m, const bool *passes, size_t edge)
{
    bool nodes[PLAIN_NODES] = {false};
    int count = 0;
    component(m, passes, edge, nodes);
    for (size_t e = 0; e < m->edge_count; e++)
        count += uncertain(&m->edges[e]) && (nodes[m->edges[e].u] || nodes[m->edges[e].v]) &&
                 is_bridge(m, passes, e);
    return count;
}

double plain_state_expected(const risk_model *m, const bool *passes)
{
    double sum = plain_state_loss(m, passes);
    for (size_t e = 0; e < m->edge_count; e++) {
        bool with[PLAIN_EDGES], without[PLAIN_EDGES];
        memcpy(with, passes, sizeof with);
        memcpy(without, passes, sizeof without);
        with[e] = true;
        without[e] = false;
        double effect = plain_state_loss(m, with) - plain_state_loss(m, without);
        if (uncertain(&m->edges[e]) && effect > 1e-12)
            sum += (m->edges[e].p - passes[e]) * effect / bridges_of(m, with, e);
    }
    return sum;
}

typedef struct {
    const risk_model *m;
    bool passes[PLAIN_EDGES];
    double *expected, *birnbaum, *by_way;
} enumeration;

static void each_state(enumeration *n, size_t edge, double chance)
{
    const risk_model *m = n->m;
    if (chance == 0)
        return;
    if (edge < m->edge_count) {
        n->passes[edge] = true;
        each_state(n, edge + 1, chance * m->edges[edge].p);
        n->passes[edge] = false;
        each_state(n, edge + 1, chance * (1 - m->edges[edge].p));
        return;
    }
    double loss = plain_state_loss(m, n->passes);
    *n->expected += chance * loss;
    for (size_t c = 0; c < m->edge_count; c++) {
        bool was = n->passes[c];
        n->passes[c] = !was;
        double other = plain_state_loss(m, n->passes);
        n->passes[c] = was;
        n->birnbaum[c] += chance * (was ? loss - other : other - loss);
        if (was && n->by_way)
            n->by_way[c] += chance * plain_state_way(m, n->passes, (int)c);
    }
}

void plain_risk(const risk_model *m, double *expected, double *birnbaum, double *by_way)
{
    enumeration n = {m, {false}, expected, birnbaum, by_way};
    *expected = 0;
    for (size_t c = 0; c < m->edge_count; c++)
        birnbaum[c] = 0;
    for (size_t c = 0; by_way && c < m->edge_count; c++)
        by_way[c] = 0;
    each_state(&n, 0, 1);
}

static double part(dice *d)
{
    return (double)dice_below(d, 1000) / 1000;
}

risk_model plain_random_model(dice *d, plain_wish wish)
{
    int n = 1 + dice_below(d, wish.nodes);
    risk_model m = {.hazard = COAMING_WATER, .level = 3, .node_count = n, .always = -1};
    m.weight = calloc((size_t)n, sizeof *m.weight);
    m.mass = calloc((size_t)n, sizeof *m.mass);
    m.along = calloc((size_t)n, sizeof *m.along);
    m.edges = calloc((size_t)wish.edges + 1, sizeof *m.edges);
    if (dice_below(d, 2))
        m.always = dice_below(d, n);
    int only = dice_below(d, 5) == 0 ? dice_below(d, n) : -1; /* all weight at one node */
    for (int v = 0; v < n; v++) {
        m.along[v] = v;
        m.mass[v] = dice_below(d, 4) ? 10 * part(d) : 0;
        if (only < 0 ? dice_below(d, 3) > 0 : only == v)
            m.weight[v] = 0.001 + part(d);
        m.total_weight += m.weight[v];
    }
    int edges = n > 1 ? dice_below(d, wish.edges + 1) : 0;
    for (int e = 0; e < edges; e++) {
        int u = dice_below(d, n), v = dice_below(d, n - 1), kind = dice_below(d, 6);
        double p = wish.least + (wish.greatest - wish.least) * part(d);
        if (wish.mixed && kind < 2)
            p = kind;
        m.edges[m.edge_count++] = (risk_edge){u, v + (v >= u), e, p};
    }
    return m;
}

void plain_model_free(risk_model *m)
{
    free(m->weight);
    free(m->mass);
    free(m->along);
    free(m->edges);
}
