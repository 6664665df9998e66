#include <stdlib.h>

#include "ask.h"
#include "commands.h"
#include "follow.h"
#include "sheets.h"

const char help_casualty[] =
    "\nShe is holed or on fire in these places, the doors as they are now (--open,\n"
    "--shut, --failed over the condition): what is reached and in which order, how\n"
    "she floats, what to shut at once, what cannot be shut, the line to hold with who\n"
    "goes where, and the lines behind it. One page, to be read aloud. With --follow\n"
    "an answer in a line of JSON to each line that is reported. With --format html a\n"
    "page to hang up; without --source one for each machinery space and each vital\n"
    "space.\n";

typedef struct {
    coaming_place *places;
    size_t count;
    coaming_casualty *casualty;
    coaming_outset *outset;
} asked;

static int ask(options *o, const coaming_ship *ship, asked *a)
{
    coaming_error error;
    int result = find_places(ship, "source", &o->sources, &a->places, &a->count);
    if (result < 0)
        result = leave_out_air(o, a->places, a->count);
    if (result < 0 && coaming_casualty_new(ship, o->query, o->measure, a->places, a->count,
                                           &a->casualty, &error) != COAMING_OK)
        result = complain_of(&error);
    return result < 0 ? ask_outset(ship, o->query, &a->outset) : result;
}

static int answer_once(options *o, const coaming_ship *ship)
{
    coaming_error error;
    output out;
    asked a = {0};
    int result = ask(o, ship, &a);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_casualty(out.stream, out.style, a.outset, a.casualty, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(a.outset);
    coaming_casualty_free(a.casualty);
    free(a.places);
    return result;
}

static int answer_each(const options *o, coaming_ship *ship)
{
    coaming_place *places = NULL;
    size_t count = 0;
    int result = find_places(ship, "source", &o->sources, &places, &count);
    if (result < 0)
        result = follow(o, ship, places, count);
    free(places);
    return result;
}

int cmd_casualty(options *o)
{
    coaming_ship *ship = NULL;
    if (o->follow && !follow_fits(o))
        return EXIT_USAGE;
    bool sheets = o->format == COAMING_HTML;
    if (!o->follow && !sheets && !o->sources.count) {
        complain(SOURCE_MISSING);
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = o->follow ? answer_each(o, ship)
                 : sheets  ? print_sheets(o, ship)
                           : answer_once(o, ship);
    coaming_ship_free(ship);
    return result;
}
