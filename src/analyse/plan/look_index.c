/* What a set of repairs leaves, and what each repair more or less would change, by the index. */
#include <string.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"

coaming_status plan_look_once(planner *a, choice *c, coaming_error *error)
{
    double index = 0;
    plan_mend(a, c->list, c->count);
    coaming_status status = repaired_index(a->index, a->trial, &index, error);
    c->after = 1 - index;
    return status;
}

/* The other chance of each closure: repaired if it is not in the set, as it is if it is. */
static coaming_status look_around(planner *a, const choice *c, double *slope, coaming_error *error)
{
    size_t count = a->ship->closure_count;
    double *other = memory_new(count, sizeof *other);
    if (!other)
        return error_memory(error);
    memcpy(other, a->p, count * sizeof *other);
    for (size_t i = 0; i < a->candidate_count; i++)
        other[a->candidates[i]] = a->mended[a->candidates[i]];
    for (size_t i = 0; i < c->count; i++)
        other[c->list[i]] = a->p[c->list[i]];
    coaming_status status = repaired_slopes(a->index, other, slope, error);
    for (size_t i = 0; i < count; i++)
        slope[i] = -slope[i];
    memory_free(other);
    return status;
}

coaming_status plan_look_at_index(planner *a, choice *c, outlook *view, coaming_error *error)
{
    uint64_t before = repaired_work(a->index);
    coaming_status status = plan_look_once(a, c, error);
    view->expected = c->after;
    if (status == COAMING_OK)
        status = look_around(a, c, view->slope, error);
    plan_spend(a, repaired_work(a->index) - before);
    return status;
}
