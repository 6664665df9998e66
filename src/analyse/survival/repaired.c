#include "analyse/survival/repaired.h"

#include <math.h>
#include <string.h>

#include "analyse/survival/branching.h"
#include "analyse/survival/index.h"
#include "analyse/survival/rests.h"
#include "base/error.h"
#include "base/hash.h"

enum {
    WORK_FLOTATION = 20000, /* nodes that take about as long */
    TURN_WORK = 8000,       /* flotations that slopes may take, as many as a sample took at first */
    TURNS_MOST = 8,         /* of a sample */
    FIRST_SEED = 1
};

/* One rest of damage, as it is asked now. */
typedef struct {
    double likely, low, high; /* low and high: once asked for */
    double weight;  /* of the index, of the cases in which it is the worst extent, by halves */
    double first;   /* mean of the samples at the chances as they are */
    double *drawn;  /* s of each of them */
    double *last;   /* and at the chances as asked last */
    double *marked; /* and when marked */
    double likely_marked;
    double *slope; /* by closure, where it is sampled */
    uint64_t work;
    int *decided; /* closures of its tree, as far as it has grown for other chances */
    size_t decided_count;
} rest_now;

typedef struct {
    repaired *r;
    settlers by;
    branches *each[TOGETHER_MOST];
    unsigned threads;
    rest_table rests;
    arena ways[TOGETHER_MOST];
    case_list list;
    double share;
    rest_now *now;
    bool sampled;       /* is any of them? */
    bool first, limits; /* what is asked */
} loading_now;

struct repaired {
    const coaming_ship *ship;
    const double *as_are, *least;
    coaming_survival *v; /* its options and loadings */
    damage_cases *sets;
    loading_now *loadings;
    size_t count;
    arena memory;
    double *leaks, *before; /* by closure: now, and when last asked */
    double *marked;         /* and when marked */
    const double *other;
    double *at[TOGETHER_MOST]; /* by thread: as leaks, to be changed */
    int *asked[TOGETHER_MOST], *again[TOGETHER_MOST];
    bool *matters[TOGETHER_MOST]; /* by closure: some walk asked for it */
    uint64_t seed, work;
    size_t turns; /* of a sample, at most */
    bool asked_once;
};

void repaired_free(repaired *r)
{
    if (!r)
        return;
    for (size_t i = 0; r->loadings && i < r->count; i++) {
        loading_now *l = &r->loadings[i];
        for (unsigned t = 0; t < l->threads; t++)
            branches_free(l->each[t]);
        for (int t = TOGETHER_MOST; t-- > 0;)
            arena_free(&l->ways[t]);
        rests_free(&l->rests);
        case_list_free(&l->list);
        settlers_free(&l->by);
    }
    arena_free(&r->memory);
    damage_cases_free(r->sets);
    coaming_survival_free(r->v);
    memory_free(r);
}

/* --- one rest --- */

static branches *put_back(loading_now *l, unsigned thread, const rest_answer *rest)
{
    space_set opened = damage_cases_set(l->r->sets, rest->set);
    branches_put_back(l->each[thread], rest->tree, opened.spaces, opened.count);
    return l->each[thread];
}

/* Of the sample with this number. */
static uint64_t seed_of(const repaired *r, const rest_answer *rest, size_t number)
{
    uint64_t seed = hash_step(hash_step(r->seed, rest->set), rest->samples);
    return seed + (number + 1) * 0xd1342543de82ef95u;
}

