#include <math.h>
#include <string.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"

/* A repair without hours to speak of still takes somebody there. */
static const double HOURS_LEAST = 0.05;
static const double HOURS_CLOSE = 1e-9; /* tenths are not exact in binary */
static const double ALIKE = 1e-12;      /* losses that differ by less are alike */

double repair_hours(const planner *a, int closure)
{
    return fmax(a->ship->links[closure].hours, HOURS_LEAST);
}

bool plan_some_fit(const planner *a)
{
    for (size_t i = 0; i < a->candidate_count; i++)
        if (hours_fit(a, repair_hours(a, a->candidates[i])))
            return true;
    return false;
}

double repair_lowers(const planner *a, int closure)
{
    return a->p[closure] - a->mended[closure];
}

bool choice_has(const choice *c, int closure)
{
    for (size_t i = 0; i < c->count; i++)
        if (c->list[i] == closure)
            return true;
    return false;
}

bool hours_fit(const planner *a, double hours)
{
    return hours <= a->hours + HOURS_CLOSE;
}

/* Less lost, or as much in fewer hours. */
bool choice_better(const choice *c, const choice *best)
{
    if (fabs(c->after - best->after) > ALIKE * fmax(1, best->after))
        return c->after < best->after;
    return c->hours < best->hours - HOURS_CLOSE;
}

void choice_add(const planner *a, choice *c, int closure)
{
    c->list[c->count++] = closure;
    c->hours += repair_hours(a, closure);
}

void choice_numbered(const planner *a, choice *c, unsigned set)
{
    c->count = 0;
    c->hours = 0;
    for (size_t i = 0; i < a->candidate_count; i++)
        if (set >> i & 1)
            choice_add(a, c, a->candidates[i]);
}

void choice_all(const planner *a, choice *c)
{
    for (size_t i = 0; i < a->candidate_count; i++)
        choice_add(a, c, a->candidates[i]);
}

void plan_mend(planner *a, const int *closures, size_t count)
{
    memcpy(a->trial, a->p, a->ship->closure_count * sizeof *a->trial);
    for (size_t i = 0; i < count; i++)
        a->trial[closures[i]] = a->mended[closures[i]];
}

void plan_none_certain(planner *a)
{
    for (size_t i = 0; i < a->ship->closure_count; i++)
        a->trial[i] = fmin(a->p[i], 0.5);
}

void plan_spend(planner *a, uint64_t work)
{
    a->work -= work < a->work ? work : a->work;
}

coaming_status choice_risk(planner *a, const choice *c, coaming_risk **risk, coaming_error *error)
{
    plan_mend(a, c ? c->list : NULL, c ? c->count : 0);
    return coaming_risk_new(a->ship, a->query, a->measure, a->trial, &a->options, risk, error);
}

coaming_status choice_expected(planner *a, const choice *c, double *expected, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_status status = choice_risk(a, c, &risk, error);
    if (status == COAMING_OK)
        *expected = coaming_risk_expected(risk);
    coaming_risk_free(risk);
    return status;
}

bool choice_new(const planner *a, choice *c)
{
    *c = (choice){.list = memory_new(a->candidate_count, sizeof *c->list)};
    return c->list;
}

void choice_copy(choice *to, const choice *from)
{
    memcpy(to->list, from->list, from->count * sizeof *to->list);
    to->count = from->count;
    to->hours = from->hours;
    to->after = from->after;
}

void choice_drop(const planner *a, choice *c, size_t index)
{
    c->hours -= repair_hours(a, c->list[index]);
    for (size_t i = index + 1; i < c->count; i++)
        c->list[i - 1] = c->list[i];
    c->count--;
}
