/*
 * Least cuts from near to far, against all sets of the vertices. Weights and capacities are small
 * whole numbers, so that the oracle is exact and equal cuts are common.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "base/memory.h"
#include "graph/graph.h"
#include "graph/nested.h"
#include "runner.h"
#include "ships.h"

enum { MOST_VERTICES = 12, MOST_EDGES = 30, GRAPHS = 400 };

static int number_of_graph;

#define MUST(claim) CLAIM(claim, "graph %d: %s", number_of_graph, #claim)

typedef struct {
    int vertices, edges, ends[2 * MOST_EDGES];
    double weight[MOST_VERTICES], capacity[MOST_EDGES];
} small;

static nested_cuts cuts_of(const small *s)
{
    nested_graph g = {(size_t)s->vertices, (size_t)s->edges, s->ends, s->weight, s->capacity};
    nested_cuts cuts;
    MUST(nested_cuts_new(&g, &cuts, NULL) == COAMING_OK);
    return cuts;
}

static long weight_of(const small *s, unsigned set)
{
    long sum = 0;
    for (int v = 0; v < s->vertices; v++)
        sum += set >> v & 1 ? (long)s->weight[v] : 0;
    return sum;
}

static long capacity_of(const small *s, unsigned set)
{
    long sum = 0;
    for (int e = 0; e < s->edges; e++)
        sum += (set >> s->ends[2 * e] & 1) != (set >> s->ends[2 * e + 1] & 1) ? (long)s->capacity[e]
                                                                              : 0;
    return sum;
}

/* The set that is least for t = p / q, of equal ones the common part of all; with q = 0 for t
 * without bounds, of these that of least weight. */
static unsigned least_for(const small *s, long p, long q)
{
    long best = -1, lightest = 0;
    unsigned common = 0;
    for (unsigned set = 1; set < 1u << s->vertices; set += 2) {
        long weight = weight_of(s, set), value = q * weight + p * capacity_of(s, set);
        bool better = best < 0 || value < best || (value == best && q == 0 && weight < lightest);
        bool equal = value == best && (q > 0 || weight == lightest);
        common = better ? set : equal ? common & set : common;
        lightest = better ? weight : lightest;
        best = better ? value : best;
    }
    return common;
}

/* All sets from near to far: from one the next begins at the least t for which any set that is
 * heavier and cut for less is as good; of those the one for a t a little greater. */
static int all_sets(const small *s, unsigned *sets, double *from)
{
    int count = 0;
    unsigned last = least_for(s, 1, 0);
    sets[count] = 1;
    from[count++] = 0;
    /* a t less than any at which two sets can be equal: 1 / (sum of capacities + 1) */
    unsigned at = least_for(s, 1, capacity_of(s, 0x55555555u & ((1u << s->vertices) - 1)) + 100000);
    if (at != 1) {
        sets[count] = at;
        from[count++] = 0;
    }
    while (at != last) {
        long p = 0, q = 0;
        unsigned next = 0;
        for (unsigned set = 1; set < 1u << s->vertices; set += 2) {
            long more = weight_of(s, set) - weight_of(s, at);
            long less = capacity_of(s, at) - capacity_of(s, set);
            if (more <= 0 || less <= 0)
                continue;
            bool sooner = !next || more * q < p * less;
            bool with_it = next && more * q == p * less;
            if (sooner || (with_it && weight_of(s, set) > weight_of(s, next)))
                next = set;
            else if (with_it && weight_of(s, set) == weight_of(s, next))
                next &= set;
            if (sooner) {
                p = more;
                q = less;
            }
        }
        MUST(next != 0);
        sets[count] = at = next;
        from[count++] = (double)p / (double)q;
    }
    return count;
}

static unsigned set_of(const small *s, const nested_cuts *cuts, size_t number)
{
    unsigned set = 0;
    for (int v = 0; v < s->vertices; v++)
        set |= cuts->first[v] <= (int)number ? 1u << v : 0;
    return set;
}

static int sets_seen;

static void check_small(const small *s)
{
    unsigned sets[MOST_VERTICES + 2];
    double from[MOST_VERTICES + 2];
    nested_cuts cuts = cuts_of(s);
    int count = all_sets(s, sets, from);
    MUST((int)cuts.count == count);
    for (size_t i = 0; i < cuts.count; i++) {
        MUST(set_of(s, &cuts, i) == sets[i]);
        MUST(fabs(cuts.from[i] - from[i]) <= 1e-12 * from[i]);
    }
    sets_seen += count;
    nested_cuts_free(&cuts);
}

