/*
 * bench_risk_sampled - sampled importances of all closures over all scenarios of made-up ships.
 *
 * First the ship of 2,000 spaces and 6,000 closures, with the likelihoods of her log (no date of a
 * gasket in it: all are taken as old), and with a tenth of them: time and samples until the
 * expected loss, the ten greatest risks and their Fussell-Vesely measures have standard errors of 1
 * %, and how many closures' risks have by then. In the same run the plain way: for each sample,
 * scenario and closure two fresh igraph reachabilities, with the closure passing and holding. That
 * would take years, so it is timed on some and multiplied up; its answers must agree with what the
 * sampler counted for the same samples. Then time and memory against the ship's size.
 */
#include <igraph/igraph.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "analyse/risk/sample.h"
#include "coaming/coaming.h"
#include "generate.h"

static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_MONOTONIC, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

/* Processor time of all threads so far. */
static double used(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void must(bool good, const char *what)
{
    if (good)
        return;
    fprintf(stderr, "bench_risk_sampled: %s\n", what);
    exit(1);
}

static coaming_ship *made_ship(size_t spaces)
{
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    must(file >= 0 && generate_ship(path, spaces) > 0, "no file");
    close(file);
    coaming_load_options options = {NULL, 0, 20700, 20700}; /* 2026-09-04 */
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    must(coaming_ship_load(path, &options, faults, &ship, NULL) == COAMING_OK, "not loaded");
    coaming_faults_free(faults);
    unlink(path);
    return ship;
}

/* factor: of the likelihoods, to see what rarer leaks do. */
static double *likelihoods(const coaming_ship *ship, double factor)
{
    double *p = calloc(ship->closure_count, sizeof *p), sum = 0;
    must(p, "no memory");
    coaming_likelihood_all(ship, p);
    for (size_t c = 0; c < ship->closure_count; c++)
        sum += p[c] *= factor;
    printf("mean probability of leaking %.4f\n", sum / (double)ship->closure_count);
    return p;
}

static coaming_risk *timed(const coaming_ship *ship, const double *p, uint64_t samples,
                           double *seconds)
{
    coaming_risk_options o = coaming_risk_default();
    o.method = COAMING_RISK_SAMPLED;
    o.samples = samples;
    coaming_risk *k = NULL;
    double start = now();
    must(coaming_risk_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, p, &o, &k, NULL) ==
             COAMING_OK,
         "no answer");
    *seconds = now() - start;
    return k;
}

/* Share of the closures whose risk has a standard error of at most `within` of it. */
static double share_within(const coaming_risk *k, size_t closures, double within)
{
    size_t count = 0;
    for (size_t c = 0; c < closures; c++) {
        const coaming_risk_row *r = coaming_risk_get(k, (int)c);
        count += r->risk_error <= within * r->risk;
    }
    return (double)count / (double)closures;
}

/* The plain way. */

typedef struct {
    double searches, seconds; /* done */
    double wanted;            /* for all closures and scenarios of one sample of every model */
} plain_way;

static double plain_reach(const risk_model *m, const bool *passes, int source)
{
    igraph_vector_int_t ends, reached;
    igraph_t g;
    double mass = 0;
    igraph_vector_int_init(&ends, 0);
    igraph_vector_int_init(&reached, 0);
    for (size_t e = 0; e < m->edge_count; e++)
        if (passes[e]) {
            igraph_vector_int_push_back(&ends, m->edges[e].u);
            igraph_vector_int_push_back(&ends, m->edges[e].v);
        }
    if (m->always >= 0 && source != m->always) { /* a source besides */
        igraph_vector_int_push_back(&ends, source);
        igraph_vector_int_push_back(&ends, m->always);
    }
    igraph_create(&g, &ends, m->node_count, IGRAPH_UNDIRECTED);
    igraph_subcomponent(&g, &reached, source, IGRAPH_ALL);
    for (igraph_integer_t i = 0; i < igraph_vector_int_size(&reached); i++)
        mass += m->mass[VECTOR(reached)[i]];
    igraph_destroy(&g);
    igraph_vector_int_destroy(&ends);
    igraph_vector_int_destroy(&reached);
    return mass;
}

static double plain_effect(const risk_model *m, bool *passes, size_t edge, plain_way *w)
{
    bool was = passes[edge];
    double sum = 0, start = now();
    for (int v = 0; v < m->node_count; v++) {
        if (m->weight[v] <= 0)
            continue;
        passes[edge] = true;
        sum += m->weight[v] * plain_reach(m, passes, v);
        passes[edge] = false;
        sum -= m->weight[v] * plain_reach(m, passes, v);
        w->searches += 2;
    }
    w->seconds += now() - start;
    passes[edge] = was;
    return sum;
}

