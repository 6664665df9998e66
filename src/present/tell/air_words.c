#include "present/tell/air_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "present/tell/flood_words.h"
#include "present/tell/walk_words.h"
#include "ship/state.h"

const char air_not_counted[] = "Not counted: the heat of a fire (only temperatures that are "
                               "given), smoke that lies in layers, what "
                               "burns out, settles or sticks, exchange through an open door "
                               "between spaces of one temperature, "
                               "liquids in tanks. Air is mixed well in each "
                               "space; what leaves her does not "
                               "come back.";

const char *agent_name(coaming_agent agent)
{
    static const char *const names[] = {
        [COAMING_AGENT_SMOKE] = "smoke", [COAMING_AGENT_CO] = "CO",   [COAMING_AGENT_CO2] = "CO2",
        [COAMING_AGENT_HCN] = "HCN",     [COAMING_AGENT_NO2] = "NO2", [COAMING_AGENT_H2S] = "H2S",
        [COAMING_AGENT_CL2] = "Cl2",     [COAMING_AGENT_NH3] = "NH3", [COAMING_AGENT_SO2] = "SO2"};
    return names[agent];
}

const char *share_words(char buffer[SHOWN], coaming_agent agent, double share)
{
    char number[SHOWN];
    if (agent == COAMING_AGENT_SMOKE || share >= 0.01)
        snprintf(buffer, SHOWN, "%.100s %%", amount(number, 100 * share));
    else
        snprintf(buffer, SHOWN, "%.100s ppm", amount(number, 1e6 * share));
    return buffer;
}

const char *air_source_words(char buffer[2 * SHOWN], const coaming_ship *ship,
                             const coaming_air_source *source)
{
    char id[SHOWN], number[SHOWN];
    const char *name = agent_name(source->agent);
    if (source->place == COAMING_WEATHER)
        snprintf(buffer, SHOWN, "the air outside has %s of %s",
                 share_words(number, source->agent, source->rate), name);
    else if (source->agent == COAMING_AGENT_SMOKE)
        snprintf(buffer, 2 * SHOWN, "%s gives off %.60s m3/s of %s",
                 shown(id, ship->spaces[source->place].id, 30),
                 amount(number, source->rate * COAMING_MOLAR_VOLUME), name);
    else
        snprintf(buffer, 2 * SHOWN, "%s gives off %.60s g/s of %s",
                 shown(id, ship->spaces[source->place].id, 30),
                 amount(number, source->rate * coaming_agent_weight(source->agent)), name);
    return buffer;
}

const char *weather_words(char buffer[2 * SHOWN], const coaming_air_options *o)
{
    char wind[SHOWN] = "No wind", number[SHOWN];
    if (o->wind > 0) {
        amount(number, o->wind);
        snprintf(wind, sizeof wind, "Wind %.40s m/s from %g degrees right of ahead", number,
                 o->wind_from);
    }
    snprintf(buffer, 2 * SHOWN, "%s; %g degrees outside, %g inside%s.", wind, o->outside, o->inside,
             o->warmth ? " but where given" : "");
    return buffer;
}

const char *air_state_words(coaming_air_state state)
{
    static const char *const words[] = {[COAMING_AIR_OPEN] = "open",
                                        [COAMING_AIR_NONTIGHT] = "shut, not tight",
                                        [COAMING_AIR_SOUND] = "shut",
                                        [COAMING_AIR_UNTESTED] = "shut, untested",
                                        [COAMING_AIR_FAILED] = "shut, FAILED"};
    return words[state];
}

const char *air_assumed(char buffer[4 * SHOWN], const coaming_air_answer *a)
{
    size_t sizes = 0, leaks = 0;
    for (size_t i = 0; i < a->way_count; i++) {
        sizes += a->ways[i].size_assumed;
        leaks += a->ways[i].leak_assumed;
    }
    snprintf(
        buffer, 4 * SHOWN,
        "Assumed: of %zu openings the size, by kind; of %zu shut closures how much they leak: "
        "sound or "
        "untested %g m3/h for each metre of gasket at %g Pa, a criterion of smoke control doors in "
        "buildings; rated nontight 0.01 m2 for 5.6 m of crack, a single door of BS 5588-4; failed "
        "as "
        "sound, and besides the gaps of the print, or a tenth of the gasket without one, by 2 mm.",
        sizes, leaks, COAMING_AIR_SMOKE_DOOR, COAMING_AIR_SMOKE_AT);
    return buffer;
}

