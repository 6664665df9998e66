/*
 * The expected loss of uncertain graphs: enumeration against plainer enumeration, the frontier
 * method against enumeration, and both against published networks.
 *
 * The connection of two terminals is a model with weight 1 at one and mass 1 at the other: its
 * expected loss is the probability that they are joined.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/risk/exact.h"
#include "base/memory.h"
#include "coaming/likelihood.h"
#include "runner.h"
#include "ships.h"

/* Check's own assertions report each success through a pipe: too slow for millions of them. */
#define MUST(claim) CLAIM(claim, "%s", #claim)

enum { NODES = 400, EDGES = 800, PLENTY = 256 << 20 };

typedef struct {
    risk_model m;
    double weight[NODES], mass[NODES], along[NODES];
    risk_edge edges[EDGES];
} graph;

typedef struct {
    double expected;
    double birnbaum[EDGES], by_way[EDGES];
} answer;

/* Nodes without weight or mass; `always` is none. */
static graph *graph_new(int nodes)
{
    graph *g = calloc(1, sizeof *g);
    g->m = (risk_model){.hazard = COAMING_AIR,
                        .level = NAN,
                        .node_count = nodes,
                        .weight = g->weight,
                        .mass = g->mass,
                        .along = g->along,
                        .always = -1,
                        .edges = g->edges};
    for (int v = 0; v < nodes; v++)
        g->along[v] = v;
    return g;
}

static void add_edge(graph *g, int u, int v, double p)
{
    g->edges[g->m.edge_count] = (risk_edge){u, v, (int)g->m.edge_count, p};
    g->m.edge_count++;
}

static void all_p(graph *g, double p)
{
    for (size_t e = 0; e < g->m.edge_count; e++)
        g->edges[e].p = p;
}

static void terminals(graph *g, int s, int t)
{
    g->weight[s] = g->mass[t] = g->m.total_weight = 1;
}

static answer exactly(const graph *g)
{
    answer a = {0};
    bool done = false;
    MUST(risk_exact(&g->m, PLENTY, &done, &a.expected, a.birnbaum, NULL) == COAMING_OK);
    MUST(done);
    return a;
}

static answer enumerated(const graph *g)
{
    answer a = {0};
    MUST(risk_enumerate(&g->m, &a.expected, a.birnbaum, a.by_way));
    return a;
}

static double all_joined(const graph *g)
{
    double probability = -1;
    bool done = false;
    MUST(exact_all_joined(&g->m, PLENTY, &done, &probability, NULL) == COAMING_OK);
    MUST(done);
    return probability;
}

/* Random models. */

static double some_probability(dice *d, bool certain)
{
    static const double ends[] = {1e-9, 1e-3, 0.5, 0.999, 1 - 1e-9};
    if (certain)
        return dice_below(d, 2);
    int which = dice_below(d, 15);
    return which < 5 ? ends[which] : (1 + dice_below(d, 999)) / 1000.0;
}

/* Edges side by side, nodes without edges, and parts that hang on nothing come by themselves. */
static graph *random_graph(uint64_t number, int most_nodes, int most_uncertain)
{
    dice d = {number};
    graph *g = graph_new(2 + dice_below(&d, most_nodes - 1));
    int nodes = g->m.node_count, uncertain = dice_below(&d, most_uncertain + 1);
    int certain = dice_below(&d, 2) ? dice_below(&d, 7) : 0;
    for (int v = 0; v < nodes; v++) {
        g->weight[v] = dice_below(&d, 3) ? dice_below(&d, 1000) / 1000.0 : 0;
        g->mass[v] = dice_below(&d, 4) ? dice_below(&d, 50) : 0;
        g->along[v] = dice_below(&d, 5);
        g->m.total_weight += g->weight[v];
    }
    if (dice_below(&d, 2)) {
        g->m.always = dice_below(&d, nodes);
        g->along[g->m.always] = -INFINITY;
        g->m.total_weight += dice_below(&d, 2); /* scenarios that start nowhere else */
    }
    while (uncertain + certain > 0) {
        bool sure = dice_below(&d, uncertain + certain) < certain;
        int u = dice_below(&d, nodes), v = (u + 1 + dice_below(&d, nodes - 1)) % nodes;
        add_edge(g, u, v, some_probability(&d, sure));
        *(sure ? &certain : &uncertain) -= 1;
    }
    return g;
}

static double greatest_loss(const graph *g)
{
    double mass = 0;
    for (int v = 0; v < g->m.node_count; v++)
        mass += g->mass[v];
    return g->m.total_weight * mass;
}

/* Plainer enumeration: who reaches whom, and along which ways, by trying. */

static bool reaches(const graph *g, const bool *passes, int s, int v)
{
    bool seen[NODES] = {false};
    seen[s] = true;
    for (bool grown = true; grown;) {
        grown = false;
        for (size_t e = 0; e < g->m.edge_count; e++) {
            const risk_edge *k = &g->edges[e];
            if (passes[e] && seen[k->u] != seen[k->v])
                seen[k->u] = seen[k->v] = grown = true;
        }
    }
    return seen[v];
}

/* Weight of the pair in a state: what is lost at v because of s. */
static double pair_loss(const graph *g, const bool *passes, int s, int v)
{
    double weight = g->weight[s];
    if (g->m.always >= 0 && reaches(g, passes, g->m.always, s))
        weight = s == g->m.always ? g->m.total_weight : 0;
    return weight * g->mass[v];
}

