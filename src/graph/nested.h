/*
 * graph/nested.h - least cuts of weight and capacity together, from near to far.
 *
 * Given an undirected graph with a weight at each vertex and a capacity on each edge, and vertex 0
 * as source: for every number t from 0 up a set X of vertices with 0 in it, for which
 *     sum of the weights in X + t x sum of the capacities of the edges that leave X
 * is least. As t grows these sets grow, each holding the one before (Gallo, Grigoriadis and Tarjan,
 * "A fast parametric maximum flow algorithm and applications", SIAM Journal on Computing 18(1),
 * 1989, lemma 2.4; from memory, in the tests against all sets). So there are fewer than vertices.
 *
 * Knows no third party: what igraph does not have, and wants to be exact.
 */
#ifndef GRAPH_NESTED_H
#define GRAPH_NESTED_H

#include <stddef.h>

#include "coaming/error.h"

typedef struct {
    size_t vertex_count, edge_count;
    const int *ends;      /* 2 x edge_count vertex numbers; loops and parallel edges are allowed */
    const double *weight; /* by vertex, finite, 0 or more */
    const double *capacity; /* by edge, the same */
} nested_graph;

typedef struct {
    size_t count; /* of sets; at least 1 */
    int *first;   /* by vertex: number of the first set that it is in; count if it is in none */
    double *from; /* by set: the t from which on it is least; 0 of the first */
} nested_cuts;

/*
 * All sets that are least for some t, and first the set for t = 0 (0 itself, with no weight for
 * nothing). Of equal sets always the smallest. Between two sets with the same t there may be others
 * that are as good for that t alone; they are left out. Weights and capacities are made whole
 * numbers of 2^-58 of their sums or less; with these all is exact.
 * COAMING_MEMORY. Cost: a maximum flow of the whole for the two ends, then for each set two at most,
 * of what lies between two sets that are known (Eisner and Severance, "Mathematical techniques for
 * efficient record segmentation in large shared databases", Journal of the ACM 23(4), 1976, for
 * where to look next; from memory).
 */
coaming_status nested_cuts_new(const nested_graph *g, nested_cuts *cuts, coaming_error *error);
void nested_cuts_free(nested_cuts *cuts);

#endif
