/*
 * The frontier method. Forward: the expectations of exact_layer.h go from state to state, and what
 * leaves the frontier adds to the loss. All of it is linear in these numbers, so that one sweep
 * back gives what each number of each state adds to the loss (its adjoint), and from it the
 * derivative by the probability of every edge at once: the Birnbaum measure, for the loss is linear
 * in each. So that memory grows with the root of the steps only, one layer in so many is kept on
 * the way forward, and those between are made again on the way back.
 *
 * The method of transfer states is that of J. Carlier and C. Lucet, "A decomposition algorithm for
 * network reliability evaluation", Discrete Applied Mathematics 65 (1996) (from memory); losses in
 * place of the probability of being joined, and the sweep back, are our own working.
 */
#include "analyse/risk/exact.h"

#include <math.h>

#include "analyse/risk/exact_layer.h"
#include "analyse/risk/exact_move.h"
#include "analyse/risk/exact_plan.h"
#include "base/error.h"
#include "base/memory.h"

typedef struct {
    const risk_model *m;
    const exact_plan *order; /* given, and borrowed by the plan; NULL: it is looked for */
    exact_plan plan;
    exact_budget budget;
    exact_layer *layers; /* before each step, and after the last */
    exact_index index;
    double expected;
    double *slope;                /* by edge of the plan: Birnbaum */
    double *if_holds, *if_passes; /* adjoints of one state */
    bool whole;                   /* only states in which all is one in the end */
    bool linking;                 /* the next layer is there: only find where states go */
    uint64_t most_work;
    size_t span; /* steps from one layer that is kept to the next */
    exact_taken taken;
} sweep;

/* Forward. */

static exact_view numbers_of(exact_layer *l, size_t state)
{
    return exact_view_of(l->numbers + l->states[state].at, l->states[state].labels);
}

/* One way on from a state; probability 0 only finds where it would go. */
static bool go_on(sweep *s, size_t step, size_t state, bool passes, double probability)
{
    exact_layer *l = &s->layers[step], *after = &s->layers[step + 1];
    const exact_step *at = &s->plan.steps[step];
    exact_move move;
    exact_make_move(at, exact_labels(l, state), l->width, l->states[state].labels, passes, &move);
    bool last = step + 1 == (size_t)s->plan.step_count && after->width == 0;
    if (s->whole && at->kind == EXACT_LEAVE && !last)
        for (size_t b = numbers_of(l, state).count; b > 0; b--)
            if (move.to[b] == EXACT_GONE)
                return true; /* left alone: not all is one */
    uint32_t next = exact_find(&s->budget, after, &s->index, move.labels);
    if (next == EXACT_NOWHERE)
        return false;
    l->states[state].next[passes] = next;
    if (s->linking || !l->states[state].live || probability <= 0)
        return true;
    after->states[next].live = true;
    s->expected +=
        exact_push(s->m, numbers_of(l, state), &move, probability, numbers_of(after, next));
    if (at->kind == EXACT_ENTER)
        exact_push_entered(s->m, at->item, numbers_of(l, state), numbers_of(after, next));
    return true;
}

/* A state that can come about goes on both ways, even where one has probability 0, for the
 * derivative; from one that cannot, only where it must go matters. */
static bool go_both_ways(sweep *s, size_t step, size_t state)
{
    const exact_layer *l = &s->layers[step];
    const exact_step *at = &s->plan.steps[step];
    if (!exact_joins(at, exact_labels(l, state)))
        return go_on(s, step, state, false, 1);
    const exact_edge *e = &s->plan.edges[at->item];
    bool live = l->states[state].live;
    return ((!live && e->holds <= 0) || go_on(s, step, state, false, e->holds)) &&
           ((!live && e->passes <= 0) || go_on(s, step, state, true, e->passes));
}

/* Makes the layer after a step, or, where it is there already, finds where the states go in it. */
static bool step_on(sweep *s, size_t step)
{
    static const int wider[] = {[EXACT_ENTER] = 1, [EXACT_EDGE] = 0, [EXACT_LEAVE] = -1};
    exact_layer *l = &s->layers[step], *after = &s->layers[step + 1];
    after->width = l->width + wider[s->plan.steps[step].kind];
    s->linking = after->count > 0;
    exact_index_fill(&s->index, after);
    for (size_t i = 0; i < l->count; i++)
        if (!go_both_ways(s, step, i))
            return false;
    return s->linking || exact_layer_close(&s->budget, after);
}

static bool begin(sweep *s)
{
    const unsigned char labels[] = {0};
    exact_layer *first = &s->layers[0];
    first->width = s->m->always >= 0;
    if (exact_find(&s->budget, first, &s->index, labels) == EXACT_NOWHERE)
        return false;
    first->states[0].live = true;
    first->numbers[0] = 1;
    if (s->m->always >= 0)
        s->expected = s->m->total_weight * s->m->mass[s->m->always];
    return true;
}

