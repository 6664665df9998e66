/*
 * How she floats, against published worked examples, closed forms and properties.
 *
 * Box-vessel examples: C. B. Barrass and D. R. Derrett, "Ship Stability for Masters and Mates", 6th
 * edition, chapter 21 "Bilging and permeability", pages 216 to 222. The book rounds as it goes; the
 * exact figures are what its own formulae give, and are what is asserted here. The book's formula
 * leaves out the change of the vertical lever in the end-compartment case, so that one is compared
 * with the closed form only as closely as trim is small.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "coaming/breaches.h"
#include "runner.h"
#include "ship/inside.h"
#include "ships.h"

/* Floods all spaces. */
static coaming_float flood_all(coaming_ship *s, coaming_righting *righting)
{
    coaming_flotation *f = NULL;
    coaming_error error;
    coaming_float result;
    bool *flooded = calloc(s->space_count, sizeof *flooded);
    coaming_status status = coaming_flotation_new(s, COAMING_NO_LOADING, &f, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    for (size_t i = 0; i < s->space_count; i++)
        flooded[i] = true;
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &result, &error), COAMING_OK);
    if (righting)
        coaming_flotation_righting(f, flooded, &result, righting);
    coaming_flotation_free(f);
    free(flooded);
    return result;
}

static coaming_float float_of(const char *principal, const char *parts)
{
    coaming_ship *s = ship_from_parts(principal, parts);
    coaming_float result = flood_all(s, NULL);
    coaming_ship_free(s);
    return result;
}

#define HOLD(x, y, z, mu)                                                                          \
    "<space id=\"h\" name=\"Hold\" permeability=\"" mu "\"><box x=\"" x "\" y=\"" y "\" z=\"" z    \
    "\"/></space>"

/* Tolerances: 1e-9 m is a millionth of what the book prints; the arithmetic itself is good to
 * 1e-12. */
static const double CLOSE = 1e-9;

START_TEST(midship_compartment_open_to_the_sea)
{
    /* Example 2, p. 218: 150 x 24 x 12 m, draught 5 m, GM 0.9 m, empty compartment of 20 m
     * amidships: draught 5.77 m; KB 2.89, BM 8.32, KG 11.20. Exact: rise 10/13 m, GM 0.004615 m. KG
     * from the intact KM = 2.5 + 24^2/(12 x 5) = 12.1, less 0.9. */
    coaming_float r = float_of("length=\"150\" beam=\"24\" depth=\"12\" draft=\"5\" kg=\"11.2\"",
                               HOLD("65 85", "-12 12", "0 12", "1"));
    ck_assert_int_eq(r.afloat, COAMING_AFLOAT_YES);
    ck_assert_double_eq_tol(r.draught, 5 * 150.0 / 130, CLOSE);
    ck_assert_double_eq_tol(r.trim, 0, CLOSE);
    ck_assert_double_eq_tol(r.heel, 0, 1e-7);
    ck_assert_double_eq_tol(r.gm, 0.0046153846, 1e-9);
    ck_assert_double_eq_tol(r.freeboard, 12 - 5 * 150.0 / 130, CLOSE);
    ck_assert_double_eq_tol(r.displacement, 150 * 24 * 5 * 1.025, 1e-6);
    ck_assert_double_eq_tol(r.flooded_volume, 20 * 24 * 5 * 150.0 / 130, 1e-6);
}
END_TEST

START_TEST(permeability_counts_in_volume_and_waterplane)
{
    /* Example 3, p. 219: L 64, draught 3, compartment 12 m, permeability 25 %: rise printed 0.15 m,
     * exact mu v/(A - mu a) = 9/61 m. The beam cancels. */
    coaming_float r = float_of("length=\"64\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"3\"",
                               HOLD("26 38", "-5 5", "0 6", "0.25"));
    ck_assert_double_eq_tol(r.draught - 3, 9.0 / 61, CLOSE);
    /* Exercise: 40 x 6 m, draught 2 m, amidships 10 m, GM 0.6 m: draught 2.67 m, GM 0.559 printed;
     * exact 8/3 and 0.558333. KG = 1 + 36/(12 x 2) - 0.6 = 1.9 */
    r = float_of("length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\" kg=\"1.9\"",
                 HOLD("15 25", "-3 3", "0 4", "1"));
    ck_assert_double_eq_tol(r.draught, 8.0 / 3, CLOSE);
    ck_assert_double_eq_tol(r.gm, 0.55833333333, 1e-9);
}
END_TEST

START_TEST(compartment_wholly_below_the_waterline)
{
    /* Example 5, p. 221: sinkage is lost volume over the whole waterplane. TPC 20 at density 1.025
     * is a waterplane of 2000/1.025 m2; 20 x 10 x 4 m, permeability 25 %: 205 t, 10.25 cm. Here the
     * waterplane is that of a box of 100 m. */
    coaming_float r =
        float_of("length=\"100\" beam=\"19.51219512195122\" depth=\"9\" draft=\"6\" kg=\"5\"",
                 HOLD("40 60", "-5 5", "0 4", "0.25"));
    ck_assert_double_eq_tol(r.draught, 6.1025, CLOSE);
    /* Forward, under a flat at 3.5 m: 64 x 10 x 6 m, draught 5, 6 m long, 25 %: sinkage 8.20 cm,
     * trim 44.60 cm printed, with MCTC from BM_L and not GM_L. With GM_L the trim is larger by
     * BM_L/GM_L; both are checked against that band. */
    r = float_of("length=\"64\" beam=\"10\" depth=\"6\" draft=\"5\" kg=\"3\"",
                 HOLD("58 64", "-5 5", "0 3.5", "0.25"));
    ck_assert_double_eq_tol((r.draught_aft + r.draught_fwd) / 2, 5.08203125, 1e-3);
    ck_assert_double_eq_tol(r.trim, 0.446045, 0.446045 * 0.02);
}
END_TEST

START_TEST(end_compartment_trims_by_the_head)
{
    /* From memory of the same chapter: 75 x 10 x 6 m, draught 4.5 m, empty forward compartment of
     * 5 m: aft 3.787 m, forward 6.001 m. The closed form (slope = 6 l dm/(L-l)^2) leaves out the
     * vertical lever B-G; put G at B and the exact solution must come near it: the trim is 3 parts
     * in 100 of the length, so 3 cm are allowed. */
    coaming_float r = float_of("length=\"75\" beam=\"10\" depth=\"7\" draft=\"4.5\" kg=\"2.41\"",
                               HOLD("70 75", "-5 5", "0 7", "1"));
    ck_assert_double_eq_tol(r.draught_aft, 3.788265, 0.03);
    ck_assert_double_eq_tol(r.draught_fwd, 6.002187, 0.03);
    ck_assert_double_gt(r.trim, 2.15);
}
END_TEST

