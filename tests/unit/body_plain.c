#include "body_plain.h"

#include <math.h>
#include <string.h>

static void add_to(plain *t, int which, double value)
{
    t->sum[which] += value;
    t->size[which] += fabs(value);
}

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

static void between(const double from[3], const double to[3], double out[3])
{
    for (int k = 0; k < 3; k++)
        out[k] = to[k] - from[k];
}

/* The tetrahedron from the origin of the plane over a triangle. */
static void add_tetrahedron(plain *t, const plane *p, double corner[3][3])
{
    double a[3], b[3], c[3];
    between(p->origin, corner[0], a);
    between(p->origin, corner[1], b);
    between(p->origin, corner[2], c);
    double v = (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
                a[2] * (b[0] * c[1] - b[1] * c[0])) /
               6;
    add_to(t, VOLUME, v);
    for (int k = 0; k < 3; k++)
        add_to(t, MOMENT + k, v * (p->origin[k] + (a[k] + b[k] + c[k]) / 4));
}

/* The triangle in the plane from its origin to an edge: its area, first and second moments, those
 * from the middles of its sides, which is exact for the second degree. */
static void add_to_waterplane(plain *t, const plane *p, const double from[3], const double to[3])
{
    double a[3], b[3];
    between(p->origin, from, a);
    between(p->origin, to, b);
    double u[3] = {0, dot(a, p->e1), dot(b, p->e1)}, v[3] = {0, dot(a, p->e2), dot(b, p->e2)};
    double area = (u[1] * v[2] - u[2] * v[1]) / 2;
    add_to(t, AREA, area);
    for (int i = 0; i < 3; i++) {
        double mu = (u[i] + u[(i + 1) % 3]) / 2, mv = (v[i] + v[(i + 1) % 3]) / 2;
        add_to(t, AU, area * mu / 3);
        add_to(t, AV, area * mv / 3);
        add_to(t, AUU, area * mu * mu / 3);
        add_to(t, AVV, area * mv * mv / 3);
        add_to(t, AUV, area * mu * mv / 3);
    }
}

/* Where the edge of two heights of different signs meets the plane. */
static void crossing(const double a[3], const double b[3], double ha, double hb, double out[3])
{
    for (int k = 0; k < 3; k++)
        out[k] = (a[k] * hb - b[k] * ha) / (hb - ha);
}

/* One triangle: none, all, one corner or two corners of it are below. */
static void add_triangle(plain *t, const plane *p, const double *const corner[3])
{
    double height[3], part[3][3], enter[3], leave[3];
    int below = 0, odd = 0; /* the corner that is on its own side */
    for (int i = 0; i < 3; i++) {
        height[i] = plane_height(p, corner[i][0], corner[i][1], corner[i][2]);
        below += height[i] < 0;
    }
    if (below == 0)
        return;
    for (int i = 0; i < 3; i++) {
        memcpy(part[i], corner[i], sizeof part[i]);
        if ((height[i] < 0) == (below == 1))
            odd = i;
    }
    if (below == 3) {
        add_tetrahedron(t, p, part);
        return;
    }
    int next = (odd + 1) % 3, last = (odd + 2) % 3;
    crossing(corner[odd], corner[next], height[odd], height[next], leave);
    crossing(corner[last], corner[odd], height[last], height[odd], enter);
    const double *const one[3] = {corner[odd], leave, enter};
    const double *const two[2][3] = {{leave, corner[next], corner[last]},
                                     {leave, corner[last], enter}};
    for (int i = 0; i < (below == 1 ? 1 : 2); i++) {
        for (int k = 0; k < 3; k++)
            memcpy(part[k], below == 1 ? one[k] : two[i][k], sizeof part[k]);
        add_tetrahedron(t, p, part);
    }
    /* the waterplane runs against the part below */
    add_to_waterplane(t, p, below == 1 ? enter : leave, below == 1 ? leave : enter);
}

plain plain_below(const body *b, const plane *p)
{
    plain t = {{0}, {0}};
    for (size_t f = 0; f < b->faces; f++)
        for (size_t i = b->start[f] + 2; i < b->start[f + 1]; i++) {
            const double *const corner[3] = {b->points + 3 * b->start[f], b->points + 3 * (i - 1),
                                             b->points + 3 * i};
            add_triangle(&t, p, corner);
        }
    return t;
}
