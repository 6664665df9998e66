/* Volumes, permeabilities, overlaps and the warnings that follow from them. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runner.h"
#include "ship/crossing.h"
#include "ship/geometry.h"
#include "ship/inside.h"
#include "ships.h"

static coaming_ship *load(const char *parts)
{
    char *text = arrangement_with(parts);
    coaming_ship *s = NULL;
    coaming_error error;
    coaming_status status = ship_from_text(text, NULL, NULL, &s, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    free(text);
    return s;
}

START_TEST(volume_of_a_box_is_length_breadth_height_and_permeability)
{
    coaming_ship *s = load("<space id=\"a\" name=\"A\" permeability=\"1\">"
                           "<box x=\"12 24\" y=\"-5.5 5.5\" z=\"1 4\"/></space>");
    ck_assert_double_eq(coaming_space_volume(s, 0), 12.0 * 11.0 * 3.0);
    ck_assert_double_eq(space_volume_below(&s->spaces[0], 3), 12.0 * 11.0 * 2.0);
    ck_assert_double_eq(space_volume_below(&s->spaces[0], 1), 0);
    ck_assert_double_eq(space_volume_below(&s->spaces[0], 0), 0);
    ck_assert_double_eq(space_volume_below(&s->spaces[0], 99), 12.0 * 11.0 * 3.0);
    coaming_ship_free(s);
}
END_TEST

/* SOLAS, consolidated edition 2020, regulation II-1/7-3.1, table: appropriated to stores 0.60,
 * occupied by accommodation 0.95, occupied by machinery 0.85, void spaces 0.95, intended for
 * liquids 0 or 0.95. Figures from memory of the regulation; the table is an image in the copies at
 * hand. */
START_TEST(permeabilities_by_use_are_those_of_SOLAS)
{
    static const struct {
        const char *use;
        double permeability;
    } table[] = {{"stores", 0.60},
                 {"accommodation", 0.95},
                 {"machinery", 0.85},
                 {"void", 0.95},
                 {"tank", 0.95}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char parts[200];
        snprintf(
            parts, sizeof parts,
            "<space id=\"a\" name=\"A\" use=\"%s\"><box x=\"0 10\" y=\"-5 5\" z=\"0 1\"/></space>",
            table[i].use);
        coaming_ship *s = load(parts);
        /* 100 m3: exact but for the product's last bit */
        ck_assert_double_eq_tol(coaming_space_volume(s, 0), 100 * table[i].permeability, 1e-12);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(an_outline_may_run_either_way_round)
{
    /* right triangle of legs 3 and 4: area 6; L of three unit squares: 3 */
    coaming_ship *s = load("<space id=\"a\" name=\"A\" permeability=\"1\">"
                           "<prism z=\"0 2\" outline=\"0,0 3,0 0,4\"/></space>"
                           "<space id=\"b\" name=\"B\" permeability=\"1\">"
                           "<prism z=\"0 2\" outline=\"10,4 13,0 10,0\"/></space>"
                           "<space id=\"c\" name=\"C\" permeability=\"1\">"
                           "<prism z=\"0 1\" outline=\"20,0 22,0 22,1 21,1 21,2 20,2\"/></space>");
    ck_assert_double_eq(coaming_space_volume(s, 0), 12);
    ck_assert_double_eq(coaming_space_volume(s, 1), 12);
    ck_assert_double_eq(coaming_space_volume(s, 2), 3);
    coaming_ship_free(s);
}
END_TEST

START_TEST(frames_and_feet_come_to_metres)
{
    static const char text[] =
        "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"Feet\" units=\"ft\">"
        "<ship length=\"100\" beam=\"20\" depth=\"10\" draft=\"5\"/><frames spacing=\"2\" "
        "zero=\"1\"/>"
        "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"fr10 fr20+0.5\" y=\"0 1\" z=\"0 "
        "1\"/>"
        "</space></arrangement>";
    coaming_ship *s = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &s, NULL), COAMING_OK);
    /* 0.3048 m: international foot, Federal Register 24(128), 1 July 1959, p. 5348 */
    ck_assert_double_eq_tol(s->spaces[0].solids[0].x0, 21 * 0.3048, 1e-12);
    ck_assert_double_eq_tol(s->spaces[0].solids[0].x1, 41.5 * 0.3048, 1e-12);
    ck_assert_double_eq(s->draught, 5 * 0.3048);
    coaming_ship_free(s);
}
END_TEST