/* Box vessels with trim and heel, solved exactly by another program (numpy and scipy, printed digits).
 * Draughts at the ends and amidships on the centre line; heel is the slope athwart in the ship's
 * frame. The first takes its inputs from a chief engineers' examination paper (length 280 m, beam 22,
 * depth 14, draught 7, GM 3.0), whose printed answer is a small-angle estimate and not used. */
START_TEST(box_vessels_with_trim_and_heel)
{
    coaming_float r =
        float_of("length=\"280\" beam=\"22\" depth=\"14\" draft=\"7\" kg=\"6.2619048\"",
                 HOLD("224 280", "0 11", "0 14", "1"));
    ck_assert_double_eq_tol(r.draught_aft, 5.304908, 2e-6);
    ck_assert_double_eq_tol(r.draught, 8.197891, 2e-6);
    ck_assert_double_eq_tol(r.draught_fwd, 11.090873, 2e-6);
    /* this one tells the angle of the athwart axis to the water, not the slope in her frame */
    ck_assert_double_eq_tol(asin(-r.normal[1]) * 57.29577951308232, 14.928, 6e-4);
    ck_assert_double_eq_tol(r.flooded_volume, 7379.005, 2e-3);
    r = float_of(
        "length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"6\"",
        HOLD("70 85", "0 10", "0 10",
             "0.85") "<space id=\"f\" name=\"F\" permeability=\"0.95\"><box x=\"85 100\" y=\"-10 "
                     "10\" z=\"0 10\"/></space>");
    ck_assert_double_eq_tol(r.draught_aft, 1.071031, 2e-6);
    ck_assert_double_eq_tol(r.draught, 8.086138, 2e-6);
    ck_assert_double_eq_tol(r.draught_fwd, 15.101245, 2e-6);
    ck_assert_double_eq_tol(r.heel, 17.04, 6e-3);
    ck_assert_double_eq_tol(r.flooded_volume, 4124.999, 2e-3);
    const char *barge = "length=\"140\" beam=\"20\" depth=\"12\" draft=\"6\" kg=\"5.1\"";
    r = float_of(barge, HOLD("61 79", "-8 8", "2 12", "0.7"));
    ck_assert_double_eq_tol(r.draught, 6.310345, 2e-6);
    ck_assert_double_eq_tol(r.flooded_volume, 868.966, 2e-3);
    r = float_of(barge, HOLD("61 79", "-10 10", "0 12", "0.7"));
    ck_assert_double_eq_tol(r.draught, 6.593407, 2e-6);
    ck_assert_double_eq_tol(r.flooded_volume, 1661.538, 2e-3);
    /* wider than she is, the same: it ends at the shell */
    r = float_of(barge, HOLD("61 79", "-30 30", "-1 12", "0.7"));
    ck_assert_double_eq_tol(r.draught, 6.593407, 2e-6);
    ck_assert_double_eq_tol(r.flooded_volume, 1661.538, 2e-3);
}
END_TEST

START_TEST(side_compartment_heels_to_its_side)
{
    /* Heel of a box with a side compartment: lost volume v at y, tan(heel) = lever / GM as long as
     * heel is small. L 100, B 20, d 5, wing tank 10 m long, 2 m wide, permeability 0.1. Derivable:
     * the balance of moments about the new centre line of the waterplane. */
    coaming_float port = float_of("length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"7\"",
                                  HOLD("45 55", "8 10", "0 10", "0.1"));
    coaming_float starboard =
        float_of("length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"7\"",
                 HOLD("45 55", "-10 -8", "0 10", "0.1"));
    ck_assert_double_gt(port.heel, 0);
    ck_assert_double_eq_tol(port.heel, -starboard.heel, 1e-9);
    ck_assert_double_eq_tol(port.draught, starboard.draught, 1e-9);
    double a = 2000 - 0.1 * 20, v = 10000, rise = 0.1 * 100 / a, d = 5 + rise;
    double yf = -0.1 * 20 * 9 / a; /* centroid of the net waterplane */
    double iv = 100 * 8000 / 12.0 - 0.1 * (10 * 8 / 12.0 + 20 * 81) - a * yf * yf;
    double yb = -0.1 * 20 * d * 9 / v, zb = (2000 * d * d / 2 - 0.1 * 20 * d * d / 2) / v;
    double gm = zb + iv / v - 7;
    ck_assert_double_eq_tol(tan(port.heel / 57.29577951308232), -yb / gm, 1e-5);
}
END_TEST

START_TEST(she_sinks_or_capsizes_as_a_result_not_a_failure)
{
    coaming_float r = float_of("length=\"40\" beam=\"6\" depth=\"4\" draft=\"3\" kg=\"1.5\"",
                               HOLD("0 20", "-3 3", "0 4", "1"));
    ck_assert_int_eq(r.afloat, COAMING_AFLOAT_SINKS);
    ck_assert(isnan(r.draught));
    r = float_of("length=\"100\" beam=\"10\" depth=\"6\" draft=\"5\" kg=\"4.1\"",
                 HOLD("45 55", "0 5", "0 6", "1"));
    ck_assert_int_eq(r.afloat, COAMING_AFLOAT_CAPSIZES);
}
END_TEST

START_TEST(factor_s_is_that_of_the_formula)
{
    /* SOLAS II-1/7-2, final stage, cargo ships; constants read: text of MSC.216(82) as French national
     * law, Division 221, article 221-II-1/07-2 (GZmax/0.012 there is a misprint: the cap beside it is
     * 0.12 m). K
     * [(GZ/0.12)(range/16)]^(1/4): worked by hand. GZ 0.06, range 8, upright: (1/4)^(1/4) =
     * 0.707107; GZ 0.10, range 12, heel 27: sqrt(3/5) (0.625)^(1/4) = 0.688725; more than 0.12 m
     * and 16 degrees counts as that. */
    ck_assert_double_eq_tol(coaming_survival_factor(false, 0, 0.06, 8), 0.70710678, 1e-8);
    ck_assert_double_eq_tol(coaming_survival_factor(false, -27, 0.10, 12), 0.688725, 1e-6);
    ck_assert_double_eq(coaming_survival_factor(false, 25, 0.5, 40), 1);
    ck_assert_double_eq(coaming_survival_factor(false, 30, 0.5, 40), 0);
    ck_assert_double_eq(coaming_survival_factor(false, 0, 0, 40), 0);
    /* Of a passenger ship K is 1 to 7 degrees, 0 from 15: (0.12, 16) at 11 degrees sqrt(4/8) =
     * 0.707107; (0.10, 12) at 9 degrees sqrt(6/8) (0.625)^(1/4) = 0.770018. */
    ck_assert_double_eq_tol(coaming_survival_factor(true, 11, 0.12, 16), 0.707107, 1e-6);
    ck_assert_double_eq_tol(coaming_survival_factor(true, -9, 0.10, 12), 0.770018, 1e-6);
    ck_assert_double_eq(coaming_survival_factor(true, 7, 0.5, 40), 1);
    ck_assert_double_eq(coaming_survival_factor(true, 15, 0.5, 40), 0);
}
END_TEST

