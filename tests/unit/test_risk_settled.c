/*
 * Risk of water at equilibrium against every state of the closures by itself (uncertain.h): expected
 * loss and measures of each closure by their definitions, exact; sampled within limits and standard
 * errors; by shares, threads and seeds; against the settled ranking and the branches of survival.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/risk/risk.h"
#include "analyse/survival/branches.h"
#include "coaming/coaming.h"
#include "runner.h"
#include "ship/state.h"
#include "ships.h"
#include "starved.h"
#include "uncertain.h"

enum { SHIPS = 120, FEW = 20, SCENARIOS = 4 };

static int number_of_ship;

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

/* The third of them is no place of its own: the same water as the first. */
static const double weights[SCENARIOS] = {0.75, 0.5, 0.25, 1.5};
static const char scenarios[] = "<scenario hazard=\"water\" source=\"sea\" weight=\"0.75\"/>"
                                "<scenario hazard=\"water\" source=\"s0\" weight=\"0.5\"/>"
                                "<scenario hazard=\"water\" source=\"sea\" weight=\"0.25\"/>"
                                "<scenario hazard=\"water\" source=\"s1\" weight=\"1.5\"/>";

static bool alike(double a, double b, double scale)
{
    return fabs(a - b) <= 1e-9 * scale;
}

/* --- the truth --- */

typedef struct {
    double expected, all, leaks[MOST_UNCERTAIN], holds[MOST_UNCERTAIN];
} weighted;

/* Over the scenarios of `scenarios`, of what all spaces lose `all`. */
static void weigh(question *q, value v, rest *rests, weighted *w)
{
    truth t;
    *w = (weighted){0};
    for (size_t i = 0; i < q->ship->space_count; i++)
        w->all += 3 * (v == OF_WORTH ? q->ship->spaces[i].worth : q->ship->spaces[i].volume);
    for (int i = 0; i < SCENARIOS; i++) {
        int opened = i / 2;
        q->opened_count = (size_t)i % 2;
        q->opened = &opened;
        enumerate_states(q, rests, &t);
        w->expected += weights[i] * t.expected[v];
        for (int c = 0; c < q->count; c++) {
            w->leaks[c] += weights[i] * t.leaks[v][c];
            w->holds[c] += weights[i] * t.holds[v][c];
        }
    }
}

/* --- exact --- */

static void check_row(const question *q, const weighted *w, const coaming_risk_row *row, int i)
{
    double p = q->leaks[q->uncertain[i]], e = w->expected, all = w->all;
    double turn = w->leaks[i] - w->holds[i];
    MUST(row->probability == p);
    MUST(row->risk_error == 0 && isnan(row->risk_limit));
    MUST(alike(row->risk, p * turn, all) && row->repair_gain == row->risk);
    MUST(alike(row->birnbaum, turn, all / p));
    if (e <= 0)
        return;
    MUST(alike(row->criticality, p * turn / e, all / e));
    MUST(alike(row->achievement, w->leaks[i] / e, all / e / p));
    MUST(isnan(row->fussell_vesely));
    if (w->holds[i] > 1e-6 * all)
        MUST(alike(row->reduction, e / w->holds[i], all / w->holds[i] * e / w->holds[i]));
}

static void check_exact(const question *q, const weighted *w, const coaming_risk *k)
{
    double low, high;
    MUST(coaming_risk_is_exact(k));
    MUST(alike(coaming_risk_expected(k), w->expected, w->all));
    MUST(coaming_risk_error(k) == 0 && coaming_risk_bounds(k, &low, &high));
    MUST(alike(low, w->expected, w->all) && alike(high, w->expected, w->all));
    for (int i = 0; i < q->count; i++)
        check_row(q, w, coaming_risk_get(k, q->uncertain[i]), i);
    for (int c = 0; c < (int)q->ship->closure_count; c++)
        if (as_built(q, c)) {
            const coaming_risk_row *row = coaming_risk_get(k, c);
            MUST(row->probability == 1 && row->repair_gain == 0);
            MUST(isnan(row->risk) && isnan(row->risk_error));
            MUST(w->expected <= 0 || row->achievement == 1);
        }
}

/* --- sampled --- */

static struct {
    int ships, cases, far, rows, rows_far, never, never_wrong, uncertain, unseen;
    double squares, off, row_squares, row_errors, row_off;
} seen;

