#include "analyse/air/streams.h"

#include <string.h>

#include "base/memory.h"
#include "ode/sparse.h"

/* --- what stands where --- */

size_t air_share_at(const air_streams *s, size_t agent, size_t space)
{
    return agent * s->spaces + space;
}

static size_t gone_at(const air_streams *s, size_t agent)
{
    return s->agents * s->spaces + agent;
}

size_t air_unknowns(const air_streams *s)
{
    return gone_at(s, s->agents);
}

size_t air_agent_place(const air_streams *s, coaming_agent agent)
{
    size_t at = 0;
    while (at < s->agents && s->agent[at] != agent)
        at++;
    return at;
}

/* The unknown that an agent goes to with a stream. */
static size_t goes_to(const air_streams *s, size_t agent, const air_stream *m)
{
    size_t to = (size_t)m->to;
    return to == s->spaces ? gone_at(s, agent) : air_share_at(s, agent, to);
}

double air_carried(const air_streams *s, size_t agent, const air_stream *m, const double *y)
{
    size_t from = (size_t)m->from;
    return from == s->spaces ? s->outside[agent] : y[air_share_at(s, agent, from)];
}

/* --- in time --- */

static void rates_of(const air_streams *s, size_t agent, const double *y, double *rate)
{
    double clean = s->m->how->filtered ? 0 : s->outside[agent], gone = 0;
    const double *given = s->given + air_share_at(s, agent, 0);
    const double *share = y + air_share_at(s, agent, 0);
    double *change = rate + air_share_at(s, agent, 0);
    for (size_t i = 0; i < s->spaces; i++) {
        change[i] = given[i] - s->loss[i] * share[i] + s->blown[i] * clean;
        gone -= s->blown[i] * clean * s->masses[i];
    }
    for (size_t k = 0; k < s->stream_count; k++) {
        const air_stream *m = &s->streams[k];
        double brought = m->by_mass * air_carried(s, agent, m, y);
        if ((size_t)m->to == s->spaces)
            gone += brought;
        else
            change[m->to] += brought;
        if ((size_t)m->from == s->spaces)
            gone -= brought * s->masses[m->to];
    }
    rate[gone_at(s, agent)] = gone;
}

static bool rates(void *data, double t, const double *y, double *rate)
{
    const air_streams *s = data;
    (void)t;
    for (size_t a = 0; a < s->agents; a++)
        rates_of(s, a, y, rate);
    return true;
}

static bool jacobian(void *data, double t, const double *y, double *values)
{
    const air_streams *s = data;
    (void)t, (void)y;
    memcpy(values, s->slopes, (size_t)s->start[air_unknowns(s)] * sizeof *values);
    return true;
}

stiff_problem air_streams_problem(air_streams *s)
{
    return (stiff_problem){.count = air_unknowns(s),
                           .start = s->start,
                           .row = s->row,
                           .rates = rates,
                           .jacobian = jacobian,
                           .data = s};
}

double air_inside(const air_streams *s, size_t agent, const double *y)
{
    double inside = 0;
    for (size_t i = 0; i < s->spaces; i++)
        inside += y[air_share_at(s, agent, i)] * s->masses[i];
    return inside;
}

double air_gone(const air_streams *s, size_t agent, const double *y)
{
    return y[gone_at(s, agent)];
}

double air_given(const air_streams *s, size_t agent)
{
    double given = 0;
    for (size_t i = 0; i < s->spaces; i++)
        given += s->given[air_share_at(s, agent, i)] * s->masses[i];
    return given;
}

/* --- making --- */

static void find_agents(air_streams *s)
{
    const coaming_air_options *how = s->m->how;
    bool there[COAMING_AGENTS] = {false};
    for (size_t i = 0; i < how->source_count; i++)
        there[how->sources[i].agent] = true;
    for (int a = 0; a < COAMING_AGENTS; a++)
        if (there[a])
            s->agent[s->agents++] = (coaming_agent)a;
    s->spaces = s->m->ship->space_count;
}

static void add_stream(air_streams *s, int from, int to, double flow, int link)
{
    const air_net *net = &s->m->net;
    if (flow <= 0)
        return;
    bool out = (size_t)to == s->spaces;
    double mass = out ? AIR_WEIGHT : net->nodes[to].density * s->m->volumes[to];
    s->streams[s->stream_count++] = (air_stream){from, to, flow / mass, link};
    if ((size_t)from < s->spaces)
        s->loss[from] += flow / (net->nodes[from].density * s->m->volumes[from]);
}

