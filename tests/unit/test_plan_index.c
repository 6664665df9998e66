/*
 * Plans by the expected index, against all sets of repairs and plain enumeration.
 *
 * Of each random ship every set of opened spaces is settled and graded in each state of her uncertain
 * closures by itself (rest_plain.h); what any set of repairs comes to is then a sum over states. Which
 * damage opens what, and how likely, is asked of cases.h, which is checked elsewhere.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/plan/planner.h"
#include "analyse/survival/cases.h"
#include "analyse/survival/repaired.h"
#include "coaming/likelihood.h"
#include "rest_plain.h"
#include "runner.h"
#include "ship/rules.h"
#include "ship/standing.h"
#include "ships.h"

enum { SHIPS = 40, UNCERTAIN_LEAST = 3, FEW = 3, MANY = 6, EVERY_MANY = 12 };

static int number_of_ship;

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

/* Three or four holds, each with a bottom or a wing, or neither; chances and hours of all sorts. */
static void put_holds(FILE *out, dice *d, int holds, int *spaces)
{
    for (int i = 0; i < holds; i++) {
        int x0 = 60 * i / holds, x1 = 60 * (i + 1) / holds, how = dice_below(d, 3);
        fprintf(out,
                "<space id=\"h%d\" name=\"n\" shell=\"yes\" permeability=\"0.%d\"><box x=\"%d %d\" "
                "y=\"%d 6\" z=\"%d 7\"/></space>",
                i, 6 + dice_below(d, 4), x0, x1, how == 1 ? -2 : -6, how == 2 ? 2 : 0);
        *spaces += 1;
        if (how)
            fprintf(out,
                    "<space id=\"w%d\" name=\"n\" shell=\"yes\"><box x=\"%d %d\" y=\"-6 %d\" "
                    "z=\"0 %d\"/></space>",
                    i, x0, x1, how == 1 ? -2 : 6, how == 2 ? 2 : 7);
    }
}

static void put_closure(FILE *out, dice *d, int number, int holds, bool sure)
{
    static const char *const chances[] = {"0.3", "0.05", "0.9", "1", "0.45", "0.8"};
    int a = dice_below(d, holds), b = dice_below(d, 5) ? (a + 1) % holds : -1, hours;
    fprintf(
        out,
        "<closure id=\"c%d\" kind=\"door\" rating=\"%s\" leak-probability=\"%s\" between=\"h%d ",
        number, sure ? "weathertight" : "watertight", chances[dice_below(d, 6)], a);
    if (b < 0)
        fputs("weather\"", out);
    else
        fprintf(out, "h%d\"", b);
    hours = dice_below(d, 7);
    if (hours < 6)
        fprintf(out, " hours=\"%d.5\"", hours);
    fprintf(out,
            "><clear x=\"%d\" y=\"%d\" z=\"%d.%d\" width=\"0.6\" height=\"1\" lies=\"deck\"/>"
            "</closure>",
            60 * (a + 1) / holds % 60, dice_below(d, 7) - 3, b < 0 ? 7 : 2 + dice_below(d, 5),
            dice_below(d, 10));
}

static char *random_ship(int number, bool backwards)
{
    dice d = {(uint64_t)number * 977 + 5};
    char *text = NULL;
    size_t size;
    int spaces = 0, holds = 3 + dice_below(&d, 2);
    int most = number % EVERY_MANY ? FEW : MANY;
    int uncertain = UNCERTAIN_LEAST + dice_below(&d, most), others = dice_below(&d, 2);
    FILE *out = open_memstream(&text, &size);
    fprintf(out, "<ship length=\"60\" beam=\"12\" depth=\"7\" draft=\"%d.%d\" kg=\"4.%d\"/>",
            2 + dice_below(&d, 2), dice_below(&d, 10), dice_below(&d, 8));
    put_holds(out, &d, holds, &spaces);
    for (int i = 0; i < uncertain + others; i++) {
        int c = backwards ? uncertain + others - 1 - i : i;
        dice own = {(uint64_t)number * 31 + (uint64_t)c * 7919};
        put_closure(out, &own, c, holds, c >= uncertain);
    }
    fclose(out);
    return text;
}

/* --- the oracle --- */

