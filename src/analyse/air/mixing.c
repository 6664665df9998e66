/*
 * Unknowns: by agent that there is the share of each space, then by agent the dose of each, then two
 * fractional effective doses of each, then of each agent the moles that have left her less those that
 * came in with the air. Flows do not change, so shares go by a linear equation; what one space loses
 * another gains or the last unknowns do, in the Jacobian too, so that moles are kept to rounding.
 */
#include "analyse/air/mixing.h"

#include <math.h>
#include <string.h>

#include "base/error.h"
#include "ode/sparse.h"
#include "ode/stiff.h"

#define SHARE_EXACT 1e-12
#define DOSE_EXACT  1e-9
#define LEAST_SHARE 1e-9 /* what is less is none */

/* Air that goes from one space to another. */
typedef struct {
    int from, to;   /* nodes; the last is the outside */
    double by_mass; /* 1/s: kg/s over the mass of air of `to`; to the outside: mol/s */
    int link;
} stream;

typedef struct {
    const air_model *m;
    arena *memory;
    size_t spaces, agents, unknowns;
    coaming_agent agent[COAMING_AGENTS]; /* those that there are */
    double outside[COAMING_AGENTS];      /* share of the air outside, by place among them */
    double *given;                       /* by agent and space: share given off a second */
    stream *streams;                     /* by `from` */
    size_t stream_count;
    int *first;     /* by node: its first stream */
    double *loss;   /* by space, 1/s */
    double *blown;  /* by space: 1/s of fans */
    double *masses; /* mol of air, by space */
    bool harms;
    const coaming_air_limit **limits; /* those that can be passed */
    size_t limit_count;
    double *absolute, *y, *rate;
    int *start, *row;
    bool *rooted;
    /* events */
    coaming_air_event *events;
    size_t event_count, event_room;
} work;

static size_t share_at(const work *w, size_t agent, size_t space)
{
    return agent * w->spaces + space;
}

static size_t dose_at(const work *w, size_t agent, size_t space)
{
    return (w->agents + agent) * w->spaces + space;
}

static size_t harm_at(const work *w, int kind, size_t space)
{
    return (2 * w->agents + (size_t)kind) * w->spaces + space;
}

static size_t gone_at(const work *w, size_t agent)
{
    return (2 * w->agents + 2) * w->spaces + agent;
}

/* The unknown that an agent goes to with a stream. */
static size_t goes_to(const work *w, size_t agent, const stream *m)
{
    size_t to = (size_t)m->to;
    return to == w->spaces ? gone_at(w, agent) : share_at(w, agent, to);
}

/* The share of an agent in the air of a stream. */
static double carried(const work *w, size_t agent, const stream *m, const double *y)
{
    size_t from = (size_t)m->from;
    return from == w->spaces ? w->outside[agent] : y[share_at(w, agent, from)];
}

/* --- rates --- */

static void shares_of(const work *w, const double *y, size_t space, double share[COAMING_AGENTS])
{
    memset(share, 0, COAMING_AGENTS * sizeof *share);
    for (size_t a = 0; a < w->agents; a++)
        share[w->agent[a]] = y[share_at(w, a, space)];
}

static void harm_rates(const work *w, const double share[COAMING_AGENTS], double harm[2])
{
    harm[0] = w->harms ? coaming_fed_rate(share, w->m->how->activity) : 0;
    harm[1] = w->harms ? coaming_fed_rate_co2(share[COAMING_AGENT_CO2]) : 0;
}

static bool rates(void *data, double t, const double *y, double *rate)
{
    const work *w = data;
    (void)t;
    memset(rate, 0, w->unknowns * sizeof *rate);
    for (size_t a = 0; a < w->agents; a++) {
        double clean = w->m->how->filtered ? 0 : w->outside[a];
        for (size_t s = 0; s < w->spaces; s++) {
            double share = y[share_at(w, a, s)];
            rate[share_at(w, a, s)] +=
                w->given[share_at(w, a, s)] - w->loss[s] * share + w->blown[s] * clean;
            rate[gone_at(w, a)] -= w->blown[s] * clean * w->masses[s];
            rate[dose_at(w, a, s)] = share;
        }
        for (size_t k = 0; k < w->stream_count; k++) {
            const stream *m = &w->streams[k];
            double share = carried(w, a, m, y);
            rate[goes_to(w, a, m)] += m->by_mass * share;
            if ((size_t)m->from == w->spaces)
                rate[gone_at(w, a)] -= m->by_mass * share * w->masses[m->to];
        }
    }
    for (size_t s = 0; s < w->spaces && w->harms; s++) {
        double share[COAMING_AGENTS], harm[2];
        shares_of(w, y, s, share);
        harm_rates(w, share, harm);
        rate[harm_at(w, 0, s)] = harm[0];
        rate[harm_at(w, 1, s)] = harm[1];
    }
    return true;
}

