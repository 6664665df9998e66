#include "coaming/follow.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "read/said.h"
#include "ship/seen.h"
#include "ship/ship.h"
#include "json/line.h"

/* Since when something counts; the later the greater. */
enum { BEFORE, UNTIMED, TIMED };

/* What counts of one thing: the latest, and of the same time the worse, which is the greater. It is
 * the greatest of all that was said, so it hangs on no order. */
typedef struct {
    int since;
    double t;
    int said;
} standpoint;

enum { SHUT, HOLDS = SHUT, AS_RECORDED, OPEN, FAILED = OPEN }; /* of a closure */
enum { ABSENT, PRESENT };                                      /* of a hazard in a place */
enum { NOTHING = -1 };                                         /* is said of it */

typedef struct {
    standpoint position, soundness;
} closure_standpoint;

struct coaming_follow {
    coaming_ship *ship;
    arena memory;
    closure_standpoint *closures;
    standpoint *places[COAMING_HAZARDS]; /* the spaces, sea, weather */
    size_t place_count;
    coaming_place *sources;                    /* room for every place */
    const char **seen_ids[COAMING_SEEN_KINDS]; /* room for every closure */
};

/* One row for each key but t. */
typedef struct {
    const char *key;
    int position, soundness; /* of a closure */
    coaming_seen_kind named; /* which closures may be named */
    int hazard, presence;    /* of a place; hazard: NOTHING if it is a closure */
} saying;

static const saying sayings[] = {
    {"open", OPEN, NOTHING, COAMING_SEEN_OPEN, NOTHING, NOTHING},
    {"shut", SHUT, NOTHING, COAMING_SEEN_SHUT, NOTHING, NOTHING},
    {"failed", NOTHING, FAILED, COAMING_SEEN_FAILED, NOTHING, NOTHING},
    {"holds", SHUT, HOLDS, COAMING_SEEN_SHUT, NOTHING, NOTHING},
    {"as_recorded", AS_RECORDED, AS_RECORDED, COAMING_SEEN_OPEN, NOTHING, NOTHING},
    {"water", NOTHING, NOTHING, COAMING_SEEN_KINDS, COAMING_WATER, PRESENT},
    {"air", NOTHING, NOTHING, COAMING_SEEN_KINDS, COAMING_AIR, PRESENT},
    {"dry", NOTHING, NOTHING, COAMING_SEEN_KINDS, COAMING_WATER, ABSENT},
    {"clean", NOTHING, NOTHING, COAMING_SEEN_KINDS, COAMING_AIR, ABSENT},
};
enum { SAYINGS = sizeof sayings / sizeof *sayings };

static size_t place_at(const coaming_follow *f, coaming_place place)
{
    return place >= 0 ? (size_t)place : f->ship->space_count + (place == COAMING_WEATHER);
}

/* --- the set --- */

static bool is_before(const standpoint *a, const standpoint *b)
{
    if (a->since != b->since)
        return a->since < b->since;
    if (a->t < b->t || a->t > b->t)
        return a->t < b->t;
    return a->said < b->said;
}

static void say(standpoint *now, standpoint said)
{
    if (said.said != NOTHING && is_before(now, &said))
        *now = said;
}

static bool counts(const standpoint *now, const standpoint *said)
{
    return said->said == NOTHING || !is_before(said, now);
}

/* --- made --- */

/* There is no air in the sea to be bad. */
static bool can_be_in(coaming_hazard hazard, coaming_place place)
{
    return hazard == COAMING_WATER || place != COAMING_SEA;
}

static bool make_room(coaming_follow *f)
{
    size_t closures = f->ship->closure_count;
    bool good = (f->closures = arena_new(&f->memory, closures, sizeof *f->closures)) != NULL;
    f->place_count = f->ship->space_count + 2;
    for (int h = 0; h < COAMING_HAZARDS && good; h++)
        good = (f->places[h] = arena_new(&f->memory, f->place_count, sizeof *f->places[h])) != NULL;
    for (int k = 0; k < COAMING_SEEN_KINDS && good; k++)
        good = (f->seen_ids[k] = arena_new(&f->memory, closures, sizeof *f->seen_ids[k])) != NULL;
    f->sources = good ? arena_new(&f->memory, f->place_count, sizeof *f->sources) : NULL;
    return f->sources != NULL;
}