typedef struct {
    question q;
    double mended[CLOSURES];
    damage_cases *sets;
    case_list list;
    double *s; /* by set and state */
} truth;

static void settle_set(truth *t, size_t set)
{
    space_set opened = damage_cases_set(t->sets, set);
    t->q.opened = opened.spaces;
    t->q.opened_count = opened.count;
    for (int state = 0; state < 1 << t->q.count; state++) {
        rest r;
        plain_rest(&t->q, state, &r);
        t->s[(set << t->q.count) + (size_t)state] = r.s;
    }
}

static bool truth_of(const coaming_ship *ship, truth *t)
{
    memset(t, 0, sizeof *t);
    t->q.ship = ship;
    if (coaming_flotation_new(ship, COAMING_NO_LOADING, &t->q.flotation, NULL) != COAMING_OK)
        return false;
    coaming_likelihood_all(ship, t->q.leaks);
    for (int c = 0; c < (int)ship->closure_count; c++)
        t->mended[c] = t->q.leaks[c] * (1 - coaming_likelihood_planned_success(ship, c, NULL));
    list_uncertain(&t->q);
    MUST(damage_cases_new(ship, ship->draught, &t->sets, NULL) == COAMING_OK);
    MUST(damage_cases_list(t->sets, ship->draught, &t->list, NULL) == COAMING_OK);
    size_t sets = damage_cases_set_count(t->sets);
    t->s = calloc(sets << t->q.count, sizeof *t->s);
    for (size_t i = 0; i < sets; i++)
        settle_set(t, i);
    return true;
}

static void truth_free(truth *t)
{
    coaming_flotation_free(t->q.flotation);
    case_list_free(&t->list);
    damage_cases_free(t->sets);
    free(t->s);
}

/* The place of the extent of which least s is expected, and what is. */
static double worst_extent(const truth *t, const question *q, const damage_case *c, size_t *which)
{
    double least = INFINITY;
    for (size_t e = 0; e < c->extent_count; e++) {
        double s = 0;
        for (int state = 0; state < 1 << q->count; state++)
            s += chance_of(q, state) * t->s[(c->extents[e] << q->count) + (size_t)state];
        if (s < least - 1e-12) {
            least = s;
            *which = c->extents[e];
        }
    }
    return least;
}

/* The index with some of the uncertain closures repaired, by bits. */
static double index_with(const truth *t, int set)
{
    question q = t->q;
    double index = 0;
    size_t which = 0;
    for (int i = 0; i < q.count; i++)
        if (set & 1 << i)
            q.leaks[q.uncertain[i]] = t->mended[q.uncertain[i]];
    for (size_t i = 0; i < t->list.count; i++)
        index += t->list.cases[i].weight / 2 * worst_extent(t, &q, &t->list.cases[i], &which);
    return index;
}

/* What the index is less if closure i leaks for certain than if not, the extents as they are. */
static double effect_of(const truth *t, int i)
{
    question sure = t->q;
    double effect = 0;
    for (size_t k = 0; k < t->list.count; k++) {
        size_t which = 0;
        worst_extent(t, &t->q, &t->list.cases[k], &which);
        for (int leaks = 0; leaks < 2; leaks++) {
            sure.leaks[sure.uncertain[i]] = leaks;
            for (int state = 0; state < 1 << sure.count; state++)
                effect += (leaks ? -1 : 1) * t->list.cases[k].weight / 2 * chance_of(&sure, state) *
                          t->s[(which << sure.count) + (size_t)state];
        }
    }
    return effect;
}

static double hours_of(const truth *t, int set)
{
    double hours = 0;
    for (int i = 0; i < t->q.count; i++)
        if (set & 1 << i)
            hours += fmax(t->q.ship->links[t->q.uncertain[i]].hours, 0.05);
    return hours;
}

static bool can_be_made(const truth *t, int set, double hours)
{
    for (int i = 0; i < t->q.count; i++)
        if (set & 1 << i && t->q.ship->links[t->q.uncertain[i]].hours < 0)
            return false;
    return hours_of(t, set) <= hours + 1e-9;
}

static int bit_of(const truth *t, int closure)
{
    for (int i = 0; i < t->q.count; i++)
        if (t->q.uncertain[i] == closure)
            return 1 << i;
    return 0;
}

/* --- the checks --- */

