/*
 * What is asked wrongly is refused, each time as a question that cannot be asked (COAMING_USAGE), and nothing
 * is given; what is asked in two ways is answered alike.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "runner.h"
#include "ships.h"

static coaming_ship *barge(void)
{
    return ship_from_tree("examples/barge.xml");
}

START_TEST(no_hazard)
{
    coaming_ship *ship = barge();
    coaming_query none = coaming_query_default();
    const int space = 1;
    coaming_exposure *exposure = NULL;
    coaming_ranking *ranking = NULL;
    coaming_risk *risk = NULL;
    coaming_hold *hold = NULL;
    coaming_casualty *casualty = NULL;
    coaming_boundary *boundary = NULL;
    const coaming_round_options walk = coaming_round_options_default();
    none.hazard[COAMING_WATER] = none.hazard[COAMING_AIR] = false;
    ck_assert_int_eq(coaming_exposure_new(ship, none, NULL, 0, &exposure, NULL), COAMING_USAGE);
    ck_assert_int_eq(coaming_ranking_new(ship, none, COAMING_MEASURE_WORTH, &ranking, NULL),
                     COAMING_USAGE);
    ck_assert_int_eq(coaming_risk_new(ship, none, COAMING_MEASURE_WORTH, NULL, NULL, &risk, NULL),
                     COAMING_USAGE);
    ck_assert_int_eq(coaming_hold_nested_new(ship, none, 1, &hold, NULL), COAMING_USAGE);
    ck_assert_int_eq(
        coaming_casualty_new(ship, none, COAMING_MEASURE_WORTH, &space, 1, &casualty, NULL),
        COAMING_USAGE);
    ck_assert_int_eq(coaming_boundary_new(ship, none, &space, 1, &walk, &boundary, NULL),
                     COAMING_USAGE);
    ck_assert(!exposure && !ranking && !risk && !hold && !casualty && !boundary);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(no_place)
{
    coaming_ship *ship = barge();
    const coaming_query query = coaming_query_default();
    const coaming_round_options walk = coaming_round_options_default();
    coaming_boundary *boundary = NULL;
    coaming_hold *hold = NULL;
    coaming_error error;
    ck_assert_int_eq(coaming_boundary_new(ship, query, NULL, 0, &walk, &boundary, &error),
                     COAMING_USAGE);
    ck_assert_ptr_nonnull(strstr(error.message, "no space is named"));
    ck_assert_int_eq(coaming_hold_set_new(ship, query, NULL, 0, &hold, &error), COAMING_USAGE);
    ck_assert_ptr_nonnull(strstr(error.message, "no source is given"));
    ck_assert(!boundary && !hold);
    coaming_ship_free(ship);
}
END_TEST

/* What is to be shut first is told by what each space loses: freeboard and GM are the ship's. */
START_TEST(a_measure_of_the_ship_alone)
{
    static const coaming_measure measures[] = {COAMING_MEASURE_FREEBOARD, COAMING_MEASURE_GM};
    coaming_ship *ship = barge();
    const coaming_place source = 1;
    for (int m = 0; m < 2; m++) {
        coaming_casualty *casualty = NULL;
        ck_assert_int_eq(
            coaming_casualty_new(ship, at_equilibrium(), measures[m], &source, 1, &casualty, NULL),
            COAMING_USAGE);
        ck_assert_ptr_null(casualty);
    }
    coaming_ship_free(ship);
}
END_TEST

/* Freeboard and GM are of a ship that settles; of a fixed plane there is nothing to lose of them. */
START_TEST(a_measure_that_needs_rest)
{
    static const coaming_measure measures[] = {COAMING_MEASURE_FREEBOARD, COAMING_MEASURE_GM};
    coaming_ship *ship = barge();
    for (int m = 0; m < 2; m++) {
        coaming_ranking *ranking = NULL;
        ck_assert_int_eq(
            coaming_ranking_new(ship, coaming_query_default(), measures[m], &ranking, NULL),
            COAMING_USAGE);
        ck_assert_ptr_null(ranking);
        ck_assert_int_eq(coaming_ranking_new(ship, at_equilibrium(), measures[m], &ranking, NULL),
                         COAMING_OK);
        ck_assert_uint_eq(coaming_ranking_count(ranking), coaming_closure_count(ship));
        coaming_ranking_free(ranking);
    }
    coaming_ship_free(ship);
}
END_TEST

