#include "ship/hull.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/dot.h"

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

static double section_keel(const hull_section *s)
{
    return s->offsets[0];
}

static double section_top(const hull_section *s)
{
    return s->offsets[2 * (s->offset_count - 1)];
}

static int ascending(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* All heights that any section names, each once. */
static size_t all_heights(const hull_section *s, size_t sections, double *z)
{
    size_t count = 0, kept = 0;
    for (size_t i = 0; i < sections; i++)
        for (size_t k = 0; k < s[i].offset_count; k++)
            z[count++] = s[i].offsets[2 * k];
    qsort(z, count, sizeof *z, ascending);
    for (size_t i = 0; i < count; i++)
        if (!kept || z[i] > z[kept - 1])
            z[kept++] = z[i];
    return kept;
}

/* A corner of a section in one of the rows: two rows for each height, below and above, so that
 * level pieces are kept. Under its keel and over its top the nearest. */
static void section_corner(const hull_section *s, const double *z, size_t row, double out[3])
{
    double low = section_keel(s), high = section_top(s), at = z[row / 2];
    bool above = row % 2 == 1 || at > high;
    out[0] = s->x;
    out[2] = fmin(fmax(at, low), high);
    out[1] = section_breadth(s, out[2], above && at >= low);
}

/* Cells. Points are x, y, z with y the half-breadth. */

/* Inside of the line from a to b, seen from starboard with the inside to its left. The same line
 * from both its sides comes to the same numbers, but for the sign. */
static half_space left_of(double ax, double az, double bx, double bz)
{
    bool turned = bx < ax || (bx == ax && bz < az);
    double ox = turned ? bx : ax, oz = turned ? bz : az;
    double dx = (turned ? ax : bx) - ox, dz = (turned ? az : bz) - oz, size = hypot(dx, dz);
    double nx = dz / size, nz = -dx / size, d = nx * ox + nz * oz;
    return turned ? (half_space){{-nx, 0, -nz}, -d} : (half_space){{nx, 0, nz}, d};
}

static half_space opposite(half_space h)
{
    return (half_space){{-h.n[0], -h.n[1], -h.n[2]}, -h.d};
}

/* The shell through three points; false where they stand in line, seen from the side. */
static bool shell_through(const double *a, const double *b, const double *c, double tolerance,
                          half_space *port)
{
    double ux = b[0] - a[0], uz = b[2] - a[2], vx = c[0] - a[0], vz = c[2] - a[2];
    double twice = ux * vz - uz * vx, longest = fmax(hypot(ux, uz), hypot(vx, vz));
    if (fabs(twice) <= tolerance * longest)
        return false;
    double by = b[1] - a[1], cy = c[1] - a[1];
    double rise = (by * vz - cy * uz) / twice, climb = (cy * ux - by * vx) / twice;
    double size = sqrt(1 + rise * rise + climb * climb);
    *port = (half_space){{-rise / size, 1 / size, -climb / size},
                         (a[1] - rise * a[0] - climb * a[2]) / size};
    return true;
}

static half_space starboard(const hull_cell *c)
{
    return (half_space){{c->port.n[0], -c->port.n[1], c->port.n[2]}, c->port.d};
}

static void add_cell(hull_panel *panel, const double *const *corner, int corners, double tolerance)
{
    hull_cell *c = &panel->cells[panel->cell_count];
    *c = (hull_cell){
        .corners = corners, .x0 = INFINITY, .x1 = -INFINITY, .z0 = INFINITY, .z1 = -INFINITY};
    if (!shell_through(corner[0], corner[1], corner[2], tolerance, &c->port))
        return;
    for (int i = 0; i < corners; i++) {
        const double *a = corner[i], *b = corner[(i + 1) % corners];
        c->xz[i][0] = a[0];
        c->xz[i][1] = a[2];
        c->side[i] = left_of(a[0], a[2], b[0], b[2]);
        c->x0 = fmin(c->x0, a[0]);
        c->x1 = fmax(c->x1, a[0]);
        c->z0 = fmin(c->z0, a[2]);
        c->z1 = fmax(c->z1, a[2]);
    }
    panel->cell_count++;
}

/* A panel's corners: p, q lower and upper at the after section, r, s at the forward one. */
typedef struct {
    double p[3], q[3], r[3], s[3], middle[3];
} patch;

static bool same_point(const double *a, const double *b)
{
    return a[0] == b[0] && a[1] == b[1] && a[2] == b[2];
}

static bool in_one_plane(const patch *m, double tolerance)
{
    half_space port;
    if (!shell_through(m->p, m->r, m->s, tolerance, &port))
        return false;
    double off = dot(port.n, m->q) - port.d;
    return fabs(off) <= 1e-3 * tolerance;
}

static patch patch_between(const hull_section *aft, const hull_section *fore, const double *z,
                           size_t row)
{
    patch m;
    section_corner(aft, z, row, m.p);
    section_corner(aft, z, row + 1, m.q);
    section_corner(fore, z, row, m.r);
    section_corner(fore, z, row + 1, m.s);
    for (int k = 0; k < 3; k++)
        m.middle[k] = ((m.p[k] + m.s[k]) / 2 + (m.q[k] + m.r[k]) / 2) / 2;
    return m;
}

/* The outlines of its faces on the shell, one to four, anticlockwise seen from starboard. Returns
 * how many; 0 where it has no extent. */
static int patch_faces(const patch *m, double tolerance, const double *faces[4][4], int corners[4])
{
    const double *round[] = {m->p, m->r, m->s, m->q};
    int left = 0;
    for (int i = 0; i < 4; i++) /* a section that ends here gives one corner twice */
        if (!same_point(round[i], round[(i + 1) % 4]))
            faces[0][left++] = round[i];
    corners[0] = left;
    if (left < 3)
        return 0;
    if (left == 3 || in_one_plane(m, tolerance))
        return 1;
    for (int i = 0; i < 4; i++) {
        faces[i][0] = round[i];
        faces[i][1] = round[(i + 1) % 4];
        faces[i][2] = m->middle;
        corners[i] = 3;
    }
    return 4;
}

static void put_shell(body_maker *b, const double *const *corner, int corners, bool port)
{
    for (int i = 0; i < corners; i++) {
        const double *p = corner[port ? corners - 1 - i : i];
        maker_corner(b, p[0], port ? p[1] : -p[1], p[2]);
    }
    maker_end_face(b);
}

/* The panel from one row to the next: faces of the shell, and cells where it has a height. */
static void put_panel(hull_shape *h, body_maker *b, const patch *m, bool level)
{
    const double *faces[4][4];
    int corners[4], count = patch_faces(m, h->tolerance, faces, corners);
    bool thin = m->p[1] == 0 && m->q[1] == 0 && m->r[1] == 0 && m->s[1] == 0;
    for (int side = 0; side < 2 && !thin; side++) {
        for (int i = 0; i < count; i++)
            put_shell(b, faces[i], corners[i], side == 1);
        maker_end_group(b); /* each side: heeled, one may be under water and the other not */
    }
    if (level || !count)
        return;
    hull_panel *panel = &h->panels[h->panel_count];
    *panel = (hull_panel){.over_foot = left_of(m->p[0], m->p[2], m->r[0], m->r[2]),
                          .under_head = opposite(left_of(m->q[0], m->q[2], m->s[0], m->s[2])),
                          .z0 = fmin(m->p[2], m->r[2]),
                          .z1 = fmax(m->q[2], m->s[2]),
                          .least = fmin(fmin(m->p[1], m->q[1]), fmin(m->r[1], m->s[1]))};
    for (int i = 0; i < count; i++)
        add_cell(panel, faces[i], corners[i], h->tolerance);
    h->panel_count += panel->cell_count > 0;
}

/* Bottom or deck of a bay: straight athwart, so in one plane. */
static void put_flat(body_maker *b, const double *aft, const double *fore, bool top)
{
    const double corner[4][3] = {{aft[0], -aft[1], aft[2]},
                                 {fore[0], -fore[1], fore[2]},
                                 {fore[0], fore[1], fore[2]},
                                 {aft[0], aft[1], aft[2]}};
    if (aft[1] == 0 && fore[1] == 0)
        return;
    for (int k = 0; k < 4; k++) {
        const double *p = corner[top ? k : 3 - k];
        maker_corner(b, p[0], p[1], p[2]);
    }
    maker_end_face(b);
    maker_end_group(b);
}

static hull_bay bay_between(const hull_section *aft, const hull_section *fore)
{
    double keel[] = {section_keel(aft), section_keel(fore)};
    double top[] = {section_top(aft), section_top(fore)};
    return (hull_bay){.x0 = aft->x,
                      .x1 = fore->x,
                      .keel = {keel[0], keel[1]},
                      .top = {top[0], top[1]},
                      .aft = {{-1, 0, 0}, -aft->x},
                      .fore = {{1, 0, 0}, fore->x},
                      .over_keel = left_of(aft->x, keel[0], fore->x, keel[1]),
                      .under_top = opposite(left_of(aft->x, top[0], fore->x, top[1]))};
}

/* Shell, bottom and deck between two sections. */
static void put_bay(hull_shape *h, body_maker *b, const hull_section *aft, const hull_section *fore,
                    const double *z, size_t heights)
{
    hull_bay *bay = &h->bays[h->bay_count++];
    *bay = bay_between(aft, fore);
    bay->first = h->panel_count;
    for (size_t row = 0; row + 1 < 2 * heights; row++) {
        patch m = patch_between(aft, fore, z, row);
        put_panel(h, b, &m, row % 2 == 0);
        if (row == 0)
            put_flat(b, m.p, m.r, false);
        if (row + 2 == 2 * heights)
            put_flat(b, m.q, m.s, true);
    }
    bay->count = h->panel_count - bay->first;
}

static void put_end(body_maker *b, const hull_section *s, bool forward)
{
    size_t n = s->offset_count;
    for (size_t i = 0; i < 2 * n; i++) {
        size_t at = forward ? i : 2 * n - 1 - i; /* up the port side, down the starboard side */
        size_t k = at < n ? at : 2 * n - 1 - at;
        double y = at < n ? s->offsets[2 * k + 1] : -s->offsets[2 * k + 1];
        maker_corner(b, s->x, y, s->offsets[2 * k]);
    }
    maker_end_face(b);
    maker_end_group(b);
}

static void measure(hull_shape *h, const hull_section *s, size_t sections)
{
    double size = 1;
    h->x0 = s[0].x;
    h->x1 = s[sections - 1].x;
    h->keel = INFINITY;
    for (size_t i = 0; i < sections; i++) {
        h->keel = fmin(h->keel, section_keel(&s[i]));
        size = fmax(size, fabs(s[i].x));
        for (size_t k = 0; k < s[i].offset_count; k++) {
            h->greatest = fmax(h->greatest, s[i].offsets[2 * k + 1]);
            size = fmax(size, fmax(fabs(s[i].offsets[2 * k]), s[i].offsets[2 * k + 1]));
        }
    }
    h->tolerance = 1e-11 * size; /* some hundred times the rounding of places of that size */
}

static bool fill(hull_shape *h, arena *memory, const hull_section *s, size_t sections)
{
    size_t named = 0;
    for (size_t i = 0; i < sections; i++)
        named += s[i].offset_count;
    double *z = memory_new(named, sizeof *z);
    size_t heights = z ? all_heights(s, sections, z) : 0;
    h->bays = arena_new(memory, sections - 1, sizeof *h->bays);
    h->panels = arena_new(memory, (sections - 1) * (heights ? heights : 1), sizeof *h->panels);
    bool good = z && h->bays && h->panels;
    if (good) {
        body_maker b = {0};
        measure(h, s, sections);
        for (size_t i = 0; i + 1 < sections; i++)
            put_bay(h, &b, &s[i], &s[i + 1], z, heights);
        put_end(&b, &s[0], false);
        put_end(&b, &s[sections - 1], true);
        good = maker_finish(&b, &h->body, memory);
        h->volume = good ? body_volume(&h->body) : 0;
    }
    memory_free(z);
    return good;
}

hull_shape *hull_make(arena *memory, const coaming_ship *ship)
{
    double y = ship->beam / 2, box[] = {0, y, ship->depth, y};
    const hull_section ends[] = {{.x = 0, .offsets = box, .offset_count = 2},
                                 {.x = ship->length, .offsets = box, .offset_count = 2}};
    hull_shape *h = arena_new(memory, 1, sizeof *h);
    bool drawn = ship->section_count >= 2;
    if (!h || !fill(h, memory, drawn ? ship->sections : ends, drawn ? ship->section_count : 2))
        return NULL;
    return h;
}

/* Looking up. */

static const hull_bay *bay_at(const hull_shape *hull, double x, double *share)
{
    size_t low = 0, high = hull->bay_count - 1;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (hull->bays[middle].x1 < x)
            low = middle + 1;
        else
            high = middle;
    }
    const hull_bay *bay = &hull->bays[low];
    *share = fmin(fmax((x - bay->x0) / (bay->x1 - bay->x0), 0), 1);
    return bay;
}

