/* The equations: what each room gains, and how she goes to where she lies. What an opening takes from
 * one room it gives to the other, in the rates and in their changes, so that volume is kept to rounding. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flood/flood.h"
#include "base/dot.h"

static const double GRAVITY = 9.81; /* m/s2 */
/* Part of a room: what its volume may be off where it is full, so that the head there is told to some
 * tenth of COAMING_FLOOD_SMOOTH: rougher, and flow between full rooms chatters. */
static const double FULL_HEAD = 1e-7;
static const double DREGS = 1e-7;           /* part of a room that nothing runs out of freely */
static const double SUCTION = 0.05;         /* m: a pump that stands in less draws air as well */
static const double MAIN_HEAD = 10;         /* m over a full room that stop an inflow: assumption */
static const double PASSED = 1e-7;          /* m3/s: told as water that came through */
static const double OVER = 1.55, END = 1.2; /* radians: too far over to be told */

static plane plane_over(const water_model *m, double heel, double trim, double height)
{
    plane p = plane_make(heel, trim, 0, m->f->middle);
    return plane_make(heel, trim, dot(p.n, m->f->middle) + height, m->f->middle);
}

/* Height of what stands on one side of a way, over its lowest edge. */
static double head_of(const water_model *m, int side, const double at[3])
{
    if (side == NOWHERE)
        return -INFINITY;
    double height = side == OUTSIDE ? m->at[m->room_count] : m->rooms[side].level.height;
    return height - dot(m->sea.n, at);
}

/* All of what is there of it, less near the last drop, and the change with the volume. */
static double run_out(const water_model *m, int side, double *change)
{
    *change = 0;
    if (side == OUTSIDE)
        return 1;
    const water_room *r = &m->rooms[side];
    double least = DREGS * m->ship->spaces[r->space].volume, part = r->level.volume / least;
    if (part < 1)
        *change = 1 / least;
    return fmin(1, fmax(0, part));
}

static void look_through(water_model *m, water_way *w)
{
    w->head[0] = head_of(m, w->a, w->at);
    w->head[1] = head_of(m, w->b, w->at);
    w->through = (water_through){0, 0, 0};
    w->by_dregs = 0;
    if (w->state == WAY_HOLDS || fmax(w->head[0], w->head[1]) <= 0 ||
        water_holds_nothing(m, w->a) || water_holds_nothing(m, w->b))
        return;
    water_shape s = w->state == WAY_OPEN ? w->open : w->gap;
    s.height *= fmax(0.05, m->sea.n[2]);
    water_through t = water_flow(&s, w->head[0], w->head[1]);
    double ideal = m->ask->discharge * sqrt(2 * GRAVITY), change;
    double by = ideal * run_out(m, t.flow > 0 ? w->a : w->b, &change);
    w->through = (water_through){by * t.flow, by * t.by_a, by * t.by_b};
    w->by_dregs = ideal * change * t.flow;
    w->passed = w->passed || fabs(w->through.flow) > PASSED;
}

/* How much of a pump's draw a room can give by its depth, and the change with it. */
static double suction(const water_room *r, double *rate)
{
    double part = water_depth(&r->level) / SUCTION;
    *rate = 0;
    if (part <= 0 || part >= 1)
        return part > 0;
    *rate = 6 * part * (1 - part) / SUCTION;
    return part * part * (3 - 2 * part);
}

static void draw(water_model *m, const water_pump *p)
{
    double sum = 0, rate;
    if (!p->on || p->drowned)
        return;
    for (size_t i = 0; i < p->count; i++)
        sum += suction(&m->rooms[p->serves[i]], &rate);
    sum = fmax(1, sum);
    for (size_t i = 0; i < p->count; i++) {
        water_room *r = &m->rooms[p->serves[i]];
        r->pumped += p->capacity * suction(r, &rate) / sum;
        r->out += p->capacity * rate * r->level.by_volume / sum;
    }
}

/* What a main still gives, and the change with the volume. */
static double let_in(const water_room *r, double *change)
{
    double part = 1 - (r->level.height - r->level.high) / MAIN_HEAD;
    *change = part > 0 && part < 1 ? -r->inflow * r->level.by_volume / MAIN_HEAD : 0;
    return r->inflow * fmin(1, fmax(0, part));
}

/* Of a large ship most ways are dry on both sides for long, or to the end. */
static void list_live_ways(water_model *m)
{
    m->live_count = 0;
    for (size_t i = 0; i < m->way_count; i++) {
        water_way *w = &m->ways[i];
        w->head[0] = w->head[1] = -INFINITY;
        w->through = (water_through){0, 0, 0};
        if (water_on(m, w->a) || water_on(m, w->b))
            m->live[m->live_count++] = i;
    }
    m->live_known = true;
}

