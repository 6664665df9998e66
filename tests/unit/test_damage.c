/*
 * How likely damage to the side is where, how deep and how high.
 *
 * Formulas: SOLAS II-1, regulations 6, 7 and 7-1, text of MSC.216(82), read as French national law
 * (Division 221, articles 221-II-1/06 to 07-1). The figures were computed from these formulas by
 * independent programs, apart from this project; each is compared to the last of its digits.
 */
#include <math.h>

#include "analyse/survival/damage.h"
#include "runner.h"

enum { ZONES_MOST = 10 };

static void equal_zones(double *ends, int zones)
{
    for (int i = 0; i <= zones; i++)
        ends[i] = (double)i / zones;
}

/* Figures of the density for two ships, one longer than 260 m: there Jm = 60 / Ls. */
START_TEST(test_constants)
{
    damage_law law = damage_law_of(100);
    ck_assert_double_eq_tol(law.jm, 10.0 / 33, 1e-15);
    ck_assert_double_eq_tol(law.jk, 5.0 / 33, 1e-15);
    ck_assert_double_eq_tol(law.b12, 11, 1e-12);
    law = damage_law_of(250);
    ck_assert_double_eq_tol(law.jm, 0.24, 1e-15);
    ck_assert_double_eq_tol(law.jk, 0.143956536, 5e-10);
    ck_assert_double_eq_tol(law.b11, -64.357443, 5e-7);
    ck_assert_double_eq_tol(law.b21, -18.068126, 5e-7);
    ck_assert_double_eq_tol(law.b22, 4.336350, 5e-7);
    law = damage_law_of(400);
    ck_assert_double_eq_tol(law.jm, 60.0 / 400, 1e-15);
}
END_TEST

/* It is a density: continuous at the knuckle, 0 at the greatest length, and adds up to 1, of which
 * 11/12 is below the knuckle. By the midpoint rule, which is exact on each straight part but for
 * rounding. */
START_TEST(test_density)
{
    const double lengths[] = {30, 58, 100, 197.9, 198.1, 250, 260, 261, 400, 1000};
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        damage_law d = damage_law_of(lengths[i]);
        double below = d.jk * (d.b11 * d.jk / 2 + d.b12);
        double middle = (d.jk + d.jm) / 2;
        double beyond = (d.jm - d.jk) * (d.b21 * middle + d.b22);
        ck_assert_double_eq_tol(below, 11.0 / 12, 1e-12);
        ck_assert_double_eq_tol(beyond, 1.0 / 12, 1e-12);
        ck_assert_double_eq_tol(d.b11 * d.jk + d.b12, d.b21 * d.jk + d.b22, 1e-9);
        ck_assert_double_eq_tol(d.b21 * d.jm + d.b22, 0, 1e-12);
    }
}
END_TEST

/* Sums over groups of one, two, three, four zones; p of an end zone, of an inner zone, of an inner
 * pair and of an end pair, the latter two of damage in both only. */
typedef struct {
    double length;
    int zones;
    double sum[4], end, inner, inner_pair, end_pair;
} p_row;

static const p_row p_rows[] = {
    {100, 4, {.798521, .201118, .000361, 0}, .216420, .182840, .066979, .067069},
    {100, 5, {.735933, .260097, .003970, 0}, .166992, .133983, .064693, .065355},
    {100, 8, {.577676, .381359, .040063, .000902}, .094834, .064668, .053504, .056918},
    {100, 10, {.496990, .421996, .071750, .009263}, .072055, .044110, .045763, .050827},
    {250, 5, {.742192, .257229, .000578, 0}, .167774, .135548, .064259, .064356},
    {250, 10, {.498464, .431731, .068456, .001349}, .072137, .044274, .047001, .051363},
};

START_TEST(test_p)
{
    const p_row *row = &p_rows[_i];
    double ends[ZONES_MOST + 1], all = 0;
    damage_law law = damage_law_of(row->length);
    equal_zones(ends, row->zones);
    for (int size = 1; size <= row->zones; size++) {
        double sum = 0;
        for (int first = 0; first + size <= row->zones; first++)
            sum += damage_of_group(&law, ends, (size_t)first, (size_t)(first + size - 1), 0.5);
        if (size <= 4)
            ck_assert_double_eq_tol(sum, row->sum[size - 1], 6e-7);
        all += sum;
    }
    ck_assert_double_eq_tol(all, 1, 1e-12);
    ck_assert_double_eq_tol(damage_of_group(&law, ends, 0, 0, 0.5), row->end, 6e-7);
    ck_assert_double_eq_tol(damage_of_group(&law, ends, 1, 1, 0.5), row->inner, 6e-7);
    ck_assert_double_eq_tol(damage_of_group(&law, ends, 1, 2, 0.5), row->inner_pair, 6e-7);
    ck_assert_double_eq_tol(damage_of_group(&law, ends, 0, 1, 0.5), row->end_pair, 6e-7);
}
END_TEST

/* Ls 100, five equal zones, s = 1 for one zone, 0.5 for two, 0 beyond. */
START_TEST(test_whole_index)
{
    double ends[6], index = 0;
    damage_law law = damage_law_of(100);
    equal_zones(ends, 5);
    for (size_t i = 0; i < 5; i++)
        index += damage_of_group(&law, ends, i, i, 0.5);
    for (size_t i = 0; i < 4; i++)
        index += 0.5 * damage_of_group(&law, ends, i, i + 1, 0.5);
    ck_assert_double_eq_tol(index, .865981549, 5e-10);
}
END_TEST