static struct {
    int ships, plans, repairs, tests, together, sampled, best, costs, rests, wholes, guessed;
    double squares, test_off;
} seen;

static coaming_plan *plan_of(const coaming_ship *ship, double hours, int exhaustive, double within,
                             size_t work)
{
    coaming_plan *plan = NULL;
    coaming_error error = {0};
    coaming_survival_options how = coaming_survival_options_default();
    how.within = within;
    how.work = work;
    coaming_status status = plan_survival(ship, &how, hours, exhaustive, 0, &plan, &error);
    CLAIM(status == COAMING_OK, "ship %d: %s", number_of_ship, error.message);
    return plan;
}

static int set_of(const truth *t, const coaming_plan *plan)
{
    int set = 0;
    for (size_t i = 0; i < plan->repair_count; i++) {
        int bit = bit_of(t, plan->repairs[i].closure);
        MUST(bit && !(set & bit));
        set |= bit;
    }
    return set;
}

static bool encloses(const coaming_survival_limits *l, double exact)
{
    return l->low <= exact + 1e-9 && l->high >= exact - 1e-9;
}

static int best_set(const truth *t, const double *index, double hours, bool *alone)
{
    int best = 0;
    for (int set = 1; set < 1 << t->q.count; set++)
        if (can_be_made(t, set, hours) &&
            (index[set] > index[best] + 1e-9 ||
             (index[set] > index[best] - 1e-9 && hours_of(t, set) < hours_of(t, best) - 1e-9)))
            best = set;
    *alone = true;
    for (int set = 0; set < 1 << t->q.count; set++)
        if (set != best && can_be_made(t, set, hours) && index[set] > index[best] - 1e-7)
            *alone = false;
    return best;
}

/* Gains one on top of the other, and alone, of sets that are never added up. */
static void check_repairs(const truth *t, const double *index, const coaming_plan *plan)
{
    int set = 0;
    double singles = 0;
    for (size_t i = 0; i < plan->repair_count; i++) {
        const coaming_plan_repair *r = &plan->repairs[i];
        int bit = bit_of(t, r->closure);
        MUST(fabs(r->gain - (index[set | bit] - index[set])) < 1e-7);
        MUST(fabs(r->alone - (index[bit] - index[0])) < 1e-7);
        for (size_t k = i + 1; k < plan->repair_count; k++)
            MUST(index[set | bit_of(t, plan->repairs[k].closure)] - index[set] < r->gain + 1e-7);
        set |= bit;
        singles += r->alone;
    }
    seen.repairs += (int)plan->repair_count;
    seen.together += fabs(singles - (index[set] - index[0])) > 1e-6;
}

/* Value of a test by its two results, each with what is best done then. Of samples (no tolerance) one may lie
 * far off, for no error is told of it; all together may not. */
static void check_tests(const truth *t, const coaming_plan *plan, double tolerance)
{
    for (size_t i = 0; i < plan->test_count; i++) {
        const coaming_plan_test *test = &plan->tests[i];
        const ship_link *l = &t->q.ship->links[test->closure];
        int method = 0, place = 0;
        bool assumed;
        while (strcmp(method_words[method], test->method))
            method++;
        while (t->q.uncertain[place] != test->closure)
            place++;
        method_quality q = standing_quality(t->q.ship, (test_method)method, &assumed);
        double p = t->q.leaks[test->closure], effect = effect_of(t, place), spent[3] = {0};
        double success = coaming_likelihood_planned_success(t->q.ship, test->closure, NULL);
        double joint[2][2] = {{(1 - p) * q.specificity, p * (1 - q.sensitivity)},
                              {(1 - p) * (1 - q.specificity), p * q.sensitivity}};
        for (int result = 0; result < 3; result++) { /* pass, fail, not asked */
            double sound = result < 2 ? joint[result][0] : 1 - p;
            double leaks = result < 2 ? joint[result][1] : p;
            double repair = (sound + leaks) * plan->price * fmax(l->hours, 0.05);
            spent[result] = fmin(leaks * effect, repair + leaks * (1 - success) * effect);
        }
        MUST(fabs(test->fails - (joint[1][0] + joint[1][1])) < 1e-12);
        double off = test->value - (spent[2] - spent[0] - spent[1]);
        CLAIM(fabs(off) < tolerance, "ship %d: a test is worth %g, not %g", number_of_ship,
              test->value, test->value - off);
        seen.test_off += isinf(tolerance) ? off : 0;
        seen.guessed += isinf(tolerance);
        seen.tests++;
    }
}