/* One sample of a model: some edges in the plain way, and as the sampler counted them. */
static void compare(const risk_model *m, unsigned number, plain_way *w)
{
    enum { COMPARED = 3 };
    sample_plan *plan = NULL;
    sample_state s = {0}, one = {0};
    bool *passes = calloc(m->edge_count + 1, sizeof *passes);
    double mass = 0, scenarios = 0;
    for (int v = 0; v < m->node_count; v++) {
        mass += m->mass[v];
        scenarios += m->weight[v] > 0;
    }
    must(sample_plan_new(m, 1, number, &plan, NULL) == COAMING_OK, "no plan");
    must(sample_state_new(&s, plan) && sample_state_new(&one, plan), "no state");
    sample_draw_block(&s, 0);
    sample_draw(&s, 0);
    for (size_t e = 0; e < m->edge_count; e++)
        passes[e] = m->edges[e].p >= 1;
    for (int i = 0; i < s.passing_count; i++)
        passes[s.passing[i]] = true;
    sample_block_of(&one, 0, 1);
    double unit = m->total_weight * mass / (double)RISK_UNIT;
    for (size_t i = 0; i < COMPARED && m->edge_count; i++) {
        size_t e = (2 * i + 1) * m->edge_count / (2 * COMPARED);
        double plain = plain_effect(m, passes, e, w);
        double counted = unit * (double)(plan->base_effect[e] + one.tally.sums[e].effect);
        must(fabs(plain - counted) <= 1e-9 * (1 + fabs(plain)), "the plain way does not agree");
    }
    w->wanted += 2 * scenarios * (double)m->edge_count;
    free(passes);
    sample_state_free(&s);
    sample_state_free(&one);
    sample_plan_free(plan);
}

static plain_way plain(const coaming_ship *ship, const double *p)
{
    plain_way w = {0, 0, 0};
    risk_model *models = NULL;
    size_t count = 0;
    must(risk_models_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, p, &models, &count,
                         NULL) == COAMING_OK,
         "no models");
    for (size_t i = 0; i < count; i++)
        compare(&models[i], (unsigned)i, &w);
    risk_models_free(models, count);
    return w;
}

static void one_ship(size_t spaces, double factor)
{
    coaming_ship *ship = made_ship(spaces);
    size_t n = ship->closure_count;
    printf("%zu spaces, %zu closures; ", ship->space_count, n);
    double *p = likelihoods(ship, factor), seconds;
    plain_way w = plain(ship, p);
    double cpu = used();
    coaming_risk *k = timed(ship, p, 0, &seconds);
    cpu = used() - cpu;
    double samples = (double)coaming_risk_samples(k);
    double plain_seconds = w.seconds / w.searches * w.wanted * samples;
    printf(
        "    ten greatest to 1 %%: %.2f s (%.2f s of processors), %.0f samples, expected loss "
        "%.4f +- %.3f %%\n    risk to 1 %% for %.0f %%, to 5 %% for %.0f %%, to 20 %% for %.0f %% "
        "of all closures\n    plain way %.3g s, ratio %.3g\n",
        seconds, cpu, samples, coaming_risk_expected(k),
        100 * coaming_risk_error(k) / coaming_risk_expected(k), 100 * share_within(k, n, 0.01),
        100 * share_within(k, n, 0.05), 100 * share_within(k, n, 0.2), plain_seconds,
        plain_seconds / seconds);
    fflush(stdout);
    coaming_risk_free(k);
    free(p);
    coaming_ship_free(ship);
}

/* In a process of its own, so that its peak memory is its own. */
static void growth(size_t spaces)
{
    fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        coaming_ship *ship = made_ship(spaces);
        struct rusage before, after;
        printf("%8zu spaces %8zu closures; ", ship->space_count, ship->closure_count);
        double *p = likelihoods(ship, 0.1), seconds;
        getrusage(RUSAGE_SELF, &before);
        double cpu = used();
        coaming_risk *k = timed(ship, p, 8192, &seconds);
        cpu = used() - cpu;
        getrusage(RUSAGE_SELF, &after);
        printf("    8192 samples: %.2f s (%.2f s of processors), peak memory %.1f MiB, with the "
               "ship alone %.1f MiB\n",
               seconds, cpu, (double)after.ru_maxrss / 1024, (double)before.ru_maxrss / 1024);
        coaming_risk_free(k);
        free(p);
        coaming_ship_free(ship);
        fflush(stdout);
        _exit(0);
    }
    int status = 1;
    waitpid(child, &status, 0);
    must(child > 0 && status == 0, "growth");
}

int main(int argc, char **argv)
{
    size_t largest = argc > 1 ? strtoul(argv[1], NULL, 10) : 8000;
    one_ship(2000, 0.1);
    one_ship(2000, 1);
    static const size_t sizes[] = {500, 2000, 8000};
    for (size_t i = 0; i < sizeof sizes / sizeof *sizes && sizes[i] <= largest; i++)
        growth(sizes[i]);
    puts("plain way: two fresh igraph reachabilities per sample, scenario and closure, timed on "
         "some and multiplied up");
    return 0;
}
