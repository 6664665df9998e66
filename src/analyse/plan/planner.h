/* analyse/plan/planner.h - sets of repairs, and the search for the one that gains most. */
#ifndef ANALYSE_PLAN_PLANNER_H
#define ANALYSE_PLAN_PLANNER_H

#include "analyse/risk/exact_plan.h"
#include "analyse/survival/repaired.h"
#include "coaming/plan.h"
#include "ship/ship.h"

/*
 * Work is counted as risk_exact_bounded does, not by the clock, so that a plan is the same
 * everywhere: that of a single loss, above which it is sampled unless it is to be exact (but to draw
 * the least number of samples of many edges and nodes takes longer still: so much for each is worked
 * exactly at any rate); that of all losses which a search looks at, some seconds; and of those for
 * its bound.
 */
enum {
    PLAN_WORK_LOSS = 1500000,
    PLAN_WORK_ITEM = 512, /* of a loss for each edge and node */
    PLAN_WORK = 40000000,
    PLAN_WORK_LOOK = PLAN_WORK / 4096, /* of one look at least, so that there are not more */
    PLAN_WORK_SAMPLED = 3 * PLAN_WORK,
    PLAN_WORK_BOUND = 10000000,
    PLAN_WORK_INDEX = 60000000, /* of the search, and of all sets, where it is the index */
    PLAN_SAMPLES = 1024         /* of a loss in the search, where it is sampled */
};

typedef struct {
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    double hours;
    coaming_risk_options options;
    double *p;      /* by closure: that it leaks, as estimated */
    double *mended; /* by closure: the same after a repair */
    double *trial;  /* as p, or as mended */
    double *effect; /* by closure: what is lost more if it leaks for certain than if not */
    double *alone;  /* by closure: what its repair alone gains */
    int *candidates;
    size_t candidate_count;
    risk_model *models; /* with p */
    exact_plan *orders; /* by model, where losses are exact */
    size_t model_count;
    uint64_t work;   /* left for the search */
    repaired *index; /* NULL: the loss is that of the risk */
    int exhaustive;  /* so many uncertain closures are tried in all sets */
    bool exact;      /* is no loss sampled? */
} planner;

/* A set of repairs in the order of choosing. */
typedef struct {
    int *list; /* room for all candidates */
    size_t count;
    double hours, after; /* that it takes; expected loss with it */
} choice;

/* What a set leaves, and what each closure would cost then if it leaked for certain rather than
 * not, but where it passes whatever its gasket: p of a closure less that after a repair, times this,
 * is what adding its repair gains, or leaving it out loses. */
typedef struct {
    double expected;
    double *slope; /* by closure */
} outlook;

/* Of one repair; what takes no hours to speak of still takes somebody there. */
double repair_hours(const planner *a, int closure);
bool hours_fit(const planner *a, double hours);
/* Does any candidate fit by itself? */
bool plan_some_fit(const planner *a);
/* What a repair changes of the probability that a closure leaks. */
double repair_lowers(const planner *a, int closure);

/* Room for all candidates, to be freed by memory_free(list); false when out of memory. */
bool choice_new(const planner *a, choice *c);
void choice_add(const planner *a, choice *c, int closure);
/* Of the candidates those whose bits are set. */
void choice_numbered(const planner *a, choice *c, unsigned set);
void choice_all(const planner *a, choice *c); /* all candidates; c: empty */
void choice_drop(const planner *a, choice *c, size_t index);
void choice_copy(choice *to, const choice *from);
bool choice_has(const choice *c, int closure);
/* Less lost, or as much in fewer hours. */
bool choice_better(const choice *c, const choice *best);

/* a->trial with these repaired. */
void plan_mend(planner *a, const int *closures, size_t count);
/* a->trial with no leak certain; what cannot leak cannot still. */
void plan_none_certain(planner *a);
/* Takes so much of the work that is left, or all of it. */
void plan_spend(planner *a, uint64_t work);
/* Risk with a set repaired; NULL: none. */
coaming_status choice_risk(planner *a, const choice *c, coaming_risk **risk, coaming_error *error);
coaming_status choice_expected(planner *a, const choice *c, double *expected, coaming_error *error);

/* Looks at a set: fills its `after`, and the outlook (room is the caller's). Takes of the work. */
coaming_status plan_look(planner *a, choice *c, outlook *view, coaming_error *error);
/* Can a loss be worked out exactly, within so much work for each model, or what its size allows? */
coaming_status plan_try_exact(planner *a, uint64_t most, bool *exact, coaming_error *error);

/* Step by step and by exchanges. best: empty. */
coaming_status plan_search(planner *a, choice *best, coaming_error *error);
/* Every set that fits; *done false, and nothing changed: too many closures are uncertain. */
coaming_status plan_exhaust(planner *a, choice *best, bool *done, coaming_error *error);
/* What no set that fits gains more than; `all`: what repairing everything gains. */
coaming_status plan_bound(planner *a, double all, double *bound, coaming_error *error);

/* As coaming_plan_new, with so many uncertain closures tried in all sets. */
coaming_status plan_new(const coaming_ship *ship, coaming_query query, coaming_measure measure,
                        double hours, const coaming_risk_options *options, int exhaustive,
                        coaming_plan **plan, coaming_error *error);

/* The answer. */
typedef struct {
    coaming_plan shown;
    coaming_plan_index index; /* of `shown`, where it has one */
    coaming_plan_repair *repairs;
    coaming_plan_test *tests;
    coaming_plan_date *dates;
    int *without_hours;
} plan_result;

/* How the plan is found, with p and mended known and room for all lists. */
typedef coaming_status (*plan_way)(planner *a, plan_result *out, coaming_error *error);
/* COAMING_USAGE: hours not above 0; and of the way. Takes what the planner has. */
coaming_status plan_make(planner *a, plan_way way, coaming_plan **shown, coaming_error *error);
/* One more repair, its gain yet to be told; alone is known. */
void plan_list_repair(const planner *a, int closure, plan_result *out);
/* Price, tests and dates, once expected, after, hours and effects are known. */
void plan_finish(const planner *a, plan_result *out);

/* Tests that are worth anything, the greatest first; how many. tests: room for all closures. */
size_t plan_tests(const planner *a, double expected, double price, coaming_plan_test *tests);
/* What knowing dates of fitting would change, at the effects as they are; how many dates. dates: room for
 * all closures. */
size_t plan_dates(const planner *a, double expected, coaming_plan_date *dates);

/* As plan_look, where it is the index that is lost; and without the outlook. a->trial is then of the
 * set. */
coaming_status plan_look_at_index(planner *a, choice *c, outlook *view, coaming_error *error);
coaming_status plan_look_once(planner *a, choice *c, coaming_error *error);
/* As coaming_plan_survival_new. threads: 0 as many as are worth it. */
coaming_status plan_survival(const coaming_ship *ship, const coaming_survival_options *options,
                             double hours, int exhaustive, unsigned threads, coaming_plan **plan,
                             coaming_error *error);

#endif
