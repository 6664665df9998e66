#include "ode/newton.h"

#include <stdbool.h>
#include <stdlib.h>
#include <sunnonlinsol/sunnonlinsol_newton.h>

enum { PLAIN = 4, SEARCHED = 30, HALVED = 8 };
static const double LESS = 0.1; /* part of what a step promises that it has to keep */
static const double FAST =
    0.1; /* part that is left over after a step whose Jacobian serves once more */

/* What the library's own method keeps, of which all but the way to a solution is used, and one more. */
typedef struct {
    struct _SUNNonlinearSolverContent_Newton newton;
    N_Vector rest; /* what is left over farther on */
} content;

typedef struct {
    SUNNonlinearSolver solver;
    SUNNonlinearSolverContent_Newton c; /* delta: what is left over, then the step */
    N_Vector at, rest, weights;         /* at: the correction so far */
    realtype close;
    void *memory;
} search;

static int find_step(search *s)
{
    N_VScale(-1, s->c->delta, s->c->delta);
    s->c->niters++;
    return s->c->LSolve(s->c->delta, s->memory);
}

static int close_enough(search *s)
{
    return s->c->CTest(s->solver, s->at, s->c->delta, s->close, s->weights, s->c->ctest_data);
}

/* With the Jacobian that there is, or a new one at the start. */
static int go_plainly(search *s, booleantype renew)
{
    SUNNonlinearSolverContent_Newton c = s->c;
    int code = c->Sys(s->at, c->delta, s->memory);
    if (code == 0 && renew)
        code = c->LSetup(SUNFALSE, &c->jcur, s->memory);
    for (c->curiter = 0; code == 0; c->curiter++) {
        code = find_step(s);
        if (code)
            return code;
        N_VLinearSum(1, s->at, 1, c->delta, s->at);
        code = close_enough(s);
        if (code != SUN_NLS_CONTINUE)
            return code;
        code = c->curiter + 1 < PLAIN ? c->Sys(s->at, c->delta, s->memory) : SUN_NLS_CONV_RECVR;
    }
    return code;
}

/* Along the step, from where `left` was left over, as far as that grows less by it. */
static int go_while_it_helps(search *s, realtype *left)
{
    double part = 1, before = 0, now = *left;
    int code = SUN_NLS_CONV_RECVR;
    for (int k = 0; k < HALVED; k++, part /= 2) {
        N_VLinearSum(1, s->at, part - before, s->c->delta, s->at);
        before = part;
        code = s->c->Sys(s->at, s->rest, s->memory);
        if (code < 0)
            return code;
        now = code ? now : N_VWrmsNorm(s->rest, s->weights);
        if (code == 0 && now < (1 - LESS * part) * *left)
            break;
    }
    *left = now;
    N_VScale(1, s->rest, s->c->delta);
    return code;
}

/* With a Jacobian of where it is, or was while that leads on fast. */
static int go_carefully(search *s)
{
    SUNNonlinearSolverContent_Newton c = s->c;
    N_VConst(0, s->at);
    int code = c->Sys(s->at, c->delta, s->memory);
    realtype left = code ? 0 : N_VWrmsNorm(c->delta, s->weights);
    bool renew = true;
    for (int k = 0; k < SEARCHED && code == 0; k++) {
        if (renew)
            code = c->LSetup(SUNTRUE, &c->jcur, s->memory);
        code = code ? code : find_step(s);
        if (code)
            return code;
        c->curiter =
            1; /* it is no first correction: the sum of all is what the step is judged by */
        if (N_VWrmsNorm(c->delta, s->weights) <= s->close) {
            N_VLinearSum(1, s->at, 1, c->delta, s->at);
            return close_enough(s) == SUN_NLS_SUCCESS ? SUN_NLS_SUCCESS : SUN_NLS_CONV_RECVR;
        }
        realtype before = left;
        code = go_while_it_helps(s, &left);
        renew = left > FAST * before;
    }
    return code ? code : SUN_NLS_CONV_RECVR;
}

static int solve(SUNNonlinearSolver solver, N_Vector from, N_Vector at, N_Vector weights,
                 realtype close, booleantype renew, void *memory)
{
    content *all = solver->content;
    search s = {solver, &all->newton, at, all->rest, weights, close, memory};
    (void)from;
    s.c->jcur = SUNFALSE;
    int code = go_plainly(&s, renew);
    if (code > 0) {
        s.c->nconvfails++;
        code = go_carefully(&s);
    }
    s.c->jcur = SUNFALSE;
    return code;
}

static int release(SUNNonlinearSolver solver)
{
    content *all = solver->content;
    if (all && all->rest)
        N_VDestroy(all->rest);
    return SUNNonlinSolFree_Newton(solver);
}

SUNNonlinearSolver newton_new(N_Vector like, SUNContext context)
{
    SUNNonlinearSolver solver = SUNNonlinSol_Newton(like, context);
    if (!solver)
        return NULL;
    content *all = realloc(solver->content, sizeof *all); /* of the library, by its own malloc */
    if (!all) {
        SUNNonlinSolFree(solver);
        return NULL;
    }
    solver->content = all;
    all->rest = N_VClone(like);
    solver->ops->free = release;
    solver->ops->solve = solve;
    if (all->rest)
        return solver;
    SUNNonlinSolFree(solver);
    return NULL;
}
