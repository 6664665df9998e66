#include <stdlib.h>

#include "ask.h"
#include "commands.h"

const char help_float[] =
    "\nHow she floats with spaces open to the sea: draughts, trim, heel, GM, freeboard,\n"
    "righting arms, and which openings to the weather are under water. Constant\n"
    "displacement, lost buoyancy; the arrangement must give kg.\n";

typedef struct {
    coaming_floating *floating;
    coaming_breaches *survival; /* in place of it: every breach */
    coaming_outset *outset;     /* at equilibrium */
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
            o->all_breaches
                ? coaming_breaches_new(ship, query, &a->survival, &error)
                : coaming_floating_new(ship, query, spaces, count, o->spread, &a->floating, &error);
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
        result = ask(o, ship, &a);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            a.survival ? coaming_print_breaches(out.stream, out.style, a.outset, a.survival, &error)
                       : coaming_print_float(out.stream, out.style, a.outset, a.floating, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(a.outset);
    coaming_floating_free(a.floating);
    coaming_breaches_free(a.survival);
    coaming_ship_free(ship);
    return result;
}