double hull_top(const hull_shape *hull, double x)
{
    double share;
    const hull_bay *bay = bay_at(hull, x, &share);
    return bay->top[0] + share * (bay->top[1] - bay->top[0]);
}

double hull_keel(const hull_shape *hull, double x)
{
    double share;
    const hull_bay *bay = bay_at(hull, x, &share);
    return bay->keel[0] + share * (bay->keel[1] - bay->keel[0]);
}

static bool cell_has(const hull_cell *c, double x, double z, double tolerance)
{
    for (int i = 0; i < c->corners; i++)
        if (c->side[i].n[0] * x + c->side[i].n[2] * z > c->side[i].d + tolerance)
            return false;
    return true;
}

double hull_breadth(const hull_shape *hull, double x, double z)
{
    double share, most = 0;
    const hull_bay *bay = bay_at(hull, x, &share);
    for (size_t k = 0; k < bay->count; k++) {
        const hull_panel *panel = &hull->panels[bay->first + k];
        for (int i = 0; i < panel->cell_count; i++) {
            const hull_cell *c = &panel->cells[i];
            if (cell_has(c, x, z, hull->tolerance))
                most = fmax(most, (c->port.d - c->port.n[0] * x - c->port.n[2] * z) / c->port.n[1]);
        }
    }
    return most;
}

