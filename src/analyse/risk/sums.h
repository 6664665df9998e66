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

/* The same, not done either where it would take more than *work; on return what it took. Work is
 * counted, not timed, so that it is the same everywhere: for each step on the way forward the
 * numbers of all states, and RISK_WORK_STATE for each state. Some 3 to 15 x 10^7 a second, and the
 * way back takes two or three times as long as that forward. */
enum { RISK_WORK_STATE = 8 };
coaming_status risk_exact_bounded(const risk_model *m, size_t memory, uint64_t *work, bool *done,
                                  double *expected, double *birnbaum, coaming_error *error);

/* By enumeration of all states: expected loss, Birnbaum and Fussell-Vesely sums (before division by
 * the expected loss) of each edge. For models of at most RISK_ENUMERATED edges with 0 < p < 1.
 * False: out of memory. */
enum { RISK_ENUMERATED = 14 };
bool risk_enumerate(const risk_model *m, double *expected, double *birnbaum, double *by_way);

/*
 * Sampled. Everything is counted in deviations from the state in which nothing uncertain passes
 * (`base`); of the loss it is the expectation over each edge's own state (sample_edge.c). It is
 * kept as whole numbers of 1 / RISK_UNIT of the model's greatest loss (total_weight x all mass):
 * adding whole numbers is exact in any order, so that parts, threads and batches give the same
 * bits. Each value of a sample is rounded once, by at most half a unit (2^-49 of the greatest
 * loss); so is each base value; a mean is therefore off by at most 2^-48 of the greatest loss, and
 * what double precision loses in the sums of weight and mass besides (of the order of 2^-52 each
 * addition). Squares are squares of whole numbers and exact. No sum exceeds 2^120 in
 * RISK_SAMPLES_MOST samples.
 */
__extension__ typedef __int128 risk_wide;

#define RISK_UNIT ((int64_t)1 << 48)
enum {
    RISK_BLOCK = COAMING_RISK_BLOCK, /* samples drawn together, the least that is shared out */
    RISK_SAMPLES_MOST = COAMING_RISK_SAMPLES_MOST
};

/* Of one edge, its own state being of no account in both:
 * effect: what is lost if it passes less what is lost if it holds, all others drawn.
 * by_way: what is lost by ways through it if it passes; times p it is the Fussell-Vesely sum. */
typedef struct {
    risk_wide effect, effect_squared;
    risk_wide by_way, by_way_squared;
    risk_wide by_way_loss, by_way_control; /* products with the sample's loss and control */
} risk_edge_sums;

/*
 * control: the sum of the base effects of the uncertain edges that pass (each halved control_shift
 * times, so that all of them together make at most one unit); its mean is known, and taking the
 * regression on it away leaves of the variance of the loss what more than one passing closure makes
 * together (control variate; Hammersley and Handscomb, Monte Carlo Methods, 1964, section 5.5, from
 * memory).
 */
typedef struct {
    uint64_t samples;
    risk_wide loss, loss_squared; /* halved loss_shift times, for a sample's may be more than 1 */
    risk_wide control, control_squared, loss_control;
    risk_edge_sums *sums; /* by edge */

    double base_loss; /* and what each uncertain edge alone adds to it, times p; a share */
    int64_t *base_effect, *base_way; /* by edge */
    int control_shift, loss_shift;
    double greatest, most; /* what is lost where all passes that may, and that less the base state;
                              shares */
    double control_mean;   /* in units */
} risk_tally;

bool risk_tally_new(risk_tally *t, size_t edges);
void risk_tally_free(risk_tally *t);
/* Adds the samples and sums of another tally of the same model. */
void risk_tally_add(risk_tally *t, const risk_tally *other, size_t edges);

/* Samples are drawn in whole blocks: how many so many samples are. */
uint64_t risk_blocks_of(uint64_t samples);

/* Blocks first, first + step, ... below end; of each, the samples below `samples` in all. */
typedef struct {
    uint64_t first, step, end, samples;
} risk_range;

/*
 * Adds the samples of a range, and fills the base values (with an empty range these alone). A
 * sample depends on seed, model_number and its number alone, and whether an edge passes in it on
 * its closure and p besides: other closures that change leave it as it is. threads: at most
 * TOGETHER_MOST work at a time, the caller among them, 0 as many as are worth it; fewer if they
 * cannot be had. COAMING_MEMORY, then nothing is
 * added. Cost: (nodes + edges) once; for each 64 samples the uncertain edges; for each sample the
 * nodes of components that an uncertain edge joined, and the edges at them.
 */
coaming_status risk_sample(const risk_model *m, uint64_t seed, unsigned model_number,
                           risk_range range, unsigned threads, risk_tally *t, coaming_error *error);

#endif
