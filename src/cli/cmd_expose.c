#include <stdlib.h>

#include "ask.h"
#include "commands.h"

const char help_expose[] =
    "\nFor each closure and each of its sides: water or bad air is there; which spaces\n"
    "does it reach if this closure fails that it does not reach if it holds? All\n"
    "others are as last tested; untested ones hold in the first answer and leak in\n"
    "the second.\n";

int cmd_expose(options *o)
{
    if (o->all == (o->argument_count > 0)) {
        complain(o->all ? "name closures or give --all, not both"
                        : "name one or more closures, or give --all");
        return EXIT_USAGE;
    }
    coaming_ship *ship = NULL;
    coaming_error error;
    coaming_exposure *exposure = NULL;
    coaming_outset *outset = NULL;
    int *closures = NULL;
    size_t count = 0;
    output out;
    int result = load_asked(o, &ship);
    if (result < 0 && !o->all)
        result = find_closures(o, ship, &closures, &count);
    if (result < 0 &&
        coaming_exposure_new(ship, o->query, closures, count, &exposure, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0)
        result = ask_outset(ship, o->query, &outset);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_expose(out.stream, out.style, outset, exposure, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(outset);
    coaming_exposure_free(exposure);
    free(closures);
    coaming_ship_free(ship);
    return result;
}