/* Ls 100, B 20: r at penetrations of 1, 2, 4, 6, 8 and 10 m. */
START_TEST(test_r)
{
    const double depth[] = {1, 2, 4, 6, 8, 10};
    const double inner[] = {.222471, .406925, .680042, .852340, .951435, 1};
    const double terminal[] = {.196270, .365068, .630212, .813921, .932460, 1};
    const double whole[] = {.184713, .346604, .608232, .796975, .924091, 1};
    damage_law law = damage_law_of(100);
    for (int i = 0; i < 6; i++) {
        double b = depth[i] / 20;
        ck_assert_double_eq_tol(damage_r(&law, (stretch){.40, .50}, b), inner[i], 6e-7);
        ck_assert_double_eq_tol(damage_r(&law, (stretch){0, .10}, b), terminal[i], 6e-7);
        ck_assert_double_eq_tol(damage_r(&law, (stretch){.90, 1}, b), terminal[i], 6e-7);
        ck_assert_double_eq_tol(damage_r(&law, (stretch){0, 1}, b), whole[i], 6e-7);
    }
    ck_assert_double_eq_tol(damage_r(&law, (stretch){.40, .41}, 1.0 / 20), .629063, 6e-7);
    ck_assert_double_eq_tol(damage_r(&law, (stretch){.40, .41}, 4.0 / 20), 1, 1e-12);
    ck_assert_double_eq_tol(damage_r(&law, (stretch){.40, .50}, 0), 0, 1e-15);
    ck_assert_double_eq(damage_p(&law, (stretch){.40, .40}), 0); /* there is no room for any */
    ck_assert_double_eq(damage_r(&law, (stretch){.40, .40}, 1.0 / 20), 0);
    const double pair[] = {.40, .50, .60};
    ck_assert_double_eq_tol(damage_of_group(&law, pair, 0, 1, 4.0 / 20), .025317560, 5e-10);
}
END_TEST

START_TEST(test_v)
{
    ck_assert_double_eq_tol(damage_v(1), .102564, 5e-7);
    ck_assert_double_eq_tol(damage_v(3.9), .4, 1e-12);
    ck_assert_double_eq_tol(damage_v(7.8), .8, 1e-12);
    ck_assert_double_eq_tol(damage_v(8), .808511, 5e-7);
    ck_assert_double_eq_tol(damage_v(10), .893617, 5e-7);
    ck_assert_double_eq_tol(damage_v(12.5), 1, 1e-12);
    ck_assert_double_eq(damage_v(20), 1);
    ck_assert_double_eq(damage_v(-1), 0);
}
END_TEST

START_TEST(test_required)
{
    const double cargo[][2] = {{80, .393939},  {90, .444926},  {100, .492063}, {120, .529412},
                               {150, .576159}, {200, .636364}, {300, .716814}};
    for (size_t i = 0; i < sizeof cargo / sizeof *cargo; i++)
        ck_assert_double_eq_tol(damage_required_cargo(cargo[i][0]), cargo[i][1], 6e-7);
    ck_assert(isnan(damage_required_cargo(79.9))); /* regulation 4: from 80 m on */
    ck_assert_double_eq_tol(damage_required_passenger(100, 500), .698341, 6e-7);
    ck_assert_double_eq_tol(damage_required_passenger(200, 3000), .781897, 6e-7);
    ck_assert_double_eq_tol(damage_required_passenger(300, 6000), .836200, 6e-7);
}
END_TEST

/* Where damage cannot reach the weight is nothing but rounding, and it is never less than that. */
START_TEST(test_spans)
{
    double ends[ZONES_MOST + 1];
    damage_law law = damage_law_of(100);
    equal_zones(ends, ZONES_MOST);
    for (size_t first = 0; first < ZONES_MOST; first++) {
        for (size_t last = first; last < ZONES_MOST; last++) {
            double p = damage_of_group(&law, ends, first, last, 0.5);
            bool spans = damage_spans(&law, ends, first, last);
            ck_assert_msg(spans ? p > 1e-9 : fabs(p) < 1e-14, "%zu to %zu: %g", first, last, p);
        }
    }
}
END_TEST

/* Deeper damage is likelier, of any group and at any depth. */
START_TEST(test_deeper)
{
    double ends[ZONES_MOST + 1];
    damage_law law = damage_law_of(58);
    equal_zones(ends, ZONES_MOST);
    ends[4] = 0.33;
    for (size_t first = 0; first < ZONES_MOST; first++) {
        for (size_t last = first; last < ZONES_MOST; last++) {
            double before = 0;
            for (int step = 0; step <= 100; step++) {
                double p = damage_of_group(&law, ends, first, last, step / 200.0);
                ck_assert_msg(p >= before - 1e-15, "%zu to %zu at %d", first, last, step);
                before = p;
            }
        }
    }
}
END_TEST

int main(void)
{
    Suite *s = suite_create("damage");
    TCase *t = tcase_create("damage");
    tcase_add_test(t, test_constants);
    tcase_add_test(t, test_density);
    tcase_add_loop_test(t, test_p, 0, (int)(sizeof p_rows / sizeof *p_rows));
    tcase_add_test(t, test_whole_index);
    tcase_add_test(t, test_r);
    tcase_add_test(t, test_v);
    tcase_add_test(t, test_required);
    tcase_add_test(t, test_spans);
    tcase_add_test(t, test_deeper);
    suite_add_tcase(s, t);
    return run_suite(s);
}
