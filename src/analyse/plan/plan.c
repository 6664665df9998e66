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
    int *without_hours;
} plan;

/* Orders the set: at each step the repair that gains most for the hour on top of those before it.
 */
static coaming_status order(planner *a, const choice *set, plan *out, coaming_error *error)
{
    choice c, left;
    coaming_status status = COAMING_OK;
    if (!choice_new(a, &c))
        return error_memory(error);
    if (!choice_new(a, &left)) {
        memory_free(c.list);
        return error_memory(error);
    }
    choice_copy(&left, set);
    double before = out->shown.expected;
    while (left.count && status == COAMING_OK) {
        coaming_risk *risk = NULL;
        status = choice_risk(a, &c, NULL, 0, &risk, error);
        size_t best = 0;
        for (size_t i = 1; i < left.count && status == COAMING_OK; i++)
            if (coaming_risk_get(risk, left.list[i])->repair_gain / repair_hours(a, left.list[i]) >
                coaming_risk_get(risk, left.list[best])->repair_gain /
                    repair_hours(a, left.list[best]))
                best = i;
        coaming_risk_free(risk);
        int closure = left.list[best];
        choice_add(a, &c, closure);
        choice_drop(a, &left, best);
        if (status == COAMING_OK)
            status = choice_expected(a, &c, NULL, 0, &c.after, error);
        out->repairs[out->shown.repair_count++] = (coaming_plan_repair){
            closure, repair_hours(a, closure), a->p[closure], before - c.after};
        before = c.after;
    }
    out->shown.after = before;
    out->shown.hours = set->hours;
    memory_free(c.list);
    memory_free(left.list);
    return status;
}

static int by_value(const void *left, const void *right)
{
    const coaming_plan_test *a = left, *b = right;
    if (a->value != b->value)
        return a->value > b->value ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
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
    double with =
        fails * fmin(failed * effect, repair) + (1 - fails) * fmin(passed * effect, repair);
    return (coaming_plan_test){closure, method_words[method], p, fails,
                               fmin(p * effect, repair) - with};
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

static coaming_status first_risk(planner *a, plan *out, coaming_error *error)
{
    coaming_risk *risk = NULL;
    choice none = {NULL, 0, 0, 0};
    coaming_status status = choice_risk(a, &none, NULL, 0, &risk, error);
    if (status != COAMING_OK)
        return status;
    out->shown.expected = out->shown.after = coaming_risk_expected(risk);
    out->shown.error = coaming_risk_error(risk);
    out->shown.exact = a->exact = coaming_risk_is_exact(risk);
    if (!a->exact && !a->options.samples) /* the same samples for all that follows */
        a->options.samples = coaming_risk_samples(risk);
    coaming_risk_free(risk);
    return find_candidates(a, out, error);
}

/* The set and its order; what all repairs together would gain; and what tests are worth. */
static coaming_status find_best(planner *a, plan *out, choice *best, coaming_error *error)
{
    choice none = {NULL, 0, 0, 0};
    coaming_risk *risk = NULL;
    double all = 0;
    coaming_status status =
        out->shown.exhaustive ? plan_exhaust(a, best, error) : plan_search(a, best, error);
    if (status == COAMING_OK)
        status = order(a, best, out, error);
    if (status == COAMING_OK)
        status = choice_expected(a, &none, a->candidates, a->candidate_count, &all, error);
    if (status == COAMING_OK)
        status = choice_risk(a, &none, NULL, 0, &risk, error);
    if (status != COAMING_OK)
        return status;
    double gain = out->shown.expected - out->shown.after;
    out->shown.bound = out->shown.expected - all;
    out->shown.price = out->shown.hours > 0 ? gain / out->shown.hours : 0;
    value_tests(a, risk, out);
    coaming_risk_free(risk);
    return COAMING_OK;
}

static coaming_status work_out(planner *a, plan *out, coaming_error *error)
{
    choice best;
    coaming_status status = first_risk(a, out, error);
    if (status != COAMING_OK)
        return status;
    if (a->exact && !plan_bundles(a))
        return error_memory(error);
    if (!choice_new(a, &best))
        return error_memory(error);
    out->shown.exhaustive = a->candidate_count <= COAMING_PLAN_EXHAUSTIVE;
    status = find_best(a, out, &best, error);
    memory_free(best.list);
    return status;
}

/* Room for the planner and its plan; false when out of memory. */
static bool make_room(planner *a, plan *out)
{
    size_t n = a->ship->closure_count;
    a->p = memory_new(n, sizeof *a->p);
    a->trial = memory_new(n, sizeof *a->trial);
    a->candidates = memory_new(n, sizeof *a->candidates);
    out->repairs = memory_new(n, sizeof *out->repairs);
    out->tests = memory_new(n, sizeof *out->tests);
    out->without_hours = memory_new(n, sizeof *out->without_hours);
    return a->p && a->trial && a->candidates && out->repairs && out->tests && out->without_hours;
}

coaming_status coaming_plan_new(const coaming_ship *ship, coaming_query query,
                                coaming_measure measure, double hours,
                                const coaming_risk_options *options, coaming_plan **shown,
                                coaming_error *error)
{
    if (!(hours > 0) || !isfinite(hours))
        return error_set(error, COAMING_USAGE, "the hours must be more than 0");
    planner a = {.ship = ship,
                 .query = query,
                 .measure = measure,
                 .hours = hours,
                 .options = options ? *options : coaming_risk_default()};
    plan *out = memory_new(1, sizeof *out);
    if (!out)
        return error_memory(error);
    coaming_status status = COAMING_MEMORY;
    a.options.loss_only = true;
    if (make_room(&a, out)) {
        coaming_likelihood_all(ship, a.p);
        status = work_out(&a, out, error);
    } else {
        error_memory(error);
    }
    out->shown.repairs = out->repairs;
    out->shown.tests = out->tests;
    out->shown.without_hours = out->without_hours;
    memory_free(a.p);
    memory_free(a.trial);
    memory_free(a.candidates);
    memory_free(a.bundles);
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
    memory_free(p->without_hours);
    memory_free(p);
}
