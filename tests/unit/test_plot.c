/* Plots against time: ticks, names that are kept apart, lines that are told apart without colour. */
#include <math.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>

#include "present/form/palette.h"
#include "present/form/plot.h"
#include "runner.h"

static double last_of(plot_ticks t)
{
    return t.from + t.step * (t.count - 1);
}

/* --- ticks --- */

START_TEST(ticks_take_in_what_is_shown_and_are_few)
{
    for (int low = -40; low < 40; low++)
        for (int power = -12; power < 20; power++)
            for (int most = 2; most < 9; most++) {
                double span = pow(1.7, power);
                plot_ticks t = plot_ticks_of(low / 7.0, low / 7.0 + span, most);
                double hair = 1e-6 * span;
                CLAIM(t.from <= low / 7.0 + hair && last_of(t) >= low / 7.0 + span - hair,
                      "%d/7 and %g: %g to %g", low, span, t.from, last_of(t));
                CLAIM(t.count >= 2 && t.count <= most + 2, "%g by %g: %d", span, t.step, t.count);
                double lead = t.step / pow(10, floor(log10(t.step) + 1e-9));
                CLAIM(fabs(lead - 1) < 1e-6 || fabs(lead - 2) < 1e-6 || fabs(lead - 5) < 1e-6,
                      "step %g", t.step);
            }
}
END_TEST

START_TEST(nothing_to_show_still_has_two_ticks)
{
    plot_ticks zero = plot_ticks_of(0, 0, 5), level = plot_ticks_of(3.2, 3.2, 5);
    ck_assert_int_ge(zero.count, 2);
    ck_assert(level.from <= 3.2 && last_of(level) > 3.2);
    ck_assert_int_ge(plot_time_ticks(0, 0, 6).count, 2);
}
END_TEST

START_TEST(time_goes_by_steps_that_clocks_have)
{
    static const struct {
        double high, step;
        const char *unit;
    } rows[] = {{60, 10, "s"},         {120, 30, "s"},     {600, 120, "min"},
                {1800, 300, "min"},    {3600, 600, "min"}, {7200, 1800, "min"},
                {6 * 3600, 3600, "h"}, {86400, 21600, "h"}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        double seconds;
        ck_assert_double_eq(plot_time_ticks(0, rows[i].high, 6).step, rows[i].step);
        ck_assert_str_eq(plot_time_unit(rows[i].high, &seconds), rows[i].unit);
        ck_assert_double_eq(seconds, *rows[i].unit == 's' ? 1 : *rows[i].unit == 'm' ? 60 : 3600);
    }
}
END_TEST

/* --- names --- */

START_TEST(names_are_kept_apart_and_within)
{
    unsigned seed = 7;
    for (int turn = 0; turn < 2000; turn++) {
        double places[PLOT_LINES], before[PLOT_LINES];
        size_t count = 1 + (size_t)turn % PLOT_LINES;
        for (size_t i = 0; i < count; i++) {
            seed = seed * 1103515245u + 12345u;
            places[i] = (i ? places[i - 1] : 20) + seed / 65536 % 12;
        }
        memcpy(before, places, sizeof places);
        plot_spread(places, count, 10, 20, 120);
        bool free = true;
        for (size_t i = 0; i < count; i++) {
            CLAIM(places[i] >= 20 - 1e-9 && places[i] <= 120 + 1e-9, "%g", places[i]);
            CLAIM(!i || places[i] - places[i - 1] >= 10 - 1e-9, "%g after %g", places[i],
                  places[i - 1]);
            free = free && (!i || before[i] - before[i - 1] >= 10) && before[i] <= 120;
        }
        CLAIM(!free || !memcmp(before, places, count * sizeof *places), "moved without need");
    }
}
END_TEST

/* --- lines --- */

START_TEST(lines_differ_without_colour)
{
    for (int i = 0; i < PLOT_LINES; i++) {
        ck_assert_double_ge(plot_lines[i].weight, 0.5);
        for (int j = 0; j < i; j++)
            ck_assert_msg(strcmp(plot_lines[i].dash, plot_lines[j].dash) ||
                              fabs(plot_lines[i].weight - plot_lines[j].weight) >= 1,
                          "lines %d and %d", i, j);
    }
}
END_TEST

/* --- the whole --- */

/* In room that the next call uses again. */
static const char *written(const plot *p)
{
    static char text[1 << 16];
    FILE *out = fmemopen(text, sizeof text, "w");
    plot_write(out, p);
    ck_assert_int_eq(ferror(out), 0);
    fclose(out);
    return text;
}

static int times_of(const char *text, const char *what)
{
    int count = 0;
    for (const char *at = text; (at = strstr(at, what)); at += strlen(what))
        count++;
    return count;
}

static const double minutes[] = {0, 60, 120, 180, 240};

static plot small_plot(const char *title, const char *unit, const plot_series *series, size_t count)
{
    return (plot){.title = title,
                  .unit = unit,
                  .t = minutes,
                  .count = 5,
                  .series = series,
                  .series_count = count,
                  .least = NAN,
                  .most = NAN,
                  .width = 400,
                  .height = 160};
}

