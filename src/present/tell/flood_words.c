#include "present/tell/flood_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/tell/float_words.h"
#include "ship/state.h"

/* --- small parts --- */

const char *lapse_words(char buffer[SHOWN], double seconds)
{
    if (seconds < 9.95) {
        snprintf(buffer, SHOWN, seconds < 0.05 ? "0 s" : "%.1f s", seconds);
        return buffer;
    }
    long s = lround(seconds);
    if (s < 60)
        snprintf(buffer, SHOWN, "%ld s", s);
    else if (s < 3600 && s % 60)
        snprintf(buffer, SHOWN, "%ld min %02ld s", s / 60, s % 60);
    else if (s < 3600)
        snprintf(buffer, SHOWN, "%ld min", s / 60);
    else if ((s + 30) / 60 % 60)
        snprintf(buffer, SHOWN, "%ld h %02ld min", (s + 30) / 3600, (s + 30) / 60 % 60);
    else
        snprintf(buffer, SHOWN, "%ld h", (s + 30) / 3600);
    return buffer;
}

const char *clock_words(char buffer[SHOWN], double seconds)
{
    long s = lround(seconds);
    if (s < 3600)
        snprintf(buffer, SHOWN, "%ld:%02ld", s / 60, s % 60);
    else
        snprintf(buffer, SHOWN, "%ld:%02ld:%02ld", s / 3600, s / 60 % 60, s % 60);
    return buffer;
}

static void put_id(FILE *out, const char *id)
{
    char words[SHOWN];
    fputs(shown(words, id, 24), out);
}

/* A comma before all but the first. */
static void next(sentence *s)
{
    if (s->items++)
        fputs(", ", s->out);
}

static void put_lapse(FILE *out, double seconds)
{
    char words[SHOWN];
    fputs(lapse_words(words, seconds), out);
}

/* --- what is asked --- */

char *flood_title(const coaming_ship *ship, const coaming_flood_ask *ask)
{
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    fputs("water in time, ", s.out);
    for (size_t i = 0; i < ask->breach_count; i++) {
        next(&s);
        put_id(s.out, ship->spaces[ask->breaches[i].space].id);
    }
    if (ask->breach_count)
        fputs(" holed", s.out);
    for (size_t i = 0; i < ask->inflow_count; i++) {
        fputs(i || !ask->breach_count ? "" : ", ", s.out);
        fputs(i ? ", " : "water let into ", s.out);
        put_id(s.out, ship->spaces[ask->inflows[i].space].id);
    }
    if (!ask->breach_count && !ask->inflow_count)
        fputs("by what stands open", s.out);
    return sentence_end(&s);
}

static void put_breach(FILE *out, const coaming_ship *ship, const coaming_flood_breach *b)
{
    char area[SHOWN];
    put_id(out, ship->spaces[b->space].id);
    fprintf(out, ": a hole of %s m2, ",
            b->area < 0.01 ? (snprintf(area, sizeof area, "%.3g", b->area), area)
                           : amount(area, b->area));
    if (isnan(b->height))
        fputs("at its lowest place. ", out);
    else
        fprintf(out, "its middle %.2f m above the baseline. ", b->height);
}

char *flood_source_words(const coaming_ship *ship, const coaming_flood_ask *ask)
{
    char rate[SHOWN];
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < ask->breach_count; i++)
        put_breach(s.out, ship, &ask->breaches[i]);
    for (size_t i = 0; i < ask->inflow_count; i++) {
        put_id(s.out, ship->spaces[ask->inflows[i].space].id);
        fprintf(s.out, ": %s m3/h let in. ", amount(rate, ask->inflows[i].rate * 3600));
    }
    fputs("Followed for ", s.out);
    put_lapse(s.out, ask->until);
    fputs(" at most.", s.out);
    return sentence_end(&s);
}

bool flood_changes_pump(const coaming_flood_change *c)
{
    return c->kind == COAMING_FLOOD_PUMP_ON || c->kind == COAMING_FLOOD_PUMP_OFF;
}

static const char *change_id(const coaming_ship *ship, const coaming_flood_change *c)
{
    return flood_changes_pump(c) ? coaming_pump_id(ship, c->which) : ship->links[c->which].id;
}

