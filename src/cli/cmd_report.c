#include "air_asked.h"
#include "ask.h"
#include "commands.h"
#include "flood_asked.h"

const char help_report[] =
    "\nOne HTML page that needs nothing from elsewhere: what to make good or test\n"
    "first, the state of the ship, what changed since an earlier day, the closures\n"
    "whose failure would cost most each with the drawing of what it exposes, the\n"
    "lines to hold if it starts in a vital or machinery space, tests due, the\n"
    "register with a line to sign, survival of damage, assumptions. It prints on A4.\n"
    "With --breach or --inflow also water in time, with --source also the air.\n";

static bool is_water(const options *o)
{
    return o->breaches.count || o->inflows.count;
}

/* Is what is said of water and air in time said well? -1 to go on. */
static int time_said_well(const options *o)
{
    if (o->given & OPT_FOLLOWED && !is_water(o) && !o->given_off.count)
        complain("--until is of what is asked by --breach, --inflow or --source");
    else if (o->limits.count && !o->given_off.count)
        complain("say by --source what gets into the air: --limit is of that");
    else if (is_water(o))
        return flood_said_well(o);
    else
        return -1;
    return EXIT_USAGE;
}

/* Both days are read from the same files. */
static bool asked_well(const options *o)
{
    if (!(o->given & OPT_SINCE))
        return risk_fits(o);
    if (o->since >= o->as_of)
        complain("--since must be a day before the one of the report (--as-of)");
    else if (reads_standard_input(o))
        complain("with --since the files are read twice, so none can be standard input");
    else
        return risk_fits(o);
    return false;
}

static coaming_report_options how(const options *o, const coaming_ship *ship,
                                  const coaming_ship *before)
{
    coaming_report_options r = coaming_report_options_default();
    r.query = o->query;
    r.before = before;
    r.measure = o->measure;
    r.risk = risk_asked(o);
    if (o->given & OPT_TOP)
        r.top = o->top;
    if (o->given & OPT_WITHIN)
        r.within = (int)o->within;
    if (!(o->given & OPT_LEVEL) && r.query.level.kind == COAMING_LEVEL_EQUILIBRIUM &&
        o->measure < COAMING_MEASURE_FREEBOARD &&
        coaming_space_count(ship) > COAMING_REPORT_SETTLED) {
        r.query.level.kind = COAMING_LEVEL_STILL;
        r.level_by_size = true;
    }
    return r;
}

/* What is asked of water and air in time; the report borrows it. */
typedef struct {
    flood_asked water;
    air_asked air;
} in_time;

static int take_in_time(const options *o, const coaming_ship *ship, in_time *t,
                        coaming_report_options *r)
{
    int result = -1;
    if (is_water(o))
        result = flood_asked_make(o, ship, &t->water);
    if (result < 0 && o->given_off.count)
        result = air_asked_make(o, ship, &t->air);
    r->flood = is_water(o) ? &t->water.ask : NULL;
    r->air = o->given_off.count ? &t->air.how : NULL;
    return result;
}

static int ask(const options *o, const coaming_ship *ship, const coaming_ship *before, in_time *t,
               coaming_report **report)
{
    coaming_error error;
    coaming_report_options r = how(o, ship, before);
    int result = take_in_time(o, ship, t, &r);
    if (result >= 0)
        return result;
    return coaming_report_new(ship, &r, report, &error) == COAMING_OK ? -1 : complain_of(&error);
}

int cmd_report(options *o)
{
    coaming_ship *ship = NULL, *before = NULL;
    coaming_report *report = NULL;
    coaming_error error;
    in_time t = {.water = {.breaches = NULL}, .air = {.warmth = NULL}};
    output out;
    int result = asked_well(o) ? time_said_well(o) : EXIT_USAGE;
    if (result < 0)
        result = load_asked(o, &ship);
    if (result < 0 && o->given & OPT_SINCE)
        result = load_earlier(o, o->since, &before);
    if (result < 0)
        result = ask(o, ship, before, &t, &report);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0)
        result = output_close(&out, coaming_print_report(out.stream, report, &error), &error);
    coaming_report_free(report);
    flood_asked_free(&t.water);
    air_asked_free(&t.air);
    coaming_ship_free(before);
    coaming_ship_free(ship);
    return result;
}
