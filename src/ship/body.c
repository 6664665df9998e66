/*
 * The part of a closed body below a plane. Method: what is below of each face, joined to a point in
 * the plane by tetrahedra with signed volumes. Argument: these close but for the lid in the plane,
 * whose own tetrahedra are flat; and the lid's area and moments follow from the edges that the cut
 * leaves, each of which bounds it once. In a face that is not convex the cuts are paired as the
 * outline leaves and comes back; they lie on one line, so where two pairs overlap they run in both
 * directions and cancel. Groups of faces that are wholly below are taken by sums made beforehand,
 * moved to the plane's point. Of a group that the plane goes through each place is turned into its
 * frame once, however many faces meet there. Cost: groups, and corners of those that are cut.
 */
#include "ship/body.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/dot.h"

plane plane_make(double heel, double trim, double d, const double near[3])
{
    double sh = sin(heel), ch = cos(heel), st = sin(trim), ct = cos(trim);
    plane p = {
        .n = {-st, -ct * sh, ct * ch}, .d = d, .e1 = {ct, -st * sh, st * ch}, .e2 = {0, ch, sh}};
    double up = d - dot(p.n, near);
    for (int i = 0; i < 3; i++)
        p.origin[i] = near[i] + up * p.n[i];
    return p;
}

double plane_height(const plane *p, double x, double y, double z)
{
    return p->n[0] * x + p->n[1] * y + p->n[2] * z - p->d;
}

/* Sums over the part of a body below a plane, in the frame of the plane: from its origin along e1, e2
 * and n. Twelfths and other parts are left to the end, and so is the share. */
typedef struct {
    double six;       /* times the volume */
    double moment[3]; /* 24 times, in that frame */
    double ship[3];   /* 24 times, of whole groups, from the plane's origin along the ship's axes */
    double area2;     /* twice the waterplane's area */
    double u6, v6, uu12, vv12, uv24;
} sums;

/* A corner in that frame: u, v, and the height above the plane. */
static void place_corner(const plane *p, const double *xyz, double out[3])
{
    double x = xyz[0] - p->origin[0], y = xyz[1] - p->origin[1], z = xyz[2] - p->origin[2];
    out[0] = p->e1[0] * x + p->e1[1] * y + p->e1[2] * z;
    out[1] = p->e2[0] * x + p->e2[1] * y + p->e2[2] * z;
    out[2] = p->n[0] * x + p->n[1] * y + p->n[2] * z;
}

/* The tetrahedron from the plane's origin over a triangle. */
static inline void add_triangle(const double *a, const double *b, const double *c, sums *to)
{
    double six = a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
                 a[2] * (b[0] * c[1] - b[1] * c[0]);
    to->six += six;
    for (int k = 0; k < 3; k++)
        to->moment[k] += six * (a[k] + b[k] + c[k]);
}

/* One edge of the waterplane, from a to b with the water on its left seen from above. */
static void add_edge(const double *a, const double *b, sums *to)
{
    double cross = a[0] * b[1] - b[0] * a[1];
    to->area2 += cross;
    to->u6 += cross * (a[0] + b[0]);
    to->v6 += cross * (a[1] + b[1]);
    to->uu12 += cross * (a[0] * a[0] + a[0] * b[0] + b[0] * b[0]);
    to->vv12 += cross * (a[1] * a[1] + a[1] * b[1] + b[1] * b[1]);
    to->uv24 += cross * (2 * a[0] * a[1] + a[0] * b[1] + b[0] * a[1] + 2 * b[0] * b[1]);
}

/* Back to the ship's axes and origin. */
static void add_sums(const sums *from, const plane *p, double share, submerged *sum)
{
    double volume = share * from->six / 6;
    sum->volume += volume;
    for (int k = 0; k < 3; k++)
        sum->moment[k] +=
            volume * p->origin[k] + share *
                                        (from->ship[k] + from->moment[0] * p->e1[k] +
                                         from->moment[1] * p->e2[k] + from->moment[2] * p->n[k]) /
                                        24;
    sum->area += share * from->area2 / 2;
    sum->au += share * from->u6 / 6;
    sum->av += share * from->v6 / 6;
    sum->auu += share * from->uu12 / 12;
    sum->avv += share * from->vv12 / 12;
    sum->auv += share * from->uv24 / 24;
}

