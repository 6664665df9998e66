/* What there is: the rooms that water can come to at all, the ways between them, pumps, and the start. */
#include "analyse/flood/flood.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/dot.h"
#include "base/error.h"
#include "ship/inside.h"
#include "ship/opening.h"
#include "ship/state.h"

size_t water_unknowns(const water_model *m)
{
    return m->room_count + 5;
}

bool water_on(const water_model *m, int side)
{
    return side == OUTSIDE || (side >= 0 && m->rooms[side].level.volume > 0);
}

bool water_holds_nothing(const water_model *m, int side)
{
    static const double least = 1e-9; /* m3 */
    return side >= 0 && !(m->ship->spaces[m->rooms[side].space].volume > least);
}

void water_model_free(water_model *m)
{
    coaming_flotation_free(m->f);
    arena_free(&m->memory);
}

/* --- which rooms --- */

static bool changed_to_pass(const coaming_flood_ask *ask, int link)
{
    for (size_t i = 0; i < ask->change_count; i++) {
        const coaming_flood_change *c = &ask->changes[i];
        if (c->which == link && (c->kind == COAMING_FLOOD_OPEN || c->kind == COAMING_FLOOD_FAIL))
            return true;
    }
    return false;
}

static bool is_unsound(const water_model *m, int link)
{
    const ship_link *l = &m->ship->links[link];
    if (l->passage)
        return false;
    return l->rating == WEATHERTIGHT || (m->leaks ? m->leaks[link] : l->result == COAMING_FAIL);
}

/* Can water ever get by? */
static bool may_pass(const water_model *m, int link)
{
    const ship_link *l = &m->ship->links[link];
    return l->passage || l->rating == NONTIGHT || !link_shut(l, m->ask->condition) ||
           is_unsound(m, link) || l->collapse_head >= 0 || changed_to_pass(m->ask, link);
}

typedef struct {
    int *list;
    size_t count;
} room_queue;

static void take_room(water_model *m, room_queue *q, coaming_place space)
{
    if (space < 0 || m->taken[space])
        return;
    m->taken[space] = true;
    q->list[q->count++] = space;
}

static void take_sources(water_model *m, room_queue *q, const bool *by_design)
{
    const coaming_flood_ask *ask = m->ask;
    for (size_t i = 0; i < ask->breach_count; i++)
        take_room(m, q, ask->breaches[i].space);
    for (size_t i = 0; i < ask->inflow_count; i++)
        take_room(m, q, ask->inflows[i].space);
    for (size_t i = 0; i < m->ship->space_count; i++)
        if (by_design[i])
            take_room(m, q, (int)i);
    for (size_t i = 0; i < m->ship->link_count; i++) {
        const ship_link *l = &m->ship->links[i];
        if ((l->a < 0) != (l->b < 0) && may_pass(m, (int)i))
            take_room(m, q, l->a < 0 ? l->b : l->a);
    }
}

static void spread(water_model *m, room_queue *q)
{
    const coaming_ship *ship = m->ship;
    for (size_t done = 0; done < q->count; done++) {
        int s = q->list[done];
        for (int i = ship->first[s]; i < ship->first[s + 1]; i++)
            if (may_pass(m, ship->incident[i]))
                take_room(m, q, link_other_side(&ship->links[ship->incident[i]], s));
    }
}

static bool number_rooms(water_model *m, const bool *by_design)
{
    size_t spaces = m->ship->space_count;
    m->room_of = arena_new(&m->memory, spaces, sizeof *m->room_of);
    m->rooms = arena_new(&m->memory, spaces, sizeof *m->rooms);
    if (!m->room_of || !m->rooms)
        return false;
    for (size_t s = 0; s < spaces; s++) {
        m->room_of[s] = NOWHERE;
        if (!m->taken[s])
            continue;
        m->room_of[s] = (int)m->room_count;
        m->rooms[m->room_count++] =
            (water_room){.space = (int)s, .heavy = 1, .by_design = by_design[s], .wet = NAN};
    }
    return true;
}

/* --- ways --- */

static water_shape shape_of(const ship_link *l)
{
    opening_size s = opening_size_of(l);
    bool flat = l->clear.lies == DECK;
    return (water_shape){flat ? 2 * (s.width + s.height) : s.width, s.height, s.width * s.height,
                         flat, false};
}