static void add_streams(air_streams *s)
{
    const air_net *net = &s->m->net;
    for (size_t k = 0; k < net->link_count; k++) {
        const air_link *l = &net->links[k];
        add_stream(s, l->a, l->b, l->forth, s->m->ways[k].link);
        add_stream(s, l->b, l->a, l->back, s->m->ways[k].link);
    }
    for (size_t i = 0; i < s->spaces; i++)
        if (net->nodes[i].sealed) /* what is put in pushes as much out through the walls */
            add_stream(s, (int)i, (int)s->spaces, net->nodes[i].supply, -1);
}

/* In the order of where they come from. */
static bool sort_streams(air_streams *s, arena *memory)
{
    air_stream *sorted = arena_new(memory, s->stream_count, sizeof *sorted);
    int *count = memory_new(s->spaces + 2, sizeof *count);
    bool good = sorted && count;
    for (size_t k = 0; good && k < s->stream_count; k++)
        s->first[s->streams[k].from + 1]++;
    for (size_t i = 0; good && i <= s->spaces; i++)
        count[i + 1] = s->first[i + 1] += s->first[i];
    for (size_t k = 0; good && k < s->stream_count; k++)
        sorted[count[s->streams[k].from]++] = s->streams[k];
    memory_free(count);
    s->streams = sorted;
    return good;
}

static void find_given(air_streams *s)
{
    const air_model *m = s->m;
    for (size_t i = 0; i < s->spaces; i++) {
        s->masses[i] = m->net.nodes[i].density * m->volumes[i] / AIR_WEIGHT;
        s->blown[i] = m->net.nodes[i].blown / (m->net.nodes[i].density * m->volumes[i]);
    }
    for (size_t i = 0; i < m->how->source_count; i++) {
        const coaming_air_source *source = &m->how->sources[i];
        size_t agent = air_agent_place(s, source->agent);
        if (m->scene && m->scene->ended[i])
            continue;
        if (source->place < 0)
            s->outside[agent] += source->rate;
        else
            s->given[air_share_at(s, agent, (size_t)source->place)] +=
                source->rate / s->masses[source->place];
    }
}

/* A column of a share: itself, and what it goes to. */
static int put_column(air_streams *s, size_t agent, size_t space, int *rows)
{
    int count = 0;
    sparse_put(rows, &count, (int)air_share_at(s, agent, space));
    for (int i = s->first[space]; i < s->first[space + 1]; i++)
        sparse_put(rows, &count, (int)goes_to(s, agent, &s->streams[i]));
    return count;
}

static void find_slopes(air_streams *s, size_t agent, size_t space)
{
    size_t column = air_share_at(s, agent, space);
    for (int k = s->start[column]; k < s->start[column + 1]; k++) {
        s->slopes[k] = (size_t)s->row[k] == column ? -s->loss[space] : 0;
        for (int i = s->first[space]; i < s->first[space + 1]; i++)
            if ((size_t)s->row[k] == goes_to(s, agent, &s->streams[i]))
                s->slopes[k] += s->streams[i].by_mass;
    }
}

static void find_pattern(air_streams *s)
{
    for (size_t column = 0; column < air_unknowns(s); column++) {
        size_t agent = column / s->spaces, space = column % s->spaces;
        int *rows = s->row + s->start[column], count = 0;
        if (agent < s->agents)
            count = put_column(s, agent, space, rows);
        else
            sparse_put(rows, &count, (int)column);
        s->start[column + 1] = s->start[column] + count;
        if (agent < s->agents)
            find_slopes(s, agent, space);
    }
}

static bool make_room(air_streams *s, arena *memory)
{
    size_t shares = s->agents * s->spaces, links = s->m->net.link_count;
    size_t slopes = shares + s->agents * (2 * links + s->spaces + 1);
    s->given = arena_new(memory, shares, sizeof *s->given);
    s->loss = arena_new(memory, s->spaces, sizeof *s->loss);
    s->blown = arena_new(memory, s->spaces, sizeof *s->blown);
    s->masses = arena_new(memory, s->spaces, sizeof *s->masses);
    s->streams = arena_new(memory, 2 * links + s->spaces, sizeof *s->streams);
    s->first = arena_new(memory, s->spaces + 2, sizeof *s->first);
    s->start = arena_new(memory, air_unknowns(s) + 1, sizeof *s->start);
    s->row = arena_new(memory, slopes, sizeof *s->row);
    s->slopes = arena_new(memory, slopes, sizeof *s->slopes);
    return s->given && s->loss && s->blown && s->masses && s->streams && s->first && s->start &&
           s->row && s->slopes;
}

bool air_streams_make(air_streams *s, const air_model *m, arena *memory)
{
    *s = (air_streams){.m = m};
    find_agents(s);
    if (!make_room(s, memory))
        return false;
    add_streams(s);
    if (!sort_streams(s, memory))
        return false;
    find_given(s);
    find_pattern(s);
    return true;
}
