#include "ask.h"
#include "commands.h"

const char help_report[] =
    "\nOne HTML page that needs nothing from elsewhere: what to make good or test\n"
    "first, the state of the ship, what changed since an earlier day, the closures\n"
    "whose failure would cost most each with the drawing of what it exposes, the\n"
    "lines to hold if it starts in a vital or machinery space, tests due, the\n"
    "register with a line to sign, survival of damage, assumptions. It prints on A4.\n";

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

static int ask(const options *o, const coaming_ship *ship, const coaming_ship *before,
               coaming_report **report)
{
    coaming_error error;
    coaming_report_options r = how(o, ship, before);
    return coaming_report_new(ship, &r, report, &error) == COAMING_OK ? -1 : complain_of(&error);
}

int cmd_report(options *o)
{
    coaming_ship *ship = NULL, *before = NULL;
    coaming_report *report = NULL;
    coaming_error error;
    output out;
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    if (result < 0 && o->given & OPT_SINCE)
        result = load_earlier(o, o->since, &before);
    if (result < 0)
        result = ask(o, ship, before, &report);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0)
        result = output_close(&out, coaming_print_report(out.stream, report, &error), &error);
    coaming_report_free(report);
    coaming_ship_free(before);
    coaming_ship_free(ship);
    return result;
}
