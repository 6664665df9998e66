/*
 * Lines are nested: let a place's level be the number of the first line that gives it up. For line i
 * what has a level up to i is lost, and all that is joined to it over closures that pass. One graph
 * serves all lines: what lies inside a line may pass or not, it is lost anyhow.
 *
 * Exact: the edges stay the same from line to line and only their chances change (1 inside a line, so
 * that all of it is one with the sources), so one order of the frontier serves all.
 *
 * Sampled: an edge may pass beyond a line and not as a part of it (who holds the line shuts it). Such
 * an edge, in a state that has it so, is shut for the lines from its lower level on, and open for
 * those nearer. So lines are gone through from far to near, where edges only ever open and what is
 * joined is only ever joined to more: one union-find a state, whatever the number of lines. What
 * each set of joined places weighs is kept at the least level in it.
 */
#include "analyse/hold/beyond.h"

#include <math.h>

#include "analyse/ranking/loss.h"
#include "analyse/risk/exact.h"
#include "analyse/risk/sample.h"
#include "base/error.h"
#include "base/hash.h"
#include "base/memory.h"
#include "ship/inside.h"
#include "ship/state.h"

typedef struct {
    int u, v; /* nodes */
    int link;
    double in_line, beyond; /* that it passes; in_line is never the greater */
    uint64_t below[2];      /* whole numbers of 64 bits below these are those of in_line, beyond */
    int level;              /* the lower level of its two ends */
    int next;               /* of those that wait to open, -1: the last */
} beyond_edge;

typedef struct {
    const net *n;
    coaming_hold_answer *answer;
    int lines, places, nodes;
    int *place_level; /* by place */
    int *node;        /* by place, -1: the hazard does not get there; 0: the sources */
    int *level;       /* by node; `lines` if no line gives it up */
    double *mass, *along;
    beyond_edge *edges;
    size_t edge_count;
    /* one state */
    int *parent, *waiting; /* by node; by level */
    double *bucket;        /* by level: what hangs together with it and with nothing nearer */
    int *least;            /* by root: its level */
    double *weighs;        /* by root */
    double reached;        /* what the line `now` loses; now -1: not asked */
    int now;
    double *sum, *square; /* by line: what is lost beyond it */
} beyond;

static void beyond_free(beyond *b)
{
    void *const all[] = {b->place_level, b->node,   b->level,   b->mass,   b->along,
                         b->edges,       b->parent, b->waiting, b->bucket, b->least,
                         b->weighs,      b->sum,    b->square};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        memory_free(all[i]);
}

static bool beyond_room(beyond *b)
{
    size_t places = (size_t)b->places, lines = (size_t)b->lines + 1;
    b->place_level = memory_new(places, sizeof *b->place_level);
    b->node = memory_new(places, sizeof *b->node);
    b->level = memory_new(places, sizeof *b->level);
    b->mass = memory_new(places, sizeof *b->mass);
    b->along = memory_new(places, sizeof *b->along);
    b->edges = memory_new(b->n->ship->closure_count, sizeof *b->edges);
    b->parent = memory_new(places, sizeof *b->parent);
    b->waiting = memory_new(lines, sizeof *b->waiting);
    b->bucket = memory_new(lines, sizeof *b->bucket);
    b->least = memory_new(places, sizeof *b->least);
    b->weighs = memory_new(places, sizeof *b->weighs);
    b->sum = memory_new(lines, sizeof *b->sum);
    b->square = memory_new(lines, sizeof *b->square);
    return b->place_level && b->node && b->level && b->mass && b->along && b->edges && b->parent &&
           b->waiting && b->bucket && b->least && b->weighs && b->sum && b->square;
}

/* Levels, and the sums of what each line gives up. */
static void take_lines(beyond *b)
{
    const coaming_ship *ship = b->n->ship;
    int outside = net_number(b->n, NET_OUTSIDE);
    for (int i = 0; i < outside; i++)
        b->place_level[i] = b->lines;
    b->place_level[outside] = b->n->outside ? 0 : b->lines;
    for (int i = b->lines - 1; i >= 0; i--) {
        coaming_hold_line *line = &b->answer->lines[i];
        line->worth = line->people = 0;
        for (size_t k = 0; k < line->given_up_count; k++) {
            int space = line->given_up[k];
            b->place_level[space] = i;
            line->worth += ship->spaces[space].worth;
            line->people += ship->spaces[space].people;
        }
    }
}

static double middle_along(const ship_space *s)
{
    static const double along[3] = {1, 0, 0};
    double least, greatest;
    space_extent_along(s, along, &least, &greatest);
    return (least + greatest) / 2;
}