static coaming_status walk_all(loading_now *l, unsigned thread, size_t at, coaming_error *error)
{
    const rest_answer *rest = &l->rests.list[at];
    rest_now *n = &l->now[at];
    branch_walk walk = {.asked = l->r->asked[thread]};
    coaming_status status = COAMING_OK;
    branches *b = put_back(l, thread, rest);
    size_t work = branches_work(b);
    double sum = 0;
    for (size_t i = 0; i < rest->samples && status == COAMING_OK; i++) {
        status = branches_walk(b, seed_of(l->r, rest, i), &walk, error);
        if (l->first)
            n->drawn[i] = walk.value;
        n->last[i] = walk.value;
        sum += walk.value;
        n->work += walk.asked_count;
        for (size_t k = 0; l->first && k < walk.asked_count; k++)
            l->r->matters[thread][walk.asked[k]] = true;
    }
    n->work += (branches_work(b) - work) * WORK_FLOTATION;
    branches_take_out(b, rest->tree);
    sum /= (double)rest->samples;
    n->first = l->first ? sum : n->first;
    n->likely = rest->likely + sum - n->first;
    return status;
}

static coaming_status sweep(loading_now *l, size_t at, coaming_error *error)
{
    const rest_answer *rest = &l->rests.list[at];
    rest_now *n = &l->now[at];
    branch_limits limits;
    double likely;
    coaming_status status = branch_tree_expect(rest->tree, l->r->leaks, &limits, &likely, error);
    if (status != COAMING_OK)
        return status;
    n->low = limits.low;
    n->high = limits.high;
    if (!rest->stopped) {
        n->first = l->first ? likely : n->first;
        n->likely = rest->likely + likely - n->first;
    }
    n->work += branch_tree_size(rest->tree);
    return COAMING_OK;
}

/* Is a closure of its tree another chance than when it was swept last? */
static bool has_changed(const loading_now *l, const rest_now *n)
{
    const repaired *r = l->r;
    for (size_t i = 0; i < n->decided_count; i++)
        if (r->leaks[n->decided[i]] != r->before[n->decided[i]])
            return true;
    return !r->asked_once;
}

static coaming_status ask_one(void *data, unsigned thread, size_t at, coaming_error *error)
{
    loading_now *l = data;
    const rest_answer *rest = &l->rests.list[at];
    if (!rest->tree)
        return COAMING_OK;
    if (l->limits)
        return sweep(l, at, error);
    if (rest->stopped)
        return walk_all(l, thread, at, error);
    return l->first || has_changed(l, &l->now[at]) ? sweep(l, at, error) : COAMING_OK;
}

/* Adds to the closure's slope what its other chance changes in one sample, which stands for `times`. */
static coaming_status turn(loading_now *l, unsigned thread, size_t at, uint64_t seed,
                           const branch_walk *as, int closure, double times, coaming_error *error)
{
    repaired *r = l->r;
    branch_walk walk = {.asked = r->again[thread]};
    double now = r->leaks[closure], other = r->other[closure];
    r->at[thread][closure] = other;
    coaming_status status = branches_walk(l->each[thread], seed, &walk, error);
    r->at[thread][closure] = now;
    l->now[at].work += walk.asked_count;
    l->now[at].slope[closure] +=
        times * (walk.value - as->value) / (other - now) / (double)l->rests.list[at].samples;
    return status;
}

/* Keeps of those that were asked the ones that would leak, or not leak, by their other chance. */
static size_t turnable(const repaired *r, uint64_t seed, const branch_walk *walk)
{
    size_t count = 0;
    for (size_t k = 0; k < walk->asked_count; k++) {
        int c = walk->asked[k];
        if (branch_walk_leaks(seed, c, r->leaks[c]) != branch_walk_leaks(seed, c, r->other[c]))
            walk->asked[count++] = c;
    }
    return count;
}

/* Some of them, in equal steps from one drawn at random. */
static coaming_status turn_some(loading_now *l, unsigned thread, size_t at, uint64_t seed,
                                const branch_walk *walk, coaming_error *error)
{
    size_t count = turnable(l->r, seed, walk), turns = l->r->turns;
    coaming_status status = COAMING_OK;
    if (turns > count)
        turns = count;
    double step = (double)count / (double)turns, from = branches_fraction(seed);
    for (size_t i = 0; i < turns && status == COAMING_OK; i++)
        status =
            turn(l, thread, at, seed, walk, walk->asked[(size_t)((i + from) * step)], step, error);
    return status;
}

