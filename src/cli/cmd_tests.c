/* due, adjust, history and round: what the register says of tests. */
#include <stdlib.h>
#include <string.h>

#include "ask.h"
#include "commands.h"

const char help_due[] =
    "\nWhich tests are due by when: by the arrangement's intervals, or assumed ones\n"
    "where it gives none. Overdue first. Exit status 1 if any test is overdue.\n";
const char help_adjust[] =
    "\nReads the print of the test of each closure that counts: which dogs to take up,\n"
    "where frame or door is out of true, when to renew the gasket. Without closures:\n"
    "all for which there is something to do.\n";
const char help_history[] =
    "\nOne closure through the years: tests, repairs, the trend of its printed\n"
    "fraction, the time between failures.\n";
const char help_round[] =
    "\nA walking order through the ship for the closures whose tests are due (or for\n"
    "those named), with what to bring and what to adjust; as CSV a sheet to fill in,\n"
    "which 'coaming record --sheet' reads back.\n";

int cmd_adjust(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    coaming_readings *readings = NULL;
    int *closures = NULL;
    size_t count = 0;
    int result = load_asked(o, &ship);
    if (result < 0)
        result = find_closures(o, ship, &closures, &count);
    if (result < 0 &&
        coaming_readings_new(ship, count ? closures : NULL, count, &readings, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status = coaming_print_adjust(out.stream, out.style, readings, &error);
        result = output_close(&out, status, &error);
    }
    coaming_readings_free(readings);
    free(closures);
    coaming_ship_free(ship);
    return result;
}

int cmd_history(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    coaming_history *history = NULL;
    int *closures = NULL;
    size_t count = 0;
    if (o->argument_count != 1) {
        complain("name one closure; see 'coaming history --help'");
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = find_closures(o, ship, &closures, &count);
    if (result < 0 && coaming_history_new(ship, closures[0], &history, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_history(out.stream, out.style, ship, closures[0], history, &error);
        result = output_close(&out, status, &error);
    }
    coaming_history_free(history);
    free(closures);
    coaming_ship_free(ship);
    return result;
}

/* What is due, by date or by what its failure would cost. */
static coaming_status make_due(const options *o, const coaming_ship *ship, int within,
                               coaming_due **due, coaming_error *error)
{
    coaming_status status = coaming_due_new(ship, due, error);
    if (status == COAMING_OK && !o->all)
        coaming_due_within(*due, o->given & OPT_WITHIN ? (int)o->within : within);
    if (status == COAMING_OK && o->by_consequence)
        status = coaming_due_weigh(*due, o->query, o->measure, error);
    return status;
}

/* Nothing that was asked for is passed over in silence. */
static bool asked_well(const options *o)
{
    option_set weighing = OPT_CONDITION | OPT_LOADING | OPT_HAZARD | OPT_LEVEL | OPT_MEASURE;
    if (o->given & weighing && !o->by_consequence)
        complain(
            "--condition, --loading, --hazard, --level and --measure go with --by-consequence");
    else if (o->all && o->given & OPT_WITHIN)
        complain("give --all or --within, not both");
    else if (o->argument_count && o->given & (OPT_TOP | OPT_WITHIN | OPT_BY_CONSEQUENCE))
        complain("name closures or choose by --top, --within and --by-consequence, not both");
    else
        return true;
    return false;
}

int cmd_due(options *o)
{
    enum { WITHIN = 30 }; /* days, unless --within says */
    coaming_ship *ship = NULL;
    coaming_due *due = NULL;
    coaming_error error;
    output out;
    if (o->argument_count) {
        complain("'%s' is one word too many; see 'coaming due --help'", o->arguments[0]);
        return EXIT_USAGE;
    }
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    if (result < 0 && make_due(o, ship, WITHIN, &due, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status = coaming_print_due(out.stream, out.style, ship, due, &error);
        result = output_close(&out, status, &error);
        if (result == EXIT_DONE && coaming_due_overdue_count(due))
            result = EXIT_FOUND;
    }
    coaming_due_free(due);
    coaming_ship_free(ship);
    return result;
}

/* The closures of what is due, each once, the first `top` of them (0: all). */
static int closures_due(const coaming_due *due, const coaming_ship *ship, size_t top,
                        int **closures, size_t *count)
{
    bool *taken = calloc(coaming_closure_count(ship) + 1, sizeof *taken);
    *closures = calloc(coaming_closure_count(ship) + 1, sizeof **closures);
    *count = 0;
    if (!taken || !*closures) {
        free(taken);
        return complain_of_memory();
    }
    for (size_t i = 0; i < coaming_due_count(due) && (!top || *count < top); i++) {
        int closure = coaming_due_get(due, i)->closure;
        if (!taken[closure])
            (*closures)[(*count)++] = closure;
        taken[closure] = true;
    }
    free(taken);
    return -1;
}

int cmd_round(options *o)
{
    coaming_ship *ship = NULL;
    coaming_due *due = NULL;
    coaming_round *round = NULL;
    coaming_readings *readings = NULL;
    coaming_error error;
    output out;
    coaming_round_options how = coaming_round_options_default();
    int *closures = NULL;
    size_t count = 0;
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    if (result < 0)
        result = ask_walk(o, ship, &how);
    if (result < 0 && make_due(o, ship, 0, &due, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = o->argument_count ? find_closures(o, ship, &closures, &count)
                                   : closures_due(due, ship, (size_t)o->top, &closures, &count);
    if (result < 0 && coaming_round_new(ship, &how, closures, count, &round, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0 && coaming_readings_new(ship, closures, count, &readings, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_round_answer answer = {ship, &how, round, due, readings};
        coaming_status status = coaming_print_round(out.stream, out.style, &answer, &error);
        result = output_close(&out, status, &error);
    }
    coaming_readings_free(readings);
    coaming_round_free(round);
    coaming_due_free(due);
    free(closures);
    coaming_ship_free(ship);
    return result;
}
