/* Sampled risk: every sample against the definitions, estimates against all states, and the same
 * bits however the samples are split. */
#include <math.h>
#include <string.h>

#include "analyse/risk/risk.h"
#include "analyse/risk/sample.h"
#include "risk_plain.h"
#include "runner.h"

#define MUST(what) ck_assert_msg((what), "seed %llu: %s", (unsigned long long)seed, #what)

/* One answer to one model, as coaming_risk_new has it. */
typedef struct {
    coaming_risk k;
    risk_answer answer;
    coaming_risk_row rows[PLAIN_EDGES];
    struct risk_gathered gathered[PLAIN_EDGES];
    double probabilities[PLAIN_EDGES];
} answered;

static void answer_new(answered *a, risk_model *m)
{
    *a = (answered){.answer = {.sampled = true}};
    a->k.closure_count = m->edge_count;
    a->k.rows = a->rows;
    a->k.gathered = a->gathered;
    a->k.models = m;
    a->k.answers = &a->answer;
    a->k.model_count = 1;
    a->k.probabilities = a->probabilities;
    ck_assert(risk_tally_new(&a->answer.tally, m->edge_count));
}

static void answer_sample(answered *a, const risk_model *m, uint64_t seed, uint64_t samples)
{
    uint64_t blocks = (samples + RISK_BLOCK - 1) / RISK_BLOCK;
    risk_range range = {0, 1, blocks, samples};
    ck_assert_int_eq(risk_sample(m, seed, 0, range, 1, &a->answer.tally, NULL), COAMING_OK);
    risk_fill_rows(&a->k);
}

/* Each sample. */

static double greatest_loss(const risk_model *m)
{
    double mass = 0;
    for (int v = 0; v < m->node_count; v++)
        mass += m->mass[v];
    return m->total_weight * mass;
}

/* What one sample alone added. */
static void sums_of_sample(const sample_plan *plan, uint64_t sample, risk_tally *t,
                           risk_edge_sums *edges)
{
    sample_state with = {0}, without = {0};
    ck_assert(sample_state_new(&with, plan) && sample_state_new(&without, plan));
    sample_block_of(&with, 0, sample + 1);
    sample_block_of(&without, 0, sample);
    ck_assert_uint_eq(with.tally.samples, sample + 1);
    *t = with.tally;
    t->loss -= without.tally.loss;
    t->control -= without.tally.control;
    for (int e = 0; e < plan->edges; e++) {
        edges[e] = with.tally.sums[e];
        edges[e].effect -= without.tally.sums[e].effect;
        edges[e].effect_squared -= without.tally.sums[e].effect_squared;
        edges[e].by_way -= without.tally.sums[e].by_way;
        edges[e].by_way_squared -= without.tally.sums[e].by_way_squared;
        edges[e].by_way_loss -= without.tally.sums[e].by_way_loss;
        edges[e].by_way_control -= without.tally.sums[e].by_way_control;
    }
    sample_state_free(&with);
    sample_state_free(&without);
}

/* Whole numbers against doubles of sums of some ten products. */
static bool near_units(double got, double wanted, double scale)
{
    return fabs(got / (double)RISK_UNIT * scale - wanted) <= 1e-12 * (1 + scale);
}

static void check_sample(const risk_model *m, const sample_plan *plan, const bool *passes,
                         uint64_t sample, uint64_t seed)
{
    risk_tally t;
    risk_edge_sums sums[PLAIN_EDGES];
    bool state[PLAIN_EDGES];
    double scale = greatest_loss(m);
    risk_wide control = 0;
    sums_of_sample(plan, sample, &t, sums);
    risk_model seen = *m;
    seen.always = plan->always; /* where all starts at one node, that */
    double loss = plan->base_loss * (double)RISK_UNIT + ldexp((double)t.loss, plan->loss_shift);
    MUST(near_units(loss, plain_state_expected(&seen, passes), scale));
    for (size_t e = 0; e < m->edge_count; e++) {
        memcpy(state, passes, sizeof state);
        state[e] = false;
        double holds = plain_state_loss(m, state);
        state[e] = true;
        double effect = plain_state_loss(m, state) - holds;
        MUST(near_units((double)(plan->base_effect[e] + sums[e].effect), effect, scale));
        MUST(near_units((double)(plan->base_way[e] + sums[e].by_way),
                        plain_state_way(m, state, (int)e), scale));
        MUST(sums[e].effect_squared == sums[e].effect * sums[e].effect);
        MUST(sums[e].by_way_squared == sums[e].by_way * sums[e].by_way);
        MUST(sums[e].by_way_loss == sums[e].by_way * t.loss);
        MUST(sums[e].by_way_control == sums[e].by_way * t.control);
        control += passes[e] ? plan->control[e] : 0;
    }
    MUST(t.control == control);
}

START_TEST(each_sample_is_what_the_definitions_say)
{
    size_t passing = 0, checked = 0;
    for (uint64_t seed = 0; seed < 400; seed++) {
        dice d = {seed};
        risk_model m = plain_random_model(&d, (plain_wish){9, 16, true, 0.02, 0.8});
        sample_plan *plan = NULL;
        sample_state s = {0};
        ck_assert_int_eq(sample_plan_new(&m, seed, 3, &plan, NULL), COAMING_OK);
        ck_assert(sample_state_new(&s, plan));
        sample_draw_block(&s, 0);
        for (int i = 0; i < 12; i++) {
            bool passes[PLAIN_EDGES] = {false};
            sample_draw(&s, i);
            for (int j = 0; j < s.passing_count; j++) {
                MUST(m.edges[s.passing[j]].p > 0 && m.edges[s.passing[j]].p < 1);
                passes[s.passing[j]] = true;
                passing++;
            }
            for (size_t e = 0; e < m.edge_count; e++)
                passes[e] |= m.edges[e].p == 1;
            check_sample(&m, plan, passes, (uint64_t)i, seed);
            checked++;
        }
        sample_state_free(&s);
        sample_plan_free(plan);
        plain_model_free(&m);
    }
    ck_assert_uint_eq(checked, 4800);
    ck_assert_uint_gt(passing, 4800);
}
END_TEST

/* Draws. */

START_TEST(edges_pass_as_often_as_they_should)
{
    static const double chances[] = {1e-4, 0.003, 0.05, 0.3, 0.5, 0.9, 0.999};
    enum { EDGES = 7, BLOCKS = 400 };
    double ones[2] = {1, 1};
    risk_edge edges[EDGES];
    for (int e = 0; e < EDGES; e++)
        edges[e] = (risk_edge){0, 1, e, chances[e]};
    risk_model m = {.node_count = 2,
                    .weight = ones,
                    .mass = ones,
                    .along = ones,
                    .always = -1,
                    .total_weight = 2,
                    .edges = edges,
                    .edge_count = EDGES};
    sample_plan *plan = NULL;
    sample_state s = {0};
    ck_assert_int_eq(sample_plan_new(&m, 9, 0, &plan, NULL), COAMING_OK);
    ck_assert(sample_state_new(&s, plan));
    size_t alone[EDGES] = {0}, both = 0, after = 0;
    bool passed_before = false;
    for (uint64_t block = 0; block < BLOCKS; block++) {
        sample_draw_block(&s, block);
        for (int i = 0; i < RISK_BLOCK; i++) {
            sample_draw(&s, i);
            bool passes[EDGES] = {false};
            for (int j = 0; j < s.passing_count; j++) {
                passes[s.passing[j]] = true;
                alone[s.passing[j]]++;
            }
            both += passes[3] && passes[4];
            after += passes[3] && passed_before;
            passed_before = passes[3];
        }
    }
    double n = (double)BLOCKS * RISK_BLOCK;
    /* four standard deviations of a binomial number */
    for (int e = 0; e < EDGES; e++)
        ck_assert_double_le(fabs((double)alone[e] - n * chances[e]),
                            4 * sqrt(n * chances[e] * (1 - chances[e])));
    ck_assert_double_le(fabs((double)both - n * 0.15), 4 * sqrt(n * 0.15 * 0.85));
    ck_assert_double_le(fabs((double)after - n * 0.09), 4 * sqrt(n * 0.09 * 0.91));
    sample_state_free(&s);
    sample_plan_free(plan);
}
END_TEST

