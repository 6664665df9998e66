/*
 * Damage cases: which spaces they open, and that their weights are those of the densities.
 *
 * That the weights of a side add up to 1, with penetrations and heights, is the caution of H. J.
 * Koelman and J. A. Pinkster, "Rationalizing the practice of probabilistic damage stability
 * calculations", International Shipbuilding Progress 50(3), 2003, pages 239-253 (abstract): the
 * usual bookkeeping gave sums other than 1. tests/cli/oracle_damage.py draws damage at random.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/cases.h"
#include "runner.h"
#include "ships.h"

typedef struct {
    coaming_ship *ship;
    damage_cases *cases;
    case_list list;
} study;

static study study_of(const char *parts)
{
    study s = {ship_from_elements(parts), NULL, {0}};
    ck_assert_int_eq(damage_cases_new(s.ship, s.ship->draught, &s.cases, NULL), COAMING_OK);
    ck_assert_int_eq(damage_cases_list(s.cases, s.ship->draught, &s.list, NULL), COAMING_OK);
    return s;
}

static void study_free(study *s)
{
    case_list_free(&s->list);
    damage_cases_free(s->cases);
    coaming_ship_free(s->ship);
}

/* The weight of the cases of a side that open these and no other, "a,b" in file order; extents: how
 * many they have, or 0: any. */
static double weight_of(const study *s, bool starboard, const char *ids, size_t extents)
{
    double weight = 0;
    for (size_t i = 0; i < s->list.count; i++) {
        const damage_case *c = &s->list.cases[i];
        space_set set = damage_cases_set(s->cases, c->extents[0]);
        char text[200] = "";
        for (size_t k = 0; k < set.count; k++) {
            strcat(text, k ? "," : "");
            strcat(text, s->ship->spaces[set.spaces[k]].id);
        }
        if (c->starboard != starboard || strcmp(text, ids))
            continue;
        ck_assert(extents == 0 || c->extent_count == extents);
        weight += c->weight;
    }
    return weight;
}

static void add_up(const study *s, uint64_t number)
{
    double sum[2] = {0, 0};
    for (size_t i = 0; i < s->list.count; i++) {
        const damage_case *c = &s->list.cases[i];
        CLAIM(c->weight > 0, "ship %llu: a weight of %g", (unsigned long long)number, c->weight);
        sum[c->starboard] += c->weight;
    }
    for (int side = 0; side < 2; side++)
        CLAIM(fabs(sum[side] - 1) < 1e-12, "ship %llu: side %d adds up to %.15g",
              (unsigned long long)number, side, sum[side]);
}

#define BOX(id, shell, x, y, z)                                                                    \
    "<space id=\"" id "\" name=\"" id "\" shell=\"" shell "\"><box x=\"" x "\" y=\"" y "\" z=\"" z \
    "\"/></space>"
#define HUNDRED "<ship length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\"/>"

/* Ls 100, five equal zones: the p of an end zone, of an inner zone and of pairs, as in
 * test_damage.c. */
START_TEST(test_five_holds)
{
    study s = study_of(
        HUNDRED BOX("a", "yes", "0 20", "-10 10", "0 10") BOX("b", "yes", "20 40", "-10 10", "0 10")
            BOX("c", "yes", "40 60", "-10 10", "0 10") BOX("d", "yes", "60 80", "-10 10", "0 10")
                BOX("e", "yes", "80 100", "-10 10", "0 10"));
    for (int side = 0; side < 2; side++) {
        ck_assert_double_eq_tol(weight_of(&s, side, "a", 1), .166992, 6e-7);
        ck_assert_double_eq_tol(weight_of(&s, side, "e", 1), .166992, 6e-7);
        ck_assert_double_eq_tol(weight_of(&s, side, "c", 1), .133983, 6e-7);
        ck_assert_double_eq_tol(weight_of(&s, side, "b,c", 1), .064693, 6e-7);
        ck_assert_double_eq_tol(weight_of(&s, side, "a,b", 1), .065355, 6e-7);
    }
    ck_assert_uint_eq(damage_cases_zone_count(s.cases), 5);
    add_up(&s, 0);
    study_free(&s);
}
END_TEST

