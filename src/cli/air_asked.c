#include "air_asked.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "timed.h"

static bool parse_warmth(const char *text, double *celsius)
{
    return (parse_number(text, "", celsius) || parse_number(text, "C", celsius)) &&
           *celsius >= -100 && *celsius <= 1500;
}

#define WARMTH_RIGHT "degrees Celsius from -100 to 1500, such as -5"

static int take_wind(const options *o, coaming_air_options *how)
{
    static const number_unit units[] = {{"m/s", 1}, {"", 1}, {"kn", 1852 / 3600.0}, {NULL, 0}};
    static const char right[] = "up to 150 m/s, such as 12, 25kn or 12@45";
    char speed[40];
    if (!o->wind)
        return -1;
    size_t length = strcspn(o->wind, "@");
    if (length >= sizeof speed)
        return refuse_usage("wind", o->wind, right);
    memcpy(speed, o->wind, length);
    speed[length] = '\0';
    if (!parse_in(speed, units, &how->wind) || !(how->wind >= 0 && how->wind <= 150) ||
        (o->wind[length] && !parse_number(o->wind + length + 1, "", &how->wind_from)) ||
        fabs(how->wind_from) > 360)
        return refuse_usage("wind", o->wind, right);
    return -1;
}

static int take_plain(const options *o, coaming_air_options *how)
{
    int result = take_wind(o, how);
    if (o->until > 0)
        how->until = o->until;
    how->every = o->every > 0 ? o->every : how->until / 60;
    if (result < 0 && o->outside && !parse_warmth(o->outside, &how->outside))
        result = refuse_usage("outside", o->outside, WARMTH_RIGHT);
    if (o->overpressure > 0)
        how->overpressure = o->overpressure;
    how->filtered = o->filtered;
    how->by_when = o->by_when;
    how->activity = o->activity;
    return result;
}

/* What is given by --inside, into a list by space. */
static int take_inside(const coaming_ship *ship, const char *text, double *warmth, double *celsius,
                       bool *own)
{
    char id[256];
    int space;
    size_t length = strcspn(text, ":");
    *own = text[length] != '\0';
    if (!parse_warmth(*own ? text + length + 1 : text, celsius) || length >= sizeof id)
        return refuse_usage("inside", text,
                            WARMTH_RIGHT ", or with a space before it, such as engine:60");
    if (!*own)
        return -1;
    memcpy(id, text, length);
    id[length] = '\0';
    int result = find_space(ship, id, &space);
    if (result < 0)
        warmth[space] = *celsius;
    return result;
}

static int take_warmths(const options *o, const coaming_ship *ship, air_asked *made)
{
    size_t spaces = coaming_space_count(ship);
    int result = -1;
    bool own, any = false;
    double celsius;
    for (size_t s = 0; s < spaces; s++)
        made->warmth[s] = NAN;
    for (size_t i = 0; i < o->warmths.count && result < 0; i++) {
        result = take_inside(ship, o->warmths.texts[i], made->warmth, &celsius, &own);
        any = any || own;
        if (result < 0 && !own)
            made->how.inside = celsius;
    }
    for (size_t s = 0; s < spaces; s++)
        made->warmth[s] = isnan(made->warmth[s]) ? made->how.inside : made->warmth[s];
    made->how.warmth = any ? made->warmth : NULL;
    return result;
}

static int take_sources(const options *o, const coaming_ship *ship, air_asked *made)
{
    coaming_error error;
    for (size_t i = 0; i < o->given_off.count; i++)
        if (coaming_air_source_parse(ship, o->given_off.texts[i], &made->sources[i], &error) !=
            COAMING_OK)
            return complain_of(&error);
    coaming_agent first = o->given_off.count ? made->sources[0].agent : COAMING_AGENT_SMOKE;
    for (size_t i = 0; i < o->limits.count; i++)
        if (coaming_air_limit_parse(o->limits.texts[i], first, &made->limits[i], &error) !=
            COAMING_OK)
            return complain_of(&error);
    made->how.sources = made->sources;
    made->how.source_count = o->given_off.count;
    made->how.limits = o->limits.count ? made->limits : NULL;
    made->how.limit_count = o->limits.count;
    return -1;
}

enum { CHANGERS = 6 };

static void list_changers(const options *o, timed_option list[CHANGERS])
{
    const timed_option all[CHANGERS] = {
        {"open", &o->seen[COAMING_SEEN_OPEN], TIMED_CLOSURE, COAMING_AIR_CHANGE_OPEN, false},
        {"shut", &o->seen[COAMING_SEEN_SHUT], TIMED_CLOSURE, COAMING_AIR_CHANGE_SHUT, false},
        {"fail", &o->seen[COAMING_SEEN_FAILED], TIMED_CLOSURE, COAMING_AIR_CHANGE_FAIL, true},
        {"fan", &o->fans, TIMED_FAN, COAMING_AIR_CHANGE_FAN_ON, false},
        {"stop", &o->stopped, TIMED_FAN, COAMING_AIR_CHANGE_FAN_OFF, false},
        {"end", &o->ended, TIMED_SOURCE, COAMING_AIR_CHANGE_END, false}};
    memcpy(list, all, sizeof all);
}

/* By time; those of one moment as they were given. */
static int put_changes(air_asked *made, const timed_change *timed, size_t count)
{
    coaming_air_change *changes = calloc(count + 1, sizeof *changes);
    if (!changes)
        return complain_of_memory();
    for (size_t i = 0; i < count; i++) {
        size_t at = i;
        for (; at > 0 && changes[at - 1].t > timed[i].t; at--)
            changes[at] = changes[at - 1];
        changes[at] = (coaming_air_change){timed[i].t, (coaming_air_change_kind)timed[i].of->kind,
                                           timed[i].which};
    }
    made->how.changes = made->changes = changes;
    made->how.change_count = count;
    return -1;
}

/* Without a ship what is written is judged alone, and made may be NULL. */
static int take_changes(const options *o, const coaming_ship *ship, double until, air_asked *made)
{
    timed_option list[CHANGERS];
    size_t count = 0;
    list_changers(o, list);
    timed_change *timed = calloc(timed_room(list, CHANGERS), sizeof *timed);
    int result =
        timed ? timed_take(list, CHANGERS, ship, until, timed, &count) : complain_of_memory();
    if (result < 0 && made)
        result = put_changes(made, timed, count);
    free(timed);
    return result;
}

int air_said_well(const options *o)
{
    coaming_air_options how = coaming_air_options_default();
    int result = take_plain(o, &how);
    return result < 0 ? take_changes(o, NULL, how.until, NULL) : result;
}

int air_asked_make(const options *o, const coaming_ship *ship, air_asked *made)
{
    *made = (air_asked){.how = coaming_air_options_default()};
    made->warmth = calloc(coaming_space_count(ship) + 1, sizeof *made->warmth);
    made->sources = calloc(o->given_off.count + 1, sizeof *made->sources);
    made->limits = calloc(o->limits.count + 1, sizeof *made->limits);
    if (!made->warmth || !made->sources || !made->limits)
        return complain_of_memory();
    made->how.condition = o->query.condition;
    int result = take_plain(o, &made->how);
    if (result < 0)
        result = take_warmths(o, ship, made);
    if (result < 0)
        result = take_sources(o, ship, made);
    return result < 0 ? take_changes(o, ship, made->how.until, made) : result;
}

void air_asked_free(air_asked *made)
{
    free(made->warmth);
    free(made->sources);
    free(made->limits);
    free(made->changes);
}