/* By how much harm grows with a share: by a difference, for nothing that is to be kept hangs on it. */
static void harm_slopes(const work *w, const double *y, size_t agent, size_t space, double slope[2])
{
    double share[COAMING_AGENTS], at[2], by[2];
    shares_of(w, y, space, share);
    double step = fmax(1e-9, 1e-6 * share[w->agent[agent]]);
    harm_rates(w, share, at);
    share[w->agent[agent]] += step;
    harm_rates(w, share, by);
    slope[0] = (by[0] - at[0]) / step;
    slope[1] = (by[1] - at[1]) / step;
}

/* A column of a share: shares that it goes to, itself, its dose, harms, and what is gone. */
static bool jacobian(void *data, double t, const double *y, double *values)
{
    const work *w = data;
    (void)t;
    memset(values, 0, (size_t)w->start[w->unknowns] * sizeof *values);
    for (size_t a = 0; a < w->agents; a++)
        for (size_t s = 0; s < w->spaces; s++) {
            int column = w->start[share_at(w, a, s)], end = w->start[share_at(w, a, s) + 1];
            double slope[2];
            harm_slopes(w, y, a, s, slope);
            for (int k = column; k < end; k++) {
                size_t row = (size_t)w->row[k];
                if (row == share_at(w, a, s))
                    values[k] = -w->loss[s];
                else if (row == dose_at(w, a, s))
                    values[k] = 1;
                else if (row == harm_at(w, 0, s) || row == harm_at(w, 1, s))
                    values[k] = slope[row == harm_at(w, 1, s)];
                for (int i = w->first[s]; i < w->first[s + 1]; i++)
                    if (row == goes_to(w, a, &w->streams[i]))
                        values[k] += w->streams[i].by_mass;
            }
        }
    return true;
}

/* --- limits --- */

static size_t place_of(const work *w, coaming_agent agent)
{
    size_t at = 0;
    while (at < w->agents && w->agent[at] != agent)
        at++;
    return at;
}

/* Over its limit by so much. */
static double over(const work *w, const coaming_air_limit *limit, const double *y, size_t space)
{
    double share[COAMING_AGENTS];
    size_t agent = place_of(w, limit->agent);
    switch (limit->kind) {
    case COAMING_LIMIT_SHARE:
        return y[share_at(w, agent, space)] / limit->value - 1;
    case COAMING_LIMIT_DOSE:
        return y[dose_at(w, agent, space)] / limit->value - 1;
    case COAMING_LIMIT_OXYGEN:
        shares_of(w, y, space, share);
        return 1 - coaming_oxygen(share) / limit->value;
    default:
        return fmax(y[harm_at(w, 0, space)], y[harm_at(w, 1, space)]) / limit->value - 1;
    }
}

static void look(void *data, double t, const double *y, double *values)
{
    const work *w = data;
    (void)t;
    for (size_t i = 0; i < w->limit_count; i++)
        for (size_t s = 0; s < w->spaces; s++)
            values[i * w->spaces + s] = over(w, w->limits[i], y, s);
}

/* Can the limit be passed by what there is? */
static bool concerns(const work *w, const coaming_air_limit *limit)
{
    if (limit->kind == COAMING_LIMIT_FED)
        return w->harms;
    if (limit->kind != COAMING_LIMIT_OXYGEN)
        return place_of(w, limit->agent) < w->agents;
    return w->agents > (place_of(w, COAMING_AGENT_SMOKE) < w->agents ? 1u : 0u);
}