/* Marks edges of all ways from `at` to v that meet no node twice; is there one? */
static bool walk(const graph *g, const bool *passes, int at, int v, bool *met, bool *marked)
{
    bool found = at == v;
    met[at] = true;
    for (size_t e = 0; e < g->m.edge_count && at != v; e++) {
        const risk_edge *k = &g->edges[e];
        int to = k->u == at ? k->v : k->v == at ? k->u : -1;
        if (!passes[e] || to < 0 || met[to] || !walk(g, passes, to, v, met, marked))
            continue;
        found = marked[e] = true;
    }
    met[at] = false;
    return found;
}

static double next_state(const graph *g, size_t state, int forced, bool passes_forced, bool *passes)
{
    double probability = 1;
    for (size_t e = 0; e < g->m.edge_count; e++) {
        passes[e] = (int)e == forced ? passes_forced : state >> e & 1;
        if ((int)e != forced)
            probability *= passes[e] ? g->edges[e].p : 1 - g->edges[e].p;
        else if (state >> e & 1)
            return 0; /* the forced edge's states once only */
    }
    return probability;
}

/* Scenarios that start at s, those that start nowhere else among them where it is the outside. */
static double scenarios_at(const graph *g, int s)
{
    double weight = g->weight[s];
    if (s == g->m.always) {
        weight = g->m.total_weight;
        for (int v = 0; v < g->m.node_count; v++)
            weight -= v == s ? 0 : g->weight[v];
    }
    return weight;
}

/* What comes to v in a state, by edges on a way from s or from the outside that meets the other of
 * the two no more than a node twice. */
static void add_ways(const graph *g, const bool *passes, int s, int v, double probability,
                     double *by_way)
{
    bool marked[EDGES] = {false};
    int sources[] = {s, g->m.always};
    for (int i = 0; i < 2 && v != s && v != g->m.always; i++) {
        bool met[NODES] = {false};
        if (sources[i] < 0 || (i && sources[0] == sources[1]))
            continue;
        if (g->m.always >= 0)
            met[sources[1 - i]] = true;
        walk(g, passes, sources[i], v, met, marked);
    }
    for (size_t e = 0; e < g->m.edge_count; e++)
        by_way[e] += marked[e] ? probability * scenarios_at(g, s) * g->mass[v] : 0;
}

static double plain_loss(const graph *g, int forced, bool passes_forced, double *by_way)
{
    double sum = 0;
    for (size_t state = 0; state >> g->m.edge_count == 0; state++) {
        bool passes[EDGES];
        double probability = next_state(g, state, forced, passes_forced, passes);
        for (int s = 0; s < g->m.node_count && probability > 0; s++)
            for (int v = 0; v < g->m.node_count; v++) {
                double lost = probability * pair_loss(g, passes, s, v);
                if (lost != 0 && reaches(g, passes, s, v))
                    sum += lost;
                if (by_way && probability > 0)
                    add_ways(g, passes, s, v, probability, by_way);
            }
    }
    return sum;
}

/* Up to 1e-12 of itself, or where a small figure is the difference of great ones, 1e-14 of these.
 */
static void same(double got, double wanted, double scale)
{
    if (!(fabs(got - wanted) <= 1e-12 * fabs(wanted) + 1e-14 * scale))
        ck_abort_msg("%.17g instead of %.17g", got, wanted);
}

START_TEST(enumeration_agrees_with_trying_all_ways)
{
    graph *g = random_graph(1000 + (uint64_t)_i, 6, 6);
    if (g->m.edge_count > 9)
        g->m.edge_count = 9;
    answer a = enumerated(g);
    double by_way[EDGES] = {0}, scale = greatest_loss(g);
    same(a.expected, plain_loss(g, -1, false, by_way), scale);
    for (int e = 0; e < (int)g->m.edge_count; e++) {
        double with = plain_loss(g, e, true, NULL), without = plain_loss(g, e, false, NULL);
        same(a.birnbaum[e], with - without, scale);
        same(a.by_way[e], by_way[e], scale);
    }
    free(g);
}
END_TEST

START_TEST(the_exact_method_agrees_with_enumeration)
{
    for (uint64_t k = 0; k < 20; k++) {
        graph *g = random_graph(20 * (uint64_t)_i + k, 9, RISK_ENUMERATED - 4 * (k % 4 != 0));
        answer a = exactly(g), b = enumerated(g);
        double scale = greatest_loss(g);
        same(a.expected, b.expected, 0);
        for (size_t e = 0; e < g->m.edge_count; e++) {
            same(a.birnbaum[e], b.birnbaum[e], scale);
            MUST(a.birnbaum[e] >= 0);
        }
        free(g);
    }
}
END_TEST

