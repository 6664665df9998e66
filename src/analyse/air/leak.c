#include <math.h>

#include "base/error.h"
#include "coaming/air.h"

coaming_leak coaming_leak_orifice(double area)
{
    return (coaming_leak){COAMING_ORIFICE * area, 0.5};
}

double coaming_leak_flow(coaming_leak leak, double dp)
{
    return copysign(leak.c * pow(fabs(dp), leak.n), dp);
}

double coaming_leak_area(coaming_leak leak, double dp, double discharge, double density)
{
    return leak.c * sqrt(density / 2) * pow(dp, leak.n - 0.5) / discharge;
}

static coaming_status fits(const coaming_leak *leaks, size_t count, coaming_error *error)
{
    if (!count)
        return error_set(error, COAMING_USAGE, "no leak is given");
    for (size_t i = 0; i < count; i++) {
        if (!(leaks[i].c > 0) || !isfinite(leaks[i].c))
            return error_set(error, COAMING_USAGE, "leak %zu lets nothing through", i + 1);
        if (leaks[i].n != leaks[0].n)
            return error_set(error, COAMING_USAGE,
                             "leak %zu has an exponent of %g, not %g as the first", i + 1,
                             leaks[i].n, leaks[0].n);
    }
    return COAMING_OK;
}

coaming_status coaming_leak_parallel(const coaming_leak *leaks, size_t count,
                                     coaming_leak *together, coaming_error *error)
{
    coaming_status status = fits(leaks, count, error);
    double sum = 0;
    for (size_t i = 0; status == COAMING_OK && i < count; i++)
        sum += leaks[i].c;
    if (status == COAMING_OK)
        *together = (coaming_leak){sum, leaks[0].n};
    return status;
}

coaming_status coaming_leak_series(const coaming_leak *leaks, size_t count, coaming_leak *together,
                                   coaming_error *error)
{
    coaming_status status = fits(leaks, count, error);
    double sum = 0;
    for (size_t i = 0; status == COAMING_OK && i < count; i++)
        sum += pow(leaks[i].c, -1 / leaks[i].n);
    if (status == COAMING_OK)
        *together = (coaming_leak){pow(sum, -leaks[0].n), leaks[0].n};
    return status;
}

coaming_tightness coaming_tightness_default(void)
{
    return (coaming_tightness){.surrounding = 101325, .n = 0.5};
}

static bool in_order(const coaming_tightness *d)
{
    return d->volume > 0 && d->to > 0 && d->from > d->to && d->seconds > 0 && d->surrounding > 0 &&
           isfinite(d->volume) && isfinite(d->from) && isfinite(d->seconds) &&
           isfinite(d->surrounding);
}

coaming_status coaming_tightness_leak(const coaming_tightness *d, coaming_leak *leak,
                                      coaming_error *error)
{
    if (!in_order(d))
        return error_set(
            error, COAMING_USAGE,
            "a drop of pressure is from a higher to a lower one, both over 0, in a time "
            "over 0");
    if (!(d->n >= 0.5 && d->n <= 1))
        return error_set(error, COAMING_USAGE, "the exponent of a leak is 0.5 to 1, not %g", d->n);
    /* By how much p^(1-n)/(1-n) fell; expm1 so that it comes to ln for n = 1 without a jump. */
    double m = 1 - d->n, fallen = log(d->from / d->to);
    if (m > 0)
        fallen = pow(d->to, m) * expm1(m * fallen) / m;
    *leak = (coaming_leak){fallen * d->volume / (d->surrounding * d->seconds), d->n};
    return COAMING_OK;
}
