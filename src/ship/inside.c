#include "ship/inside.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/dot.h"
#include "base/text.h"
#include "ship/geometry.h"

/* Solids in convex pieces. */

static bool each_of_prism(const solid *s, convex *piece, piece_use use, void *data)
{
    int *corner = NULL;
    size_t *start = NULL;
    size_t count = outline_split(s->outline, s->corners, s->anticlockwise, &corner, &start);
    double *xy = count ? memory_new(2 * s->corners, sizeof *xy) : NULL;
    bool good = xy != NULL;
    for (size_t i = 0; good && i < count; i++) {
        size_t corners = start[i + 1] - start[i];
        for (size_t k = 0; k < corners; k++)
            memcpy(xy + 2 * k, s->outline + 2 * corner[start[i] + k], 2 * sizeof *xy);
        convex_prism(piece, xy, corners, true, s->z0, s->z1);
        good = !piece->lost && use(data, piece);
    }
    memory_free(xy);
    memory_free(corner);
    memory_free(start);
    return good;
}

bool solid_pieces(const solid *s, convex *piece, piece_use use, void *data)
{
    if (!s->box)
        return each_of_prism(s, piece, use, data);
    convex_prism(piece, s->outline, s->corners, true, s->z0, s->z1);
    return !piece->lost && use(data, piece);
}

/* Cutting the spaces of a ship. */

typedef struct {
    const hull_shape *hull;
    hull_room room;
    convex piece;
    body_maker makers[2]; /* inside and above of the space at work */
    double volume[2];     /* of the solid at work */
    hull_verdict verdict; /* of the solid at work, so far */
    bool begun;
} workshop;

static bool take(workshop *w, int which, const convex *part)
{
    body_maker *m = &w->makers[which];
    for (size_t f = 0; f < part->faces; f++) {
        for (int i = part->start[f]; i < part->start[f + 1]; i++) {
            const double *p = part->xyz + 3 * part->face[i];
            maker_corner(m, p[0], p[1], p[2]);
        }
        maker_end_face(m);
    }
    maker_end_group(m);
    w->volume[which] += convex_volume(part);
    return !m->lost;
}

static bool take_inside(void *data, const convex *part)
{
    return take(data, 0, part);
}

static bool take_above(void *data, const convex *part)
{
    return take(data, 1, part);
}

static bool cut_piece(void *data, const convex *piece)
{
    workshop *w = data;
    hull_takes takes = {take_inside, take_above, w};
    hull_verdict verdict = hull_cut(w->hull, &w->room, piece, takes);
    w->verdict = w->begun && verdict != w->verdict ? HULL_CUTS : verdict;
    w->begun = true;
    return verdict != HULL_NO_ROOM;
}

/* By the corners themselves: a bottom at the very level that is asked is not below it, and middles
 * and halves round. */
static void widen_by_body(solid_part *p, const body *b, size_t first, size_t last)
{
    if (first == last)
        return;
    size_t from = b->start[b->groups[first].first], to = b->start[b->groups[last - 1].last];
    for (const double *at = b->points + 3 * from; at < b->points + 3 * to; at += 3) {
        p->x0 = fmin(p->x0, at[0]);
        p->x1 = fmax(p->x1, at[0]);
        p->y0 = fmin(p->y0, at[1]);
        p->y1 = fmax(p->y1, at[1]);
        p->z0 = fmin(p->z0, at[2]);
        p->z1 = fmax(p->z1, at[2]);
    }
}

static bool cut_solid(workshop *w, const solid *s, solid_part *p)
{
    const body_maker mark[2] = {w->makers[0], w->makers[1]};
    w->volume[0] = w->volume[1] = 0;
    w->begun = false;
    if (!solid_pieces(s, &w->piece, cut_piece, w))
        return false;
    p->whole = w->verdict != HULL_CUTS;
    if (p->whole) { /* as it was given, in one: fewer faces, and no rounding */
        int which = w->verdict == HULL_UNDER;
        maker_back_to(&w->makers[which], &mark[which]);
        maker_solid(&w->makers[which], s);
        w->volume[which] = s->area * (s->z1 - s->z0);
    }
    p->inside = w->volume[0];
    p->above = w->volume[1];
    for (int which = 0; which < 2; which++) {
        p->first[which] = mark[which].group_count;
        p->last[which] = w->makers[which].group_count;
    }
    return !w->makers[0].lost && !w->makers[1].lost;
}

static void measure_part(const ship_space *s, size_t i, solid_part *p)
{
    const solid *from = &s->solids[i];
    if (p->whole) {
        p->x0 = from->x0, p->x1 = from->x1, p->y0 = from->y0;
        p->y1 = from->y1, p->z0 = from->z0, p->z1 = from->z1;
        return;
    }
    p->x0 = p->y0 = p->z0 = INFINITY;
    p->x1 = p->y1 = p->z1 = -INFINITY;
    widen_by_body(p, s->inside, p->first[0], p->last[0]);
    widen_by_body(p, s->above, p->first[1], p->last[1]);
}

