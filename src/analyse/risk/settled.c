#include "analyse/risk/settled.h"

#include <math.h>
#include <string.h>

#include "analyse/ranking/loss.h"
#include "analyse/ranking/scenarios.h"
#include "analyse/risk/risk.h"
#include "analyse/survival/branches.h"
#include "analyse/survival/parts.h"
#include "base/error.h"
#include "base/hash.h"
#include "base/together.h"

enum {
    UNIT_BITS = 80,
    TREE_LEAST = 2,        /* settlings of a rest's tree */
    BYTES_LEAST = 1 << 16, /* of it; all trees together some BRANCH_MEMORY */
    SAMPLES_LEAST = 4,     /* of a rest that is not known exactly */
    SAMPLE_COSTS = 4       /* settlings, about */
};

/* Where scenarios come to rest. */
typedef struct {
    branch_rest at;
    coaming_place source;  /* of the first of them */
    double weight, before; /* before: of those ahead of it in the list */
} rest;

struct risk_settled {
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    arena memory;
    double *leaks; /* by link */
    rest *rests;
    size_t count;
    double weight, scale;
    risk_wide totals[LOSS_SUMS];
    risk_wide (*sums)[TURN_SUMS]; /* by closure */
};

void risk_settled_free(risk_settled *s)
{
    if (!s)
        return;
    arena_free(&s->memory);
    memory_free(s);
}

static branch_terms terms_of(const risk_settled *s)
{
    return (branch_terms){.condition = s->query.condition,
                          .leaks = s->leaks,
                          .value = BRANCH_LOSS,
                          .measure = s->measure,
                          .memory = BRANCH_MEMORY,
                          .turn_every = 1,
                          .errors = true};
}

/* --- rests --- */

static coaming_status add_scenario(risk_settled *s, branches *b, const scenario *of,
                                   coaming_error *error)
{
    rest r = {.source = of->source, .weight = of->weight};
    coaming_status status = branches_rest(b, &r.source, r.source >= 0, &s->memory, &r.at, error);
    if (status != COAMING_OK)
        return status;
    for (size_t i = 0; i < s->count; i++)
        if (!branch_rest_order(&s->rests[i].at, &r.at)) {
            s->rests[i].weight += r.weight;
            return COAMING_OK;
        }
    s->rests[s->count++] = r;
    return COAMING_OK;
}

static coaming_status find_rests(risk_settled *s, branches *b, coaming_error *error)
{
    size_t room = scenarios_room(s->ship);
    scenario *list = arena_new(&s->memory, room, sizeof *list);
    coaming_status status = COAMING_OK;
    s->rests = arena_new(&s->memory, room, sizeof *s->rests);
    if (!list || !s->rests)
        return error_memory(error);
    size_t count = scenarios_for(s->ship, COAMING_WATER, list);
    for (size_t i = 0; i < count && status == COAMING_OK; i++)
        if (list[i].weight > 0)
            status = add_scenario(s, b, &list[i], error);
    return status;
}

static void find_scale(risk_settled *s)
{
    double mass = 0;
    s->weight = 0;
    for (size_t i = 0; i < s->count; s->weight += s->rests[i++].weight)
        s->rests[i].before = s->weight;
    for (size_t i = 0; i < s->ship->space_count; i++)
        mass += space_whole_loss(&s->ship->spaces[i], s->measure);
    s->scale = s->weight * mass;
}

/* One who branches: a thread has its own. */
typedef struct {
    settler *settler;
    branches *branches;
} worker;

static void free_worker(worker *w)
{
    branches_free(w->branches);
    settler_free(w->settler);
}

static coaming_status make_worker(const risk_settled *s, worker *w, coaming_error *error)
{
    branch_terms terms = terms_of(s);
    coaming_status status =
        settler_new(s->ship, s->query.condition, s->query.loading, &w->settler, error);
    if (status == COAMING_OK)
        status = branches_new(w->settler, s->ship, &terms, &w->branches, error);
    return status;
}

