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

sample_side sample_side_of(sample_part part)
{
    if (part.always)
        return (sample_side){1, 0, 0, 1};
    return (sample_side){part.weight, part.mass, part.weight * part.mass, 0};
}

/* Of a bridge between two components. */
static inline sample_outcome of_joined(const sample_state *s, sample_ends at)
{
    const sample_side *a = &s->sides[s->place[at.u].side], *b = &s->sides[s->place[at.v].side];
    double way = a->weight * b->mass + b->weight * a->mass;
    double before = a->always * b->lost + b->always * a->lost;
    return (sample_outcome){sample_round(way - before), sample_round(way)};
}

/* The tops of the last blocks on the two ways up, from where they meet; block 0 if one of the ends
 * is where they meet. */
typedef struct {
    int at;
    const sample_block *one, *other;
} meeting;

/* That which stands at the node met later goes on, for it is not above the other. */
static meeting climb(const sample_state *s, int u, int v)
{
    int high = u, low = v, last_high = 0, last_low = 0;
    while (high != low) {
        bool turn = high < low;
        int up = turn ? low : high, last = turn ? last_high : last_low;
        low = turn ? high : low;
        high = s->step[up].up;
        last_high = up;
        last_low = last;
    }
    return (meeting){high, &s->block[s->step[last_high].block], &s->block[s->step[last_low].block]};
}

/* Of an edge that would make one block of those between its ends. Block 0 has nothing of all. */
static inline sample_outcome of_climbing(const sample_state *s, sample_ends at)
{
    int u = s->place[at.u].order, v = s->place[at.v].order;
    meeting met = climb(s, u, v);
    double paths = (u != met.at) * s->block[s->step[u].block].path +
                   (v != met.at) * s->block[s->step[v].block].path - met.one->path -
                   met.other->path;
    const sample_block *also = met.one == met.other ? &s->block[0] : met.other;
    sample_part all = s->part[s->part_of[u]];
    double weight = all.weight - met.one->weight - also->weight;
    double below = met.one->mass + also->mass;
    if (all.always)
        return (sample_outcome){0, sample_round(below)};
    double products = paths + met.one->products + also->products + weight * (all.mass - below);
    return (sample_outcome){0, sample_round(fmax(0, all.weight * all.mass - products))};
}

static inline sample_outcome of_block(const sample_state *s, sample_ends at, bool effect)
{
    int u = s->place[at.u].order, v = s->place[at.v].order, block = s->step[u > v ? u : v].block;
    return (sample_outcome){effect ? s->block_effect[block] : 0, s->block_way[block]};
}

/* Without branches, for nothing foresees them. */
static inline edge_kind kind_of(const sample_state *s, int edge)
{
    sample_ends at = s->plan->ends[edge];
    sample_place u = s->place[at.u], v = s->place[at.v];
    int low = u.order < v.order ? u.order : v.order, high = u.order < v.order ? v.order : u.order;
    sample_step below = s->step[high];
    int in_block = (below.up == low) | (below.block == s->step[low].block);
    int bridge = s->passes[edge] & s->is_bridge[below.block];
    int joins = u.side != v.side;
    int within = EDGE_CLIMBS - in_block * (EDGE_CLIMBS - EDGE_IN_BLOCK - bridge);
    return (edge_kind)((high != 0) * (within - joins * (within - EDGE_JOINS)));
}

static inline sample_outcome outcome_of(const sample_state *s, int edge, edge_kind kind)
{
    sample_ends at = s->plan->ends[edge];
    switch (kind) {
    case EDGE_JOINS:
        return of_joined(s, at);
    case EDGE_CLIMBS:
        return of_climbing(s, at);
    default:
        return of_block(s, at, kind == EDGE_BRIDGE);
    }
}

sample_outcome sample_edge(const sample_state *s, int edge)
{
    return outcome_of(s, edge, kind_of(s, edge));
}

/* Edges are sorted by kind first: each loop then does one thing, and foresees its branches. */

static inline void sort_edge(sample_state *s, int edge)
{
    edge_kind kind = kind_of(s, edge);
    s->kinds[(size_t)kind * (size_t)s->plan->edges + (size_t)s->kind_count[kind]++] = edge;
}

/* Once from the two ends of an edge: from the first, or that which is gone through. */
static void sort_node(sample_state *s, int v, bool always)
{
    const sample_plan *p = s->plan;
    for (int i = p->certain.first[v]; i < p->certain.first[v + 1]; i++)
        if (p->ends[p->certain.arcs[i].edge].u == v)
            sort_edge(s, p->certain.arcs[i].edge);
    for (int i = p->uncertain.first[v]; !always && i < p->uncertain.first[v + 1]; i++) {
        sample_arc arc = p->uncertain.arcs[i];
        if (p->ends[arc.edge].u == v || !s->place[arc.other].order ||
            p->groups[p->group[arc.other]].always)
            sort_edge(s, arc.edge);
    }
}

static void sort_group(sample_state *s, int group)
{
    const sample_plan *p = s->plan;
    bool always = p->groups[group].always;
    for (int i = p->first_member[group]; i < p->first_member[group + 1]; i++)
        sort_node(s, p->member[i], always);
    for (int i = 0; i < p->inner_count && always; i++)
        sort_edge(s, p->inner[i]);
}

static inline void add_kind(sample_state *s, edge_kind kind, sample_totals t)
{
    const int *edges = s->kinds + (size_t)kind * (size_t)s->plan->edges;
    for (int i = 0; i < s->kind_count[kind]; i++) {
        int e = edges[i];
        sample_outcome o = outcome_of(s, e, kind);
        sample_ways *w = &s->ways[e];
        int64_t way = o.by_way - s->plan->base_way[e];
        w->looks++;
        w->way += way;
        w->way_squared += (risk_wide)way * way;
        w->way_loss += (risk_wide)way * t.loss;
        w->way_control += (risk_wide)way * t.control;
        if (kind == EDGE_JOINS || kind == EDGE_BRIDGE) {
            s->effects[e].sum += o.effect;
            s->effects[e].squared += (risk_wide)o.effect * o.effect;
        }
    }
}

void sample_add_edges(sample_state *s, sample_totals t)
{
    for (int k = 0; k < EDGE_KINDS; k++)
        s->kind_count[k] = 0;
    if (2 * s->clock > s->plan->nodes)
        for (int e = 0; e < s->plan->edges; e++)
            sort_edge(s, e);
    else
        for (int i = 0; i < s->touched_count; i++)
            sort_group(s, s->touched[i]);
    add_kind(s, EDGE_JOINS, t);
    add_kind(s, EDGE_IN_BLOCK, t);
    add_kind(s, EDGE_BRIDGE, t);
    add_kind(s, EDGE_CLIMBS, t);
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