char *flood_change_words(const coaming_ship *ship, const coaming_flood_ask *ask)
{
    static const char *const done[] = {[COAMING_FLOOD_SHUT] = "shut",
                                       [COAMING_FLOOD_OPEN] = "opened",
                                       [COAMING_FLOOD_FAIL] = "failing",
                                       [COAMING_FLOOD_PUMP_ON] = "started",
                                       [COAMING_FLOOD_PUMP_OFF] = "stopped"};
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < ask->change_count; i++) {
        const coaming_flood_change *c = &ask->changes[i];
        fputs(s.items++ ? ", " : "As asked: ", s.out);
        put_id(s.out, change_id(ship, c));
        fprintf(s.out, " %s ", done[c->kind]);
        if (c->t > 0) {
            fputs("after ", s.out);
            put_lapse(s.out, c->t);
        } else {
            fputs("at the start", s.out);
        }
    }
    if (s.items)
        fputc('.', s.out);
    return sentence_end(&s);
}

/* --- events --- */

/* "motor (Motor room)" */
static void put_space(FILE *out, const coaming_ship *ship, int space)
{
    char name[SHOWN];
    const ship_space *at = &ship->spaces[space];
    put_id(out, at->id);
    if (strcmp(at->id, at->name) != 0)
        fprintf(out, " (%s)", shown(name, at->name, 40));
}

static void put_pump_event(FILE *out, const coaming_ship *ship, const coaming_flood_event *e)
{
    fputs("pump ", out);
    put_id(out, coaming_pump_id(ship, e->pump));
    if (e->kind == COAMING_FLOOD_PUMP_STARTS)
        fputs(" runs", out);
    else
        fputs(" stops", out);
    if (e->kind == COAMING_FLOOD_PUMP_DROWNS && e->space >= 0) {
        fputs(": it, or its power, is under water in ", out);
        put_id(out, ship->spaces[e->space].id);
    }
}

/* What a closure that is shut from elsewhere has lost. */
static void put_drowned(FILE *out, const coaming_ship *ship, const coaming_flood_event *e)
{
    fputs(": its power, or its control, is under water in ", out);
    put_id(out, ship->spaces[e->space].id);
}

static const char *side_of(const coaming_ship *ship, const coaming_flood_event *e)
{
    return e->space >= 0 ? ship->spaces[e->space].id : "outside";
}

static void put_link_event(FILE *out, const coaming_ship *ship, const coaming_flood_event *e)
{
    const char *before = "", *after = "", *side = NULL;
    switch (e->kind) {
    case COAMING_FLOOD_CLOSURE_WET:
        before = "water at ";
        side = ", in ";
        break;
    case COAMING_FLOOD_KNEE_DEEP:
        before = "knee deep at ";
        side = ", a way out, in ";
        break;
    case COAMING_FLOOD_IMPASSABLE:
        after = ", a way out, is impassable";
        side = " from ";
        break;
    case COAMING_FLOOD_COLLAPSE:
        after = " gives way under the water";
        side = " in ";
        break;
    case COAMING_FLOOD_REMOTE_LOST:
        after = " can no longer be shut from elsewhere";
        break;
    case COAMING_FLOOD_SHUT_DONE:
        after = " is shut";
        break;
    case COAMING_FLOOD_SHUT_BY_HAND:
        after = " is shut by hand, beside it";
        break;
    case COAMING_FLOOD_NOT_SHUT:
        after = " is not shut";
        break;
    case COAMING_FLOOD_OPEN_DONE:
        after = " is opened";
        break;
    default:
        after = " fails";
        break;
    }
    fputs(before, out);
    put_id(out, ship->links[e->link].id);
    fputs(after, out);
    if (side) {
        fputs(side, out);
        put_id(out, side_of(ship, e));
    }
    if (e->kind == COAMING_FLOOD_REMOTE_LOST || e->kind == COAMING_FLOOD_NOT_SHUT)
        put_drowned(out, ship, e);
    if (e->kind == COAMING_FLOOD_NOT_SHUT)
        fputs(", and nobody can stand beside it", out);
}

/* Why she is lost: what the text of that has behind its colon. */
static const char *cause_of(const coaming_flood_answer *a)
{
    const char *cause = lost_cause(a->at.afloat);
    return *cause ? cause + 2 : coaming_afloat_text(a->at.afloat);
}

static void put_ship_event(FILE *out, const coaming_flood_answer *a, const coaming_flood_event *e)
{
    switch (e->kind) {
    case COAMING_FLOOD_LOST:
        fprintf(out, "she is lost%s%s", a ? ": " : "", a ? cause_of(a) : "");
        break;
    case COAMING_FLOOD_DECK_UNDER:
        fputs("the deck edge goes under", out);
        break;
    case COAMING_FLOOD_NOT_SURVIVING:
        fprintf(out, "she is %s", coaming_grade_text(COAMING_GRADE_NOT_SURVIVING));
        break;
    default:
        fputs(coaming_flood_event_text(e->kind), out);
        break;
    }
}