/* m2 that it lets by, shut. */
static double gap_area(const ship_link *l, const coaming_flood_ask *ask, bool *guessed)
{
    const ship_event *print = l->print ? l->print : l->decided;
    opening_size s = opening_size_of(l);
    double run = 2 * (s.width + s.height), sum = 0;
    for (size_t i = 0; print && i < print->gap_count; i++)
        sum += print->gaps[i].length;
    *guessed = l->rating == WEATHERTIGHT || !(sum > 0);
    if (l->leak_area >= 0) {
        *guessed = false;
        return l->leak_area;
    }
    if (l->rating == WEATHERTIGHT)
        return run * ask->stand_off;
    return fmin(run, sum > 0 ? sum : COAMING_FLOOD_GAP * run) * ask->stand_off;
}

static void make_gap(water_way *w, const ship_link *l, const coaming_flood_ask *ask)
{
    w->gap = w->open;
    w->gap.area = gap_area(l, ask, &w->guessed);
    if (!w->gap.flat)
        w->gap.width = w->gap.area / w->gap.height;
}

void water_way_settle(water_way *w)
{
    w->state = w->broken || !w->shut ? WAY_OPEN : w->unsound ? WAY_LEAKS : WAY_HOLDS;
}

/* The floor of a space at a place: the highest bottom of its parts there that is not over the edge. */
static double floor_over(const water_model *m, coaming_place space, const water_way *w)
{
    const double near = 0.1, *mid = m->f->middle;
    double x = w->at[0] + mid[0], y = w->at[1] + mid[1], edge = w->at[2] + mid[2],
           found = -INFINITY;
    for (size_t i = 0; space >= 0 && i < m->ship->spaces[space].solid_count; i++) {
        const solid_part *p = &m->ship->spaces[space].parts[i];
        if (x >= p->x0 - near && x <= p->x1 + near && y >= p->y0 - near && y <= p->y1 + near &&
            p->z0 <= edge + near)
            found = fmax(found, fmin(p->z0, edge));
    }
    return found > -INFINITY ? found - edge : 0;
}

static void place_way(const water_model *m, water_way *w, const ship_link *l)
{
    opening_place(m->ship, &l->clear, w->at);
    for (int k = 0; k < 3; k++)
        w->at[k] -= m->f->middle[k];
    w->floor[0] = floor_over(m, l->a, w);
    w->floor[1] = floor_over(m, l->b, w);
}

static int room_at(const water_model *m, coaming_place place)
{
    return place < 0 ? OUTSIDE : m->room_of[place];
}

static void add_way(water_model *m, int link, const int *from_outside)
{
    const ship_link *l = &m->ship->links[link];
    int a = room_at(m, l->a), b = room_at(m, l->b);
    if (a == b)
        return;
    water_way *w = &m->ways[m->way_count++];
    *w = (water_way){.link = link, .a = a, .b = b, .open = shape_of(l)};
    w->collapse = l->passage ? -1 : l->collapse_head;
    w->shut = link_shut(l, m->ask->condition);
    w->unsound = is_unsound(m, link);
    w->broken = l->passage || l->rating == NONTIGHT;
    w->way_out = from_outside[link] > 0;
    w->from_elsewhere = !l->passage && l->remote;
    w->hangs[0] = room_at(m, l->power);
    w->hangs[1] = room_at(m, l->control);
    place_way(m, w, l);
    make_gap(w, l, m->ask);
    water_way_settle(w);
}

/* A hole: upright and square in the side, at the middle of the space's length; or in the bottom, if it
 * would reach below it. */
static void add_breach(water_model *m, const coaming_flood_breach *b)
{
    const ship_space *s = &m->ship->spaces[b->space];
    double low[3], high[3], side = sqrt(b->area);
    space_box(s, low, high);
    double z = isnan(b->height) ? low[2] : b->height, y = (low[1] + high[1]) / 2;
    bool under = z - side / 2 < low[2];
    if (!under && (low[1] >= 0 || high[1] <= 0))
        y = low[1] >= 0 ? high[1] : low[1];
    const double at[] = {(low[0] + high[0]) / 2, y, under ? fmax(z, low[2]) : z - side / 2};
    water_way *w = &m->ways[m->way_count++];
    *w = (water_way){.link = -1,
                     .a = OUTSIDE,
                     .b = m->room_of[b->space],
                     .open = {under ? 4 * side : side, side, b->area, under, under},
                     .broken = true,
                     .collapse = -1};
    for (int k = 0; k < 3; k++)
        w->at[k] = at[k] - m->f->middle[k];
    water_way_settle(w);
}

/* --- ways out --- */