START_TEST(a_value_stands_where_the_scale_says)
{
    const double y[] = {0, 1, 2, 3, 4};
    plot p = small_plot("level", "m", &(plot_series){"a", y}, 1);
    const char *text = written(&p), *at = strstr(text, "data-name=\"a\"");
    double x[5], v[5];
    ck_assert_ptr_nonnull(at);
    at = strstr(at, " d=\"M");
    ck_assert_int_eq(sscanf(at, " d=\"M%lf %lfL%lf %lfL%lf %lfL%lf %lfL%lf %lf\"", &x[0], &v[0],
                            &x[1], &v[1], &x[2], &v[2], &x[3], &v[3], &x[4], &v[4]),
                     10);
    for (int i = 1; i < 5; i++) {
        ck_assert_double_eq_tol(x[i] - x[i - 1], x[1] - x[0], 0.02);
        ck_assert_double_eq_tol(v[i - 1] - v[i], v[0] - v[1], 0.02);
        ck_assert_double_gt(v[i - 1], v[i]);
    }
    ck_assert_ptr_nonnull(strstr(text, ">4</text>"));
    ck_assert_ptr_nonnull(strstr(text, ">min</text>"));
    ck_assert_ptr_nonnull(strstr(text, "level, m"));
}
END_TEST

START_TEST(what_has_no_value_breaks_the_line)
{
    const double y[] = {0, 1, NAN, 3, NAN}, none[] = {NAN, NAN, NAN, NAN, NAN};
    plot p = small_plot("t", "", (plot_series[]){{"gaps", y}, {"nothing", none}}, 2);
    const char *text = written(&p);
    const char *way = strstr(strstr(text, "data-name=\"gaps\""), " d=\"") + 4;
    char kept[80] = "";
    snprintf(kept, sizeof kept, "%.*s", (int)strcspn(way, "\""), way);
    ck_assert_int_eq(times_of(kept, "M"), 2);
    ck_assert_int_eq(times_of(kept, "L"), 1);
    ck_assert_ptr_nonnull(strstr(text, ">gaps</text>"));
    ck_assert_ptr_null(strstr(text, ">nothing</text>"));
    ck_assert_ptr_null(strstr(text, "nan"));
}
END_TEST

/* The places of a line, in the order of its path. */
static size_t places_of(const char *text, const char *name, double xy[][2], size_t most)
{
    char mark[40];
    size_t count = 0;
    snprintf(mark, sizeof mark, "data-name=\"%s\"", name);
    const char *at = strstr(text, mark);
    ck_assert_ptr_nonnull(at);
    at = strstr(at, " d=\"") + 4;
    while (*at != '"' && count < most) {
        int length = 0;
        ck_assert_int_eq(sscanf(at, "%*[ML]%lf %lf%n", &xy[count][0], &xy[count][1], &length), 2);
        count++;
        at += length;
    }
    return count;
}

static double level_at(const char *text, const char *name)
{
    char mark[40];
    double x, y;
    snprintf(mark, sizeof mark, "data-name=\"%s\" d=", name);
    ck_assert_ptr_nonnull(strstr(text, mark));
    ck_assert_int_eq(sscanf(strstr(text, mark) + strlen(mark), "\"M%lf %lfH", &x, &y), 2);
    return y;
}

START_TEST(decades_are_evenly_apart_and_what_is_below_comes_in_at_the_foot)
{
    const double y[] = {0, 10, 100, 1000, 0.1};
    const plot_level levels[] = {{1, "one"}, {10, "ten"}, {100, "hundred"}, {5000, "above"}};
    double xy[64][2];
    plot p = small_plot("share", "ppm", &(plot_series){"a", y}, 1);
    p.decades = p.bounded = true;
    p.least = 1;
    p.most = 1000;
    p.levels = levels;
    p.level_count = 4;
    const char *text = written(&p);
    double foot = level_at(text, "one"), step = level_at(text, "ten") - level_at(text, "hundred");
    ck_assert_double_eq_tol(foot - level_at(text, "ten"), step, 0.02);
    ck_assert_ptr_null(strstr(text, ">above</text>"));
    size_t count = places_of(text, "a", xy, 64);
    ck_assert_uint_gt(count, 5);
    ck_assert_double_eq_tol(xy[0][1], foot, 0.02);
    ck_assert_double_eq_tol(xy[count - 1][1], foot, 0.02);
    for (size_t i = 0; i < count; i++) { /* in the frame; and evenly in value from 0 to 10 */
        ck_assert_double_le(xy[i][1], foot + 0.03);
        ck_assert_double_ge(xy[i][1], foot - 3 * step - 0.03);
    }
    double quarter = 0, minute = 0;
    for (size_t i = 0; i < count; i++)
        if (fabs(xy[i][1] - (foot - step)) < 0.02)
            minute = minute > 0 ? minute : xy[i][0];
    for (size_t i = 0; i < count && xy[i][0] < minute; i++)
        if (fabs(xy[i][1] - (foot - step / 2)) < 0.02) /* the root of 10 */
            quarter = xy[i][0];
    double first = minute - (minute - xy[0][0]) / 0.9; /* it comes in at a tenth of the way */
    ck_assert_double_eq_tol(quarter, first + sqrt(0.1) * (minute - first), 0.05);
}
END_TEST

