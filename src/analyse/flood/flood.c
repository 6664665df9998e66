/* Goes through a flood from moment to moment, and writes down what happens. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flood/flood.h"
#include "analyse/flood/run.h"
#include "base/dot.h"
#include "base/error.h"
#include "base/text.h"
#include "ship/inside.h"

static const double LOOSEST = 2e4; /* times the tolerance */
/* Parts of a room's volume a second: on the mean of a minute or more nothing flows any more; and at the
 * moment, when full rooms take and give a little for no reason but rounding. */
static const double STILL = 1e-8, STILL_NOW = 1e-6;
static const double MINUTE = 60;
static const double SURVIVED_TO = 1; /* s: so near it is found when she no longer survives */

/* All that a run goes on from, as it was at a moment. */
typedef struct {
    bool known;
    double t, *y;
    water_room *rooms;
    water_way *ways;
    water_pump *pumps;
    bool *done; /* by watch */
    water_toppling toppling;
    size_t next_change;
    coaming_afloat lost;
} kept_state;

typedef struct {
    water_model m;
    water_watching watching;
    stiff *solver;
    double *y, *rates, t;
    bool *rooted;
    arena *memory; /* the answer's */
    coaming_flood_answer *answer;
    coaming_flood_moment *moments;
    coaming_flood_event *events; /* grown, then copied */
    size_t event_count, event_room, moment_most, next_change;
    double *volumes, *levels, *depths; /* by room and then moment */
    coaming_afloat lost;               /* YES: she is not */
    kept_state good, now; /* the last told moment at which she survives; where a search began */
    bool searching;       /* what happens was told before */
    bool fails;           /* it is told that she does not survive */
    double loosened;      /* most of the model's `loose` that a step was taken with */
    bool events_only;
} run;

/* --- writing down --- */

static coaming_status note(run *r, coaming_flood_event event, coaming_error *error)
{
    if (r->searching)
        return COAMING_OK;
    if (!MEMORY_ROOM(r->events, r->event_count, r->event_room))
        return error_memory(error);
    r->events[r->event_count++] = event;
    return COAMING_OK;
}

static int space_of(const water_model *m, int room)
{
    return room < 0 ? -1 : m->rooms[room].space;
}

/* The side on which water stands, or stands higher. */
static int wet_side(const water_model *m, const water_way *w)
{
    bool a = water_on(m, w->a), b = water_on(m, w->b);
    return !a || (b && w->head[1] > w->head[0]) ? w->b : w->a;
}

/* The space where water stands deepest of the rooms that something hangs on; -1: nowhere. */
static int drowned_by(const water_model *m, const int *hangs, int count)
{
    int found = -1;
    for (int k = 0; k < count; k++) {
        int room = hangs[k];
        if (room < 0 || !(m->rooms[room].level.volume > 0))
            continue;
        if (found < 0 || water_depth(&m->rooms[room].level) > water_depth(&m->rooms[found].level))
            found = room;
    }
    return space_of(m, found);
}

static coaming_flood_event event_of(const run *r, const water_watch *w)
{
    const water_model *m = &r->m;
    coaming_flood_event e = {r->t, w->kind, -1, -1, -1};
    switch (w->kind) {
    case COAMING_FLOOD_SPACE_WET:
    case COAMING_FLOOD_VITAL_WET:
    case COAMING_FLOOD_SPACE_FULL:
        e.space = m->rooms[w->which].space;
        break;
    case COAMING_FLOOD_PUMP_DROWNS:
        e.pump = m->pumps[w->which].number;
        e.space = drowned_by(m, m->pumps[w->which].hangs, 3);
        break;
    case COAMING_FLOOD_REMOTE_LOST:
        e.link = m->ways[w->which].link;
        e.space = drowned_by(m, m->ways[w->which].hangs, 2);
        break;
    case COAMING_FLOOD_CLOSURE_WET:
    case COAMING_FLOOD_COLLAPSE:
        e.link = m->ways[w->which].link;
        e.space = space_of(m, wet_side(m, &m->ways[w->which]));
        break;
    case COAMING_FLOOD_KNEE_DEEP:
    case COAMING_FLOOD_IMPASSABLE:
        e.link = m->ways[w->which].link;
        e.space = space_of(m, w->side ? m->ways[w->which].b : m->ways[w->which].a);
        break;
    default:
        break;
    }
    return e;
}