START_TEST(options_of_a_risk)
{
    enum { WRONG = 9 };
    coaming_ship *ship = barge();
    coaming_risk_options right = coaming_risk_options_default(), wrong[WRONG];
    for (int i = 0; i < WRONG; i++)
        wrong[i] = right;
    wrong[0].within = NAN;
    wrong[1].within = -0.1;
    wrong[2].within = 0;
    wrong[2].samples = 0;
    wrong[3].samples = 1;
    wrong[4].settlings = 0;
    wrong[5].share = 0;
    wrong[6].shares = 0;
    wrong[7].share = 2;
    wrong[8].shares = 2; /* of how many samples is not said */
    wrong[8].samples = 0;
    for (int i = 0; i < WRONG; i++) {
        coaming_risk *risk = NULL;
        CLAIM(coaming_risk_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, NULL,
                               &wrong[i], &risk, NULL) == COAMING_USAGE,
              "%d", i);
        ck_assert_ptr_null(risk);
    }
    coaming_ship_free(ship);
}
END_TEST

static coaming_status report_of(const coaming_ship *ship, const coaming_report_options *how)
{
    coaming_report *report = NULL;
    coaming_status status = coaming_report_new(ship, how, &report, NULL);
    ck_assert((status == COAMING_OK) == (report != NULL));
    coaming_report_free(report);
    return status;
}

/* To be freed. */
static char *report_page(const coaming_ship *ship, const coaming_report_options *how)
{
    coaming_report *report = NULL;
    char *page = NULL;
    size_t size;
    ck_assert_int_eq(coaming_report_new(ship, how, &report, NULL), COAMING_OK);
    FILE *out = open_memstream(&page, &size);
    ck_assert_int_eq(coaming_print_report(out, report, NULL), COAMING_OK);
    fclose(out);
    coaming_report_free(report);
    return page;
}

#define ROOM(id) "<space id=\"" id "\" name=\"R\"><box x=\"0 5\" y=\"0 5\" z=\"0 2\"/></space>"
#define DOOR(id)                                                                                   \
    "<closure id=\"" id "\" kind=\"door\" between=\"r weather\" rating=\"airtight\"><clear "       \
    "x=\"5\" y=\"2\" z=\"0.2\" width=\"0.7\" height=\"1.7\" lies=\"transverse\"/></closure>"

static coaming_ship *named(const char *name, const char *parts)
{
    char text[4000];
    coaming_ship *ship = NULL;
    snprintf(text, sizeof text,
             "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"%s\"><ship length=\"9\" "
             "beam=\"8\" depth=\"4\" draft=\"1\"/>" ROOM("r") "%s</arrangement>",
             name, parts);
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    return ship;
}

/* A report by freeboard or GM tells of no risk, and is asked of a ship that settles. */
START_TEST(measures_of_a_report)
{
    coaming_ship *ship = barge();
    coaming_report_options how = coaming_report_options_default();
    how.measure = COAMING_MEASURE_GM;
    ck_assert_int_eq(report_of(ship, &how), COAMING_USAGE);
    how.query = at_equilibrium();
    ck_assert_int_eq(report_of(ship, &how), COAMING_OK);
    coaming_ship_free(ship);
}
END_TEST

