/* Outlines of what the shell leaves of a solid: as it is cut at a level in a plan, from its side in
 * a profile. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/draw/drawing.h"
#include "ship/body.h"

/* Of a box's part less than this may be missing and it is still drawn as it is given: no pen shows
 * it. */
static const double AS_GIVEN = 1e-3;

/* m: places along the ship that are nearer are one. */
#define THIN_STEP 1e-6

/* The corners of one convex piece in the view: along the ship, and athwart or up. */
typedef struct {
    const double *at;
    size_t count;
    double from, to;
} outline;

bool drawn_as_given(const ship_space *s, size_t k)
{
    const solid *from = &s->solids[k];
    double given = from->area * (from->z1 - from->z0);
    return s->parts[k].inside + s->parts[k].above >= (1 - AS_GIVEN) * given;
}

static void add_point(outline *o, double *at, double along, double other)
{
    at[2 * o->count] = along;
    at[2 * o->count + 1] = other;
    o->count++;
    o->from = fmin(o->from, along);
    o->to = fmax(o->to, along);
}

/* Where the edges of a face pass a level. */
static void add_slice(outline *o, double *at, const double *face, size_t corners, double level)
{
    for (size_t i = 0; i < corners; i++) {
        const double *a = face + 3 * i, *b = face + 3 * ((i + 1) % corners);
        if ((a[2] < level) == (b[2] < level))
            continue;
        double share = (level - a[2]) / (b[2] - a[2]);
        add_point(o, at, a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]));
    }
}

/* level NaN: from the side. */
static outline outline_of(drawing *d, const body *b, const body_group *g, double level)
{
    size_t corners = b->start[g->last] - b->start[g->first];
    double *at = draw_new(d, corners, 2 * sizeof *at);
    outline o = {at, 0, INFINITY, -INFINITY};
    for (size_t f = g->first; at && f < g->last; f++) {
        const double *face = b->points + 3 * b->start[f];
        size_t count = b->start[f + 1] - b->start[f];
        if (!isnan(level))
            add_slice(&o, at, face, count, level);
        for (size_t i = 0; isnan(level) && i < count; i++)
            add_point(&o, at, face[3 * i], face[3 * i + 2]);
    }
    return o;
}

/* How far the convex outline reaches at a place along: over all lines from corner to corner. */
static void reach_at(const outline *o, double along, double *low, double *high)
{
    for (size_t i = 0; i < o->count; i++)
        for (size_t j = 0; j < o->count; j++) {
            const double *a = o->at + 2 * i, *b = o->at + 2 * j;
            if (a[0] > along || b[0] < along)
                continue;
            double share = b[0] > a[0] ? (along - a[0]) / (b[0] - a[0]) : 0;
            double at = a[1] + share * (b[1] - a[1]);
            *low = fmin(*low, at);
            *high = fmax(*high, at);
        }
}

static int ascending(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* All outlines of a solid in a view; in a plan at the level where the hull's line is drawn. */
static size_t gather(drawing *d, const view *v, const ship_space *s, size_t k, outline *list)
{
    const solid_part *p = &s->parts[k];
    double low = fmax(v->low, p->z0), high = fmin(v->high, p->z1);
    double level = v->profile ? NAN : high - fmin(1e-3, (high - low) / 4);
    size_t count = 0;
    for (int which = 0; which < 2; which++) {
        const body *b = which ? s->above : s->inside;
        for (size_t i = p->first[which]; i < p->last[which]; i++) {
            outline o = outline_of(d, b, &b->groups[i], level);
            if (o.to > o.from)
                list[count++] = o;
        }
    }
    return count;
}

static void put_point(const drawing *d, const view *v, double *xy, double along, double other)
{
    xy[0] = v->ox + along * d->scale;
    xy[1] = v->oy - other * d->scale;
}

/* One ring round them all: between places next to each other where an outline begins or ends, has a
 * corner or is met by another, from the least to the greatest. Where there is none it is drawn
 * together. */
static bool ring_round(drawing *d, const view *v, const outline *list, size_t count, ring *r)
{
    size_t corners = 0, steps = 0, n = 0;
    for (size_t i = 0; i < count; i++)
        corners += list[i].count;
    double *along = draw_new(d, corners, sizeof *along);
    double *xy = draw_new(d, 4 * corners, 2 * sizeof *xy);
    double *over = draw_new(d, 2 * corners, 2 * sizeof *over);
    if (!along || !xy || !over)
        return false;
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < list[i].count; k++)
            along[steps++] = list[i].at[2 * k];
    qsort(along, steps, sizeof *along, ascending);
    for (size_t i = 0; i + 1 < steps; i++) {
        if (along[i + 1] - along[i] < THIN_STEP)
            continue;
        for (int end = 0; end < 2; end++) {
            double low = INFINITY, high = -INFINITY, at = along[i + (size_t)end];
            for (size_t k = 0; k < count; k++)
                if (list[k].from < along[i + 1] - THIN_STEP / 2 &&
                    list[k].to > along[i] + THIN_STEP / 2)
                    reach_at(&list[k], fmin(fmax(at, list[k].from), list[k].to), &low, &high);
            if (low > high)
                continue;
            put_point(d, v, xy + 2 * n, at, low);
            put_point(d, v, over + 2 * n, at, high);
            n++;
        }
    }
    for (size_t i = 0; i < n; i++) /* back over the top */
        memcpy(xy + 2 * (n + i), over + 2 * (n - 1 - i), 2 * sizeof *xy);
    *r = (ring){.xy = xy, .corners = 2 * n};
    return true;
}

size_t cut_rings_most(const ship_space *s, size_t k)
{
    const solid_part *p = &s->parts[k];
    return 1 + p->last[0] - p->first[0] + p->last[1] - p->first[1];
}

bool cut_rings(drawing *d, const view *v, const ship_space *s, size_t k, region *r)
{
    outline *list = draw_new(d, cut_rings_most(s, k), sizeof *list);
    if (!list)
        return false;
    size_t count = gather(d, v, s, k, list);
    bool one = v->profile || s->solids[k].box; /* a prism may have a notch that must stay open */
    for (size_t i = 0; i < (one ? count > 0 : count); i++)
        if (!ring_round(d, v, list + i, one ? count : 1, &r->rings[r->ring_count++]))
            return false;
    return !d->lost;
}
