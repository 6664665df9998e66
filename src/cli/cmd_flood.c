#include <stdlib.h>

#include "ask.h"
#include "commands.h"
#include "flood_asked.h"

const char help_flood[] =
    "\nWater in time: she is holed, or water comes in another way. What it reaches\n"
    "when, closures that give way, pumps, how she lies, and until when what can still\n"
    "be done. An id with @T acts at time T (90, 90s, 10min or 1.5h), without it from\n"
    "the start, as seen now. The arrangement must give kg.\n";

typedef struct {
    flood_asked asked;
    coaming_outset *outset; /* at equilibrium */
    coaming_flood *flood;
    coaming_flood_deadlines *deadlines;
    coaming_flood_likely *likely;
} answers;

static void answers_free(answers *a)
{
    flood_asked_free(&a->asked);
    coaming_outset_free(a->outset);
    coaming_flood_free(a->flood);
    coaming_flood_deadlines_free(a->deadlines);
    coaming_flood_likely_free(a->likely);
}

static unsigned long long seed_of(const options *o)
{
    return o->given & OPT_SEED ? o->seed : 1;
}

/* Is there anything that water could come in by? Else it is complained of. */
static bool has_source(const options *o, const answers *a)
{
    size_t let_in = 0;
    coaming_outset_let_in(a->outset, &let_in);
    if (let_in || a->asked.ask.breach_count || a->asked.ask.inflow_count ||
        o->seen[COAMING_SEEN_OPEN].count || o->seen[COAMING_SEEN_FAILED].count)
        return true;
    complain("no water comes from anywhere: name a --breach, an --inflow, or what stands --open");
    return false;
}

static int ask(options *o, const coaming_ship *ship, answers *a)
{
    coaming_error error;
    int result = flood_asked_make(o, ship, &a->asked);
    if (result >= 0)
        return result;
    const coaming_flood_ask *how = &a->asked.ask;
    coaming_query query = o->query;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    result = ask_outset(ship, query, &a->outset);
    if (result < 0 && !has_source(o, a))
        result = EXIT_USAGE;
    if (result >= 0)
        return result;
    coaming_status status = coaming_flood_new(ship, how, &a->flood, &error);
    if (status == COAMING_OK && o->by_when)
        status = coaming_flood_deadlines_new(ship, how, &a->deadlines, &error);
    if (status == COAMING_OK && o->likely)
        status =
            coaming_flood_likely_new(ship, how, (size_t)o->likely, seed_of(o), &a->likely, &error);
    return status == COAMING_OK ? -1 : complain_of(&error);
}

static coaming_flood_page page_of(const options *o, const answers *a)
{
    return (coaming_flood_page){.outset = a->outset,
                                .ask = &a->asked.ask,
                                .flood = a->flood,
                                .deadlines = a->deadlines,
                                .likely = a->likely,
                                .draws = (size_t)o->likely,
                                .seed = seed_of(o),
                                .table = o->every > 0};
}

int cmd_flood(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    answers a = {.flood = NULL};
    int result = flood_said_well(o);
    if (result < 0)
        result = load_asked(o, &ship);
    if (result < 0)
        result = ask(o, ship, &a);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_flood_page page = page_of(o, &a);
        coaming_status status = o->format == COAMING_SVG
                                    ? coaming_print_flood_plots(out.stream, &page, &error)
                                    : coaming_print_flood(out.stream, out.style, &page, &error);
        result = output_close(&out, status, &error);
    }
    answers_free(&a);
    coaming_ship_free(ship);
    return result;
}
