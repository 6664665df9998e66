/* The outline of several rings together: of each side those parts that have no other ring beyond
 * them. Rings run with the inside to their left (y up). */
#include <math.h>
#include <stdlib.h>

#include "present/draw/drawing.h"

/* Points: nearer than this, two lines are one. */
#define NEAR      0.02
#define EDGE_MOST 240

bool region_has(const region *r, double x, double y)
{
    for (size_t i = 0; i < r->ring_count; i++)
        if (ring_has(&r->rings[i], x, y))
            return true;
    return false;
}

/* Where along a side (0 to 1) the sides of another ring meet it; adds to `at`. */
static size_t add_meetings(const double *p, const double *q, const ring *other, double *at)
{
    size_t count = 0;
    double dx = q[0] - p[0], dy = q[1] - p[1], square = dx * dx + dy * dy;
    for (size_t i = 0; i < other->corners; i++) {
        const double *a = other->xy + 2 * i, *b = other->xy + 2 * ((i + 1) % other->corners);
        double ex = b[0] - a[0], ey = b[1] - a[1], cross = dx * ey - dy * ex;
        if (fabs(cross) > 1e-9 * (square + ex * ex + ey * ey))
            at[count++] = ((a[0] - p[0]) * ey - (a[1] - p[1]) * ex) / cross;
        at[count++] = ((a[0] - p[0]) * dx + (a[1] - p[1]) * dy) / square;
    }
    return count;
}

