/*
 * What of a body is below a plane: bodies and groups that the plane does not meet are counted by
 * their sums, so all is worked out again here the plain way, triangle by triangle of every face.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "body_plain.h"
#include "runner.h"
#include "ship/hull.h"
#include "ships.h"

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/* A plane of any slope near the body, every third as ships lie: some meet it and some do not. */
static plane random_plane(dice *d, const body *b)
{
    const body_group *g = &b->all;
    double size = g->half[0] + g->half[1] + g->half[2], heel, trim;
    heel = (dice_below(d, 20001) - 10000) / 10000.0 * 3.14159;
    trim = (dice_below(d, 20001) - 10000) / 10000.0 * 1.57;
    if (dice_below(d, 3) == 0)
        trim /= 50;
    plane level = plane_make(heel, trim, 0, g->middle);
    double reach = dice_below(d, 2) ? size : 0.3 * size;
    double at = dot(level.n, g->middle) + (dice_below(d, 200001) - 100000) / 100000.0 * reach;
    return plane_make(heel, trim, at, g->middle);
}

/* To 1e-12 of what a box round the body comes to: a sliver of it is as exact as that, no more. */
static void check_same(const body *b, const submerged *w, const plain *t, double share)
{
    static const char *const names[] = {"volume", "x",  "y",   "z",   "area",
                                        "au",     "av", "auu", "avv", "auv"};
    const double found[SUMS] = {w->volume, w->moment[0], w->moment[1], w->moment[2], w->area,
                                w->au,     w->av,        w->auu,       w->avv,       w->auv};
    const double *half = b->all.half, size = 2 * sqrt(dot(half, half));
    double volume = 8 * half[0] * half[1] * half[2], area = size * size;
    double far = sqrt(dot(b->all.middle, b->all.middle)) + size;
    const double whole[SUMS] = {volume,      volume * far, volume * far, volume * far, area,
                                area * size, area * size,  area * area,  area * area,  area * area};
    for (int k = 0; k < SUMS; k++)
        CLAIM(fabs(found[k] - share * t->sum[k]) <= 1e-12 * (t->size[k] + whole[k]),
              "%s: %.17g for %.17g", names[k], found[k], share * t->sum[k]);
}

/* How often a plane met none, some and all of the groups. */
typedef struct {
    long none, some, all;
} tally;

static void count_met(const body *b, const plane *p, tally *n)
{
    size_t met = 0;
    for (size_t i = 0; i < b->group_count; i++) {
        const body_group *g = &b->groups[i];
        double most = 0;
        for (int k = 0; k < 3; k++)
            most += fabs(p->n[k]) * g->half[k];
        met += fabs(dot(p->n, g->middle) - p->d) < most;
    }
    n->none += met == 0;
    n->some += met > 0 && met < b->group_count;
    n->all += met == b->group_count;
}

static void try_planes(const body *b, int planes, dice *d, tally *n)
{
    if (!b->faces)
        return;
    double *scratch = calloc(7 * (b->largest + 8), sizeof *scratch);
    for (int i = 0; i < planes; i++) {
        plane p = random_plane(d, b);
        double share = i % 2 ? 1 : -0.85;
        submerged w = {0};
        body_add(b, &p, share, scratch, &w);
        plain t = plain_below(b, &p);
        check_same(b, &w, &t, share);
        count_met(b, &p, n);
    }
    free(scratch);
}

START_TEST(sums_of_bodies_and_groups_are_those_of_their_faces)
{
    static const char *const places[] = {"examples/fathom-lark.xml", "examples/barge.xml",
                                         "tests/data/container-hull.xml"};
    dice d = {(uint64_t)_i + 71};
    tally n = {0, 0, 0};
    coaming_ship *ship = ship_from_tree(places[_i]);
    try_planes(&ship->hull->body, 300, &d, &n);
    for (size_t s = 0; s < ship->space_count; s++) {
        try_planes(ship->spaces[s].inside, 50, &d, &n);
        try_planes(ship->spaces[s].above, 50, &d, &n);
    }
    ck_assert_int_gt(n.none, 20);
    ck_assert_int_gt(n.some + n.all, 100);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(nothing_weighs_nothing)
{
    arena memory = {NULL};
    body_maker m = {0};
    body b;
    double scratch[6 * 8];
    ck_assert(maker_finish(&m, &b, &memory));
    plane p = plane_make(0.1, 0.02, 3, (double[3]){1, 2, 3});
    submerged w = {0};
    body_add(&b, &p, 1, scratch, &w);
    ck_assert_double_eq(w.volume, 0);
    ck_assert_double_eq(w.area, 0);
    ck_assert_double_eq(body_volume(&b), 0);
    arena_free(&memory);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("body");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, sums_of_bodies_and_groups_are_those_of_their_faces, 0, 3);
    tcase_add_test(all, nothing_weighs_nothing);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