static coaming_status make_room(risk_settled *s, const double *leaks, coaming_error *error)
{
    const coaming_ship *ship = s->ship;
    s->leaks = arena_new(&s->memory, ship->link_count, sizeof *s->leaks);
    s->sums = arena_new(&s->memory, ship->closure_count, sizeof *s->sums);
    if (!s->leaks || !s->sums)
        return error_memory(error);
    for (size_t c = 0; c < ship->closure_count; c++)
        s->leaks[c] = leaks[c];
    return COAMING_OK;
}

coaming_status risk_settled_new(const coaming_ship *ship, coaming_query query,
                                coaming_measure measure, const double *leaks, risk_settled **out,
                                coaming_error *error)
{
    worker w = {0};
    if (measure >= COAMING_MEASURE_FREEBOARD)
        return risk_measure_refused(measure, error);
    risk_settled *s = memory_new(1, sizeof *s);
    if (!s)
        return error_memory(error);
    s->ship = ship;
    s->query = query;
    s->measure = measure;
    coaming_status status = make_room(s, leaks, error);
    if (status == COAMING_OK)
        status = make_worker(s, &w, error);
    if (status == COAMING_OK)
        status = find_rests(s, w.branches, error);
    free_worker(&w);
    if (status != COAMING_OK) {
        risk_settled_free(s);
        return status;
    }
    find_scale(s);
    *out = s;
    return COAMING_OK;
}

/* --- sums --- */

static risk_wide whole(double scales)
{
    return (risk_wide)ldexp(scales, UNIT_BITS);
}

static double squared(double error)
{
    return isnan(error) ? 0 : error * error;
}

/* What an estimate without an error may be more. */
static double unseen_of(double error, double estimate, double high)
{
    return isnan(error) ? fmax(0, high - estimate) : 0;
}

typedef struct {
    risk_wide totals[LOSS_SUMS];
    risk_wide (*sums)[TURN_SUMS];
} tally;

/* Adds one sum to another; but of what was never seen the greatest counts. */
static void add_to(risk_wide *sums, int which, risk_wide sum)
{
    if (which != TURN_NEVER)
        sums[which] += sum;
    else if (sum > sums[which])
        sums[which] = sum;
}

static void count_gain(double by, const branch_gain *g, risk_wide *to)
{
    to[TURN] += whole(by * g->turn);
    to[TURN_LOW] += whole(by * g->turn_limits.low);
    to[TURN_HIGH] += whole(by * g->turn_limits.high);
    to[TURN_UNSEEN] += whole(by * unseen_of(g->turn_error, g->turn, g->turn_limits.high));
    to[TURN_VARIANCE] += whole(squared(by * g->turn_error));
}

static void count_loss(double by, const branch_answer *a, risk_wide *to)
{
    to[RESTS]++;
    to[RESTS_OPEN] += a->estimate_error != 0;
    to[RESTS_SAMPLES] += (risk_wide)a->sampled;
    to[LOSS] += whole(by * a->estimate);
    to[LOSS_LOW] += whole(by * a->value.low);
    to[LOSS_HIGH] += whole(by * a->value.high);
    to[LOSS_UNSEEN] += whole(by * unseen_of(a->estimate_error, a->estimate, a->value.high));
    to[LOSS_VARIANCE] += whole(squared(by * a->estimate_error));
}

/* What is in none of n samples has, with 95 % confidence, a chance of some 3 / n at most. Over rests of
 * which none had it in a sample, of chances q and samples n, the sum of n log(1 - q) is at least
 * log 0.05; so the sum of a q is at most -log 0.05 times the greatest a / n. */
static double never_seen(double by, const branch_answer *a)
{
    double most = a->open * a->most;
    return a->sampled ? -log(0.05) * by * most / (double)a->sampled : by * a->other;
}

