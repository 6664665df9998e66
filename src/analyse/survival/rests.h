/*
 * analyse/survival/rests.h - the rests that sets of opened spaces come to before any closure is
 * decided, each branched once (branches.h).
 *
 * Rests are branched by as many threads as there are settlers, with work that depends on their share
 * alone, so answers depend on neither threads nor order.
 */
#ifndef ANALYSE_SURVIVAL_RESTS_H
#define ANALYSE_SURVIVAL_RESTS_H

#include "analyse/flotation/settlers.h"
#include "analyse/survival/branches.h"
#include "analyse/survival/cases.h"
#include "coaming/survival.h"

typedef struct {
    int closure;
    double likely, low, high;
    double lost_likely, lost_low, lost_high;
} set_gain;

/* Sets of opened spaces that come to the same rest, before any closure is decided. */
typedef struct {
    size_t set;    /* the first of them */
    double share;  /* of the index, of the cases that they are extents of */
    double stands; /* share of the index that it stands for; 0: another stands for it */
    bool drawn;    /* of small ones, to stand for them */
    branch_limits s, lost;
    double likely, lost_likely, error;
    double half[2], lost_half[2]; /* as in branches.h */
    set_gain *gains;              /* in file order */
    size_t gain_count;
    double other, other_lost; /* of closures not among them, by chance */
    branch_way *ways;
    size_t way_count;
    branch_tree *tree; /* NULL: not kept */
    bool stopped;      /* by work or memory, and what was left open sampled so often: */
    size_t samples;
} rest_answer;

/* Of one loading. */
typedef struct {
    rest_answer *list;
    size_t count;
    size_t *of; /* by set: its rest; of sets of no case nothing */
    arena memory[TOGETHER_MOST];
    double variance; /* of the index as it is guessed, by samples */
    double small;    /* what those count for of which some are drawn */
} rest_table;

typedef struct {
    const coaming_ship *ship;
    const coaming_survival_options *options; /* condition, within and work count */
    const double *leaks;                     /* by closure */
    double share;                            /* of the loading in the index */
    arena
        *ways; /* TOGETHER_MOST of them, where the ways of rests are kept: they outlive the table */
    bool keep; /* the trees as well, in REST_TREES_MEMORY bytes */
} rest_terms;

enum { REST_TREES_MEMORY = 512 << 20 };

/* All sets of the list. To be freed whatever is returned. COAMING_MEMORY, and of settler_on. */
coaming_status rests_branch(rest_table *r, const rest_terms *terms, const settlers *by,
                            const damage_cases *sets, const case_list *list, coaming_error *error);
void rests_free(rest_table *r);

#endif
