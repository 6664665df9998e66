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

void coaming_flotation_righting(coaming_flotation *f, const bool *flooded, const coaming_float *at,
                                coaming_righting *righting)
{
    double side = at->heel < -1e-6 ? -1 : 1, start = fabs(at->heel) < 1e-6 ? 0 : fabs(at->heel);
    double trim = asin(-at->normal[0]), d = at->height, last = start;
    bool ended = false;
    righting->range = 0;
    righting->greatest = 0;
    for (int i = 0; i < COAMING_RIGHTING_ARMS; i++) {
        double heel = i * COAMING_RIGHTING_STEP;
        double gz = side * arm_at(f, flooded, side * heel / DEGREE, &trim, &d);
        righting->arm[i] = (coaming_righting_arm){side * heel, gz};
        if (heel <= start || ended)
            continue;
        if (gz > 0) {
            righting->greatest = fmax(righting->greatest, gz);
            righting->range = heel - start;
            last = heel;
        } else {
            ended = true;
            righting->range = crossing(f, flooded, side, last, heel, trim, d) - start;
        }
    }
}