/* What cannot be enumerated: 25 nodes, 40 edges and a few certain ones. */
START_TEST(birnbaum_is_the_difference_that_an_edge_makes)
{
    dice d = {(uint64_t)_i};
    graph *g = graph_new(25);
    for (int v = 0; v < 25; v++) {
        g->weight[v] = dice_below(&d, 10) / 10.0;
        g->mass[v] = dice_below(&d, 10);
        g->along[v] = v / 5;
        g->m.total_weight += g->weight[v];
        if (v % 5 < 4)
            add_edge(g, v, v + 1, some_probability(&d, dice_below(&d, 5) == 0));
        if (v < 20)
            add_edge(g, v, v + 5, some_probability(&d, dice_below(&d, 5) == 0));
    }
    g->m.always = _i % 2 ? dice_below(&d, 25) : -1;
    answer a = exactly(g);
    for (size_t e = 0; e < g->m.edge_count; e++) {
        double p = g->edges[e].p, forced[2];
        for (int passes = 0; passes < 2; passes++) {
            g->edges[e].p = passes;
            forced[passes] = exactly(g).expected;
        }
        g->edges[e].p = p;
        same(a.birnbaum[e], forced[1] - forced[0], greatest_loss(g));
        same(a.expected, p * forced[1] + (1 - p) * forced[0], 0);
    }
    free(g);
}
END_TEST

START_TEST(nothing_to_join)
{
    graph *g = graph_new(0);
    ck_assert_double_eq(exactly(g).expected, 0);
    ck_assert_double_eq(enumerated(g).expected, 0);
    ck_assert_double_eq(all_joined(g), 1);
    free(g);
    g = graph_new(1);
    g->weight[0] = 0.5;
    g->mass[0] = 3;
    g->m.total_weight = 2;
    ck_assert_double_eq(exactly(g).expected, 1.5);
    ck_assert_double_eq(enumerated(g).expected, 1.5);
    g->m.always = 0; /* and then 2 x 3 */
    ck_assert_double_eq(exactly(g).expected, 6);
    ck_assert_double_eq(enumerated(g).expected, 6);
    ck_assert_double_eq(all_joined(g), 1);
    free(g);
    g = graph_new(2); /* apart */
    terminals(g, 0, 1);
    ck_assert_double_eq(exactly(g).expected, 0);
    ck_assert_double_eq(all_joined(g), 0);
    free(g);
}
END_TEST

/* By hand. Three in a row, 0 -a- 1 -b- 2, the outside (0) always a source, weight .5 at node 2,
 * total 2: loss at 1 of mass 3 is 2 a + .5 (1 - a) b; at 2 of mass 5 it is 2 a b + .5 (1 - a b).
 * Of what comes by way of a: 1.5 a (3 + 5 b) from outside alone, and .5 a 3 where 2 is a source too
 * and has its own loss whatever passes; of b: 1.5 a b 5, and .5 b 3 from 2. */
START_TEST(three_in_a_row_by_hand)
{
    double a = 0.3, b = 0.6;
    graph *g = graph_new(3);
    add_edge(g, 0, 1, a);
    add_edge(g, 2, 1, b);
    g->weight[2] = 0.5;
    g->mass[1] = 3;
    g->mass[2] = 5;
    g->m.total_weight = 2;
    g->m.always = 0;
    double expected = 3 * (2 * a + 0.5 * (1 - a) * b) + 5 * (2 * a * b + 0.5 * (1 - a * b));
    answer got[] = {exactly(g), enumerated(g)};
    for (int i = 0; i < 2; i++) {
        same(got[i].expected, expected, 0);
        same(got[i].birnbaum[0], 3 * (2 - 0.5 * b) + 5 * (2 - 0.5) * b, 0);
        same(got[i].birnbaum[1], 3 * 0.5 * (1 - a) + 5 * (2 - 0.5) * a, 0);
    }
    same(got[1].by_way[0], 1.5 * a * (3 + 5 * b) + 0.5 * a * 3, 0);
    same(got[1].by_way[1], 1.5 * a * b * 5 + 0.5 * b * 3, 0);
    free(g);
}
END_TEST

/* Water that starts in a (1) can also come from the sea (0) to b (2), which alone is of worth:
 * 1 -D- 2 -V- 0, both 0.5. It is lost with 0.75, and each of the two closures has 0.5 of that. */
START_TEST(water_from_a_space_and_the_sea_by_hand)
{
    graph *g = graph_new(3);
    add_edge(g, 1, 2, 0.5);
    add_edge(g, 2, 0, 0.5);
    g->weight[1] = g->mass[2] = g->m.total_weight = 1;
    g->m.always = 0;
    answer got = enumerated(g);
    same(got.expected, 0.75, 0);
    same(got.by_way[0] / got.expected, 2.0 / 3, 0);
    same(got.by_way[1] / got.expected, 2.0 / 3, 0);
    free(g);
}
END_TEST

/* Networks. */

static graph *from_pairs(int nodes, const int (*pairs)[2], size_t count)
{
    graph *g = graph_new(nodes);
    for (size_t i = 0; i < count; i++)
        add_edge(g, pairs[i][0], pairs[i][1], 0.9);
    return g;
}
#define FROM_PAIRS(nodes, pairs) from_pairs((nodes), (pairs), sizeof(pairs) / sizeof *(pairs))

/* s 0, a 1, b 2, t 3: s-a, s-b, a-b, a-t, b-t. */
static graph *bridge(void)
{
    static const int pairs[][2] = {{0, 1}, {0, 2}, {1, 2}, {1, 3}, {2, 3}};
    graph *g = FROM_PAIRS(4, pairs);
    terminals(g, 0, 3);
    return g;
}

