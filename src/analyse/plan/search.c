/*
 * A set of repairs, step by step. From nothing, always the repair that gains most for the hour, or
 * most, until no more fits; from all, always the one left out that is missed least for the hour,
 * until it fits. Then exchanges: one repair is taken out, or one (or one and what then gains most)
 * put in, the set is made to fit again in the same two ways, and what is better is kept, until
 * nothing is. Each step looks once at what every single repair would change.
 */
#include <math.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"

enum { NONE = -1 };

typedef struct {
    planner *a;
    outlook view;
    choice now, trial; /* the set that is bettered; the one that is tried against it */
    int kept[2];       /* not taken out of the trial */
    int out;           /* not put in */
} search;

static bool is_kept(const search *s, int closure)
{
    return closure == s->kept[0] || closure == s->kept[1];
}

/* The repair not in the set that gains most, for the hour or at all; NONE fits or gains. */
static int best_more(const search *s, const choice *c, bool by_hour, bool must_fit)
{
    const planner *a = s->a;
    double most = 0;
    int best = NONE;
    for (size_t i = 0; i < a->candidate_count; i++) {
        int closure = a->candidates[i];
        double hours = repair_hours(a, closure);
        double gain = repair_lowers(a, closure) * s->view.slope[closure];
        if (closure == s->out || choice_has(c, closure) ||
            !hours_fit(a, must_fit ? c->hours + hours : hours))
            continue;
        if (by_hour)
            gain /= hours;
        if (gain > most) {
            most = gain;
            best = closure;
        }
    }
    return best;
}

static coaming_status fill(search *s, choice *c, bool by_hour, coaming_error *error)
{
    for (;;) {
        coaming_status status = plan_look(s->a, c, &s->view, error);
        int more = status == COAMING_OK ? best_more(s, c, by_hour, true) : NONE;
        if (more == NONE)
            return status;
        choice_add(s->a, c, more);
    }
}

/* The place of the repair that is missed least for the hour. */
static size_t least_missed(const search *s, const choice *c)
{
    double least = INFINITY;
    size_t found = c->count;
    for (size_t i = 0; i < c->count; i++) {
        int closure = c->list[i];
        double missed =
            repair_lowers(s->a, closure) * s->view.slope[closure] / repair_hours(s->a, closure);
        if (!is_kept(s, closure) && missed < least) {
            least = missed;
            found = i;
        }
    }
    return found;
}

/* False in *fits: what is kept takes too long by itself. */
static coaming_status shrink(search *s, choice *c, bool *fits, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    *fits = true;
    while (status == COAMING_OK && *fits && !hours_fit(s->a, c->hours)) {
        status = plan_look(s->a, c, &s->view, error);
        /* a sampled look takes long, so that more than one is left out after it */
        for (size_t more = s->a->exact ? 1 : 1 + c->count / 8; more-- > 0;) {
            size_t place = least_missed(s, c);
            *fits = place < c->count;
            if (!*fits || hours_fit(s->a, c->hours))
                break;
            choice_drop(s->a, c, place);
        }
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
                .out = NONE};
    bool made = choice_new(a, &s.now) && choice_new(a, &s.trial) && s.view.slope;
    coaming_status status = made ? from_all_starts(&s, best, error) : error_memory(error);
    memory_free(s.view.slope);
    memory_free(s.now.list);
    memory_free(s.trial.list);
    return status;
}