static void look_at_row(const question *q, const weighted *w, const coaming_risk_row *row, int i)
{
    double p = q->leaks[q->uncertain[i]], risk = p * (w->leaks[i] - w->holds[i]);
    double off = (row->risk - risk) / w->all;
    seen.row_off += off;
    seen.rows++;
    if (isnan(row->risk_error)) {
        seen.never++;
        seen.never_wrong += risk > row->risk_limit + 1e-9 * w->all;
        return;
    }
    double error = row->risk_error / w->all + 1e-6;
    seen.row_squares += off * off; /* one that is rare may have a small error by chance */
    seen.row_errors += error * error;
    seen.rows_far += fabs(off) > 4 * error;
}

static void check_sampled(const question *q, const weighted *w, const coaming_risk *k)
{
    double low, high, error = coaming_risk_error(k);
    MUST(coaming_risk_bounds(k, &low, &high));
    MUST(low <= w->expected + 1e-9 * w->all && high >= w->expected - 1e-9 * w->all);
    MUST(coaming_risk_expected(k) >= low && coaming_risk_expected(k) <= high);
    if (coaming_risk_is_exact(k))
        return;
    MUST(coaming_risk_sample_count(k) > 0);
    double off = coaming_risk_expected(k) - w->expected;
    seen.cases++;
    seen.off += off / w->all;
    if (isnan(error)) { /* the same in all samples */
        MUST(w->expected <= coaming_risk_limit(k) + 1e-9 * w->all);
        seen.unseen++;
    } else {
        seen.squares += off * off / error / error;
        seen.far += fabs(off) > 4 * error;
    }
    for (int i = 0; i < q->count; i++)
        look_at_row(q, w, coaming_risk_get(k, q->uncertain[i]), i);
}

/* --- all that is asked of a ship --- */

static coaming_risk *ask(const question *q, coaming_measure measure,
                         const coaming_risk_options *options)
{
    coaming_risk *k = NULL;
    coaming_error error = {0};
    coaming_status status =
        coaming_risk_new(q->ship, at_equilibrium(), measure, NULL, options, &k, &error);
    CLAIM(status == COAMING_OK, "ship %d: %s", number_of_ship, error.message);
    return k;
}

static void ask_all(question *q, coaming_measure measure, value v, rest *rests)
{
    weighted w;
    weigh(q, v, rests, &w);
    coaming_risk_options o = coaming_risk_options_default();
    coaming_risk *k = ask(q, measure, NULL);
    check_exact(q, &w, k);
    coaming_risk_free(k);
    seen.uncertain += q->count;
    for (int more = 0; more < 3; more++) {
        o.settlings = 8;
        o.samples = 400;
        o.seed = 1 + (uint64_t)more;
        o.method = more == 2 ? COAMING_RISK_SAMPLED : COAMING_RISK_AUTO;
        k = ask(q, measure, &o);
        check_sampled(q, &w, k);
        coaming_risk_free(k);
    }
}

/* Without a flotation she does not float by herself. */
static coaming_ship *make_ship(int number, const char *more, question *q)
{
    coaming_ship *ship = random_uncertain_ship(number, more);
    number_of_ship = number;
    *q = (question){.ship = ship};
    if (coaming_flotation_new(ship, COAMING_NO_LOADING, &q->flotation, NULL) != COAMING_OK)
        return ship;
    coaming_likelihood_all(ship, q->leaks);
    list_uncertain(q);
    return ship;
}

static void free_ship(coaming_ship *ship, question *q)
{
    coaming_flotation_free(q->flotation);
    coaming_ship_free(ship);
}

