#include <math.h>

#include "analyse/flotation/flotation.h"

static const double DEGREE = 57.29577951308232; /* in a radian */

/* Righting arm at a fixed heel, trim free and displacement kept. The trim's lever is brought to
 * nothing by Newton; *trim and *d carry on to the next angle. */
static double arm_at(coaming_flotation *f, const bool *flooded, double heel, double *trim,
                     double *d)
{
    position at;
    for (int step = 0; step < 50; step++) {
        if (!position_find(f, flooded, heel, *trim, *d, &at))
            return NAN;
        *d = at.plane.d;
        if (fabs(at.lever[0]) < LEVER_LEAST)
            break;
        double stiff = at.guu > 0.1 ? at.guu : 0.1;
        double next = *trim + fmax(-0.1, fmin(0.1, at.lever[0] / stiff));
        if (next == *trim)
            break;
        *trim = next;
    }
    return -at.lever[1];
}

/* The heel between two at which the arm is 0, by halving. */
static double crossing(coaming_flotation *f, const bool *flooded, double side, double low,
                       double high, double trim, double d)
{
    for (int step = 0; step < 40; step++) {
        double middle = (low + high) / 2, t = trim, h = d;
        double gz = side * arm_at(f, flooded, side * middle / DEGREE, &t, &h);
        if (gz > 0)
            low = middle;
        else
            high = middle;
    }
    return (low + high) / 2;
}

/* The greatest arm between two angles, by golden section: near its top the curve has one hump. */
static double greatest_between(coaming_flotation *f, const bool *flooded, double side, double low,
                               double high, double trim, double d)
{
    const double part = 0.6180339887498949;
    double best = 0;
    for (int step = 0; step < 24; step++) {
        double angle[2] = {high - part * (high - low), low + part * (high - low)}, gz[2];
        for (int i = 0; i < 2; i++) {
            double t = trim, h = d;
            gz[i] = side * arm_at(f, flooded, side * angle[i] / DEGREE, &t, &h);
            best = fmax(best, gz[i]);
        }
        if (gz[0] < gz[1])
            low = angle[0];
        else
            high = angle[1];
    }
    return best;
}

static void curve(coaming_flotation *f, const bool *flooded, const coaming_float *at, double side,
                  coaming_righting *r)
{
    double start = fabs(at->heel) < 1e-6 ? 0 : fabs(at->heel), last = start, best = start;
    double trim = asin(-at->normal[0]), d = at->height, trim_from = trim, d_from = d;
    bool ended = false;
    *r = (coaming_righting){.range = 0};
    for (int i = 0; i < COAMING_RIGHTING_ARMS; i++) {
        double heel = i * COAMING_RIGHTING_STEP;
        double gz = side * arm_at(f, flooded, side * heel / DEGREE, &trim, &d);
        r->arm[i] = (coaming_righting_arm){side * heel, gz};
        if (heel <= start || ended)
            continue;
        if (gz > 0) {
            best = gz > r->greatest ? heel : best;
            r->greatest = fmax(r->greatest, gz);
            r->range = heel - start;
            last = heel;
        } else {
            ended = true;
            r->range = crossing(f, flooded, side, last, heel, trim, d) - start;
        }
    }
    double low = fmax(start, best - COAMING_RIGHTING_STEP);
    double high = fmin(start + r->range, best + COAMING_RIGHTING_STEP);
    if (high > low)
        r->greatest =
            fmax(r->greatest, greatest_between(f, flooded, side, low, high, trim_from, d_from));
}

void coaming_flotation_righting(coaming_flotation *f, const bool *flooded, const coaming_float *at,
                                coaming_righting *righting)
{
    curve(f, flooded, at, at->heel < -1e-6 ? -1 : 1, righting);
    if (fabs(at->heel) > 1e-6)
        return;
    coaming_righting starboard; /* upright she may go either way */
    curve(f, flooded, at, -1, &starboard);
    if (starboard.range < righting->range - 1e-6 ||
        (starboard.range < righting->range + 1e-6 &&
         starboard.greatest < righting->greatest - 1e-9))
        *righting = starboard;
}
