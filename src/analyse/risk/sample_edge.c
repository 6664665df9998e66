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
 *
 * For that one block the sum over its nodes comes of the blocks on the tree's way between its ends,
 * and of the nodes between two of these: such a node t hangs in the upper block with all below it,
 * and is to be counted without what hangs at the lower block. Summed up from a block to the root
 * this is the block's `path`, so that the way up to any block above is a difference.
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
    int o = s->order[node];
    return o ? s->part[s->part_of[o]] : s->plan->groups[s->plan->group[node]];
}

/* Of a bridge between two components. */
static sample_outcome of_joined(sample_part a, sample_part b)
{
    if (a.always)
        return (sample_outcome){sample_round((1 - b.weight) * b.mass), sample_round(b.mass)};
    if (b.always)
        return (sample_outcome){sample_round((1 - a.weight) * a.mass), sample_round(a.mass)};
    int64_t both = sample_round(a.weight * b.mass + b.weight * a.mass);
    return (sample_outcome){both, both};
}

/* From a node of a block up to below a block above, which stays out. */
static double path_between(const sample_state *s, int order, int upper)
{
    return s->block[s->block_of[order]].path - s->block[upper].path;
}

/* Counts in a way up that ends in a block at the node where the two ways meet. */
static void add_below(const sample_state *s, int order, int last, sample_part *below,
                      double *products)
{
    if (!last)
        return;
    int upper = s->block_of[last];
    below->weight += s->block[upper].weight;
    below->mass += s->block[upper].mass;
    *products += path_between(s, order, upper) + s->block[upper].products;
}

/* u, v: order of two nodes of one component. The one met later is not above the other. */
static double by_merged(const sample_state *s, int u, int v)
{
    int a = u, b = v, last_a = 0, last_b = 0;
    while (a != b)
        if (a > b) {
            last_a = a;
            a = s->up[a];
        } else {
            last_b = b;
            b = s->up[b];
        }
    sample_part all = s->part[s->part_of[u]], below = {0, 0, false};
    double products = 0;
    add_below(s, u, last_a, &below, &products);
    if (last_a && last_b && s->block_of[last_a] == s->block_of[last_b])
        products += path_between(s, v, s->block_of[last_b]); /* they met in a block */
    else
        add_below(s, v, last_b, &below, &products);
    if (all.always)
        return below.mass;
    products += (all.weight - below.weight) * (all.mass - below.mass);
    return fmax(0, all.weight * all.mass - products);
}

static inline sample_outcome outcome_of(const sample_state *s, int edge)
{
    sample_ends at = s->plan->ends[edge];
    int u = s->order[at.u], v = s->order[at.v];
    if (!u || !v || s->part_of[u] != s->part_of[v])
        return of_joined(part_of(s, at.u), part_of(s, at.v));
    int low = u < v ? u : v, high = u < v ? v : u, block = s->block_of[high];
    if (s->up[high] == low || s->block_of[low] == block)
        return (sample_outcome){s->passes[edge] ? s->block_effect[block] : 0, s->block_way[block]};
    return (sample_outcome){0, sample_round(by_merged(s, u, v))};
}

sample_outcome sample_edge(const sample_state *s, int edge)
{
    return outcome_of(s, edge);
}

static inline void add_edge(sample_state *s, int edge, sample_totals t)
{
    sample_outcome o = outcome_of(s, edge);
    sample_ways *w = &s->ways[edge];
    int64_t way = o.by_way - s->plan->base_way[edge];
    w->looks++;
    w->way += way;
    w->way_squared += (risk_wide)way * way;
    w->way_loss += (risk_wide)way * t.loss;
    w->way_control += (risk_wide)way * t.control;
    if (o.effect) {
        s->effects[edge].sum += o.effect;
        s->effects[edge].squared += (risk_wide)o.effect * o.effect;
    }
}

/* Once from the two ends of an edge: from the first, or that which is gone through. */
static void add_node(sample_state *s, int v, bool always, sample_totals t)
{
    const sample_plan *p = s->plan;
    for (int i = p->certain.first[v]; i < p->certain.first[v + 1]; i++)
        if (p->ends[p->certain.arcs[i].edge].u == v)
            add_edge(s, p->certain.arcs[i].edge, t);
    for (int i = p->uncertain.first[v]; !always && i < p->uncertain.first[v + 1]; i++) {
        sample_arc arc = p->uncertain.arcs[i];
        if (p->ends[arc.edge].u == v || !s->order[arc.other] ||
            p->groups[p->group[arc.other]].always)
            add_edge(s, arc.edge, t);
    }
}

static void add_group(sample_state *s, int group, sample_totals t)
{
    const sample_plan *p = s->plan;
    bool always = p->groups[group].always;
    for (int i = p->first_member[group]; i < p->first_member[group + 1]; i++)
        add_node(s, p->member[i], always, t);
    for (int i = 0; i < p->inner_count && always; i++)
        add_edge(s, p->inner[i], t);
}

static void add_all(sample_state *s, sample_totals t)
{
    for (int e = 0; e < s->plan->edges; e++)
        if (s->order[s->plan->ends[e].u] || s->order[s->plan->ends[e].v])
            add_edge(s, e, t);
}

void sample_add_edges(sample_state *s, sample_totals t)
{
    if (2 * s->clock > s->plan->nodes)
        add_all(s, t);
    else
        for (int i = 0; i < s->touched_count; i++)
            add_group(s, s->touched[i], t);
}

void sample_add_up(sample_state *s)
{
    for (int e = 0; e < s->plan->edges; e++) {
        const sample_ways *w = &s->ways[e];
        const sample_effects *f = &s->effects[e];
        risk_edge_sums *sums = &s->tally.sums[e];
        risk_wide base = s->plan->base_effect[e], bases = base * w->looks;
        if (!w->looks)
            continue;
        sums->effect += f->sum - bases;
        sums->effect_squared += f->squared - 2 * base * f->sum + base * bases;
        sums->by_way += w->way;
        sums->by_way_squared += w->way_squared;
        sums->by_way_loss += w->way_loss;
        sums->by_way_control += w->way_control;
        s->ways[e] = (sample_ways){0};
        s->effects[e] = (sample_effects){0};
    }
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
