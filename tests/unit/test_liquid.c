/*
 * Loadings and liquids that move, against hand arithmetic, quadrature and properties.
 *
 * Free surface of a rectangular tank: the shift of a wedge, density x l b^3 / 12 at small angles (C. B.
 * Barrass and D. R. Derrett, "Ship Stability for Masters and Mates", chapter "Effect of free surface",
 * from memory; derived here: the second moment of the surface). At larger angles the liquid of a box
 * is a trapezium, a triangle, or the box less a triangle, whose areas and centres are worked out by
 * hand beside each test.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "arms_plain.h"
#include "body_plain.h"
#include "runner.h"
#include "ship/inside.h"
#include "ships.h"

static const double DEGREE = 57.29577951308232;
static const double SEA = 1.025;

/* A box of 100 x 20 x 12 m: draught 5 m, kg 6 m. */
#define SHIP "<ship length=\"100\" beam=\"20\" depth=\"12\" draft=\"5\" density=\"1.025\"/>"
#define TANK(id, x, y, z, mu)                                                                      \
    "<space id=\"" id "\" name=\"T\" permeability=\"" mu "\"><box x=\"" x "\" y=\"" y "\" z=\"" z  \
    "\"/></space>"
#define CONTENT(id, fill, density)                                                                 \
    "<content space=\"" id "\" fill=\"" fill "\" density=\"" density "\"/>"
#define LOADING(more, inside) "<loading id=\"L\" draft=\"5\" kg=\"6\" " more ">" inside "</loading>"
/* The same without its liquids: as if they were frozen. */
#define FROZEN "<loading id=\"frozen\" draft=\"5\" kg=\"6\"/>"

