#include "ship/geometry.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

double outline_area(const double *xy, size_t corners)
{
    double twice = 0;
    for (size_t i = 2; i < corners; i++) {
        const double *o = xy, *a = xy + 2 * (i - 1), *b = xy + 2 * i;
        twice += (a[0] - o[0]) * (b[1] - o[1]) - (b[0] - o[0]) * (a[1] - o[1]);
    }
    return twice / 2;
}

static double turn(const double *a, const double *b, const double *c)
{
    return (b[0] - a[0]) * (c[1] - a[1]) - (c[0] - a[0]) * (b[1] - a[1]);
}

static bool between(const double *a, const double *b, const double *p)
{
    return fmin(a[0], b[0]) <= p[0] && p[0] <= fmax(a[0], b[0]) && fmin(a[1], b[1]) <= p[1] &&
           p[1] <= fmax(a[1], b[1]);
}

/* Do the segments ab and cd have a point in common? */
static bool segments_touch(const double *a, const double *b, const double *c, const double *d)
{
    double t1 = turn(a, b, c), t2 = turn(a, b, d), t3 = turn(c, d, a), t4 = turn(c, d, b);
    if (((t1 > 0 && t2 < 0) || (t1 < 0 && t2 > 0)) && ((t3 > 0 && t4 < 0) || (t3 < 0 && t4 > 0)))
        return true;
    return (t1 == 0 && between(a, b, c)) || (t2 == 0 && between(a, b, d)) ||
           (t3 == 0 && between(c, d, a)) || (t4 == 0 && between(c, d, b));
}

bool outline_simple(const double *xy, size_t corners)
{
    for (size_t i = 0; i < corners; i++) {
        const double *a = xy + 2 * i, *b = xy + 2 * ((i + 1) % corners);
        const double *next = xy + 2 * ((i + 2) % corners);
        double low = fmin(a[0], b[0]), high = fmax(a[0], b[0]);
        if (a[0] == b[0] && a[1] == b[1])
            return false;
        /* a corner that turns straight back upon its own side */
        if (turn(a, b, next) == 0 &&
            (next[0] - b[0]) * (a[0] - b[0]) + (next[1] - b[1]) * (a[1] - b[1]) > 0)
            return false;
        for (size_t j = i + 2; j < corners; j++) {
            const double *c = xy + 2 * j, *d = xy + 2 * ((j + 1) % corners);
            if ((i == 0 && j == corners - 1) || fmax(c[0], d[0]) < low || fmin(c[0], d[0]) > high)
                continue;
            if (segments_touch(a, b, c, d))
                return false;
        }
    }
    return true;
}

/*
 * Overlaps. A place lies in an outline if of the sides above it one more runs one way than the other.
 * So what two outlines share is, over all pairs of their sides, what lies under both, counted with
 * the ways that they run; and only sides that stand over each other have a part in it. Sorted by
 * where they begin, these are found in one sweep.
 */

typedef struct {
    double from, to;   /* along */
    double low, slope; /* height at from */
    int way;           /* 1 or -1 */
} side;

/* Over the axis along which the sides of both stand over each other least. */
typedef struct {
    int along;
    double floor; /* no corner is lower */
} sweep_axis;

static double extent_of(const double *xy, size_t corners, int axis, double *low, double *high)
{
    double run = 0;
    for (size_t i = 0; i < corners; i++) {
        double at = xy[2 * i + (size_t)axis], next = xy[2 * ((i + 1) % corners) + (size_t)axis];
        *low = fmin(*low, at);
        *high = fmax(*high, at);
        run += fabs(next - at);
    }
    return run;
}

static sweep_axis choose_axis(const double *a, size_t a_corners, const double *b, size_t b_corners)
{
    double low[2] = {INFINITY, INFINITY}, high[2] = {-INFINITY, -INFINITY}, crowd[2];
    for (int k = 0; k < 2; k++) {
        crowd[k] = extent_of(a, a_corners, k, &low[k], &high[k]);
        crowd[k] *= extent_of(b, b_corners, k, &low[k], &high[k]);
        crowd[k] /= fmax(pow(high[k] - low[k], 2), 1e-300);
    }
    int along = crowd[1] < crowd[0];
    return (sweep_axis){along, low[!along]};
}

static size_t sides_of(const double *xy, size_t corners, sweep_axis axis, side *list)
{
    size_t count = 0, x = (size_t)axis.along, y = !axis.along;
    for (size_t i = 0; i < corners; i++) {
        const double *p = xy + 2 * i, *q = xy + 2 * ((i + 1) % corners);
        if (p[x] == q[x])
            continue;
        int way = p[x] < q[x] ? 1 : -1;
        const double *first = way > 0 ? p : q, *last = way > 0 ? q : p;
        list[count++] = (side){first[x], last[x], first[y] - axis.floor,
                               (last[y] - first[y]) / (last[x] - first[x]), way};
    }
    return count;
}

static int by_beginning(const void *left, const void *right)
{
    const side *a = left, *b = right;
    return (a->from > b->from) - (a->from < b->from);
}

