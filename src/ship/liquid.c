/* Method: volume below a plane rises with its height, at the rate of its surface; Newton's method
 * inside a bracket. Cost: a few cuts of the space; one where its sides about the surface stand along
 * the plane's normal or lie alike to both sides. */
#include "ship/liquid.h"

#include <math.h>

#include "ship/inside.h"

static submerged below(const ship_space *s, const plane *p, double *scratch)
{
    submerged sum = {0};
    body_add(s->inside, p, s->permeability, scratch, &sum);
    body_add(s->above, p, s->permeability, scratch, &sum);
    return sum;
}

static void describe(const plane *p, const submerged *w, liquid *out)
{
    bool surface = w->area > 0;
    double u = surface ? w->au / w->area : 0, v = surface ? w->av / w->area : 0;
    for (int k = 0; k < 3; k++) {
        out->centre[k] = w->moment[k] / w->volume;
        out->surface[k] = p->origin[k] + u * p->e1[k] + v * p->e2[k];
    }
    out->uu = w->auu - u * w->au;
    out->uv = w->auv - u * w->av;
    out->vv = w->avv - v * w->av;
}

/* Moves the plane along n to a height, its origin above or below `near`. */
static void raise(plane *p, double d, const double near[3])
{
    double up = d - (p->n[0] * near[0] + p->n[1] * near[1] + p->n[2] * near[2]);
    p->d = d;
    for (int k = 0; k < 3; k++)
        p->origin[k] = near[k] + up * p->n[k];
}

void liquid_settle(const ship_space *s, double volume, const plane *level, const double near[3],
                   double *scratch, liquid *out)
{
    plane p = *level;
    submerged w = {0};
    double low, high, d = p.n[0] * near[0] + p.n[1] * near[1] + p.n[2] * near[2];
    space_extent_along(s, p.n, &low, &high);
    if (!(d > low && d < high))
        d = (low + high) / 2;
    for (int step = 0; step < 200; step++) {
        raise(&p, d, near);
        w = below(s, &p, scratch);
        double excess = w.volume - volume;
        if (fabs(excess) <= 1e-14 * volume || high - low <= 1e-15 * (1 + fabs(d)))
            break;
        if (excess > 0)
            high = d;
        else
            low = d;
        double next = w.area > 0 ? d - excess / w.area : low;
        next = next > low && next < high ? next : (low + high) / 2;
        if (next == d)
            break;
        d = next;
    }
    describe(&p, &w, out);
}
