/* What is asked of igraph, against published figures and brute force. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "graph/graph.h"
#include "runner.h"
#include "ships.h"

static graph *make(size_t vertices, size_t edges, const int *ends, bool directed)
{
    graph *g = NULL;
    coaming_error error;
    coaming_status status = graph_new(vertices, edges, ends, directed, &g, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    return g;
}

/* W. W. Zachary, "An information flow model for conflict and fission in small groups", Journal of
 * Anthropological Research 33 (1977), 452-473: the karate club, 34 members, 78 ties; numbered from
 * 0. The list is that of networkx 2.8.8 (karate_club_graph). */
static const int karate[] = {
    0,  1,  0,  2,  0,  3,  0,  4,  0,  5,  0,  6,  0,  7,  0,  8,  0,  10, 0,  11, 0,  12, 0,
    13, 0,  17, 0,  19, 0,  21, 0,  31, 1,  2,  1,  3,  1,  7,  1,  13, 1,  17, 1,  19, 1,  21,
    1,  30, 2,  3,  2,  7,  2,  8,  2,  9,  2,  13, 2,  27, 2,  28, 2,  32, 3,  7,  3,  12, 3,
    13, 4,  6,  4,  10, 5,  6,  5,  10, 5,  16, 6,  16, 8,  30, 8,  32, 8,  33, 9,  33, 13, 33,
    14, 32, 14, 33, 15, 32, 15, 33, 18, 32, 18, 33, 19, 33, 20, 32, 20, 33, 22, 32, 22, 33, 23,
    25, 23, 27, 23, 29, 23, 32, 23, 33, 24, 25, 24, 27, 24, 31, 25, 31, 26, 29, 26, 33, 27, 33,
    28, 31, 28, 33, 29, 32, 29, 33, 30, 32, 30, 33, 31, 32, 31, 33, 32, 33};
enum { KARATE = 78 };

START_TEST(karate_club_has_one_bridge_and_one_choke)
{
    /* bridge (0,11), articulation point 0: computed with networkx 3.6.1, an independent library */
    ck_assert_uint_eq(sizeof karate / sizeof *karate, 2 * KARATE);
    graph *g = make(34, KARATE, karate, false);
    bool bridge[KARATE], choke[34];
    ck_assert_int_eq(graph_bridges(g, bridge, NULL), COAMING_OK);
    ck_assert_int_eq(graph_chokes(g, choke, NULL), COAMING_OK);
    for (int e = 0; e < KARATE; e++)
        ck_assert_int_eq(bridge[e], karate[2 * e] == 0 && karate[2 * e + 1] == 11);
    for (int v = 0; v < 34; v++)
        ck_assert_int_eq(choke[v], v == 0);
    graph_free(g);
}
END_TEST

START_TEST(karate_club_has_ten_disjoint_ways_between_its_leaders)
{
    /* Menger, Fundamenta Mathematicae 10 (1927); the value 10 computed with networkx 3.6.1 */
    graph *g = make(34, KARATE, karate, false);
    int ways = 0;
    ck_assert_int_eq(graph_disjoint_ways(g, 0, 33, &ways, NULL), COAMING_OK);
    ck_assert_int_eq(ways, 10);
    ck_assert_int_eq(graph_disjoint_ways(g, 11, 33, &ways, NULL), COAMING_OK);
    ck_assert_int_eq(ways, 1);
    ck_assert_int_ne(graph_disjoint_ways(g, 3, 3, &ways, NULL), COAMING_OK);
    ck_assert_int_ne(graph_disjoint_ways(g, -1, 3, &ways, NULL), COAMING_OK);
    graph_free(g);
}
END_TEST

START_TEST(complete_graphs_and_cycles_have_the_ways_that_Menger_gives)
{
    /* K_n: n - 1 edge-disjoint ways between any two; a cycle: 2. Derivable: count the edges at a
     * vertex, and give that many ways. */
    for (int n = 2; n <= 7; n++) {
        int ends[2 * 21], edges = 0, ways;
        for (int a = 0; a < n; a++)
            for (int b = a + 1; b < n; b++, edges++)
                ends[2 * edges] = a, ends[2 * edges + 1] = b;
        graph *g = make((size_t)n, (size_t)edges, ends, false);
        ck_assert_int_eq(graph_disjoint_ways(g, 0, n - 1, &ways, NULL), COAMING_OK);
        ck_assert_int_eq(ways, n - 1);
        graph_free(g);
    }
    static const int cycle[] = {0, 1, 1, 2, 2, 3, 3, 0};
    int ways;
    graph *g = make(4, 4, cycle, false);
    ck_assert_int_eq(graph_disjoint_ways(g, 0, 2, &ways, NULL), COAMING_OK);
    ck_assert_int_eq(ways, 2);
    graph_free(g);
}
END_TEST

