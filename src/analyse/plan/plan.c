#include "coaming/plan.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/likelihood/likelihood.h"
#include "analyse/rounds/rules.h"
#include "base/error.h"
#include "base/memory.h"
#include "coaming/likelihood.h"
#include "ship/ship.h"

/* Bundles that are tried in a step, where a loss is exact and quick to work out; none are where it
 * is sampled. */
enum { BUNDLES_MOST = 24, BUNDLE_SIZE = 4, PASSES_MOST = 3 };

/* A repair without hours to speak of still takes somebody there. */
static const double HOURS_LEAST = 0.05;
static const double HOURS_CLOSE = 1e-9; /* tenths are not exact in binary */
static const double ALIKE = 1e-12;      /* losses that differ by less are alike */

typedef struct {
    int member[BUNDLE_SIZE];
    int count;
    double likely; /* sum of the members' probabilities */
} bundle;

typedef struct {
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    double hours;
    coaming_risk_options options;
    double *p;     /* by closure: as estimated */
    double *trial; /* the same, 0 where repaired */
    int *candidates;
    size_t candidate_count;
    bundle *bundles;
    size_t bundle_count;
    bool exact;
} planner;

/* A set of repairs in the order of choosing. */
typedef struct {
    int *list; /* room for all candidates */
    size_t count;
    double hours, after; /* that it takes; expected loss with it */
} choice;

static double hours_of(const planner *a, int closure)
{
    return fmax(a->ship->links[closure].hours, HOURS_LEAST);
}

static bool chosen(const choice *c, int closure)
{
    for (size_t i = 0; i < c->count; i++)
        if (c->list[i] == closure)
            return true;
    return false;
}

static bool fits(const planner *a, double hours)
{
    return hours <= a->hours + HOURS_CLOSE;
}

/* Less lost, or as much in fewer hours. */
static bool better_than(const choice *c, const choice *best)
{
    if (fabs(c->after - best->after) > ALIKE * fmax(1, best->after))
        return c->after < best->after;
    return c->hours < best->hours - HOURS_CLOSE;
}

static void choose(const planner *a, choice *c, int closure)
{
    c->list[c->count++] = closure;
    c->hours += hours_of(a, closure);
}

/* Risk with a set repaired, and `more` besides. */
static coaming_status risk_with(planner *a, const choice *c, const int *more, size_t count,
                                coaming_risk **risk, coaming_error *error)
{
    memcpy(a->trial, a->p, a->ship->closure_count * sizeof *a->trial);
    for (size_t i = 0; i < c->count; i++)
        a->trial[c->list[i]] = 0;
    for (size_t i = 0; i < count; i++)
        a->trial[more[i]] = 0;
    return coaming_risk_new(a->ship, a->query, a->measure, a->trial, &a->options, risk, error);
}

static coaming_status expected_with(planner *a, const choice *c, const int *more, size_t count,
                                    double *expected, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_status status = risk_with(a, c, more, count, &risk, error);
    if (status == COAMING_OK)
        *expected = coaming_risk_expected(risk);
    coaming_risk_free(risk);
    return status;
}

/* Bundles. */

static int by_likely(const void *left, const void *right)
{
    const bundle *a = left, *b = right;
    if (a->likely != b->likely)
        return a->likely > b->likely ? -1 : 1;
    return (a->member[0] > b->member[0]) - (a->member[0] < b->member[0]);
}

/* Candidates that belong together: at one place (other -3), or between two. */
static bool gather(const planner *a, coaming_place one, coaming_place other, bundle *b)
{
    *b = (bundle){.count = 0};
    for (size_t i = 0; i < a->candidate_count; i++) {
        const ship_link *l = &a->ship->links[a->candidates[i]];
        bool here = other == -3 ? l->a == one || l->b == one
                                : (l->a == one && l->b == other) || (l->a == other && l->b == one);
        if (!here)
            continue;
        if (b->count == BUNDLE_SIZE)
            return false;
        b->member[b->count++] = a->candidates[i];
        b->likely += a->p[a->candidates[i]];
    }
    return b->count > 1;
}

