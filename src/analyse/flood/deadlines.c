/* Until when shutting a closure still helps: the flood again with it shut at one moment and another. What
 * is kept dry, or afloat, by shutting later is kept by shutting earlier, so halving finds the last. One
 * that is opened on the way is shut after that: before, it would be opened all the same. */
#include <math.h>
#include <string.h>

#include "analyse/flood/run.h"
#include "base/error.h"
#include "base/together.h"
#include "ship/ship.h"

struct coaming_flood_deadlines {
    size_t count;
    coaming_flood_deadline *rows;
};

/* One closure's questions. */
typedef struct {
    const coaming_ship *ship;
    const coaming_flood_ask *ask;
    const coaming_flood *base;
    coaming_flood_deadline *row;
    double first; /* the moment from which on shutting it counts */
} question;

static double when(const coaming_flood *f, coaming_flood_event_kind kind, int space)
{
    for (size_t i = 0; i < f->answer.event_count; i++) {
        const coaming_flood_event *e = &f->answer.events[i];
        bool wet = kind == COAMING_FLOOD_SPACE_WET && e->kind == COAMING_FLOOD_VITAL_WET;
        if ((e->kind == kind || wet) && (space < 0 || e->space == space))
            return e->t;
    }
    return INFINITY;
}

/* The same without rows and their grades. */
static coaming_flood_ask plain(const coaming_flood_ask *ask)
{
    coaming_flood_ask simple = *ask;
    simple.every = ask->until;
    simple.grades = false;
    return simple;
}

/* As asked, and shut at t. ends: how she ends too. */
static coaming_status shut_at(const question *q, double t, bool ends, coaming_flood **flood,
                              coaming_error *error)
{
    coaming_flood_ask ask = plain(q->ask);
    coaming_flood_change *changes = memory_new(ask.change_count + 1, sizeof *changes);
    if (!changes)
        return error_memory(error);
    if (ask.change_count)
        memcpy(changes, ask.changes, ask.change_count * sizeof *changes);
    changes[ask.change_count++] = (coaming_flood_change){t, COAMING_FLOOD_SHUT, q->row->closure};
    ask.changes = changes;
    coaming_status status =
        flood_run(q->ship, &ask, &(flood_manner){.events_only = !ends}, flood, error);
    memory_free(changes);
    return status;
}

/* Does it help to shut it at t: is the space dry, or of -1 is she afloat? */
static coaming_status helps(const question *q, int space, double t, bool *good,
                            coaming_error *error)
{
    coaming_flood *f = NULL;
    coaming_status status = shut_at(q, t, false, &f, error);
    if (status != COAMING_OK || !f)
        return status;
    coaming_flood_event_kind kind = space < 0 ? COAMING_FLOOD_LOST : COAMING_FLOOD_SPACE_WET;
    *good = isinf(when(f, kind, space));
    coaming_flood_free(f);
    return COAMING_OK;
}

/* The last moment before `late`, when it is too late; it helps at the first. */
static coaming_status halve(const question *q, int space, double late, double *found,
                            coaming_error *error)
{
    double early = q->first, least = fmax(1, q->ask->until * COAMING_FLOOD_DEADLINE);
    coaming_status status = COAMING_OK;
    while (status == COAMING_OK && late - early > least) {
        bool good = false;
        double middle = (early + late) / 2;
        status = helps(q, space, middle, &good, error);
        if (status == COAMING_OK)
            *(good ? &early : &late) = middle;
    }
    *found = early;
    return status;
}

/* The side that floods as asked, and does not with it shut from the start. */
static int dry_side(const question *q, const coaming_flood *shut)
{
    const ship_link *l = &q->ship->links[q->row->closure];
    const int sides[] = {l->a, l->b};
    for (int k = 0; k < 2; k++)
        if (sides[k] >= 0 && !isinf(when(q->base, COAMING_FLOOD_SPACE_WET, sides[k])) &&
            isinf(when(shut, COAMING_FLOOD_SPACE_WET, sides[k])))
            return sides[k];
    return -1;
}

static bool both_dry(const question *q)
{
    const ship_link *l = &q->ship->links[q->row->closure];
    return (l->a < 0 || isinf(when(q->base, COAMING_FLOOD_SPACE_WET, l->a))) &&
           (l->b < 0 || isinf(when(q->base, COAMING_FLOOD_SPACE_WET, l->b)));
}

