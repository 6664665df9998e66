#include "analyse/survival/expected.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/branches.h"
#include "analyse/survival/tree.h"
#include "base/error.h"
#include "base/order.h"
#include "coaming/likelihood.h"

enum {
    WAYS = 20,        /* kept of all */
    WAYS_OF_SET = 6,  /* kept of each set */
    WORK_OF_REST = 10 /* that one rest should have at least */
};

typedef struct {
    int closure;
    double likely, low, high;
    double lost_likely, lost_low, lost_high;
} set_gain;

/* Sets of opened spaces that come to the same rest, before any closure is decided. */
typedef struct {
    size_t set;    /* the first of them */
    double share;  /* of the index, of the cases that they are extents of */
    double stands; /* share of the index that it stands for; 0: another stands for it */
    bool drawn;    /* of small ones, to stand for them */
    branch_limits s, lost;
    double likely, lost_likely, error;
    set_gain *gains; /* in file order */
    size_t gain_count;
    double other, other_lost; /* of closures not among them, by chance */
    branch_way *ways;
    size_t way_count;
} rest_answer;

/* What hangs on a closure. */
typedef struct {
    coaming_survival_limits gain, lost;
    double told, told_lost; /* shares x other of cases that tell of it */
    size_t last;            /* case that told of it last, from 1 */
} closure_sum;

