/*
 * coaming/plan.h - which repairs to make in the hours given, and which test would teach most.
 *
 * A repair works with a chance: a closure that leaks with p leaks with (1 - success) p after it,
 * with the success of coaming_likelihood_planned_success, and the gasket as old as it is. Less than
 * 0.05 hours count as 0.05: somebody has to go there. Of sets that gain as much the one of fewest
 * hours is taken. The gain of a set of repairs is the expected loss (risk.h) without them less that
 * with them; closures act together (of two in series one may do, of two side by side both may be
 * needed), so gains of sets are worked out as a whole, never added up.
 *
 * Method: where at most COAMING_PLAN_EXHAUSTIVE closures are uncertain or could be repaired, every
 * set that fits into the hours. Else step by step, from nothing the greatest gain for the hour, or
 * the greatest, first, and from all the least missed left out first; then exchanges of one repair
 * against others until none gains, or the search has looked at as much as it may. That is counted,
 * not timed, and so is what one loss may take before losses are sampled.
 * `bound`: of a loss no set gains more than what repairing everything would (of the index some
 * may). `gain_limit`: no set that fits gains more, from a bound on the loss by ways through each
 * closure; the gain itself where every set was tried. Where the loss is sampled both hold as far as
 * the samples do.
 *
 * Value of a test (value of information): hours have a price, the plan's gain for the hour. Without
 * a test a closure is worth the lesser of its risk and of the price of its repair with the risk
 * that the repair leaves; with a test, the same in expectation over the result (likelihood.h). The
 * difference is what the test is worth at most, in units of the measure, before the time that it
 * takes. Howard, "Information value theory", IEEE Transactions on Systems Science and Cybernetics
 * 2(1), 1966 (from memory).
 * What a date is worth is told as a range: of a closure whose gasket's age is assumed the expected
 * loss with the gasket as young and as old as it may plausibly be, all others as they are. Loss is
 * linear in the chance of one closure, so both are exact where the loss is.
 * Of each closure the method counts that teaches most, of those by which it is to be tested
 * (due.h). Lifetime: a coaming_plan borrows nothing.
 */
#ifndef COAMING_PLAN_H
#define COAMING_PLAN_H

#include "coaming/risk.h"
#include "coaming/survival.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { COAMING_PLAN_EXHAUSTIVE = 16 };

typedef struct {
    int closure;
    double hours;
    double probability; /* that it leaks now */
    double success;     /* chance that the repair works; coaming_likelihood_planned_success */
    double gain;        /* of this repair on top of those before it in the plan */
    double alone;       /* what it would gain by itself */
} coaming_plan_repair;

typedef struct {
    int closure;
    const char *method; /* of the test */
    double probability; /* that it leaks now */
    double fails;       /* probability that the test fails */
    double value;       /* units of the measure */
} coaming_plan_test;

/* What knowing the date of fitting of a closure's gasket would change: its chance of leaking and
 * the expected loss, were the gasket as young and as old as it may plausibly be. */
typedef struct {
    int closure;
    double probability;                        /* that it leaks, its age as assumed */
    double youngest, oldest;                   /* years; coaming_likelihood_plausible */
    double leaks_youngest, leaks_oldest;       /* probability then */
    double expected_youngest, expected_oldest; /* loss then, units of the measure */
} coaming_plan_date;

/* What such a plan is measured by, as a word beside those of coaming_measure_word. */
#define COAMING_PLAN_SURVIVAL "survival"

/* The expected index of subdivision (survival.h) without and with the plan. */
typedef struct {
    coaming_survival_limits now, after;
    double now_error;  /* standard error of `now`; 0: not sampled */
    double gain_error; /* of what the plan gains */
    /* So many repairs, from the first on, gain what samples tell from nothing; the rest gains
     * together not more than two standard errors. Not sampled: all of them, and 0. */
    size_t told;
    double rest_gain, rest_error;
} coaming_plan_index;

typedef struct {
    double expected, after; /* expected loss without and with the plan */
    double hours;           /* that the plan takes */
    double bound;           /* what repairing everything would gain */
    double gain_limit;      /* no set that fits into the hours gains more */
    double price;           /* gain for the hour of the plan */
    bool repairs_assumed;   /* the success of at least one of the repairs */
    bool exhaustive, exact; /* were all sets tried; is the loss worked out exactly? */
    bool none_fits;         /* of what could be repaired and matters no single one fits */
    double error, limit;    /* of `expected`: standard error, 0 if exact; limit, as in risk.h */
    const coaming_plan_repair *repairs; /* the next always gains most of those left */
    size_t repair_count;
    const coaming_plan_test *tests; /* greatest value first; only those of some value */
    size_t test_count;
    size_t assumed_age_count;       /* closures whose gasket's age is assumed */
    const coaming_plan_date *dates; /* those that change the loss, what changes it most first */
    size_t date_count;
    const int *without_hours; /* closures with risk for which the arrangement gives no hours */
    size_t without_hours_count;
    const coaming_plan_index *index; /* of coaming_plan_survival_new; else NULL */
} coaming_plan;

/* COAMING_USAGE: hours not above 0; and as coaming_risk_new. Of the options share is not used. */
COAMING_API coaming_status coaming_plan_new(const coaming_ship *ship, coaming_query query,
                                            coaming_measure measure, double hours,
                                            const coaming_risk_options *options,
                                            coaming_plan **plan, coaming_error *error);
/*
 * The same by what damage to her side comes to: what is lost is what the expected index of
 * subdivision is less than 1 (survival.h: as likely as the history of the closures says, where she
 * settles, of the loading that the options name or of all that the index is made of). All amounts
 * are of the index.
 *
 * Sets are worked out as a whole from the trees of states that the index is made of, which are the
 * same however likely closures leak: a set's index lies for certain between its limits. Where the
 * trees were stopped by `work`, samples tell what a set changes, the same for every set (`exact` is
 * false); what is shown of the plan, its repairs in their order, alone and together, is then of
 * other samples than those that it was chosen by. Every set that fits is tried where at most
 * COAMING_PLAN_EXHAUSTIVE could be repaired, no tree was stopped and the sweeps are few; else the
 * search as above, which is counted. Where more than 12 repairs are left, the next is the one that
 * gains most alone. `bound` may be less than the gain, and less than 0: a repair may cost, where
 * water that crosses to the other side takes heel off her.
 * Tests and dates: as above, with what the index changes by the chance of one closure, others as
 * they are. `error` is that of the index as it is; `limit` is NaN. Own definition.
 * COAMING_USAGE: hours not above 0; and as coaming_survival_new, also COAMING_INPUT. `expected` of
 * the options is not used.
 */
COAMING_API coaming_status coaming_plan_survival_new(const coaming_ship *ship,
                                                     const coaming_survival_options *options,
                                                     double hours, coaming_plan **plan,
                                                     coaming_error *error);
COAMING_API void coaming_plan_free(coaming_plan *plan);

#ifdef __cplusplus
}
#endif

#endif
