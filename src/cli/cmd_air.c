#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "ask.h"
#include "commands.h"

const char help_air[] =
    "\nSmoke or gas gets into the air here: what it reaches and when, which closures\n"
    "bring it, what people take up, and which published limits are passed. Without\n"
    "--source: pressures and flows of wind, fans and warmth. Spaces that fans supply\n"
    "are shelters: what they stand over their surroundings, what flow it takes, and\n"
    "which closure costs most of it. With --drop: a pressure-drop test of a space,\n"
    "read into a leak.\n";

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

static int take_warmths(const options *o, const coaming_ship *ship, coaming_air_options *how,
                        double *warmth)
{
    size_t spaces = coaming_space_count(ship);
    int result = -1;
    bool own, any = false;
    double celsius;
    for (size_t s = 0; s < spaces; s++)
        warmth[s] = NAN;
    for (size_t i = 0; i < o->warmths.count && result < 0; i++) {
        result = take_inside(ship, o->warmths.texts[i], warmth, &celsius, &own);
        any = any || own;
        if (result < 0 && !own)
            how->inside = celsius;
    }
    for (size_t s = 0; s < spaces; s++)
        warmth[s] = isnan(warmth[s]) ? how->inside : warmth[s];
    how->warmth = any ? warmth : NULL;
    return result;
}

static int take_sources(const options *o, const coaming_ship *ship, coaming_air_options *how,
                        coaming_air_source *sources, coaming_air_limit *limits)
{
    coaming_error error;
    for (size_t i = 0; i < o->given_off.count; i++)
        if (coaming_air_source_parse(ship, o->given_off.texts[i], &sources[i], &error) !=
            COAMING_OK)
            return complain_of(&error);
    coaming_agent first = o->given_off.count ? sources[0].agent : COAMING_AGENT_SMOKE;
    for (size_t i = 0; i < o->limits.count; i++)
        if (coaming_air_limit_parse(o->limits.texts[i], first, &limits[i], &error) != COAMING_OK)
            return complain_of(&error);
    how->sources = sources;
    how->source_count = o->given_off.count;
    how->limits = o->limits.count ? limits : NULL;
    how->limit_count = o->limits.count;
    return -1;
}

static int print(const options *o, const coaming_ship *ship, const coaming_air *air)
{
    coaming_error error;
    coaming_outset *outset = NULL;
    output out;
    coaming_query query = o->query;
    query.hazard[COAMING_WATER] = false;
    query.hazard[COAMING_AIR] = true;
    int result = ask_outset(ship, query, &outset);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status = coaming_print_air(out.stream, out.style, outset, air, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(outset);
    return result;
}

static int follow(const options *o, const coaming_ship *ship, coaming_air_options *how)
{
    coaming_error error;
    coaming_air *air = NULL;
    double *warmth = calloc(coaming_space_count(ship) + 1, sizeof *warmth); /* by space */
    coaming_air_source *sources = calloc(o->given_off.count + 1, sizeof *sources);
    coaming_air_limit *limits = calloc(o->limits.count + 1, sizeof *limits);
    int result = -1;
    if (!warmth || !sources || !limits)
        result = complain_of_memory();
    else
        result = take_warmths(o, ship, how, warmth);
    if (result < 0 && sources && limits)
        result = take_sources(o, ship, how, sources, limits);
    how->condition = o->query.condition;
    if (result < 0 && coaming_air_new(ship, how, &air, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = print(o, ship, air);
    coaming_air_free(air);
    free(warmth);
    free(sources);
    free(limits);
    return result;
}

/* --- a drop of pressure --- */

static int read_drop(const options *o, const coaming_ship *ship)
{
    coaming_error error;
    output out;
    double given[3];
    coaming_tightness_answer a = {.ship = ship, .drop = coaming_tightness_default()};
    if (!split_numbers(o->drop, ':', given, 3))
        return refuse_usage("drop", o->drop, "from and to in Pa, and seconds, such as 500:350:600");
    int result = find_space(ship, o->tested_space, &a.space);
    if (result >= 0)
        return result;
    a.drop.volume = coaming_space_volume(ship, a.space);
    if (o->tested_volume &&
        !(parse_number(o->tested_volume, "", &a.drop.volume) && a.drop.volume > 0))
        return refuse_usage("volume", o->tested_volume, "a number of m3 above 0");
    a.drop.from = given[0];
    a.drop.to = given[1];
    a.drop.seconds = given[2];
    if (coaming_tightness_leak(&a.drop, &a.leak, &error) != COAMING_OK)
        return complain_of(&error);
    result = output_open(&out, o);
    if (result < 0)
        result =
            output_close(&out, coaming_print_tightness(out.stream, out.style, &a, &error), &error);
    return result;
}

static bool fits(const options *o)
{
    if (o->drop && !o->tested_space)
        complain("say by --space which space lost its pressure");
    else if (!o->drop && (o->tested_space || o->tested_volume))
        complain("say by --drop how much pressure the space lost in how long");
    else if (o->drop && (o->given_off.count || o->limits.count || o->until > 0))
        complain("--drop is a question of its own: it goes with --space alone");
    else if (o->drop && o->format == COAMING_CSV)
        complain("--drop is written as text or JSON, not as CSV");
    else if (o->format == COAMING_CSV && !o->given_off.count)
        complain("the table is of what gets into the air: say it by --source");
    else
        return true;
    return false;
}

int cmd_air(options *o)
{
    coaming_ship *ship = NULL;
    coaming_air_options how = coaming_air_options_default();
    int result = fits(o) ? take_plain(o, &how) : EXIT_USAGE;
    if (result < 0)
        result = load_asked(o, &ship);
    if (result < 0)
        result = o->drop ? read_drop(o, ship) : follow(o, ship, &how);
    coaming_ship_free(ship);
    return result;
}
