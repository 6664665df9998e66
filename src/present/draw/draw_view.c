/* How large a view is, where on the page, and what it is filled with. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/draw/drawing.h"

#define THIN 0.01 /* m: spans the centre line */

enum { OVER_MOST = 200 };
enum { LANE = 15, HEADING = 15, AXIS = 20, GAP = 12, SIDE_LANE = 16 };

static void widen(double *low, double *high, double from, double to)
{
    if (isfinite(from) && isfinite(to)) {
        *low = fmin(*low, from);
        *high = fmax(*high, to);
    }
}

static void measure_hull(drawing *d)
{
    const coaming_ship *s = d->ship;
    widen(&d->x0, &d->x1, 0, s->length);
    widen(&d->y0, &d->y1, -s->beam / 2, s->beam / 2);
    widen(&d->z0, &d->z1, 0, s->depth);
    for (size_t i = 0; i < s->section_count; i++) {
        const hull_section *h = &s->sections[i];
        widen(&d->x0, &d->x1, h->x, h->x);
        for (size_t k = 0; k < h->offset_count; k++) {
            widen(&d->z0, &d->z1, h->offsets[2 * k], h->offsets[2 * k]);
            widen(&d->y0, &d->y1, -h->offsets[2 * k + 1], h->offsets[2 * k + 1]);
        }
    }
}

/* A round scale at which her length fits the width, and her height four such widths. */
static void choose_scale(drawing *d)
{
    static const int steps[] = {10,  20,  25,  40,  50,  60,  75,  80,  100, 125, 150, 175,
                                200, 225, 250, 275, 300, 350, 400, 450, 500, 600, 750, 800};
    enum { STEPS = sizeof steps / sizeof *steps };
    double room = d->page - 2 * d->margin - 2 * SIDE_LANE;
    double height = fmax(d->y1 - d->y0, d->z1 - d->z0);
    double least = fmax((d->x1 - d->x0) / room, height / (4 * room)) / (0.0254 / 72);
    double ten = 1;
    for (int i = 0; i < STEPS * 9; i++) {
        if (i && i % STEPS == 0)
            ten *= 100;
        d->one_to = (int)fmin(steps[i % STEPS] * ten, 2e9);
        if (steps[i % STEPS] * ten >= least)
            break;
    }
    d->scale = 72 / 0.0254 / fmax(least > d->one_to ? least : 0, d->one_to);
}

void views_measure(drawing *d)
{
    d->x0 = d->y0 = d->z0 = INFINITY;
    d->x1 = d->y1 = d->z1 = -INFINITY;
    measure_hull(d);
    for (size_t i = 0; i < d->ship->space_count; i++) {
        const ship_space *s = &d->ship->spaces[i];
        for (size_t k = 0; k < s->solid_count; k++) {
            widen(&d->x0, &d->x1, s->parts[k].x0, s->parts[k].x1);
            widen(&d->y0, &d->y1, s->parts[k].y0, s->parts[k].y1);
            widen(&d->z0, &d->z1, s->parts[k].z0, s->parts[k].z1);
        }
    }
    if (!(d->x1 > d->x0))
        widen(&d->x0, &d->x1, isfinite(d->x0) ? d->x0 - 5 : 0, isfinite(d->x0) ? d->x0 + 5 : 10);
    if (!(d->y1 > d->y0))
        widen(&d->y0, &d->y1, -1, 1);
    if (!(d->z1 > d->z0))
        widen(&d->z0, &d->z1, 0, 1);
    double top = d->z1, bottom = d->z0; /* and openings a little above or below her */
    for (size_t i = 0; i < d->ship->link_count; i++) {
        const ship_link *l = &d->ship->links[i];
        if (placed(d, l))
            widen(&bottom, &top, l->clear.z, l->clear.z);
    }
    d->z0 = bottom;
    d->z1 = top;
    choose_scale(d);
}