static void cross_at(const double *a, const double *b, double ha, double hb, double *out)
{
    double share = ha / (ha - hb);
    for (int k = 0; k < 3; k++)
        out[k] = a[k] + share * (b[k] - a[k]);
}

/* The part of a face below the plane as it is gone round, corner by corner. */
typedef struct {
    double first[3], last[3];
    int corners;
} fan;

static inline void fan_take(fan *f, const double *at, sums *to)
{
    if (f->corners == 0)
        memcpy(f->first, at, sizeof f->first);
    else if (f->corners > 1)
        add_triangle(f->first, f->last, at, to);
    memcpy(f->last, at, sizeof f->last);
    f->corners++;
}

/* The part of a face below the plane; waterplane edges go from where the outline comes back to where
 * it left. A corner in the plane counts as above. */
static void add_cut(const double *vertices, const unsigned *corner, size_t corners, sums *to)
{
    double left[3] = {0, 0, 0}, first_in[3] = {0, 0, 0}, at[3];
    bool has_left = false, has_entry = false;
    fan kept = {.corners = 0};
    for (size_t i = 0; i < corners; i++) {
        const double *a = vertices + 3 * (size_t)corner[i];
        const double *b = vertices + 3 * (size_t)corner[i + 1 < corners ? i + 1 : 0];
        bool in = a[2] < 0;
        if (in)
            fan_take(&kept, a, to);
        if (in == (b[2] < 0))
            continue;
        cross_at(a, b, a[2], b[2], at);
        at[2] = 0;
        fan_take(&kept, at, to);
        if (in) {
            memcpy(left, at, sizeof left);
            has_left = true;
        } else if (has_left) {
            add_edge(at, left, to);
            has_left = false;
        } else {
            memcpy(first_in, at, sizeof first_in);
            has_entry = true;
        }
    }
    if (has_left && has_entry)
        add_edge(first_in, left, to);
}

/* All faces of a group: the same tetrahedra, with the origin moved to the plane's. */
static void add_group(const body_group *g, const plane *p, sums *to)
{
    double o[3];
    for (int k = 0; k < 3; k++)
        o[k] = p->origin[k] - g->middle[k];
    double six = g->det - dot(g->normal, o);
    to->six += six;
    for (int k = 0; k < 3; k++)
        to->ship[k] += g->det_sum[k] - dot(g->normal_sum[k], o) - 3 * o[k] * six;
}

/* A face that is wholly below. */
static void add_face(const double *vertices, const unsigned *corner, size_t corners, sums *to)
{
    const double *a = vertices + 3 * (size_t)corner[0];
    for (size_t i = 2; i < corners; i++)
        add_triangle(a, vertices + 3 * (size_t)corner[i - 1], vertices + 3 * (size_t)corner[i], to);
}

static void add_faces(const body *b, const body_group *g, const plane *p, double *scratch, sums *to)
{
    for (size_t i = 0; i < g->vertices; i++)
        place_corner(p, b->vertices + 3 * (g->first_vertex + i), scratch + 3 * i);
    for (size_t f = g->first; f < g->last; f++) {
        const unsigned *corner = b->vertex + b->start[f];
        size_t corners = b->start[f + 1] - b->start[f], below = 0;
        for (size_t i = 0; i < corners; i++)
            below += scratch[3 * (size_t)corner[i] + 2] < 0;
        if (below == corners)
            add_face(scratch, corner, corners, to);
        else if (below)
            add_cut(scratch, corner, corners, to);
    }
}

/* How far the group reaches from its middle along n. */
static double reach(const body_group *g, const double n[3])
{
    return fabs(n[0]) * g->half[0] + fabs(n[1]) * g->half[1] + fabs(n[2]) * g->half[2];
}