static graph *complete(int n)
{
    graph *g = graph_new(n);
    for (int u = 0; u < n; u++)
        for (int v = u + 1; v < n; v++)
            add_edge(g, u, v, 0.9);
    return g;
}

/* Node j of rail i is 2 j + i. */
static graph *ladder(int n)
{
    graph *g = graph_new(2 * n);
    for (int j = 0; j < n; j++) {
        add_edge(g, 2 * j, 2 * j + 1, 0.9);
        for (int i = 0; j + 1 < n && i < 2; i++)
            add_edge(g, 2 * j + i, 2 * j + 2 + i, 0.9);
    }
    terminals(g, 0, 2 * n - 1);
    return g;
}

static graph *cycle(int n)
{
    graph *g = graph_new(n);
    for (int v = 0; v < n; v++)
        add_edge(g, v, (v + 1) % n, 0.9);
    return g;
}

static graph *petersen(void)
{
    graph *g = graph_new(10);
    for (int v = 0; v < 5; v++) {
        add_edge(g, v, (v + 1) % 5, 0.9);
        add_edge(g, v, v + 5, 0.9);
        add_edge(g, v + 5, (v + 2) % 5 + 5, 0.9);
    }
    return g;
}

static graph *cube(void)
{
    graph *g = graph_new(8);
    for (int v = 0; v < 8; v++)
        for (int bit = 1; bit < 8; bit *= 2)
            if (!(v & bit))
                add_edge(g, v, v | bit, 0.9);
    terminals(g, 0, 7);
    return g;
}

/* All but the opposite corners, v and v + 3. */
static graph *octahedron(void)
{
    graph *g = graph_new(6);
    for (int u = 0; u < 6; u++)
        for (int v = u + 1; v < 6; v++)
            if (v != u + 3)
                add_edge(g, u, v, 0.9);
    return g;
}

/* A top, two rings of five, a bottom. */
static graph *icosahedron(void)
{
    graph *g = graph_new(12);
    for (int v = 0; v < 5; v++) {
        add_edge(g, 10, v, 0.9);
        add_edge(g, v, (v + 1) % 5, 0.9);
        add_edge(g, v, v + 5, 0.9);
        add_edge(g, v, (v + 1) % 5 + 5, 0.9);
        add_edge(g, v + 5, (v + 1) % 5 + 5, 0.9);
        add_edge(g, v + 5, 11, 0.9);
    }
    return g;
}

/* n rows, n + 1 columns; the first column is s (node 0), the last t (node 1). */
static graph *self_dual(int n)
{
    graph *g = graph_new(2 + n * (n - 1));
    for (int row = 0; row < n; row++)
        for (int column = 0; column < n; column++) {
            int here = column == 0 ? 0 : 2 + row * (n - 1) + column - 1;
            add_edge(g, here, column == n - 1 ? 1 : 2 + row * (n - 1) + column, 0.9);
            if (column > 0 && row > 0)
                add_edge(g, here, here - (n - 1), 0.9);
        }
    terminals(g, 0, 1);
    return g;
}

static double connection(graph *g, double p)
{
    all_p(g, p);
    return exactly(g).expected;
}

static double all_terminal(graph *g, double p)
{
    all_p(g, p);
    return all_joined(g);
}

/* Sum of coefficients times powers of p, from power `low` on. */
static double polynomial(const int *coefficients, int count, int low, double p)
{
    double sum = 0;
    for (int i = count - 1; i >= 0; i--)
        sum = sum * p + coefficients[i];
    return sum * pow(p, low);
}

typedef struct {
    graph *g;
    bool all; /* all-terminal, else the two terminals */
    int low, count;
    int coefficients[8];
} formula;

static void check_formula(const formula *k)
{
    static const double ps[] = {0, 1e-3, 0.1, 0.5, 0.9, 0.99, 1};
    for (size_t i = 0; i < sizeof ps / sizeof *ps; i++) {
        double wanted = polynomial(k->coefficients, k->count, k->low, ps[i]);
        /* the terms of the polynomials, up to some hundreds, cancel down to 1 at most */
        same(k->all ? all_terminal(k->g, ps[i]) : connection(k->g, ps[i]), wanted, 1e3);
    }
    free(k->g);
}

/* The bridge from s to t: its last coefficient, 2, is the signed domination: Engineering
 * Reliability, p. 130 (author and edition not seen). All other polynomials were worked out by an
 * independent program from the networks; their numbers of spanning trees are the published ones. */
START_TEST(polynomials_of_small_networks)
{
    formula all[] = {{bridge(), false, 2, 4, {2, 2, -5, 2}},
                     {bridge(), true, 3, 3, {8, -11, 4}},
                     {complete(3), true, 2, 2, {3, -2}},
                     {complete(4), true, 3, 4, {16, -33, 24, -6}},
                     {complete(4), false, 1, 6, {1, 2, 0, -7, 7, -2}},
                     {ladder(3), true, 5, 3, {15, -23, 9}},
                     {ladder(3), false, 3, 5, {3, 0, -1, -3, 2}},
                     {ladder(4), true, 7, 4, {56, -130, 102, -27}},
                     {ladder(5), true, 9, 5, {209, -650, 766, -405, 81}}};
    terminals(all[4].g, 0, 3);
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        check_formula(&all[i]);
}
END_TEST

