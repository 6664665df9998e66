/* What a set of repairs leaves, and what each repair more or less would change: one sweep of the
 * exact method has all of it; else the same samples for every set. */
#include <math.h>
#include <string.h>

#include "analyse/plan/planner.h"
#include "analyse/risk/exact.h"
#include "analyse/risk/risk.h"
#include "base/error.h"
#include "base/memory.h"

static bool repairable(const risk_model *m, size_t edge)
{
    return !m->whatever[edge];
}

/* Of one model at the probabilities of `trial`. edges: room. *work: the most, then what it took. */
static coaming_status look_exactly(const planner *a, size_t model, risk_edge *edges,
                                   double *birnbaum, uint64_t *work, outlook *view, bool *done,
                                   coaming_error *error)
{
    const risk_model *m = &a->models[model];
    risk_model with = *m;
    double expected = 0;
    memcpy(edges, m->edges, m->edge_count * sizeof *edges);
    for (size_t e = 0; e < m->edge_count; e++)
        if (repairable(m, e))
            edges[e].p = a->trial[edges[e].closure];
    with.edges = edges;
    coaming_status status = exact_ordered(&with, &a->orders[model], a->options.memory, work, done,
                                          &expected, birnbaum, error);
    if (status != COAMING_OK || !*done)
        return status;
    view->expected += expected;
    for (size_t e = 0; e < m->edge_count; e++)
        if (repairable(m, e))
            view->slope[edges[e].closure] += birnbaum[e];
    return COAMING_OK;
}

/* Of a model's loss, where `most` is usual. */
static uint64_t work_allowed(const risk_model *m, uint64_t most)
{
    uint64_t items = PLAN_WORK_ITEM * (m->edge_count + (uint64_t)m->node_count);
    return most > items ? most : items;
}

/* most: of work, that is usual for each model. */
static coaming_status look_at_models(planner *a, uint64_t most, outlook *view, bool *done,
                                     coaming_error *error)
{
    size_t edges = a->ship->closure_count;
    risk_edge *room = memory_new(edges, sizeof *room);
    double *birnbaum = memory_new(edges, sizeof *birnbaum);
    bool made = room && birnbaum;
    coaming_status status = COAMING_OK;
    *done = true;
    for (size_t i = 0; made && i < a->model_count && status == COAMING_OK && *done; i++) {
        uint64_t work = work_allowed(&a->models[i], most);
        status = look_exactly(a, i, room, birnbaum, &work, view, done, error);
        plan_spend(a, work);
    }
    memory_free(room);
    memory_free(birnbaum);
    return made ? status : error_memory(error);
}

/* Work of sampling: an edge or node of a sample takes about as long as some numbers of a table. */
enum { WORK_SAMPLED = 16 };
static uint64_t sampling_work(const planner *a)
{
    uint64_t work = 0;
    for (size_t i = 0; i < a->model_count; i++)
        work += a->models[i].edge_count + (uint64_t)a->models[i].node_count;
    return WORK_SAMPLED * work * PLAN_SAMPLES;
}

static coaming_status look_by_samples(planner *a, outlook *view, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_risk_options fewer = a->options;
    if (fewer.samples > PLAN_SAMPLES)
        fewer.samples = PLAN_SAMPLES;
    coaming_status status =
        coaming_risk_new(a->ship, a->query, a->measure, a->trial, &fewer, &risk, error);
    if (status != COAMING_OK)
        return status;
    view->expected = coaming_risk_expected(risk);
    for (size_t c = 0; c < a->ship->closure_count; c++) {
        const coaming_risk_row *row = coaming_risk_get(risk, (int)c);
        view->slope[c] = a->trial[c] > 0 ? row->repair_gain / a->trial[c] : row->birnbaum;
    }
    coaming_risk_free(risk);
    plan_spend(a, sampling_work(a));
    return COAMING_OK;
}

coaming_status plan_look(planner *a, choice *c, outlook *view, coaming_error *error)
{
    bool done = true;
    if (a->index)
        return plan_look_at_index(a, c, view, error);
    plan_mend(a, c->list, c->count);
    view->expected = 0;
    for (size_t i = 0; i < a->ship->closure_count; i++)
        view->slope[i] = 0;
    uint64_t left = a->work;
    coaming_status status = a->exact ? look_at_models(a, UINT64_MAX, view, &done, error)
                                     : look_by_samples(a, view, error);
    if (left - a->work < PLAN_WORK_LOOK)
        plan_spend(a, PLAN_WORK_LOOK - (left - a->work));
    if (status == COAMING_OK && !done)
        return risk_memory_refused(a->options.memory, error);
    c->after = view->expected;
    return status;
}

coaming_status plan_try_exact(planner *a, uint64_t most, bool *exact, coaming_error *error)
{
    outlook view = {0, memory_new(a->ship->closure_count, sizeof *view.slope)};
    if (!view.slope)
        return error_memory(error);
    a->orders = memory_new(a->model_count, sizeof *a->orders);
    bool made = a->orders != NULL;
    for (size_t i = 0; i < a->model_count && made; i++)
        made = exact_plan_new(&a->models[i], &a->orders[i]);
    plan_none_certain(a); /* as any set may have it: the tables are never larger */
    coaming_status status =
        !made ? error_memory(error) : look_at_models(a, most, &view, exact, error);
    memory_free(view.slope);
    return status;
}