/* Adds the group if it is wholly below. Is it neither that nor wholly above? */
static bool meets(const body_group *g, const plane *p, sums *to)
{
    double height = dot(p->n, g->middle) - p->d, most = reach(g, p->n);
    if (height < -most)
        add_group(g, p, to);
    return height >= -most && height < most;
}

/* Most bodies do not meet the plane, and of those that do most groups do not. */
void body_add(const body *b, const plane *p, double share, double *scratch, submerged *sum)
{
    sums to = {0};
    if (!b->faces)
        return;
    if (meets(&b->all, p, &to))
        for (size_t i = 0; i < b->group_count; i++)
            if (b->group_count == 1 ||
                meets(&b->groups[i], p, &to)) /* one: its box is that of all */
                add_faces(b, &b->groups[i], p, scratch, &to);
    add_sums(&to, p, share, sum);
}

double body_volume(const body *b)
{
    return (b->all.det + dot(b->all.normal, b->all.middle)) / 6; /* from the ship's origin */
}

/* Up from a level plane over a triangle that lies below it: volume with the sign of its slope. */
static double column(const double *a, const double *b, const double *c, double level)
{
    double twice = (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    return twice / 2 * ((a[2] + b[2] + c[2]) / 3 - level);
}

/* The same of the part of a triangle that lies below. */
static double column_below(const double *const corner[3], double level)
{
    double kept[4][3];
    int count = 0;
    for (int i = 0; i < 3; i++) {
        const double *a = corner[i], *b = corner[(i + 1) % 3];
        if (a[2] < level)
            memcpy(kept[count++], a, sizeof *kept);
        if ((a[2] < level) != (b[2] < level))
            cross_at(a, b, a[2] - level, b[2] - level, kept[count++]);
    }
    double sum = 0;
    for (int i = 2; i < count; i++)
        sum += column(kept[0], kept[i - 1], kept[i], level);
    return sum;
}

static double faces_below_level(const body *b, const body_group *g, double level)
{
    double sum = 0;
    for (size_t f = g->first; f < g->last; f++)
        for (size_t i = b->start[f] + 2; i < b->start[f + 1]; i++) {
            const double *corner[] = {b->points + 3 * b->start[f], b->points + 3 * (i - 1),
                                      b->points + 3 * i};
            sum += column_below(corner, level);
        }
    return sum;
}

double body_below_level(const body *b, size_t first, size_t last, double level)
{
    double sum = 0;
    for (size_t i = first; i < last; i++) {
        const body_group *g = &b->groups[i];
        if (g->middle[2] + g->half[2] <= level)
            sum += g->det / 6;
        else if (g->middle[2] - g->half[2] < level)
            sum += faces_below_level(b, g, level);
    }
    return sum;
}

void body_box_extent(const body *b, const double n[3], double *least, double *greatest)
{
    double at = dot(n, b->all.middle), most = reach(&b->all, n);
    *least = at - most;
    *greatest = at + most;
}

void body_extent(const body *b, const double n[3], double *least, double *greatest)
{
    *least = INFINITY;
    *greatest = -INFINITY;
    for (size_t i = 0; i < b->group_count; i++) {
        const body_group *g = &b->groups[i];
        double at = dot(n, g->middle), most = reach(g, n);
        if (at - most >= *least && at + most <= *greatest)
            continue;
        for (size_t k = 0; k < g->vertices; k++) {
            double height = dot(n, b->vertices + 3 * (g->first_vertex + k));
            *least = height < *least ? height : *least;
            *greatest = height > *greatest ? height : *greatest;
        }
    }
}

/* Making bodies. */

void maker_corner(body_maker *m, double x, double y, double z)
{
    size_t needed = 3 * m->corners + 3;
    if (needed > m->corner_room) {
        size_t room = 2 * needed + 90;
        double *points = m->lost ? NULL : memory_resize(m->points, room, sizeof *points);
        m->lost = !points;
        if (m->lost)
            return;
        m->points = points;
        m->corner_room = room;
    }
    double *at = m->points + 3 * m->corners++;
    at[0] = x;
    at[1] = y;
    at[2] = z;
}

void maker_end_face(body_maker *m)
{
    size_t begun = m->faces ? m->ends[m->faces - 1] : 0;
    if (m->lost || m->corners - begun < 3) {
        m->corners = begun;
        return;
    }
    if (!MEMORY_ROOM(m->ends, m->faces, m->face_room))
        m->lost = true;
    else
        m->ends[m->faces++] = m->corners;
}

void maker_end_group(body_maker *m)
{
    size_t begun = m->group_count ? m->groups[m->group_count - 1] : 0;
    if (m->lost || m->faces == begun)
        return;
    if (!MEMORY_ROOM(m->groups, m->group_count, m->group_room))
        m->lost = true;
    else
        m->groups[m->group_count++] = m->faces;
}

void maker_back_to(body_maker *m, const body_maker *mark)
{
    m->corners = mark->corners;
    m->faces = mark->faces;
    m->group_count = mark->group_count;
}

void maker_solid(body_maker *m, const solid *s)
{
    bool left = s->box || s->anticlockwise;
    for (int top = 0; top < 2; top++) {
        for (size_t i = 0; i < s->corners; i++) {
            size_t k = left == (top == 1) ? i : s->corners - 1 - i;
            maker_corner(m, s->outline[2 * k], s->outline[2 * k + 1], top ? s->z1 : s->z0);
        }
        maker_end_face(m);
    }
    for (size_t i = 0; i < s->corners; i++) {
        size_t j = i + 1 < s->corners ? i + 1 : 0;
        const double *a = s->outline + 2 * (left ? i : j), *c = s->outline + 2 * (left ? j : i);
        maker_corner(m, a[0], a[1], s->z0);
        maker_corner(m, c[0], c[1], s->z0);
        maker_corner(m, c[0], c[1], s->z1);
        maker_corner(m, a[0], a[1], s->z1);
        maker_end_face(m);
    }
    maker_end_group(m);
}

static void from_middle(const body_group *g, const double *p, double out[3])
{
    for (int k = 0; k < 3; k++)
        out[k] = p[k] - g->middle[k];
}

static void cross(const double a[3], const double b[3], double out[3])
{
    out[0] = a[1] * b[2] - a[2] * b[1];
    out[1] = a[2] * b[0] - a[0] * b[2];
    out[2] = a[0] * b[1] - a[1] * b[0];
}

static void sum_triangle(body_group *g, const double a[3], const double b[3], const double c[3])
{
    double ab[3], bc[3], ca[3];
    cross(a, b, ab);
    cross(b, c, bc);
    cross(c, a, ca);
    double det = dot(a, bc);
    g->det += det;
    for (int k = 0; k < 3; k++) {
        double sum = a[k] + b[k] + c[k];
        g->det_sum[k] += det * sum;
        g->normal[k] += ab[k] + bc[k] + ca[k];
        for (int i = 0; i < 3; i++)
            g->normal_sum[k][i] += sum * (ab[i] + bc[i] + ca[i]);
    }
}

static void measure_group(const body *b, body_group *g)
{
    double low[3] = {INFINITY, INFINITY, INFINITY}, high[3] = {-INFINITY, -INFINITY, -INFINITY};
    for (size_t i = b->start[g->first]; i < b->start[g->last]; i++)
        for (int k = 0; k < 3; k++) {
            low[k] = fmin(low[k], b->points[3 * i + (size_t)k]);
            high[k] = fmax(high[k], b->points[3 * i + (size_t)k]);
        }
    for (int k = 0; k < 3; k++) {
        g->middle[k] = (low[k] + high[k]) / 2;
        g->half[k] = (high[k] - low[k]) / 2;
    }
    for (size_t f = g->first; f < g->last; f++) {
        double p[3], q[3], r[3];
        from_middle(g, b->points + 3 * b->start[f], p);
        for (size_t i = b->start[f] + 2; i < b->start[f + 1]; i++) {
            from_middle(g, b->points + 3 * (i - 1), q);
            from_middle(g, b->points + 3 * i, r);
            sum_triangle(g, p, q, r);
        }
    }
}

/* A corner, to be sorted by where it is. */
typedef struct {
    const double *at;
    size_t corner;
} placed;

static int by_place(const void *a, const void *b)
{
    const double *p = ((const placed *)a)->at, *q = ((const placed *)b)->at;
    for (int k = 0; k < 3; k++)
        if (p[k] < q[k] || p[k] > q[k])
            return p[k] < q[k] ? -1 : 1;
    return 0;
}

/* Numbers the places where a group has corners. room: for every corner. */
static void number_places(body *b, body_group *g, placed *room)
{
    size_t from = b->start[g->first], count = b->start[g->last] - from;
    for (size_t i = 0; i < count; i++)
        room[i] = (placed){b->points + 3 * (from + i), from + i};
    qsort(room, count, sizeof *room, by_place);
    for (size_t i = 0; i < count; i++) {
        g->vertices += i == 0 || by_place(&room[i - 1], &room[i]) != 0;
        b->vertex[room[i].corner] = (unsigned)(g->vertices - 1);
    }
}

static size_t greater(size_t a, size_t b)
{
    return a > b ? a : b;
}

static void take_groups(const body_maker *m, body *b, placed *room)
{
    size_t vertices = 0;
    for (size_t i = 0; i < m->group_count; i++) {
        body_group *g = &b->groups[i];
        *g = (body_group){
            .first = i ? m->groups[i - 1] : 0, .last = m->groups[i], .first_vertex = vertices};
        measure_group(b, g);
        number_places(b, g, room);
        vertices += g->vertices;
        b->largest = greater(b->largest, g->vertices);
    }
    b->all = (body_group){.last = m->faces, .vertices = 0};
    if (m->faces)
        measure_group(b, &b->all);
}

static void put_vertices(body *b)
{
    for (size_t i = 0; i < b->group_count; i++) {
        const body_group *g = &b->groups[i];
        for (size_t c = b->start[g->first]; c < b->start[g->last]; c++)
            memcpy(b->vertices + 3 * (g->first_vertex + b->vertex[c]), b->points + 3 * c,
                   3 * sizeof *b->points);
    }
}

static bool move_all(const body_maker *m, body *b, arena *memory)
{
    placed *room = memory_new(m->corners, sizeof *room);
    if (!room)
        return false;
    if (m->corners)
        memcpy(b->points, m->points, 3 * m->corners * sizeof *b->points);
    for (size_t f = 0; f < m->faces; f++) {
        b->start[f + 1] = m->ends[f];
        b->largest = greater(b->largest, b->start[f + 1] - b->start[f]);
    }
    take_groups(m, b, room);
    memory_free(room);
    const body_group *last = b->group_count ? &b->groups[b->group_count - 1] : &b->all;
    b->vertices = arena_new(memory, 3 * (last->first_vertex + last->vertices), sizeof *b->vertices);
    if (b->vertices)
        put_vertices(b);
    return b->vertices != NULL;
}

bool maker_finish(body_maker *m, body *b, arena *memory)
{
    *b = (body){.faces = m->faces, .group_count = m->group_count};
    b->points = arena_new(memory, 3 * m->corners, sizeof *b->points);
    b->start = arena_new(memory, m->faces + 1, sizeof *b->start);
    b->groups = arena_new(memory, m->group_count, sizeof *b->groups);
    b->vertex = arena_new(memory, m->corners, sizeof *b->vertex);
    bool good = !m->lost && b->points && b->start && b->groups && b->vertex;
    good = good && move_all(m, b, memory);
    memory_free(m->points);
    memory_free(m->ends);
    memory_free(m->groups);
    *m = (body_maker){0};
    return good;
}
