/*
 * plain_risk.h - the plain way to sampled importances: for each sample, scenario and closure two
 * fresh igraph reachabilities, with the closure passing and holding.
 */
#ifndef BENCH_PLAIN_RISK_H
#define BENCH_PLAIN_RISK_H

#include <stdio.h>

#include "analyse/risk/sample.h"

/*
 * Seconds that one sample of a model would take for all closures and scenarios: timed on some
 * closures of one sample and multiplied up. The effect of each is compared with what the sampler
 * counts for the same sample; false if they do not agree. number: of the model, for its draws.
 */
bool plain_risk_seconds(const risk_model *m, unsigned number, double *seconds);

/* Writes models as text for plain_risk.py, which says how. */
void plain_risk_write(const risk_model *models, size_t count, FILE *out);

#endif
