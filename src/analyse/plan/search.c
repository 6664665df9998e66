/*
 * A set of repairs, step by step. From nothing, always the repair that gains most for the hour, or
 * most, until no more fits; from all, always the one left out that is missed least for the hour,
 * until it fits. Then exchanges: one repair is taken out, or one (or one and what then gains most)
 * put in, the set is made to fit again in the same two ways, and what is better is kept, until
 * nothing is. Each step looks once at what every single repair would change.
 */
#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"

enum { NONE = -1 };

typedef struct {
    double missed; /* for the hour, were it left out */
    size_t at;     /* in the set */
} place;

typedef struct {
    planner *a;
    outlook view;
    choice now, trial; /* the set that is bettered; the one that is tried against it */
    int kept[2];       /* not taken out of the trial */
    int out;           /* not put in */
    bool *in;          /* by closure: is it in the set at hand? all false between */
    place *places;     /* room for all candidates */
} search;

static bool is_kept(const search *s, int closure)
{
    return closure == s->kept[0] || closure == s->kept[1];
}

/* How many repairs are put in or left out after one look: of a sampled loss, which takes long, or
 * where the work is used up, more the more there are, so that few looks are enough. */
static size_t at_once(const search *s, const choice *c, bool one)
{
    return one && s->a->work ? 1 : 1 + c->count / 8;
}

static void mark(search *s, const choice *c, bool in)
{
    for (size_t i = 0; i < c->count; i++)
        s->in[c->list[i]] = in;
}

/* The repair not in the set that gains most, for the hour or at all; NONE fits or gains. */
static int best_more(search *s, const choice *c, bool by_hour, bool must_fit)
{
    const planner *a = s->a;
    double most = 0;
    int best = NONE;
    mark(s, c, true);
    for (size_t i = 0; i < a->candidate_count; i++) {
        int closure = a->candidates[i];
        double hours = repair_hours(a, closure);
        double gain = repair_lowers(a, closure) * s->view.slope[closure];
        if (closure == s->out || s->in[closure] ||
            !hours_fit(a, must_fit ? c->hours + hours : hours))
            continue;
        if (by_hour)
            gain /= hours;
        if (gain > most) {
            most = gain;
            best = closure;
        }
    }
    mark(s, c, false);
    return best;
}

static coaming_status fill(search *s, choice *c, bool by_hour, coaming_error *error)
{
    for (;;) {
        coaming_status status = plan_look(s->a, c, &s->view, error);
        int more = status == COAMING_OK ? best_more(s, c, by_hour, true) : NONE;
        if (more == NONE)
            return status;
        for (size_t left = at_once(s, c, true); left-- > 0 && more != NONE;) {
            choice_add(s->a, c, more);
            more = left ? best_more(s, c, by_hour, true) : NONE;
        }
    }
}

static int by_missed(const void *left, const void *right)
{
    const place *a = left, *b = right;
    if (a->missed != b->missed)
        return a->missed < b->missed ? -1 : 1;
    return (a->at > b->at) - (a->at < b->at);
}

/* The places of what may be left out, that which is missed least for the hour first. */
static size_t list_missed(search *s, const choice *c)
{
    size_t count = 0;
    for (size_t i = 0; i < c->count; i++) {
        int closure = c->list[i];
        double missed =
            repair_lowers(s->a, closure) * s->view.slope[closure] / repair_hours(s->a, closure);
        if (!is_kept(s, closure))
            s->places[count++] = (place){missed, i};
    }
    if (count)
        qsort(s->places, count, sizeof *s->places, by_missed);
    return count;
}

/* Leaves out so many, fewer if the set fits before. False: there is none to leave out. */
static bool leave_out(search *s, choice *c, size_t most)
{
    size_t count = list_missed(s, c), kept = 0, out = 0;
    for (; out < most && out < count && !hours_fit(s->a, c->hours); out++) {
        int *closure = &c->list[s->places[out].at];
        c->hours -= repair_hours(s->a, *closure);
        *closure = NONE;
    }
    for (size_t i = 0; i < c->count; i++)
        if (c->list[i] != NONE)
            c->list[kept++] = c->list[i];
    c->count = kept;
    return out > 0;
}

/* False in *fits: what is kept takes too long by itself. */
static coaming_status shrink(search *s, choice *c, bool *fits, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    *fits = true;
    while (status == COAMING_OK && *fits && !hours_fit(s->a, c->hours)) {
        status = plan_look(s->a, c, &s->view, error);
        if (status == COAMING_OK)
            *fits = leave_out(s, c, at_once(s, c, s->a->exact));
    }
    *fits = hours_fit(s->a, c->hours);
    return status;
}

