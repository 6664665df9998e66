/*
 * Which of its two places a closure names first says nothing: with all of them turned round, every analysis
 * answers the same.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runner.h"
#include "ships.h"

static void near(double a, double b, const char *what)
{
    CLAIM(fabs(a - b) <= 1e-9 * (1 + fabs(a)) || (isnan(a) && isnan(b)) || (isinf(a) && isinf(b)),
          "%s: %.12g and %.12g", what, a, b);
}

/* between="one two" becomes between="two one". */
static void turn_round(char *text)
{
    for (char *at = text; (at = strstr(at, "between=\""));) {
        char one[64], two[64], *first = at + strlen("between=\"");
        ck_assert_int_eq(sscanf(first, "%63[^ ] %63[^\"]", one, two), 2);
        at = first + sprintf(first, "%s %s", two, one);
        *at = '"';
    }
}

/* In her side, where wind finds it. */
static const char door_in_the_side[] =
    "<closure id=\"W\" kind=\"door\" between=\"machinery weather\" rating=\"weathertight\" "
    "shut-in=\"\"><clear x=\"6\" y=\"3\" z=\"2.2\" width=\"0.6\" height=\"0.7\" "
    "lies=\"longitudinal\"/></closure></arrangement>";

/* The learning barge (examples/barge.xml) with one door more, and herself turned round. */
static void load_both(coaming_ship *ships[2])
{
    char path[1024], *text = NULL;
    size_t size;
    snprintf(path, sizeof path, "%s/examples/barge.xml", getenv("COAMING_ROOT"));
    FILE *in = fopen(path, "r"), *out = open_memstream(&text, &size);
    ck_assert_ptr_nonnull(in);
    for (int sign; (sign = fgetc(in)) != EOF;)
        fputc(sign, out);
    fclose(in);
    fputs(door_in_the_side, out);
    fclose(out);
    char *end = strstr(text, "</arrangement>");
    memmove(end, end + strlen("</arrangement>"), strlen(end + strlen("</arrangement>")) + 1);
    for (int i = 0; i < 2; i++) {
        ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ships[i], NULL), COAMING_OK);
        turn_round(text);
    }
    free(text);
    for (size_t l = 0; l < ships[0]->link_count; l++) {
        ck_assert_int_eq(ships[0]->links[l].a, ships[1]->links[l].b);
        ck_assert_int_eq(ships[0]->links[l].b, ships[1]->links[l].a);
    }
}

static const coaming_level_kind levels[] = {COAMING_LEVEL_STILL, COAMING_LEVEL_FULL,
                                            COAMING_LEVEL_EQUILIBRIUM};

/* The row of the same closure, hazard and source: they are in the order of the places. */
static void find_row(coaming_exposure *e, const coaming_exposure_row *like,
                     coaming_exposure_row *row)
{
    for (size_t r = 0; r < coaming_exposure_row_count(e); r++) {
        ck_assert_int_eq(coaming_exposure_row_get(e, r, row, NULL), COAMING_OK);
        if (row->closure == like->closure && row->hazard == like->hazard &&
            row->source == like->source)
            return;
    }
    ck_abort_msg("no row of closure %d", like->closure);
}

