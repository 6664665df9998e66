#include "analyse/risk/blocks.h"

#include "base/memory.h"

/* Loss of pairs that a block parts: those of its nodes but the top one, and what hangs on them. */
typedef struct {
    double weight, mass; /* below the top node */
    double pairs;        /* between different nodes below it */
} block;

struct risk_blocks {
    const risk_model *m;
    int *first, *incident;        /* edges at each node: incident[first[v] .. first[v+1]) */
    int *number;                  /* order of first visit from 1; 0: not yet */
    int *low;                     /* least number reached from below by one edge back */
    int *next;                    /* incident edges from here on are still to be looked at */
    int *by;                      /* edge by which a node was first reached; -1: none */
    int *path;                    /* nodes from the root down to where the search stands */
    int *open_nodes, *open_edges; /* seen, and not yet in a block */
    int depth, open_node_count, open_edge_count, visited;
    double *weight, *mass; /* of a node and of what has been found to hang below it */
    int *block_of;         /* by edge */
    block *blocks;
    int block_count;
};

static void connect(risk_blocks *b)
{
    const risk_model *m = b->m;
    for (size_t e = 0; e < m->edge_count; e++) {
        b->first[m->edges[e].u + 1]++;
        b->first[m->edges[e].v + 1]++;
    }
    for (int v = 0; v < m->node_count; v++) {
        b->first[v + 1] += b->first[v];
        b->next[v] = b->first[v];
    }
    for (size_t e = 0; e < m->edge_count; e++) {
        b->incident[b->next[m->edges[e].u]++] = (int)e;
        b->incident[b->next[m->edges[e].v]++] = (int)e;
    }
}

risk_blocks *risk_blocks_new(const risk_model *m)
{
    risk_blocks *b = memory_new(1, sizeof *b);
    if (!b)
        return NULL;
    size_t nodes = (size_t)m->node_count, edges = m->edge_count;
    int **const by_node[] = {&b->number, &b->low, &b->next, &b->by, &b->path, &b->open_nodes};
    bool good = true;
    for (size_t i = 0; i < sizeof by_node / sizeof *by_node; i++)
        good = (*by_node[i] = memory_new(nodes, sizeof **by_node[i])) && good;
    b->m = m;
    b->first = memory_new(nodes + 1, sizeof *b->first);
    b->incident = memory_new(2 * edges, sizeof *b->incident);
    b->open_edges = memory_new(edges, sizeof *b->open_edges);
    b->block_of = memory_new(edges, sizeof *b->block_of);
    b->blocks = memory_new(edges, sizeof *b->blocks);
    b->weight = memory_new(nodes, sizeof *b->weight);
    b->mass = memory_new(nodes, sizeof *b->mass);
    if (!good || !b->first || !b->incident || !b->open_edges || !b->block_of || !b->blocks ||
        !b->weight || !b->mass) {
        risk_blocks_free(b);
        return NULL;
    }
    connect(b);
    return b;
}

void risk_blocks_free(risk_blocks *b)
{
    if (!b)
        return;
    void *const all[] = {b->number,     b->low,        b->next,     b->by,     b->path,
                         b->open_nodes, b->open_edges, b->block_of, b->blocks, b->first,
                         b->incident,   b->weight,     b->mass};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        memory_free(all[i]);
    memory_free(b);
}

/* Goes down to a node for the first time. */
static void enter(risk_blocks *b, int v, int edge, double weight)
{
    b->number[v] = b->low[v] = ++b->visited;
    b->next[v] = b->first[v];
    b->by[v] = edge;
    b->path[b->depth++] = v;
    b->open_nodes[b->open_node_count++] = v;
    b->weight[v] = weight;
    b->mass[v] = b->m->mass[v];
}

/* Everything open since `below` was entered is a block, with `top` as its top node. */
static void close_block(risk_blocks *b, int top, int below)
{
    block *k = &b->blocks[b->block_count];
    int v, e;
    *k = (block){0};
    do {
        v = b->open_nodes[--b->open_node_count];
        k->pairs += k->weight * b->mass[v] + k->mass * b->weight[v];
        k->weight += b->weight[v];
        k->mass += b->mass[v];
    } while (v != below);
    do {
        e = b->open_edges[--b->open_edge_count];
        b->block_of[e] = b->block_count;
    } while (e != b->by[below]);
    b->weight[top] += k->weight;
    b->mass[top] += k->mass;
    b->block_count++;
}

/* Goes back up from the lowest node of the path. */
static void leave(risk_blocks *b)
{
    int v = b->path[--b->depth];
    if (b->depth == 0) {
        b->open_node_count = 0; /* the root: every edge has its block */
        return;
    }
    int up = b->path[b->depth - 1];
    if (b->low[v] < b->low[up])
        b->low[up] = b->low[v];
    if (b->low[v] >= b->number[up])
        close_block(b, up, v);
}

/* The component of a root; `only_root`: no other node of it is a source. */
static void search(risk_blocks *b, int root, bool only_root, const bool *passes)
{
    const risk_model *m = b->m;
    int first_block = b->block_count;
    enter(b, root, -1, only_root ? m->total_weight : m->weight[root]);
    while (b->depth > 0) {
        int v = b->path[b->depth - 1];
        if (b->next[v] == b->first[v + 1]) {
            leave(b);
            continue;
        }
        int e = b->incident[b->next[v]++];
        int to = m->edges[e].u == v ? m->edges[e].v : m->edges[e].u;
        if (!passes[e] || e == b->by[v] || b->number[to] > b->number[v])
            continue;
        b->open_edges[b->open_edge_count++] = e;
        if (b->number[to] == 0)
            enter(b, to, e, only_root ? 0 : m->weight[to]);
        else if (b->number[to] < b->low[v])
            b->low[v] = b->number[to];
    }
    for (int k = first_block; k < b->block_count; k++) { /* now the whole component is known */
        block *at = &b->blocks[k];
        at->pairs += at->weight * (b->mass[root] - at->mass);
        at->pairs += at->mass * (b->weight[root] - at->weight);
    }
}

void risk_blocks_ways(risk_blocks *b, const bool *passes, double *by_way)
{
    const risk_model *m = b->m;
    b->visited = b->block_count = 0;
    for (int v = 0; v < m->node_count; v++)
        b->number[v] = 0;
    if (m->always >= 0)
        search(b, m->always, true, passes);
    for (int v = 0; v < m->node_count; v++)
        if (b->number[v] == 0)
            search(b, v, false, passes);
    for (size_t e = 0; e < m->edge_count; e++)
        by_way[e] = passes[e] ? b->blocks[b->block_of[e]].pairs : 0;
}