static void count(const risk_settled *s, const rest *r, const branch_answer *a, tally *to)
{
    double by = s->scale > 0 ? r->weight / s->scale : 0;
    const branch_gain *g = a->gains, *end = a->gains + a->gain_count;
    count_loss(by, a, to->totals);
    for (size_t c = 0; c < s->ship->closure_count; c++) {
        branch_gain other = {.turn_limits = {-a->other, a->other}};
        bool told = g < end && g->closure == (int)c;
        if (s->leaks[c] > 0)
            count_gain(by, told ? g : &other, to->sums[c]);
        if (!told && s->leaks[c] > 0 && a->other > 0)
            add_to(to->sums[c], TURN_NEVER, whole(never_seen(by, a)));
        g += told;
    }
}

static void add_tally(risk_settled *s, const tally *t)
{
    for (int i = 0; i < LOSS_SUMS; i++)
        s->totals[i] += t->totals[i];
    for (size_t c = 0; c < s->ship->closure_count; c++)
        for (int i = 0; i < TURN_SUMS; i++)
            add_to(s->sums[c], i, t->sums[c][i]);
}

/* --- branching --- */

typedef struct {
    risk_settled *s;
    const coaming_risk_options *o;
    worker workers[TOGETHER_MOST];
    tally tallies[TOGETHER_MOST];
} shared_work;

/* Of the samples that were asked for: each rest has the least, and what is left goes by weight, so that
 * all together have what was asked for, or the least of each. */
static size_t samples_of(const risk_settled *s, uint64_t asked, const rest *r)
{
    uint64_t least = (uint64_t)s->count * SAMPLES_LEAST;
    double left = asked > least ? (double)(asked - least) : 0;
    return SAMPLES_LEAST + (size_t)(left * ((r->before + r->weight) / s->weight)) -
           (size_t)(left * (r->before / s->weight));
}

/* What a rest is allowed, by its part of the weight. */
static branch_terms allowed(const risk_settled *s, const coaming_risk_options *o, const rest *r)
{
    branch_terms terms = terms_of(s);
    double part = r->weight / s->weight, half = part * (double)o->settlings / 2;
    terms.seed = o->seed;
    terms.memory = (size_t)(part * BRANCH_MEMORY) + BYTES_LEAST;
    terms.work = (size_t)half + TREE_LEAST;
    terms.samples = (size_t)(half / SAMPLE_COSTS) + SAMPLES_LEAST;
    if (o->samples)
        terms.samples = samples_of(s, o->samples, r);
    if (o->method == COAMING_RISK_SAMPLED)
        terms.work = 1;
    if (o->method == COAMING_RISK_EXACT) {
        terms.work = SIZE_MAX;
        terms.memory = o->memory;
        terms.samples = 0;
    }
    return terms;
}

static coaming_status branch_one(void *data, unsigned thread, size_t job, coaming_error *error)
{
    shared_work *work = data;
    const coaming_risk_options *o = work->o;
    const rest *r = &work->s->rests[job * o->shares + o->share - 1];
    branches *b = work->workers[thread].branches;
    const branch_answer *a = NULL;
    branch_terms terms = allowed(work->s, o, r);
    branches_set(b, &terms);
    coaming_status status = branches_case(b, &r->source, r->source >= 0, &a, error);
    if (status != COAMING_OK)
        return status;
    if (o->method == COAMING_RISK_EXACT && a->stopped)
        return risk_memory_refused(o->memory, error);
    count(work->s, r, a, &work->tallies[thread]);
    return COAMING_OK;
}

static size_t rests_of_share(const risk_settled *s, unsigned share, unsigned shares)
{
    return s->count < share ? 0 : (s->count - share) / shares + 1;
}

