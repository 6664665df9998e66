#include "air_asked.h"
#include "ask.h"
#include "commands.h"

const char help_air[] =
    "\nSmoke or gas gets into the air here: what it reaches and when, which closures\n"
    "bring it, what people take up, and which published limits are passed. Without\n"
    "--source: pressures and flows of wind, fans and warmth. Spaces that fans supply\n"
    "are shelters: what they stand over their surroundings, what flow it takes, and\n"
    "which closure costs most of it. An id with @T acts at time T (90, 90s, 10min or\n"
    "1.5h), without it from the start, as seen now. With --drop: a pressure-drop test\n"
    "of a space, read into a leak.\n";

static coaming_status write_as(const output *out, const options *o, const coaming_outset *outset,
                               const coaming_air *air, coaming_error *error)
{
    return o->format == COAMING_SVG
               ? coaming_print_air_plots(out->stream, air, error)
               : coaming_print_air(out->stream, out->style, outset, air, error);
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
    if (result < 0)
        result = output_close(&out, write_as(&out, o, outset, air, &error), &error);
    coaming_outset_free(outset);
    return result;
}

static int follow(const options *o, const coaming_ship *ship)
{
    coaming_error error;
    coaming_air *air = NULL;
    air_asked asked;
    int result = air_asked_make(o, ship, &asked);
    if (result < 0 && coaming_air_new(ship, &asked.how, &air, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = print(o, ship, air);
    coaming_air_free(air);
    air_asked_free(&asked);
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
    const char *sheet = o->format == COAMING_CSV ? "CSV" : o->format == COAMING_SVG ? "SVG" : NULL;
    if (o->drop && !o->tested_space)
        complain("say by --space which space lost its pressure");
    else if (!o->drop && (o->tested_space || o->tested_volume))
        complain("say by --drop how much pressure the space lost in how long");
    else if (o->drop && (o->given_off.count || o->limits.count || o->until > 0 || o->by_when ||
                         o->fans.count || o->stopped.count || o->ended.count))
        complain("--drop is a question of its own: it goes with --space alone");
    else if (o->drop && sheet)
        complain("--drop is written as text or JSON, not as %s", sheet);
    else if (o->by_when && !o->given_off.count)
        complain("--by-when is of what gets into the air: say it by --source");
    else if (sheet && !o->given_off.count)
        complain("%s is of what gets into the air: say it by --source",
                 o->format == COAMING_CSV ? "the table" : "the page");
    else
        return true;
    return false;
}

int cmd_air(options *o)
{
    coaming_ship *ship = NULL;
    int result = fits(o) ? air_said_well(o) : EXIT_USAGE;
    if (result < 0)
        result = load_asked(o, &ship);
    if (result < 0)
        result = o->drop ? read_drop(o, ship) : follow(o, ship);
    coaming_ship_free(ship);
    return result;
}
