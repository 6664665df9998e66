/*
 * What one edge has to do with the loss, from the components and blocks of the other edges.
 *
 * w and m are shares of all weight and mass. A component with weight w and mass m loses w m, that
 * of `always` m.
 *
 * An edge that joins components A and B adds w(A) m(B) + w(B) m(A); if A is that of `always`,
 * (1 - w(B)) m(B), for B loses m(B) in all scenarios instead of w(B) of them. The same is lost less
 * without an edge that is a bridge, between its two sides. Other edges have no effect.
 *
 * Ways through the edge: in a block (two nodes and an edge, or a graph that no one node cuts) there
 * is, for any two nodes and any edge, a way from one to the other through the edge that meets no
 * node twice (Whitney, Transactions of the American Mathematical Society 34, 1932; from memory). So
 * a way from s to v can use the edge if s and v hang at different nodes of its block: w m less the
 * sum over the block's nodes a of w(a) m(a), of what hangs at a. From `always`, the root of the
 * search, to all below the block's top: m of the block. An edge that holds, with both ends in one
 * component, would make one block of those on the tree of blocks between its ends; one that holds
 * and would join two components would be a bridge.
 */
#include <math.h>

#include "analyse/risk/sample.h"

/* To the nearest; shares are not negative but for rounding. */
int64_t sample_round(double share)
{
    return (int64_t)(share * (double)RISK_UNIT + 0.5);
}

static sample_part part_of(const sample_state *s, int node)
{
    const sample_node *n = &s->node[node];
    return n->met == s->now ? s->part[n->part] : s->plan->groups[s->plan->group[node]];
}

/* Of a bridge between a part and the rest of the component. */
static sample_outcome of_bridge(double weight, double mass, sample_part rest)
{
    if (rest.always)
        return (sample_outcome){(1 - weight) * mass, mass};
    double both = weight * rest.mass + rest.weight * mass;
    return (sample_outcome){both, both};
}

static sample_outcome of_passing(const sample_state *s, const risk_edge *e)
{
    int deeper = s->node[e->u].order > s->node[e->v].order ? e->u : e->v;
    const sample_block *b = &s->block[s->node[deeper].block];
    sample_part all = s->part[s->node[deeper].part];
    sample_part rest = {all.weight - b->weight, all.mass - b->mass, all.always};
    if (b->bridge)
        return of_bridge(b->weight, b->mass, rest);
    double way =
        all.always ? b->mass : all.weight * all.mass - b->products - rest.weight * rest.mass;
    return (sample_outcome){0, fmax(0, way)};
}

/* A climb up the tree of blocks, from one end of an edge. */
typedef struct {
    int node, last; /* last: block that it came through, -1 at first */
    double products;
} climb;

/* What hangs at the node outside of the block that the climb came through. */
static double hanging(const sample_state *s, const climb *c)
{
    const sample_node *n = &s->node[c->node];
    double weight = n->weight, mass = n->mass;
    if (c->last >= 0) {
        weight -= s->block[c->last].weight;
        mass -= s->block[c->last].mass;
    }
    return weight * mass;
}

/* Counts in a block above the climb's node; the node itself without what it came through. */
static void count_block(const sample_state *s, climb *c)
{
    const sample_node *n = &s->node[c->node];
    c->products += s->block[n->block].products + hanging(s, c) - n->weight * n->mass;
}

static void step_up(const sample_state *s, climb *c)
{
    count_block(s, c);
    c->last = s->node[c->node].block;
    c->node = s->block[c->last].top;
}

/* Order of the top of the block above; -1 at the root. */
static int top_order(const sample_state *s, const climb *c)
{
    int block = s->node[c->node].block;
    return block < 0 ? -1 : s->node[s->block[block].top].order;
}

static double by_merged(const sample_state *s, const risk_edge *e)
{
    climb a = {e->u, -1, 0}, b = {e->v, -1, 0};
    while (a.node != b.node && s->node[a.node].block != s->node[b.node].block)
        /* the block whose top was met later is not above the other */
        step_up(s, top_order(s, &a) >= top_order(s, &b) ? &a : &b);
    sample_part all = s->part[s->node[e->u].part], below = {0, 0, false};
    double products = 0;
    if (a.node != b.node) { /* they met in a block */
        const sample_block *top = &s->block[s->node[a.node].block];
        below = (sample_part){top->weight, top->mass, false};
        count_block(s, &a);
        const sample_node *n = &s->node[b.node];
        products = hanging(s, &b) - n->weight * n->mass;
    } else { /* at a node */
        const climb *ends[] = {&a, &b};
        for (int i = 0; i < 2; i++)
            if (ends[i]->last >= 0) {
                below.weight += s->block[ends[i]->last].weight;
                below.mass += s->block[ends[i]->last].mass;
            }
    }
    if (all.always)
        return below.mass;
    products += a.products + b.products + (all.weight - below.weight) * (all.mass - below.mass);
    return fmax(0, all.weight * all.mass - products);
}

static sample_outcome of_holding(const sample_state *s, const risk_edge *e)
{
    const sample_node *u = &s->node[e->u], *v = &s->node[e->v];
    if (u->met == s->now && v->met == s->now && u->part == v->part)
        return (sample_outcome){0, by_merged(s, e)};
    sample_part a = part_of(s, e->u), b = part_of(s, e->v);
    return a.always ? of_bridge(b.weight, b.mass, a) : of_bridge(a.weight, a.mass, b);
}

sample_outcome sample_edge(const sample_state *s, int edge)
{
    const risk_edge *e = &s->plan->model->edges[edge];
    bool passes = e->p >= 1 || s->pass_at[edge] == s->now;
    return passes ? of_passing(s, e) : of_holding(s, e);
}

void sample_add_edge(sample_state *s, int edge, sample_totals t)
{
    sample_outcome o = sample_edge(s, edge);
    int64_t effect = sample_round(o.effect) - s->plan->base_effect[edge];
    int64_t by_way = sample_round(o.by_way) - s->plan->base_way[edge];
    risk_edge_sums *sums = &s->tally.sums[edge];
    sums->effect += effect;
    sums->effect_squared += (risk_wide)effect * effect;
    sums->by_way += by_way;
    sums->by_way_squared += (risk_wide)by_way * by_way;
    sums->by_way_loss += (risk_wide)by_way * t.loss;
    sums->by_way_control += (risk_wide)by_way * t.control;
}

static double lost(sample_part part)
{
    return part.always ? part.mass : part.weight * part.mass;
}

double sample_loss(const sample_state *s)
{
    double sum = 0;
    for (int i = 0; i < s->part_count; i++)
        sum += lost(s->part[i]);
    for (int i = 0; i < s->touched_count; i++)
        sum -= lost(s->plan->groups[s->touched[i]]);
    return sum;
}
