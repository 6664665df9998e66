#include <stdlib.h>

#include "ask.h"
#include "commands.h"

const char help_float[] =
    "\nHow she floats with spaces open to the sea: draughts, trim, heel, GM, freeboard,\n"
    "righting arms, and which openings to the weather are under water. Constant\n"
    "displacement, lost buoyancy; the arrangement must give kg.\n";

typedef struct {
    coaming_floating *floating;
    coaming_outset *outset; /* at equilibrium */
} answers;

static int ask(options *o, const coaming_ship *ship, answers *a)
{
    int *spaces = NULL;
    coaming_query query = coaming_query_default();
    size_t count = 0;
    coaming_error error;
    query.condition = o->query.condition;
    query.loading = o->query.loading;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    int result = find_spaces(ship, "flooded", &o->flooded, &spaces, &count);
    if (result < 0) {
        coaming_status status =
            coaming_floating_new(ship, query, spaces, count, o->spread, &a->floating, &error);
        result = status == COAMING_OK ? -1 : complain_of(&error);
    }
    free(spaces);
    return result < 0 ? ask_outset(ship, query, &a->outset) : result;
}

int cmd_float(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    answers a = {0};
    int result = load_asked(o, &ship);
    if (result < 0)
        result = ask(o, ship, &a);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            coaming_print_float(out.stream, out.style, a.outset, a.floating, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(a.outset);
    coaming_floating_free(a.floating);
    coaming_ship_free(ship);
    return result;
}
