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
#include "runner.h"
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
    coaming_flood_ask ask = coaming_flood_ask_default();
    ask.breaches = &hole;
    ask.breach_count = 1;
    ask.until = 600;
    ask.every = 10;
    ask.grades = false;
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

int main(void)
{
    Suite *suite = suite_create("flood");
    TCase *all = tcase_create("flood");
    tcase_set_timeout(all, 120);
    tcase_add_test(all, two_tanks_fill_one_through_the_other);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
