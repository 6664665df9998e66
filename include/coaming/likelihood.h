/*
 * coaming/likelihood.h - how likely a closure leaks, from its whole history.
 *
 * Sound or leaking is a hidden state. Between entries a sound closure fails with a Weibull hazard
 * since its gasket was fitted: P(leaks by age b | sound at age a) = 1 - exp(-[(b/eta)^beta -
 * (a/eta)^beta]); beta = 1 is the constant rate of IEC 61508-6. A test of sensitivity Se (share of
 * leaking closures that fail it) and specificity Sp (share of sound ones that pass) is counted in
 * by Bayes. A repair works with a chance: the probability p that it leaks becomes (1 - success) p,
 * with success 0.9 of dogs, hinge and knife edge and 0.95 of a new gasket or closure (assumptions,
 * common practice, no source), and the two last start the age anew. Success is less than 1, so that
 * a failed retest makes the closure likelier to leak than it was before the retest, wherever the
 * method finds more than it raises falsely (Se > 1 - Sp). Over the log this is the forward
 * recursion of a two-state hidden Markov model (Rabiner, "A tutorial on hidden Markov models",
 * Proceedings of the IEEE 77(2), 1989, section III.A; title and place from memory).
 *
 * Parameters come from the arrangement's <ageing>, <method> and <repairing>; else from defaults,
 * which are assumptions without a source. leak-probability in the arrangement replaces the
 * estimate. Entries before the gasket was fitted are of an older one and do not count, unless a
 * failure of that time still stands (ship.h): then the older gasket is gone through as well, and
 * the new one is a repair like any other. Where a test of perfect sensitivity or specificity
 * contradicts what is certain so far, the test is believed: a failed test of a closure that was
 * certain to be sound, as on the day of fitting, takes it to have leaked before with 1 - success of
 * a new gasket.
 *
 * What is seen to have failed (seen.h) is sure to leak, whatever its history says.
 *
 * Age of a gasket without a date of fitting (assumption): on the as-of date it is as old as the
 * mean of the gaskets of its kind aboard whose age is known then (by their date or their renewal),
 * if they are three or more; else half its characteristic life. It is taken to have been there at
 * the closure's first entry, so it is at least as old as that, and at most as old as the closure,
 * where that is known. Of a gasket that was renewed later the same holds on the day of its renewal.
 * Before a date of fitting that lies after the as-of date the gasket is another one, of unknown
 * age.
 */
#ifndef COAMING_LIKELIHOOD_H
#define COAMING_LIKELIHOOD_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

/*
 * What is taken where the arrangement does not say: assumptions, no source. Of a method its word in
 * the format, sensitivity, specificity (<method>); of a repair its word and success (<repairing>);
 * of a kind of closure its word, eta in years and beta (<ageing>).
 */
#define COAMING_ASSUMED_METHODS(X)                                                                 \
    X("chalk", 0.80, 0.95)                                                                         \
    X("hose", 0.90, 0.98)                                                                          \
    X("air", 0.95, 0.95)                                                                           \
    X("ultrasonic", 0.95, 0.95)                                                                    \
    X("light", 0.60, 0.98)                                                                         \
    X("smoke", 0.80, 0.95)                                                                         \
    X("visual", 0.40, 0.98)
#define COAMING_ASSUMED_REPAIRS(X)                                                                 \
    X("dogs", 0.90)                                                                                \
    X("gasket", 0.95)                                                                              \
    X("knife-edge", 0.90)                                                                          \
    X("hinge", 0.90)                                                                               \
    X("replaced", 0.95)
#define COAMING_ASSUMED_AGEING(X)                                                                  \
    X("door", 8, 1.5)                                                                              \
    X("hatch", 8, 1.5)                                                                             \
    X("scuttle", 8, 1.5)                                                                           \
    X("manhole", 15, 1.5)                                                                          \
    X("ventilator", 10, 1.5)                                                                       \
    X("valve", 15, 1)                                                                              \
    X("sidescuttle", 10, 1.5)                                                                      \
    X("cover", 15, 1.5)

typedef enum {
    COAMING_STEP_FITTED, /* the gasket is new: sound, or as sound as a repair makes it */
    COAMING_STEP_TEST,
    COAMING_STEP_REPAIR,
    COAMING_STEP_NOW,   /* the as-of date */
    COAMING_STEP_GIVEN, /* leak-probability of the arrangement */
    COAMING_STEP_SEEN   /* it is seen to have failed */
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
    double success;                  /* of a repair or a fitting; 1: sound whatever was before */
} coaming_step;

typedef struct {
    double probability;     /* as of the ship's date */
    double eta_years, beta; /* as used */
    bool ageing_assumed;    /* not given by the arrangement */
    bool methods_assumed;   /* at least one of the tests' Se and Sp */
    bool repairs_assumed;   /* at least one of the repairs' success */
    bool age_assumed;       /* of the present gasket */
    double supposed_age;    /* of the first gasket when it was last there, years; NaN: known */
    size_t known_age_count; /* whose mean that age goes by; 0: by half the characteristic life */
    coaming_step *steps;    /* owned by the likelihood */
    size_t step_count;
} coaming_likelihood;

/* COAMING_MEMORY. Cost: entries. Freed as one. */
COAMING_API coaming_status coaming_likelihood_new(const coaming_ship *ship, int closure,
                                                  coaming_likelihood **likelihood,
                                                  coaming_error *error);
COAMING_API void coaming_likelihood_free(coaming_likelihood *likelihood);

/* The success that is taken for a repair which is planned, so that what it will be is not known
 * yet: that of the least sure action that a closure of its kind may need. Any may need a new gasket
 * (a valve: its seat) or be replaced; what is no valve its dogs or other fastenings or its knife
 * edge seen to; what has hinges these. assumed, if not NULL: is it one that the arrangement does
 * not give? */
COAMING_API double coaming_likelihood_planned_success(const coaming_ship *ship, int closure,
                                                      bool *assumed);

/* The probabilities of all closures in file order, without steps. `all` has room for them. */
COAMING_API void coaming_likelihood_all(const coaming_ship *ship, double *all);

/* The probability of one closure, were its first gasket, if of unknown age, so many years old (0 or
 * more) when it was last there, within the bounds of its first entry and of the closure's age. */
COAMING_API double coaming_likelihood_supposing(const coaming_ship *ship, int closure,
                                                double years);

/* Is the age of its gasket assumed? Not where leak-probability replaces the estimate, nor
 * of one that is seen to have failed. And of how
 * many closures. */
COAMING_API bool coaming_likelihood_age_assumed(const coaming_ship *ship, int closure);
COAMING_API size_t coaming_likelihood_age_assumed_count(const coaming_ship *ship);

/* Between which ages, years, a gasket of unknown age may plausibly lie: of the youngest and the
 * oldest known one of its kind aboard, where they are three or more, else new and one
 * characteristic life (assumption). */
COAMING_API void coaming_likelihood_plausible(const coaming_ship *ship, int closure,
                                              double *youngest, double *oldest);

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
