/*
 * Water in time against solutions that are known, the equilibria of a ship afloat, and what must be so
 * whatever the ship.
 *
 * Where a basin at rest is meant the ship is so large that she sinks by less than the tolerance.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flood/flood.h"
#include "analyse/flood/run.h"
#include "base/dot.h"
#include "present/tell/flood_words.h"
#include "runner.h"
#include "ship/opening.h"
#include "ships.h"

#define BASIN "length=\"1000\" beam=\"1000\" depth=\"10\" draft=\"3\" kg=\"1\""
#define TANK(id, y)                                                                                \
    "<space id=\"" id "\" name=\"" id "\" permeability=\"1\"><box x=\"490 510\" y=\"" y            \
    "\" z=\"0 8\"/></space>"

static coaming_flood *flood_of(const coaming_ship *ship, const coaming_flood_ask *ask)
{
    coaming_flood *f = NULL;
    coaming_error error = {0};
    coaming_status status = coaming_flood_new(ship, ask, &f, &error);
    if (status != COAMING_OK)
        ck_abort_msg("%s", error.message);
    return f;
}

/* By 0.1 m3/s into the first space. */
static coaming_flood *flood_by_hose(const coaming_ship *s, double until, double every)
{
    const coaming_flood_inflow hose = {0, 0.1};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.inflows = &hose;
    ask.inflow_count = 1;
    ask.until = until;
    ask.every = every;
    ask.grades = false;
    return flood_of(s, &ask);
}

/* Through one hole, without grades. */
static void check_ends(const coaming_ship *s, const coaming_flood_ask *ask, coaming_status status,
                       const char *says)
{
    coaming_flood *f = NULL;
    coaming_error error = {0};
    ck_assert_int_eq(coaming_flood_new(s, ask, &f, &error), status);
    ck_assert_msg(strstr(error.message, says), "%s", error.message);
    ck_assert_ptr_null(f);
}

static void check_refused(const coaming_ship *s, const coaming_flood_ask *ask, const char *says)
{
    check_ends(s, ask, COAMING_USAGE, says);
}

static coaming_flood_ask ask_holed(const coaming_flood_breach *hole, double until)
{
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.breaches = hole;
    ask.breach_count = 1;
    ask.until = until;
    ask.grades = false;
    return ask;
}

/* Two tanks fill from the sea, one through the other. By Runge and Kutta's method of 1e-11 of own
 * making, kept with the published figures: sea 3 m above the bottom, tank A of 20 m2 with a hole of
 * 0.05 m2 in its bottom, tank B of 30 m2 with one of 0.02 m2 to A at its bottom, coefficient 0.6, g 9.81.
 * Tolerance: the ship sinks by 0.13 mm of these 3 m, and the slit between the tanks has its edge 5 mm
 * deep in water before it is an orifice. */