/* Cutting. */

void hull_room_free(hull_room *room)
{
    cutter_free(&room->cut);
    convex_free(&room->bay);
    convex_free(&room->panel);
    convex_free(&room->cell);
    convex_free(&room->above);
}

typedef struct {
    const hull_shape *hull;
    hull_room *room;
    hull_takes takes;
    bool some_inside, some_above, some_lost, no_room;
} cutting;

static void hand(cutting *c, bool (*take)(void *, const convex *), convex *part)
{
    c->no_room = c->no_room || part->lost || (take && !take(c->takes.data, part));
}

/* What of the body is over the line of the top is handed out from a copy. */
static void hand_above(cutting *c, const convex *of, half_space under_top)
{
    convex *above = &c->room->above;
    convex_copy(above, of);
    if (convex_cut(&c->room->cut, above, opposite(under_top)) == CUT_ALL_OFF)
        return;
    c->some_above = true;
    hand(c, c->takes.above, above);
}

/* Past an end nothing is inside. */
static void cut_past_end(cutting *c, const convex *whole, half_space end, double top)
{
    convex *part = &c->room->bay;
    half_space level = {{0, 0, 1}, top};
    convex_copy(part, whole);
    if (convex_cut(&c->room->cut, part, opposite(end)) == CUT_ALL_OFF)
        return;
    hand_above(c, part, level);
    c->some_lost = c->some_lost || convex_cut(&c->room->cut, part, level) != CUT_ALL_OFF;
}

