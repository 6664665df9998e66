/* analyse/risk/sums.h - what the two methods work out of one model. */
#ifndef ANALYSE_RISK_SUMS_H
#define ANALYSE_RISK_SUMS_H

#include <stdint.h>

#include "analyse/risk/model.h"
#include "coaming/risk.h"

/*
 * Exact: expected loss of the model, and the Birnbaum measure of each edge (in edge order: room is
 * the caller's). *done false: the tables would take more than `memory` bytes; then nothing is
 * written. Rounding: a few 1e-15 of the model's greatest loss in each figure. COAMING_MEMORY.
 */
coaming_status risk_exact(const risk_model *m, size_t memory, bool *done, double *expected,
                          double *birnbaum, coaming_error *error);

/* By enumeration of all states: expected loss, Birnbaum and Fussell-Vesely sums (before division by
 * the expected loss) of each edge. For models of at most RISK_ENUMERATED edges with 0 < p < 1.
 * False: out of memory. */
enum { RISK_ENUMERATED = 14 };
bool risk_enumerate(const risk_model *m, double *expected, double *birnbaum, double *by_way);

/*
 * Sampled. Sums over samples as whole numbers of 1 / RISK_UNIT of the model's greatest loss
 * (total_weight x all mass), so that adding them up is exact in any order. Squares likewise.
 */
typedef struct {
    uint64_t samples;
    int64_t loss, loss_squared;
    int64_t *effect, *effect_squared; /* by edge: loss if it passes minus loss if it holds */
    int64_t *by_way, *by_way_squared; /* by edge: loss by ways through it, when it passes */
} risk_tally;
#define RISK_UNIT ((int64_t)1 << 36)
enum { RISK_SAMPLES_MOST = 1 << 24 }; /* so that no sum overflows */

bool risk_tally_new(risk_tally *t, size_t edges);
void risk_tally_free(risk_tally *t);
/* Adds samples first, first + step, ... (count of them) of the seed. model_number keeps the draws
 * of different models apart. COAMING_MEMORY. */
coaming_status risk_sample(const risk_model *m, uint64_t seed, unsigned model_number,
                           uint64_t first, uint64_t step, uint64_t count, risk_tally *t,
                           coaming_error *error);

#endif
