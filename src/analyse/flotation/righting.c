/*
 * Righting arms: the curve of a set of flooded spaces is traced once and kept with it; where it
 * ends, at an opening or where the arm vanishes, is asked of the curve.
 */
#include <math.h>

#include "analyse/flotation/flotation.h"
#include "base/cubic.h"

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

/* How near by trim (radians) and by a slice of the waterplane (m) is near enough to go the rest of the
 * way to first order: what that leaves out is some 1e-13 m of the arm. */
static const double NEAR_TRIM = 1e-7, NEAR_SLICE = 1e-6;

/* The same by trim and height together: near where she balances each cut of the hull then brings
 * both nearer, where by turns it takes some three for each trim. Far from there, or where it leads
 * nowhere in a few steps, it is found by turns. *to: on from *trim and *d, which are balanced. */
static bool balance(coaming_flotation *f, const bool *flooded, double heel, double *trim, double *d,
                    position *at, nearing *to)
{
    double t = *trim, height = *d;
    for (int step = 0; step < 12; step++) {
        if (!position_near(f, flooded, heel, t, height, at, to))
            break;
        t += to->by;
        height += to->raise;
        if (fabs(to->by) < NEAR_TRIM && fabs(to->slice) < NEAR_SLICE) {
            *trim = t;
            *d = height;
            return true;
        }
    }
    if (!balance_by_turns(f, flooded, heel, trim, d, at))
        return false;
    position_rates(f, at, to);
    return true;
}

/* A curve as it is worked on: of which ship, and the openings that are looked at. */
typedef struct {
    coaming_flotation *f;
    const bool *flooded;
    arm_curve *curve;
    const opening_list *openings;
    int lowest; /* opening at the place last looked at */
} course;

/* Where she balances at an angle, from a plane about there. */
static arm_place place_near(const course *c, double angle, double trim, double d)
{
    position at;
    nearing to;
    double side = c->curve->side;
    arm_place p = {angle, NAN, trim, d, NAN, NAN, NAN, true};
    if (!balance(c->f, c->flooded, side * angle / DEGREE, &p.trim, &p.d, &at, &to))
        return p;
    p.gz = -side * to.lever;
    p.gz_rate = -to.lever_rate;
    p.trim_rate = side * to.trim_rate;
    p.d_rate = side * to.d_rate;
    p.stable = at.guu > 0 ? p.gz_rate > 0 : at.gvv > 0;
    return p;
}

/* Balanced at an angle; the plane to begin with is told by two places, or by the first alone where
 * they tell nothing. */
static arm_place place_by(const course *c, const arm_place *a, const arm_place *b, double angle)
{
    double apart = (b->angle - a->angle) / DEGREE, trim = a->trim, d = a->d;
    double t = (angle - a->angle) / (b->angle - a->angle);
    cubic trims = cubic_make(a->trim, a->trim_rate, b->trim, b->trim_rate, apart);
    cubic ds = cubic_make(a->d, a->d_rate, b->d, b->d_rate, apart);
    if (a == b) {
        trims = (cubic){a->trim, a->trim_rate, 0, 0};
        ds = (cubic){a->d, a->d_rate, 0, 0};
        t = (angle - a->angle) / DEGREE;
    }
    double by_trim = cubic_at(&trims, t), by_d = cubic_at(&ds, t);
    if (fabs(by_trim - trim) < 0.5 && isfinite(by_d)) {
        trim = by_trim;
        d = by_d;
    }
    return place_near(c, angle, trim, d);
}

static void begin_curve(const course *c)
{
    arm_curve *a = c->curve;
    if (a->traced)
        return;
    a->traced = true;
    a->rest = place_near(c, a->start, a->trim, a->d);
    a->first = a->above = (int)floor(a->start / COAMING_RIGHTING_STEP) + 1;
    a->below = a->first - 1;
}

/* The curve at its angle `index`, traced as far as it is asked for. */
static const arm_place *on_grid(const course *c, int index)
{
    arm_curve *a = c->curve;
    begin_curve(c);
    for (; a->above <= index; a->above++) {
        int i = a->above;
        const arm_place *near = i > a->first ? &a->at[i - 1] : &a->rest;
        const arm_place *far = i > a->first + 1 ? &a->at[i - 2] : &a->rest;
        a->at[i] = place_by(c, near, far, i * COAMING_RIGHTING_STEP);
    }
    for (; a->below >= index; a->below--) {
        int i = a->below;
        const arm_place *near = i < a->first - 1 ? &a->at[i + 1] : &a->rest;
        const arm_place *far = i < a->first - 2 ? &a->at[i + 2] : &a->rest;
        a->at[i] = place_by(c, near, far, i * COAMING_RIGHTING_STEP);
    }
    return &a->at[index];
}

/* --- where the curve or an opening gets to the water --- */

/* A value at a place, and its change with the angle, a radian. */
typedef double reading(course *c, const arm_place *at, double *rate);

