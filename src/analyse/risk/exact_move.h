/*
 * analyse/risk/exact_move.h - what one step of the exact method does to the labels of one state and
 * to its numbers, forward and back.
 */
#ifndef ANALYSE_RISK_EXACT_MOVE_H
#define ANALYSE_RISK_EXACT_MOVE_H

#include "analyse/risk/exact_layer.h"
#include "analyse/risk/exact_plan.h"

enum { EXACT_GONE = 255 }; /* a label of which no node is left in the frontier */

/* The labels of a state after a step, in order of appearance again, and where each label went. */
typedef struct {
    unsigned char labels[EXACT_WIDEST + 1];
    unsigned char to[EXACT_GONE + 1];
} exact_move;

/* Does the step tell two states apart, the edge passing or holding? */
bool exact_joins(const exact_step *step, const unsigned char *labels);

/* count: of labels, without 0. passes: the edge does. */
void exact_make_move(const exact_step *step, const unsigned char *labels, int width, size_t count,
                     bool passes, exact_move *move);

/* The numbers of a state (exact_layer.h). */
typedef struct {
    double *p, *weight, *mass, *pairs; /* by label from 1 */
    size_t count;                      /* of labels */
} exact_view;

exact_view exact_view_of(double *numbers, size_t labels);

/* Adds a state's numbers, times a probability, to those of the state it goes to. Returns the loss
 * of what is then over: joined to `always`, or no more in the frontier. */
double exact_push(const risk_model *m, exact_view from, const exact_move *move, double factor,
                  exact_view into);
/* After push, for the node that enters. */
void exact_push_entered(const risk_model *m, int node, exact_view from, exact_view into);

/* push and push_entered turned round: what each of a state's numbers adds to the loss, from what
 * each number adds where the state goes. */
void exact_pull(const risk_model *m, exact_view after, const exact_move *move, exact_view before);
void exact_pull_entered(const risk_model *m, int node, exact_view after, exact_view before);

#endif
