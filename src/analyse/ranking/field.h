/*
 * analyse/ranking/field.h - sums and greatest weights over runs of a reach's order.
 *
 * Loss and weight are added up along the order once, so that the sum over any run is a difference;
 * the heaviest scenario of a run comes from a table over runs of 1, 2, 4, ... positions (Bender and
 * Farach-Colton, "The LCA problem revisited", LATIN 2000, section 3). Sums are kept in long double;
 * a difference below 1e-13 of the whole is rounding and counts as nothing.
 */
#ifndef ANALYSE_RANKING_FIELD_H
#define ANALYSE_RANKING_FIELD_H

#include "graph/reach.h"

typedef struct {
    size_t length;
    long double *loss, *weight; /* before each position; length + 1 of each */
    const scenario *scenarios;
    int **heaviest; /* by log2 of the run's length, then by position; -1: no scenario */
    int levels;
} field;

/*
 * loss_at, weight_at: by position; heaviest_at: index of the heaviest scenario at each position, -1
 * if none. All are copied. Cost: positions x log positions.
 */
bool field_make(field *f, size_t length, const double *loss_at, const double *weight_at,
                const int *heaviest_at, const scenario *scenarios);
void field_free(field *f);

double field_loss(const field *f, reach_set set);
double field_weight(const field *f, reach_set set);
double field_weight_outside(const field *f, reach_set set);

/* Index of the heaviest scenario (the first of equals) in the set or outside it; -1: none. */
int field_heaviest(const field *f, reach_set set);
int field_heaviest_outside(const field *f, reach_set set);

#endif
