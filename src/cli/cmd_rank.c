#include "commands.h"

const char help_rank[] =
    "\nOrders the closures by what their failure costs: over all scenarios (water from\n"
    "outside and a breach of each shell space; bad air from the weather and from each\n"
    "space; or the arrangement's own) the weight of the scenario times what is reached\n"
    "with the closure failed and not with it holding. All others are as last tested.\n";

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