struct expectation {
    const coaming_ship *ship;
    coaming_survival_options options;
    arena memory;  /* of all */
    arena loading; /* of one */
    double *leaks;
    rest_answer *rests;
    size_t *rest_of;   /* by set */
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
    arena_free(&x->loading);
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

/* --- sets --- */

static int *copy_ints(arena *memory, const int *list, size_t count)
{
    int *copy = arena_new(memory, count, sizeof *copy);
    if (copy && count)
        memcpy(copy, list, count * sizeof *copy);
    return copy;
}

static bool keep_ways(expectation *x, rest_answer *set, const branch_answer *a)
{
    set->ways = arena_new(&x->memory, a->way_count, sizeof *set->ways);
    for (size_t i = 0; set->ways && i < a->way_count; i++) {
        branch_way w = a->ways[i];
        w.closures = copy_ints(&x->memory, w.closures, w.closure_count);
        w.flooded = copy_ints(&x->memory, w.flooded, w.flooded_count);
        if (!w.closures || !w.flooded)
            return false;
        set->ways[set->way_count++] = w;
    }
    return set->ways;
}

static coaming_status keep(expectation *x, rest_answer *set, const branch_answer *a,
                           coaming_error *error)
{
    set->s = a->value;
    set->lost = a->lost;
    set->likely = a->likely;
    set->lost_likely = a->lost_likely;
    set->error = a->error;
    set->other = a->other;
    set->other_lost = a->other_lost;
    set->gains = arena_new(&x->loading, a->gain_count, sizeof *set->gains);
    if (!set->gains || !keep_ways(x, set, a))
        return error_memory(error);
    for (size_t i = 0; i < a->gain_count; i++) {
        const branch_gain *g = &a->gains[i];
        set->gains[set->gain_count++] =
            (set_gain){g->closure,     g->likely,        g->gain.low,      g->gain.high,
                       g->lost_likely, g->lost_gain.low, g->lost_gain.high};
    }
    return COAMING_OK;
}

/* Where a set comes to rest: what is flooded there and what is open but above the water, sorted. */
typedef struct {
    int *list;
    size_t count, flooded, set;
    bool counts, lost;
} rest_key;

static coaming_status find_rest(expectation *x, branches *b, space_set opened, rest_key *key,
                                coaming_error *error)
{
    const settled *s = NULL;
    coaming_status status = branches_start(b, opened.spaces, opened.count, &s, error);
    if (status != COAMING_OK)
        return status;
    key->lost = s->at.afloat != COAMING_AFLOAT_YES;
    key->flooded = key->lost ? s->afloat_count : s->count;
    key->list = arena_new(&x->loading, key->flooded + opened.count, sizeof *key->list);
    if (!key->list)
        return error_memory(error);
    memcpy(key->list, s->spaces, key->flooded * sizeof *key->list);
    qsort(key->list, key->flooded, sizeof *key->list, order_ints);
    key->count = key->flooded;
    for (size_t i = 0; i < opened.count; i++)
        if (!sorted_has(key->list, key->flooded, opened.spaces[i]))
            key->list[key->count++] = opened.spaces[i];
    return COAMING_OK;
}

static int order_keys(const void *left, const void *right)
{
    const rest_key *a = left, *b = right;
    if (a->lost != b->lost)
        return a->lost - b->lost;
    if (a->flooded != b->flooded)
        return (a->flooded > b->flooded) - (a->flooded < b->flooded);
    if (a->count != b->count)
        return (a->count > b->count) - (a->count < b->count);
    int order = a->count ? memcmp(a->list, b->list, a->count * sizeof *a->list) : 0;
    return order;
}

static int order_keys_sets(const void *left, const void *right)
{
    const rest_key *a = left, *b = right;
    int order = order_keys(left, right);
    return order ? order : (a->set > b->set) - (a->set < b->set);
}

/* Numbers the rests that the sets of cases come to. */
static coaming_status find_rests(expectation *x, branches *b, const damage_cases *sets,
                                 const case_list *list, size_t *rests, coaming_error *error)
{
    size_t count = damage_cases_set_count(sets), kept = 0;
    coaming_status status = COAMING_OK;
    rest_key *keys = arena_new(&x->loading, count, sizeof *keys);
    x->rest_of = arena_new(&x->loading, count, sizeof *x->rest_of);
    x->rests = arena_new(&x->loading, count, sizeof *x->rests);
    if (!keys || !x->rest_of || !x->rests)
        return error_memory(error);
    for (size_t i = 0; i < list->count; i++)
        for (size_t e = 0; e < list->cases[i].extent_count; e++)
            keys[list->cases[i].extents[e]].counts = true;
    for (size_t i = 0; status == COAMING_OK && i < count; i++) {
        if (!keys[i].counts)
            continue;
        keys[kept].set = i;
        status = find_rest(x, b, damage_cases_set(sets, i), &keys[kept++], error);
    }
    if (status != COAMING_OK)
        return status;
    qsort(keys, kept, sizeof *keys, order_keys_sets);
    for (size_t i = 0; i < kept; i++) {
        if (!i || order_keys(&keys[i - 1], &keys[i]))
            x->rests[(*rests)++].set = keys[i].set;
        x->rest_of[keys[i].set] = *rests - 1;
    }
    return COAMING_OK;
}

static double weigh_rests(expectation *x, const case_list *list, double share)
{
    double all = 0;
    for (size_t i = 0; i < list->count; i++) {
        const damage_case *c = &list->cases[i];
        for (size_t e = 0; e < c->extent_count; e++)
            x->rests[x->rest_of[c->extents[e]]].share += share * (c->weight / 2);
        all += share * (c->weight / 2) * (double)c->extent_count;
    }
    return all;
}

/* Work that is not counted goes on until `within` is met, or a tree is full. A sample takes some four
 * pieces of work. */
static void allow(const expectation *x, branches *b, double part)
{
    double work = part * (double)x->options.work;
    if (!x->options.work)
        branches_allow(b, SIZE_MAX, 0, 1);
    else
        branches_allow(b, (size_t)(work / 2) + 2, (size_t)(work / 8) + 1, 1);
}

/* Of rests that count for less than their work is worth, one in each of as many equal parts of what
 * they count for together stands for them all. Those that are not taken are open. */
static double choose_rests(expectation *x, size_t rests, double all, double share)
{
    double least = x->options.work ? all * WORK_OF_REST / (share * (double)x->options.work) : 0;
    double small = 0, sum = 0;
    for (size_t i = 0; i < rests; i++)
        small += x->rests[i].share < least ? x->rests[i].share : 0;
    double parts = ceil(small / fmax(least, DBL_MIN)), met = 0;
    for (size_t i = 0; i < rests; i++) {
        rest_answer *rest = &x->rests[i];
        *rest = (rest_answer){.set = rest->set,
                              .share = rest->share,
                              .stands = rest->share,
                              .s = {0, 1},
                              .lost = {0, 1},
                              .other = 1,
                              .other_lost = 1};
        if (rest->share >= least)
            continue;
        sum += rest->share;
        rest->drawn = sum / small * parts >= met + 0.5;
        rest->stands = rest->drawn ? small / parts : 0;
        met += rest->drawn;
    }
    return small;
}

/* Those that were not taken count with the mean of those that stand for them. */
static void fill_in(expectation *x, size_t rests, double small)
{
    double count = 0, sum[2] = {0}, squares = 0;
    for (size_t i = 0; i < rests; i++) {
        const rest_answer *rest = &x->rests[i];
        if (!rest->drawn)
            continue;
        count++;
        sum[0] += rest->likely;
        sum[1] += rest->lost_likely;
        squares += rest->likely * rest->likely;
    }
    for (size_t i = 0; i < rests; i++) {
        rest_answer *rest = &x->rests[i];
        if (rest->stands > 0 && !rest->drawn)
            x->variance += rest->share * rest->share * rest->error * rest->error;
        if (rest->stands > 0 || !(count > 0))
            continue;
        rest->likely = sum[0] / count;
        rest->lost_likely = sum[1] / count;
    }
    double error = small * sampled_error((const double[]){count, sum[0], squares}, 1);
    x->variance += error * error;
}

coaming_status expectation_begin(expectation *x, settler *t, const damage_cases *sets,
                                 const case_list *list, double share, coaming_error *error)
{
    branch_terms terms = {.condition = x->options.condition,
                          .leaks = x->leaks,
                          .value = BRANCH_S,
                          .within = x->options.within,
                          .memory = BRANCH_MEMORY,
                          .ways = WAYS_OF_SET};
    branches *b = NULL;
    size_t rests = 0;
    arena_free(&x->loading);
    coaming_status status = branches_new(t, x->ship, &terms, &b, error);
    if (status == COAMING_OK)
        status = find_rests(x, b, sets, list, &rests, error);
    double all = status == COAMING_OK ? weigh_rests(x, list, share) : 0;
    double small = status == COAMING_OK ? choose_rests(x, rests, all, share) : 0;
    for (size_t i = 0; status == COAMING_OK && i < rests; i++) {
        const branch_answer *a = NULL;
        rest_answer *rest = &x->rests[i];
        if (!(rest->stands > 0))
            continue;
        space_set opened = damage_cases_set(sets, rest->set);
        allow(x, b, share * rest->stands / all);
        status = branches_case(b, opened.spaces, opened.count, &a, error);
        if (status == COAMING_OK)
            status = keep(x, rest, a, error);
    }
    if (status == COAMING_OK)
        fill_in(x, rests, small);
    branches_free(b);
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
    return &x->rests[x->rest_of[c->extents[extent]]];
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

/*
 * What a closure gains in a case. Let V be what is expected of an extent and H the same if the closure
 * holds; the case has least V, and then least H. With a of least H and b of least V: H(a) - V(b) is at
 * least H(a) - V(a), as V(b) <= V(a), and at most H(b) - V(b). So it lies between the least and the
 * greatest gain of the extents.
 */
static set_gain gain_in_case(const expectation *x, const damage_case *c, const rest_answer *worst,
                             int closure)
{
    set_gain all = {
        .low = INFINITY, .high = -INFINITY, .lost_low = INFINITY, .lost_high = -INFINITY};
    double held = INFINITY;
    for (size_t e = 0; e < c->extent_count; e++) {
        set_gain g = gain_of(x, rest_of(x, c, e), closure);
        all.low = fmin(all.low, g.low);
        all.high = fmax(all.high, g.high);
        all.lost_low = fmin(all.lost_low, g.lost_low);
        all.lost_high = fmax(all.lost_high, g.lost_high);
        held = fmin(held, rest_of(x, c, e)->likely + g.likely);
    }
    all.likely = held - worst->likely;
    all.lost_likely = gain_of(x, worst, closure).lost_likely;
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
            set_gain g = gain_in_case(x, c, worst, set->gains[i].closure);
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

void expectation_add(expectation *x, const damage_case *c, size_t which, double share,
                     expected_case *out)
{
    const rest_answer *worst = worst_of(x, c);
    out->known = true;
    out->s = (coaming_survival_limits){worst->likely, worst->s.low, worst->s.high};
    out->lost = (coaming_survival_limits){worst->lost_likely, worst->lost.low, worst->lost.high};
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
