/*
 * A space ends at the shell: against published values, closed forms, quadrature and properties.
 *
 * The published hull is that of tests/data/container-hull.xml: O. el Moctar, V. Shigunov, T. Zorn,
 * "Duisburg Test Case: Post-Panamax Container Ship for Benchmarking", Ship Technology Research
 * 59(3), 2012, pages 50 to 65. "On the surface" are figures of the published hull's own surface (a
 * mesh of 116,062 triangles, whose volume, wetted area and centre at model scale are those that the
 * paper prints), integrated by another program; "of the table" those of a surface that is bilinear
 * between the 27 sections and 14 heights of the file, worked out exactly by another program.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "runner.h"
#include "ship/fit.h"
#include "ship/geometry.h"
#include "ship/unfilled.h"
#include "ships.h"

static coaming_ship *published(double draught)
{
    char path[1000];
    snprintf(path, sizeof path, "%s/tests/data/container-hull.xml", getenv("COAMING_ROOT"));
    coaming_load_options options = {NULL, 0, 20782, 20782};
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *s = NULL;
    ck_assert_int_eq(coaming_ship_load(path, &options, faults, &s, NULL), COAMING_OK);
    ck_assert_uint_eq(coaming_faults_count(faults), 0);
    coaming_faults_free(faults);
    s->draught = draught;
    return s;
}

static submerged hull_below(const coaming_ship *s, double draught)
{
    const body *b = &s->hull->body;
    double *scratch = calloc(7 * (b->largest + 8), sizeof *scratch);
    plane still = plane_make(0, 0, draught, (double[3]){0, 0, draught});
    submerged w = {0};
    body_add(b, &still, 1, scratch, &w);
    free(scratch);
    return w;
}

START_TEST(hydrostatics_of_the_table)
{
    /* Four triangles round the middle of a panel enclose what the bilinear patch does, so volumes
     * below a named height agree to the last printed digit; centres differ within a panel only. */
    static const struct {
        double t, v, lcb, kb, awp, lcf, km;
    } table[] = {{10, 107380.224, 177.7335, 5.4663, 13263.800, 174.2042, 27.6294},
                 {14.5, 171512.982, 173.9829, 8.0226, 15269.74, 160.9308, 25.0043},
                 {20, 260424.324, 168.6732, 11.1872, 16774.917, 159.1493, 24.1886}};
    coaming_ship *s = published(14.5);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        submerged w = hull_below(s, table[i].t);
        ck_assert_double_eq_tol(w.volume, table[i].v, 1e-3);
        ck_assert_double_eq_tol(w.moment[0] / w.volume, table[i].lcb, 3e-3);
        ck_assert_double_eq_tol(w.moment[2] / w.volume, table[i].kb, 1e-3);
        ck_assert_double_eq_tol(w.area, table[i].awp, 6e-3);
        ck_assert_double_eq_tol(w.au / w.area, table[i].lcf, 1e-4);
        ck_assert_double_eq_tol((w.moment[2] + w.avv) / w.volume, table[i].km, 1e-3);
    }
    coaming_ship_free(s);
}
END_TEST

START_TEST(hydrostatics_on_the_surface)
{
    /* Six draughts; the table is too coarse to agree better: it lies inside of the rounded
     * surface, and its volume at 14.5 m, bilinear or by any diagonal, is 1.1 % less. */
    static const struct {
        double t, v, lcb, kb, awp, lcf, km;
    } table[] = {{8, 83153.6, 178.2713, 4.3336, 12495.0, 177.7108, 30.6758},
                 {10, 108998.4, 177.7222, 5.4427, 13355.1, 173.9093, 27.6846},
                 {12, 136552.9, 176.4612, 6.5661, 14194.6, 168.9572, 25.9535},
                 {14.5, 173398.1, 174.0565, 7.9897, 15314.1, 161.0438, 24.9286},
                 {17, 213097.0, 171.0940, 9.4378, 16274.1, 157.1374, 24.5212},
                 {20, 262751.3, 168.6290, 11.1518, 16802.6, 159.3443, 24.0934}};
    coaming_ship *s = published(14.5);
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        submerged w = hull_below(s, table[i].t);
        ck_assert_double_eq_tol(w.volume, table[i].v, 0.02 * table[i].v);
        ck_assert_double_lt(w.volume, table[i].v);
        ck_assert_double_eq_tol(w.moment[0] / w.volume, table[i].lcb, 0.15);
        ck_assert_double_eq_tol(w.moment[2] / w.volume, table[i].kb, 0.05);
        ck_assert_double_eq_tol(w.area, table[i].awp, 0.01 * table[i].awp);
        ck_assert_double_eq_tol(w.au / w.area, table[i].lcf, 1.5);
        ck_assert_double_eq_tol((w.moment[2] + w.avv) / w.volume, table[i].km, 0.015 * table[i].km);
    }
    coaming_ship_free(s);
}
END_TEST

/* Volume below a named height with one diagonal of each panel, both sides: over a triangle seen
 * from the side it is its area by the mean of its corners. */
static double by_diagonal(const coaming_ship *s, double draught, bool rising)
{
    double volume = 0;
    for (size_t i = 0; i + 1 < s->section_count; i++) {
        const double *a = s->sections[i].offsets, *b = s->sections[i + 1].offsets;
        double length = s->sections[i + 1].x - s->sections[i].x;
        for (size_t k = 0; k + 1 < s->sections[i].offset_count && a[2 * k] < draught; k++) {
            double p = a[2 * k + 1], q = a[2 * k + 3], r = b[2 * k + 1], t = b[2 * k + 3];
            double ends = rising ? q + r : p + t, shared = rising ? p + t : q + r;
            volume += length * (a[2 * k + 2] - a[2 * k]) * (ends + 2 * shared) / 3;
        }
    }
    return volume;
}

