/* Many floods, each with its closures sound or leaking as their chances fall. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flood/run.h"
#include "base/error.h"
#include "base/hash.h"
#include "base/together.h"
#include "coaming/likelihood.h"
#include "ship/ship.h"

struct coaming_flood_likely {
    size_t count;
    coaming_flood_likely_event *rows;
};

/* The events of one draw. */
typedef struct {
    coaming_flood_event *events;
    size_t count;
} drawn;

typedef struct {
    const coaming_ship *ship;
    const coaming_flood_ask *ask;
    uint64_t seed;
    const double *chance; /* by closure */
    drawn *draws;
} drawing;

/* Number `closure` of draw `job`, from 0 to 1. */
static double chance_of(const drawing *d, size_t job, size_t closure)
{
    uint64_t number = (uint64_t)job * d->ship->closure_count + closure + 1;
    return (double)(hash_mix(d->seed + number * HASH_GOLDEN) >> 11) * 0x1p-53;
}

static coaming_status draw_one(void *data, unsigned thread, size_t job, coaming_error *error)
{
    const drawing *d = data;
    (void)thread;
    bool *leaks = memory_new(d->ship->closure_count, sizeof *leaks);
    if (!leaks)
        return error_memory(error);
    for (size_t i = 0; i < d->ship->closure_count; i++)
        leaks[i] = chance_of(d, job, i) < d->chance[i];
    coaming_flood *f = NULL;
    coaming_status status =
        flood_run(d->ship, d->ask, &(flood_manner){leaks, true, d->ask->grades}, &f, error);
    memory_free(leaks);
    if (status != COAMING_OK)
        return status;
    drawn *to = &d->draws[job];
    to->events = memory_new(f->answer.event_count, sizeof *to->events);
    if (to->events && f->answer.event_count)
        memcpy(to->events, f->answer.events, f->answer.event_count * sizeof *to->events);
    to->count = f->answer.event_count;
    coaming_flood_free(f);
    return to->events ? COAMING_OK : error_memory(error);
}

/* --- putting together --- */

/* The side is told of what happens in a space or at a door on a way out. */
static int side_of(const coaming_flood_event *e)
{
    return e->kind == COAMING_FLOOD_CLOSURE_WET || e->kind == COAMING_FLOOD_COLLAPSE ||
                   e->kind == COAMING_FLOOD_PUMP_DROWNS || e->kind == COAMING_FLOOD_REMOTE_LOST ||
                   e->kind == COAMING_FLOOD_NOT_SHUT
               ? -1
               : e->space;
}

static int by_what(const coaming_flood_event *a, const coaming_flood_event *b)
{
    const int parts[][2] = {{(int)a->kind, (int)b->kind},
                            {a->link, b->link},
                            {side_of(a), side_of(b)},
                            {a->pump, b->pump}};
    for (int i = 0; i < 4; i++)
        if (parts[i][0] != parts[i][1])
            return parts[i][0] < parts[i][1] ? -1 : 1;
    return 0;
}

static int by_what_then_time(const void *left, const void *right)
{
    const coaming_flood_event *a = left, *b = right;
    int what = by_what(a, b);
    if (what)
        return what;
    return a->t < b->t ? -1 : a->t > b->t;
}

static int by_median(const void *left, const void *right)
{
    const coaming_flood_likely_event *a = left, *b = right;
    if (a->event.t != b->event.t)
        return a->event.t < b->event.t ? -1 : 1;
    return by_what(&a->event, &b->event);
}

/* The time by which so many of the draws have it: the least that as large a share does not exceed. */
static double time_of(const coaming_flood_event *events, size_t count, size_t draws, double share)
{
    size_t at = (size_t)ceil(share * (double)draws);
    return at <= count ? events[at - 1].t : INFINITY;
}

static void sum_up(coaming_flood_likely *l, const coaming_flood_event *all, size_t count,
                   size_t draws)
{
    for (size_t first = 0, last; first < count; first = last) {
        for (last = first + 1; last < count && by_what(&all[last], &all[first]) == 0;)
            last++;
        coaming_flood_likely_event *row = &l->rows[l->count++];
        const coaming_flood_event *e = all + first;
        row->event = *e;
        row->event.t = time_of(e, last - first, draws, 0.5);
        row->early = time_of(e, last - first, draws, 0.1);
        row->late = time_of(e, last - first, draws, 0.9);
        row->share = (double)(last - first) / (double)draws;
    }
    if (l->count)
        qsort(l->rows, l->count, sizeof *l->rows, by_median);
}

/* What happens again in one draw counts once, when it happens first. */
static size_t take_firsts(drawn *draw, coaming_flood_event *to)
{
    size_t count = 0;
    if (draw->count)
        qsort(draw->events, draw->count, sizeof *draw->events, by_what_then_time);
    for (size_t k = 0; k < draw->count; k++)
        if (k == 0 || by_what(&draw->events[k], &draw->events[k - 1]) != 0)
            to[count++] = draw->events[k];
    return count;
}

static coaming_status gather(drawn *draws, size_t count, coaming_flood_likely **likely,
                             coaming_error *error)
{
    size_t sum = 0, at = 0;
    for (size_t i = 0; i < count; i++)
        sum += draws[i].count;
    coaming_flood_event *all = memory_new(sum, sizeof *all);
    coaming_flood_likely *l = memory_new(1, sizeof *l);
    coaming_flood_likely_event *rows = memory_new(sum, sizeof *rows);
    if (!all || !l || !rows) {
        memory_free(all);
        memory_free(l);
        memory_free(rows);
        return error_memory(error);
    }
    for (size_t i = 0; i < count; i++)
        at += take_firsts(&draws[i], all + at);
    if (at)
        qsort(all, at, sizeof *all, by_what_then_time);
    l->rows = rows;
    sum_up(l, all, at, count);
    memory_free(all);
    *likely = l;
    return COAMING_OK;
}

enum { DRAWS_MOST = 100000 };

coaming_status coaming_flood_likely_new(const coaming_ship *ship, const coaming_flood_ask *ask,
                                        size_t draws, unsigned long long seed,
                                        coaming_flood_likely **likely, coaming_error *error)
{
    if (draws < 1 || draws > DRAWS_MOST)
        return error_set(error, COAMING_USAGE, "a flood is drawn 1 to %d times", DRAWS_MOST);
    double *chance = memory_new(ship->closure_count, sizeof *chance);
    drawing d = {ship, ask, seed, chance, memory_new(draws, sizeof *d.draws)};
    coaming_status status = chance && d.draws ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK) {
        coaming_likelihood_all(ship, chance);
        status = together_do(together_threads(draws), draws, draw_one, &d, error);
    }
    if (status == COAMING_OK)
        status = gather(d.draws, draws, likely, error);
    for (size_t i = 0; d.draws && i < draws; i++)
        memory_free(d.draws[i].events);
    memory_free(d.draws);
    memory_free(chance);
    return status;
}

void coaming_flood_likely_free(coaming_flood_likely *likely)
{
    if (!likely)
        return;
    memory_free(likely->rows);
    memory_free(likely);
}

size_t coaming_flood_likely_count(const coaming_flood_likely *likely)
{
    return likely->count;
}

const coaming_flood_likely_event *coaming_flood_likely_get(const coaming_flood_likely *likely,
                                                           size_t index)
{
    return &likely->rows[index];
}