static coaming_status branch_by(shared_work *work, unsigned threads, coaming_error *error)
{
    risk_settled *s = work->s;
    coaming_status status = COAMING_OK;
    for (unsigned i = 0; i < threads && status == COAMING_OK; i++) {
        work->tallies[i].sums = memory_new(s->ship->closure_count, sizeof *s->sums);
        status =
            work->tallies[i].sums ? make_worker(s, &work->workers[i], error) : error_memory(error);
    }
    if (status == COAMING_OK)
        status = together_do(threads, rests_of_share(s, work->o->share, work->o->shares),
                             branch_one, work, error);
    for (unsigned i = 0; i < threads && status == COAMING_OK; i++)
        add_tally(s, &work->tallies[i]);
    return status;
}

coaming_status risk_settled_branch(risk_settled *s, const coaming_risk_options *o, unsigned threads,
                                   coaming_error *error)
{
    shared_work *work = memory_new(1, sizeof *work);
    if (!work)
        return error_memory(error);
    memset(s->totals, 0, sizeof s->totals);
    memset(s->sums, 0, s->ship->closure_count * sizeof *s->sums);
    work->s = s;
    work->o = o;
    if (!threads)
        threads = together_threads(rests_of_share(s, o->share, o->shares));
    coaming_status status = branch_by(work, threads, error);
    for (unsigned i = 0; i < threads; i++) {
        memory_free(work->tallies[i].sums);
        free_worker(&work->workers[i]);
    }
    memory_free(work);
    return status;
}

/* --- what is told --- */

uint64_t risk_settled_number(const risk_settled *s, int count)
{
    return (uint64_t)s->totals[count];
}

static double told(const risk_settled *s, risk_wide sum, bool variance)
{
    return ldexp((double)sum, -UNIT_BITS) * s->scale * (variance ? s->scale : 1);
}

double risk_settled_loss(const risk_settled *s, int sum)
{
    return told(s, s->totals[sum], sum == LOSS_VARIANCE);
}

double risk_settled_turn(const risk_settled *s, int closure, int sum)
{
    return told(s, s->sums[closure][sum], sum == TURN_VARIANCE);
}

double risk_settled_greatest(const risk_settled *s)
{
    return s->scale;
}

/* --- parts --- */

size_t risk_settled_count(const risk_settled *s)
{
    return LOSS_SUMS + TURN_SUMS * s->ship->closure_count;
}

risk_wide risk_settled_get(const risk_settled *s, size_t i)
{
    if (i < LOSS_SUMS)
        return s->totals[i];
    return s->sums[(i - LOSS_SUMS) / TURN_SUMS][(i - LOSS_SUMS) % TURN_SUMS];
}

void risk_settled_add(risk_settled *s, size_t i, risk_wide sum)
{
    if (i < LOSS_SUMS)
        s->totals[i] += sum;
    else
        add_to(s->sums[(i - LOSS_SUMS) / TURN_SUMS], (int)((i - LOSS_SUMS) % TURN_SUMS), sum);
}

bool risk_settled_fits(const risk_settled *s, unsigned share, unsigned shares, risk_wide rests)
{
    return rests == (risk_wide)rests_of_share(s, share, shares);
}

static uint64_t digest_number(uint64_t d, double number)
{
    return hash_bytes(d, hash_bits(number), 8);
}

uint64_t risk_settled_digest(const risk_settled *s, const coaming_risk_options *o)
{
    coaming_survival_options how = coaming_survival_options_default();
    how.condition = s->query.condition;
    how.loading = s->query.loading;
    uint64_t d = hash_bytes(parts_digest(s->ship, &how, s->leaks), s->measure, 8);
    d = hash_bytes(d, o->settlings, 8);
    for (size_t i = 0; i < s->ship->space_count; i++)
        d = digest_number(d, space_whole_loss(&s->ship->spaces[i], s->measure));
    for (size_t i = 0; i < s->count; i++) {
        d = hash_ints(d, s->rests[i].at.list, s->rests[i].at.count);
        d = digest_number(d, s->rests[i].weight);
    }
    return d;
}
