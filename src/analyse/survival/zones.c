#include "analyse/survival/zones.h"

#include <math.h>
#include <stdlib.h>

#include "ship/hull.h"

static int order_lengths(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* --- zones --- */

static double part_overlap(const solid_part *p, double from, double to)
{
    return fmin(p->x1, to) - fmax(p->x0, from);
}

static size_t ends_of_shell_spaces(const coaming_ship *ship, double *places)
{
    size_t count = 0;
    for (size_t s = 0; s < ship->space_count; s++) {
        const ship_space *space = &ship->spaces[s];
        double from = INFINITY, to = -INFINITY;
        for (size_t i = 0; space->shell && i < space->solid_count; i++) {
            from = fmin(from, space->parts[i].x0);
            to = fmax(to, space->parts[i].x1);
        }
        if (from < to) {
            places[count++] = from;
            places[count++] = to;
        }
    }
    return count;
}

static size_t ends_of_given_zones(const coaming_ship *ship, double *places)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->zone_count; i++) {
        places[count++] = ship->zones[i].from;
        places[count++] = ship->zones[i].to;
    }
    return count;
}

/* Places that stand for one bulkhead become its middle; her ends stay as they are. */
static size_t merge_places(double *places, size_t count, double after, double fore)
{
    size_t kept = 0;
    qsort(places, count, sizeof *places, order_lengths);
    for (size_t i = 0; i < count;) {
        size_t k = i;
        while (k + 1 < count && places[k + 1] - places[i] <= LINING)
            k++;
        double middle = (places[i] + places[k]) / 2;
        if (middle > after + LINING && middle < fore - LINING)
            places[kept++] = middle;
        i = k + 1;
    }
    return kept;
}

static bool make_zones(const coaming_ship *ship, arena *memory, subdivision *out)
{
    const hull_shape *hull = ship->hull;
    double *inner = arena_new(memory, 2 * (ship->space_count + ship->zone_count), sizeof *inner);
    if (!inner)
        return false;
    size_t count =
        ship->zone_count ? ends_of_given_zones(ship, inner) : ends_of_shell_spaces(ship, inner);
    count = merge_places(inner, count, hull->x0, hull->x1);
    out->count = count + 1;
    out->places = arena_new(memory, count + 2, sizeof *out->places);
    out->ends = arena_new(memory, count + 2, sizeof *out->ends);
    if (!out->places || !out->ends)
        return false;
    out->length = hull->x1 - hull->x0;
    out->places[0] = hull->x0;
    out->places[count + 1] = hull->x1;
    out->ends[count + 1] = 1;
    for (size_t i = 0; i < count; i++) {
        out->places[i + 1] = inner[i];
        out->ends[i + 1] = (inner[i] - hull->x0) / out->length;
    }
    return true;
}

/* Greatest breadth at or below the deepest draught. */
static double breadth_below(const coaming_ship *ship, double draught)
{
    double most = 0;
    if (!ship->section_count)
        return ship->beam;
    for (size_t i = 0; i < ship->section_count; i++) {
        const hull_section *s = &ship->sections[i];
        most = fmax(most, section_breadth(s, draught, false));
        for (size_t k = 0; k < s->offset_count; k++)
            if (s->offsets[2 * k] <= draught)
                most = fmax(most, s->offsets[2 * k + 1]);
    }
    return 2 * most;
}

/* --- where a space begins, seen from the shell --- */

typedef struct {
    const hull_shape *hull;
    double side; /* 1 port, -1 starboard */
    double deepest;
    double from, to; /* of the zone */
} view;

typedef struct {
    double outermost; /* to that side, m from the centre line */
    bool at_shell;
} outline_reach;

static double shell_at(const hull_shape *hull, double x, double z)
{
    return hull_breadth(hull, x, fmax(fmin(z, hull_top(hull, x)), hull_keel(hull, x)));
}

static void reach_point(const view *v, const solid_part *p, double x, double y, outline_reach *r)
{
    double out = v->side * y;
    r->outermost = fmax(r->outermost, out);
    if (out > 0 && (shell_at(v->hull, x, p->z0) - out <= LINING ||
                    shell_at(v->hull, x, p->z1) - out <= LINING))
        r->at_shell = true;
}