static bool make_bundles(planner *a)
{
    bundle b;
    a->bundles = memory_new(a->candidate_count + a->ship->space_count, sizeof *a->bundles);
    if (!a->bundles)
        return false;
    for (size_t i = 0; i < a->candidate_count; i++) { /* once for each pair: by its first member */
        const ship_link *l = &a->ship->links[a->candidates[i]];
        if (gather(a, l->a, l->b, &b) && b.member[0] == a->candidates[i])
            a->bundles[a->bundle_count++] = b;
    }
    for (size_t s = 0; s < a->ship->space_count; s++)
        if (gather(a, (coaming_place)s, -3, &b))
            a->bundles[a->bundle_count++] = b;
    if (a->bundle_count)
        qsort(a->bundles, a->bundle_count, sizeof *a->bundles, by_likely);
    if (a->bundle_count > BUNDLES_MOST)
        a->bundle_count = BUNDLES_MOST;
    return true;
}

/* Greedy. */

typedef struct {
    int member[BUNDLE_SIZE];
    int count;
    double rate; /* gain for the hour */
} offer;

/* The best of the single repairs that fit. */
static void offer_singles(const planner *a, const choice *c, const coaming_risk *risk, offer *best)
{
    for (size_t i = 0; i < a->candidate_count; i++) {
        int closure = a->candidates[i];
        if (chosen(c, closure) || !fits(a, c->hours + hours_of(a, closure)))
            continue;
        double rate = coaming_risk_get(risk, closure)->repair_gain / hours_of(a, closure);
        if (rate > best->rate)
            *best = (offer){{closure}, 1, rate};
    }
}

static coaming_status offer_bundles(planner *a, const choice *c, offer *best, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < a->bundle_count && status == COAMING_OK; i++) {
        offer o = {.count = 0};
        double hours = 0, after = 0;
        for (int m = 0; m < a->bundles[i].count; m++) {
            if (chosen(c, a->bundles[i].member[m]))
                continue;
            o.member[o.count++] = a->bundles[i].member[m];
            hours += hours_of(a, a->bundles[i].member[m]);
        }
        if (o.count < 2 || !fits(a, c->hours + hours))
            continue;
        status = expected_with(a, c, o.member, (size_t)o.count, &after, error);
        o.rate = (c->after - after) / hours;
        if (status == COAMING_OK && o.rate > best->rate * (1 + 1e-9))
            *best = o;
    }
    return status;
}

/* Fills the hours that are left, the best rate first. */
static coaming_status fill(planner *a, choice *c, coaming_error *error)
{
    for (;;) {
        coaming_risk *risk = NULL;
        offer best = {.rate = 0};
        coaming_status status = risk_with(a, c, NULL, 0, &risk, error);
        if (status != COAMING_OK)
            return status;
        c->after = coaming_risk_expected(risk);
        offer_singles(a, c, risk, &best);
        coaming_risk_free(risk);
        status = offer_bundles(a, c, &best, error);
        if (status != COAMING_OK || !best.count)
            return status;
        for (int i = 0; i < best.count; i++)
            choose(a, c, best.member[i]);
    }
}

static bool choice_new(const planner *a, choice *c)
{
    *c = (choice){.list = memory_new(a->candidate_count, sizeof *c->list)};
    return c->list;
}

static void take_over(choice *to, const choice *from)
{
    memcpy(to->list, from->list, from->count * sizeof *to->list);
    to->count = from->count;
    to->hours = from->hours;
    to->after = from->after;
}

static void take_out(const planner *a, choice *c, size_t index)
{
    c->hours -= hours_of(a, c->list[index]);
    for (size_t i = index + 1; i < c->count; i++)
        c->list[i - 1] = c->list[i];
    c->count--;
}

/* Takes one out, fills the hours again without it in the first place, keeps what is better. */
static coaming_status exchange(planner *a, choice *c, coaming_error *error)
{
    choice other;
    coaming_status status = COAMING_OK;
    if (!choice_new(a, &other))
        return error_memory(error);
    bool better = true;
    for (int pass = 0; pass < PASSES_MOST && better && status == COAMING_OK; pass++) {
        better = false;
        for (size_t i = 0; i < c->count && status == COAMING_OK; i++) {
            double kept = a->p[c->list[i]];
            int out = c->list[i];
            take_over(&other, c);
            take_out(a, &other, i);
            a->p[out] = 0; /* so that it offers nothing: it stays as it is until put back */
            status = fill(a, &other, error);
            a->p[out] = kept;
            if (status == COAMING_OK)
                status = expected_with(a, &other, NULL, 0, &other.after, error);
            if (status == COAMING_OK && other.after < c->after * (1 - 1e-9)) {
                take_over(c, &other);
                better = true;
            }
        }
    }
    memory_free(other.list);
    return status;
}