static double arm_of(course *c, const arm_place *at, double *rate)
{
    (void)c;
    *rate = at->gz_rate;
    return at->gz;
}

/* Least height of the openings above the plane. */
static double height_of(course *c, const arm_place *at, double *rate)
{
    double least = INFINITY, heel = c->curve->side * at->angle / DEGREE;
    plane p = plane_make(heel, at->trim, at->d, c->f->middle);
    coaming_float here = {.normal = {p.n[0], p.n[1], p.n[2]}, .height = p.d};
    for (size_t i = 0; i < c->openings->count; i++) {
        double height = coaming_float_height(c->f->ship, &here, c->openings->link[i]);
        if (height < least) {
            least = height;
            c->lowest = c->openings->link[i];
        }
    }
    coaming_float turn = {.height = at->d_rate};
    for (int k = 0; k < 3; k++)
        turn.normal[k] = -c->curve->side * cos(at->trim) * p.e2[k] - at->trim_rate * p.e1[k];
    *rate = coaming_float_height(c->f->ship, &turn, c->lowest);
    return isnan(at->gz) ? NAN : least;
}

/* The part of the way at which a cubic that ends below 0 comes down to it: Newton from its end, inside
 * a bracket. */
static double comes_down(const cubic *c)
{
    double low = 0, high = 1, t = 1;
    for (int step = 0; step < 60 && high - low > 1e-15; step++) {
        double value = cubic_at(c, t), rate = cubic_rate(c, t);
        if (value > 0)
            low = t;
        else
            high = t;
        double next = t - value / rate;
        next = next > low && next < high ? next : (low + high) / 2;
        if (next == t)
            break;
        t = next;
    }
    return t;
}

/* Where a value that is above 0 at `low` and not at `high` gets to 0, degrees: by the cubic through
 * both ends, one of which moves there. */
static double vanishes(course *c, reading *value, arm_place low, arm_place high)
{
    double rate_low, rate_high, start = low.angle;
    double at_low = value(c, &low, &rate_low), at_high = value(c, &high, &rate_high);
    const arm_place *last = NULL;
    for (int step = 0; step < 80 && high.angle - low.angle > 1e-10; step++) {
        double apart = high.angle - low.angle;
        cubic by = cubic_make(at_low, rate_low, at_high, rate_high, apart / DEGREE);
        double next = low.angle + apart * comes_down(&by);
        bool good = next > low.angle && next < high.angle && step % 8 < 7;
        if (good && last && fabs(next - last->angle) < 1e-5 * fmin(1, next - start))
            return next;
        next = good ? next : (low.angle + high.angle) / 2;
        arm_place middle = place_by(c, &low, &high, next);
        double rate, found = value(c, &middle, &rate);
        bool above = found > 0;
        *(above ? &low : &high) = middle;
        *(above ? &at_low : &at_high) = found;
        *(above ? &rate_low : &rate_high) = rate;
        last = above ? &low : &high;
    }
    return (low.angle + high.angle) / 2;
}

/* --- the greatest arm --- */

/* The angle between two places at which the cubic through them is steepest upwards no more: the middle
 * where it tells none. */
static double top_between(const arm_place *low, const arm_place *high)
{
    double apart = high->angle - low->angle;
    cubic c = cubic_make(low->gz, low->gz_rate, high->gz, high->gz_rate, apart / DEGREE);
    /* rate: one + 2 two t + 3 three t^2, falling through 0 */
    double root = sqrt(c.two * c.two - 3 * c.three * c.one);
    double t = c.one / (root - c.two);
    return t > 0 && t < 1 ? low->angle + t * apart : low->angle + apart / 2;
}

/* Narrows what the greatest lies between: of two places the arm rises at the lower, or is no greater
 * there than at the other, and falls, or is no greater, at the upper. */
static void narrow(arm_place *low, arm_place *high, const arm_place *at)
{
    bool rises = at->gz_rate > 0;
    if (rises ? high->gz_rate < 0 || high->gz <= at->gz : !(low->gz_rate > 0 || low->gz <= at->gz))
        *low = *at;
    else
        *high = *at;
}

/* The greatest arm between two places, one of which has no greater one next to it outside. What the
 * parabola has yet to add is to be less than 1e-12 m. */
static double greatest_between(const course *c, arm_place low, arm_place high)
{
    double greatest = 0;
    for (int step = 0; step < 60; step++) {
        double apart = high.angle - low.angle;
        double next = step % 4 == 3 ? low.angle + apart / 2 : top_between(&low, &high);
        arm_place at = place_by(c, &low, &high, next);
        if (isnan(at.gz))
            break;
        narrow(&low, &high, &at);
        double gain = at.gz_rate * (top_between(&low, &high) - at.angle) / DEGREE / 2;
        bool found = fabs(gain) < 1e-12;
        greatest = fmax(greatest, at.gz + (found ? gain : 0));
        if (found || high.angle - low.angle < 1e-9)
            break;
    }
    return greatest;
}