/* Which of the samples of a block an edge passes in, as bits. */
static void draws_of(const risk_model *m, uint64_t seed, unsigned model, int edge, bool *passes)
{
    sample_plan *plan = NULL;
    sample_state s = {0};
    ck_assert_int_eq(sample_plan_new(m, seed, model, &plan, NULL), COAMING_OK);
    ck_assert(sample_state_new(&s, plan));
    sample_draw_block(&s, 5);
    for (int i = 0; i < RISK_BLOCK; i++) {
        sample_draw(&s, i);
        passes[i] = false;
        for (int j = 0; j < s.passing_count; j++)
            passes[i] |= s.passing[j] == edge;
    }
    sample_state_free(&s);
    sample_plan_free(plan);
}

START_TEST(a_closure_keeps_its_draws_when_others_change)
{
    double ones[3] = {1, 1, 1};
    risk_edge edges[] = {{0, 1, 4, 0.3}, {1, 2, 7, 0.2}, {0, 2, 9, 0.6}};
    risk_model m = {.node_count = 3,
                    .weight = ones,
                    .mass = ones,
                    .along = ones,
                    .always = -1,
                    .total_weight = 3,
                    .edges = edges,
                    .edge_count = 3};
    bool first[RISK_BLOCK], second[RISK_BLOCK];
    draws_of(&m, 1, 0, 1, first);
    edges[0].p = 0.9;
    m.edge_count = 2;
    draws_of(&m, 1, 0, 1, second);
    ck_assert_mem_eq(first, second, sizeof first);
    draws_of(&m, 2, 0, 1, second);
    ck_assert_mem_ne(first, second, sizeof first);
    draws_of(&m, 1, 1, 1, second);
    ck_assert_mem_ne(first, second, sizeof first);
    edges[1].closure = 8;
    draws_of(&m, 1, 0, 1, second);
    ck_assert_mem_ne(first, second, sizeof first);
}
END_TEST

/* Estimates. */

/* 4.5 standard errors are left out of in 7 of a million. Something that happens in 12 of n samples
 * on average is in none of them in 6 of a million, and then no standard error knows of it: it may
 * add 12 / n of the greatest loss. Rounding to whole units besides. */
static bool within_errors(double got, double wanted, double error, double scale, double n)
{
    if (isnan(error)) /* never seen to vary */
        error = 0;
    return fabs(got - wanted) <= 4.5 * error + (12 / n + 1e-12) * scale;
}

START_TEST(estimates_agree_with_all_states)
{
    for (uint64_t seed = 1000; seed < 1120; seed++) {
        dice d = {seed};
        risk_model m = plain_random_model(&d, (plain_wish){7, 9, true, 0.01, 0.9});
        double expected, birnbaum[PLAIN_EDGES], by_way[PLAIN_EDGES], scale = greatest_loss(&m);
        answered a;
        plain_risk(&m, &expected, birnbaum, by_way);
        answer_new(&a, &m);
        answer_sample(&a, &m, seed, 5000);
        MUST(within_errors(a.k.expected, expected, a.k.error, scale, 5000));
        for (size_t e = 0; e < m.edge_count; e++) {
            const coaming_risk_row *r = &a.rows[e];
            double p = m.edges[e].p;
            MUST(r->probability == p);
            MUST(within_errors(r->risk, p * birnbaum[e], r->risk_error, scale, 5000));
            if (p > 0)
                MUST(within_errors(r->birnbaum, birnbaum[e], r->risk_error / p, scale, 5000));
            if (expected > 0)
                MUST(within_errors(r->fussell_vesely, by_way[e] / expected, r->fussell_vesely_error,
                                   scale / expected, 5000));
            if (a.k.expected > 0)
                ck_assert_double_eq_tol(r->criticality * a.k.expected, r->risk,
                                        1e-12 * (1 + scale));
        }
        risk_tally_free(&a.answer.tally);
        plain_model_free(&m);
    }
}
END_TEST

/* How often is the true value within 1.96 standard errors? In 19 of 20: of 300 models 285, with a
 * standard deviation of 3.8. 272 to 297 is what a sound interval gives in 999 of 1,000 seeds
 * (binomial, by summing it up: 0.9994). Models where nothing is uncertain do not count. */
START_TEST(intervals_cover_as_often_as_they_say)
{
    enum { WANTED = 300 };
    int loss = 0, effect = 0, share = 0, losses = 0, effects = 0, shares = 0;
    for (uint64_t seed = 5000; losses < WANTED || effects < WANTED || shares < WANTED; seed++) {
        dice d = {seed};
        risk_model m = plain_random_model(&d, (plain_wish){6, 8, false, 0.1, 0.9});
        double expected, birnbaum[PLAIN_EDGES], by_way[PLAIN_EDGES];
        answered a;
        plain_risk(&m, &expected, birnbaum, by_way);
        answer_new(&a, &m);
        answer_sample(&a, &m, seed, 3000);
        if (a.k.error > 1e-9 && losses < WANTED) {
            losses++;
            loss += fabs(a.k.expected - expected) <= 1.96 * a.k.error;
        }
        size_t e = m.edge_count ? (size_t)dice_below(&d, (int)m.edge_count) : 0;
        const coaming_risk_row *r = &a.rows[e];
        if (m.edge_count && r->risk_error > 1e-9 && effects < WANTED) {
            effects++;
            effect += fabs(r->risk - m.edges[e].p * birnbaum[e]) <= 1.96 * r->risk_error;
        }
        if (m.edge_count && r->fussell_vesely_error > 1e-9 && shares < WANTED) {
            shares++;
            share +=
                fabs(r->fussell_vesely - by_way[e] / expected) <= 1.96 * r->fussell_vesely_error;
        }
        risk_tally_free(&a.answer.tally);
        plain_model_free(&m);
    }
    printf("covered of %d: expected loss %d, effects %d, Fussell-Vesely %d\n", WANTED, loss, effect,
           share);
    ck_assert_int_ge(loss, 272);
    ck_assert_int_le(loss, 297);
    ck_assert_int_ge(effect, 272);
    ck_assert_int_le(effect, 297);
    ck_assert_int_ge(share, 272);
    ck_assert_int_le(share, 297);
}
END_TEST

/* Errors as large as they should be: of 400 answers to one model, the mean square of what they are
 * off by in standard errors is 1, with a standard deviation of sqrt(2 / 400) = 0.07; four of them.
 */