/* The greatest single gain first, whatever its hours. */
static coaming_status start_large(planner *a, choice *c, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_status status = risk_with(a, c, NULL, 0, &risk, error);
    int best = -1;
    double most = 0;
    for (size_t i = 0; i < a->candidate_count && status == COAMING_OK; i++) {
        double gain = coaming_risk_get(risk, a->candidates[i])->repair_gain;
        if (gain > most && fits(a, hours_of(a, a->candidates[i]))) {
            most = gain;
            best = a->candidates[i];
        }
    }
    coaming_risk_free(risk);
    if (best >= 0)
        choose(a, c, best);
    return status == COAMING_OK ? fill(a, c, error) : status;
}

/* Takes out what gains nothing on top of the others. */
static coaming_status prune(planner *a, choice *best, coaming_error *error)
{
    choice other;
    coaming_status status = COAMING_OK;
    if (!choice_new(a, &other))
        return error_memory(error);
    for (size_t i = best->count; i-- > 0 && status == COAMING_OK;) {
        take_over(&other, best);
        take_out(a, &other, i);
        status = expected_with(a, &other, NULL, 0, &other.after, error);
        if (status == COAMING_OK && better_than(&other, best))
            take_over(best, &other);
    }
    memory_free(other.list);
    return status;
}

static coaming_status search(planner *a, choice *best, coaming_error *error)
{
    choice other;
    if (!choice_new(a, &other))
        return error_memory(error);
    coaming_status status = fill(a, best, error);
    if (status == COAMING_OK && a->exact)
        status = exchange(a, best, error);
    if (status == COAMING_OK)
        status = start_large(a, &other, error);
    if (status == COAMING_OK && a->exact)
        status = exchange(a, &other, error);
    if (status == COAMING_OK && better_than(&other, best))
        take_over(best, &other);
    if (status == COAMING_OK)
        status = prune(a, best, error);
    memory_free(other.list);
    return status;
}

/* Every set that fits. */
static coaming_status try_all(planner *a, choice *best, coaming_error *error)
{
    choice c;
    if (!choice_new(a, &c))
        return error_memory(error);
    coaming_status status = expected_with(a, best, NULL, 0, &best->after, error);
    for (unsigned set = 1; set < 1u << a->candidate_count && status == COAMING_OK; set++) {
        c.count = 0;
        c.hours = 0;
        for (size_t i = 0; i < a->candidate_count; i++)
            if (set >> i & 1)
                choose(a, &c, a->candidates[i]);
        if (!fits(a, c.hours))
            continue;
        status = expected_with(a, &c, NULL, 0, &c.after, error);
        if (status == COAMING_OK && better_than(&c, best))
            take_over(best, &c);
    }
    memory_free(c.list);
    return status;
}

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
    take_over(&left, set);
    double before = out->shown.expected;
    while (left.count && status == COAMING_OK) {
        coaming_risk *risk = NULL;
        status = risk_with(a, &c, NULL, 0, &risk, error);
        size_t best = 0;
        for (size_t i = 1; i < left.count && status == COAMING_OK; i++)
            if (coaming_risk_get(risk, left.list[i])->repair_gain / hours_of(a, left.list[i]) >
                coaming_risk_get(risk, left.list[best])->repair_gain / hours_of(a, left.list[best]))
                best = i;
        coaming_risk_free(risk);
        int closure = left.list[best];
        choose(a, &c, closure);
        take_out(a, &left, best);
        if (status == COAMING_OK)
            status = expected_with(a, &c, NULL, 0, &c.after, error);
        out->repairs[out->shown.repair_count++] =
            (coaming_plan_repair){closure, hours_of(a, closure), a->p[closure], before - c.after};
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
    method_quality q = likelihood_quality(a->ship, method, &assumed);
    double p = a->p[closure], repair = price * hours_of(a, closure);
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
    coaming_status status = risk_with(a, &none, NULL, 0, &risk, error);
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
        out->shown.exhaustive ? try_all(a, best, error) : search(a, best, error);
    if (status == COAMING_OK)
        status = order(a, best, out, error);
    if (status == COAMING_OK)
        status = expected_with(a, &none, a->candidates, a->candidate_count, &all, error);
    if (status == COAMING_OK)
        status = risk_with(a, &none, NULL, 0, &risk, error);
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
    if (a->exact && !make_bundles(a))
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