/* What is lost is what the index is less than 1, now and after, and gains lead from one to the other. */
static void check_sums(const coaming_plan *plan)
{
    double gains = 0;
    for (size_t i = 0; i < plan->repair_count; i++)
        gains += plan->repairs[i].gain;
    CLAIM(fabs(plan->expected + plan->index->now.value - 1) < 1e-12,
          "ship %d: %.9f lost, index %.9f", number_of_ship, plan->expected, plan->index->now.value);
    CLAIM(fabs(plan->after + plan->index->after.value - 1) < 1e-12,
          "ship %d: %.9f lost after, index %.9f", number_of_ship, plan->after,
          plan->index->after.value);
    MUST(fabs(gains - (plan->expected - plan->after)) < 1e-12);
}

/* The list stops where the rest gains nothing; from where on that is not told is within its error. */
static void check_rest(const truth *t, const double *index, const coaming_plan *plan)
{
    const coaming_plan_index *x = plan->index;
    int set = 0, some = 0;
    double left = 0;
    for (size_t i = plan->repair_count; i-- > 0;) {
        left += plan->repairs[i].gain;
        CLAIM(left > 0, "ship %d: from %zu on all gains %g", number_of_ship, i, left);
        MUST(i != x->told || fabs(left - x->rest_gain) < 1e-12);
        set |= bit_of(t, plan->repairs[i].closure);
        some |= i < x->told ? bit_of(t, plan->repairs[i].closure) : 0;
    }
    MUST(x->told <= plan->repair_count);
    MUST(x->rest_gain <= 2 * x->rest_error);
    MUST(x->told < plan->repair_count || (x->rest_gain == 0 && x->rest_error == 0));
    if (x->told == plan->repair_count)
        return;
    double off = x->rest_gain - (index[set] - index[some]);
    CLAIM(fabs(off) <= 6 * x->rest_error, "ship %d: the rest gains %g +- %g, not %g",
          number_of_ship, x->rest_gain, x->rest_error, index[set] - index[some]);
    if (!x->told) /* the change of all, from the other end: weights alone differ */
        CLAIM(x->rest_error > x->gain_error / 3 && x->rest_error < 3 * x->gain_error,
              "ship %d: standard error %g, not as %g", number_of_ship, x->rest_error,
              x->gain_error);
    seen.rests++;
    seen.wholes += !x->told;
}

/* Chosen by samples: limits enclose what its set comes to, and the gain is as near as it says. */
static void check_sampled(const truth *t, const double *index, double hours, size_t work)
{
    const double within = 0.001; /* what trees may leave open, and yet be exact */
    coaming_plan *plan = plan_of(t->q.ship, hours, COAMING_PLAN_EXHAUSTIVE, within, work);
    int set = set_of(t, plan);
    double gain = plan->expected - plan->after, error = plan->index->gain_error;
    MUST(can_be_made(t, set, hours));
    MUST(encloses(&plan->index->now, index[0]));
    MUST(encloses(&plan->index->after, index[set]));
    check_sums(plan);
    check_rest(t, index, plan);
    check_tests(t, plan, INFINITY);
    for (int other = 0; other < 1 << t->q.count; other++)
        MUST(!can_be_made(t, other, 1e9) || plan->exhaustive ||
             index[other] - index[0] <= plan->gain_limit + 1e-9);
    CLAIM(!plan->exact || fabs(gain - (index[set] - index[0])) <= within,
          "ship %d, work %zu: exact, but gains %g, not %g", number_of_ship, work, gain,
          index[set] - index[0]);
    if (!plan->exact && error > 0) {
        double off = gain - (index[set] - index[0]);
        CLAIM(fabs(off) <= 6 * error + 0.02, "ship %d, work %zu: gains %g +- %g, not %g",
              number_of_ship, work, gain, error, index[set] - index[0]);
        seen.squares += off * off / (error * error);
        seen.sampled++;
    }
    coaming_plan_free(plan);
}

