#include "ask.h"
#include "commands.h"

const char help_plan[] =
    "\nThe set of repairs that lowers the expected loss most in the hours given, by the\n"
    "hours that the arrangement gives for each closure, with the interplay of\n"
    "closures behind and beside each other; and which tests would teach most.\n";

/* What a plan counts at one plane, and beside it, where flooding settles with her, what she does not
 * survive. */
static int ask_plan(const options *o, const coaming_ship *ship, coaming_plan **plan,
                    coaming_ranking **ranking)
{
    coaming_error error;
    coaming_risk_options r = risk_asked(o);
    coaming_status status =
        coaming_plan_new(ship, o->query, o->measure, o->hours, &r, plan, &error);
    if (status == COAMING_OK && o->query.hazard[COAMING_WATER] &&
        o->query.level.kind == COAMING_LEVEL_EQUILIBRIUM &&
        coaming_space_count(ship) <= COAMING_PLAN_SETTLED)
        status = coaming_ranking_new(ship, o->query, o->measure, ranking, &error);
    return status == COAMING_OK ? -1 : complain_of(&error);
}

int cmd_plan(options *o)
{
    coaming_ship *ship = NULL;
    coaming_plan *plan = NULL;
    coaming_ranking *ranking = NULL;
    coaming_outset *outset = NULL;
    coaming_error error;
    output out;
    if (!(o->given & OPT_HOURS)) {
        complain("--hours is missing; see 'coaming plan --help'");
        return EXIT_USAGE;
    }
    int result = load_asked(o, &ship);
    if (result < 0)
        result = ask_plan(o, ship, &plan, &ranking);
    if (result < 0)
        result = ask_outset(ship, o->query, &outset);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_plan_answer answer = {o->query, outset, o->measure, o->hours, plan, ranking};
        coaming_status status = coaming_print_plan(out.stream, out.style, ship, &answer, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(outset);
    coaming_ranking_free(ranking);
    coaming_plan_free(plan);
    coaming_ship_free(ship);
    return result;
}
