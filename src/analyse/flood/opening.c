/* What goes through an opening by the heads on its two sides. Of an upright one: the velocity at each
 * height, sqrt(2g x the difference there), added up from the lowest edge to the highest; above the lower
 * surface the difference grows with depth, below it it is the same. */
#include "analyse/flood/flood.h"

#include <math.h>

double water_root(double head, double *rate)
{
    const double smooth = COAMING_FLOOD_SMOOTH;
    double part = head / smooth;
    if (head >= smooth) {
        double root = sqrt(head);
        *rate = 0.5 / root;
        return root;
    }
    *rate = (1.5 - part) / sqrt(smooth);
    return head * (1.5 - 0.5 * part) / sqrt(smooth);
}

static double above_zero(double x)
{
    return x > 0 ? x : 0;
}

/* Of one metre's width, a the greater head. */
static water_through slot(double height, double a, double b)
{
    double rate, under = fmin(above_zero(b), height), over = fmin(a, height);
    if (a <= 0)
        return (water_through){0, 0, 0};
    double root = water_root(a - b, &rate), at_under = sqrt(above_zero(a - under)),
           at_over = sqrt(above_zero(a - over));
    water_through t = {.flow =
                           2.0 / 3 * ((a - under) * at_under - (a - over) * at_over) + under * root,
                       .by_a = at_under - (a > height ? at_over : 0) + under * rate,
                       .by_b = -under * rate};
    if (b > 0 && b < height)
        t.by_b += root - at_under;
    return t;
}

/* Of one that lies flat, a the greater head: what is above it on that side, or presses from below. */
static water_through flat(const water_shape *s, double a, double b)
{
    double rate, lower = above_zero(b);
    if (a <= 0)
        return (water_through){0, 0, 0};
    double root = water_root(a - lower, &rate);
    water_through through = {s->area * root, s->area * rate, b > 0 ? -s->area * rate : 0};
    if (s->under)
        return through;
    water_through round = slot(INFINITY, a, b);
    round.flow *= s->width;
    round.by_a *= s->width;
    round.by_b *= s->width;
    return round.flow < through.flow ? round : through;
}

water_through water_flow(const water_shape *s, double a, double b)
{
    if (a < b) {
        water_through back = water_flow(s, b, a);
        return (water_through){-back.flow, -back.by_b, -back.by_a};
    }
    if (s->flat)
        return flat(s, a, b);
    water_through t = slot(s->height, a, b);
    return (water_through){s->width * t.flow, s->width * t.by_a, s->width * t.by_b};
}