START_TEST(neither_diagonal_is_favoured)
{
    coaming_ship *s = published(14.5);
    static const double heights[] = {10, 14.5, 20};
    for (int i = 0; i < 3; i++) {
        double one = by_diagonal(s, heights[i], true), two = by_diagonal(s, heights[i], false);
        ck_assert_double_gt(fabs(one - two), 5e-4 * one); /* they do differ */
        ck_assert_double_eq_tol(hull_below(s, heights[i]).volume, (one + two) / 2, 1e-6);
    }
    coaming_ship_free(s);
}
END_TEST

static coaming_float flood(const coaming_ship *s, size_t count, coaming_righting *righting)
{
    coaming_flotation *f = NULL;
    coaming_float r;
    bool *flooded = calloc(s->space_count + 1, sizeof *flooded);
    for (size_t i = 0; i < count; i++)
        flooded[i] = true;
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &r, NULL), COAMING_OK);
    if (righting && r.afloat == COAMING_AFLOAT_YES)
        coaming_flotation_righting(f, flooded, &r, righting);
    coaming_flotation_free(f);
    free(flooded);
    return r;
}

static void check_arms(const coaming_righting *r, const double *gz, double tolerance)
{
    static const int at[] = {1, 2, 3, 4, 5, 6, 8, 10, 12}; /* 5 to 60 degrees */
    for (int i = 0; i < 9; i++)
        if (!isnan(gz[i]))
            ck_assert_double_eq_tol(r->arm[at[i]].gz, gz[i], tolerance);
}

START_TEST(damage_of_the_published_hull)
{
    /* On the surface, exact, T 14.5, KG 19.851, mu 0.95. KM of the table is 0.076 m more, so GZ
     * differs by up to 0.09 m and the heel by 2 %; draughts agree to 1 cm. */
    static const double intact[] = {.4459,  .9076,  1.3927, 1.9115, 2.4662,
                                    3.0281, 3.9796, 4.3335, 3.7898};
    static const double port[] = {.1058,  .5825,  1.0905, 1.6429, 2.2481,
                                  2.8825, 4.0357, 4.3873, 3.8121};
    static const double both[] = {NAN, .9447, NAN, NAN, NAN, 3.1967, NAN, 4.4752, NAN};
    coaming_ship *s = published(14.5);
    coaming_righting arms;
    flood(s, 0, &arms);
    check_arms(&arms, intact, 0.09);
    coaming_float r = flood(s, 1, &arms);
    ck_assert_double_eq_tol(r.draught_aft, 14.4118, 0.01);
    ck_assert_double_eq_tol(r.draught, 14.9929, 0.01);
    ck_assert_double_eq_tol(r.draught_fwd, 15.5739, 0.01);
    ck_assert_double_eq_tol(r.heel, 3.8508, 0.08);
    ck_assert_double_eq_tol(r.flooded_volume, 7039.1, 0.001 * 7039.1);
    check_arms(&arms, port, 0.09);
    r = flood(s, 2, &arms);
    ck_assert_double_eq_tol(r.draught_aft, 14.4206, 0.01);
    ck_assert_double_eq_tol(r.draught, 15.5099, 0.01);
    ck_assert_double_eq_tol(r.draught_fwd, 16.5991, 0.01);
    ck_assert_double_eq_tol(r.heel, 0, 1e-6);
    ck_assert_double_eq_tol(r.flooded_volume, 14097.2, 0.001 * 14097.2);
    check_arms(&arms, both, 0.09);
    coaming_ship_free(s);
}
END_TEST

/* Random hulls: sheer, rise of keel, sections with ledges, equal or without breadth. */

static double tenth(dice *d, int bound)
{
    return dice_below(d, bound) / 10.0;
}

typedef struct {
    double x, z[8], y[8];
    int count;
} station;

enum { STATIONS_MAX = 6 };

static int random_hull(dice *d, station *s)
{
    int count = 2 + dice_below(d, STATIONS_MAX - 1);
    double x = tenth(d, 30) - 1;
    for (int i = 0; i < count; i++, x += 2 + tenth(d, 90)) {
        s[i] = (station){.x = x, .count = 2 + dice_below(d, 6)};
        double z = dice_below(d, 3) ? 0 : tenth(d, 20);
        bool empty = dice_below(d, 8) == 0;
        for (int k = 0; k < s[i].count; k++, z += dice_below(d, 6) ? 0.5 + tenth(d, 20) : 0) {
            s[i].z[k] = z;
            s[i].y[k] = empty || dice_below(d, 7) == 0 ? 0 : tenth(d, 60);
        }
        s[i].z[s[i].count - 1] = fmax(s[i].z[s[i].count - 1], 4 + tenth(d, 30));
        if (i && dice_below(d, 4) == 0) { /* the same as the one before */
            double here = s[i].x;
            s[i] = s[i - 1];
            s[i].x = here;
        }
    }
    s[0].y[s[0].count - 1] += 1; /* so that there is some hull */
    s[0].y[0] += 1;
    return count;
}

static char *hull_text(const station *s, int count)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    fputs("<hull>", out);
    for (int i = 0; i < count; i++) {
        fprintf(out, "<section x=\"%.17g\">", s[i].x);
        for (int k = 0; k < s[i].count; k++)
            fprintf(out, "<offset z=\"%.17g\" y=\"%.17g\"/>", s[i].z[k], s[i].y[k]);
        fputs("</section>", out);
    }
    fputs("</hull>", out);
    fclose(out);
    return text;
}

