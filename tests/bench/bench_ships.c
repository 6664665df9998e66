/*
 * bench_ships - load, expose --all and rank on made-up ships of 200, 2,000 and 20,000 spaces.
 *
 * For each: time (best of three), peak memory of a process of its own, growth against the size
 * before, and the ratio to the plain way in the same run: a fresh igraph reachability for each
 * closure and source. The plain way would take days at the larger sizes, so it is timed on a sample
 * of closures and sources drawn evenly and multiplied up; the sample's answers must agree.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "analyse/ranking/scenarios.h"
#include "bench.h"
#include "generate.h"
#include "plain.h"

typedef struct {
    double seconds, mib;
    double plain_seconds; /* multiplied up; 0: not asked for */
} measured;

static double now(void)
{
    return seconds(CLOCK_MONOTONIC);
}

static void work_load(const coaming_ship *ship, const char *path)
{
    (void)ship;
    coaming_ship_free(load(path));
}

static void work_expose(const coaming_ship *ship, const char *path)
{
    (void)path;
    FILE *out = fopen("/dev/null", "w");
    coaming_style style = {COAMING_JSON, false, 80};
    coaming_query q = coaming_query_default();
    coaming_exposure *e = NULL;
    coaming_outset *outset = NULL;
    if (coaming_exposure_new(ship, q, NULL, 0, &e, NULL) != COAMING_OK ||
        coaming_outset_new(ship, q, &outset, NULL) != COAMING_OK ||
        coaming_print_expose(out, style, outset, e, NULL) != COAMING_OK)
        exit(1);
    coaming_outset_free(outset);
    coaming_exposure_free(e);
    fclose(out);
}

static void work_rank(const coaming_ship *ship, const char *path)
{
    (void)path;
    coaming_ranking *k = NULL;
    if (coaming_ranking_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, &k, NULL) !=
        COAMING_OK)
        exit(1);
    coaming_ranking_free(k);
}

/* The plain way on a sample; returns seconds for all pairs asked for. Each sampled answer is
 * checked against the ranking: a closure's consequence is the weighted sum over scenarios, so for a
 * few closures all scenarios are run. */
static double plain_rank(const coaming_ship *ship, size_t closures_sampled)
{
    scenario *list = calloc(scenarios_room(ship), sizeof *list);
    coaming_ranking *k = NULL;
    coaming_ranking_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, &k, NULL);
    double spent = 0;
    size_t pairs = 0, all_pairs = 0, n = ship->closure_count;
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        size_t count = scenarios_for(ship, (coaming_hazard)h, list);
        size_t step = count > 500 ? count / 100 : 1; /* sources: all, or about a hundred */
        all_pairs += count * n;
        for (size_t i = 0; i < closures_sampled; i++) {
            const coaming_rank *row = coaming_ranking_get(k, i * (n - 1) / closures_sampled);
            double sum = 0, start = now();
            for (size_t s = 0; s < count; s += step, pairs++)
                sum += list[s].weight *
                       plain_loss(ship, (coaming_hazard)h, list[s].source, row->closure);
            spent += now() - start;
            if (step == 1 && fabs(sum - row->part[h]) > 1e-9 * (1 + fabs(sum))) {
                fprintf(stderr, "bench_ships: %s: plain %g, ranking %g\n",
                        coaming_closure_id(ship, row->closure), sum, row->part[h]);
                exit(1);
            }
        }
    }
    coaming_ranking_free(k);
    free(list);
    return spent / (double)pairs * (double)all_pairs;
}

static double plain_expose(const coaming_ship *ship, size_t closures_sampled)
{
    double start = now();
    size_t n = ship->closure_count;
    for (size_t i = 0; i < closures_sampled; i++) {
        int c = (int)(i * (n - 1) / closures_sampled);
        for (int h = 0; h < COAMING_HAZARDS; h++) {
            plain_loss(ship, (coaming_hazard)h, ship->links[c].a, c);
            plain_loss(ship, (coaming_hazard)h, ship->links[c].b, c);
        }
    }
    return (now() - start) / (double)closures_sampled * (double)n;
}

typedef void (*work)(const coaming_ship *ship, const char *path);
typedef double (*plain)(const coaming_ship *ship, size_t closures_sampled);

/* In a process of its own, so that its peak memory is its own. */
static measured measure(const char *path, work w, plain p, size_t sample)
{
    int ends[2];
    measured m = {0, 0, 0};
    if (pipe(ends))
        exit(1);
    pid_t child = fork();
    if (child == 0) {
        coaming_ship *ship = w == work_load ? NULL : load(path);
        m.seconds = INFINITY;
        for (int i = 0; i < 3; i++) {
            double start = now();
            w(ship, path);
            m.seconds = fmin(m.seconds, now() - start);
        }
        struct rusage usage;
        getrusage(RUSAGE_SELF, &usage);
        m.mib = (double)usage.ru_maxrss / 1024;
        if (p)
            m.plain_seconds = p(ship, sample);
        coaming_ship_free(ship);
        _exit(write(ends[1], &m, sizeof m) == sizeof m ? 0 : 1);
    }
    close(ends[1]);
    bool read_all = read(ends[0], &m, sizeof m) == sizeof m;
    close(ends[0]);
    int status = 1;
    waitpid(child, &status, 0);
    if (child < 0 || !read_all || status)
        exit(1);
    return m;
}

int main(int argc, char **argv)
{
    static const struct {
        const char *name;
        work work;
        plain plain;
    } works[] = {{"load and check", work_load, NULL},
                 {"expose --all", work_expose, plain_expose},
                 {"rank", work_rank, plain_rank}};
    static const size_t sizes[] = {200, 2000, 20000};
    size_t largest = argc > 1 ? strtoul(argv[1], NULL, 10) : 20000;
    double before[3] = {0};
    size_t spaces_before = 0;
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    if (file < 0)
        return 1;
    close(file);
    printf("%8s %8s  %-15s %10s %9s %17s %13s %12s\n", "spaces", "closures", "work", "seconds",
           "MiB", "growth time/size", "plain way, s", "ratio");
    fflush(stdout);
    for (size_t i = 0; i < 3 && sizes[i] <= largest; i++) {
        size_t spaces = generate_ship(path, sizes[i]);
        for (size_t w = 0; w < 3; w++) {
            measured m = measure(path, works[w].work, works[w].plain, sizes[i] < 2000 ? 60 : 10);
            printf("%8zu %8zu  %-15s %10.5f %9.1f", spaces, 3 * spaces, works[w].name, m.seconds,
                   m.mib);
            if (spaces_before)
                printf(" %9.1f / %5.1f", m.seconds / before[w],
                       (double)spaces / (double)spaces_before);
            else
                printf(" %17s", "-");
            if (m.plain_seconds > 0)
                printf(" %13.1f %12.0f", m.plain_seconds, m.plain_seconds / m.seconds);
            putchar('\n');
            fflush(stdout);
            before[w] = m.seconds;
        }
        spaces_before = spaces;
    }
    puts("plain way: a fresh igraph reachability per closure and source, timed on a sample and "
         "multiplied up");
    unlink(path);
    return 0;
}