/* Of one that floats range, greatest arm and s are those of her curve of righting arms, where that was asked for. */
static void check_arms(const coaming_breaches_answer *a, bool asked)
{
    const coaming_stability *s = &a->stability;
    if (a->at.afloat != COAMING_AFLOAT_YES || s->grade == COAMING_GRADE_LOST)
        return;
    ck_assert_int_eq(isnan(a->range), !asked);
    ck_assert_int_eq(isnan(a->greatest), !asked);
    ck_assert_int_eq(isnan(a->s), !asked);
    ck_assert(!asked || (a->range == s->righting.range && a->greatest == s->righting.greatest &&
                         a->s == s->s));
}

START_TEST(every_breach_of_a_barge_by_hand)
{
    /* 40 x 6 x 4 m, draught 2: three holds across, 12, 16 and 12 m, all shell. One open loses at
     * most 16 of 40 m: 2 x 40/24 = 3.33 m, afloat; two neighbours lose 28 m: 2 x 40/12 > 4, lost.
     * The door between the after two has failed: as tested a breach of either is a breach of both.
     */
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\" kg=\"1.2\"",
        "<space id=\"a\" name=\"A\" permeability=\"1\" shell=\"yes\"><box x=\"0 12\" y=\"-3 3\" "
        "z=\"0 4\"/></space><space id=\"b\" name=\"B\" permeability=\"1\" shell=\"yes\"><box "
        "x=\"12 28\" "
        "y=\"-3 3\" z=\"0 4\"/></space><space id=\"c\" name=\"C\" permeability=\"0.01\" "
        "shell=\"yes\">"
        "<box x=\"28 40\" y=\"-3 3\" z=\"0 4\"/></space><closure id=\"D\" kind=\"door\" "
        "between=\"a b\" "
        "rating=\"watertight\"><clear x=\"12\" y=\"0\" z=\"0.5\" width=\"0.6\" height=\"1.6\" "
        "lies=\"transverse\"/><test date=\"2026-01-01\" method=\"chalk\" "
        "result=\"fail\"/></closure>");
    coaming_breaches *v = NULL, *only_afloat = NULL;
    ck_assert_int_eq(coaming_breaches_new(s, coaming_query_default(), &v, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_breaches_afloat_new(s, coaming_query_default(), &only_afloat, NULL),
                     COAMING_OK);
    static const struct {
        int one, two;
        bool built, tested;
    } expected[] = {{0, -1, false, false}, /* 12 m right aft: trims under, see below */
                    {1, -1, true, false},
                    {2, -1, true, true},
                    {0, 1, false, false},
                    {1, 2, true, false}};
    ck_assert_uint_eq(coaming_breaches_count(v), 5);
    size_t built = 0;
    for (size_t i = 0; i < 5; i++) {
        const coaming_breaches_case *c = coaming_breaches_get(v, i),
                                    *plain = coaming_breaches_get(only_afloat, i);
        ck_assert_int_eq(plain->answer[COAMING_AS_TESTED].at.afloat,
                         c->answer[COAMING_AS_TESTED].at.afloat);
        ck_assert_int_eq(c->space[0], expected[i].one);
        ck_assert_int_eq(c->space[1], expected[i].two);
        bool afloat = c->answer[COAMING_AS_BUILT].at.afloat == COAMING_AFLOAT_YES;
        if (i > 0) /* whether she stays up on end is for the solver to say */
            ck_assert_int_eq(afloat, expected[i].built);
        ck_assert_int_eq(c->answer[COAMING_AS_TESTED].at.afloat == COAMING_AFLOAT_YES,
                         expected[i].tested);
        ck_assert_int_eq(c->answer[COAMING_UNTESTED_LEAK].at.afloat,
                         c->answer[COAMING_AS_TESTED].at.afloat);
        built += afloat;
        check_arms(&c->answer[COAMING_AS_BUILT], true);
        check_arms(&plain->answer[COAMING_AS_BUILT], false);
    }
    coaming_breaches_free(only_afloat);
    ck_assert_double_eq(coaming_breaches_share(v, COAMING_AS_BUILT), (double)built / 5);
    ck_assert_double_eq(coaming_breaches_share(v, COAMING_AS_TESTED), 0.2);
    coaming_breaches_free(v);
    coaming_ship_free(s);
}
END_TEST

START_TEST(a_space_that_stands_out_of_the_hull_is_a_warning)
{
    static const struct {
        const char *x, *y, *z, *words;
    } table[] = {{"2 9", "-3 3", "0 4", NULL},
                 {"2 9", "-3 3.5", "0 4", "by up to 0.50 m"},
                 {"-1 9", "-3 3", "0 4", "by up to 1.00 m"},
                 {"2 9", "-3 3", "-0.3 4", "by up to 0.30 m"},
                 {"2 9", "-9 9", "4 7", NULL}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char text[600];
        snprintf(
            text, sizeof text,
            "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship length=\"40\" "
            "beam=\"6\" depth=\"4\" draft=\"2\"/>" HOLD("%s", "%s", "%s", "1") "</arrangement>",
            table[i].x, table[i].y, table[i].z);
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *s = NULL;
        ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_OK);
        ck_assert_uint_eq(coaming_faults_count(faults), table[i].words != NULL);
        if (table[i].words)
            ck_assert_ptr_nonnull(strstr(coaming_faults_get(faults, 0)->message, table[i].words));
        coaming_faults_free(faults);
        coaming_ship_free(s);
    }
}
END_TEST

/* Volume and levers of a result, from the bodies themselves. */
static void check_rest(const coaming_ship *s, const bool *flooded, const coaming_float *r,
                       double g[3], double volume)
{
    plane p = plane_make(r->heel / 57.29577951308232, asin(-r->normal[0]), r->height,
                         (double[3]){s->length / 2, 0, s->draught});
    submerged w = {0};
    double scratch[7 * 32];
    body_add(&s->hull->body, &p, 1, scratch, &w);
    for (size_t i = 0; i < s->space_count; i++)
        if (flooded[i])
            body_add(s->spaces[i].inside, &p, -s->spaces[i].permeability, scratch, &w);
    double along = 0, athwart = 0;
    for (int k = 0; k < 3; k++) {
        along += (g[k] - w.moment[k] / w.volume) * p.e1[k];
        athwart += (g[k] - w.moment[k] / w.volume) * p.e2[k];
    }
    ck_assert_double_eq_tol(w.volume, volume, 1e-9 * volume);
    ck_assert_double_eq_tol(along, 0, 1e-6);
    ck_assert_double_eq_tol(athwart, 0, 1e-6);
    ck_assert_double_gt(r->gm, 0);
}

