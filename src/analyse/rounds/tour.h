/*
 * rounds/tour.h - the order of a round, from a table of distances alone.
 *
 * d is a symmetric table of n x n numbers, finite and 0 or more, row after row; that no detour is
 * shorter than the straight way is not asked for. A tour starts at 0, takes in every number once
 * and comes back. Same table, same tour.
 * late: the numbers from here on come after all those below it; n or 1: in any order.
 */
#ifndef ROUNDS_TOUR_H
#define ROUNDS_TOUR_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/error.h"

double tour_length(const double *d, size_t n, const int *order);

/* Always on to the nearest that is left. taken: scratch of n, order: n numbers. Cost: n^2. */
void tour_nearest(const double *d, size_t n, bool *taken, int *order);

/*
 * The nearest neighbour tour, improved by 2-opt moves (Croes, "A method for solving
 * traveling-salesman problems", Operations Research 6(6), 1958) and Or-opt moves (Or, thesis,
 * Northwestern University, 1976: a run of up to three goes elsewhere) until none helps; then again
 * and again from the tour in hand with three neighbouring runs of it in opposite order (the double
 * bridge of Martin, Otto and Felten, "Large-step Markov chains for the traveling salesman problem",
 * Complex Systems 5(3), 1991). Of both directions the one with the shorter first leg, or the one in
 * which the late ones are late: kept together by a charge on every leg from part to part. Cost: n^2
 * log n, and 50 n trials.
 */
coaming_status tour_find(const double *d, size_t n, size_t late, int *order, coaming_error *error);

/*
 * No tour is shorter than this: the weight of a 1-tree, with weights on the numbers that a
 * subgradient ascent makes better (Held and Karp, Operations Research 18(6), 1970, and Mathematical
 * Programming 1, 1971). Where ten or more numbers lie in one place it is some per cent weaker than
 * else. `known`: the length of some tour; the bound is never above it. Cost: n^2 a step,
 * hundreds of steps.
 */
coaming_status tour_bound(const double *d, size_t n, size_t late, double known, double *bound,
                          coaming_error *error);

#endif
