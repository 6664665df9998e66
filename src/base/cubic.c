#include "base/cubic.h"

cubic cubic_make(double value0, double rate0, double value1, double rate1, double apart)
{
    double m0 = rate0 * apart, m1 = rate1 * apart, rise = value1 - value0;
    return (cubic){value0, m0, 3 * rise - 2 * m0 - m1, m0 + m1 - 2 * rise};
}

double cubic_at(const cubic *c, double t)
{
    return c->value + t * (c->one + t * (c->two + t * c->three));
}

double cubic_rate(const cubic *c, double t)
{
    return c->one + t * (2 * c->two + t * 3 * c->three);
}