/* Ls 100, B 20, ten equal zones; wings 4 m wide from 40 to 60 m, either side of 50 m: the pair of
 * wings alone has .025317560 (published part of the pair, test_damage.c), one of them p r with r
 * .680042 of p .044110. */
START_TEST(test_wings)
{
    study s = study_of(
        HUNDRED BOX("w1", "yes", "40 50", "6 10", "0 10") BOX("w2", "yes", "50 60", "6 10", "0 10")
            BOX("in", "yes", "40 60", "-10 6", "0 10") "<zone from=\"0\" to=\"10\"/>"
                                                       "<zone from=\"10\" to=\"20\"/>"
                                                       "<zone from=\"20\" to=\"30\"/>"
                                                       "<zone from=\"30\" to=\"40\"/>"
                                                       "<zone from=\"40\" to=\"50\"/>"
                                                       "<zone from=\"50\" to=\"60\"/>"
                                                       "<zone from=\"60\" to=\"100\"/>");
    double w1 = 0, pair = 0, inner = 0, starboard = 0;
    for (size_t i = 0; i < s.list.count; i++) {
        const damage_case *c = &s.list.cases[i];
        if (c->first == 4 && c->last == 4 && !c->starboard && c->penetration == 4)
            w1 += c->weight;
        if (c->first == 4 && c->last == 5 && !c->starboard && c->penetration == 4)
            pair += c->weight;
        if (c->first == 4 && c->last == 5 && !c->starboard && c->penetration == 10)
            inner += c->weight;
        if (c->first == 4 && c->last == 5 && c->starboard)
            starboard += c->weight;
    }
    /* Those that reach on to where there is nothing open the same, and are one with these. */
    ck_assert_double_ge(w1, .044110 * .680042 - 6e-7);
    ck_assert_double_ge(pair, .025317560 - 5e-10);
    ck_assert(inner > 0 && starboard == 0); /* to starboard all of it opens `in` alone */
    add_up(&s, 0);
    study_free(&s);
}
END_TEST

/* One zone, so p = 1: v of a deck 3.9 m above the water is 0.4; a double bottom may be spared. */
START_TEST(test_decks)
{
    study s = study_of("<ship length=\"100\" beam=\"20\" depth=\"14\" draft=\"5\"/>" BOX(
        "db", "yes", "0 100", "-10 10", "0 1.5") BOX("hold", "yes", "0 100", "-10 10", "1.5 8.9")
                           BOX("tween", "yes", "0 100", "-10 10", "8.9 14"));
    ck_assert_double_eq_tol(weight_of(&s, false, "db,hold", 2), .4, 1e-12);
    ck_assert_double_eq_tol(weight_of(&s, false, "db,hold,tween", 2), .6, 1e-12);
    for (size_t i = 0; i < s.list.count; i++) {
        space_set spared = damage_cases_set(s.cases, s.list.cases[i].extents[1]);
        ck_assert_int_eq(spared.spaces[0], 1); /* all but the double bottom */
        ck_assert_double_eq(s.list.cases[i].penetration, 10);
    }
    study_free(&s);
}
END_TEST

/* What lies behind the centre line is not met, nor what keeps off the shell by half the breadth. */
START_TEST(test_far_side)
{
    study s = study_of(HUNDRED BOX("p", "yes", "0 100", "0 10", "0 10")
                           BOX("s", "yes", "0 100", "-10 0", "0 10"));
    ck_assert_double_eq_tol(weight_of(&s, false, "p", 1), 1, 1e-12);
    ck_assert_double_eq_tol(weight_of(&s, true, "s", 1), 1, 1e-12);
    study_free(&s);
}
END_TEST

/* A hull that narrows from 10 to 2 m of half-breadth over a zone of its own: the mean distance of a
 * plane at 1 m would be 5 m, but it is at most twice the least, 2 x 1 m (regulation 7-1, 1.2). */