static coaming_flotation *float_of(const coaming_ship *s, int loading)
{
    coaming_flotation *f = NULL;
    coaming_error error;
    coaming_status status = coaming_flotation_new(s, loading, &f, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    return f;
}

static coaming_float rest_of(coaming_flotation *f, const bool *flooded)
{
    coaming_float at;
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
    ck_assert_int_eq(at.afloat, COAMING_AFLOAT_YES);
    return at;
}

/* Righting arm at an angle of the grid, undamaged. */
static double arm_of(const coaming_ship *s, int loading, int degrees)
{
    coaming_righting r;
    coaming_flotation *f = float_of(s, loading);
    coaming_float at = rest_of(f, NULL);
    coaming_flotation_righting(f, NULL, &at, &r);
    double gz = r.arm[degrees / COAMING_RIGHTING_STEP].gz;
    coaming_flotation_free(f);
    return gz;
}

START_TEST(a_rectangular_tank_takes_its_free_surface_off_gm)
{
    /* Tank l 10 m, b 8 m, half full of density 0.9: 0.9 x 10 x 8^3 / 12 = 384 t m over 1.025 x 10000
     * m3. The permeability 0.95 makes the surface as much smaller. */
    static const char *const fills[] = {"0.5", "0.1", "0.9"};
    for (int i = 0; i < 3; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts,
                 SHIP TANK("t", "45 55", "-4 4", "1 5", "0.95")
                     LOADING("", "<content space=\"t\" fill=\"%s\" density=\"0.9\"/>") FROZEN,
                 fills[i]);
        coaming_ship *s = ship_from_elements(parts);
        coaming_flotation *moving = float_of(s, 0), *frozen = float_of(s, 1);
        double loss = rest_of(frozen, NULL).gm - rest_of(moving, NULL).gm;
        ck_assert_double_eq_tol(loss, 0.95 * 0.9 * 10 * 512 / 12 / (SEA * 10000), 1e-12);
        ck_assert_double_eq_tol(rest_of(frozen, NULL).gm, 2.5 + 20 * 20 / 60.0 - 6, 1e-12);
        ck_assert_double_eq_tol(rest_of(moving, NULL).displacement, SEA * 10000, 1e-9);
        coaming_flotation_free(moving);
        coaming_flotation_free(frozen);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(small_heels_shift_a_tank_by_the_wedge)
{
    /* Of the same tank: (0.9/1.025) l b^3/12 / V x tan, and a second order that is smaller. */
    coaming_ship *s = ship_from_elements(SHIP TANK("t", "45 55", "-4 4", "1 5", "1")
                                             LOADING("", CONTENT("t", "0.5", "0.9")) FROZEN);
    coaming_flotation *f = float_of(s, 0);
    static const double degrees[] = {0.01, 0.1, 1, 2};
    for (int i = 0; i < 4; i++) {
        double heel = degrees[i] / DEGREE;
        plane level = plane_make(heel, 0, 0, f->middle);
        laden_pull pull = laden_move(&f->laden, s, NULL, &level, true, f->scratch);
        double wedge = 0.9 / SEA * 10 * 512 / 12 / 10000;
        ck_assert_double_eq_tol(pull.shift[1], wedge * tan(heel), 1e-12);
        ck_assert_double_eq_tol(pull.shift[2], wedge * tan(heel) * tan(heel) / 2, 1e-12);
        ck_assert_double_eq_tol(pull.shift[0], 0, 1e-12);
    }
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Of the liquid in a tank of breadth 8 and height 4 at 30 degrees to port: its centre from the
 * tank's lower port corner, inboard and up. */
typedef struct {
    const char *fill;
    double inboard, up;
} tilted;

static double root3(void)
{
    return sqrt(3);
}

/* Area 6.4 of the 32 m2: the triangle at the lower port corner with legs p along the bottom and
 * p tan 30 up the side, p^2 tan 30 / 2 = 6.4, p = 4.7085 (below 8), 2.7185 up (below 4). */
static tilted low_triangle(void)
{
    double p = sqrt(2 * 6.4 * root3());
    return (tilted){"0.2", p / 3, p / root3() / 3};
}

/* Half full, by symmetry, the surface goes through the tank's middle: it meets the top 4 - 2 / tan 30 =
 * 0.536 and the bottom 4 + 2 / tan 30 = 7.464 inboard. A rectangle, and a triangle beside it. */
static tilted half_full(void)
{
    double p = 4 + 2 * root3(), q = 4 - 2 * root3();
    double box = q * 4, side = (p - q) * 4 / 2;
    return (tilted){"0.5", (box * q / 2 + side * (q + (p - q) / 3)) / (box + side),
                    (box * 2 + side * 4 / 3.0) / (box + side)};
}

/* 0.8 full: the air is the triangle at the upper starboard corner, of area 6.4. */
static tilted high_triangle(void)
{
    tilted air = low_triangle();
    return (tilted){"0.8", (32 * 4 - 6.4 * (8 - air.inboard)) / 25.6,
                    (32 * 2 - 6.4 * (4 - air.up)) / 25.6};
}

START_TEST(at_30_degrees_a_tank_is_the_polygon_that_it_is)
{
    const tilted by_hand[] = {low_triangle(), half_full(), high_triangle()};
    for (int i = 0; i < 3; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts,
                 SHIP TANK("t", "45 55", "-4 4", "1 5", "1")
                     LOADING("", "<content space=\"t\" fill=\"%s\" density=\"1.1\"/>") FROZEN,
                 by_hand[i].fill);
        coaming_ship *s = ship_from_elements(parts);
        double fill = atof(by_hand[i].fill), weight = 1.1 / SEA * 320 * fill;
        double y = 4 - by_hand[i].inboard, z = by_hand[i].up - 4 * fill / 2;
        /* along the plane, to port and down: GZ is so much less */
        double less = weight / 10000 * (y * cos(30 / DEGREE) + z * sin(30 / DEGREE));
        ck_assert_double_eq_tol(arm_of(s, 1, 30) - arm_of(s, 0, 30), less, 1e-11);
        ck_assert_double_gt(less, 0.005);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(a_full_tank_and_an_empty_one_have_none)
{
    static const char *const fills[] = {"0", "1"};
    for (int i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts,
                 SHIP TANK("t", "40 55", "-4 6", "1 5", "0.95")
                     LOADING("", "<content space=\"t\" fill=\"%s\" density=\"1.1\"/>") FROZEN,
                 fills[i]);
        coaming_ship *s = ship_from_elements(parts);
        coaming_flotation *moving = float_of(s, 0), *frozen = float_of(s, 1);
        ck_assert_double_eq(rest_of(moving, NULL).gm, rest_of(frozen, NULL).gm);
        for (int degrees = 0; degrees <= 60; degrees += 5)
            ck_assert_double_eq(arm_of(s, 0, degrees), arm_of(s, 1, degrees));
        coaming_flotation_free(moving);
        coaming_flotation_free(frozen);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(a_breached_tank_loses_its_content_and_takes_sea)
{
    /* Double-bottom tank of 10 x 16 x 2 m amidships, wholly under water, 0.7 full of density 0.9. By
     * hand: weight 10000 - 0.7 x 320 x 0.9/1.025 = 9803.317 m3; the hull below the water is that and
     * the 320 m3 that the sea has now: draught 10123.317 / 2000. Gravity: (10000 x 6 - 196.683 x
     * 0.7) / 9803.317. Buoyancy: (2000 T x T/2 - 320 x 1) / 9803.317. BM: 100 x 20^3 / 12 / 9803.317,
     * for the tank has no waterplane. */
    coaming_ship *s = ship_from_elements(SHIP TANK("t", "45 55", "-8 8", "0 2", "1")
                                             LOADING("", CONTENT("t", "0.7", "0.9")));
    coaming_flotation *f = float_of(s, 0);
    const bool flooded[] = {true};
    coaming_float at = rest_of(f, flooded);
    double lost = 0.7 * 320 * 0.9 / SEA, weight = 10000 - lost, t = (weight + 320) / 2000;
    double kg = (10000 * 6 - lost * 0.7) / weight, kb = (1000 * t * t - 320) / weight;
    ck_assert_double_eq_tol(at.draught, t, 1e-11);
    ck_assert_double_eq_tol(at.displacement, weight * SEA, 1e-9);
    ck_assert_double_eq_tol(at.gm, kb + 100 * 8000 / 12.0 / weight - kg, 1e-10);
    ck_assert_double_eq_tol(at.flooded_volume, 320, 1e-9);
    ck_assert_double_eq_tol(at.heel, 0, 1e-9);
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(a_full_tank_that_is_heavier_than_the_sea_lightens_her_when_breached)
{
    /* Full of density 2, all under water: what is lost is 320 x 2/1.025 m3, what the sea takes 320;
     * so she rises by 320 (2/1.025 - 1) / 2000. */
    coaming_ship *s = ship_from_elements(SHIP TANK("t", "45 55", "-8 8", "0 2", "1")
                                             LOADING("", CONTENT("t", "1", "2")));
    coaming_flotation *f = float_of(s, 0);
    const bool flooded[] = {true};
    ck_assert_double_eq_tol(rest_of(f, flooded).draught, 5 - 320 * (2 / SEA - 1) / 2000, 1e-11);
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(a_wing_tank_that_is_lost_heels_her_to_the_other_side)
{
    /* Above the water nothing comes in: 10 x 4 x 3 m to port, from 8 m up, full of density 1. Gravity
     * goes 120/1.025 x 8 / (10000 - 120/1.025) to starboard. A box heels where (BM tan^2/2 + GM) sin
     * = shift x cos (wall-sided formula, Barrass and Derrett, "Wall-sided formula"). */
    coaming_ship *s = ship_from_elements(SHIP TANK("t", "45 55", "6 10", "8 11", "1")
                                             LOADING("tcg=\"0\"", CONTENT("t", "1", "1")));
    coaming_flotation *f = float_of(s, 0);
    const bool flooded[] = {true};
    coaming_float at = rest_of(f, flooded);
    double lost = 120 / SEA, weight = 10000 - lost, t = weight / 2000;
    double kg = (60000 - lost * 9.5) / weight, shift = -lost * 8 / weight;
    double bm = 100 * 8000 / 12.0 / weight, gm = t / 2 + bm - kg;
    double heel = at.heel / DEGREE;
    ck_assert_double_eq_tol((gm + bm * tan(heel) * tan(heel) / 2) * sin(heel), shift * cos(heel),
                            1e-10);
    ck_assert_double_lt(at.heel, -0.5);
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

START_TEST(a_loading_floats_as_its_draught_and_trim_say)
{
    for (int i = 0; i < 2; i++) {
        char parts[1500];
        snprintf(
            parts, sizeof parts,
            SHIP TANK("t", "60 80", "-8 8", "0 3", "0.95") TANK("u", "20 40", "2 6", "1 6", "1")
                LOADING("trim=\"%s\"", CONTENT("t", "0.4", "1") CONTENT("u", "0.6", "0.86")),
            i ? "1.5" : "-0.8");
        coaming_ship *s = ship_from_elements(parts);
        coaming_flotation *f = float_of(s, 0);
        coaming_float at = rest_of(f, NULL);
        ck_assert_double_eq_tol(at.draught, 5, 1e-9);
        ck_assert_double_eq_tol(at.trim, i ? 1.5 : -0.8, 1e-9);
        ck_assert_double_eq_tol(at.heel, 0, 1e-9);
        ck_assert_double_eq_tol(at.displacement, 10000 * SEA, 1e-6);
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(without_content_a_loading_is_the_ship_as_given)
{
    coaming_ship *s =
        ship_from_elements("<ship length=\"100\" beam=\"20\" depth=\"12\" draft=\"5\" kg=\"6\" "
                           "lcg=\"49\" tcg=\"0.1\"/>" TANK("t", "60 80", "-8 8", "0 3", "0.95")
                               LOADING("lcg=\"49\" tcg=\"0.1\"", ""));
    coaming_flotation *given = float_of(s, COAMING_NO_LOADING), *loaded = float_of(s, 0);
    for (int i = 0; i < 2; i++) {
        const bool flooded[] = {i};
        coaming_float a = rest_of(given, flooded), b = rest_of(loaded, flooded);
        ck_assert_double_eq(a.draught, b.draught);
        ck_assert_double_eq(a.heel, b.heel);
        ck_assert_double_eq(a.gm, b.gm);
        ck_assert_double_eq(a.displacement, b.displacement);
    }
    coaming_flotation_free(given);
    coaming_flotation_free(loaded);
    coaming_ship_free(s);
}
END_TEST

/* --- random ships --- */

static double between(dice *d, double low, double high)
{
    return low + (high - low) * dice_below(d, 1000001) / 1e6;
}

typedef struct {
    double x[2], y[2], z[2], permeability, fill, density;
} tank;

enum { TANKS = 4 };

static void roll(dice *d, tank t[TANKS])
{
    for (int i = 0; i < TANKS; i++) {
        t[i] = (tank){.permeability = between(d, 0.5, 1),
                      .fill = dice_below(d, 6) ? between(d, 0, 1) : dice_below(d, 2),
                      .density = between(d, 0.7, 1.3)};
        t[i].x[0] = 5 + 23 * i + between(d, 0, 5);
        t[i].x[1] = t[i].x[0] + between(d, 2, 15);
        t[i].y[0] = between(d, -10, 6);
        t[i].y[1] = t[i].y[0] + between(d, 1, 10 - t[i].y[0]);
        t[i].z[0] = between(d, 0, 6);
        t[i].z[1] = t[i].z[0] + between(d, 0.5, 12 - t[i].z[0]);
    }
}

/* mirror: 1, or -1 turned round the centre line. tcg NaN: not given. */
static coaming_ship *ship_with(const tank t[TANKS], int mirror, double tcg, double kg)
{
    char parts[4000];
    int used = snprintf(parts, sizeof parts, SHIP);
    for (int i = 0; i < TANKS; i++) {
        double a = mirror * t[i].y[0], b = mirror * t[i].y[1];
        used +=
            snprintf(parts + used, sizeof parts - (size_t)used,
                     "<space id=\"t%d\" name=\"T\" permeability=\"%.17g\"><box x=\"%.17g %.17g\" "
                     "y=\"%.17g %.17g\" z=\"%.17g %.17g\"/></space>",
                     i, t[i].permeability, t[i].x[0], t[i].x[1], fmin(a, b), fmax(a, b), t[i].z[0],
                     t[i].z[1]);
    }
    used += snprintf(parts + used, sizeof parts - (size_t)used,
                     "<loading id=\"L\" draft=\"5\" kg=\"%.17g\" tcg=\"%.17g\">", kg, mirror * tcg);
    for (int i = 0; i < TANKS; i++)
        used += snprintf(parts + used, sizeof parts - (size_t)used,
                         "<content space=\"t%d\" fill=\"%.17g\" density=\"%.17g\"/>", i, t[i].fill,
                         t[i].density);
    snprintf(parts + used, sizeof parts - (size_t)used, "</loading>");
    return ship_from_elements(parts);
}

/* Volume and moments of what of a box is below n.p < d, by columns over the plan: the midpoint rule
 * in each, the depth of liquid clipped by bottom and top. */
static void columns(const tank *t, const double n[3], double d, double sum[4])
{
    enum { CELLS = 160 };
    double dx = (t->x[1] - t->x[0]) / CELLS, dy = (t->y[1] - t->y[0]) / CELLS;
    memset(sum, 0, 4 * sizeof *sum);
    for (int i = 0; i < CELLS; i++)
        for (int j = 0; j < CELLS; j++) {
            double x = t->x[0] + (i + 0.5) * dx, y = t->y[0] + (j + 0.5) * dy;
            double top = fmin(t->z[1], (d - n[0] * x - n[1] * y) / n[2]);
            double depth = fmax(0, top - t->z[0]), volume = depth * dx * dy * t->permeability;
            sum[0] += volume;
            sum[1] += volume * x;
            sum[2] += volume * y;
            sum[3] += volume * (t->z[0] + depth / 2);
        }
}

START_TEST(liquids_of_random_boxes_against_quadrature)
{
    dice d = {7u};
    for (int round = 0; round < 6; round++) {
        tank t[TANKS];
        roll(&d, t);
        coaming_ship *s = ship_with(t, 1, 0, 6);
        coaming_flotation *f = float_of(s, 0);
        double heel = between(&d, -1, 1), trim = between(&d, -0.3, 0.3);
        plane p = plane_make(heel, trim, 0, (const double[]){0, 0, 0});
        for (size_t i = 0; i < f->laden.liquid_count; i++) {
            const laden_liquid *l = &f->laden.liquids[i];
            const tank *of = &t[l->space];
            liquid at;
            liquid_part part = {&s->spaces[l->space], l->volume, 0};
            liquid_settle(&part, &p, l->surface, f->scratch, &at);
            double low = -60, high = 130, sum[4];
            for (int step = 0; step < 28; step++) {
                columns(of, p.n, (low + high) / 2, sum);
                *(sum[0] < l->volume ? &low : &high) = (low + high) / 2;
            }
            for (int k = 0; k < 3; k++)
                ck_assert_double_eq_tol(at.centre[k], sum[k + 1] / sum[0], 2e-3);
            double box = (of->x[1] - of->x[0]) * (of->y[1] - of->y[0]) * (of->z[1] - of->z[0]);
            ck_assert_double_eq_tol(l->volume, of->fill * of->permeability * box, 1e-9);
        }
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* The height of gravity over buoyancy, liquids moving, at an attitude. */
static position at_attitude(coaming_flotation *f, const bool *flooded, double heel, double trim)
{
    position at;
    ck_assert(position_find(f, flooded, heel, trim, 5, &at));
    return at;
}

START_TEST(levers_and_metacentric_heights_are_the_slopes_of_the_potential)
{
    /* Whatever liquids do: the lever along e2 is the first derivative by heel at no trim, GM the
     * second. Central differences, error of the order of the step squared. */
    dice d = {11u};
    for (int round = 0; round < 40; round++) {
        tank t[TANKS];
        roll(&d, t);
        coaming_ship *s = ship_with(t, 1, 0, 6);
        coaming_flotation *f = NULL;
        if (coaming_flotation_new(s, 0, &f, NULL) == COAMING_OK) {
            const bool flooded[TANKS] = {dice_below(&d, 3) == 0, false, false,
                                         dice_below(&d, 3) == 0};
            double heel = between(&d, -0.5, 0.5), step = 1e-4;
            position at = at_attitude(f, flooded, heel, 0);
            position more = at_attitude(f, flooded, heel + step, 0);
            position less = at_attitude(f, flooded, heel - step, 0);
            double slope = (more.lever[2] - less.lever[2]) / (2 * step);
            double bend = (more.lever[2] + less.lever[2] - 2 * at.lever[2]) / (step * step);
            /* heel turns n towards -e2 */
            ck_assert_double_eq_tol(slope, -at.lever[1], 1e-6);
            ck_assert_double_eq_tol(bend, at.gvv, 2e-4 + 1e-3 * fabs(at.gvv));
            coaming_flotation_free(f);
        }
        coaming_ship_free(s);
    }
}
END_TEST

/* --- curves of righting arms, of random ships --- */

/* Ships with liquids in some of their tanks and others flooded, one after the other. */
typedef struct {
    dice d;
    int left;   /* to be made, afloat or not */
    int rounds; /* counted by the test */
    coaming_ship *ship;
    coaming_flotation *f;
    bool flooded[TANKS];
    coaming_float rest;
} fleet;

/* On to the next that is afloat, in place of the last; false: there is none. */
static bool next_afloat(fleet *v)
{
    for (bool found = false; !found;) {
        coaming_flotation_free(v->f);
        coaming_ship_free(v->ship);
        v->f = NULL;
        v->ship = NULL;
        if (v->left-- == 0)
            return false;
        tank t[TANKS];
        roll(&v->d, t);
        v->ship = ship_with(t, 1, between(&v->d, -0.3, 0.3), between(&v->d, 6, 9));
        for (int i = 0; i < TANKS; i++)
            v->flooded[i] = dice_below(&v->d, 3) == 0;
        found = coaming_flotation_new(v->ship, 0, &v->f, NULL) == COAMING_OK &&
                coaming_flotation_solve(v->f, v->flooded, &v->rest, NULL) == COAMING_OK &&
                v->rest.afloat == COAMING_AFLOAT_YES;
    }
    return true;
}

START_TEST(at_rest_nothing_is_left_of_what_is_rough_on_the_way)
{
    fleet v = {.d = {41u}, .left = 60};
    while (next_afloat(&v)) {
        position at;
        double heel = atan2(-v.rest.normal[1], v.rest.normal[2]), trim = asin(-v.rest.normal[0]);
        ck_assert(position_find(v.f, v.flooded, heel, trim, 5, &at));
        ck_assert_double_eq_tol(at.plane.d, v.rest.height, 1e-12);
        ck_assert_double_lt(hypot(at.lever[0], at.lever[1]), 2e-11);
        ck_assert_double_gt(at.guu * at.gvv, at.guv * at.guv);
        ck_assert_double_eq_tol(v.rest.gm, at.gvv, 1e-10);
        v.rounds++;
    }
    ck_assert_int_gt(v.rounds, 30);
}
END_TEST

START_TEST(the_way_to_the_balance_is_of_first_order)
{
    /* From a plane that is off by so much in trim and height, and by a tenth of it: what the way to
     * the balance leaves is of the second order, so a hundredth. Heeled, so that no plane slips along a level face. */
    fleet v = {.d = {23u}, .left = 40};
    while (next_afloat(&v)) {
        double heel = between(&v.d, 0.1, 0.4), lever, left[2];
        position at;
        nearing to;
        if (!isnan(lever = plain_lever(v.f, v.flooded, heel, &at))) {
            double trim = asin(-at.plane.n[0]), height = at.plane.d;
            for (int i = 0; i < 2; i++) {
                double off = i ? 2e-4 : 2e-3;
                ck_assert(
                    position_near(v.f, v.flooded, heel, trim + off, height - 20 * off, &at, &to));
                left[i] = fabs(trim + off + to.by - trim) + fabs(20 * off - to.raise) / 50 +
                          fabs(to.lever - lever);
            }
            ck_assert_double_lt(left[1], 0.02 * left[0] + 1e-9);
            v.rounds++;
        }
    }
    ck_assert_int_gt(v.rounds, 20);
}
END_TEST

START_TEST(rates_along_balanced_planes_are_their_slopes)
{
    fleet v = {.d = {29u}, .left = 40};
    while (next_afloat(&v)) {
        const double step = 1e-5;
        double heel = between(&v.d, -0.4, 0.4);
        position less, at, more;
        double low = plain_lever(v.f, v.flooded, heel - step, &less);
        double high = plain_lever(v.f, v.flooded, heel + step, &more);
        if (!isnan(plain_lever(v.f, v.flooded, heel, &at)) && !isnan(low) && !isnan(high)) {
            nearing to;
            position_rates(v.f, &at, &to);
            double trims = asin(-more.plane.n[0]) - asin(-less.plane.n[0]);
            ck_assert_double_eq_tol(to.trim_rate, trims / (2 * step), 1e-4);
            ck_assert_double_eq_tol(to.d_rate, (more.plane.d - less.plane.d) / (2 * step), 5e-3);
            ck_assert_double_eq_tol(to.lever_rate, (high - low) / (2 * step), 2e-3);
            v.rounds++;
        }
    }
    ck_assert_int_gt(v.rounds, 20);
}
END_TEST

START_TEST(range_and_greatest_arm_are_those_of_a_fine_walk)
{
    fleet v = {.d = {31u}, .left = 45};
    int ended = 0;
    while (next_afloat(&v)) {
        coaming_righting r;
        double side = v.rest.heel < 0 ? -1 : 1, range, greatest;
        arm_curve *a = arms_of(v.f, v.flooded, &v.rest, side);
        arms_measure(v.f, v.flooded, a, COAMING_HEEL_MOST, ARMS_ALL, &r);
        plain_measure(v.f, v.flooded, side, a->start, &range, &greatest);
        ck_assert_double_eq_tol(r.range, range, 1e-7);
        ck_assert_double_eq_tol(r.greatest, greatest, 1e-9);
        ck_assert_double_eq(arms_range(v.f, v.flooded, a, ARMS_ALL), r.range);
        ended += a->start + range < COAMING_HEEL_MOST;
        v.rounds++;
    }
    ck_assert_int_gt(ended, 5);
    ck_assert_int_gt(v.rounds, 15);
}
END_TEST

START_TEST(a_curve_is_the_same_whatever_is_asked_of_it_first)
{
    fleet v = {.d = {37u}, .left = 20};
    while (next_afloat(&v)) {
        double side = v.rest.heel < 0 ? -1 : 1;
        coaming_righting r[3];
        for (int first = 0; first < 3; first++) {
            coaming_flotation *fresh = float_of(v.ship, 0);
            coaming_float at = rest_of(fresh, v.flooded);
            arm_curve *a = arms_of(fresh, v.flooded, &at, side);
            if (first == 1)
                arms_upright(fresh, v.flooded, a);
            if (first == 2) {
                arms_rise(fresh, v.flooded, a);
                arms_measure(fresh, v.flooded, a, 7.3, ARMS_FACTOR, &r[2]);
            }
            arms_measure(fresh, v.flooded, a, COAMING_HEEL_MOST, ARMS_ALL, &r[first]);
            arms_put(fresh, v.flooded, a, &r[first]);
            ck_assert_double_eq(r[first].range, r[0].range);
            ck_assert_double_eq(r[first].greatest, r[0].greatest);
            for (int i = 0; i < COAMING_RIGHTING_ARMS; i++)
                ck_assert(r[first].arm[i].gz == r[0].arm[i].gz ||
                          (isnan(r[first].arm[i].gz) && isnan(r[0].arm[i].gz)));
            coaming_flotation_free(fresh);
        }
        v.rounds++;
    }
    ck_assert_int_gt(v.rounds, 10);
}
END_TEST

START_TEST(mirrored_ships_have_mirrored_answers)
{
    dice d = {3u};
    int compared = 0;
    for (int round = 0; round < 25; round++) {
        tank t[TANKS];
        roll(&d, t);
        double tcg = between(&d, -0.2, 0.2);
        coaming_ship *ships[] = {ship_with(t, 1, tcg, 6), ship_with(t, -1, tcg, 6)};
        coaming_flotation *f[2] = {NULL, NULL};
        bool good = true;
        for (int i = 0; i < 2; i++)
            good = coaming_flotation_new(ships[i], 0, &f[i], NULL) == COAMING_OK && good;
        ck_assert((f[0] != NULL) == (f[1] != NULL));
        for (int set = 0; good && set < 1 << TANKS; set++) {
            bool flooded[TANKS];
            coaming_float at[2];
            for (int i = 0; i < TANKS; i++)
                flooded[i] = set >> i & 1;
            for (int i = 0; i < 2; i++)
                ck_assert_int_eq(coaming_flotation_solve(f[i], flooded, &at[i], NULL), COAMING_OK);
            ck_assert_int_eq(at[0].afloat, at[1].afloat);
            ck_assert_double_eq_tol(at[0].displacement, at[1].displacement, 1e-6);
            if (at[0].afloat != COAMING_AFLOAT_YES || at[0].either_side)
                continue;
            ck_assert_double_eq_tol(at[0].heel, -at[1].heel, 1e-6);
            ck_assert_double_eq_tol(at[0].draught, at[1].draught, 1e-8);
            ck_assert_double_eq_tol(at[0].gm, at[1].gm, 1e-7);
            compared++;
        }
        for (int i = 0; i < 2; i++) {
            coaming_flotation_free(f[i]);
            coaming_ship_free(ships[i]);
        }
    }
    ck_assert_int_gt(compared, 50);
}
END_TEST

START_TEST(liquids_level_nearly_are_level)
{
    /* What is kept at steps and taken off as a slice against the level itself; and whatever was asked
     * before, the same to the last bit. */
    dice d = {43u};
    double worst = 0;
    for (int round = 0; round < 20; round++) {
        tank t[TANKS];
        roll(&d, t);
        coaming_ship *s = ship_with(t, 1, 0, 6);
        coaming_flotation *f = float_of(s, 0), *fresh = float_of(s, 0);
        for (int i = 0; i < 20; i++) {
            plane p = plane_make(between(&d, -1.2, 1.2), between(&d, -0.25, 0.25), 0, f->middle);
            laden_pull near = laden_move(&f->laden, s, NULL, &p, false, f->scratch);
            laden_pull exact = laden_move(&fresh->laden, s, NULL, &p, true, fresh->scratch);
            laden_pull again = laden_move(&f->laden, s, NULL, &p, true, f->scratch);
            for (int k = 0; k < 3; k++) {
                ck_assert_double_eq(again.shift[k], exact.shift[k]);
                worst = fmax(worst, fabs(near.shift[k] - exact.shift[k]));
            }
            ck_assert_double_eq(again.vv, exact.vv);
            ck_assert_double_eq_tol(near.vv, exact.vv, 1e-4 * exact.vv + 1e-12);
            ck_assert_double_eq_tol(near.uu, exact.uu, 1e-4 * exact.uu + 1e-12);
        }
        coaming_flotation_free(f);
        coaming_flotation_free(fresh);
        coaming_ship_free(s);
    }
    ck_assert_double_lt(worst, 1e-9);
}
END_TEST

START_TEST(whatever_the_shape_and_attitude_the_volume_stays)
{
    /* The demo's spaces, cut by her shell, some of them above the deck or in many pieces; the volume
     * below the surface that was found, by another way of cutting. */
    coaming_ship *s = ship_from_tree("examples/fathom-lark.xml");
    coaming_flotation *f = float_of(s, 0);
    dice d = {5u};
    for (size_t i = 0; i < s->space_count; i++)
        for (int round = 0; round < 4; round++) {
            const ship_space *p = &s->spaces[i];
            double heel = between(&d, -1.2, 1.2), trim = between(&d, -0.5, 0.5);
            double volume = between(&d, 0.001, 0.999) * p->volume;
            double near[] = {between(&d, 0, 58), between(&d, -5, 5), between(&d, 0, 9)};
            liquid at;
            plane level = plane_make(heel, trim, 0, near);
            liquid_settle(&(liquid_part){p, volume, 0}, &level, near, f->scratch, &at);
            level.d = 0;
            for (int k = 0; k < 3; k++)
                level.d += level.n[k] * at.surface[k];
            level = plane_make(heel, trim, level.d, at.surface);
            plain inside = plain_below(p->inside, &level), above = plain_below(p->above, &level);
            ck_assert_double_eq_tol(p->permeability * (inside.sum[VOLUME] + above.sum[VOLUME]),
                                    volume, 1e-9 * p->volume);
            for (int k = 0; k < 3; k++) /* by the signs of a body: the centre of what is below */
                ck_assert_double_eq_tol((inside.sum[MOMENT + k] + above.sum[MOMENT + k]) *
                                            p->permeability / volume,
                                        at.centre[k], 1e-7);
        }
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

/* --- what cannot be --- */

START_TEST(a_loading_that_cannot_be_is_one_error_that_names_it)
{
    static const struct {
        const char *parts, *words;
    } table[] = {
        {"<loading id=\"top\" draft=\"5\" kg=\"14\"/>",
         ": loading top: undamaged she does not stay"},
        {"<loading id=\"lead\" draft=\"0.1\" kg=\"1\">" CONTENT("t", "1", "5") "</loading>",
         ": loading lead: its contents weigh more than she displaces"}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts, SHIP "\n\n%s" TANK("t", "10 90", "-10 10", "0 10", "1"),
                 table[i].parts);
        coaming_ship *s = ship_from_elements(parts);
        coaming_flotation *f = NULL;
        coaming_error error = {COAMING_OK, ""};
        coaming_status status = coaming_flotation_new(s, 0, &f, &error);
        ck_assert_int_eq(status, COAMING_INPUT);
        ck_assert_msg(strstr(error.message, table[i].words) != NULL, "%s", error.message);
        ck_assert_ptr_nonnull(strstr(error.message, ":3: "));
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(slack_liquid_can_make_her_loll)
{
    /* GM 9.167 - 9.1 frozen; a tank of 5 x 12 m takes 0.5 x 5 x 12^3 / 12 / 10250 = 0.0351 for a
     * density of 0.5, one of 20 m length 0.140: then she is unstable upright. */
    for (int i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(
            parts, sizeof parts,
            SHIP TANK(
                "t", "%d 55", "-6 6", "1 5",
                "1") "<loading id=\"L\" draft=\"5\" kg=\"9.1\">" CONTENT("t", "0.5",
                                                                         "0.5") "</loading>" FROZEN,
            i ? 35 : 50);
        coaming_ship *s = ship_from_elements(parts);
        coaming_flotation *f = float_of(s, 0);
        coaming_float at = rest_of(f, NULL);
        coaming_stability stability;
        const bool dry[] = {false};
        ck_assert_int_eq(coaming_flotation_grade(f, dry, &at, COAMING_NO_CONDITION,
                                                 COAMING_AS_BUILT, &stability, NULL),
                         COAMING_OK);
        ck_assert(at.loll == (i == 1));
        if (i == 0) {
            ck_assert_double_eq_tol(at.gm, 2.5 + 20 / 3.0 - 9.1 - 0.5 * 5 * 1728 / 12 / 10250,
                                    1e-11);
            ck_assert_double_eq_tol(at.heel, 0, 1e-9);
        } else {
            ck_assert_double_gt(fabs(at.heel), 1);
        }
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("liquid");
    TCase *all = tcase_create("all");
    tcase_add_test(all, a_rectangular_tank_takes_its_free_surface_off_gm);
    tcase_add_test(all, small_heels_shift_a_tank_by_the_wedge);
    tcase_add_test(all, at_30_degrees_a_tank_is_the_polygon_that_it_is);
    tcase_add_test(all, a_full_tank_and_an_empty_one_have_none);
    tcase_add_test(all, a_breached_tank_loses_its_content_and_takes_sea);
    tcase_add_test(all, a_full_tank_that_is_heavier_than_the_sea_lightens_her_when_breached);
    tcase_add_test(all, a_wing_tank_that_is_lost_heels_her_to_the_other_side);
    tcase_add_test(all, a_loading_floats_as_its_draught_and_trim_say);
    tcase_add_test(all, without_content_a_loading_is_the_ship_as_given);
    tcase_add_test(all, liquids_of_random_boxes_against_quadrature);
    tcase_add_test(all, levers_and_metacentric_heights_are_the_slopes_of_the_potential);
    tcase_add_test(all, at_rest_nothing_is_left_of_what_is_rough_on_the_way);
    tcase_add_test(all, the_way_to_the_balance_is_of_first_order);
    tcase_add_test(all, rates_along_balanced_planes_are_their_slopes);
    tcase_add_test(all, range_and_greatest_arm_are_those_of_a_fine_walk);
    tcase_add_test(all, a_curve_is_the_same_whatever_is_asked_of_it_first);
    tcase_add_test(all, mirrored_ships_have_mirrored_answers);
    tcase_add_test(all, liquids_level_nearly_are_level);
    tcase_add_test(all, whatever_the_shape_and_attitude_the_volume_stays);
    tcase_add_test(all, slack_liquid_can_make_her_loll);
    tcase_add_test(all, a_loading_that_cannot_be_is_one_error_that_names_it);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
