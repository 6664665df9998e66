#include "commands.h"

const char help_export[] =
    "\nWrites spaces, closures, passages, scenarios, every test and repair, and the\n"
    "results of expose --all and rank as one JSON document. No other format.\n";

int cmd_export(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    if (o->format_given && o->format != COAMING_JSON) {
        complain("export writes JSON only");
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_export(out.stream, ship, o->query, o->measure, &error);
        result = output_close(&out, status, &error);
    }
    coaming_ship_free(ship);
    return result;
}