/* T. Lengauer and R. E. Tarjan, "A fast algorithm for finding dominators in a flowgraph", ACM
 * TOPLAS 1(1), 1979, figure 1: 13 vertices R, A to L, 21 arcs; figure 2 gives its dominator tree.
 */
START_TEST(dominators_are_those_of_Lengauer_and_Tarjans_figure)
{
    static const char arcs[] = "RA RB RC AD BA BD BE CF CG DL EH FI GI GJ HE HK IK JI KI KR LH ";
    static const char vertices[] = "RABCDEFGHIJKL";
    /* idom of A..L: A,B,C,D,E,H,I,K -> R; F,G -> C; J -> G; L -> D */
    static const char dominators[] = "-RRRRRCCRRGRD";
    int ends[42], found[13];
    for (int i = 0; i < 21; i++)
        for (int k = 0; k < 2; k++)
            ends[2 * i + k] = (int)(strchr(vertices, arcs[3 * i + k]) - vertices);
    graph *g = make(13, 21, ends, true);
    ck_assert_int_eq(graph_dominators(g, 0, found, NULL), COAMING_OK);
    ck_assert_int_eq(found[0], -1);
    for (int v = 1; v < 13; v++)
        ck_assert_int_eq(vertices[found[v]], dominators[v]);
    ck_assert_int_ne(graph_dominators(g, 13, found, NULL), COAMING_OK);
    graph_free(g);
}
END_TEST

START_TEST(where_no_way_leads_there_is_no_dominator)
{
    static const int ends[] = {0, 1, 2, 1};
    int found[3];
    graph *g = make(3, 2, ends, true);
    ck_assert_int_eq(graph_dominators(g, 0, found, NULL), COAMING_OK);
    ck_assert_int_eq(found[1], 0);
    ck_assert_int_eq(found[2], -2);
    graph_free(g);
}
END_TEST

/* Brute force: do the ends stay joined without an edge, or the rest without a vertex? */
static void flood(int n, int m, const int *ends, int skip_edge, int skip_vertex, int from,
                  bool *seen)
{
    memset(seen, 0, (size_t)n * sizeof *seen);
    seen[from] = true;
    for (bool grown = true; grown;) {
        grown = false;
        for (int e = 0; e < m; e++) {
            int a = ends[2 * e], b = ends[2 * e + 1];
            if (e == skip_edge || a == skip_vertex || b == skip_vertex || seen[a] == seen[b])
                continue;
            seen[a] = seen[b] = grown = true;
        }
    }
}

static int components(int n, int m, const int *ends, int skip_vertex)
{
    bool any[16] = {false}, seen[16];
    int count = 0;
    for (int v = 0; v < n; v++) {
        if (any[v] || v == skip_vertex)
            continue;
        count++;
        flood(n, m, ends, -1, skip_vertex, v, seen);
        for (int u = 0; u < n; u++)
            any[u] = any[u] || seen[u];
    }
    return count;
}

START_TEST(bridges_chokes_and_forest_agree_with_brute_force)
{
    dice d = {(uint64_t)_i};
    int n = 1 + dice_below(&d, 9), m = dice_below(&d, 14), ends[28], order[16], parent[16];
    bool bridge[14], choke[16], seen[16];
    for (int i = 0; i < 2 * m; i++)
        ends[i] = dice_below(&d, n); /* loops and parallel edges are welcome */
    graph *g = make((size_t)n, (size_t)m, ends, false);
    ck_assert_int_eq(graph_bridges(g, bridge, NULL), COAMING_OK);
    ck_assert_int_eq(graph_chokes(g, choke, NULL), COAMING_OK);
    ck_assert_int_eq(graph_forest(g, order, parent, NULL), COAMING_OK);
    for (int e = 0; e < m; e++) {
        flood(n, m, ends, e, -1, ends[2 * e], seen);
        ck_assert_int_eq(bridge[e], !seen[ends[2 * e + 1]]);
    }
    int whole = components(n, m, ends, -1), roots = 0;
    bool met[16] = {false};
    for (int v = 0; v < n; v++) {
        ck_assert_int_eq(choke[v], components(n, m, ends, v) > whole);
        roots += parent[v] < 0;
    }
    ck_assert_int_eq(roots, whole);
    for (int i = 0; i < n; i++) {
        ck_assert(!met[order[i]]);
        met[order[i]] = true;
        ck_assert(parent[order[i]] < 0 || met[parent[order[i]]]);
    }
    ck_assert_int_eq(graph_left_over(), 0);
    graph_free(g);
}
END_TEST