/* What keeps one space dry may leave her heeled, or take her: cross-flooding. */
static coaming_status look_for_worse(const question *q, coaming_error *error)
{
    coaming_flood *shut = NULL;
    coaming_status status = shut_at(q, q->row->dry, true, &shut, error);
    if (status != COAMING_OK || !shut)
        return status;
    q->row->shut_grade = shut->answer.stability.grade;
    q->row->worse = q->row->shut_grade > q->base->answer.stability.grade;
    coaming_flood_free(shut);
    return COAMING_OK;
}

static coaming_status answer(const question *q, coaming_error *error)
{
    coaming_flood *shut = NULL;
    double lost = when(q->base, COAMING_FLOOD_LOST, -1);
    coaming_status status = shut_at(q, q->first, false, &shut, error);
    if (status != COAMING_OK || !shut)
        return status;
    bool saves = isinf(when(shut, COAMING_FLOOD_LOST, -1));
    q->row->space = dry_side(q, shut);
    q->row->dry = both_dry(q) ? INFINITY : NAN;
    q->row->afloat = isinf(lost) ? INFINITY : NAN;
    coaming_flood_free(shut);
    if (q->row->space >= 0)
        status = halve(q, q->row->space, when(q->base, COAMING_FLOOD_SPACE_WET, q->row->space),
                       &q->row->dry, error);
    if (status == COAMING_OK && q->row->space >= 0)
        status = look_for_worse(q, error);
    if (status == COAMING_OK && !isinf(lost) && saves)
        status = halve(q, -1, lost, &q->row->afloat, error);
    return status;
}

static double last_opened(const coaming_flood_ask *ask, int closure)
{
    double last = 0;
    for (size_t i = 0; i < ask->change_count; i++)
        if (ask->changes[i].kind == COAMING_FLOOD_OPEN && ask->changes[i].which == closure)
            last = fmax(last, ask->changes[i].t);
    return last;
}

static coaming_status work(void *data, unsigned thread, size_t job, coaming_error *error)
{
    (void)thread;
    return answer((const question *)data + job, error);
}

static coaming_status answer_all(const coaming_ship *ship, const coaming_flood_ask *ask,
                                 const coaming_flood *base, coaming_flood_deadlines *d,
                                 coaming_error *error)
{
    question *questions = memory_new(ship->closure_count, sizeof *questions);
    d->rows = memory_new(ship->closure_count, sizeof *d->rows);
    if (!questions || !d->rows) {
        memory_free(questions);
        return error_memory(error);
    }
    for (size_t i = 0; i < ship->closure_count; i++) {
        if (!base->passed[i]) /* nor is any that is rated nontight among those */
            continue;
        d->rows[d->count] = (coaming_flood_deadline){.closure = (int)i};
        questions[d->count] =
            (question){ship, ask, base, &d->rows[d->count], last_opened(ask, (int)i)};
        d->count++;
    }
    coaming_status status =
        together_do(together_threads(d->count), d->count, work, questions, error);
    memory_free(questions);
    return status;
}

coaming_status coaming_flood_deadlines_new(const coaming_ship *ship, const coaming_flood_ask *ask,
                                           coaming_flood_deadlines **deadlines,
                                           coaming_error *error)
{
    coaming_flood *base = NULL;
    const coaming_flood_ask simple = plain(ask);
    coaming_status status =
        flood_run(ship, &simple, &(flood_manner){.events_only = false}, &base, error);
    if (status != COAMING_OK || !base)
        return status;
    coaming_flood_deadlines *d = memory_new(1, sizeof *d);
    status = d ? answer_all(ship, ask, base, d, error) : error_memory(error);
    coaming_flood_free(base);
    if (status == COAMING_OK)
        *deadlines = d;
    else
        coaming_flood_deadlines_free(d);
    return status;
}

void coaming_flood_deadlines_free(coaming_flood_deadlines *deadlines)
{
    if (!deadlines)
        return;
    memory_free(deadlines->rows);
    memory_free(deadlines);
}

size_t coaming_flood_deadline_count(const coaming_flood_deadlines *deadlines)
{
    return deadlines->count;
}

const coaming_flood_deadline *coaming_flood_deadline_get(const coaming_flood_deadlines *deadlines,
                                                         size_t index)
{
    return &deadlines->rows[index];
}