/* Nodes: the sources together, and other places that passages join. */
static void number_nodes(beyond *b)
{
    const net *n = b->n;
    int ends[2], first = -1, outside = net_number(n, NET_OUTSIDE);
    for (int i = 0; i < b->places; i++)
        b->parent[i] = i;
    for (int i = 0; i < b->places; i++)
        if (net_is_source(n, i) || (i != outside && n->begins[i])) { /* a dry one is lost too */
            first = first < 0 ? i : first;
            b->parent[i] = first;
        }
    for (size_t l = n->ship->closure_count; l < n->ship->link_count; l++)
        if (net_ends(n, l, ends))
            b->parent[net_root(b->parent, ends[0])] = net_root(b->parent, ends[1]);
    for (int i = 0; i < b->places; i++)
        b->node[i] = -1;
    b->nodes = 0;
    if (first >= 0)
        b->node[net_root(b->parent, first)] = b->nodes++;
    for (int i = 0; i < b->places; i++) {
        int root = net_root(b->parent, i);
        if (b->node[root] < 0)
            b->node[root] = b->nodes++;
    }
    for (int k = 0; k < b->nodes; k++)
        b->level[k] = b->lines;
    for (int i = 0; i < b->places; i++) {
        int k = b->node[i] = b->node[net_root(b->parent, i)];
        b->level[k] = b->place_level[i] < b->level[k] ? b->place_level[i] : b->level[k];
        if (i == outside)
            continue;
        b->mass[k] += net_worth(n, i);
        b->along[k] = middle_along(&n->ship->spaces[i]);
    }
    b->along[0] = n->outside ? -INFINITY : b->along[0];
}

/* A whole number of 64 bits is below this with the given chance; of 1 one in 2^64 is not. */
static uint64_t below_for(double chance)
{
    return chance >= 1 ? UINT64_MAX : (uint64_t)ldexp(chance, 64);
}

static void find_edges(beyond *b)
{
    const net *n = b->n;
    int ends[2];
    for (size_t l = 0; l < n->ship->closure_count; l++) {
        if (!net_ends(n, l, ends) || b->node[ends[0]] == b->node[ends[1]])
            continue;
        int u = b->node[ends[0]], v = b->node[ends[1]];
        bool open = link_state_as_built(&n->ship->links[l], n->condition, n->hazard) == LINK_PASSES;
        double in_line = net_leak(n, l), alone = open ? 1 : n->leaks[l];
        b->edges[b->edge_count++] =
            (beyond_edge){.u = u,
                          .v = v,
                          .link = (int)l,
                          .in_line = in_line,
                          .beyond = alone,
                          .below = {below_for(in_line), below_for(alone)},
                          .level = b->level[u] < b->level[v] ? b->level[u] : b->level[v],
                          .next = -1};
    }
}

/* Exact */

/* The chances of the edges as a line has them. */
static void fill_chances(const beyond *b, int line, risk_model *m)
{
    for (size_t e = 0; e < b->edge_count; e++) {
        const beyond_edge *edge = &b->edges[e];
        bool u = b->level[edge->u] <= line, v = b->level[edge->v] <= line;
        m->edges[e].p = u && v ? 1 : u || v ? edge->in_line : edge->beyond;
    }
}

static coaming_status exact_lines(const beyond *b, risk_model *m, double *birnbaum, bool *done,
                                  coaming_error *error)
{
    exact_plan order;
    uint64_t left = BEYOND_WORK;
    coaming_status status = COAMING_OK;
    fill_chances(b, 0, m);
    if (!exact_plan_new(m, &order))
        return error_memory(error);
    *done = true;
    for (int i = 0; i < b->lines && *done && status == COAMING_OK; i++) {
        coaming_hold_line *line = &b->answer->lines[i];
        uint64_t work = left;
        fill_chances(b, i, m);
        status = exact_ordered(m, &order, coaming_risk_options_default().memory, &work, done,
                               &line->expected_loss, birnbaum, error);
        left -= work < left ? work : left;
        line->expected_error = 0;
    }
    exact_plan_free(&order);
    return status;
}