/* --- the whole curve --- */

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
    course c = {.f = f, .flooded = flooded, .curve = a};
    begin_curve(&c);
    return a->first < COAMING_RIGHTING_ARMS && on_grid(&c, a->first)->gz > 0;
}

bool arms_upright(coaming_flotation *f, const bool *flooded, arm_curve *a)
{
    course c = {.f = f, .flooded = flooded, .curve = a};
    return on_grid(&c, 0)->stable; /* where she does not balance nothing is said of it */
}

/* Beyond so much neither counts in a grade: the caps of SOLAS II-1/7-2. */
static bool is_enough(arm_detail detail, double range, double greatest)
{
    return detail != ARMS_ALL && range >= 16 && greatest >= 0.12;
}

/* What there is of a curve up to an angle: where it ends, and the greatest arm of those looked at, with
 * the places before and after it. */
typedef struct {
    double end, greatest;
    arm_place before, best, after;
    bool more; /* is there a place after it? */
} extent;

static void take_place(extent *e, const arm_place *last, const arm_place *at)
{
    if (at->gz > e->greatest) {
        e->before = *last;
        e->best = *at;
        e->greatest = at->gz;
        e->more = false;
    } else if (!e->more) {
        e->after = *at;
        e->more = true;
    }
}

static double vanishing(course *c, const arm_place *low, const arm_place *high, bool whole)
{
    arm_curve *a = c->curve;
    if (whole && a->vanished)
        return a->vanishing;
    double found = vanishes(c, arm_of, *low, *high);
    if (whole) {
        a->vanished = true;
        a->vanishing = found;
    }
    return found;
}

static extent follow(course *c, double limit, arm_detail detail)
{
    begin_curve(c);
    arm_place last = c->curve->rest;
    extent e = {.end = last.angle, .before = last, .best = last};
    for (int i = c->curve->first; i <= COAMING_RIGHTING_ARMS && last.angle < limit; i++) {
        bool grid = i < COAMING_RIGHTING_ARMS && i * COAMING_RIGHTING_STEP <= limit;
        arm_place at = grid ? *on_grid(c, i) : place_by(c, &last, &last, limit);
        take_place(&e, &last, &at);
        if (!(at.gz > 0)) {
            e.end = vanishing(c, &last, &at, grid);
            break;
        }
        last = at;
        e.end = at.angle;
        if (is_enough(detail, e.end - c->curve->start, e.greatest))
            break;
    }
    return e;
}

double arms_range(coaming_flotation *f, const bool *flooded, arm_curve *a, arm_detail detail)
{
    course c = {.f = f, .flooded = flooded, .curve = a};
    return follow(&c, COAMING_HEEL_MOST, detail).end - a->start;
}

void arms_measure(coaming_flotation *f, const bool *flooded, arm_curve *a, double limit,
                  arm_detail detail, coaming_righting *r)
{
    course c = {.f = f, .flooded = flooded, .curve = a};
    extent e = follow(&c, limit, detail);
    r->range = e.end - a->start;
    r->greatest = e.greatest;
    if (detail != ARMS_ALL && r->greatest >= 0.12)
        return;
    if (e.best.gz_rate > 0 && e.more)
        r->greatest = fmax(r->greatest, greatest_between(&c, e.best, e.after));
    else if (e.best.gz_rate <= 0 && e.best.angle > e.before.angle)
        r->greatest = fmax(r->greatest, greatest_between(&c, e.before, e.best));
}

bool arms_flooding(coaming_flotation *f, const bool *flooded, arm_curve *a,
                   const opening_list *openings, double end, double *angle, int *which)
{
    course c = {.f = f, .flooded = flooded, .curve = a, .openings = openings, .lowest = -1};
    double rate;
    *angle = a->start;
    *which = -1;
    if (!openings->count)
        return false;
    begin_curve(&c);
    arm_place last = a->rest;
    bool under = height_of(&c, &last, &rate) < 0;
    for (int i = a->first; i < COAMING_RIGHTING_ARMS && !under && last.angle < end; i++) {
        arm_place at = *on_grid(&c, i);
        if (isnan(at.gz))
            break;
        under = height_of(&c, &at, &rate) < 0;
        if (under)
            *angle = vanishes(&c, height_of, last, at);
        last = at;
    }
    if (under)
        *which = c.lowest;
    return under;
}

void arms_put(coaming_flotation *f, const bool *flooded, arm_curve *a, coaming_righting *righting)
{
    course c = {.f = f, .flooded = flooded, .curve = a};
    for (int i = 0; i < COAMING_RIGHTING_ARMS; i++)
        righting->arm[i] =
            (coaming_righting_arm){a->side * i * COAMING_RIGHTING_STEP, on_grid(&c, i)->gz};
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
