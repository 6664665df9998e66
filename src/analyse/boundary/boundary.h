/*
 * analyse/boundary/boundary.h - a boundary while it is made: rows (boundary.c), water (wet.c) and
 * walks (shutting.c).
 */
#ifndef ANALYSE_BOUNDARY_BOUNDARY_H
#define ANALYSE_BOUNDARY_BOUNDARY_H

#include "coaming/boundary.h"
#include "ship/ship.h"

struct coaming_boundary {
    const coaming_ship *ship;
    coaming_query query;
    coaming_round_options walk; /* it avoids `list` */
    arena memory;
    bool *in; /* by space: is it in the set? */
    int *list;
    size_t list_count;
    coaming_bound *rows;
    size_t count;
    coaming_boundary_sum sum;
    bool floats; /* is `at` asked? */
    coaming_float at;
    coaming_round *outer, *inner; /* walks; NULL: none is needed */
};

/* Sets keeps[COAMING_WATER] and the height of each row; by the position that is asked for. */
coaming_status boundary_wet(coaming_boundary *b, coaming_error *error);

/* From where each row is worked. */
void boundary_sides(coaming_boundary *b);

/* Walks to what is to be shut, and puts those rows (from `first` on, `count` of them) into the order
 * of the walks. */
coaming_status boundary_walk(coaming_boundary *b, size_t first, size_t count, coaming_error *error);

#endif
