#include "analyse/survival/rests.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/tree.h"
#include "base/error.h"
#include "base/order.h"

enum {
    WAYS_OF_REST = 6, /* kept of each */
    WORK_OF_REST = 10 /* that one rest should have at least */
};

/* Where a set comes to rest. */
typedef struct {
    branch_rest at;
    size_t set;
} rest_key;

/* A rest to be branched. */
typedef struct {
    size_t rest;
    double stands;
} rest_taken;

/* What the threads share, and branches for each. */
typedef struct {
    rest_table *r;
    const rest_terms *terms;
    const damage_cases *sets;
    branches *each[TOGETHER_MOST];
    unsigned threads;
    rest_key *keys;
    size_t key_count;
    rest_taken *taken; /* those that count most first */
    size_t taken_count;
    double all; /* what the rests count for together */
} workshop;

void rests_free(rest_table *r)
{
    for (size_t i = 0; i < r->count; i++)
        branch_tree_free(r->list[i].tree);
    for (int i = 0; i < TOGETHER_MOST; i++)
        arena_free(&r->memory[i]);
    *r = (rest_table){0};
}

/* --- which there are --- */

/* Sets next to each other flood much the same: so many are asked of one settler. */
enum { TOGETHER = 64 };

static coaming_status find_some(void *data, unsigned thread, size_t job, coaming_error *error)
{
    workshop *w = data;
    coaming_status status = COAMING_OK;
    for (size_t i = job * TOGETHER;
         i < (job + 1) * TOGETHER && i < w->key_count && status == COAMING_OK; i++) {
        space_set opened = damage_cases_set(w->sets, w->keys[i].set);
        status = branches_rest(w->each[thread], opened.spaces, opened.count, &w->r->memory[thread],
                               &w->keys[i].at, error);
    }
    return status;
}

static int order_keys(const void *left, const void *right)
{
    const rest_key *a = left, *b = right;
    int order = branch_rest_order(&a->at, &b->at);
    return order ? order : (a->set > b->set) - (a->set < b->set);
}

/* The sets that cases are made of, each once. */
static coaming_status list_keys(workshop *w, const case_list *list, coaming_error *error)
{
    arena *memory = &w->r->memory[0];
    size_t count = damage_cases_set_count(w->sets);
    bool *counts = arena_new(memory, count, sizeof *counts);
    w->keys = arena_new(memory, count, sizeof *w->keys);
    w->r->of = arena_new(memory, count, sizeof *w->r->of);
    w->r->list = arena_new(memory, count, sizeof *w->r->list);
    w->taken = arena_new(memory, count, sizeof *w->taken);
    if (!counts || !w->keys || !w->r->of || !w->r->list || !w->taken)
        return error_memory(error);
    for (size_t i = 0; i < list->count; i++)
        for (size_t e = 0; e < list->cases[i].extent_count; e++)
            counts[list->cases[i].extents[e]] = true;
    for (size_t i = 0; i < count; i++)
        if (counts[i])
            w->keys[w->key_count++].set = i;
    return COAMING_OK;
}

/* Numbers the rests that the sets of cases come to. */
static coaming_status find_rests(workshop *w, const case_list *list, coaming_error *error)
{
    rest_table *r = w->r;
    coaming_status status = list_keys(w, list, error);
    if (status == COAMING_OK)
        status =
            together_do(w->threads, (w->key_count + TOGETHER - 1) / TOGETHER, find_some, w, error);
    if (status != COAMING_OK)
        return status;
    qsort(w->keys, w->key_count, sizeof *w->keys, order_keys);
    for (size_t i = 0; i < w->key_count; i++) {
        if (!i || branch_rest_order(&w->keys[i - 1].at, &w->keys[i].at))
            r->list[r->count++].set = w->keys[i].set;
        r->of[w->keys[i].set] = r->count - 1;
    }
    return COAMING_OK;
}

/* --- which are branched, and with how much work --- */

