#include <stdlib.h>

#include "ask.h"
#include "commands.h"

const char help_hold[] =
    "\nWater or smoke is in these places already. All lines of closures from near to\n"
    "far, which of them to hold and why, what must be shut for it, what it gives up,\n"
    "what stands behind it, and where it is most likely to come through. With\n"
    "--protect: the line that is most likely to keep these spaces clean.\n";

/* Is there anything that no line can keep clean? */
static bool any_lost(const coaming_hold *hold)
{
    for (size_t i = 0; i < coaming_hold_count(hold); i++)
        if (coaming_hold_get(hold, i)->lost_count)
            return true;
    return false;
}

static coaming_status ask_hold(const options *o, const coaming_ship *ship,
                               const coaming_hold_asked *asked, coaming_hold **hold,
                               coaming_error *error)
{
    return asked->protect_count ? coaming_hold_keeping_new(ship, o->query, asked, hold, error)
                                : coaming_hold_set_new(ship, o->query, asked->sources,
                                                       asked->source_count, hold, error);
}

static int print(const options *o, const coaming_ship *ship, const coaming_hold_asked *asked)
{
    coaming_error error;
    coaming_hold *hold = NULL;
    coaming_outset *outset = NULL;
    output out;
    if (ask_hold(o, ship, asked, &hold, &error) != COAMING_OK)
        return complain_of(&error);
    int result = ask_outset(ship, o->query, &outset);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status = coaming_print_hold(out.stream, out.style, outset, hold, &error);
        result = output_close(&out, status, &error);
        if (result == EXIT_DONE && any_lost(hold))
            result = EXIT_FOUND;
    }
    coaming_outset_free(outset);
    coaming_hold_free(hold);
    return result;
}

int cmd_hold(options *o)
{
    coaming_ship *ship = NULL;
    coaming_place *sources = NULL;
    int *protect = NULL;
    coaming_hold_asked asked = {0};
    if (!o->sources.count) {
        complain(SOURCE_MISSING);
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = find_places(ship, "source", &o->sources, &sources, &asked.source_count);
    asked.sources = sources;
    if (result < 0)
        result = leave_out_air(o, asked.sources, asked.source_count);
    if (result < 0)
        result = find_spaces(ship, "protect", &o->protect, &protect, &asked.protect_count);
    asked.protect = protect;
    if (result < 0)
        result = print(o, ship, &asked);
    free(sources);
    free(protect);
    coaming_ship_free(ship);
    return result;
}
