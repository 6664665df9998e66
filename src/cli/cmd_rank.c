#include "ask.h"
#include "commands.h"

const char help_rank[] =
    "\nFirst what to make good or test: the closures that stand failed or untested,\n"
    "worst first, with hours. Then all by what their failure would cost, sound or\n"
    "not: over all scenarios the weight of the scenario times what is reached with\n"
    "the closure failed and not with it holding, all others as last tested.\n"
    "Scenarios are the arrangement's own, or else water from outside and a breach of\n"
    "each shell space, and bad air from the weather and from each space. Beside it\n"
    "stands the risk: how likely the closure leaks times what that costs, with all\n"
    "others as likely to leak as they are.\n"
    "A large study is split by --share and put together by --merge PART...\n";

static bool asked_well(const options *o)
{
    bool part = o->given & OPT_SHARE;
    if (part + o->merge + (o->explain != NULL) > 1)
        complain("--share, --merge and --explain do not go together");
    else if ((part || o->explain) && o->given & (OPT_TOP | OPT_BY_RISK | OPT_STANDING))
        complain("--top, --by-risk and --standing choose rows; %s has none",
                 part ? "a share" : "--explain");
    else if (!share_fits(o, "rank"))
        return false;
    else if (o->given & OPT_RISK && (int)o->risk_method == RISK_NONE &&
             (part || o->explain ||
              o->given & (OPT_BY_RISK | OPT_SEED | OPT_SAMPLES | OPT_ACCURACY)))
        complain("--risk=none leaves out what the other options ask of it");
    else if (o->merge && o->given & OPT_SAMPLING)
        complain("--risk, seed and samples of a merge are those of its parts");
    else
        return risk_fits(o);
    return false;
}

/* Rows; or what a share or the explanation of one closure needs alone. */
static int ask(const options *o, const coaming_ship *ship, rank_answer *a, int *closure,
               coaming_likelihood **likelihood)
{
    coaming_error error;
    if (!o->explain)
        return o->given & OPT_SHARE ? ask_risk(o, ship, a) : ask_rank(o, ship, a);
    if (coaming_find_closure(ship, o->explain, closure, &error) != COAMING_OK ||
        coaming_likelihood_new(ship, *closure, likelihood, &error) != COAMING_OK)
        return complain_of(&error);
    return ask_risk(o, ship, a);
}

int cmd_rank(options *o)
{
    coaming_ship *ship = NULL;
    rank_answer a = {0};
    coaming_likelihood *likelihood = NULL;
    coaming_error error;
    output out;
    int closure = -1;
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    if (result < 0)
        result = ask(o, ship, &a, &closure, &likelihood);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_status status =
            o->given & OPT_SHARE ? coaming_print_risk_part(out.stream, ship, a.risk, &error)
            : o->explain         ? coaming_print_likelihood(out.stream, out.style, ship, closure,
                                                            likelihood, &a.rows, &error)
                                 : coaming_print_rank(out.stream, out.style, ship, &a.rows, &error);
        result = output_close(&out, status, &error);
    }
    coaming_likelihood_free(likelihood);
    rank_answer_free(&a);
    coaming_ship_free(ship);
    return result;
}
