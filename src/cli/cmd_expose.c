#include <stdlib.h>

#include "commands.h"

const char help_expose[] =
    "\nFor each closure and each of its sides: water or bad air is there; which spaces\n"
    "does it reach if this closure fails that it does not reach if it holds? All\n"
    "others are as last tested; untested ones hold in the first answer and leak in\n"
    "the second.\n";

/* -1 to go on with *list (to be freed), else the exit status. */
static int find_closures(const options *o, const coaming_ship *ship, int **list)
{
    coaming_error error;
    *list = calloc((size_t)o->argument_count, sizeof **list);
    if (!*list) {
        complain("out of memory");
        return EXIT_MACHINE;
    }
    int result = -1;
    for (int i = 0; i < o->argument_count; i++)
        if (coaming_find_closure(ship, o->arguments[i], &(*list)[i], &error) != COAMING_OK)
            result = complain_of(&error);
    return result;
}

int cmd_expose(options *o)
{
    if (o->all == (o->argument_count > 0)) {
        complain(o->all ? "name closures or give --all, not both"
                        : "name one or more closures, or give --all");
        return EXIT_USAGE;
    }
    coaming_ship *ship = NULL;
    coaming_error error;
    int *closures = NULL;
    output out;
    int result = load_asked(o, &ship);
    if (result < 0 && !o->all)
        result = find_closures(o, ship, &closures);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status = coaming_print_expose(out.stream, out.style, ship, o->query,
                                                     closures, (size_t)o->argument_count, &error);
        result = output_close(&out, status, &error);
    }
    free(closures);
    coaming_ship_free(ship);
    return result;
}