static void is(double got, double wanted, double half_digit)
{
    ck_assert_double_eq_tol(got, wanted, half_digit);
}

/* Values worked out by an independent frontier program (and enumeration up to 13 edges), printed
 * with the digits that stand here; hence half a unit of the last. */
START_TEST(values_of_networks_from_s_to_t)
{
    graph *g = bridge();
    is(connection(g, 0.9), 0.97848, 1e-12);
    is(connection(g, 0.99), 0.9997980498, 5e-11);
    is(connection(g, 0.5), 0.5, 1e-15);
    static const double unequal[] = {0.9, 0.8, 0.7, 0.85, 0.95}; /* s-a s-b a-b a-t b-t */
    for (int e = 0; e < 5; e++)
        g->edges[e].p = unequal[e];
    is(exactly(g).expected, 0.963935, 5e-13);
    is(enumerated(g).expected, 0.963935, 5e-13);
    free(g);
    g = complete(4);
    terminals(g, 0, 3);
    is(connection(g, 0.9), 0.997848, 1e-12);
    free(g);
    static const double ladders[] = {0.9587808, 0.9480225096, 0.9369106898};
    static const double digits[] = {1e-12, 5e-11, 5e-11};
    for (int n = 3; n <= 5; n++) {
        g = ladder(n);
        is(connection(g, 0.9), ladders[n - 3], digits[n - 3]);
        free(g);
    }
    g = cube();
    is(connection(g, 0.9), 0.9970453218, 5e-11);
    free(g);
}
END_TEST

START_TEST(values_of_networks_all_terminal)
{
    const struct {
        graph *g;
        double p, wanted, half_digit;
    } all[] = {{bridge(), 0.9, 0.97686, 1e-12},
               {bridge(), 0.5, 7.0 / 16, 1e-15},
               {complete(4), 0.5, 38.0 / 64, 1e-15},
               {complete(5), 0.5, 728.0 / 1024, 1e-15}, /* OEIS A001187: 728 connected graphs */
               {complete(5), 0.9, 0.9994922424, 5e-11},
               {ladder(3), 0.9, 0.9388791, 1e-12},
               {ladder(4), 0.9, 0.9264610953, 5e-11},
               {ladder(5), 0.9, 0.9139636756, 5e-11},
               {petersen(), 0.9, 0.9885669146, 5e-11},
               {cube(), 0.9, 0.9906628882, 5e-11},
               {octahedron(), 0.9, 0.9993868465, 5e-11},
               {icosahedron(), 0.9, 0.9998797402, 5e-11}};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) {
        is(all_terminal(all[i].g, all[i].p), all[i].wanted, all[i].half_digit);
        free(all[i].g);
    }
}
END_TEST

/* All of a ring are joined unless two fail: p^n + n p^(n-1) (1-p) (a chapter of Taylor and Francis,
 * doi 10.1201/b12095-13). Two that are k apart: by either side, p^k + p^(n-k) - p^n. */
START_TEST(rings)
{
    for (int n = 3; n < 40; n += 6) {
        graph *g = cycle(n);
        double p = 0.9;
        is(all_terminal(g, p), pow(p, n) + n * pow(p, n - 1) * (1 - p), 1e-13);
        terminals(g, 0, n / 3);
        is(connection(g, p), pow(p, n / 3) + pow(p, n - n / 3) - pow(p, n), 1e-13);
        free(g);
    }
}
END_TEST

/* A lattice that is its own dual: either s and t are joined, or the dual of it is by the edges that
 * hold; at p = 1/2 these are as likely. Values at .9 by the same independent program. */
START_TEST(self_dual_lattices)
{
    static const double at_9[] = {0.97848, 0.9962174933, 0.9993958064};
    static const double digits[] = {1e-12, 5e-11, 5e-11};
    for (int n = 2; n <= 6; n++) {
        graph *g = self_dual(n);
        ck_assert_uint_eq(g->m.edge_count, (size_t)(n * n + (n - 1) * (n - 1)));
        is(connection(g, 0.5), 0.5, 1e-15);
        if (n <= 4)
            is(connection(g, 0.9), at_9[n - 2], digits[n - 2]);
        is(connection(g, 0.1) + connection(g, 0.9), 1, 1e-14);
        free(g);
    }
}
END_TEST

/* Importance. */

/* Rausand and Hoyland, System Reliability Theory, chapter 5 (from memory): two in series, .98 and
 * .96, have .96 and .98; in parallel .04 and .02. */
START_TEST(birnbaum_in_series_and_side_by_side)
{
    for (int parallel = 0; parallel < 2; parallel++) {
        graph *g = graph_new(3 - parallel);
        add_edge(g, 0, 1, 0.98);
        add_edge(g, 1, parallel ? 0 : 2, 0.96);
        terminals(g, 0, parallel ? 1 : 2);
        answer got[] = {exactly(g), enumerated(g)};
        for (int i = 0; i < 2; i++) {
            is(got[i].birnbaum[0], parallel ? 0.04 : 0.96, 1e-15);
            is(got[i].birnbaum[1], parallel ? 0.02 : 0.98, 1e-15);
        }
        free(g);
    }
}
END_TEST