static void find_levels(water_model *m, const double *y, const water_lie *lie)
{
    for (size_t i = 0; i < m->room_count; i++) {
        water_room *r = &m->rooms[i];
        if (m->live_known && !r->reached && !(y[i] > 0))
            continue; /* it was dry, and is */
        water_find_level(&m->ship->spaces[r->space], y[i], lie, &r->level);
        r->pumped = r->out = 0;
        m->live_known = m->live_known && r->reached == (y[i] > 0);
        r->reached = y[i] > 0;
    }
}

bool water_look_at(water_model *m, const double *y)
{
    size_t n = m->room_count;
    if (m->known && memcmp(m->at, y, water_unknowns(m) * sizeof *y) == 0)
        return true;
    m->known = false;
    if (!(fabs(y[n + 1]) < OVER && fabs(y[n + 2]) < END && fabs(y[n]) < 1e6))
        return false;
    memcpy(m->at, y, water_unknowns(m) * sizeof *y);
    m->sea = plane_over(m, y[n + 1], y[n + 2], y[n]);
    plane turned = plane_over(m, y[n + 1], y[n + 2], 0);
    water_lie lie = {m->f->middle, &turned, y[n], m->f->scratch};
    find_levels(m, y, &lie);
    if (!m->live_known)
        list_live_ways(m);
    for (size_t i = 0; i < m->live_count; i++)
        look_through(m, &m->ways[m->live[i]]);
    for (size_t i = 0; i < m->pump_count; i++)
        draw(m, &m->pumps[i]);
    water_attitude(m);
    m->known = true;
    return true;
}

bool water_rates(void *data, double t, const double *y, double *rates)
{
    water_model *m = ((water_watching *)data)->m;
    size_t n = m->room_count;
    (void)t;
    if (!water_look_at(m, y))
        return false;
    memset(rates, 0, water_unknowns(m) * sizeof *rates);
    double *in = &rates[n + 3], *out = &rates[n + 4], change;
    for (size_t i = 0; i < m->live_count; i++) {
        const water_way *w = &m->ways[m->live[i]];
        double flow = w->through.flow;
        if (w->state == WAY_HOLDS)
            continue;
        if (w->a != OUTSIDE)
            rates[w->a] -= flow;
        if (w->b != OUTSIDE)
            rates[w->b] += flow;
        if (w->a == OUTSIDE || w->b == OUTSIDE)
            *((flow > 0) == (w->a == OUTSIDE) ? in : out) += fabs(flow);
    }
    for (size_t i = 0; i < n; i++) {
        const water_room *r = &m->rooms[i];
        double main = let_in(r, &change);
        rates[i] += main - r->pumped;
        *in += main;
        *out += r->pumped;
    }
    for (int i = 0; i < 3; i++)
        for (int j = 0; j < 3; j++)
            rates[n + (size_t)i] -= m->back[i][j] * m->pull[j] / COAMING_FLOOD_LAG;
    return true;
}

/* Near full a little water is much head: there less may be off. */
void water_allow(void *data, const double *y, double *off)
{
    const water_model *m = ((water_watching *)data)->m;
    size_t n = m->room_count;
    double tolerance = m->ask->tolerance * m->loose;
    for (size_t i = 0; i < n; i++) {
        double full = m->ship->spaces[m->rooms[i].space].volume;
        off[i] = fmin(1e-2 * m->ask->tolerance, FULL_HEAD) * m->loose * full +
                 tolerance * fmax(0, fmin(y[i], full - y[i]));
        off[i] = water_holds_nothing(m, (int)i) ? 1 : off[i]; /* it stays empty */
    }
    off[n] = tolerance;
    off[n + 1] = off[n + 2] = 0.1 * tolerance;
    off[n + 3] = off[n + 4] = 1e12; /* sums of the others */
}

/* --- changes of the rates --- */

static int by_number(const void *a, const void *b)
{
    size_t x = *(const size_t *)a, y = *(const size_t *)b;
    return x < y ? -1 : x > y;
}

/* Column by column, each place once. */
static void lay_out(water_model *m, size_t *places, size_t count)
{
    size_t unknowns = water_unknowns(m), used = 0, column = 0;
    qsort(places, count, sizeof *places, by_number);
    for (size_t i = 0; i < count; i++) {
        if (i && places[i] == places[i - 1])
            continue;
        while (column <= places[i] / unknowns)
            m->start[column++] = (int)used;
        m->row[used++] = (int)(places[i] % unknowns);
    }
    while (column <= unknowns)
        m->start[column++] = (int)used;
}

/* Row i and column j; for a room also what is true of all. */
static size_t list_places(const water_model *m, size_t *places)
{
    size_t n = m->room_count, unknowns = water_unknowns(m), count = 0;
    for (size_t i = 0; i < unknowns; i++)
        places[count++] = i * unknowns + i;
    for (size_t i = 0; i < n; i++)
        for (size_t k = n; k < unknowns; k++)
            places[count++] = i * unknowns + k;
    for (size_t k = n; k < n + 3; k++)
        for (size_t i = 0; i < unknowns; i++)
            places[count++] = k * unknowns + i;
    for (size_t i = 0; i < m->way_count; i++) {
        const water_way *w = &m->ways[i];
        if (w->a < 0 || w->b < 0)
            continue;
        places[count++] = (size_t)w->a * unknowns + (size_t)w->b;
        places[count++] = (size_t)w->b * unknowns + (size_t)w->a;
    }
    return count;
}

