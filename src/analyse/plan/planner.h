/* analyse/plan/planner.h - sets of repairs, and the search for the one that gains most. */
#ifndef ANALYSE_PLAN_PLANNER_H
#define ANALYSE_PLAN_PLANNER_H

#include "coaming/plan.h"
#include "ship/ship.h"

/* Closures whose repairs are tried together. */
enum { BUNDLE_SIZE = 4 };
typedef struct {
    int member[BUNDLE_SIZE];
    int count;
    double likely; /* sum of the members' probabilities */
} bundle;

typedef struct {
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    double hours;
    coaming_risk_options options;
    double *p;     /* by closure: as estimated */
    double *trial; /* the same, 0 where repaired */
    int *candidates;
    size_t candidate_count;
    bundle *bundles;
    size_t bundle_count;
    bool exact;
} planner;

/* A set of repairs in the order of choosing. */
typedef struct {
    int *list; /* room for all candidates */
    size_t count;
    double hours, after; /* that it takes; expected loss with it */
} choice;

/* Of one repair; what takes no hours to speak of still takes somebody there. */
double repair_hours(const planner *a, int closure);
bool hours_fit(const planner *a, double hours);

/* Room for all candidates, to be freed by memory_free(list); false when out of memory. */
bool choice_new(const planner *a, choice *c);
void choice_add(const planner *a, choice *c, int closure);
void choice_drop(const planner *a, choice *c, size_t index);
void choice_copy(choice *to, const choice *from);
bool choice_has(const choice *c, int closure);
/* Less lost, or as much in fewer hours. */
bool choice_better(const choice *c, const choice *best);

/* Risk with a set repaired, and `more` besides. */
coaming_status choice_risk(planner *a, const choice *c, const int *more, size_t count,
                           coaming_risk **risk, coaming_error *error);
coaming_status choice_expected(planner *a, const choice *c, const int *more, size_t count,
                               double *expected, coaming_error *error);

/* What may be repaired together: all that join the same two places, all at one place. To be freed
 * by memory_free(bundles); false when out of memory. */
bool plan_bundles(planner *a);
/* Step by step and by exchanges; and every set that fits. best: empty. */
coaming_status plan_search(planner *a, choice *best, coaming_error *error);
coaming_status plan_exhaust(planner *a, choice *best, coaming_error *error);

#endif