START_TEST(overlap_of_boxes_is_that_of_their_outlines)
{
    dice d = {7};
    for (int i = 0; i < 2000; i++) {
        double a[8], b[8], common = 1;
        for (int axis = 0; axis < 2; axis++) {
            double a0 = dice_below(&d, 10), a1 = a0 + 1 + dice_below(&d, 5);
            double b0 = dice_below(&d, 10), b1 = b0 + 1 + dice_below(&d, 5);
            const int low[] = {0, 3}, high[] = {1, 2}; /* corners on either side, for axis x */
            for (int k = 0; k < 2; k++) {
                int l = axis ? k : low[k], h = axis ? 2 + k : high[k];
                a[2 * l + axis] = a0, a[2 * h + axis] = a1;
                b[2 * l + axis] = b0, b[2 * h + axis] = b1;
            }
            common *= fmax(0, fmin(a1, b1) - fmax(a0, b0));
        }
        ck_assert_double_eq_tol(outline_overlap(a, 4, b, 4), common, 1e-12);
    }
}
END_TEST

/* An L is two boxes: its overlap with any triangle is the sum of theirs. */
START_TEST(overlap_adds_up_over_parts_of_a_hollow_outline)
{
    static const double l[] = {0, 0, 4, 0, 4, 1, 1, 1, 1, 4, 0, 4};
    static const double one[] = {0, 0, 4, 0, 4, 1, 0, 1}, two[] = {0, 1, 1, 1, 1, 4, 0, 4};
    dice d = {99};
    for (int i = 0; i < 2000; i++) {
        double t[6];
        for (int k = 0; k < 6; k++)
            t[k] = dice_below(&d, 600) / 100.0 - 1;
        double whole = outline_overlap(l, 6, t, 3);
        double parts = outline_overlap(one, 4, t, 3) + outline_overlap(two, 4, t, 3);
        ck_assert_double_eq_tol(whole, parts, 1e-9);
        ck_assert_double_eq_tol(whole, outline_overlap(t, 3, l, 6), 1e-9);
        ck_assert_double_le(whole, fabs(outline_area(t, 3)) + 1e-9);
    }
}
END_TEST

START_TEST(outlines_that_cross_or_touch_themselves_are_not_simple)
{
    static const double square[] = {0, 0, 1, 0, 1, 1, 0, 1}, bow[] = {0, 0, 1, 1, 1, 0, 0, 1};
    static const double twice[] = {0, 0, 0, 0, 1, 0, 1, 1}, back[] = {0, 0, 2, 0, 1, 0, 1, 1};
    static const double pinched[] = {0, 0, 2, 0, 1, 1, 2, 2, 0, 2, 1, 1};
    ck_assert(outline_simple(square, 4));
    ck_assert(!outline_simple(bow, 4));
    ck_assert(!outline_simple(twice, 4));
    ck_assert(!outline_simple(back, 4));
    ck_assert(!outline_simple(pinched, 6));
}
END_TEST

static size_t warnings_with(const char *parts, const char *words)
{
    char *text = arrangement_with(parts);
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *s = NULL;
    size_t found = 0;
    ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_OK);
    for (size_t i = 0; i < coaming_faults_count(faults); i++)
        found += strstr(coaming_faults_get(faults, i)->message, words) != NULL;
    coaming_faults_free(faults);
    coaming_ship_free(s);
    free(text);
    return found;
}

