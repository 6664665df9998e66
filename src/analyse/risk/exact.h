/*
 * analyse/risk/exact.h - the exact method with what it took, for the benchmark, and a sum that
 * published values can be held against.
 */
#ifndef ANALYSE_RISK_EXACT_H
#define ANALYSE_RISK_EXACT_H

#include "analyse/risk/exact_plan.h"
#include "analyse/risk/sums.h"

typedef struct {
    int frontier;          /* most nodes in it */
    size_t states, widest; /* of all layers, and of the largest */
    size_t bytes;          /* most at one time */
    uint64_t work;         /* as risk_exact_bounded counts it */
} exact_taken;

/* As risk_exact. taken: filled also when it is not done. */
coaming_status exact_run(const risk_model *m, size_t memory, bool *done, double *expected,
                         double *birnbaum, exact_taken *taken, coaming_error *error);

/* As risk_exact_bounded, in an order that was found before: finding it takes most of the time where
 * the tables are small. */
coaming_status exact_ordered(const risk_model *m, const exact_plan *order, size_t memory,
                             uint64_t *work, bool *done, double *expected, double *birnbaum,
                             coaming_error *error);

/* The probability that all nodes are joined to one another, in one sweep of the same steps;
 * `always` is a node like others. */
coaming_status exact_all_joined(const risk_model *m, size_t memory, bool *done, double *probability,
                                coaming_error *error);

#endif
