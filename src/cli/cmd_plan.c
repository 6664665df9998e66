#include "ask.h"
#include "commands.h"
#include "words.h"

const char help_plan[] =
    "\nThe set of repairs that lowers the expected loss most in the hours given, by the\n"
    "hours that the arrangement gives for each closure, with the interplay of\n"
    "closures behind and beside each other; and which tests would teach most.\n"
    "With --measure=survival it is the set that wins most of the expected index of\n"
    "subdivision: damage to her side, her closures as likely as their history says.\n";

static bool by_survival(const options *o)
{
    return (int)o->measure == MEASURE_SURVIVAL;
}

static bool asked_well(const options *o)
{
    if (!(o->given & OPT_HOURS))
        complain("--hours is missing; see 'coaming plan --help'");
    else if (by_survival(o) && o->given & (OPT_HAZARD | OPT_LEVEL | OPT_SAMPLING))
        complain("--measure=survival is of damage to her side, where she settles: --hazard, "
                 "--level, --risk, --seed, --samples and --within do not go with it");
    else
        return true;
    return false;
}

/* What a plan starts from: of survival, as of the command of that name. */
static coaming_query query_of(const options *o)
{
    coaming_query query = o->query;
    if (!by_survival(o))
        return query;
    query.hazard[COAMING_WATER] = true;
    query.hazard[COAMING_AIR] = false;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    return query;
}

static coaming_status plan_survival(const options *o, const coaming_ship *ship, coaming_plan **plan,
                                    coaming_error *error)
{
    coaming_survival_options how = coaming_survival_options_default();
    how.condition = o->query.condition;
    how.loading = o->query.loading;
    return coaming_plan_survival_new(ship, &how, o->hours, plan, error);
}

/* What a plan counts at one plane, and beside it, where flooding settles with her, what she does not
 * survive. */
static coaming_status plan_loss(const options *o, const coaming_ship *ship, coaming_plan **plan,
                                coaming_ranking **ranking, coaming_error *error)
{
    coaming_risk_options r = risk_asked(o);
    coaming_status status = coaming_plan_new(ship, o->query, o->measure, o->hours, &r, plan, error);
    if (status == COAMING_OK && o->query.hazard[COAMING_WATER] &&
        o->query.level.kind == COAMING_LEVEL_EQUILIBRIUM &&
        coaming_space_count(ship) <= COAMING_PLAN_SETTLED)
        status = coaming_ranking_new(ship, o->query, o->measure, ranking, error);
    return status;
}

static int ask_plan(const options *o, const coaming_ship *ship, coaming_plan **plan,
                    coaming_ranking **ranking)
{
    coaming_error error;
    coaming_status status = by_survival(o) ? plan_survival(o, ship, plan, &error)
                                           : plan_loss(o, ship, plan, ranking, &error);
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
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    if (result < 0)
        result = ask_plan(o, ship, &plan, &ranking);
    if (result < 0)
        result = ask_outset(ship, query_of(o), &outset);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_plan_answer answer = {query_of(o), outset, o->measure, o->hours, plan, ranking};
        coaming_status status = coaming_print_plan(out.stream, out.style, ship, &answer, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(outset);
    coaming_ranking_free(ranking);
    coaming_plan_free(plan);
    coaming_ship_free(ship);
    return result;
}
