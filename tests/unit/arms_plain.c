#include "arms_plain.h"

#include <math.h>

static const double DEGREE = 57.29577951308232; /* in a radian */

double plain_lever(coaming_flotation *f, const bool *flooded, double heel, position *at)
{
    double trim = 0, before = 0.01, lever = NAN;
    for (int step = 0; step < 60; step++) {
        if (!position_find(f, flooded, heel, trim, 5, at))
            return NAN;
        if (fabs(at->lever[0]) < 1e-11)
            return at->lever[1];
        double slope = step ? (at->lever[0] - lever) / (trim - before) : -at->guu;
        before = trim;
        lever = at->lever[0];
        trim -= lever / slope;
    }
    return NAN;
}

void plain_measure(coaming_flotation *f, const bool *flooded, double side, double start,
                   double *range, double *greatest)
{
    position at;
    double last = start, best = start, low, high;
    *greatest = 0;
    for (double heel = start + 0.5; last < COAMING_HEEL_MOST; heel += 0.5) {
        heel = fmin(heel, COAMING_HEEL_MOST);
        double gz = -side * plain_lever(f, flooded, side * heel / DEGREE, &at);
        if (!(gz > 0)) {
            for (low = last, high = heel; high - low > 1e-11;) {
                double middle = (low + high) / 2;
                bool above = -side * plain_lever(f, flooded, side * middle / DEGREE, &at) > 0;
                *(above ? &low : &high) = middle;
            }
            last = low;
            break;
        }
        best = gz > *greatest ? heel : best;
        *greatest = fmax(*greatest, gz);
        last = heel;
    }
    *range = last - start;
    low = fmax(start, best - 0.5);
    high = fmin(last, best + 0.5);
    while (high - low > 1e-6) {
        double a = low + (high - low) / 3, b = high - (high - low) / 3;
        double left = -side * plain_lever(f, flooded, side * a / DEGREE, &at);
        double right = -side * plain_lever(f, flooded, side * b / DEGREE, &at);
        *greatest = fmax(*greatest, fmax(left, right));
        *(left < right ? &low : &high) = left < right ? a : b;
    }
}