/* One model, with the sources as what is lost always. */
static coaming_status try_exactly(const beyond *b, bool *done, coaming_error *error)
{
    double *none = memory_new((size_t)b->nodes, sizeof *none);
    double *birnbaum = memory_new(b->edge_count, sizeof *birnbaum);
    risk_model m = {.hazard = b->n->hazard,
                    .node_count = b->nodes,
                    .weight = none,
                    .mass = b->mass,
                    .along = b->along,
                    .total_weight = 1,
                    .edges = memory_new(b->edge_count, sizeof *m.edges),
                    .edge_count = b->edge_count};
    coaming_status status = COAMING_OK;
    if (none && birnbaum && m.edges) {
        for (size_t e = 0; e < b->edge_count; e++)
            m.edges[e] = (risk_edge){b->edges[e].u, b->edges[e].v, b->edges[e].link, 1};
        status = exact_lines(b, &m, birnbaum, done, error);
    } else {
        status = error_memory(error);
    }
    memory_free(none);
    memory_free(birnbaum);
    memory_free(m.edges);
    return status;
}

/* Sampled */

static void join(beyond *b, int u, int v)
{
    int near = net_root(b->parent, u), far = net_root(b->parent, v);
    if (near == far)
        return;
    if (b->least[far] < b->least[near]) {
        int other = near;
        near = far;
        far = other;
    }
    if (b->least[near] <= b->now && b->least[far] > b->now)
        b->reached += b->weighs[far];
    b->parent[far] = near;
    b->weighs[near] += b->weighs[far];
    b->bucket[b->least[far]] -= b->weighs[far];
    b->bucket[b->least[near]] += b->weighs[far];
}

static void draw_state(beyond *b, uint64_t *stream)
{
    b->now = -1;
    for (int i = 0; i <= b->lines; i++) {
        b->bucket[i] = 0;
        b->waiting[i] = -1;
    }
    for (int k = 0; k < b->nodes; k++) {
        b->parent[k] = k;
        b->least[k] = b->level[k];
        b->weighs[k] = b->mass[k];
        b->bucket[b->level[k]] += b->mass[k];
    }
    for (size_t e = 0; e < b->edge_count; e++) {
        beyond_edge *edge = &b->edges[e];
        uint64_t drawn = hash_mix(*stream += HASH_GOLDEN);
        if (drawn < edge->below[0]) {
            join(b, edge->u, edge->v);
        } else if (drawn < edge->below[1]) {
            edge->next = b->waiting[edge->level];
            b->waiting[edge->level] = (int)e;
        }
    }
}

/* Adds up what is lost in the state, from the farthest line in. */
static void count_state(beyond *b)
{
    b->reached = 0;
    for (int i = 0; i < b->lines; i++)
        b->reached += b->bucket[i];
    for (int i = b->lines - 1; i >= 0; i--) {
        b->now = i;
        for (int e = b->waiting[i + 1]; e >= 0; e = b->edges[e].next)
            join(b, b->edges[e].u, b->edges[e].v);
        double more = b->reached - b->answer->lines[i].worth;
        b->sum[i] += more;
        b->square[i] += more * more;
        b->reached -= b->bucket[i];
    }
}

/* The stream is SplitMix64 (base/hash.h) from a fixed start: the same ship gives the same answer. */
static void sample_lines(beyond *b)
{
    uint64_t stream = 1;
    for (int i = 0; i < b->lines; i++)
        b->sum[i] = b->square[i] = 0;
    for (int s = 0; s < BEYOND_SAMPLES; s++) {
        draw_state(b, &stream);
        count_state(b);
    }
    for (int i = 0; i < b->lines; i++) {
        coaming_hold_line *line = &b->answer->lines[i];
        double mean = b->sum[i] / BEYOND_SAMPLES;
        double variance = b->square[i] / BEYOND_SAMPLES - mean * mean;
        line->expected_loss = line->worth + mean;
        bool seen = variance > 0 || line->holds >= 1;
        line->expected_error = seen ? sqrt(fmax(variance, 0) / (BEYOND_SAMPLES - 1)) : NAN;
    }
}

coaming_status beyond_fill(const net *n, bool try_exact, coaming_hold_answer *answer,
                           coaming_error *error)
{
    beyond b = {.n = n,
                .answer = answer,
                .lines = (int)answer->line_count,
                .places = (int)n->ship->space_count + 1};
    coaming_status status = COAMING_OK;
    bool done = false;
    if (!answer->line_count)
        return COAMING_OK;
    if (beyond_room(&b)) {
        take_lines(&b);
        number_nodes(&b);
        find_edges(&b);
        if (try_exact && b.nodes <= BEYOND_EXACT_PLACES)
            status = try_exactly(&b, &done, error);
        if (status == COAMING_OK && !done)
            sample_lines(&b);
    } else {
        status = error_memory(error);
    }
    beyond_free(&b);
    return status;
}
