#include "analyse/survival/expected.h"

#include <math.h>

#include "analyse/survival/rests.h"
#include "base/error.h"
#include "coaming/likelihood.h"

enum { WAYS = 20 }; /* kept */

/* What hangs on a closure. */
typedef struct {
    coaming_survival_limits gain, lost;
    double told, told_lost; /* shares x other of cases that tell of it */
    size_t last;            /* case that told of it last, from 1 */
} closure_sum;

struct expectation {
    const coaming_ship *ship;
    coaming_survival_options options;
    arena memory;
    arena ways_of[TOGETHER_MOST]; /* of rests, by thread */
    double *leaks;
    rest_table rests;  /* of one loading */
    closure_sum *sums; /* by closure */
    size_t cases;
    double other, other_lost, variance;
    coaming_survival_way ways[WAYS + 1]; /* likeliest first */
    size_t way_count;
};

void expectation_free(expectation *x)
{
    if (!x)
        return;
    arena_free(&x->memory);
    for (int i = 0; i < TOGETHER_MOST; i++)
        arena_free(&x->ways_of[i]);
    rests_free(&x->rests);
    memory_free(x);
}

coaming_status expectation_new(const coaming_ship *ship, const coaming_survival_options *options,
                               expectation **out, coaming_error *error)
{
    expectation *x = memory_new(1, sizeof *x);
    if (!x)
        return error_memory(error);
    x->ship = ship;
    x->options = *options;
    x->leaks = arena_new(&x->memory, ship->closure_count, sizeof *x->leaks);
    x->sums = arena_new(&x->memory, ship->closure_count, sizeof *x->sums);
    if (!x->leaks || !x->sums) {
        expectation_free(x);
        return error_memory(error);
    }
    coaming_likelihood_all(ship, x->leaks);
    *out = x;
    return COAMING_OK;
}

coaming_status expectation_begin(expectation *x, const settlers *by, const damage_cases *sets,
                                 const case_list *list, double share, coaming_error *error)
{
    rest_terms terms = {x->ship, &x->options, x->leaks, share, x->ways_of, false};
    rests_free(&x->rests);
    coaming_status status = rests_branch(&x->rests, &terms, by, sets, list, error);
    x->variance += x->rests.variance;
    return status;
}

/* --- cases --- */

void limits_add(coaming_survival_limits *to, double share, coaming_survival_limits part)
{
    to->value += share * part.value;
    to->low += share * part.low;
    to->high += share * part.high;
}

static const rest_answer *rest_of(const expectation *x, const damage_case *c, size_t extent)
{
    return &x->rests.list[x->rests.of[c->extents[extent]]];
}

static const rest_answer *worst_of(const expectation *x, const damage_case *c)
{
    const rest_answer *worst = rest_of(x, c, 0);
    for (size_t e = 1; e < c->extent_count; e++)
        if (rest_of(x, c, e)->likely < worst->likely)
            worst = rest_of(x, c, e);
    return worst;
}

static set_gain gain_of(const expectation *x, const rest_answer *set, int closure)
{
    double p = x->leaks[closure];
    for (size_t i = 0; i < set->gain_count; i++)
        if (set->gains[i].closure == closure)
            return set->gains[i];
    return (set_gain){
        closure, 0, -p * set->other, p * set->other, 0, -p * set->other_lost, p * set->other_lost};
}

/* What is expected of an extent by one half of its samples if the closure is sure to hold (-1: as
 * things are). */
static double held_value(const expectation *x, const rest_answer *rest, int closure, int half)
{
    return rest->half[half] + (closure < 0 ? 0 : gain_of(x, rest, closure).likely);
}

/* The extent of which least is expected by one half of its samples. */
static const rest_answer *chosen_by(const expectation *x, const damage_case *c, int closure,
                                    int half)
{
    const rest_answer *worst = rest_of(x, c, 0);
    double least = held_value(x, worst, closure, half);
    for (size_t e = 1; e < c->extent_count; e++) {
        double value = held_value(x, rest_of(x, c, e), closure, half);
        worst = value < least ? rest_of(x, c, e) : worst;
        least = fmin(least, value);
    }
    return worst;
}

/* What is expected of the case: the extent is chosen by one half of the samples and valued by the
 * other, in turn, for the least of several guesses is lower than the least of what they guess. */
static double value_of(const expectation *x, const damage_case *c, int closure)
{
    double sum = 0;
    for (int half = 0; half < 2; half++)
        sum += held_value(x, chosen_by(x, c, closure, half), closure, 1 - half);
    return sum / 2;
}

/*
 * What a closure gains in a case. Let V be what is expected of an extent and H the same if the closure
 * holds; the case has least V, and then least H. With a of least H and b of least V: H(a) - V(b) is at
 * least H(a) - V(a), as V(b) <= V(a), and at most H(b) - V(b). So it lies between the least and the
 * greatest gain of the extents.
 */