static void weigh_rests(workshop *w, const case_list *list)
{
    for (size_t i = 0; i < list->count; i++) {
        const damage_case *c = &list->cases[i];
        double share = w->terms->share * (c->weight / 2);
        for (size_t e = 0; e < c->extent_count; e++)
            w->r->list[w->r->of[c->extents[e]]].share += share;
        w->all += share * (double)c->extent_count;
    }
}

/* Of rests that count for less than their work is worth, where there is not work enough for all, one in
 * each of as many equal parts of what they count for together stands for them all. Those that are not
 * taken are open. */
static double choose_rests(workshop *w)
{
    rest_table *r = w->r;
    double work = (double)w->terms->options->work;
    bool enough = !(work > 0) || (double)r->count * WORK_OF_REST <= w->terms->share * work;
    double least = enough ? 0 : w->all * WORK_OF_REST / (w->terms->share * work);
    double small = 0, sum = 0;
    for (size_t i = 0; i < r->count; i++)
        small += r->list[i].share < least ? r->list[i].share : 0;
    double parts = ceil(small / fmax(least, DBL_MIN)), met = 0;
    for (size_t i = 0; i < r->count; i++) {
        rest_answer *rest = &r->list[i];
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

static int order_taken(const void *left, const void *right)
{
    const rest_taken *a = left, *b = right;
    if (a->stands != b->stands)
        return a->stands > b->stands ? -1 : 1;
    return (a->rest > b->rest) - (a->rest < b->rest);
}

/* --- each by itself --- */

static int *copy_ints(arena *memory, const int *list, size_t count)
{
    int *copy = arena_new(memory, count, sizeof *copy);
    if (copy && count)
        memcpy(copy, list, count * sizeof *copy);
    return copy;
}

static bool keep_ways(rest_answer *rest, const branch_answer *a, arena *memory)
{
    rest->ways = arena_new(memory, a->way_count, sizeof *rest->ways);
    for (size_t i = 0; rest->ways && i < a->way_count; i++) {
        branch_way way = a->ways[i];
        way.closures = copy_ints(memory, way.closures, way.closure_count);
        way.flooded = copy_ints(memory, way.flooded, way.flooded_count);
        if (!way.closures || !way.flooded)
            return false;
        rest->ways[rest->way_count++] = way;
    }
    return rest->ways;
}

static coaming_status keep(rest_answer *rest, const branch_answer *a, arena *memory, arena *ways,
                           coaming_error *error)
{
    rest->s = a->value;
    rest->lost = a->lost;
    rest->likely = a->likely;
    rest->lost_likely = a->lost_likely;
    rest->error = a->error;
    for (int half = 0; half < 2; half++) {
        rest->half[half] = a->half[half];
        rest->lost_half[half] = a->lost_half[half];
    }
    rest->stopped = a->stopped;
    rest->other = a->other;
    rest->other_lost = a->other_lost;
    rest->gains = arena_new(memory, a->gain_count, sizeof *rest->gains);
    if (!rest->gains || !keep_ways(rest, a, ways))
        return error_memory(error);
    for (size_t i = 0; i < a->gain_count; i++) {
        const branch_gain *g = &a->gains[i];
        rest->gains[rest->gain_count++] =
            (set_gain){g->closure,     g->likely,        g->gain.low,      g->gain.high,
                       g->lost_likely, g->lost_gain.low, g->lost_gain.high};
    }
    return COAMING_OK;
}

/* Work that is not counted goes on until `within` is met, or a tree is full. A sample takes some four
 * pieces of work. */
static void allow(const workshop *w, branches *b, double part, size_t *samples)
{
    double work = part * (double)w->terms->options->work;
    *samples = w->terms->options->work ? (size_t)(work / 8) + 1 : 0;
    branches_allow(b, *samples ? (size_t)(work / 2) + 2 : SIZE_MAX, *samples, 1);
    if (w->terms->keep && REST_TREES_MEMORY / w->taken_count < BRANCH_MEMORY)
        branches_allow_bytes(b, REST_TREES_MEMORY / w->taken_count);
}

static coaming_status branch_one(void *data, unsigned thread, size_t job, coaming_error *error)
{
    workshop *w = data;
    branches *b = w->each[thread];
    const branch_answer *a = NULL;
    rest_answer *rest = &w->r->list[w->taken[job].rest];
    space_set opened = damage_cases_set(w->sets, rest->set);
    allow(w, b, w->terms->share * rest->stands / w->all, &rest->samples);
    coaming_status status = branches_case(b, opened.spaces, opened.count, &a, error);
    if (status == COAMING_OK)
        status = keep(rest, a, &w->r->memory[thread], &w->terms->ways[thread], error);
    rest->stopped = rest->stopped && rest->samples;
    if (status == COAMING_OK && w->terms->keep)
        status = branches_keep(b, &rest->tree, error);
    return status;
}

/* Great ones first, so that no thread is left with one when the others are done. */
static coaming_status branch_taken(workshop *w, coaming_error *error)
{
    for (size_t i = 0; i < w->r->count; i++)
        if (w->r->list[i].stands > 0)
            w->taken[w->taken_count++] = (rest_taken){i, w->r->list[i].stands};
    qsort(w->taken, w->taken_count, sizeof *w->taken, order_taken);
    return together_do(w->threads, w->taken_count, branch_one, w, error);
}

/* Those that were not taken count with the mean of those that stand for them. */
static void fill_in(rest_table *r, double small)
{
    double count = 0, sum[2] = {0}, squares = 0;
    for (size_t i = 0; i < r->count; i++) {
        const rest_answer *rest = &r->list[i];
        if (!rest->drawn)
            continue;
        count++;
        sum[0] += rest->likely;
        sum[1] += rest->lost_likely;
        squares += rest->likely * rest->likely;
    }
    for (size_t i = 0; i < r->count; i++) {
        rest_answer *rest = &r->list[i];
        if (rest->stands > 0 && !rest->drawn)
            r->variance += rest->share * rest->share * rest->error * rest->error;
        if (rest->stands > 0 || !(count > 0))
            continue;
        rest->likely = rest->half[0] = rest->half[1] = sum[0] / count;
        rest->lost_likely = rest->lost_half[0] = rest->lost_half[1] = sum[1] / count;
    }
    r->small = small;
    double error = small * sampled_error((const double[]){count, sum[0], squares}, 1);
    r->variance += error * error;
}

/* --- all of them --- */

static coaming_status begin(workshop *w, const settlers *by, coaming_error *error)
{
    branch_terms terms = {.condition = w->terms->options->condition,
                          .leaks = w->terms->leaks,
                          .value = BRANCH_S,
                          .within = w->terms->options->within,
                          .memory = BRANCH_MEMORY,
                          .ways = WAYS_OF_REST};
    coaming_status status = COAMING_OK;
    for (; w->threads < by->count && status == COAMING_OK; w->threads++)
        status =
            branches_new(by->each[w->threads], w->terms->ship, &terms, &w->each[w->threads], error);
    return status;
}

coaming_status rests_branch(rest_table *r, const rest_terms *terms, const settlers *by,
                            const damage_cases *sets, const case_list *list, coaming_error *error)
{
    workshop w = {.r = r, .terms = terms, .sets = sets};
    double small = 0;
    *r = (rest_table){0};
    coaming_status status = begin(&w, by, error);
    if (status == COAMING_OK)
        status = find_rests(&w, list, error);
    if (status == COAMING_OK) {
        weigh_rests(&w, list);
        small = choose_rests(&w);
        status = branch_taken(&w, error);
    }
    if (status == COAMING_OK)
        fill_in(r, small);
    for (unsigned i = 0; i < w.threads; i++)
        branches_free(w.each[i]);
    return status;
}