static const char PRINCIPAL[] =
    "length=\"40\" beam=\"12\" depth=\"7\" draft=\"2.5\" kg=\"1.5\" density=\"1\"";

static coaming_ship *ship_with(const station *s, int count, const char *spaces)
{
    char *hull = hull_text(s, count), *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    fprintf(out, "%s%s", hull, spaces);
    fclose(out);
    coaming_ship *ship = ship_from_parts(PRINCIPAL, parts);
    free(parts);
    free(hull);
    return ship;
}

static void random_range(dice *d, double low, double high, double *a, double *b)
{
    int steps = (int)((high - low) * 10);
    int one = dice_below(d, steps), two = dice_below(d, steps);
    one += one == two;
    *a = low + (one < two ? one : two) / 10.0;
    *b = low + (one < two ? two : one) / 10.0;
}

/* A box, or a prism with a notch or in the shape of a star. */
static void random_solid(dice *d, FILE *out)
{
    double x0, x1, y0, y1, z0, z1;
    random_range(d, -3, 42, &x0, &x1);
    random_range(d, -7, 7, &y0, &y1);
    random_range(d, -1, 9, &z0, &z1);
    double mx = x0 + (x1 - x0) * 0.4, my = y0 + (y1 - y0) * 0.3;
    switch (dice_below(d, 4)) {
    case 0:
        fprintf(out, "<prism z=\"%.17g %.17g\" outline=\"%g,%g %g,%g %g,%g %g,%g %g,%g %g,%g\"/>",
                z0, z1, x0, y0, x1, y0, x1, my, mx, my, mx, y1, x0, y1);
        break;
    case 1:
        fprintf(out, "<prism z=\"%.17g %.17g\" outline=\"%g,%g %g,%g %g,%g %g,%g\"/>", z0, z1, x0,
                y0, mx, y1, x1, y0, mx, my);
        break;
    default:
        fprintf(out, "<box x=\"%.17g %.17g\" y=\"%.17g %.17g\" z=\"%.17g %.17g\"/>", x0, x1, y0, y1,
                z0, z1);
    }
}

/* The half-breadth at a place by the definition alone: the panel's triangles round its middle, by
 * areas. `above`: which side of a step. Negative outside. */
static double station_breadth(const station *s, double z, bool above)
{
    if (above) {
        for (int k = s->count - 1; k >= 0; k--)
            if (s->z[k] <= z) {
                if (k == s->count - 1)
                    return s->y[k];
                return s->y[k] + (z - s->z[k]) / (s->z[k + 1] - s->z[k]) * (s->y[k + 1] - s->y[k]);
            }
        return s->y[0];
    }
    for (int k = 0; k < s->count; k++)
        if (s->z[k] >= z) {
            if (k == 0)
                return s->y[0];
            return s->y[k] - (s->z[k] - z) / (s->z[k] - s->z[k - 1]) * (s->y[k] - s->y[k - 1]);
        }
    return s->y[s->count - 1];
}

typedef struct {
    double x, z, y;
} corner;

static double cross_of(corner a, corner b, double x, double z)
{
    return (b.x - a.x) * (z - a.z) - (b.z - a.z) * (x - a.x);
}

static double in_triangle(corner a, corner b, corner c, double x, double z)
{
    double whole = cross_of(a, b, c.x, c.z), u = cross_of(b, c, x, z), v = cross_of(c, a, x, z),
           w = cross_of(a, b, x, z);
    if (!(whole > 0) || u < 0 || v < 0 || w < 0)
        return -1;
    return (u * a.y + v * b.y + w * c.y) / whole;
}

static double fit(double z, const station *s)
{
    return fmin(fmax(z, s->z[0]), s->z[s->count - 1]);
}

static double breadth_between(const station *a, const station *b, double low, double high, double x,
                              double z)
{
    corner p = {a->x, fit(low, a), station_breadth(a, fit(low, a), low >= a->z[0])};
    corner q = {a->x, fit(high, a), station_breadth(a, fit(high, a), high > a->z[a->count - 1])};
    corner r = {b->x, fit(low, b), station_breadth(b, fit(low, b), low >= b->z[0])};
    corner t = {b->x, fit(high, b), station_breadth(b, fit(high, b), high > b->z[b->count - 1])};
    corner m = {(p.x + r.x) / 2, (p.z + q.z + r.z + t.z) / 4, (p.y + q.y + r.y + t.y) / 4};
    double found = in_triangle(p, r, m, x, z);
    found = fmax(found, in_triangle(r, t, m, x, z));
    found = fmax(found, in_triangle(t, q, m, x, z));
    return fmax(found, in_triangle(q, p, m, x, z));
}

static double breadth_at(const station *s, int count, double x, double z)
{
    double found = -1;
    for (int i = 0; i + 1 < count; i++) {
        if (x < s[i].x || x > s[i + 1].x)
            continue;
        /* with sheer the panel's lines are not level: all pairs of heights are tried */
        double heights[STATIONS_MAX * 8];
        int n = 0;
        for (int j = 0; j < count; j++)
            for (int k = 0; k < s[j].count; k++)
                heights[n++] = s[j].z[k];
        for (int a = 0; a < n; a++) {
            double next = INFINITY;
            for (int b = 0; b < n; b++)
                if (heights[b] > heights[a])
                    next = fmin(next, heights[b]);
            if (isfinite(next))
                found = fmax(found, breadth_between(&s[i], &s[i + 1], heights[a], next, x, z));
        }
    }
    return found;
}