START_TEST(exposures)
{
    coaming_ship *ships[2];
    coaming_exposure *e[2];
    coaming_exposure_row row[2];
    coaming_query query = coaming_query_default();
    query.level.kind = levels[_i];
    load_both(ships);
    for (int i = 0; i < 2; i++)
        ck_assert_int_eq(coaming_exposure_new(ships[i], query, NULL, 0, &e[i], NULL), COAMING_OK);
    size_t count = coaming_exposure_row_count(e[0]), exposed = 0;
    ck_assert_uint_eq(count, coaming_exposure_row_count(e[1]));
    for (size_t r = 0; r < count; r++) {
        ck_assert_int_eq(coaming_exposure_row_get(e[0], r, &row[0], NULL), COAMING_OK);
        find_row(e[1], &row[0], &row[1]);
        ck_assert_int_eq(row[0].note, row[1].note);
        ck_assert_uint_eq(row[0].exposed_count, row[1].exposed_count);
        for (size_t k = 0; k < row[0].exposed_count; k++) {
            ck_assert_int_eq(row[0].exposed[k], row[1].exposed[k]);
            ck_assert_int_eq(row[0].by[k], row[1].by[k]);
        }
        near(row[0].volume, row[1].volume, "volume");
        exposed += row[0].exposed_count;
        const coaming_border *border[2];
        size_t borders[2];
        for (int i = 0; i < 2; i++)
            ck_assert_int_eq(coaming_exposure_border(e[i], &border[i], &borders[i], NULL),
                             COAMING_OK);
        ck_assert_uint_eq(borders[0], borders[1]);
        for (size_t k = 0; k < borders[0]; k++) {
            ck_assert_int_eq(border[0][k].link, border[1][k].link);
            ck_assert_int_eq(border[0][k].beyond, border[1][k].beyond);
        }
    }
    ck_assert_uint_gt(exposed, 5);
    for (int i = 0; i < 2; i++) {
        coaming_exposure_free(e[i]);
        coaming_ship_free(ships[i]);
    }
}
END_TEST

START_TEST(ranks_and_risks)
{
    coaming_ship *ships[2];
    coaming_ranking *k[2];
    coaming_risk *risk[2];
    coaming_query query = coaming_query_default();
    query.level.kind = levels[_i];
    load_both(ships);
    for (int i = 0; i < 2; i++) {
        ck_assert_int_eq(coaming_ranking_new(ships[i], query, COAMING_MEASURE_WORTH, &k[i], NULL),
                         COAMING_OK);
        ck_assert_int_eq(
            coaming_risk_new(ships[i], query, COAMING_MEASURE_WORTH, NULL, NULL, &risk[i], NULL),
            COAMING_OK);
    }
    ck_assert_double_gt(coaming_risk_expected(risk[0]), 0);
    near(coaming_risk_expected(risk[0]), coaming_risk_expected(risk[1]), "expected loss");
    for (size_t r = 0; r < coaming_ranking_count(k[0]); r++) {
        const coaming_rank *one = coaming_ranking_get(k[0], r), *two = coaming_ranking_get(k[1], r);
        ck_assert_int_eq(one->closure, two->closure);
        near(one->consequence, two->consequence, "consequence");
        ck_assert_int_eq(one->lost, two->lost);
        near(coaming_risk_get(risk[0], (int)r)->birnbaum,
             coaming_risk_get(risk[1], (int)r)->birnbaum, "importance");
    }
    for (int i = 0; i < 2; i++) {
        coaming_ranking_free(k[i]);
        coaming_risk_free(risk[i]);
        coaming_ship_free(ships[i]);
    }
}
END_TEST

static void same_hold(const coaming_hold_answer *one, const coaming_hold_answer *two)
{
    ck_assert_uint_eq(one->line_count, two->line_count);
    ck_assert_uint_eq(one->recommended, two->recommended);
    ck_assert_uint_eq(one->lost_count, two->lost_count);
    for (size_t l = 0; l < one->line_count; l++) {
        ck_assert_uint_eq(one->lines[l].closure_count, two->lines[l].closure_count);
        for (size_t c = 0; c < one->lines[l].closure_count; c++)
            ck_assert_int_eq(one->lines[l].closures[c].closure, two->lines[l].closures[c].closure);
        near(one->lines[l].holds, two->lines[l].holds, "holds");
        ck_assert_uint_eq(one->lines[l].given_up_count, two->lines[l].given_up_count);
    }
}

