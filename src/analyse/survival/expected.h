/*
 * analyse/survival/expected.h - the cases as likely as the history of the closures says.
 *
 * Sets of opened spaces that come to the same rest before any closure is decided are one. Each rest is
 * branched (branches.h), with as much of the work as is its share of the damage; of those that count
 * for little some are drawn, by their share, and stand for all in the best guesses. A case that may
 * spare what lies low counts with the extent of which least s is expected: it is chosen by one half of
 * the samples and valued by the other, in turn; limits are those that hold whichever it is. Sums over
 * cases are exact but for rounding, so limits of the index are as rigorous as those of the cases.
 *
 * Memory: 72 bytes for each set and closure that is decided in it, besides what a tree takes.
 */
#ifndef ANALYSE_SURVIVAL_EXPECTED_H
#define ANALYSE_SURVIVAL_EXPECTED_H

#include "analyse/flotation/settlers.h"
#include "analyse/survival/cases.h"
#include "coaming/survival.h"

/* Adds a share of the part to each of value and limits. */
void limits_add(coaming_survival_limits *to, double share, coaming_survival_limits part);

typedef struct expectation expectation;

/* COAMING_MEMORY. options: condition, within and work count. */
coaming_status expectation_new(const coaming_ship *ship, const coaming_survival_options *options,
                               expectation **out, coaming_error *error);
void expectation_free(expectation *x);

/* Branches every set of the list, which is of a loading that counts by `share`. Later cases are those
 * of this list. COAMING_MEMORY, and of settler_on. */
coaming_status expectation_begin(expectation *x, const settlers *by, const damage_cases *sets,
                                 const case_list *list, double share, coaming_error *error);

/* A case as likely as the history says. Not known: others stand for it in the sums, `s` and `lost` are
 * what they tell of it, with all that may be as limits. */
typedef struct {
    bool known;
    coaming_survival_limits s, lost;
} expected_case;

/* Sets `out` of case `which`, and counts what hangs on closures, and her ways, by its share. */
void expectation_add(expectation *x, const damage_case *c, size_t which, double share,
                     expected_case *out);

/* Once all cases are in. closures: by closure. */
void expectation_gains(const expectation *x, coaming_survival_closure *closures);
double expectation_error(const expectation *x); /* standard error of the expected index */
const coaming_survival_way *expectation_ways(const expectation *x, size_t *count);

#endif
