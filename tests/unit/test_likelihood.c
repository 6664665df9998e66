/*
 * How likely a closure leaks: ageing, Bayes, and the recursion over a log against hidden histories
 * tried one by one.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "coaming/likelihood.h"
#include "runner.h"
#include "ship/ship.h"
#include "ships.h"

static void is(double got, double wanted, double half_digit)
{
    ck_assert_msg(fabs(got - wanted) <= half_digit, "%.17g instead of %.17g", got, wanted);
}

/* The tables of what is assumed stand in the order of the words of the format. */
START_TEST(assumptions_are_of_the_words_beside_them)
{
#define WORD(word, ...) word,
    static const char *const methods[] = {COAMING_ASSUMED_METHODS(WORD) NULL};
    static const char *const actions[] = {COAMING_ASSUMED_REPAIRS(WORD) NULL};
    static const char *const kinds[] = {COAMING_ASSUMED_AGEING(WORD) NULL};
#undef WORD
    const char *const *const pairs[][2] = {
        {methods, method_words}, {actions, action_words}, {kinds, closure_kind_words}};
    for (size_t p = 0; p < 3; p++) {
        size_t i = 0;
        for (; pairs[p][0][i] && pairs[p][1][i]; i++)
            ck_assert_str_eq(pairs[p][0][i], pairs[p][1][i]);
        ck_assert(!pairs[p][0][i] && !pairs[p][1][i]);
    }
}
END_TEST

/* Single steps. */

/* Worked out from the formula by an independent program, for eta 10 years and beta 3:
 * R(5) = exp(-1/8), R(10) = 1/e, R(8|5) = exp(-(.8^3 - .5^3)). */
START_TEST(ageing_by_weibull)
{
    is(1 - coaming_weibull_failure(10, 3, 0, 5), 0.882497, 5e-7);
    is(1 - coaming_weibull_failure(10, 3, 0, 10), 0.367879, 5e-7);
    is(1 - coaming_weibull_failure(10, 3, 5, 8), 0.679091, 5e-7);
    is(coaming_weibull_failure(10, 3, 0, 8.849970), 0.5, 5e-7);       /* the median */
    is(coaming_weibull_failure(10, 3, 0, 4.723087), 0.1, 5e-7);       /* B10 */
    is(coaming_weibull_failure(7, 1, 2, 5), -expm1(-3.0 / 7), 1e-15); /* no memory if beta is 1 */
    ck_assert_double_eq(coaming_weibull_failure(10, 3, 4, 4), 0);
    is(coaming_weibull_failure(1e6, 1, 0, 1e-6), 1e-12 - 5e-25, 1e-27); /* x - x^2 / 2 */
    ck_assert_double_eq(coaming_weibull_failure(0.001, 3, 0, 100), 1);
}
END_TEST

/* Questions of teaching pages on the share of positive tests that are right; answers by Bayes. */
START_TEST(bayes_as_taught)
{
    static const struct {
        double before, sensitivity, specificity, failed, half_digit;
    } all[] = {
        /* question on coursehero.com, file 8978092, false alarms .096; answer derived */
        {.01, .8, 1 - .096, .077640, 5e-7},
        /* ilovetranslation.com, document s1VncwFWGLl */
        {.01, .90, .98, .312500, 5e-7},
        /* yumpu.com, document 49494966, page 45, where it is 8.3 % */
        {1e-4, .9, .999, .082576, 5e-7},
        /* homeworksource.com, question 1082685, where it is .29301854 */
        {.0238, .85, .95, .29301854, 5e-9},
        /* app.daily.dev, where it is 19 % */
        {.01, .93, .96, .190184, 5e-7},
        /* question on coursehero.com, file 6109260; answer derived */
        {.03, .99, .85, .169521, 5e-7},
        /* derived only */
        {.2, .85, .95, .809524, 5e-7},
        /* one exam page has .018 for this; it is wrong: .009 / (.009 + .0495) = 2 / 13 */
        {.01, .90, .95, 2.0 / 13, 1e-15},
    };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        is(coaming_after_test(all[i].before, all[i].sensitivity, all[i].specificity, COAMING_FAIL),
           all[i].failed, all[i].half_digit);
    is(coaming_after_test(.2, .85, .95, COAMING_PASS), .037975, 5e-7); /* derived: .03 / .79 */
}
END_TEST