/* The measures are defined for the unreliability u = 1 - R with edges up at .9 (definitions:
 * Rausand, slides to chapter 5; formulas from memory; the numbers derived by an independent
 * program). For what u = E is in them, R(up) - R(down) is the same difference. */
START_TEST(importance_in_the_bridge)
{
    static const struct {
        int edge;
        double birnbaum, criticality, achievement, reduction, structural;
    } known[] = {{0, .1062, .493494424, 5.441449814, 1.974311927, 3.0 / 8},
                 {2, .0162, .075278810, 1.677509294, 1.081407035, 1.0 / 8}};
    graph *g = bridge();
    answer a = exactly(g);
    double u = 1 - a.expected, q = 0.1;
    is(u, 269.0 / 12500, 1e-15);
    for (int i = 0; i < 2; i++) {
        double b = a.birnbaum[known[i].edge];
        is(b, known[i].birnbaum, 1e-13);
        is(b * q / u, known[i].criticality, 5e-10);
        is((u + (1 - q) * b) / u, known[i].achievement, 5e-10);
        is(u / (u - q * b), known[i].reduction, 5e-10);
    }
    all_p(g, 0.5);
    a = exactly(g);
    for (int i = 0; i < 2; i++)
        is(a.birnbaum[known[i].edge], known[i].structural, 1e-15);
    free(g);
}
END_TEST

/* Fussell-Vesely there is the share of u in which some minimal cut through the edge is down. The
 * minimal cuts s-a s-b, a-t b-t, s-a a-b b-t, s-b a-b a-t are the minimal ways of the dual, a
 * bridge again, whose edges pass where the others are down. Derived values as above. */
START_TEST(fussell_vesely_in_the_bridge)
{
    /* from x 0 over y 1 and z 2 to w 3: s-a is x-y, s-b y-w, a-b y-z, a-t x-z, b-t z-w */
    static const int dual[][2] = {{0, 1}, {1, 3}, {1, 2}, {0, 2}, {2, 3}};
    graph *g = FROM_PAIRS(4, dual);
    terminals(g, 0, 3);
    all_p(g, 0.1);
    answer a = enumerated(g);
    is(a.expected, 269.0 / 12500, 1e-15);
    for (int e = 0; e < 5; e++)
        is(a.by_way[e] / a.expected, e == 2 ? .092472119 : .506505576, 5e-10);
    free(g);
}
END_TEST

/* Orders and memory. */

/* Numbering, directions of edges and places along the ship change the order, not the sums. */
START_TEST(any_order_gives_the_same)
{
    dice d = {(uint64_t)_i};
    graph *g = _i % 2 ? icosahedron() : self_dual(5), *h = graph_new(g->m.node_count);
    int to[NODES], n = g->m.node_count;
    for (int v = 0; v < n; v++) {
        int swap = dice_below(&d, v + 1);
        to[v] = to[swap];
        to[swap] = v;
        g->weight[v] = 1;
    }
    g->mass[n - 1] = 2;
    g->m.total_weight = h->m.total_weight = n;
    for (int v = 0; v < n; v++) {
        h->weight[to[v]] = g->weight[v];
        h->mass[to[v]] = g->mass[v];
        h->along[v] = dice_below(&d, 4);
    }
    for (size_t e = 0; e < g->m.edge_count; e++) {
        const risk_edge *k = &g->edges[e];
        bool turned = dice_below(&d, 2);
        add_edge(h, to[turned ? k->v : k->u], to[turned ? k->u : k->v], k->p);
    }
    answer a = exactly(g), b = exactly(h);
    same(a.expected, b.expected, 0);
    for (size_t e = 0; e < g->m.edge_count; e++)
        same(a.birnbaum[e], b.birnbaum[e], n);
    free(g);
    free(h);
}
END_TEST

/* A row as long as it likes needs a narrow frontier only, however it is numbered. */
START_TEST(a_long_row_is_cheap)
{
    int n = NODES;
    double p = 0.99;
    exact_taken taken;
    bool done = false;
    double expected = 0, *birnbaum = calloc((size_t)n, sizeof *birnbaum);
    graph *g = graph_new(n);
    for (int v = 0; v + 1 < n; v++)
        add_edge(g, v * 7 % n, (v + 1) * 7 % n, p);
    for (int v = 0; v < n; v++)
        g->along[v] = 0;
    terminals(g, 0, (n - 1) * 7 % n);
    ck_assert(exact_run(&g->m, 1 << 20, &done, &expected, birnbaum, &taken, NULL) == COAMING_OK);
    ck_assert(done);
    same(expected, pow(p, n - 1), 0);
    for (int e = 0; e + 1 < n; e++)
        same(birnbaum[e], pow(p, n - 2), 0);
    ck_assert_int_le(taken.frontier, 3);
    free(birnbaum);
    free(g);
}
END_TEST

/* n x n nodes. */
static graph *wide(int n)
{
    graph *g = graph_new(n * n);
    for (int v = 0; v < n * n; v++) {
        g->weight[v] = g->mass[v] = 1;
        if (v % n + 1 < n)
            add_edge(g, v, v + 1, 0.3);
        if (v + n < n * n)
            add_edge(g, v, v + n, 0.3);
    }
    g->m.total_weight = n * n;
    return g;
}