/* What follows from it, if it is news. True: the rates jump. */
static bool take_effect(run *r, water_watch *w)
{
    water_model *m = &r->m;
    w->done = true;
    if (w->kind == COAMING_FLOOD_COLLAPSE) {
        m->ways[w->which].broken = true;
        water_way_settle(&m->ways[w->which]);
        return true;
    }
    if (w->kind == COAMING_FLOOD_PUMP_DROWNS) {
        m->pumps[w->which].drowned = true;
        return true;
    }
    if (w->kind == COAMING_FLOOD_REMOTE_LOST)
        m->ways[w->which].from_elsewhere = false;
    if (w->kind == COAMING_FLOOD_LOST)
        r->lost = (coaming_afloat)w->which;
    if (w->kind != COAMING_FLOOD_SPACE_WET && w->kind != COAMING_FLOOD_VITAL_WET)
        return false;
    water_room *room = &m->rooms[w->which];
    bool was = room->untouched;
    room->wet = r->t;
    room->untouched = false;
    room->heavy = 1;
    return was;
}

/* A door that stands open does not give way. */
static bool is_news(const run *r, const water_watch *w)
{
    if (w->kind == COAMING_FLOOD_COLLAPSE)
        return r->m.ways[w->which].shut;
    return true;
}

/* Takes effect, but is of no account now: what is shut need not be shut from elsewhere, and a pump that does
 * not run does not stop. */
static bool is_idle(const run *r, const water_watch *w)
{
    if (w->kind == COAMING_FLOOD_PUMP_DROWNS)
        return !r->m.pumps[w->which].on;
    return w->kind == COAMING_FLOOD_REMOTE_LOST && r->m.ways[w->which].shut;
}

static coaming_status happen(run *r, size_t watch, bool *jumps, coaming_error *error)
{
    water_watch *w = &r->watching.watches[watch];
    coaming_status status = COAMING_OK;
    if (w->done)
        return status;
    if (w->kind == WATCH_TOPPLES) {
        water_topple(&r->m, r->y);
        water_toppled(&r->watching.toppling, r->t);
        *jumps = true;
        return status;
    }
    if (!is_news(r, w)) /* it may be shut, and press again */
        return status;
    if (!is_idle(r, w))
        status = note(r, event_of(r, w), error);
    *jumps = take_effect(r, w) || *jumps;
    return status;
}

static void write_place(const run *r, coaming_flood_moment *at)
{
    const coaming_ship *ship = r->m.ship;
    const plane *p = &r->m.sea;
    at->t = r->t;
    at->draught = flotation_draught(p, ship->length / 2);
    at->draught_aft = flotation_draught(p, 0);
    at->draught_fwd = flotation_draught(p, ship->length);
    at->trim = at->draught_fwd - at->draught_aft;
    at->heel = flotation_heel(p);
    at->freeboard = deck_freeboard(ship, p);
    memcpy(at->plane, p->n, sizeof p->n);
    at->plane[3] = p->d;
}

/* Height of the surface above the baseline in the middle of a space. */
static double level_at_middle(const run *r, const water_room *room)
{
    const plane *p = &r->m.sea;
    double low[3], high[3];
    space_box(&r->m.ship->spaces[room->space], low, high);
    double d = dot(p->n, r->m.f->middle) + fmin(room->level.height, room->level.high);
    return (d - p->n[0] * (low[0] + high[0]) / 2 - p->n[1] * (low[1] + high[1]) / 2) / p->n[2];
}

static void write_rooms(run *r, size_t moment)
{
    for (size_t i = 0; i < r->m.room_count; i++) {
        const water_room *room = &r->m.rooms[i];
        const water_level *l = &room->level;
        bool wet = l->volume > 0;
        size_t at = i * r->moment_most + moment;
        r->volumes[at] = wet ? fmin(l->volume, r->m.ship->spaces[room->space].volume) : 0;
        r->levels[at] = wet ? level_at_middle(r, room) : NAN;
        r->depths[at] = wet ? fmin(l->height, l->high) - l->low : 0;
    }
}

/* m3 that stand for the head on full rooms (level.c), and are nowhere. */
static double pressed(const run *r)
{
    double sum = 0;
    for (size_t i = 0; i < r->m.room_count; i++)
        sum += fmax(0, r->y[i] - r->m.ship->spaces[r->m.rooms[i].space].volume);
    return sum;
}

