/*
 * Righting arms: the curve of a set of flooded spaces is traced once and kept with it; where it
 * ends, at an opening or where the arm vanishes, is asked of the curve.
 */
#include <math.h>

#include "analyse/flotation/flotation.h"

static const double DEGREE = 57.29577951308232; /* in a radian */

/* The position at a fixed heel, trim free and displacement kept: for each trim the height, the trim's
 * lever brought to nothing by Newton. *trim and *d carry on to the next angle. */
static bool balance_by_turns(coaming_flotation *f, const bool *flooded, double heel, double *trim,
                             double *d, position *at)
{
    for (int step = 0; step < 50; step++) {
        if (!position_find(f, flooded, heel, *trim, *d, at))
            return false;
        *d = at->plane.d;
        if (fabs(at->lever[0]) < LEVER_LEAST)
            break;
        double stiff = at->guu > 0.1 ? at->guu : 0.1;
        double next = *trim + fmax(-0.1, fmin(0.1, at->lever[0] / stiff));
        if (next == *trim)
            break;
        *trim = next;
    }
    return true;
}

/* The same by trim and height together: near where she balances each cut of the hull then brings
 * both nearer, where by turns it takes some three for each trim. Far from there, or where it leads
 * nowhere in a few steps, it is found by turns. */
static bool balance(coaming_flotation *f, const bool *flooded, double heel, double *trim, double *d,
                    position *at)
{
    double t = *trim, height = *d;
    for (int step = 0; step < 12; step++) {
        double next_trim, next_height;
        if (!position_near(f, flooded, heel, t, height, at, &next_trim, &next_height))
            break;
        if (next_trim == t && next_height == height) {
            *trim = t;
            *d = height;
            return true;
        }
        t = next_trim;
        height = next_height;
    }
    return balance_by_turns(f, flooded, heel, trim, d, at);
}

bool upright_stable(coaming_flotation *f, const bool *flooded, const coaming_float *rest)
{
    position at;
    double trim = asin(-rest->normal[0]), d = rest->height;
    if (!balance(f, flooded, 0, &trim, &d, &at))
        return true; /* no such position: nothing to be said of it */
    return at.guu > 0 ? at.gvv - at.guv * at.guv / at.guu > 0 : at.gvv > 0;
}

/* What is followed over the heel: of which ship, to which side, and the plane it starts from. */
typedef struct {
    coaming_flotation *f;
    const bool *flooded;
    double side, trim, d;
    const opening_list *openings;
    int lowest; /* opening at the angle last asked for */
} course;

static double arm_at(course *c, double angle)
{
    position at;
    if (!balance(c->f, c->flooded, c->side * angle / DEGREE, &c->trim, &c->d, &at))
        return NAN;
    return -c->side * at.lever[1];
}

/* Least height of the openings above the plane. */
static double height_at(course *c, double angle)
{
    double least = INFINITY;
    plane p = plane_make(c->side * angle / DEGREE, c->trim, c->d, c->f->middle);
    coaming_float at = {.normal = {p.n[0], p.n[1], p.n[2]}, .height = p.d};
    for (size_t i = 0; i < c->openings->count; i++) {
        double height = coaming_float_height(c->f->ship, &at, c->openings->link[i]);
        if (height < least) {
            least = height;
            c->lowest = c->openings->link[i];
        }
    }
    return least;
}

static double balanced_height_at(course *c, double angle)
{
    return isnan(arm_at(c, angle)) ? NAN : height_at(c, angle);
}

/* Where a value that is above 0 at `low` and not at `high` gets to 0: regula falsi with the Illinois
 * rule, which keeps the bracket (M. Dowell and P. Jarratt, BIT 11, 1971, 168-174). */
static double vanishes(course *c, double (*value)(course *, double), double low, double high)
{
    double at_low = value(c, low), at_high = value(c, high);
    int kept = 0; /* which end stood still: -1 low, 1 high */
    for (int step = 0; step < 80 && high - low > 1e-10; step++) {
        double middle = low + (high - low) * at_low / (at_low - at_high);
        if (!(middle > low && middle < high) || step % 8 == 7)
            middle = (low + high) / 2;
        double found = value(c, middle);
        if (fabs(found) < 1e-13)
            return middle;
        if (found > 0) {
            low = middle;
            at_low = found;
            at_high = kept == 1 ? at_high / 2 : at_high;
            kept = 1;
        } else {
            high = middle;
            at_high = found;
            at_low = kept == -1 ? at_low / 2 : at_low;
            kept = -1;
        }
    }
    return (low + high) / 2;
}

