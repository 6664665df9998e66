/*
 * bench_risk_sampled DEMO.xml LOG.xml plain_risk.py - importances of all closures over all
 * scenarios, and ratios to the plain way in the same run.
 *
 * The demo exactly. Then made-up ships, sampled until the expected loss, the ten greatest risks and
 * their Fussell-Vesely measures have standard errors of 1 %: 2,000 spaces and 6,000 closures with
 * the likelihoods of her log (no date of a gasket in it: all are taken as old) and with shares of
 * them, beside the plain way with igraph; 200 spaces beside a networkx script. Last the memory that
 * the sampler takes as the ship grows.
 */
#include <malloc.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "coaming/coaming.h"
#include "generate.h"
#include "plain_risk.h"

static double at_clock(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void must(bool good, const char *what)
{
    if (good)
        return;
    fprintf(stderr, "bench_risk_sampled: %s\n", what);
    exit(1);
}

/* date: days since 1970; the ships are looked at on 2026-09-04 and, the demo, 2026-11-10. */
static coaming_ship *load(const char *path, const char *log, int date)
{
    coaming_load_options options = {&log, log != NULL, date, date};
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    must(coaming_ship_load(path, &options, faults, &ship, NULL) == COAMING_OK, "not loaded");
    coaming_faults_free(faults);
    return ship;
}

/* A ship with probabilities that her closures leak, and what is asked of her. */
typedef struct {
    coaming_ship *ship;
    double *p, mean;
    risk_model *models;
    size_t model_count;
} subject;

/* factor: of the likelihoods, to see what rarer leaks do. */
static subject subject_new(coaming_ship *ship, double factor)
{
    subject s = {ship, calloc(ship->closure_count, sizeof *s.p), 0, NULL, 0};
    must(s.p, "no memory");
    coaming_likelihood_all(ship, s.p);
    for (size_t c = 0; c < ship->closure_count; c++)
        s.mean += (s.p[c] *= factor) / (double)ship->closure_count;
    must(risk_models_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, s.p, &s.models,
                         &s.model_count, NULL) == COAMING_OK,
         "no models");
    return s;
}

static subject made_up(size_t spaces, double factor)
{
    char path[] = "/tmp/coaming-bench-XXXXXX";
    int file = mkstemp(path);
    must(file >= 0 && generate_ship(path, spaces) > 0, "no file");
    close(file);
    subject s = subject_new(load(path, NULL, 20700), factor);
    unlink(path);
    return s;
}

static void subject_free(subject *s)
{
    risk_models_free(s->models, s->model_count);
    free(s->p);
    coaming_ship_free(s->ship);
}

typedef struct {
    coaming_risk *risk;
    double seconds, processor;
} answer;

static answer ask(const subject *s, coaming_risk_options o)
{
    answer a = {NULL, at_clock(CLOCK_MONOTONIC), at_clock(CLOCK_PROCESS_CPUTIME_ID)};
    must(coaming_risk_new(s->ship, coaming_query_default(), COAMING_MEASURE_WORTH, s->p, &o,
                          &a.risk, NULL) == COAMING_OK,
         "no answer");
    a.seconds = at_clock(CLOCK_MONOTONIC) - a.seconds;
    a.processor = at_clock(CLOCK_PROCESS_CPUTIME_ID) - a.processor;
    return a;
}

static answer sampled(const subject *s, uint64_t samples)
{
    coaming_risk_options o = coaming_risk_options_default();
    o.method = COAMING_RISK_SAMPLED;
    o.samples = samples;
    return ask(s, o);
}

static void demo(const char *path, const char *log)
{
    subject s = subject_new(load(path, log, 20767), 1);
    coaming_risk_options o = coaming_risk_options_default();
    o.method = COAMING_RISK_EXACT;
    o.loss_only = true;
    answer exact = ask(&s, o);
    o.loss_only = false;
    answer ways = ask(&s, o);
    printf("%s exactly, %zu spaces, %zu closures: %.1f ms, expected loss %.9g; with "
           "Fussell-Vesely sampled to 1 %%: %.0f ms\n",
           coaming_ship_name(s.ship), s.ship->space_count, s.ship->closure_count,
           1e3 * exact.seconds, coaming_risk_expected(exact.risk), 1e3 * ways.seconds);
    coaming_risk_free(exact.risk);
    coaming_risk_free(ways.risk);
    subject_free(&s);
}

/* Samples drawn of each model: the first of its sums. */
static double samples_of(const subject *s, const coaming_risk *risk, size_t model)
{
    coaming_risk_part part = coaming_risk_get_part(risk);
    size_t at = 0;
    for (size_t i = 0; i < model; i++)
        at += 6 + 6 * s->models[i].edge_count;
    must(at < part.sum_count && part.sums[at].high == 0, "no samples");
    return (double)part.sums[at].low;
}

static void print_errors(const coaming_risk *k, size_t closures)
{
    static const double shares[] = {0.01, 0.05, 0.2};
    size_t within[3] = {0};
    double greatest = 0, expected = coaming_risk_expected(k);
    for (size_t c = 0; c < closures; c++) {
        const coaming_risk_row *r = coaming_risk_get(k, (int)c);
        greatest = fmax(greatest, r->risk_error);
        for (int i = 0; i < 3; i++)
            within[i] += r->risk_error <= shares[i] * r->risk;
    }
    double all = (double)closures / 100;
    printf("    standard errors: expected loss %.3f %%; no closure's risk more than %.4f %% of the "
           "expected loss; of itself at most 1 %% for %.0f %%, 5 %% for %.0f %%, 20 %% for %.0f %% "
           "of all closures\n",
           100 * coaming_risk_error(k) / expected, 100 * greatest / expected,
           (double)within[0] / all, (double)within[1] / all, (double)within[2] / all);
}

