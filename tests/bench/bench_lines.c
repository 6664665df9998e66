/*
 * bench_lines - all lines from near to far of a made-up ship, by one search, against a minimum cut
 * anew for each of them in the same run: igraph's, whose capacities are whole, with an edge to the
 * other end for what each space is worth. It tells how much worse the sets are than igraph's.
 * Processor time.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "bench.h"
#include "coaming/casualty.h"
#include "coaming/hold.h"
#include "coaming/likelihood.h"
#include "generate.h"
#include "graph/graph.h"
#include "graph/nested.h"
#include "ship/ship.h"

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

/* The ship's closures between spaces, and what spaces are worth; the source is space 0. graded: closures
 * hold the better the farther forward they are, so that there are many lines; as they are, a made-up
 * ship has few. */
typedef struct {
    size_t vertices, edges;
    int *ends;
    double *weight, *capacity;
} network;

static network network_of(const coaming_ship *ship, bool graded)
{
    double *leaks = calloc(ship->closure_count + 1, sizeof *leaks);
    network n = {ship->space_count, 0, calloc(2 * ship->closure_count, sizeof *n.ends),
                 calloc(ship->space_count, sizeof *n.weight),
                 calloc(ship->closure_count, sizeof *n.capacity)};
    coaming_likelihood_all(ship, leaks);
    for (size_t i = 0; i < ship->space_count; i++)
        n.weight[i] = 1 + (double)(i * 7919 % 13);
    for (size_t l = 0; l < ship->closure_count; l++) {
        const ship_link *link = &ship->links[l];
        if (link->a < 0 || link->b < 0 || link->passage)
            continue;
        n.ends[2 * n.edges] = link->a;
        n.ends[2 * n.edges + 1] = link->b;
        double far = exp(ship->spaces[link->a].parts->x0 / 15);
        n.capacity[n.edges++] = -log1p(-fmin(leaks[l], 0.999)) / (graded ? far : 1);
    }
    free(leaks);
    return n;
}

static void network_free(network *n)
{
    free(n->ends);
    free(n->weight);
    free(n->capacity);
}

/* A least cut for one t, by igraph. Whole numbers of 2^-50 of the sum. */
static void plain_cut(const network *n, double t, bool *near)
{
    size_t edges = n->edges + n->vertices;
    int *ends = calloc(2 * edges, sizeof *ends);
    double *capacity = calloc(edges, sizeof *capacity), sum = 0, value;
    for (size_t e = 0; e < n->edges; e++) {
        ends[2 * e] = n->ends[2 * e];
        ends[2 * e + 1] = n->ends[2 * e + 1];
        sum += capacity[e] = t * n->capacity[e];
    }
    for (size_t v = 0; v < n->vertices; v++) {
        ends[2 * (n->edges + v)] = (int)v;
        ends[2 * (n->edges + v) + 1] = (int)n->vertices;
        sum += capacity[n->edges + v] = n->weight[v];
    }
    for (size_t e = 0; e < edges; e++)
        capacity[e] = floor(capacity[e] / sum * 0x1p50 + 0.5);
    graph *g = NULL;
    coaming_error error;
    must(graph_new(n->vertices + 1, edges, ends, false, &g, &error), &error);
    must(graph_min_cut(g, capacity, 0, (int)n->vertices, &value, near, NULL, &error), &error);
    graph_free(g);
    free(ends);
    free(capacity);
}

/* Weight and t x capacity of a set. */
static double value_of(const network *n, double t, const bool *in)
{
    double sum = 0;
    for (size_t v = 0; v < n->vertices; v++)
        sum += in[v] ? n->weight[v] : 0;
    for (size_t e = 0; e < n->edges; e++)
        sum += in[n->ends[2 * e]] != in[n->ends[2 * e + 1]] ? t * n->capacity[e] : 0;
    return sum;
}