static coaming_status write_moment(run *r, coaming_error *error)
{
    coaming_flood_answer *a = r->answer;
    size_t n = r->m.room_count, moment = a->moment_count++;
    coaming_flood_moment *at = &r->moments[moment];
    if (!water_look_at(&r->m, r->y))
        return error_set(error, COAMING_INTERNAL, "a position on the way cannot be told");
    double dregs = fmin(0, r->y[n + 4]); /* of sums that are off by so much */
    *at = (coaming_flood_moment){.inflow = r->y[n + 3] - pressed(r) - dregs,
                                 .pumped = r->y[n + 4] - dregs};
    write_place(r, at);
    write_rooms(r, moment);
    for (size_t i = 0; i < n; i++)
        if (!r->m.rooms[i].untouched)
            at->water += r->volumes[i * r->moment_most + moment];
    return COAMING_OK;
}

/* --- going on --- */

static bool goes_on(const run *r, double until)
{
    return r->t < until && r->lost == COAMING_AFLOAT_YES;
}

/* After what makes the rates jump, or has to be looked at anew. */
static coaming_status restart(run *r, coaming_error *error)
{
    r->m.known = false;
    return stiff_restart(r->solver, r->t, r->y, error);
}

/* How a closure is shut that was to be shut from elsewhere, if at all, where its power or its control was
 * under water. */
static void shut_without_power(const water_model *m, const water_way *w, coaming_flood_event *e)
{
    e->kind = COAMING_FLOOD_SHUT_BY_HAND;
    if (water_can_stand(m, w))
        return;
    e->kind = COAMING_FLOOD_NOT_SHUT;
    e->space = drowned_by(m, w->hangs, 2);
}

/* What comes of a change. */
static coaming_flood_event change_event(run *r, const coaming_flood_change *c)
{
    static const coaming_flood_event_kind kinds[] = {
        COAMING_FLOOD_SHUT_DONE, COAMING_FLOOD_OPEN_DONE, COAMING_FLOOD_FAIL_DONE,
        COAMING_FLOOD_PUMP_STARTS, COAMING_FLOOD_PUMP_STOPS};
    bool pump = c->kind == COAMING_FLOOD_PUMP_ON || c->kind == COAMING_FLOOD_PUMP_OFF;
    coaming_flood_event e = {r->t, kinds[c->kind], pump ? -1 : c->which, -1, pump ? c->which : -1};
    if (c->kind == COAMING_FLOOD_PUMP_ON && r->m.pumps[c->which].drowned) {
        e.kind = COAMING_FLOOD_PUMP_DROWNS;
        e.space = drowned_by(&r->m, r->m.pumps[c->which].hangs, 3);
    }
    const water_way *w = c->kind == COAMING_FLOOD_SHUT ? water_way_of(&r->m, c->which) : NULL;
    bool remote = w && r->m.ship->links[w->link].remote;
    if (remote && !w->from_elsewhere && !w->shut && water_look_at(&r->m, r->y))
        shut_without_power(&r->m, w, &e);
    return e;
}

/* What is shut may have more before it then than it holds: that does not rise through its head later. */
static coaming_status press(run *r, int link, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    bool jumps = false;
    if (!water_look_at(&r->m, r->y))
        return status;
    for (size_t i = 0; i < r->watching.count && status == COAMING_OK; i++) {
        const water_watch *w = &r->watching.watches[i];
        if (w->kind == COAMING_FLOOD_COLLAPSE && r->m.ways[w->which].link == link &&
            water_watch_value(&r->watching, w) >= 0)
            status = happen(r, i, &jumps, error);
    }
    return status;
}

static coaming_status change(run *r, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    while (status == COAMING_OK && r->next_change < r->m.change_count &&
           r->m.changes[r->next_change].t <= r->t) {
        const coaming_flood_change *c = &r->m.changes[r->next_change++];
        coaming_flood_event e = change_event(r, c);
        if (e.kind != COAMING_FLOOD_NOT_SHUT)
            water_apply(&r->m, c);
        status = note(r, e, error);
        if (status == COAMING_OK && c->kind == COAMING_FLOOD_SHUT)
            status = press(r, c->which, error);
    }
    return status;
}