static bool find_limits(work *w)
{
    const coaming_air_options *how = w->m->how;
    size_t room = how->limit_count;
    while (!how->limits && coaming_air_limit_published(room))
        room++;
    w->limits = arena_new(w->memory, room, sizeof(const coaming_air_limit *));
    for (size_t i = 0; w->limits && i < room; i++) {
        const coaming_air_limit *l = how->limits ? &how->limits[i] : coaming_air_limit_published(i);
        if (concerns(w, l))
            w->limits[w->limit_count++] = l;
    }
    return w->limits;
}

/* The link by which most of what there is came in; of a limit of one agent, of that one. */
static int brought_by(const work *w, const coaming_air_limit *limit, const double *y, size_t space)
{
    double most = 0;
    int by = -1;
    bool one = limit->kind == COAMING_LIMIT_SHARE || limit->kind == COAMING_LIMIT_DOSE;
    for (size_t a = 0; a < w->agents; a++)
        if (w->given[share_at(w, a, space)] > 0 && (!one || w->agent[a] == limit->agent))
            return -1;
    for (size_t k = 0; k < w->stream_count; k++) {
        const stream *m = &w->streams[k];
        double brought = 0;
        if ((size_t)m->to != space)
            continue;
        for (size_t a = 0; a < w->agents; a++)
            if (!one || w->agent[a] == limit->agent)
                brought += m->by_mass * carried(w, a, m, y);
        if (brought > most) {
            most = brought;
            by = m->link;
        }
    }
    return by;
}

static bool note(work *w, double t)
{
    for (size_t i = 0; i < w->limit_count; i++)
        for (size_t s = 0; s < w->spaces; s++) {
            if (!w->rooted[i * w->spaces + s])
                continue;
            if (!MEMORY_ROOM(w->events, w->event_count, w->event_room))
                return false;
            w->events[w->event_count++] =
                (coaming_air_event){t, (int)s, w->limits[i], brought_by(w, w->limits[i], w->y, s)};
        }
    return true;
}

/* --- making --- */

static void find_agents(work *w)
{
    const coaming_air_options *how = w->m->how;
    bool there[COAMING_AGENTS] = {false};
    for (size_t i = 0; i < how->source_count; i++)
        there[how->sources[i].agent] = true;
    for (int a = 0; a < COAMING_AGENTS; a++)
        if (there[a])
            w->agent[w->agents++] = (coaming_agent)a;
    w->harms = there[COAMING_AGENT_CO] || there[COAMING_AGENT_CO2] || there[COAMING_AGENT_HCN] ||
               there[COAMING_AGENT_NO2];
    w->spaces = w->m->ship->space_count;
    w->unknowns = gone_at(w, w->agents);
}

static void add_stream(work *w, int from, int to, double flow, int link)
{
    const air_net *net = &w->m->net;
    if (flow <= 0)
        return;
    bool out = (size_t)to == w->spaces;
    double mass = out ? AIR_WEIGHT : net->nodes[to].density * w->m->volumes[to];
    w->streams[w->stream_count++] = (stream){from, to, flow / mass, link};
    if ((size_t)from < w->spaces)
        w->loss[from] += flow / (net->nodes[from].density * w->m->volumes[from]);
}

/* In the order of where they come from. */
static bool find_streams(work *w)
{
    const air_net *net = &w->m->net;
    int *count = memory_new(w->spaces + 2, sizeof *count);
    size_t most = 2 * net->link_count + w->spaces;
    stream *sorted = arena_new(w->memory, most, sizeof *sorted);
    w->streams = memory_new(most, sizeof *w->streams);
    w->first = arena_new(w->memory, w->spaces + 2, sizeof *w->first);
    bool good = count && sorted && w->streams && w->first;
    for (size_t k = 0; good && k < net->link_count; k++) {
        const air_link *l = &net->links[k];
        add_stream(w, l->a, l->b, l->forth, w->m->ways[k].link);
        add_stream(w, l->b, l->a, l->back, w->m->ways[k].link);
    }
    for (size_t s = 0; good && s < w->spaces; s++)
        if (net->nodes[s].sealed) /* what is put in pushes as much out through the walls */
            add_stream(w, (int)s, (int)w->spaces, net->nodes[s].supply, -1);
    for (size_t k = 0; good && k < w->stream_count; k++)
        w->first[w->streams[k].from + 1]++;
    for (size_t s = 0; good && s <= w->spaces; s++)
        count[s + 1] = w->first[s + 1] += w->first[s];
    for (size_t k = 0; good && k < w->stream_count; k++)
        sorted[count[w->streams[k].from]++] = w->streams[k];
    memory_free(count);
    memory_free(w->streams);
    w->streams = sorted;
    return good;
}