static coaming_status turn_all(void *data, unsigned thread, size_t at, coaming_error *error)
{
    loading_now *l = data;
    const rest_answer *rest = &l->rests.list[at];
    rest_now *n = &l->now[at];
    branch_walk walk = {.asked = l->r->asked[thread]};
    coaming_status status = COAMING_OK;
    if (!rest->tree || !rest->stopped || !(n->weight > 0))
        return COAMING_OK;
    branches *b = put_back(l, thread, rest);
    size_t work = branches_work(b);
    memset(n->slope, 0, l->r->ship->closure_count * sizeof *n->slope);
    for (size_t i = 0; i < rest->samples && status == COAMING_OK; i++) {
        uint64_t seed = seed_of(l->r, rest, i);
        status = branches_walk(b, seed, &walk, error);
        if (status == COAMING_OK)
            status = turn_some(l, thread, at, seed, &walk, error);
    }
    n->work += (branches_work(b) - work) * WORK_FLOTATION;
    branches_take_out(b, rest->tree);
    return status;
}

/* --- all of them --- */

static coaming_status ask_loading(loading_now *l, together_job job, coaming_error *error)
{
    repaired *r = l->r;
    for (unsigned t = 0; t < l->threads; t++)
        memcpy(r->at[t], r->leaks, r->ship->closure_count * sizeof *r->at[t]);
    for (size_t i = 0; i < l->rests.count; i++)
        l->now[i].work = 0;
    coaming_status status = together_do(l->sampled ? l->threads : 1, l->rests.count, job, l, error);
    for (size_t i = 0; i < l->rests.count; i++)
        r->work += l->now[i].work;
    return status;
}

/* Those that were not taken count with the mean of those that stand for them. */
static void fill_in(loading_now *l)
{
    double count = 0, sum = 0;
    for (size_t i = 0; i < l->rests.count; i++) {
        count += l->rests.list[i].drawn;
        sum += l->rests.list[i].drawn ? l->now[i].likely : 0;
    }
    for (size_t i = 0; i < l->rests.count; i++)
        if (!l->rests.list[i].tree && count > 0)
            l->now[i].likely = sum / count;
}

/* What is expected of a rest by one half of the samples that it was branched with (branches.h), and the
 * change since. */
static double likely_by(const loading_now *l, size_t at, int half)
{
    const rest_answer *rest = &l->rests.list[at];
    return rest->half[half] + (l->now[at].likely - rest->likely);
}

static size_t worst_by(const loading_now *l, const damage_case *c, int half)
{
    size_t worst = l->rests.of[c->extents[0]];
    for (size_t e = 1; e < c->extent_count; e++)
        if (likely_by(l, l->rests.of[c->extents[e]], half) < likely_by(l, worst, half))
            worst = l->rests.of[c->extents[e]];
    return worst;
}

static double value_of(const loading_now *l, const damage_case *c)
{
    double sum = 0;
    for (int half = 0; half < 2; half++)
        sum += likely_by(l, worst_by(l, c, half), 1 - half);
    return sum / 2;
}

/* Adds the loading's part of the index; weighs its rests. The extent is chosen and valued as by
 * expected.h. */
static void add_up(loading_now *l, double *index)
{
    fill_in(l);
    for (size_t i = 0; i < l->rests.count; i++)
        l->now[i].weight = 0;
    for (size_t i = 0; i < l->list.count; i++) {
        const damage_case *c = &l->list.cases[i];
        double share = l->share * (c->weight / 2);
        for (int half = 0; half < 2; half++)
            l->now[worst_by(l, c, half)].weight += share / 2;
        *index += share * value_of(l, c);
    }
    l->r->work += l->list.count;
}

static coaming_status ask_as(repaired *r, bool first, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < r->count && status == COAMING_OK; i++) {
        r->loadings[i].first = first;
        r->loadings[i].limits = false;
        status = ask_loading(&r->loadings[i], ask_one, error);
    }
    return status;
}