static small random_small(int number)
{
    dice d = {(uint64_t)number * 7919 + 5};
    small s = {.vertices = 1 + dice_below(&d, MOST_VERTICES - 2),
               .edges = dice_below(&d, MOST_EDGES)};
    int heaviest = 1 + dice_below(&d, 9), widest = 1 + dice_below(&d, 40);
    for (int v = 0; v < s.vertices; v++)
        s.weight[v] = dice_below(&d, heaviest + 1);
    for (int e = 0; e < s.edges; e++) {
        s.ends[2 * e] = dice_below(&d, s.vertices);
        s.ends[2 * e + 1] = dice_below(&d, s.vertices);
        s.capacity[e] = dice_below(&d, widest + 1);
    }
    return s;
}

static int how_many(int usual)
{
    const char *asked = getenv("COAMING_NESTED_GRAPHS");
    return asked ? atoi(asked) : usual;
}

START_TEST(all_cuts_agree_with_all_sets)
{
    int graphs = how_many(GRAPHS);
    sets_seen = 0;
    for (number_of_graph = 0; number_of_graph < graphs; number_of_graph++) {
        small s = random_small(number_of_graph);
        check_small(&s);
    }
    ck_assert_int_gt(sets_seen, 2 * graphs);
}
END_TEST

/* What is least does not hang on the units of weight and capacity, nor on the order of vertices and
 * edges; and each set costs no more than its neighbours where it begins. */
START_TEST(units_are_of_no_account)
{
    for (number_of_graph = 0; number_of_graph < 100; number_of_graph++) {
        small s = random_small(number_of_graph), t = s;
        for (int v = 0; v < s.vertices; v++)
            t.weight[v] *= 0x1p-60;
        for (int e = 0; e < s.edges; e++)
            t.capacity[e] *= 0x1p90;
        nested_cuts a = cuts_of(&s), b = cuts_of(&t);
        MUST(a.count == b.count);
        for (int v = 0; v < s.vertices; v++)
            MUST(a.first[v] == b.first[v]);
        for (size_t i = 0; i < a.count; i++)
            MUST(fabs(a.from[i] * 0x1p-150 - b.from[i]) <= 1e-12 * b.from[i]);
        nested_cuts_free(&a);
        nested_cuts_free(&b);
    }
}
END_TEST

/*
 * M. Stoer and F. Wagner, "A simple min-cut algorithm", Journal of the ACM 44(4), 1997, 585-591,
 * figure 1, page 588. The paper itself was not read. Read were its edges and weights, in public tests
 * of the algorithm, and in the article "Stoer-Wagner algorithm" of Wikipedia, which goes through the
 * same graph: the first phase cuts off vertex 1 by the edges (1,2) and (1,5), of 5 together; the least
 * cut of the graph has the edges (2,3) and (6,7). Figure and page from memory. Numbered from 0.
 *
 * No published example of a parametric cut with its numbers could be read, so of this graph all that
 * the_published_graph_from_near_to_far says is derived: from all its sets, and from plain cuts.
 */
static const int paper[] = {0, 1, 0, 4, 1, 2, 1, 4, 1, 5, 2, 3, 2, 6, 3, 6, 3, 7, 4, 5, 5, 6, 6, 7};
static const double paper_weights[] = {2, 3, 3, 2, 2, 4, 2, 2, 2, 3, 1, 3};
enum { PAPER_EDGES = 12, PAPER_VERTICES = 8 };

/* The graph seen from one vertex, so that this is number 0. */
static small paper_from(int source, double weight)
{
    small s = {.vertices = PAPER_VERTICES, .edges = PAPER_EDGES};
    for (int i = 0; i < 2 * PAPER_EDGES; i++)
        s.ends[i] = paper[i] == source ? 0 : paper[i] == 0 ? source : paper[i];
    for (int e = 0; e < PAPER_EDGES; e++)
        s.capacity[e] = paper_weights[e];
    for (int v = 0; v < PAPER_VERTICES; v++)
        s.weight[v] = weight;
    return s;
}

/* With all the weight on one vertex the set before it is given up is the least cut between the
 * two. */
static double least_cut(int source, int other)
{
    small s = paper_from(source, 0);
    s.weight[other == 0 ? source : other] = 1;
    nested_cuts cuts = cuts_of(&s);
    unsigned set = set_of(&s, &cuts, cuts.count - 2);
    ck_assert_uint_eq(set_of(&s, &cuts, cuts.count - 1), (1u << PAPER_VERTICES) - 1);
    double value = (double)capacity_of(&s, set);
    nested_cuts_free(&cuts);
    return value;
}