static double top_at(const station *s, int count, double x)
{
    if (x <= s[0].x)
        return s[0].z[s[0].count - 1];
    for (int i = 0; i + 1 < count; i++)
        if (x <= s[i + 1].x) {
            double a = s[i].z[s[i].count - 1], b = s[i + 1].z[s[i + 1].count - 1];
            return a + (x - s[i].x) / (s[i + 1].x - s[i].x) * (b - a);
        }
    return s[count - 1].z[s[count - 1].count - 1];
}

static bool solid_has(const solid *s, double x, double y, double z)
{
    return z > s->z0 && z < s->z1 && outline_distance(s->outline, 2, s->corners, x, y) == 0;
}

/* Sampled: what of a solid exists, inside and above, in m3. */
static void sample(const station *s, int count, const solid *of, dice *d, double in[2])
{
    enum { POINTS = 4000 };
    size_t hits[2] = {0, 0};
    for (int i = 0; i < POINTS; i++) {
        double u[3];
        for (int k = 0; k < 3; k++)
            u[k] = (double)(dice_next(d) >> 11) / 9007199254740992.0;
        double x = of->x0 + u[0] * (of->x1 - of->x0), y = of->y0 + u[1] * (of->y1 - of->y0);
        double z = of->z0 + u[2] * (of->z1 - of->z0);
        if (!solid_has(of, x, y, z))
            continue;
        if (z > top_at(s, count, x))
            hits[1]++;
        else if (fabs(y) <= breadth_at(s, count, x, z))
            hits[0]++;
    }
    double box = (of->x1 - of->x0) * (of->y1 - of->y0) * (of->z1 - of->z0);
    for (int k = 0; k < 2; k++)
        in[k] = box * (double)hits[k] / POINTS;
}

/* Each group is a closed body of positive volume: its area vectors add up to nothing, and nothing
 * is not a number. */
static void check_groups(const body *b)
{
    for (size_t i = 0; i < b->group_count; i++) {
        const body_group *g = &b->groups[i];
        double size = g->half[0] + g->half[1] + g->half[2];
        for (int k = 0; k < 3; k++)
            CLAIM(fabs(g->normal[k]) <= 1e-12 * (1 + size * size), "group %zu is open by %g", i,
                  g->normal[k]);
        CLAIM(g->det >= -1e-9 && isfinite(g->det), "group %zu has the volume %g", i, g->det / 6);
    }
}

static bool try_ship(const char *hull, const char *spaces, coaming_ship **ship)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    fprintf(out,
            "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship %s/>%s%s"
            "</arrangement>",
            PRINCIPAL, hull, spaces);
    fclose(out);
    coaming_error error = {COAMING_OK, ""};
    coaming_status status = ship_from_text(text, NULL, NULL, ship, &error);
    free(text);
    ck_assert(status == COAMING_OK || status == COAMING_INPUT);
    return status == COAMING_OK;
}

/* 4000 points: the standard error of a share is at most 0.8 %; 4.5 of them are allowed. */
START_TEST(random_spaces_in_random_hulls_come_to_what_is_sampled)
{
    dice d = {(uint64_t)_i * 7919 + 3};
    station stations[STATIONS_MAX];
    int count = random_hull(&d, stations);
    char *hull = hull_text(stations, count), *spaces = NULL;
    size_t size;
    FILE *out = open_memstream(&spaces, &size);
    fputs("<space id=\"a\" name=\"A\" permeability=\"1\">", out);
    random_solid(&d, out);
    fputs("</space>", out);
    fclose(out);
    coaming_ship *ship = NULL;
    if (try_ship(hull, spaces, &ship)) {
        const ship_space *s = &ship->spaces[0];
        double in[2], box = (s->solids->x1 - s->solids->x0) * (s->solids->y1 - s->solids->y0) *
                            (s->solids->z1 - s->solids->z0);
        sample(stations, count, s->solids, &d, in);
        ck_assert_double_eq_tol(s->parts->inside, in[0], 0.036 * box);
        ck_assert_double_eq_tol(s->parts->above, in[1], 0.036 * box);
        check_groups(s->inside);
        check_groups(s->above);
        double from = body_below_level(s->inside, 0, s->inside->group_count, 1e6);
        ck_assert_double_eq_tol(from, s->parts->inside, 1e-9 * (1 + box));
        ck_assert_double_eq_tol(space_volume_below(s, 1e6), s->volume, 1e-9 * (1 + box));
    }
    coaming_ship_free(ship);
    free(spaces);
    free(hull);
}
END_TEST

/* The three ways to cut a box in two: what exists of the halves is what exists of the whole. And a
 * box round everything holds the hull itself. */
START_TEST(parts_make_up_the_whole)
{
    dice d = {(uint64_t)_i * 104729 + 11};
    station stations[STATIONS_MAX];
    int count = random_hull(&d, stations);
    char *hull = hull_text(stations, count);
    coaming_ship *ship = NULL;
    bool good = try_ship(
        hull, "<space id=\"a\" name=\"A\"><box x=\"-9 99\" y=\"-9 9\" z=\"-9 30\"/></space>",
        &ship);
    free(hull);
    ck_assert(good);
    hull_room room = {0};
    double lo[3], hi[3];
    random_range(&d, -3, 42, &lo[0], &hi[0]);
    random_range(&d, -7, 7, &lo[1], &hi[1]);
    random_range(&d, -1, 9, &lo[2], &hi[2]);
    double all = hull_box_volume(ship->hull, &room, lo, hi);
    for (int k = 0; k < 3; k++) {
        double between = lo[k] + (hi[k] - lo[k]) * tenth(&d, 11), middle[3], end[3];
        memcpy(middle, lo, sizeof middle);
        memcpy(end, hi, sizeof end);
        middle[k] = end[k] = between;
        double one = between > lo[k] ? hull_box_volume(ship->hull, &room, lo, end) : 0;
        double two = between < hi[k] ? hull_box_volume(ship->hull, &room, middle, hi) : 0;
        ck_assert_double_eq_tol(one + two, all, 1e-8 * (1 + all));
    }
    ck_assert_double_eq_tol(ship->spaces[0].parts->inside, ship->hull->volume,
                            1e-9 * (1 + ship->hull->volume));
    double given = 108 * 18 * 39.0;
    ck_assert_double_eq_tol(ship->spaces[0].outside + ship->spaces[0].parts->inside +
                                ship->spaces[0].parts->above,
                            given, 1e-9 * given);
    hull_room_free(&room);
    coaming_ship_free(ship);
}
END_TEST

