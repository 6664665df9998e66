#include <stdlib.h>

#include "commands.h"

const char help_float[] =
    "\nHow she floats with spaces open to the sea: draughts, trim, heel, GM, freeboard,\n"
    "righting arms, and which openings to the weather are under water. Constant\n"
    "displacement, lost buoyancy; the arrangement must give kg.\n";

int cmd_float(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    int *spaces = NULL;
    size_t count = 0;
    if (o->all_breaches && o->flooded.count) {
        complain("give --flooded or --all-breaches, not both");
        return EXIT_USAGE;
    }
    if (o->all_breaches && o->spread) {
        complain("--spread goes with --flooded: with --all-breaches water goes on anyway");
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = find_spaces(ship, "flooded", &o->flooded, &spaces, &count);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            o->all_breaches
                ? coaming_print_survival(out.stream, out.style, ship, o->query.condition, &error)
                : coaming_print_float(out.stream, out.style, ship, o->query.condition, spaces,
                                      count, o->spread, &error);
        result = output_close(&out, status, &error);
    }
    free(spaces);
    coaming_ship_free(ship);
    return result;
}
