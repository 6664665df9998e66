/* Uncertain closures by branch and bound, against full enumeration on random ships (uncertain.h). */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/branches.h"
#include "runner.h"
#include "ship/state.h"
#include "ships.h"
#include "uncertain.h"

enum { SHIPS = 60 };

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

static int number_of_ship;

/* --- the checks --- */

static bool encloses(branch_limits l, double exact, double scale)
{
    return l.low <= exact + 1e-12 * scale && l.high >= exact - 1e-12 * scale;
}

static void check_gains(const question *q, const truth *t, const branch_answer *a, value v,
                        value lost, double scale, double width)
{
    for (int i = 0, at = 0; i < q->count; i++) {
        int c = q->uncertain[i];
        double p = q->leaks[c], turn = t->leaks[v][i] - t->holds[v][i];
        double lost_turn = t->leaks[lost][i] - t->holds[lost][i];
        if (at < (int)a->gain_count && a->gains[at].closure == c) {
            const branch_gain *g = &a->gains[at++];
            MUST(encloses(g->gain, -p * turn, scale));
            MUST(encloses(g->lost_gain, p * lost_turn, 1));
            MUST(encloses(g->if_leaks, t->leaks[v][i], scale));
            MUST(encloses(g->if_holds, t->holds[v][i], scale));
            MUST(g->gain.high - g->gain.low <= width * scale);
            MUST(g->lost_gain.high - g->lost_gain.low <= width);
        } else {
            MUST(fabs(turn) <= a->other + 1e-12 * scale);
            MUST(fabs(lost_turn) <= a->other_lost + 1e-12);
        }
    }
}

/* States that each way names, by the others all holding, are lost as it says; no state is counted in
 * two, so that all ways together are the chance that she is lost. */
static void check_ways(const question *q, const rest *rests, const truth *t, const branch_answer *a)
{
    double sum = 0;
    for (size_t i = 0; i < a->way_count; i++) {
        const branch_way *w = &a->ways[i];
        int state = 0, flooded = 0;
        for (int j = 0; j < q->count; j++)
            for (size_t k = 0; k < w->closure_count; k++)
                state |= (w->closures[k] == q->uncertain[j]) << j;
        sum += w->probability;
        MUST(!i || w->probability <= a->ways[i - 1].probability);
        MUST(rests[state].lost);
        for (size_t s = 0; s < q->ship->space_count; s++)
            flooded += rests[state].wet_afloat[s];
        MUST(flooded == (int)w->flooded_count);
        for (size_t k = 0; k < w->flooded_count; k++)
            MUST(rests[state].wet_afloat[w->flooded[k]]);
    }
    MUST(fabs(sum - t->expected[OF_LOST]) < 1e-12);
}

/* Of the ships' states, so that the test is seen to test something. */
static struct {
    int ships, cases, differ, lost, few;
} seen;

/* The chance of the way of just these closures; 0: it is none of them. */
static double chance_of_way(const branch_answer *a, const branch_way *way)
{
    for (size_t i = 0; i < a->way_count; i++)
        if (a->ways[i].closure_count == way->closure_count &&
            !memcmp(a->ways[i].closures, way->closures, way->closure_count * sizeof *way->closures))
            return a->ways[i].probability;
    return 0;
}

/* Of few ways that are asked for the likeliest are told, each no likelier than where all are asked for, since
 * for each 16 paths at most are looked at; with no more states than that, those that come first of all. */
