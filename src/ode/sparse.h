/*
 * ode/sparse.h - sparse systems of equations whose pattern stays and whose values change (KLU: T. A.
 * Davis and E. Palamadai Natarajan, ACM TOMS 37, 2010, algorithm 907). Nothing else includes KLU.
 */
#ifndef ODE_SPARSE_H
#define ODE_SPARSE_H

#include <stdbool.h>

#include "coaming/libraries.h"

typedef struct sparse sparse;

/* Puts a row among the `count` of a column that rise, where it belongs, unless it is there. */
void sparse_put(int *rows, int *count, int row);

/* A square matrix of n columns; rows[starts[j] .. starts[j+1]) are those of column j, rising. Both are
 * values until sparse_free. NULL: out of memory, or there is no pattern that can be solved. */
sparse *sparse_new(int n, const int *starts, const int *rows);
void sparse_free(sparse *s);

/* Takes the values in the order of rows; they are only read. False: singular, or out of memory. */
bool sparse_factor(sparse *s, double *values);
/* Of the factors: the right side becomes the solution. */
bool sparse_solve(sparse *s, double *side);

/* What is to be told of KLU. */
void sparse_library(coaming_library *library);

#endif
