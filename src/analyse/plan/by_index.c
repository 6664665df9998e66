/* Plans by the expected index: the same sets and the same search, where what is lost is what the index
 * is less than 1. */
#include <math.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"
#include "coaming/likelihood.h"

/* Seed of the samples that tell what the chosen set comes to; it was chosen by others (repaired.c). */
enum { TELLING = 2 };

/* So many repairs are tried on top of those before; of more, what each gains alone decides. */
enum { TRIED_MOST = 12 };

/* Slopes of the index that are rounding. */
static const double NO_SLOPE = 1e-12;

/* --- every set --- */

static bool few_sets(const planner *a)
{
    return a->exact && a->candidate_count <= (size_t)a->exhaustive &&
           ((uint64_t)repaired_size(a->index) << a->candidate_count) <= PLAN_WORK_INDEX;
}

static coaming_status try_all(planner *a, choice *best, coaming_error *error)
{
    choice c;
    coaming_status status = COAMING_OK;
    if (!choice_new(a, &c))
        return error_memory(error);
    for (unsigned set = 1; set >> a->candidate_count == 0 && status == COAMING_OK; set++) {
        choice_numbered(a, &c, set);
        if (!hours_fit(a, c.hours))
            continue;
        status = plan_look_once(a, &c, error);
        if (status == COAMING_OK && choice_better(&c, best))
            choice_copy(best, &c);
    }
    memory_free(c.list);
    return status;
}

static coaming_status find_set(planner *a, plan_result *out, choice *best, coaming_error *error)
{
    a->work = PLAN_WORK_INDEX;
    best->after = out->shown.expected;
    out->shown.none_fits = !plan_some_fit(a);
    out->shown.exhaustive = out->shown.none_fits || few_sets(a);
    if (out->shown.none_fits)
        return COAMING_OK;
    return out->shown.exhaustive ? try_all(a, best, error) : plan_search(a, best, error);
}

/* --- what it comes to --- */

/* As plan_look_once, but brought within the limits that are sure: what is told. */
static coaming_status look_to_tell(planner *a, choice *c, plan_result *out, coaming_error *error)
{
    coaming_status status = plan_look_once(a, c, error);
    if (status == COAMING_OK)
        status = repaired_limits(a->index, &out->index.after, &out->index.gain_error, error);
    c->after = 1 - out->index.after.value;
    return status;
}

static coaming_status alone(planner *a, const choice *set, plan_result *out, coaming_error *error)
{
    int one;
    choice c = {.list = &one};
    coaming_status status = look_to_tell(a, &c, out, error);
    double before = c.after;
    for (size_t i = 0; i < set->count && status == COAMING_OK; i++) {
        one = set->list[i];
        c.count = 1;
        status = look_to_tell(a, &c, out, error);
        a->alone[one] = before - c.after;
    }
    return status;
}

/* As far as a list of repairs goes, and what it comes to. */
typedef struct {
    size_t count;
    double after;
    coaming_survival_limits index;
    double gain_error;
} plan_kept;

static void end_list(const planner *a, plan_result *out, const plan_kept *kept)
{
    bool assumed;
    out->shown.repair_count = kept->count;
    out->shown.after = kept->after;
    out->index.after = kept->index;
    out->index.gain_error = kept->gain_error;
    out->shown.repairs_assumed = false;
    for (size_t i = 0; i < kept->count; i++) {
        out->shown.hours += out->repairs[i].hours;
        coaming_likelihood_planned_success(a->ship, out->repairs[i].closure, &assumed);
        out->shown.repairs_assumed |= assumed;
    }
}

/* The place of the repair that gains most for certain on top of `done`; the first of equals. */
static coaming_status best_next(planner *a, const choice *left, choice *done, size_t *best,
                                coaming_error *error)
{
    double most = -INFINITY;
    coaming_status status = COAMING_OK;
    choice with;
    *best = 0;
    if (left->count > TRIED_MOST) {
        for (size_t i = 1; i < left->count; i++)
            if (a->alone[left->list[i]] > a->alone[left->list[*best]])
                *best = i;
        return COAMING_OK;
    }
    if (!choice_new(a, &with))
        return error_memory(error);
    for (size_t i = 0; i < left->count && status == COAMING_OK; i++) {
        choice_copy(&with, done);
        choice_add(a, &with, left->list[i]);
        status = plan_look_once(a, &with, error);
        if (status == COAMING_OK && -with.after > most) {
            most = -with.after;
            *best = i;
        }
    }
    memory_free(with.list);
    return status;
}