START_TEST(a_wide_grid_does_not_fit_and_writes_nothing)
{
    graph *g = wide(14);
    exact_taken taken;
    bool done = true;
    double expected = -7, birnbaum[EDGES];
    for (int e = 0; e < EDGES; e++)
        birnbaum[e] = -7;
    size_t bounds[] = {0, 1000, 1 << 20};
    for (int i = 0; i < 3; i++) {
        done = true;
        ck_assert(exact_run(&g->m, bounds[i], &done, &expected, birnbaum, &taken, NULL) ==
                  COAMING_OK);
        ck_assert(!done);
        ck_assert_uint_le(taken.bytes, bounds[i]);
        ck_assert_double_eq(expected, -7);
        for (int e = 0; e < EDGES; e++)
            MUST(birnbaum[e] == -7);
        done = true;
        ck_assert(exact_all_joined(&g->m, bounds[i], &done, &expected, NULL) == COAMING_OK);
        ck_assert(!done);
        ck_assert_double_eq(expected, -7);
    }
    free(g);
}
END_TEST

/* Edges side by side are one to the tables, yet each has to be looked at: the work counts them. */
START_TEST(edges_side_by_side_are_work)
{
    uint64_t works[2];
    for (int twice = 0; twice < 2; twice++) {
        graph *g = graph_new(2);
        terminals(g, 0, 1);
        for (int e = 0; e < EDGES / 2 << twice; e++)
            add_edge(g, 0, 1, 0.001);
        exact_taken taken;
        answer a = {0};
        bool done = false;
        ck_assert(exact_run(&g->m, PLENTY, &done, &a.expected, a.birnbaum, &taken, NULL) ==
                  COAMING_OK);
        ck_assert(done);
        for (size_t e = 0; e < g->m.edge_count; e++)
            is(a.birnbaum[e], pow(0.999, (double)g->m.edge_count - 1), 1e-12);
        works[twice] = taken.work;
        free(g);
    }
    ck_assert_uint_eq(works[1] - works[0], EDGES / 2);
}
END_TEST

/* So is that of work: what a run took is enough, one less is not, and then nothing is written. */
START_TEST(the_bound_of_work_is_kept)
{
    graph *g = wide(5);
    exact_taken taken;
    bool done = false;
    answer a = {0}, b = {0}, untouched = {0};
    ck_assert(exact_run(&g->m, PLENTY, &done, &a.expected, a.birnbaum, &taken, NULL) == COAMING_OK);
    ck_assert(done);
    /* more than a number for each state, and its share */
    ck_assert_uint_gt(taken.work, taken.states * (1 + RISK_WORK_STATE) / 2);
    uint64_t work = taken.work;
    ck_assert(risk_exact_bounded(&g->m, PLENTY, &work, &done, &b.expected, b.birnbaum, NULL) ==
              COAMING_OK);
    ck_assert(done);
    ck_assert_uint_eq(work, taken.work);
    ck_assert_mem_eq(&a, &b, sizeof a);
    work = taken.work - 1;
    b = untouched;
    ck_assert(risk_exact_bounded(&g->m, PLENTY, &work, &done, &b.expected, b.birnbaum, NULL) ==
              COAMING_OK);
    ck_assert(!done);
    ck_assert_mem_eq(&b, &untouched, sizeof b);
    free(g);
}
END_TEST

/* Exactly the bytes that it took are enough, and one fewer is not. */
START_TEST(the_bound_is_kept_to_the_byte)
{
    graph *g = wide(5);
    exact_taken taken, again;
    bool done = false;
    answer a = {0}, b = {0};
    ck_assert(exact_run(&g->m, PLENTY, &done, &a.expected, a.birnbaum, &taken, NULL) == COAMING_OK);
    ck_assert(done);
    ck_assert(exact_run(&g->m, taken.bytes, &done, &b.expected, b.birnbaum, &again, NULL) ==
              COAMING_OK);
    ck_assert(done);
    ck_assert_mem_eq(&a, &b, sizeof a);
    ck_assert(exact_run(&g->m, taken.bytes - 1, &done, &b.expected, b.birnbaum, &again, NULL) ==
              COAMING_OK);
    ck_assert(!done);
    for (size_t bytes = 0; bytes < taken.bytes; bytes += bytes < 20000 ? 40 : taken.bytes / 20) {
        ck_assert(exact_run(&g->m, bytes, &done, &b.expected, b.birnbaum, &again, NULL) ==
                  COAMING_OK);
        CLAIM(!done, "%zu bytes", bytes);
    }
    ck_assert_mem_eq(&a, &b, sizeof a); /* nothing was written */
    free(g);
}
END_TEST

/* More nodes at once than labels can name, each with each; all is certain, so that there are few
 * states. */
START_TEST(too_wide_for_labels_is_not_done)
{
    int n = 252, count = 0;
    graph *g = graph_new(n);
    risk_edge *edges = calloc((size_t)n * (size_t)n / 2, sizeof *edges);
    double expected = -7, *birnbaum = calloc((size_t)n * (size_t)n / 2, sizeof *birnbaum);
    for (int u = 0; u < n; u++)
        for (int v = u + 1; v < n; v++, count++)
            edges[count] = (risk_edge){u, v, count, 1};
    g->m.edges = edges;
    g->m.edge_count = (size_t)count;
    bool done = true;
    exact_taken taken;
    ck_assert(exact_run(&g->m, PLENTY, &done, &expected, birnbaum, &taken, NULL) == COAMING_OK);
    ck_assert(!done);
    ck_assert_int_eq(taken.frontier, n);
    ck_assert_uint_eq(taken.bytes, 0);
    ck_assert_double_eq(expected, -7);
    free(edges);
    free(birnbaum);
    free(g);
}
END_TEST