static void check_hours(const truth *t, const double *index, double hours)
{
    bool alone;
    int best = best_set(t, index, hours, &alone);
    coaming_plan *plan = plan_of(t->q.ship, hours, COAMING_PLAN_EXHAUSTIVE, 1e-10, 0);
    int set = set_of(t, plan);
    int all = 0;
    for (int i = 0; i < t->q.count; i++)
        all |= t->q.ship->links[t->q.uncertain[i]].hours >= 0 ? 1 << i : 0;
    MUST(plan->exact && plan->exhaustive);
    CLAIM(fabs(plan->bound - (index[all] - index[0])) < 1e-8,
          "ship %d: everything gains %g, not %g", number_of_ship, plan->bound,
          index[all] - index[0]);
    seen.costs += plan->bound < -1e-6;
    MUST(can_be_made(t, set, hours) && fabs(plan->hours - hours_of(t, set)) < 1e-9);
    MUST(fabs(plan->index->now.value - index[0]) < 1e-8);
    CLAIM(fabs(plan->index->after.value - index[set]) < 1e-8, "ship %d: set %x is %.9f, not %.9f",
          number_of_ship, (unsigned)set, plan->index->after.value, index[set]);
    MUST(encloses(&plan->index->after, index[set]));
    CLAIM(alone ? set == best : index[set] > index[best] - 1e-7,
          "ship %d, %g h: set %x gives %.9f, %x %.9f", number_of_ship, hours, (unsigned)set,
          index[set], (unsigned)best, index[best]);
    check_repairs(t, index, plan);
    check_tests(t, plan, 1e-7);
    coaming_plan_free(plan);
    plan = plan_of(t->q.ship, hours, 0, 1e-10, 0);
    set = set_of(t, plan);
    MUST((!plan->exhaustive || !plan->repair_count) && can_be_made(t, set, hours));
    MUST(fabs(plan->index->after.value - index[set]) < 1e-8);
    MUST(index[best] - index[0] <= plan->gain_limit + 1e-8);
    seen.best += index[set] > index[best] - 1e-7;
    seen.plans++;
    coaming_plan_free(plan);
    check_sampled(t, index, hours, 40);
    check_sampled(t, index, hours, 300);
}

/* The same ship, her closures written in the other order. */
static void check_backwards(const coaming_ship *ship, double hours)
{
    char *text = random_ship(number_of_ship, true);
    coaming_ship *other = ship_from_elements(text);
    coaming_plan *plan[] = {plan_of(ship, hours, COAMING_PLAN_EXHAUSTIVE, 1e-10, 0),
                            plan_of(other, hours, COAMING_PLAN_EXHAUSTIVE, 1e-10, 0)};
    MUST(fabs(plan[0]->index->after.value - plan[1]->index->after.value) < 1e-8);
    MUST(fabs(plan[0]->hours - plan[1]->hours) < 1e-9);
    coaming_plan_free(plan[0]);
    coaming_plan_free(plan[1]);
    coaming_ship_free(other);
    free(text);
}

/* Whoever works out what, to the bit. */
static void check_threads(const coaming_ship *ship, double hours)
{
    coaming_survival_options how = coaming_survival_options_default();
    coaming_plan *one = NULL, *more = NULL;
    how.work = 40;
    MUST(plan_survival(ship, &how, hours, COAMING_PLAN_EXHAUSTIVE, 1, &one, NULL) == COAMING_OK);
    MUST(plan_survival(ship, &how, hours, COAMING_PLAN_EXHAUSTIVE, 3, &more, NULL) == COAMING_OK);
    MUST(!memcmp(one->index, more->index, sizeof *one->index));
    MUST(one->repair_count == more->repair_count && one->test_count == more->test_count);
    for (size_t i = 0; i < one->repair_count; i++)
        MUST(one->repairs[i].closure == more->repairs[i].closure &&
             !memcmp(&one->repairs[i].gain, &more->repairs[i].gain, 2 * sizeof(double)));
    for (size_t i = 0; i < one->test_count; i++)
        MUST(!memcmp(&one->tests[i].value, &more->tests[i].value, sizeof(double)));
    coaming_plan_free(one);
    coaming_plan_free(more);
}