/* Two ships, made at random, for which the search once gave positions that were none. */
START_TEST(a_position_of_rest_is_one)
{
    static const struct {
        const char *file;
        int flooded[5];
    } table[] = {{"tests/data/float-swings.xml", {0, 2, 3, 5, 6}},
                 {"tests/data/float-stops-short.xml", {1, 3, 4, 4, 4}}};
    coaming_ship *s = ship_from_tree(table[_i].file);
    coaming_flotation *f = NULL;
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
    bool flooded[16] = {false}, none[16] = {false};
    coaming_float intact, r;
    for (int i = 0; i < 5; i++)
        flooded[table[_i].flooded[i]] = true;
    ck_assert_int_eq(coaming_flotation_solve(f, none, &intact, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &r, NULL), COAMING_OK);
    /* the centre of gravity from the intact hull, as the header says */
    arena memory = {NULL};
    body hull;
    submerged w = {0};
    double scratch[7 * 32], g[3];
    plane still = plane_make(0, 0, s->draught, (double[3]){s->length / 2, 0, s->draught});
    hull = s->hull->body;
    body_add(&hull, &still, 1, scratch, &w);
    g[0] = isnan(s->lcg) ? w.moment[0] / w.volume : s->lcg;
    g[1] = isnan(s->tcg) ? 0 : s->tcg;
    g[2] = s->kg;
    if (r.afloat == COAMING_AFLOAT_YES)
        check_rest(s, flooded, &r, g, w.volume);
    ck_assert_int_eq(r.afloat, COAMING_AFLOAT_YES);
    arena_free(&memory);
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(what_stands_on_deck_carries_nothing_and_takes_none_away)
{
    const char *principal = "length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"8\"";
    const char *hold =
        "<space id=\"f\" name=\"F\" permeability=\"1\"><box x=\"80 100\" y=\"-10 10\" "
        "z=\"0 10\"/></space>";
    char with_house[600];
    snprintf(with_house, sizeof with_house,
             "%s<space id=\"h\" name=\"H\" permeability=\"1\"><box x=\"80 100\" y=\"-10 10\" "
             "z=\"10 13\"/>"
             "</space>",
             hold);
    coaming_float without = float_of(principal, hold), with = float_of(principal, with_house);
    ck_assert_int_eq(with.afloat, COAMING_AFLOAT_YES);
    ck_assert_double_eq_tol(with.draught, without.draught, 1e-12);
    ck_assert_double_eq_tol(with.trim, without.trim, 1e-12);
}
END_TEST

START_TEST(upright_the_worse_side_is_told)
{
    coaming_righting arms[2];
    for (int port = 0; port < 2; port++) {
        coaming_ship *s = ship_from_parts(
            "length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"8\"",
            port ? HOLD("20 80", "5 10", "6 10", "1") : HOLD("20 80", "-10 -5", "6 10", "1"));
        coaming_float at = flood_all(s, &arms[port]);
        ck_assert_double_eq(at.heel, 0);
        coaming_ship_free(s);
    }
    ck_assert_double_gt(arms[1].arm[5].heel, 0);
    ck_assert_double_lt(arms[0].arm[5].heel, 0);
    ck_assert_double_eq_tol(arms[0].range, arms[1].range, 1e-6);
    ck_assert_double_eq_tol(arms[0].greatest, arms[1].greatest, 1e-9);
}
END_TEST

START_TEST(the_greatest_arm_lies_between_the_angles_too)
{
    /* Every space over the whole ship flooded to 48 %: she floats with little freeboard, and the
     * wall- sided arm grows until the deck edge goes under at 2.2 degrees: 0.0491 m there, more
     * after. */
    coaming_ship *s =
        ship_from_parts("length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"7\"",
                        HOLD("0 100", "-10 10", "0 10", "0.48"));
    coaming_righting r;
    coaming_float at = flood_all(s, &r);
    double heel = atan(at.freeboard / 10), bm = 400 / (12 * 5.0);
    double wall = sin(heel) * (at.gm + bm * 0.52 * tan(heel) * tan(heel) / 2);
    ck_assert_double_lt(heel * 57.3, 5);
    ck_assert_double_ge(r.greatest, wall - 1e-6);
    ck_assert_double_gt(r.greatest, r.arm[1].gz + 1e-3);
    coaming_ship_free(s);
}
END_TEST

START_TEST(intact_and_unstable_is_refused)
{
    coaming_ship *s =
        ship_from_parts("length=\"100\" beam=\"10\" depth=\"10\" draft=\"5\" kg=\"60\"",
                        HOLD("0 1", "-1 1", "0 1", "1"));
    coaming_flotation *f = NULL;
    coaming_error error;
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, &error), COAMING_INPUT);
    ck_assert_ptr_nonnull(strstr(error.message, "capsizes"));
    coaming_ship_free(s);
    s = ship_from_parts("length=\"100\" beam=\"10\" depth=\"10\" draft=\"10\" kg=\"2\"",
                        HOLD("0 1", "-1 1", "0 1", "1")); /* nothing of her is above the water */
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, &error), COAMING_INPUT);
    ck_assert_ptr_nonnull(strstr(error.message, "buoyancy"));
    coaming_ship_free(s);
    s = ship_from_parts("length=\"100\" beam=\"10\" depth=\"10\" draft=\"5\"",
                        HOLD("0 1", "-1 1", "0 1", "1"));
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, &error), COAMING_USAGE);
    coaming_ship_free(s);
}
END_TEST

START_TEST(righting_arms_of_a_box_follow_the_wall_sided_formula)
{
    /* GZ = sin(heel) (GM + BM tan2(heel)/2) while neither deck edge nor bilge passes the water; the
     * wall-sided formula is exact for a box (derivable; Barrass and Derrett, 6th ed., ch. 14). */
    coaming_ship *s =
        ship_from_parts("length=\"100\" beam=\"12\" depth=\"10\" draft=\"5\" kg=\"4\"",
                        HOLD("40 60", "-1 1", "9 10", "1"));
    coaming_righting r;
    coaming_float at = flood_all(s, &r);
    double bm = 144 / 60.0, gm = 2.5 + bm - 4;
    ck_assert_double_eq_tol(at.gm, gm, 1e-12);
    for (int i = 0; i < 8; i++) { /* the deck edge goes under at atan(5/6) = 39.8 degrees */
        double heel = r.arm[i].heel / 57.29577951308232;
        ck_assert_double_eq_tol(r.arm[i].gz, sin(heel) * (gm + bm * tan(heel) * tan(heel) / 2),
                                1e-9);
    }
    coaming_ship_free(s);
    /* Twice as broad as long she has 0.05 m of GM along, and 5.05 m athwart: trimming takes next to
     * nothing, and she does not trim. */
    double along = 100 / 60.0 + 2.5 - 0.05;
    char principal[200];
    snprintf(principal, sizeof principal,
             "length=\"10\" beam=\"20\" depth=\"10\" draft=\"5\" kg=\"%.17g\"", along);
    s = ship_from_parts(principal, HOLD("4 6", "-1 1", "9 10", "1"));
    at = flood_all(s, &r);
    bm = 400 / 60.0;
    gm = 2.5 + bm - along;
    ck_assert_double_eq_tol(at.gm, gm, 1e-12);
    for (int i = 0; i < 6; i++) { /* deck edge and bilge: atan(5/10) = 26.6 degrees */
        double heel = r.arm[i].heel / 57.29577951308232;
        ck_assert_double_eq_tol(r.arm[i].gz, sin(heel) * (gm + bm * tan(heel) * tan(heel) / 2),
                                1e-9);
    }
    coaming_ship_free(s);
}
END_TEST