static void find_given(work *w)
{
    const air_model *m = w->m;
    for (size_t s = 0; s < w->spaces; s++) {
        w->masses[s] = m->net.nodes[s].density * m->volumes[s] / AIR_WEIGHT;
        w->blown[s] = m->net.nodes[s].blown / (m->net.nodes[s].density * m->volumes[s]);
    }
    for (size_t i = 0; i < m->how->source_count; i++) {
        const coaming_air_source *source = &m->how->sources[i];
        size_t agent = place_of(w, source->agent);
        if (source->place < 0)
            w->outside[agent] += source->rate;
        else
            w->given[share_at(w, agent, (size_t)source->place)] +=
                source->rate / w->masses[source->place];
    }
}

static void find_pattern(work *w)
{
    for (size_t column = 0; column < w->unknowns; column++) {
        size_t a = column / w->spaces, s = column % w->spaces;
        int *rows = w->row + w->start[column], count = 0;
        sparse_put(rows, &count, (int)column);
        if (a < w->agents) {
            sparse_put(rows, &count, (int)dose_at(w, a, s));
            sparse_put(rows, &count, (int)harm_at(w, 0, s));
            sparse_put(rows, &count, (int)harm_at(w, 1, s));
            for (int i = w->first[s]; i < w->first[s + 1]; i++)
                sparse_put(rows, &count, (int)goes_to(w, a, &w->streams[i]));
        }
        w->start[column + 1] = w->start[column] + count;
    }
}

static bool make_room(work *w)
{
    size_t shares = w->agents * w->spaces;
    w->given = arena_new(w->memory, shares, sizeof *w->given);
    w->loss = arena_new(w->memory, w->spaces, sizeof *w->loss);
    w->blown = arena_new(w->memory, w->spaces, sizeof *w->blown);
    w->masses = arena_new(w->memory, w->spaces, sizeof *w->masses);
    w->absolute = arena_new(w->memory, w->unknowns, sizeof *w->absolute);
    w->y = arena_new(w->memory, w->unknowns, sizeof *w->y);
    w->start = arena_new(w->memory, w->unknowns + 1, sizeof *w->start);
    w->row = arena_new(w->memory, w->unknowns + 4 * shares + 2 * w->agents * w->m->net.link_count,
                       sizeof *w->row);
    w->rooted = arena_new(w->memory, w->limit_count * w->spaces, sizeof *w->rooted);
    return w->given && w->loss && w->blown && w->masses && w->absolute && w->y && w->start &&
           w->row && w->rooted;
}

static bool make(work *w)
{
    find_agents(w);
    if (!find_limits(w) || !make_room(w) || !find_streams(w))
        return false;
    find_given(w);
    find_pattern(w);
    for (size_t i = 0; i < w->unknowns; i++)
        w->absolute[i] = i < w->agents * w->spaces ? SHARE_EXACT : DOSE_EXACT;
    return true;
}

/* --- in time --- */

typedef struct {
    double *times;
    size_t count;
    double **share, **dose, **fed; /* by agent and space, and by space, each by time */
} record;

static bool make_series(work *w, double **to, size_t count, size_t moments)
{
    double *all = arena_new(w->memory, count * moments, sizeof *all);
    for (size_t i = 0; all && i < count; i++)
        to[i] = all + i * moments;
    return all;
}

static bool make_record(work *w, record *r)
{
    const coaming_air_options *how = w->m->how;
    size_t shares = w->agents * w->spaces;
    r->count = 1 + (size_t)ceil(how->until / how->every - 1e-9);
    r->times = arena_new(w->memory, r->count, sizeof *r->times);
    r->share = arena_new(w->memory, shares, sizeof *r->share);
    r->dose = arena_new(w->memory, shares, sizeof *r->dose);
    r->fed = arena_new(w->memory, w->spaces, sizeof *r->fed);
    if (!r->times || !r->share || !r->dose || !r->fed)
        return false;
    for (size_t i = 0; i < r->count; i++)
        r->times[i] = i + 1 < r->count ? (double)i * how->every : how->until;
    return make_series(w, r->share, shares, r->count) &&
           make_series(w, r->dose, shares, r->count) && make_series(w, r->fed, w->spaces, r->count);
}

