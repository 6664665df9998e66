/*
 * analyse/risk/blocks.h - what is lost by ways through each edge, in one state of a risk_model.
 *
 * A way leads from one of the sources to a node, and meets no node twice and no second source: what
 * lies beyond another source comes from there. Where `always` is a node each scenario has two
 * sources, that node and its own.
 *
 * From one source: between two different nodes an edge lies on some way if and only if it belongs
 * to a block (a largest part that stays whole without any one of its nodes; an edge that nothing
 * goes round is a block of its own, edges side by side are one) that the two nodes hang on at
 * different nodes of it. So all edges of a block share one sum: over all pairs of a source and a
 * node spoiled by it that hang on different nodes of the block, weight times mass.
 *
 * From `always` and s, which count as one node: let J be the component of s without `always`, with
 * `always` joined to it.
 * - An edge in a part that hangs at one node of J, whether s is in that part or not, is on ways to
 *   all that hangs on it below that node if s does not; else to all of J but what hangs at s.
 * - Any other edge (in one block with `always`, or at it) is on ways to that component of J without
 *   s in which it lies, or none if it joins the two sources.
 * From `always` alone, where s is not in J: to all below the top of its block.
 *
 * Method: one depth-first search without `always`, from a neighbour of it in each J, so that a
 * block is a part that hangs if nothing below its top is joined to `always`; what lies beyond each
 * source is summed up from below, and what lies on the other side of it from above (Hopcroft and
 * Tarjan, "Algorithm 447: efficient algorithms for graph manipulation", Communications of the ACM
 * 16(6), 1973; from memory), without recursion. Cost of one state: nodes + edges.
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