/* Capacity of the edges from the marked side to the rest; directed: or in one direction only. */
static double capacity_out(const int *ends, const double *capacity, int m, const bool *side,
                           bool directed, bool out)
{
    double sum = 0;
    for (int e = 0; e < m; e++) {
        bool a = side[ends[2 * e]], b = side[ends[2 * e + 1]];
        if (a != b && (!directed || a == out))
            sum += capacity[e];
    }
    return sum;
}

/* T. H. Cormen, C. E. Leiserson, R. L. Rivest and C. Stein, "Introduction to Algorithms", 3rd
 * edition, 2009, figure 26.1: s, v1, v2, v3, v4, t; greatest flow 23, least cut {s, v1, v2, v4}
 * (figure 26.6; figure numbers from memory, value and cut also by networkx 3.6.1). */
START_TEST(the_network_of_Cormen_and_others_carries_23)
{
    static const int ends[] = {0, 1, 0, 2, 1, 3, 2, 1, 3, 2, 2, 4, 4, 3, 3, 5, 4, 5};
    static const double capacity[] = {16, 13, 12, 4, 9, 14, 7, 20, 4};
    static const bool side[] = {true, true, true, false, true, false};
    bool near[6], far[6];
    double value = 0;
    graph *g = make(6, 9, ends, true);
    ck_assert_int_eq(graph_min_cut(g, capacity, 0, 5, &value, near, far, NULL), COAMING_OK);
    ck_assert_double_eq(value, 23);
    for (int v = 0; v < 6; v++) {
        ck_assert_int_eq(near[v], side[v]);
        ck_assert_int_eq(far[v], !side[v]);
    }
    graph_free(g);
}
END_TEST

START_TEST(karate_club_carries_ten_between_its_leaders)
{
    /* computed with networkx 3.6.1, an independent library */
    double capacity[KARATE], value = 0;
    for (int e = 0; e < KARATE; e++)
        capacity[e] = 1;
    graph *g = make(34, KARATE, karate, false);
    ck_assert_int_eq(graph_min_cut(g, capacity, 0, 33, &value, NULL, NULL, NULL), COAMING_OK);
    ck_assert_double_eq(value, 10);
    ck_assert_int_eq(graph_min_cut(g, capacity, 33, 0, &value, NULL, NULL, NULL), COAMING_OK);
    ck_assert_double_eq(value, 10);
    graph_free(g);
}
END_TEST

/* Against all sides that a cut can have: the value, and that near and far are the least sides of
 * all least cuts (the least sides are the common part of all: cuts of least capacity are closed
 * under intersection). */
static void check_least_cut(int number)
{
    dice d = {(uint64_t)number * 31 + 3};
    int n = 2 + dice_below(&d, 6), m = dice_below(&d, 14), ends[28];
    int common_near = ~0, common_far = ~0;
    bool directed = dice_below(&d, 2), near[8], far[8], side[8];
    double capacity[14], value = -1, least = INFINITY;
    for (int i = 0; i < 2 * m; i++)
        ends[i] = dice_below(&d, n); /* loops and parallel edges are welcome */
    for (int e = 0; e < m; e++)
        capacity[e] = dice_below(&d, 4);           /* and edges of no capacity */
    for (int mask = 1; mask < 1 << n; mask += 2) { /* 0 is in, 1 is out */
        if (mask & 2)
            continue;
        for (int v = 0; v < n; v++)
            side[v] = mask >> v & 1;
        double sum = capacity_out(ends, capacity, m, side, directed, true);
        if (sum < least)
            common_near = common_far = ~0;
        if (sum <= least) {
            common_near &= mask;
            common_far &= ~mask;
            least = sum;
        }
    }
    graph *g = make((size_t)n, (size_t)m, ends, directed);
    ck_assert_int_eq(graph_min_cut(g, capacity, 0, 1, &value, near, far, NULL), COAMING_OK);
    ck_assert_double_eq(value, least);
    ck_assert_double_eq(capacity_out(ends, capacity, m, near, directed, true), least);
    ck_assert_double_eq(capacity_out(ends, capacity, m, far, directed, false), least);
    for (int v = 0; v < n; v++) {
        ck_assert_int_eq(near[v], common_near >> v & 1);
        ck_assert_int_eq(far[v], common_far >> v & 1);
    }
    ck_assert_int_eq(graph_left_over(), 0);
    graph_free(g);
}

/* Many in one process: each loop of Check is a process of its own. */
START_TEST(least_cuts_agree_with_brute_force)
{
    for (int number = _i * 100; number < (_i + 1) * 100; number++)
        check_least_cut(number);
}
END_TEST