/* What stood so before anything happened is not told. */
static coaming_status look_first(run *r, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    bool jumps = false;
    water_look_at(&r->m, r->y);
    for (size_t i = 0; i < r->watching.count && status == COAMING_OK; i++) {
        water_watch *w = &r->watching.watches[i];
        if (w->kind == WATCH_TOPPLES || !(water_watch_value(&r->watching, w) >= 0))
            continue;
        if (w->kind == COAMING_FLOOD_CLOSURE_WET || w->kind == COAMING_FLOOD_SPACE_FULL)
            w->done = true;
        else
            status = happen(r, i, &jumps, error);
    }
    return status;
}

static coaming_status roots(run *r, bool *jumps, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    r->m.known = false;
    water_look_at(&r->m, r->y);
    for (size_t i = 0; i < r->watching.count && status == COAMING_OK; i++)
        if (r->rooted[i])
            status = happen(r, i, jumps, error);
    return status;
}

/* Where the equations are too rough for what they may be off, as where a room is full to its last corner,
 * it goes on from there with less asked; from the next stop on with as much as before. */
static coaming_status step_on(run *r, double until, bool *any, coaming_error *error)
{
    coaming_status status = COAMING_INTERNAL;
    for (r->m.loose = 1; status == COAMING_INTERNAL && r->m.loose < LOOSEST; r->m.loose *= 10) {
        if (r->m.loose > 1) {
            status = restart(r, error);
            if (status != COAMING_OK)
                return status;
        }
        status = stiff_on(r->solver, until, &r->t, r->y, r->rooted, any, error);
    }
    if (status == COAMING_OK)
        r->loosened = fmax(r->loosened, r->m.loose / 10);
    r->m.loose = 1;
    return status;
}

static coaming_status go_to(run *r, double until, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    while (status == COAMING_OK && goes_on(r, until)) {
        bool any = false, jumps = false;
        status = step_on(r, until, &any, error);
        if (status == COAMING_OK && any)
            status = roots(r, &jumps, error);
        if (status == COAMING_OK && jumps)
            status = restart(r, error);
    }
    return status;
}

/* To where a moment is told, with the changes on the way. */
static coaming_status go_to_moment(run *r, double told, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    while (status == COAMING_OK && goes_on(r, told)) {
        double next =
            r->next_change < r->m.change_count ? r->m.changes[r->next_change].t : INFINITY;
        status = go_to(r, fmin(next, told), error);
        bool due = status == COAMING_OK && next <= told && r->lost == COAMING_AFLOAT_YES;
        if (due)
            status = change(r, error);
        if (due && status == COAMING_OK)
            status = restart(r, error);
    }
    return status;
}

/* --- since when she does not survive --- */

static bool kept_make(const run *r, arena *memory, kept_state *k)
{
    const water_model *m = &r->m;
    k->y = arena_new(memory, water_unknowns(m), sizeof *k->y);
    k->rooms = arena_new(memory, m->room_count, sizeof *k->rooms);
    k->ways = arena_new(memory, m->way_count, sizeof *k->ways);
    k->pumps = arena_new(memory, m->pump_count, sizeof *k->pumps);
    k->done = arena_new(memory, r->watching.count, sizeof *k->done);
    return k->y && k->rooms && k->ways && k->pumps && k->done;
}

static void keep(const run *r, kept_state *k)
{
    const water_model *m = &r->m;
    k->known = true;
    k->t = r->t;
    k->next_change = r->next_change;
    k->lost = r->lost;
    k->toppling = r->watching.toppling;
    memcpy(k->y, r->y, water_unknowns(m) * sizeof *k->y);
    memcpy(k->rooms, m->rooms, m->room_count * sizeof *k->rooms);
    memcpy(k->ways, m->ways, m->way_count * sizeof *k->ways);
    memcpy(k->pumps, m->pumps, m->pump_count * sizeof *k->pumps);
    for (size_t i = 0; i < r->watching.count; i++)
        k->done[i] = r->watching.watches[i].done;
}

static coaming_status bring_back(run *r, const kept_state *k, coaming_error *error)
{
    water_model *m = &r->m;
    r->t = k->t;
    r->next_change = k->next_change;
    r->lost = k->lost;
    r->watching.toppling = k->toppling;
    memcpy(r->y, k->y, water_unknowns(m) * sizeof *k->y);
    memcpy(m->rooms, k->rooms, m->room_count * sizeof *k->rooms);
    memcpy(m->ways, k->ways, m->way_count * sizeof *k->ways);
    memcpy(m->pumps, k->pumps, m->pump_count * sizeof *k->pumps);
    m->known = m->live_known = false; /* of the time it comes from */
    for (size_t i = 0; i < r->watching.count; i++)
        r->watching.watches[i].done = k->done[i];
    return restart(r, error);
}