static void ask_few_ways(settler *floats, const question *q, branch_terms terms,
                         const branch_answer *all, const rest *rests, size_t most)
{
    branches *b = NULL;
    const branch_answer *a = NULL;
    size_t lost = 0;
    for (int state = 0; state < 1 << q->count; state++)
        lost += rests[state].lost;
    terms.ways = most;
    MUST(branches_new(floats, q->ship, &terms, &b, NULL) == COAMING_OK);
    MUST(branches_case(b, q->opened, q->opened_count, &a, NULL) == COAMING_OK);
    MUST(a->way_count == (all->way_count < most ? all->way_count : most));
    for (size_t i = 0; i < a->way_count; i++) {
        double chance = a->ways[i].probability;
        MUST(chance <= chance_of_way(all, &a->ways[i]) + 1e-12);
        MUST(lost > 16 * most || fabs(chance - all->ways[i].probability) < 1e-12);
        seen.few += lost <= 16 * most;
    }
    branches_free(b);
}

static void ask(settler *floats, const question *q, const branch_terms *terms, const rest *rests,
                const truth *t)
{
    branches *b = NULL;
    const branch_answer *a = NULL;
    value v = terms->value == BRANCH_S                   ? OF_S
              : terms->measure == COAMING_MEASURE_VOLUME ? OF_VOLUME
                                                         : OF_WORTH;
    value lost = v == OF_S ? OF_LOST : OF_SUNK;
    double scale = 1;
    for (size_t i = 0; v != OF_S && i < q->ship->space_count; i++)
        scale += v == OF_WORTH ? q->ship->spaces[i].worth : q->ship->spaces[i].volume;
    MUST(branches_new(floats, q->ship, terms, &b, NULL) == COAMING_OK);
    MUST(branches_case(b, q->opened, q->opened_count, &a, NULL) == COAMING_OK);
    MUST(encloses(a->value, t->expected[v], scale));
    MUST(encloses(a->lost, t->expected[lost], 1));
    MUST(a->stopped || a->value.high - a->value.low <= (terms->within + 1e-9) * scale);
    MUST(a->stopped || a->lost.high - a->lost.low <= terms->within + 1e-12);
    MUST(a->rest >= 0 && a->rest <= 1);
    MUST(!a->stopped || a->work >= terms->work);
    bool whole = !a->stopped && terms->within <= 0;
    check_gains(q, t, a, v, lost, scale, whole ? 1e-8 : INFINITY);
    if (whole && v == OF_S)
        check_ways(q, rests, t, a);
    for (size_t most = 1; whole && v == OF_S && most < 4; most++)
        ask_few_ways(floats, q, *terms, a, rests, most);
    branches_free(b);
}

/* Of samples: how far guesses lie from the truth, in standard errors and as they are. */
static struct {
    int cases, far, gains, gains_far;
    double squares, off, gain_off, lost_off;
} sampled;

/* With hardly any work, so that nearly all is sampled. */
static void ask_sampled(settler *floats, const question *q, branch_terms terms, const truth *t)
{
    branches *b = NULL;
    const branch_answer *a = NULL;
    terms.work = 2;
    MUST(branches_new(floats, q->ship, &terms, &b, NULL) == COAMING_OK);
    branches_allow(b, 2, 400, 1);
    MUST(branches_case(b, q->opened, q->opened_count, &a, NULL) == COAMING_OK);
    MUST(encloses(a->value, t->expected[OF_S], 1) && encloses(a->lost, t->expected[OF_LOST], 1));
    if (a->error > 1e-6) {
        double off = a->likely - t->expected[OF_S];
        sampled.cases++;
        sampled.squares += off * off / (a->error * a->error);
        sampled.off += off;
        sampled.far += fabs(off) > 4 * a->error;
        MUST(fabs(a->lost_likely - t->expected[OF_LOST]) <= 6 * a->lost_error + 0.02);
        for (int half = 0; half < 2; half++) /* errors of halves are sqrt 2 of that of all */
            MUST(fabs(a->lost_half[half] - t->expected[OF_LOST]) <= 9 * a->lost_error + 0.03);
    }
    for (int i = 0, at = 0; a->error > 0 && i < q->count; i++) {
        if (at == (int)a->gain_count || a->gains[at].closure != q->uncertain[i])
            continue;
        double p = q->leaks[q->uncertain[i]], turn = t->leaks[OF_S][i] - t->holds[OF_S][i];
        double lost_turn = t->leaks[OF_LOST][i] - t->holds[OF_LOST][i];
        double lost_off = a->gains[at].lost_likely - p * lost_turn;
        double off = a->gains[at++].likely + p * turn;
        /* of what leaks nearly for sure hardly any sample tells, so some guesses lie far off */
        MUST(p > 0.99 || (fabs(off) < 0.5 && fabs(lost_off) < 0.5));
        sampled.lost_off += lost_off;
        sampled.gains_far += p <= 0.99 && fabs(off) >= 0.15;
        sampled.gains++;
        sampled.gain_off += off;
    }
    branches_free(b);
}