static int seen_position(const bool seen[COAMING_SEEN_KINDS])
{
    return seen[COAMING_SEEN_OPEN] ? OPEN : seen[COAMING_SEEN_SHUT] ? SHUT : AS_RECORDED;
}

static void begin(coaming_follow *f, const coaming_place *sources, size_t count)
{
    for (size_t i = 0; i < f->ship->closure_count; i++) {
        const bool *seen = f->ship->links[i].seen;
        f->closures[i].position.said = seen_position(seen);
        f->closures[i].soundness.said = seen[COAMING_SEEN_FAILED] ? FAILED : AS_RECORDED;
    }
    for (size_t i = 0; i < count; i++)
        for (int h = 0; h < COAMING_HAZARDS; h++)
            if (can_be_in((coaming_hazard)h, sources[i]))
                f->places[h][place_at(f, sources[i])].said = PRESENT;
}

coaming_status coaming_follow_new(coaming_ship *ship, const coaming_place *sources, size_t count,
                                  coaming_follow **follow, coaming_error *error)
{
    coaming_follow *f = memory_new(1, sizeof *f);
    *follow = NULL;
    if (!f)
        return error_memory(error);
    f->ship = ship;
    if (!make_room(f)) {
        coaming_follow_free(f);
        return error_memory(error);
    }
    begin(f, sources, count);
    *follow = f;
    return COAMING_OK;
}

void coaming_follow_free(coaming_follow *f)
{
    if (!f)
        return;
    arena_free(&f->memory);
    memory_free(f);
}

/* --- a line --- */

typedef struct {
    saying what;
    const char *id; /* NULL: nothing is said yet; valid with the object that is parsed */
    int of;         /* the closure or place that it names */
    double t;
} parsed;

static coaming_status no_report(coaming_error *error, const char *why)
{
    return error_set(error, COAMING_INPUT, "the line %s", why);
}

static const saying *saying_of(const char *key)
{
    for (size_t i = 0; i < SAYINGS; i++)
        if (!strcmp(sayings[i].key, key))
            return &sayings[i];
    return NULL;
}

static coaming_status unknown_key(const char *key, coaming_error *error)
{
    char known[160] = "";
    for (size_t i = 0; i < SAYINGS; i++) {
        size_t used = strlen(known);
        snprintf(known + used, sizeof known - used, "%s, ", sayings[i].key);
    }
    return error_set(error, COAMING_INPUT, "the key '%s' is not known; it must be %sor t",
                     BRIEF(key), known);
}

static coaming_status parse_time(const cJSON *m, parsed *p, coaming_error *error)
{
    p->t = m->valuedouble;
    if (!cJSON_IsNumber(m))
        return no_report(error, "has a t that is no number");
    return isfinite(p->t) ? COAMING_OK : no_report(error, "has a t that is out of range");
}

static coaming_status parse_member(const cJSON *m, parsed *p, coaming_error *error)
{
    const saying *what = saying_of(m->string);
    if (!strcmp(m->string, "t"))
        return parse_time(m, p, error);
    if (!what)
        return unknown_key(m->string, error);
    if (p->id)
        return error_set(error, COAMING_INPUT, "the line is two reports, '%s' and '%s'",
                         p->what.key, what->key);
    if (!cJSON_IsString(m))
        return error_set(error, COAMING_INPUT, "'%s' must be the id of a %s, as a text", what->key,
                         what->hazard == NOTHING ? "closure" : "place");
    p->what = *what;
    p->id = m->valuestring;
    return COAMING_OK;
}

static coaming_status find_outside(coaming_place place, parsed *p, coaming_error *error)
{
    p->of = place;
    if (can_be_in((coaming_hazard)p->what.hazard, place))
        return COAMING_OK;
    return error_set(error, COAMING_INPUT, SAID_SEA_AIR);
}

static coaming_status find_named(const coaming_ship *ship, parsed *p, coaming_error *error)
{
    if (p->what.hazard == NOTHING)
        return seen_find(ship, p->id, p->what.named, &p->of, error);
    coaming_place outside = outside_named(p->id);
    if (outside < 0)
        return find_outside(outside, p, error);
    return coaming_find_space(ship, p->id, &p->of, error);
}

