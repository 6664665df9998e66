#include "ship/convex.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/dot.h"
#include "ship/geometry.h"

void convex_free(convex *c)
{
    memory_free(c->xyz);
    memory_free(c->face);
    memory_free(c->start);
    *c = (convex){0};
}

void cutter_free(cutter *t)
{
    convex_free(&t->spare);
    memory_free(t->side);
    memory_free(t->number);
    memory_free(t->crossing);
    memory_free(t->open);
    memory_free(t->edges);
    *t = (cutter){0};
}

static void empty(convex *c)
{
    c->corners = c->uses = c->faces = 0;
}

/* Room for so many items: the array only grows. */
static bool make_room(void **array, size_t wanted, size_t *room, size_t size)
{
    if (wanted <= *room)
        return true;
    size_t more = 2 * wanted + 16;
    void *larger = memory_resize(*array, more, size);
    if (!larger)
        return false;
    *array = larger;
    *room = more;
    return true;
}
#define ROOM(array, wanted, room) make_room((void **)&(array), (wanted), &(room), sizeof *(array))

static bool convex_room(convex *c, size_t corners, size_t uses, size_t faces)
{
    c->lost = c->lost || !ROOM(c->xyz, 3 * corners, c->corner_room) ||
              !ROOM(c->face, uses, c->use_room) || !ROOM(c->start, faces + 1, c->start_room);
    empty(c);
    if (!c->lost)
        c->start[0] = 0;
    return !c->lost;
}

static void end_face(convex *c)
{
    c->start[++c->faces] = (int)c->uses;
}

static void put_use(convex *c, size_t corner)
{
    c->face[c->uses++] = (int)corner;
}

static size_t put_corner(convex *c, double x, double y, double z)
{
    double *at = c->xyz + 3 * c->corners;
    at[0] = x;
    at[1] = y;
    at[2] = z;
    return c->corners++;
}

void convex_prism(convex *c, const double *outline, size_t corners, bool left, double z0, double z1)
{
    size_t n = corners;
    if (!convex_room(c, 2 * n, 6 * n, n + 2))
        return;
    for (int top = 0; top < 2; top++)
        for (size_t i = 0; i < n; i++) {
            const double *xy = outline + 2 * (left ? i : n - 1 - i);
            put_corner(c, xy[0], xy[1], top ? z1 : z0);
        }
    for (size_t i = 0; i < n; i++)
        put_use(c, n - 1 - i);
    end_face(c);
    for (size_t i = 0; i < n; i++)
        put_use(c, n + i);
    end_face(c);
    for (size_t i = 0; i < n; i++) {
        size_t j = (i + 1) % n;
        put_use(c, i);
        put_use(c, j);
        put_use(c, n + j);
        put_use(c, n + i);
        end_face(c);
    }
}

void convex_copy(convex *to, const convex *from)
{
    if (!convex_room(to, from->corners, from->uses, from->faces) || from->lost) {
        to->lost = true;
        return;
    }
    memcpy(to->xyz, from->xyz, 3 * from->corners * sizeof *to->xyz);
    memcpy(to->face, from->face, from->uses * sizeof *to->face);
    memcpy(to->start, from->start, (from->faces + 1) * sizeof *to->start);
    to->corners = from->corners;
    to->uses = from->uses;
    to->faces = from->faces;
}

static double beyond(const double *p, const half_space *h)
{
    return dot(h->n, p) - h->d;
}

/* Cutting. */

static bool cutter_room(cutter *t, const convex *c)
{
    size_t uses = c->uses, corners = c->corners;
    return ROOM(t->side, corners, t->side_room) && ROOM(t->number, corners, t->number_room) &&
           ROOM(t->crossing, corners, t->crossing_room) &&
           ROOM(t->open, corners + uses, t->open_room) &&
           ROOM(t->edges, 2 * uses + corners, t->edge_room) &&
           convex_room(&t->spare, corners + uses, 3 * uses, c->faces + uses);
}

/* Which side of the plane each corner is on: -1 kept, 0 on it, 1 off. */
static cut_effect judge(cutter *t, const convex *c, const half_space *h)
{
    size_t off = 0, kept = 0;
    for (size_t i = 0; i < c->corners; i++) {
        double by = beyond(c->xyz + 3 * i, h);
        t->side[i] = (signed char)((by > t->tolerance) - (by < -t->tolerance));
        off += t->side[i] > 0;
        kept += t->side[i] < 0;
    }
    return !kept ? CUT_ALL_OFF : off ? CUT_SOME_OFF : CUT_NOTHING_OFF;
}

/* The new corner on the edge from a kept corner to one that is off: one for both of its faces. */
static int crossing(cutter *t, const convex *c, const half_space *h, int kept, int off)
{
    for (int e = t->crossing[kept]; e >= 0; e = t->edges[e].next)
        if (t->edges[e].from == off)
            return t->edges[e].to;
    const double *a = c->xyz + 3 * kept, *b = c->xyz + 3 * off;
    double ha = beyond(a, h), share = ha / (ha - beyond(b, h));
    size_t made = put_corner(&t->spare, a[0] + share * (b[0] - a[0]), a[1] + share * (b[1] - a[1]),
                             a[2] + share * (b[2] - a[2]));
    t->edges[t->edge_count] = (struct cut_edge){off, (int)made, t->crossing[kept]};
    t->crossing[kept] = (int)t->edge_count++;
    return (int)made;
}