static void put_space_event(FILE *out, const coaming_ship *ship, const coaming_flood_event *e)
{
    if (e->kind != COAMING_FLOOD_SPACE_FULL)
        fputs("water in ", out);
    put_space(out, ship, e->space);
    if (e->kind == COAMING_FLOOD_SPACE_FULL)
        fputs(" is full", out);
    else if (ship->spaces[e->space].vital)
        fputs(", a vital space", out);
}

char *flood_event_words(const coaming_ship *ship, const coaming_flood_answer *a,
                        const coaming_flood_event *e)
{
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    if (e->pump >= 0)
        put_pump_event(s.out, ship, e);
    else if (e->link >= 0)
        put_link_event(s.out, ship, e);
    else if (e->space >= 0)
        put_space_event(s.out, ship, e);
    else
        put_ship_event(s.out, a, e);
    return sentence_end(&s);
}

bool flood_lies(const coaming_flood_answer *a, size_t moment)
{
    return moment + 1 < a->moment_count || a->stability.grade != COAMING_GRADE_LOST;
}

bool flood_event_matters(const coaming_flood_event *e)
{
    return e->kind != COAMING_FLOOD_CLOSURE_WET && e->kind != COAMING_FLOOD_KNEE_DEEP;
}

static told_rank rank_of(const void *of, size_t i)
{
    const coaming_flood_event *e = &((const coaming_flood_answer *)of)->events[i];
    bool grave = e->kind == COAMING_FLOOD_COLLAPSE || e->kind == COAMING_FLOOD_DECK_UNDER ||
                 e->kind == COAMING_FLOOD_NOT_SURVIVING || e->kind == COAMING_FLOOD_LOST;
    return !flood_event_matters(e) ? TOLD_NEVER : grave ? TOLD_ALWAYS : TOLD_IF_ROOM;
}

static double time_of(const void *of, size_t i)
{
    return ((const coaming_flood_answer *)of)->events[i].t;
}

told_events flood_told(const coaming_flood_answer *a)
{
    return told_choose(a, a->event_count, rank_of, time_of);
}

bool flood_is_wet(const coaming_flood_event *e)
{
    return e->kind == COAMING_FLOOD_SPACE_WET || e->kind == COAMING_FLOOD_VITAL_WET;
}

/* --- summary --- */

/* Is the space one that water is let into from the start? */
static bool is_source(const coaming_flood_ask *ask, int space)
{
    for (size_t i = 0; i < ask->breach_count; i++)
        if (ask->breaches[i].space == space)
            return true;
    for (size_t i = 0; i < ask->inflow_count; i++)
        if (ask->inflows[i].space == space)
            return true;
    return false;
}

char *flood_reach_words(const coaming_ship *ship, const coaming_flood_page *page)
{
    enum { TOLD = 6 };
    char count[SHOWN];
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    bool source = page->ask->breach_count || page->ask->inflow_count;
    sentence s;
    size_t others = 0;
    for (size_t i = 0; i < a->event_count; i++)
        others += flood_is_wet(&a->events[i]) && !is_source(page->ask, a->events[i].space);
    if (!sentence_begin(&s))
        return NULL;
    if (!(a->moments[a->moment_count - 1].inflow > 0)) {
        fputs("No water comes in.", s.out);
        return sentence_end(&s);
    }
    if (others)
        fprintf(s.out, "Water gets to %s: ",
                source ? counted(count, (double)others, "more space", "more spaces")
                       : counted(count, (double)others, "space", "spaces"));
    else
        fputs(source ? "Water gets to no other space" : "Water gets to no space", s.out);
    for (size_t i = 0; i < a->event_count && s.items < TOLD; i++) {
        const coaming_flood_event *e = &a->events[i];
        if (!flood_is_wet(e) || is_source(page->ask, e->space))
            continue;
        next(&s);
        put_id(s.out, ship->spaces[e->space].id);
        fputs(" after ", s.out);
        put_lapse(s.out, e->t);
    }
    if (others > TOLD)
        fprintf(s.out, " and %zu more", others - TOLD);
    fputc('.', s.out);
    return sentence_end(&s);
}

/* The first event of a kind; NULL: there is none. */
static const coaming_flood_event *first_of(const coaming_flood_answer *a,
                                           coaming_flood_event_kind kind)
{
    for (size_t i = 0; i < a->event_count; i++)
        if (a->events[i].kind == kind)
            return &a->events[i];
    return NULL;
}

