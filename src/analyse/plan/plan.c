#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "analyse/risk/risk.h"
#include "base/error.h"
#include "base/memory.h"

/* What a repair gains on top of others. */
static double gain_of(const planner *a, const coaming_risk *risk, int closure)
{
    double gain = coaming_risk_get(risk, closure)->repair_gain;
    return gain / a->p[closure] * repair_lowers(a, closure);
}

/* The place of the repair that gains most; the first of equals. */
static size_t best_next(const planner *a, const coaming_risk *risk, const choice *left)
{
    size_t best = 0;
    for (size_t i = 1; i < left->count; i++)
        if (gain_of(a, risk, left->list[i]) > gain_of(a, risk, left->list[best]))
            best = i;
    return best;
}

/* Moves repairs from `left` to `done`: at each step the one that gains most on top of those before
 * it, so that whoever has to stop early has lost least. */
static coaming_status list_repairs(planner *a, choice *left, choice *done, plan_result *out,
                                   coaming_error *error)
{
    for (;;) {
        coaming_risk *risk = NULL;
        coaming_status status = choice_risk(a, done, &risk, error);
        if (status != COAMING_OK)
            return status;
        double before = out->shown.after, after = coaming_risk_expected(risk);
        for (size_t i = 0; !done->count && i < left->count; i++)
            a->alone[left->list[i]] = gain_of(a, risk, left->list[i]);
        if (done->count) /* known when the next one is looked for */
            out->repairs[done->count - 1].gain = before - after;
        out->shown.after = after;
        size_t best = left->count ? best_next(a, risk, left) : 0;
        coaming_risk_free(risk);
        if (!left->count)
            return COAMING_OK;
        plan_list_repair(a, left->list[best], out);
        choice_add(a, done, left->list[best]);
        choice_drop(a, left, best);
    }
}

static coaming_status order(planner *a, const choice *set, plan_result *out, coaming_error *error)
{
    choice left = {0}, done = {0};
    bool made = choice_new(a, &left) && choice_new(a, &done);
    if (made)
        choice_copy(&left, set);
    coaming_status status = made ? list_repairs(a, &left, &done, out, error) : error_memory(error);
    out->shown.hours = set->hours;
    memory_free(left.list);
    memory_free(done.list);
    return status;
}

/* Closures that could be repaired and could matter. Beside one that leaks for certain a leak does
 * nothing by itself, so they are asked with no leak certain. */
static coaming_status find_candidates(planner *a, plan_result *out, coaming_error *error)
{
    coaming_risk *risk = NULL;
    plan_none_certain(a);
    coaming_status status =
        coaming_risk_new(a->ship, a->query, a->measure, a->trial, &a->options, &risk, error);
    for (size_t i = 0; i < a->ship->closure_count && status == COAMING_OK; i++) {
        if (!(coaming_risk_get(risk, (int)i)->repair_gain > 0))
            continue;
        if (a->ship->links[i].hours >= 0)
            a->candidates[a->candidate_count++] = (int)i;
        else
            out->without_hours[out->shown.without_hours_count++] = (int)i;
    }
    coaming_risk_free(risk);
    return status;
}

/* Exact or sampled: what is taken for the first loss is for all that follow. */
static coaming_status choose_method(planner *a, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    bool certain = a->options.method == COAMING_RISK_EXACT;
    if (a->options.method != COAMING_RISK_SAMPLED)
        status = plan_try_exact(a, certain ? UINT64_MAX : PLAN_WORK_LOSS, &a->exact, error);
    if (status != COAMING_OK)
        return status;
    if (certain && !a->exact)
        return risk_memory_refused(a->options.memory, error);
    a->work = a->exact ? PLAN_WORK : PLAN_WORK_SAMPLED;
    a->options.method = a->exact ? COAMING_RISK_EXACT : COAMING_RISK_SAMPLED;
    return status;
}

/* Of every model as many as of the one that had most, as far as the work allows. */
static uint64_t samples_of_all(const planner *a, uint64_t most)
{
    uint64_t each = 1, allowed;
    for (size_t i = 0; i < a->model_count; i++)
        each += a->models[i].edge_count + (uint64_t)a->models[i].node_count;
    if (!a->options.sampling)
        return most;
    allowed = a->options.sampling / each;
    allowed = allowed > RISK_ALLOTTED * RISK_BLOCK ? allowed : RISK_ALLOTTED * RISK_BLOCK;
    return most < allowed ? most : allowed;
}

static coaming_status first_risk(planner *a, plan_result *out, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_status status = choose_method(a, error);
    if (status == COAMING_OK)
        status = choice_risk(a, NULL, &risk, error);
    if (status != COAMING_OK)
        return status;
    out->shown.expected = out->shown.after = coaming_risk_expected(risk);
    out->shown.error = coaming_risk_error(risk);
    out->shown.limit = coaming_risk_limit(risk);
    out->shown.exact = a->exact;
    if (!a->exact && !a->options.samples) /* the same samples for all that follows */
        a->options.samples = samples_of_all(a, coaming_risk_sample_count(risk));
    coaming_risk_free(risk);
    return find_candidates(a, out, error);
}

