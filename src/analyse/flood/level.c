/*
 * The level of a volume in an attitude: Newton's method in a bracket from where it stood before, with
 * what is left taken off as a slice of the surface, so that one cut or two are enough.
 *
 * Near empty and near full the surface of a space that is tilted vanishes, and its height would change
 * infinitely fast with the volume: the first and the last hundred-thousandth are a straight line. What
 * is in a space beyond its volume is a column over it, of a ten-thousandth of its volume for each
 * metre: the head that a full space bears (the narrow slot over a full pipe, as it is done in hydraulics
 * of sewers; A. Preissmann, 1961, from memory). She bears no more than its volume.
 */
#include "analyse/flood/flood.h"

#include <math.h>

#include "base/dot.h"
#include "ship/inside.h"

static const double EDGE = 1e-5, COLUMN = 1e-4;
static const double ROUNDING = 1e-11; /* of its volume */
static const double LEFT_OVER =
    1e-8; /* of what is there, or of the air over it: may go off as a slice */

static const double FAR = 1e6; /* m */

typedef struct {
    const ship_space *space;
    const water_lie *lie;
    plane p;
    submerged in, above;
} cut;

static void cut_at(cut *c, double height)
{
    const plane *level = c->lie->attitude;
    c->p = *level;
    c->p.d = level->d + height;
    for (int k = 0; k < 3; k++)
        c->p.origin[k] = level->origin[k] + height * level->n[k];
    c->in = c->above = (submerged){0};
    body_add(c->space->inside, &c->p, c->space->permeability, c->lie->scratch, &c->in);
    body_add(c->space->above, &c->p, c->space->permeability, c->lie->scratch, &c->above);
}

static double cut_area(const cut *c)
{
    return c->in.area + c->above.area;
}

static double cut_volume(const cut *c)
{
    return c->in.volume + c->above.volume;
}

/* The height at which so much is below, and the cut a slice from there: *slice is to be taken off. */
static double find(cut *c, double volume, double guess, const water_level *at, double *slice)
{
    double low = at->low, high = at->high, full = c->space->volume;
    double height = guess > low && guess < high ? guess : low + (high - low) * volume / full;
    for (int step = 0; step < 100; step++) {
        cut_at(c, height);
        double excess = cut_volume(c) - volume, area = cut_area(c);
        *slice = area > 0 ? excess / area : 0;
        if (area > 0 &&
            fabs(excess) <= fmax(ROUNDING * full, LEFT_OVER * fmin(volume, full - volume)))
            break;
        if (excess > 0)
            high = height;
        else
            low = height;
        double next = area > 0 ? height - *slice : low;
        next = next > low && next < high ? next : (low + high) / 2;
        if (next == height || high - low <= 1e-15 * (1 + fabs(height)))
            break;
        height = next;
    }
    return height - *slice;
}

static void surface_of(const cut *c, double slice, water_level *at)
{
    const submerged *i = &c->in, *o = &c->above;
    double area = cut_area(c), u = 0, v = 0;
    if (area > 0) {
        u = (i->au + o->au) / area;
        v = (i->av + o->av) / area;
    }
    for (int k = 0; k < 3; k++)
        at->surface[k] = c->p.origin[k] + u * c->p.e1[k] + v * c->p.e2[k] - slice * c->p.n[k] -
                         c->lie->middle[k];
    at->uu = i->auu + o->auu - u * (i->au + o->au);
    at->uv = i->auv + o->auv - u * (i->av + o->av);
    at->vv = i->avv + o->avv - v * (i->av + o->av);
}

/* Adds a part to what she bears: its moment about the middle. */
static void bear(const submerged *w, double share, const double middle[3], water_level *at)
{
    at->weight += share * w->volume;
    for (int k = 0; k < 3; k++)
        at->moment[k] += share * (w->moment[k] - middle[k] * w->volume);
}

/* What she bears of the water under a cut: what stands above the hull only where it is above the sea,
 * for there she has no buoyancy to lose. */