static bool goes_through(const ship_link *l)
{
    return l->kind == DOOR || l->kind == HATCH || l->kind == SCUTTLE || l->kind == ARCH ||
           l->kind == STAIR;
}

/* Marks the links on the shortest ways, by number of openings, from spaces where people walk to the
 * weather. steps: by space, room; out: by link. */
static void mark_ways_out(const coaming_ship *ship, int *steps, int *queue, int *out)
{
    size_t count = 0, links = ship->link_count;
    for (size_t s = 0; s < ship->space_count; s++)
        steps[s] = -1;
    for (size_t i = 0; i < links; i++) {
        const ship_link *l = &ship->links[i];
        int s = l->a < 0 ? l->b : l->a;
        if ((l->a < 0) == (l->b < 0) || !goes_through(l))
            continue;
        out[i] = ship->spaces[s].walkable;
        if (steps[s] < 0) {
            steps[s] = 1;
            queue[count++] = s;
        }
    }
    for (size_t done = 0; done < count; done++)
        for (int i = ship->first[queue[done]]; i < ship->first[queue[done] + 1]; i++) {
            int link = ship->incident[i], s = link_other_side(&ship->links[link], queue[done]);
            if (s < 0 || !goes_through(&ship->links[link]))
                continue;
            if (steps[s] < 0) {
                steps[s] = steps[queue[done]] + 1;
                queue[count++] = s;
            }
            if (steps[s] == steps[queue[done]] + 1)
                out[link] = ship->spaces[s].walkable;
        }
}

static bool make_ways(water_model *m)
{
    const coaming_ship *ship = m->ship;
    int *steps = memory_new(2 * ship->space_count, sizeof *steps);
    int *out = memory_new(ship->link_count, sizeof *out);
    size_t most = ship->link_count + m->ask->breach_count;
    m->ways = arena_new(&m->memory, most, sizeof *m->ways);
    m->live = arena_new(&m->memory, most, sizeof *m->live);
    bool good = steps && out && m->ways && m->live;
    if (good) {
        mark_ways_out(ship, steps, steps + ship->space_count, out);
        for (size_t i = 0; i < ship->link_count; i++)
            add_way(m, (int)i, out);
        for (size_t i = 0; i < m->ask->breach_count; i++)
            add_breach(m, &m->ask->breaches[i]);
    }
    memory_free(steps);
    memory_free(out);
    return good;
}

/* --- pumps and changes --- */

static bool switched_on(const coaming_flood_ask *ask, int pump)
{
    for (size_t i = 0; i < ask->change_count; i++)
        if (ask->changes[i].which == pump && ask->changes[i].kind == COAMING_FLOOD_PUMP_ON)
            return true;
    return false;
}

static bool make_pumps(water_model *m)
{
    const coaming_ship *ship = m->ship;
    m->pump_count = ship->pump_count;
    m->pumps = arena_new(&m->memory, ship->pump_count, sizeof *m->pumps);
    for (size_t i = 0; m->pumps && i < ship->pump_count; i++) {
        const ship_pump *from = &ship->pumps[i];
        int *serves = arena_new(&m->memory, from->serve_count, sizeof *serves);
        if (!serves)
            return false;
        water_pump *p = &m->pumps[i];
        *p = (water_pump){.serves = serves, .capacity = from->capacity / 3600, .number = (int)i};
        p->on = !switched_on(m->ask, (int)i);
        const int hangs[] = {from->space, from->power, from->control};
        for (int k = 0; k < 3; k++)
            p->hangs[k] = room_at(m, hangs[k]);
        for (size_t k = 0; k < from->serve_count; k++)
            if (m->room_of[from->serves[k]] >= 0)
                serves[p->count++] = m->room_of[from->serves[k]];
    }
    return m->pumps;
}

static bool sort_changes(water_model *m)
{
    size_t count = m->ask->change_count;
    m->changes = arena_new(&m->memory, count, sizeof *m->changes);
    for (size_t i = 0; m->changes && i < count;
         i++) { /* those of one moment stay as they were given */
        size_t at = m->change_count++;
        for (; at > 0 && m->changes[at - 1].t > m->ask->changes[i].t; at--)
            m->changes[at] = m->changes[at - 1];
        m->changes[at] = m->ask->changes[i];
    }
    return m->changes;
}

water_way *water_way_of(const water_model *m, int link)
{
    for (size_t i = 0; i < m->way_count; i++)
        if (m->ways[i].link == link)
            return &m->ways[i];
    return NULL;
}