static double value_in(const rest *r, branch_value which)
{
    return which == BRANCH_S ? r->s : r->worth;
}

/* What the states come to with other chances. */
static double expected_with(const question *q, const double *leaks, const rest *rests,
                            branch_value which)
{
    question other = *q;
    double sum = 0;
    memcpy(other.leaks, leaks, sizeof other.leaks);
    for (int state = 0; state < 1 << q->count; state++)
        sum += chance_of(&other, state) * value_in(&rests[state], which);
    return sum;
}

/* A tree that was stopped, kept, walked by and asked with other chances, another breach having been looked
 * at between: each walk ends where its state does, and limits hold whatever was walked before. */
static void ask_again(settler *floats, const question *q, branch_terms terms, const rest *rests)
{
    double leaks[CLOSURES];
    branches *b = NULL;
    branch_tree *kept = NULL;
    const branch_answer *a = NULL;
    branch_limits limits;
    double likely, most;
    int *asked = calloc(q->ship->link_count + 1, sizeof *asked);
    memcpy(leaks, q->leaks, sizeof leaks);
    terms.leaks = leaks;
    MUST(branches_new(floats, q->ship, &terms, &b, NULL) == COAMING_OK);
    MUST(branches_case(b, q->opened, q->opened_count, &a, NULL) == COAMING_OK);
    MUST(branches_keep(b, &kept, NULL) == COAMING_OK);
    MUST(branches_case(b, q->opened, (q->opened_count + 1) % 3, &a, NULL) == COAMING_OK);
    for (uint64_t seed = 1; seed < 40; seed++) {
        int state = 0;
        branch_walk walk = {.asked = asked};
        for (int i = 0; i < q->count; i++) {
            int c = q->uncertain[i];
            leaks[c] = q->leaks[c] * (double)(seed % 4) / 3;
            state |= branch_walk_leaks(seed * 977, c, leaks[c]) << i;
        }
        branches_put_back(b, kept, q->opened, q->opened_count);
        MUST(branches_walk(b, seed * 977, &walk, NULL) == COAMING_OK);
        MUST(fabs(walk.value - value_in(&rests[state], terms.value)) < 1e-9);
        branches_take_out(b, kept);
        double exact = expected_with(q, leaks, rests, terms.value);
        MUST(branch_tree_expect(kept, leaks, &limits, &likely, NULL) == COAMING_OK);
        CLAIM(encloses(limits, exact, 1), "ship %d, %zu walks: %g is not in %g to %g",
              number_of_ship, (size_t)seed, exact, limits.low, limits.high);
        MUST(limits.high - limits.low > 1e-9 || fabs(likely - exact) < 1e-8);
        MUST(branch_tree_most(kept, q->leaks, leaks, &most, NULL) == COAMING_OK);
        MUST(most >= exact - 1e-9 && most >= expected_with(q, q->leaks, rests, terms.value) - 1e-9);
    }
    branch_tree_free(kept);
    branches_free(b);
    free(asked);
}