START_TEST(two_tanks_fill_one_through_the_other)
{
    static const double at[][3] = {{10, .108223, .003866},   {30, .306774, .019488},
                                   {60, .574713, .053311},   {120, 1.029969, .142899},
                                   {180, 1.400007, .250493}, {300, 1.944122, .494726},
                                   {600, 2.585358, 1.147011}};
    coaming_ship *s = ship_from_parts(
        BASIN,
        TANK("a", "0 1") TANK(
            "b",
            "1 2.5") "<passage id=\"P\" kind=\"arch\" between=\"a b\"><clear x=\"500\" y=\"1\" "
                     "z=\"0\" width=\"20\" height=\"0.001\" lies=\"deck\"/></passage>");
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    ask.every = 10;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_eq(a->moment_count, 61);
    ck_assert_uint_eq(a->space_count, 2);
    for (size_t i = 0; i < sizeof at / sizeof *at; i++) {
        size_t k = (size_t)(at[i][0] / 10);
        ck_assert_double_eq_tol(a->spaces[0].depths[k], at[i][1], 1e-3);
        ck_assert_double_eq_tol(a->spaces[1].depths[k], at[i][2], 1e-3);
    }
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* --- what goes through an opening --- */

static const double TORRICELLI = 4.429446918; /* sqrt(2 x 9.81) */

/* Rectangular weir, (2/3) Cd b sqrt(2g) h^1.5, and a slot with water on both sides (derived: the speed
 * at each height added up); figures computed from these. */
START_TEST(weirs_and_slots_let_through_what_they_must)
{
    const water_shape door = {1, 2, 2, false, false};
    ck_assert_double_eq_tol(0.6 * TORRICELLI * water_flow(&door, 0.5, -1).flow, 0.626418, 1e-6);
    ck_assert_double_eq_tol(0.6 * TORRICELLI * water_flow(&door, 1, 0.4).flow, 1.646897, 1e-6);
    const water_shape hole = {4, 1, 1, true, true};
    ck_assert_double_eq_tol(water_flow(&hole, 2.25, -3).flow, 1.5, 1e-12);
    ck_assert_double_eq_tol(water_flow(&hole, 2.25, 1.25).flow, 1, 1e-12);
}
END_TEST

/* The speed at each height, added up in thin strips: an oracle for the slot. */
static double strips(double width, double height, double a, double b)
{
    enum { STRIPS = 20000 };
    double sum = 0;
    for (int i = 0; i < STRIPS; i++) {
        double z = height * (i + 0.5) / STRIPS, over = fmax(0, a - z), under = fmax(0, b - z);
        double head = over - under;
        sum += (head < 0 ? -1 : 1) * sqrt(fabs(head)) * height / STRIPS;
    }
    return width * sum;
}

START_TEST(a_slot_is_the_sum_of_its_strips)
{
    dice d = {7};
    for (int i = 0; i < 300; i++) {
        water_shape s = {0.1 + dice_below(&d, 20) * 0.1, 0.2 + dice_below(&d, 20) * 0.1, 0, false,
                         false};
        double a = dice_below(&d, 400) * 0.01 - 1, b = dice_below(&d, 400) * 0.01 - 1, step = 1e-6;
        if (fabs(a - b) < 0.02)
            continue;
        water_through t = water_flow(&s, a, b);
        CLAIM(fabs(t.flow - strips(s.width, s.height, a, b)) < 2e-4, "case %d: %g", i, t.flow);
        CLAIM(t.flow == -water_flow(&s, b, a).flow, "case %d: not the same back", i);
        double by_a = (water_flow(&s, a + step, b).flow - water_flow(&s, a - step, b).flow) / 2e-6;
        double by_b = (water_flow(&s, a, b + step).flow - water_flow(&s, a, b - step).flow) / 2e-6;
        CLAIM(fabs(by_a - t.by_a) < 2e-3 && fabs(by_b - t.by_b) < 2e-3, "case %d: %g %g, %g %g", i,
              by_a, t.by_a, by_b, t.by_b);
    }
}
END_TEST

/* One that lies flat lets through no more than as an orifice under the head over its lower side, and no more
 * than as a weir all round; its changes against differences. */
START_TEST(a_flat_one_is_orifice_or_weir)
{
    dice d = {11};
    int weirs = 0;
    for (int i = 0; i < 300; i++) {
        water_shape s = {0.5 + dice_below(&d, 20) * 0.1, 0.5, 0, true, i % 5 == 0};
        s.area = s.width * s.width / 16;
        double a = dice_below(&d, 200) * 0.002 - 0.1, b = dice_below(&d, 200) * 0.002 - 0.1,
               step = 1e-6;
        if (fabs(a - b) < 0.02 || fabs(a) < 0.005 || fabs(b) < 0.005)
            continue;
        double over = fmax(a, b), under = fmax(0, fmin(a, b));
        double orifice = s.area * sqrt(fmax(0, over - under)),
               weir = s.under ? INFINITY : strips(s.width, fmax(over, 0), over, under);
        water_through t = water_flow(&s, a, b);
        CLAIM(fabs(fabs(t.flow) - fmin(orifice, weir)) < 2e-4, "case %d: %g, not %g or %g", i,
              t.flow, orifice, weir);
        weirs += weir < orifice;
        CLAIM(t.flow == -water_flow(&s, b, a).flow, "case %d: not the same back", i);
        double by_a = (water_flow(&s, a + step, b).flow - water_flow(&s, a - step, b).flow) / 2e-6;
        double by_b = (water_flow(&s, a, b + step).flow - water_flow(&s, a, b - step).flow) / 2e-6;
        CLAIM(fabs(by_a - t.by_a) < 2e-3 && fabs(by_b - t.by_b) < 2e-3, "case %d: %g %g, %g %g", i,
              by_a, t.by_a, by_b, t.by_b);
    }
    ck_assert_int_gt(weirs, 20);
}
END_TEST

START_TEST(sizes_that_are_assumed_are_of_their_kind)
{
    static const struct {
        const char *kind;
        double width, height;
    } usual[] = {
#define USUAL(kind, width, height) {kind, width, height},
        COAMING_FLOOD_OPENINGS(USUAL)
#undef USUAL
    };
    for (int kind = 0; kind < KIND_COUNT; kind++) {
        opening_size s = opening_size_of(&(ship_link){.kind = (link_kind)kind});
        ck_assert_str_eq(usual[kind].kind, link_kind_word((link_kind)kind));
        ck_assert(s.assumed && s.width == usual[kind].width && s.height == usual[kind].height);
    }
}
END_TEST

/* --- tanks --- */

#define HIGH_TANK(id, y)                                                                           \
    "<space id=\"" id "\" name=\"" id "\" permeability=\"1\"><box x=\"490 500\" y=\"" y            \
    "\" z=\"4 9\"/></space>"
#define FULL(id, part)   "<content space=\"" id "\" fill=\"" part "\" density=\"1.025\"/>"
#define LOADED(contents) "<loading id=\"l\" name=\"L\" draft=\"3\" kg=\"1\">" contents "</loading>"

static double depth_after(const char *parts, const coaming_flood_breach *hole, double seconds,
                          double discharge, int loading)
{
    const coaming_flood_inflow drop = {0, 1e-9}; /* for something must come in */
    coaming_ship *s = ship_from_parts(BASIN, parts);
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.breaches = hole;
    ask.breach_count = hole ? 1 : 0;
    ask.inflows = &drop;
    ask.inflow_count = hole ? 0 : 1;
    ask.until = ask.every = seconds;
    ask.discharge = discharge;
    ask.loading = loading;
    ask.grades = false;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    double depth = a->space_count ? a->spaces[0].depths[a->moment_count - 1] : 0;
    coaming_flood_free(f);
    coaming_ship_free(s);
    return depth;
}

/* t = (A / (Cd a)) sqrt(2/g) (sqrt(h1) - sqrt(h2)), Torricelli's law integrated: A 10 m2, a 0.1 m2, Cd
 * 0.6, from 2 to 0.5 m 53.2126 s, to nothing 106.4251 s; there the flow is rounded off at 1 mm. */
START_TEST(a_tank_empties_by_torricelli)
{
    static const char parts[] = HIGH_TANK("a", "0 1") LOADED(FULL("a", "0.4"));
    const coaming_flood_breach hole = {0, 0.1, 4};
    ck_assert_double_eq_tol(depth_after(parts, &hole, 53.2126, 0.6, 0), 0.5, 1e-4);
    ck_assert_double_eq_tol(depth_after(parts, &hole, 106.4251, 0.6, 0), 0, 2e-3);
}
END_TEST

/* t = 2 A1 A2 sqrt(H) / ((A1 + A2) Cd a sqrt(2g)) until two tanks are level (the head falls linearly with
 * what went over): A 20 and 10 m2, a 0.05 m2, Cd 0.6, H 2 m: 141.9002 s; after half of it a quarter of
 * the head is left. The tanks are 4 and 2 m deep: in the end 3.3333 m. */
START_TEST(two_tanks_become_level)
{
    static const char parts[] = HIGH_TANK("a", "0 2") HIGH_TANK(
        "b",
        "2 3") "<passage id=\"P\" kind=\"arch\" between=\"a b\"><clear x=\"495\" y=\"2\" z=\"4\" "
               "width=\"0.5\" height=\"0.1\" lies=\"longitudinal\"/></passage>" LOADED(
                   FULL("a", "0.8") FULL("b", "0.4"));
    ck_assert_double_eq_tol(depth_after(parts, NULL, 70.9501, 0.6, 0), 10 / 3.0 + 0.5 / 3, 1e-3);
    ck_assert_double_eq_tol(depth_after(parts, NULL, 141.9002, 0.6, 0), 10 / 3.0, 2e-3);
}
END_TEST

/* Time to equalise of IMO resolutions MSC.245(83) and MSC.362(92), from memory; the mathematics derived:
 * 2 W / (S F sqrt(2g) (sqrt(H0) + sqrt(hf))) for a head that falls linearly from H0 to hf as W goes over.
 * W 100 m3, S 0.5 m2, F 0.7, H0 4 m, hf 1 m: 43.002 s. Here F is the coefficient of discharge, the sea 4 m
 * over a tank of 33.3333 m2 that takes 3 m of water; or over one of 25 m2, until it is as deep inside (hf 0: 64.503 s). */
#define CROSS(y)                                                                                   \
    "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"490 520\" y=\"0 " y                    \
    "\" z=\"0 8\"/></space><loading id=\"l\" name=\"L\" draft=\"4\" kg=\"1\"/>"

START_TEST(cross_flooding_takes_its_time)
{
    const coaming_flood_breach hole = {0, 0.5, 0};
    ck_assert_double_eq_tol(depth_after(CROSS("1.1111111111"), &hole, 43.002, 0.7, 0), 3, 1e-3);
    ck_assert_double_eq_tol(depth_after(CROSS("0.8333333333"), &hole, 64.503, 0.7, 0), 4, 3e-3);
    /* Losses of fittings in a row: F = 1/sqrt(sum of k); a sharp entrance 0.5 and the outlet 1 make
     * 0.8165 (same resolution; k of the entrance after Idelchik). */
    double f = 1 / sqrt(0.5 + 1);
    ck_assert_double_eq_tol(f, 0.8165, 5e-5);
    double t = 2 * 100 / (0.5 * f * TORRICELLI * (2 + 1));
    ck_assert_double_eq_tol(depth_after(CROSS("1.1111111111"), &hole, t, f, 0), 3, 1e-3);
}
END_TEST

/* What a hole of so much lets into CROSS's tank of 33.3333 m2 under 4 m of sea: depth after a time. */
static double crossed(double loss, double seconds)
{
    const coaming_flood_breach hole = {0, 0.5, 0};
    return depth_after(CROSS("1.1111111111"), &hole, seconds, 1 / sqrt(loss), 0);
}

/* Losses of fittings in a row add up: F = 1/sqrt(sum of k). A gate valve 0.15 open and 17 three quarters
 * shut (lmnoeng.com/surface.htm), entrance 0.5 (Idelchik) and outlet 1: 0.7785 and 0.2325. As long as F
 * says it takes until 3 m are in. */
START_TEST(fittings_take_their_time)
{
    static const struct {
        double loss, factor;
    } valves[] = {{0.15 + 1.5, 0.7785}, {17 + 1.5, 0.2325}};
    for (int i = 0; i < 2; i++) {
        ck_assert_double_eq_tol(1 / sqrt(valves[i].loss), valves[i].factor, 5e-5);
        double t = 2 * 100 / (0.5 * valves[i].factor * TORRICELLI * 3);
        ck_assert_double_eq_tol(crossed(valves[i].loss, t), 3, 1e-3);
    }
}
END_TEST

/* Two ways beside each other: S F = S1 F1 + S2 F2 (MSC.245(83), 2.7): 0.3 and 0.2 m2 as 0.5. */
START_TEST(ways_beside_each_other_add_up)
{
    const coaming_flood_breach holes[] = {{0, 0.3, 0}, {0, 0.2, 0}};
    coaming_ship *s = ship_from_parts(BASIN, CROSS("1.1111111111"));
    coaming_flood_ask ask = ask_holed(holes, 43.002);
    ask.breach_count = 2;
    ask.every = ask.until;
    ask.discharge = 0.7;
    ask.loading = 0;
    coaming_flood *f = flood_of(s, &ask);
    ck_assert_double_eq_tol(coaming_flood_get(f)->spaces[0].depths[1], 3, 1e-3);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Two ways one behind the other, with a well of 0.1 m2 between, which is as good as none: k = k1 + k2 S1^2/S2^2
 * (MSC.245(83), 2.5). A hole of 0.5 m2 in the bottom of the well, k1 = 1/0.6^2, and a slot of 0.25 m2 on from there
 * by its lowest edge, k2 the same: F = 0.6/sqrt(1 + 4). */
START_TEST(ways_behind_each_other_add_their_losses)
{
    coaming_ship *s = ship_from_parts(
        BASIN, "<space id=\"w\" name=\"W\" permeability=\"1\"><box x=\"489.9 490\" y=\"0 1\" z=\"0 "
               "8\"/></space>" CROSS(
                   "1.1111111111") "<passage id=\"P\" kind=\"arch\" between=\"w a\"><clear "
                                   "x=\"490\" y=\"0.5\" z=\"0\" width=\"2.5\" height=\"0.1\" "
                                   "lies=\"transverse\"/></passage>");
    const coaming_flood_breach hole = {0, 0.5, 0};
    double factor = 0.6 / sqrt(1 + 4);
    coaming_flood_ask ask = ask_holed(&hole, 2 * 100 / (0.5 * factor * TORRICELLI * (2 + 1)));
    ask.every = ask.until;
    ask.loading = 0;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_eq(a->space_count, 2);
    ck_assert_double_eq_tol(a->spaces[1].depths[1], 3,
                            0.03); /* the slot is 0.1 m high, and the well fills too */
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A tank of 20 m2 fills through 0.05 m2 from a sea 3 m up: t = 2 A sqrt(H)/(Cd a sqrt(2g)) = 521.374591 s; at half
 * of it a quarter of the root's square is left, 2.25 m are in. */
START_TEST(a_tank_fills_by_torricelli)
{
    const coaming_flood_breach hole = {0, 0.05, 0};
    const char *parts = TANK("a", "0 1") "<loading id=\"l\" name=\"L\" draft=\"3\" kg=\"1\"/>";
    ck_assert_double_eq_tol(2 * 20 * sqrt(3) / (0.6 * 0.05 * TORRICELLI), 521.374591, 1e-5);
    ck_assert_double_eq_tol(depth_after(parts, &hole, 521.374591 / 2, 0.6, 0), 2.25, 1e-3);
    ck_assert_double_eq_tol(depth_after(parts, &hole, 521.374591, 0.6, 0), 3, 2e-3);
}
END_TEST

/* --- what nothing may upset --- */

/* Two spaces of 1 m3 with an opening of 1 m2, and a breach: nothing there takes longer than a tenth of a
 * second, and it is followed for an hour. */
START_TEST(what_is_stiff_does_not_crawl)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"8\" depth=\"5\" draft=\"2\" kg=\"2\"",
        "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"20 21\" y=\"0 1\" z=\"0.5 "
        "1.5\"/></space>"
        "<space id=\"b\" name=\"B\" permeability=\"1\"><box x=\"21 22\" y=\"0 1\" z=\"0.5 "
        "1.5\"/></space>"
        "<passage id=\"P\" kind=\"arch\" between=\"a b\"><clear x=\"21\" y=\"0.5\" z=\"0.5\" "
        "width=\"1\" height=\"1\" lies=\"transverse\"/></passage>");
    const coaming_flood_breach hole = {0, 0.01, 0.6};
    coaming_flood_ask ask = ask_holed(&hole, 3600);
    ask.grades = true;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_lt(a->steps, 2000);
    ck_assert(a->at_rest);
    for (int k = 0; k < 2; k++)
        ck_assert_double_eq_tol(a->spaces[k].volumes[a->moment_count - 1], 1, 1e-9);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Wing tanks joined at the bottom: the lower one is holed and she heels, so the floor of the other lies
 * higher than the water at the opening, and each drop that gets there runs back at once. */
START_TEST(what_runs_back_at_once_does_not_crawl)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"3.6\" density=\"1\"",
        "<space id=\"p\" name=\"P\" permeability=\"1\"><box x=\"10 30\" y=\"3 5\" z=\"0 "
        "6\"/></space>"
        "<space id=\"s\" name=\"S\" permeability=\"1\"><box x=\"10 30\" y=\"-5 -3\" z=\"0 "
        "6\"/></space>"
        "<passage id=\"X\" kind=\"duct\" between=\"p s\"><clear x=\"20\" y=\"0\" z=\"0\" "
        "width=\"1\" height=\"1\" lies=\"longitudinal\"/></passage>");
    const coaming_flood_breach hole = {0, 0.2, 1};
    coaming_flood_ask ask = ask_holed(&hole, 10);
    ask.every = 10;
    coaming_flood *f = flood_of(s, &ask);
    ck_assert_uint_lt(coaming_flood_get(f)->steps, 400);
    coaming_flood_free(f);
    ask.until = 3600;
    ask.every = 60;
    f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_lt(a->steps, 4000);
    ck_assert(a->at_rest);
    ck_assert_double_eq_tol(a->at.draught, 3.75, 0.1); /* 300 m3 more of 400 m2 less both tanks */
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A box ship in compartments on two decks, with openings between neighbours and hatches, some doors shut
 * or leaking, one space holed. */
static char *box_ship(uint64_t number, int *along)
{
    dice d = {number * 977 + 3};
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    *along = 3 + dice_below(&d, 3);
    double apart = 60.0 / *along;
    for (int i = 0; i < 4 * *along; i++) {
        int bay = i / 4, side = i % 2, deck = i / 2 % 2;
        fprintf(
            out,
            "<space id=\"s%d\" name=\"S\" permeability=\"%g\" shell=\"yes\"><box x=\"%.17g %.17g\" "
            "y=\"%d %d\" z=\"%d %d\"/></space>",
            i, 0.6 + 0.1 * dice_below(&d, 4), bay * apart, (bay + 1) * apart, side ? 0 : -6,
            side ? 6 : 0, deck ? 3 : 0, deck ? 8 : 3);
    }
    for (int l = 0; l < 3 * *along; l++) {
        int a = dice_below(&d, 4 * *along), b, lies = dice_below(&d, 3);
        const int bay = a / 4;
        double x = (bay + 0.5) * apart, y = a % 2 ? 3 : -3, z = a / 2 % 2 ? 3 : 0;
        b = lies == 0 ? a + 4 : lies == 1 ? a ^ 1 : a ^ 2;
        if (b >= 4 * *along)
            continue;
        x = lies == 0 ? (bay + 1) * apart : x;
        y = lies == 1 ? 0 : y;
        z = lies == 2 ? 3 : z + 0.1 + 0.1 * dice_below(&d, 6);
        static const char *const ways[] = {"transverse", "longitudinal", "deck"};
        bool door = dice_below(&d, 3) == 0;
        fprintf(
            out,
            "<%s id=\"l%d\" kind=\"%s\" between=\"s%d s%d\"%s><clear x=\"%.17g\" y=\"%g\" z=\"%g\" "
            "width=\"0.8\" height=\"%g\" lies=\"%s\"/>%s</%s>",
            door ? "closure" : "passage", l, door ? "door" : "arch", a, b,
            door ? " rating=\"watertight\"" : "", x, y, z, lies == 2 ? 0.8 : 1.7, ways[lies],
            door && dice_below(&d, 2)
                ? "<test date=\"2026-01-01\" method=\"chalk\" result=\"fail\"/>"
                : "",
            door ? "closure" : "passage");
    }
    fclose(out);
    return text;
}

#define BOX "length=\"60\" beam=\"12\" depth=\"8\" draft=\"3.5\" kg=\"4\""

static coaming_flood *flood_box(coaming_ship *s, int holed, double until, double tolerance)
{
    const coaming_flood_breach hole = {holed, 0.3, holed / 2 % 2 ? 3.2 : 1}; /* by its deck */
    coaming_flood_ask ask = ask_holed(&hole, until);
    ask.every = until / 20;
    ask.tolerance = tolerance;
    return flood_of(s, &ask);
}

enum { BOX_SHIPS = 40 };

static bool same_spaces(const coaming_flood_answer *a, const coaming_ship *s, bool *flooded,
                        const coaming_floating_answer *f)
{
    double water = a->moments[a->moment_count - 1].water;
    bool same =
        fabs(a->at.flooded_volume - water) < 1e-3 * water; /* none is caught behind a sill */
    memset(flooded, 0, coaming_space_count(s) * sizeof *flooded);
    for (size_t i = 0; i < f->flooded_count; i++)
        flooded[f->flooded[i]] = true;
    for (size_t i = 0; i < f->went_on_count; i++)
        flooded[f->went_on[i].space] = true;
    for (size_t i = 0; i < a->space_count; i++) {
        bool wet = a->spaces[i].volumes[a->moment_count - 1] > 1e-3;
        same = same && (!wet || flooded[a->spaces[i].space]);
        flooded[a->spaces[i].space] = flooded[a->spaces[i].space] && !wet;
    }
    for (size_t i = 0; i < coaming_space_count(s); i++)
        same = same && !flooded[i];
    return same;
}

/* m3 that the rooms may be off: the first and the last hundred-thousandth of each is a straight line. */
static double off_at_edges(const coaming_flood_answer *a, const coaming_ship *s)
{
    double off = 0;
    for (size_t i = 0; i < a->space_count; i++) {
        double full = coaming_space_volume(s, a->spaces[i].space);
        double volume = a->spaces[i].volumes[a->moment_count - 1];
        off += fmin(volume, full - volume) < 1e-5 * full ? 1e-5 * full : 0;
    }
    return off;
}

/* m3, at most, by which what is told of the spaces differs from what came in and did not go out. */
static double untold(const coaming_flood_answer *a)
{
    double most = 0;
    for (size_t k = 0; k < a->moment_count; k++) {
        double sum = a->moments[k].inflow - a->moments[k].pumped;
        for (size_t i = 0; i < a->space_count; i++)
            sum -= a->spaces[i].volumes[k];
        most = fmax(most, fabs(sum));
    }
    return most;
}

/* Where water and ship come to rest she lies as `float --spread` says of the same spaces. Water that
 * goes on may lift an opening out before it is reached, or hold her over until one is: then sets differ,
 * and nothing is claimed. And volume is kept, to 1e-8 of what moved. */
START_TEST(the_end_is_the_equilibrium)
{
    const char *many = getenv("COAMING_FLOOD_SHIPS");
    int compared = 0, ships = many ? atoi(many) : BOX_SHIPS;
    for (uint64_t number = 0; number < (uint64_t)ships; number++) {
        int along;
        char *parts = box_ship(number, &along);
        coaming_ship *s = ship_from_parts(BOX, parts);
        const int holed = (int)(number % 4) + 4;
        coaming_flood *f = flood_box(s, holed, 400000, 1e-6);
        const coaming_flood_answer *a = coaming_flood_get(f);
        coaming_floating *floating = NULL;
        bool *flooded = memory_new(coaming_space_count(s), sizeof *flooded);
        coaming_query query = at_equilibrium();
        ck_assert_int_eq(coaming_floating_new(s, query, &holed, 1, true, &floating, NULL),
                         COAMING_OK);
        const coaming_floating_answer *e = coaming_floating_get(floating);
        double moved = a->moments[a->moment_count - 1].inflow;
        CLAIM(fabs(a->off) <= 1e-8 * moved, "ship %d: off by %g of %g", (int)number, a->off, moved);
        CLAIM(untold(a) <= 1e-8 * moved, "ship %d: %g of %g is nowhere", (int)number, untold(a),
              moved);
        if (e->at.afloat == COAMING_AFLOAT_YES && a->at.afloat == COAMING_AFLOAT_YES &&
            a->at_rest && same_spaces(a, s, flooded, e)) {
            const coaming_flood_moment *m = &a->moments[a->moment_count - 1];
            compared++;
            CLAIM(fabs(a->at.flooded_volume - m->water) < off_at_edges(a, s) + 1e-6 * m->water,
                  "ship %d: %.9g m3, not %.9g", (int)number, m->water, a->at.flooded_volume);
            double side = m->heel * e->at.heel < 0 && e->at.either_side ? -1 : 1;
            CLAIM(fabs(m->draught - e->at.draught) < 1e-4 && fabs(m->trim - e->at.trim) < 1e-3 &&
                      fabs(m->heel - side * e->at.heel) < 2e-3,
                  "ship %d: %g %g %g, not %g %g %g", (int)number, m->draught, m->trim, m->heel,
                  e->at.draught, e->at.trim, e->at.heel);
            CLAIM(fabs(a->at.draught - e->at.draught) < 1e-4, "ship %d: told otherwise",
                  (int)number);
        }
        memory_free(flooded);
        coaming_floating_free(floating);
        coaming_flood_free(f);
        coaming_ship_free(s);
        free(parts);
    }
    ck_assert_int_ge(compared, ships / 2);
}
END_TEST

/* Water that lies across the whole ship makes her unstable, and nothing decides the side. Box 60 x 12 m, 3 m
 * deep in sea, KG 3.98 m; 360 m3 in 30 m of her length, 1 m deep: of her surface 60 m x 12^3/12 = 8640 m4
 * are left 4320, heights of volumes 2520 x 1.75 - 2160 x 3.98 - 360 x 0.5, in all S = -46.8 m4. Wall-sided, she
 * lies where S + 4320/2 tan^2 = 0 (derived): tan 0.147196, 8.3736 degrees; the surface keeps off the floor, for
 * 6 m x 0.147 is less than its depth. With less water in
 * her she lies over as well. The lag leaves the moment 0.05 s behind, in which S rises by 0.0125 m4: 0.0011
 * degrees. */
START_TEST(she_does_not_stay_upright_on_a_ridge)
{
    coaming_ship *s =
        ship_from_parts("length=\"60\" beam=\"12\" depth=\"8\" draft=\"3\" kg=\"3.98\"",
                        "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"15 45\" y=\"-6 6\" "
                        "z=\"0 8\"/></space>");
    coaming_flood *f = flood_by_hose(s, 3600, 600);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_eq(a->moment_count, 7);
    for (size_t k = 1; k < a->moment_count; k++)
        ck_assert_double_gt(fabs(a->moments[k].heel), 1);
    ck_assert_double_eq_tol(fabs(a->moments[6].heel), 8.3736, 2e-3);
    ck_assert_double_eq_tol(fabs(a->at.heel), 8.3736, 1e-3);
    ck_assert_double_gt(a->at.heel * a->moments[6].heel, 0);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* The same through a hole, beside a room that stays dry behind a sill, where nothing makes the steps short
 * (which is by chance): she lists more from minute to minute, to
 * port, as where nothing decides, and at the last lies as at rest with that water. */
START_TEST(long_steps_do_not_hold_her_upright)
{
    coaming_ship *s = ship_from_parts(
        "length=\"60\" beam=\"12\" depth=\"8\" draft=\"3\" kg=\"3.5\"",
        "<space id=\"a\" name=\"A\" permeability=\"0.7\"><box x=\"0 11\" y=\"-6 6\" z=\"0 "
        "8\"/></space>"
        "<space id=\"b\" name=\"B\" permeability=\"0.85\"><box x=\"11 60\" y=\"-6 6\" z=\"0 "
        "8\"/></space>"
        "<passage id=\"p\" kind=\"arch\" between=\"a b\"><clear x=\"11\" y=\"0\" z=\"1.29\" "
        "width=\"0.62\" height=\"1.3\" lies=\"transverse\"/></passage>");
    const coaming_flood_breach hole = {1, 0.05, 1.11};
    coaming_flood_ask ask = ask_holed(&hole, 900);
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    for (size_t k = 1; k < a->moment_count; k++)
        ck_assert_double_gt(a->moments[k].heel, a->moments[k - 1].heel + 0.1);
    ck_assert_double_eq_tol(a->moments[a->moment_count - 1].heel, a->at.heel, 2e-3);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A film of water in B lets her come back at once from where she is moved to off a ridge: she would be moved forty
 * thousand times a second, to no other end. Found by fuzzing. */
START_TEST(a_film_does_not_topple_her_for_ever)
{
    coaming_ship *s =
        ship_from_parts("length=\"24\" beam=\"6\" depth=\"3\" draft=\"1.5\" kg=\"1.2\"",
                        "<hull><section x=\"0\"><offset z=\"0\" y=\"1\"/><offset z=\"2\" "
                        "y=\"3\"/></section><section x=\"6\"><offset "
                        "z=\"0\" y=\"3\"/><offset z=\"3\" y=\"3\"/></section><section "
                        "x=\"24\"><offset z=\"0\" y=\"0.2\"/><offset "
                        "z=\"3\" y=\"1\"/></section></hull><space id=\"a\" name=\"A\" "
                        "use=\"machinery\"><box x=\"0 8\" y=\"-3 3\" z=\"0 "
                        "3\"/></space><space id=\"b\" name=\"B\" permeability=\"0.9\"><box x=\"8 "
                        "16\" y=\"-3 3\" z=\"0 3\"/></space>"
                        "<closure id=\"D\" kind=\"door\" between=\"a b\" "
                        "rating=\"watertight\"><clear x=\"8\" y=\"0\" z=\"0.5\" "
                        "width=\"0.7\" height=\"1.7\" lies=\"transverse\"/><test "
                        "date=\"2026-02-06\" method=\"chalk\" "
                        "result=\"fail\"><gap at=\"1.85\" length=\"0.22\" "
                        "seen=\"paint\"/></test></closure><closure id=\"V\" "
                        "kind=\"valve\" between=\"a sea\" rating=\"nontight\"><clear x=\"2\" "
                        "y=\"1\" z=\"0.3\" width=\"0.1\" height=\"5.1\" "
                        "lies=\"longitudinal\"/></closure>");
    const coaming_flood_breach hole = {0, 0.1, NAN};
    coaming_flood_ask ask = ask_holed(&hole, 88.9);
    coaming_flood *f = flood_of(s, &ask);
    ck_assert_uint_lt(coaming_flood_get(f)->steps, 1000);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Two floods of one ship, volumes at each moment: within the sum of what both promise. */
static void check_promises(int number, const coaming_ship *s, const coaming_flood_answer *a,
                           const coaming_flood_answer *b)
{
    ck_assert_uint_eq(a->space_count, b->space_count);
    for (size_t i = 0; i < a->space_count; i++) {
        double full = coaming_space_volume(s, a->spaces[i].space);
        double both = COAMING_FLOOD_PROMISE * (a->kept + b->kept) * full;
        for (size_t k = 0; k < a->moment_count && k < b->moment_count; k++)
            CLAIM(a->moments[k].t != b->moments[k].t ||
                      fabs(a->spaces[i].volumes[k] - b->spaces[i].volumes[k]) <= both,
                  "ship %d space %zu moment %zu: %g, not %g of %g", number, i, k,
                  a->spaces[i].volumes[k], b->spaces[i].volumes[k], full);
    }
}

/* Whatever the tolerance, and it is kept. */
START_TEST(tolerance_does_not_decide)
{
    static const double tolerances[] = {1e-4, 1e-5, 1e-6, 1e-8};
    enum { COUNT = sizeof tolerances / sizeof *tolerances };
    for (uint64_t number = 0; number < 20; number++) {
        int along;
        char *parts = box_ship(number, &along);
        coaming_ship *s = ship_from_parts(BOX, parts);
        coaming_flood *floods[COUNT];
        for (int i = 0; i < COUNT; i++) {
            floods[i] = flood_box(s, 4, 1200, tolerances[i]);
            ck_assert_double_eq(coaming_flood_get(floods[i])->kept, tolerances[i]);
        }
        for (int i = 0; i + 1 < COUNT; i++)
            check_promises((int)number, s, coaming_flood_get(floods[i]),
                           coaming_flood_get(floods[COUNT - 1]));
        for (int i = 0; i < COUNT; i++)
            coaming_flood_free(floods[i]);
        coaming_ship_free(s);
        free(parts);
    }
}
END_TEST

/* What no number of so many digits can keep is not kept, told, and what is told instead holds. */
START_TEST(a_tolerance_that_cannot_be_kept_is_told)
{
    int along;
    char *parts = box_ship(1, &along);
    coaming_ship *s = ship_from_parts(BOX, parts);
    coaming_flood *fine = flood_box(s, 4, 60, 1e-17), *usual = flood_box(s, 4, 60, 1e-5);
    ck_assert_double_gt(coaming_flood_get(fine)->kept, 1e-17);
    ck_assert_double_eq(coaming_flood_get(usual)->kept, 1e-5);
    check_promises(1, s, coaming_flood_get(usual), coaming_flood_get(fine));
    char *told = flood_assumed_words(s, coaming_flood_get(fine));
    ck_assert_ptr_nonnull(strstr(told, "could not be told as exactly as was asked"));
    free(told);
    told = flood_assumed_words(s, coaming_flood_get(usual));
    ck_assert_ptr_null(strstr(told, "exactly"));
    free(told);
    coaming_flood_free(fine);
    coaming_flood_free(usual);
    coaming_ship_free(s);
    free(parts);
}
END_TEST

/* --- the equations --- */

static void settle_in(water_watching *w, double *y, double seconds)
{
    const stiff_problem problem = {.count = water_unknowns(w->m),
                                   .start = w->m->start,
                                   .row = w->m->row,
                                   .allow = water_allow,
                                   .rates = water_rates,
                                   .jacobian = water_jacobian,
                                   .data = w};
    stiff *solver;
    double t;
    bool any;
    ck_assert_int_eq(stiff_new(&problem, 0, y, &solver, NULL), COAMING_OK);
    ck_assert_int_eq(stiff_on(solver, seconds, &t, y, NULL, &any, NULL), COAMING_OK);
    stiff_free(solver);
}

static double entry(const water_model *m, const double *values, size_t row, size_t column)
{
    for (int k = m->start[column]; k < m->start[column + 1]; k++)
        if (m->row[k] == (int)row)
            return values[k];
    return 0;
}

/* Changes of the rates against differences, for the water in each room that has some. What a room loses
 * another gains or the outside: each column adds up to nothing. That an opening is less high as she heels is
 * left out of the changes. */
static void check_changes(water_watching *w, double *y, uint64_t number)
{
    water_model *m = w->m;
    size_t n = m->room_count, all = water_unknowns(m);
    double *values = memory_new((size_t)m->start[all], sizeof *values);
    double *up = memory_new(all, sizeof *up), *down = memory_new(all, sizeof *down);
    ck_assert(water_jacobian(w, 0, y, values));
    for (size_t j = 0; j < n + 3; j++) {
        double step = j < n ? 1e-6 : 1e-7, at = y[j], sum = 0;
        if (j < n && !(y[j] > 0.01))
            continue;
        y[j] = at + step;
        ck_assert(water_rates(w, 0, y, up));
        y[j] = at - step;
        ck_assert(water_rates(w, 0, y, down));
        y[j] = at;
        for (size_t i = 0; i < n; i++) {
            double change = (up[i] - down[i]) / (2 * step), told = entry(m, values, i, j);
            CLAIM(fabs(change - told) < 2e-2 * fabs(change) + (j > n ? 0.15 : 1e-4),
                  "ship %d %zu by %zu: %g, not %g", (int)number, i, j, told, change);
            sum += told;
        }
        for (size_t i = n; j >= n && i < n + 3; i++) {
            double change = (up[i] - down[i]) / (2 * step), told = entry(m, values, i, j);
            CLAIM(fabs(change - told) * m->scale[i - n] / m->scale[j - n] < 0.1 / COAMING_FLOOD_LAG,
                  "ship %d, lying %zu by %zu: %g, not %g", (int)number, i - n, j - n, told, change);
        }
        sum += entry(m, values, n + 4, j) - entry(m, values, n + 3, j);
        CLAIM(fabs(sum) < 1e-9 * (1 + fabs(entry(m, values, n + 3, j))), "column %zu: %g", j, sum);
    }
    memory_free(values);
    memory_free(up);
    memory_free(down);
}

START_TEST(the_changes_of_the_rates_are_right)
{
    for (uint64_t number = 0; number < 12; number++) {
        int along;
        char *parts = box_ship(number, &along);
        coaming_ship *s = ship_from_parts(BOX, parts);
        const coaming_flood_breach hole = {4, 0.3, 1};
        coaming_flood_ask ask = ask_holed(&hole, 3600);
        water_model m;
        water_watching w;
        ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
        ck_assert(water_pattern(&m) && water_watch_make(&w, &m));
        double *y = memory_new(water_unknowns(&m), sizeof *y);
        water_begin(&m, y);
        settle_in(&w, y, 60);
        check_changes(&w, y, number);
        memory_free(y);
        water_model_free(&m);
        coaming_ship_free(s);
        free(parts);
    }
}
END_TEST

/* The same where a main presses on a room that is full, 5 m over it, and a pump draws half of what it can from 2.5 cm
 * of water: both change with what is there. One part of two rooms the pump serves; the other gives all. */
START_TEST(the_changes_of_mains_and_pumps_are_right)
{
    coaming_ship *s = ship_from_parts(
        BASIN, TANK("a", "0 1") TANK("b", "1 2.5") TANK("c", "3 4")
                   TANK("d", "5 6") "<pump id=\"p\" space=\"d\" capacity=\"720\" serves=\"b c\"/>");
    const coaming_flood_inflow mains[] = {{0, 0.3}, {1, 0.1}, {2, 0.1}};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.inflows = mains;
    ask.inflow_count = 3;
    water_model m;
    water_watching w;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    ck_assert(water_pattern(&m) && water_watch_make(&w, &m));
    ck_assert_uint_eq(m.room_count, 3);
    double *y = memory_new(water_unknowns(&m), sizeof *y), *rates = memory_new(9, sizeof *rates);
    water_begin(&m, y);
    y[0] = 160 * (1 + 1e-4 * 5); /* a ten-thousandth of 160 m3 a metre: level.c */
    y[1] = 30 * 0.025;
    y[2] = 20;
    ck_assert(water_rates(&w, 0, y, rates));
    /* 10 m stop a main, so 5 leave half. 0.2 m3/s of pump go by what each can give: 0.5 and 1. */
    ck_assert_double_eq_tol(rates[0], 0.3 / 2, 1e-9);
    ck_assert_double_eq_tol(rates[1], 0.1 - 0.2 * 0.5 / 1.5, 1e-9);
    ck_assert_double_eq_tol(rates[2], 0.1 - 0.2 * 1 / 1.5, 1e-9);
    ck_assert_double_eq_tol(rates[3 + 3], 0.15 + 0.1 + 0.1, 1e-9);
    ck_assert_double_eq_tol(rates[3 + 4], 0.2, 1e-9);
    y[2] = 0;
    check_changes(&w, y, 0);
    memory_free(y);
    memory_free(rates);
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

/* --- levels --- */

static water_level level_of(const water_model *m, const plane *tilt, double volume)
{
    const water_lie lie = {m->f->middle, tilt, 100, m->f->scratch};
    water_level at = {0};
    water_find_level(&m->ship->spaces[0], volume, &lie, &at);
    return at;
}

/* A level against its neighbours, a little less and a little more water: the height's change is what it is told to be,
 * and the moment grows by what is added where the surface is. Near empty and near full the levels are a
 * straight line, and there only the whole is the same. */
static void check_level(const water_model *m, const plane *tilt, double volume, double full)
{
    double step = 1e-7 * full, edge = 1e-5 * full;
    water_level less = level_of(m, tilt, volume - step), at = level_of(m, tilt, volume),
                more = level_of(m, tilt, volume + step);
    double rise = (more.height - less.height) / (2 * step);
    CLAIM(fabs(rise - at.by_volume) < 1e-3 * rise, "%g of %g: %g, not %g", volume, full,
          at.by_volume, rise);
    CLAIM(fabs(at.weight - fmin(volume, full)) < 1e-9 * full, "%g: weighs %g", volume, at.weight);
    CLAIM(at.low < at.height && (volume >= full) == (at.height >= at.high), "%g", volume);
    if (volume < edge || (volume > full - edge && volume < full)) {
        bool few = volume < edge;
        water_level last = level_of(m, tilt, few ? edge : full - edge);
        double share = (few ? volume : full - volume) / edge;
        CLAIM(fabs(at.uu - share * last.uu) < 1e-6 * last.uu, "%g: %g", volume, at.uu);
        CLAIM(fabs(at.vv - share * last.vv) < 1e-6 * last.vv, "%g: %g", volume, at.vv);
    }
    if (volume < edge || volume > full - edge)
        return;
    for (int k = 0; k < 3; k++) {
        double grows = (more.moment[k] - less.moment[k]) / (2 * step);
        CLAIM(fabs(grows - at.surface[k]) < 1e-2, "%g: %d %g, not %g", volume, k, at.surface[k],
              grows);
    }
}

/* A wedge and a box beside it, upright and heeled and trimmed, from the last drop to a head over it. */
START_TEST(a_level_goes_with_its_volume)
{
    static const double parts[] = {2e-6, 8e-6,     2e-5,     1e-3,     0.1,      0.5,
                                   0.9,  1 - 1e-3, 1 - 2e-5, 1 - 8e-6, 1 - 2e-6, 1 + 1e-5};
    coaming_ship *s = ship_from_parts(
        BOX, "<space id=\"a\" name=\"A\" permeability=\"0.9\"><box x=\"10 20\" y=\"-6 0\" z=\"1 "
             "3\"/><box x=\"10 14\" y=\"0 6\" z=\"2 5\"/></space>");
    const coaming_flood_breach hole = {0, 0.1, 1.5};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    water_model m;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    double full = s->spaces[0].volume;
    ck_assert_double_eq_tol(full, 0.9 * (10 * 6 * 2 + 4 * 6 * 3), 1e-9);
    for (int lie = 0; lie < 3; lie++) {
        plane p = plane_make(0.3 * lie, -0.04 * lie, 0, m.f->middle);
        p = plane_make(0.3 * lie, -0.04 * lie, dot(p.n, m.f->middle), m.f->middle);
        for (size_t i = 0; i < sizeof parts / sizeof *parts; i++)
            check_level(&m, &p, parts[i] * full, full);
    }
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

/* --- what happens on the way --- */

static const coaming_flood_event *find_event(const coaming_flood_answer *a,
                                             coaming_flood_event_kind kind)
{
    for (size_t i = 0; i < a->event_count; i++)
        if (a->events[i].kind == kind)
            return &a->events[i];
    return NULL;
}

#define PAIR(more)                                                                                 \
    "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"490 510\" y=\"0 1\" z=\"0 "            \
    "8\"/></space>"                                                                                \
    "<space id=\"b\" name=\"B\" permeability=\"1\" vital=\"yes\"><box x=\"490 510\" y=\"1 2.5\" "  \
    "z=\"0 8\"/></space><closure id=\"D\" kind=\"door\" between=\"a b\" "                          \
    "rating=\"watertight\" " more                                                                  \
    "><clear x=\"500\" y=\"1\" z=\"0.5\" width=\"0.8\" height=\"1.7\" lies=\"longitudinal\"/>"     \
    "</closure>"

/* A of 20 m2 fills through 0.05 m2 from a sea 3 m up: its level is h at t = 2 A (sqrt(3) - sqrt(3 - h)) /
 * (Cd a sqrt(2g)) (Torricelli). */
static double filled_at(double level)
{
    return 2 * 20 * (sqrt(3) - sqrt(3 - level)) / (0.6 * 0.05 * TORRICELLI);
}

START_TEST(a_door_gives_way_at_its_head)
{
    coaming_ship *s = ship_from_parts(BASIN, PAIR("collapse-head=\"1\""));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_event *wet = find_event(a, COAMING_FLOOD_CLOSURE_WET);
    const coaming_flood_event *way = find_event(a, COAMING_FLOOD_COLLAPSE);
    const coaming_flood_event *vital = find_event(a, COAMING_FLOOD_VITAL_WET);
    ck_assert(wet && way && vital);
    ck_assert_double_eq_tol(wet->t, filled_at(0.5), 0.02);
    ck_assert_double_eq_tol(way->t, filled_at(1.5), 0.03);
    ck_assert(way->link == 0 && way->space == 0 && vital->space == 1);
    ck_assert_double_gt(vital->t, way->t);
    ck_assert_double_lt(vital->t, way->t + 1);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(what_is_done_on_the_way_counts)
{
    coaming_ship *s = ship_from_parts(BASIN, PAIR(""));
    const coaming_flood_breach hole = {0, 0.05, 0};
    const coaming_flood_change opened[] = {{400, COAMING_FLOOD_SHUT, 0},
                                           {300, COAMING_FLOOD_OPEN, 0}};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    coaming_flood *held = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(held);
    ck_assert_uint_eq(a->space_count, 1); /* an untested door holds */
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_VITAL_WET));
    ask.changes = opened;
    ask.change_count = 2;
    coaming_flood *f = flood_of(s, &ask);
    a = coaming_flood_get(f);
    ck_assert_double_eq(find_event(a, COAMING_FLOOD_OPEN_DONE)->t, 300);
    ck_assert_double_eq(find_event(a, COAMING_FLOOD_SHUT_DONE)->t, 400);
    ck_assert_double_gt(find_event(a, COAMING_FLOOD_VITAL_WET)->t, 300);
    ck_assert_double_lt(find_event(a, COAMING_FLOOD_VITAL_WET)->t, 301);
    /* nothing goes through after it was shut */
    ck_assert_double_gt(a->spaces[1].volumes[7], 1);
    ck_assert_double_eq_tol(a->spaces[1].volumes[10], a->spaces[1].volumes[7], 1e-9);
    coaming_flood_free(held);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* The last moment at which shutting the door keeps b dry is just before b is wet. */
START_TEST(a_deadline_is_when_water_comes)
{
    coaming_ship *s = ship_from_parts(BASIN, PAIR("shut-in=\"\""));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    coaming_flood_deadlines *d = NULL;
    ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_flood_deadline_count(d), 1);
    const coaming_flood_deadline *row = coaming_flood_deadline_get(d, 0);
    ck_assert_int_eq(row->closure, 0);
    ck_assert_int_eq(row->space, 1);
    coaming_flood *f = flood_of(s, &ask);
    double wet = find_event(coaming_flood_get(f), COAMING_FLOOD_VITAL_WET)->t;
    ck_assert_double_gt(wet, filled_at(0.5)); /* which is 1 cm of b */
    ck_assert_double_lt(row->dry, wet);
    ck_assert_double_gt(row->dry, wet - 6.01); /* a hundredth of 600 s */
    coaming_flood_free(f);
    ck_assert(isinf(row->afloat));
    coaming_flood_deadlines_free(d);
    coaming_ship_free(s);
}
END_TEST

/* D stands open and E, beyond it, is opened at 200 and again at 400 s: what is done to E leaves D's deadline
 * where it is without. E's own is sought from when it was opened last, and then c is wet. */
START_TEST(a_deadline_does_not_hang_on_other_doors)
{
    coaming_ship *s = ship_from_parts(
        BASIN,
        PAIR("shut-in=\"\"")
            TANK("c", "2.5 4") "<closure id=\"E\" kind=\"door\" between=\"b c\" "
                               "rating=\"watertight\"><clear x=\"500\" y=\"2.5\" z=\"0\" "
                               "width=\"0.8\" height=\"1.7\" lies=\"longitudinal\"/></closure>");
    const coaming_flood_breach hole = {0, 0.05, 0};
    const coaming_flood_change opened[] = {{200, COAMING_FLOOD_OPEN, 1},
                                           {400, COAMING_FLOOD_OPEN, 1}};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    double dry[2];
    for (int i = 0; i < 2; i++) {
        coaming_flood_deadlines *d = NULL;
        ask.changes = i ? opened : NULL;
        ask.change_count = i ? 2 : 0;
        ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
        ck_assert_uint_eq(coaming_flood_deadline_count(d), i + 1);
        const coaming_flood_deadline *row = coaming_flood_deadline_get(d, 0);
        ck_assert_int_eq(row->closure, 0);
        ck_assert_int_eq(row->space, 1);
        dry[i] = row->dry;
        if (i) {
            row = coaming_flood_deadline_get(d, 1);
            ck_assert_int_eq(row->closure, 1);
            ck_assert_int_eq(row->space, -1); /* from 200 s on c was wet before it could help */
            ck_assert(isnan(row->dry));
        }
        coaming_flood_deadlines_free(d);
    }
    ck_assert_double_eq_tol(dry[0], dry[1], 0.01);
    ck_assert_double_gt(dry[0], 0);
    coaming_ship_free(s);
}
END_TEST

/* A sea valve that is opened meanwhile: shut as it is opened, her space stays dry; an open door beside a
 * nontight one, which keeps nothing back and has no deadline, keeps nothing dry. */
START_TEST(a_deadline_has_a_dry_side)
{
    coaming_ship *s = ship_from_parts(
        BASIN, PAIR("") "<closure id=\"V\" kind=\"valve\" between=\"sea a\" rating=\"watertight\">"
                        "<clear x=\"500\" y=\"0\" z=\"0\" width=\"0.2\" height=\"0.2\" "
                        "lies=\"longitudinal\"/></closure>"
                        "<closure id=\"N\" kind=\"door\" between=\"b a\" rating=\"nontight\">"
                        "<clear x=\"495\" y=\"1\" z=\"0.5\" width=\"0.8\" height=\"1.7\" "
                        "lies=\"longitudinal\"/></closure>");
    const coaming_flood_change changes[] = {{5, COAMING_FLOOD_OPEN, 1}, {7, COAMING_FLOOD_OPEN, 0}};
    coaming_flood_ask ask = coaming_flood_ask_default();
    coaming_flood_deadlines *d = NULL;
    ask.until = 600;
    ask.changes = changes;
    ask.change_count = 2;
    ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_flood_deadline_count(d), 2);
    const coaming_flood_deadline *door = coaming_flood_deadline_get(d, 0),
                                 *valve = coaming_flood_deadline_get(d, 1);
    ck_assert_int_eq(door->closure, 0);
    ck_assert_int_eq(door->space, -1);
    ck_assert(isnan(door->dry));
    ck_assert_int_eq(valve->closure, 1);
    ck_assert_int_eq(valve->space, 0);
    /* a centimetre of her 20 m2 comes in by 0.04 m2 under 2.9 m (Torricelli) */
    double wet = 5 + 20 * 0.01 / (0.6 * 0.04 * sqrt(2 * 9.80665 * 2.9));
    ck_assert_double_le(valve->dry, wet + 0.1);
    ck_assert_double_ge(valve->dry, wet - 1.1);
    coaming_flood_deadlines_free(d);
    coaming_ship_free(s);
}
END_TEST

/* A door that leaks with a chance of 0.3: b is wet in so many draws (4 standard errors), and in these as
 * one that failed its test is. The same seed draws the same. */
START_TEST(draws_go_by_their_chances)
{
    enum { DRAWS = 400 };
    coaming_ship *s = ship_from_parts(BASIN, PAIR("leak-probability=\"0.3\""));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    coaming_flood_likely *l = NULL, *again = NULL;
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, DRAWS, 5, &l, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, DRAWS, 5, &again, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_flood_likely_count(l), coaming_flood_likely_count(again));
    const bool leaks = true;
    coaming_flood *f = NULL;
    ck_assert_int_eq(flood_run(s, &ask, &(flood_manner){&leaks, true, false}, &f, NULL),
                     COAMING_OK);
    const coaming_flood_event *wet = find_event(coaming_flood_get(f), COAMING_FLOOD_VITAL_WET);
    int found = 0;
    for (size_t i = 0; i < coaming_flood_likely_count(l); i++) {
        const coaming_flood_likely_event *e = coaming_flood_likely_get(l, i);
        ck_assert_mem_eq(&e->share, &coaming_flood_likely_get(again, i)->share, sizeof e->share);
        ck_assert(e->early <= e->event.t && e->event.t <= e->late);
        if (e->event.kind != COAMING_FLOOD_VITAL_WET)
            continue;
        found++;
        ck_assert_double_eq_tol(e->share, 0.3, 4 * sqrt(0.3 * 0.7 / DRAWS));
        ck_assert_double_eq(e->early, wet->t);
        ck_assert(isinf(e->event.t) && isinf(e->late));
    }
    ck_assert_int_eq(found, 1);
    coaming_flood_free(f);
    coaming_flood_likely_free(l);
    coaming_flood_likely_free(again);
    coaming_ship_free(s);
}
END_TEST

/* What is sure is drawn alike each time: a door of probability 1 makes of every draw the flood through the
 * leaking door, so that each event has its time there as median and as both tenths, and no chance of none. */
START_TEST(what_is_sure_has_one_time)
{
    enum { DRAWS = 3 };
    coaming_ship *s = ship_from_parts(BASIN, PAIR("leak-probability=\"1\""));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    const bool leaks = true;
    coaming_flood *f = NULL;
    coaming_flood_likely *l = NULL;
    ck_assert_int_eq(flood_run(s, &ask, &(flood_manner){&leaks, true, false}, &f, NULL),
                     COAMING_OK);
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, DRAWS, 5, &l, NULL), COAMING_OK);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_gt(a->event_count, 2);
    ck_assert_uint_eq(coaming_flood_likely_count(l), a->event_count);
    for (size_t i = 0; i < a->event_count; i++) {
        const coaming_flood_likely_event *e = coaming_flood_likely_get(l, i);
        ck_assert_double_eq(e->event.t, a->events[i].t);
        ck_assert_double_eq(e->early, e->event.t);
        ck_assert_double_eq(e->late, e->event.t);
        ck_assert_double_eq(e->share, 1);
    }
    coaming_flood_free(f);
    coaming_flood_likely_free(l);
    coaming_ship_free(s);
}
END_TEST

/* --- where a hole is --- */

/* A door stands over the floor of the part of a space that it leads to: 0.5 m over that of the low part of a, at 0 m, 1.5
 * m up it is over that of the high one, at 1 m; under b, which lies at 3 m, is no floor of its. What it is shut from
 * elsewhere by is in the rooms that are named. */
START_TEST(a_door_is_over_its_floor)
{
    coaming_ship *s = ship_from_parts(
        BOX,
        "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-6 6\" z=\"0 8\"/><box x=\"10 20\" "
        "y=\"-6 6\" z=\"1 8\"/></space>"
        "<space id=\"b\" name=\"B\"><box x=\"20 30\" y=\"-6 6\" z=\"3 8\"/></space>"
        "<space id=\"c\" name=\"C\"><box x=\"30 40\" y=\"-6 6\" z=\"0 8\"/></space>"
        "<closure id=\"D\" kind=\"door\" between=\"a weather\" rating=\"watertight\" "
        "remote=\"yes\" power=\"c\" control=\"b\"><clear x=\"5\" y=\"6\" z=\"4.5\" width=\"0.8\" "
        "height=\"1.7\" lies=\"longitudinal\"/></closure>"
        "<closure id=\"E\" kind=\"door\" between=\"a b\" rating=\"watertight\" shut-in=\"\"><clear "
        "x=\"20\" y=\"0\" z=\"3.5\" width=\"0.8\" height=\"1.7\" "
        "lies=\"transverse\"/></closure>"
        "<closure id=\"F\" kind=\"door\" between=\"b c\" rating=\"watertight\" shut-in=\"\"><clear "
        "x=\"30\" y=\"0\" z=\"3.2\" width=\"0.8\" height=\"1.7\" "
        "lies=\"transverse\"/></closure>");
    const coaming_flood_breach hole = {0, 0.1, 2};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    static const double floors[][2] = {{0 - 4.5, 0}, {1 - 3.5, 3 - 3.5}, {3 - 3.2, 0 - 3.2}};
    water_model m;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    ck_assert_uint_eq(m.way_count, 4);
    for (int i = 0; i < 3; i++)
        for (int side = 0; side < 2; side++)
            ck_assert_double_eq_tol(m.ways[i].floor[side], floors[i][side], 1e-12);
    ck_assert_int_eq(m.ways[0].hangs[0], 2);
    ck_assert_int_eq(m.ways[0].hangs[1], 1);
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

enum { ROOMS = 7, OUT = ROOMS };

typedef struct {
    int a, b;    /* OUT: the weather */
    int through; /* people go through it */
} step_link;

static char *links_at_random(dice *d, const int *walked, step_link *links, int count)
{
    static const char *const kinds[] = {"arch", "duct", "stair", "pipe"};
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    for (int i = 0; i < ROOMS; i++)
        fprintf(out,
                "<space id=\"s%d\" name=\"S\"%s><box x=\"%d %d\" y=\"-6 6\" z=\"0 8\"/></space>", i,
                walked[i] ? "" : " walkable=\"no\"", 5 * i, 5 * i + 5);
    for (int i = 0; i < count; i++) {
        step_link *l = &links[i];
        int kind = dice_below(d, 4);
        l->a = dice_below(d, ROOMS);
        l->b = dice_below(d, ROOMS + 1);
        l->b = l->a == l->b ? OUT : l->b;
        l->through = kind % 2 == 0;
        fprintf(out, "<passage id=\"l%d\" kind=\"%s\" between=\"s%d ", i, kinds[kind], l->a);
        if (l->b == OUT)
            fprintf(out,
                    "weather\"><clear x=\"%d\" y=\"0\" z=\"8\" width=\"0.5\" height=\"0.5\" "
                    "lies=\"deck\"/></passage>",
                    5 * l->a + 2);
        else
            fprintf(out, "s%d\"/>", l->b);
    }
    fclose(out);
    return text;
}

/* A link is a way out of a space where people walk if by it the weather is as few openings away as by any: by Bellman
 * and Ford's steps over all links, until nothing changes. Of random ships. */
START_TEST(ways_out_are_the_shortest)
{
    enum { LINKS = 10 };
    for (int number = 0; number < 40; number++) {
        dice d = {(uint64_t)number * 31 + 5};
        step_link links[LINKS];
        int walked[ROOMS], steps[ROOMS + 1];
        for (int i = 0; i < ROOMS; i++) {
            walked[i] = dice_below(&d, 3) > 0;
            steps[i] = 99;
        }
        steps[OUT] = 0;
        char *parts = links_at_random(&d, walked, links, LINKS);
        coaming_ship *s = ship_from_parts(BOX, parts);
        for (int again = 0; again < ROOMS; again++)
            for (int i = 0; i < LINKS; i++)
                if (links[i].through) {
                    int a = links[i].a, b = links[i].b;
                    steps[a] = steps[b] + 1 < steps[a] ? steps[b] + 1 : steps[a];
                    steps[b] = steps[a] + 1 < steps[b] ? steps[a] + 1 : steps[b];
                }
        const coaming_flood_inflow hoses[] = {{0, 1}, {1, 1}, {2, 1}, {3, 1},
                                              {4, 1}, {5, 1}, {6, 1}};
        coaming_flood_ask ask = coaming_flood_ask_default();
        ask.inflows = hoses;
        ask.inflow_count = ROOMS;
        water_model m;
        ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
        ck_assert_uint_eq(m.way_count, LINKS);
        for (int i = 0; i < LINKS; i++) {
            int a = links[i].a, b = links[i].b;
            bool out = links[i].through && ((steps[a] == steps[b] + 1 && walked[a]) ||
                                            (b != OUT && steps[b] == steps[a] + 1 && walked[b]));
            CLAIM(m.ways[i].way_out == (out && steps[a] < 99), "ship %d, link %d", number, i);
        }
        water_model_free(&m);
        coaming_ship_free(s);
        free(parts);
    }
}
END_TEST

/* Its lowest edge over the keel, from the after end and from the centre line. */
static void check_hole(const coaming_ship *s, coaming_flood_breach hole, double x, double y,
                       double z, bool under)
{
    coaming_flood_ask ask = ask_holed(&hole, 60);
    water_model m;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    ck_assert_uint_eq(m.way_count, 1);
    const water_way *w = &m.ways[0];
    ck_assert_double_eq_tol(w->at[0] + m.f->middle[0], x, 1e-12);
    ck_assert_double_eq_tol(w->at[1] + m.f->middle[1], y, 1e-12);
    ck_assert_double_eq_tol(w->at[2] + m.f->middle[2], z, 1e-12);
    ck_assert_int_eq(w->open.under, under);
    ck_assert_int_eq(w->open.flat, under);
    water_model_free(&m);
}

/* A hole of 0.25 m2 is square, 0.5 m high about its height, in the side that the space lies at, or on the
 * centre line if it lies at both; where it would reach below the space it is in the bottom. */
START_TEST(a_hole_is_in_the_side_of_its_space)
{
    coaming_ship *s = ship_from_parts(
        BOX, "<space id=\"p\" name=\"P\"><box x=\"0 20\" y=\"2 6\" z=\"0.4 8\"/></space>"
             "<space id=\"s\" name=\"S\"><box x=\"0 20\" y=\"-6 -2\" z=\"0.4 8\"/></space>"
             "<space id=\"m\" name=\"M\"><box x=\"20 50\" y=\"-6 4\" z=\"0.4 8\"/></space>");
    check_hole(s, (coaming_flood_breach){0, 0.25, 1.5}, 10, 6, 1.25, false);
    check_hole(s, (coaming_flood_breach){1, 0.25, 1.5}, 10, -6, 1.25, false);
    check_hole(s, (coaming_flood_breach){2, 0.25, 1.5}, 35, -1, 1.25, false);
    check_hole(s, (coaming_flood_breach){0, 0.25, 0.65}, 10, 6, 0.4, false);
    check_hole(s, (coaming_flood_breach){0, 0.25, 0.6}, 10, 4, 0.6, true);
    check_hole(s, (coaming_flood_breach){1, 0.25, NAN}, 10, -4, 0.4, true);
    coaming_ship_free(s);
}
END_TEST

/* A box that is one space, permeability 1, with a hole in its bottom: what comes in puts her down by as much
 * as it rises in her, so that the head stays her draught T and the flow Cd a sqrt(2 g T). Of 40 x 8 x 4 m at
 * 2 m with 0.1 m2 she goes under with her deck after (4 - 2) 40 8 / (0.6 0.1 sqrt(2 g 2)) s. */
START_TEST(a_holed_box_sinks_when_it_must)
{
    coaming_ship *s = ship_from_parts("length=\"40\" beam=\"8\" depth=\"4\" draft=\"2\" kg=\"0.5\"",
                                      "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 "
                                      "40\" y=\"-4 4\" z=\"0 4\"/></space>");
    const coaming_flood_breach hole = {0, 0.1, 0};
    coaming_flood_ask ask = ask_holed(&hole, 3600);
    ask.grades = true;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    double sinks = 2 * 320 / (0.6 * 0.1 * TORRICELLI * sqrt(2));
    const coaming_flood_event *lost = find_event(a, COAMING_FLOOD_LOST);
    ck_assert(lost);
    ck_assert_double_eq_tol(lost->t, sinks, 1);
    ck_assert_int_eq(a->at.afloat, COAMING_AFLOAT_SINKS);
    ck_assert_int_eq(a->stability.grade, COAMING_GRADE_LOST);
    ck_assert_double_eq_tol(a->moments[10].draught, 2 + 600 / sinks * 2, 2e-3);
    ck_assert_double_eq(a->end, lost->t);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A shut door that failed its test leaks by the gaps of its print times the stand-off, spread over its
 * height: 0.4 m of gaps and 2 mm are 8 cm2 of the 0.8 x 1.7 m; with water 1.2 m over its edge and no way
 * to press back the weir's law gives (2/3) Cd (0.0008 / 1.7) sqrt(2g) 1.2^1.5. */
START_TEST(a_failed_door_leaks_by_its_gaps)
{
    coaming_ship *s = ship_from_parts(
        BASIN,
        TANK("a", "0 1") TANK(
            "b",
            "1 2.5") "<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"watertight\"><clear "
                     "x=\"500\" "
                     "y=\"1\" z=\"1.8\" width=\"0.8\" height=\"1.7\" lies=\"longitudinal\"/><test "
                     "date=\"2026-01-01\" method=\"chalk\" result=\"fail\"><gap at=\"0.1\" "
                     "length=\"0.3\"/><gap "
                     "at=\"2\" length=\"0.1\"/></test></closure>");
    const coaming_flood_breach hole = {0, 5, 0}; /* a is level with the sea at once */
    coaming_flood_ask ask = ask_holed(&hole, 600);
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    double rate = 2 / 3.0 * 0.6 * (0.4 * 0.002 / 1.7) * TORRICELLI * pow(1.2, 1.5);
    ck_assert_double_eq_tol((a->spaces[1].volumes[10] - a->spaces[1].volumes[2]) / 480, rate,
                            1e-3 * rate);
    ck_assert_uint_eq(a->leaking_count, 0); /* nothing of it was guessed */
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* --- pumps --- */

#define PUMPED(capacity)                                                                           \
    PAIR("")                                                                                       \
    "<pump id=\"p\" name=\"P\" space=\"b\" capacity=\"" capacity "\" serves=\"a\"/>"

/* 0.05 m2 under 3 m let in 0.230 m3/s at first; a pump of 360 m3/h (0.1 m3/s) keeps the level where as
 * much comes in: at 3 - (0.1 / (0.6 x 0.05 sqrt(2g)))^2 = 2.4337 m. */
START_TEST(a_pump_keeps_the_level_that_it_can)
{
    coaming_ship *s = ship_from_parts(BASIN, PUMPED("360"));
    const coaming_flood_breach hole = {0, 0.05, 0};
    const coaming_flood_change later = {7200, COAMING_FLOOD_PUMP_OFF, 0};
    coaming_flood_ask ask = ask_holed(&hole, 9000);
    ask.changes = &later;
    ask.change_count = 1;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    double kept = 3 - pow(0.1 / (0.6 * 0.05 * TORRICELLI), 2);
    ck_assert_double_eq_tol(kept, 2.4337, 1e-4);
    ck_assert_double_eq_tol(a->spaces[0].depths[119], kept, 1e-3);
    ck_assert_double_eq_tol(a->spaces[0].depths[a->moment_count - 1], 3, 2e-3);
    ck_assert_double_eq_tol(a->moments[119].pumped, 0.1 * 7140, 1);
    for (size_t k = 0; k < a->moment_count; k++) { /* what came in and did not go out is there */
        const coaming_flood_moment *m = &a->moments[k];
        ck_assert_double_le(fabs(m->inflow - m->pumped - a->spaces[0].volumes[k]),
                            1e-8 * (m->inflow + m->pumped));
    }
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(a_pump_under_water_stops)
{
    coaming_ship *s = ship_from_parts(BASIN, PUMPED("36"));
    const coaming_flood_breach hole = {0, 0.05, 0};
    const coaming_flood_change open = {0, COAMING_FLOOD_OPEN, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    ask.changes = &open;
    ask.change_count = 1;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_event *e = find_event(a, COAMING_FLOOD_PUMP_DROWNS);
    ck_assert(e && e->pump == 0 && e->space == 1);
    size_t after = (size_t)(e->t / 60) + 1;
    ck_assert_double_gt(a->spaces[1].depths[after], 0.5);
    ck_assert_double_lt(a->spaces[1].depths[after - 1], 0.5);
    ck_assert_double_eq_tol(a->moments[a->moment_count - 1].pumped, 0.01 * e->t, 0.2);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* It stands in a dry room and serves a; what it hangs on is elsewhere. */
#define HANGING(on)                                                                                \
    PAIR("")                                                                                       \
    "<space id=\"c\" name=\"C\"><box x=\"600 610\" y=\"0 1\" z=\"0 8\"/></space>"                  \
    "<pump id=\"p\" name=\"P\" space=\"c\" capacity=\"36\" serves=\"a\" " on "/>"

/* A pump whose power or control is under water stops as one that is under water itself; what it hangs on by
 * the format, and half a metre, are the same. */
START_TEST(a_pump_without_power_or_control_stops)
{
    static const char *const parts[] = {HANGING("power=\"b\""), HANGING("control=\"b\""),
                                        HANGING("")};
    for (int i = 0; i < 3; i++) {
        coaming_ship *s = ship_from_parts(BASIN, parts[i]);
        const coaming_flood_breach hole = {0, 0.05, 0};
        const coaming_flood_change open = {0, COAMING_FLOOD_OPEN, 0};
        coaming_flood_ask ask = ask_holed(&hole, 600);
        ask.changes = &open;
        ask.change_count = 1;
        coaming_flood *f = flood_of(s, &ask);
        const coaming_flood_answer *a = coaming_flood_get(f);
        const coaming_flood_event *e = find_event(a, COAMING_FLOOD_PUMP_DROWNS);
        CLAIM(!e == (i == 2), "case %d", i);
        double runs = e ? e->t : 600;
        CLAIM(!e || (e->pump == 0 && e->space == 1), "case %d: by another space", i);
        CLAIM(fabs(a->moments[a->moment_count - 1].pumped - 0.01 * runs) < 0.2, "case %d: %g", i,
              a->moments[a->moment_count - 1].pumped);
        coaming_flood_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* One that is switched on when what it hangs on is under water does not start, by the deepest of these rooms: a, which
 * b fills from. */
START_TEST(a_drowned_pump_does_not_start)
{
    coaming_ship *s = ship_from_parts(BASIN, HANGING("power=\"a\" control=\"b\""));
    const coaming_flood_breach hole = {0, 0.05, 0};
    const coaming_flood_change changes[] = {{0, COAMING_FLOOD_OPEN, 0},
                                            {300, COAMING_FLOOD_PUMP_ON, 0}};
    coaming_flood_ask ask = ask_holed(&hole, 300);
    ask.changes = changes;
    ask.change_count = 2;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_event *e = find_event(a, COAMING_FLOOD_PUMP_DROWNS);
    ck_assert(e && e->t == 300 && e->pump == 0);
    ck_assert_int_eq(e->space, 0);
    ck_assert_double_gt(a->spaces[1].depths[5], 0.1);
    ck_assert_double_gt(a->spaces[0].depths[5], a->spaces[1].depths[5]);
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_PUMP_STARTS));
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* --- what is written down --- */

/* Of one that is lost at a blow no other moment is told: a hole of 500 m2 in a box of 40 x 8 x 4 m takes her within a
 * second. Of one of 0.1 m2 it is told since when she does not survive, before she is lost. */
START_TEST(she_may_be_lost_at_a_blow)
{
    static const double areas[] = {500, 0.1};
    for (int i = 0; i < 2; i++) {
        coaming_ship *s = ship_from_parts(
            "length=\"40\" beam=\"8\" depth=\"4\" draft=\"2\" kg=\"2\" density=\"1\"",
            "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 40\" y=\"-4 4\" z=\"0 "
            "4\"/></space>");
        const coaming_flood_breach hole = {0, areas[i], NAN};
        coaming_flood_ask ask = ask_holed(&hole, 7200);
        ask.grades = true;
        coaming_flood *f = flood_of(s, &ask);
        const coaming_flood_answer *a = coaming_flood_get(f);
        const coaming_flood_event *lost = find_event(a, COAMING_FLOOD_LOST),
                                  *fails = find_event(a, COAMING_FLOOD_NOT_SURVIVING);
        ck_assert_ptr_nonnull(lost);
        ck_assert_int_eq(lost->t < 1, i == 0);
        ck_assert_int_eq(fails != NULL, i == 1);
        ck_assert(!fails || fails->t < lost->t);
        coaming_flood_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* A box that a slanting surface cuts in its sides only has at its middle the level of its volume. Wing tank of 20 x 2 m
 * that is holed, of a ship that heels by it. */
START_TEST(a_level_is_that_at_the_middle)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"3.6\" density=\"1\"",
        "<space id=\"s\" name=\"S\" permeability=\"0.8\"><box x=\"10 30\" y=\"-5 -3\" z=\"0 "
        "6\"/></space>");
    const coaming_flood_breach hole = {0, 0.2, 1};
    coaming_flood_ask ask = ask_holed(&hole, 120);
    ask.every = 10;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    int looked = 0;
    for (size_t k = 0; k < a->moment_count; k++) {
        double level = a->spaces[0].volumes[k] / (20 * 2 * 0.8);
        if (!(level > 1 && level < 5))
            continue;
        looked++;
        ck_assert_double_gt(fabs(a->moments[k].heel), 1);
        ck_assert_double_eq_tol(a->spaces[0].levels[k], level, 1e-6);
    }
    ck_assert_int_gt(looked, 3);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Oil in a tank that water may come to, by a duct above it, weighs as oil: she lies as at the start for as long as
 * nothing flows. 200 m3 of 0.85 t/m3 taken for water would put her down by some 8 cm. */
START_TEST(oil_weighs_as_oil)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"3\" density=\"1\"",
        "<space id=\"t\" name=\"T\" permeability=\"1\"><box x=\"10 30\" y=\"-2.5 2.5\" z=\"0 "
        "4\"/></space><space id=\"h\" name=\"H\"><box x=\"30 40\" y=\"-5 5\" z=\"0 6\"/></space>"
        "<passage id=\"D\" kind=\"duct\" between=\"t h\"><clear x=\"30\" y=\"0\" z=\"3.5\" "
        "width=\"0.3\" height=\"0.3\" lies=\"transverse\"/></passage>"
        "<loading id=\"l\" name=\"L\" draft=\"3\" kg=\"3\"><content space=\"t\" fill=\"0.5\" "
        "density=\"0.85\"/></loading>");
    const coaming_flood_inflow drop = {1, 1e-9};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.inflows = &drop;
    ask.inflow_count = 1;
    ask.until = ask.every = 300;
    ask.loading = 0;
    ask.grades = false;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_eq(a->moment_count, 2);
    ck_assert_double_eq_tol(a->moments[1].draught, a->moments[0].draught, 1e-4);
    ck_assert_double_eq_tol(a->moments[0].draught, 3, 1e-6);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A tank that was full before anything happened has not become so. */
START_TEST(what_was_full_does_not_fill)
{
    coaming_ship *s = ship_from_parts(BASIN, TANK("a", "0 1") LOADED(FULL("a", "1")));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    ask.loading = 0;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_SPACE_FULL));
    ck_assert_uint_eq(a->space_count, 1);
    ck_assert_double_eq_tol(a->spaces[0].volumes[0], 160, 1e-6);
    ck_assert_double_lt(a->spaces[0].volumes[1], 150);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A main of 0.1 m3/s into a room of 160 m3 that is shut: half of it after 800 s, full after 1600, and no more;
 * what came in is in her, to 1e-8. */
START_TEST(a_burst_main_fills_a_room_and_no_more)
{
    coaming_ship *s = ship_from_parts(BASIN, TANK("a", "0 1"));
    coaming_flood *f = flood_by_hose(s, 3200, 800);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_moment *last = &a->moments[a->moment_count - 1];
    ck_assert_double_eq_tol(a->spaces[0].volumes[1], 80, 1e-3);
    ck_assert(find_event(a, COAMING_FLOOD_SPACE_FULL));
    ck_assert_double_eq_tol(find_event(a, COAMING_FLOOD_SPACE_FULL)->t, 1600, 0.5);
    ck_assert_double_eq_tol(last->water, 160, 1e-6);
    ck_assert_double_eq_tol(last->inflow, last->water, 1e-8 * last->inflow);
    ck_assert_double_le(fabs(a->off), 1e-8 * last->inflow);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Air that cannot get out is not modelled, and is told: above the door's top, 2.2 m up, 5.8 m of 20 and of 30 m2;
 * none where there is a vent in the roof. */
START_TEST(pockets_of_air_are_told)
{
    static const char vent[] =
        PAIR("shut-in=\"\"") "<passage id=\"V\" kind=\"duct\" between=\"b "
                             "weather\"><clear x=\"500\" y=\"2\" z=\"8\" width=\"0.2\" "
                             "height=\"0.2\" lies=\"deck\"/></passage>";
    const char *const parts[] = {PAIR("shut-in=\"\""), vent};
    for (int i = 0; i < 2; i++) {
        coaming_ship *s = ship_from_parts(BASIN, parts[i]);
        const coaming_flood_breach hole = {0, 0.05, 0};
        coaming_flood_ask ask = ask_holed(&hole, 600);
        coaming_flood *f = flood_of(s, &ask);
        const coaming_flood_answer *a = coaming_flood_get(f);
        ck_assert_uint_eq(a->space_count, 2);
        ck_assert_double_eq_tol(a->spaces[0].pocket, 5.8 * 20, 1e-6);
        ck_assert_double_eq_tol(a->spaces[1].pocket, i ? 0 : 5.8 * 30, 1e-6);
        coaming_flood_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* Where a level is looked for from does not decide where it is found: from beside it, from far over and far under it.
 * Of two boxes, one over the other and with nothing between, the lower fills first, to its top, then the upper. */
START_TEST(a_level_is_found_from_anywhere)
{
    static const double volumes[] = {1e-7, 3, 59.9, 60.1, 100, 119.9999};
    coaming_ship *s = ship_from_parts(
        BOX, "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"10 20\" y=\"-3 3\" z=\"0 1\"/>"
             "<box x=\"10 20\" y=\"-3 3\" z=\"2 3\"/></space>");
    const coaming_flood_breach hole = {0, 0.1, 0.5};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    water_model m;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    plane p = plane_make(0, 0, 0, m.f->middle);
    p = plane_make(0, 0, dot(p.n, m.f->middle), m.f->middle);
    const water_lie lie = {m.f->middle, &p, 100, m.f->scratch};
    for (size_t i = 0; i < sizeof volumes / sizeof *volumes; i++) {
        double v = volumes[i], wanted = v / 60 + (v > 60);
        for (int k = 0; k < 4; k++) {
            water_level at = level_of(&m, &p, 30);
            at.known = k > 0;
            at.by_volume = k == 1 ? at.by_volume : k == 2 ? 1e6 : -1e6;
            water_find_level(&s->spaces[0], v, &lie, &at);
            CLAIM(fabs(at.height + m.f->middle[2] - wanted) < 1e-9, "%g m3 from %d: %.12g", v, k,
                  at.height + m.f->middle[2]);
            CLAIM(fabs(at.by_volume * 60 - 1) < 1e-6, "%g m3 from %d: %g", v, k, at.by_volume);
        }
    }
    water_level full = level_of(&m, &p, 60); /* just the lower one: between the two */
    double up = full.height + m.f->middle[2];
    ck_assert(up > 1 - 1e-6 && up < 2 + 1e-6);
    ck_assert(isfinite(full.by_volume) && full.by_volume > 0);
    ck_assert_double_eq_tol(full.weight, 60, 1e-6);
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

/* What stands over the hull weighs as far as it is over the sea: none of it where the sea is as high, all of it where
 * the sea is below the hull's top. Box of 10 x 2 m from 8 to 12 m, in a hull of 10 m. */
START_TEST(over_the_hull_weight_is_over_the_sea)
{
    static const struct {
        double sea, weight;
    } row[] = {{100, 40}, {11.5, 40}, {10.5, 50}, {9, 60}};
    coaming_ship *s = ship_from_parts(
        BASIN, "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"490 500\" y=\"0 2\" z=\"8 "
               "12\"/></space>");
    const coaming_flood_breach hole = {0, 0.1, 9};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    water_model m;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    plane p = plane_make(0, 0, 0, m.f->middle);
    p = plane_make(0, 0, dot(p.n, m.f->middle), m.f->middle);
    for (int i = 0; i < 4; i++) {
        const water_lie lie = {m.f->middle, &p, row[i].sea - m.f->middle[2], m.f->scratch};
        water_level at = {0};
        water_find_level(&s->spaces[0], 60, &lie, &at);
        ck_assert_double_eq_tol(at.height + m.f->middle[2], 11, 1e-9);
        CLAIM(fabs(at.weight - row[i].weight) < 1e-9, "sea at %g m: %g", row[i].sea, at.weight);
    }
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

/* Too far over nothing is told of: no rates, no changes of them, and nothing has happened. */
START_TEST(too_far_over_nothing_is_told)
{
    coaming_ship *s = ship_from_parts(BASIN, TANK("a", "0 1"));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    water_model m;
    water_watching w;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    ck_assert(water_pattern(&m) && water_watch_make(&w, &m));
    size_t n = m.room_count, all = water_unknowns(&m);
    double *y = memory_new(all, sizeof *y), *out = memory_new(all * all, sizeof *out),
           *seen = memory_new(w.count, sizeof *seen);
    static const double far[3] = {1e6, 1.56, 1.21};
    for (size_t k = 0; k < 3; k++)
        for (int sign = -1; sign < 2; sign += 2) {
            water_begin(&m, y);
            ck_assert(water_look_at(&m, y) && water_rates(&w, 0, y, out));
            y[n + k] = sign * far[k];
            ck_assert(!water_look_at(&m, y) && !water_rates(&w, 0, y, out));
            ck_assert(!water_jacobian(&w, 0, y, out));
            water_watch_look(&w, 0, y, seen);
            for (size_t i = 0; i < w.count; i++)
                ck_assert_double_lt(seen[i], 0);
        }
    memory_free(y);
    memory_free(out);
    memory_free(seen);
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

/* --- what is rare --- */

#define VALVE(id, ends, more)                                                                      \
    "<closure id=\"" id "\" kind=\"valve\" between=\"" ends "\" rating=\"watertight\" " more       \
    "><clear x=\"500\" y=\"0\" z=\"1\" width=\"0.2\" height=\"0.2\" lies=\"longitudinal\"/>"       \
    "</closure>"

/* Water has begun to come by a valve from the sea, however its ends are listed, and her space is still dry by the end: it
 * needs no shutting for that. A door that water only begins to pass keeps neither side dry, and one that is rated
 * nontight has no deadline. */
START_TEST(what_is_dry_all_the_same_has_no_deadline)
{
    static const char *const ends[] = {"sea a", "a sea"};
    for (int i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts, TANK("a", "0 1") VALVE("V", "%s", "shut-in=\"\""), ends[i]);
        coaming_ship *s = ship_from_parts(BASIN, parts);
        coaming_flood_ask ask = coaming_flood_ask_default();
        coaming_flood_deadlines *d = NULL;
        ask.until = 0.5; /* 0.04 m2 under 2 m let in less than a centimetre of 20 m2 */
        ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
        ck_assert_uint_eq(coaming_flood_deadline_count(d), 1);
        const coaming_flood_deadline *row = coaming_flood_deadline_get(d, 0);
        ck_assert(row->space == -1 && isinf(row->dry) && isinf(row->afloat));
        coaming_flood_deadlines_free(d);
        coaming_ship_free(s);
    }
    coaming_ship *s = ship_from_parts(
        BASIN, PAIR("shut-in=\"\"")
                   TANK("c", "2.5 4") "<closure id=\"N\" kind=\"door\" between=\"a c\" "
                                      "rating=\"nontight\"><clear x=\"500\" y=\"2.5\" z=\"0\" "
                                      "width=\"0.8\" height=\"1.7\" lies=\"longitudinal\"/>"
                                      "</closure>");
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 0);
    coaming_flood *f = NULL;
    coaming_flood_deadlines *d = NULL;
    ask.until = 600;
    f = flood_of(s, &ask);
    ask.until = find_event(coaming_flood_get(f), COAMING_FLOOD_CLOSURE_WET)->t + 0.5;
    ck_assert_double_gt(find_event(coaming_flood_get(f), COAMING_FLOOD_VITAL_WET)->t, ask.until);
    ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
    for (size_t i = 0; i < coaming_flood_deadline_count(d); i++) {
        const coaming_flood_deadline *row = coaming_flood_deadline_get(d, i);
        ck_assert(row->closure == 0 && row->space == -1 && isnan(row->dry));
    }
    coaming_flood_deadlines_free(d);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A door on a way that she is lost by another: shut as early as may be it does not save her. What is done with another
 * thing of the same number, or with it but opening it, does not move its deadline. */
START_TEST(a_deadline_is_of_its_own_closure)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"8\" depth=\"4\" draft=\"2\" kg=\"0.5\" density=\"1\"",
        "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 17\" y=\"-4 4\" z=\"0 "
        "4\"/></space><space id=\"b\" name=\"B\" permeability=\"1\"><box x=\"17 23\" y=\"-4 4\" "
        "z=\"0 4\"/></space><space id=\"c\" name=\"C\" permeability=\"1\"><box x=\"23 40\" "
        "y=\"-4 4\" z=\"0 4\"/></space><closure id=\"D\" kind=\"door\" between=\"a b\" "
        "rating=\"watertight\" shut-in=\"\"><clear x=\"17\" y=\"0\" z=\"0.5\" width=\"0.8\" "
        "height=\"1.7\" lies=\"transverse\"/></closure>");
    const coaming_flood_breach holes[] = {{0, 0.5, NAN}, {2, 0.5, NAN}};
    coaming_flood_ask ask = ask_holed(holes, 7200);
    ask.breach_count = 2;
    coaming_flood_deadlines *d = NULL;
    ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_flood_deadline_count(d), 1);
    ck_assert(isnan(coaming_flood_deadline_get(d, 0)->afloat));
    coaming_flood_deadlines_free(d);
    coaming_ship_free(s);
    s = ship_from_parts(BASIN, PAIR("shut-in=\"\"") "<pump id=\"p\" name=\"P\" space=\"b\" "
                                                    "capacity=\"0.001\" serves=\"b\"/>");
    const coaming_flood_breach slow = {0, 0.05, 0};
    const coaming_flood_change other = {500, COAMING_FLOOD_PUMP_ON, 0};
    double dry[2];
    ask = ask_holed(&slow, 600);
    for (int i = 0; i < 2; i++) {
        ask.changes = i ? &other : NULL;
        ask.change_count = i ? 1 : 0;
        ck_assert_int_eq(coaming_flood_deadlines_new(s, &ask, &d, NULL), COAMING_OK);
        dry[i] = coaming_flood_deadline_get(d, 0)->dry;
        coaming_flood_deadlines_free(d);
    }
    ck_assert_double_gt(dry[0], 0);
    ck_assert_double_eq_tol(dry[1], dry[0], 0.01);
    coaming_ship_free(s);
}
END_TEST

/* Nothing happens in a second of a drop: no events, and none of any draw. */
START_TEST(nothing_may_happen)
{
    coaming_ship *s = ship_from_parts(BASIN, PAIR(""));
    const coaming_flood_inflow drop = {0, 1e-9};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.inflows = &drop;
    ask.inflow_count = 1;
    ask.until = 1;
    coaming_flood *f = flood_of(s, &ask);
    ck_assert_uint_eq(coaming_flood_get(f)->event_count, 0);
    coaming_flood_free(f);
    coaming_flood_likely *l = NULL;
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, 3, 1, &l, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_flood_likely_count(l), 0);
    coaming_flood_likely_free(l);
    coaming_ship_free(s);
}
END_TEST

static size_t count_events(const coaming_flood_answer *a, coaming_flood_event_kind kind)
{
    size_t count = 0;
    for (size_t i = 0; i < a->event_count; i++)
        count += a->events[i].kind == kind;
    return count;
}

/* A second door beside D, like it, that gives way at 1 m too. */
#define SECOND(more)                                                                               \
    "<closure id=\"E\" kind=\"door\" between=\"a b\" rating=\"watertight\" "                       \
    "collapse-head=\"1\" " more                                                                    \
    "><clear x=\"495\" y=\"1\" z=\"0.5\" width=\"0.8\" height=\"1.7\" "                            \
    "lies=\"longitudinal\"/></closure>"

/* A door that is shut on more than it holds gives way then, and no other that stands open; shut again it has given way
 * before. One that is shut on less holds. */
START_TEST(a_door_is_shut_on_what_stands_there)
{
    coaming_ship *s =
        ship_from_parts(BASIN, PAIR("collapse-head=\"1\" shut-in=\"\"") SECOND("shut-in=\"\""));
    const coaming_flood_breach hole = {0, 20, 0};
    static const coaming_flood_change changes[] = {{0.2, COAMING_FLOOD_SHUT, 0},
                                                   /* on 0.4 m */ {0.25, COAMING_FLOOD_OPEN, 0},
                                                   {1, COAMING_FLOOD_SHUT, 0},
                                                   {3, COAMING_FLOOD_SHUT, 1},
                                                   {3.01, COAMING_FLOOD_SHUT, 1}};
    coaming_flood_ask ask = ask_holed(&hole, 12);
    ask.changes = changes;
    ask.change_count = sizeof changes / sizeof *changes;
    ask.every = 3;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_double_gt(a->spaces[0].depths[1] - fmax(0.5, a->spaces[1].depths[1]), 1.2);
    ck_assert_uint_eq(count_events(a, COAMING_FLOOD_SHUT_DONE), 4);
    ck_assert_uint_eq(count_events(a, COAMING_FLOOD_COLLAPSE), 2);
    for (size_t i = 0, door = 0; i < a->event_count; i++)
        if (a->events[i].kind == COAMING_FLOOD_COLLAPSE) {
            ck_assert_double_eq(a->events[i].t, door ? 3 : 1);
            ck_assert_int_eq(a->events[i].link, (int)door++);
            ck_assert_int_eq(a->events[i].space, 0);
        }
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* What is sure to happen in each draw is told once of all of them, with the chance of 1, however deep the spaces are
 * that it hangs on: a door that gives way, one that can no longer be shut from elsewhere and then cannot be shut, and a
 * pump that drowns. */
START_TEST(what_is_sure_is_told_once)
{
    enum { DRAWS = 2 };
    coaming_ship *s = ship_from_parts(
        BASIN, PAIR("collapse-head=\"1\"")
                   TANK("c", "2.5 4") "<closure id=\"R\" kind=\"door\" between=\"a c\" "
                                      "rating=\"watertight\" shut-in=\"\" remote=\"yes\" "
                                      "power=\"a\" control=\"c\"><clear x=\"500\" y=\"1\" z=\"0\" "
                                      "width=\"0.8\" height=\"1.7\" lies=\"longitudinal\"/>"
                                      "</closure><pump id=\"p\" space=\"a\" power=\"c\" "
                                      "capacity=\"1\" serves=\"a\"/>");
    const coaming_flood_breach hole = {0, 0.5, 0};
    const coaming_flood_change late = {80, COAMING_FLOOD_SHUT, 1};
    coaming_flood_ask ask = ask_holed(&hole, 300);
    ask.changes = &late;
    ask.change_count = 1;
    const bool leaks[2] = {false};
    coaming_flood *f = NULL;
    ck_assert_int_eq(flood_run(s, &ask, &(flood_manner){leaks, true, false}, &f, NULL), COAMING_OK);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_uint_eq(count_events(a, COAMING_FLOOD_COLLAPSE), 1);
    ck_assert_uint_eq(count_events(a, COAMING_FLOOD_REMOTE_LOST), 1);
    ck_assert_uint_eq(count_events(a, COAMING_FLOOD_NOT_SHUT), 1);
    ck_assert_uint_eq(count_events(a, COAMING_FLOOD_PUMP_DROWNS), 1);
    coaming_flood_likely *l = NULL;
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, DRAWS, 1, &l, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_flood_likely_count(l), a->event_count);
    for (size_t i = 0; i < a->event_count; i++) {
        const coaming_flood_likely_event *e = coaming_flood_likely_get(l, i);
        ck_assert_int_eq(e->event.kind, a->events[i].kind);
        ck_assert_double_eq(e->event.t, a->events[i].t);
        ck_assert_double_eq(e->share, 1);
    }
    coaming_flood_likely_free(l);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* She capsizes to the side of the water: a wing tank to port and one to starboard, mirrored. */
START_TEST(she_capsizes_to_the_side_that_is_wet)
{
    for (int port = 0; port < 2; port++) {
        char parts[300];
        snprintf(parts, sizeof parts,
                 "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 40\" y=\"%s\" z=\"0 "
                 "4\"/></space>",
                 port ? "1 4" : "-4 -1");
        coaming_ship *s = ship_from_parts(
            "length=\"40\" beam=\"8\" depth=\"4\" draft=\"2\" kg=\"3\" density=\"1\"", parts);
        const coaming_flood_breach hole = {0, 0.3, 1};
        coaming_flood_ask ask = ask_holed(&hole, 7200);
        coaming_flood *f = flood_of(s, &ask);
        const coaming_flood_answer *a = coaming_flood_get(f);
        ck_assert_int_eq(a->at.afloat, COAMING_AFLOAT_CAPSIZES);
        ck_assert_int_eq(a->at.capsizes_to, port ? 1 : -1);
        coaming_flood_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* One that does not survive as she lies has not begun to later: that is told first, of the start. */
START_TEST(she_may_not_survive_from_the_start)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"8\" depth=\"4\" draft=\"3.9\" kg=\"3.2\" density=\"1\"",
        "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"18 20\" y=\"-4 4\" z=\"0 "
        "4\"/></space>");
    const coaming_flood_inflow drop = {0, 1e-9};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.inflows = &drop;
    ask.inflow_count = 1;
    ask.until = 1;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    ck_assert_int_eq(a->moments[0].grade, COAMING_GRADE_NOT_SURVIVING);
    ck_assert_uint_eq(a->event_count, 1);
    ck_assert_int_eq(a->events[0].kind, COAMING_FLOOD_NOT_SURVIVING);
    ck_assert_double_eq(a->events[0].t, 0);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

static bool tells(const coaming_flood_answer *a, const coaming_flood_event *e)
{
    for (size_t i = 0; i < a->event_count; i++) {
        const coaming_flood_event *b = &a->events[i];
        if (b->kind == e->kind && b->space == e->space && b->link == e->link &&
            fabs(b->t - e->t) < 0.5 + 1e-3 * e->t)
            return true;
    }
    return false;
}

/* All but that she does not survive, which is told of the second. */
static void check_same_events(int number, const coaming_flood_answer *plain,
                              const coaming_flood_answer *told)
{
    for (size_t i = 0; i < plain->event_count; i++)
        ck_assert_msg(tells(told, &plain->events[i]), "ship %d: event %zu, at %g s", number, i,
                      plain->events[i].t);
    for (size_t i = 0; i < told->event_count; i++)
        ck_assert(told->events[i].kind == COAMING_FLOOD_NOT_SURVIVING ||
                  tells(plain, &told->events[i]));
    ck_assert_double_eq_tol(told->moments[told->moment_count - 1].water,
                            plain->moments[plain->moment_count - 1].water, 0.1);
}

/* Asking how good she is does not change how the water runs: the search for since when she does not survive goes over
 * the same time again, with other rooms wet than at its end. */
START_TEST(grades_change_nothing_of_the_water)
{
    int failing = 0;
    for (int number = 0; number < 16; number++) {
        int along, holed;
        char *parts = box_ship((uint64_t)number, &along);
        coaming_ship *s =
            ship_from_parts("length=\"60\" beam=\"12\" depth=\"8\" draft=\"3.5\" kg=\"5\"", parts);
        holed = 4 * (along / 2);
        const coaming_flood_breach hole = {holed, 0.3, 1};
        coaming_flood_ask ask = ask_holed(&hole, 3600);
        ask.every = 600;
        coaming_flood *plain = flood_of(s, &ask);
        ask.grades = true;
        coaming_flood *told = flood_of(s, &ask);
        check_same_events(number, coaming_flood_get(plain), coaming_flood_get(told));
        failing += find_event(coaming_flood_get(told), COAMING_FLOOD_NOT_SURVIVING) != NULL;
        coaming_flood_free(plain);
        coaming_flood_free(told);
        coaming_ship_free(s);
        free(parts);
    }
    ck_assert_int_gt(failing, 4);
}
END_TEST

/* How she lies in the end is how she lay at the last moment that was told: with oil in a tank that no water comes to,
 * and with a space that a main keeps full to above the sea, which is weight and no part of the sea, though it has a
 * hole under water. */
START_TEST(what_is_graded_lies_as_it_was_told)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"2\" density=\"1\"",
        "<space id=\"h\" name=\"H\" permeability=\"1\"><box x=\"16 24\" y=\"-5 5\" z=\"0 "
        "6\"/></space><space id=\"t\" name=\"T\" permeability=\"1\"><box x=\"0 10\" y=\"-5 0\" "
        "z=\"0 4\"/></space><loading id=\"l\" name=\"L\" draft=\"3\" kg=\"2\"><content "
        "space=\"t\" fill=\"0.5\" density=\"0.85\"/></loading>");
    const coaming_flood_breach hole = {0, 0.01, 0};
    const coaming_flood_inflow main = {0, 2};
    coaming_flood_ask ask = ask_holed(&hole, 3600);
    ask.inflows = &main;
    ask.inflow_count = 1;
    ask.loading = 0;
    ask.grades = true;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_moment *last = &a->moments[a->moment_count - 1];
    ck_assert_double_eq_tol(last->water, 8 * 10 * 6, 1e-3);
    ck_assert_double_lt(last->draught, 5);
    ck_assert_double_eq_tol(a->at.draught, last->draught, 1e-3);
    ck_assert_double_eq_tol(a->at.heel, last->heel, 1e-2);
    ck_assert_double_eq_tol(a->at.trim, last->trim, 1e-2);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* What is done to a door that water never comes to is told, and nothing else comes of it; of a nontight one whose
 * clear opening is not given it is told that it was assumed. */
START_TEST(doors_far_off_and_doors_assumed)
{
    coaming_ship *s = ship_from_parts(
        BASIN,
        TANK("a", "0 1") TANK("b", "1 2.5") TANK("c", "5 6") TANK(
            "d", "6 7") "<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"nontight\" "
                        "collapse-head=\"0.1\"/>"
                        "<closure id=\"F\" kind=\"door\" between=\"c d\" rating=\"watertight\" "
                        "remote=\"yes\" power=\"c\"><clear x=\"500\" y=\"6\" z=\"0\" width=\"0.8\" "
                        "height=\"1.7\" lies=\"longitudinal\"/></closure>");
    const coaming_flood_breach hole = {0, 0.5, 0};
    const coaming_flood_change shut = {10, COAMING_FLOOD_SHUT, 1};
    coaming_flood_ask ask = ask_holed(&hole, 120);
    ask.changes = &shut;
    ask.change_count = 1;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_event *e = find_event(a, COAMING_FLOOD_SHUT_DONE);
    ck_assert(e && e->t == 10 && e->link == 1);
    ck_assert_uint_eq(a->space_count, 2);
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_COLLAPSE)); /* it held nothing before */
    ck_assert_uint_eq(a->assumed_count, 1);
    ck_assert_int_eq(a->assumed[0], 0);
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* A ship that sinks by what is open to the sea undamaged cannot be asked what a hole does to her. */
START_TEST(she_must_float_at_the_start)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"8\" depth=\"4\" draft=\"3\" kg=\"1\"",
        "<space id=\"a\" name=\"A\" shell=\"yes\" permeability=\"1\"><box x=\"0 40\" y=\"-4 4\" "
        "z=\"0 4\"/></space><passage id=\"P\" kind=\"duct\" between=\"sea a\"><clear x=\"20\" "
        "y=\"0\" z=\"0\" width=\"1\" height=\"1\" lies=\"deck\"/></passage>");
    coaming_flood_ask ask = coaming_flood_ask_default();
    check_ends(s, &ask, COAMING_INPUT, "open to the sea by design she does not stay afloat");
    coaming_ship_free(s);
}
END_TEST

/* What stands deep already when it begins is told of the start: a pump in a tank of 0.6 m, with its power in one of 3 m,
 * is under by the deeper, and so is what shuts R from elsewhere. R stands shut, so that it needs nothing to be shut, and
 * is told to be when that is asked. What hangs on nothing is not lost. Q, which holds half a metre, gives way. */
START_TEST(what_is_under_water_at_the_start)
{
    coaming_ship *s = ship_from_parts(
        BASIN,
        HIGH_TANK("a", "0 2") HIGH_TANK(
            "b",
            "2 3") "<closure id=\"Q\" kind=\"door\" between=\"a b\" rating=\"watertight\" "
                   "remote=\"yes\" "
                   "collapse-head=\"0.5\"><clear x=\"492\" y=\"2\" z=\"4\" width=\"0.8\" "
                   "height=\"1.7\" "
                   "lies=\"longitudinal\"/></closure>"
                   "<closure id=\"R\" kind=\"door\" between=\"a b\" rating=\"watertight\" "
                   "remote=\"yes\" "
                   "power=\"a\" control=\"b\"><clear x=\"495\" y=\"2\" z=\"4\" width=\"0.8\" "
                   "height=\"1.7\" "
                   "lies=\"longitudinal\"/></closure>"
                   "<pump id=\"p\" space=\"a\" power=\"b\" capacity=\"100\" serves=\"a\"/>" LOADED(
                       FULL("a", "0.12") FULL("b", "0.3")));
    const coaming_flood_inflow drops[] = {{0, 1e-9}, {1, 1e-9}};
    const coaming_flood_change shut = {30, COAMING_FLOOD_SHUT, 1};
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.inflows = drops;
    ask.inflow_count = 2;
    ask.changes = &shut;
    ask.change_count = 1;
    ask.until = ask.every = 60;
    ask.loading = 0;
    ask.grades = false;
    coaming_flood *f = flood_of(s, &ask);
    const coaming_flood_answer *a = coaming_flood_get(f);
    const coaming_flood_event *pump = find_event(a, COAMING_FLOOD_PUMP_DROWNS);
    const coaming_flood_event *door = find_event(a, COAMING_FLOOD_COLLAPSE);
    ck_assert(door && door->t == 0 && door->link == 0 && door->space == 1);
    ck_assert(pump && pump->t == 0 && pump->space == 1);
    ck_assert_double_eq(a->moments[1].pumped, 0);
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_REMOTE_LOST)); /* it is shut */
    ck_assert(find_event(a, COAMING_FLOOD_SHUT_DONE));
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_NOT_SHUT));
    ck_assert_ptr_null(find_event(a, COAMING_FLOOD_SHUT_BY_HAND));
    coaming_flood_free(f);
    coaming_ship_free(s);
}
END_TEST

/* What is open to the sea undamaged holds the sea, whatever a loading puts there: 2 m of water, not 1. */
START_TEST(what_is_open_to_the_sea_holds_the_sea)
{
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"8\" depth=\"6\" draft=\"2\" kg=\"1\"",
        "<space id=\"a\" name=\"A\" shell=\"yes\" permeability=\"1\"><box x=\"18 20\" y=\"-1 1\" "
        "z=\"0 4\"/></space><passage id=\"P\" kind=\"duct\" between=\"sea a\"><clear x=\"19\" "
        "y=\"0\" z=\"0\" width=\"1\" height=\"1\" lies=\"deck\"/></passage><loading id=\"l\" "
        "name=\"L\" draft=\"2\" kg=\"1\"><content space=\"a\" fill=\"0.25\" density=\"1.025\"/>"
        "</loading>");
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.loading = 0;
    ask.until = ask.every = 60;
    ask.grades = false;
    water_model m;
    ck_assert_int_eq(water_model_make(&m, s, &ask, NULL, NULL), COAMING_OK);
    ck_assert_uint_eq(m.room_count, 1);
    ck_assert(m.rooms[0].by_design && !m.rooms[0].untouched && m.rooms[0].heavy == 1);
    ck_assert_double_eq_tol(m.rooms[0].start, 2 * 2 * 2, 0.1);
    water_model_free(&m);
    coaming_ship_free(s);
}
END_TEST

/* A fills by itself as if the other were not there: Torricelli, in filled_at. */
START_TEST(nothing_goes_into_what_holds_nothing)
{
    static const char *const holds[] = {"0", "1e-300", "1e-13"};
    for (size_t i = 0; i < sizeof holds / sizeof *holds; i++) {
        char more[900];
        snprintf(
            more, sizeof more,
            TANK("a", "0 1") "<space id=\"b\" name=\"B\" permeability=\"%s\"><box x=\"490 510\" "
                             "y=\"1 2.5\" z=\"0 8\"/></space><passage id=\"P\" kind=\"arch\" "
                             "between=\"%s\"><clear x=\"500\" y=\"1\" z=\"0.5\" width=\"1\" "
                             "height=\"1\" lies=\"longitudinal\"/></passage>",
            holds[i], i % 2 ? "a b" : "b a");
        coaming_ship *s = ship_from_parts(BASIN, more);
        const coaming_flood_breach hole = {0, 0.05, 0};
        coaming_flood_ask ask = ask_holed(&hole, filled_at(2));
        ask.every = ask.until;
        const coaming_flood_inflow burst = {1, 0.01};
        ask.inflows = &burst;
        ask.inflow_count = 1;
        coaming_flood *f = flood_of(s, &ask);
        const coaming_flood_answer *a = coaming_flood_get(f);
        ck_assert_double_eq_tol(a->spaces[0].depths[a->moment_count - 1], 2, 2e-3);
        for (size_t k = 1; k < a->space_count; k++)
            ck_assert_double_le(a->spaces[k].volumes[a->moment_count - 1], 1e-9);
        coaming_flood_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* --- bad questions, and no memory --- */

/* One number of a question at a time, at the last value that is taken and the first that is not. */
static void check_limits(const coaming_ship *s, const coaming_flood_ask *good)
{
    coaming_flood_ask ask = *good;
    const struct {
        double *number, last, first;
        const char *says;
    } limits[] = {{&ask.until, 60, 0, "end in time"},
                  {&ask.every, 3600.0 / 9999, 3600.0 / 10000, "up to 10000 moments"},
                  {&ask.discharge, 1, 1.001, "coefficient of discharge"},
                  {&ask.discharge, 0.01, 0, "coefficient of discharge"},
                  {&ask.stand_off, 0, -0.001, "stand-off"},
                  {&ask.stand_off, 1, 1.001, "stand-off"},
                  {&ask.tolerance, 1e-2, 0.01001, "tolerance"},
                  {&ask.tolerance, 1e-6, 0, "tolerance"}};
    for (size_t i = 0; i < sizeof limits / sizeof *limits; i++) {
        double was = *limits[i].number;
        *limits[i].number = limits[i].last;
        coaming_flood_free(flood_of(s, &ask));
        *limits[i].number = limits[i].first;
        check_refused(s, &ask, limits[i].says);
        *limits[i].number = was;
    }
}

START_TEST(bad_questions_are_refused)
{
    coaming_ship *s = ship_from_parts(BASIN, PAIR(""));
    coaming_flood_breach hole = {0, 0, 0};
    coaming_flood_change change = {-1, COAMING_FLOOD_SHUT, 0};
    coaming_flood_ask ask = ask_holed(&hole, 600);
    check_refused(s, &ask, "area above 0");
    hole.area = 0.1;
    ask.changes = &change;
    ask.change_count = 1;
    check_refused(s, &ask, "time of 0 or more");
    ask.change_count = 0;
    ask.until = INFINITY;
    check_refused(s, &ask, "end in time");
    ask.until = 3600;
    ask.every = 0;
    check_refused(s, &ask, "moments");
    ask.every = 1e-9;
    check_refused(s, &ask, "moments");
    ask.every = 60;
    check_limits(s, &ask);
    ask.until = -1;
    check_refused(s, &ask, "end in time");
    ask.until = 3600;
    change.t = INFINITY;
    ask.change_count = 1;
    check_refused(s, &ask, "time of 0 or more");
    ask.change_count = 0;
    coaming_flood_inflow main = {0, 0};
    ask.inflows = &main;
    ask.inflow_count = 1;
    check_refused(s, &ask, "inflow");
    main.rate = 2e6;
    check_refused(s, &ask, "inflow");
    main.rate = 0.1;
    coaming_flood_likely *likely = NULL;
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, 0, 1, &likely, NULL), COAMING_USAGE);
    ck_assert_int_eq(coaming_flood_likely_new(s, &ask, 100001, 1, &likely, NULL), COAMING_USAGE);
    ck_assert_ptr_null(likely);
    ask.inflow_count = ask.breach_count = 0;
    check_refused(s, &ask, "no water comes in");
    coaming_ship_free(s);
}
END_TEST

START_TEST(memory_that_runs_out_is_told)
{
    coaming_ship *s = ship_from_parts(BASIN, PUMPED("36"));
    const coaming_flood_breach hole = {0, 0.05, 0};
    coaming_flood_ask ask = ask_holed(&hole, 60);
    ask.grades = true;
    coaming_status status = COAMING_MEMORY;
    size_t n = 0;
    while (status != COAMING_OK && n < 5000) {
        coaming_flood *f = NULL;
        memory_fail_at(++n);
        status = coaming_flood_new(s, &ask, &f, NULL);
        CLAIM(status == COAMING_OK || status == COAMING_MEMORY, "allocation %zu: %d", n, status);
        memory_fail_at(0);
        coaming_flood_free(f);
    }
    ck_assert_int_eq(status, COAMING_OK);
    ck_assert_uint_gt(n, 20);
    coaming_ship_free(s);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("flood");
    TCase *all = tcase_create("flood");
    tcase_add_test(all, two_tanks_fill_one_through_the_other);
    tcase_add_test(all, weirs_and_slots_let_through_what_they_must);
    tcase_add_test(all, a_slot_is_the_sum_of_its_strips);
    tcase_add_test(all, a_flat_one_is_orifice_or_weir);
    tcase_add_test(all, sizes_that_are_assumed_are_of_their_kind);
    tcase_add_test(all, a_tank_empties_by_torricelli);
    tcase_add_test(all, two_tanks_become_level);
    tcase_add_test(all, cross_flooding_takes_its_time);
    tcase_add_test(all, fittings_take_their_time);
    tcase_add_test(all, ways_beside_each_other_add_up);
    tcase_add_test(all, ways_behind_each_other_add_their_losses);
    tcase_add_test(all, a_tank_fills_by_torricelli);
    tcase_add_test(all, what_is_stiff_does_not_crawl);
    tcase_add_test(all, what_runs_back_at_once_does_not_crawl);
    tcase_add_test(all, the_end_is_the_equilibrium);
    tcase_add_test(all, she_does_not_stay_upright_on_a_ridge);
    tcase_add_test(all, long_steps_do_not_hold_her_upright);
    tcase_add_test(all, a_film_does_not_topple_her_for_ever);
    tcase_add_test(all, tolerance_does_not_decide);
    tcase_add_test(all, a_tolerance_that_cannot_be_kept_is_told);
    tcase_add_test(all, the_changes_of_the_rates_are_right);
    tcase_add_test(all, the_changes_of_mains_and_pumps_are_right);
    tcase_add_test(all, a_level_goes_with_its_volume);
    tcase_add_test(all, a_door_gives_way_at_its_head);
    tcase_add_test(all, what_is_done_on_the_way_counts);
    tcase_add_test(all, a_deadline_is_when_water_comes);
    tcase_add_test(all, a_deadline_does_not_hang_on_other_doors);
    tcase_add_test(all, a_deadline_has_a_dry_side);
    tcase_add_test(all, draws_go_by_their_chances);
    tcase_add_test(all, a_hole_is_in_the_side_of_its_space);
    tcase_add_test(all, a_door_is_over_its_floor);
    tcase_add_test(all, ways_out_are_the_shortest);
    tcase_add_test(all, what_is_sure_has_one_time);
    tcase_add_test(all, a_holed_box_sinks_when_it_must);
    tcase_add_test(all, a_failed_door_leaks_by_its_gaps);
    tcase_add_test(all, a_pump_keeps_the_level_that_it_can);
    tcase_add_test(all, a_pump_under_water_stops);
    tcase_add_test(all, a_pump_without_power_or_control_stops);
    tcase_add_test(all, a_drowned_pump_does_not_start);
    tcase_add_test(all, a_level_is_that_at_the_middle);
    tcase_add_test(all, what_was_full_does_not_fill);
    tcase_add_test(all, oil_weighs_as_oil);
    tcase_add_test(all, she_may_be_lost_at_a_blow);
    tcase_add_test(all, a_burst_main_fills_a_room_and_no_more);
    tcase_add_test(all, pockets_of_air_are_told);
    tcase_add_test(all, a_level_is_found_from_anywhere);
    tcase_add_test(all, over_the_hull_weight_is_over_the_sea);
    tcase_add_test(all, too_far_over_nothing_is_told);
    tcase_add_test(all, what_is_dry_all_the_same_has_no_deadline);
    tcase_add_test(all, a_deadline_is_of_its_own_closure);
    tcase_add_test(all, nothing_may_happen);
    tcase_add_test(all, a_door_is_shut_on_what_stands_there);
    tcase_add_test(all, what_is_sure_is_told_once);
    tcase_add_test(all, she_capsizes_to_the_side_that_is_wet);
    tcase_add_test(all, she_may_not_survive_from_the_start);
    tcase_add_test(all, grades_change_nothing_of_the_water);
    tcase_add_test(all, what_is_graded_lies_as_it_was_told);
    tcase_add_test(all, doors_far_off_and_doors_assumed);
    tcase_add_test(all, she_must_float_at_the_start);
    tcase_add_test(all, what_is_under_water_at_the_start);
    tcase_add_test(all, what_is_open_to_the_sea_holds_the_sea);
    tcase_add_test(all, nothing_goes_into_what_holds_nothing);
    tcase_add_test(all, bad_questions_are_refused);
    tcase_add_test(all, memory_that_runs_out_is_told);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
