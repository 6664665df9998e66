/* All states one by one: the plain way, for small models and as the oracle of the other methods. */
#include "analyse/risk/blocks.h"
#include "analyse/risk/sums.h"
#include "base/memory.h"

enum { NONE = -1 };

typedef struct {
    const risk_model *m;
    risk_blocks *blocks;
    bool *passes; /* by edge, in the state at hand */
    double *ways; /* by edge, in the state at hand */
    int *parent;
    double *weight, *mass; /* of components, at their roots */
    int *uncertain;        /* edges with 0 < p < 1 */
    int uncertain_count;
} enumeration;

static int root_of(int *parent, int v)
{
    while (parent[v] != v)
        v = parent[v] = parent[parent[v]];
    return v;
}

static void join_all(enumeration *n)
{
    const risk_model *m = n->m;
    for (int v = 0; v < m->node_count; v++) {
        n->parent[v] = v;
        n->weight[v] = m->weight[v];
        n->mass[v] = m->mass[v];
    }
    for (size_t e = 0; e < m->edge_count; e++) {
        int a = root_of(n->parent, m->edges[e].u), b = root_of(n->parent, m->edges[e].v);
        if (!n->passes[e] || a == b)
            continue;
        n->parent[b] = a;
        n->weight[a] += n->weight[b];
        n->mass[a] += n->mass[b];
    }
}

static double loss_of(enumeration *n)
{
    int always = n->m->always >= 0 ? root_of(n->parent, n->m->always) : NONE;
    double sum = 0;
    for (int v = 0; v < n->m->node_count; v++)
        if (n->parent[v] == v)
            sum += (v == always ? n->m->total_weight : n->weight[v]) * n->mass[v];
    return sum;
}

/* What an edge that holds would add to the loss if it passed. */
static double added_by(enumeration *n, const risk_edge *e)
{
    int always = n->m->always >= 0 ? root_of(n->parent, n->m->always) : NONE;
    int a = root_of(n->parent, e->u), b = root_of(n->parent, e->v);
    if (a == b)
        return 0;
    if (a == always)
        return (n->m->total_weight - n->weight[b]) * n->mass[b];
    if (b == always)
        return (n->m->total_weight - n->weight[a]) * n->mass[a];
    return n->weight[a] * n->mass[b] + n->weight[b] * n->mass[a];
}

/* Sets the edges to a state, numbered by the bits of uncertain edges; returns its probability. */
static double set_state(enumeration *n, size_t state)
{
    double probability = 1;
    for (int i = 0; i < n->uncertain_count; i++) {
        bool passes = state >> i & 1;
        double p = n->m->edges[n->uncertain[i]].p;
        n->passes[n->uncertain[i]] = passes;
        probability *= passes ? p : 1 - p;
    }
    return probability;
}

static void sum_states(enumeration *n, double *expected, double *birnbaum, double *by_way)
{
    for (size_t state = 0; state >> n->uncertain_count == 0; state++) {
        double probability = set_state(n, state);
        join_all(n);
        *expected += probability * loss_of(n);
        risk_blocks_ways(n->blocks, n->passes, n->ways);
        for (size_t e = 0; e < n->m->edge_count; e++) {
            const risk_edge *edge = &n->m->edges[e];
            by_way[e] += probability * n->ways[e];
            if (!n->passes[e]) /* the other edges' states, without this one's share */
                birnbaum[e] += probability / (1 - edge->p) * added_by(n, edge);
        }
    }
}

/* Birnbaum of an edge that always passes: it is made to hold. */
static double without(enumeration *n, size_t e)
{
    double sum = 0;
    n->passes[e] = false;
    for (size_t state = 0; state >> n->uncertain_count == 0; state++) {
        double probability = set_state(n, state);
        join_all(n);
        sum += probability * added_by(n, &n->m->edges[e]);
    }
    n->passes[e] = true;
    return sum;
}

bool risk_enumerate(const risk_model *m, double *expected, double *birnbaum, double *by_way)
{
    size_t nodes = (size_t)m->node_count, edges = m->edge_count;
    enumeration n = {.m = m,
                     .blocks = risk_blocks_new(m),
                     .passes = memory_new(edges, sizeof *n.passes),
                     .ways = memory_new(edges, sizeof *n.ways),
                     .parent = memory_new(nodes, sizeof *n.parent),
                     .weight = memory_new(nodes, sizeof *n.weight),
                     .mass = memory_new(nodes, sizeof *n.mass),
                     .uncertain = memory_new(edges, sizeof *n.uncertain)};
    bool good = n.blocks && n.passes && n.ways && n.parent && n.weight && n.mass && n.uncertain;
    if (good) {
        *expected = 0;
        for (size_t e = 0; e < edges; e++) {
            birnbaum[e] = by_way[e] = 0;
            n.passes[e] = m->edges[e].p >= 1;
            if (m->edges[e].p > 0 && m->edges[e].p < 1)
                n.uncertain[n.uncertain_count++] = (int)e;
        }
        sum_states(&n, expected, birnbaum, by_way);
        for (size_t e = 0; e < edges; e++)
            if (m->edges[e].p >= 1)
                birnbaum[e] = without(&n, e);
    }
    risk_blocks_free(n.blocks);
    void *const all[] = {n.passes, n.ways, n.parent, n.weight, n.mass, n.uncertain};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        memory_free(all[i]);
    return good;
}
