/*
 * ode/stiff.h - stiff ordinary differential equations, with zeros of functions looked for on the way.
 *
 * Backward differences of varying order and step, Newton's method, sparse elimination: CVODE and KLU
 * (Hindmarsh and others, ACM Transactions on Mathematical Software 31(3), 2005; Davis and Palamadai
 * Natarajan, the same 37(3), 2010). What is linear and constant in the unknowns stays so to rounding,
 * if the Jacobian has it too. Nothing of any ship is known here. Not for two threads at one solver;
 * several solvers at once are fine.
 */
#ifndef ODE_STIFF_H
#define ODE_STIFF_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/error.h"
#include "coaming/libraries.h"

typedef struct {
    size_t count; /* of unknowns, 1 or more */
    size_t roots; /* of functions whose zeros are looked for; only where they rise through 0 */
    /* Where the Jacobian may be other than 0: of column c rows row[start[c]] to row[start[c + 1]] (not
     * counted), rising; the diagonal must be among them. NULL: full, found by differences. Borrowed. */
    const int *start, *row;
    double relative;        /* tolerance of each unknown, of its size */
    const double *absolute; /* and besides, of each; more than 0; copied */
    /* In place of both, where it is not NULL: by how much each unknown may be off at y, more than 0. */
    void (*allow)(void *data, const double *y, double *off);
    double longest; /* step; 0: any */
    int order;      /* at most, 1 to 5; 0: any. What jumps often goes better with less */
    bool corners;   /* rates have corners: each step's equations are solved as newton.h says */
    /* Change of each unknown. False: not to be had there, a shorter step is tried. */
    bool (*rates)(void *data, double t, const double *y, double *rates);
    /* Its derivatives, in the order of `row`. Not asked for where row is NULL. */
    bool (*jacobian)(void *data, double t, const double *y, double *values);
    void (*look)(void *data, double t, const double *y, double *values); /* with roots */
    void *data;
} stiff_problem;

typedef struct stiff stiff;

/* At t with y. COAMING_MEMORY, COAMING_INTERNAL. */
coaming_status stiff_new(const stiff_problem *problem, double t, const double *y, stiff **out,
                         coaming_error *error);
void stiff_free(stiff *s);

/* Goes on to `until`, never beyond, or to the first zero of any function before it. *t and y: where it
 * is now; y has room for all. rooted: by function, true where it rises through 0 there; NULL where
 * there are none. *any: is there one? until must be more than the time it is at. */
coaming_status stiff_on(stiff *s, double until, double *t, double *y, bool *rooted, bool *any,
                        coaming_error *error);

/* One step of its own, not beyond `until`, where it ends at the latest; no zeros are looked for. */
coaming_status stiff_step(stiff *s, double until, double *t, coaming_error *error);
/* The unknowns at a time of the last step. False: it is not of it. */
bool stiff_at(stiff *s, double t, double *y);

/* As new from there: after what makes the rates jump. */
coaming_status stiff_restart(stiff *s, double t, const double *y, coaming_error *error);

/* Steps, and rates asked for, since stiff_new. */
void stiff_cost(const stiff *s, size_t *steps, size_t *rates);

/* What is to be told of SUNDIALS. */
void stiff_library(coaming_library *library);

#endif
