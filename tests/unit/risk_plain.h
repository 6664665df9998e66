/* risk_plain.h - risk by the definitions: all states, all scenarios, all ways. For tiny models. */
#ifndef TESTS_RISK_PLAIN_H
#define TESTS_RISK_PLAIN_H

#include "analyse/risk/model.h"
#include "ships.h"

enum { PLAIN_NODES = 16, PLAIN_EDGES = 20 };

/* What all scenarios lose in one state. passes: by edge. */
double plain_state_loss(const risk_model *m, const bool *passes);
/* What is lost by ways through an edge that passes, in one state. */
double plain_state_way(const risk_model *m, const bool *passes, int edge);
/* What is lost in a state in expectation over the edges' own states, spread over them: L + sum over
 * uncertain edges c of (p - 1 if c passes, else p) x (L with c - L without) / (number of uncertain
 * edges that are bridges in c's component if c passes; the outside joins no components here). */
double plain_state_expected(const risk_model *m, const bool *passes);
/* Over all states. by_way as risk_enumerate has it: times the probability that the edge passes. */
void plain_risk(const risk_model *m, double *expected, double *birnbaum, double *by_way);

/* A model with arrays of its own, freed by plain_model_free. Closures are the edges' numbers. */
typedef struct {
    int nodes, edges;       /* at most; at least 1 node */
    bool mixed;             /* probabilities 0 and 1 among them */
    double least, greatest; /* of the others */
} plain_wish;
risk_model plain_random_model(dice *d, plain_wish wish);
void plain_model_free(risk_model *m);

#endif