const coaming_air_way *air_way(const coaming_air_answer *a, int link)
{
    for (size_t i = 0; i < a->way_count; i++)
        if (a->ways[i].link == link)
            return &a->ways[i];
    return NULL;
}

const char *air_changed(const coaming_ship *ship, const coaming_air_change *c)
{
    switch (c->kind) {
    case COAMING_AIR_CHANGE_FAN_ON:
    case COAMING_AIR_CHANGE_FAN_OFF:
        return coaming_fan_id(ship, c->which);
    case COAMING_AIR_CHANGE_END:
        return c->which < 0 ? "weather" : ship->spaces[c->which].id;
    default:
        return ship->links[c->which].id;
    }
}

/* --- sentences --- */

static void put_space(FILE *out, const coaming_ship *ship, int space)
{
    char id[SHOWN];
    fputs(shown(id, ship->spaces[space].id, 30), out);
}

static void put_lapse(FILE *out, double seconds)
{
    char time[SHOWN];
    fputs(lapse_words(time, seconds), out);
}

static void put_change(FILE *out, const coaming_ship *ship, const coaming_air_change *c)
{
    static const char *const done[] = {
        [COAMING_AIR_CHANGE_SHUT] = "shut",       [COAMING_AIR_CHANGE_OPEN] = "opened",
        [COAMING_AIR_CHANGE_FAIL] = "failing",    [COAMING_AIR_CHANGE_FAN_ON] = "started",
        [COAMING_AIR_CHANGE_FAN_OFF] = "stopped", [COAMING_AIR_CHANGE_END] = "gives off no more"};
    char id[SHOWN];
    const char *what = air_changed(ship, c);
    if (c->kind == COAMING_AIR_CHANGE_END && c->which < 0)
        fputs("the air outside is clean", out);
    else
        fprintf(out, "%s %s", shown(id, what, 30), done[c->kind]);
    fputs(c->t > 0 ? " after " : " at the start", out);
    if (c->t > 0)
        put_lapse(out, c->t);
}

char *air_asked_words(const coaming_ship *ship, const coaming_air_options *o)
{
    char words[2 * SHOWN];
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < o->source_count; i++)
        fprintf(s.out, "%s%s",
                i ? "; " : "As asked: ", air_source_words(words, ship, &o->sources[i]));
    for (size_t i = 0; i < o->change_count; i++) {
        fputs(i || o->source_count ? "; " : "As asked: ", s.out);
        put_change(s.out, ship, &o->changes[i]);
    }
    if (o->source_count || o->change_count)
        fputc('.', s.out);
    if (o->source_count) {
        fputs(" Followed for ", s.out);
        put_lapse(s.out, o->until);
        fputc('.', s.out);
    }
    return sentence_end(&s);
}

/* --- limits --- */

const char *air_no_limit(const coaming_air_options *o)
{
    bool only_smoke = true;
    for (size_t i = 0; i < o->source_count; i++)
        only_smoke = only_smoke && o->sources[i].agent == COAMING_AGENT_SMOKE;
    return !o->limits && only_smoke
               ? "Of smoke no limit is published here: give one by --limit, such as 1%."
               : "No limit that was asked for, or is published for it, is passed in that time with "
                 "this wind and these temperatures; with others one may be.";
}

bool air_first_there(const coaming_air_answer *a, size_t event)
{
    for (size_t i = 0; i < event; i++)
        if (a->events[i].space == a->events[event].space)
            return false;
    return true;
}

bool air_passes(const coaming_air_answer *a, const coaming_air_limit *limit)
{
    for (size_t i = 0; i < a->event_count; i++)
        if (!strcmp(a->events[i].limit->name, limit->name))
            return true;
    return false;
}