#define BOX(id, more, x, y, z)                                                                     \
    "<space id=\"" id "\" name=\"n\"" more "><box x=\"" x "\" y=\"" y "\" z=\"" z "\"/></space>"
#define DOOR(between, x, y, z)                                                                     \
    "<closure id=\"D\" kind=\"door\" rating=\"watertight\" between=\"" between "\"><clear x=\"" x  \
    "\" y=\"" y "\" z=\"" z "\" width=\"0.7\" height=\"1.7\" lies=\"transverse\"/></closure>"

START_TEST(geometry_that_disagrees_is_a_warning)
{
    const char *apart = BOX("a", "", "0 5", "0 5", "0 3") BOX("b", "", "5 9", "0 5", "0 3");
    ck_assert_uint_eq(warnings_with(apart, "overlaps"), 0);
    ck_assert_uint_eq(warnings_with(BOX("a", "", "0 5", "0 5", "0 3")
                                        BOX("b", "", "4 9", "0 5", "0 3"),
                                    "overlaps space a by 15.00 m3"),
                      1);
    char parts[1000];
    snprintf(parts, sizeof parts, "%s%s", apart, DOOR("a b", "5", "2", "0.3"));
    ck_assert_uint_eq(warnings_with(parts, "away from"), 0);
    snprintf(parts, sizeof parts, "%s%s", apart, DOOR("a b", "7", "2", "0.3"));
    ck_assert_uint_eq(warnings_with(parts, "2.00 m away from space a"), 1);
    snprintf(parts, sizeof parts, "%s%s", apart, DOOR("a sea", "0", "2", "3.0"));
    ck_assert_uint_eq(warnings_with(parts, "not below the waterline"), 1);
    snprintf(parts, sizeof parts, "%s%s", apart, DOOR("a weather", "0", "2", "2.9"));
    ck_assert_uint_eq(warnings_with(parts, "is the sea meant?"), 1);
}
END_TEST

/* Up to 12 spaces of boxes and triangles well inside a large hull: flat, in a row, or anywhere, so that
 * each axis is at some time the one along which fewest share a place; ends often fall together. */
static coaming_ship *scattered(uint64_t number, coaming_faults *faults)
{
    dice d = {number * 2654435761u + 11};
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    ck_assert_ptr_nonnull(out);
    fputs("<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"S\">"
          "<ship length=\"60\" beam=\"40\" depth=\"30\" draft=\"3\"/>",
          out);
    int thin = (int)(number % 4);
    for (int s = 0; s < 12; s++) {
        int from[3], to[3];
        for (int axis = 0; axis < 3; axis++) {
            from[axis] = dice_below(&d, 6);
            to[axis] = from[axis] + 1 + (axis == thin ? 0 : dice_below(&d, 6));
        }
        fprintf(out, "<space id=\"s%d\" name=\"S\">", s);
        if (dice_below(&d, 3))
            fprintf(out, "<box x=\"%d %d\" y=\"%d %d\" z=\"%d %d\"/></space>\n", from[0] + 20,
                    to[0] + 20, from[1], to[1], from[2], to[2]);
        else
            fprintf(out, "<prism z=\"%d %d\" outline=\"%d,%d %d,%d %d,%d\"/></space>\n", from[2],
                    to[2], from[0] + 20, from[1], to[0] + 20, from[1], from[0] + 20, to[1]);
    }
    fputs("</arrangement>", out);
    fclose(out);
    coaming_ship *ship = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, faults, &ship, NULL), COAMING_OK);
    free(text);
    return ship;
}

static size_t told_overlaps(const coaming_faults *faults, const char *words, const char *object)
{
    size_t count = 0;
    for (size_t i = 0; i < coaming_faults_count(faults); i++) {
        const coaming_fault *f = coaming_faults_get(faults, i);
        count += strstr(f->message, words) && (!object || !strcmp(f->object, object));
    }
    return count;
}