/* Turned round, and port for starboard, she is the same ship. */
START_TEST(it_does_not_matter_which_end_is_forward)
{
    dice d = {(uint64_t)_i * 15485863 + 5};
    station ahead[STATIONS_MAX], astern[STATIONS_MAX];
    int count = random_hull(&d, ahead);
    for (int i = 0; i < count; i++) {
        astern[i] = ahead[count - 1 - i];
        astern[i].x = 40 - astern[i].x;
    }
    double x0, x1, y0, y1;
    random_range(&d, 0, ahead[count - 1].x, &x0, &x1);
    random_range(&d, -6, 6, &y0, &y1);
    char one[300], two[300];
#define FORM                                                                                       \
    "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"%.17g %.17g\" y=\"%.17g %.17g\" "      \
    "z=\"0 "                                                                                       \
    "9\"/></space>"
    snprintf(one, sizeof one, FORM, x0, x1, y0, y1);
    snprintf(two, sizeof two, FORM, 40 - x1, 40 - x0, -y1, -y0);
    coaming_ship *a = NULL, *b = NULL;
    char *hull_a = hull_text(ahead, count), *hull_b = hull_text(astern, count);
    bool made = try_ship(hull_a, one, &a);
    ck_assert_int_eq(made, try_ship(hull_b, two, &b));
    if (made) {
        ck_assert_double_eq_tol(a->hull->volume, b->hull->volume, 1e-9 * a->hull->volume);
        for (double z = 0.7; z < 7; z += 1.3) {
            submerged p = hull_below(a, z), q = hull_below(b, z);
            ck_assert_double_eq_tol(p.volume, q.volume, 1e-9 * (1 + p.volume));
            ck_assert_double_eq_tol(p.moment[0], 40 * q.volume - q.moment[0],
                                    1e-8 * (1 + p.volume));
        }
        ck_assert_double_eq_tol(a->spaces[0].volume, b->spaces[0].volume,
                                1e-8 * (1 + a->spaces[0].volume));
    }
    coaming_ship_free(a);
    coaming_ship_free(b);
    free(hull_a);
    free(hull_b);
}
END_TEST

/* A twisted hull of two sections, 20 m apart: broad above aft, broad below forward. By any diagonal
 * it is another ship when it is turned round; bilinear, by hand: 20 x 2 x (4 + 0 + 0 + 4)/4 x 2. */
START_TEST(a_twisted_hull_by_hand)
{
    static const station twisted[] = {{0, {0, 2}, {0, 4}, 2}, {20, {0, 2}, {4, 0}, 2}};
    static const station turned[] = {{0, {0, 2}, {4, 0}, 2}, {20, {0, 2}, {0, 4}, 2}};
    const char *space = "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 20\" y=\"-9 9\" "
                        "z=\"0 1\"/></space>";
    coaming_ship *a = ship_with(twisted, 2, space), *b = ship_with(turned, 2, space);
    ck_assert_double_eq_tol(a->hull->volume, 160, 1e-10);
    ck_assert_double_eq_tol(b->hull->volume, 160, 1e-10);
    ck_assert_double_eq_tol(a->spaces[0].volume, b->spaces[0].volume, 1e-10);
    /* below half the height the middle is 2 broad: lower triangle (0, 4, middle 2 at half height),
     * and the lower halves of the two at the ends, (4, 2, 2) and (0, 2, 2) with the middle */
    double lower = 20 * 1 / 2.0 * (0 + 4 + 2) / 3,
           ends = 10 * 1 / 2.0 * (4 + 2 + 2) / 3 + 10 * 1 / 2.0 * (0 + 2 + 2) / 3;
    ck_assert_double_eq_tol(a->spaces[0].volume, 2 * (lower + ends), 1e-10);
    coaming_ship_free(a);
    coaming_ship_free(b);
}
END_TEST

/* Wigley's hull: boxes cut by 120 x 60 straight pieces of it, against the midpoint
 * rule on the form itself. A straight piece lies inside the form by at most an eighth of its length
 * squared by the bend there, B/2 x 2 both ways in u and w with pieces of 1/60: 7e-4 m in all. */