/* The best place so far of a search for the greatest, those before it, and their values. */
typedef struct {
    double low, high; /* it lies between */
    double at[3], value[3];
    double step, before; /* of the last move and of that before it */
} climb;

/* The step to the top of the parabola through the three; NaN where it is no better than halving. */
static double parabola_step(const climb *c)
{
    double r = (c->at[0] - c->at[1]) * (c->value[2] - c->value[0]);
    double q = (c->at[0] - c->at[2]) * (c->value[1] - c->value[0]);
    double p = (c->at[0] - c->at[2]) * q - (c->at[0] - c->at[1]) * r;
    double step = p / (2 * (r - q));
    bool within = c->at[0] + step > c->low && c->at[0] + step < c->high;
    return within && fabs(step) < fabs(c->before) / 2 ? step : NAN;
}

/* Takes in a new place, and narrows what the greatest lies between. */
static void climb_take(climb *c, double at, double value)
{
    bool better = value >= c->value[0];
    double bound = better ? c->at[0] : at;
    if ((better ? at : c->at[0]) > bound)
        c->low = bound;
    else
        c->high = bound;
    int place = better ? 0 : value >= c->value[1] ? 1 : 2;
    for (int i = 2; i > place; i--) {
        c->at[i] = c->at[i - 1];
        c->value[i] = c->value[i - 1];
    }
    c->at[place] = at;
    c->value[place] = value;
}

/* The greatest arm between two angles, by parabolas and golden section (R. P. Brent, "Algorithms for
 * Minimization without Derivatives", 1973, chapter 5): near its top the curve has one hump. The angle
 * is found to 1e-4 degrees, so that the arm is to some 1e-11 m. */
static double greatest_between(course *c, double low, double high)
{
    const double part = 0.3819660112501051, least = 1e-4;
    double first = low + part * (high - low), gz = arm_at(c, first);
    climb k = {low, high, {first, first, first}, {gz, gz, gz}, 0, 0};
    for (int step = 0; step < 40; step++) {
        double middle = (k.low + k.high) / 2;
        if (!(fabs(k.at[0] - middle) + (k.high - k.low) / 2 > 2 * least))
            break;
        double move = k.at[1] != k.at[2] ? parabola_step(&k) : NAN;
        bool golden = isnan(move);
        k.before = golden ? (k.at[0] < middle ? k.high : k.low) - k.at[0] : k.step;
        k.step = golden ? part * k.before : move;
        if (fabs(k.step) < least)
            k.step = copysign(least, golden ? k.step : middle - k.at[0]);
        climb_take(&k, k.at[0] + k.step, arm_at(c, k.at[0] + k.step));
    }
    return fmax(k.value[0], 0);
}

/* The curve up to its angle `index`, traced as far as it is asked for. */
static double arm_on_grid(coaming_flotation *f, const bool *flooded, arm_curve *a, int index)
{
    course c = {.f = f, .flooded = flooded, .side = a->side, .trim = a->trim, .d = a->d};
    if (a->traced) {
        c.trim = a->trims[a->traced - 1];
        c.d = a->ds[a->traced - 1];
    }
    for (; a->traced <= index; a->traced++) {
        a->gz[a->traced] = arm_at(&c, a->traced * COAMING_RIGHTING_STEP);
        a->trims[a->traced] = c.trim;
        a->ds[a->traced] = c.d;
    }
    return a->gz[index];
}

arm_curve *arms_of(coaming_flotation *f, const bool *flooded, const coaming_float *at, double side)
{
    arm_curve *a = kept_arms(f, flooded, side);
    if (!a) {
        a = &f->spare;
        a->begun = false;
    }
    if (!a->begun)
        *a = (arm_curve){.begun = true,
                         .side = side,
                         .start = fabs(at->heel) < 1e-6 ? 0 : side * at->heel,
                         .trim = asin(-at->normal[0]),
                         .d = at->height};
    return a;
}

bool arms_rise(coaming_flotation *f, const bool *flooded, arm_curve *a)
{
    int next = (int)floor(a->start / COAMING_RIGHTING_STEP) + 1;
    return next < COAMING_RIGHTING_ARMS && arm_on_grid(f, flooded, a, next) > 0;
}

