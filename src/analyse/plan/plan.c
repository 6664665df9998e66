#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"
#include "coaming/likelihood.h"
#include "ship/rules.h"
#include "ship/standing.h"

/* The answer. */

typedef struct {
    coaming_plan shown;
    coaming_plan_repair *repairs;
    coaming_plan_test *tests;
    coaming_plan_date *dates;
    int *without_hours;
} plan;

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

/* Its gain is known when the next one is looked for. */
static void list_repair(const planner *a, int closure, plan *out)
{
    bool assumed;
    out->repairs[out->shown.repair_count++] = (coaming_plan_repair){
        .closure = closure,
        .hours = repair_hours(a, closure),
        .probability = a->p[closure],
        .success = coaming_likelihood_planned_success(a->ship, closure, &assumed)};
    out->shown.repairs_assumed |= assumed;
}

/* Moves repairs from `left` to `done`: at each step the one that gains most on top of those before
 * it, so that whoever has to stop early has lost least. */
static coaming_status list_repairs(planner *a, choice *left, choice *done, plan *out,
                                   coaming_error *error)
{
    for (;;) {
        coaming_risk *risk = NULL;
        coaming_status status = choice_risk(a, done, &risk, error);
        if (status != COAMING_OK)
            return status;
        double before = out->shown.after, after = coaming_risk_expected(risk);
        if (done->count)
            out->repairs[done->count - 1].gain = before - after;
        out->shown.after = after;
        size_t best = left->count ? best_next(a, risk, left) : 0;
        coaming_risk_free(risk);
        if (!left->count)
            return COAMING_OK;
        list_repair(a, left->list[best], out);
        choice_add(a, done, left->list[best]);
        choice_drop(a, left, best);
    }
}

static coaming_status order(planner *a, const choice *set, plan *out, coaming_error *error)
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

static int by_value(const void *left, const void *right)
{
    const coaming_plan_test *a = left, *b = right;
    if (a->value != b->value)
        return a->value > b->value ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}

/* What a closure costs where its repair has this price: its risk, or the price with what of the risk
 * the repair leaves. */
static double left_or_repaired(const planner *a, int closure, double risk, double price)
{
    double success = coaming_likelihood_planned_success(a->ship, closure, NULL);
    return fmin(risk, price + (1 - success) * risk);
}

/* What a test of a closure is worth at the price of an hour. effect: what a certain leak costs. */
static coaming_plan_test value_test(const planner *a, int closure, test_method method,
                                    double effect, double price)
{
    bool assumed;
    method_quality q = standing_quality(a->ship, method, &assumed);
    double p = a->p[closure], repair = price * repair_hours(a, closure);
    double fails = q.sensitivity * p + (1 - q.specificity) * (1 - p);
    double failed = coaming_after_test(p, q.sensitivity, q.specificity, COAMING_FAIL);
    double passed = coaming_after_test(p, q.sensitivity, q.specificity, COAMING_PASS);
    double with = fails * left_or_repaired(a, closure, failed * effect, repair) +
                  (1 - fails) * left_or_repaired(a, closure, passed * effect, repair);
    return (coaming_plan_test){closure, method_words[method], p, fails,
                               left_or_repaired(a, closure, p * effect, repair) - with};
}

/* Of each closure by the method that teaches most of those that are asked of it. */
static void value_tests(const planner *a, const coaming_risk *risk, plan *out)
{
    for (size_t i = 0; i < a->candidate_count; i++) {
        int closure = a->candidates[i];
        double effect = coaming_risk_get(risk, closure)->repair_gain / a->p[closure];
        coaming_plan_test best = {.value = 1e-12 * out->shown.expected};
        test_rule rules[TEST_RULES_MOST];
        size_t count = test_rules(a->ship, &a->ship->links[closure], rules);
        for (size_t j = 0; j < count; j++) {
            coaming_plan_test t = value_test(a, closure, rules[j].method, effect, out->shown.price);
            if (t.value > best.value)
                best = t;
        }
        if (best.method)
            out->tests[out->shown.test_count++] = best;
    }
    if (out->shown.test_count)
        qsort(out->tests, out->shown.test_count, sizeof *out->tests, by_value);
}

/* Closures that could be repaired and could matter. Beside one that leaks for certain a leak does
 * nothing by itself, so they are asked with no leak certain. */
