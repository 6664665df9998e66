#include "ode/stiff.h"

#include <cvode/cvode.h>
#include <nvector/nvector_serial.h>
#include <stdlib.h>
#include <string.h>
#include <sundials/sundials_context.h>
#include <sundials/sundials_version.h>
#include <sunlinsol/sunlinsol_dense.h>
#include <sunlinsol/sunlinsol_klu.h>
#include <sunmatrix/sunmatrix_dense.h>
#include <sunmatrix/sunmatrix_sparse.h>

#include "base/error.h"
#include "base/memory.h"
#include "ode/newton.h"

struct stiff {
    stiff_problem problem;
    SUNContext context;
    void *cvode;
    N_Vector y, absolute;
    SUNMatrix matrix;
    SUNLinearSolver solver;
    SUNNonlinearSolver newton; /* NULL: the library's own */
    int *found;                /* by function */
    size_t steps, rates;       /* before the last restart */
    double t;
};

/* --- what CVODE calls --- */

static int call_rates(realtype t, N_Vector y, N_Vector rates, void *data)
{
    const stiff_problem *p = &((stiff *)data)->problem;
    return p->rates(p->data, t, N_VGetArrayPointer(y), N_VGetArrayPointer(rates)) ? 0 : 1;
}

static int call_jacobian(realtype t, N_Vector y, N_Vector rates, SUNMatrix j, void *data,
                         N_Vector a, N_Vector b, N_Vector c)
{
    const stiff_problem *p = &((stiff *)data)->problem;
    (void)rates, (void)a, (void)b, (void)c;
    sunindextype *start = SUNSparseMatrix_IndexPointers(j), *row = SUNSparseMatrix_IndexValues(j);
    for (size_t i = 0; i <= p->count; i++)
        start[i] = p->start[i];
    for (int i = 0; i < p->start[p->count]; i++)
        row[i] = p->row[i];
    return p->jacobian(p->data, t, N_VGetArrayPointer(y), SUNSparseMatrix_Data(j)) ? 0 : 1;
}

static int call_look(realtype t, N_Vector y, realtype *values, void *data)
{
    const stiff_problem *p = &((stiff *)data)->problem;
    p->look(p->data, t, N_VGetArrayPointer(y), values);
    return 0;
}

static int call_allow(N_Vector y, N_Vector weights, void *data)
{
    const stiff_problem *p = &((stiff *)data)->problem;
    double *w = N_VGetArrayPointer(weights);
    p->allow(p->data, N_VGetArrayPointer(y), w);
    for (size_t i = 0; i < p->count; i++)
        w[i] = 1 / w[i];
    return 0;
}

/* What goes wrong is told by what is returned. */
static void say_nothing(int code, const char *module, const char *function, char *message,
                        void *data)
{
    (void)code, (void)module, (void)function, (void)message, (void)data;
}

/* --- making --- */

static bool make_vectors(stiff *s, const double *y)
{
    sunindextype count = (sunindextype)s->problem.count;
    s->y = N_VNew_Serial(count, s->context);
    s->absolute = N_VNew_Serial(count, s->context);
    if (!s->y || !s->absolute)
        return false;
    memcpy(N_VGetArrayPointer(s->y), y, s->problem.count * sizeof *y);
    if (!s->problem.allow)
        memcpy(N_VGetArrayPointer(s->absolute), s->problem.absolute, s->problem.count * sizeof *y);
    return true;
}

static bool make_solver(stiff *s)
{
    const stiff_problem *p = &s->problem;
    sunindextype count = (sunindextype)p->count;
    if (p->row) {
        s->matrix = SUNSparseMatrix(count, count, p->start[count], CSC_MAT, s->context);
        s->solver = s->matrix ? SUNLinSol_KLU(s->y, s->matrix, s->context) : NULL;
    } else {
        s->matrix = SUNDenseMatrix(count, count, s->context);
        s->solver = s->matrix ? SUNLinSol_Dense(s->y, s->matrix, s->context) : NULL;
    }
    if (p->corners && s->solver)
        s->newton = newton_new(s->y, s->context);
    return s->solver && (s->newton || !p->corners);
}

static coaming_status told(int code, coaming_error *error)
{
    if (code >= 0)
        return COAMING_OK;
    if (code == CV_MEM_FAIL)
        return error_memory(error);
    char *name = CVodeGetReturnFlagName(code);
    error_set(error, COAMING_INTERNAL, "the equations in time cannot be solved: %s",
              name ? name : "unknown");
    free(name); /* of the library, by its own malloc */
    return COAMING_INTERNAL;
}

/* Part of what a step may be off that its equations are solved to, where they have corners: what is fast
 * must lie where it belongs, or flows between full rooms chatter. */
static const double SOLVED = 0.01;
enum { STEPS_MOST = 200000 }; /* between two moments that are asked for */