static void put_by(FILE *out, const coaming_ship *ship, const coaming_air_event *e)
{
    char id[SHOWN];
    if (e->by < 0)
        fputs(", its source there", out);
    else
        fprintf(out, ", by %s (%s)", shown(id, ship->links[e->by].id, 24),
                air_state_words(e->state));
}

char *air_space_words(const coaming_ship *ship, const coaming_air_answer *a, size_t event)
{
    char name[SHOWN];
    int space = a->events[event].space;
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    put_space(s.out, ship, space);
    for (size_t i = event; i < a->event_count; i++) {
        const coaming_air_event *e = &a->events[i];
        if (e->space != space)
            continue;
        fprintf(s.out, "%s%s after ", i > event ? ", " : ": ", shown(name, e->limit->name, 24));
        put_lapse(s.out, e->t);
    }
    put_by(s.out, ship, &a->events[event]);
    return sentence_end(&s);
}

char *air_event_words(const coaming_ship *ship, const coaming_air_event *e)
{
    char words[SHOWN];
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    fprintf(s.out, "%s passed in ", shown(words, e->limit->name, 24));
    put_space(s.out, ship, e->space);
    fprintf(s.out, " (%s)", shown(words, ship->spaces[e->space].name, 40));
    put_by(s.out, ship, e);
    return sentence_end(&s);
}

char *air_limit_words(const coaming_air_limit *limit)
{
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    fprintf(s.out, "%s: %s; %s.", limit->name, limit->said, limit->source);
    return sentence_end(&s);
}

const coaming_air_limit *air_limit(const coaming_air_options *o, size_t index)
{
    if (!o->limits)
        return coaming_air_limit_published(index);
    return index < o->limit_count ? &o->limits[index] : NULL;
}

void air_steps(const coaming_air_options *o, coaming_agent agent, double steps[AIR_STEPS])
{
    const coaming_air_limit *limit;
    double low = INFINITY, high = 0;
    for (size_t i = 0; (limit = air_limit(o, i)); i++)
        if (limit->kind == COAMING_LIMIT_SHARE && limit->agent == agent) {
            low = fmin(low, limit->value);
            high = fmax(high, limit->value);
        }
    if (!(high > 0))
        low = high = 0.01;
    steps[0] = low / 10;
    steps[1] = low;
    steps[2] = high > low ? high : 10 * low;
}

/* --- how much --- */

typedef struct {
    size_t course;
    double end;
} reached;

static int by_end(const void *left, const void *right)
{
    const reached *a = left, *b = right;
    if (a->end != b->end)
        return a->end > b->end ? -1 : 1;
    return a->course < b->course ? -1 : 1;
}

size_t *air_by_dose(const coaming_air_answer *a)
{
    size_t *order = memory_new(a->course_count, sizeof *order);
    reached *rows = memory_new(a->course_count, sizeof *rows);
    bool good = order && rows;
    for (size_t i = 0; i < a->course_count && good; i++)
        rows[i] = (reached){i, a->courses[i].dose[a->time_count - 1]};
    if (good && a->course_count)
        qsort(rows, a->course_count, sizeof *rows, by_end);
    for (size_t i = 0; i < a->course_count && good; i++)
        order[i] = rows[i].course;
    memory_free(rows);
    if (good)
        return order;
    memory_free(order);
    return NULL;
}

const coaming_air_harm *air_harm(const coaming_air_answer *a, int space)
{
    for (size_t i = 0; i < a->harm_count; i++)
        if (a->harms[i].space == space)
            return &a->harms[i];
    return NULL;
}

/* --- a short list --- */

typedef struct {
    const coaming_air_answer *a;
    const bool *first; /* by event */
} events;

static told_rank rank_of(const void *of, size_t i)
{
    return ((const events *)of)->first[i] ? TOLD_ALWAYS : TOLD_IF_ROOM;
}

static double time_of(const void *of, size_t i)
{
    return ((const events *)of)->a->events[i].t;
}

