/* base/cubic.h - cubics by their values and rates of change at two places. */
#ifndef BASE_CUBIC_H
#define BASE_CUBIC_H

/* Factors of 1, t, t^2 and t^3; t is 0 at the first place and 1 at the second. */
typedef struct {
    double value, one, two, three;
} cubic;

/* apart: from the first place to the second, in the unit that the rates are told by (C. Hermite's
 * interpolation: exact of cubics, else off by the fourth power of the distance). */
cubic cubic_make(double value0, double rate0, double value1, double rate1, double apart);
double cubic_at(const cubic *c, double t);
/* Change with t. */
double cubic_rate(const cubic *c, double t);

#endif