coaming_status repaired_draw(repaired *r, uint64_t seed, coaming_error *error)
{
    r->seed = seed;
    memcpy(r->leaks, r->as_are, r->ship->closure_count * sizeof *r->leaks);
    coaming_status status = ask_as(r, true, error);
    memcpy(r->before, r->leaks, r->ship->closure_count * sizeof *r->before);
    r->asked_once = status == COAMING_OK;
    return status;
}

coaming_status repaired_index(repaired *r, const double *leaks, double *index, coaming_error *error)
{
    memcpy(r->leaks, leaks, r->ship->closure_count * sizeof *r->leaks);
    coaming_status status = ask_as(r, false, error);
    memcpy(r->before, r->leaks, r->ship->closure_count * sizeof *r->before);
    *index = 0;
    for (size_t i = 0; i < r->count; i++)
        add_up(&r->loadings[i], index);
    *index = fmin(*index, 1);
    return status;
}

/* --- limits --- */

static void add_limits(const loading_now *l, coaming_survival_limits *index)
{
    for (size_t i = 0; i < l->list.count; i++) {
        const damage_case *c = &l->list.cases[i];
        coaming_survival_limits s = {value_of(l, c), INFINITY, INFINITY};
        for (size_t e = 0; e < c->extent_count; e++) {
            size_t at = l->rests.of[c->extents[e]];
            bool known = l->rests.list[at].tree;
            s.low = fmin(s.low, known ? l->now[at].low : 0);
            s.high = fmin(s.high, known ? l->now[at].high : 1);
        }
        limits_add(index, l->share * (c->weight / 2), s);
    }
}

/* The chance that some closure is in another state than it was: where it is small, so is what may have
 * changed and was not seen. */
static double changed_by(const repaired *r, const double *was)
{
    double same = 1;
    for (size_t c = 0; c < r->ship->closure_count; c++)
        same *= 1 - fabs(r->leaks[c] - was[c]);
    return 1 - same;
}

/* How many samples, the sum of their changes, and of the squares of these. */
static void sum_changes(const rest_now *n, size_t samples, bool since_marked, double sums[3])
{
    const double *was = since_marked ? n->marked : n->drawn;
    sums[0] = (double)samples;
    sums[1] = sums[2] = 0;
    for (size_t i = 0; i < samples; i++) {
        double change = n->last[i] - was[i];
        sums[1] += change;
        sums[2] += change * change;
    }
}

/* Standard error of a rest's change. */
static double rest_error(const rest_answer *rest, const rest_now *n, bool since_marked,
                         double range)
{
    double sums[3];
    if (!rest->stopped)
        return 0;
    sum_changes(n, rest->samples, since_marked, sums);
    return n->weight * sampled_error(sums, range);
}

static bool all_branched(const loading_now *l)
{
    for (size_t i = 0; i < l->rests.count; i++)
        if (!l->rests.list[i].tree)
            return false;
    return true;
}

/* Of the change; small ones together, by how far those that were drawn differ. */
static double variance_of(const loading_now *l, bool since_marked)
{
    const repaired *r = l->r;
    bool others = !all_branched(l); /* then those that were drawn stand for them */
    double all = 0, small = 0, range, sums[3] = {0};
    range = sqrt(changed_by(r, since_marked ? r->marked : r->as_are));
    for (size_t i = 0; i < l->rests.count; i++) {
        const rest_answer *rest = &l->rests.list[i];
        const rest_now *n = &l->now[i];
        if (rest->tree && !(rest->drawn && others)) {
            double error = rest_error(rest, n, since_marked, range);
            all += error * error;
            continue;
        }
        small += n->weight;
        if (!rest->drawn)
            continue;
        double change = n->likely - (since_marked ? n->likely_marked : rest->likely);
        sums[0]++;
        sums[1] += change;
        sums[2] += change * change;
    }
    double error = small * sampled_error(sums, range);
    return all + error * error;
}