bool air_told(const coaming_ship *ship, const coaming_air_answer *a, told_events *told)
{
    bool *first = memory_new(a->event_count, sizeof *first);
    bool *met = memory_new(ship->space_count, sizeof *met), good = first && met;
    events e = {a, first};
    for (size_t i = 0; i < a->event_count && good; i++) {
        first[i] = !met[a->events[i].space];
        met[a->events[i].space] = true;
    }
    if (good)
        *told = told_choose(&e, a->event_count, rank_of, time_of);
    memory_free(first);
    memory_free(met);
    return good;
}

/* --- what can still be done --- */

const char *air_still_done(const coaming_air_options *o)
{
    return o->by_when ? AIR_STILL_IN_TIME : AIR_STILL_DONE;
}

enum { KEPT_MOST = 6 }; /* the documents have all */

/* The next of those that are kept: the one that leaves most time, of those that leave less than `before`;
 * without until when the next in order. */
static size_t next_kept(const coaming_air_shutting *s, const bool *told)
{
    size_t next = s->kept_count;
    for (size_t i = 0; i < s->kept_count; i++)
        if (!told[i] && (next == s->kept_count || (s->latest && s->latest[i] > s->latest[next])))
            next = i;
    return next;
}

static void put_in_time(FILE *out, double latest)
{
    char time[SHOWN];
    if (latest > 0)
        fprintf(out, " within %s", lapse_words(time, latest));
    else
        fputs(" at once", out);
}

/* " within 11 min: no limit is passed by the end in pass-b, motor; within 3 min in lab" */
static bool put_kept(FILE *out, const coaming_ship *ship, const coaming_air_shutting *s)
{
    bool *told = memory_new(s->kept_count, sizeof *told);
    double last = NAN;
    for (size_t i = 0; told && i < s->kept_count && i < KEPT_MOST; i++) {
        size_t next = next_kept(s, told);
        bool new_time = s->latest && (!i || s->latest[next] != last);
        if (i && new_time)
            fputc(';', out);
        if (new_time)
            put_in_time(out, s->latest[next]);
        fputs(!i ? ": no limit is passed by the end in " : new_time ? " in " : ", ", out);
        put_space(out, ship, s->kept[next]);
        told[next] = true;
        last = s->latest ? s->latest[next] : NAN;
    }
    if (s->kept_count > KEPT_MOST)
        fprintf(out, " and %zu more", s->kept_count - KEPT_MOST);
    memory_free(told);
    return told;
}

/* "; BUT in b, c and 2 more one is passed then that is not now, or sooner" */
static void put_worse(FILE *out, const coaming_ship *ship, const coaming_air_shutting *s)
{
    if (!s->worse_count)
        return;
    fputs("; BUT shut from the start, in ", out);
    for (size_t i = 0; i < s->worse_count && i < KEPT_MOST; i++) {
        fputs(i ? ", " : "", out);
        put_space(out, ship, s->worse[i]);
    }
    if (s->worse_count > KEPT_MOST)
        fprintf(out, " and %zu more", s->worse_count - KEPT_MOST);
    fputs(" a limit is passed that else is not, or sooner", out);
}

char *air_shutting_words(const coaming_ship *ship, const coaming_air_shutting *s)
{
    char id[SHOWN];
    const ship_link *link = &ship->links[s->closure];
    sentence t;
    if (!sentence_begin(&t))
        return NULL;
    fprintf(t.out, "%s%s", shown(id, link->id, 24), link->rating == NONTIGHT ? " (not tight)" : "");
    bool good = !s->kept_count || put_kept(t.out, ship, s);
    if (!s->kept_count) {
        fprintf(t.out, ": shut from the start, the first limit in %s is passed after ",
                shown(id, ship->spaces[s->space].id, 24));
        put_lapse(t.out, s->after);
        fputs(", not ", t.out);
        put_lapse(t.out, s->before);
    }
    put_worse(t.out, ship, s);
    char *words = sentence_end(&t);
    if (good)
        return words;
    free(words);
    return NULL;
}