static void extents(const convex *c, int axis, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t i = 0; i < c->corners; i++) {
        *low = fmin(*low, c->xyz[3 * i + (size_t)axis]);
        *high = fmax(*high, c->xyz[3 * i + (size_t)axis]);
    }
}

typedef enum { PANEL_EMPTY, PANEL_WHOLE, PANEL_CUT } panel_fate;

/* The part of a body that lies over a cell, seen from the side; false if there is none. */
static bool over_cell(cutting *c, const convex *of, const hull_cell *cell, convex *part)
{
    convex_copy(part, of);
    for (int i = 0; i < cell->corners; i++)
        if (convex_cut(&c->room->cut, part, cell->side[i]) == CUT_ALL_OFF) {
            c->no_room = c->no_room || part->lost;
            return false;
        }
    return true;
}

static panel_fate fate_of(cutting *c, const convex *of, const hull_panel *panel, double half)
{
    if (half <= panel->least + c->hull->tolerance)
        return PANEL_WHOLE;
    panel_fate fate = PANEL_EMPTY;
    for (int i = 0; i < panel->cell_count; i++) {
        const hull_cell *cell = &panel->cells[i];
        if (!over_cell(c, of, cell, &c->room->cell))
            continue;
        double beyond = fmax(convex_beyond(&c->room->cell, cell->port),
                             convex_beyond(&c->room->cell, starboard(cell)));
        if (beyond > c->hull->tolerance)
            return PANEL_CUT;
        fate = PANEL_WHOLE;
    }
    return fate;
}