/* As good as she is now; lost if she is. */
static coaming_status grade_now(run *r, coaming_grade *grade, coaming_error *error)
{
    coaming_float lies;
    coaming_stability stability = {.grade = COAMING_GRADE_LOST};
    coaming_status status = COAMING_OK;
    if (r->lost == COAMING_AFLOAT_YES) {
        water_look_at(&r->m, r->y);
        status = water_grade(&r->m, false, &lies, &stability, error);
    }
    *grade = stability.grade;
    return status;
}

/* Between the last moment at which she survives and now, by halving: what happens in between happens
 * once more, untold. *late: the first moment found at which she does not. */
static coaming_status search_between(run *r, double *late, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    while (status == COAMING_OK && *late - r->good.t > SURVIVED_TO) {
        coaming_grade grade = COAMING_GRADE_LOST;
        status = bring_back(r, &r->good, error);
        if (status == COAMING_OK)
            status = go_to_moment(r, (r->good.t + *late) / 2, error);
        if (status == COAMING_OK)
            status = grade_now(r, &grade, error);
        if (grade < COAMING_GRADE_NOT_SURVIVING)
            keep(r, &r->good);
        else
            *late = r->t;
    }
    return status;
}

/* Among the events at its time. */
static coaming_status note_failing(run *r, double t, coaming_error *error)
{
    coaming_flood_event e = {t, COAMING_FLOOD_NOT_SURVIVING, -1, -1, -1};
    coaming_status status = note(r, e, error);
    if (status != COAMING_OK)
        return status;
    size_t at = r->event_count - 1;
    for (; at > 0 && r->events[at - 1].t > t; at--)
        r->events[at] = r->events[at - 1];
    r->events[at] = e;
    return COAMING_OK;
}

/* She does not survive, and did at the moment before, or never did. Of one that is lost at a blow no other
 * moment is told. */
static coaming_status find_failing(run *r, coaming_error *error)
{
    double late = r->t, loosened = r->loosened;
    coaming_status status = COAMING_OK;
    r->fails = true;
    if (r->good.known) {
        keep(r, &r->now);
        r->searching = true;
        status = search_between(r, &late, error);
        r->searching = false;
        r->loosened = loosened; /* what is told was kept */
        if (status == COAMING_OK)
            status = bring_back(r, &r->now, error);
    }
    if (status != COAMING_OK || (r->lost != COAMING_AFLOAT_YES && late >= r->t))
        return status;
    return note_failing(r, late, error);
}

/* At the moment that was written last. */
static coaming_status grade_moment(run *r, coaming_error *error)
{
    coaming_flood_moment *at = &r->moments[r->answer->moment_count - 1];
    coaming_grade grade;
    if (!r->m.ask->grades || (r->events_only && r->fails))
        return COAMING_OK;
    coaming_status status = grade_now(r, &grade, error);
    if (status != COAMING_OK)
        return status;
    at->graded = r->lost == COAMING_AFLOAT_YES;
    at->grade = at->graded ? grade : at->grade;
    if (r->fails)
        return COAMING_OK;
    if (grade >= COAMING_GRADE_NOT_SURVIVING)
        return find_failing(r, error);
    keep(r, &r->good);
    return COAMING_OK;
}

/* --- from moment to moment --- */

static coaming_status tell_moment(run *r, coaming_error *error)
{
    coaming_status status = write_moment(r, error);
    return status == COAMING_OK ? grade_moment(r, error) : status;
}

/* The last moment that is a minute ago or more; -1: none. */
static long minute_ago(const run *r)
{
    long k = (long)r->answer->moment_count - 1;
    while (k >= 0 && r->moments[k].t > r->t - MINUTE)
        k--;
    return k;
}

/* Nothing flows, and nothing is to come. */
static bool at_rest(run *r)
{
    long before = minute_ago(r);
    size_t now = r->answer->moment_count - 1;
    if (before < 0 || r->next_change < r->m.change_count ||
        !water_rates(&r->watching, r->t, r->y, r->rates))
        return false;
    double since = r->t - r->moments[before].t;
    for (size_t i = 0; i < r->m.room_count; i++) {
        double full = r->m.ship->spaces[r->m.rooms[i].space].volume;
        const double *volume = r->volumes + i * r->moment_most;
        if (fabs(r->rates[i]) > STILL_NOW * full ||
            fabs(volume[now] - volume[before]) > STILL * since * full)
            return false;
    }
    return true;
}

