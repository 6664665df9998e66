/*
 * analyse/risk/settled.h - risk of water at the level of equilibrium, where each state of the closures
 * has a position of its own.
 *
 * Every scenario lets water into its source and outside, and is branched (survival/branches.h): as
 * built she settles with the uncertain closures holding, then what is wet leaks or holds by its chance,
 * and so on. Scenarios that come to the same rest before anything is decided are one. The settlings
 * that are allowed are dealt out to the rests by their weight, half of them to the tree, the others to
 * samples of what the tree leaves open.
 *
 * Sums are kept as whole numbers of 1 / 2^80 of the greatest loss, so that they are the same in
 * whatever order rests are added: by threads, or by shares, which take every shares-th rest each.
 */
#ifndef ANALYSE_RISK_SETTLED_H
#define ANALYSE_RISK_SETTLED_H

#include "analyse/risk/sums.h"

/* Of each closure, over the rests: weight x what hangs on it (E1 - E0), its sure limits, what it may be
 * more where it was not seen to vary, squares of weight x error; and, with 95 % confidence, what may
 * hang on it in all the rests in which it was never come to: of these not the sum but the greatest. */
enum { TURN, TURN_LOW, TURN_HIGH, TURN_UNSEEN, TURN_VARIANCE, TURN_NEVER, TURN_SUMS };
/* Of all: how many rests, those not known exactly, samples; then of the expected loss as above. */
enum {
    RESTS,
    RESTS_OPEN,
    RESTS_SAMPLES,
    LOSS,
    LOSS_LOW,
    LOSS_HIGH,
    LOSS_UNSEEN,
    LOSS_VARIANCE,
    LOSS_SUMS
};

typedef struct risk_settled risk_settled;

/* Where the scenarios come to rest. leaks: by closure. COAMING_USAGE for a measure that is not added up
 * by space, and of settler_new; COAMING_MEMORY. */
coaming_status risk_settled_new(const coaming_ship *ship, coaming_query query,
                                coaming_measure measure, const double *leaks, risk_settled **out,
                                coaming_error *error);
void risk_settled_free(risk_settled *s);

/* Begins anew, and branches every rest of the share, by so many threads; 0: as many as are worth it.
 * COAMING_USAGE: EXACT, and the tree takes more than the memory. */
coaming_status risk_settled_branch(risk_settled *s, const coaming_risk_options *o, unsigned threads,
                                   coaming_error *error);

/* A count of the totals; a sum of the loss, in units of the measure (of variances, squared); a sum of
 * a closure. */
uint64_t risk_settled_number(const risk_settled *s, int count);
double risk_settled_loss(const risk_settled *s, int sum);
double risk_settled_turn(const risk_settled *s, int closure, int sum);
double risk_settled_greatest(const risk_settled *s); /* loss: weight x what all spaces lose */

/* All sums one after the other, for parts. */
size_t risk_settled_count(const risk_settled *s);
risk_wide risk_settled_get(const risk_settled *s, size_t i);
void risk_settled_add(risk_settled *s, size_t i, risk_wide sum);
/* Could sums of a share be these? Rests it has. */
bool risk_settled_fits(const risk_settled *s, unsigned share, unsigned shares, risk_wide rests);

uint64_t risk_settled_digest(const risk_settled *s, const coaming_risk_options *o);

#endif