/* Makes the trial fit and fills it; keeps it if it is better. */
static coaming_status settle(search *s, bool *better, coaming_error *error)
{
    bool fits;
    coaming_status status = shrink(s, &s->trial, &fits, error);
    if (status == COAMING_OK && fits)
        status = fill(s, &s->trial, true, error);
    if (status == COAMING_OK && fits && choice_better(&s->trial, &s->now)) {
        choice_copy(&s->now, &s->trial);
        *better = true;
    }
    s->kept[0] = s->kept[1] = s->out = NONE;
    return status;
}

static coaming_status try_without(search *s, int closure, bool *better, coaming_error *error)
{
    choice_copy(&s->trial, &s->now);
    for (size_t i = s->trial.count; i-- > 0;)
        if (s->trial.list[i] == closure)
            choice_drop(s->a, &s->trial, i);
    s->out = closure;
    return settle(s, better, error);
}

/* pair: with what gains most on top of it. */
static coaming_status try_with(search *s, int closure, bool pair, bool *better,
                               coaming_error *error)
{
    coaming_status status = COAMING_OK;
    choice_copy(&s->trial, &s->now);
    choice_add(s->a, &s->trial, closure);
    if (pair) {
        status = plan_look(s->a, &s->trial, &s->view, error);
        int more = status == COAMING_OK ? best_more(s, &s->trial, true, false) : NONE;
        if (more == NONE)
            return status;
        choice_add(s->a, &s->trial, more);
        s->kept[1] = more;
    }
    s->kept[0] = closure;
    return settle(s, better, error);
}

static coaming_status exchange(search *s, coaming_error *error)
{
    planner *a = s->a;
    coaming_status status = COAMING_OK;
    for (bool better = true; better && status == COAMING_OK;) {
        better = false;
        for (size_t i = 0; i < a->candidate_count && a->work && status == COAMING_OK; i++) {
            int closure = a->candidates[i];
            if (choice_has(&s->now, closure)) {
                status = try_without(s, closure, &better, error);
            } else if (hours_fit(a, repair_hours(a, closure))) {
                status = try_with(s, closure, false, &better, error);
                if (status == COAMING_OK && !choice_has(&s->now, closure))
                    status = try_with(s, closure, true, &better, error);
            }
        }
    }
    return status;
}

/* Takes out what gains nothing on top of the others. */
static coaming_status prune(search *s, choice *best, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = best->count; i-- > 0 && status == COAMING_OK;) {
        choice_copy(&s->trial, best);
        choice_drop(s->a, &s->trial, i);
        status = plan_look(s->a, &s->trial, &s->view, error);
        if (status == COAMING_OK && choice_better(&s->trial, best))
            choice_copy(best, &s->trial);
    }
    return status;
}

typedef enum { BY_HOUR, BY_GAIN, FROM_ALL, STARTS } start;

static coaming_status begin(search *s, start how, coaming_error *error)
{
    bool fits;
    s->now.count = 0;
    s->now.hours = 0;
    if (how != FROM_ALL)
        return fill(s, &s->now, how == BY_HOUR, error);
    choice_all(s->a, &s->now);
    coaming_status status = shrink(s, &s->now, &fits, error);
    return status == COAMING_OK ? fill(s, &s->now, true, error) : status;
}

static coaming_status from_all_starts(search *s, choice *best, coaming_error *error)
{
    coaming_status status = plan_look(s->a, best, &s->view, error);
    for (start how = BY_HOUR; how < STARTS && status == COAMING_OK; how++) {
        if (how != BY_HOUR && !s->a->work)
            break;
        status = begin(s, how, error);
        if (status == COAMING_OK)
            status = exchange(s, error);
        if (status == COAMING_OK && choice_better(&s->now, best))
            choice_copy(best, &s->now);
    }
    return status == COAMING_OK ? prune(s, best, error) : status;
}

coaming_status plan_search(planner *a, choice *best, coaming_error *error)
{
    search s = {.a = a,
                .view = {0, memory_new(a->ship->closure_count, sizeof *s.view.slope)},
                .kept = {NONE, NONE},
                .out = NONE,
                .in = memory_new(a->ship->closure_count, sizeof *s.in),
                .places = memory_new(a->candidate_count, sizeof *s.places)};
    bool made =
        choice_new(a, &s.now) && choice_new(a, &s.trial) && s.view.slope && s.in && s.places;
    coaming_status status = made ? from_all_starts(&s, best, error) : error_memory(error);
    memory_free(s.view.slope);
    memory_free(s.in);
    memory_free(s.places);
    memory_free(s.now.list);
    memory_free(s.trial.list);
    return status;
}