static coaming_status go_through(run *r, coaming_error *error)
{
    const coaming_flood_ask *ask = r->m.ask;
    coaming_status status = change(r, error);
    if (status == COAMING_OK)
        status = look_first(r, error);
    if (status == COAMING_OK)
        status = restart(r, error);
    if (status == COAMING_OK)
        status = tell_moment(r, error);
    while (status == COAMING_OK && goes_on(r, ask->until)) {
        double told = fmin(ask->until, (double)r->answer->moment_count * ask->every);
        status = go_to_moment(r, told, error);
        if (status == COAMING_OK)
            status = tell_moment(r, error);
        r->answer->at_rest = status == COAMING_OK && r->lost == COAMING_AFLOAT_YES && at_rest(r);
        if (r->answer->at_rest)
            break;
    }
    return status;
}

/* --- the answer --- */

/* m3 of a space above its highest opening that lets air out. */
static double pocket_of(const run *r, size_t room)
{
    const water_model *m = &r->m;
    const ship_space *s = &m->ship->spaces[m->rooms[room].space];
    double top = -INFINITY;
    if (m->rooms[room].by_design)
        return 0; /* its water lay so before */
    for (size_t i = 0; i < m->way_count; i++) {
        const water_way *w = &m->ways[i];
        if (w->state != WAY_HOLDS && (w->a == (int)room || w->b == (int)room))
            top = fmax(top, w->at[2] + m->f->middle[2] + (w->open.flat ? 0 : w->open.height));
    }
    double above = s->volume - space_volume_below(s, top);
    return above > 1e-3 * s->volume ? above : 0;
}

static bool list_spaces(run *r)
{
    coaming_flood_answer *a = r->answer;
    coaming_flood_space *list = arena_new(r->memory, r->m.room_count, sizeof *list);
    for (size_t i = 0; list && i < r->m.room_count; i++) {
        const water_room *room = &r->m.rooms[i];
        bool ever = false;
        size_t first = i * r->moment_most;
        for (size_t k = 0; k < a->moment_count; k++)
            ever = ever || r->volumes[first + k] > 0;
        if (ever && !room->untouched)
            list[a->space_count++] =
                (coaming_flood_space){room->space,        r->levels + first, r->depths + first,
                                      r->volumes + first, room->wet,         pocket_of(r, i)};
    }
    a->spaces = list;
    return list;
}

static bool list_assumed(run *r)
{
    coaming_flood_answer *a = r->answer;
    int *assumed = arena_new(r->memory, r->m.way_count, sizeof *assumed);
    int *leaking = arena_new(r->memory, r->m.way_count, sizeof *leaking);
    for (size_t i = 0; assumed && leaking && i < r->m.way_count; i++) {
        const water_way *w = &r->m.ways[i];
        if (w->link < 0 || !w->passed)
            continue;
        if (!r->m.ship->links[w->link].clear.given)
            assumed[a->assumed_count++] = w->link;
        if (w->state == WAY_LEAKS && w->guessed)
            leaking[a->leaking_count++] = w->link;
    }
    a->assumed = assumed;
    a->leaking = leaking;
    return assumed && leaking;
}

/* How far volumes are from what came in less what went out. */
static double off_by(const run *r)
{
    size_t n = r->m.room_count;
    double sum = r->y[n + 4] - r->y[n + 3];
    for (size_t i = 0; i < n; i++)
        sum += r->y[i] - r->m.rooms[i].start;
    return sum;
}

static coaming_status how_it_ends(run *r, coaming_error *error)
{
    coaming_flood_answer *a = r->answer;
    if (r->lost == COAMING_AFLOAT_YES)
        return water_grade(&r->m, true, &a->at, &a->stability, error);
    a->at = flotation_nowhere(r->m.f, NULL, r->lost);
    a->stability = (coaming_stability){
        .grade = COAMING_GRADE_LOST, .flooding_angle = NAN, .flooding_opening = -1};
    if (r->lost == COAMING_AFLOAT_CAPSIZES)
        a->at.capsizes_to = r->m.sea.n[1] < 0 ? 1 : -1;
    return COAMING_OK;
}