/* The corners of its outline in the zone, and where it crosses the zone's ends. */
static outline_reach reach_of(const view *v, const solid *s, const solid_part *p)
{
    outline_reach r = {-INFINITY, false};
    for (size_t i = 0; i < s->corners; i++) {
        const double *a = s->outline + 2 * i, *b = s->outline + 2 * ((i + 1) % s->corners);
        const double at[] = {v->from, v->to};
        if (a[0] >= v->from && a[0] <= v->to)
            reach_point(v, p, a[0], a[1], &r);
        for (int k = 0; k < 2; k++)
            if ((a[0] < at[k]) != (b[0] < at[k]))
                reach_point(v, p, at[k], a[1] + (b[1] - a[1]) * (at[k] - a[0]) / (b[0] - a[0]), &r);
    }
    return r;
}

/* The mean distance of a plane along her from the shell at the deepest draught, at most twice the
 * least (regulation 7-1, 1.2). The half-breadth is straight from section to section, so that the
 * middles of so many stretches are near enough. */
static double distance(const view *v, const solid_part *p, double outermost)
{
    enum { STRETCHES = 32 };
    double from = fmax(v->from, p->x0), to = fmin(v->to, p->x1), sum = 0, least = INFINITY;
    for (int i = 0; i <= 2 * STRETCHES; i++) { /* ends and middles */
        double x = from + (to - from) * i / (2 * STRETCHES);
        double d = hull_breadth(v->hull, x, v->deepest) - outermost;
        sum += i % 2 ? d : 0;
        least = fmin(least, d);
    }
    return fmax(fmin(sum / STRETCHES, 2 * least), 0);
}

/* Is it met from this side by damage in the zone? Such damage ends at the centre line. */
static bool meets(const view *v, const solid *s, const solid_part *p, double *depth)
{
    double overlap = part_overlap(p, v->from, v->to);
    if (!(overlap > 0) || (overlap <= LINING && overlap < (p->x1 - p->x0) / 2))
        return false;
    outline_reach r = reach_of(v, s, p);
    if (!(r.outermost > 0))
        return false;
    *depth = r.at_shell ? 0 : distance(v, p, r.outermost);
    return true;
}

/* Counts, or with room puts down, what there is of one zone. */
static size_t list_targets(const coaming_ship *ship, const view *v, size_t zone, target *put)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->space_count; i++) {
        const ship_space *space = &ship->spaces[i];
        for (size_t k = 0; k < space->solid_count; k++) {
            const solid_part *p = &space->parts[k];
            double depth;
            if (!meets(v, &space->solids[k], p, &depth))
                continue;
            if (put)
                put[count] = (target){(int)i, zone, depth, p->z0, p->z1};
            count++;
        }
    }
    return count;
}

static bool find_targets(const coaming_ship *ship, double deepest, int side, arena *memory,
                         subdivision *out)
{
    view v = {ship->hull, side ? -1 : 1, deepest, 0, 0};
    size_t *first = out->first[side] = arena_new(memory, out->count + 1, sizeof *first);
    if (!first)
        return false;
    for (size_t zone = 0; zone < out->count; zone++) {
        v.from = out->places[zone];
        v.to = out->places[zone + 1];
        first[zone + 1] = first[zone] + list_targets(ship, &v, zone, NULL);
    }
    out->targets[side] = arena_new(memory, first[out->count], sizeof **out->targets);
    for (size_t zone = 0; out->targets[side] && zone < out->count; zone++) {
        v.from = out->places[zone];
        v.to = out->places[zone + 1];
        list_targets(ship, &v, zone, out->targets[side] + first[zone]);
    }
    return out->targets[side] != NULL;
}

bool subdivide(const coaming_ship *ship, double deepest, arena *memory, subdivision *out)
{
    *out = (subdivision){.breadth = breadth_below(ship, deepest)};
    return make_zones(ship, memory, out) && find_targets(ship, deepest, 0, memory, out) &&
           find_targets(ship, deepest, 1, memory, out);
}