START_TEST(errors_are_neither_too_small_nor_too_large)
{
    enum { ANSWERS = 400, EDGES = 5 };
    double weight[5] = {1, 0, 0.5, 0, 0}, mass[5] = {0.1, 1, 3, 1, 2};
    risk_edge edges[EDGES] = {
        {0, 1, 0, 0.5}, {1, 2, 1, 0.6}, {0, 2, 2, 0.3}, {2, 3, 3, 0.5}, {3, 4, 4, 0.5}};
    for (int always = -1; always < 1; always++) {
        risk_model m = {.node_count = 5,
                        .weight = weight,
                        .mass = mass,
                        .along = mass,
                        .always = always,
                        .total_weight = 1.5,
                        .edges = edges,
                        .edge_count = EDGES};
        double expected, birnbaum[EDGES], by_way[EDGES];
        double loss = 0, effect[EDGES] = {0}, share[EDGES] = {0};
        plain_risk(&m, &expected, birnbaum, by_way);
        for (uint64_t seed = 0; seed < ANSWERS; seed++) {
            answered a;
            answer_new(&a, &m);
            answer_sample(&a, &m, seed, 1000);
            loss += pow((a.k.expected - expected) / a.k.error, 2) / ANSWERS;
            for (int e = 0; e < EDGES; e++) {
                const coaming_risk_row *r = &a.rows[e];
                effect[e] +=
                    pow((r->risk - r->probability * birnbaum[e]) / r->risk_error, 2) / ANSWERS;
                share[e] +=
                    pow((r->fussell_vesely - by_way[e] / expected) / r->fussell_vesely_error, 2) /
                    ANSWERS;
            }
            risk_tally_free(&a.answer.tally);
        }
        ck_assert_double_eq_tol(loss, 1, 0.28);
        for (int e = 0; e < EDGES; e++) {
            ck_assert_double_eq_tol(effect[e], 1, 0.28);
            ck_assert_double_eq_tol(share[e], 1, 0.28);
        }
    }
}
END_TEST

/* A way that hardly ever opens is in no sample, and still counts: a chain of two, and one alone. */
START_TEST(what_is_rare_counts_by_its_own_effect)
{
    double weight[3] = {0, 0, 0}, mass[3] = {0, 4, 2};
    risk_edge edges[] = {{0, 1, 0, 1e-9}, {0, 2, 1, 1e-10}};
    risk_model m = {.node_count = 3,
                    .weight = weight,
                    .mass = mass,
                    .along = mass,
                    .always = 0,
                    .total_weight = 1.5,
                    .edges = edges,
                    .edge_count = 2};
    weight[0] = 1.5;
    answered a;
    answer_new(&a, &m);
    answer_sample(&a, &m, 1, 4096);
    ck_assert_double_eq_tol(a.k.expected, 6e-9 + 3e-10, 1e-20);
    ck_assert_double_eq_tol(a.rows[0].birnbaum, 6, 1e-12);
    ck_assert_double_eq_tol(a.rows[0].fussell_vesely, 60.0 / 63, 1e-12);
    risk_tally_free(&a.answer.tally);
}
END_TEST

/* `count` doors one behind the other, of which all must leak for the mass 4 to be lost. */
enum { CHAIN = 4 };
static void sample_chain(int count, double p, uint64_t seed, uint64_t samples, answered *a)
{
    static double weight[CHAIN + 1] = {1}, mass[CHAIN + 1];
    static risk_edge edges[CHAIN];
    for (int e = 0; e < count; e++) {
        edges[e] = (risk_edge){e, e + 1, e, p};
        mass[e] = 0;
    }
    mass[count] = 4;
    static risk_model m;
    m = (risk_model){.node_count = count + 1,
                     .weight = weight,
                     .mass = mass,
                     .along = mass,
                     .always = 0,
                     .total_weight = 1,
                     .edges = edges,
                     .edge_count = (size_t)count};
    answer_new(a, &m);
    answer_sample(a, &m, seed, samples);
}

/* Two doors at 0.002 leak together in 4e-6: hardly ever in 4,096 samples, though either of them in
 * some 8. The loss is worked out from those samples, as the risks are: their mean is 16e-6, and what
 * it is off by in standard errors has a mean square of about 1 (it is skew: few hits). */
START_TEST(what_two_leak_together_is_not_missed)
{
    enum { SEEDS = 200 };
    double expected = 4 * 0.002 * 0.002, sum = 0, off = 0;
    for (uint64_t seed = 0; seed < SEEDS; seed++) {
        answered a;
        sample_chain(2, 0.002, seed, 4096, &a);
        MUST(a.k.expected > 0 && a.k.error > 0 && isnan(a.k.limit));
        double risks = a.rows[0].risk + a.rows[1].risk; /* each the same share of it, on average */
        MUST(fabs(a.k.expected - risks / 2) <= 0.002 * 4 * 0.002);
        sum += a.k.expected / SEEDS;
        off += pow((a.k.expected - expected) / a.k.error, 2) / SEEDS;
        risk_tally_free(&a.answer.tally);
    }
    ck_assert_double_eq_tol(sum, expected, 0.1 * expected);
    ck_assert_double_gt(off, 0.7);
    ck_assert_double_lt(off, 2);
}
END_TEST

/* Never seen in n samples: no error, and a limit u with (1 - u)^n = 0.05, times what all leaks
 * together lose; it holds in 19 of 20 answers and more, whatever p is. */
START_TEST(what_was_never_seen_has_a_limit)
{
    enum { SEEDS = 400, SAMPLES = 1000 };
    static const double chances[] = {1e-6, 0.001, 0.01, 0.03, 0.06};
    for (size_t i = 0; i < sizeof chances / sizeof *chances; i++) {
        double p = chances[i], expected = 4 * p * p * p;
        int unseen = 0, beyond = 0;
        for (uint64_t seed = 0; seed < SEEDS; seed++) {
            answered a;
            sample_chain(3, p, seed, SAMPLES, &a);
            if (isnan(a.k.error)) {
                unseen++;
                MUST(a.k.expected == 0);
                ck_assert_double_eq_tol(pow(1 - a.k.limit / 4, SAMPLES), 0.05, 1e-9);
                beyond += expected > a.k.limit;
                ck_assert_double_eq_tol(a.rows[1].risk_limit, p * a.k.limit, 1e-15);
                MUST(isnan(a.rows[1].risk_error) && isnan(a.rows[1].fussell_vesely_error));
                MUST(a.rows[1].fussell_vesely == 0 && a.rows[1].fussell_vesely_limit == 1);
            } else {
                MUST(a.k.expected > 0 && a.k.error > 0 && isnan(a.k.limit));
            }
            risk_tally_free(&a.answer.tally);
        }
        ck_assert_int_le(beyond, SEEDS / 20);
        ck_assert_int_eq(unseen == SEEDS, p < 1e-4);
    }
}
END_TEST

/* The bridge network with q = 0.1 for each edge: unreliability 0.02152 = 269/12500, outer edges
 * 0.1062, middle 0.0162 (worked out exactly; the frontier method and brute force agree). Here an
 * edge that passes counts, so that 1 - p stands for q: R(0.9) = 0.97848. */