/* Of the layers only some are kept, from which the others can be made again. */
static bool forward(sweep *s)
{
    size_t steps = (size_t)s->plan.step_count;
    bool good = begin(s);
    for (s->span = 1; s->span * s->span < steps;)
        s->span++;
    for (size_t i = 0; good && i < steps; i++) {
        good = step_on(s, i);
        s->taken.work += s->layers[i].number_count + RISK_WORK_STATE * s->layers[i].count;
        if (s->taken.work > s->most_work) {
            s->budget.over = true;
            return false;
        }
        if (s->whole || i % s->span != 0)
            exact_layer_free(&s->budget, &s->layers[i]);
        s->taken.states += s->layers[i + 1].count;
        if (s->layers[i + 1].count > s->taken.widest)
            s->taken.widest = s->layers[i + 1].count;
    }
    return good;
}

/* Back. */

/* The adjoint of a state by one way on. */
static void pull_one(sweep *s, size_t step, size_t state, bool passes, exact_view before)
{
    exact_layer *l = &s->layers[step], *after = &s->layers[step + 1];
    const exact_step *at = &s->plan.steps[step];
    exact_view next = numbers_of(after, l->states[state].next[passes]);
    exact_move move;
    exact_make_move(at, exact_labels(l, state), l->width, l->states[state].labels, passes, &move);
    exact_pull(s->m, next, &move, before);
    if (at->kind == EXACT_ENTER)
        exact_pull_entered(s->m, at->item, next, before);
}

/* Replaces the numbers of a state by their adjoints, and adds to the edge's derivative. */
static void pull_state(sweep *s, size_t step, size_t state)
{
    exact_layer *l = &s->layers[step];
    const exact_step *at = &s->plan.steps[step];
    exact_view here = numbers_of(l, state);
    size_t count = exact_numbers(here.count);
    const uint32_t *next = l->states[state].next;
    bool ways[2] = {next[0] != EXACT_NOWHERE, next[1] != EXACT_NOWHERE};
    if (ways[0])
        pull_one(s, step, state, false, exact_view_of(s->if_holds, here.count));
    if (ways[1])
        pull_one(s, step, state, true, exact_view_of(s->if_passes, here.count));
    if (!ways[0] || !ways[1]) {
        const double *only = ways[0] ? s->if_holds : s->if_passes;
        for (size_t i = 0; i < count; i++)
            here.p[i] = only[i];
        return;
    }
    const exact_edge *e = &s->plan.edges[at->item];
    for (size_t i = 0; i < count; i++) {
        s->slope[at->item] += (s->if_passes[i] - s->if_holds[i]) * here.p[i];
        here.p[i] = e->holds * s->if_holds[i] + e->passes * s->if_passes[i];
    }
}

/* Makes the layers between two that are kept again, and links the last of them to the second. */
static bool again(sweep *s, size_t from, size_t to)
{
    double expected = s->expected; /* has all of it already */
    bool good = true;
    for (size_t i = from; good && i < to; i++) {
        good = step_on(s, i);
        if (s->plan.steps[i].kind != EXACT_EDGE) /* only edges need the numbers */
            exact_layer_drop_numbers(&s->budget, &s->layers[i]);
    }
    s->expected = expected;
    return good;
}

static bool back(sweep *s)
{
    size_t from, to = (size_t)s->plan.step_count;
    exact_layer *last = &s->layers[to];
    for (size_t i = 0; i < last->number_count; i++)
        last->numbers[i] = 0;
    for (; to > 0; to = from) {
        from = (to - 1) / s->span * s->span;
        if (!again(s, from, to))
            return false;
        for (size_t step = to; step-- > from;) {
            if (!exact_layer_numbers(&s->budget, &s->layers[step]))
                return false;
            for (size_t i = 0; i < s->layers[step].count; i++)
                pull_state(s, step, i);
            exact_layer_free(&s->budget, &s->layers[step + 1]);
        }
    }
    return true;
}

/* All together. */

static bool sweep_new(sweep *s, const risk_model *m, size_t memory)
{
    s->m = m;
    s->budget.most = memory;
    if (!(s->order ? exact_plan_again(s->order, m, &s->plan) : exact_plan_new(m, &s->plan))) {
        s->budget.out = true;
        return false;
    }
    s->taken.frontier = s->plan.widest;
    if (s->plan.widest > EXACT_WIDEST) {
        s->budget.over = true;
        return false;
    }
    size_t numbers = exact_numbers((size_t)s->plan.widest);
    size_t layers = (size_t)s->plan.step_count + 1, edges = (size_t)s->plan.edge_count;
    exact_budget *b = &s->budget;
    return (s->layers = exact_resize(b, NULL, 0, layers * sizeof *s->layers)) &&
           (s->slope = exact_resize(b, NULL, 0, edges * sizeof *s->slope)) &&
           (s->if_holds = exact_resize(b, NULL, 0, numbers * sizeof *s->if_holds)) &&
           (s->if_passes = exact_resize(b, NULL, 0, numbers * sizeof *s->if_passes)) &&
           exact_index_new(b, &s->index);
}