START_TEST(tests_that_tell_nothing_or_everything)
{
    for (int result = 0; result < 2; result++) {
        is(coaming_after_test(.3, .5, .5, (coaming_result)result), .3, 1e-15);
        is(coaming_after_test(0, .8, .9, (coaming_result)result), 0, 0);
        is(coaming_after_test(1, .8, .9, (coaming_result)result), 1, 0);
        is(coaming_after_test(.3, 1, 1, (coaming_result)result), result == COAMING_FAIL, 0);
        /* against what is certain: the test is believed */
        is(coaming_after_test(result == COAMING_PASS, 1, 1, (coaming_result)result),
           result == COAMING_FAIL, 0);
    }
}
END_TEST

/* Exact for one channel; 1e-6 and 1e-5 an hour, tested once in 8760 h. The approximation x / 2 is
 * 4.380e-3 and .0438 (IEC 61508-6 as taught: a process-safety blog of Nemotron; gt-engineering.it);
 * the exact values are derived. */
START_TEST(average_between_tests)
{
    is(coaming_average_unsoundness(1e-6, 8760), 4.367238360e-3, 5e-13);
    is(coaming_average_unsoundness(1e-5, 8760), .0425485656, 5e-11);
    is(coaming_weibull_failure(1e6, 1, 0, 8760), 8.721742992e-3, 5e-13); /* just before a test */
    ck_assert_double_eq(coaming_average_unsoundness(0, 1), 0);
    is(coaming_average_unsoundness(1, 1e9), 1, 1.1e-9);
    /* the series meets the formula: they differ by x^3 / 24 and rounding */
    is(coaming_average_unsoundness(1, 0.99999e-5), 0.99999e-5 / 2 - 0.99999e-10 * 0.99999 / 6,
       1e-15);
    is(coaming_average_unsoundness(1, 1.00001e-5), 1.00001e-5 / 2 - 1.00001e-10 * 1.00001 / 6,
       5e-11);
}
END_TEST

/* Logs. */

static const char two_spaces[] =
    "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-3 3\" z=\"0 4\"/></space>"
    "<space id=\"b\" name=\"B\"><box x=\"10 20\" y=\"-3 3\" z=\"0 4\"/></space>";
static const char doors_age[] = "<ageing kind=\"door\" eta-years=\"4\" beta=\"2\"/>";
static const char methods[] = "<method name=\"chalk\" sensitivity=\"0.8\" specificity=\"0.95\"/>"
                              "<method name=\"hose\" sensitivity=\"0.9\" specificity=\"0.98\"/>";
#define CHALK(date, result)                                                                        \
    "<test closure=\"D\" date=\"" date "\" method=\"chalk\" result=\"" result "\"/>"
#define HOSE(date, result)                                                                         \
    "<test closure=\"D\" date=\"" date "\" method=\"hose\" result=\"" result "\"/>"
#define REPAIR(date, action) "<repair closure=\"D\" date=\"" date "\" action=\"" action "\"/>"

/* A ship with one door D, as of 2026-11-01. given: what the arrangement says of likelihood;
 * attribute: of the door; fitted: its gasket, or NULL. */
