/*
 * graph/graph.h - everything that is asked of igraph, and nothing else includes it.
 *
 * Purpose: plain arrays in, plain arrays out. Edges are numbered in the order given; igraph 0.10.2
 * keeps that order for igraph_create and it is never changed after (deleting would renumber).
 * Parallel edges and loops are allowed everywhere.
 * Errors: COAMING_MEMORY or COAMING_INTERNAL, with igraph's own first reason. igraph's error and
 * warning handlers are set for the length of each call and then put back, for they are global.
 * Threads: one at a time (igraph's clean-up stack is global to the process).
 */
#ifndef GRAPH_GRAPH_H
#define GRAPH_GRAPH_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/error.h"
#include "coaming/libraries.h"

typedef struct graph graph;

/* ends holds 2*edges vertex numbers; each must be below `vertices`. Cost: vertices + edges. */
coaming_status graph_new(size_t vertices, size_t edges, const int *ends, bool directed, graph **out,
                         coaming_error *error);
void graph_free(graph *g);

/*
 * Depth-first forest without regard to direction: trees are started from vertex 0, then from the
 * lowest vertex not yet met. order: vertices as they are met; parent: by vertex, -1 for a root.
 * A subtree is a run of neighbours in `order`. Cost: vertices + edges.
 */
coaming_status graph_forest(const graph *g, int *order, int *parent, coaming_error *error);

/* bridge: by edge, whether its ends come apart without it. Tarjan, "A note on finding the bridges
 * of a graph", Information Processing Letters 2(6), 1974. Cost: vertices + edges. */
coaming_status graph_bridges(const graph *g, bool *bridge, coaming_error *error);

/* choke: by vertex, whether its component falls apart without it (articulation point). Hopcroft and
 * Tarjan, Communications of the ACM 16(6), 1973. Cost: vertices + edges. */
coaming_status graph_chokes(const graph *g, bool *choke, coaming_error *error);

/* dominator: by vertex of a directed graph, the last vertex that every way from root must pass; -1
 * for the root, -2 where no way leads. Lengauer and Tarjan, ACM Transactions on Programming
 * Languages and Systems 1(1), 1979. */
coaming_status graph_dominators(const graph *g, int root, int *dominator, coaming_error *error);

/* Greatest number of ways between two different vertices that share no edge (Menger). */
coaming_status graph_disjoint_ways(const graph *g, int from, int to, int *ways,
                                   coaming_error *error);

/* The edges of one shortest way, in order (Dijkstra, "A note on two problems in connexion with
 * graphs", Numerische Mathematik 1, 1959); there is none where no way leads. weight: by edge,
 * finite, 0 or more. edges: room for one less than there are vertices. */
coaming_status graph_way(const graph *g, const double *weight, int from, int to, int *edges,
                         size_t *count, coaming_error *error);

/*
 * A cut of least capacity between two different vertices (Ford and Fulkerson, "Maximal flow through
 * a network", Canadian Journal of Mathematics 8, 1956; by igraph's push-relabel). capacity: by
 * edge, whole numbers from 0 that add up to less than 2^53, so that every sum is exact; what cannot
 * be cut is joined beforehand. Of all least cuts the two extreme ones come from the residual graph:
 * near and far are by vertex and may be NULL. near: the smallest side of `from`; far: the smallest
 * side of `to`. The edges of a cut are those that lead from its side to the rest (in a directed
 * graph out of near, into far). value: capacity of the cut.
 */
coaming_status graph_min_cut(const graph *g, const double *capacity, int from, int to,
                             double *value, bool *near, bool *far, coaming_error *error);

/* For tests: objects left on igraph's clean-up stack; 0 unless something was forgotten. */
int graph_left_over(void);

/* What is to be told of igraph. */
void graph_library(coaming_library *library);

#endif