static set_gain gain_in_case(const expectation *x, const damage_case *c, int closure)
{
    set_gain all = {
        .low = INFINITY, .high = -INFINITY, .lost_low = INFINITY, .lost_high = -INFINITY};
    for (size_t e = 0; e < c->extent_count; e++) {
        set_gain g = gain_of(x, rest_of(x, c, e), closure);
        all.low = fmin(all.low, g.low);
        all.high = fmax(all.high, g.high);
        all.lost_low = fmin(all.lost_low, g.lost_low);
        all.lost_high = fmax(all.lost_high, g.lost_high);
    }
    all.likely = value_of(x, c, closure) - value_of(x, c, -1);
    all.lost_likely = 0;
    for (int half = 0; half < 2; half++)
        all.lost_likely += gain_of(x, chosen_by(x, c, -1, half), closure).lost_likely / 2;
    return all;
}

static void count_gains(expectation *x, const damage_case *c, const rest_answer *worst,
                        double share)
{
    double other = 0, other_lost = 0;
    for (size_t e = 0; e < c->extent_count; e++) {
        other = fmax(other, rest_of(x, c, e)->other);
        other_lost = fmax(other_lost, rest_of(x, c, e)->other_lost);
    }
    x->other += share * other;
    x->other_lost += share * other_lost;
    for (size_t e = 0; e < c->extent_count; e++) {
        const rest_answer *set = rest_of(x, c, e);
        for (size_t i = 0; i < set->gain_count; i++) {
            closure_sum *s = &x->sums[set->gains[i].closure];
            if (s->last == x->cases)
                continue;
            s->last = x->cases;
            set_gain g = gain_in_case(x, c, set->gains[i].closure);
            g.likely *= worst->stands / worst->share;
            g.lost_likely *= worst->stands / worst->share;
            limits_add(&s->gain, share, (coaming_survival_limits){g.likely, g.low, g.high});
            limits_add(&s->lost, share,
                       (coaming_survival_limits){g.lost_likely, g.lost_low, g.lost_high});
            s->told += share * other;
            s->told_lost += share * other_lost;
        }
    }
}

/* The ways that closures have part in, the likeliest kept. */
static void count_ways(expectation *x, const rest_answer *worst, size_t which, double share)
{
    for (size_t i = 0; i < worst->way_count; i++) {
        const branch_way *w = &worst->ways[i];
        coaming_survival_way way = {which,      w->closures,      w->closure_count,
                                    w->flooded, w->flooded_count, share * w->probability};
        size_t at = x->way_count;
        if (!w->closure_count)
            continue;
        for (; at && x->ways[at - 1].probability < way.probability; at--)
            x->ways[at] = x->ways[at - 1];
        x->ways[at] = way;
        x->way_count += x->way_count < WAYS;
    }
}

/* The chance that she is lost, of the extents that are chosen, likewise. */
static double lost_of(const expectation *x, const damage_case *c)
{
    double sum = 0;
    for (int half = 0; half < 2; half++)
        sum += chosen_by(x, c, -1, half)->lost_half[1 - half];
    return sum / 2;
}

void expectation_add(expectation *x, const damage_case *c, size_t which, double share,
                     expected_case *out)
{
    const rest_answer *worst = worst_of(x, c);
    out->known = true;
    out->s = (coaming_survival_limits){value_of(x, c, -1), worst->s.low, worst->s.high};
    out->lost = (coaming_survival_limits){lost_of(x, c), worst->lost.low, worst->lost.high};
    for (size_t e = 0; e < c->extent_count; e++) {
        const rest_answer *rest = rest_of(x, c, e);
        out->known = out->known && rest->stands > 0;
        out->s.low = fmin(out->s.low, rest->s.low);
        out->s.high = fmin(out->s.high, rest->s.high);
        out->lost.low = fmin(out->lost.low, rest->lost.low);
        out->lost.high = fmax(out->lost.high, rest->lost.high);
    }
    x->cases++;
    count_gains(x, c, worst, share);
    count_ways(x, worst, which, share);
}

void expectation_gains(const expectation *x, coaming_survival_closure *closures)
{
    for (size_t i = 0; i < x->ship->closure_count; i++) {
        const closure_sum *s = &x->sums[i];
        double other = x->leaks[i] * fmax(x->other - s->told, 0);
        double other_lost = x->leaks[i] * fmax(x->other_lost - s->told_lost, 0);
        closures[i].index_gain =
            (coaming_survival_limits){s->gain.value, s->gain.low - other, s->gain.high + other};
        closures[i].lost_gain = (coaming_survival_limits){s->lost.value, s->lost.low - other_lost,
                                                          s->lost.high + other_lost};
    }
}

double expectation_error(const expectation *x)
{
    return sqrt(x->variance);
}

const coaming_survival_way *expectation_ways(const expectation *x, size_t *count)
{
    *count = x->way_count;
    return x->ways;
}