static void measure_space(ship_space *s, solid_part *parts)
{
    double volume = 0, given = 0;
    s->bottom = INFINITY;
    s->top = -INFINITY;
    for (size_t i = 0; i < s->solid_count; i++) {
        measure_part(s, i, &parts[i]);
        s->bottom = fmin(s->bottom, parts[i].z0);
        s->top = fmax(s->top, parts[i].z1);
        volume += parts[i].inside + parts[i].above;
        given += s->solids[i].area * (s->solids[i].z1 - s->solids[i].z0);
    }
    s->volume = volume * s->permeability;
    s->outside = fmax(0, given - volume);
}

static bool cut_space(workshop *w, arena *memory, ship_space *s)
{
    solid_part *parts = arena_new(memory, s->solid_count, sizeof *parts);
    body *made = arena_new(memory, 2, sizeof *made);
    bool good = parts && made;
    for (size_t i = 0; good && i < s->solid_count; i++)
        good = cut_solid(w, &s->solids[i], &parts[i]);
    for (int which = 0; which < 2; which++) /* both, also to free them */
        good = made && maker_finish(&w->makers[which], &made[which], memory) && good;
    if (!good)
        return false;
    s->parts = parts;
    s->inside = &made[0];
    s->above = &made[1];
    measure_space(s, parts);
    return true;
}

static void report_nothing_left(const coaming_ship *ship, coaming_faults *faults,
                                const ship_space *s)
{
    char object[240];
    snprintf(object, sizeof object, "space %s", BRIEF(s->id));
    faults_add(faults, COAMING_SEVERITY_ERROR, ship->path, s->line, object,
               "lies wholly outside the hull: neither inside the shell nor above the deck");
}

bool ship_cut(coaming_ship *ship, coaming_faults *faults)
{
    hull_shape *hull = hull_make(&ship->memory, ship);
    ship->hull = hull;
    if (!hull)
        return false;
    if (!(hull->volume > 0)) {
        faults_add(faults, COAMING_SEVERITY_ERROR, ship->path,
                   ship->section_count ? ship->sections[0].line : 0, "hull", "encloses no volume");
        return true;
    }
    workshop w = {.hull = hull};
    bool good = true;
    for (size_t i = 0; good && i < ship->space_count; i++) {
        ship_space *s = &ship->spaces[i];
        good = cut_space(&w, &ship->memory, s);
        if (good && !s->inside->faces && !s->above->faces)
            report_nothing_left(ship, faults, s);
    }
    hull_room_free(&w.room);
    convex_free(&w.piece);
    return good;
}

double space_volume_below(const ship_space *s, double level)
{
    double volume = 0;
    for (size_t i = 0; i < s->solid_count; i++) {
        const solid *from = &s->solids[i];
        const solid_part *p = &s->parts[i];
        if (p->whole) {
            volume += from->area * fmax(0, fmin(level, from->z1) - from->z0);
            continue;
        }
        volume += body_below_level(s->inside, p->first[0], p->last[0], level);
        volume += body_below_level(s->above, p->first[1], p->last[1], level);
    }
    return volume * s->permeability;
}

void space_extent_along(const ship_space *s, const double n[3], double *least, double *greatest)
{
    double low, high;
    body_extent(s->inside, n, least, greatest);
    body_extent(s->above, n, &low, &high);
    *least = fmin(*least, low);
    *greatest = fmax(*greatest, high);
}

void space_highest(const ship_space *s, const double n[3], double at[3])
{
    const body *parts[] = {s->inside, s->above};
    double most = -INFINITY;
    for (int part = 0; part < 2; part++)
        for (size_t i = 0; i < parts[part]->group_count; i++) {
            const body_group *g = &parts[part]->groups[i];
            const double *place = parts[part]->vertices + 3 * g->first_vertex;
            for (size_t k = 0; k < g->vertices; k++, place += 3)
                if (dot(n, place) > most) {
                    most = dot(n, place);
                    memcpy(at, place, 3 * sizeof *at);
                }
        }
}

void space_box(const ship_space *s, double low[3], double high[3])
{
    for (int k = 0; k < 3; k++) {
        const double n[] = {k == 0, k == 1, k == 2};
        space_extent_along(s, n, &low[k], &high[k]);
    }
}

/* Volumes alone. */

static bool add_volume(void *data, const convex *part)
{
    *(double *)data += convex_volume(part);
    return true;
}

double hull_box_volume(const hull_shape *hull, hull_room *room, const double from[3],
                       const double to[3])
{
    const double outline[] = {from[0], from[1], to[0], from[1], to[0], to[1], from[0], to[1]};
    double volume = 0;
    hull_takes takes = {add_volume, NULL, &volume};
    convex box = {0};
    convex_prism(&box, outline, 4, true, from[2], to[2]);
    bool good = !box.lost && hull_cut(hull, room, &box, takes) != HULL_NO_ROOM;
    convex_free(&box);
    return good ? volume : -1;
}
