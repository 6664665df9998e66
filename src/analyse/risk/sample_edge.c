/*
 * What one edge has to do with the loss, from the components and blocks of the other edges.
 *
 * w and m are shares of all weight and mass. A component with weight w and mass m loses w m, one
 * that is joined to `always` m.
 *
 * An edge that joins components A and B adds w(A) m(B) + w(B) m(A); if A is joined to `always`, or
 * is `always`, (1 - w(B)) m(B), for B loses m(B) in all scenarios instead of w(B) of them; if both
 * are, nothing. The same is lost less without an edge that is a bridge, between its two sides; an
 * edge to `always` is one where it is the only one of its component. Other edges have no effect.
 *
 * Ways through the edge: in a block (two nodes and an edge, or a graph that no one node cuts) there
 * is, for any two nodes and any edge, a way from one to the other through the edge that meets no
 * node twice (Whitney, Transactions of the American Mathematical Society 34, 1932; from memory). So
 * a way from s to v can use the edge if s and v hang at different nodes of its block: w m less the
 * sum over the block's nodes a of w(a) m(a), of what hangs at a. An edge that holds, with both ends
 * in one component, would make one block of those on the tree of blocks between its ends; one that
 * holds and would join two components would be a bridge.
 *
 * For that one block the sum over its nodes comes of the blocks on the tree's way between its ends,
 * and of the nodes between two of these: such a node t hangs in the upper block with all below it,
 * and is to be counted without what hangs at the lower block. Summed up from a block to the root
 * this is the block's `path`, so that the way up to any block above is a difference.
 *
 * In a component that is joined to `always` (blocks.h), a block that hangs has ways to its m from
 * all that starts elsewhere, and from each source in it to all mass but what hangs at the source;
 * `hanging` is the sum of the latter. The other blocks have ways to all mass from what starts
 * elsewhere; and from each source, weighted, to that side of it on which they are: this sum is
 * `across`, and of a node, which has no side of itself, `near`. An edge that would join two
 * components has for a source in one of them that side on which its end is, and all of the other
 * component if that is joined to `always`, or this one is not.
 *
 * For an edge that would make one block: from one end u to the other, each node on the way at which
 * u's side was counted has also that towards the other end. Up to where the two ways meet this is
 * the mass above the node, from there down that of the block below it: `above` and `down` are such
 * sums up to the root. If the block hangs, what the nodes between its parts have hanging at them is
 * less by the mass of the lower part, which is what `down` sums up.
 *
 * The loss of a sample is not what is lost in it, but the expectation of that over the state of an
 * edge, the others as drawn (conditional Monte Carlo, as the effect of each edge is), spread over
 * the edges: to what is lost, each uncertain edge adds (p - 1 if it passes, else p) times its
 * effect over the number of uncertain bridges that its component has if it passes, and it is one of
 * these. No term but p and 1 depends on the edge's own state, so that each has a mean of 0. What
 * only two leaks together bring is so counted where either of them is drawn: the same samples that
 * give the edges their effects.
 */
#include <math.h>

#include "analyse/risk/sample.h"

/* To the nearest; shares are not negative but for rounding. */
int64_t sample_round(double share)
{
    return (int64_t)(share * (double)RISK_UNIT + 0.5);
}

static inline double near_of(const sample_state *s, int node)
{
    int order = s->place[node].order;
    return order ? s->near[order] : s->plan->near[node];
}

/* What is lost more if a component is joined to `always`, and what is lost by ways to it and out of
 * it then: beyond it is this mass. */
static inline sample_outcome of_outside(const sample_state *s, const sample_part *part, int end,
                                        double beyond)
{
    double effect = (1 - part->weight) * part->mass;
    double way = effect + part->weight * beyond + near_of(s, end);
    return (sample_outcome){sample_round(effect), sample_round(fmax(0, way))};
}