/* At equilibrium losses beyond a line are sampled state by state, in the order of the places. */
START_TEST(lines_to_hold_and_what_to_shut)
{
    coaming_ship *ships[2];
    coaming_casualty *c[2];
    coaming_query query = coaming_query_default();
    query.level.kind = levels[_i];
    load_both(ships);
    for (coaming_place source = 0; source < 5; source++) {
        for (int i = 0; i < 2; i++)
            ck_assert_int_eq(coaming_casualty_new(ships[i], query, COAMING_MEASURE_WORTH, &source,
                                                  1, &c[i], NULL),
                             COAMING_OK);
        for (size_t h = 0; h < 2; h++) {
            const coaming_casualty_answer *one = coaming_casualty_get(c[0], h),
                                          *two = coaming_casualty_get(c[1], h);
            same_hold(one->hold, two->hold);
            ck_assert_uint_eq(one->reached_count, two->reached_count);
            for (size_t k = 0; k < one->reached_count; k++)
                ck_assert_int_eq(one->reached[k].space, two->reached[k].space);
            ck_assert_uint_eq(one->cannot_count, two->cannot_count);
            ck_assert_uint_eq(one->shut_now_count, two->shut_now_count);
            for (size_t k = 0; k < one->shut_now_count; k++) {
                ck_assert_int_eq(one->shut_now[k].closure, two->shut_now[k].closure);
                ck_assert_int_eq(one->shut_now[k].from, two->shut_now[k].from);
                near(one->shut_now[k].saved, two->shut_now[k].saved, "saved");
            }
        }
        coaming_casualty_free(c[0]);
        coaming_casualty_free(c[1]);
    }
    coaming_ship_free(ships[0]);
    coaming_ship_free(ships[1]);
}
END_TEST

START_TEST(boundaries)
{
    coaming_ship *ships[2];
    coaming_boundary *b[2];
    coaming_query query = coaming_query_default();
    coaming_round_options walk = coaming_round_options_default();
    query.level.kind = levels[_i];
    load_both(ships);
    for (int space = 0; space < 5; space++) {
        for (int i = 0; i < 2; i++)
            ck_assert_int_eq(coaming_boundary_new(ships[i], query, &space, 1, &walk, &b[i], NULL),
                             COAMING_OK);
        ck_assert_uint_gt(coaming_boundary_count(b[0]), 0);
        ck_assert_uint_eq(coaming_boundary_count(b[0]), coaming_boundary_count(b[1]));
        for (size_t r = 0; r < coaming_boundary_count(b[0]); r++) {
            const coaming_bound *one = coaming_boundary_get(b[0], r),
                                *two = coaming_boundary_get(b[1], r);
            ck_assert_int_eq(one->link, two->link);
            ck_assert_int_eq(one->group, two->group);
        }
        coaming_boundary_free(b[0]);
        coaming_boundary_free(b[1]);
    }
    coaming_ship_free(ships[0]);
    coaming_ship_free(ships[1]);
}
END_TEST

/* The order of unknowns is that of the ways, and with it the rounding of each step: volumes agree to what
 * is promised of them. */
START_TEST(water_in_time)
{
    coaming_ship *ships[2];
    coaming_flood *f[2];
    const coaming_flood_breach hole = {2, 0.02, NAN};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.breaches = &hole;
    ask.breach_count = 1;
    ask.until = 600;
    load_both(ships);
    for (int i = 0; i < 2; i++)
        ck_assert_int_eq(coaming_flood_new(ships[i], &ask, &f[i], NULL), COAMING_OK);
    const coaming_flood_answer *one = coaming_flood_get(f[0]), *two = coaming_flood_get(f[1]);
    ck_assert_uint_eq(one->space_count, two->space_count);
    ck_assert_uint_ge(one->space_count, 2);
    for (size_t s = 0; s < one->space_count; s++)
        for (size_t m = 0; m < one->moment_count; m++)
            CLAIM(fabs(one->spaces[s].volumes[m] - two->spaces[s].volumes[m]) <= 2e-4 * 50,
                  "volume %zu at %zu", s, m);
    ck_assert_uint_eq(one->event_count, two->event_count);
    for (size_t e = 0; e < one->event_count; e++) {
        ck_assert_int_eq(one->events[e].kind, two->events[e].kind);
        CLAIM(fabs(one->events[e].t - two->events[e].t) <= 1e-3 * (1 + one->events[e].t),
              "event %zu: %g and %g", e, one->events[e].t, two->events[e].t);
    }
    for (int i = 0; i < 2; i++) {
        coaming_flood_free(f[i]);
        coaming_ship_free(ships[i]);
    }
}
END_TEST