/* The repairs listed so far are kept if they gain more than those kept: a plan stops where the rest gains
 * nothing that is told. */
static void keep_if_better(plan_result *out, plan_kept *kept, double after)
{
    if (out->shown.repair_count && after >= kept->after - NO_SLOPE)
        return;
    *kept = (plan_kept){out->shown.repair_count, after, out->index.after, out->index.gain_error};
}

static coaming_status list_repairs(planner *a, choice *left, choice *done, plan_result *out,
                                   plan_kept *kept, coaming_error *error)
{
    coaming_status status = look_to_tell(a, done, out, error);
    out->index.now = out->index.after; /* limits are nearer than they were, with more states seen */
    out->shown.expected = done->after;
    keep_if_better(out, kept, done->after);
    while (left->count && status == COAMING_OK) {
        double before = done->after;
        size_t best = 0;
        status = best_next(a, left, done, &best, error);
        if (status != COAMING_OK)
            return status;
        plan_list_repair(a, left->list[best], out);
        choice_add(a, done, left->list[best]);
        choice_drop(a, left, best);
        status = look_to_tell(a, done, out, error);
        out->repairs[out->shown.repair_count - 1].gain = before - done->after;
        keep_if_better(out, kept, done->after);
    }
    return status;
}

static coaming_status order(planner *a, const choice *set, plan_result *out, coaming_error *error)
{
    choice left = {0}, done = {0};
    plan_kept kept = {0};
    bool made = choice_new(a, &left) && choice_new(a, &done);
    coaming_status status = made ? COAMING_OK : error_memory(error);
    if (made) {
        choice_copy(&left, set);
        status = list_repairs(a, &left, &done, out, &kept, error);
        end_list(a, out, &kept);
    }
    memory_free(left.list);
    memory_free(done.list);
    return status;
}

static coaming_status look_at_first(planner *a, const plan_result *out, size_t count, choice *c,
                                    coaming_error *error)
{
    c->count = 0;
    for (size_t i = 0; i < count; i++)
        choice_add(a, c, out->repairs[i].closure);
    return plan_look_once(a, c, error);
}

/* From where on the repairs gain, together, not more than two standard errors. */
static coaming_status find_doubt(planner *a, plan_result *out, coaming_error *error)
{
    coaming_plan_index *x = &out->index;
    double gain = 0;
    choice c;
    x->told = out->shown.repair_count;
    if (a->exact || !x->told)
        return COAMING_OK;
    if (!choice_new(a, &c))
        return error_memory(error);
    coaming_status status = look_at_first(a, out, x->told, &c, error);
    repaired_mark(a->index);
    for (size_t k = x->told; k-- > 0 && status == COAMING_OK;) {
        gain += out->repairs[k].gain;
        status = look_at_first(a, out, k, &c, error);
        double off = status == COAMING_OK ? repaired_error_since(a->index) : 0;
        if (gain > 2 * off)
            break;
        x->told = k;
        x->rest_gain = gain;
        x->rest_error = off;
    }
    memory_free(c.list);
    return status;
}

static coaming_status tell(planner *a, const choice *set, plan_result *out, coaming_error *error)
{
    coaming_status status = a->exact ? COAMING_OK : repaired_draw(a->index, TELLING, error);
    if (status == COAMING_OK)
        status = alone(a, set, out, error);
    if (status == COAMING_OK)
        status = order(a, set, out, error);
    if (status == COAMING_OK)
        status = find_doubt(a, out, error);
    return status;
}