static answer to_one_percent(const subject *s)
{
    answer a = sampled(s, 0);
    printf("%zu spaces, %zu closures, mean probability of leaking %.4f: %.2f s, %.2f s of "
           "processors; expected loss %.4f; samples",
           s->ship->space_count, s->ship->closure_count, s->mean, a.seconds, a.processor,
           coaming_risk_expected(a.risk));
    for (size_t i = 0; i < s->model_count; i++)
        printf(" %.0f", samples_of(s, a.risk, i));
    puts("");
    print_errors(a.risk, s->ship->closure_count);
    return a;
}

static void against_igraph(size_t spaces, double factor)
{
    subject s = made_up(spaces, factor);
    answer a = to_one_percent(&s);
    double plain = 0;
    for (size_t i = 0; i < s.model_count; i++) {
        double seconds;
        must(plain_risk_seconds(&s.models[i], (unsigned)i, &seconds),
             "the plain way does not agree");
        plain += seconds * samples_of(&s, a.risk, i);
    }
    printf("    igraph, a fresh reachability per sample, scenario and closure: %.3g s, ratio "
           "%.3g\n",
           plain, plain / a.seconds);
    fflush(stdout);
    coaming_risk_free(a.risk);
    subject_free(&s);
}

static void against_networkx(size_t spaces, double factor, const char *script)
{
    char path[] = "/tmp/coaming-bench-XXXXXX", command[4200];
    int file = mkstemp(path);
    FILE *out = file < 0 ? NULL : fdopen(file, "w");
    subject s = made_up(spaces, factor);
    answer a = to_one_percent(&s);
    double plain = 0, loss, error;
    must(out, "no file");
    plain_risk_write(s.models, s.model_count, out);
    must(fclose(out) == 0, "not written");
    snprintf(command, sizeof command, "/usr/bin/python3 '%s' 40 <'%s'", script, path);
    FILE *in = popen(command, "r");
    must(in, "no script");
    for (size_t i = 0; i < s.model_count; i++) {
        double seconds;
        must(fscanf(in, " seconds %lf", &seconds) == 1, "no answer of the script");
        plain += seconds * samples_of(&s, a.risk, i);
    }
    must(fscanf(in, " loss %lf %lf", &loss, &error) == 2 && pclose(in) == 0,
         "no answer of the script");
    unlink(path);
    must(fabs(loss - coaming_risk_expected(a.risk)) <= 5 * hypot(error, coaming_risk_error(a.risk)),
         "the script does not agree");
    printf("    networkx script (its expected loss %.2f +- %.2f): %.3g s, ratio %.3g\n", loss,
           error, plain, plain / a.seconds);
    fflush(stdout);
    coaming_risk_free(a.risk);
    subject_free(&s);
}

/* Of the process, in KiB. */
static double status_of(const char *what)
{
    char line[200];
    double found = NAN;
    FILE *in = fopen("/proc/self/status", "r");
    must(in, "no status");
    while (fgets(line, sizeof line, in))
        if (strncmp(line, what, strlen(what)) == 0)
            found = strtod(line + strlen(what) + 1, NULL);
    fclose(in);
    return found;
}

static void take_peak_anew(void)
{
    FILE *out = fopen("/proc/self/clear_refs", "w");
    must(out && fputs("5", out) >= 0 && fclose(out) == 0, "the peak is not taken anew");
}

/* In a process of its own, so that nothing is left over from the ship before. */
static void growth(size_t spaces)
{
    fflush(stdout);
    pid_t child = fork();
    if (child == 0) {
        subject s = made_up(spaces, 0.3);
        malloc_trim(0);
        take_peak_anew();
        double before = status_of("VmRSS");
        answer a = sampled(&s, 2048);
        double more = status_of("VmHWM") - before;
        printf(
            "    %5zu spaces %6zu closures: %6.2f MiB, %5.2f KiB a space; 2048 samples in %.2f s "
            "of processors\n",
            s.ship->space_count, s.ship->closure_count, more / 1024,
            more / (double)s.ship->space_count, a.processor);
        fflush(stdout);
        _exit(0);
    }
    int status = 1;
    waitpid(child, &status, 0);
    must(child > 0 && status == 0, "growth");
}

int main(int argc, char **argv)
{
    if (argc != 4) {
        fputs("usage: bench_risk_sampled DEMO.xml LOG.xml plain_risk.py\n", stderr);
        return 2;
    }
    demo(argv[1], argv[2]);
    puts("\nTo 1 %: the standard errors of the expected loss, of the ten greatest risks and of "
         "their\nFussell-Vesely measures are at most 1 % of each. Samples are of each plane. The "
         "plain ways\nwould take days: they are timed on some closures of one sample and "
         "multiplied up.");
    against_igraph(2000, 0.1);
    against_igraph(2000, 0.3);
    against_igraph(2000, 1);
    against_networkx(200, 0.3, argv[3]);
    printf("\nMost memory of the sampler, the ship apart, with %ld processors:\n",
           sysconf(_SC_NPROCESSORS_ONLN));
    for (size_t spaces = 500; spaces <= 4000; spaces *= 2)
        growth(spaces);
    return 0;
}