static void check_ship(const coaming_ship *ship)
{
    truth t;
    dice d = {(uint64_t)number_of_ship + 3};
    if (!truth_of(ship, &t)) {
        truth_free(&t);
        return;
    }
    double *index = calloc((size_t)1 << t.q.count, sizeof *index);
    for (int set = 0; set < 1 << t.q.count; set++)
        index[set] = index_with(&t, set);
    check_hours(&t, index, 0.2);
    check_hours(&t, index, 2 + dice_below(&d, 4));
    check_hours(&t, index, 5 + dice_below(&d, 8));
    check_backwards(ship, 5);
    check_threads(ship, 5);
    seen.ships++;
    free(index);
    truth_free(&t);
}

/* Ships to draw. */
static int how_many(void)
{
    const char *asked = getenv("COAMING_PLAN_SHIPS");
    return asked ? atoi(asked) : SHIPS;
}

START_TEST(plans_agree_with_enumeration)
{
    int most = how_many();
    for (number_of_ship = 0; number_of_ship < most; number_of_ship++) {
        char *text = random_ship(number_of_ship, false);
        coaming_ship *ship = ship_from_elements(text);
        check_ship(ship);
        coaming_ship_free(ship);
        free(text);
    }
    printf(
        "%d ships, %d plans, %d repairs, %d plans whose gains do not add up; the search found the "
        "best %d times; %d tests; %d plans sampled, %.2f standard errors (rms)\n",
        seen.ships, seen.plans, seen.repairs, seen.together, seen.best, seen.tests, seen.sampled,
        sqrt(seen.squares / seen.sampled));
    printf("of samples %d tests, off by %g\n", seen.guessed, seen.test_off / seen.guessed);
    ck_assert_int_gt(seen.ships, most * 2 / 3);
    ck_assert_int_gt(seen.repairs, most);
    ck_assert_int_gt(seen.tests, most / 2);
    ck_assert_int_gt(seen.together, most / 10);
    ck_assert_int_gt(seen.sampled, most / 2);
    ck_assert_int_gt(seen.costs, 0);
    ck_assert_int_gt(seen.rests, 0);
    ck_assert_int_gt(seen.wholes, 0);
    ck_assert_int_ge(seen.best, seen.plans - 1 - seen.plans / 20);
    ck_assert_double_lt(seen.squares / seen.sampled, 2);
    ck_assert_int_gt(seen.guessed, most / 2);
    /* the least of guesses is too low, so a test is worth a little too much */
    ck_assert_double_lt(fabs(seen.test_off / seen.guessed), 0.01);
}
END_TEST

/* Fourteen doors in one bulkhead, each of another chance: of more than are tried on top of each other the one that gains
 * most by itself is listed first, wherever it stands in the file and however long it
 * takes. */
static coaming_ship *many_doors(int turned, double hours)
{
    enum { DOORS = 14 };
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    fputs("<ship length=\"60\" beam=\"12\" depth=\"7\" draft=\"3\" kg=\"5\"/>", out);
    for (int i = 0; i < 3; i++)
        fprintf(out,
                "<space id=\"h%d\" name=\"n\" shell=\"yes\"><box x=\"%d %d\" y=\"-6 6\" z=\"0 "
                "7\"/></space>",
                i, 20 * i, 20 * i + 20);
    for (int i = 0; i < DOORS; i++)
        fprintf(out,
                "<closure id=\"c%d\" kind=\"door\" rating=\"watertight\" between=\"h1 h2\" "
                "hours=\"%g\" leak-probability=\"%.2f\"><clear x=\"40\" y=\"0\" z=\"1\" "
                "width=\"0.6\" height=\"1\" lies=\"transverse\"/></closure>",
                i, (i + turned) % DOORS == DOORS - 1 ? hours : 1,
                0.02 + 0.01 * ((i + turned) % DOORS));
    fclose(out);
    coaming_ship *ship = ship_from_elements(text);
    free(text);
    return ship;
}