/* Who names a closure twice gets it read twice, and by its number finds it. */
START_TEST(a_closure_read_twice)
{
    static const int twice[] = {1, 0, 1};
    coaming_ship *ship = barge();
    coaming_readings *readings = NULL;
    ck_assert_int_eq(coaming_readings_new(ship, twice, 3, &readings, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_readings_count(readings), 3);
    for (size_t i = 0; i < 3; i++)
        ck_assert_int_eq(coaming_readings_get(readings, i)->closure, twice[i]);
    ck_assert_ptr_eq(coaming_readings_find(readings, 1), coaming_readings_get(readings, 0));
    ck_assert_ptr_eq(coaming_readings_find(readings, 0), coaming_readings_get(readings, 1));
    coaming_readings_free(readings);
    coaming_ship_free(ship);
}
END_TEST

/* Of a ship without a test to be done none is due, and weighing none is no fault. */
START_TEST(nothing_to_weigh)
{
    coaming_ship *ship = named(
        "One", "<closure id=\"A\" kind=\"door\" between=\"r weather\" rating=\"nontight\"><clear "
               "x=\"5\" y=\"2\" z=\"0.2\" width=\"0.7\" height=\"1.7\" "
               "lies=\"transverse\"/></closure>");
    coaming_due *due = NULL;
    coaming_query query;
    coaming_measure measure;
    ck_assert_int_eq(coaming_due_new(ship, &due, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_due_weigh(due, coaming_query_default(), COAMING_MEASURE_WORTH, NULL),
                     COAMING_OK);
    ck_assert(coaming_due_weighed(due, &query, &measure));
    ck_assert_uint_eq(coaming_due_count(due), 0);
    ck_assert_uint_eq(coaming_due_overdue_count(due), 0);
    coaming_due_free(due);
    coaming_ship_free(ship);
}
END_TEST

/* An earlier day is of the same ship: her name and closures. */
START_TEST(before_of_a_report)
{
    coaming_ship *ship = named("One", DOOR("A")), *same = named("One", DOOR("A")),
                 *others[] = {named("Two", DOOR("A")), named("One", DOOR("B")),
                              named("One", DOOR("A") DOOR("B"))};
    coaming_report_options how = coaming_report_options_default();
    how.before = same;
    ck_assert_int_eq(report_of(ship, &how), COAMING_USAGE); /* of the same day */
    same->as_of--;
    ck_assert_int_eq(report_of(ship, &how), COAMING_OK);
    for (int i = 0; i < 3; i++) {
        others[i]->as_of--;
        how.before = others[i];
        CLAIM(report_of(ship, &how) == COAMING_USAGE, "%d", i);
        coaming_ship_free(others[i]);
    }
    how.before = NULL;
    coaming_air_options air = coaming_air_options_default();
    how.air = &air;
    ck_assert_int_eq(report_of(ship, &how), COAMING_USAGE); /* nothing gets into the air */
    coaming_ship_free(ship);
    coaming_ship_free(same);
}
END_TEST

/* A report says of the air what its own page says: when it is asked until when, and what is changed on the way. */
START_TEST(air_of_a_report)
{
    coaming_ship *ship = named(
        "One",
        "<space id=\"q\" name=\"Q\"><box x=\"5 9\" y=\"0 5\" z=\"0 "
        "2\"/></space><condition id=\"c\" "
        "name=\"C\"/><closure id=\"A\" kind=\"door\" between=\"r q\" "
        "rating=\"airtight\" shut-in=\"\"><clear "
        "x=\"5\" y=\"2\" z=\"0.2\" width=\"0.7\" height=\"1.7\" "
        "lies=\"transverse\"/></closure><closure id=\"B\" kind=\"door\" between=\"q weather\" "
        "rating=\"nontight\"><clear x=\"9\" y=\"2\" z=\"0.2\" width=\"0.7\" height=\"1.7\" "
        "lies=\"transverse\"/></closure><fan id=\"F\" supplies=\"r\" flow=\"0.1\" "
        "pressure=\"50\"/>");
    const coaming_air_source source = {0, COAMING_AGENT_CO, 0.1};
    const coaming_air_change stops = {60, COAMING_AIR_CHANGE_FAN_OFF, 0};
    coaming_air_options air = coaming_air_options_default();
    air.sources = &source;
    air.source_count = 1;
    air.changes = &stops;
    air.change_count = 1;
    air.until = 600;
    air.condition = 0;
    coaming_report_options how = coaming_report_options_default();
    how.air = &air;
    for (int asked = 0; asked < 2; asked++) {
        air.by_when = asked;
        char *page = report_page(ship, &how);
        ck_assert_ptr_nonnull(strstr(page, "From 1 min on it stands "));
        ck_assert_int_eq(strstr(page, "were it shut from the start") != NULL, !asked);
        ck_assert_int_eq(strstr(page, "shut by then at the latest") != NULL, asked);
        free(page);
    }
    coaming_ship_free(ship);
}
END_TEST

/* Without the arms she is graded the same, and what is theirs is not told. */
START_TEST(breaches_without_arms)
{
    coaming_ship *ship = barge();
    coaming_breaches *all = NULL, *some = NULL;
    ck_assert_int_eq(coaming_breaches_new(ship, at_equilibrium(), &all, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_breaches_afloat_new(ship, at_equilibrium(), &some, NULL), COAMING_OK);
    ck_assert_uint_gt(coaming_breaches_count(all), 4);
    ck_assert_uint_eq(coaming_breaches_count(all), coaming_breaches_count(some));
    for (size_t i = 0; i < coaming_breaches_count(all); i++)
        for (int state = 0; state < COAMING_ANSWERS; state++) {
            const coaming_breaches_answer *one = &coaming_breaches_get(all, i)->answer[state],
                                          *two = &coaming_breaches_get(some, i)->answer[state];
            ck_assert_int_eq(one->stability.grade, two->stability.grade);
            ck_assert_int_eq(one->at.afloat, two->at.afloat);
            ck_assert(isnan(two->range) && isnan(two->greatest) && isnan(two->s));
        }
    for (int state = 0; state < COAMING_ANSWERS; state++)
        ck_assert_double_eq(coaming_breaches_share(all, (coaming_answer)state),
                            coaming_breaches_share(some, (coaming_answer)state));
    coaming_breaches_free(all);
    coaming_breaches_free(some);
    coaming_ship_free(ship);
    ship = ship_from_parts("length=\"9\" beam=\"8\" depth=\"4\" draft=\"1\" kg=\"1\"", ROOM("r"));
    ck_assert_int_eq(coaming_breaches_new(ship, at_equilibrium(), &all, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_breaches_count(all), 0);
    ck_assert(isnan(coaming_breaches_share(all, COAMING_AS_TESTED)));
    coaming_breaches_free(all);
    coaming_ship_free(ship);
}
END_TEST

/* Several sources are one set, in whatever order. */
START_TEST(sources_are_a_set)
{
    static const coaming_place orders[][3] = {{2, 3, 0}, {0, 3, 2}, {3, 2, 0}};
    coaming_ship *ship = barge();
    coaming_query query = _i ? at_equilibrium() : coaming_query_default();
    coaming_hold *hold[3];
    for (int i = 0; i < 3; i++)
        ck_assert_int_eq(coaming_hold_set_new(ship, query, orders[i], 3, &hold[i], NULL),
                         COAMING_OK);
    for (size_t h = 0; h < coaming_hold_count(hold[0]); h++)
        for (int i = 1; i < 3; i++) {
            const coaming_hold_answer *one = coaming_hold_get(hold[0], h),
                                      *two = coaming_hold_get(hold[i], h);
            ck_assert_uint_eq(one->source_count, 3);
            ck_assert_uint_eq(one->line_count, two->line_count);
            ck_assert_uint_eq(one->lost_count, two->lost_count);
            ck_assert_uint_eq(one->recommended, two->recommended);
            for (size_t l = 0; l < one->line_count; l++) {
                ck_assert_uint_eq(one->lines[l].closure_count, two->lines[l].closure_count);
                for (size_t c = 0; c < one->lines[l].closure_count; c++)
                    ck_assert_int_eq(one->lines[l].closures[c].closure,
                                     two->lines[l].closures[c].closure);
                ck_assert_double_eq(one->lines[l].worth, two->lines[l].worth);
            }
        }
    for (int i = 0; i < 3; i++)
        coaming_hold_free(hold[i]);
    coaming_ship_free(ship);
}
END_TEST

/* A place that is named twice is named. */
START_TEST(a_source_named_twice)
{
    static const coaming_place twice[] = {2, 3, 2}, once[] = {2, 3};
    coaming_ship *ship = barge();
    coaming_query query = _i ? at_equilibrium() : coaming_query_default();
    coaming_casualty *a = NULL, *b = NULL;
    const coaming_measure worth = COAMING_MEASURE_WORTH;
    ck_assert_int_eq(coaming_casualty_new(ship, query, worth, twice, 3, &a, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_casualty_new(ship, query, worth, once, 2, &b, NULL), COAMING_OK);
    for (size_t h = 0; h < coaming_casualty_count(a); h++) {
        const coaming_casualty_answer *one = coaming_casualty_get(a, h),
                                      *two = coaming_casualty_get(b, h);
        ck_assert_uint_ge(one->reached_count, 2);
        ck_assert_uint_eq(one->reached_count, two->reached_count);
        for (size_t i = 0; i < one->reached_count; i++)
            ck_assert_int_eq(one->reached[i].space, two->reached[i].space);
        ck_assert_uint_eq(one->shut_now_count, two->shut_now_count);
        ck_assert_uint_eq(one->hold->line_count, two->hold->line_count);
        if (!one->floating)
            continue;
        const coaming_floating_answer *at = coaming_floating_get(one->floating);
        ck_assert_uint_eq(at->flooded_count, 2);
        ck_assert_int_eq(at->at.afloat, coaming_floating_get(two->floating)->at.afloat);
    }
    coaming_casualty_free(a);
    coaming_casualty_free(b);
    coaming_ship_free(ship);
}
END_TEST

#define ARCH                                                                                       \
    "<passage id=\"P\" kind=\"arch\" between=\"r s\"><clear x=\"5\" y=\"2\" z=\"0.2\" "            \
    "width=\"0.7\" height=\"1.7\" lies=\"transverse\"/></passage>"

/* Nothing seals off a space that only a passage leads to, and nothing needs to one without any way. */
START_TEST(a_boundary_without_a_closure)
{
    static const char *const ways[] = {"", ARCH};
    for (int i = 0; i < 2; i++) {
        char parts[2000];
        snprintf(parts, sizeof parts, "%s%s", ROOM("s"), ways[i]);
        coaming_ship *ship = named("One", parts);
        const coaming_round_options walk = coaming_round_options_default();
        const int space = 0;
        coaming_boundary *boundary = NULL;
        ck_assert_int_eq(
            coaming_boundary_new(ship, coaming_query_default(), &space, 1, &walk, &boundary, NULL),
            COAMING_OK);
        coaming_boundary_sum sum = coaming_boundary_total(boundary);
        ck_assert_uint_eq(coaming_boundary_count(boundary), (size_t)i);
        ck_assert_uint_eq(sum.count[COAMING_BOUND_CANNOT], (size_t)i);
        ck_assert_double_eq(sum.holds, i ? 0 : 1);
        ck_assert_double_eq(sum.seconds, 0);
        coaming_boundary_free(boundary);
        coaming_ship_free(ship);
    }
}
END_TEST

START_TEST(a_ship_without_closures)
{
    coaming_ship *ship = named("One", ROOM("s") ARCH);
    coaming_ranking *ranking = NULL;
    const double none[1] = {0};
    ck_assert_int_eq(
        coaming_ranking_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH, &ranking, NULL),
        COAMING_OK);
    ck_assert_int_eq(coaming_ranking_sort(ranking, none, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_ranking_count(ranking), 0);
    coaming_ranking_free(ranking);
    coaming_ship_free(ship);
}
END_TEST

/* Whichever way round a door is written, it is shut from the clean side against the sea. */
START_TEST(a_door_is_shut_from_the_clean_side)
{
    static const char *const ends[] = {"r weather", "weather r"};
    for (int i = 0; i < 2; i++) {
        char parts[2000];
        snprintf(parts, sizeof parts,
                 ROOM("s") "<closure id=\"A\" kind=\"door\" between=\"%s\" rating=\"watertight\" "
                           "shut-in=\"\"><clear x=\"5\" y=\"2\" z=\"0.2\" width=\"0.7\" "
                           "height=\"1.7\" lies=\"transverse\"/></closure>",
                 ends[i]);
        coaming_ship *ship = named("One", parts);
        coaming_casualty *casualty = NULL;
        const coaming_place source = 1;
        ck_assert_int_eq(coaming_casualty_new(ship, coaming_query_default(), COAMING_MEASURE_WORTH,
                                              &source, 1, &casualty, NULL),
                         COAMING_OK);
        const coaming_casualty_answer *a = coaming_casualty_get(casualty, 0);
        ck_assert_uint_eq(a->shut_now_count, 1);
        ck_assert_int_eq(a->shut_now[0].from, 0);
        ck_assert_int_eq(a->shut_now[0].against, COAMING_WEATHER);
        ck_assert_uint_eq(a->shut_now[0].saves_count, 1);
        coaming_casualty_free(casualty);
        coaming_ship_free(ship);
    }
}
END_TEST

/* A closure from the sea to the weather can do nothing, and stands in no line. */
START_TEST(what_joins_the_sea_to_the_weather_is_nothing)
{
    coaming_ship *ship = named(
        "One", ROOM("s") DOOR("A") "<closure id=\"W\" kind=\"door\" between=\"sea weather\" "
                                   "rating=\"watertight\"><clear x=\"5\" y=\"2\" z=\"0.2\" "
                                   "width=\"0.7\" height=\"1.7\" lies=\"transverse\"/></closure>");
    coaming_hold *hold = NULL;
    ck_assert_int_eq(coaming_hold_nested_new(ship, coaming_query_default(), 1, &hold, NULL),
                     COAMING_OK);
    const coaming_hold_answer *water = coaming_hold_get(hold, 0);
    for (size_t i = 0; i < water->line_count; i++)
        for (size_t k = 0; k < water->lines[i].closure_count; k++)
            ck_assert_int_eq(water->lines[i].closures[k].closure, 0);
    ck_assert_uint_eq(water->as_is.count, 1); /* the source */
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* What keeps the water out of a house that stands clear of it is height: the hatch that is down to it,
 * untested, is 1 m above. */
START_TEST(a_house_above_the_water_is_kept_dry_by_height)
{
    coaming_ship *ship = named(
        "One", ROOM("s") "<space id=\"h\" name=\"H\"><box x=\"0 5\" y=\"0 5\" z=\"2 4\"/></space>"
                         "<closure id=\"D\" kind=\"door\" between=\"r s\" rating=\"watertight\">"
                         "<clear x=\"5\" y=\"2\" z=\"0.2\" width=\"0.7\" height=\"1.7\" "
                         "lies=\"transverse\"/></closure>"
                         "<closure id=\"H\" kind=\"hatch\" between=\"s h\" rating=\"watertight\">"
                         "<clear x=\"3\" y=\"2\" z=\"2\" width=\"0.7\" height=\"0.7\" "
                         "lies=\"deck\"/></closure>");
    coaming_query query = coaming_query_default();
    coaming_exposure *exposure = NULL;
    coaming_exposure_row row;
    const coaming_border *border = NULL;
    const int closure = 0;
    const coaming_place source = 0;
    size_t chosen = 0, count = 0;
    query.hazard[COAMING_AIR] = false;
    ck_assert_int_eq(coaming_exposure_new(ship, query, &closure, 1, &exposure, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_exposure_choose(exposure, closure, &source, &chosen, NULL),
                     COAMING_OK);
    ck_assert_int_eq(coaming_exposure_row_get(exposure, chosen, &row, NULL), COAMING_OK);
    ck_assert_uint_eq(row.exposed_count, 1);
    ck_assert_int_eq(coaming_exposure_border(exposure, &border, &count, NULL), COAMING_OK);
    ck_assert_uint_eq(count, 1);
    ck_assert_int_eq(border[0].link, 1);
    ck_assert_int_eq(border[0].kept, COAMING_KEPT_BY_HEIGHT);
    ck_assert_double_eq_tol(border[0].height, 1, 1e-12);
    coaming_exposure_free(exposure);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("asked");
    TCase *all = tcase_create("all");
    tcase_add_test(all, no_hazard);
    tcase_add_test(all, no_place);
    tcase_add_test(all, a_measure_that_needs_rest);
    tcase_add_test(all, a_measure_of_the_ship_alone);
    tcase_add_test(all, options_of_a_risk);
    tcase_add_test(all, measures_of_a_report);
    tcase_add_test(all, a_closure_read_twice);
    tcase_add_test(all, nothing_to_weigh);
    tcase_add_test(all, before_of_a_report);
    tcase_add_test(all, air_of_a_report);
    tcase_add_test(all, breaches_without_arms);
    tcase_add_loop_test(all, sources_are_a_set, 0, 2);
    tcase_add_loop_test(all, a_source_named_twice, 0, 2);
    tcase_add_test(all, a_boundary_without_a_closure);
    tcase_add_test(all, a_ship_without_closures);
    tcase_add_test(all, a_door_is_shut_from_the_clean_side);
    tcase_add_test(all, what_joins_the_sea_to_the_weather_is_nothing);
    tcase_add_test(all, a_house_above_the_water_is_kept_dry_by_height);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