/* How much more than igraph's cut, as a share of it, the set is for a t in the middle of its own. */
static double cut_anew(const network *n, const nested_cuts *cuts, size_t i, bool *near, bool *own)
{
    double end = i + 1 < cuts->count ? cuts->from[i + 1] : 2 * cuts->from[i] + 1;
    double t = (cuts->from[i] + end) / 2;
    for (size_t v = 0; v < n->vertices; v++)
        own[v] = cuts->first[v] <= (int)i;
    plain_cut(n, t, near);
    return value_of(n, t, own) / value_of(n, t, near) - 1;
}

static void compare(const network *n)
{
    nested_graph g = {n->vertices, n->edges, n->ends, n->weight, n->capacity};
    nested_cuts cuts;
    coaming_error error;
    bool *near = calloc(n->vertices + 1, sizeof *near), *own = calloc(n->vertices, sizeof *own);
    double most = 0, start = now();
    must(nested_cuts_new(&g, &cuts, &error), &error);
    double once = now() - start;
    start = now();
    for (size_t i = 0; i < cuts.count; i++)
        most = fmax(most, cut_anew(n, &cuts, i, near, own));
    double anew = now() - start;
    printf("%zu spaces, %zu closures: %zu lines at once %.3f s; a cut anew for each %.3f s, ratio "
           "%.0f; at most %.1g more than igraph's\n",
           n->vertices, n->edges, cuts.count, once, anew, anew / once, most);
    free(near);
    free(own);
    nested_cuts_free(&cuts);
}

/* The whole answer, with what each line is expected to lose; at equilibrium also what each closure of
 * each line costs as it gives way. */
static void whole(const coaming_ship *ship, coaming_level_kind level, const char *at)
{
    coaming_query query = coaming_query_default();
    query.level.kind = level;
    coaming_hold *hold = NULL;
    coaming_error error;
    double start = now();
    must(coaming_hold_nested_new(ship, query, 0, &hold, &error), &error);
    double taken = now() - start;
    printf("both hazards with expected losses, %s: %.3f s; lines", at, taken);
    for (size_t i = 0; i < coaming_hold_count(hold); i++)
        printf(" %zu", coaming_hold_get(hold, i)->line_count);
    putchar('\n');
    coaming_hold_free(hold);
}

/* What a casualty asks besides: the ways, what each closure on them saves. */
static void casualty(const coaming_ship *ship)
{
    coaming_query query = coaming_query_default();
    coaming_hold *hold = NULL;
    coaming_casualty *asked = NULL;
    coaming_error error;
    coaming_place source = 0;
    double start = now();
    must(coaming_hold_nested_new(ship, query, source, &hold, &error), &error);
    double lines = now() - start;
    start = now();
    must(coaming_casualty_new(ship, query, COAMING_MEASURE_WORTH, &source, 1, &asked, &error),
         &error);
    double taken = now() - start;
    printf("casualty at the waterline at rest: %.3f s, %.2f times its lines; reached", taken,
           taken / lines);
    for (size_t i = 0; i < coaming_casualty_count(asked); i++)
        printf(" %zu", coaming_casualty_get(asked, i)->reached_count);
    putchar('\n');
    coaming_hold_free(hold);
    coaming_casualty_free(asked);
}

int main(int argc, char **argv)
{
    size_t spaces = argc > 1 ? strtoul(argv[1], NULL, 10) : 2000;
    char path[] = "/tmp/coaming-lines-XXXXXX";
    int file = mkstemp(path);
    if (file < 0 || !generate_ship(path, spaces))
        return EXIT_FAILURE;
    coaming_ship *ship = load(path);
    for (int graded = 0; graded < 2; graded++) {
        network n = network_of(ship, graded);
        compare(&n);
        network_free(&n);
    }
    whole(ship, COAMING_LEVEL_STILL, "at the waterline at rest");
    whole(ship, COAMING_LEVEL_EQUILIBRIUM, "at equilibrium");
    casualty(ship);
    coaming_ship_free(ship);
    close(file);
    unlink(path);
    return EXIT_SUCCESS;
}