/* Each pair is compared, wherever it lies. */
START_TEST(overlaps_told_are_those_of_all_pairs)
{
    size_t all = 0, apart = 0;
    for (uint64_t number = 0; number < 200; number++) {
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *ship = scattered(number, faults);
        size_t overlapping = 0;
        for (int b = 0; b < 12; b++)
            for (int a = 0; a < b; a++) {
                double volume = solid_overlap(ship->spaces[a].solids, ship->spaces[b].solids);
                char words[60], object[20];
                snprintf(words, sizeof words, "overlaps space s%d by %.2f m3", a, volume);
                snprintf(object, sizeof object, "space s%d", b);
                bool told = volume >= 0.01;
                ck_assert_uint_eq(told_overlaps(faults, words, object), told);
                overlapping += told;
                apart += !told;
            }
        ck_assert_uint_eq(told_overlaps(faults, "overlaps space", NULL), overlapping);
        all += overlapping;
        coaming_ship_free(ship);
        coaming_faults_free(faults);
    }
    ck_assert_uint_gt(all, 1000);
    ck_assert_uint_gt(apart, 1000);
}
END_TEST

START_TEST(a_compartment_number_that_contradicts_the_geometry_is_a_warning)
{
    const char *spacing = "<frames spacing=\"0.6\"/>";
    char parts[600];
    static const struct {
        const char *number, *y;
        size_t sides;
    } table[] = {{"2-20-0-E", "-1 1", 0}, {"2-20-1-E", "-3 -1", 0}, {"2-20-2-E", "1 3", 0},
                 {"2-20-0-E", "1 3", 1},  {"2-20-1-E", "1 3", 1},   {"2-20-4-E", "-3 -1", 1},
                 {"store 4", "1 3", 0}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        snprintf(parts, sizeof parts,
                 "%s<space id=\"a\" name=\"A\" number=\"%s\"><box x=\"12 18\" y=\"%s\" z=\"0 "
                 "2\"/></space>",
                 spacing, table[i].number, table[i].y);
        ck_assert_uint_eq(warnings_with(parts, "says"), table[i].sides);
    }
    snprintf(
        parts, sizeof parts,
        "%s<space id=\"a\" name=\"A\" number=\"2-50-0-E\"><box x=\"12 18\" y=\"-1 1\" z=\"0 2\"/>"
        "</space>",
        spacing);
    ck_assert_uint_eq(warnings_with(parts, "says frame 50"), 1);
}
END_TEST

/* Four rooms of 10 x 5 m about a cross of bulkheads at x 10, y 0, and a house above one of them. The
 * opening joins a and b, which lie one abaft the other to starboard. */
static size_t crossings_of(const char *between, const char *clear)
{
    char parts[1500];
    snprintf(parts, sizeof parts,
             "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-5 0\" z=\"0 3\"/></space>"
             "<space id=\"b\" name=\"B\"><box x=\"10 20\" y=\"-5 0\" z=\"0 3\"/></space>"
             "<space id=\"c\" name=\"C\"><box x=\"0 10\" y=\"0 5\" z=\"0 3\"/></space>"
             "<space id=\"d\" name=\"D\"><box x=\"10 20\" y=\"0 5\" z=\"0 3\"/></space>"
             "<space id=\"h\" name=\"H\"><box x=\"0 8\" y=\"-5 5\" z=\"3 6\"/></space>"
             "<passage id=\"P\" kind=\"arch\" between=\"%s\"><clear %s/></passage>",
             between, clear);
    return warnings_with(parts, "crosses the boundary of space");
}