coaming_status repaired_limits(repaired *r, coaming_survival_limits *index, double *error_of_change,
                               coaming_error *error)
{
    coaming_status status = COAMING_OK;
    double variance = 0;
    *index = (coaming_survival_limits){0};
    for (size_t i = 0; i < r->count && status == COAMING_OK; i++) {
        loading_now *l = &r->loadings[i];
        l->limits = true;
        status = ask_loading(l, ask_one, error);
        add_limits(l, index);
        variance += variance_of(l, false);
    }
    index->high = fmin(index->high, 1);
    index->low = fmin(index->low, 1);
    index->value = fmin(fmax(index->value, index->low), index->high);
    *error_of_change = sqrt(variance);
    return status;
}

coaming_status repaired_most(repaired *r, const double *other, double *most, coaming_error *error)
{
    *most = 0;
    for (size_t i = 0; i < r->count; i++) {
        loading_now *l = &r->loadings[i];
        for (size_t k = 0; k < l->rests.count; k++) {
            coaming_status status = COAMING_OK;
            if (l->rests.list[k].tree)
                status = branch_tree_most(l->rests.list[k].tree, r->as_are, other, &l->now[k].high,
                                          error);
            if (status != COAMING_OK)
                return status;
        }
        coaming_survival_limits index = {0};
        add_limits(l, &index);
        *most += index.high;
    }
    *most = fmin(*most, 1);
    return COAMING_OK;
}

void repaired_mark(repaired *r)
{
    memcpy(r->marked, r->leaks, r->ship->closure_count * sizeof *r->marked);
    for (size_t i = 0; i < r->count; i++)
        for (size_t k = 0; k < r->loadings[i].rests.count; k++) {
            rest_now *n = &r->loadings[i].now[k];
            n->likely_marked = n->likely;
            if (n->last)
                memcpy(n->marked, n->last,
                       r->loadings[i].rests.list[k].samples * sizeof *n->marked);
        }
}

double repaired_error_since(const repaired *r)
{
    double variance = 0;
    for (size_t i = 0; i < r->count; i++)
        variance += variance_of(&r->loadings[i], true);
    return sqrt(variance);
}

/* --- slopes --- */

/* Those that were drawn stand for the others. */
static void share_weights(loading_now *l)
{
    double count = 0, others = 0;
    for (size_t i = 0; i < l->rests.count; i++) {
        count += l->rests.list[i].drawn;
        others += l->rests.list[i].tree ? 0 : l->now[i].weight;
    }
    for (size_t i = 0; i < l->rests.count; i++)
        if (l->rests.list[i].drawn)
            l->now[i].weight += others / count;
}

coaming_status repaired_slopes(repaired *r, const double *other, double *slopes,
                               coaming_error *error)
{
    r->other = other;
    memset(slopes, 0, r->ship->closure_count * sizeof *slopes);
    for (size_t i = 0; i < r->count; i++) {
        loading_now *l = &r->loadings[i];
        share_weights(l);
        coaming_status status = l->sampled ? ask_loading(l, turn_all, error) : COAMING_OK;
        if (status != COAMING_OK)
            return status;
        for (size_t k = 0; k < l->rests.count; k++) {
            const rest_answer *rest = &l->rests.list[k];
            if (!rest->tree || !(l->now[k].weight > 0))
                continue;
            for (size_t c = 0; rest->stopped && c < r->ship->closure_count; c++)
                slopes[c] += l->now[k].weight * l->now[k].slope[c];
            if (!rest->stopped)
                branch_tree_slopes(rest->tree, r->leaks, l->now[k].weight, slopes);
        }
    }
    return COAMING_OK;
}

/* --- beginning --- */

bool repaired_is_sampled(const repaired *r)
{
    bool sampled = false;
    for (size_t i = 0; i < r->count; i++)
        sampled = sampled || r->loadings[i].sampled;
    return sampled;
}

bool repaired_is_exact(const repaired *r)
{
    bool all = true;
    for (size_t i = 0; i < r->count; i++)
        all = all && all_branched(&r->loadings[i]);
    return all && !repaired_is_sampled(r);
}