static coaming_status find_set(planner *a, plan_result *out, choice *best, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    out->shown.none_fits = !plan_some_fit(a);
    if (a->exact)
        status = plan_exhaust(a, best, &out->shown.exhaustive, error);
    if (status == COAMING_OK && !out->shown.exhaustive)
        status = plan_search(a, best, error);
    return status;
}

/* What all repairs together would gain, and what none of those that fit gains more than. */
static coaming_status find_bounds(planner *a, plan_result *out, coaming_error *error)
{
    choice all = {0};
    double after = 0, gain = out->shown.expected - out->shown.after;
    if (!choice_new(a, &all))
        return error_memory(error);
    choice_all(a, &all);
    coaming_status status = choice_expected(a, &all, &after, error);
    memory_free(all.list);
    out->shown.bound = fmax(out->shown.expected - after, 0);
    out->shown.gain_limit = gain;
    if (status == COAMING_OK && !out->shown.exhaustive)
        status = plan_bound(a, out->shown.bound, &out->shown.gain_limit, error);
    out->shown.gain_limit = fmax(out->shown.gain_limit, gain); /* rounding */
    return status;
}

/* The set and its order; its bounds; and what tests are worth. */
static coaming_status find_best(planner *a, plan_result *out, choice *best, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_status status = find_set(a, out, best, error);
    if (status == COAMING_OK)
        status = order(a, best, out, error);
    if (status == COAMING_OK)
        status = find_bounds(a, out, error);
    if (status == COAMING_OK)
        status = choice_risk(a, NULL, &risk, error);
    if (status != COAMING_OK)
        return status;
    for (size_t i = 0; i < a->ship->closure_count; i++)
        a->effect[i] = a->p[i] > 0 ? coaming_risk_get(risk, (int)i)->repair_gain / a->p[i] : 0;
    plan_finish(a, out);
    coaming_risk_free(risk);
    return COAMING_OK;
}

static int by_hours(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* How many repairs fit at most: those that take least. */
static coaming_status count_fitting(const planner *a, size_t *fitting, coaming_error *error)
{
    size_t count = 0;
    double sum = 0, *hours = memory_new(a->ship->closure_count, sizeof *hours);
    if (!hours)
        return error_memory(error);
    for (size_t i = 0; i < a->ship->closure_count; i++)
        if (a->ship->links[i].hours >= 0 && a->p[i] > 0)
            hours[count++] = repair_hours(a, (int)i);
    if (count)
        qsort(hours, count, sizeof *hours, by_hours);
    for (*fitting = 0; *fitting < count && hours_fit(a, sum + hours[*fitting]); ++*fitting)
        sum += hours[*fitting];
    memory_free(hours);
    return COAMING_OK;
}

/* The loss is sampled anew for each repair of the plan, and some times besides. */
static coaming_status share_sampling(planner *a, coaming_error *error)
{
    enum { BESIDES = 5 };
    size_t fitting = 0;
    coaming_status status = count_fitting(a, &fitting, error);
    if (status == COAMING_OK && a->options.sampling)
        a->options.sampling = 1 + a->options.sampling / (fitting + BESIDES);
    return status;
}

static coaming_status work_out(planner *a, plan_result *out, coaming_error *error)
{
    choice best;
    coaming_status status =
        risk_models_new(a->ship, a->query, a->measure, a->p, &a->models, &a->model_count, error);
    if (status == COAMING_OK)
        status = share_sampling(a, error);
    if (status == COAMING_OK)
        status = first_risk(a, out, error);
    if (status != COAMING_OK)
        return status;
    if (!choice_new(a, &best))
        return error_memory(error);
    status = find_best(a, out, &best, error);
    memory_free(best.list);
    return status;
}

coaming_status coaming_plan_new(const coaming_ship *ship, coaming_query query,
                                coaming_measure measure, double hours,
                                const coaming_risk_options *options, coaming_plan **shown,
                                coaming_error *error)
{
    return plan_new(ship, query, measure, hours, options, COAMING_PLAN_EXHAUSTIVE, shown, error);
}

coaming_status plan_new(const coaming_ship *ship, coaming_query query, coaming_measure measure,
                        double hours, const coaming_risk_options *options, int exhaustive,
                        coaming_plan **shown, coaming_error *error)
{
    planner a = {.ship = ship,
                 .query = query,
                 .measure = measure,
                 .hours = hours,
                 .exhaustive = exhaustive,
                 .options = options ? *options : coaming_risk_options_default()};
    a.options.loss_only = true;
    if (query.level.kind == COAMING_LEVEL_EQUILIBRIUM)
        a.query.level.kind = COAMING_LEVEL_STILL; /* which is one plane */
    return plan_make(&a, work_out, shown, error);
}
