/*
 * bench_risk SHIP.xml [LOG.xml ...] - how fast the expected loss is summed.
 *
 * The exact method on each model of the given ship (default query and worth): its frontier and
 * states, memory and seconds; then on a made-up model of 14 uncertain edges against enumeration in
 * the same run, and on ladders that grow wide against a bound of 64 MiB.
 */
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "analyse/risk/exact.h"
#include "base/memory.h"
#include "bench.h"
#include "coaming/likelihood.h"

enum { MANY = 1000 };
static const size_t BOUND = (size_t)64 << 20;

static double now(void)
{
    return seconds(CLOCK_MONOTONIC);
}

static coaming_ship *load_all(char **paths, int count)
{
    coaming_load_options options = {(const char *const *)paths + 1, (size_t)count - 1, 20767,
                                    20767};
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    coaming_error error;
    must(coaming_ship_load(paths[0], &options, faults, &ship, &error), &error);
    coaming_faults_free(faults);
    return ship;
}

static void exact(const risk_model *m, const char *name)
{
    double *birnbaum = memory_new(m->edge_count, sizeof *birnbaum), expected = 0;
    exact_taken taken;
    coaming_error error;
    bool done;
    double start = now();
    must(exact_run(m, BOUND, &done, &expected, birnbaum, &taken, &error), &error);
    double seconds = now() - start;
    printf(
        "%-16s %4d nodes %4zu edges: frontier %2d, %8zu states, widest %7zu, %8.1f KiB, %8.2f ms",
        name, m->node_count, m->edge_count, taken.frontier, taken.states, taken.widest,
        (double)taken.bytes / 1024, 1e3 * seconds);
    if (done)
        printf(", expected %.9g\n", expected);
    else
        printf(", not within 64 MiB\n");
    memory_free(birnbaum);
}

static void ship_models(const coaming_ship *ship)
{
    double *leaks = memory_new(coaming_closure_count(ship), sizeof *leaks);
    risk_model *models = NULL;
    size_t count = 0;
    coaming_error error;
    coaming_likelihood_all(ship, leaks);
    must(risk_models_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, leaks, &models,
                         &count, &error),
         &error);
    for (size_t i = 0; i < count; i++)
        exact(&models[i], models[i].hazard == COAMING_WATER ? "water" : "air");
    risk_models_free(models, count);
    memory_free(leaks);
}

/* A grid of nodes, long x wide, each edge with its own probability. */
static risk_model grid(int length, int width)
{
    int nodes = length * width;
    risk_model m = {.node_count = nodes,
                    .weight = memory_new((size_t)nodes, sizeof *m.weight),
                    .mass = memory_new((size_t)nodes, sizeof *m.mass),
                    .along = memory_new((size_t)nodes, sizeof *m.along),
                    .always = -1,
                    .total_weight = 1,
                    .edges = memory_new((size_t)nodes * 2, sizeof *m.edges)};
    for (int v = 0; v < nodes; v++) {
        m.weight[v] = 1.0 / nodes;
        m.mass[v] = 1 + v % 3;
        m.along[v] = v / width;
        for (int way = 0; way < 2; way++) {
            int to = way ? v + width : v + 1;
            if (to < nodes && (way || to / width == v / width)) {
                m.edges[m.edge_count] =
                    (risk_edge){v, to, (int)m.edge_count, 0.05 + 0.01 * (v % 20)};
                m.edge_count++;
            }
        }
    }
    return m;
}

static void grid_free(risk_model *m)
{
    memory_free(m->weight);
    memory_free(m->mass);
    memory_free(m->along);
    memory_free(m->edges);
}

/* Ten spaces two abreast, and one edge from end to end: 14 edges. */
static void against_enumeration(void)
{
    risk_model m = grid(5, 2);
    m.edges[13] = (risk_edge){0, 9, 13, 0.25};
    m.edge_count = 14;
    double expected[2], birnbaum[2][14], by_way[14];
    exact_taken taken;
    coaming_error error;
    bool done;
    double start = now();
    for (int i = 0; i < MANY; i++)
        must(exact_run(&m, BOUND, &done, &expected[0], birnbaum[0], &taken, &error), &error);
    double by_frontier = (now() - start) / MANY;
    start = now();
    for (int i = 0; i < 10; i++)
        if (!risk_enumerate(&m, &expected[1], birnbaum[1], by_way))
            exit(1);
    double by_all = (now() - start) / 10;
    printf("14 edges: exact %.3f ms, all states %.2f ms, ratio %.0f; expected %.15g and %.15g\n",
           1e3 * by_frontier, 1e3 * by_all, by_all / by_frontier, expected[0], expected[1]);
    grid_free(&m);
}

int main(int argc, char **argv)
{
    if (argc < 2) {
        fputs("usage: bench_risk SHIP.xml [LOG.xml ...]\n", stderr);
        return 2;
    }
    coaming_ship *ship = load_all(argv + 1, argc - 1);
    ship_models(ship);
    coaming_ship_free(ship);
    against_enumeration();
    for (int width = 4; width <= 12; width += 2) {
        risk_model m = grid(40, width);
        char name[20];
        snprintf(name, sizeof name, "grid 40 x %d", width);
        exact(&m, name);
        grid_free(&m);
    }
    return 0;
}