START_TEST(an_opening_across_a_bulkhead_not_its_own_is_a_warning)
{
    static const struct {
        const char *between, *clear;
        size_t warnings;
    } table[] = {
        /* a door well clear of the longitudinal bulkhead, up against it, and across it */
        {"a b", "x=\"10\" y=\"-2\" z=\"0.5\" width=\"0.8\" height=\"1.8\" lies=\"transverse\"", 0},
        {"a b", "x=\"10\" y=\"-0.4\" z=\"0.5\" width=\"0.8\" height=\"1.8\" lies=\"transverse\"",
         0},
        {"a b", "x=\"10\" y=\"-0.31\" z=\"0.5\" width=\"0.8\" height=\"1.8\" lies=\"transverse\"",
         0},
        {"a b", "x=\"10\" y=\"-0.29\" z=\"0.5\" width=\"0.8\" height=\"1.8\" lies=\"transverse\"",
         1},
        {"a b", "x=\"10\" y=\"0\" z=\"0.5\" width=\"0.8\" height=\"1.8\" lies=\"transverse\"", 1},
        /* in the bulkhead of two others, near enough to be no place far off */
        {"a b", "x=\"10\" y=\"0.2\" z=\"0.5\" width=\"0.2\" height=\"0.2\" lies=\"transverse\"", 1},
        /* too high for its deck, where there is a house on one side, and where there is none */
        {"a c", "x=\"5\" y=\"0\" z=\"2\" width=\"0.8\" height=\"1.8\" lies=\"longitudinal\"", 1},
        {"a c", "x=\"9\" y=\"0\" z=\"2\" width=\"0.8\" height=\"1.8\" lies=\"longitudinal\"", 0},
        /* a window across the bulkhead a-b, and abaft it */
        {"a weather",
         "x=\"10\" y=\"-5\" z=\"2\" width=\"0.6\" height=\"0.6\" lies=\"longitudinal\"", 1},
        {"a weather",
         "x=\"9.6\" y=\"-5\" z=\"2\" width=\"0.6\" height=\"0.6\" lies=\"longitudinal\"", 0},
        /* hatches with coamings: under the house, up from it, half under it, clear of it */
        {"a weather", "x=\"4\" y=\"-2\" z=\"3.5\" width=\"1\" height=\"1\" lies=\"deck\"", 1},
        {"a h", "x=\"4\" y=\"-2\" z=\"3.5\" width=\"1\" height=\"1\" lies=\"deck\"", 0},
        {"a h", "x=\"4\" y=\"-0.2\" z=\"3.5\" width=\"1\" height=\"1\" lies=\"deck\"", 1},
        {"a weather", "x=\"8.2\" y=\"-2\" z=\"3.5\" width=\"1\" height=\"1\" lies=\"deck\"", 1},
        {"a weather", "x=\"9\" y=\"-2\" z=\"3.5\" width=\"1\" height=\"1\" lies=\"deck\"", 0},
        /* a pipe just beside a bulkhead, and one through it */
        {"b sea", "x=\"10.06\" y=\"-5\" z=\"1\" width=\"0.1\" height=\"0.1\" lies=\"longitudinal\"",
         0},
        {"b sea", "x=\"10\" y=\"-5\" z=\"1\" width=\"0.1\" height=\"0.1\" lies=\"longitudinal\"",
         1},
        {"b sea", "x=\"10\" y=\"-5\" z=\"1\" width=\"0\" height=\"0\" lies=\"longitudinal\"", 0}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        ck_assert_msg(crossings_of(table[i].between, table[i].clear) == table[i].warnings, "%s %s",
                      table[i].between, table[i].clear);
}
END_TEST

/* Is any point of the opening, its edges left out, within a third space? Points of a lattice on
 * either side of it. */
static int third_at_points(const coaming_ship *s, const ship_link *l)
{
    const opening *o = &l->clear;
    double w = o->width / 2 - fmin(0.1, o->width / 4), h = o->height / 2 - fmin(0.1, o->height / 4);
    int least = -1;
    for (int i = 0; i < 41 * 41 * 2; i++) {
        double u = (i % 41 / 20.0 - 1) * (w - 1e-6), v = (i / 41 % 41 / 20.0 - 1) * (h - 1e-6);
        double off = i / (41 * 41) ? 0.02 : -0.02;
        double x = o->x + (o->lies == TRANSVERSE ? off : u), z = o->z + o->height / 2 + v;
        double y = o->y + (o->lies == TRANSVERSE ? u : off);
        for (int k = 0; k < (int)s->space_count; k++) {
            const solid *b = s->spaces[k].solids;
            if (k != l->a && k != l->b && x > b->x0 && x < b->x1 && y > b->y0 && y < b->y1 &&
                z > b->z0 && z < b->z1 && (least < 0 || k < least))
                least = k;
        }
    }
    return least;
}

/* Bulkheads at multiples of a quarter, so that nothing falls between the points. */
START_TEST(crossings_of_random_ships_are_those_of_points)
{
    dice d = {4711};
    int crossed = 0, clear = 0;
    for (int i = 0; i < 120; i++) {
        char *parts = NULL;
        size_t size = 0;
        FILE *out = open_memstream(&parts, &size);
        for (int k = 0; k < 10; k++) {
            double x = dice_below(&d, 40) / 4.0, y = dice_below(&d, 40) / 4.0 - 5,
                   z = dice_below(&d, 12) / 4.0;
            fprintf(out,
                    "<space id=\"s%d\" name=\"S\"><box x=\"%g %g\" y=\"%g %g\" z=\"%g %g\"/>"
                    "</space>",
                    k, x, x + 0.5 + dice_below(&d, 16) / 4.0, y, y + 0.5 + dice_below(&d, 16) / 4.0,
                    z, z + 0.5 + dice_below(&d, 8) / 4.0);
        }
        for (int k = 0; k < 30; k++) {
            int a = dice_below(&d, 10), b = (a + 1 + dice_below(&d, 9)) % 10;
            fprintf(
                out,
                "<passage id=\"p%d\" kind=\"arch\" between=\"s%d s%d\"><clear x=\"%g\" y=\"%g\" "
                "z=\"%g\" width=\"%g\" height=\"%g\" lies=\"%s\"/></passage>",
                k, a, b, dice_below(&d, 56) / 4.0, dice_below(&d, 56) / 4.0 - 5,
                dice_below(&d, 16) / 4.0, 0.5 + dice_below(&d, 3) / 2.0,
                0.5 + dice_below(&d, 3) / 2.0, dice_below(&d, 2) ? "transverse" : "longitudinal");
        }
        fclose(out);
        coaming_ship *s = load(parts);
        crossings *c = crossings_new(s);
        for (size_t k = 0; k < s->link_count; k++) {
            int found = crossings_find(c, &s->links[k]);
            ck_assert_int_eq(found, third_at_points(s, &s->links[k]));
            crossed += found >= 0;
            clear += found < 0;
        }
        crossings_free(c);
        coaming_ship_free(s);
        free(parts);
    }
    ck_assert_int_gt(crossed, 300);
    ck_assert_int_gt(clear, 300);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("geometry");
    TCase *all = tcase_create("all");
    tcase_add_test(all, volume_of_a_box_is_length_breadth_height_and_permeability);
    tcase_add_test(all, permeabilities_by_use_are_those_of_SOLAS);
    tcase_add_test(all, an_outline_may_run_either_way_round);
    tcase_add_test(all, frames_and_feet_come_to_metres);
    tcase_add_test(all, overlap_of_boxes_is_that_of_their_outlines);
    tcase_add_test(all, overlap_adds_up_over_parts_of_a_hollow_outline);
    tcase_add_test(all, outlines_that_cross_or_touch_themselves_are_not_simple);
    tcase_add_test(all, geometry_that_disagrees_is_a_warning);
    tcase_add_test(all, overlaps_told_are_those_of_all_pairs);
    tcase_add_test(all, a_compartment_number_that_contradicts_the_geometry_is_a_warning);
    tcase_add_test(all, an_opening_across_a_bulkhead_not_its_own_is_a_warning);
    tcase_add_test(all, crossings_of_random_ships_are_those_of_points);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