static coaming_status parse(const coaming_ship *ship, const cJSON *object, parsed *p,
                            coaming_error *error)
{
    coaming_status status = COAMING_OK;
    *p = (parsed){.t = NAN};
    for (const cJSON *m = object->child; m && status == COAMING_OK; m = m->next)
        status = parse_member(m, p, error);
    if (status != COAMING_OK)
        return status;
    return p->id ? find_named(ship, p, error) : no_report(error, "reports nothing");
}

static coaming_status read_line(const coaming_ship *ship, const char *line, size_t size, parsed *p,
                                coaming_error *error)
{
    const char *why = NULL;
    if (size > COAMING_FOLLOW_LONGEST)
        return error_set(error, COAMING_INPUT, "the line is longer than %d bytes",
                         COAMING_FOLLOW_LONGEST);
    cJSON *object = json_line(line, size, &why);
    if (!object)
        return why ? no_report(error, why) : error_memory(error);
    coaming_status status = parse(ship, object, p, error);
    cJSON_Delete(object);
    p->id = NULL;
    return status;
}

/* --- taken in --- */

/* Puts over the ship what is seen of her closures. */
static coaming_status see(coaming_follow *f, coaming_error *error)
{
    coaming_seen seen = {{NULL}, {0}};
    for (int k = 0; k < COAMING_SEEN_KINDS; k++)
        seen.closures[k] = f->seen_ids[k];
    for (size_t i = 0; i < f->ship->closure_count; i++) {
        const closure_standpoint *c = &f->closures[i];
        const bool now[COAMING_SEEN_KINDS] = {[COAMING_SEEN_OPEN] = c->position.said == OPEN,
                                              [COAMING_SEEN_SHUT] = c->position.said == SHUT,
                                              [COAMING_SEEN_FAILED] = c->soundness.said == FAILED};
        for (int k = 0; k < COAMING_SEEN_KINDS; k++)
            if (now[k])
                f->seen_ids[k][seen.count[k]++] = f->ship->links[i].id;
    }
    return coaming_ship_see(f->ship, &seen, error);
}

static standpoint standpoint_of(const parsed *p, int said)
{
    bool timed = !isnan(p->t);
    return (standpoint){timed ? TIMED : UNTIMED, timed ? p->t : 0, said};
}

static coaming_status take_closure(coaming_follow *f, const parsed *p, bool *counted,
                                   coaming_error *error)
{
    closure_standpoint *now = &f->closures[p->of], before = *now;
    standpoint position = standpoint_of(p, p->what.position);
    standpoint soundness = standpoint_of(p, p->what.soundness);
    say(&now->position, position);
    say(&now->soundness, soundness);
    coaming_status status = see(f, error);
    if (status != COAMING_OK)
        *now = before;
    *counted = counts(&now->position, &position) && counts(&now->soundness, &soundness);
    return status;
}

static void take_place(coaming_follow *f, const parsed *p, bool *counted)
{
    standpoint *now = &f->places[p->what.hazard][place_at(f, p->of)];
    standpoint said = standpoint_of(p, p->what.presence);
    say(now, said);
    *counted = counts(now, &said);
}

bool coaming_follow_blank(const char *line, size_t size)
{
    return size <= COAMING_FOLLOW_LONGEST && json_line_blank(line, size);
}

coaming_status coaming_follow_take(coaming_follow *f, const char *line, size_t size,
                                   coaming_follow_report *report, coaming_error *error)
{
    parsed p = {0};
    bool counted = true;
    coaming_status status = read_line(f->ship, line, size, &p, error);
    if (status != COAMING_OK)
        return status;
    if (p.what.hazard == NOTHING)
        status = take_closure(f, &p, &counted, error);
    else
        take_place(f, &p, &counted);
    if (status == COAMING_OK)
        *report = (coaming_follow_report){p.t, counted};
    return status;
}

const coaming_place *coaming_follow_sources(coaming_follow *f, coaming_hazard hazard, size_t *count)
{
    *count = 0;
    for (size_t i = 0; i < f->place_count; i++)
        if (f->places[hazard][i].said == PRESENT)
            f->sources[(*count)++] = i < f->ship->space_count    ? (coaming_place)i
                                     : i == f->ship->space_count ? COAMING_SEA
                                                                 : COAMING_WEATHER;
    return f->sources;
}