static void keep(const work *w, record *r, size_t moment)
{
    for (size_t i = 0; i < w->agents * w->spaces; i++) {
        r->share[i][moment] = fmax(0, w->y[i]);
        r->dose[i][moment] = fmax(0, w->y[w->agents * w->spaces + i]);
    }
    for (size_t s = 0; s < w->spaces; s++)
        r->fed[s][moment] = fmax(w->y[harm_at(w, 0, s)], w->y[harm_at(w, 1, s)]);
}

static coaming_status run(work *w, record *r, coaming_error *error)
{
    stiff_problem problem = {.count = w->unknowns,
                             .roots = w->limit_count * w->spaces,
                             .start = w->start,
                             .row = w->row,
                             .relative = 1e-8,
                             .absolute = w->absolute,
                             .rates = rates,
                             .jacobian = jacobian,
                             .look = look,
                             .data = w};
    stiff *solver = NULL;
    double t = 0;
    coaming_status status = stiff_new(&problem, 0, w->y, &solver, error);
    for (size_t i = 1; i < r->count && status == COAMING_OK; i++) {
        bool any = true;
        while (any && t < r->times[i] && status == COAMING_OK) {
            status = stiff_on(solver, r->times[i], &t, w->y, w->rooted, &any, error);
            if (status == COAMING_OK && any && !note(w, t))
                status = error_memory(error);
        }
        if (status == COAMING_OK)
            keep(w, r, i);
    }
    stiff_free(solver);
    return status;
}

/* Of all agents the part of what moved that is not where it should be. */
static double unbalanced(const work *w, double t)
{
    double off = 0, moved = 0;
    for (size_t a = 0; a < w->agents; a++) {
        double given = 0, held = 0, gone = w->y[gone_at(w, a)];
        for (size_t s = 0; s < w->spaces; s++) {
            given += w->given[share_at(w, a, s)] * w->masses[s] * t;
            held += w->y[share_at(w, a, s)] * w->masses[s];
        }
        off += fabs(held + gone - given);
        moved += fmax(fmax(given, fabs(gone)), held);
    }
    return moved > 0 ? off / moved : 0;
}

/* Does anything come to the space? */
static bool comes_to(const work *w, const record *r, size_t space)
{
    for (size_t a = 0; a < w->agents; a++)
        if (r->dose[share_at(w, a, space)][r->count - 1] > LEAST_SHARE)
            return true;
    return false;
}

static bool tell(work *w, const record *r, coaming_air_answer *answer)
{
    size_t shares = w->agents * w->spaces;
    coaming_air_course *courses = arena_new(w->memory, shares, sizeof *courses);
    coaming_air_harm *harms = arena_new(w->memory, w->spaces, sizeof *harms);
    coaming_air_event *events = arena_new(w->memory, w->event_count, sizeof *events);
    if (!courses || !harms || !events)
        return false;
    for (size_t i = 0; i < shares; i++)
        if (r->dose[i][r->count - 1] > LEAST_SHARE)
            courses[answer->course_count++] = (coaming_air_course){
                (int)(i % w->spaces), w->agent[i / w->spaces], r->share[i], r->dose[i]};
    for (size_t s = 0; s < w->spaces && w->harms; s++)
        if (comes_to(w, r, s))
            harms[answer->harm_count++] = (coaming_air_harm){(int)s, r->fed[s]};
    if (w->event_count)
        memcpy(events, w->events, w->event_count * sizeof *events);
    answer->times = r->times;
    answer->time_count = r->count;
    answer->courses = courses;
    answer->harms = harms;
    answer->events = events;
    answer->event_count = w->event_count;
    answer->unbalanced = unbalanced(w, r->times[r->count - 1]);
    return true;
}

coaming_status air_mix(const air_model *m, arena *memory, coaming_air_answer *answer,
                       coaming_error *error)
{
    work w = {.m = m, .memory = memory};
    record r;
    if (!make(&w) || !make_record(&w, &r))
        return error_memory(error);
    coaming_status status = run(&w, &r, error);
    if (status == COAMING_OK && !tell(&w, &r, answer))
        status = error_memory(error);
    memory_free(w.events);
    return status;
}