START_TEST(the_bridge_network)
{
    double weight[4] = {1, 0, 0, 0}, mass[4] = {0, 0, 0, 1};
    risk_edge edges[] = {
        {0, 1, 0, 0.9}, {0, 2, 1, 0.9}, {1, 2, 2, 0.9}, {1, 3, 3, 0.9}, {2, 3, 4, 0.9}};
    risk_model m = {.node_count = 4,
                    .weight = weight,
                    .mass = mass,
                    .along = mass,
                    .always = -1,
                    .total_weight = 1,
                    .edges = edges,
                    .edge_count = 5};
    answered a;
    answer_new(&a, &m);
    answer_sample(&a, &m, 1, 400000);
    ck_assert_double_lt(a.k.error, 0.0003);
    ck_assert_double_le(fabs(a.k.expected - 0.97848), 3 * a.k.error);
    for (int e = 0; e < 5; e++) {
        double wanted = e == 2 ? 0.0162 : 0.1062;
        ck_assert_double_gt(a.rows[e].risk_error, 0);
        ck_assert_double_lt(a.rows[e].risk_error, 0.001);
        ck_assert_double_le(fabs(a.rows[e].birnbaum - wanted), 3 * a.rows[e].risk_error / 0.9);
    }
    risk_tally_free(&a.answer.tally);
}
END_TEST

/* The same bits. */

static bool same_tally(const risk_tally *a, const risk_tally *b, size_t edges)
{
    return a->samples == b->samples && a->loss == b->loss && a->loss_squared == b->loss_squared &&
           a->control == b->control && a->control_squared == b->control_squared &&
           a->loss_control == b->loss_control &&
           (edges == 0 || memcmp(a->sums, b->sums, edges * sizeof *a->sums) == 0);
}

static void take(const risk_model *m, risk_range range, unsigned threads, risk_tally *t)
{
    ck_assert_int_eq(risk_sample(m, 77, 2, range, threads, t, NULL), COAMING_OK);
}

START_TEST(any_split_gives_the_same_bits)
{
    for (uint64_t seed = 0; seed < 12; seed++) {
        dice d = {seed + 300};
        risk_model m = plain_random_model(&d, (plain_wish){16, 20, true, 0.01, 0.7});
        size_t n = m.edge_count;
        uint64_t samples = 9 * RISK_BLOCK + 123;
        risk_tally whole, split;
        ck_assert(risk_tally_new(&whole, n));
        take(&m, (risk_range){0, 1, 10, samples}, 1, &whole);
        MUST(whole.samples == samples);
        static const struct {
            unsigned threads;
            uint64_t batch, shares;
        } ways[] = {{2, 10, 1}, {5, 10, 1}, {1, 1, 1}, {2, 3, 1}, {1, 10, 3}, {2, 10, 10}};
        for (size_t w = 0; w < sizeof ways / sizeof *ways; w++) {
            ck_assert(risk_tally_new(&split, n));
            for (uint64_t share = 0; share < ways[w].shares; share++)
                for (uint64_t at = 0; at < 10; at += ways[w].batch) {
                    uint64_t end = at + ways[w].batch < 10 ? at + ways[w].batch : 10;
                    take(&m, (risk_range){at + share, ways[w].shares, end, samples},
                         ways[w].threads, &split);
                }
            MUST(same_tally(&whole, &split, n));
            risk_tally_free(&split);
        }
        risk_tally_free(&whole);
        plain_model_free(&m);
    }
}
END_TEST

/* Ships. */

static coaming_risk *risk_of(const coaming_ship *ship, coaming_risk_options o,
                             const double *probabilities)
{
    coaming_risk *k = NULL;
    coaming_error error = {COAMING_OK, ""};
    coaming_status status = coaming_risk_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH,
                                             probabilities, &o, &k, &error);
    ck_assert_msg(status == COAMING_OK, "%s", error.message);
    return k;
}

static coaming_ship *random_ship(uint64_t number, int spaces, int links, double *probabilities)
{
    char *text = random_arrangement(number, spaces, links);
    coaming_ship *ship = NULL;
    dice d = {number};
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    free(text);
    for (size_t c = 0; c < ship->closure_count; c++)
        probabilities[c] = (double)dice_below(&d, 900) / 1000;
    return ship;
}

/* Four hazards' scenarios (water and air, from outside and inside) have a weight of 1 each, those
 * of a random ship at most 3 together. */
static double greatest_of(const coaming_ship *ship)
{
    double worth = 0;
    for (size_t i = 0; i < ship->space_count; i++)
        worth += ship->spaces[i].worth;
    return 4 * worth;
}

static void same_within_errors(const coaming_risk *exact, const coaming_risk *sampled,
                               const coaming_ship *ship, uint64_t seed)
{
    double scale = greatest_of(ship), n = (double)coaming_risk_sample_count(sampled);
    double e = coaming_risk_expected(exact);
    MUST(within_errors(coaming_risk_expected(sampled), e, coaming_risk_error(sampled), scale, n));
    MUST(coaming_risk_is_exact(exact) && !coaming_risk_is_exact(sampled));
    MUST(coaming_risk_error(exact) == 0);
    for (size_t c = 0; c < ship->closure_count; c++) {
        const coaming_risk_row *a = coaming_risk_get(exact, (int)c);
        const coaming_risk_row *b = coaming_risk_get(sampled, (int)c);
        MUST(a->closure == (int)c && b->closure == (int)c && a->probability == b->probability);
        MUST(a->risk_error == 0);
        MUST(within_errors(b->risk, a->risk, b->risk_error, scale, n));
        MUST(within_errors(b->fussell_vesely, a->fussell_vesely,
                           hypot(b->fussell_vesely_error, a->fussell_vesely_error),
                           e > 0 ? scale / e : 1, n));
    }
}

START_TEST(exact_and_sampled_answers_agree_on_ships)
{
    size_t compared = 0;
    for (uint64_t seed = 0; seed < 60; seed++) {
        double probabilities[20];
        coaming_ship *ship = random_ship(seed, 6, 10, probabilities);
        coaming_risk_options o = coaming_risk_options_default();
        o.samples = 40000;
        coaming_risk *exact = risk_of(ship, o, probabilities);
        o.method = COAMING_RISK_SAMPLED;
        coaming_risk *sampled = risk_of(ship, o, probabilities);
        same_within_errors(exact, sampled, ship, seed);
        MUST(coaming_risk_sample_count(sampled) == 40000);
        compared += coaming_risk_expected(exact) > 0;
        coaming_risk_free(exact);
        coaming_risk_free(sampled);
        coaming_ship_free(ship);
    }
    ck_assert_uint_gt(compared, 30);
}
END_TEST

/* Without room for tables AUTO samples, and EXACT says that it cannot. */
START_TEST(memory_decides_between_the_methods)
{
    double probabilities[20];
    coaming_ship *ship = random_ship(3, 6, 10, probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    o.memory = 0;
    coaming_risk *k = risk_of(ship, o, probabilities);
    ck_assert(!coaming_risk_is_exact(k));
    ck_assert_uint_ge(coaming_risk_sample_count(k), 4096);
    coaming_risk_free(k);
    o.method = COAMING_RISK_EXACT;
    coaming_error error;
    ck_assert_int_eq(coaming_risk_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH,
                                      probabilities, &o, &k, &error),
                     COAMING_USAGE);
    coaming_ship_free(ship);
}
END_TEST

/* Of spaces and closures as text, which is freed. */
static coaming_ship *ship_of(char *parts)
{
    char *text = arrangement_with(parts);
    coaming_ship *ship = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    free(text);
    free(parts);
    return ship;
}

/* A ship with more uncertain closures than are enumerated: a ring of 8 spaces with chords, the sea
 * at every other one. */
