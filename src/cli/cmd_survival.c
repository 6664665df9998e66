#include "ask.h"
#include "commands.h"

const char help_survival[] =
    "\nDamage to her side, case by case after SOLAS II-1/7-1: how likely it is, what it\n"
    "opens, and the factor s of 7-2 with her closures as built, as last tested, if\n"
    "untested ones leak and as likely as their history says; the index of each, what\n"
    "the difference hangs on, the cases in which she is lost only as last tested, and\n"
    "the likeliest ways she is lost. Beside it stands the index that\n"
    "is required. This is not the statutory calculation.\n"
    "The arrangement must give kg, or loadings of which one is the deepest.\n"
    "A large study is split by --share and put together by --merge PART...\n";

typedef struct {
    coaming_survival *survival;
    coaming_outset *outset;
} answers;

static bool asked_well(const options *o)
{
    bool part = o->given & OPT_SHARE;
    if (part && o->merge)
        complain("--share and --merge do not go together");
    else if (part && o->given & (OPT_TOP | OPT_CASES))
        complain("--top and --cases choose rows; a share has none");
    else
        return share_fits(o, "survival");
    return false;
}

static coaming_status merge(const options *o, const coaming_ship *ship,
                            const coaming_survival_options *how, coaming_survival **survival,
                            coaming_error *error)
{
    coaming_survival_part *parts = NULL;
    size_t count = (size_t)o->argument_count;
    coaming_status status =
        coaming_survival_parts_load((const char *const *)o->arguments, count, &parts, error);
    if (status != COAMING_OK)
        return status;
    status = coaming_survival_new_from_parts(ship, how, parts, count, survival, error);
    coaming_survival_parts_free(parts, count);
    return status;
}

static int ask(const options *o, const coaming_ship *ship, answers *a)
{
    coaming_query query = coaming_query_default();
    coaming_survival_options how = coaming_survival_options_default();
    coaming_error error;
    how.condition = query.condition = o->query.condition;
    how.loading = query.loading = o->query.loading;
    if (o->given & OPT_LEFT_OPEN) {
        how.within = o->left_open;
        how.work = 0;
    }
    query.hazard[COAMING_AIR] = false;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    coaming_status status =
        o->merge ? merge(o, ship, &how, &a->survival, &error)
        : o->given & OPT_SHARE
            ? coaming_survival_new_share(ship, &how, o->share, o->shares, &a->survival, &error)
            : coaming_survival_new(ship, &how, &a->survival, &error);
    if (status != COAMING_OK)
        return complain_of(&error);
    return ask_outset(ship, query, &a->outset);
}

int cmd_survival(options *o)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    output out;
    answers a = {0};
    int result = asked_well(o) ? load_asked(o, &ship) : EXIT_USAGE;
    if (result < 0)
        result = ask(o, ship, &a);
    if (result < 0)
        result = output_open(&out, o);
    if (result < 0) {
        coaming_survival_rows rows = {a.outset, a.survival, o->cases, (size_t)o->top};
        coaming_status status =
            o->given & OPT_SHARE ? coaming_print_survival_part(out.stream, ship, a.survival, &error)
                                 : coaming_print_survival(out.stream, out.style, &rows, &error);
        result = output_close(&out, status, &error);
    }
    coaming_outset_free(a.outset);
    coaming_survival_free(a.survival);
    coaming_ship_free(ship);
    return result;
}
