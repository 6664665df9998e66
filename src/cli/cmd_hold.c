#include <stdlib.h>
#include <string.h>

#include "ask.h"
#include "commands.h"

const char help_hold[] =
    "\nWater or smoke is in PLACE already. All lines of closures from near to far,\n"
    "which of them to hold and why, what must be shut for it, what it gives up, what\n"
    "stands behind it, and where it is most likely to come through. With --protect:\n"
    "the line that is most likely to keep these spaces clean.\n";

/* Is there anything that no line can keep clean? */
static bool any_lost(const coaming_hold *hold)
{
    for (size_t i = 0; i < coaming_hold_count(hold); i++)
        if (coaming_hold_get(hold, i)->lost_count)
            return true;
    return false;
}

/* Of the sea water alone is asked. -1 to go on, else the exit status. */
static int leave_out_air(options *o, coaming_place source)
{
    if (source != COAMING_SEA)
        return -1;
    if (!o->query.hazard[COAMING_WATER]) {
        complain("the sea is no source of bad air; name the weather or a space");
        return EXIT_USAGE;
    }
    o->query.hazard[COAMING_AIR] = false;
    return -1;
}

static int print(const options *o, const coaming_ship *ship, coaming_place source,
                 const int *protect, size_t count)
{
    coaming_error error;
    coaming_hold *hold = NULL;
    coaming_outset *outset = NULL;
    output out;
    coaming_status asked =
        count ? coaming_hold_new(ship, o->query, source, protect, count, &hold, &error)
              : coaming_hold_nested_new(ship, o->query, source, &hold, &error);
    if (asked != COAMING_OK)
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
    coaming_place source = COAMING_SEA;
    int *protect = NULL;
    size_t count = 0;
    if (!o->source) {
        complain(SOURCE_MISSING);
        return EXIT_USAGE;
    }
    if (strchr(o->source, ',')) {
        complain("--source takes one place; 'coaming casualty' takes several");
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = find_place(ship, o->source, &source);
    if (result < 0)
        result = leave_out_air(o, source);
    if (result < 0)
        result = find_spaces(ship, "protect", &o->protect, &protect, &count);
    if (result < 0)
        result = print(o, ship, source, protect, count);
    free(protect);
    coaming_ship_free(ship);
    return result;
}