static coaming_status sum_up(run *r, coaming_error *error)
{
    coaming_flood_answer *a = r->answer;
    coaming_status status = COAMING_OK;
    a->end = r->t;
    a->off = off_by(r);
    a->kept = a->asked.tolerance * fmax(1, r->loosened);
    stiff_cost(r->solver, &a->steps, &a->rates);
    if (a->at_rest)
        status = note(r, (coaming_flood_event){r->t, COAMING_FLOOD_AT_REST, -1, -1, -1}, error);
    coaming_flood_event *events = arena_new(r->memory, r->event_count, sizeof *events);
    if (status != COAMING_OK || !events || !list_spaces(r) || !list_assumed(r))
        return error_memory(error);
    if (r->event_count)
        memcpy(events, r->events, r->event_count * sizeof *events);
    a->events = events;
    a->event_count = r->event_count;
    a->moments = r->moments;
    return r->events_only ? COAMING_OK : how_it_ends(r, error);
}

/* --- beginning --- */

enum { MOMENTS_MOST = 10000 };

static coaming_status check_breach(const coaming_ship *ship, const coaming_flood_breach *b,
                                   coaming_error *error)
{
    const ship_space *s = &ship->spaces[b->space];
    if (!(b->area > 0 && b->area < 1e6))
        return error_set(error, COAMING_USAGE,
                         "the breach of %s needs an area above 0 and below 1e6 m2", BRIEF(s->id));
    if (b->height < s->bottom || b->height > s->top)
        return error_set(error, COAMING_USAGE,
                         "the breach of %s, %g m above the baseline, is not in it: it lies from %g "
                         "to %g m",
                         BRIEF(s->id), b->height, s->bottom, s->top);
    return COAMING_OK;
}

static coaming_status check_lists(const coaming_ship *ship, const coaming_flood_ask *ask,
                                  coaming_error *error)
{
    for (size_t i = 0; i < ask->breach_count; i++) {
        coaming_status status = check_breach(ship, &ask->breaches[i], error);
        if (status != COAMING_OK)
            return status;
    }
    for (size_t i = 0; i < ask->inflow_count; i++)
        if (!(ask->inflows[i].rate > 0 && ask->inflows[i].rate < 1e6))
            return error_set(error, COAMING_USAGE,
                             "the inflow of %s needs a rate above 0 and below 1e6 m3/s",
                             BRIEF(ship->spaces[ask->inflows[i].space].id));
    for (size_t i = 0; i < ask->change_count; i++) {
        const coaming_flood_change *c = &ask->changes[i];
        if (!(c->t >= 0 && isfinite(c->t)))
            return error_set(error, COAMING_USAGE, "a change needs a time of 0 or more");
        if (c->kind == COAMING_FLOOD_SHUT && ship->links[c->which].rating == NONTIGHT)
            return error_set(error, COAMING_USAGE,
                             "closure %s is nontight: shut, it keeps no water back",
                             BRIEF(ship->links[c->which].id));
    }
    return COAMING_OK;
}

static coaming_status check(const coaming_ship *ship, const coaming_flood_ask *ask,
                            coaming_error *error)
{
    if (!(ask->until > 0 && isfinite(ask->until)))
        return error_set(error, COAMING_USAGE, "a flood needs an end in time, of more than 0 s");
    if (!(ask->every > 0 && ask->until / ask->every < MOMENTS_MOST))
        return error_set(error, COAMING_USAGE,
                         "a flood is told at up to %d moments, more than 0 s apart", MOMENTS_MOST);
    if (!(ask->discharge > 0 && ask->discharge <= 1 && ask->stand_off >= 0 && ask->stand_off <= 1 &&
          ask->tolerance > 0 && ask->tolerance <= 1e-2))
        return error_set(error, COAMING_USAGE,
                         "a flood needs a coefficient of discharge up to 1, a stand-off up to 1 m "
                         "and a tolerance up to 0.01");
    return check_lists(ship, ask, error);
}

static coaming_status make_solver(run *r, coaming_error *error)
{
    water_model *m = &r->m;
    if (!water_pattern(m))
        return error_memory(error);
    const stiff_problem problem = {.count = water_unknowns(m),
                                   .roots = r->watching.count,
                                   .start = m->start,
                                   .row = m->row,
                                   .allow = water_allow,
                                   .order = 3,
                                   .corners = true,
                                   .rates = water_rates,
                                   .jacobian = water_jacobian,
                                   .look = water_watch_look,
                                   .data = &r->watching};
    return stiff_new(&problem, 0, r->y, &r->solver, error);
}

