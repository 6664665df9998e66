#include "analyse/air/mixing.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/air/piece.h"
#include "base/error.h"

#define SHARE_EXACT 1e-12
#define LEAST_SHARE 1e-9 /* what is less is none */
enum { HALVINGS = 60 };

/* What is told of each moment: by agent and space, and by space, each by time. */
typedef struct {
    double *times;
    size_t count, next;
    double **share, **dose, **fed;
} record;

typedef struct {
    const coaming_air_options *how;
    arena *memory;
    air_streams s; /* of the stretch it is in */
    air_piece piece;
    stiff *solver;
    const coaming_air_limit **limits; /* those that can be passed */
    size_t limit_count;
    double *absolute;              /* by unknown */
    double *y;                     /* the same, at an event */
    double *dose, *harm;           /* so far: by agent and space; by space, two each */
    double put_in[COAMING_AGENTS]; /* mol, by place */
    record r;
    air_moment *keep; /* the next that is kept, of so many */
    size_t keep_count;
    coaming_air_event *events;
    size_t event_count, event_room;
} work;

/* --- limits --- */

/* Can the limit be passed by what there is? */
static bool concerns(const work *w, const coaming_air_limit *limit)
{
    if (limit->kind == COAMING_LIMIT_FED)
        return w->piece.harms;
    if (limit->kind != COAMING_LIMIT_OXYGEN)
        return air_agent_place(&w->s, limit->agent) < w->s.agents;
    bool smoke = air_agent_place(&w->s, COAMING_AGENT_SMOKE) < w->s.agents;
    return w->s.agents > (smoke ? 1u : 0u);
}

static bool find_limits(work *w)
{
    size_t room = w->how->limit_count;
    while (!w->how->limits && coaming_air_limit_published(room))
        room++;
    w->limits = arena_new(w->memory, room, sizeof(const coaming_air_limit *));
    for (size_t i = 0; w->limits && i < room; i++) {
        const coaming_air_limit *l =
            w->how->limits ? &w->how->limits[i] : coaming_air_limit_published(i);
        if (concerns(w, l))
            w->limits[w->limit_count++] = l;
    }
    return w->limits;
}

/* Over its limit by so much, at a share x of the piece. */
static double over(const work *w, const coaming_air_limit *limit, size_t space, double x)
{
    double share[COAMING_AGENTS], harm[2];
    size_t agent = air_agent_place(&w->s, limit->agent);
    switch (limit->kind) {
    case COAMING_LIMIT_SHARE:
        piece_shares(&w->piece, space, x, share);
        return share[limit->agent] / limit->value - 1;
    case COAMING_LIMIT_DOSE:
        return (w->dose[air_share_at(&w->s, agent, space)] +
                piece_dose(&w->piece, agent, space, x)) /
                   limit->value -
               1;
    case COAMING_LIMIT_OXYGEN:
        piece_shares(&w->piece, space, x, share);
        return 1 - coaming_oxygen(share) / limit->value;
    default:
        piece_harm(&w->piece, space, x, harm);
        return fmax(w->harm[2 * space] + harm[0], w->harm[2 * space + 1] + harm[1]) / limit->value -
               1;
    }
}

/* What a space has come to at the end of the piece. */
typedef struct {
    double most[COAMING_AGENTS]; /* share within it, by agent */
    double dose[COAMING_AGENTS]; /* by place */
    double harm[2];
} come_to;

/* Is it worth looking when it is passed: is it at the end, or may it be within? */
static bool may_pass(const work *w, const coaming_air_limit *limit, const come_to *end)
{
    switch (limit->kind) {
    case COAMING_LIMIT_SHARE:
        return end->most[limit->agent] > limit->value;
    case COAMING_LIMIT_DOSE:
        return end->dose[air_agent_place(&w->s, limit->agent)] > limit->value;
    case COAMING_LIMIT_OXYGEN:
        return coaming_oxygen(end->most) < limit->value;
    default:
        return fmax(end->harm[0], end->harm[1]) > limit->value;
    }
}

/* When in the piece it is passed, rising, as a share of it; NaN: it is not. */
static double passed_at(const work *w, const coaming_air_limit *limit, size_t space)
{
    double low = 0, high = NAN;
    if (over(w, limit, space, 0) > 0)
        return NAN;
    for (int i = 1; i < PIECE_NODES && isnan(high); i++)
        *(over(w, limit, space, piece_place(i)) > 0 ? &high : &low) = piece_place(i);
    for (int i = 0; i < HALVINGS && !isnan(high); i++) {
        double middle = (low + high) / 2;
        *(over(w, limit, space, middle) > 0 ? &high : &low) = middle;
    }
    return high;
}