/* A ring of the solid on the page, in the direction that region_outline wants. */
static bool make_ring(drawing *d, const view *v, const solid *s, ring *r)
{
    const double side[] = {s->x0, s->z0, s->x1, s->z0, s->x1, s->z1, s->x0, s->z1};
    const double *from = v->profile ? side : s->outline;
    size_t corners = v->profile ? 4 : s->corners;
    bool forward = v->profile || s->anticlockwise;
    double *xy = draw_new(d, corners, 2 * sizeof *xy);
    if (!xy)
        return false;
    for (size_t i = 0; i < corners; i++) {
        const double *p = from + 2 * (forward ? i : corners - 1 - i);
        xy[2 * i] = v->ox + p[0] * d->scale;
        xy[2 * i + 1] = v->oy - p[1] * d->scale;
    }
    *r = (ring){.xy = xy, .corners = corners};
    return true;
}

/* How near to the centre line it comes; what spans it comes before all, and starboard of equals. */
static double nearness(const ship_space *s)
{
    double near = INFINITY, side = 0;
    for (size_t k = 0; k < s->solid_count; k++) {
        const solid_part *p = &s->parts[k];
        if (p->z0 > p->z1)
            continue;
        near = fmin(near, fmax(fmax(p->y0, -p->y1), 0));
        side += p->y0 + p->y1;
    }
    bool spans = s->solids[0].y0 < -THIN && s->solids[0].y1 > THIN;
    return -near - (spans ? 0 : 1e-3) - (side > 0 ? 1e-4 : 0);
}

static bool make_region(drawing *d, const view *v, int space, region *r)
{
    const ship_space *s = &d->ship->spaces[space];
    size_t count = solids_on(d, v, s);
    *r = (region){.space = space, .depth = v->profile ? nearness(s) : s->bottom};
    size_t most = 0;
    for (size_t k = 0; k < s->solid_count; k++)
        most += cut_rings_most(s, k);
    r->rings = draw_new(d, most, sizeof *r->rings);
    if (!r->rings)
        return false;
    bool all = count == s->solid_count;
    for (size_t k = 0; k < s->solid_count; k++) {
        if (!all && !part_on(&s->parts[k], v))
            continue;
        bool made = drawn_as_given(s, k)
                        ? make_ring(d, v, &s->solids[k], &r->rings[r->ring_count++])
                        : cut_rings(d, v, s, k, r);
        if (!made)
            return false;
    }
    if (!r->ring_count && !make_ring(d, v, &s->solids[0], &r->rings[r->ring_count++]))
        return false; /* a sliver that no level cuts */
    return region_outline(d, r);
}

static int order_regions(const void *left, const void *right)
{
    const region *a = left, *b = right;
    if (a->depth != b->depth)
        return a->depth < b->depth ? -1 : 1;
    return a->space - b->space;
}

/* Of many on one heap the first that lie over it are looked at. */
static bool find_over(drawing *d, view *v, size_t i)
{
    region *r = &v->regions[i];
    box inner = box_grown(r->extent, -0.5);
    size_t count = 0;
    for (int turn = 0; turn < 2; turn++) {
        int *over = turn ? draw_new(d, count, sizeof *over) : NULL;
        if (turn && !over)
            return false;
        count = 0;
        for (size_t k = i + 1; k < v->region_count && count < OVER_MOST; k++) {
            if (!box_meets(&inner, &v->regions[k].extent))
                continue;
            if (over)
                over[count] = (int)k;
            count++;
        }
        r->over = over;
    }
    r->over_count = count;
    return true;
}

static bool is_free(const view *v, const region *r, double x, double y)
{
    if (!region_has(r, x, y))
        return false;
    for (size_t i = 0; i < r->over_count; i++)
        if (region_has(&v->regions[r->over[i]], x, y))
            return false;
    return true;
}

static bool find_inside(const view *v, region *r)
{
    enum { STEPS = 17 };
    bool wide = false;
    double best = INFINITY, cx = (r->extent.x0 + r->extent.x1) / 2,
           cy = (r->extent.y0 + r->extent.y1) / 2;
    for (int i = 0; i < STEPS * STEPS; i++) {
        int column = i % STEPS, line = i / STEPS;
        double x = r->extent.x0 + (column + 0.5) / STEPS * (r->extent.x1 - r->extent.x0);
        double y = r->extent.y0 + (line + 0.5) / STEPS * (r->extent.y1 - r->extent.y0);
        double off = hypot(x - cx, y - cy);
        wide = wide || region_has(r, x, y);
        if (off >= best || !is_free(v, r, x, y))
            continue;
        best = off;
        r->inside_x = x;
        r->inside_y = y;
    }
    r->named = wide && isinf(best); /* a sliver at most */
    for (size_t i = 0; i < r->edge_count && isinf(best); i++) {
        const edge *e = &r->edges[i];
        double length = fmax(hypot(e->x1 - e->x0, e->y1 - e->y0), 1e-9);
        r->inside_x = (e->x0 + e->x1) / 2 + 0.3 * (e->y1 - e->y0) / length;
        r->inside_y = (e->y0 + e->y1) / 2 - 0.3 * (e->x1 - e->x0) / length;
        if (is_free(v, r, r->inside_x, r->inside_y))
            best = 0;
    }
    r->named = r->named || isinf(best);
    if (isinf(best)) {
        r->inside_x = cx;
        r->inside_y = cy;
    }
    return isfinite(best);
}

