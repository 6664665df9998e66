/* What is looked for on the way: functions that rise through 0 when it happens. */
#include <math.h>

#include "analyse/flood/flood.h"
#include "base/dot.h"
#include "ship/access.h"

static const double TOUCHED = 1e-6; /* part of a tank that has come or gone */

static double depth_at(const water_model *m, const water_way *w, int side)
{
    int room = side ? w->b : w->a;
    if (!water_on(m, room))
        return -INFINITY;
    return w->head[side] - m->sea.n[2] * w->floor[side];
}

bool water_can_stand(const water_model *m, const water_way *w)
{
    const ship_link *l = &m->ship->links[w->link];
    for (int side = 0; side < 2; side++)
        if (link_workable(m->ship, l, side ? l->b : l->a) &&
            depth_at(m, w, side) < COAMING_FLOOD_IMPASSABLE_DEPTH)
            return true;
    return false;
}

static double under_water(const water_model *m, int room)
{
    if (room < 0)
        return -1;
    const water_level *l = &m->rooms[room].level;
    double most = l->high - l->low;
    return water_depth(l) - fmin(COAMING_FLOOD_DROWNED_DEPTH, 0.5 * most);
}

/* Of the deepest of these rooms. */
static double drowns(const water_model *m, const int *rooms, int count)
{
    double most = -1;
    for (int k = 0; k < count; k++)
        most = fmax(most, under_water(m, rooms[k]));
    return most;
}

/* Head over the lowest edge of the side that is wetter; a dry room has none. */
static double wet_edge(const water_model *m, const water_way *w)
{
    double most = -1;
    for (int side = 0; side < 2; side++) {
        int room = side ? w->b : w->a;
        if (water_on(m, room))
            most = fmax(most, w->head[side]);
    }
    return most;
}

static double on_door(const water_way *w)
{
    return fabs(fmax(0, w->head[0]) - fmax(0, w->head[1])) - w->collapse;
}

static double of_room(const water_model *m, const water_room *r, coaming_flood_event_kind kind)
{
    const water_level *l = &r->level;
    if (!r->reached && !r->untouched)
        return -1;
    double full = m->ship->spaces[r->space].volume;
    if (kind == COAMING_FLOOD_SPACE_FULL)
        return l->volume / full - (1 - 1e-6);
    if (r->untouched)
        return fabs(l->volume - r->start) / full - TOUCHED;
    return water_depth(l) - COAMING_FLOOD_WET_DEPTH;
}

static double of_ship(const water_model *m, int which)
{
    double hull = body_volume(&m->ship->hull->body);
    switch (which) {
    case COAMING_AFLOAT_CAPSIZES:
        return fabs(flotation_heel(&m->sea)) - COAMING_HEEL_MOST;
    case COAMING_AFLOAT_PLUNGES:
        return fabs(flotation_trim_angle(&m->sea)) - FLOTATION_ON_END;
    default:
        return 1e-6 - m->dry / hull;
    }
}

double water_watch_value(const water_watching *all, const water_watch *w)
{
    const water_model *m = all->m;
    switch (w->kind) {
    case COAMING_FLOOD_SPACE_WET:
    case COAMING_FLOOD_VITAL_WET:
    case COAMING_FLOOD_SPACE_FULL:
        return of_room(m, &m->rooms[w->which], w->kind);
    case COAMING_FLOOD_CLOSURE_WET:
        return wet_edge(m, &m->ways[w->which]);
    case COAMING_FLOOD_KNEE_DEEP:
        return depth_at(m, &m->ways[w->which], w->side) - COAMING_FLOOD_KNEE_DEPTH;
    case COAMING_FLOOD_IMPASSABLE:
        return depth_at(m, &m->ways[w->which], w->side) - COAMING_FLOOD_IMPASSABLE_DEPTH;
    case COAMING_FLOOD_COLLAPSE:
        return on_door(&m->ways[w->which]);
    case COAMING_FLOOD_PUMP_DROWNS:
        return drowns(m, m->pumps[w->which].hangs, 3);
    case COAMING_FLOOD_REMOTE_LOST:
        return drowns(m, m->ways[w->which].hangs, 2);
    case WATCH_TOPPLES:
        return water_topples(m);
    case COAMING_FLOOD_DECK_UNDER:
        return -deck_freeboard(m->ship, &m->sea);
    default:
        return of_ship(m, w->which);
    }
}