/* The link by which most of what there is came in; of a limit of one agent, of that one. */
static int brought_by(const work *w, const coaming_air_limit *limit, size_t space)
{
    const air_streams *s = &w->s;
    double most = 0;
    int by = -1;
    bool one = limit->kind == COAMING_LIMIT_SHARE || limit->kind == COAMING_LIMIT_DOSE;
    for (size_t a = 0; a < s->agents; a++)
        if (s->given[air_share_at(s, a, space)] > 0 && (!one || s->agent[a] == limit->agent))
            return -1;
    for (size_t k = 0; k < s->stream_count; k++) {
        const air_stream *m = &s->streams[k];
        double brought = 0;
        if ((size_t)m->to != space)
            continue;
        for (size_t a = 0; a < s->agents; a++)
            if (!one || s->agent[a] == limit->agent)
                brought += m->by_mass * air_carried(s, a, m, w->y);
        if (brought > most) {
            most = brought;
            by = m->link;
        }
    }
    return by;
}

/* --- a piece --- */

static bool look(work *w, size_t space, const come_to *end)
{
    for (size_t i = 0; i < w->limit_count; i++) {
        double x = may_pass(w, w->limits[i], end) ? passed_at(w, w->limits[i], space) : NAN;
        if (isnan(x))
            continue;
        if (!MEMORY_ROOM(w->events, w->event_count, w->event_room))
            return false;
        w->events[w->event_count++] = (coaming_air_event){.t = w->piece.from + x * w->piece.length,
                                                          .space = (int)space,
                                                          .limit = w->limits[i],
                                                          .by = -1};
    }
    return true;
}

/* False when out of memory. */
static bool go_through(work *w, size_t space)
{
    come_to end = {{0}, {0}, {0}};
    for (size_t a = 0; a < w->s.agents; a++) {
        end.most[w->s.agent[a]] = piece_most(&w->piece, a, space);
        end.dose[a] = w->dose[air_share_at(&w->s, a, space)] + piece_dose(&w->piece, a, space, 1);
    }
    piece_harm(&w->piece, space, 1, end.harm);
    for (int k = 0; k < 2; k++)
        end.harm[k] += w->harm[2 * space + (size_t)k];
    if (!look(w, space, &end))
        return false;
    for (size_t a = 0; a < w->s.agents; a++)
        w->dose[air_share_at(&w->s, a, space)] = end.dose[a];
    memcpy(w->harm + 2 * space, end.harm, sizeof end.harm);
    return true;
}

static int by_time(const void *left, const void *right)
{
    const coaming_air_event *a = left, *b = right;
    if (a->t != b->t)
        return a->t < b->t ? -1 : 1;
    if (a->limit != b->limit)
        return a->limit < b->limit ? -1 : 1;
    return a->space - b->space;
}

static void find_way(work *w, coaming_air_event *e)
{
    const air_model *m = w->s.m;
    if (stiff_at(w->solver, e->t, w->y))
        e->by = brought_by(w, e->limit, (size_t)e->space);
    for (size_t i = 0; i < m->net.link_count; i++)
        if (m->ways[i].link == e->by)
            e->state = m->ways[i].state;
}

/* From where the last piece ended. */
static coaming_status take_piece(work *w, double until, coaming_error *error)
{
    air_piece *p = &w->piece;
    size_t events = w->event_count;
    double *last = p->at[PIECE_NODES - 1];
    p->at[PIECE_NODES - 1] = p->at[0];
    p->at[0] = last;
    p->length = until - p->from;
    bool good = true;
    for (int i = 1; i < PIECE_NODES && good; i++)
        good = stiff_at(w->solver, p->from + p->length * piece_place(i), p->at[i]);
    if (!good)
        return error_set(error, COAMING_INTERNAL, "a step of the air has no inside");
    for (size_t i = 0; i < w->s.spaces; i++)
        if (!go_through(w, i))
            return error_memory(error);
    if (w->event_count > events)
        qsort(w->events + events, w->event_count - events, sizeof *w->events, by_time);
    for (size_t i = events; i < w->event_count; i++)
        find_way(w, &w->events[i]);
    p->from = until;
    return COAMING_OK;
}

/* --- making --- */

static bool make_series(work *w, double **to, size_t count, size_t moments)
{
    double *all = arena_new(w->memory, count * moments, sizeof *all);
    for (size_t i = 0; all && i < count; i++)
        to[i] = all + i * moments;
    return all;
}