START_TEST(every_measure_is_what_all_states_make_it)
{
    static rest rests[1 << MOST_UNCERTAIN];
    question q;
    for (int number = 0; number < SHIPS; number++) {
        coaming_ship *ship = make_ship(number, scenarios, &q);
        if (q.flotation && q.count <= 8) {
            seen.ships++;
            ask_all(&q, COAMING_MEASURE_WORTH, OF_WORTH, rests);
            ask_all(&q, COAMING_MEASURE_VOLUME, OF_VOLUME, rests);
        }
        free_ship(ship, &q);
    }
    double cases = seen.cases;
    printf(
        "%d ships, %d cases sampled: %.2f standard errors (rms), off by %.5f; %d closures: %.2f, "
        "%.5f, %d far, %d never seen, %d of them beyond their limit\n",
        seen.ships, seen.cases, sqrt(seen.squares / cases), seen.off / cases, seen.rows,
        sqrt(seen.row_squares / seen.row_errors), seen.row_off / seen.rows, seen.rows_far,
        seen.never, seen.never_wrong);
    ck_assert_int_gt(seen.ships, SHIPS / 2);
    ck_assert_int_gt(seen.cases, seen.ships);
    /* most are told with an error, and it is no larger than it need be */
    ck_assert_int_lt(seen.unseen, seen.cases / 4);
    ck_assert_int_lt(seen.never, seen.rows * 6 / 10);
    ck_assert_double_gt(seen.squares / cases, 0.25);
    ck_assert_double_lt(seen.squares / cases, 2);
    ck_assert_double_lt(fabs(seen.off / cases), 0.003);
    ck_assert_int_le(seen.far, 1 + seen.cases / 100);
    ck_assert_double_lt(seen.row_squares / seen.row_errors, 1.5);
    ck_assert_double_lt(fabs(seen.row_off / seen.rows), 0.003);
    ck_assert_int_le(seen.rows_far, 1 + seen.rows / 50);
    ck_assert_int_le(seen.never_wrong, 1 + seen.never / 20);
}
END_TEST

/* --- against other answers --- */

static coaming_status with_chances(const question *q, const double *chances, coaming_risk **k)
{
    return coaming_risk_new(q->ship, at_equilibrium(), COAMING_MEASURE_WORTH, chances, NULL, k,
                            NULL);
}

/* One that leaks for certain costs what the settled ranking says that its failure costs. */
static void check_certain(const question *q, int *some)
{
    coaming_ranking *ranking = NULL;
    double chances[CLOSURES] = {0};
    MUST(coaming_ranking_new(q->ship, at_equilibrium(), COAMING_MEASURE_WORTH, &ranking, NULL) ==
         COAMING_OK);
    for (size_t i = 0; i < coaming_ranking_count(ranking); i++) {
        const coaming_rank *rank = coaming_ranking_get(ranking, i);
        coaming_risk *k = NULL;
        if (as_built(q, rank->closure))
            continue;
        chances[rank->closure] = 1;
        MUST(with_chances(q, chances, &k) == COAMING_OK);
        MUST(alike(coaming_risk_get(k, rank->closure)->risk, rank->consequence, 100));
        *some += rank->consequence > 0;
        chances[rank->closure] = 0;
        coaming_risk_free(k);
    }
    coaming_ranking_free(ranking);
}

/* None leaks: no risk, and nothing but what is flooded anyway. */
static void check_sound(const question *q)
{
    double chances[CLOSURES] = {0}, low, high;
    coaming_risk *k = NULL;
    MUST(with_chances(q, chances, &k) == COAMING_OK);
    MUST(coaming_risk_is_exact(k) && coaming_risk_bounds(k, &low, &high));
    for (int i = 0; i < q->count; i++) {
        const coaming_risk_row *row = coaming_risk_get(k, q->uncertain[i]);
        MUST(row->risk == 0 && row->repair_gain == 0 && row->risk_error == 0);
        MUST(row->criticality == 0 && row->reduction == 1 && isnan(row->birnbaum));
    }
    coaming_risk_free(k);
}

/* What branches say of each scenario, weighted. */
static void check_branches(const question *q)
{
    settler *t = NULL;
    branches *b = NULL;
    const branch_answer *a = NULL;
    coaming_risk *k = ask(q, COAMING_MEASURE_WORTH, NULL);
    branch_terms terms = {.condition = -1,
                          .leaks = q->leaks,
                          .value = BRANCH_LOSS,
                          .work = BRANCH_WORK,
                          .memory = BRANCH_MEMORY};
    double sum = 0;
    MUST(settler_new(q->ship, -1, COAMING_NO_LOADING, &t, NULL) == COAMING_OK);
    MUST(branches_new(t, q->ship, &terms, &b, NULL) == COAMING_OK);
    for (int i = 0; i < SCENARIOS; i++) {
        int opened = i / 2;
        MUST(branches_case(b, &opened, i % 2, &a, NULL) == COAMING_OK);
        sum += weights[i] * (a->value.low + a->value.high) / 2;
    }
    MUST(alike(coaming_risk_expected(k), sum, 100));
    branches_free(b);
    settler_free(t);
    coaming_risk_free(k);
}