/* So long at first; each time that she comes back soon, twice as long as the last time. */
static const double TOPPLING_LEAST = COAMING_FLOOD_LAG, TOPPLING_MOST = 60; /* s */

void water_toppled(water_toppling *toppling, double t)
{
    double waited = toppling->until - toppling->at;
    bool soon = t < toppling->until + waited;
    double wait = soon ? fmin(2 * waited, TOPPLING_MOST) : TOPPLING_LEAST;
    *toppling = (water_toppling){t, t + wait};
}

static bool looked_at(const water_watching *all, const water_watch *w, double t)
{
    return !w->done && !(w->kind == WATCH_TOPPLES && t < all->toppling.until);
}

void water_watch_look(void *data, double t, const double *y, double *values)
{
    water_watching *all = data;
    bool seen = water_look_at(all->m, y);
    for (size_t i = 0; i < all->count; i++) {
        const water_watch *w = &all->watches[i];
        double value = seen && looked_at(all, w, t) ? water_watch_value(all, w) : -1;
        values[i] = isfinite(value) ? value : -1;
    }
}

static void add(water_watching *w, coaming_flood_event_kind kind, size_t which, int side)
{
    w->watches[w->count++] = (water_watch){kind, (int)which, side, false};
}

static void watch_way(water_watching *all, size_t i)
{
    const water_model *m = all->m;
    const water_way *w = &m->ways[i];
    if (w->link < 0)
        return;
    if (w->link < (int)m->ship->closure_count)
        add(all, COAMING_FLOOD_CLOSURE_WET, i, -1);
    if (w->collapse >= 0 && !w->broken)
        add(all, COAMING_FLOOD_COLLAPSE, i, -1);
    if (w->from_elsewhere && (w->hangs[0] >= 0 || w->hangs[1] >= 0))
        add(all, COAMING_FLOOD_REMOTE_LOST, i, -1);
    for (int side = 0; w->way_out && side < 2; side++)
        if ((side ? w->b : w->a) >= 0) {
            add(all, COAMING_FLOOD_KNEE_DEEP, i, side);
            add(all, COAMING_FLOOD_IMPASSABLE, i, side);
        }
}

bool water_watch_make(water_watching *w, water_model *m)
{
    size_t most = 2 * m->room_count + 7 * m->way_count + m->pump_count + 5;
    *w = (water_watching){.m = m,
                          .watches = arena_new(&m->memory, most, sizeof *w->watches),
                          .toppling = {0, -INFINITY}};
    if (!w->watches)
        return false;
    for (size_t i = 0; i < m->room_count; i++) {
        if (m->rooms[i].by_design)
            continue;
        bool vital = m->ship->spaces[m->rooms[i].space].vital;
        add(w, vital ? COAMING_FLOOD_VITAL_WET : COAMING_FLOOD_SPACE_WET, i, -1);
        add(w, COAMING_FLOOD_SPACE_FULL, i, -1);
    }
    for (size_t i = 0; i < m->way_count; i++)
        watch_way(w, i);
    for (size_t i = 0; i < m->pump_count; i++)
        add(w, COAMING_FLOOD_PUMP_DROWNS, i, -1);
    add(w, WATCH_TOPPLES, 0, -1);
    add(w, COAMING_FLOOD_DECK_UNDER, 0, -1);
    add(w, COAMING_FLOOD_LOST, COAMING_AFLOAT_CAPSIZES, -1);
    add(w, COAMING_FLOOD_LOST, COAMING_AFLOAT_PLUNGES, -1);
    add(w, COAMING_FLOOD_LOST, COAMING_AFLOAT_SINKS, -1);
    return true;
}