static void sweep_free(sweep *s)
{
    for (int i = 0; s->layers && i <= s->plan.step_count; i++)
        exact_layer_free(&s->budget, &s->layers[i]);
    exact_index_free(&s->budget, &s->index);
    memory_free(s->layers);
    memory_free(s->slope);
    memory_free(s->if_holds);
    memory_free(s->if_passes);
    if (s->order)
        memory_free(s->plan.edges);
    else
        exact_plan_free(&s->plan);
}

/* Of edges side by side each matters only while all others hold: those before it in the model, then
 * those after it. An edge that passes never lessens the loss: what rounding has left below 0 is 0.
 * holds: by edge of the plan, that all so far hold. */
static bool share_slopes(const sweep *s, double *birnbaum)
{
    const risk_model *m = s->m;
    size_t count = (size_t)s->plan.edge_count;
    double *holds = memory_new(count, sizeof *holds);
    if (!holds)
        return false;
    for (size_t i = 0; i < count; i++)
        holds[i] = 1;
    for (size_t e = 0; e < m->edge_count; e++) {
        int at = s->plan.edge_of[e];
        birnbaum[e] = fmax(0, s->slope[at]) * holds[at];
        holds[at] *= 1 - m->edges[e].p;
    }
    for (size_t i = 0; i < count; i++)
        holds[i] = 1;
    for (size_t e = m->edge_count; e-- > 0;) {
        int at = s->plan.edge_of[e];
        birnbaum[e] *= holds[at];
        holds[at] *= 1 - m->edges[e].p;
    }
    memory_free(holds);
    return true;
}

/* COAMING_OK unless memory ran out; *done false where the bound did. */
static coaming_status finish(sweep *s, bool good, bool *done, coaming_error *error)
{
    bool out = s->budget.out;
    s->taken.bytes = s->budget.peak;
    sweep_free(s);
    *done = good;
    return out ? error_memory(error) : COAMING_OK;
}

static coaming_status run(const risk_model *m, const exact_plan *order, size_t memory,
                          uint64_t work, bool *done, double *expected, double *birnbaum,
                          exact_taken *taken, coaming_error *error)
{
    sweep s = {.most_work = work, .order = order, .taken.work = m->edge_count};
    bool good = sweep_new(&s, m, memory) && forward(&s) && back(&s);
    if (good && !share_slopes(&s, birnbaum)) {
        s.budget.out = true;
        good = false;
    }
    if (good)
        *expected = s.expected;
    coaming_status status = finish(&s, good, done, error);
    *taken = s.taken;
    return status;
}

coaming_status exact_run(const risk_model *m, size_t memory, bool *done, double *expected,
                         double *birnbaum, exact_taken *taken, coaming_error *error)
{
    return run(m, NULL, memory, UINT64_MAX, done, expected, birnbaum, taken, error);
}

coaming_status risk_exact(const risk_model *m, size_t memory, bool *done, double *expected,
                          double *birnbaum, coaming_error *error)
{
    uint64_t work = UINT64_MAX;
    return risk_exact_bounded(m, memory, &work, done, expected, birnbaum, error);
}

coaming_status risk_exact_bounded(const risk_model *m, size_t memory, uint64_t *work, bool *done,
                                  double *expected, double *birnbaum, coaming_error *error)
{
    exact_taken taken;
    coaming_status status = run(m, NULL, memory, *work, done, expected, birnbaum, &taken, error);
    *work = taken.work;
    return status;
}

coaming_status exact_ordered(const risk_model *m, const exact_plan *order, size_t memory,
                             uint64_t *work, bool *done, double *expected, double *birnbaum,
                             coaming_error *error)
{
    exact_taken taken;
    coaming_status status = run(m, order, memory, *work, done, expected, birnbaum, &taken, error);
    *work = taken.work;
    return status;
}

coaming_status exact_all_joined(const risk_model *m, size_t memory, bool *done, double *probability,
                                coaming_error *error)
{
    sweep s = {.whole = true, .most_work = UINT64_MAX};
    bool good = sweep_new(&s, m, memory) && forward(&s);
    if (good) {
        const exact_layer *last = &s.layers[s.plan.step_count];
        *probability = last->count ? last->numbers[0] : 0;
    }
    return finish(&s, good, done, error);
}