START_TEST(boxes_in_a_wigley_hull_come_to_quadrature)
{
    enum { N = 120, M = 60 };
    const double L = 100, B = 10, T = 6.25;
    char *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    write_wigley(out, N, M);
    fputs("<space id=\"a\" name=\"A\"><box x=\"1 99\" y=\"-1 1\" z=\"1 2\"/></space>", out);
    fclose(out);
    coaming_ship *s = ship_from_parts("length=\"100\" beam=\"10\" depth=\"9\" draft=\"6\"", parts);
    free(parts);
    hull_room room = {0};
    dice d = {77};
    for (int i = 0; i < 40; i++) {
        enum { STEPS = 400 };
        double lo[3], hi[3], sum = 0;
        random_range(&d, 0, L, &lo[0], &hi[0]);
        random_range(&d, -6, 6, &lo[1], &hi[1]);
        random_range(&d, 0, T, &lo[2], &hi[2]);
        for (int a = 0; a < STEPS; a++)
            for (int b = 0; b < STEPS; b++) {
                double u = 2 * (lo[0] + (a + 0.5) / STEPS * (hi[0] - lo[0])) / L - 1;
                double w = 1 - (lo[2] + (b + 0.5) / STEPS * (hi[2] - lo[2])) / T;
                double y = B / 2 * (1 - u * u) * (1 - w * w);
                sum += fmax(0, fmin(hi[1], y) - fmax(lo[1], -y));
            }
        sum *= (hi[0] - lo[0]) * (hi[2] - lo[2]) / (STEPS * STEPS);
        double side = (hi[0] - lo[0]) * (hi[2] - lo[2]);
        ck_assert_double_eq_tol(hull_box_volume(s->hull, &room, lo, hi), sum,
                                2 * 7e-4 * side + 1e-5 * sum);
    }
    hull_room_free(&room);
    coaming_ship_free(s);
}
END_TEST

/* Deck from 4 m aft to 6 m forward over 10 m, sides upright at 3 m: of a box 2 m wide from 3 m to 7
 * m, 2 x 10 x (1 + 3)/2 = 40 m3 lie in the hull and 40 m3 above it. */
START_TEST(a_deck_with_sheer_cuts_exactly)
{
    static const station sheered[] = {{0, {0, 4}, {3, 3}, 2}, {10, {0, 6}, {3, 3}, 2}};
    coaming_ship *s = ship_with(sheered, 2,
                                "<space id=\"a\" name=\"A\" permeability=\"1\"><box x=\"0 10\" "
                                "y=\"-1 1\" z=\"3 7\"/></space>"
                                "<space id=\"b\" name=\"B\" permeability=\"1\"><box x=\"0 10\" "
                                "y=\"-5 5\" z=\"6 7\"/></space>"
                                "<space id=\"c\" name=\"C\" permeability=\"1\"><box x=\"0 5\" "
                                "y=\"2 5\" z=\"1 2\"/></space>");
    const solid_part *a = s->spaces[0].parts, *b = s->spaces[1].parts, *c = s->spaces[2].parts;
    ck_assert_double_eq_tol(a->inside, 40, 1e-10);
    ck_assert_double_eq_tol(a->above, 40, 1e-10);
    ck_assert(!a->whole && b->whole && !c->whole);
    ck_assert_double_eq(b->inside, 0);
    ck_assert_double_eq(b->above, 100); /* wider than the hull: it stands above it all the same */
    ck_assert_double_eq_tol(c->inside, 5, 1e-10);
    ck_assert_double_eq_tol(s->spaces[2].outside, 10, 1e-10);
    ck_assert_double_eq_tol(s->spaces[0].volume, 80, 1e-10);
    ck_assert_double_eq_tol(space_volume_below(&s->spaces[0], 5), 2 * 10 * 2, 1e-10);
    coaming_ship_free(s);
}
END_TEST

/* "Below" is strict: water at the very bottom of a space is not in it, also where the deck cuts the
 * space. So the ends that are not cut are those given, to the last bit. */
START_TEST(ends_that_are_not_cut_are_as_given)
{
    for (int cm = 1; cm < 546; cm++) {
        char space[200];
        double z0 = cm / 100.0, x0 = cm / 50.0, y1 = (2000 + cm) / 1000.0;
        snprintf(space, sizeof space,
                 "<space id=\"a\" name=\"A\"><box x=\"%.2f 21.7\" y=\"-0.7 %.3f\" "
                 "z=\"%.2f 7.86\"/></space>",
                 x0, y1, z0);
        coaming_ship *s =
            ship_from_parts("length=\"58\" beam=\"11.2\" depth=\"5.46\" draft=\"2.96\"", space);
        const solid_part *a = s->spaces[0].parts;
        ck_assert(!a->whole);
        ck_assert_double_eq(s->spaces[0].bottom, z0);
        ck_assert_double_eq(s->spaces[0].top, 7.86);
        ck_assert_double_eq(a->x0, x0);
        ck_assert_double_eq(a->x1, 21.7);
        ck_assert_double_eq(a->y0, -0.7);
        ck_assert_double_eq(a->y1, y1);
        coaming_ship_free(s);
    }
}
END_TEST

/* Flush with the hull's planes nothing is cut off and nothing added. */
START_TEST(flush_is_whole)
{
    coaming_ship *s = ship_from_parts(
        "length=\"24.6\" beam=\"11.2\" depth=\"6.4\" draft=\"3\"",
        "<frames spacing=\"0.6\"/><hull><section x=\"0\"><offset z=\"0\" y=\"5.6\"/><offset "
        "z=\"3.7\" y=\"5.6\"/><offset z=\"6.4\" y=\"5.6\"/></section><section x=\"13.2\"><offset "
        "z=\"0\" y=\"5.6\"/><offset z=\"6.4\" y=\"5.6\"/></section><section x=\"24.6\"><offset "
        "z=\"0\" y=\"5.6\"/><offset z=\"6.4\" y=\"5.6\"/></section></hull>"
        "<space id=\"a\" name=\"A\"><box x=\"fr0 fr22\" y=\"-5.6 5.6\" z=\"0 6.4\"/></space>"
        "<space id=\"b\" name=\"B\"><box x=\"fr22 fr41\" y=\"0 5.6\" z=\"0 3.7\"/></space>"
        "<space id=\"c\" name=\"C\"><box x=\"fr22 fr41\" y=\"-5.6 5.6\" z=\"6.4 9\"/></space>");
    for (int i = 0; i < 3; i++) {
        ck_assert(s->spaces[i].parts->whole);
        ck_assert_uint_eq(s->spaces[i].inside->faces + s->spaces[i].above->faces, 6);
    }
    ck_assert_uint_eq(s->spaces[2].inside->faces, 0);
    coaming_ship_free(s);
}
END_TEST