START_TEST(test_distance)
{
    study s = study_of(
        HUNDRED
        "<hull><section x=\"0\"><offset z=\"0\" y=\"10\"/><offset z=\"10\" y=\"10\"/>"
        "</section><section x=\"60\"><offset z=\"0\" y=\"10\"/><offset z=\"10\" "
        "y=\"10\"/></section><section x=\"100\"><offset z=\"0\" y=\"2\"/>"
        "<offset z=\"10\" y=\"2\"/></section></hull>" BOX("a", "yes", "0 60", "-10 10", "0 10")
            BOX("w", "yes", "60 100", "1 10", "0 10") BOX("m", "no", "60 100", "-1 1", "0 10"));
    bool found = false;
    for (size_t i = 0; i < s.list.count; i++)
        found = found || (s.list.cases[i].first == 1 && s.list.cases[i].last == 1 &&
                          fabs(s.list.cases[i].penetration - 2) < 1e-9);
    ck_assert(found);
    add_up(&s, 0);
    study_free(&s);
}
END_TEST

/* --- random arrangements --- */

/* A space that reaches into a zone by less than the lining of a frame is not of it; one that is shorter
 * than that itself is of the zone that has most of it. */
START_TEST(test_thin)
{
    study s = study_of(
        HUNDRED BOX("aft", "yes", "0 49.9", "-10 10", "0 10")
            BOX("thin", "no", "49.9 50.02", "-10 10", "0 10")
                BOX("fore", "yes", "50.02 100", "-10 10", "0 10") "<zone from=\"0\" to=\"50\"/>"
                                                                  "<zone from=\"50\" to=\"100\"/>");
    for (int side = 0; side < 2; side++) {
        ck_assert_double_gt(weight_of(&s, side, "aft,thin", 0), 0.1);
        ck_assert_double_gt(weight_of(&s, side, "fore", 0), 0.1);
        ck_assert_double_eq(weight_of(&s, side, "aft", 0), 0);
        ck_assert_double_eq(weight_of(&s, side, "thin,fore", 0), 0);
    }
    add_up(&s, 0);
    study_free(&s);
}
END_TEST

/* A hull that falls in above 5 m from 10 to 6 m: a space that lies at the shell with its top alone is at
 * the shell, as one that does with its bottom; one that does so nowhere is met when damage is deep enough. */
START_TEST(test_tumblehome)
{
#define SECTION(x)                                                                                 \
    "<section x=\"" x "\"><offset z=\"0\" y=\"10\"/><offset z=\"5\" y=\"10\"/><offset z=\"10\" "   \
    "y=\"6\"/></section>"
    static const struct {
        const char *y;
        bool inside;
    } spaces[] = {{"-6 6", false}, {"-5 5", true}};
    for (int i = 0; i < 2; i++) {
        char parts[2000];
        snprintf(parts, sizeof parts,
                 HUNDRED "<hull>" SECTION("0")
                     SECTION("100") "</hull>" BOX("low", "yes", "0 100", "-10 10", "0 4")
                         BOX("high", "no", "0 100", "%s", "4 10"),
                 spaces[i].y);
        study s = study_of(parts);
        double alone = weight_of(&s, false, "low", 0);
        CLAIM((alone > 1e-9) == spaces[i].inside, "%s: %g", spaces[i].y, alone);
        add_up(&s, 0);
        study_free(&s);
    }
}
END_TEST

static double pick(dice *d, double least, double greatest)
{
    return least + (greatest - least) * dice_below(d, 1001) / 1000;
}

static void put_box(FILE *out, int number, double turned, const double x[2], const double y[2],
                    const double z[2])
{
    double y0 = turned > 0 ? y[0] : -y[1], y1 = turned > 0 ? y[1] : -y[0];
    fprintf(
        out,
        "<space id=\"s%d\" name=\"S\" shell=\"yes\"><box x=\"%.3f %.3f\" y=\"%.3f %.3f\" z=\"%.3f "
        "%.3f\"/></space>",
        number, x[0], x[1], y0, y1, z[0], z[1]);
}