static bool make_room(run *r)
{
    const coaming_flood_ask *ask = r->m.ask;
    size_t unknowns = water_unknowns(&r->m);
    r->moment_most = (size_t)ceil(ask->until / ask->every) + 2;
    size_t cells = r->m.room_count * r->moment_most;
    r->y = arena_new(&r->m.memory, unknowns, sizeof *r->y);
    r->rates = arena_new(&r->m.memory, unknowns, sizeof *r->rates);
    r->moments = arena_new(r->memory, r->moment_most, sizeof *r->moments);
    r->volumes = arena_new(r->memory, cells, sizeof *r->volumes);
    r->levels = arena_new(r->memory, cells, sizeof *r->levels);
    r->depths = arena_new(r->memory, cells, sizeof *r->depths);
    if (!r->y || !r->rates || !r->moments || !r->volumes || !r->levels || !r->depths ||
        !water_watch_make(&r->watching, &r->m))
        return false;
    if (ask->grades &&
        (!kept_make(r, &r->m.memory, &r->good) || !kept_make(r, &r->m.memory, &r->now)))
        return false;
    r->rooted = arena_new(&r->m.memory, r->watching.count, sizeof *r->rooted);
    return r->rooted;
}

static coaming_status run_flood(run *r, coaming_error *error)
{
    if (r->m.room_count == 0)
        return error_set(error, COAMING_USAGE,
                         "no water comes in: name a breach, an inflow or "
                         "something that stands open to the sea");
    if (!make_room(r))
        return error_memory(error);
    water_begin(&r->m, r->y);
    coaming_status status = make_solver(r, error);
    if (status == COAMING_OK)
        status = go_through(r, error);
    return status == COAMING_OK ? sum_up(r, error) : status;
}

/* They are the caller's, and need not outlive the call. */
static void forget_lists(coaming_flood_ask *ask)
{
    ask->breaches = NULL;
    ask->inflows = NULL;
    ask->changes = NULL;
    ask->breach_count = ask->inflow_count = ask->change_count = 0;
}

static bool list_passed(const run *r, coaming_flood *f)
{
    bool *passed = arena_new(&f->memory, r->m.ship->link_count, sizeof *passed);
    for (size_t i = 0; passed && i < r->m.way_count; i++) {
        const water_way *w = &r->m.ways[i];
        if (w->link >= 0 && w->state == WAY_OPEN && !w->broken)
            passed[w->link] = w->passed;
    }
    f->passed = passed;
    return passed;
}

static coaming_status run_all(run *r, coaming_flood *f, const flood_manner *manner,
                              coaming_error *error)
{
    coaming_flood_ask *ask = &f->answer.asked;
    r->memory = &f->memory;
    r->answer = &f->answer;
    r->events_only = manner->events_only;
    if (r->events_only && !manner->grades) {
        ask->every = ask->until;
        ask->grades = false;
    }
    return run_flood(r, error);
}

coaming_status flood_run(const coaming_ship *ship, const coaming_flood_ask *ask,
                         const flood_manner *manner, coaming_flood **flood, coaming_error *error)
{
    coaming_status status = check(ship, ask, error);
    if (status != COAMING_OK)
        return status;
    coaming_flood *f = memory_new(1, sizeof *f);
    run r = {.solver = NULL};
    if (!f)
        return error_memory(error);
    f->answer.asked = *ask;
    status = water_model_make(&r.m, ship, &f->answer.asked, manner->leaks, error);
    if (status == COAMING_OK)
        status = run_all(&r, f, manner, error);
    if (status == COAMING_OK && !list_passed(&r, f))
        status = error_memory(error);
    stiff_free(r.solver);
    memory_free(r.events);
    water_model_free(&r.m);
    forget_lists(&f->answer.asked);
    if (status == COAMING_OK)
        *flood = f;
    else
        coaming_flood_free(f);
    return status;
}

coaming_status coaming_flood_new(const coaming_ship *ship, const coaming_flood_ask *ask,
                                 coaming_flood **flood, coaming_error *error)
{
    return flood_run(ship, ask, &(flood_manner){.leaks = NULL}, flood, error);
}

void coaming_flood_free(coaming_flood *flood)
{
    if (!flood)
        return;
    arena_free(&flood->memory);
    memory_free(flood);
}

const coaming_flood_answer *coaming_flood_get(const coaming_flood *flood)
{
    return &flood->answer;
}