static bool make_record(work *w)
{
    record *r = &w->r;
    size_t spaces = w->s.spaces, shares = w->s.agents * spaces;
    double every = fmin(w->how->every, w->how->until); /* so that the end is told */
    r->count = 1 + (size_t)ceil(w->how->until / every - 1e-9);
    r->next = 1;
    r->times = arena_new(w->memory, r->count, sizeof *r->times);
    r->share = arena_new(w->memory, shares, sizeof *r->share);
    r->dose = arena_new(w->memory, shares, sizeof *r->dose);
    r->fed = arena_new(w->memory, spaces, sizeof *r->fed);
    if (!r->times || !r->share || !r->dose || !r->fed)
        return false;
    for (size_t i = 0; i < r->count; i++)
        r->times[i] = i + 1 < r->count ? (double)i * every : w->how->until;
    return make_series(w, r->share, shares, r->count) &&
           make_series(w, r->dose, shares, r->count) && make_series(w, r->fed, spaces, r->count);
}

static bool can_harm(const air_streams *s)
{
    static const coaming_agent harmful[] = {COAMING_AGENT_CO, COAMING_AGENT_CO2, COAMING_AGENT_HCN,
                                            COAMING_AGENT_NO2};
    for (size_t i = 0; i < sizeof harmful / sizeof *harmful; i++)
        if (air_agent_place(s, harmful[i]) < s->agents)
            return true;
    return false;
}

/* With the streams of the first stretch, which say what there is. */
static bool make(work *w)
{
    size_t unknowns = air_unknowns(&w->s), spaces = w->s.spaces;
    w->piece.harms = can_harm(&w->s);
    w->absolute = arena_new(w->memory, unknowns, sizeof *w->absolute);
    w->y = arena_new(w->memory, unknowns, sizeof *w->y);
    w->dose = arena_new(w->memory, w->s.agents * spaces, sizeof *w->dose);
    w->harm = arena_new(w->memory, 2 * spaces, sizeof *w->harm);
    bool good = w->absolute && w->y && w->dose && w->harm;
    for (int i = 0; i < PIECE_NODES; i++) {
        w->piece.at[i] = arena_new(w->memory, unknowns, sizeof **w->piece.at);
        good = good && w->piece.at[i];
    }
    for (size_t i = 0; i < unknowns && good; i++)
        w->absolute[i] = SHARE_EXACT;
    return good && find_limits(w) && make_record(w);
}

/* --- in time --- */

static void tell_moment(work *w)
{
    const double *y = w->piece.at[PIECE_NODES - 1];
    size_t moment = w->r.next++;
    for (size_t i = 0; i < w->s.agents * w->s.spaces; i++) {
        w->r.share[i][moment] = fmax(0, y[i]);
        w->r.dose[i][moment] = fmax(0, w->dose[i]);
    }
    for (size_t i = 0; i < w->s.spaces; i++)
        w->r.fed[i][moment] = fmax(w->harm[2 * i], w->harm[2 * i + 1]);
}

static double *copy_of(work *w, const double *values, size_t count)
{
    double *copy = arena_new(w->memory, count, sizeof *copy);
    if (copy)
        memcpy(copy, values, count * sizeof *copy);
    return copy;
}

static bool keep_moment(work *w)
{
    air_moment *m = w->keep++;
    size_t shares = w->s.agents * w->s.spaces;
    w->keep_count--;
    m->unknowns = copy_of(w, w->piece.at[PIECE_NODES - 1], air_unknowns(&w->s));
    m->dose = copy_of(w, w->dose, shares);
    m->harm = copy_of(w, w->harm, 2 * w->s.spaces);
    return m->unknowns && m->dose && m->harm;
}

static void begin_at(work *w, const air_moment *m)
{
    size_t shares = w->s.agents * w->s.spaces;
    w->piece.from = m->t;
    memcpy(w->piece.at[PIECE_NODES - 1], m->unknowns, air_unknowns(&w->s) * sizeof(double));
    memcpy(w->dose, m->dose, shares * sizeof(double));
    memcpy(w->harm, m->harm, 2 * w->s.spaces * sizeof(double));
    for (size_t a = 0; a < w->s.agents; a++)
        w->put_in[a] = air_inside(&w->s, a, m->unknowns) + air_gone(&w->s, a, m->unknowns);
    while (w->r.times[w->r.next] <= m->t) /* the last is later than all that is kept */
        w->r.next++;
}

