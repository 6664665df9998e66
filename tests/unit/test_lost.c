/*
 * Buoyancy that flooded spaces take, against every one of them cut by every plane.
 *
 * The oracle cuts each space of the set by body_add, which is checked against each face elsewhere.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/lost.h"
#include "runner.h"
#include "ships.h"

enum {
    ALONG = 12,
    ABREAST = 4,
    DECKS = 4,
    SPACES = ALONG * ABREAST * DECKS,
    SETS = 30,
    PLANES = 200
};

/* Boxes that fill a box, and some of them are prisms or have two parts. */
static char *many_spaces(void)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    fputs("<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship length=\"120\" "
          "beam=\"20\" depth=\"10\" draft=\"6\" kg=\"5\"/>",
          out);
    for (int i = 0; i < SPACES; i++) {
        int x = i % ALONG * 10, y = i / ALONG % ABREAST * 5 - 10, z10 = i / ALONG / ABREAST * 25;
        fprintf(out, "<space id=\"s%d\" name=\"n\" permeability=\"0.%d\">", i, 5 + i % 5);
        if (i % 3 == 0)
            fprintf(out, "<prism z=\"%g %g\" outline=\"%d,%d %d,%d %d,%d\"/>", z10 / 10.0,
                    z10 / 10.0 + 2.5, x, y, x + 10, y, x, y + 5);
        else
            fprintf(out, "<box x=\"%d %d\" y=\"%d %d\" z=\"%g %g\"/>", x, x + 10, y, y + 5,
                    z10 / 10.0, z10 / 10.0 + 2.5);
        fputs("</space>", out);
    }
    fputs("</arrangement>", out);
    fclose(out);
    return text;
}

static coaming_ship *make_ship(void)
{
    char *text = many_spaces();
    coaming_ship *ship = NULL;
    coaming_error error;
    ck_assert_msg(ship_from_text(text, NULL, NULL, &ship, &error) == COAMING_OK, "%s",
                  error.message);
    free(text);
    return ship;
}

/* Now over all positions, now about one, as a search for rest goes. */
static plane random_plane(dice *d, int number)
{
    const double middle[] = {60, 0, 6};
    double wide = number % 4 ? 0.002 : 1;
    double heel = wide * (dice_below(d, 2001) - 1000) / 1000.0;
    double trim = wide * (dice_below(d, 2001) - 1000) / 4000.0;
    double up = 6 + 4 * wide * (dice_below(d, 2001) - 1000) / 1000.0;
    plane p = plane_make(heel, trim, 0, middle);
    return plane_make(heel, trim, p.n[0] * middle[0] + p.n[2] * up, middle);
}

static void near_to(double found, double wanted, double unit)
{
    ck_assert_msg(fabs(found - wanted) <= 1e-11 * unit, "%.17g is not %.17g", found, wanted);
}

static void same_sum(const submerged *a, const submerged *b)
{
    near_to(a->volume, b->volume, 24000);
    for (int k = 0; k < 3; k++)
        near_to(a->moment[k], b->moment[k], 24000 * 60);
    near_to(a->area, b->area, 2400);
    near_to(a->auu, b->auu, 2400 * 3600);
    near_to(a->avv, b->avv, 2400 * 3600);
}

START_TEST(a_kept_sum_is_that_of_all_cut)
{
    dice d = {3};
    double scratch[600];
    const double middle[] = {60, 0, 5};
    arena memory = {0};
    lost_buoyancy lost, fresh;
    coaming_ship *ship = make_ship();
    ck_assert(lost_make(&lost, &memory, ship, middle));
    for (int set = 0; set < SETS; set++) {
        bool flooded[SPACES];
        for (int s = 0; s < SPACES; s++)
            flooded[s] = dice_below(&d, SETS) < set;
        lost_choose(&lost, flooded);
        lost_choose(&lost, NULL); /* and forgotten, in between */
        plane level = random_plane(&d, set);
        submerged nothing = {0}, none = {0};
        lost_take(&lost, &level, scratch, &nothing);
        ck_assert_mem_eq(&nothing, &none, sizeof none);
        lost_choose(&lost, flooded);
        for (int i = 0; i < PLANES; i++) {
            plane p = random_plane(&d, i);
            submerged found = {0}, again = {0}, wanted = {0};
            lost_take(&lost, &p, scratch, &found);
            for (int s = 0; s < SPACES; s++)
                if (flooded[s])
                    body_add(ship->spaces[s].inside, &p, -ship->spaces[s].permeability, scratch,
                             &wanted);
            same_sum(&found, &wanted);
            if (i % 20)
                continue;
            ck_assert(lost_make(&fresh, &memory, ship, middle)); /* to the bit, asked of nobody */
            lost_choose(&fresh, flooded);
            lost_take(&fresh, &p, scratch, &again);
            ck_assert_mem_eq(&found, &again, sizeof found);
        }
    }
    arena_free(&memory);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("lost");
    TCase *all = tcase_create("kept sums");
    tcase_add_test(all, a_kept_sum_is_that_of_all_cut);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