START_TEST(other_answers_to_the_same_question_agree)
{
    question q;
    int some = 0;
    for (int number = 0; number < FEW; number++) {
        coaming_ship *ship = make_ship(number, scenarios, &q);
        if (q.flotation) {
            check_certain(&q, &some);
            check_sound(&q);
            check_branches(&q);
        }
        free_ship(ship, &q);
    }
    ck_assert_int_gt(some, FEW);
}
END_TEST

/* --- split --- */

static bool same_row(const coaming_risk_row *a, const coaming_risk_row *b)
{
    const double *x = &a->probability, *y = &b->probability, *end = &a->fussell_vesely_limit;
    while (x <= end && !memcmp(x, y, sizeof *x))
        x++, y++;
    return x > end;
}

static bool same_numbers(const coaming_risk *a, const coaming_risk *b, size_t closures)
{
    coaming_risk_part one = coaming_risk_get_part(a), other = coaming_risk_get_part(b);
    double x[4] = {coaming_risk_expected(a), coaming_risk_error(a)};
    double y[4] = {coaming_risk_expected(b), coaming_risk_error(b)};
    coaming_risk_bounds(a, &x[2], &x[3]);
    coaming_risk_bounds(b, &y[2], &y[3]);
    bool same = !memcmp(x, y, sizeof x) && one.sum_count == other.sum_count &&
                coaming_risk_is_exact(a) == coaming_risk_is_exact(b) &&
                coaming_risk_sample_count(a) == coaming_risk_sample_count(b) &&
                !memcmp(one.sums, other.sums, one.sum_count * sizeof *one.sums);
    for (size_t c = 0; c < closures && same; c++)
        same = same_row(coaming_risk_get(a, (int)c), coaming_risk_get(b, (int)c));
    return same;
}

/* No figure of a rest is more than all there is to lose: a share that says so, or less than none of it,
 * is damaged. */
static void bend(const coaming_ship *ship, coaming_query query, const coaming_risk_options *o,
                 const coaming_risk_part *parts, unsigned shares)
{
    coaming_risk_part told[8];
    coaming_risk_sum *bent = calloc(parts[0].sum_count, sizeof *bent);
    coaming_risk *merged = NULL;
    memcpy(told, parts, shares * sizeof *told);
    for (int i = 0; i < 2; i++) {
        memcpy(bent, parts[0].sums, parts[0].sum_count * sizeof *bent);
        bent[parts[0].sum_count - 1] = (coaming_risk_sum){i ? INT64_MAX : INT64_MIN, 0};
        told[0].sums = bent;
        coaming_error error = {COAMING_OK, ""};
        ck_assert_int_eq(coaming_risk_new_from_parts(ship, query, COAMING_MEASURE_WORTH, NULL, o,
                                                     told, shares, &merged, &error),
                         COAMING_INPUT);
        ck_assert(strstr(error.message, "damaged") && !merged);
    }
    free(bent);
}

static void split(const coaming_ship *ship, coaming_query query, unsigned shares)
{
    coaming_risk *whole = NULL, *parts[8] = {0}, *merged = NULL;
    coaming_risk_part told[8];
    coaming_risk_options o = coaming_risk_options_default();
    o.samples = 3 * COAMING_RISK_BLOCK;
    o.settlings = 200;
    ck_assert_int_eq(coaming_risk_new(ship, query, COAMING_MEASURE_WORTH, NULL, &o, &whole, NULL),
                     COAMING_OK);
    for (unsigned i = 0; i < shares; i++) {
        o.share = shares - i;
        o.shares = shares;
        ck_assert_int_eq(
            coaming_risk_new(ship, query, COAMING_MEASURE_WORTH, NULL, &o, &parts[i], NULL),
            COAMING_OK);
        told[i] = coaming_risk_get_part(parts[i]);
    }
    ck_assert_int_eq(coaming_risk_new_from_parts(ship, query, COAMING_MEASURE_WORTH, NULL, &o, told,
                                                 shares, &merged, NULL),
                     COAMING_OK);
    ck_assert(!coaming_risk_is_exact(whole));
    ck_assert(same_numbers(whole, merged, ship->closure_count));
    bend(ship, query, &o, told, shares);
    coaming_risk_free(whole);
    coaming_risk_free(merged);
    for (unsigned i = 0; i < shares; i++)
        coaming_risk_free(parts[i]);
}

