/*
 * analyse/risk/blocks.h - what is lost by ways through each edge, in one state of a risk_model.
 *
 * Between two different nodes an edge lies on some way that meets no node twice if and only if it
 * belongs to a block (a largest part that stays whole without any one of its nodes; an edge that
 * nothing goes round is a block of its own, edges side by side are one) that the two nodes hang on
 * at different nodes of it. So all edges of a block share one sum: over all pairs of a source and a
 * node spoiled by it that hang on different nodes of the block, weight times mass. Where `always`
 * is in the component it alone is the source, with total_weight.
 *
 * Method: one depth-first search (Hopcroft and Tarjan, "Algorithm 447: efficient algorithms for
 * graph manipulation", Communications of the ACM 16(6), 1973; from memory), without recursion.
 * Cost of one state: nodes + edges.
 */
#ifndef ANALYSE_RISK_BLOCKS_H
#define ANALYSE_RISK_BLOCKS_H

#include "analyse/risk/model.h"

typedef struct risk_blocks risk_blocks;

/* Room to search the states of a model, which it borrows. NULL: out of memory. */
risk_blocks *risk_blocks_new(const risk_model *m);
void risk_blocks_free(risk_blocks *b);

/* passes, by_way: by edge. An edge that holds gets 0. */
void risk_blocks_ways(risk_blocks *b, const bool *passes, double *by_way);

#endif