/* "; after 1 h water is still moving" */
static void put_outlook(FILE *out, const coaming_flood_answer *a)
{
    fputs(a->at_rest ? "; at rest after " : "; after ", out);
    put_lapse(out, a->end);
    fputs(a->at_rest ? "." : " water is still moving.", out);
}

char *flood_fate_words(const coaming_flood_answer *a)
{
    const coaming_flood_event *lost = first_of(a, COAMING_FLOOD_LOST);
    const coaming_flood_event *fails = first_of(a, COAMING_FLOOD_NOT_SURVIVING);
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    fputs("She is ", s.out);
    if (fails || !lost)
        fputs(coaming_grade_text(fails ? COAMING_GRADE_NOT_SURVIVING : a->stability.grade), s.out);
    if (fails) {
        fputs(", from ", s.out);
        put_lapse(s.out, fails->t);
        fputs(" on", s.out);
        if (!lost && a->stability.grade < COAMING_GRADE_NOT_SURVIVING)
            fprintf(s.out, ", and in the end %s", coaming_grade_text(a->stability.grade));
    }
    if (lost) {
        fputs(fails ? ", and lost after " : "lost after ", s.out);
        put_lapse(s.out, lost->t);
        fprintf(s.out, ": %s.", cause_of(a));
    } else {
        put_outlook(s.out, a);
    }
    return sentence_end(&s);
}

/* --- what can still be done --- */

/* The first moment after which something is lost that shutting it would have kept; INFINITY: none. */
static double helps_until(const coaming_flood_deadline *d)
{
    double dry = d->space >= 0 && isfinite(d->dry) ? d->dry : INFINITY;
    double afloat = isfinite(d->afloat) ? d->afloat : INFINITY;
    return dry < afloat ? dry : afloat;
}

static int sooner_first(const void *a, const void *b)
{
    const coaming_flood_deadline *one = *(const coaming_flood_deadline *const *)a;
    const coaming_flood_deadline *two = *(const coaming_flood_deadline *const *)b;
    double t = helps_until(one), u = helps_until(two);
    if (t != u)
        return t < u ? -1 : 1;
    return one->closure < two->closure ? -1 : one->closure > two->closure;
}

size_t flood_useful(const coaming_flood_deadlines *deadlines, const coaming_flood_deadline **list)
{
    size_t count = 0;
    for (size_t i = 0; i < coaming_flood_deadline_count(deadlines); i++) {
        list[count] = coaming_flood_deadline_get(deadlines, i);
        count += isfinite(helps_until(list[count]));
    }
    qsort(list, count, sizeof *list, sooner_first);
    return count;
}

static void put_within(FILE *out, double t)
{
    if (t > 0) {
        fputs("within ", out);
        put_lapse(out, t);
    } else {
        fputs("at once", out);
    }
}

char *flood_deadline_words(const coaming_ship *ship, const coaming_flood_deadline *d)
{
    bool dry = d->space >= 0 && isfinite(d->dry);
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    put_id(s.out, ship->links[d->closure].id);
    fputs(": shut ", s.out);
    if (dry) {
        put_within(s.out, d->dry);
        fputs(" it keeps ", s.out);
        put_space(s.out, ship, d->space);
        fputs(" dry", s.out);
    }
    if (isfinite(d->afloat)) {
        fputs(dry ? "; " : "", s.out);
        put_within(s.out, d->afloat);
        fputs(" it keeps her afloat", s.out);
    } else if (isnan(d->afloat)) {
        fputs("; she is lost all the same", s.out);
    }
    if (d->worse)
        fprintf(s.out, "; BUT she ends worse than with it open: %s",
                coaming_grade_text(d->shut_grade));
    fputc('.', s.out);
    return sentence_end(&s);
}

char *flood_useless_words(const coaming_ship *ship, const coaming_flood_deadlines *deadlines)
{
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < coaming_flood_deadline_count(deadlines); i++) {
        const coaming_flood_deadline *d = coaming_flood_deadline_get(deadlines, i);
        if (isfinite(helps_until(d)))
            continue;
        fputs(s.items++ ? ", "
                        : "Shut alone, none of these changes which spaces get wet, or her fate: ",
              s.out);
        put_id(s.out, ship->links[d->closure].id);
    }
    if (s.items)
        fputc('.', s.out);
    return sentence_end(&s);
}