/* A raft of 20 m beam, 5 cm deep in the water. Heeled so far that the bilge is out, the section under water
 * is a triangle at the lower corner, sides a along the bottom and a tan(heel) up the side, of 1 m2: its
 * middle is a third of each from that corner. */
START_TEST(arms_of_a_raft_with_its_bilge_out_by_hand)
{
    coaming_ship *s =
        ship_from_parts("length=\"60\" beam=\"20\" depth=\"8\" draft=\"0.05\" kg=\"1\"",
                        HOLD("20 40", "-1 1", "7 8", "1"));
    coaming_righting r;
    flood_all(s, &r);
    for (int i = 1; i < 10; i++) {
        double heel = r.arm[i].heel / 57.29577951308232, a = sqrt(2 / tan(heel));
        double out = 10 - a / 3, up = a * tan(heel) / 3;
        ck_assert_double_lt(a, 20);
        ck_assert_double_eq_tol(r.arm[i].gz, out * cos(heel) + (up - 1) * sin(heel), CLOSE);
    }
    coaming_ship_free(s);
}
END_TEST

/* Between 4 and 6 m up all of her is open to the sea, so that nothing of the waterplane is left in which
 * she floated, at 5 m: she goes down until as much is had above it as was between 4 and 5 m, to 7 m. KB
 * (4 x 2 + 1 x 6.5) / 5, BM 12^2 / (12 x 5). */
START_TEST(a_deck_that_is_flooded_all_over_carries_nothing)
{
    coaming_float r = float_of("length=\"60\" beam=\"12\" depth=\"10\" draft=\"5\" kg=\"3\"",
                               HOLD("0 60", "-6 6", "4 6", "1"));
    ck_assert_int_eq(r.afloat, COAMING_AFLOAT_YES);
    ck_assert_double_eq_tol(r.draught, 7, CLOSE);
    ck_assert_double_eq_tol(r.gm, 2.9 + 2.4 - 3, CLOSE);
}
END_TEST

/* The same with 720 t of water on that deck, which goes as the sea comes: what is below carries her, at
 * whatever height of the water. Without a waterplane she has the arm of G below B alone: KG (5 x 1.5 - 1
 * x 4.5) / 4, KB 2; until the water's surface leaves that deck, at atan(1/6) = 9.5 degrees. */
