/* Is a place in a ring? By the sides that a line from it crosses (even or odd); of a ring with many
 * sides only those in the strip of the page where the line runs are looked at. */
#include <math.h>

#include "present/draw/drawing.h"

enum { MANY = 64 }; /* sides */

/* k: the axis that the line crosses. */
static bool is_crossed(const ring *r, size_t side, int k, double along, double across)
{
    const double *a = r->xy + 2 * side, *b = r->xy + 2 * (side ? side - 1 : r->corners - 1);
    int other = !k;
    return (a[k] > along) != (b[k] > along) &&
           across < a[other] + (along - a[k]) / (b[k] - a[k]) * (b[other] - a[other]);
}

bool ring_has(const ring *r, double x, double y)
{
    bool in = false;
    int k = r->strips ? r->axis : 1;
    double along = k ? y : x, across = k ? x : y;
    for (size_t i = 0; !r->strips && i < r->corners; i++)
        in ^= is_crossed(r, i, k, along, across);
    double strip = r->strips ? floor((along - r->from) / r->step) : -1;
    if (!(strip >= 0 && strip < r->strips))
        return in;
    for (int i = r->first[(int)strip]; i < r->first[(int)strip + 1]; i++)
        in ^= is_crossed(r, (size_t)r->side[i], k, along, across);
    return in;
}

/* How far the sides run along an axis, all together; where the ring begins and ends there. */
static double run_along(const ring *r, int k, double *low, double *high)
{
    double run = 0;
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t i = 0; i < r->corners; i++) {
        double at = r->xy[2 * i + (size_t)k], next = r->xy[2 * ((i + 1) % r->corners) + (size_t)k];
        run += fabs(next - at);
        *low = fmin(*low, at);
        *high = fmax(*high, at);
    }
    return run;
}

/* The strips that a side reaches into. */
static void reach(const ring *r, size_t side, int *first, int *last)
{
    const double *a = r->xy + 2 * side, *b = r->xy + 2 * (side ? side - 1 : r->corners - 1);
    double low = fmin(a[r->axis], b[r->axis]), high = fmax(a[r->axis], b[r->axis]);
    *first = (int)fmin(fmax(floor((low - r->from) / r->step), 0), r->strips - 1);
    *last = (int)fmin(fmax(floor((high - r->from) / r->step), 0), r->strips - 1);
}

static bool fill_strips(drawing *d, ring *r)
{
    int low, high;
    int *first = draw_new(d, (size_t)r->strips + 2, sizeof *first);
    for (size_t i = 0; first && i < r->corners; i++) {
        reach(r, i, &low, &high);
        for (int k = low; k <= high; k++)
            first[k + 2]++;
    }
    for (int k = 1; first && k <= r->strips; k++)
        first[k + 1] += first[k];
    int *side = first ? draw_new(d, (size_t)first[r->strips + 1], sizeof *side) : NULL;
    for (size_t i = 0; side && i < r->corners; i++) {
        reach(r, i, &low, &high);
        for (int k = low; k <= high; k++)
            side[first[k + 1]++] = (int)i;
    }
    r->first = first;
    r->side = side;
    return side != NULL;
}

bool ring_sort(drawing *d, ring *r)
{
    double low[2], high[2], density[2];
    if (r->corners < MANY)
        return true;
    for (int k = 0; k < 2; k++) {
        double run = run_along(r, k, &low[k], &high[k]);
        if (!(high[k] > low[k]))
            return true; /* a line, which nothing is in */
        density[k] = run / (high[k] - low[k]);
    }
    r->axis = density[1] <= density[0];
    r->strips = (int)fmax(1, (double)r->corners * fmin(1, 4 / density[r->axis]));
    r->from = low[r->axis];
    r->step = (high[r->axis] - low[r->axis]) / r->strips;
    return fill_strips(d, r);
}