/* Does it stand open at the end, by what is done to it last, and can it be shut to hold water? */
static bool stays_open(const coaming_ship *ship, const coaming_flood_ask *ask, int link)
{
    const ship_link *l = &ship->links[link];
    bool open = !l->passage && !link_shut(l, ask->condition);
    double last = 0;
    for (size_t i = 0; i < ask->change_count; i++) {
        const coaming_flood_change *c = &ask->changes[i];
        bool moves = c->kind == COAMING_FLOOD_OPEN || c->kind == COAMING_FLOOD_SHUT;
        if (!moves || c->which != link || c->t < last)
            continue;
        open = c->kind == COAMING_FLOOD_OPEN;
        last = c->t;
    }
    return open && link_can_be_shut(l) && link_rated_to_hold(l, COAMING_WATER);
}

char *flood_open_words(const coaming_ship *ship, const coaming_flood_page *page)
{
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < a->event_count; i++) {
        const coaming_flood_event *e = &a->events[i];
        if (e->kind != COAMING_FLOOD_CLOSURE_WET || !stays_open(ship, page->ask, e->link))
            continue;
        fputs(s.items++ ? ", " : "Open in the water's way: ", s.out);
        put_id(s.out, ship->links[e->link].id);
        fputs(" after ", s.out);
        put_lapse(s.out, e->t);
    }
    if (s.items)
        fputs(" (--by-when works out until when shutting each helps, and where it leaves "
              "her worse).",
              s.out);
    return sentence_end(&s);
}

/* --- the end, and what stands behind it --- */

char *flood_end_words(const coaming_ship *ship, const coaming_flood_answer *a)
{
    return rest_words(ship, &a->at, &a->stability);
}

static void put_links(sentence *s, const coaming_ship *ship, const char *what, const int *links,
                      size_t count)
{
    for (size_t i = 0; i < count; i++) {
        fputs(i ? ", " : what, s->out);
        put_id(s->out, ship->links[links[i]].id);
    }
}

char *flood_assumed_words(const coaming_ship *ship, const coaming_flood_answer *a)
{
    char volume[SHOWN];
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    fprintf(s.out,
            "Assumed: an opening lets %g of an ideal stream through; where the print of a failed "
            "closure is broken, its gasket stands off by %g mm",
            a->asked.discharge, a->asked.stand_off * 1000);
    put_links(&s, ship, "; usual sizes, not recorded, of ", a->assumed, a->assumed_count);
    put_links(&s, ship, "; failed without a print, a tenth of the gasket open: ", a->leaking,
              a->leaking_count);
    fputs(". She follows the water without swinging, in still water. Air gets out everywhere",
          s.out);
    for (size_t i = 0; i < a->space_count; i++)
        if (a->spaces[i].pocket > 0) {
            fputs(s.items++ ? ", " : ": not modelled are pockets in ", s.out);
            put_id(s.out, ship->spaces[a->spaces[i].space].id);
            fprintf(s.out, " (%s m3)", amount(volume, a->spaces[i].pocket));
        }
    fputs(s.items ? ", which would fill later and less." : ".", s.out);
    if (a->kept > a->asked.tolerance)
        fprintf(s.out,
                " At some moments volumes could not be told as exactly as was asked: they may be "
                "off by %.0e of their space, not %.0e.",
                COAMING_FLOOD_PROMISE * a->kept, COAMING_FLOOD_PROMISE * a->asked.tolerance);
    return sentence_end(&s);
}

const char *flood_spread_words(char buffer[2 * SHOWN], const coaming_flood_likely_event *e)
{
    char share[SHOWN], early[SHOWN], middle[SHOWN], late[SHOWN];
    percent(share, e->share);
    lapse_words(early, isfinite(e->early) ? e->early : 0);
    lapse_words(middle, isfinite(e->event.t) ? e->event.t : 0);
    lapse_words(late, isfinite(e->late) ? e->late : 0);
    if (!isfinite(e->early))
        snprintf(buffer, 2 * SHOWN, "in %.30s", share);
    else if (!isfinite(e->event.t))
        snprintf(buffer, 2 * SHOWN, "in %.30s, in 10 %% by %.30s", share, early);
    else if (!isfinite(e->late))
        snprintf(buffer, 2 * SHOWN, "in %.30s, in half by %.30s, in 10 %% by %.30s", share, middle,
                 early);
    else
        snprintf(buffer, 2 * SHOWN, "in %.30s, in half by %.30s, 10 to 90 %%: %.30s to %.30s",
                 share, middle, early, late);
    return buffer;
}
