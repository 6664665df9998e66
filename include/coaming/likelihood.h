/*
 * coaming/likelihood.h - how likely a closure leaks, from its whole history.
 *
 * Sound or leaking is a hidden state. Between entries a sound closure fails with a Weibull hazard
 * since its gasket was fitted: P(leaks by age b | sound at age a) = 1 - exp(-[(b/eta)^beta -
 * (a/eta)^beta]); beta = 1 is the constant rate of IEC 61508-6. A test of sensitivity Se (share of
 * leaking closures that fail it) and specificity Sp (share of sound ones that pass) is counted in
 * by Bayes; a repair makes the closure sound again, and a new gasket or a replaced closure also
 * starts its age anew. Over the log this is the forward recursion of a two-state hidden Markov
 * model (Rabiner, "A tutorial on hidden Markov models", Proceedings of the IEEE 77(2), 1989,
 * section III.A; title and place from memory).
 *
 * Parameters come from the arrangement's <ageing> and <method>; else from defaults, which are
 * assumptions without a source (coaming_likelihood_ageing, _method). leak-probability in the
 * arrangement replaces the estimate. Without a date of fitting the gasket is taken as eta old at
 * the closure's first entry, or on the as-of date if there is none (assumption). Entries before
 * the gasket was fitted are of an older one and do not count. Where a test of perfect sensitivity
 * or specificity contradicts what is certain so far, the test is believed.
 */
#ifndef COAMING_LIKELIHOOD_H
#define COAMING_LIKELIHOOD_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum {
    COAMING_STEP_FITTED, /* the gasket is new: sound */
    COAMING_STEP_TEST,
    COAMING_STEP_REPAIR,
    COAMING_STEP_NOW,  /* the as-of date */
    COAMING_STEP_GIVEN /* leak-probability of the arrangement */
} coaming_step_kind;

/* One step of the recursion. */
typedef struct {
    coaming_step_kind kind;
    coaming_date date;
    const char *what;      /* method of a test or action of a repair; NULL */
    coaming_result result; /* of a test */
    double age;            /* of the gasket then, years */
    double before, after;  /* probability that it leaks: aged up to then, and after the step */
    double sensitivity, specificity; /* of a test */
} coaming_step;

typedef struct {
    double probability;     /* as of the ship's date */
    double eta_years, beta; /* as used */
    bool ageing_assumed;    /* not given by the arrangement */
    bool methods_assumed;   /* at least one of the tests' Se and Sp */
    bool age_assumed;       /* no date of fitting */
    coaming_step *steps;    /* owned by the likelihood */
    size_t step_count;
} coaming_likelihood;

/* COAMING_MEMORY. Cost: entries. Freed as one. */
COAMING_API coaming_status coaming_likelihood_new(const coaming_ship *ship, int closure,
                                                  coaming_likelihood **likelihood,
                                                  coaming_error *error);
COAMING_API void coaming_likelihood_free(coaming_likelihood *likelihood);

/* The probabilities of all closures in file order, without steps. `all` has room for them. */
COAMING_API void coaming_likelihood_all(const coaming_ship *ship, double *all);

/* P(leaks by age b | sound at age a), ages in years; 0 <= a <= b. */
COAMING_API double coaming_weibull_failure(double eta, double beta, double a, double b);

/* P(leaks) after a test, from what it was before. */
COAMING_API double coaming_after_test(double before, double sensitivity, double specificity,
                                      coaming_result result);

/* Mean over one test interval of the probability that a closure which is sound after each test and
 * fails at a constant rate is leaking: 1 - (1 - exp(-x)) / x with x = rate x time between tests;
 * the average probability of IEC 61508-6 for one channel, without its approximation x / 2. */
COAMING_API double coaming_average_unsoundness(double rate, double between);

#ifdef __cplusplus
}
#endif

#endif
