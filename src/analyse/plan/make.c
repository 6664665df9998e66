/* What every plan is made with, whatever is lost. */
#include <math.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"
#include "coaming/likelihood.h"

void plan_list_repair(const planner *a, int closure, plan_result *out)
{
    bool assumed;
    out->repairs[out->shown.repair_count++] = (coaming_plan_repair){
        .closure = closure,
        .hours = repair_hours(a, closure),
        .probability = a->p[closure],
        .alone = a->alone[closure],
        .success = coaming_likelihood_planned_success(a->ship, closure, &assumed)};
    out->shown.repairs_assumed |= assumed;
}

void plan_finish(const planner *a, plan_result *out)
{
    double gain = out->shown.expected - out->shown.after;
    out->shown.price = out->shown.hours > 0 ? gain / out->shown.hours : 0;
    out->shown.test_count = plan_tests(a, out->shown.expected, out->shown.price, out->tests);
    out->shown.date_count = plan_dates(a, out->shown.expected, out->dates);
}

/* Room for the planner and its plan; false when out of memory. */
static bool make_room(planner *a, plan_result *out)
{
    size_t n = a->ship->closure_count;
    a->p = memory_new(n, sizeof *a->p);
    a->mended = memory_new(n, sizeof *a->mended);
    a->trial = memory_new(n, sizeof *a->trial);
    a->effect = memory_new(n, sizeof *a->effect);
    a->alone = memory_new(n, sizeof *a->alone);
    a->candidates = memory_new(n, sizeof *a->candidates);
    out->repairs = memory_new(n, sizeof *out->repairs);
    out->tests = memory_new(n, sizeof *out->tests);
    out->without_hours = memory_new(n, sizeof *out->without_hours);
    out->dates = memory_new(n, sizeof *out->dates);
    return a->p && a->mended && a->trial && a->effect && a->alone && a->candidates &&
           out->repairs && out->tests && out->dates && out->without_hours;
}

static void free_workings(planner *a)
{
    memory_free(a->p);
    memory_free(a->mended);
    memory_free(a->trial);
    memory_free(a->effect);
    memory_free(a->alone);
    memory_free(a->candidates);
    for (size_t i = 0; a->orders && i < a->model_count; i++)
        exact_plan_free(&a->orders[i]);
    memory_free(a->orders);
    risk_models_free(a->models, a->model_count);
}

coaming_status plan_make(planner *a, plan_way way, coaming_plan **shown, coaming_error *error)
{
    if (!(a->hours > 0) || !isfinite(a->hours))
        return error_set(error, COAMING_USAGE, "the hours must be more than 0");
    plan_result *out = memory_new(1, sizeof *out);
    if (!out)
        return error_memory(error);
    coaming_status status = COAMING_MEMORY;
    if (make_room(a, out)) {
        coaming_likelihood_all(a->ship, a->p);
        for (int i = 0; i < (int)a->ship->closure_count; i++)
            a->mended[i] = (1 - coaming_likelihood_planned_success(a->ship, i, NULL)) * a->p[i];
        status = way(a, out, error);
    } else {
        error_memory(error);
    }
    out->shown.repairs = out->repairs;
    out->shown.tests = out->tests;
    out->shown.dates = out->dates;
    out->shown.assumed_age_count = coaming_likelihood_age_assumed_count(a->ship);
    out->shown.without_hours = out->without_hours;
    free_workings(a);
    if (status == COAMING_OK)
        *shown = &out->shown;
    else
        coaming_plan_free(&out->shown);
    return status;
}

void coaming_plan_free(coaming_plan *shown)
{
    plan_result *p = (plan_result *)shown; /* its first member */
    if (!p)
        return;
    memory_free(p->repairs);
    memory_free(p->tests);
    memory_free(p->dates);
    memory_free(p->without_hours);
    memory_free(p);
}