static void ask_all(settler *floats, const question *q, rest *rests)
{
    truth t;
    enumerate_states(q, rests, &t);
    branch_terms terms = {.condition = -1,
                          .leaks = q->leaks,
                          .value = BRANCH_S,
                          .work = BRANCH_WORK,
                          .memory = BRANCH_MEMORY,
                          .ways = 1 << MOST_UNCERTAIN};
    ask(floats, q, &terms, rests, &t);
    ask_sampled(floats, q, terms, &t);
    ask_again(floats, q, terms, rests);
    for (terms.work = 1; terms.work < 10; terms.work += 2)
        ask_again(floats, q, terms, rests);
    terms.work = BRANCH_WORK;
    terms.within = 0.05;
    ask(floats, q, &terms, rests, &t);
    terms.within = 0;
    terms.work = 1 + (size_t)number_of_ship % 7;
    ask(floats, q, &terms, rests, &t);
    terms.value = BRANCH_LOSS;
    ask(floats, q, &terms, rests, &t);
    ask_again(floats, q, terms, rests);
    terms.work = BRANCH_WORK;
    ask(floats, q, &terms, rests, &t);
    terms.measure = COAMING_MEASURE_VOLUME;
    ask(floats, q, &terms, rests, &t);
}

static void look(const question *q, const rest *rests)
{
    bool differ = false, lost = false;
    for (int state = 0; state < 1 << q->count; state++) {
        differ = differ || rests[state].s != rests[0].s;
        lost = lost || rests[state].lost != rests[0].lost;
    }
    seen.cases++;
    seen.differ += differ;
    seen.lost += lost;
}

static void check_ship(const coaming_ship *ship, settler *floats, rest *rests)
{
    question q = {.ship = ship};
    MUST(coaming_flotation_new(ship, COAMING_NO_LOADING, &q.flotation, NULL) == COAMING_OK);
    coaming_likelihood_all(ship, q.leaks);
    list_uncertain(&q);
    dice d = {(uint64_t)number_of_ship};
    int opened[2];
    q.opened = opened;
    for (int i = 0; i < 3; i++) {
        q.opened_count = (size_t)i; /* none, one, two spaces */
        opened[0] = dice_below(&d, (int)ship->space_count);
        opened[1] = dice_below(&d, (int)ship->space_count);
        ask_all(floats, &q, rests);
        look(&q, rests);
    }
    coaming_flotation_free(q.flotation);
}

START_TEST(branching_agrees_with_enumeration)
{
    static rest rests[1 << MOST_UNCERTAIN];
    int most = getenv("COAMING_BRANCH_SHIPS") ? atoi(getenv("COAMING_BRANCH_SHIPS")) : SHIPS;
    for (number_of_ship = 0; number_of_ship < most; number_of_ship++) {
        coaming_ship *ship = random_uncertain_ship(number_of_ship, "");
        settler *t = NULL;
        if (settler_new(ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL) == COAMING_OK) {
            check_ship(ship, t, rests);
            seen.ships++;
        }
        settler_free(t);
        coaming_ship_free(ship);
    }
    printf("%d ships, %d cases: s hangs on closures in %d, loss in %d\n", seen.ships, seen.cases,
           seen.differ, seen.lost);
    double cases = sampled.cases, gains = sampled.gains;
    printf(
        "%d cases sampled: %.2f standard errors (rms), off by %.4f in the mean; %d gains, off by "
        "%.4f in the mean\n",
        sampled.cases, sqrt(sampled.squares / cases), sampled.off / cases, sampled.gains,
        sampled.gain_off / gains);
    /* systematic draws are better than the standard error says, never worse */
    ck_assert_double_lt(sampled.squares / cases, 1.5);
    ck_assert_double_lt(fabs(sampled.off / cases), 0.003);
    ck_assert_double_lt(fabs(sampled.gain_off / gains), 0.006);
    ck_assert_double_lt(fabs(sampled.lost_off / gains), 0.006);
    ck_assert_int_lt(sampled.far, 1 + sampled.cases / 100);
    ck_assert_int_le(sampled.gains_far, 1 + sampled.gains / 500);
    ck_assert_int_gt(seen.ships, most * 2 / 3);
    ck_assert_int_gt(seen.few, most);
    ck_assert_int_gt(seen.differ, seen.cases / 5);
    ck_assert_int_gt(seen.lost, seen.cases / 20);
}
END_TEST