size_t repaired_size(const repaired *r)
{
    size_t size = 0;
    for (size_t i = 0; i < r->count; i++) {
        size += r->loadings[i].list.count;
        for (size_t k = 0; k < r->loadings[i].rests.count; k++)
            if (r->loadings[i].rests.list[k].tree)
                size += branch_tree_size(r->loadings[i].rests.list[k].tree);
    }
    return size;
}

bool repaired_asks(const repaired *r, int closure)
{
    for (int t = 0; t < TOGETHER_MOST; t++)
        if (r->matters[t][closure])
            return true;
    return false;
}

uint64_t repaired_work(const repaired *r)
{
    return r->work;
}

double repaired_error(const repaired *r)
{
    double variance = 0;
    for (size_t i = 0; i < r->count && !repaired_is_exact(r); i++)
        variance += r->loadings[i].rests.variance;
    return sqrt(variance);
}

/* Branches to ask the trees by, at chances that are to be changed. */
static coaming_status make_branches(loading_now *l, coaming_error *error)
{
    repaired *r = l->r;
    coaming_status status = COAMING_OK;
    for (; l->threads < l->by.count && status == COAMING_OK; l->threads++) {
        branch_terms terms = {.condition = r->v->options.condition,
                              .leaks = r->at[l->threads],
                              .value = BRANCH_S,
                              .work = SIZE_MAX,
                              .memory = SIZE_MAX};
        status = branches_new(l->by.each[l->threads], r->ship, &terms, &l->each[l->threads], error);
        if (status != COAMING_OK)
            break;
    }
    return status;
}

/* As far as other chances ask for it, with as much work as it had before. */
static coaming_status grow_on(void *data, unsigned thread, size_t at, coaming_error *error)
{
    loading_now *l = data;
    rest_answer *rest = &l->rests.list[at];
    branch_growth how = {l->r->least, l->r->v->options.within,
                         rest->samples ? 4 * rest->samples + 2 : SIZE_MAX,
                         REST_TREES_MEMORY / l->rests.count};
    if (!rest->tree || rest->stopped)
        return COAMING_OK;
    how.memory = how.memory < BRANCH_MEMORY ? how.memory : BRANCH_MEMORY;
    branches *b = put_back(l, thread, rest);
    coaming_status status = branches_grow_on(b, &how, &rest->stopped, error);
    rest->stopped = rest->stopped && rest->samples;
    branches_take_out(b, rest->tree);
    return status;
}

/* marks: room for each closure. */
static bool list_decided(repaired *r, const branch_tree *grown, bool *marks, rest_now *n)
{
    size_t closures = r->ship->closure_count, count = 0;
    memset(marks, 0, closures * sizeof *marks);
    branch_tree_decides(grown, marks);
    for (size_t c = 0; c < closures; c++)
        count += marks[c];
    n->decided = arena_new(&r->memory, count, sizeof *n->decided);
    for (size_t c = 0; n->decided && c < closures; c++)
        if (marks[c]) {
            r->matters[0][c] = true;
            n->decided[n->decided_count++] = (int)c;
        }
    return n->decided;
}

static coaming_status make_room(loading_now *l, coaming_error *error)
{
    repaired *r = l->r;
    l->now = arena_new(&r->memory, l->rests.count, sizeof *l->now);
    bool *marks = arena_new(&r->memory, r->ship->link_count, sizeof *marks);
    for (size_t i = 0; l->now && marks && i < l->rests.count; i++) {
        const rest_answer *rest = &l->rests.list[i];
        if (rest->tree && !list_decided(r, rest->tree, marks, &l->now[i]))
            return error_memory(error);
        if (!rest->tree || !rest->stopped)
            continue;
        l->sampled = true;
        l->now[i].drawn = arena_new(&r->memory, rest->samples, sizeof *l->now[i].drawn);
        l->now[i].last = arena_new(&r->memory, rest->samples, sizeof *l->now[i].last);
        l->now[i].marked = arena_new(&r->memory, rest->samples, sizeof *l->now[i].marked);
        l->now[i].slope = arena_new(&r->memory, r->ship->closure_count, sizeof *l->now[i].slope);
        if (!l->now[i].drawn || !l->now[i].last || !l->now[i].marked || !l->now[i].slope)
            return error_memory(error);
    }
    return l->now && marks ? COAMING_OK : error_memory(error);
}