/* --- what cannot be --- */

char *air_sealed_words(const coaming_ship *ship, const coaming_air_options *o,
                       const coaming_air_answer *a)
{
    bool started = false;
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < o->source_count; i++) {
        coaming_place place = o->sources[i].place;
        if (place < 0 || !a->spaces[place].sealed)
            continue;
        fputs(started ? ", "
                      : "No air gets out by any closure of where the source is; what is given off "
                        "is taken to push as much out through the walls: ",
              s.out);
        put_space(s.out, ship, place);
        started = true;
    }
    return sentence_end(&s);
}

/* More than walls and doors of rooms are made for, and than fans give: common practice, no source. */
#define MUCH 1000.0

char *air_much_words(const coaming_ship *ship, const coaming_air_answer *a)
{
    int worst = -1;
    sentence s;
    if (!sentence_begin(&s))
        return NULL;
    for (size_t i = 0; i < ship->space_count; i++)
        if (fabs(a->spaces[i].pressure) > (worst < 0 ? MUCH : fabs(a->spaces[worst].pressure)))
            worst = (int)i;
    if (worst >= 0) {
        put_space(s.out, ship, worst);
        fprintf(s.out,
                " would stand %.0f Pa over the air outside: something gives way before that, or "
                "less is given off.",
                a->spaces[worst].pressure);
    }
    return sentence_end(&s);
}

/* --- shelters --- */

/* m3/s that the fans of a shelter would give against no pressure. */
static double rated_flow(const coaming_ship *ship, const coaming_air_shelter *s)
{
    double sum = 0;
    for (size_t f = 0; f < ship->fan_count; f++)
        for (size_t i = 0; i < s->space_count; i++)
            sum += ship->fans[f].supplies == s->spaces[i] ? ship->fans[f].flow : 0;
    return sum;
}

char *air_shelter_words(const coaming_ship *ship, const coaming_air_shelter *s)
{
    char number[SHOWN];
    sentence t;
    if (!sentence_begin(&t))
        return NULL;
    fputs("SHELTER: ", t.out);
    list_spaces(t.out, ship, s->spaces, s->space_count);
    fprintf(t.out, ". Fans give %s of ", amount(number, s->fan));
    fprintf(t.out, "%s m3/s; ", amount(number, rated_flow(ship, s)));
    if (isfinite(s->pressure))
        fprintf(t.out, "it stands %s Pa over what is round it, by the closure where that is least.",
                amount(number, fabs(s->pressure) < 0.005 ? 0 : s->pressure));
    else
        fputs("nothing leads out of it.", t.out);
    return sentence_end(&t);
}

char *air_later_words(const coaming_air_answer *a, const coaming_air_shelter *s)
{
    char number[SHOWN];
    sentence t;
    if (!sentence_begin(&t))
        return NULL;
    for (size_t i = 1; i < a->stretch_count && isfinite(s->pressure); i++) {
        fputs(i > 1 ? ", from " : "From ", t.out);
        put_lapse(t.out, a->stretches[i].from);
        double over = s->later[i - 1];
        fprintf(t.out, i > 1 ? " on %s Pa" : " on it stands %s Pa over what is round it",
                amount(number, fabs(over) < 0.005 ? 0 : over));
    }
    if (a->stretch_count > 1 && isfinite(s->pressure))
        fputc('.', t.out);
    return sentence_end(&t);
}

char *air_clean_words(const coaming_air_shelter *s)
{
    char number[SHOWN];
    sentence t;
    if (!sentence_begin(&t))
        return NULL;
    if (isnan(s->clean)) {
        fprintf(t.out, "Air comes in somewhere even at %g Pa over the air outside.",
                COAMING_AIR_TRIED);
        return sentence_end(&t);
    }
    fprintf(t.out, "Air goes out by every closure from %s Pa over the air outside on: ",
            amount(number, s->clean));
    fprintf(t.out, "%s m3/s.", amount(number, s->clean_flow));
    return sentence_end(&t);
}
