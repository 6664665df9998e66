/* Words that text, drawings and the report share: percentages, lateness, levels, chances; and pages
 * that lack an answer. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "present/form/style.h"
#include "present/tell/chance_words.h"
#include "present/tell/flood_words.h"
#include "present/tell/late_words.h"
#include "present/tell/place_words.h"
#include "present/tell/survival_words.h"
#include "runner.h"
#include "ships.h"

/* --- percentages --- */

/* Half a unit of the last place that the rule in style.h gives. */
static double rounding(double value)
{
    return value >= 10 ? 0.05 : value >= 0.1 ? 0.005 : 0.0005;
}

START_TEST(a_percentage_is_the_share_to_the_place_that_the_rule_gives)
{
    char words[SHOWN];
    for (int i = 1; i < 100000; i++) {
        double share = i / 100000.0, told = 0;
        CLAIM(strlen(percent(words, share)) < 15, "%g: '%s'", share, words);
        if (share >= 0.9995) {
            CLAIM(!strcmp(words, "over 99.9 %"), "%g: '%s'", share, words);
            continue;
        }
        CLAIM(sscanf(words, "%lf %%", &told) == 1, "%g: '%s'", share, words);
        CLAIM(fabs(told - 100 * share) <= rounding(100 * share) + 1e-12, "%g: '%s'", share, words);
    }
}
END_TEST

START_TEST(no_percentage_rounds_to_nothing_or_to_all)
{
    char words[SHOWN];
    for (double share = 0.1; share > 1e-300; share /= 3) {
        CLAIM(strcmp(percent(words, share), "0 %") != 0, "%g", share);
        CLAIM(strcmp(percent(words, 1 - share), "100 %") != 0 || 1 - share == 1, "1 - %g", share);
    }
    ck_assert_str_eq(percent(words, 0), "0 %");
    ck_assert_str_eq(percent(words, 1), "100 %");
    ck_assert_str_eq(percent(words, 1e-6), "under 0.001 %");
    ck_assert_str_eq(percent(words, nextafter(1, 0)), "over 99.9 %");
}
END_TEST

START_TEST(zeros_at_the_end_of_a_percentage_are_not_written)
{
    char words[SHOWN];
    ck_assert_str_eq(percent(words, 0.95), "95 %");
    ck_assert_str_eq(percent(words, 0.205), "20.5 %");
    ck_assert_str_eq(percent(words, 0.0301), "3.01 %");
    ck_assert_str_eq(percent(words, 0.03), "3 %");
    ck_assert_str_eq(percent(words, 0.00021), "0.021 %");
    ck_assert_str_eq(percent(words, 0.09996), "10 %");
}
END_TEST

START_TEST(a_sign_of_percent_stays_with_its_number)
{
    enum { LINES = 30 };
    for (int columns = 40; columns < 60; columns++) {
        coaming_style style = {.columns = columns};
        char text[4000] = "";
        FILE *out = fmemopen(text, sizeof text, "w");
        for (int i = 0; i < LINES; i++)
            ck_assert(print_line(out, style, 0, 2, "%.*s holds with 57.9 %% and 14.75 %%; so", i,
                                 "abcdefghijklmnopqrstuvwxyzabcdefgh"));
        fclose(out);
        ck_assert_ptr_null(strstr(text, "\n  %"));
        ck_assert_ptr_nonnull(strstr(text, "\n  14.75 %"));
    }
}
END_TEST

/* --- lateness --- */

START_TEST(a_test_is_late_by_days_or_was_never_done)
{
    char words[SHOWN];
    coaming_due_row row = {.method = "chalk", .due = 100, .late = 40, .overdue = true};
    ck_assert_str_eq(late_words(words, &row), "40 d over");
    row.late = 0;
    ck_assert_str_eq(late_words(words, &row), "today");
    row.late = -12;
    ck_assert_str_eq(late_words(words, &row), "in 12 d");
    ck_assert_str_eq(late_alone_words(words, &row), "in 12 d");
    row.due = COAMING_NO_DATE;
    row.late = 0;
    ck_assert_str_eq(late_words(words, &row), "never done");
    ck_assert_str_eq(late_alone_words(words, &row), "chalk never done");
}
END_TEST