static void load(const cut *c, double height, double share, water_level *at)
{
    bear(&c->in, share, c->lie->middle, at);
    if (!c->space->above->faces || height <= c->lie->sea)
        return;
    cut sea = {.space = c->space, .lie = c->lie};
    cut_at(&sea, c->lie->sea);
    bear(&c->above, share, c->lie->middle, at);
    bear(&sea.above, -share, c->lie->middle, at);
}

/* The slice that is left goes off at the surface. */
static void load_sliced(const cut *c, double height, double slice, double share, water_level *at)
{
    load(c, height, share, at);
    if (c->space->above->faces)
        return;
    double off = share * slice * cut_area(c);
    at->weight -= off;
    for (int k = 0; k < 3; k++)
        at->moment[k] -= off * (at->surface[k] + slice / 2 * c->p.n[k]);
}

static void find_within(cut *c, double volume, double guess, water_level *at)
{
    double slice;
    at->height = find(c, volume, guess, at, &slice);
    at->by_volume = 1 / cut_area(c);
    surface_of(c, slice, at);
    load_sliced(c, at->height, slice, 1, at);
}

/* Of a straight line the surface has its share in what it takes off her stiffness, as in the weight. */
static void thin_out(water_level *at, double share)
{
    at->uu *= share;
    at->uv *= share;
    at->vv *= share;
}

static void find_near_empty(cut *c, double volume, double guess, water_level *at)
{
    double slice, edge = EDGE * c->space->volume, share = fmax(0, volume) / edge;
    double height = find(c, edge, guess, at, &slice);
    at->by_volume = (height - at->low) / edge;
    at->height = at->low + share * (height - at->low);
    surface_of(c, slice, at);
    thin_out(at, share);
    load_sliced(c, height, slice, share, at);
}

static void find_near_full(cut *c, double volume, double guess, water_level *at)
{
    double slice, full = c->space->volume, edge = EDGE * full;
    double share = (volume - (full - edge)) / edge;
    double height = find(c, full - edge, guess, at, &slice);
    surface_of(c, slice, at);
    thin_out(at, 1 - share);
    load_sliced(c, height, slice, 1 - share, at);
    cut_at(c, at->high + 1);
    load(c, at->high, share, at);
    at->by_volume = (at->high - height) / edge;
    at->height = height + share * (at->high - height);
}

/* The head is that over its highest corner. Nothing is cut: all of it is below. */
static void find_full(cut *c, double volume, water_level *at)
{
    double column = COLUMN * c->space->volume;
    at->uu = at->uv = at->vv = 0;
    at->by_volume = 1 / column;
    at->height = at->high + (volume - c->space->volume) / column;
    space_highest(c->space, c->lie->attitude->n, at->surface);
    for (int k = 0; k < 3; k++)
        at->surface[k] -= c->lie->middle[k];
    cut_at(c, at->high + 1);
    load(c, at->high, 1, at);
}

/* Where its corners lie does not matter: it stands below all its openings. */
static void leave_dry(double volume, water_level *at)
{
    *at = (water_level){.volume = volume, .low = -FAR, .height = -FAR};
}

void water_find_level(const ship_space *s, double volume, const water_lie *lie, water_level *at)
{
    cut c = {.space = s, .lie = lie};
    double middle = dot(lie->attitude->n, lie->middle);
    double guess = NAN;
    if (volume <= 0) {
        leave_dry(volume, at);
        return;
    }
    if (at->known)
        guess = dot(lie->attitude->n, at->surface) + (volume - at->volume) * at->by_volume;
    space_extent_along(s, lie->attitude->n, &at->low, &at->high);
    at->low -= middle;
    at->high -= middle;
    at->volume = volume;
    at->weight = 0;
    at->moment[0] = at->moment[1] = at->moment[2] = 0;
    at->known = true;
    if (volume < EDGE * s->volume)
        find_near_empty(&c, volume, guess, at);
    else if (volume <= (1 - EDGE) * s->volume)
        find_within(&c, volume, guess, at);
    else if (volume < s->volume)
        find_near_full(&c, volume, guess, at);
    else
        find_full(&c, volume, at);
}