/* What repairing everything would gain, and what no set gains more than, whatever the hours. */
static coaming_status find_bounds(planner *a, plan_result *out, coaming_error *error)
{
    choice all;
    double most = 0, gain = out->shown.expected - out->shown.after;
    if (!choice_new(a, &all))
        return error_memory(error);
    choice_all(a, &all);
    coaming_status status = plan_look_once(a, &all, error);
    out->shown.bound = out->shown.expected - all.after;
    /* Trees have grown since candidates were found: they may ask of more. */
    for (size_t i = 0; i < a->ship->closure_count; i++)
        if (a->ship->links[i].hours >= 0 && repair_lowers(a, (int)i) > 0)
            a->trial[i] = a->mended[i];
    if (status == COAMING_OK && !out->shown.exhaustive)
        status = repaired_most(a->index, a->trial, &most, error);
    out->shown.gain_limit = out->shown.exhaustive ? gain : fmax(most - out->index.now.low, gain);
    memory_free(all.list);
    return status;
}

/* --- the whole --- */

/* What could be repaired and matters; what matters and nobody gave hours for. */
static void find_candidates(planner *a, plan_result *out)
{
    for (int i = 0; i < (int)a->ship->closure_count; i++) {
        if (!(repair_lowers(a, i) > 0) || !repaired_asks(a->index, i))
            continue;
        if (a->ship->links[i].hours >= 0)
            a->candidates[a->candidate_count++] = i;
        else if (a->effect[i] > NO_SLOPE)
            out->without_hours[out->shown.without_hours_count++] = i;
    }
}

/* As things are: the index, and what it changes by each closure. */
static coaming_status begin(planner *a, plan_result *out, coaming_error *error)
{
    choice none = {0};
    double unchanged = 0;
    coaming_status status = plan_look_once(a, &none, error);
    if (status == COAMING_OK)
        status = repaired_slopes(a->index, a->mended, a->effect, error);
    if (status == COAMING_OK)
        status = repaired_limits(a->index, &out->index.now, &unchanged, error);
    for (size_t i = 0; i < a->ship->closure_count; i++)
        a->effect[i] = -a->effect[i];
    /* Between limits that are sure it varies by at most half their distance. */
    out->index.now_error = out->shown.error =
        fmin(repaired_error(a->index), fmax(out->index.now.high - out->index.now.low, 0) / 2);
    out->shown.expected = out->shown.after = 1 - out->index.now.value;
    out->shown.limit = NAN;
    out->shown.exact = repaired_is_exact(a->index);
    a->exact = !repaired_is_sampled(a->index);
    out->shown.index = &out->index;
    if (status == COAMING_OK)
        find_candidates(a, out);
    return status;
}

static coaming_status work_out(planner *a, plan_result *out, coaming_error *error)
{
    choice best;
    coaming_status status = begin(a, out, error);
    if (status != COAMING_OK)
        return status;
    if (!choice_new(a, &best))
        return error_memory(error);
    status = find_set(a, out, &best, error);
    if (status == COAMING_OK)
        status = tell(a, &best, out, error);
    if (status == COAMING_OK)
        status = find_bounds(a, out, error);
    if (status == COAMING_OK)
        plan_finish(a, out);
    memory_free(best.list);
    return status;
}

typedef struct {
    planner a; /* first */
    const coaming_survival_options *options;
    unsigned threads;
} index_planner;

static coaming_status with_index(planner *a, plan_result *out, coaming_error *error)
{
    const index_planner *p = (const index_planner *)a;
    coaming_status status =
        repaired_new(a->ship, p->options, a->p, a->mended, p->threads, &a->index, error);
    if (status == COAMING_OK)
        status = work_out(a, out, error);
    repaired_free(a->index);
    return status;
}

coaming_status plan_survival(const coaming_ship *ship, const coaming_survival_options *options,
                             double hours, int exhaustive, unsigned threads, coaming_plan **plan,
                             coaming_error *error)
{
    coaming_survival_options usual = coaming_survival_options_default();
    index_planner p = {.a = {.ship = ship, .hours = hours, .exhaustive = exhaustive},
                       .options = options ? options : &usual,
                       .threads = threads};
    return plan_make(&p.a, with_index, plan, error);
}

coaming_status coaming_plan_survival_new(const coaming_ship *ship,
                                         const coaming_survival_options *options, double hours,
                                         coaming_plan **plan, coaming_error *error)
{
    return plan_survival(ship, options, hours, COAMING_PLAN_EXHAUSTIVE, 0, plan, error);
}