/* Holds from aft, each with wings or without to either side and decks at heights of its own; on a
 * box or on a hull that narrows to both ends; zones as they come, or given. turned -1: the same
 * ship with her sides exchanged. */
static char *random_side(uint64_t number, double turned)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    dice d = {number};
    double length = pick(&d, 40, 320), beam = pick(&d, 8, 30), depth = pick(&d, 6, 16);
    double draught = depth * pick(&d, 0.3, 0.8), x[2] = {0, 0};
    int holds = 1 + dice_below(&d, 12), count = 0;
    fprintf(out, "<ship length=\"%.3f\" beam=\"%.3f\" depth=\"%.3f\" draft=\"%.3f\"/>", length,
            beam, depth, draught);
    bool hull = dice_below(&d, 2);
    double widest = hull ? 0.5 : 1; /* of what wings leave: they must lie within the hull */
    if (hull)
        fprintf(out,
                "<hull><section x=\"0\"><offset z=\"0\" y=\"%.3f\"/><offset z=\"%.3f\" "
                "y=\"%.3f\"/></section><section x=\"%.3f\"><offset z=\"0\" y=\"%.3f\"/><offset "
                "z=\"%.3f\" y=\"%.3f\"/></section><section x=\"%.3f\"><offset z=\"0\" "
                "y=\"%.3f\"/><offset z=\"%.3f\" y=\"%.3f\"/></section></hull>",
                0.3 * beam, depth, 0.4 * beam, length / 2, 0.35 * beam, depth, beam / 2, length,
                0.27 * beam, depth, 0.3 * beam);
    if (dice_below(&d, 3) == 0)
        fprintf(out, "<zone from=\"%.3f\" to=\"%.3f\"/><zone from=\"0\" to=\"%.3f\"/>",
                length * 0.37, length, length * 0.37);
    for (int i = 0; i < holds; i++) {
        double port = beam / 2 * pick(&d, 0.1, widest);
        double starboard = -beam / 2 * pick(&d, 0.1, widest), z = 0;
        x[0] = x[1];
        x[1] = i + 1 == holds ? length : x[0] + (length - x[0]) * pick(&d, 0.02, 0.4);
        do {
            double to = fmin(depth, z + pick(&d, 1, depth));
            put_box(out, count++, turned, x, (double[]){starboard, port}, (double[]){z, to});
            if (port < beam / 2 - 0.2)
                put_box(out, count++, turned, x, (double[]){port, beam / 2}, (double[]){z, to});
            if (starboard > 0.2 - beam / 2)
                put_box(out, count++, turned, x, (double[]){-beam / 2, starboard},
                        (double[]){z, to});
            z = to;
        } while (z < depth - 0.5);
    }
    fclose(out);
    return text;
}

static study random_study(uint64_t number, double turned)
{
    char *text = random_side(number, turned);
    study s = study_of(text);
    free(text);
    return s;
}

START_TEST(test_weights_add_up)
{
    uint64_t number = 5000 + (uint64_t)_i;
    study s = random_study(number, 1);
    add_up(&s, number);
    study_free(&s);
}
END_TEST

/* Any shapes: prisms, deckhouses, spaces inside of others. */
START_TEST(test_any_arrangement_adds_up)
{
    uint64_t number = 9000 + (uint64_t)_i;
    char *text = random_arrangement(number, 12, 6);
    coaming_ship *ship = NULL;
    study s = {0};
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    s.ship = ship;
    ck_assert_int_eq(damage_cases_new(ship, ship->draught, &s.cases, NULL), COAMING_OK);
    ck_assert_int_eq(damage_cases_list(s.cases, ship->draught, &s.list, NULL), COAMING_OK);
    add_up(&s, number);
    study_free(&s);
    free(text);
}
END_TEST

static bool same_sets(const study *a, const damage_case *x, const study *b, const damage_case *y)
{
    bool same = x->extent_count == y->extent_count;
    for (size_t e = 0; same && e < x->extent_count; e++) {
        space_set p = damage_cases_set(a->cases, x->extents[e]);
        space_set q = damage_cases_set(b->cases, y->extents[e]);
        same = p.count == q.count && !memcmp(p.spaces, q.spaces, p.count * sizeof *p.spaces);
    }
    return same;
}

