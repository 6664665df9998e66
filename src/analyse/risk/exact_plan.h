/*
 * analyse/risk/exact_plan.h - the order in which the exact method goes through a model.
 *
 * Node after node enters the frontier; an edge is taken when its later node has entered, and a node
 * leaves with its last edge. Work and memory grow with about four to the power of the frontier's
 * width, so a narrow order is looked for: the ship's own order along her length, and orders that
 * always go on where the frontier stays narrowest, the best of these then bettered by moving single
 * nodes. Any order gives the same sums.
 */
#ifndef ANALYSE_RISK_EXACT_PLAN_H
#define ANALYSE_RISK_EXACT_PLAN_H

#include "analyse/risk/model.h"

typedef enum { EXACT_ENTER, EXACT_EDGE, EXACT_LEAVE } exact_kind;

typedef struct {
    exact_kind kind;
    int item;      /* node, or edge of the plan */
    int at, other; /* places in the frontier: of the node; of the edge's two ends */
} exact_step;

/* Edges side by side, taken together. */
typedef struct {
    int u, v;
    double passes, holds; /* probabilities: at least one passes, all hold */
} exact_edge;

typedef struct {
    int *edge_of; /* by edge of the model */
    exact_edge *edges;
    int edge_count;
    exact_step *steps;
    int step_count;
    int widest; /* nodes in the frontier */
} exact_plan;

/* False: out of memory, and nothing to free. `always` is in the frontier from start to end, at 0.
 * Cost: bounded by some ten million looks at a node or edge, or by nodes + edges where that is
 * more; so the orders looked for are fewer the larger the ship. */
bool exact_plan_new(const risk_model *m, exact_plan *plan);
void exact_plan_free(exact_plan *plan);
/* The same order for a model with other probabilities, weights or masses, but the same edges and
 * `always`: borrows it but for the edges, which are to be freed by memory_free. False: out of
 * memory. */
bool exact_plan_again(const exact_plan *order, const risk_model *m, exact_plan *plan);

#endif