START_TEST(shares_are_together_what_one_run_is)
{
    coaming_ship *ship = ship_from_tree("examples/fathom-lark.xml");
    coaming_query query = at_equilibrium();
    split(ship, query, 2);
    query.hazard[COAMING_AIR] = true;
    split(ship, query, 3);
    coaming_ship_free(ship);
}
END_TEST

/* The risk of some, as bits that hang on all that was summed. */
static void sums_by(const coaming_ship *ship, const double *leaks, unsigned threads,
                    risk_wide *sums, size_t room)
{
    risk_settled *s = NULL;
    coaming_risk_options o = coaming_risk_options_default();
    o.settlings = 300;
    ck_assert_int_eq(
        risk_settled_new(ship, at_equilibrium(), COAMING_MEASURE_VOLUME, leaks, &s, NULL),
        COAMING_OK);
    ck_assert_int_eq(risk_settled_branch(s, &o, threads, NULL), COAMING_OK);
    ck_assert_uint_le(risk_settled_count(s), room);
    for (size_t i = 0; i < risk_settled_count(s); i++)
        sums[i] = risk_settled_get(s, i);
    risk_settled_free(s);
}

START_TEST(the_number_of_threads_is_of_no_account)
{
    enum { ROOM = 2000 };
    coaming_ship *ship = ship_from_tree("examples/fathom-lark.xml");
    risk_wide *one = calloc(ROOM, sizeof *one), *more = calloc(ROOM, sizeof *more);
    double *leaks = calloc(ship->closure_count, sizeof *leaks);
    coaming_likelihood_all(ship, leaks);
    sums_by(ship, leaks, 1, one, ROOM);
    for (unsigned threads = 2; threads < 5; threads++) {
        sums_by(ship, leaks, threads, more, ROOM);
        ck_assert(!memcmp(one, more, ROOM * sizeof *one));
    }
    free(one);
    free(more);
    free(leaks);
    coaming_ship_free(ship);
}
END_TEST

/* Nothing is lost of a ship whose spaces are worth nothing, whatever leaks, and a scenario of no weight
 * adds nothing. */
START_TEST(nothing_that_counts)
{
    question q, same;
    int asked = 0;
    for (int number = 0; number < 6; number++) {
        coaming_ship *other = make_ship(number, scenarios, &same);
        char more[sizeof scenarios + 60];
        snprintf(more, sizeof more, "%s%s", scenarios,
                 "<scenario hazard=\"water\" source=\"s2\" weight=\"0\"/>");
        coaming_ship *ship = make_ship(number, more, &q);
        if (q.flotation) {
            coaming_risk *k = ask(&q, COAMING_MEASURE_WORTH, NULL);
            coaming_risk *without = ask(&same, COAMING_MEASURE_WORTH, NULL);
            MUST(coaming_risk_expected(k) == coaming_risk_expected(without));
            coaming_risk_free(k);
            coaming_risk_free(without);
            for (size_t i = 0; i < ship->space_count; i++)
                ship->spaces[i].worth = 0;
            k = ask(&q, COAMING_MEASURE_WORTH, NULL);
            MUST(coaming_risk_expected(k) == 0);
            for (int c = 0; c < q.count; c++)
                MUST(coaming_risk_get(k, q.uncertain[c])->risk == 0);
            coaming_risk_free(k);
            asked += q.count;
        }
        free_ship(ship, &q);
        free_ship(other, &same);
    }
    ck_assert_int_gt(asked, 3);
}
END_TEST

/* One door to the sea, of which a space hangs that is worth little: of n samples it leaks in k, so that
 * k / n of its worth is lost and the standard error of a mean is known; one that leaks in none has none. */
