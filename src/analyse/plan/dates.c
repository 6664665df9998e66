#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "coaming/likelihood.h"

static double change(const coaming_plan_date *d)
{
    return fabs(d->expected_oldest - d->expected_youngest);
}

static int by_change(const void *left, const void *right)
{
    const coaming_plan_date *a = left, *b = right;
    if (change(a) != change(b))
        return change(a) > change(b) ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}

/* effect: what a certain leak costs. */
static coaming_plan_date date_of(const planner *a, int closure, double effect, double expected)
{
    coaming_plan_date d = {.closure = closure, .probability = a->p[closure]};
    coaming_likelihood_plausible(a->ship, closure, &d.youngest, &d.oldest);
    d.leaks_youngest = coaming_likelihood_supposing(a->ship, closure, d.youngest);
    d.leaks_oldest = coaming_likelihood_supposing(a->ship, closure, d.oldest);
    d.expected_youngest = fmax(0, expected + effect * (d.leaks_youngest - d.probability));
    d.expected_oldest = fmax(0, expected + effect * (d.leaks_oldest - d.probability));
    return d;
}

size_t plan_dates(const planner *a, double expected, coaming_plan_date *dates)
{
    size_t count = 0;
    for (size_t i = 0; i < a->ship->closure_count; i++) {
        if (!(a->effect[i] > 0) || !coaming_likelihood_age_assumed(a->ship, (int)i))
            continue;
        dates[count] = date_of(a, (int)i, a->effect[i], expected);
        count += change(&dates[count]) > 1e-12 * expected;
    }
    if (count)
        qsort(dates, count, sizeof *dates, by_change);
    return count;
}