static int kept_corner(cutter *t, const convex *c, int corner)
{
    if (t->number[corner] < 0) {
        const double *p = c->xyz + 3 * corner;
        t->number[corner] = (int)put_corner(&t->spare, p[0], p[1], p[2]);
    }
    return t->number[corner];
}

/* The part of a face that is kept. Returns false where it has none. */
static bool cut_face(cutter *t, const convex *c, const half_space *h, const int *face, size_t uses)
{
    bool any = false;
    for (size_t i = 0; i < uses; i++)
        any = any || t->side[face[i]] < 0;
    for (size_t i = 0; any && i < uses; i++) {
        int a = face[i], b = face[i + 1 < uses ? i + 1 : 0];
        if (t->side[a] <= 0)
            put_use(&t->spare, (size_t)kept_corner(t, c, a));
        if (t->side[a] * t->side[b] < 0)
            put_use(&t->spare,
                    (size_t)crossing(t, c, h, t->side[a] < 0 ? a : b, t->side[a] < 0 ? b : a));
    }
    if (any)
        end_face(&t->spare);
    return any;
}

/* Is the corner of the new body in the plane? Those of old corners are, where they were on it. */
static bool in_plane(const convex *c, int corner, const half_space *h, double tolerance)
{
    return beyond(c->xyz + 3 * corner, h) >= -tolerance;
}

/* An edge in the plane that a kept face leaves open, turned round for the face to be; two that run
 * against each other close each other. */
static void open_edge(cutter *t, int from, int to)
{
    for (int e = t->open[to]; e >= 0; e = t->edges[e].next)
        if (t->edges[e].to == from) {
            t->edges[e].to = -1;
            return;
        }
    t->edges[t->edge_count] = (struct cut_edge){from, to, t->open[from]};
    t->open[from] = (int)t->edge_count++;
}

static void collect_open(cutter *t, const half_space *h)
{
    const convex *s = &t->spare;
    t->edge_count = 0;
    for (size_t i = 0; i < s->corners; i++)
        t->open[i] = -1;
    for (size_t f = 0; f < s->faces; f++) {
        int first = s->start[f], last = s->start[f + 1];
        for (int i = first; i < last; i++) {
            int a = s->face[i], b = s->face[i + 1 < last ? i + 1 : first];
            if (in_plane(s, a, h, t->tolerance) && in_plane(s, b, h, t->tolerance))
                open_edge(t, b, a);
        }
    }
}

/* The next corner along the open edges, which is taken from them; -1: none. */
static int follow(cutter *t, int from)
{
    for (int e = t->open[from]; e >= 0; e = t->edges[e].next) {
        int to = t->edges[e].to;
        t->edges[e].to = -1;
        t->open[from] = t->edges[e].next;
        if (to >= 0)
            return to;
    }
    return -1;
}

/* Closes what is open: as many edges leave a corner as come to it, so each walk comes back. */
static void close_body(cutter *t)
{
    convex *s = &t->spare;
    for (int i = 0; i < (int)s->corners; i++) {
        for (int next = follow(t, i); next >= 0; next = follow(t, i)) {
            for (; next >= 0 && next != i; next = follow(t, next))
                put_use(s, (size_t)next);
            put_use(s, (size_t)i);
            end_face(s);
        }
    }
}

static void swap(convex *a, convex *b)
{
    convex c = *a;
    *a = *b;
    *b = c;
}

cut_effect convex_cut(cutter *t, convex *c, half_space h)
{
    if (!c->faces)
        return CUT_ALL_OFF;
    if (c->lost || !cutter_room(t, c)) {
        c->lost = true;
        empty(c);
        return CUT_ALL_OFF;
    }
    cut_effect effect = judge(t, c, &h);
    if (effect == CUT_NOTHING_OFF)
        return effect;
    if (effect == CUT_ALL_OFF) {
        empty(c);
        return effect;
    }
    t->edge_count = 0;
    for (size_t i = 0; i < c->corners; i++)
        t->number[i] = t->crossing[i] = -1;
    for (size_t f = 0; f < c->faces; f++)
        cut_face(t, c, &h, c->face + c->start[f], (size_t)(c->start[f + 1] - c->start[f]));
    collect_open(t, &h);
    close_body(t);
    swap(c, &t->spare);
    return effect;
}

double convex_beyond(const convex *c, half_space h)
{
    double most = -INFINITY;
    for (size_t i = 0; i < c->corners; i++)
        most = fmax(most, beyond(c->xyz + 3 * i, &h));
    return most;
}

double convex_volume(const convex *c)
{
    double six = 0;
    const double *o = c->xyz;
    for (size_t f = 0; f < c->faces; f++) {
        const double *p = c->xyz + 3 * c->face[c->start[f]];
        for (int i = c->start[f] + 2; i < c->start[f + 1]; i++) {
            const double *q = c->xyz + 3 * c->face[i - 1], *r = c->xyz + 3 * c->face[i];
            double a[3], b[3], d[3];
            for (int k = 0; k < 3; k++) {
                a[k] = p[k] - o[k];
                b[k] = q[k] - o[k];
                d[k] = r[k] - o[k];
            }
            six += a[0] * (b[1] * d[2] - b[2] * d[1]) + a[1] * (b[2] * d[0] - b[0] * d[2]) +
                   a[2] * (b[0] * d[1] - b[1] * d[0]);
        }
    }
    return six / 6;
}