/* The tree grades states of closures that no test has: closures said to leak must count as those
 * that failed do, wherever the answers of grade.h can say the same. */
START_TEST(a_closure_said_to_leak_is_graded_as_one_that_failed)
{
    coaming_ship *ship = ship_with_history("2026-11-25");
    coaming_flotation *f = NULL;
    ck_assert_int_eq(coaming_flotation_new(ship, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
    bool *flooded = calloc(ship->space_count, sizeof *flooded);
    bool *leaks = calloc(ship->link_count, sizeof *leaks);
    int failed = 0, matter = 0;
    for (size_t l = 0; l < ship->closure_count; l++)
        failed += leaks[l] =
            link_state_as_built(&ship->links[l], -1, COAMING_WATER) == LINK_HOLDS &&
            ship->links[l].result == COAMING_FAIL;
    for (size_t s = 0; s < ship->space_count; s++) {
        coaming_float at;
        coaming_stability told[3];
        grade_terms terms[] = {{-1, COAMING_AS_TESTED, ARMS_ALL, NULL, NULL},
                               {-1, COAMING_AS_BUILT, ARMS_ALL, NULL, leaks},
                               {-1, COAMING_AS_BUILT, ARMS_ALL, NULL, NULL}};
        flooded[s] = true;
        for (int i = 0; i < 3; i++) {
            ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
            ck_assert_int_eq(flotation_grade(f, flooded, &at, &terms[i], &told[i], NULL),
                             COAMING_OK);
        }
        ck_assert_int_eq(told[0].grade, told[1].grade);
        ck_assert_double_eq(told[0].s, told[1].s);
        ck_assert_int_eq(told[0].flooding_opening, told[1].flooding_opening);
        matter += told[0].flooding_opening != told[2].flooding_opening;
        flooded[s] = s % 3 == 0; /* more and more */
    }
    ck_assert_int_gt(failed, 0);
    ck_assert_int_gt(matter, 0);
    free(leaks);
    free(flooded);
    coaming_flotation_free(f);
    coaming_ship_free(ship);
}
END_TEST

/* Sums that tell trees apart. */
static void ask_whole(branches *b, int space, double told[4])
{
    const branch_answer *a = NULL;
    ck_assert_int_eq(branches_case(b, &space, 1, &a, NULL), COAMING_OK);
    told[0] = a->value.low;
    told[1] = a->value.high;
    told[2] = a->rest;
    told[3] = (double)a->states;
}

/* Room that a large tree has left behind is no reason for a small one to stop. */
START_TEST(a_full_tree_does_not_depend_on_the_trees_before_it)
{
    coaming_ship *ship = ship_with_history("2026-11-25");
    double *leaks = calloc(ship->closure_count, sizeof *leaks);
    coaming_likelihood_all(ship, leaks);
    const size_t all_work[] = {4000, 60}; /* of the tree before, of that which is looked at */
    settler *t = NULL;
    branches *used = NULL, *fresh = NULL;
    branch_terms terms = {
        .condition = -1, .leaks = leaks, .value = BRANCH_S, .memory = 300000, .work = all_work[0]};
    ck_assert_int_eq(settler_new(ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    ck_assert_int_eq(branches_new(t, ship, &terms, &used, NULL), COAMING_OK);
    int stopped = 0;
    for (size_t s = 0; s + 1 < ship->space_count; s += 4) {
        double before[4], after[4], alone[4];
        ask_whole(used, (int)s, before);
        branches_allow(used, all_work[1], 0, 1);
        ask_whole(used, (int)s + 1, after);
        ck_assert_int_eq(branches_new(t, ship, &terms, &fresh, NULL), COAMING_OK);
        branches_allow(fresh, all_work[1], 0, 1);
        ask_whole(fresh, (int)s + 1, alone);
        for (int i = 0; i < 4; i++)
            CLAIM(after[i] == alone[i], "space %zu, %d: %g, not %g", s + 1, i, after[i], alone[i]);
        stopped += before[2] > 0;
        branches_allow(used, all_work[0], 0, 1);
        branches_free(fresh);
    }
    ck_assert_int_gt(stopped, 0);
    branches_free(used);
    settler_free(t);
    free(leaks);
    coaming_ship_free(ship);
}
END_TEST

enum { ROOMS = 24 };

/* A box ship with a passage along her bottom and a room beside it every 2 m, each behind a door. */
static coaming_ship *ship_of_rooms(void)
{
    char *text = NULL;
    size_t size;
    coaming_ship *ship = NULL;
    FILE *out = open_memstream(&text, &size);
    fputs("<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship length=\"60\" "
          "beam=\"12\" depth=\"7\" draft=\"3\" kg=\"4\"/>"
          "<space id=\"way\" name=\"n\"><box x=\"6 54\" y=\"-1 1\" z=\"0 3\"/></space>",
          out);
    for (int i = 0; i < ROOMS; i++)
        fprintf(out, "<space id=\"s%d\" name=\"n\"><box x=\"%d %d\" y=\"1 3\" z=\"0 3\"/></space>",
                i, 6 + 2 * i, 8 + 2 * i);
    for (int i = 0; i < ROOMS; i++)
        fprintf(out,
                "<closure id=\"c%d\" kind=\"door\" rating=\"watertight\" leak-probability=\"0.2\" "
                "between=\"way s%d\"><clear x=\"%d\" y=\"1\" z=\"0.3\" width=\"0.6\" height=\"1\" "
                "lies=\"longitudinal\"/></closure>",
                i, i, 7 + 2 * i);
    fputs("</arrangement>", out);
    fclose(out);
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    free(text);
    return ship;
}

/* So many closures under water at one rest have 2^24 ends, of which the likeliest has a chance of
 * 0.8^24, half a percent: those are followed that work is done at, and no state beside the ways there. */
START_TEST(states_are_no_more_than_the_work_asks_for)
{
    coaming_ship *ship = ship_of_rooms();
    double leaks[ROOMS];
    settler *t = NULL;
    branches *b = NULL;
    const branch_answer *a = NULL;
    const int way = 0;
    coaming_likelihood_all(ship, leaks);
    branch_terms terms = {
        .condition = -1, .leaks = leaks, .value = BRANCH_S, .memory = BRANCH_MEMORY, .work = 100};
    ck_assert_int_eq(settler_new(ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    ck_assert_int_eq(branches_new(t, ship, &terms, &b, NULL), COAMING_OK);
    ck_assert_int_eq(branches_case(b, &way, 1, &a, NULL), COAMING_OK);
    CLAIM(a->stopped && a->work >= 100, "work %zu", a->work);
    CLAIM(a->states <= (2 * ROOMS + 2) * a->work, "%zu states for %zu pieces of work", a->states,
          a->work);
    /* the likeliest end and those in which one leaks, in their order: 100 is enough for them */
    double some = pow(0.8, ROOMS) + ROOMS * 0.2 * pow(0.8, ROOMS - 1);
    CLAIM(a->rest < 1 - some, "%g is open, of %g", a->rest, 1 - some);
    branches_free(b);
    settler_free(t);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("branches");
    TCase *all = tcase_create("random ships");
    tcase_add_test(all, branching_agrees_with_enumeration);
    tcase_add_test(all, a_closure_said_to_leak_is_graded_as_one_that_failed);
    tcase_add_test(all, a_full_tree_does_not_depend_on_the_trees_before_it);
    tcase_add_test(all, states_are_no_more_than_the_work_asks_for);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