START_TEST(a_bounded_line_goes_out_at_the_edge_and_comes_in_there)
{
    const double y[] = {0, 2, 0, 0, 1};
    double xy[16][2];
    plot p = small_plot("dose", "", &(plot_series){"a", y}, 1);
    p.bounded = true;
    p.least = 0;
    p.most = 1;
    const char *text = written(&p);
    ck_assert_uint_eq(places_of(text, "a", xy, 16), 6);
    double top = xy[1][1], foot = xy[0][1];
    double minute = xy[4][0] - xy[3][0];                            /* a minute, whole */
    ck_assert_double_eq_tol(xy[1][0] - xy[0][0], minute / 2, 0.05); /* half of the way to 2 */
    ck_assert_double_eq_tol(xy[2][1], top, 0.02);
    ck_assert_double_eq_tol(xy[2][0] - xy[1][0], minute, 0.05);
    ck_assert_double_eq_tol(xy[3][1], foot, 0.02);
    ck_assert_double_eq_tol(xy[5][1], top, 0.02);
}
END_TEST

START_TEST(a_line_goes_through_its_dots)
{
    const double y[] = {0, 1, 2, 3, 4}, other[] = {4, 4, 4, 4, 4};
    const plot_dot dots[] = {{0, 90, 1.9}, {1, 100, 4}, {0, 150, 2.1}};
    double xy[16][2];
    plot p = small_plot("t", "", (plot_series[]){{"a", y}, {"b", other}}, 2);
    p.dots = dots;
    p.dot_count = 3;
    const char *text = written(&p);
    ck_assert_uint_eq(places_of(text, "a", xy, 16), 7);
    ck_assert_double_eq_tol(xy[2][0], (xy[1][0] + xy[3][0]) / 2, 0.02);
    ck_assert_double_eq_tol(xy[0][1] - xy[2][1], 1.9 / 4 * (xy[0][1] - xy[6][1]), 0.02);
    ck_assert_int_eq(times_of(text, "<circle"), 3);
    ck_assert_uint_eq(places_of(text, "b", xy, 16), 6);
}
END_TEST

START_TEST(a_name_too_long_is_cut_between_signs)
{
    const double y[] = {0, 1, 2, 3, 4};
    char name[301] = "";
    for (int i = 0; i < 100; i++)
        memcpy(name + 3 * i, "\346\260\264", 3);
    plot p = small_plot("t", "", &(plot_series){name, y}, 1);
    ck_assert_ptr_nonnull(strstr(written(&p), "\346\260\264~</text>"));
}
END_TEST

START_TEST(what_is_named_cannot_break_the_page)
{
    const double y[] = {0, 1, 2, 3, 4};
    plot_series many[PLOT_LINES + 3];
    for (int i = 0; i < PLOT_LINES + 3; i++)
        many[i] = (plot_series){"<&\">", y};
    plot p = small_plot("a<b", "\"", many, PLOT_LINES + 3);
    p.least = 0;
    p.most = 9;
    p.marks = (plot_mark[]){{60, "1"}, {61, "2"}, {1e9, "far"}};
    p.mark_count = 3;
    const char *text = written(&p);
    ck_assert_ptr_null(strstr(text, "<&"));
    ck_assert_int_eq(times_of(text, "&lt;&amp;&quot;&gt;</text>"), PLOT_LINES);
    ck_assert_ptr_nonnull(strstr(text, ">1</text>"));
    ck_assert_ptr_null(strstr(text, ">far</text>"));
    ck_assert_int_eq(times_of(text, "stroke-dasharray=\"1 2\""), 2);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("plot");
    TCase *tcase = tcase_create("plot");
    tcase_add_test(tcase, ticks_take_in_what_is_shown_and_are_few);
    tcase_add_test(tcase, nothing_to_show_still_has_two_ticks);
    tcase_add_test(tcase, time_goes_by_steps_that_clocks_have);
    tcase_add_test(tcase, names_are_kept_apart_and_within);
    tcase_add_test(tcase, lines_differ_without_colour);
    tcase_add_test(tcase, a_value_stands_where_the_scale_says);
    tcase_add_test(tcase, what_has_no_value_breaks_the_line);
    tcase_add_test(tcase, decades_are_evenly_apart_and_what_is_below_comes_in_at_the_foot);
    tcase_add_test(tcase, a_bounded_line_goes_out_at_the_edge_and_comes_in_there);
    tcase_add_test(tcase, a_line_goes_through_its_dots);
    tcase_add_test(tcase, a_name_too_long_is_cut_between_signs);
    tcase_add_test(tcase, what_is_named_cannot_break_the_page);
    suite_add_tcase(suite, tcase);
    return run_suite(suite);
}