static int order_doubles(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Is the piece whose middle is given part of the outline of all? nx, ny point out. */
static bool is_outline(const region *r, size_t own, double x, double y, double nx, double ny)
{
    for (size_t j = 0; j < r->ring_count; j++) {
        if (j == own)
            continue;
        bool beyond = ring_has(&r->rings[j], x + NEAR * nx, y + NEAR * ny);
        bool within = ring_has(&r->rings[j], x - NEAR * nx, y - NEAR * ny);
        if (beyond || (within && j < own && !beyond &&
                       !ring_has(&r->rings[j], x + 4 * NEAR * nx, y + 4 * NEAR * ny)))
            return false;
    }
    return true;
}

static void add_edge(region *r, double x0, double y0, double x1, double y1)
{
    edge *last = r->edge_count ? &r->edges[r->edge_count - 1] : NULL;
    if (last && last->x1 == x0 && last->y1 == y0 &&
        fabs((last->x1 - last->x0) * (y1 - y0) - (last->y1 - last->y0) * (x1 - x0)) < 1e-9) {
        last->x1 = x1; /* goes straight on */
        last->y1 = y1;
        return;
    }
    r->edges[r->edge_count++] = (edge){x0, y0, x1, y1};
}

static void outline_side(region *r, size_t own, const double *p, const double *q, double *at)
{
    double dx = q[0] - p[0], dy = q[1] - p[1], length = hypot(dx, dy);
    size_t count = 0;
    if (length < 1e-9)
        return;
    at[count++] = 0;
    at[count++] = 1;
    for (size_t j = 0; j < r->ring_count; j++)
        if (j != own)
            count += add_meetings(p, q, &r->rings[j], at + count);
    qsort(at, count, sizeof *at, order_doubles);
    for (size_t i = 0; i + 1 < count; i++) {
        double from = fmax(at[i], 0), to = fmin(at[i + 1], 1), middle = (from + to) / 2;
        if (to - from < 1e-9)
            continue;
        /* y runs down on the page, so the inside to the left there is to the right here */
        if (is_outline(r, own, p[0] + middle * dx, p[1] + middle * dy, -dy / length, dx / length))
            add_edge(r, p[0] + from * dx, p[1] + from * dy, p[0] + to * dx, p[1] + to * dy);
    }
}

static void extend(region *r)
{
    box *e = &r->extent;
    *e = (box){INFINITY, INFINITY, -INFINITY, -INFINITY};
    for (size_t i = 0; i < r->ring_count; i++) {
        for (size_t k = 0; k < r->rings[i].corners; k++) {
            const double *p = r->rings[i].xy + 2 * k;
            e->x0 = fmin(e->x0, p[0]);
            e->y0 = fmin(e->y0, p[1]);
            e->x1 = fmax(e->x1, p[0]);
            e->y1 = fmax(e->y1, p[1]);
        }
    }
}

bool region_outline(drawing *d, region *r)
{
    size_t sides = 0;
    for (size_t i = 0; i < r->ring_count; i++)
        sides += r->rings[i].corners;
    bool alone = r->ring_count == 1 || sides > EDGE_MOST;
    size_t room = alone ? sides : 2 * sides * sides + 2;
    double *at = memory_new(alone ? 1 : 2 * sides + 2, sizeof *at);
    edge *all = memory_new(room, sizeof *all);
    bool good = at && all;
    for (size_t i = 0; good && i < r->ring_count; i++)
        good = ring_sort(d, &r->rings[i]);
    r->edges = all;
    for (size_t i = 0; i < r->ring_count && good; i++) {
        for (size_t k = 0; k < r->rings[i].corners; k++) {
            const double *p = r->rings[i].xy + 2 * k;
            const double *q = r->rings[i].xy + 2 * ((k + 1) % r->rings[i].corners);
            if (alone)
                r->edges[r->edge_count++] = (edge){p[0], p[1], q[0], q[1]};
            else
                outline_side(r, i, p, q, at);
        }
    }
    r->edges = good ? draw_new(d, r->edge_count, sizeof *r->edges) : NULL;
    for (size_t i = 0; r->edges && i < r->edge_count; i++)
        r->edges[i] = all[i];
    memory_free(at);
    memory_free(all);
    extend(r);
    d->lost = d->lost || !r->edges;
    return r->edges != NULL;
}

/* Is the piece of an edge of parts[own] whose middle is given an edge of all parts together? */
static bool is_common(const region *const *parts, size_t count, size_t own, const edge *piece)
{
    double dx = piece->x1 - piece->x0, dy = piece->y1 - piece->y0, length = hypot(dx, dy);
    double x = (piece->x0 + piece->x1) / 2, y = (piece->y0 + piece->y1) / 2;
    double nx = -dy / length, ny = dx / length;
    box about = box_about(x, y, 4 * NEAR, 4 * NEAR);
    for (size_t j = 0; j < count; j++) {
        if (j == own || !box_meets(&about, &parts[j]->extent))
            continue;
        if (region_has(parts[j], x + NEAR * nx, y + NEAR * ny) ||
            (j < own && region_has(parts[j], x - NEAR * nx, y - NEAR * ny)))
            return false;
    }
    return true;
}

/* Where the edge is met by other parts, sorted, from 0 to 1. NULL where memory ran out. */
static double *common_meetings(drawing *d, const region *const *parts, size_t count, size_t own,
                               const edge *e, size_t *met)
{
    box about = box_grown(
        (box){fmin(e->x0, e->x1), fmin(e->y0, e->y1), fmax(e->x0, e->x1), fmax(e->y0, e->y1)},
        NEAR);
    const double p[] = {e->x0, e->y0}, q[] = {e->x1, e->y1};
    size_t room = 2;
    for (size_t j = 0; j < count; j++)
        for (size_t k = 0; k < parts[j]->ring_count && j != own; k++)
            room += box_meets(&about, &parts[j]->extent) ? 2 * parts[j]->rings[k].corners : 0;
    double *at = memory_new(room, sizeof *at);
    d->lost = d->lost || !at;
    *met = 0;
    if (!at)
        return NULL;
    at[(*met)++] = 0;
    at[(*met)++] = 1;
    for (size_t j = 0; j < count; j++)
        for (size_t k = 0; k < parts[j]->ring_count && j != own; k++)
            if (box_meets(&about, &parts[j]->extent))
                *met += add_meetings(p, q, &parts[j]->rings[k], at + *met);
    qsort(at, *met, sizeof *at, order_doubles);
    return at;
}

static void add_common(drawing *d, const region *const *parts, size_t count, size_t own,
                       const edge *e, common_outline *o)
{
    size_t met = 0;
    double *at = common_meetings(d, parts, count, own, e, &met);
    double dx = e->x1 - e->x0, dy = e->y1 - e->y0;
    for (size_t i = 0; at && i + 1 < met; i++) {
        double from = fmax(at[i], 0), to = fmin(at[i + 1], 1);
        edge piece = {e->x0 + from * dx, e->y0 + from * dy, e->x0 + to * dx, e->y0 + to * dy};
        if (to - from < 1e-9 || !is_common(parts, count, own, &piece))
            continue;
        if (MEMORY_ROOM(o->edges, o->count, o->capacity))
            o->edges[o->count++] = piece;
        else
            d->lost = true;
    }
    memory_free(at);
}

common_outline outline_of_all(drawing *d, const region *const *parts, size_t count)
{
    common_outline o = {0};
    for (size_t i = 0; i < count; i++)
        for (size_t k = 0; k < parts[i]->edge_count; k++)
            add_common(d, parts, count, i, &parts[i]->edges[k], &o);
    return o;
}

/* Does the segment pass through the inside of the box? (Liang and Barsky, ACM Transactions on
 * Graphics 3(1), 1984) */
static bool crosses(const edge *e, const box *b)
{
    double from = 0, to = 1, dx = e->x1 - e->x0, dy = e->y1 - e->y0;
    const double p[] = {-dx, dx, -dy, dy};
    const double q[] = {e->x0 - b->x0, b->x1 - e->x0, e->y0 - b->y0, b->y1 - e->y0};
    for (int i = 0; i < 4; i++) {
        if (p[i] == 0 && q[i] <= 0)
            return false;
        if (p[i] < 0)
            from = fmax(from, q[i] / p[i]);
        else if (p[i] > 0)
            to = fmin(to, q[i] / p[i]);
    }
    return from < to;
}

static bool any_crosses(const region *r, const box *b)
{
    for (size_t i = 0; i < r->edge_count; i++)
        if (crosses(&r->edges[i], b))
            return true;
    return false;
}

bool region_holds(const region *r, const box *b)
{
    return region_has(r, (b->x0 + b->x1) / 2, (b->y0 + b->y1) / 2) && !any_crosses(r, b);
}

bool region_touches(const region *r, const box *b)
{
    return box_meets(&r->extent, b) &&
           (region_has(r, (b->x0 + b->x1) / 2, (b->y0 + b->y1) / 2) || any_crosses(r, b));
}
