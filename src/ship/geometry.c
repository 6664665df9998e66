#include "ship/geometry.h"

#include <math.h>
#include <string.h>

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
        if (a[0] == b[0] && a[1] == b[1])
            return false;
        /* a corner that turns straight back upon its own side */
        if (turn(a, b, next) == 0 &&
            (next[0] - b[0]) * (a[0] - b[0]) + (next[1] - b[1]) * (a[1] - b[1]) > 0)
            return false;
        for (size_t j = i + 2; j < corners; j++) {
            if (i == 0 && j == corners - 1)
                continue;
            if (segments_touch(a, b, xy + 2 * j, xy + 2 * ((j + 1) % corners)))
                return false;
        }
    }
    return true;
}

/* Keeps the part of a convex polygon on the left of the line from p to q. */
static size_t cut(const double *in, size_t corners, const double *p, const double *q, double *out)
{
    size_t kept = 0;
    for (size_t i = 0; i < corners; i++) {
        const double *a = in + 2 * i, *b = in + 2 * ((i + 1) % corners);
        double ta = turn(p, q, a), tb = turn(p, q, b);
        if (ta >= 0) {
            out[2 * kept] = a[0];
            out[2 * kept + 1] = a[1];
            kept++;
        }
        if ((ta > 0 && tb < 0) || (ta < 0 && tb > 0)) {
            double share = ta / (ta - tb);
            out[2 * kept] = a[0] + share * (b[0] - a[0]);
            out[2 * kept + 1] = a[1] + share * (b[1] - a[1]);
            kept++;
        }
    }
    return kept;
}

enum { CUT_MAX = 16 }; /* a triangle cut by three lines has at most six corners */

/* The triangle origin, corner i-1, corner i, made anticlockwise; returns its sign, 0 if flat. */
static int fan(const double *xy, size_t i, double t[6])
{
    memcpy(t, xy, 2 * sizeof *t);
    memcpy(t + 2, xy + 2 * (i - 1), 4 * sizeof *t);
    double area = outline_area(t, 3);
    if (area < 0) {
        double x = t[2], y = t[3];
        t[2] = t[4], t[3] = t[5], t[4] = x, t[5] = y;
    }
    return (area > 0) - (area < 0);
}

static double triangle_overlap(const double a[6], const double b[6])
{
    double one[2 * CUT_MAX], two[2 * CUT_MAX];
    size_t corners = cut(a, 3, b, b + 2, one);
    corners = cut(one, corners, b + 2, b + 4, two);
    corners = cut(two, corners, b + 4, b, one);
    return outline_area(one, corners);
}

double outline_overlap(const double *a, size_t a_corners, const double *b, size_t b_corners)
{
    double area = 0, ta[6], tb[6];
    for (size_t i = 2; i < a_corners; i++) {
        int sa = fan(a, i, ta);
        for (size_t j = 2; sa && j < b_corners; j++) {
            int sb = fan(b, j, tb);
            if (sb)
                area += sa * sb * triangle_overlap(ta, tb);
        }
    }
    return fabs(area);
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
    return height * outline_overlap(a->outline, a->corners, b->outline, b->corners);
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