START_TEST(of_many_the_greatest_alone_is_first)
{
    static const double hours[] = {1, 1.1, 13}; /* by the hour it is first, second and last */
    for (number_of_ship = 0; number_of_ship < 6; number_of_ship++) {
        coaming_ship *ship = many_doors(5 * number_of_ship, hours[number_of_ship % 3]);
        coaming_plan *plan = plan_of(ship, 30, 0, 1e-10, 0);
        MUST(plan->repair_count == 14);
        for (size_t i = 0; i < 2; i++)
            for (size_t k = i + 1; k < plan->repair_count; k++)
                CLAIM(plan->repairs[i].alone >= plan->repairs[k].alone,
                      "ship %d: %zu gains %g alone, %zu %g", number_of_ship, i,
                      plan->repairs[i].alone, k, plan->repairs[k].alone);
        MUST(plan->repairs[0].alone > plan->repairs[1].alone + 1e-6);
        coaming_plan_free(plan);
        coaming_ship_free(ship);
    }
}
END_TEST

/* Without options it is planned as by default. */
START_TEST(without_options_as_by_default)
{
    char *text = random_ship(1, false);
    coaming_ship *ship = ship_from_elements(text);
    const coaming_survival_options usual = coaming_survival_options_default();
    coaming_plan *plan[2] = {NULL, NULL};
    for (int i = 0; i < 2; i++)
        ck_assert_int_eq(coaming_plan_survival_new(ship, i ? &usual : NULL, 5, &plan[i], NULL),
                         COAMING_OK);
    ck_assert_mem_eq(plan[0]->index, plan[1]->index, sizeof *plan[0]->index);
    ck_assert_uint_eq(plan[0]->repair_count, plan[1]->repair_count);
    ck_assert_uint_gt(plan[0]->repair_count, 0);
    coaming_plan_free(plan[0]);
    coaming_plan_free(plan[1]);
    coaming_ship_free(ship);
    free(text);
}
END_TEST

/* Asked again, after other questions, the index is the same: also where trees have grown for other chances, by closures
 * that nothing hung on before. */
START_TEST(an_index_does_not_hang_on_what_was_asked_before)
{
    static const char *const mended[] = {"W2", "D7", "H3"};
    coaming_ship *ship = ship_with_history("2026-11-10");
    size_t closures = ship->closure_count;
    double *leaks = memory_new(closures, sizeof *leaks),
           *least = memory_new(closures, sizeof *least);
    coaming_survival_options options = coaming_survival_options_default();
    coaming_survival_limits limits;
    repaired *r = NULL;
    double off;
    options.within = 0.02;
    options.work = 0;
    options.loading = 0;
    coaming_likelihood_all(ship, leaks);
    for (size_t c = 0; c < closures; c++)
        least[c] = 0.1 * leaks[c];
    ck_assert_int_eq(repaired_new(ship, &options, leaks, least, 1, &r, NULL), COAMING_OK);
    size_t all = sizeof mended / sizeof *mended; /* each takes a second: one in the quick tier */
    for (size_t i = 0; i < (how_many() > SHIPS ? all : 1); i++) {
        int c;
        double first, again, as_is, before;
        ck_assert_int_eq(coaming_find_closure(ship, mended[i], &c, NULL), COAMING_OK);
        before = leaks[c];
        ck_assert_int_eq(repaired_index(r, leaks, &as_is, NULL), COAMING_OK);
        leaks[c] = least[c];
        ck_assert_int_eq(repaired_index(r, leaks, &first, NULL), COAMING_OK);
        ck_assert_int_eq(repaired_limits(r, &limits, &off, NULL), COAMING_OK);
        ck_assert_int_eq(repaired_index(r, leaks, &again, NULL), COAMING_OK);
        CLAIM(fabs(again - first) < 1e-11, "%s: %.12g, then %.12g", mended[i], first, again);
        leaks[c] = before;
        ck_assert_int_eq(repaired_index(r, leaks, &again, NULL), COAMING_OK);
        CLAIM(fabs(again - as_is) < 1e-11, "%s: %.12g, then %.12g", mended[i], as_is, again);
    }
    repaired_free(r);
    memory_free(leaks);
    memory_free(least);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("plans by the index");
    TCase *many = tcase_create("random ships");
    tcase_add_test(many, plans_agree_with_enumeration);
    tcase_add_test(many, of_many_the_greatest_alone_is_first);
    tcase_add_test(many, without_options_as_by_default);
    tcase_add_test(many, an_index_does_not_hang_on_what_was_asked_before);
    suite_add_tcase(suite, many);
    return run_suite(suite);
}
