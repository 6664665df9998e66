#include "ask.h"
#include "commands.h"

const char help_export[] =
    "\nWrites spaces, closures, passages, scenarios, every test and repair, and the\n"
    "results of expose --all and rank as one JSON document; as a graph with all these\n"
    "values (graphml, dot); or, with --format csv, one list of the ship with the\n"
    "columns that 'coaming import' reads.\n";

/* One list or the whole document: what was asked for, and nothing by half. */
static bool table_fits(const options *o)
{
    if (o->format == COAMING_CSV && !(o->given & OPT_TABLE))
        complain("--format csv needs --table spaces, closures, passages, pumps, fans or tests");
    else if (o->format != COAMING_CSV && o->given & OPT_TABLE)
        complain("--table goes with --format csv");
    else if (o->given & OPT_TABLE && o->given & OPT_SAMPLING)
        complain("a list has no risk, so that --risk, seed and samples do not go with --table");
    else if (o->given & OPT_TABLE && o->given & OPT_SEEN)
        complain(
            "a list is of what is recorded, so that --open, --shut and --failed do not go with "
            "--table");
    else
        return true;
    return false;
}

typedef struct {
    coaming_exposure *exposure; /* of the JSON document alone */
    rank_answer rank;
} answers;

/* A list asks nothing. */
static int ask(const options *o, const coaming_ship *ship, answers *a)
{
    coaming_error error;
    if (o->format == COAMING_CSV)
        return -1;
    if (o->format == COAMING_JSON &&
        coaming_exposure_new(ship, o->query, NULL, 0, &a->exposure, &error) != COAMING_OK)
        return complain_of(&error);
    return ask_rank(o, ship, &a->rank);
}

static coaming_status print(const options *o, const output *out, const coaming_ship *ship,
                            const answers *a, coaming_error *error)
{
    switch (o->format) {
    case COAMING_CSV:
        return coaming_print_table(out->stream, ship, o->table, error);
    case COAMING_GRAPHML:
    case COAMING_DOT:
        return coaming_print_graph(out->stream, out->style, ship, &a->rank.rows, error);
    default:
        return coaming_print_export(out->stream, ship, a->exposure, &a->rank.rows, error);
    }
}

int cmd_export(options *o)
{
    coaming_ship *ship = NULL;
    answers a = {0};
    coaming_error error;
    output out;
    if (!table_fits(o) || !risk_fits(o))
        return EXIT_USAGE;
    int result = load_asked(o, &ship);
    if (result < 0)
        result = ask(o, ship, &a);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status = print(o, &out, ship, &a, &error);
        result = output_close(&out, status, &error);
    }
    coaming_exposure_free(a.exposure);
    rank_answer_free(&a.rank);
    coaming_ship_free(ship);
    return result;
}