/* Sides exchanged, cases exchanged: to the last bit. */
START_TEST(test_mirrored)
{
    study a = random_study(5000 + (uint64_t)_i, 1), b = random_study(5000 + (uint64_t)_i, -1);
    size_t port = 0;
    ck_assert_uint_eq(a.list.count, b.list.count);
    for (size_t i = 0; i < b.list.count; i++)
        port += !b.list.cases[i].starboard;
    for (size_t i = 0; i < a.list.count; i++) {
        const damage_case *x = &a.list.cases[i];
        const damage_case *y =
            &b.list.cases[i < a.list.count - port ? i + port : i + port - a.list.count];
        CLAIM(x->starboard != y->starboard && x->first == y->first && x->last == y->last &&
                  x->penetration == y->penetration && x->weight == y->weight &&
                  !(x->height < y->height) && !(x->height > y->height) && same_sets(&a, x, &b, y),
              "ship %d, case %zu", _i, i);
    }
    study_free(&a);
    study_free(&b);
}
END_TEST

/* --- zones of the arrangement --- */

static void refused(const char *zones, const char *why)
{
    char parts[500];
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    snprintf(parts, sizeof parts,
             "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\">" HUNDRED
             "%s" BOX("a", "yes", "0 60", "-10 10", "0 10") "</arrangement>",
             zones);
    ck_assert_int_eq(ship_from_text(parts, NULL, faults, &ship, NULL), COAMING_INPUT);
    ck_assert_uint_eq(coaming_faults_error_count(faults), 1);
    ck_assert_str_eq(coaming_faults_get(faults, 0)->message, why);
    coaming_faults_free(faults);
    coaming_ship_free(ship);
}

START_TEST(test_zones_that_are_none)
{
    refused("<zone from=\"0\" to=\"50\"/><zone from=\"49\" to=\"100\"/>",
            "overlaps the zone aft of it, from 49 to 50");
    refused("<zone from=\"50.5\" to=\"100\"/><zone from=\"0\" to=\"50\"/>",
            "no zone is from 50 to 50.5");
    refused("<zone from=\"2\" to=\"100\"/>", "no zone is from the after end of the hull, 0, to 2");
    refused("<zone from=\"0\" to=\"98\"/>",
            "no zone is from 98 to the forward end of the hull, 100");
    refused("<zone from=\"100\" to=\"0\"/>", "from must be aft of to");
    refused("<zone from=\"-5\" to=\"100\"/>", "begins at -5, aft of the hull, which begins at 0");
    refused("<zone from=\"0\" to=\"100\"/><zone from=\"100\" to=\"110\"/>",
            "ends at 110, forward of the hull, which ends at 100");
    refused("<zone from=\"0\" to=\"50\"/><zone from=\"50\" to=\"50.15\"/>"
            "<zone from=\"50.15\" to=\"100\"/>",
            "from 50 to 50.15 is no zone: within 0.15 it is one bulkhead");
}
END_TEST

int main(void)
{
    Suite *s = suite_create("cases");
    TCase *t = tcase_create("cases"), *many = tcase_create("random ships");
    tcase_add_test(t, test_five_holds);
    tcase_add_test(t, test_wings);
    tcase_add_test(t, test_decks);
    tcase_add_test(t, test_far_side);
    tcase_add_test(t, test_distance);
    tcase_add_test(t, test_thin);
    tcase_add_test(t, test_tumblehome);
    tcase_add_test(t, test_zones_that_are_none);
    tcase_add_loop_test(many, test_weights_add_up, 0, 200);
    tcase_add_loop_test(many, test_any_arrangement_adds_up, 0, 50);
    tcase_add_loop_test(many, test_mirrored, 0, 60);
    suite_add_tcase(s, t);
    suite_add_tcase(s, many);
    return run_suite(s);
}