/* --- risk --- */

START_TEST(no_risk_is_told_with_what_it_leaves_out)
{
    char words[SHOWN];
    coaming_risk_row row = {.risk_error = NAN, .risk_limit = NAN};
    ck_assert_str_eq(risk_words(words, COAMING_MEASURE_VOLUME, &row, false), "0 m3");
    ck_assert_str_eq(risk_words(words, COAMING_MEASURE_VOLUME, &row, true),
                     "0 m3, though she does not stay afloat if it fails");
    row = (coaming_risk_row){.repair_gain = 3.25, .risk_error = 0.125, .risk_limit = NAN};
    ck_assert_str_eq(risk_words(words, COAMING_MEASURE_WORTH, &row, true),
                     "3.25 (standard error 0.125)");
    row = (coaming_risk_row){.repair_gain = 3.25, .risk_error = NAN, .risk_limit = 0.5};
    ck_assert_str_eq(risk_words(words, COAMING_MEASURE_WORTH, &row, false),
                     "3.25 (never seen to vary; at most 0.5)");
}
END_TEST

START_TEST(what_passes_whatever_its_gasket_has_no_chance)
{
    char words[SHOWN];
    coaming_risk_row row = {.risk = 2, .repair_gain = 0};
    ck_assert_str_eq(leak_words(words, 0.1475, &row), "passes whatever its gasket");
    row.repair_gain = 1;
    ck_assert_str_eq(leak_words(words, 0.1475, &row), "14.8 %");
    ck_assert_str_eq(leak_words(words, 0.1475, NULL), "14.8 %");
}
END_TEST

/* What of it is sound by itself is never said to be better left failed. */
START_TEST(what_a_closure_gives_back_is_told_by_its_sign)
{
    char words[SHOWN];
    coaming_survival_closure c = {.tested_gain = 0.1092};
    ck_assert_str_eq(gain_words(words, &c), "sound, it alone gives back 0.1092");
    c.tested_gain = -0.0018;
    ck_assert_str_eq(gain_words(words, &c),
                     "sound alone, it costs 0.0018 more: in some damage she lies better with the "
                     "water that it lets by; it is still to be made good");
    c.tested_gain = 0;
    ck_assert_str_eq(gain_words(words, &c), "sound alone, it gives back nothing");
    c.tested_gain = -1e-17; /* rounding */
    ck_assert_str_eq(gain_words(words, &c), "sound alone, it gives back nothing");
    c.tested_gain = 1e-6;
    ck_assert_str_eq(gain_words(words, &c), "sound, it alone gives back under 0.0001");
}
END_TEST

START_TEST(a_stretch_is_told_by_frames_where_she_has_them)
{
    char words[SHOWN];
    coaming_ship ship = {0};
    ck_assert_str_eq(stretch_words(words, &ship, 7.25, 12), "x 7.25 to 12 m");
    ck_assert_str_eq(stretch_words(words, &ship, -1e-9, 0.004), "x 0 to 0 m");
    ship.frames = (frames){.given = true, .zero = 60, .spacing = -0.6}; /* from forward */
    ck_assert_str_eq(stretch_words(words, &ship, 0, 59.7), "frames 0.5 to 100");
}
END_TEST

/* --- pages --- */