static coaming_ship *ring_ship(double *probabilities)
{
    enum { SPACES = 8 };
    char *parts = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&parts, &size);
    ck_assert_ptr_nonnull(out);
    for (int i = 0; i < SPACES; i++)
        fprintf(out,
                "<space id=\"s%d\" name=\"S%d\" worth=\"%d\"%s><box x=\"%d %d\" y=\"0 1\" z=\"0 "
                "3\"/></space>",
                i, i, 1 + i * i % 7, i % 3 ? "" : " shell=\"yes\"", i, i + 1);
    for (int i = 0; i < 2 * SPACES + SPACES / 2; i++) {
        int from = i % SPACES, to = (from + (i < SPACES ? 1 : 3)) % SPACES;
        fprintf(out, "<closure id=\"c%d\" kind=\"door\" rating=\"watertight\" between=\"s%d ", i,
                i < 2 * SPACES ? from : 2 * from);
        fprintf(out, i < 2 * SPACES ? "s%d" : "sea", to);
        fputs("\"><clear x=\"1\" y=\"0\" z=\"1\" width=\"0.6\" height=\"1\" "
              "lies=\"deck\"/></closure>",
              out);
        probabilities[i] = 0.05 + 0.3 * (i % 5) / 4;
    }
    fclose(out);
    return ship_of(parts);
}

/* Six abreast, each space with a door forward and one to port. */
static coaming_ship *long_ship(int length)
{
    enum { ABREAST = 6 };
    char *parts = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&parts, &size);
    ck_assert_ptr_nonnull(out);
    for (int i = 0; i < length * ABREAST; i++)
        fprintf(out,
                "<space id=\"s%d\" name=\"S%d\" worth=\"1\"><box x=\"%g %g\" y=\"%d %d\" "
                "z=\"0 3\"/></space>",
                i, i, 0.05 * (i / ABREAST), 0.05 * (i / ABREAST + 1), i % ABREAST, i % ABREAST + 1);
    for (int i = 0; i < 2 * length * ABREAST; i++) {
        int from = i / 2, to = i % 2 ? from + ABREAST : from + 1;
        if (to < length * ABREAST && (i % 2 || to % ABREAST))
            fprintf(out,
                    "<closure id=\"c%d\" kind=\"door\" rating=\"watertight\" "
                    "between=\"s%d s%d\"><clear x=\"1\" y=\"0\" z=\"1\" width=\"0.6\" "
                    "height=\"1\" lies=\"transverse\"/></closure>",
                    i, from, to);
    }
    fclose(out);
    return ship_of(parts);
}

/* What is kept of a ship ten times as long is three times as much (exact.c), so it is not memory
 * that is short. */
START_TEST(work_decides_between_the_methods)
{
    static const struct {
        int length;
        size_t memory;
        bool exact;
    } cases[] = {{40, (size_t)4 << 20, true}, {400, (size_t)64 << 20, false}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        coaming_ship *ship = long_ship(cases[i].length);
        double *probabilities = calloc(ship->closure_count, sizeof *probabilities);
        coaming_risk_options o = coaming_risk_options_default();
        ck_assert_ptr_nonnull(probabilities);
        for (size_t c = 0; c < ship->closure_count; c++)
            probabilities[c] = 0.1;
        o.memory = cases[i].memory;
        o.samples = 100;
        o.loss_only = true;
        coaming_risk *k = risk_of(ship, o, probabilities);
        ck_assert_msg(coaming_risk_is_exact(k) == cases[i].exact, "case %zu", i);
        coaming_risk_free(k);
        coaming_ship_free(ship);
        free(probabilities);
    }
}
END_TEST

static void goes_on(const coaming_ship *ship, const double *probabilities,
                    coaming_risk_method method, double within, uint64_t seed)
{
    coaming_risk_options o = coaming_risk_options_default();
    o.method = method;
    o.within = within;
    coaming_risk *k = risk_of(ship, o, probabilities);
    MUST(!(coaming_risk_error(k) > within * coaming_risk_expected(k)));
    double least = 0; /* the tenth risk from the top */
    for (size_t c = 0; c < ship->closure_count; c++) {
        double risk = coaming_risk_get(k, (int)c)->risk;
        size_t greater = 0;
        for (size_t b = 0; b < ship->closure_count; b++)
            greater += coaming_risk_get(k, (int)b)->risk > risk;
        if (greater == 9)
            least = risk;
    }
    for (size_t c = 0; c < ship->closure_count; c++) {
        const coaming_risk_row *r = coaming_risk_get(k, (int)c);
        if (r->risk > least)
            MUST(!(r->risk_error > within * r->risk) && /* NaN: never seen to vary */
                 !(r->fussell_vesely_error > within * r->fussell_vesely));
    }
    coaming_risk_free(k);
}

START_TEST(it_goes_on_until_the_errors_are_small)
{
    double probabilities[20];
    for (uint64_t seed = 0; seed < 10; seed++) {
        coaming_ship *ship = random_ship(seed + 50, 8, 20, probabilities);
        goes_on(ship, probabilities, COAMING_RISK_SAMPLED, 0.02, seed);
        coaming_ship_free(ship);
    }
    coaming_ship *ring = ring_ship(probabilities);
    goes_on(ring, probabilities, COAMING_RISK_SAMPLED, 0.005, 0);
    goes_on(ring, probabilities, COAMING_RISK_AUTO, 0.001, 0);
    coaming_ship_free(ring);
}
END_TEST

/* Doors that nothing keeps shut, between two spaces that a duct joins as well: none is in a model, and each
 * passes for sure, whichever hazard alone is asked for. */
START_TEST(what_passes_for_sure_is_told_so)
{
#define SIDE(id, x)                                                                                \
    "<space id=\"" id "\" name=\"S\" shell=\"yes\"><box x=\"" x "\" y=\"0 5\" z=\"0 3\"/></space>"
#define CLEAR "<clear x=\"5\" y=\"2\" z=\"1\" width=\"0.6\" height=\"1\" lies=\"transverse\"/>"
#define OPEN(id)                                                                                   \
    "<closure id=\"" id "\" kind=\"door\" rating=\"nontight\" between=\"a b\">" CLEAR "</closure>"
    char *text = arrangement_with(SIDE("a", "0 5") SIDE("b", "5 10") OPEN("first") OPEN(
        "last") "<passage id=\"p\" kind=\"duct\" between=\"a b\">" CLEAR "</passage>");
    const double given[2] = {0.25, 0.25};
    coaming_ship *ship = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        coaming_query query = coaming_query_default();
        coaming_risk *k = NULL;
        query.hazard[1 - h] = false;
        ck_assert_int_eq(
            coaming_risk_new(ship, query, COAMING_MEASURE_WORTH, given, NULL, &k, NULL),
            COAMING_OK);
        for (int c = 0; c < 2; c++)
            ck_assert_double_eq(coaming_risk_get(k, c)->probability, 1);
        coaming_risk_free(k);
    }
    coaming_ship_free(ship);
    free(text);
}
END_TEST

