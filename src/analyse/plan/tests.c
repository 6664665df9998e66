/* What tests are worth that may show that a repair is needed, or is not. */
#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "coaming/likelihood.h"
#include "ship/rules.h"
#include "ship/standing.h"

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

/* By the method that teaches most of those that are asked of the closure; its method NULL: by none
 * anything that `least` would show. */
static coaming_plan_test best_test(const planner *a, int closure, double price, double least)
{
    coaming_plan_test best = {.value = least};
    test_rule rules[TEST_RULES_MOST];
    size_t count = test_rules(a->ship, &a->ship->links[closure], rules);
    for (size_t i = 0; i < count; i++) {
        coaming_plan_test t = value_test(a, closure, rules[i].method, a->effect[closure], price);
        if (t.value > best.value)
            best = t;
    }
    return best;
}

size_t plan_tests(const planner *a, double expected, double price, coaming_plan_test *tests)
{
    size_t count = 0;
    for (size_t i = 0; i < a->candidate_count; i++) {
        tests[count] = best_test(a, a->candidates[i], price, 1e-12 * expected);
        count += tests[count].method != NULL;
    }
    if (count)
        qsort(tests, count, sizeof *tests, by_value);
    return count;
}