bool water_pattern(water_model *m)
{
    size_t n = m->room_count, unknowns = water_unknowns(m);
    size_t most = unknowns + 5 * n + 3 * unknowns + 2 * m->way_count;
    size_t *places = memory_new(most, sizeof *places);
    m->start = arena_new(&m->memory, unknowns + 1, sizeof *m->start);
    m->row = arena_new(&m->memory, most, sizeof *m->row);
    bool good = places && m->start && m->row;
    if (good)
        lay_out(m, places, list_places(m, places));
    memory_free(places);
    return good;
}

/* Adds at a row of a column. */
static void put(const water_model *m, double *values, size_t row, size_t column, double what)
{
    int low = m->start[column], high = m->start[column + 1] - 1;
    while (low < high) {
        int middle = (low + high) / 2;
        if (m->row[middle] < (int)row)
            low = middle + 1;
        else
            high = middle;
    }
    values[low] += what;
}

/* A flow from a to b changes by so much with an unknown. */
static void put_flow(const water_model *m, double *values, const water_way *w, size_t column,
                     double change)
{
    size_t n = m->room_count;
    if (w->a != OUTSIDE)
        put(m, values, (size_t)w->a, column, -change);
    if (w->b != OUTSIDE)
        put(m, values, (size_t)w->b, column, change);
    if (w->a != OUTSIDE && w->b != OUTSIDE)
        return;
    bool in = (w->through.flow > 0) == (w->a == OUTSIDE);
    put(m, values, in ? n + 3 : n + 4, column, (w->a == OUTSIDE) == in ? change : -change);
}

/* One side's head: with its own level, and as the ship turns about the middle of its surface. */
static void put_side(const water_model *m, double *values, const water_way *w, int side,
                     double change)
{
    size_t n = m->room_count;
    double ct = sqrt(1 - m->sea.n[0] * m->sea.n[0]), arm[3];
    if (change == 0)
        return;
    for (int k = 0; k < 3; k++)
        arm[k] = (side == OUTSIDE ? 0 : m->rooms[side].level.surface[k]) - w->at[k];
    if (side == OUTSIDE)
        put_flow(m, values, w, n, change);
    else
        put_flow(m, values, w, (size_t)side, change * m->rooms[side].level.by_volume);
    put_flow(m, values, w, n + 1, -ct * dot(m->sea.e2, arm) * change);
    put_flow(m, values, w, n + 2, -dot(m->sea.e1, arm) * change);
}

/* Water that comes into a room changes where she lies. */
static void put_room(const water_model *m, double *values, size_t i)
{
    size_t n = m->room_count;
    const water_room *r = &m->rooms[i];
    double change, ct = sqrt(1 - m->sea.n[0] * m->sea.n[0]);
    let_in(r, &change);
    put(m, values, i, i, change - r->out);
    put(m, values, n + 3, i, change);
    put(m, values, n + 4, i, r->out);
    if (!(r->level.volume > 0) || r->level.volume >= m->ship->spaces[r->space].volume)
        return;
    const double by[] = {-r->heavy, -r->heavy * ct * dot(m->sea.e2, r->level.surface),
                         -r->heavy * dot(m->sea.e1, r->level.surface)};
    for (int k = 0; k < 3; k++)
        put(m, values, n + (size_t)k, i, -dot(m->back[k], by) / COAMING_FLOOD_LAG);
}

bool water_jacobian(void *data, double t, const double *y, double *values)
{
    water_model *m = ((water_watching *)data)->m;
    size_t n = m->room_count;
    (void)t;
    if (!water_look_at(m, y))
        return false;
    memset(values, 0, (size_t)m->start[water_unknowns(m)] * sizeof *values);
    for (size_t i = 0; i < m->live_count; i++) {
        const water_way *w = &m->ways[m->live[i]];
        put_side(m, values, w, w->a, w->through.by_a);
        put_side(m, values, w, w->b, w->through.by_b);
        if (w->by_dregs != 0)
            put_flow(m, values, w, (size_t)(w->by_dregs > 0 ? w->a : w->b), w->by_dregs);
    }
    for (size_t i = 0; i < n; i++)
        put_room(m, values, i);
    for (size_t k = 0; k < 3; k++)
        for (size_t j = 0; j < 3; j++)
            put(m, values, n + k, n + j,
                -(m->back[k][0] * m->bend[0][j] + m->back[k][1] * m->bend[1][j] +
                  m->back[k][2] * m->bend[2][j]) /
                    COAMING_FLOOD_LAG);
    return true;
}
