/* The air again with a closure shut at one moment and another, from what was in it as asked. What is kept
 * by shutting later is taken to be kept by shutting earlier, so halving finds the last. */
#include "analyse/air/shutting.h"

#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/together.h"

enum { MOMENTS = 50 };
#define LEAST_TIME  1.0  /* s between what is in time and what is too late */
#define LEAST_SHARE 0.02 /* the same, of the latter */

/* One closure's questions. */
typedef struct {
    const air_shutting_work *w;
    coaming_air_shutting *told;
    int *kept, *worse;
    double *latest, *late; /* of each that is kept: in time; too late */
} question;

/* When the first limit is passed in each space from a moment on; NaN: none is. Returns false when out of
 * memory. */
static bool first_events(const coaming_air_answer *a, size_t spaces, double **first)
{
    double *t = memory_new(spaces, sizeof *t);
    for (size_t i = 0; t && i < spaces; i++)
        t[i] = NAN;
    for (size_t i = a->event_count; t && i-- > 0;)
        t[a->events[i].space] = a->events[i].t;
    *first = t;
    return t;
}

/* As asked, but for the closure shut at t: when the first limit is passed in each space, of those that
 * are not passed before t. To be freed. */
static coaming_status shut_at(const question *q, double t, double **first, coaming_error *error)
{
    const air_shutting_work *w = q->w;
    arena memory = {NULL};
    const air_moment *begin = NULL;
    for (size_t i = 0; i < w->moment_count && w->moments[i].t <= t; i++)
        begin = &w->moments[i];
    air_plan plan = {w->ship, w->how, begin ? begin->t : 0, q->told->closure, t};
    air_mixing mixing = {.begin = begin};
    coaming_air_answer then = {0};
    air_stretch *stretches;
    coaming_status status = air_stretches_make(&plan, &memory, &stretches, &mixing.count, error);
    mixing.stretches = stretches;
    if (status == COAMING_OK)
        status = air_mix(&mixing, &memory, &then, error);
    if (status == COAMING_OK && !first_events(&then, w->ship->space_count, first))
        status = error_memory(error);
    arena_free(&memory);
    return status;
}

static bool wide(const question *q, size_t i)
{
    return q->late[i] - q->latest[i] > fmax(LEAST_TIME, LEAST_SHARE * q->late[i]);
}

/* One try tells of all the spaces between whose moments it lies. */
static coaming_status try_at(const question *q, double t, coaming_error *error)
{
    double *first = NULL;
    coaming_status status = shut_at(q, t, &first, error);
    for (size_t i = 0; status == COAMING_OK && i < q->told->kept_count; i++)
        if (t > q->latest[i] && t < q->late[i])
            *(isnan(first[q->kept[i]]) ? &q->latest[i] : &q->late[i]) = t;
    memory_free(first);
    return status;
}

static coaming_status find_latest(const question *q, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < q->told->kept_count; i++)
        while (status == COAMING_OK && wide(q, i))
            status = try_at(q, (q->latest[i] + q->late[i]) / 2, error);
    return status;
}

/* Limits that are passed of two: not before, or clearly sooner. */
static bool is_worse(double before, double then)
{
    return !isnan(then) && (isnan(before) || then < 0.99 * before - 1);
}

static coaming_status answer(const question *q, coaming_error *error)
{
    const coaming_air_answer *a = q->w->answer;
    size_t spaces = q->w->ship->space_count;
    coaming_air_shutting *s = q->told;
    double *asked = NULL, *then = NULL;
    coaming_status status = COAMING_OK;
    if (!first_events(a, spaces, &asked))
        return error_memory(error);
    status = shut_at(q, 0, &then, error);
    for (size_t i = 0; status == COAMING_OK && i < spaces; i++) {
        if (!isnan(asked[i]) && isnan(then[i])) {
            q->late[s->kept_count] = asked[i];
            q->kept[s->kept_count++] = (int)i;
        }
        /* where it is given off it is worse anyhow */
        if (is_worse(asked[i], then[i]) && !air_has_source(q->w->how, (int)i))
            q->worse[s->worse_count++] = (int)i;
    }
    if (status == COAMING_OK) {
        s->before = asked[s->space];
        s->after = then[s->space];
    }
    memory_free(asked);
    memory_free(then);
    return status == COAMING_OK && q->w->how->by_when ? find_latest(q, error) : status;
}

static coaming_status work(void *data, unsigned thread, size_t job, coaming_error *error)
{
    (void)thread;
    return answer((const question *)data + job, error);
}

static bool asked_before(const question *list, size_t count, int closure)
{
    for (size_t i = 0; i < count; i++)
        if (list[i].told->closure == closure)
            return true;
    return false;
}

static bool make_question(const air_shutting_work *w, const coaming_air_event *e, arena *memory,
                          question *q)
{
    size_t spaces = w->ship->space_count;
    *q = (question){.w = w};
    q->told = arena_new(memory, 1, sizeof *q->told);
    q->kept = arena_new(memory, spaces, sizeof *q->kept);
    q->worse = arena_new(memory, spaces, sizeof *q->worse);
    q->latest = arena_new(memory, spaces, sizeof *q->latest);
    q->late = arena_new(memory, spaces, sizeof *q->late);
    if (!q->told || !q->kept || !q->worse || !q->latest || !q->late)
        return false;
    *q->told = (coaming_air_shutting){.closure = e->by,
                                      .space = e->space,
                                      .kept = q->kept,
                                      .worse = q->worse,
                                      .latest = w->how->by_when ? q->latest : NULL};
    return true;
}

static bool make_questions(const air_shutting_work *w, arena *memory, question *list, size_t *count)
{
    for (size_t i = 0; i < w->answer->event_count && *count < COAMING_AIR_SHUTTINGS; i++) {
        const coaming_air_event *e = &w->answer->events[i];
        if (e->by < 0 || e->state != COAMING_AIR_OPEN || w->ship->links[e->by].passage ||
            asked_before(list, *count, e->by))
            continue;
        if (!make_question(w, e, memory, &list[(*count)++]))
            return false;
    }
    return true;
}

bool air_shuttings_keep(air_shutting_work *w, air_mixing *mixing, arena *memory)
{
    w->moments = arena_new(memory, MOMENTS, sizeof *w->moments);
    w->moment_count = w->moments ? MOMENTS - 1 : 0; /* at the end there is nothing left to do */
    for (size_t i = 0; i < w->moment_count; i++)
        w->moments[i].t = w->how->until * (double)(i + 1) / MOMENTS;
    mixing->keep = w->moments;
    mixing->keep_count = w->moment_count;
    return w->moments;
}

coaming_status air_shuttings(const air_shutting_work *w, arena *memory, coaming_error *error)
{
    question questions[COAMING_AIR_SHUTTINGS];
    coaming_air_shutting *gains = arena_new(memory, COAMING_AIR_SHUTTINGS, sizeof *gains);
    size_t count = 0;
    if (!gains || !make_questions(w, memory, questions, &count))
        return error_memory(error);
    coaming_status status = together_do(together_threads(count), count, work, questions, error);
    w->answer->shuttings = gains;
    for (size_t i = 0; i < count && status == COAMING_OK; i++) {
        const coaming_air_shutting *s = questions[i].told;
        if (s->kept_count || s->after > 1.01 * s->before)
            gains[w->answer->shutting_count++] = *s;
    }
    return status;
}