START_TEST(cuts_that_cannot_be_exact_are_refused)
{
    static const int ends[] = {0, 1, 1, 2};
    static const double bad[][2] = {{0.5, 1}, {-1, 1},  {INFINITY, 1},
                                    {NAN, 1}, {1, NAN}, {4503599627370496, 4503599627370496}};
    double value = 7, good[] = {3, 4};
    graph *g = make(3, 2, ends, false);
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_int_eq(graph_min_cut(g, bad[i], 0, 2, &value, NULL, NULL, NULL),
                         COAMING_INTERNAL);
    static const int wrong[][2] = {{0, 0}, {-1, 2}, {0, 3}, {3, 0}};
    for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
        ck_assert_int_eq(graph_min_cut(g, good, wrong[i][0], wrong[i][1], &value, NULL, NULL, NULL),
                         COAMING_INTERNAL);
    ck_assert_double_eq(value, 7);
    ck_assert_int_eq(graph_min_cut(g, good, 0, 2, &value, NULL, NULL, NULL), COAMING_OK);
    ck_assert_double_eq(value, 3);
    ck_assert_int_eq(graph_left_over(), 0);
    graph_free(g);
}
END_TEST

START_TEST(a_shortest_way_takes_no_wrong_length)
{
    static const int ends[] = {0, 1, 1, 2, 0, 2, 3, 3};
    double weight[] = {1, 1, 3, 0}, bad[] = {1, NAN, 3, 0}, endless[] = {1, INFINITY, 3, 0};
    int edges[3];
    size_t count = 9;
    graph *g = make(4, 4, ends, false);
    ck_assert_int_eq(graph_way(g, weight, 0, 2, edges, &count, NULL), COAMING_OK);
    ck_assert_uint_eq(count, 2);
    ck_assert(edges[0] == 0 && edges[1] == 1);
    ck_assert_int_eq(graph_way(g, weight, 0, 3, edges, &count, NULL), COAMING_OK);
    ck_assert_uint_eq(count, 0);
    ck_assert_int_eq(graph_way(g, bad, 0, 2, edges, &count, NULL), COAMING_INTERNAL);
    ck_assert_int_eq(graph_way(g, endless, 0, 2, edges, &count, NULL), COAMING_INTERNAL);
    ck_assert_int_eq(graph_way(g, weight, -5000000, 2, edges, &count, NULL), COAMING_INTERNAL);
    ck_assert_int_eq(graph_way(g, weight, 0, 4, edges, &count, NULL), COAMING_INTERNAL);
    ck_assert_int_eq(graph_left_over(), 0);
    graph_free(g);
}
END_TEST

START_TEST(an_edge_to_nowhere_is_refused)
{
    static const int ends[] = {0, 3};
    graph *g = NULL;
    coaming_error error;
    ck_assert_int_eq(graph_new(3, 1, ends, false, &g, &error), COAMING_INTERNAL);
    ck_assert_ptr_null(g);
    ck_assert_int_eq(graph_left_over(), 0);
}
END_TEST

START_TEST(no_vertices_and_no_edges_are_fine)
{
    graph *g = make(0, 0, NULL, false);
    int order[1], parent[1];
    ck_assert_int_eq(graph_forest(g, order, parent, NULL), COAMING_OK);
    graph_free(g);
    g = make(3, 0, NULL, false);
    ck_assert_int_eq(graph_forest(g, (int[3]){0}, (int[3]){0}, NULL), COAMING_OK);
    graph_free(g);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("graph");
    TCase *all = tcase_create("all");
    tcase_add_test(all, karate_club_has_one_bridge_and_one_choke);
    tcase_add_test(all, karate_club_has_ten_disjoint_ways_between_its_leaders);
    tcase_add_test(all, complete_graphs_and_cycles_have_the_ways_that_Menger_gives);
    tcase_add_test(all, dominators_are_those_of_Lengauer_and_Tarjans_figure);
    tcase_add_test(all, where_no_way_leads_there_is_no_dominator);
    tcase_add_loop_test(all, bridges_chokes_and_forest_agree_with_brute_force, 0, 500);
    tcase_add_test(all, an_edge_to_nowhere_is_refused);
    tcase_add_test(all, no_vertices_and_no_edges_are_fine);
    tcase_add_test(all, the_network_of_Cormen_and_others_carries_23);
    tcase_add_test(all, karate_club_carries_ten_between_its_leaders);
    tcase_add_loop_test(all, least_cuts_agree_with_brute_force, 0, 30);
    tcase_add_test(all, a_shortest_way_takes_no_wrong_length);
    tcase_add_test(all, cuts_that_cannot_be_exact_are_refused);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
