/* Method: volume below a plane rises with its height, at the rate of its surface; Newton's method
 * inside a bracket, from the second cut on by the cubic through the last two: between heights of
 * corners the volume is a cubic of the height, so that the third cut is at it. Cost: three cuts of the
 * space; one where its sides about the surface stand along the plane's normal, or where as much is
 * allowed to be off as it is where it is looked for first. */
#include "ship/liquid.h"

#include <math.h>

#include "base/cubic.h"
#include "base/dot.h"
#include "ship/inside.h"

static submerged below(const ship_space *s, const plane *p, double *scratch)
{
    submerged sum = {0};
    body_add(s->inside, p, s->permeability, scratch, &sum);
    body_add(s->above, p, s->permeability, scratch, &sum);
    return sum;
}

/* What is too much is taken off as a slice at the surface. */
static void describe(const plane *p, const submerged *w, double excess, liquid *out)
{
    bool surface = w->area > 0;
    double u = surface ? w->au / w->area : 0, v = surface ? w->av / w->area : 0;
    double slice = surface ? excess / w->area : 0, taken = slice * w->area;
    for (int k = 0; k < 3; k++) {
        out->surface[k] = p->origin[k] + u * p->e1[k] + v * p->e2[k];
        out->centre[k] =
            (w->moment[k] - taken * (out->surface[k] - slice / 2 * p->n[k])) / (w->volume - taken);
        out->surface[k] -= slice * p->n[k];
    }
    out->uu = w->auu - u * w->au;
    out->uv = w->auv - u * w->av;
    out->vv = w->avv - v * w->av;
}

/* Moves the plane along n to a height, its origin above or below `near`. */
static void raise(plane *p, double d, const double near[3])
{
    double up = d - dot(p->n, near);
    p->d = d;
    for (int k = 0; k < 3; k++)
        p->origin[k] = near[k] + up * p->n[k];
}

/* A height, what is too much below it, and the surface there. */
typedef struct {
    double d, excess, area;
} trial;

/* Where nothing is too much: by the last trial, and by the one before it where there is one. NaN: not
 * told. */
static double next_height(const trial *before, const trial *last)
{
    double apart = last->d - before->d, t = 1;
    if (!(last->area > 0))
        return NAN;
    if (!(before->area > 0))
        return last->d - last->excess / last->area;
    cubic c = cubic_make(before->excess, before->area, last->excess, last->area, apart);
    for (int step = 0; step < 6; step++)
        t -= cubic_at(&c, t) / cubic_rate(&c, t);
    return last->d + (t - 1) * apart;
}

/* Between which heights the surface lies. */
static void narrow(const trial *at, double *low, double *high)
{
    if (at->d > *low && at->d < *high)
        *(at->excess > 0 ? high : low) = at->d;
}

void liquid_settle(const liquid_part *part, const plane *level, const double near[3],
                   double *scratch, liquid *out)
{
    plane p = *level;
    submerged w = {0};
    trial last = {.d = dot(p.n, near)}, before = {0};
    const double exact = 1e-14 * part->volume;
    double low = -INFINITY, high = INFINITY;
    double close = part->off * fmin(part->volume, part->space->volume - part->volume);
    for (int step = 0; step < 200; step++) {
        raise(&p, last.d, near);
        w = below(part->space, &p, scratch);
        last.excess = w.volume - part->volume;
        last.area = w.area;
        if (fabs(last.excess) <= (w.area > 0 ? fmax(exact, close) : exact))
            break;
        if (step == 0)
            space_extent_along(part->space, p.n, &low, &high);
        narrow(&last, &low, &high);
        if (high - low <= 1e-15 * (1 + fabs(last.d)))
            break;
        double next = next_height(&before, &last);
        next = next > low && next < high ? next : (low + high) / 2;
        if (next == last.d)
            break;
        before = last;
        last.d = next;
    }
    describe(&p, &w, fabs(last.excess) <= exact ? 0 : last.excess, out);
}
