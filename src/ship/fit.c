#include "ship/fit.h"

#include <math.h>

#include "ship/body.h"

/* The hull at one place along her length. */
typedef struct {
    const hull_section *aft, *fore; /* NULL: a box */
    double share;                   /* of the forward one */
    double keel, top;
} slice;

static double blend(const slice *c, double aft, double fore)
{
    return aft + c->share * (fore - aft);
}

static slice slice_at(const coaming_ship *ship, double x)
{
    slice c = {NULL, NULL, 0, 0, hull_top(ship, x)};
    if (!ship->section_count)
        return c;
    c.aft = ship->sections + hull_bay(ship, x, &c.share);
    c.fore = c.aft + 1;
    c.keel = blend(&c, c.aft->offsets[0], c.fore->offsets[0]);
    return c;
}

static double breadth(const coaming_ship *ship, const slice *c, double z)
{
    if (!c->aft)
        return ship->beam / 2;
    return fmax(blend(c, section_breadth(c->aft, z, false), section_breadth(c->fore, z, false)),
                blend(c, section_breadth(c->aft, z, true), section_breadth(c->fore, z, true)));
}

static double past_ends(const coaming_ship *ship, double x)
{
    double aft = ship->section_count ? ship->sections[0].x : 0;
    double fore = ship->section_count ? ship->sections[ship->section_count - 1].x : ship->length;
    return fmax(0, fmax(aft - x, x - fore));
}

double hull_distance(const coaming_ship *ship, double x, double y, double z)
{
    slice c = slice_at(ship, x);
    double aside = fabs(y) - breadth(ship, &c, fmin(fmax(z, c.keel), c.top));
    double past = past_ends(ship, x);
    return past > 0 ? fmax(past, aside) : aside;
}

static double outside_at(const coaming_ship *ship, const solid *s, double x, double y)
{
    slice c = slice_at(ship, x);
    if (s->z0 >= c.top)
        return 0;
    double low = fmax(s->z0, c.keel), high = fmin(s->z1, c.top);
    double out = fmax(past_ends(ship, x), c.keel - s->z0);
    out = fmax(out, fabs(y) - breadth(ship, &c, low));
    return fmax(out, fabs(y) - breadth(ship, &c, high));
}

double solid_outside(const coaming_ship *ship, const solid *s)
{
    double most = 0;
    for (size_t i = 0; i < s->corners; i++) {
        const double *a = s->outline + 2 * i, *b = s->outline + 2 * ((i + 1) % s->corners);
        most = fmax(most, outside_at(ship, s, a[0], a[1]));
        for (size_t k = 0; k < ship->section_count; k++) {
            double x = ship->sections[k].x;
            if ((a[0] < x) != (b[0] < x))
                most = fmax(most, outside_at(ship, s, x,
                                             a[1] + (x - a[0]) / (b[0] - a[0]) * (b[1] - a[1])));
        }
    }
    return most;
}
