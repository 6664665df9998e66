/*
 * bench_round - rounds of 50 to 2,000 stops on made-up ships, and of 12 stops against every order.
 *
 * For each: processor time of the whole, of the ways and of the order; the walk against the bound
 * and against always going on to the nearest. At 12 stops the same table is also solved by dynamic
 * programming over subsets in the same run. 2,000 closures in one space are the worst for the ways.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "analyse/rounds/tour.h"
#include "analyse/rounds/walk.h"
#include "bench.h"
#include "generate.h"

static double now(void)
{
    return seconds(CLOCK_PROCESS_CPUTIME_ID);
}

/* Every so many-th closure. */
static int *spread(const coaming_ship *ship, size_t count)
{
    int *closures = calloc(count, sizeof *closures);
    for (size_t i = 0; i < count; i++)
        closures[i] = (int)(i * coaming_closure_count(ship) / count);
    return closures;
}

/* The same table as the round works with. */
static double *table_of(const coaming_ship *ship, const int *closures, size_t count, size_t *n)
{
    coaming_round_options options = coaming_round_options_default();
    coaming_error error;
    walk *w = NULL;
    must(walk_new(ship, &options, closures, count, &w, &error), &error);
    *n = walk_points(w);
    double *seconds = calloc(*n * *n, sizeof *seconds);
    walk_table(w, seconds);
    walk_free(w);
    return seconds;
}

static double nearest(const double *d, size_t n)
{
    bool *taken = calloc(n, sizeof *taken);
    int *order = calloc(n, sizeof *order);
    tour_nearest(d, n, taken, order);
    double length = tour_length(d, n, order);
    free(taken);
    free(order);
    return length;
}

static void measure(const char *path, size_t count)
{
    coaming_ship *ship = load(path);
    int *closures = spread(ship, count);
    coaming_round_options options = coaming_round_options_default();
    coaming_round *round = NULL;
    coaming_error error;
    double start = now();
    must(coaming_round_new(ship, &options, closures, count, &round, &error), &error);
    double whole = now() - start, bound, seconds = coaming_round_seconds(round);
    size_t n;
    start = now();
    double *d = table_of(ship, closures, count, &n);
    double ways = now() - start;
    int *order = calloc(n, sizeof *order);
    start = now();
    must(tour_find(d, n, n, order, &error), &error);
    double found = now() - start;
    start = now();
    must(tour_bound(d, n, n, tour_length(d, n, order), &bound, &error), &error);
    printf("%6zu %8zu %8zu %9.3f %8.3f %8.3f %8.3f %11.4f %13.4f\n", n - 1,
           coaming_space_count(ship), coaming_closure_count(ship), whole, ways, found,
           now() - start, seconds / coaming_round_bound(round), seconds / nearest(d, n));
    fflush(stdout);
    free(order);
    free(d);
    free(closures);
    coaming_round_free(round);
    coaming_ship_free(ship);
}

/* Shortest of all orders (Held and Karp, Journal of SIAM 10(1), 1962). */
static double exact(const double *d, size_t n)
{
    size_t m = n - 1, sets = (size_t)1 << m;
    double *least = calloc(sets * m, sizeof *least), best = INFINITY;
    for (size_t s = 1; s < sets; s++)
        for (size_t last = 0; last < m; last++) {
            size_t rest = s & ~((size_t)1 << last);
            double shortest = rest || rest == s ? INFINITY : d[last + 1];
            for (size_t k = 0; rest != s && k < m; k++)
                if (rest >> k & 1)
                    shortest = fmin(shortest, least[rest * m + k] + d[(k + 1) * n + last + 1]);
            least[s * m + last] = shortest;
        }
    for (size_t last = 0; last < m; last++)
        best = fmin(best, least[(sets - 1) * m + last] + d[last + 1]);
    free(least);
    return best;
}

static void against_exact(const char *path)
{
    coaming_ship *ship = load(path);
    int *closures = spread(ship, 12), order[13];
    coaming_error error;
    size_t n;
    double *d = table_of(ship, closures, 12, &n), start = now();
    for (int i = 0; i < 10; i++)
        must(tour_find(d, n, n, order, &error), &error);
    double found = (now() - start) / 10;
    start = now();
    double best = exact(d, n), plain = now() - start;
    printf(
        "%zu stops: order in %.2f ms, every subset in %.2f ms, ratio %.1f; length/shortest %.6f\n",
        n - 1, 1e3 * found, 1e3 * plain, plain / found, tour_length(d, n, order) / best);
    free(d);
    free(closures);
    coaming_ship_free(ship);
}

/* One space with closures of one kind in rows. */
static void write_hall(const char *path, size_t closures, const char *kind)
{
    FILE *out = fopen(path, "w");
    if (!out)
        exit(1);
    fputs("<?xml version=\"1.0\"?>\n<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"Hall\">"
          "<ship length=\"200\" beam=\"30\" depth=\"13\" draft=\"5\"/>"
          "<space id=\"a\" name=\"A\"><box x=\"0 200\" y=\"-15 15\" z=\"0 9\"/></space>\n",
          out);
    for (size_t i = 0; i < closures; i++)
        fprintf(out,
                "<closure id=\"c%zu\" kind=\"%s\" between=\"a weather\" rating=\"weathertight\">"
                "<clear x=\"%g\" y=\"%g\" z=\"9\" width=\"0.6\" height=\"0.6\" lies=\"deck\"/>"
                "</closure>\n",
                i, kind, (double)(i * 7919 % 2000) / 10, (double)(i * 104729 % 300) / 10 - 15);
    fputs("</arrangement>\n", out);
    if (fclose(out))
        exit(1);
}

int main(void)
{
    static const size_t counts[] = {12, 50, 200, 1000, COAMING_ROUND_MOST};
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    if (file < 0)
        return 1;
    close(file);
    printf("%6s %8s %8s %9s %8s %8s %8s %11s %13s\n", "stops", "spaces", "closures", "whole, s",
           "ways", "order", "bound", "walk/bound", "walk/nearest");
    for (size_t i = 0; i < sizeof counts / sizeof *counts; i++) {
        generate_ship(path, counts[i] < 500 ? 200 : counts[i]);
        measure(path, counts[i]);
    }
    puts("one space, valves, then hatches that can all be passed:");
    write_hall(path, COAMING_ROUND_MOST, "valve");
    measure(path, COAMING_ROUND_MOST);
    write_hall(path, COAMING_ROUND_MOST, "hatch");
    measure(path, COAMING_ROUND_MOST);
    generate_ship(path, 200);
    against_exact(path);
    unlink(path);
    return 0;
}