/* The bound of work comes before the wanted error; without one only the error counts. */
START_TEST(it_stops_when_enough_was_done)
{
    double probabilities[20];
    coaming_ship *ring = ring_ship(probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    o.method = COAMING_RISK_SAMPLED;
    o.within = 0.002;
    o.sampling = 1;
    coaming_risk *k = risk_of(ring, o, probabilities);
    ck_assert_uint_eq(coaming_risk_sample_count(k), RISK_ALLOTTED * RISK_BLOCK);
    ck_assert_double_gt(coaming_risk_error(k), o.within * coaming_risk_expected(k));
    coaming_risk_free(k);
    o.sampling = 0;
    k = risk_of(ring, o, probabilities);
    ck_assert_uint_gt(coaming_risk_sample_count(k), RISK_ALLOTTED * RISK_BLOCK);
    ck_assert_double_le(coaming_risk_error(k), o.within * coaming_risk_expected(k));
    coaming_risk_free(k);
    coaming_ship_free(ring);
}
END_TEST

/* Of so many bytes that one hazard's tables fit and the other's do not, one is exact and the other is
 * sampled; together they are what both are exactly. */
START_TEST(one_hazard_exact_and_one_sampled)
{
    double probabilities[20];
    coaming_ship *ring = ring_ship(probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    o.loss_only = true;
    o.within = 0.002;
    coaming_risk *exact = risk_of(ring, o, probabilities), *k = NULL;
    ck_assert(coaming_risk_is_exact(exact));
    size_t all = 0, some = 0;
    for (o.memory = 0; o.memory < (size_t)1 << 20; o.memory += o.memory / 3 + 1000) {
        k = risk_of(ring, o, probabilities);
        some = coaming_risk_get_part(k).sum_count;
        all = some > all ? some : all;
        if (some < all)
            break;
        coaming_risk_free(k);
    }
    ck_assert(0 < some && some < all && !coaming_risk_is_exact(k));
    ck_assert_double_gt(coaming_risk_error(k), 0);
    ck_assert_double_le(coaming_risk_error(k), o.within * coaming_risk_expected(k));
    ck_assert_double_eq_tol(coaming_risk_expected(k), coaming_risk_expected(exact),
                            5 * coaming_risk_error(k));
    coaming_risk_free(k);
    coaming_risk_free(exact);
    coaming_ship_free(ring);
}
END_TEST

/* All but the Fussell-Vesely measures is exact then. */
START_TEST(ways_are_sampled_where_there_are_too_many_states)
{
    double probabilities[20];
    coaming_ship *ring = ring_ship(probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    o.samples = 50000;
    coaming_risk *exact = risk_of(ring, o, probabilities);
    o.method = COAMING_RISK_SAMPLED;
    o.seed = 2;
    coaming_risk *sampled = risk_of(ring, o, probabilities);
    ck_assert_uint_eq(coaming_risk_sample_count(exact), 50000);
    for (size_t c = 0; c < ring->closure_count; c++)
        ck_assert_double_gt(coaming_risk_get(exact, (int)c)->fussell_vesely_error, 0);
    same_within_errors(exact, sampled, ring, 0);
    coaming_risk_free(exact);
    coaming_risk_free(sampled);
    coaming_ship_free(ring);
}
END_TEST

static bool same_risk(const coaming_risk *a, const coaming_risk *b, size_t closures)
{
    double ea = coaming_risk_expected(a), eb = coaming_risk_expected(b);
    double ra = coaming_risk_error(a), rb = coaming_risk_error(b);
    return memcmp(&ea, &eb, sizeof ea) == 0 && memcmp(&ra, &rb, sizeof ra) == 0 &&
           coaming_risk_sample_count(a) == coaming_risk_sample_count(b) &&
           memcmp(a->rows, b->rows, closures * sizeof *a->rows) == 0;
}

static coaming_status join(const coaming_ship *ship, const double *probabilities,
                           const coaming_risk_options *o, const coaming_risk_part *parts,
                           size_t count, coaming_risk **k, coaming_error *error)
{
    return coaming_risk_new_from_parts(ship, coaming_query_default(), COAMING_MEASURE_WORTH,
                                       probabilities, o, parts, count, k, error);
}

START_TEST(shares_put_together_are_one_run)
{
    for (uint64_t seed = 0; seed < 6; seed++) {
        double probabilities[40];
        coaming_ship *ship =
            seed % 2 ? random_ship(seed + 11, 10, 30, probabilities) : ring_ship(probabilities);
        coaming_risk_options o = coaming_risk_options_default();
        o.seed = 5 + seed;
        o.method = seed % 2 ? COAMING_RISK_SAMPLED : COAMING_RISK_AUTO;
        /* the last block is of one sample, of the second ship the last share too */
        o.samples = seed < 2 ? (4 - 2 * seed) * RISK_BLOCK + 1 : 5000;
        coaming_risk *whole = risk_of(ship, o, probabilities), *shares[3], *joined = NULL;
        coaming_risk_part parts[3];
        o.shares = 3;
        for (unsigned i = 0; i < 3; i++) {
            o.share = 3 - i;
            shares[i] = risk_of(ship, o, probabilities);
            parts[i] = coaming_risk_get_part(shares[i]);
            MUST(parts[i].digest == coaming_risk_digest(whole));
            MUST(parts[i].sum_count > 0);
            MUST(o.samples != 2 * RISK_BLOCK + 1 || i > 0 ||
                 !isfinite(coaming_risk_error(shares[0]))); /* one sample tells of no error */
        }
        ck_assert_int_eq(join(ship, probabilities, &o, parts, 3, &joined, NULL), COAMING_OK);
        MUST(same_risk(whole, joined, ship->closure_count));
        coaming_risk_part a = coaming_risk_get_part(whole), b = coaming_risk_get_part(joined);
        MUST(a.samples == b.samples && a.share == 1 && b.share == 1 && a.shares == b.shares);
        MUST(a.sum_count == b.sum_count &&
             memcmp(a.sums, b.sums, a.sum_count * sizeof *a.sums) == 0);
        coaming_risk_free(joined);
        for (unsigned i = 0; i < 3; i++)
            coaming_risk_free(shares[i]);
        coaming_risk_free(whole);
        coaming_ship_free(ship);
    }
}
END_TEST

/* Place in the sums of how many samples a model had. */
static size_t count_place(const coaming_ship *ship, const double *probabilities, size_t model)
{
    risk_model *models = NULL;
    size_t count = 0, at = 0;
    ck_assert_int_eq(risk_models_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH,
                                     probabilities, &models, &count, NULL),
                     COAMING_OK);
    ck_assert_uint_ge(count, 2);
    for (size_t i = 0; i < model; i++)
        at += 6 + 6 * models[i].edge_count;
    risk_models_free(models, count);
    return at;
}

/* Of two models, the second is hardly uncertain: the sea comes in where it will, but what leaks
 * within the ship does so or not. That a whole answer had not as many samples of each does not keep
 * it from being read as a part, unless they are no whole blocks. */
START_TEST(models_are_sampled_as_the_errors_ask)
{
    double probabilities[20];
    coaming_ship *ship = ring_ship(probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    coaming_risk *joined = NULL;
    o.method = COAMING_RISK_SAMPLED;
    o.within = 0.004;
    for (size_t c = 0; c < 16; c++)
        probabilities[c] = 0.02 * (double)(c % 2);
    coaming_risk *whole = risk_of(ship, o, probabilities);
    coaming_risk_part part = coaming_risk_get_part(whole);
    uint64_t first = part.sums[0].low;
    uint64_t second = part.sums[count_place(ship, probabilities, 1)].low;
    ck_assert_uint_ne(first, second);
    ck_assert_uint_ge(first < second ? first : second, 4096);
    ck_assert_uint_eq(first > second ? first : second, coaming_risk_sample_count(whole));
    ck_assert_int_eq(join(ship, probabilities, &o, &part, 1, &joined, NULL), COAMING_OK);
    ck_assert(same_risk(whole, joined, ship->closure_count));
    coaming_risk_free(joined);
    coaming_risk_sum *bent = calloc(part.sum_count, sizeof *bent);
    ck_assert_ptr_nonnull(bent);
    memcpy(bent, part.sums, part.sum_count * sizeof *bent);
    part.sums = bent;
    coaming_risk_sum *fewer = &bent[first < second ? 0 : count_place(ship, probabilities, 1)];
    const uint64_t had = fewer->low, wrong[] = {had - 1, 0, part.samples + RISK_BLOCK};
    for (int i = 0; i < 3; i++) {
        fewer->low = wrong[i];
        ck_assert_int_eq(join(ship, probabilities, &o, &part, 1, &joined, NULL), COAMING_INPUT);
    }
    free(bent);
    coaming_risk_free(whole);
    coaming_ship_free(ship);
}
END_TEST

/* Which parts do not go together, and that it is said why. */
START_TEST(parts_that_do_not_fit_are_refused)
{
    double probabilities[40];
    coaming_ship *ship = random_ship(12, 10, 30, probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    o.method = COAMING_RISK_SAMPLED;
    o.samples = 3000;
    o.shares = 2;
    coaming_risk *one = risk_of(ship, o, probabilities), *joined = NULL;
    o.share = 2;
    coaming_risk *two = risk_of(ship, o, probabilities);
    coaming_risk_part good[2] = {coaming_risk_get_part(one), coaming_risk_get_part(two)};
    static coaming_risk_sum bent[100000];
    ck_assert_uint_gt(good[0].sum_count, 8);
    ck_assert_uint_le(good[0].sum_count, 100000);
    for (int fault = 0; fault < 21; fault++) {
        coaming_risk_part p[2] = {good[0], good[1]};
        size_t count = 2;
        coaming_error error = {COAMING_OK, ""};
        const char *said = "";
        memcpy(bent, good[1].sums, good[1].sum_count * sizeof *bent);
        switch (fault) {
        case 0:
            p[1].digest ^= 1, said = "another ship";
            break;
        case 1:
            p[1].seed++, said = "seed";
            break;
        case 2:
            p[1].samples++, said = "samples";
            break;
        case 3:
            p[1].shares++, said = "shares";
            break;
        case 4:
            p[1].share = 1, said = "part 2: is share 1 of 2, and so is part 1";
            break;
        case 5:
            count = 1, said = "missing; the first is 2/2";
            break;
        case 6:
            p[1].share = 3, said = "damaged";
            break;
        case 7:
            p[1].sum_count--, said = "damaged";
            break;
        case 8:
            bent[0].low++, p[1].sums = bent, said = "damaged";
            break;
        case 9:
            bent[2].high = INT64_MAX, p[1].sums = bent, said = "damaged";
            break;
        case 10: /* as many samples as overflow what they may sum to */
            bent[0].high = INT64_MAX, p[1].sums = bent, said = "damaged";
            break;
        case 11:
            bent[0].high = INT64_MIN, p[1].sums = bent, said = "damaged";
            break;
        case 12: /* a square below nothing */
            bent[2] = (coaming_risk_sum){-1, 0}, p[1].sums = bent, said = "damaged";
            break;
        case 13: /* a sum that no values of such squares have */
            bent[3].high += 1 << 20, p[1].sums = bent, said = "damaged";
            break;
        case 14:
            bent[1] = (coaming_risk_sum){INT64_MIN, 0}, p[1].sums = bent, said = "damaged";
            break;
        case 15: /* the same of what an edge does, and of the ways through it */
            bent[6].high += 1 << 20, p[1].sums = bent, said = "damaged";
            break;
        case 16:
            bent[8].high += 1 << 20, p[1].sums = bent, said = "damaged";
            break;
        case 17:
            p[0].shares = 0, count = 1, said = "damaged";
            break;
        case 18:
            p[0].share = 0, count = 1, said = "damaged";
            break;
        case 19:
            p[0].samples = COAMING_RISK_SAMPLES_LEAST - 1, count = 1, said = "damaged";
            break;
        case 20:
            p[0].samples = COAMING_RISK_SAMPLES_MOST + 1, count = 1, said = "damaged";
            break;
        }
        ck_assert_int_eq(join(ship, probabilities, &o, p, count, &joined, &error), COAMING_INPUT);
        ck_assert_msg(strstr(error.message, said), "%d: %s", fault, error.message);
    }
    /* how they were made is in them */
    ck_assert_int_eq(join(ship, probabilities, NULL, good, 2, &joined, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_risk_sample_count(joined), 3000);
    coaming_risk_free(joined);
    joined = NULL;
    coaming_query none = coaming_query_default();
    none.hazard[COAMING_WATER] = none.hazard[COAMING_AIR] = false;
    ck_assert_int_eq(coaming_risk_new_from_parts(ship, none, COAMING_MEASURE_WORTH, probabilities,
                                                 NULL, good, 2, &joined, NULL),
                     COAMING_USAGE);
    /* the same parts asked about other probabilities */
    for (size_t c = 0; c < ship->closure_count; c++)
        probabilities[c] = 0.5;
    ck_assert_int_eq(join(ship, probabilities, &o, good, 2, &joined, NULL), COAMING_INPUT);
    ck_assert_int_eq(join(ship, probabilities, &o, NULL, 0, &joined, NULL), COAMING_USAGE);
    ck_assert_ptr_null(joined);
    coaming_risk_free(one);
    coaming_risk_free(two);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(sums_are_written_and_read)
{
    static const struct {
        coaming_risk_sum sum;
        const char *text;
    } good[] = {{{0, 0}, "0"},
                {{0, 255}, "ff"},
                {{-1, UINT64_MAX}, "-1"},
                {{1, 0}, "10000000000000000"},
                {{-1, 0}, "-10000000000000000"},
                {{INT64_MAX, UINT64_MAX}, "7fffffffffffffffffffffffffffffff"},
                {{-5, 3}, "-4fffffffffffffffd"}};
    static const char *const bad[] = {"",
                                      "-",
                                      "g",
                                      "1 ",
                                      "--1",
                                      "FF",
                                      "+1",
                                      "0x1",
                                      "80000000000000000000000000000000",
                                      "000000000000000000000000000000001"};
    char text[COAMING_RISK_SUM_TEXT];
    coaming_risk_sum sum;
    for (size_t i = 0; i < sizeof good / sizeof *good; i++) {
        ck_assert_str_eq(coaming_risk_sum_format(good[i].sum, text), good[i].text);
        ck_assert(coaming_risk_sum_parse(text, &sum));
        ck_assert_int_eq(sum.high, good[i].sum.high);
        ck_assert_uint_eq(sum.low, good[i].sum.low);
    }
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        ck_assert_msg(!coaming_risk_sum_parse(bad[i], &sum), "%s", bad[i]);
}
END_TEST

/* Of few uncertain closures all states are gone through: shares of the loss have no error either. */
START_TEST(few_uncertain_closures_are_not_sampled)
{
    double probabilities[20];
    coaming_ship *ship = random_ship(3, 6, 10, probabilities);
    coaming_risk *k = risk_of(ship, coaming_risk_options_default(), probabilities);
    double most = 0;
    for (size_t c = 0; c < ship->closure_count; c++) {
        ck_assert_double_eq(coaming_risk_get(k, (int)c)->fussell_vesely_error, 0);
        most = fmax(most, coaming_risk_get(k, (int)c)->fussell_vesely);
    }
    ck_assert_double_gt(most, 0.1);
    coaming_risk_free(k);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(what_makes_no_sense_is_refused)
{
    double probabilities[20];
    coaming_ship *ship = random_ship(3, 6, 10, probabilities);
    for (int fault = 0; fault < 14; fault++) {
        coaming_risk_options o = coaming_risk_options_default();
        coaming_query q = coaming_query_default();
        coaming_measure measure = COAMING_MEASURE_WORTH;
        double given[20];
        coaming_risk *k = NULL;
        coaming_error error = {COAMING_OK, ""};
        memcpy(given, probabilities, sizeof given);
        switch (fault) {
        case 0:
            o.within = NAN;
            break;
        case 1:
            o.within = -0.1;
            break;
        case 2:
            o.within = 0;
            break;
        case 3:
            o.samples = COAMING_RISK_SAMPLES_MOST + 1;
            break;
        case 4:
            o.samples = 99;
            break;
        case 5:
            o.share = 0;
            break;
        case 6:
            o.shares = 0;
            break;
        case 7:
            o.share = 2;
            break;
        case 8:
            o.shares = 2;
            break;
        case 9:
            o.shares = 4, o.samples = 3000;
            break;
        case 10:
            given[0] = NAN;
            break;
        case 11:
            given[1] = 1.01;
            break;
        case 12:
            q.hazard[0] = q.hazard[1] = false;
            break;
        case 13:
            measure = COAMING_MEASURE_GM;
            break;
        }
        ck_assert_msg(coaming_risk_new(ship, q, measure, given, &o, &k, &error) == COAMING_USAGE,
                      "fault %d", fault);
        ck_assert_int_eq(error.status, COAMING_USAGE);
        ck_assert_uint_gt(strlen(error.message), 10);
        ck_assert(fault != 8 || strstr(error.message, "needs the number of all samples"));
        ck_assert_ptr_null(k);
    }
    coaming_risk_options o = coaming_risk_options_default();
    o.within = 0; /* of no account with a number of samples */
    o.samples = 1000;
    coaming_risk_free(risk_of(ship, o, probabilities));
    coaming_ship_free(ship);
}
END_TEST

/* Nothing uncertain, nothing at all, and a ship of which nothing can leak. */
START_TEST(nothing_to_sample)
{
    double none = 0, mass = 2, weight = 3;
    risk_model empty = {
        .node_count = 0, .weight = &none, .mass = &none, .along = &none, .always = -1};
    risk_model one = {.node_count = 1,
                      .weight = &weight,
                      .mass = &mass,
                      .along = &none,
                      .always = -1,
                      .total_weight = 3};
    answered a;
    answer_new(&a, &empty);
    answer_sample(&a, &empty, 1, 2000);
    ck_assert_double_eq(a.k.expected, 0);
    ck_assert(isnan(a.k.error) && a.k.limit == 0);
    risk_tally_free(&a.answer.tally);
    answer_new(&a, &one);
    answer_sample(&a, &one, 1, 2000);
    ck_assert_double_eq(a.k.expected, 6);
    ck_assert(isnan(a.k.error) && a.k.limit == 6);
    risk_tally_free(&a.answer.tally);

    double probabilities[20];
    coaming_ship *ship = random_ship(5, 6, 12, probabilities);
    memset(probabilities, 0, sizeof probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    coaming_risk *exact = risk_of(ship, o, probabilities);
    o.method = COAMING_RISK_SAMPLED;
    coaming_risk *sampled = risk_of(ship, o, probabilities);
    double e = coaming_risk_expected(exact);
    ck_assert_double_eq_tol(coaming_risk_expected(sampled), e, 1e-12 * (1 + e));
    ck_assert(isnan(coaming_risk_error(sampled)));
    ck_assert_double_eq_tol(coaming_risk_limit(sampled), e, 1e-12 * (1 + e));
    for (size_t c = 0; c < ship->closure_count; c++)
        ck_assert_double_eq_tol(coaming_risk_get(sampled, (int)c)->birnbaum,
                                coaming_risk_get(exact, (int)c)->birnbaum, 1e-12 * (1 + e));
    coaming_risk_free(exact);
    coaming_risk_free(sampled);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(out_of_memory_is_told)
{
    double probabilities[40];
    coaming_ship *ship = random_ship(12, 10, 30, probabilities);
    coaming_risk_options o = coaming_risk_options_default();
    o.samples = 2000;
    o.memory = 0; /* AUTO, and then samples */
    coaming_risk *k = risk_of(ship, o, NULL);
    coaming_risk_part part = coaming_risk_get_part(k);
    size_t all[2];
    for (int way = 0; way < 2; way++) {
        all[way] = 1;
        for (size_t n = 0; n <= all[way]; n++) {
            coaming_risk *made = NULL;
            coaming_error error;
            memory_fail_at(n);
            coaming_status status =
                way ? join(ship, NULL, &o, &part, 1, &made, &error)
                    : coaming_risk_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, NULL,
                                       &o, &made, &error);
            if (n == 0)
                all[way] = memory_asked();
            ck_assert_msg(status == (n == 0 ? COAMING_OK : COAMING_MEMORY), "allocation %zu of %zu",
                          n, all[way]);
            coaming_risk_free(made);
        }
        ck_assert_uint_gt(all[way], 30);
    }
    memory_fail_at(0);
    coaming_risk_free(k);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("sampled");
    TCase *all = tcase_create("all");
    tcase_add_test(all, each_sample_is_what_the_definitions_say);
    tcase_add_test(all, edges_pass_as_often_as_they_should);
    tcase_add_test(all, a_closure_keeps_its_draws_when_others_change);
    tcase_add_test(all, estimates_agree_with_all_states);
    tcase_add_test(all, intervals_cover_as_often_as_they_say);
    tcase_add_test(all, errors_are_neither_too_small_nor_too_large);
    tcase_add_test(all, what_is_rare_counts_by_its_own_effect);
    tcase_add_test(all, what_two_leak_together_is_not_missed);
    tcase_add_test(all, what_was_never_seen_has_a_limit);
    tcase_add_test(all, the_bridge_network);
    tcase_add_test(all, any_split_gives_the_same_bits);
    tcase_add_test(all, exact_and_sampled_answers_agree_on_ships);
    tcase_add_test(all, memory_decides_between_the_methods);
    tcase_add_test(all, work_decides_between_the_methods);
    tcase_add_test(all, it_goes_on_until_the_errors_are_small);
    tcase_add_test(all, what_passes_for_sure_is_told_so);
    tcase_add_test(all, it_stops_when_enough_was_done);
    tcase_add_test(all, one_hazard_exact_and_one_sampled);
    tcase_add_test(all, ways_are_sampled_where_there_are_too_many_states);
    tcase_add_test(all, shares_put_together_are_one_run);
    tcase_add_test(all, models_are_sampled_as_the_errors_ask);
    tcase_add_test(all, parts_that_do_not_fit_are_refused);
    tcase_add_test(all, sums_are_written_and_read);
    tcase_add_test(all, few_uncertain_closures_are_not_sampled);
    tcase_add_test(all, what_makes_no_sense_is_refused);
    tcase_add_test(all, nothing_to_sample);
    tcase_add_test(all, out_of_memory_is_told);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
