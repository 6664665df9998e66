/*
 * ode/newton.h - Newton's method for equations with corners: roots of heads, rooms that become full.
 *
 * First as everybody does it, with the Jacobian of some steps ago. Where that leads nowhere - at a square
 * root whose sign turns it goes to and fro for ever - with a Jacobian of where it is, and along its step
 * only as far as what is left over grows less (halving; Armijo 1966, in J. E. Dennis and R. B. Schnabel,
 * Numerical Methods for Unconstrained Optimization, 1983, chapter 6). So a corner costs some rates, and
 * not a hundred short steps.
 */
#ifndef ODE_NEWTON_H
#define ODE_NEWTON_H

#include <sundials/sundials_nonlinearsolver.h>

/* NULL: out of memory. like: any vector as those to be solved for. Freed by SUNNonlinSolFree. */
SUNNonlinearSolver newton_new(N_Vector like, SUNContext context);

#endif