static coaming_status find_candidates(planner *a, plan *out, coaming_error *error)
{
    coaming_risk *risk = NULL;
    for (size_t i = 0; i < a->ship->closure_count; i++)
        a->trial[i] = fmin(a->p[i], 0.5);
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
        return error_set(error, COAMING_USAGE,
                         "the exact tables need more than %zu bytes; allow more, or sample",
                         a->options.memory);
    a->work = a->exact ? PLAN_WORK : PLAN_WORK_SAMPLED;
    a->options.method = a->exact ? COAMING_RISK_EXACT : COAMING_RISK_SAMPLED;
    return status;
}

static coaming_status first_risk(planner *a, plan *out, coaming_error *error)
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
        a->options.samples = coaming_risk_sample_count(risk);
    coaming_risk_free(risk);
    return find_candidates(a, out, error);
}

static coaming_status find_set(planner *a, plan *out, choice *best, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    if (a->exact)
        status = plan_exhaust(a, best, &out->shown.exhaustive, error);
    if (status == COAMING_OK && !out->shown.exhaustive)
        status = plan_search(a, best, error);
    return status;
}

/* What all repairs together would gain, and what none of those that fit gains more than. */
static coaming_status find_bounds(planner *a, plan *out, coaming_error *error)
{
    choice all = {0};
    double after = 0, gain = out->shown.expected - out->shown.after;
    if (!choice_new(a, &all))
        return error_memory(error);
    for (size_t i = 0; i < a->candidate_count; i++)
        choice_add(a, &all, a->candidates[i]);
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
static coaming_status find_best(planner *a, plan *out, choice *best, coaming_error *error)
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
    double gain = out->shown.expected - out->shown.after;
    out->shown.price = out->shown.hours > 0 ? gain / out->shown.hours : 0;
    value_tests(a, risk, out);
    out->shown.date_count = plan_dates(a, risk, out->shown.expected, out->dates);
    coaming_risk_free(risk);
    return COAMING_OK;
}

static coaming_status work_out(planner *a, plan *out, coaming_error *error)
{
    choice best;
    coaming_status status =
        risk_models_new(a->ship, a->query, a->measure, a->p, &a->models, &a->model_count, error);
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

/* Room for the planner and its plan; false when out of memory. */
static bool make_room(planner *a, plan *out)
{
    size_t n = a->ship->closure_count;
    a->p = memory_new(n, sizeof *a->p);
    a->mended = memory_new(n, sizeof *a->mended);
    a->trial = memory_new(n, sizeof *a->trial);
    a->candidates = memory_new(n, sizeof *a->candidates);
    out->repairs = memory_new(n, sizeof *out->repairs);
    out->tests = memory_new(n, sizeof *out->tests);
    out->without_hours = memory_new(n, sizeof *out->without_hours);
    out->dates = memory_new(n, sizeof *out->dates);
    return a->p && a->mended && a->trial && a->candidates && out->repairs && out->tests &&
           out->dates && out->without_hours;
}

static void free_workings(planner *a)
{
    memory_free(a->p);
    memory_free(a->mended);
    memory_free(a->trial);
    memory_free(a->candidates);
    for (size_t i = 0; a->orders && i < a->model_count; i++)
        exact_plan_free(&a->orders[i]);
    memory_free(a->orders);
    risk_models_free(a->models, a->model_count);
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
    if (!(hours > 0) || !isfinite(hours))
        return error_set(error, COAMING_USAGE, "the hours must be more than 0");
    planner a = {.ship = ship,
                 .query = query,
                 .measure = measure,
                 .hours = hours,
                 .exhaustive = exhaustive,
                 .options = options ? *options : coaming_risk_options_default()};
    plan *out = memory_new(1, sizeof *out);
    if (!out)
        return error_memory(error);
    coaming_status status = COAMING_MEMORY;
    a.options.loss_only = true;
    if (make_room(&a, out)) {
        coaming_likelihood_all(ship, a.p);
        for (int i = 0; i < (int)ship->closure_count; i++)
            a.mended[i] = (1 - coaming_likelihood_planned_success(ship, i, NULL)) * a.p[i];
        status = work_out(&a, out, error);
    } else {
        error_memory(error);
    }
    out->shown.repairs = out->repairs;
    out->shown.tests = out->tests;
    out->shown.dates = out->dates;
    out->shown.assumed_age_count = coaming_likelihood_age_assumed_count(ship);
    out->shown.without_hours = out->without_hours;
    free_workings(&a);
    if (status == COAMING_OK)
        *shown = &out->shown;
    else
        coaming_plan_free(&out->shown);
    return status;
}

void coaming_plan_free(coaming_plan *shown)
{
    plan *p = (plan *)shown; /* its first member */
    if (!p)
        return;
    memory_free(p->repairs);
    memory_free(p->tests);
    memory_free(p->dates);
    memory_free(p->without_hours);
    memory_free(p);
}