START_TEST(a_door_sampled)
{
    coaming_ship *ship = ship_from_elements(
        "<ship length=\"40\" beam=\"10\" depth=\"6\" draft=\"2\" kg=\"2.5\"/>"
        "<space id=\"a\" name=\"A\" worth=\"0.01\"><box x=\"18 22\" y=\"-2 2\" z=\"0 3\"/></space>"
        "<closure id=\"d\" kind=\"door\" rating=\"watertight\" between=\"a sea\"><clear x=\"20\" "
        "y=\"2\" z=\"0.5\" width=\"0.6\" height=\"1\" lies=\"longitudinal\"/></closure>"
        "<scenario hazard=\"water\" source=\"sea\" weight=\"1\"/>");
    enum { SAMPLES = 100 };
    const double often = 0.3, never = 1e-12;
    coaming_risk_options o = coaming_risk_options_default();
    coaming_risk *k = NULL;
    o.method = COAMING_RISK_SAMPLED;
    o.samples = SAMPLES;
    ck_assert_int_eq(
        coaming_risk_new(ship, at_equilibrium(), COAMING_MEASURE_WORTH, &often, &o, &k, NULL),
        COAMING_OK);
    ck_assert_uint_eq(coaming_risk_sample_count(k), SAMPLES);
    double share = coaming_risk_expected(k) / 0.01;
    ck_assert_double_eq_tol(share * SAMPLES, round(share * SAMPLES), 1e-9);
    ck_assert(0.1 < share && share < 0.5);
    ck_assert_double_eq_tol(coaming_risk_error(k), 0.01 * sqrt(share * (1 - share) / (SAMPLES - 1)),
                            1e-12);
    coaming_risk_free(k);
    ck_assert_int_eq(
        coaming_risk_new(ship, at_equilibrium(), COAMING_MEASURE_WORTH, &never, &o, &k, NULL),
        COAMING_OK);
    ck_assert_double_eq(coaming_risk_expected(k), 0);
    ck_assert(isnan(coaming_risk_error(k)));
    ck_assert_double_gt(coaming_risk_limit(k), 0);
    coaming_risk_free(k);
    coaming_ship_free(ship);
}
END_TEST

/* EXACT with no room for a tree is refused, not answered by half. */
START_TEST(exact_trees_need_their_memory)
{
    question q;
    int refused = 0;
    for (int number = 0; number < 6; number++) {
        coaming_ship *ship = make_ship(number, scenarios, &q);
        coaming_risk_options o = coaming_risk_options_default();
        coaming_risk *k = NULL;
        o.method = COAMING_RISK_EXACT;
        o.memory = 1;
        if (q.flotation && q.count > 2) {
            coaming_error error = {COAMING_OK, ""};
            ck_assert_int_eq(coaming_risk_new(ship, at_equilibrium(), COAMING_MEASURE_WORTH, NULL,
                                              &o, &k, &error),
                             COAMING_USAGE);
            ck_assert(strstr(error.message, "more than 1 bytes") && !k);
            refused++;
        }
        free_ship(ship, &q);
    }
    ck_assert_int_gt(refused, 1);
}
END_TEST

/* --- memory --- */

static coaming_status asked_of(const coaming_ship *ship, coaming_risk_method method)
{
    coaming_risk *k = NULL;
    coaming_risk_options o = coaming_risk_options_default();
    o.method = method;
    o.settlings = 10;
    coaming_status status =
        coaming_risk_new(ship, at_equilibrium(), COAMING_MEASURE_WORTH, NULL, &o, &k, NULL);
    ck_assert(status == COAMING_OK || !k);
    coaming_risk_free(k);
    return status;
}

START_TEST(out_of_memory_is_told_at_every_allocation)
{
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    for (int m = 0; m < COAMING_RISK_METHODS; m++) {
        memory_fail_at(0);
        ck_assert_int_eq(asked_of(ship, (coaming_risk_method)m), COAMING_OK);
        size_t all = memory_asked();
        ck_assert_uint_gt(all, 50);
        for (size_t n = 1; n <= all; n += n < 400 ? 1 : 29) {
            memory_fail_at(n);
            ck_assert_msg(told(asked_of(ship, (coaming_risk_method)m), n),
                          "method %d: allocation %zu of %zu", m, n, all);
        }
    }
    memory_fail_at(0);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("risk at equilibrium");
    TCase *all = tcase_create("random ships"), *split_up = tcase_create("split");
    tcase_add_test(all, every_measure_is_what_all_states_make_it);
    tcase_add_test(all, other_answers_to_the_same_question_agree);
    tcase_add_test(all, nothing_that_counts);
    tcase_add_test(all, a_door_sampled);
    tcase_add_test(all, exact_trees_need_their_memory);
    tcase_add_test(split_up, shares_are_together_what_one_run_is);
    tcase_add_test(split_up, out_of_memory_is_told_at_every_allocation);
    tcase_add_test(split_up, the_number_of_threads_is_of_no_account);
    suite_add_tcase(suite, all);
    suite_add_tcase(suite, split_up);
    return run_suite(suite);
}