/* One step of the solver, in pieces that end at the moments that are told or kept. */
static coaming_status take_step(work *w, double end, coaming_error *error)
{
    double t;
    coaming_status status = stiff_step(w->solver, end, &t, error);
    while (status == COAMING_OK && w->piece.from < t) {
        double told = w->r.times[w->r.next]; /* the last is the end */
        double kept = w->keep_count ? w->keep->t : INFINITY;
        status = take_piece(w, fmin(t, fmin(told, kept)), error);
        if (status == COAMING_OK && w->piece.from == told)
            tell_moment(w);
        if (status == COAMING_OK && w->piece.from == kept && !keep_moment(w))
            status = error_memory(error);
    }
    return status;
}

static coaming_status run(work *w, double end, coaming_error *error)
{
    stiff_problem problem = air_streams_problem(&w->s);
    problem.relative = 1e-8;
    problem.absolute = w->absolute;
    double begin = w->piece.from;
    coaming_status status =
        stiff_new(&problem, begin, w->piece.at[PIECE_NODES - 1], &w->solver, error);
    while (status == COAMING_OK && w->piece.from < end)
        status = take_step(w, end, error);
    for (size_t a = 0; a < w->s.agents; a++)
        w->put_in[a] += (end - begin) * air_given(&w->s, a);
    stiff_free(w->solver);
    w->solver = NULL;
    return status;
}

/* Of all agents the part of what moved that is not where it should be. */
static double unbalanced(const work *w)
{
    double off = 0, moved = 0;
    const double *y = w->piece.at[PIECE_NODES - 1];
    for (size_t a = 0; a < w->s.agents; a++) {
        double inside = air_inside(&w->s, a, y), gone = air_gone(&w->s, a, y);
        off += fabs(inside + gone - w->put_in[a]);
        moved += fmax(fmax(w->put_in[a], fabs(gone)), inside);
    }
    return moved > 0 ? off / moved : 0;
}

/* Does anything come to the space? */
static bool comes_to(const work *w, size_t space)
{
    for (size_t a = 0; a < w->s.agents; a++)
        if (w->r.dose[air_share_at(&w->s, a, space)][w->r.count - 1] > LEAST_SHARE)
            return true;
    return false;
}

static bool tell(work *w, coaming_air_answer *answer)
{
    const record *r = &w->r;
    size_t spaces = w->s.spaces, shares = w->s.agents * spaces;
    coaming_air_course *courses = arena_new(w->memory, shares, sizeof *courses);
    coaming_air_harm *harms = arena_new(w->memory, spaces, sizeof *harms);
    coaming_air_event *events = arena_new(w->memory, w->event_count, sizeof *events);
    if (!courses || !harms || !events)
        return false;
    for (size_t i = 0; i < shares; i++)
        if (r->dose[i][r->count - 1] > LEAST_SHARE)
            courses[answer->course_count++] = (coaming_air_course){
                (int)(i % spaces), w->s.agent[i / spaces], r->share[i], r->dose[i]};
    for (size_t i = 0; i < spaces && w->piece.harms; i++)
        if (comes_to(w, i))
            harms[answer->harm_count++] = (coaming_air_harm){(int)i, r->fed[i]};
    if (w->event_count)
        memcpy(events, w->events, w->event_count * sizeof *events);
    answer->times = r->times;
    answer->time_count = r->count;
    answer->courses = courses;
    answer->harms = harms;
    answer->events = events;
    answer->event_count = w->event_count;
    answer->unbalanced = unbalanced(w);
    return true;
}

coaming_status air_mix(const air_mixing *mixing, arena *memory, coaming_air_answer *answer,
                       coaming_error *error)
{
    const air_stretch *all = mixing->stretches;
    work w = {.how = all->model.how,
              .memory = memory,
              .keep = mixing->keep,
              .keep_count = mixing->keep_count};
    coaming_status status = COAMING_OK;
    w.piece.s = &w.s;
    for (size_t i = 0; i < mixing->count && status == COAMING_OK; i++) {
        arena own = {NULL};
        bool good = air_streams_make(&w.s, &all[i].model, &own) && (i || make(&w));
        if (good && !i && mixing->begin)
            begin_at(&w, mixing->begin);
        status = good ? run(&w, i + 1 < mixing->count ? all[i + 1].from : w.how->until, error)
                      : error_memory(error);
        if (status == COAMING_OK && i + 1 == mixing->count && !tell(&w, answer))
            status = error_memory(error);
        arena_free(&own);
    }
    memory_free(w.events);
    return status;
}