START_TEST(nothing_left_is_an_error_that_names_the_space)
{
    static const struct {
        const char *box;
        const char *words; /* NULL: good */
    } table[] = {{"x=\"0 5\" y=\"3 4\" z=\"0 2\"", "lies wholly outside the hull"},
                 {"x=\"-5 0\" y=\"-1 1\" z=\"0 2\"", "lies wholly outside the hull"},
                 {"x=\"40 45\" y=\"-1 1\" z=\"0 2\"", "lies wholly outside the hull"},
                 {"x=\"0 5\" y=\"-1 1\" z=\"-3 0\"", "lies wholly outside the hull"},
                 {"x=\"0 5\" y=\"3 4\" z=\"4 5\"", NULL},
                 {"x=\"0 5\" y=\"2 4\" z=\"0 2\"", NULL},
                 {"x=\"-5 0\" y=\"-1 1\" z=\"4 6\"", NULL}};
    for (size_t i = 0; i < sizeof table / sizeof *table; i++) {
        char text[600];
        snprintf(text, sizeof text,
                 "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\">\n<ship "
                 "length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\"/>\n<space id=\"aft\" "
                 "name=\"A\">\n<box %s/></space></arrangement>",
                 table[i].box);
        coaming_faults *faults = coaming_faults_new();
        coaming_ship *s = NULL;
        coaming_status status = ship_from_text(text, NULL, faults, &s, NULL);
        ck_assert_int_eq(status, table[i].words ? COAMING_INPUT : COAMING_OK);
        if (table[i].words) {
            const coaming_fault *f = coaming_faults_get(faults, 0);
            ck_assert_uint_eq(coaming_faults_count(faults), 1);
            ck_assert_ptr_nonnull(strstr(f->message, table[i].words));
            ck_assert_str_eq(f->object, "space aft");
            ck_assert_int_eq(f->line, 3);
        }
        coaming_faults_free(faults);
        coaming_ship_free(s);
    }
}
END_TEST

static size_t faults_of_hull(const char *sections, const char *words)
{
    char text[900];
    snprintf(text, sizeof text,
             "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship length=\"40\" "
             "beam=\"6\" depth=\"4\" draft=\"2\"/><hull>%s</hull><space id=\"a\" name=\"A\"><box "
             "x=\"0 5\" y=\"-1 1\" z=\"0 2\"/></space></arrangement>",
             sections);
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *s = NULL;
    size_t found = 0;
    ck_assert_int_eq(ship_from_text(text, NULL, faults, &s, NULL), COAMING_INPUT);
    for (size_t i = 0; i < coaming_faults_count(faults); i++)
        found += strstr(coaming_faults_get(faults, i)->message, words) != NULL;
    coaming_faults_free(faults);
    return found;
}

START_TEST(a_hull_that_is_none_is_an_error)
{
#define SECTION(x, y)                                                                              \
    "<section x=\"" x "\"><offset z=\"0\" y=\"" y "\"/><offset z=\"4\" y=\"" y "\"/></section>"
    ck_assert_uint_eq(faults_of_hull(SECTION("0", "0") SECTION("40", "0"), "encloses no volume"),
                      1);
    ck_assert_uint_eq(
        faults_of_hull(SECTION("0", "3") SECTION("40", "3") SECTION("20", "3"), "from aft to"), 1);
    ck_assert_uint_eq(faults_of_hull(SECTION("0", "3") SECTION("0", "2"), "from aft to"), 1);
    ck_assert_uint_eq(faults_of_hull("<section x=\"0\"><offset z=\"4\" y=\"3\"/><offset z=\"0\" "
                                     "y=\"3\"/></section>" SECTION("40", "3"),
                                     "offsets must rise"),
                      1);
}
END_TEST

/* A box of 40 x 6 x 4 m, 960 m3, with a deck at 1 m: the tween deck is recorded to 30 m, and in the
 * hold the space from 10 to 22 m was left out. By hand: 10 x 6 x 3 = 180 m3 above the deck from 30 m
 * on, 12 x 6 x 1 = 72 m3 below it, and 10 x 6 x 1 = 60 m3 forward; a locker of 0.5 x 6 x 1 = 3 m3
 * inside the gap, not at the shell, makes no region of its own. */