START_TEST(without_a_waterplane_she_has_the_arm_of_her_weight)
{
    coaming_ship *s = ship_from_parts(
        "length=\"60\" beam=\"12\" depth=\"10\" draft=\"5\" kg=\"1.5\" density=\"1.025\"",
        "<loading id=\"L\" draft=\"5\" kg=\"1.5\"><content space=\"h\" fill=\"0.5\" "
        "density=\"1.025\"/></loading>" HOLD("0 60", "-6 6", "4 6", "1"));
    coaming_flotation *f = NULL;
    coaming_float at;
    coaming_righting r;
    const bool flooded[] = {true};
    ck_assert_int_eq(coaming_flotation_new(s, 0, &f, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
    coaming_flotation_righting(f, flooded, &at, &r);
    ck_assert_int_eq(at.afloat, COAMING_AFLOAT_YES);
    ck_assert_double_eq_tol(at.gm, 2 - 0.75, CLOSE);
    ck_assert_double_eq_tol(r.arm[1].gz, 1.25 * sin(5 / 57.29577951308232), CLOSE);
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

/* GM 0.4 m intact; the middle third open to the sea takes a third of the waterplane, and upright she is
 * unstable: GM -0.183, BM 2.667. Wall-sided she comes to rest at tan2(heel) = -2 GM / BM, to either side
 * alike; but with her wings open to the sea above 5 m on one side she is lost to that side, though nothing
 * tells so upright: that is what counts. */
START_TEST(lost_to_one_side_she_is_lost)
{
    static const char *const wings[] = {"3 6", "-6 -3"};
    const char *principal = "length=\"60\" beam=\"12\" depth=\"10\" draft=\"3\" kg=\"5.1\"";
    const char *middle = HOLD("20 40", "-6 6", "0 10", "1");
    coaming_float r = float_of(principal, middle);
    double bm = 144 / 36.0 * 2 / 3, gm = 2.25 + bm - 5.1;
    ck_assert_int_eq(r.afloat, COAMING_AFLOAT_YES);
    ck_assert_double_eq_tol(fabs(r.heel), atan(sqrt(-2 * gm / bm)) * 57.29577951308232, 1e-6);
    for (int i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(
            parts, sizeof parts,
            "%s<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 20\" y=\"%s\" z=\"5 10\"/>"
            "<box x=\"40 60\" y=\"%s\" z=\"5 10\"/></space>",
            middle, wings[i], wings[i]);
        r = float_of(principal, parts);
        ck_assert_int_eq(r.afloat, COAMING_AFLOAT_CAPSIZES);
    }
}
END_TEST

/* The middle 40 of 100 m open to the sea, she floats at draft / 0.6: with her deck 1.7e-12 m out of the
 * water. GM is 3 + 1.389 - 4 m, and gone as soon as the deck edge is under: nothing turns her back. With
 * 1.7 cm she is no longer lost, and the arm is as small as the freeboard. */
START_TEST(awash_she_is_lost)
{
    static const char *const drafts[] = {"3.599999999999", "3.59"};
    for (int i = 0; i < 2; i++) {
        char principal[200];
        snprintf(principal, sizeof principal,
                 "length=\"100\" beam=\"10\" depth=\"6\" draft=\"%s\" kg=\"4\"", drafts[i]);
        coaming_ship *s = ship_from_parts(principal, HOLD("30 70", "-5 5", "0 6", "1"));
        coaming_flotation *f = NULL;
        coaming_float at;
        coaming_stability stability;
        const bool flooded[] = {true};
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
        ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
        ck_assert_int_eq(at.afloat, COAMING_AFLOAT_YES);
        ck_assert_double_eq_tol(at.gm, 0.389, 0.005);
        ck_assert_int_eq(coaming_flotation_grade(f, flooded, &at, COAMING_NO_CONDITION,
                                                 COAMING_AS_TESTED, &stability, NULL),
                         COAMING_OK);
        ck_assert_int_eq(at.afloat, i ? COAMING_AFLOAT_YES : COAMING_AFLOAT_CAPSIZES);
        ck_assert_int_eq(stability.grade, i ? COAMING_GRADE_NOT_SURVIVING : COAMING_GRADE_LOST);
        ck_assert_int_eq(at.capsizes_to, 0);
        ck_assert(i ? fabs(stability.righting.range) < 1 : isnan(at.draught));
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* Heeled to starboard all is as to port, mirrored. */
START_TEST(arms_to_starboard_are_those_to_port)
{
    coaming_righting arms[2];
    for (int port = 0; port < 2; port++) {
        coaming_ship *s = ship_from_parts(
            "length=\"40\" beam=\"10\" depth=\"6\" draft=\"2.5\" kg=\"3\"",
            port ? HOLD("13 27", "2 5", "0 6", "1") : HOLD("13 27", "-5 -2", "0 6", "1"));
        coaming_float at = flood_all(s, &arms[port]);
        ck_assert(port ? at.heel > 10 : at.heel < -10);
        coaming_ship_free(s);
    }
    ck_assert_double_gt(arms[0].range, 10);
    ck_assert_double_eq_tol(arms[0].range, arms[1].range, 1e-6);
    ck_assert_double_eq_tol(arms[0].greatest, arms[1].greatest, CLOSE);
    for (int i = 0; i < COAMING_RIGHTING_ARMS; i++) {
        ck_assert_double_eq_tol(arms[0].arm[i].heel, -arms[1].arm[i].heel, 1e-12);
        ck_assert_double_eq_tol(arms[0].arm[i].gz, arms[1].arm[i].gz, CLOSE);
    }
}
END_TEST

START_TEST(a_hull_above_her_draft_is_refused)
{
    coaming_ship *s = ship_from_parts(
        "length=\"60\" beam=\"12\" depth=\"10\" draft=\"1\" kg=\"3\"",
        "<hull><section x=\"0\"><offset z=\"2\" y=\"6\"/><offset z=\"10\" y=\"6\"/></section>"
        "<section x=\"60\"><offset z=\"2\" y=\"6\"/><offset z=\"10\" y=\"6\"/></section>"
        "</hull>" HOLD("30 40", "-5 5", "4 6", "1"));
    coaming_flotation *f = NULL;
    coaming_error error;
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, &error), COAMING_INPUT);
    ck_assert_ptr_nonnull(strstr(error.message, "no volume below the draught"));
    ck_assert_ptr_null(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(wigley_hull_comes_to_its_closed_forms)
{
    /* V 4LBT/9, waterplane 2LB/3, KB 5T/8, BM 3B^2/(35T),
     * BM_L 3L^2/(40T), derived by integration. 60 x 40 straight pieces: an inscribed polyhedron, short by about 1/2n^2 + 1/2m^2
     * = 0.05 %. */
    enum { N = 60, M = 40 };
    const double L = 100, B = 10, T = 6.25;
    char *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    write_wigley(out, N, M);
    fputs(HOLD("40 60", "-1 1", "8 9", "1"), out);
    fclose(out);
    coaming_ship *s = ship_from_parts(WIGLEY "draft=\"6.25\" kg=\"4\"", parts);
    coaming_float r = flood_all(s, NULL);
    ck_assert_double_eq_tol(r.displacement / 1.025, 4 * L * B * T / 9, 4 * L * B * T / 9 * 1e-3);
    ck_assert_double_eq_tol(r.gm, 5 * T / 8 + 3 * B * B / (35 * T) - 4, 3e-3);

    arena memory = {NULL};
    body hull;
    hull = s->hull->body;
    double *scratch = arena_new(&memory, 7 * (hull.largest + 8), sizeof *scratch);
    plane still = plane_make(0, 0, T, (double[3]){L / 2, 0, T});
    submerged w = {0};
    body_add(&hull, &still, 1, scratch, &w);
    ck_assert_double_eq_tol(w.area, 2 * L * B / 3, 2 * L * B / 3 * 1e-3);
    ck_assert_double_eq_tol(w.auu / w.volume, 3 * L * L / (40 * T), 0.12);
    arena_free(&memory);
    coaming_ship_free(s);
    free(parts);
}
END_TEST

/* Simpson's first rule on half-breadths: C. B. Barrass and D. R. Derrett, "Ship Stability for
 * Masters and Mates", example of a ship of 120 m (inputs and answer from memory; the answer follows
 * from the rule): 0, 3.7, 5.9, 7.6, 7.5, 4.6, 0.1 m give 1206.7 m2 and a TPC of 12.37 t. The rule
 * is exact for the parabolas through each three stations; here they stand as 40 straight pieces
 * between stations, which leaves out about 1/(2 x 80^2) of their bulge: far below 0.01 %. */
START_TEST(waterplane_comes_to_Simpsons_rule)
{
    static const double y[] = {0, 3.7, 5.9, 7.6, 7.5, 4.6, 0.1};
    enum { PIECES = 40 };
    char *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    fputs("<hull>", out);
    for (int i = 0; i <= 6 * PIECES; i++) {
        int pair = i / (2 * PIECES) < 3 ? i / (2 * PIECES) : 2;
        double t = (double)(i - pair * 2 * PIECES) / PIECES; /* 0 to 2 over the three stations */
        const double *h = y + 2 * pair;
        double at = h[0] * (t - 1) * (t - 2) / 2 - h[1] * t * (t - 2) + h[2] * t * (t - 1) / 2;
        fprintf(out,
                "<section x=\"%.17g\"><offset z=\"0\" y=\"%.17g\"/><offset z=\"8\" "
                "y=\"%.17g\"/></section>",
                120.0 * i / (6 * PIECES), fmax(at, 0), fmax(at, 0));
    }
    fputs("</hull>" HOLD("50 60", "-1 1", "0 1", "1"), out);
    fclose(out);
    coaming_ship *s = ship_from_parts("length=\"120\" beam=\"16\" depth=\"8\" draft=\"5\"", parts);
    arena memory = {NULL};
    body hull;
    hull = s->hull->body;
    double scratch[7 * 32];
    plane still = plane_make(0, 0, 5, (double[3]){60, 0, 5});
    submerged w = {0};
    body_add(&hull, &still, 1, scratch, &w);
    double simpson = 2 * 20 / 3.0 * (0 + 4 * 3.7 + 2 * 5.9 + 4 * 7.6 + 2 * 7.5 + 4 * 4.6 + 0.1);
    ck_assert_double_eq_tol(simpson, 1206.7, 0.05);
    ck_assert_double_eq_tol(w.area, simpson, simpson * 1e-3);
    ck_assert_double_eq_tol(w.area * 1.025 / 100, 12.37, 0.012);
    ck_assert_double_eq_tol(w.volume, 5 * w.area, 1e-9 * w.volume); /* wall-sided */
    arena_free(&memory);
    coaming_ship_free(s);
    free(parts);
}
END_TEST

/* The corner of a unit cube under the plane x + y + z = t, t at most 1: a tetrahedron of volume
 * t^3/6 with its centroid at t/4, cut in an equilateral triangle of area t^2 sqrt(3)/2 whose second
 * moment about any axis through its centroid is side^4 sqrt(3)/96 (derivable). */
START_TEST(corner_of_a_cube_is_cut_exactly)
{
    coaming_ship *s = ship_from_parts("length=\"9\" beam=\"9\" depth=\"9\" draft=\"5\"",
                                      HOLD("0 1", "0 1", "0 1", "1"));
    arena memory = {NULL};
    body cube;
    double scratch[7 * 16];
    cube = *s->spaces[0].inside;
    for (int i = 1; i <= 20; i++) {
        double t = i / 20.0, side = t * sqrt(2), third = 1 / sqrt(3);
        plane p =
            plane_make(atan2(-third, third), asin(-third), t * third, (double[3]){0.5, 0.5, 0.5});
        submerged w = {0};
        body_add(&cube, &p, 1, scratch, &w);
        ck_assert_double_eq_tol(w.volume, t * t * t / 6, 1e-14);
        for (int k = 0; k < 3; k++)
            ck_assert_double_eq_tol(w.moment[k] / w.volume, t / 4, 1e-12);
        ck_assert_double_eq_tol(w.area, t * t * sqrt(3) / 2, 1e-14);
        double second = pow(side, 4) * sqrt(3) / 96;
        ck_assert_double_eq_tol(w.auu - w.au * w.au / w.area, second, 1e-13);
        ck_assert_double_eq_tol(w.avv - w.av * w.av / w.area, second, 1e-13);
        ck_assert_double_eq_tol(w.auv - w.au * w.av / w.area, 0, 1e-13);
    }
    arena_free(&memory);
    coaming_ship_free(s);
}
END_TEST

/* The outward area vectors of a closed body add up to nothing, and its volume is positive. */
static void check_closed(const body *b)
{
    double sum[3] = {0, 0, 0};
    for (size_t f = 0; f < b->faces; f++) {
        const double *p = b->points + 3 * b->start[f];
        size_t corners = b->start[f + 1] - b->start[f];
        for (size_t i = 0; i < corners; i++) {
            const double *a = p + 3 * i, *c = p + 3 * ((i + 1) % corners);
            sum[0] += a[1] * c[2] - a[2] * c[1];
            sum[1] += a[2] * c[0] - a[0] * c[2];
            sum[2] += a[0] * c[1] - a[1] * c[0];
        }
    }
    for (int k = 0; k < 3; k++)
        ck_assert_double_eq_tol(sum[k], 0, 1e-8);
}

START_TEST(hull_of_sections_is_closed_and_a_box_of_sections_is_the_box)
{
    const char *sections =
        "<hull><section x=\"0\"><offset z=\"0\" y=\"3\"/><offset z=\"4\" y=\"3\"/></section>"
        "<section x=\"17\"><offset z=\"0\" y=\"3\"/><offset z=\"1.3\" y=\"3\"/>"
        "<offset z=\"4\" y=\"3\"/></section>"
        "<section x=\"40\"><offset z=\"0\" y=\"3\"/><offset z=\"4\" y=\"3\"/></section></hull>";
    char parts[1000];
    snprintf(parts, sizeof parts, "%s%s", sections, HOLD("4 9", "1 3", "0 4", "0.5"));
    const char *principal = "length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\" kg=\"1.9\"";
    coaming_ship *s = ship_from_parts(principal, parts);
    coaming_float a = flood_all(s, NULL);
    coaming_float b = float_of(principal, HOLD("4 9", "1 3", "0 4", "0.5"));
    ck_assert_double_eq_tol(a.draught, b.draught, 1e-9);
    ck_assert_double_eq_tol(a.heel, b.heel, 1e-8);
    ck_assert_double_eq_tol(a.trim, b.trim, 1e-9);
    ck_assert_double_eq_tol(a.gm, b.gm, 1e-9);
    ck_assert_double_eq_tol(a.freeboard, b.freeboard, 1e-9);
    arena memory = {NULL};
    body hull;
    hull = s->hull->body;
    check_closed(&hull);
    arena_free(&memory);
    coaming_ship_free(s);
}
END_TEST

/* A flat of bottom from y = 0 and a ledge at 2 m: the same as the box with a step, by hand.
 * Half-breadth 3 m up to 2 m, 4 m above: below 3 m, 30 x (6 x 2 + 8 x 1) = 600 m3. */
START_TEST(level_pieces_of_a_section_are_kept)
{
    const char *section =
        "<offset z=\"0\" y=\"0\"/><offset z=\"0\" y=\"3\"/><offset z=\"2\" y=\"3\"/>"
        "<offset z=\"2\" y=\"4\"/><offset z=\"5\" y=\"4\"/>";
    char parts[1200];
    snprintf(parts, sizeof parts,
             "<hull><section x=\"0\">%s</section><section x=\"11\"><offset z=\"0\" y=\"3\"/>"
             "<offset z=\"2\" y=\"3\"/><offset z=\"2\" y=\"4\"/><offset z=\"5\" y=\"4\"/></section>"
             "<section x=\"30\">%s</section></hull>%s",
             section, section, HOLD("4 9", "-3 3", "0 2", "0.5"));
    const char *principal =
        "length=\"30\" beam=\"8\" depth=\"5\" draft=\"3\" kg=\"2\" density=\"1\"";
    coaming_ship *s = ship_from_parts(principal, parts);
    coaming_float r = flood_all(s, NULL);
    ck_assert_double_eq_tol(r.displacement, 600, 1e-9);
    /* hold of 5 x 6 x 2 m at 50 %: 30 m3 lost below the waterplane of 240 m2 */
    ck_assert_double_eq_tol(r.flooded_volume, 30, 1e-9);
    ck_assert_double_eq_tol((r.draught_aft + r.draught_fwd) / 2, 3.125, 2e-3);
    arena memory = {NULL};
    body hull;
    hull = s->hull->body;
    check_closed(&hull);
    arena_free(&memory);
    coaming_ship_free(s);
}
END_TEST

/* A body cut by a plane and by its opposite: the parts add up to the whole, and the waterplanes are
 * the same. */
START_TEST(what_is_below_and_what_is_above_make_the_whole)
{
    coaming_ship *s =
        ship_from_parts("length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\" kg=\"1.9\"",
                        "<space id=\"l\" name=\"L\" permeability=\"1\"><prism z=\"0 3\" outline="
                        "\"20,0 22,0 22,1 21,1 21,2 20,2\"/></space>");
    arena memory = {NULL};
    body b;
    b = *s->spaces[0].inside;
    check_closed(&b);
    double *scratch = arena_new(&memory, 7 * (b.largest + 8), sizeof *scratch);
    dice d = {5};
    for (int i = 0; i < 2000; i++) {
        double n[3], size = 0, near[3] = {21, 1, 1.5};
        for (int k = 0; k < 3; k++) {
            n[k] = dice_below(&d, 2001) / 1000.0 - 1;
            size += n[k] * n[k];
        }
        if (size < 0.01)
            continue;
        double heel = atan2(-n[1], n[2]), trim = asin(-n[0] / sqrt(size));
        plane p = plane_make(heel, trim, 0, near);
        double at = p.n[0] * near[0] + p.n[1] * near[1] + p.n[2] * near[2] +
                    dice_below(&d, 300) / 100.0 - 1.5;
        p = plane_make(heel, trim, at, near);
        plane q = p; /* the same plane seen from below */
        for (int k = 0; k < 3; k++) {
            q.n[k] = -p.n[k];
            q.e2[k] = -p.e2[k];
        }
        q.d = -p.d;
        submerged below = {0}, above = {0};
        body_add(&b, &p, 1, scratch, &below);
        body_add(&b, &q, 1, scratch, &above);
        if (fabs(below.volume + above.volume - 9) > 1e-9)
            ck_abort_msg("plane %d: %.12g + %.12g is not 9", i, below.volume, above.volume);
        if (fabs(below.area - above.area) > 1e-9 || fabs(below.auu - above.auu) > 1e-9 ||
            below.area < -1e-12 || below.volume < -1e-12)
            ck_abort_msg("plane %d: waterplanes %.12g and %.12g", i, below.area, above.area);
    }
    arena_free(&memory);
    coaming_ship_free(s);
}
END_TEST

START_TEST(cut_into_more_boxes_she_floats_the_same)
{
    const char *principal = "length=\"60\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"3.6\"";
    coaming_float one = float_of(principal, HOLD("30 50", "-5 2", "0 6", "0.85"));
    coaming_float many = float_of(
        principal,
        "<space id=\"h\" name=\"H\" permeability=\"0.85\"><box x=\"30 37\" y=\"-5 2\" z=\"0 6\"/>"
        "<box x=\"37 50\" y=\"-5 0\" z=\"0 6\"/><box x=\"37 50\" y=\"0 2\" z=\"0 2.5\"/>"
        "<prism z=\"2.5 6\" outline=\"37,0 50,0 50,2 37,2\"/></space>");
    ck_assert_double_eq_tol(one.draught, many.draught, 1e-10);
    ck_assert_double_eq_tol(one.heel, many.heel, 1e-8);
    ck_assert_double_eq_tol(one.trim, many.trim, 1e-10);
    ck_assert_double_eq_tol(one.gm, many.gm, 1e-9);
}
END_TEST

/* Both balances at random equilibria of random box ships, from the bodies themselves. */
START_TEST(equilibrium_satisfies_both_balances)
{
    dice d = {(uint64_t)_i + 100};
    char principal[200], parts[400];
    double lx = 40 + dice_below(&d, 40), b = 8 + dice_below(&d, 4), x = 2 + dice_below(&d, 20);
    snprintf(principal, sizeof principal,
             "length=\"%g\" beam=\"%g\" depth=\"7\" draft=\"3.5\" kg=\"3.%d\"", lx, b,
             dice_below(&d, 9));
    snprintf(parts, sizeof parts, HOLD("%g %g", "%g %g", "0 %d", "0.8"), x, x + 6, -b / 2,
             b / 2 - dice_below(&d, 8), 3 + dice_below(&d, 4));
    coaming_ship *s = ship_from_parts(principal, parts);
    coaming_float r = flood_all(s, NULL);
    if (r.afloat == COAMING_AFLOAT_YES) {
        arena memory = {NULL};
        body hull = s->hull->body, hold = *s->spaces[0].inside;
        double *scratch = arena_new(&memory, 7 * 16, sizeof *scratch);
        plane p = plane_make(r.heel / 57.29577951308232, asin(-r.normal[0]), r.height,
                             (double[3]){lx / 2, 0, 3.5});
        submerged w = {0};
        body_add(&hull, &p, 1, scratch, &w);
        body_add(&hold, &p, -0.8, scratch, &w);
        double volume = lx * b * 3.5, g[3] = {lx / 2, 0, s->kg}, along = 0, athwart = 0;
        for (int k = 0; k < 3; k++) {
            along += (g[k] - w.moment[k] / w.volume) * p.e1[k];
            athwart += (g[k] - w.moment[k] / w.volume) * p.e2[k];
        }
        ck_assert_double_eq_tol(w.volume, volume, 1e-9 * volume);
        ck_assert_double_eq_tol(along, 0, 1e-9);
        ck_assert_double_eq_tol(athwart, 0, 1e-9);
        arena_free(&memory);
    }
    coaming_ship_free(s);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("float");
    TCase *all = tcase_create("all");
    tcase_add_test(all, midship_compartment_open_to_the_sea);
    tcase_add_test(all, permeability_counts_in_volume_and_waterplane);
    tcase_add_test(all, compartment_wholly_below_the_waterline);
    tcase_add_test(all, end_compartment_trims_by_the_head);
    tcase_add_test(all, box_vessels_with_trim_and_heel);
    tcase_add_test(all, side_compartment_heels_to_its_side);
    tcase_add_test(all, she_sinks_or_capsizes_as_a_result_not_a_failure);
    tcase_add_test(all, factor_s_is_that_of_the_formula);
    tcase_add_test(all, every_breach_of_a_barge_by_hand);
    tcase_add_test(all, a_space_that_stands_out_of_the_hull_is_a_warning);
    tcase_add_loop_test(all, a_position_of_rest_is_one, 0, 2);
    tcase_add_test(all, what_stands_on_deck_carries_nothing_and_takes_none_away);
    tcase_add_test(all, upright_the_worse_side_is_told);
    tcase_add_test(all, the_greatest_arm_lies_between_the_angles_too);
    tcase_add_test(all, intact_and_unstable_is_refused);
    tcase_add_test(all, righting_arms_of_a_box_follow_the_wall_sided_formula);
    tcase_add_test(all, arms_of_a_raft_with_its_bilge_out_by_hand);
    tcase_add_test(all, a_deck_that_is_flooded_all_over_carries_nothing);
    tcase_add_test(all, without_a_waterplane_she_has_the_arm_of_her_weight);
    tcase_add_test(all, lost_to_one_side_she_is_lost);
    tcase_add_test(all, awash_she_is_lost);
    tcase_add_test(all, arms_to_starboard_are_those_to_port);
    tcase_add_test(all, a_hull_above_her_draft_is_refused);
    tcase_add_test(all, wigley_hull_comes_to_its_closed_forms);
    tcase_add_test(all, waterplane_comes_to_Simpsons_rule);
    tcase_add_test(all, corner_of_a_cube_is_cut_exactly);
    tcase_add_test(all, hull_of_sections_is_closed_and_a_box_of_sections_is_the_box);
    tcase_add_test(all, level_pieces_of_a_section_are_kept);
    tcase_add_test(all, what_is_below_and_what_is_above_make_the_whole);
    tcase_add_test(all, cut_into_more_boxes_she_floats_the_same);
    tcase_add_loop_test(all, equilibrium_satisfies_both_balances, 0, 200);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