/* The demo, both hazards, as it would be asked: every model within 1 MiB. */
START_TEST(the_demo_is_summed_exactly)
{
    coaming_ship *ship = ship_with_history("2026-11-10");
    double leaks[EDGES];
    risk_model *models = NULL;
    size_t count = 0;
    coaming_likelihood_all(ship, leaks);
    ck_assert_int_eq(risk_models_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, leaks,
                                     &models, &count, NULL),
                     COAMING_OK);
    ck_assert_uint_eq(count, 3);
    for (size_t i = 0; i < count; i++) {
        bool done = false;
        answer a = {0}, forced[2];
        risk_model *m = &models[i];
        MUST(!risk_exact(m, 1 << 20, &done, &a.expected, a.birnbaum, NULL) && done);
        ck_assert_double_gt(a.expected, 0);
        for (size_t e = i; e < m->edge_count; e += 7) {
            double p = m->edges[e].p;
            for (int k = 0; k < 2; k++) {
                m->edges[e].p = k;
                MUST(!risk_exact(m, 1 << 20, &done, &forced[k].expected, forced[k].birnbaum, NULL));
                MUST(done);
            }
            m->edges[e].p = p;
            same(a.birnbaum[e], forced[1].expected - forced[0].expected, forced[1].expected);
            same(a.expected, p * forced[1].expected + (1 - p) * forced[0].expected, 0);
        }
    }
    risk_models_free(models, count);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(out_of_memory_is_told_at_every_allocation)
{
    graph *g = random_graph(7, 9, RISK_ENUMERATED);
    coaming_error error;
    answer a;
    bool done;
    memory_fail_at(0);
    ck_assert(risk_exact(&g->m, PLENTY, &done, &a.expected, a.birnbaum, &error) == COAMING_OK);
    size_t all = memory_asked();
    ck_assert_uint_gt(all, 50);
    for (size_t n = 1; n <= all; n++) {
        memory_fail_at(n);
        done = true;
        MUST(risk_exact(&g->m, PLENTY, &done, &a.expected, a.birnbaum, &error) == COAMING_MEMORY);
        MUST(!done);
    }
    memory_fail_at(0);
    ck_assert(exact_all_joined(&g->m, PLENTY, &done, &a.expected, &error) == COAMING_OK);
    all = memory_asked();
    for (size_t n = 1; n <= all; n++) {
        memory_fail_at(n);
        MUST(exact_all_joined(&g->m, PLENTY, &done, &a.expected, &error) == COAMING_MEMORY);
    }
    memory_fail_at(0);
    ck_assert(risk_enumerate(&g->m, &a.expected, a.birnbaum, a.by_way));
    all = memory_asked();
    for (size_t n = 1; n <= all; n++) {
        memory_fail_at(n);
        MUST(!risk_enumerate(&g->m, &a.expected, a.birnbaum, a.by_way));
    }
    memory_fail_at(0);
    free(g);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("exact");
    TCase *random = tcase_create("random models");
    tcase_add_loop_test(random, enumeration_agrees_with_trying_all_ways, 0, 60);
    tcase_add_loop_test(random, the_exact_method_agrees_with_enumeration, 0, 30);
    tcase_add_loop_test(random, birnbaum_is_the_difference_that_an_edge_makes, 0, 8);
    suite_add_tcase(suite, random);
    TCase *known = tcase_create("known networks");
    tcase_add_test(known, nothing_to_join);
    tcase_add_test(known, three_in_a_row_by_hand);
    tcase_add_test(known, water_from_a_space_and_the_sea_by_hand);
    tcase_add_test(known, polynomials_of_small_networks);
    tcase_add_test(known, values_of_networks_from_s_to_t);
    tcase_add_test(known, values_of_networks_all_terminal);
    tcase_add_test(known, rings);
    tcase_add_test(known, self_dual_lattices);
    tcase_add_test(known, birnbaum_in_series_and_side_by_side);
    tcase_add_test(known, importance_in_the_bridge);
    tcase_add_test(known, fussell_vesely_in_the_bridge);
    suite_add_tcase(suite, known);
    TCase *bounds = tcase_create("orders and memory");
    tcase_add_loop_test(bounds, any_order_gives_the_same, 0, 10);
    tcase_add_test(bounds, a_long_row_is_cheap);
    tcase_add_test(bounds, a_wide_grid_does_not_fit_and_writes_nothing);
    tcase_add_test(bounds, the_bound_is_kept_to_the_byte);
    tcase_add_test(bounds, the_bound_of_work_is_kept);
    tcase_add_test(bounds, edges_side_by_side_are_work);
    tcase_add_test(bounds, the_demo_is_summed_exactly);
    tcase_add_test(bounds, too_wide_for_labels_is_not_done);
    tcase_add_test(bounds, out_of_memory_is_told_at_every_allocation);
    suite_add_tcase(suite, bounds);
    return run_suite(suite);
}