START_TEST(what_no_space_fills_is_told_by_region)
{
#define ROOM(id, x, z, more)                                                                       \
    "<space id=\"" id "\" name=\"n\"" more "><box x=\"" x "\" y=\"-9 9\" z=\"" z "\"/></space>"
    coaming_ship *s = ship_from_parts(
        "length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\"",
        "<deck id=\"hold\" z=\"0\"/><deck id=\"tween\" z=\"1\"/>" ROOM(
            "t", "0 30", "1 4", " shell=\"yes\"") ROOM("a", "0 10", "0 1", " shell=\"yes\"")
            ROOM("b", "22 30", "0 1", " shell=\"yes\"") ROOM("l", "15 15.5", "0 1", ""));
    unfilled u;
    ck_assert(unfilled_make(s, &u));
    ck_assert_double_eq_tol(u.hull, 960, 1e-9);
    ck_assert_double_eq_tol(u.volume, 180 + 72 - 3 + 60, 1e-9);
    static const unfilled_region by_hand[] = {
        {30, 40, 1, 4, 180}, {10, 22, 0, 1, 69}, {30, 40, 0, 1, 60}};
    ck_assert_uint_eq(u.count, 3);
    for (int i = 0; i < 3; i++) {
        ck_assert_double_eq_tol(u.regions[i].x0, by_hand[i].x0, 1e-9);
        ck_assert_double_eq_tol(u.regions[i].x1, by_hand[i].x1, 1e-9);
        ck_assert_double_eq_tol(u.regions[i].z0, by_hand[i].z0, 1e-9);
        ck_assert_double_eq_tol(u.regions[i].z1, by_hand[i].z1, 1e-9);
        ck_assert_double_eq_tol(u.regions[i].volume, by_hand[i].volume, 1e-9);
    }
    unfilled_free(&u);
    coaming_ship_free(s);
    /* in a hull that narrows to nothing forward, 40 x 6 x 4 / 2 = 480 m3: all of it in one space to
     * full breadth, and what is above the deck does not count */
    s = ship_from_parts(
        "length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\"",
        "<hull><section x=\"0\"><offset z=\"0\" y=\"3\"/><offset z=\"4\" y=\"3\"/></section>"
        "<section x=\"40\"><offset z=\"0\" y=\"0\"/><offset z=\"4\" y=\"0\"/></section>"
        "</hull>" ROOM("a", "0 40", "0 9", ""));
    ck_assert(unfilled_make(s, &u));
    ck_assert_double_eq_tol(u.hull, 480, 1e-9);
    ck_assert_double_eq_tol(u.volume, 0, 1e-9);
    ck_assert_uint_eq(u.count, 0);
    unfilled_free(&u);
    coaming_ship_free(s);
}
END_TEST

/* Outlines in convex pieces: their areas add up, and none has a corner that turns in. */
START_TEST(outlines_are_split_into_convex_ones)
{
    dice d = {(uint64_t)_i + 1};
    enum { MOST = 200 };
    double xy[2 * MOST];
    size_t corners = 4 + (size_t)dice_below(&d, _i % 5 == 0 ? MOST - 4 : 12);
    for (size_t i = 0; i < corners; i++) { /* a star: simple whatever the radii */
        double angle = 6.283185307179586 * ((double)i + 0.8 * tenth(&d, 10)) / (double)corners;
        double r = _i % 3 == 0 && i % 2 ? 1 : 1 + tenth(&d, 50);
        xy[2 * i] = r * cos(angle);
        xy[2 * i + 1] = r * sin(angle);
    }
    if (_i % 4 == 1) /* corners on straight sides */
        for (size_t i = 1; i + 1 < corners; i += 2)
            for (int k = 0; k < 2; k++)
                xy[2 * i + (size_t)k] = (xy[2 * i - 2 + (size_t)k] + xy[2 * i + 2 + (size_t)k]) / 2;
    bool left = _i % 2 == 0;
    if (!left)
        for (size_t i = 0; i < corners / 2; i++)
            for (size_t k = 0; k < 2; k++) {
                double swap = xy[2 * i + k];
                xy[2 * i + k] = xy[2 * (corners - 1 - i) + k];
                xy[2 * (corners - 1 - i) + k] = swap;
            }
    double whole = outline_area(xy, corners), sum = 0;
    if (!outline_simple(xy, corners) || (whole > 0) != left)
        return;
    int *piece;
    size_t *start, count = outline_split(xy, corners, left, &piece, &start);
    ck_assert_uint_ge(count, 1);
    ck_assert_uint_le(count, corners - 2);
    for (size_t i = 0; i < count; i++) {
        double own[2 * MOST];
        size_t n = start[i + 1] - start[i];
        for (size_t k = 0; k < n; k++)
            memcpy(own + 2 * k, xy + 2 * piece[start[i] + k], 2 * sizeof *own);
        for (size_t k = 0; k < n; k++) {
            const double *a = own + 2 * k, *b = own + 2 * ((k + 1) % n),
                         *c = own + 2 * ((k + 2) % n);
            double turn = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0]);
            ck_assert_double_ge(turn, -1e-12);
        }
        sum += outline_area(own, n);
    }
    ck_assert_double_eq_tol(sum, fabs(whole), 1e-9);
    free(piece);
    free(start);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("hull");
    TCase *all = tcase_create("all");
    const char *tier = getenv("COAMING_HULLS");
    int ships = tier ? atoi(tier) : 150;
    tcase_add_test(all, hydrostatics_of_the_table);
    tcase_add_test(all, hydrostatics_on_the_surface);
    tcase_add_test(all, neither_diagonal_is_favoured);
    tcase_add_test(all, damage_of_the_published_hull);
    tcase_add_loop_test(all, random_spaces_in_random_hulls_come_to_what_is_sampled, 0, ships);
    tcase_add_loop_test(all, parts_make_up_the_whole, 0, ships);
    tcase_add_loop_test(all, it_does_not_matter_which_end_is_forward, 0, ships);
    tcase_add_test(all, a_twisted_hull_by_hand);
    tcase_add_test(all, boxes_in_a_wigley_hull_come_to_quadrature);
    tcase_add_test(all, a_deck_with_sheer_cuts_exactly);
    tcase_add_test(all, ends_that_are_not_cut_are_as_given);
    tcase_add_test(all, flush_is_whole);
    tcase_add_test(all, nothing_left_is_an_error_that_names_the_space);
    tcase_add_test(all, a_hull_that_is_none_is_an_error);
    tcase_add_test(all, what_no_space_fills_is_told_by_region);
    tcase_add_loop_test(all, outlines_are_split_into_convex_ones, 0, 200);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