static coaming_ship *ship_with(const char *given, const char *attribute, const char *fitted,
                               const char *entries)
{
    char parts[2000], gasket[60] = "", log[2000];
    if (fitted)
        snprintf(gasket, sizeof gasket, "<gasket fitted=\"%s\"/>", fitted);
    snprintf(parts, sizeof parts,
             "%s%s<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"watertight\" %s>%s"
             "</closure>",
             given, two_spaces, attribute, gasket);
    snprintf(log, sizeof log,
             "<test-log xmlns=\"urn:coaming:test-log:1\" arrangement=\"Test\">%s</test-log>",
             entries);
    char *text = arrangement_with(parts);
    coaming_ship *ship = NULL;
    coaming_error error;
    coaming_status status = ship_from_text(text, log, NULL, &ship, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    free(text);
    return ship;
}

static coaming_likelihood *likelihood_of(const coaming_ship *ship)
{
    coaming_likelihood *l = NULL;
    coaming_error error;
    double all = -1;
    coaming_status status = coaming_likelihood_new(ship, 0, &l, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    coaming_likelihood_all(ship, &all);
    ck_assert_double_eq(all, l->probability);
    return l;
}

static double probability_of(const char *given, const char *fitted, const char *entries)
{
    coaming_ship *ship = ship_with(given, "", fitted, entries);
    coaming_likelihood *l = likelihood_of(ship);
    double probability = l->probability;
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
    return probability;
}

/* Door with eta 4, beta 2, fitted 2022-01-01; ages are days / 365.25 and H = (age / 4)^2:
 *   2023-01-01  365 days, H .0624145  1 - exp(-H)                           .0605065871
 *       chalk passes: .2 x .0605066 / (.2 x .0605066 + .95 x .9394934)      .0133772375
 *   2024-07-01  912 days, H .3896630  1 - .9866228 exp(-(.3896630 - .0624145))  .2887392039
 *       hose fails: .9 x .2887392 / (.9 x .2887392 + .02 x .7112608)        .9481002955
 *   2024-07-03  914 days: aged two days more, then the dogs are taken up,
 *       which works with .9                                                 .9481890160, .0948189016
 *   2025-03-01  1155 days, from H(914) on                                   .2833892978
 *       chalk passes                                                        .0768557091
 *   2026-11-01  1765 days                                                   .5992600885
 * worked out with vectors and matrices by an independent program. */
START_TEST(a_log_step_by_step)
{
    static const struct {
        coaming_step_kind kind;
        const char *what;
        double days, before, after;
    } known[] = {{COAMING_STEP_FITTED, NULL, 0, 0, 0},
                 {COAMING_STEP_TEST, "chalk", 365, .0605065871072179, .013377237539772883},
                 {COAMING_STEP_TEST, "hose", 912, .2887392039310649, .9481002955248761},
                 {COAMING_STEP_REPAIR, "dogs", 914, .9481890159783171, .09481890159783171},
                 {COAMING_STEP_TEST, "chalk", 1155, .2833892978085045, .07685570908985523},
                 {COAMING_STEP_NOW, NULL, 1765, .5992600884723214, .5992600884723214}};
    char given[400];
    snprintf(given, sizeof given, "%s%s", doors_age, methods);
    coaming_ship *ship = ship_with(given, "", "2022-01-01",
                                   CHALK("2023-01-01", "pass") HOSE("2024-07-01", "fail")
                                       REPAIR("2024-07-03", "dogs") CHALK("2025-03-01", "pass"));
    coaming_likelihood *l = likelihood_of(ship);
    ck_assert_uint_eq(l->step_count, 6);
    for (size_t i = 0; i < 6; i++) {
        const coaming_step *s = &l->steps[i];
        ck_assert_int_eq(s->kind, known[i].kind);
        ck_assert(known[i].what ? s->what && !strcmp(s->what, known[i].what) : !s->what);
        is(s->age, known[i].days / 365.25, 1e-12);
        is(s->before, known[i].before, 1e-13);
        is(s->after, known[i].after, 1e-13);
    }
    is(l->steps[2].sensitivity, .9, 0);
    is(l->steps[2].specificity, .98, 0);
    ck_assert_int_eq(l->steps[1].result, COAMING_PASS);
    ck_assert_int_eq(l->steps[2].result, COAMING_FAIL);
    is(l->probability, .5992600884723214, 1e-13);
    is(l->steps[3].success, .9, 0);
    is(l->eta_years, 4, 0);
    is(l->beta, 2, 0);
    ck_assert(!l->ageing_assumed && !l->methods_assumed && !l->age_assumed);
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(never_tested_it_has_aged)
{
    /* 2022-01-01 to 2026-11-01: 1765 days */
    is(probability_of(doors_age, "2022-01-01", ""), -expm1(-pow(1765 / 365.25 / 4, 2)), 1e-14);
}
END_TEST

/* A repair works with .9, a new gasket with .95, or as the arrangement says; the gasket stays as old
 * as it was, unless it is a new one. 2025-11-01 is 1400 days after 2022-01-01 and 365 before
 * 2026-11-01. */
START_TEST(a_repair_works_with_a_chance)
{
    double before = -expm1(-pow(1400 / 365.25 / 4, 2));
    double old = -expm1(pow(1400 / 365.25 / 4, 2) - pow(1765 / 365.25 / 4, 2));
    double new = -expm1(-pow(365 / 365.25 / 4, 2)), left = .1 * before, least = .05 * before;
    static const char *const kept[] = {REPAIR("2025-11-01", "dogs"),
                                       REPAIR("2025-11-01", "knife-edge"),
                                       REPAIR("2025-11-01", "hinge")};
    for (int i = 0; i < 3; i++)
        is(probability_of(doors_age, "2022-01-01", kept[i]), left + (1 - left) * old, 1e-14);
    is(probability_of(doors_age, "2022-01-01", REPAIR("2025-11-01", "gasket")),
       least + (1 - least) * new, 1e-14);
    is(probability_of(doors_age, "2022-01-01", REPAIR("2025-11-01", "replaced")),
       least + (1 - least) * new, 1e-14);
    char given[400];
    snprintf(given, sizeof given, "%s<repairing action=\"dogs\" success=\"0.25\"/>", doors_age);
    left = .75 * before;
    is(probability_of(given, "2022-01-01", REPAIR("2025-11-01", "dogs")), left + (1 - left) * old,
       1e-14);
    snprintf(given, sizeof given, "%s<repairing action=\"gasket\" success=\"0\"/>", doors_age);
    is(probability_of(given, "2022-01-01", REPAIR("2025-11-01", "gasket")),
       before + (1 - before) * new, 1e-14);
}
END_TEST

/* Failed, dogs, failed again: .1 x .9 and more is left, and the second failure raises it. */
START_TEST(a_failed_retest_is_believed)
{
    double p = probability_of("", "2022-01-01",
                              CHALK("2026-11-01", "fail") REPAIR("2026-11-01", "dogs")
                                  CHALK("2026-11-01", "fail"));
    double before = coaming_weibull_failure(8, 1.5, 0, 1765 / 365.25);
    double left = .1 * coaming_after_test(before, .8, .95, COAMING_FAIL);
    is(p, coaming_after_test(left, .8, .95, COAMING_FAIL), 1e-14);
    ck_assert(p > 4 * left);
    /* on the day of fitting, when it was certain to be sound */
    p = probability_of("", "2026-11-01", CHALK("2026-11-01", "fail"));
    is(p, coaming_after_test(.05, .8, .95, COAMING_FAIL), 1e-14);
}
END_TEST

START_TEST(tests_of_an_older_gasket_do_not_count)
{
    is(probability_of(doors_age, "2022-01-01",
                      CHALK("2021-05-01", "fail") HOSE("2021-12-31", "pass")),
       probability_of(doors_age, "2022-01-01", ""), 0);
    /* on the day it counts */
    coaming_ship *ship = ship_with(doors_age, "", "2022-01-01",
                                   CHALK("2021-12-31", "pass") CHALK("2022-01-01", "pass"));
    coaming_likelihood *l = likelihood_of(ship);
    ck_assert_uint_eq(l->step_count, 3); /* fitted, tested, now */
    is(l->steps[1].before, 0, 0);
    is(l->steps[1].after, 0, 0);
    is(l->probability, probability_of(doors_age, "2022-01-01", ""), 1e-15);
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
}
END_TEST

/* A failure of the older gasket that no test has cleared: its date of fitting tells as much as an
 * entry of its renewal would, and both tell of one renewal. 2021-05-01 is 245 days before
 * 2022-01-01, when the older gasket is supposed to be 2 years old, half of its 4. */
START_TEST(a_failure_that_stands_outlives_the_gasket)
{
    const char *failed = CHALK("2021-05-01", "fail"),
               *renewed = CHALK("2021-05-01", "fail") REPAIR("2022-01-01", "gasket");
    double then = 2 - 245 / 365.25;
    double p = coaming_after_test(coaming_weibull_failure(4, 2, 0, then), .8, .95, COAMING_FAIL);
    p += (1 - p) * coaming_weibull_failure(4, 2, then, 2);
    p *= .05;
    p += (1 - p) * coaming_weibull_failure(4, 2, 0, 1765 / 365.25);
    is(probability_of(doors_age, "2022-01-01", failed), p, 1e-14);
    is(probability_of(doors_age, "2022-01-01", renewed), p, 1e-14);
    is(probability_of(doors_age, NULL, renewed), p, 1e-14);
    /* one of another day is another renewal */
    is(probability_of(doors_age, "2022-01-01",
                      CHALK("2021-05-01", "fail") REPAIR("2023-06-01", "gasket")),
       probability_of(doors_age, NULL,
                      CHALK("2021-05-01", "fail") REPAIR("2022-01-01", "gasket")
                          REPAIR("2023-06-01", "gasket")),
       1e-14);
}
END_TEST

/* An age is assumed where an estimate goes by one and nobody says it: not of a gasket with a date, nor where the chance
 * is given. */
START_TEST(an_age_is_assumed_where_it_counts)
{
    static const struct {
        const char *attribute, *fitted;
        bool assumed;
    } doors[] = {{"", NULL, true},
                 {"", "2022-01-01", false},
                 {"leak-probability=\"0.25\"", NULL, false},
                 {"leak-probability=\"0.25\"", "2022-01-01", false}};
    for (int i = 0; i < 4; i++) {
        coaming_ship *ship = ship_with(doors_age, doors[i].attribute, doors[i].fitted, "");
        ck_assert_int_eq(coaming_likelihood_age_assumed(ship, 0), doors[i].assumed);
        ck_assert_uint_eq(coaming_likelihood_age_assumed_count(ship), doors[i].assumed);
        coaming_ship_free(ship);
    }
}
END_TEST

START_TEST(a_given_probability_replaces_the_estimate)
{
    coaming_ship *ship = ship_with(doors_age, "leak-probability=\"0.25\"", "2022-01-01",
                                   CHALK("2025-03-01", "fail"));
    coaming_likelihood *l = likelihood_of(ship);
    ck_assert_double_eq(l->probability, 0.25);
    ck_assert_uint_eq(l->step_count, 1);
    ck_assert_int_eq(l->steps[0].kind, COAMING_STEP_GIVEN);
    ck_assert_double_eq(l->steps[0].after, 0.25);
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
    ship = ship_with(doors_age, "leak-probability=\"0\"", NULL, "");
    l = likelihood_of(ship);
    ck_assert_double_eq(l->probability, 0);
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
}
END_TEST

/* A ship as of 2026-11-01 with doors D (its gasket of unknown age) and others, each with a date of
 * fitting or NULL. */
static coaming_likelihood *likelihood_among(const char *attribute, const char *entries,
                                            const char *const *others)
{
    char text[3000] = "";
    snprintf(text, sizeof text, "%s", two_spaces);
    for (int i = 0; others[i]; i++) {
        size_t used = strlen(text);
        snprintf(text + used, sizeof text - used,
                 "<closure id=\"O%d\" kind=\"door\" between=\"a b\" rating=\"watertight\">"
                 "<gasket fitted=\"%s\"/></closure>",
                 i, others[i]);
    }
    size_t used = strlen(text);
    snprintf(text + used, sizeof text - used,
             "<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"watertight\" %s>%s"
             "</closure>",
             attribute, entries);
    char *all = arrangement_with(text);
    coaming_ship *ship = NULL;
    coaming_error error;
    coaming_likelihood *l = NULL;
    coaming_status status = ship_from_text(all, NULL, NULL, &ship, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    ck_assert_int_eq(coaming_likelihood_new(ship, (int)ship->closure_count - 1, &l, &error),
                     COAMING_OK);
    free(all);
    coaming_ship_free(ship);
    return l;
}

static void supposed(const char *attribute, const char *entries, const char *const *others,
                     double years, size_t known)
{
    coaming_likelihood *l = likelihood_among(attribute, entries, others);
    is(l->supposed_age, years, 1e-12);
    ck_assert_uint_eq(l->known_age_count, known);
    ck_assert(l->age_assumed);
    coaming_likelihood_free(l);
}

#define OWN(date) "<test date=\"" date "\" method=\"chalk\" result=\"pass\"/>"

/* Days before 2026-11-01: 2025-11-01 365, 2024-11-01 730, 2022-11-01 1461; their mean 852. A door's
 * characteristic life is assumed as 8 years. */
START_TEST(an_unknown_age_is_the_mean_of_the_known_or_half_a_life)
{
    static const char *const none[] = {NULL}, *const two[] = {"2025-11-01", "2024-11-01", NULL};
    static const char *const three[] = {"2025-11-01", "2024-11-01", "2022-11-01", NULL};
    double mean = 852 / 365.25;
    supposed("", "", none, 4, 0);
    supposed("", "", two, 4, 0);
    supposed("", "", three, mean, 3);
    supposed("", OWN("2026-01-01"), three, mean, 3);
    supposed("", OWN("2023-11-01"), three, 1096 / 365.25, 3); /* it was there at its first entry */
    supposed("", OWN("2020-11-01"), none, 2191 / 365.25, 0);
    supposed("fitted=\"2025-11-01\"", OWN("2026-01-01"), three, 365 / 365.25, 3); /* no older */
    supposed("fitted=\"2001-11-01\"", "", three, mean, 3);
    coaming_likelihood *l = likelihood_among("", "", three);
    is(l->probability, coaming_weibull_failure(8, 1.5, 0, mean), 1e-14);
    ck_assert_uint_eq(l->step_count, 1); /* no step for a fitting that is not known */
    coaming_likelihood_free(l);
}
END_TEST

START_TEST(what_is_not_given_is_said_to_be_assumed)
{
    coaming_ship *ship = ship_with("", "", "2022-01-01", "");
    coaming_likelihood *l = likelihood_of(ship);
    ck_assert(l->ageing_assumed && !l->methods_assumed && !l->age_assumed);
    is(l->probability, coaming_weibull_failure(l->eta_years, l->beta, 0, 1765 / 365.25), 1e-15);
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
    ship = ship_with(doors_age, "", "2022-01-01", CHALK("2025-03-01", "pass"));
    l = likelihood_of(ship);
    ck_assert(!l->ageing_assumed && l->methods_assumed);
    coaming_likelihood_free(l);
    coaming_ship_free(ship);
}
END_TEST

/* What was done to an older gasket says nothing of this one. */
START_TEST(a_repair_before_the_gasket_does_not_count)
{
    coaming_ship *with = ship_with(doors_age, "", "2022-01-01", REPAIR("2021-06-01", "dogs"));
    coaming_ship *without = ship_with(doors_age, "", "2022-01-01", "");
    double one, other;
    coaming_likelihood_all(with, &one);
    coaming_likelihood_all(without, &other);
    ck_assert_double_eq(one, other);
    coaming_ship_free(with);
    coaming_ship_free(without);
}
END_TEST

/* Against hidden histories. */

typedef struct {
    double day; /* since the gasket was fitted */
    int kind;   /* 0 chalk, 1 hose, 2 dogs, 3 gasket */
    bool fails;
} entry;

/* The probability of a hidden history and of all results in it: bit i says that the closure leaks
 * just before entry i. A repair of one that leaks leaves it so with .1, a new gasket with .05. */
static double history(const entry *entries, int count, unsigned leaks, double now, bool leaks_now)
{
    static const double fails[2][2] = {{.05, .8}, {.02, .9}}; /* method; sound, leaking */
    double probability = 1, from = 0, fitted = 0, left = 0; /* how likely it leaks after an entry */
    for (int i = 0; i <= count; i++) {
        double day = i < count ? entries[i].day : now;
        bool then = i < count ? leaks >> i & 1 : leaks_now;
        double sound =
            exp(pow((from - fitted) / 365.25 / 4, 2) - pow((day - fitted) / 365.25 / 4, 2));
        probability *= then ? left + (1 - left) * (1 - sound) : (1 - left) * sound;
        left = then;
        from = day;
        if (i < count && entries[i].kind < 2) {
            double f = fails[entries[i].kind][then];
            probability *= entries[i].fails ? f : 1 - f;
        } else if (i < count) {
            left *= entries[i].kind == 3 ? .05 : .1;
            fitted = entries[i].kind == 3 ? day : fitted;
        }
    }
    return probability;
}

static void write_entry(char *text, size_t room, const entry *e)
{
    static const char *const kinds[] = {"chalk", "hose", "dogs", "gasket"};
    coaming_date fitted;
    char date[COAMING_DATE_TEXT];
    ck_assert(coaming_date_parse("2022-01-01", &fitted));
    coaming_date_format(fitted + (coaming_date)e->day, date);
    size_t used = strlen(text);
    if (e->kind < 2)
        snprintf(text + used, room - used,
                 "<test closure=\"D\" date=\"%s\" method=\"%s\" result=\"%s\"/>", date,
                 kinds[e->kind], e->fails ? "fail" : "pass");
    else
        snprintf(text + used, room - used, "<repair closure=\"D\" date=\"%s\" action=\"%s\"/>",
                 date, kinds[e->kind]);
}

START_TEST(a_log_agrees_with_all_hidden_histories)
{
    dice d = {(uint64_t)_i};
    entry entries[8];
    int count = dice_below(&d, 9);
    char text[1500] = "", given[400];
    for (int i = 0; i < count; i++) {
        double last = i > 0 ? entries[i - 1].day : 1; /* on day 0 it is certain to be sound */
        entries[i] = (entry){last + dice_below(&d, 220), dice_below(&d, 4), dice_below(&d, 3) == 0};
        write_entry(text, sizeof text, &entries[i]);
    }
    double leaks = 0, holds = 0;
    for (unsigned hidden = 0; hidden >> count == 0; hidden++) {
        leaks += history(entries, count, hidden, 1765, true);
        holds += history(entries, count, hidden, 1765, false);
    }
    snprintf(given, sizeof given, "%s%s", doors_age, methods);
    is(probability_of(given, "2022-01-01", text), leaks / (leaks + holds), 1e-12);
}
END_TEST

START_TEST(out_of_memory_is_told)
{
    coaming_ship *ship = ship_with(doors_age, "", "2022-01-01", CHALK("2025-03-01", "pass"));
    coaming_likelihood *l = NULL;
    coaming_error error;
    for (size_t n = 1; n <= 2; n++) {
        memory_fail_at(n);
        ck_assert_int_eq(coaming_likelihood_new(ship, 0, &l, &error), COAMING_MEMORY);
        ck_assert_ptr_null(l);
    }
    memory_fail_at(3);
    ck_assert_int_eq(coaming_likelihood_new(ship, 0, &l, &error), COAMING_OK);
    memory_fail_at(0);
    coaming_likelihood_free(l);
    coaming_likelihood_free(NULL);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("likelihood");
    TCase *steps = tcase_create("steps");
    tcase_add_test(steps, ageing_by_weibull);
    tcase_add_test(steps, bayes_as_taught);
    tcase_add_test(steps, tests_that_tell_nothing_or_everything);
    tcase_add_test(steps, average_between_tests);
    suite_add_tcase(suite, steps);
    TCase *logs = tcase_create("logs");
    tcase_add_test(logs, a_log_step_by_step);
    tcase_add_test(logs, never_tested_it_has_aged);
    tcase_add_test(logs, a_repair_works_with_a_chance);
    tcase_add_test(logs, a_failed_retest_is_believed);
    tcase_add_test(logs, a_failure_that_stands_outlives_the_gasket);
    tcase_add_test(logs, tests_of_an_older_gasket_do_not_count);
    tcase_add_test(logs, a_given_probability_replaces_the_estimate);
    tcase_add_test(logs, an_age_is_assumed_where_it_counts);
    tcase_add_test(logs, an_unknown_age_is_the_mean_of_the_known_or_half_a_life);
    tcase_add_test(logs, what_is_not_given_is_said_to_be_assumed);
    tcase_add_test(logs, a_repair_before_the_gasket_does_not_count);
    tcase_add_loop_test(logs, a_log_agrees_with_all_hidden_histories, 0, 100);
    tcase_add_test(logs, out_of_memory_is_told);
    tcase_add_test(logs, assumptions_are_of_the_words_beside_them);
    suite_add_tcase(suite, logs);
    return run_suite(suite);
}
