/*
 * analyse/risk/model.h - the uncertain graph of one hazard at one plane, ready to be summed over.
 *
 * Nodes are the spaces that the hazard can fill, and for water (or air that starts outside) the
 * outside, with what is joined for good (passages) taken together. Edges are the closures that the
 * hazard can act on, each passing with its own probability, independent of all others. A closure
 * that passes as things stand whatever its gasket (not shut, nontight, weathertight under water)
 * passes with probability 1. Edges from a node to itself are left out: they change nothing.
 *
 * In a state (each edge passes or holds) let components be those of the passing edges, and of a
 * component B let W be the weight of the scenarios that start in it and M its mass. What all
 * scenarios of the model lose in that state is
 *     sum over B of W(B) M(B),
 * but where `always` is a node, it is a source in every scenario: its component adds
 * total_weight x M instead of W x M (and weight of a scenario that starts there counts for nothing
 * else).
 */
#ifndef ANALYSE_RISK_MODEL_H
#define ANALYSE_RISK_MODEL_H

#include "coaming/ranking.h"
#include "ship/ship.h"

typedef struct {
    int u, v; /* nodes, different */
    int closure;
    double p; /* that it passes, 0 to 1 */
} risk_edge;

typedef struct {
    coaming_hazard hazard;
    double level; /* m; NaN for air */
    int node_count;
    double *weight; /* of scenarios, by node */
    double *mass;   /* loss when reached, by node */
    double *along;  /* x of the node's middle, m: the ship's own order; the outside has -infinity */
    int always;     /* node that is a source in every scenario; -1: none */
    double total_weight;
    risk_edge *edges; /* in closure order */
    size_t edge_count;
    bool *
        whatever; /* by edge: passes whatever its gasket, no repair changes that; NULL: none does */
} risk_model;

/*
 * The models that make up a query: one for each different plane of water, one for air from spaces,
 * one for air from the weather. The level of equilibrium is not one plane; the still plane stands
 * for it. probabilities: that each closure leaks, by closure. measure: worth, volume, people or
 * spaces. The list is freed by risk_models_free. COAMING_USAGE for another measure; COAMING_MEMORY.
 */
coaming_status risk_models_new(const coaming_ship *ship, coaming_query query,
                               coaming_measure measure, const double *probabilities,
                               risk_model **models, size_t *count, coaming_error *error);
void risk_models_free(risk_model *models, size_t count);

#endif
