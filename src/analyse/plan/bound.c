/*
 * What no set that fits into the hours gains more than.
 *
 * With everything repaired but one closure c a place v loses I(c,v) more than with everything
 * repaired: one sweep of the exact method for each v has that of all closures. A set S leaves out all
 * others, and the fewer are repaired the more is lost at every place: at v at least the greatest
 * I(c,v) of those left out. The greatest is no less than any weighted mean, so that with shares
 * a(c,v) that add up to 1 over all closures it is no less than the sum of a(c,v) I(c,v) over those
 * left out. Let g(c) be that product summed over the places. S then gains at most what repairing
 * everything would, less g of all that it leaves out; and how much g fits into the hours is bounded
 * by filling them with the most for the hour, the last in part (Dantzig, "Discrete-variable extremum
 * problems", Operations Research 5(2), 1957, from memory). As shares, I(c,v) over its sum at v.
 */
#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "analyse/risk/exact.h"
#include "base/error.h"
#include "base/memory.h"

typedef struct {
    double least, hours; /* what is lost at least if it is left out */
} offer;

/* Of one model with everything repaired. */
typedef struct {
    planner *a;
    risk_model with;
    const exact_plan *order;
    double *mass;  /* by node: that of the model at one of them, else 0 */
    double *slope; /* by edge */
    double *lost;  /* by edge: I of its closure at the node at hand */
    uint64_t work;
    bool done;
} leaving;

/* A closure that is no candidate is repaired in no set, and loses nothing by being left out. */
static void add_node(leaving *l, double *least)
{
    double sum = 0;
    for (size_t e = 0; e < l->with.edge_count; e++) {
        int c = l->with.edges[e].closure;
        bool repairable = !l->with.whatever[e] && l->a->trial[c] < l->a->p[c];
        l->lost[e] = repairable ? repair_lowers(l->a, c) * l->slope[e] : 0;
        sum += l->lost[e];
    }
    for (size_t e = 0; e < l->with.edge_count && sum > 0; e++)
        least[l->with.edges[e].closure] += l->lost[e] * l->lost[e] / sum;
}

static coaming_status look_at_nodes(leaving *l, const risk_model *m, double *least,
                                    coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (int v = 0; v < m->node_count && status == COAMING_OK && l->done; v++) {
        double expected;
        uint64_t work = l->work;
        if (m->mass[v] <= 0)
            continue;
        l->mass[v] = m->mass[v];
        status = exact_ordered(&l->with, l->order, l->a->options.memory, &work, &l->done, &expected,
                               l->slope, error);
        l->mass[v] = 0;
        l->work -= work < l->work ? work : l->work;
        if (status == COAMING_OK && l->done)
            add_node(l, least);
    }
    return status;
}

static coaming_status add_model(planner *a, size_t model, uint64_t *work, double *least, bool *done,
                                coaming_error *error)
{
    const risk_model *m = &a->models[model];
    risk_edge *edges = memory_new(m->edge_count, sizeof *edges);
    leaving l = {.a = a,
                 .with = *m,
                 .order = &a->orders[model],
                 .mass = memory_new((size_t)m->node_count, sizeof *l.mass),
                 .slope = memory_new(m->edge_count, sizeof *l.slope),
                 .lost = memory_new(m->edge_count, sizeof *l.lost),
                 .work = *work,
                 .done = true};
    bool made = edges && l.mass && l.slope && l.lost;
    for (size_t e = 0; made && e < m->edge_count; e++) {
        edges[e] = m->edges[e];
        if (!m->whatever[e])
            edges[e].p = a->trial[edges[e].closure];
    }
    l.with.edges = edges;
    l.with.mass = l.mass;
    coaming_status status = made ? look_at_nodes(&l, m, least, error) : error_memory(error);
    *work = l.work;
    *done = l.done;
    memory_free(edges);
    memory_free(l.mass);
    memory_free(l.slope);
    memory_free(l.lost);
    return status;
}

static int by_rate(const void *left, const void *right)
{
    const offer *a = left, *b = right;
    double one = a->least * b->hours, other = b->least * a->hours;
    return (one < other) - (one > other);
}

/* Takes off the bound what is lost at least by leaving out what does not fit. */
static coaming_status leave_out(const planner *a, const double *least, double *bound,
                                coaming_error *error)
{
    offer *offers = memory_new(a->candidate_count, sizeof *offers);
    double left = a->hours;
    if (!offers)
        return error_memory(error);
    for (size_t i = 0; i < a->candidate_count; i++)
        offers[i] = (offer){least[a->candidates[i]], repair_hours(a, a->candidates[i])};
    qsort(offers, a->candidate_count, sizeof *offers, by_rate);
    for (size_t i = 0; i < a->candidate_count; i++) {
        double part = hours_fit(a, offers[i].hours) ? fmin(1, left / offers[i].hours) : 0;
        *bound -= (1 - part) * offers[i].least;
        left -= part * offers[i].hours;
    }
    memory_free(offers);
    return COAMING_OK;
}

coaming_status plan_bound(planner *a, double all, double *bound, coaming_error *error)
{
    double *least = memory_new(a->ship->closure_count, sizeof *least);
    if (!least)
        return error_memory(error);
    coaming_status status = COAMING_OK;
    uint64_t work = PLAN_WORK_BOUND;
    bool done = a->exact;
    plan_mend(a, a->candidates, a->candidate_count);
    for (size_t i = 0; i < a->model_count && status == COAMING_OK && done; i++)
        status = add_model(a, i, &work, least, &done, error);
    *bound = all;
    if (status == COAMING_OK && done && a->candidate_count)
        status = leave_out(a, least, bound, error);
    memory_free(least);
    return status;
}
