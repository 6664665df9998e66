#include "commands.h"

const char help_rank[] =
    "\nOrders the closures by what their failure costs: over all scenarios the weight\n"
    "of the scenario times what is reached with the closure failed and not with it\n"
    "holding, all others as last tested. Scenarios are the arrangement's own, or else\n"
    "water from outside and a breach of each shell space, and bad air from the\n"
    "weather and from each space.\n";

int cmd_rank(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    int result = load_asked(o, &ship);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_rank(out.stream, out.style, ship, o->query, o->measure, o->top, &error);
        result = output_close(&out, status, &error);
    }
    coaming_ship_free(ship);
    return result;
}