START_TEST(the_published_graph_is_cut_as_published)
{
    ck_assert_double_eq(least_cut(4, 0), 5); /* vertices 5 and 1: the cut of the first phase */
    double least = INFINITY;
    for (int v = 1; v < PAPER_VERTICES; v++)
        least = fmin(least, least_cut(0, v));
    ck_assert_double_eq(least, 4);
    ck_assert_double_eq(least_cut(0, 2), 4);
}
END_TEST

/* The same graph with a weight of 1 on each vertex, by all its sets; and by one plain cut for each t,
 * which igraph finds, with an edge from each vertex to the other end. */
START_TEST(the_published_graph_from_near_to_far)
{
    for (int source = 0; source < PAPER_VERTICES; source++) {
        number_of_graph = source;
        small s = paper_from(source, 1);
        check_small(&s);
        nested_cuts cuts = cuts_of(&s);
        for (size_t i = 0; i < cuts.count; i++) {
            double end = i + 1 < cuts.count ? cuts.from[i + 1] : cuts.from[i] + 2;
            double t = floor(512 * (cuts.from[i] + end)) / 1024; /* whole when times 1024 */
            int ends[2 * (PAPER_EDGES + PAPER_VERTICES)];
            double capacity[PAPER_EDGES + PAPER_VERTICES], value;
            bool near[PAPER_VERTICES + 1];
            for (int e = 0; e < PAPER_EDGES; e++) {
                ends[2 * e] = s.ends[2 * e];
                ends[2 * e + 1] = s.ends[2 * e + 1];
                capacity[e] = s.capacity[e] * t * 1024;
            }
            for (int v = 0; v < PAPER_VERTICES; v++) {
                ends[2 * (PAPER_EDGES + v)] = v;
                ends[2 * (PAPER_EDGES + v) + 1] = PAPER_VERTICES;
                capacity[PAPER_EDGES + v] = 1024;
            }
            graph *g = NULL;
            MUST(graph_new(PAPER_VERTICES + 1, PAPER_EDGES + PAPER_VERTICES, ends, false, &g,
                           NULL) == COAMING_OK);
            MUST(graph_min_cut(g, capacity, 0, PAPER_VERTICES, &value, near, NULL, NULL) ==
                 COAMING_OK);
            graph_free(g);
            for (int v = 0; v < PAPER_VERTICES; v++)
                MUST(near[v] == (cuts.first[v] <= (int)i));
        }
        nested_cuts_free(&cuts);
    }
}
END_TEST

START_TEST(one_vertex_no_edges_and_no_way)
{
    small alone = {.vertices = 1, .weight = {3}};
    nested_cuts cuts = cuts_of(&alone);
    ck_assert_uint_eq(cuts.count, 1);
    ck_assert_int_eq(cuts.first[0], 0);
    nested_cuts_free(&cuts);
    small apart = {.vertices = 3, .edges = 1, .ends = {1, 2}, .weight = {1, 1, 1}, .capacity = {2}};
    cuts = cuts_of(&apart);
    ck_assert_uint_eq(cuts.count, 1);
    ck_assert_int_eq(cuts.first[1], 1);
    ck_assert_int_eq(cuts.first[2], 1);
    nested_cuts_free(&cuts);
}
END_TEST

START_TEST(out_of_memory_is_told)
{
    small s = random_small(3);
    nested_graph g = {(size_t)s.vertices, (size_t)s.edges, s.ends, s.weight, s.capacity};
    nested_cuts cuts;
    coaming_error error;
    memory_fail_at(0);
    ck_assert_int_eq(nested_cuts_new(&g, &cuts, &error), COAMING_OK);
    size_t all = memory_asked();
    nested_cuts_free(&cuts);
    ck_assert_uint_gt(all, 10);
    for (size_t n = 1; n <= all; n++) {
        memory_fail_at(n);
        ck_assert_int_eq(nested_cuts_new(&g, &cuts, &error), COAMING_MEMORY);
        ck_assert_ptr_null(cuts.first);
    }
    memory_fail_at(0);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("nested");
    TCase *all = tcase_create("all");
    tcase_add_test(all, all_cuts_agree_with_all_sets);
    tcase_add_test(all, units_are_of_no_account);
    tcase_add_test(all, the_published_graph_is_cut_as_published);
    tcase_add_test(all, the_published_graph_from_near_to_far);
    tcase_add_test(all, one_vertex_no_edges_and_no_way);
    tcase_add_test(all, out_of_memory_is_told);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