/* Of a bridge between two components, or between one and `always`. */
static inline sample_outcome of_joined(const sample_state *s, int edge)
{
    sample_ends at = s->plan->ends[edge];
    const sample_part *a = &s->sides[s->place[at.u].side];
    if (at.v == s->plan->always) {
        sample_outcome o = of_outside(s, a, at.u, 0);
        bool only = a->links == s->passes[edge];
        return (sample_outcome){only ? o.effect : 0, o.by_way};
    }
    const sample_part *b = &s->sides[s->place[at.v].side];
    if (a->links && b->links) {
        double way = (1 - a->weight) * a->mass + near_of(s, at.u) + (1 - b->weight) * b->mass +
                     near_of(s, at.v);
        return (sample_outcome){0, sample_round(fmax(0, way))};
    }
    if (a->links)
        return of_outside(s, b, at.v, a->mass);
    if (b->links)
        return of_outside(s, a, at.u, b->mass);
    int64_t way = sample_round(a->weight * b->mass + b->weight * a->mass);
    return (sample_outcome){way, way};
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

/* In a component that is joined to `always`; below: of the block that would be made. */
static double climbing_outside(const sample_state *s, sample_ends at, meeting met,
                               const sample_part *all, const sample_block *below)
{
    int u = s->place[at.u].order, v = s->place[at.v].order;
    double down_u = (u != met.at) * s->block[s->step[u].block].down;
    double down_v = (v != met.at) * s->block[s->step[v].block].down;
    if (!below->links) {
        double hanging = below->hanging - (down_u + down_v - met.one->down - met.other->down);
        return (1 - below->weight) * below->mass + below->weight * all->mass - hanging;
    }
    double above = (u != met.at) * (s->above[u] - s->above[met.at]);
    /* where both ways end in one block, the node where it hangs is not between them */
    const sample_block *last = met.one == met.other ? met.one : &s->block[s->step[met.at].block];
    double down = v == met.at ? 0 : down_v - last->down;
    return (1 - all->weight) * all->mass + s->near[u] + above + down;
}

/* Of an edge that would make one block of those between its ends. Block 0 has nothing of all. */
static inline sample_outcome of_climbing(const sample_state *s, sample_ends at)
{
    int u = s->place[at.u].order, v = s->place[at.v].order;
    meeting met = climb(s, u, v);
    const sample_block *also = met.one == met.other ? &s->block[0] : met.other;
    const sample_part *all = &s->sides[s->part_of[u]];
    sample_block below = {.links = met.one->links + also->links,
                          .weight = met.one->weight + also->weight,
                          .mass = met.one->mass + also->mass,
                          .hanging = met.one->hanging + also->hanging};
    if (all->links)
        return (sample_outcome){0,
                                sample_round(fmax(0, climbing_outside(s, at, met, all, &below)))};
    double paths = (u != met.at) * s->block[s->step[u].block].path +
                   (v != met.at) * s->block[s->step[v].block].path - met.one->path -
                   met.other->path;
    double products = paths + met.one->products + also->products +
                      (all->weight - below.weight) * (all->mass - below.mass);
    return (sample_outcome){0, sample_round(fmax(0, all->weight * all->mass - products))};
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
        return of_joined(s, edge);
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
static void sort_node(sample_state *s, int v)
{
    const sample_plan *p = s->plan;
    for (int i = p->certain.first[v]; i < p->certain.first[v + 1]; i++)
        if (p->ends[p->certain.arcs[i].edge].u == v)
            sort_edge(s, p->certain.arcs[i].edge);
    for (int i = p->others.first[v]; i < p->others.first[v + 1]; i++) {
        sample_arc arc = p->others.arcs[i];
        if (p->ends[arc.edge].u == v || !s->place[arc.other].order)
            sort_edge(s, arc.edge);
    }
}

static void sort_group(sample_state *s, int group)
{
    const sample_plan *p = s->plan;
    for (int i = p->first_member[group]; i < p->first_member[group + 1]; i++)
        sort_node(s, p->member[i]);
}

static void find_kind(sample_state *s, edge_kind kind)
{
    size_t from = (size_t)kind * (size_t)s->plan->edges;
    for (int i = 0; i < s->kind_count[kind]; i++)
        s->found[from + (size_t)i] = outcome_of(s, s->kinds[from + (size_t)i], kind);
}

void sample_look(sample_state *s)
{
    for (int k = 0; k < EDGE_KINDS; k++)
        s->kind_count[k] = 0;
    if (2 * s->clock > s->plan->nodes)
        for (int e = 0; e < s->plan->edges; e++)
            sort_edge(s, e);
    else
        for (int i = 0; i < s->touched_count; i++)
            sort_group(s, s->touched[i]);
    for (int k = EDGE_JOINS; k < EDGE_KINDS; k++)
        find_kind(s, (edge_kind)k);
}

/* Uncertain bridges of an edge's component if it passes, itself among them. */
static int bridges_with(const sample_state *s, int edge, edge_kind kind)
{
    sample_ends at = s->plan->ends[edge];
    int bridges = s->sides[s->place[at.u].side].bridges;
    if (kind == EDGE_BRIDGE)
        return bridges;
    if (at.v == s->plan->always)
        return bridges + !s->passes[edge];
    return bridges + s->sides[s->place[at.v].side].bridges + 1;
}

/* What the edges of a kind that have an effect add to the loss, less what they add in the base
 * state; in units. */
static double expected_of(const sample_state *s, edge_kind kind)
{
    size_t from = (size_t)kind * (size_t)s->plan->edges;
    double sum = 0;
    for (int i = 0; i < s->kind_count[kind]; i++) {
        int e = s->kinds[from + (size_t)i];
        double p = s->plan->model->edges[e].p, effect = (double)s->found[from + (size_t)i].effect;
        if (!s->plan->chance[e])
            continue;
        sum -= p * (double)s->plan->base_effect[e];
        if (effect > 0)
            sum += (p - s->passes[e]) * effect / bridges_with(s, e, kind);
    }
    return sum;
}

double sample_expected(const sample_state *s)
{
    double sum = 0;
    for (int k = EDGE_JOINS; k < EDGE_KINDS; k++)
        sum += expected_of(s, (edge_kind)k);
    return sum;
}

static inline void add_kind(sample_state *s, edge_kind kind, sample_totals t)
{
    size_t from = (size_t)kind * (size_t)s->plan->edges;
    for (int i = 0; i < s->kind_count[kind]; i++) {
        int e = s->kinds[from + (size_t)i];
        sample_outcome o = s->found[from + (size_t)i];
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
    for (int k = EDGE_JOINS; k < EDGE_KINDS; k++)
        add_kind(s, (edge_kind)k, t);
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

double sample_lost(const sample_part *part)
{
    return part->links ? part->mass : part->weight * part->mass;
}

double sample_loss(const sample_state *s)
{
    double sum = 0;
    for (int i = 0; i < s->part_count; i++)
        sum += sample_lost(&s->sides[i]);
    for (int i = 0; i < s->touched_count; i++)
        sum -= sample_lost(&s->plan->groups[s->touched[i]]);
    return sum;
}