static coaming_status set_up(stiff *s, double t, coaming_error *error)
{
    const stiff_problem *p = &s->problem;
    int code = CVodeSetErrHandlerFn(s->cvode, say_nothing, s);
    code = code < 0 ? code : CVodeInit(s->cvode, call_rates, t, s->y);
    if (code >= 0)
        code = p->allow ? CVodeWFtolerances(s->cvode, call_allow)
                        : CVodeSVtolerances(s->cvode, p->relative, s->absolute);
    code = code < 0 ? code : CVodeSetUserData(s->cvode, s);
    if (code >= 0 && CVodeSetLinearSolver(s->cvode, s->solver, s->matrix) < 0)
        code = CV_MEM_FAIL; /* all else that it refuses is excluded; its codes mean other things */
    if (s->newton && code >= 0)
        code = CVodeSetNonlinearSolver(s->cvode, s->newton);
    if (s->newton && code >= 0)
        code = CVodeSetNonlinConvCoef(s->cvode, SOLVED);
    if (p->row)
        code = code < 0 ? code : CVodeSetJacFn(s->cvode, call_jacobian);
    code = code < 0 ? code : CVodeSetMaxNumSteps(s->cvode, STEPS_MOST);
    code = code < 0 ? code : CVodeSetMaxStep(s->cvode, p->longest);
    if (code >= 0 && p->order)
        code = CVodeSetMaxOrd(s->cvode, p->order);
    if (p->roots) {
        code = code < 0 ? code : CVodeRootInit(s->cvode, (int)p->roots, call_look);
        for (size_t i = 0; i < p->roots; i++)
            s->found[i] = 1;
        code = code < 0 ? code : CVodeSetRootDirection(s->cvode, s->found);
        code = code < 0 ? code : CVodeSetNoInactiveRootWarn(s->cvode);
    }
    return told(code, error);
}

coaming_status stiff_new(const stiff_problem *problem, double t, const double *y, stiff **out,
                         coaming_error *error)
{
    stiff *s = memory_new(1, sizeof *s);
    if (!s)
        return error_memory(error);
    s->problem = *problem;
    s->t = t;
    s->found = memory_new(problem->roots, sizeof *s->found);
    coaming_status status = COAMING_MEMORY;
    if (s->found && SUNContext_Create(NULL, &s->context) == 0 && make_vectors(s, y) &&
        make_solver(s) && (s->cvode = CVodeCreate(CV_BDF, s->context)))
        status = set_up(s, t, error);
    else
        error_memory(error);
    if (status == COAMING_OK)
        *out = s;
    else
        stiff_free(s);
    return status;
}

void stiff_free(stiff *s)
{
    if (!s)
        return;
    if (s->cvode)
        CVodeFree(&s->cvode);
    if (s->newton)
        SUNNonlinSolFree(s->newton);
    if (s->solver)
        SUNLinSolFree(s->solver);
    if (s->matrix)
        SUNMatDestroy(s->matrix);
    if (s->y)
        N_VDestroy(s->y);
    if (s->absolute)
        N_VDestroy(s->absolute);
    if (s->context)
        SUNContext_Free(&s->context);
    memory_free(s->found);
    memory_free(s);
}

/* --- going on --- */

coaming_status stiff_on(stiff *s, double until, double *t, double *y, bool *rooted, bool *any,
                        coaming_error *error)
{
    realtype reached = s->t;
    int code = CVodeSetStopTime(s->cvode, until);
    code = code < 0 ? code : CVode(s->cvode, until, s->y, &reached, CV_NORMAL);
    *any = code == CV_ROOT_RETURN;
    if (*any) {
        int asked = CVodeGetRootInfo(s->cvode, s->found);
        code = asked < 0 ? asked : code;
    }
    for (size_t i = 0; rooted && i < s->problem.roots; i++)
        rooted[i] = *any && s->found[i] > 0;
    *t = s->t = reached;
    memcpy(y, N_VGetArrayPointer(s->y), s->problem.count * sizeof *y);
    return told(code, error);
}

coaming_status stiff_step(stiff *s, double until, double *t, coaming_error *error)
{
    realtype reached = s->t;
    int code = CVodeSetStopTime(s->cvode, until);
    code = code < 0 ? code : CVode(s->cvode, until, s->y, &reached, CV_ONE_STEP);
    *t = s->t = reached;
    return told(code, error);
}

bool stiff_at(stiff *s, double t, double *y)
{
    if (CVodeGetDky(s->cvode, t, 0, s->y) < 0)
        return false;
    memcpy(y, N_VGetArrayPointer(s->y), s->problem.count * sizeof *y);
    return true;
}

void stiff_cost(const stiff *s, size_t *steps, size_t *rates)
{
    long now = 0, asked = 0;
    CVodeGetNumSteps(s->cvode, &now);
    CVodeGetNumRhsEvals(s->cvode, &asked);
    *steps = s->steps + (size_t)now;
    *rates = s->rates + (size_t)asked;
}

coaming_status stiff_restart(stiff *s, double t, const double *y, coaming_error *error)
{
    stiff_cost(s, &s->steps, &s->rates);
    memcpy(N_VGetArrayPointer(s->y), y, s->problem.count * sizeof *y);
    s->t = t;
    return told(CVodeReInit(s->cvode, t, s->y), error);
}

void stiff_library(coaming_library *library)
{
    *library = (coaming_library){"SUNDIALS", "BSD-3-Clause", "flow in time", SUNDIALS_VERSION, ""};
    SUNDIALSGetVersion(library->running, sizeof library->running);
}
