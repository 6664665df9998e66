/*
 * Lines are nested: let a place's level be the number of the first line that gives it up. For line i
 * what has a level up to i is lost, and all that is joined to it over closures that pass. One graph
 * serves all lines: what lies inside a line may pass or not, it is lost anyhow.
 *
 * Exact: the edges stay the same from line to line and only their chances change (1 inside a line, so
 * that all of it is one with the sources), so one order of the frontier serves all.
 *
 * Sampled: a number is drawn for each closure in each state, the same for all lines, when a search
 * first asks for it; most are never asked. For each line the places beyond it are searched from its own
 * edges on, in 64 states at once, a bit for each.
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
} beyond_edge;

typedef struct {
    int to, edge;
} step;

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
    int *parent; /* by place, while nodes are numbered */
    int *first;  /* by node: its steps, from this up to that of the next */
    step *steps;
    int *border; /* nodes of the line with steps beyond it */
    size_t border_count;
    uint64_t *reached, *waiting; /* by node: states in which it is; and has not been gone on from */
    int *found, *queue; /* nodes that are reached in any state; those that wait, as a ring */
    size_t found_count, queue_first, queue_count;
} beyond;

static void beyond_free(beyond *b)
{
    void *const all[] = {b->place_level, b->node,    b->level, b->mass,  b->along,
                         b->edges,       b->parent,  b->first, b->steps, b->border,
                         b->reached,     b->waiting, b->found, b->queue};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        memory_free(all[i]);
}