static coaming_status begin_loading(loading_now *l, size_t number, coaming_error *error)
{
    repaired *r = l->r;
    const coaming_survival_options *o = &r->v->options;
    l->share = r->v->loadings[number].share;
    coaming_status status =
        damage_cases_list(r->sets, r->v->loadings[number].draught, &l->list, error);
    if (status == COAMING_OK)
        status = settlers_make(&l->by, r->ship, o->condition, r->v->numbers[number],
                               index_threads(r->v, damage_cases_set_count(r->sets)), error);
    if (status != COAMING_OK)
        return status;
    rest_terms terms = {r->ship, o, r->as_are, l->share, l->ways, true};
    status = rests_branch(&l->rests, &terms, &l->by, r->sets, &l->list, error);
    if (status == COAMING_OK)
        status = make_branches(l, error);
    if (status == COAMING_OK)
        status = together_do(l->threads, l->rests.count, grow_on, l, error);
    return status == COAMING_OK ? make_room(l, error) : status;
}

static bool make_lists(repaired *r)
{
    size_t closures = r->ship->closure_count, links = r->ship->link_count;
    r->leaks = arena_new(&r->memory, closures, sizeof *r->leaks);
    r->before = arena_new(&r->memory, closures, sizeof *r->before);
    r->marked = arena_new(&r->memory, closures, sizeof *r->marked);
    bool all = r->leaks && r->before && r->marked;
    for (int t = 0; t < TOGETHER_MOST && all; t++) {
        r->at[t] = arena_new(&r->memory, closures, sizeof *r->at[t]);
        r->asked[t] = arena_new(&r->memory, links, sizeof *r->asked[t]);
        r->again[t] = arena_new(&r->memory, links, sizeof *r->again[t]);
        r->matters[t] = arena_new(&r->memory, links, sizeof *r->matters[t]);
        all = r->at[t] && r->asked[t] && r->again[t] && r->matters[t];
        if (all)
            memcpy(r->at[t], r->as_are, closures * sizeof *r->at[t]);
    }
    r->loadings = arena_new(&r->memory, r->v->loading_count, sizeof *r->loadings);
    return all && r->loadings;
}

static coaming_status begin(repaired *r, coaming_error *error)
{
    double deepest = 0;
    coaming_status status = index_begin_loadings(r->v, &deepest, error);
    if (status == COAMING_OK)
        status = damage_cases_new(r->ship, deepest, &r->sets, error);
    if (status == COAMING_OK && !make_lists(r))
        status = error_memory(error);
    for (size_t i = 0; i < r->v->loading_count && status == COAMING_OK; i++) {
        r->loadings[i].r = r;
        r->count = i + 1;
        status = begin_loading(&r->loadings[i], i, error);
    }
    uint64_t before = r->work;
    if (status == COAMING_OK)
        status = repaired_draw(r, FIRST_SEED, error);
    size_t turns = (size_t)(TURN_WORK / ((r->work - before) / WORK_FLOTATION + 1)) + 1;
    r->turns = turns < TURNS_MOST ? turns : TURNS_MOST;
    return status;
}

coaming_status repaired_new(const coaming_ship *ship, const coaming_survival_options *options,
                            const double *leaks, const double *least, unsigned threads,
                            repaired **out, coaming_error *error)
{
    repaired *r = memory_new(1, sizeof *r);
    if (!r)
        return error_memory(error);
    r->ship = ship;
    r->as_are = leaks;
    r->least = least;
    coaming_status status = index_begin(ship, options, &r->v, error);
    if (status == COAMING_OK) {
        r->v->threads = threads;
        status = begin(r, error);
    }
    if (status == COAMING_OK)
        *out = r;
    else
        repaired_free(r);
    return status;
}