/* Drops of pressure change their sign, flows their sides. */
START_TEST(air_in_time)
{
    coaming_ship *ships[2];
    coaming_air *air[2];
    const coaming_air_source source = {1, COAMING_AGENT_CO, 0.5};
    coaming_air_options how = coaming_air_options_default();
    how.sources = &source;
    how.source_count = 1;
    how.wind = 7;
    how.wind_from = 40;
    how.inside = 25;
    how.outside = 5;
    load_both(ships);
    for (int i = 0; i < 2; i++)
        ck_assert_int_eq(coaming_air_new(ships[i], &how, &air[i], NULL), COAMING_OK);
    const coaming_air_answer *one = coaming_air_get(air[0]), *two = coaming_air_get(air[1]);
    ck_assert_uint_eq(one->way_count, two->way_count);
    double flow = 0;
    for (size_t k = 0; k < one->way_count; k++) {
        CLAIM(fabs(one->ways[k].drop + two->ways[k].drop) <= 1e-6, "drop %zu", k);
        CLAIM(fabs(one->ways[k].forth - two->ways[k].back) <= 1e-7, "flow %zu", k);
        flow += one->ways[k].forth + one->ways[k].back;
    }
    ck_assert_double_gt(flow, 0.01);
    for (size_t s = 0; s < ships[0]->space_count; s++)
        CLAIM(fabs(one->spaces[s].pressure - two->spaces[s].pressure) <= 1e-6, "pressure %zu", s);
    ck_assert_uint_gt(one->event_count, 0);
    ck_assert_uint_eq(one->event_count, two->event_count);
    for (size_t e = 0; e < one->event_count; e++) {
        ck_assert_int_eq(one->events[e].space, two->events[e].space);
        ck_assert_int_eq(one->events[e].by, two->events[e].by);
        CLAIM(fabs(one->events[e].t - two->events[e].t) <= 1e-5 * (1 + one->events[e].t),
              "event %zu", e);
    }
    ck_assert_uint_eq(one->shelter_count, two->shelter_count);
    for (size_t s = 0; s < one->shelter_count; s++)
        CLAIM(fabs(one->shelters[s].needed - two->shelters[s].needed) <= 1e-6, "shelter %zu", s);
    for (int i = 0; i < 2; i++) {
        coaming_air_free(air[i]);
        coaming_ship_free(ships[i]);
    }
}
END_TEST

START_TEST(damage_survived)
{
    coaming_ship *ships[2];
    coaming_survival *v[2];
    coaming_survival_options how = coaming_survival_options_default();
    load_both(ships);
    for (int i = 0; i < 2; i++)
        ck_assert_int_eq(coaming_survival_new(ships[i], &how, &v[i], NULL), COAMING_OK);
    const coaming_survival_index *one = coaming_survival_get_index(v[0]),
                                 *two = coaming_survival_get_index(v[1]);
    for (int state = 0; state < COAMING_ANSWERS; state++)
        near(one->index[state], two->index[state], "index");
    ck_assert_double_gt(one->index[0], 0);
    CLAIM(fabs(one->expected.value - two->expected.value) <= how.within, "%g and %g",
          one->expected.value, two->expected.value);
    for (int i = 0; i < 2; i++) {
        coaming_survival_free(v[i]);
        coaming_ship_free(ships[i]);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("swapped");
    TCase *all = tcase_create("all");
    int count = sizeof levels / sizeof *levels;
    tcase_add_loop_test(all, exposures, 0, count);
    tcase_add_loop_test(all, ranks_and_risks, 0, count);
    tcase_add_loop_test(all, lines_to_hold_and_what_to_shut, 0, count);
    tcase_add_loop_test(all, boundaries, 0, count);
    tcase_add_test(all, water_in_time);
    tcase_add_test(all, air_in_time);
    tcase_add_test(all, damage_survived);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