static bool beyond_room(beyond *b)
{
    size_t places = (size_t)b->places, edges = b->n->ship->closure_count;
    b->place_level = memory_new(places, sizeof *b->place_level);
    b->node = memory_new(places, sizeof *b->node);
    b->level = memory_new(places, sizeof *b->level);
    b->mass = memory_new(places, sizeof *b->mass);
    b->along = memory_new(places, sizeof *b->along);
    b->edges = memory_new(edges, sizeof *b->edges);
    b->parent = memory_new(places, sizeof *b->parent);
    b->first = memory_new(places + 1, sizeof *b->first);
    b->steps = memory_new(2 * edges, sizeof *b->steps);
    b->border = memory_new(places, sizeof *b->border);
    b->reached = memory_new(places, sizeof *b->reached);
    b->waiting = memory_new(places, sizeof *b->waiting);
    b->found = memory_new(places, sizeof *b->found);
    b->queue = memory_new(places, sizeof *b->queue);
    return b->place_level && b->node && b->level && b->mass && b->along && b->edges && b->parent &&
           b->first && b->steps && b->border && b->reached && b->waiting && b->found && b->queue;
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

/* A whole number of 64 bits is below this with the given chance, which is less than 1. */
static uint64_t below_for(double chance)
{
    return (uint64_t)ldexp(chance, 64);
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
            (beyond_edge){.u = u, .v = v, .link = (int)l, .in_line = in_line, .beyond = alone};
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

static void list_steps(beyond *b)
{
    for (size_t e = 0; e < b->edge_count; e++) {
        b->first[b->edges[e].u + 1]++;
        b->first[b->edges[e].v + 1]++;
    }
    for (int k = 0; k < b->nodes; k++)
        b->first[k + 1] += b->first[k];
    for (size_t e = b->edge_count; e-- > 0;) { /* first[k + 1] comes down to where k begins */
        const beyond_edge *edge = &b->edges[e];
        b->steps[--b->first[edge->u + 1]] = (step){edge->v, (int)e};
        b->steps[--b->first[edge->v + 1]] = (step){edge->u, (int)e};
    }
    for (int k = 0; k < b->nodes; k++)
        b->first[k] = b->first[k + 1];
    b->first[b->nodes] = (int)(2 * b->edge_count);
}

/* Joins nodes of one level that are sure to lead to each other: they are lost together, or are both
 * given up. */
static void join_certain(const beyond *b)
{
    for (int k = 0; k < b->nodes; k++)
        b->parent[k] = k;
    for (size_t e = 0; e < b->edge_count; e++) {
        const beyond_edge *edge = &b->edges[e];
        if (edge->beyond < 1 || b->level[edge->u] != b->level[edge->v])
            continue;
        int u = net_root(b->parent, edge->u), v = net_root(b->parent, edge->v);
        b->parent[u > v ? u : v] = u > v ? v : u;
    }
}

/* One node for each set of them; edges within one are left out. */
static void merge_certain(beyond *b)
{
    int count = 0, *now = b->found; /* by node */
    size_t kept = 0;
    join_certain(b);
    for (int k = 0; k < b->nodes; k++) { /* of a set the least comes first */
        int root = net_root(b->parent, k);
        double mass = b->mass[k];
        if (root == k) {
            b->level[count] = b->level[k];
            b->mass[count] = 0;
            now[k] = count++;
        }
        now[k] = now[root];
        b->mass[now[k]] += mass;
    }
    b->nodes = count;
    for (size_t e = 0; e < b->edge_count; e++) {
        beyond_edge edge = b->edges[e];
        edge.u = now[edge.u];
        edge.v = now[edge.v];
        if (edge.u != edge.v)
            b->edges[kept++] = edge;
    }
    b->edge_count = kept;
}

/* In which states of a word a closure leaks with that chance. The stream is SplitMix64 (base/hash.h)
 * from a fixed start, a number for each closure of each state in order: the same ship gives the same
 * answer. */
static uint64_t draw(const net *n, int closure, double chance, int word)
{
    uint64_t place = (uint64_t)word * NET_WORD * n->ship->closure_count + (uint64_t)closure + 1;
    uint64_t below = below_for(chance), leaking = 0;
    for (int state = 0; state < NET_WORD; state++, place += n->ship->closure_count)
        leaking |= (uint64_t)(hash_mix(1 + place * HASH_GOLDEN) < below) << state;
    return leaking;
}

static uint64_t passes(const beyond *b, const beyond_edge *edge, bool in_line, int word)
{
    const net *n = b->n;
    double chance = in_line ? edge->in_line : edge->beyond;
    if (chance <= 0 || chance >= 1)
        return chance >= 1 ? UINT64_MAX : 0;
    if (chance > n->leaks[edge->link])
        return draw(n, edge->link, chance, word); /* it slows: few do */
    uint64_t *leaking = &n->leaking[(size_t)edge->link * NET_DRAWN + (size_t)word];
    uint64_t bit = UINT64_C(1) << word;
    if (!(n->drawn[edge->link] & bit)) {
        *leaking = draw(n, edge->link, chance, word);
        n->drawn[edge->link] |= bit;
    }
    return *leaking;
}

static void enter(beyond *b, int node, uint64_t states)
{
    size_t room = (size_t)b->places;
    if (!states)
        return;
    if (!b->reached[node])
        b->found[b->found_count++] = node;
    if (!b->waiting[node])
        b->queue[(b->queue_first + b->queue_count++) % room] = node;
    b->reached[node] |= states;
    b->waiting[node] |= states;
}

/* Over the edges of a node to what lies beyond the line. */
static void go_on(beyond *b, int line, int from, uint64_t states, int word)
{
    bool in_line = b->level[from] <= line;
    for (int j = b->first[from]; j < b->first[from + 1]; j++) {
        step s = b->steps[j];
        uint64_t more = states & ~b->reached[s.to];
        if (more && b->level[s.to] > line)
            enter(b, s.to, more & passes(b, &b->edges[s.edge], in_line, word));
    }
}

/* From the line on, in the states of a word. */
static void search(beyond *b, int line, int word)
{
    b->found_count = b->queue_first = b->queue_count = 0;
    for (size_t k = 0; k < b->border_count; k++)
        go_on(b, line, b->border[k], UINT64_MAX, word);
    while (b->queue_count) {
        int from = b->queue[b->queue_first];
        uint64_t states = b->waiting[from];
        b->queue_first = (b->queue_first + 1) % (size_t)b->places;
        b->queue_count--;
        b->waiting[from] = 0;
        go_on(b, line, from, states, word);
    }
}

/* Adds up what is lost beyond the line in each state, and forgets what is reached. */
static void add_up(beyond *b, double lost[NET_WORD])
{
    for (size_t i = 0; i < b->found_count; i++) {
        int node = b->found[i];
        for (uint64_t states = b->reached[node]; states; states &= states - 1)
            lost[__builtin_ctzll(states)] += b->mass[node];
        b->reached[node] = 0;
    }
}

static bool leads_beyond(const beyond *b, int node, int line)
{
    for (int j = b->first[node]; j < b->first[node + 1]; j++)
        if (b->level[b->steps[j].to] > line)
            return true;
    return false;
}

static void find_border(beyond *b, int line)
{
    b->border_count = 0;
    for (int k = 0; k < b->nodes; k++)
        if (b->level[k] <= line && leads_beyond(b, k, line))
            b->border[b->border_count++] = k;
}

static void sample_line(beyond *b, int i)
{
    coaming_hold_line *line = &b->answer->lines[i];
    double sum = 0, square = 0, inside = 0;
    for (int k = 0; k < b->nodes; k++)
        inside += b->level[k] <= i ? b->mass[k] : 0;
    find_border(b, i);
    for (int word = 0; word < NET_DRAWN; word++) {
        double lost[NET_WORD] = {0};
        search(b, i, word);
        add_up(b, lost);
        for (int s = 0; s < NET_WORD; s++) {
            sum += lost[s];
            square += lost[s] * lost[s];
        }
    }
    double mean = sum / BEYOND_SAMPLES, variance = square / BEYOND_SAMPLES - mean * mean;
    bool seen = variance > 0 || line->holds >= 1;
    line->expected_loss = inside + mean;
    line->expected_error = seen ? sqrt(fmax(variance, 0) / (BEYOND_SAMPLES - 1)) : NAN;
}

static void sample_lines(beyond *b)
{
    merge_certain(b);
    list_steps(b);
    for (int i = 0; i < b->lines; i++)
        sample_line(b, i);
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