/* Beyond so much neither counts in a grade: the caps of SOLAS II-1/7-2. */
static bool is_enough(arm_detail detail, double range, double greatest)
{
    return detail != ARMS_ALL && range >= 16 && greatest >= 0.12;
}

void arms_measure(coaming_flotation *f, const bool *flooded, arm_curve *a, double limit,
                  arm_detail detail, coaming_righting *r)
{
    double last = a->start, end = a->start, best = a->start;
    course c = {.f = f, .flooded = flooded, .side = a->side, .trim = a->trim, .d = a->d};
    r->range = r->greatest = 0;
    for (int i = 0; i <= COAMING_RIGHTING_ARMS && last < limit; i++) {
        bool on_grid = i < COAMING_RIGHTING_ARMS && i * COAMING_RIGHTING_STEP <= limit;
        double heel = on_grid ? i * COAMING_RIGHTING_STEP : limit;
        if (heel <= a->start)
            continue;
        double gz = on_grid ? arm_on_grid(f, flooded, a, i) : arm_at(&c, heel);
        if (!(gz > 0)) {
            end = vanishes(&c, arm_at, last, heel);
            break;
        }
        best = gz > r->greatest ? heel : best;
        r->greatest = fmax(r->greatest, gz);
        end = last = heel;
        if (is_enough(detail, end - a->start, r->greatest))
            break;
        if (on_grid) {
            c.trim = a->trims[i];
            c.d = a->ds[i];
        }
    }
    r->range = end - a->start;
    double low = fmax(a->start, best - COAMING_RIGHTING_STEP);
    double high = fmin(end, best + COAMING_RIGHTING_STEP);
    c.trim = a->trim;
    c.d = a->d;
    if (high > low && !(detail != ARMS_ALL && r->greatest >= 0.12))
        r->greatest = fmax(r->greatest, greatest_between(&c, low, high));
}

bool arms_flooding(coaming_flotation *f, const bool *flooded, arm_curve *a,
                   const opening_list *openings, double end, double *angle, int *which)
{
    course c = {.f = f,
                .flooded = flooded,
                .side = a->side,
                .trim = a->trim,
                .d = a->d,
                .openings = openings,
                .lowest = -1};
    double last = a->start;
    *angle = a->start;
    *which = -1;
    bool under = openings->count && height_at(&c, a->start) < 0;
    for (int i = 0; i < COAMING_RIGHTING_ARMS && openings->count && !under && last < end; i++) {
        double heel = i * COAMING_RIGHTING_STEP;
        if (heel <= a->start)
            continue;
        if (isnan(arm_on_grid(f, flooded, a, i)))
            break;
        c.trim = a->trims[i];
        c.d = a->ds[i];
        under = height_at(&c, heel) < 0;
        if (under)
            *angle = vanishes(&c, balanced_height_at, last, heel);
        last = heel;
    }
    if (under)
        *which = c.lowest;
    return under;
}

void arms_put(coaming_flotation *f, const bool *flooded, arm_curve *a, coaming_righting *righting)
{
    for (int i = 0; i < COAMING_RIGHTING_ARMS; i++)
        righting->arm[i] = (coaming_righting_arm){a->side * i * COAMING_RIGHTING_STEP,
                                                  arm_on_grid(f, flooded, a, i)};
}

bool righting_worse(const coaming_righting *a, const coaming_righting *b)
{
    return a->range < b->range - 1e-6 ||
           (a->range < b->range + 1e-6 && a->greatest < b->greatest - 1e-9);
}

static void to_side(coaming_flotation *f, const bool *flooded, const coaming_float *at, double side,
                    coaming_righting *r)
{
    arm_curve *a = arms_of(f, flooded, at, side);
    arms_measure(f, flooded, a, COAMING_HEEL_MOST, ARMS_ALL, r);
    arms_put(f, flooded, a, r);
}

void coaming_flotation_righting(coaming_flotation *f, const bool *flooded, const coaming_float *at,
                                coaming_righting *righting)
{
    coaming_righting starboard;
    to_side(f, flooded, at, at->heel < -1e-6 ? -1 : 1, righting);
    if (fabs(at->heel) > 1e-6)
        return;
    to_side(f, flooded, at, -1, &starboard); /* upright she may go either way */
    if (righting_worse(&starboard, righting))
        *righting = starboard;
}
