#include "ship/body.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static double dot(const double a[3], const double b[3])
{
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

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

/* Tetrahedra from the plane's origin over a polygon, fanned from its first corner. */
static void add_volume(const double *xyz, size_t corners, const plane *p, double share,
                       submerged *sum)
{
    double a[3], b[3], c[3];
    for (size_t i = 2; i < corners; i++) {
        for (int k = 0; k < 3; k++) {
            a[k] = xyz[k] - p->origin[k];
            b[k] = xyz[3 * (i - 1) + (size_t)k] - p->origin[k];
            c[k] = xyz[3 * i + (size_t)k] - p->origin[k];
        }
        double v = share *
                   (a[0] * (b[1] * c[2] - b[2] * c[1]) + a[1] * (b[2] * c[0] - b[0] * c[2]) +
                    a[2] * (b[0] * c[1] - b[1] * c[0])) /
                   6;
        sum->volume += v;
        for (int k = 0; k < 3; k++)
            sum->moment[k] += v * (p->origin[k] + (a[k] + b[k] + c[k]) / 4);
    }
}

/* One edge of the waterplane, from a to b with the water on its left seen from above. */
static void add_edge(const double *a, const double *b, const plane *p, double share, submerged *sum)
{
    double u[2] = {0, 0}, v[2] = {0, 0};
    for (int k = 0; k < 3; k++) {
        u[0] += (a[k] - p->origin[k]) * p->e1[k];
        v[0] += (a[k] - p->origin[k]) * p->e2[k];
        u[1] += (b[k] - p->origin[k]) * p->e1[k];
        v[1] += (b[k] - p->origin[k]) * p->e2[k];
    }
    double cross = share * (u[0] * v[1] - u[1] * v[0]);
    sum->area += cross / 2;
    sum->au += cross * (u[0] + u[1]) / 6;
    sum->av += cross * (v[0] + v[1]) / 6;
    sum->auu += cross * (u[0] * u[0] + u[0] * u[1] + u[1] * u[1]) / 12;
    sum->avv += cross * (v[0] * v[0] + v[0] * v[1] + v[1] * v[1]) / 12;
    sum->auv += cross * (2 * u[0] * v[0] + u[0] * v[1] + u[1] * v[0] + 2 * u[1] * v[1]) / 24;
}

static void cross_at(const double *a, const double *b, double ha, double hb, double *out)
{
    double share = ha / (ha - hb);
    for (int k = 0; k < 3; k++)
        out[k] = a[k] + share * (b[k] - a[k]);
}

/* The part of a face with heights below 0; waterplane edges go from where the outline comes back to
 * where it left. A corner in the plane counts as above. */
static void add_cut(const double *xyz, size_t corners, const double *height, const plane *p,
                    double share, double *kept, submerged *sum)
{
    size_t count = 0;
    double left[3] = {0, 0, 0}, first_in[3] = {0, 0, 0};
    bool has_left = false, has_entry = false;
    for (size_t i = 0; i < corners; i++) {
        size_t j = i + 1 < corners ? i + 1 : 0;
        const double *a = xyz + 3 * i, *b = xyz + 3 * j;
        bool in = height[i] < 0, next_in = height[j] < 0;
        if (in) {
            memcpy(kept + 3 * count, a, 3 * sizeof *a);
            count++;
        }
        if (in == next_in)
            continue;
        double *at = kept + 3 * count++;
        cross_at(a, b, height[i], height[j], at);
        if (in) {
            memcpy(left, at, sizeof left);
            has_left = true;
        } else if (has_left) {
            add_edge(at, left, p, share, sum);
            has_left = false;
        } else {
            memcpy(first_in, at, sizeof first_in);
            has_entry = true;
        }
    }
    if (has_left && has_entry)
        add_edge(first_in, left, p, share, sum);
    add_volume(kept, count, p, share, sum);
}

void body_add(const body *b, const plane *p, double share, double *scratch, submerged *sum)
{
    double *height = scratch, *kept = scratch + b->largest;
    for (size_t f = 0; f < b->faces; f++) {
        const double *xyz = b->points + 3 * b->start[f];
        size_t corners = b->start[f + 1] - b->start[f], below = 0;
        for (size_t i = 0; i < corners; i++) {
            height[i] = dot(p->n, xyz + 3 * i) - p->d;
            below += height[i] < 0;
        }
        if (below == corners)
            add_volume(xyz, corners, p, share, sum);
        else if (below)
            add_cut(xyz, corners, height, p, share, kept, sum);
    }
}

void body_extent(const body *b, const double n[3], double *least, double *greatest)
{
    *least = INFINITY;
    *greatest = -INFINITY;
    for (size_t i = 0; i < b->start[b->faces]; i++) {
        double at = dot(n, b->points + 3 * i);
        *least = fmin(*least, at);
        *greatest = fmax(*greatest, at);
    }
}

/* Making bodies: room is taken once, then faces are put in. */

static bool take_room(body *b, arena *memory, size_t faces, size_t corners)
{
    *b = (body){.points = arena_new(memory, 3 * corners, sizeof *b->points),
                .start = arena_new(memory, faces + 1, sizeof *b->start)};
    return b->points && b->start;
}

static void put_corner(body *b, double x, double y, double z)
{
    double *at = b->points + 3 * b->start[b->faces + 1]++;
    at[0] = x;
    at[1] = y;
    at[2] = z;
}

static void begin_face(body *b)
{
    b->start[b->faces + 1] = b->start[b->faces];
}

static void end_face(body *b)
{
    size_t corners = b->start[b->faces + 1] - b->start[b->faces];
    if (corners < 3) {
        b->start[b->faces + 1] = b->start[b->faces];
        return;
    }
    if (corners > b->largest)
        b->largest = corners;
    b->faces++;
}

static void put_solid(body *b, const solid *s)
{
    bool left = s->box || s->anticlockwise;
    for (int top = 0; top < 2; top++) {
        begin_face(b);
        for (size_t i = 0; i < s->corners; i++) {
            size_t k = left == (top == 1) ? i : s->corners - 1 - i;
            put_corner(b, s->outline[2 * k], s->outline[2 * k + 1], top ? s->z1 : s->z0);
        }
        end_face(b);
    }
    for (size_t i = 0; i < s->corners; i++) {
        size_t j = i + 1 < s->corners ? i + 1 : 0;
        const double *a = s->outline + 2 * (left ? i : j), *c = s->outline + 2 * (left ? j : i);
        begin_face(b);
        put_corner(b, a[0], a[1], s->z0);
        put_corner(b, c[0], c[1], s->z0);
        put_corner(b, c[0], c[1], s->z1);
        put_corner(b, a[0], a[1], s->z1);
        end_face(b);
    }
}

static bool room_for_space(body *b, arena *memory, const ship_space *s)
{
    size_t faces = 0, corners = 0;
    for (size_t i = 0; i < s->solid_count; i++) {
        faces += s->solids[i].corners + 2;
        corners += 6 * s->solids[i].corners;
    }
    return take_room(b, memory, faces, corners);
}

bool body_of_space(body *b, arena *memory, const ship_space *s)
{
    if (!room_for_space(b, memory, s))
        return false;
    for (size_t i = 0; i < s->solid_count; i++)
        put_solid(b, &s->solids[i]);
    return true;
}

bool body_of_space_in_hull(body *b, arena *memory, const coaming_ship *ship, const ship_space *s)
{
    if (!room_for_space(b, memory, s))
        return false;
    for (size_t i = 0; i < s->solid_count; i++) {
        solid part = s->solids[i];
        part.z1 = fmin(part.z1, hull_top(ship, (part.x0 + part.x1) / 2));
        if (part.z0 < part.z1)
            put_solid(b, &part);
    }
    return true;
}

double section_breadth(const hull_section *s, double z, bool above)
{
    const double *o = s->offsets;
    size_t i = 0, last = s->offset_count - 1;
    if (z < o[0])
        return o[1];
    if (above) { /* the last offset that is not higher */
        while (i < last && o[2 * i + 2] <= z)
            i++;
        if (i == last || o[2 * i] == z)
            return o[2 * i + 1];
    } else { /* the first offset that is not lower */
        while (i < last && o[2 * i] < z)
            i++;
        if (i == 0 || o[2 * i] <= z)
            return o[2 * i + 1];
        i--;
    }
    const double *from = o + 2 * i, *to = from + 2;
    return from[1] + (z - from[0]) / (to[0] - from[0]) * (to[1] - from[1]);
}

size_t hull_bay(const coaming_ship *ship, double x, double *share)
{
    const hull_section *s = ship->sections;
    size_t i = 0;
    while (i + 2 < ship->section_count && s[i + 1].x < x)
        i++;
    *share = fmin(fmax((x - s[i].x) / (s[i + 1].x - s[i].x), 0), 1);
    return i;
}

double hull_top(const coaming_ship *ship, double x)
{
    if (!ship->section_count)
        return ship->depth;
    double share;
    const hull_section *s = ship->sections + hull_bay(ship, x, &share);
    double aft = s[0].offsets[2 * (s[0].offset_count - 1)];
    double fore = s[1].offsets[2 * (s[1].offset_count - 1)];
    return aft + share * (fore - aft);
}

static int ascending(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* All heights that any section names, each once. */
static size_t all_heights(const coaming_ship *ship, double *z)
{
    size_t count = 0, kept = 0;
    for (size_t i = 0; i < ship->section_count; i++)
        for (size_t k = 0; k < ship->sections[i].offset_count; k++)
            z[count++] = ship->sections[i].offsets[2 * k];
    qsort(z, count, sizeof *z, ascending);
    for (size_t i = 0; i < count; i++)
        if (!kept || z[i] > z[kept - 1])
            z[kept++] = z[i];
    return kept;
}

/* A corner of a section in one of the rows: two rows for each height, below and above, so that
 * level pieces are kept. Under its keel and over its top the nearest. */
static void section_corner(const hull_section *s, const double *z, size_t row, int side,
                           double out[3])
{
    double low = s->offsets[0], high = s->offsets[2 * (s->offset_count - 1)], at = z[row / 2];
    bool above = row % 2 == 1 || at > high;
    out[0] = s->x;
    out[2] = fmin(fmax(at, low), high);
    out[1] = side * section_breadth(s, out[2], above && at >= low);
}

static bool same_point(const double *a, const double *b)
{
    return a[0] == b[0] && a[1] == b[1] && a[2] == b[2];
}

static void put_triangle(body *b, const double *p, const double *q, const double *r)
{
    if (same_point(p, q) || same_point(q, r) || same_point(r, p))
        return;
    begin_face(b);
    put_corner(b, p[0], p[1], p[2]);
    put_corner(b, q[0], q[1], q[2]);
    put_corner(b, r[0], r[1], r[2]);
    end_face(b);
}

/* The strip p-q at one section to r-s at the next, as two triangles; turned for the other side. */
static void put_strip(body *b, const double *p, const double *q, const double *r, const double *s,
                      bool turned)
{
    if (turned) {
        put_triangle(b, p, q, s);
        put_triangle(b, p, s, r);
    } else {
        put_triangle(b, p, s, q);
        put_triangle(b, p, r, s);
    }
}

/* Shell, bottom and deck between two sections. */
static void put_bay(body *b, const hull_section *aft, const hull_section *fore, const double *z,
                    size_t heights)
{
    double p[3], q[3], r[3], s[3];
    for (int side = -1; side <= 1; side += 2) {
        for (size_t row = 0; row + 1 < 2 * heights; row++) {
            section_corner(aft, z, row, side, p);
            section_corner(aft, z, row + 1, side, q);
            section_corner(fore, z, row, side, r);
            section_corner(fore, z, row + 1, side, s);
            put_strip(b, p, q, r, s, side > 0);
        }
    }
    for (int top = 0; top < 2; top++) {
        size_t row = top ? 2 * heights - 1 : 0;
        section_corner(aft, z, row, -1, p);
        section_corner(aft, z, row, 1, q);
        section_corner(fore, z, row, -1, r);
        section_corner(fore, z, row, 1, s);
        put_strip(b, p, q, r, s, top == 1 ? false : true);
    }
}

static void put_end(body *b, const hull_section *s, bool forward)
{
    size_t n = s->offset_count;
    begin_face(b);
    for (size_t i = 0; i < 2 * n; i++) {
        size_t at = forward ? i : 2 * n - 1 - i; /* up the port side, down the starboard side */
        size_t k = at < n ? at : 2 * n - 1 - at;
        double y = at < n ? s->offsets[2 * k + 1] : -s->offsets[2 * k + 1];
        put_corner(b, s->x, y, s->offsets[2 * k]);
    }
    end_face(b);
}

static bool box_hull(body *b, arena *memory, const coaming_ship *ship)
{
    double y = ship->beam / 2;
    const double outline[] = {0, -y, ship->length, -y, ship->length, y, 0, y};
    solid box = {.z0 = 0, .z1 = ship->depth, .outline = outline, .corners = 4, .box = true};
    if (!take_room(b, memory, 6, 24))
        return false;
    put_solid(b, &box);
    return true;
}

bool body_of_hull(body *b, arena *memory, const coaming_ship *ship)
{
    if (!ship->section_count)
        return box_hull(b, memory, ship);
    size_t named = 0, n = ship->section_count;
    for (size_t i = 0; i < n; i++)
        named += ship->sections[i].offset_count;
    double *z = memory_new(named, sizeof *z);
    if (!z)
        return false;
    size_t heights = all_heights(ship, z);
    size_t triangles = (n - 1) * (8 * heights + 4);
    bool made = take_room(b, memory, triangles + 2, 3 * triangles + 4 * named);
    for (size_t i = 0; made && i + 1 < n; i++)
        put_bay(b, &ship->sections[i], &ship->sections[i + 1], z, heights);
    if (made) {
        put_end(b, &ship->sections[0], false);
        put_end(b, &ship->sections[n - 1], true);
    }
    memory_free(z);
    return made;
}
