#include "analyse/risk/blocks.h"

#include "base/memory.h"

/* Of the nodes of a block but the top one, and what hangs on them. */
typedef struct {
    int top;
    bool open;           /* one of them is joined to `always` */
    double weight, mass; /* below the top node */
    double pairs;        /* between different nodes below it: weight times mass */
    double hanging;      /* over the sources below it: weight times the mass that hangs at each */
    double across;       /* over all sources of the component: weight times the mass of that side of
                            the source on which the block is */
    double ways;         /* what its edges share */
} block;

/* A component without `always`. */
typedef struct {
    int root;
    bool joined; /* to `always` */
    double weight, mass, hanging;
} part;

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
    double *hanging;       /* over the sources among these */
    bool *open;            /* one of these is joined to `always` */
    int *block_of;         /* by edge */
    int *up;               /* by node: the block in which it is not the top */
    int *part_of;          /* by node */
    block *blocks;
    part *parts;
    int block_count, part_count;
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
    int **const by_node[] = {&b->number, &b->low,        &b->next, &b->by,
                             &b->path,   &b->open_nodes, &b->up,   &b->part_of};
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
    b->hanging = memory_new(nodes, sizeof *b->hanging);
    b->open = memory_new(nodes, sizeof *b->open);
    b->parts = memory_new(nodes, sizeof *b->parts);
    if (!good || !b->first || !b->incident || !b->open_edges || !b->block_of || !b->blocks ||
        !b->weight || !b->mass || !b->hanging || !b->open || !b->parts) {
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
    void *const all[] = {b->number,     b->low,        b->next,     b->by,      b->path,
                         b->open_nodes, b->open_edges, b->block_of, b->blocks,  b->first,
                         b->incident,   b->weight,     b->mass,     b->hanging, b->open,
                         b->up,         b->part_of,    b->parts};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        memory_free(all[i]);
    memory_free(b);
}

/* Goes down to a node for the first time. */
static void enter(risk_blocks *b, int v, int edge)
{
    b->number[v] = b->low[v] = ++b->visited;
    b->next[v] = b->first[v];
    b->by[v] = edge;
    b->path[b->depth++] = v;
    b->open_nodes[b->open_node_count++] = v;
    b->weight[v] = b->m->weight[v];
    b->mass[v] = b->m->mass[v];
    b->hanging[v] = 0;
    b->open[v] = false;
    b->part_of[v] = b->part_count;
}

/* Everything open since `below` was entered is a block, with `top` as its top node. */
static void close_block(risk_blocks *b, int top, int below)
{
    block *k = &b->blocks[b->block_count];
    int v, e;
    *k = (block){.top = top};
    do {
        v = b->open_nodes[--b->open_node_count];
        b->up[v] = b->block_count;
        k->pairs += k->weight * b->mass[v] + k->mass * b->weight[v];
        k->weight += b->weight[v];
        k->mass += b->mass[v];
        k->hanging += b->hanging[v] + b->m->weight[v] * b->mass[v];
        k->open |= b->open[v];
    } while (v != below);
    do {
        e = b->open_edges[--b->open_edge_count];
        b->block_of[e] = b->block_count;
    } while (e != b->by[below]);
    b->weight[top] += k->weight;
    b->mass[top] += k->mass;
    b->hanging[top] += k->hanging;
    b->open[top] |= k->open;
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

static void follow(risk_blocks *b, int v, int e)
{
    const risk_model *m = b->m;
    int to = m->edges[e].u == v ? m->edges[e].v : m->edges[e].u;
    if (to == m->always) {
        b->open[v] = true;
        return;
    }
    if (e == b->by[v] || b->number[to] > b->number[v])
        return;
    b->open_edges[b->open_edge_count++] = e;
    if (b->number[to] == 0)
        enter(b, to, e);
    else if (b->number[to] < b->low[v])
        b->low[v] = b->number[to];
}

/* The mass on that side of the sources, weighted, on which a node is: at a source itself none. */
static double across_from(const risk_blocks *b, int v)
{
    const part *p = &b->parts[b->part_of[v]];
    double above = v == p->root ? p->weight * p->mass - p->hanging : b->blocks[b->up[v]].across;
    return above - b->m->weight[v] * (p->mass - b->mass[v]);
}

/* Now the whole component is known. Its last block is at its top. */
static void finish_part(risk_blocks *b, const part *p, int first_block)
{
    double elsewhere = b->m->total_weight - p->weight; /* scenarios that start not in it */
    for (int i = b->block_count; i-- > first_block;) {
        block *k = &b->blocks[i];
        k->across = across_from(b, k->top) + b->m->weight[k->top] * k->mass;
        if (!p->joined)
            k->ways =
                k->pairs + k->weight * (p->mass - k->mass) + k->mass * (p->weight - k->weight);
        else if (k->open)
            k->ways = elsewhere * p->mass + k->across;
        else
            k->ways = (b->m->total_weight - k->weight) * k->mass + k->weight * p->mass - k->hanging;
    }
}

/* The component of a root, which is joined to `always` if anything of it is. */
static void search(risk_blocks *b, int root, bool joined, const bool *passes)
{
    int first_block = b->block_count;
    enter(b, root, -1);
    while (b->depth > 0) {
        int v = b->path[b->depth - 1];
        if (b->next[v] == b->first[v + 1]) {
            leave(b);
            continue;
        }
        int e = b->incident[b->next[v]++];
        if (passes[e])
            follow(b, v, e);
    }
    part *p = &b->parts[b->part_count++];
    *p = (part){root, joined, b->weight[root], b->mass[root],
                b->hanging[root] + b->m->weight[root] * b->mass[root]};
    finish_part(b, p, first_block);
}

/* Of an edge from `always` to v. */
static double ways_from_always(const risk_blocks *b, int v)
{
    const part *p = &b->parts[b->part_of[v]];
    return (b->m->total_weight - p->weight) * p->mass + across_from(b, v);
}

void risk_blocks_ways(risk_blocks *b, const bool *passes, double *by_way)
{
    const risk_model *m = b->m;
    int always = m->always;
    b->visited = b->block_count = b->part_count = 0;
    for (int v = 0; v < m->node_count; v++)
        b->number[v] = 0;
    for (int i = always < 0 ? 0 : b->first[always]; always >= 0 && i < b->first[always + 1]; i++) {
        const risk_edge *e = &m->edges[b->incident[i]];
        int v = e->u == always ? e->v : e->u;
        if (passes[b->incident[i]] && b->number[v] == 0)
            search(b, v, true, passes);
    }
    for (int v = 0; v < m->node_count; v++)
        if (b->number[v] == 0 && v != always)
            search(b, v, false, passes);
    for (size_t e = 0; e < m->edge_count; e++) {
        int u = m->edges[e].u, v = m->edges[e].v;
        by_way[e] = !passes[e]                   ? 0
                    : u == always || v == always ? ways_from_always(b, u == always ? v : u)
                                                 : b->blocks[b->block_of[e]].ways;
    }
}