static void place_view(drawing *d, view *v)
{
    double top = v->profile ? d->z1 : d->y1, bottom = v->profile ? d->z0 : d->y0;
    double y = d->y + HEADING + LANE, height = (top - bottom) * d->scale;
    double left = (d->page - (d->x1 - d->x0) * d->scale) / 2;
    v->ox = left - d->x0 * d->scale;
    v->oy = y + top * d->scale;
    v->area = (box){left, y, left + (d->x1 - d->x0) * d->scale, y + height};
    d->y = v->area.y1 + LANE + AXIS + strip_height(d, v) + GAP;
}

bool view_fill(drawing *d, view *v)
{
    place_view(d, v);
    v->regions = draw_new(d, v->spaces.count, sizeof *v->regions);
    if (!v->regions)
        return false;
    for (size_t i = 0; i < v->spaces.count; i++)
        if (solids_on(d, v, &d->ship->spaces[v->spaces.of[i]]) &&
            !make_region(d, v, v->spaces.of[i], &v->regions[v->region_count++]))
            return false;
    qsort(v->regions, v->region_count, sizeof *v->regions, order_regions);
    for (size_t i = 0; i < v->region_count; i++) {
        if (!find_over(d, v, i))
            return false;
        v->regions[i].hidden = !find_inside(v, &v->regions[i]);
    }
    if (!crowd_open(&v->taken, box_grown(v->area, LANE))) {
        d->lost = true;
        return false;
    }
    return true;
}

/* Across a deck opening its width is athwart, its height along the ship. */
static void make_mark(drawing *d, const view *v, const ship_link *l, mark *m)
{
    enum { LEAST = 8, MOST = 200 };
    const opening *c = &l->clear;
    double width = isfinite(c->width) ? c->width : 0, height = isfinite(c->height) ? c->height : 0;
    bool seen_on_end = v->profile ? c->lies != LONGITUDINAL : c->lies != DECK;
    double length = seen_on_end && !v->profile ? width
                    : !v->profile              ? height
                    : c->lies == LONGITUDINAL  ? width
                                               : height;
    double breadth = v->profile ? height : width;
    double up = v->profile ? c->z + (c->lies == DECK ? 0 : height / 2) : c->y;
    m->x = m->at_x = v->ox + c->x * d->scale;
    m->y = m->at_y = v->oy - up * d->scale;
    m->upright = c->lies == TRANSVERSE;
    m->flat = !seen_on_end;
    m->length = fmin(fmax(length * d->scale, LEAST), MOST);
    if (v->profile && m->flat)
        m->length = 0; /* face on it would hide what is behind it */
    m->breadth = m->flat ? fmin(fmax(breadth * d->scale, LEAST), MOST) : 0;
}

bool plans_tell(const drawing *d, const view *v)
{
    return v->profile && d->what->compact && (d->what->plans || d->what->more);
}

size_t marks_make(drawing *d, view *v, mark **marks)
{
    size_t count = 0;
    *marks = draw_new(d, v->links.count, sizeof **marks);
    for (size_t i = 0; *marks && i < v->links.count; i++) {
        int link = v->links.of[i];
        const ship_link *l = &d->ship->links[link];
        bool only_what_matters = plans_tell(d, v) || d->over.picture;
        if (!link_on(d, v, l) || (only_what_matters && !matters(&d->over.links[link])))
            continue;
        mark *m = &(*marks)[count++];
        m->link = link;
        make_mark(d, v, l, m);
    }
    return count;
}
