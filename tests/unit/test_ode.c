/* The stiff solver against solutions that are known exactly. */
#include <check.h>
#include <math.h>
#include <string.h>

#include "ode/stiff.h"
#include "runner.h"

/* Decay, each unknown at a rate of its own, from 1: exp(-k t). Rates six powers of ten apart. */
static const double decay_rate[] = {1, 1e3, 1e6};

static bool decay(void *data, double t, const double *y, double *rates)
{
    (void)data, (void)t;
    for (int i = 0; i < 3; i++)
        rates[i] = -decay_rate[i] * y[i];
    return true;
}

static bool decay_jacobian(void *data, double t, const double *y, double *values)
{
    (void)data, (void)t, (void)y;
    for (int i = 0; i < 3; i++)
        values[i] = -decay_rate[i];
    return true;
}

/* Rises through 0 where the first is exp(-0.5), at t = 0.5. The other falls through 0 on the way. */
static void decay_look(void *data, double t, const double *y, double *values)
{
    (void)data, (void)t;
    values[0] = exp(-0.5) - y[0];
    values[1] = y[0] - exp(-0.25);
}

static const int diagonal_start[] = {0, 1, 2, 3}, diagonal_row[] = {0, 1, 2};

static stiff *decay_from_one(bool sparse, double *y)
{
    static const double least[] = {1e-12, 1e-12, 1e-12};
    const stiff_problem problem = {.count = 3,
                                   .roots = 2,
                                   .start = sparse ? diagonal_start : NULL,
                                   .row = sparse ? diagonal_row : NULL,
                                   .relative = 1e-8,
                                   .absolute = least,
                                   .rates = decay,
                                   .jacobian = decay_jacobian,
                                   .look = decay_look};
    stiff *s = NULL;
    y[0] = y[1] = y[2] = 1;
    ck_assert_int_eq(stiff_new(&problem, 0, y, &s, NULL), COAMING_OK);
    return s;
}

static void check_decay(bool sparse)
{
    double y[3], t;
    bool rooted[2], any;
    size_t steps, rates;
    stiff *s = decay_from_one(sparse, y);
    ck_assert_int_eq(stiff_on(s, 2, &t, y, rooted, &any, NULL), COAMING_OK);
    ck_assert(any && rooted[0] && !rooted[1]);
    ck_assert_double_eq_tol(t, 0.5, 1e-6);
    ck_assert_int_eq(stiff_on(s, 2, &t, y, rooted, &any, NULL), COAMING_OK);
    ck_assert(!any && t == 2);
    ck_assert_double_eq_tol(y[0], exp(-2), 1e-6);
    ck_assert_double_eq_tol(y[2], 0, 1e-9);
    stiff_cost(s, &steps, &rates);
    ck_assert_uint_lt(steps, 2000); /* by explicit steps it were a million */
    stiff_free(s);
}

static void check_restart(bool sparse)
{
    double y[3], t;
    bool rooted[2], any;
    stiff *s = decay_from_one(sparse, y);
    ck_assert_int_eq(stiff_restart(s, 2, y, NULL), COAMING_OK);
    ck_assert_int_eq(stiff_on(s, 2.25, &t, y, rooted, &any, NULL), COAMING_OK);
    ck_assert_double_eq_tol(y[0], exp(-0.25), 1e-6);
    stiff_free(s);
}

START_TEST(decays_as_it_must)
{
    check_decay(true);
    check_decay(false);
    check_restart(true);
    check_restart(false);
}
END_TEST

/* y' = 1, but not to be had beyond y = 0.5. */
static bool walled(void *data, double t, const double *y, double *rates)
{
    (void)data, (void)t;
    rates[0] = 1;
    return y[0] < 0.5;
}

START_TEST(what_cannot_be_solved_is_told)
{
    const double least[] = {1e-9};
    stiff_problem problem = {.count = 1, .relative = 1e-6, .absolute = least, .rates = walled};
    double y[] = {0}, t;
    bool any;
    coaming_error error;
    stiff *s;
    ck_assert_int_eq(stiff_new(&problem, 0, y, &s, NULL), COAMING_OK);
    ck_assert_int_eq(stiff_on(s, 1, &t, y, NULL, &any, &error), COAMING_INTERNAL);
    ck_assert_ptr_nonnull(strstr(error.message, "cannot be solved"));
    stiff_free(s);
}
END_TEST

/* A fast flow by the root of what is left to a mark that goes up and down, a second each way. */
static double to_mark(double t, double y)
{
    double part = fmod(t, 2);
    return y - (part < 1 ? part : 2 - part);
}

static bool root_flow(void *data, double t, const double *y, double *rates)
{
    (void)data;
    double by = to_mark(t, y[0]), size = fabs(by) + 1e-8;
    rates[0] = -1e3 * by / sqrt(size);
    return true;
}

static bool root_flow_jacobian(void *data, double t, const double *y, double *values)
{
    (void)data;
    double by = to_mark(t, y[0]), size = fabs(by) + 1e-8;
    values[0] = -1e3 * (1 / sqrt(size) - fabs(by) / (2 * size * sqrt(size)));
    return true;
}

/* To t = 20.5; *y: where it is then. */
static coaming_status go_by_root(bool corners, double *y, size_t *steps)
{
    static const int start[] = {0, 1}, row[] = {0};
    static const double least[] = {1e-3};
    const stiff_problem problem = {.count = 1,
                                   .start = start,
                                   .row = row,
                                   .relative = 1e-5,
                                   .absolute = least,
                                   .corners = corners,
                                   .rates = root_flow,
                                   .jacobian = root_flow_jacobian};
    stiff *s;
    double t;
    bool any;
    size_t rates;
    *y = 0;
    ck_assert_int_eq(stiff_new(&problem, 0, y, &s, NULL), COAMING_OK);
    coaming_status status = stiff_on(s, 20.5, &t, y, NULL, &any, NULL);
    stiff_cost(s, steps, &rates);
    stiff_free(s);
    return status;
}

/* By the library's own method it is not solved at all. */
START_TEST(corners_are_got_round)
{
    double y;
    size_t steps;
    ck_assert_int_eq(go_by_root(false, &y, &steps), COAMING_INTERNAL);
    ck_assert_int_eq(go_by_root(true, &y, &steps), COAMING_OK);
    ck_assert_double_eq_tol(y, 0.5, 1e-3);
    CLAIM(steps < 500, "%zu steps", steps);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("ode");
    TCase *all = tcase_create("stiff");
    tcase_add_test(all, decays_as_it_must);
    tcase_add_test(all, what_cannot_be_solved_is_told);
    tcase_add_test(all, corners_are_got_round);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