static void hand_cells(cutting *c, const convex *of, const hull_panel *panel)
{
    convex *part = &c->room->cell;
    for (int i = 0; i < panel->cell_count; i++) {
        const hull_cell *cell = &panel->cells[i];
        if (!over_cell(c, of, cell, part))
            continue;
        cut_effect port = convex_cut(&c->room->cut, part, cell->port);
        cut_effect other = convex_cut(&c->room->cut, part, starboard(cell));
        c->some_lost = c->some_lost || port != CUT_NOTHING_OFF || other != CUT_NOTHING_OFF;
        if (port == CUT_ALL_OFF || other == CUT_ALL_OFF)
            continue;
        c->some_inside = true;
        hand(c, c->takes.inside, part);
    }
}

/* Panels next to each other that the shell leaves alone are handed out as one. */
static void hand_run(cutting *c, const convex *of, const hull_panel *first, const hull_panel *last)
{
    convex *part = &c->room->panel;
    convex_copy(part, of);
    if (convex_cut(&c->room->cut, part, first->over_foot) == CUT_ALL_OFF ||
        convex_cut(&c->room->cut, part, last->under_head) == CUT_ALL_OFF) {
        c->no_room = c->no_room || part->lost;
        return;
    }
    c->some_inside = true;
    hand(c, c->takes.inside, part);
}

static void cut_panels(cutting *c, const convex *of, const hull_bay *bay)
{
    double low, high, starboard_most, port_most;
    const hull_panel *panels = c->hull->panels + bay->first, *run = NULL, *last = NULL;
    extents(of, 2, &low, &high);
    extents(of, 1, &starboard_most, &port_most);
    double half = fmax(port_most, -starboard_most);
    for (size_t i = 0; i < bay->count; i++) {
        if (panels[i].z1 <= low || panels[i].z0 >= high)
            continue;
        panel_fate fate = fate_of(c, of, &panels[i], half);
        if (fate == PANEL_WHOLE) {
            run = run ? run : &panels[i];
            last = &panels[i];
        } else if (fate == PANEL_CUT) {
            if (run)
                hand_run(c, of, run, last);
            run = NULL;
            hand_cells(c, of, &panels[i]);
        }
    }
    if (run)
        hand_run(c, of, run, last);
}

static void cut_bay(cutting *c, const convex *whole, const hull_bay *bay)
{
    convex *part = &c->room->bay;
    cutter *t = &c->room->cut;
    convex_copy(part, whole);
    if (convex_cut(t, part, bay->aft) == CUT_ALL_OFF ||
        convex_cut(t, part, bay->fore) == CUT_ALL_OFF) {
        c->no_room = c->no_room || part->lost;
        return;
    }
    hand_above(c, part, bay->under_top);
    if (convex_cut(t, part, bay->under_top) == CUT_ALL_OFF)
        return;
    cut_effect keel = convex_cut(t, part, bay->over_keel);
    c->some_lost = c->some_lost || keel != CUT_NOTHING_OFF;
    if (keel != CUT_ALL_OFF)
        cut_panels(c, part, bay);
}

hull_verdict hull_cut(const hull_shape *hull, hull_room *room, const convex *whole,
                      hull_takes takes)
{
    cutting c = {.hull = hull, .room = room, .takes = takes};
    double low, high;
    const hull_bay *first = hull->bays, *last = hull->bays + hull->bay_count - 1;
    room->cut.tolerance = hull->tolerance;
    extents(whole, 0, &low, &high);
    if (low < hull->x0)
        cut_past_end(&c, whole, first->aft, first->top[0]);
    for (const hull_bay *bay = first; bay <= last && !c.no_room; bay++)
        if (bay->x1 > low && bay->x0 < high)
            cut_bay(&c, whole, bay);
    if (high > hull->x1)
        cut_past_end(&c, whole, last->fore, last->top[1]);
    if (c.no_room)
        return HULL_NO_ROOM;
    return c.some_lost || c.some_inside == c.some_above ? HULL_CUTS
           : c.some_inside                              ? HULL_HOLDS
                                                        : HULL_UNDER;
}