bool water_apply(water_model *m, const coaming_flood_change *c)
{
    m->known = false;
    if (c->kind == COAMING_FLOOD_PUMP_ON || c->kind == COAMING_FLOOD_PUMP_OFF) {
        m->pumps[c->which].on = c->kind == COAMING_FLOOD_PUMP_ON;
        return true;
    }
    water_way *w = water_way_of(m, c->which);
    if (!w)
        return false;
    w->unsound = w->unsound || c->kind == COAMING_FLOOD_FAIL;
    if (c->kind != COAMING_FLOOD_FAIL)
        w->shut = c->kind == COAMING_FLOOD_SHUT;
    water_way_settle(w);
    return true;
}

/* --- the start --- */

static void fill_tanks(water_model *m)
{
    for (size_t i = 0; i < m->f->laden.liquid_count; i++) {
        const laden_liquid *l = &m->f->laden.liquids[i];
        if (m->room_of[l->space] < 0)
            continue;
        water_room *r = &m->rooms[m->room_of[l->space]];
        if (r->by_design)
            continue;
        r->start = l->volume;
        r->heavy = l->weight / l->volume;
        r->untouched = true;
    }
}

static coaming_status lie_at_start(water_model *m, const bool *by_design, coaming_error *error)
{
    coaming_status status = coaming_flotation_solve(m->f, by_design, &m->begin, error);
    if (status != COAMING_OK)
        return status;
    if (m->begin.afloat != COAMING_AFLOAT_YES)
        return error_set(error, COAMING_INPUT,
                         "%s: ship: with what is open to the sea by design she %s", m->ship->path,
                         coaming_afloat_text(m->begin.afloat));
    plane p = flotation_plane(m->f, &m->begin);
    for (size_t i = 0; i < m->room_count; i++)
        if (m->rooms[i].by_design)
            m->rooms[i].start = flotation_water_in(m->f, m->rooms[i].space, &p);
    submerged w = {0};
    body_add(&m->ship->hull->body, &p, 1, m->f->scratch, &w);
    m->scale[0] = sqrt(w.area);
    m->scale[1] = sqrt(w.avv - w.av * w.av / w.area);
    m->scale[2] = sqrt(w.auu - w.au * w.au / w.area);
    return COAMING_OK;
}

void water_begin(const water_model *m, double *y)
{
    size_t n = m->room_count;
    const double *normal = m->begin.normal;
    for (size_t i = 0; i < n; i++)
        y[i] = m->rooms[i].start;
    y[n] = m->begin.height - dot(normal, m->f->middle);
    y[n + 1] = atan2(-normal[1], normal[2]);
    y[n + 2] = asin(fmax(-1, fmin(1, -normal[0])));
    y[n + 3] = y[n + 4] = 0;
}

static coaming_status fill_model(water_model *m, bool *by_design, coaming_error *error)
{
    room_queue q = {.list = memory_new(m->ship->space_count, sizeof *q.list)};
    m->taken = arena_new(&m->memory, m->ship->space_count, sizeof *m->taken);
    bool good = q.list && m->taken;
    if (good) {
        mark_open_by_design(m->ship, m->ask->loading, by_design);
        take_sources(m, &q, by_design);
        spread(m, &q);
        good = number_rooms(m, by_design) && make_ways(m) && make_pumps(m) && sort_changes(m);
    }
    memory_free(q.list);
    if (good)
        m->at = arena_new(&m->memory, water_unknowns(m), sizeof *m->at);
    if (!good || !m->at)
        return error_memory(error);
    for (size_t i = 0; i < m->ask->inflow_count; i++) {
        int room = m->room_of[m->ask->inflows[i].space];
        if (!water_holds_nothing(m, room))
            m->rooms[room].inflow += m->ask->inflows[i].rate;
    }
    fill_tanks(m);
    m->left = laden_left(&m->f->laden, m->taken);
    return lie_at_start(m, by_design, error);
}

coaming_status water_model_make(water_model *m, const coaming_ship *ship,
                                const coaming_flood_ask *ask, const bool *leaks,
                                coaming_error *error)
{
    *m = (water_model){.ship = ship, .ask = ask, .leaks = leaks, .loose = 1};
    coaming_status status = coaming_flotation_new(ship, ask->loading, &m->f, error);
    bool *by_design = memory_new(ship->space_count, sizeof *by_design);
    if (status == COAMING_OK)
        status = by_design ? fill_model(m, by_design, error) : error_memory(error);
    memory_free(by_design);
    return status;
}