static double height_at(const side *s, double at)
{
    return s->low + s->slope * (at - s->from);
}

/* What lies under both, with its sign. */
static double under_both(const side *a, const side *b)
{
    double from = fmax(a->from, b->from), to = fmin(a->to, b->to);
    if (from >= to)
        return 0;
    double a0 = height_at(a, from), a1 = height_at(a, to);
    double b0 = height_at(b, from), b1 = height_at(b, to), d0 = a0 - b0, d1 = a1 - b1;
    double mean = (fmin(a0, b0) + fmin(a1, b1)) / 2;
    if ((d0 < 0 && d1 > 0) || (d0 > 0 && d1 < 0)) /* they cross: the lower is bent upwards */
        mean += fabs(d0) * fabs(d1) / (2 * (fabs(d0) + fabs(d1)));
    return a->way * b->way * mean * (to - from);
}

/* Sides that have begun and not ended. */
typedef struct {
    const side **list;
    size_t count;
} standing;

static void meet(standing *others, const side *s, double *sum)
{
    size_t kept = 0;
    for (size_t i = 0; i < others->count; i++) {
        const side *other = others->list[i];
        if (other->to <= s->from)
            continue;
        others->list[kept++] = other;
        *sum += under_both(s, other);
    }
    others->count = kept;
}

static double sweep(const side *a, size_t a_count, const side *b, size_t b_count, const side **room)
{
    double sum = 0;
    standing of_a = {room, 0}, of_b = {room + a_count, 0};
    for (size_t i = 0, j = 0; i < a_count || j < b_count;) {
        bool first = j == b_count || (i < a_count && a[i].from <= b[j].from);
        const side *s = first ? &a[i++] : &b[j++];
        meet(first ? &of_b : &of_a, s, &sum);
        standing *own = first ? &of_a : &of_b;
        own->list[own->count++] = s;
    }
    return fabs(sum);
}

double outline_overlap(const double *a, size_t a_corners, const double *b, size_t b_corners)
{
    sweep_axis axis = choose_axis(a, a_corners, b, b_corners);
    side *list = memory_new(a_corners + b_corners, sizeof *list);
    const side **room = memory_new(a_corners + b_corners, sizeof(const side *));
    double area = -1;
    if (list && room) {
        size_t a_count = sides_of(a, a_corners, axis, list);
        size_t b_count = sides_of(b, b_corners, axis, list + a_count);
        qsort(list, a_count, sizeof *list, by_beginning);
        qsort(list + a_count, b_count, sizeof *list, by_beginning);
        area = sweep(list, a_count, list + a_count, b_count, room);
    }
    memory_free(list);
    memory_free(room);
    return area;
}

void solid_measure(solid *s)
{
    s->x0 = s->x1 = s->outline[0];
    s->y0 = s->y1 = s->outline[1];
    for (size_t i = 1; i < s->corners; i++) {
        s->x0 = fmin(s->x0, s->outline[2 * i]);
        s->x1 = fmax(s->x1, s->outline[2 * i]);
        s->y0 = fmin(s->y0, s->outline[2 * i + 1]);
        s->y1 = fmax(s->y1, s->outline[2 * i + 1]);
    }
    double area = outline_area(s->outline, s->corners);
    s->anticlockwise = area > 0;
    s->area = s->box ? (s->x1 - s->x0) * (s->y1 - s->y0) : fabs(area);
}

double solid_overlap(const solid *a, const solid *b)
{
    double height = fmin(a->z1, b->z1) - fmax(a->z0, b->z0);
    double length = fmin(a->x1, b->x1) - fmax(a->x0, b->x0);
    double breadth = fmin(a->y1, b->y1) - fmax(a->y0, b->y0);
    if (height <= 0 || length <= 0 || breadth <= 0)
        return 0;
    if (a->box && b->box)
        return height * length * breadth;
    double area = outline_overlap(a->outline, a->corners, b->outline, b->corners);
    return area < 0 ? area : height * area;
}

static double segment_distance(const double *a, const double *b, double x, double y)
{
    double dx = b[0] - a[0], dy = b[1] - a[1], length = dx * dx + dy * dy;
    double share = length > 0 ? ((x - a[0]) * dx + (y - a[1]) * dy) / length : 0;
    share = fmin(fmax(share, 0), 1);
    return hypot(x - a[0] - share * dx, y - a[1] - share * dy);
}

double outline_distance(const double *xy, size_t apart, size_t corners, double x, double y)
{
    bool inside = false;
    double least = INFINITY;
    for (size_t i = 0; i < corners; i++) {
        const double *a = xy + apart * i, *b = xy + apart * ((i + 1) % corners);
        if ((a[1] > y) != (b[1] > y) && x < a[0] + (y - a[1]) / (b[1] - a[1]) * (b[0] - a[0]))
            inside = !inside;
        least = fmin(least, segment_distance(a, b, x, y));
    }
    return inside ? 0 : least;
}