START_TEST(a_page_that_lacks_an_answer_is_refused_and_nothing_written)
{
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    coaming_style style = {COAMING_TEXT, false, 80};
    coaming_round_options how = coaming_round_options_default();
    coaming_round *round = NULL;
    coaming_due *due = NULL;
    coaming_readings *none = NULL;
    const int closure = 0;
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    ck_assert_int_eq(coaming_round_new(ship, &how, &closure, 1, &round, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_due_new(ship, &due, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_readings_new(ship, &closure, 0, &none, NULL), COAMING_OK);
    coaming_rank_options rank = {.query = coaming_query_default()};
    coaming_plan_answer plan = {.query = rank.query};
    coaming_check_answer check = {"barge.xml", NULL, ship, NULL};
    for (int f = 0; f < 2; f++) {
        style.format = f ? COAMING_JSON : COAMING_TEXT;
        ck_assert_int_eq(coaming_print_expose(out, style, NULL, NULL, NULL), COAMING_USAGE);
        ck_assert_int_eq(coaming_print_hold(out, style, NULL, NULL, NULL), COAMING_USAGE);
        ck_assert_int_eq(coaming_print_boundary(out, style, NULL, NULL, NULL), COAMING_USAGE);
        ck_assert_int_eq(
            coaming_print_survival(out, style, &(coaming_survival_rows){.top = 0}, NULL),
            COAMING_USAGE);
        ck_assert_int_eq(coaming_print_rank(out, style, ship, &rank, NULL), COAMING_USAGE);
        ck_assert_int_eq(coaming_print_plan(out, style, ship, &plan, NULL), COAMING_USAGE);
        ck_assert_int_eq(coaming_print_check(out, style, &check, NULL), COAMING_USAGE);
        coaming_round_answer read = {ship, &how, round, due, NULL};
        ck_assert_int_eq(coaming_print_round(out, style, &read, NULL), COAMING_USAGE);
        read.readings = none;
        ck_assert_int_eq(coaming_print_round(out, style, &read, NULL), COAMING_USAGE);
    }
    fclose(out);
    ck_assert_uint_eq(size, 0);
    free(text);
    coaming_readings_free(none);
    coaming_due_free(due);
    coaming_round_free(round);
    coaming_ship_free(ship);
}
END_TEST

/* --- times --- */

/* What "1 h 05 min" and "2 min 10 s" stand for. */
static double lapse_read(const char *words)
{
    double sum = 0, number;
    char unit[8];
    for (int used; sscanf(words, "%lf %7[a-z]%n", &number, unit, &used) == 2; words += used)
        sum += number * (*unit == 'h' ? 3600 : *unit == 'm' ? 60 : 1);
    return sum;
}

START_TEST(a_lapse_reads_back_to_the_place_that_it_is_told)
{
    char words[SHOWN];
    for (int i = 0; i < 200000; i++) {
        double t = i * 0.37, off = t < 9.95 ? 0.05 : t < 3599.5 ? 0.5 : 30.5;
        lapse_words(words, t);
        CLAIM(fabs(lapse_read(words) - t) <= off + 1e-9, "%g: '%s'", t, words);
        CLAIM(strlen(words) <= 12, "%g: '%s'", t, words);
        CLAIM(!strstr(words, "60 s") && !strstr(words, " 60 min"), "%g: '%s'", t, words);
    }
    ck_assert_str_eq(lapse_words(words, 0), "0 s");
    ck_assert_str_eq(lapse_words(words, 59.7), "1 min");
    ck_assert_str_eq(lapse_words(words, 130), "2 min 10 s");
    ck_assert_str_eq(lapse_words(words, 3599.7), "1 h");
    ck_assert_str_eq(lapse_words(words, 3900), "1 h 05 min");
    ck_assert_str_eq(clock_words(words, 130), "2:10");
    ck_assert_str_eq(clock_words(words, 3605), "1:00:05");
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("words");
    TCase *percentages = tcase_create("percentages"), *others = tcase_create("others");
    tcase_add_test(percentages, a_percentage_is_the_share_to_the_place_that_the_rule_gives);
    tcase_add_test(percentages, no_percentage_rounds_to_nothing_or_to_all);
    tcase_add_test(percentages, zeros_at_the_end_of_a_percentage_are_not_written);
    tcase_add_test(percentages, a_lapse_reads_back_to_the_place_that_it_is_told);
    tcase_add_test(percentages, a_sign_of_percent_stays_with_its_number);
    tcase_add_test(others, a_test_is_late_by_days_or_was_never_done);
    tcase_add_test(others, no_risk_is_told_with_what_it_leaves_out);
    tcase_add_test(others, what_passes_whatever_its_gasket_has_no_chance);
    tcase_add_test(others, what_a_closure_gives_back_is_told_by_its_sign);
    tcase_add_test(others, a_stretch_is_told_by_frames_where_she_has_them);
    tcase_add_test(others, a_page_that_lacks_an_answer_is_refused_and_nothing_written);
    suite_add_tcase(suite, percentages);
    suite_add_tcase(suite, others);
    return run_suite(suite);
}
