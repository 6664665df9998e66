/* A rank and its risk, asked in one way, so that every command shows the same numbers. */
#include <stdlib.h>
#include <string.h>

#include "ask.h"

/* How often what is usual may be settled where an accuracy is asked for. */
enum { MOST_ROUNDS = 16 };

bool share_fits(const options *o, const char *name)
{
    if (o->given & OPT_SHARE && o->format == COAMING_CSV)
        complain("a part is written in JSON, not as CSV");
    else if (o->merge && !o->argument_count)
        complain("--merge needs the files that --share wrote");
    else if (!o->merge && o->argument_count)
        complain("'%s' is one word too many; see 'coaming %s --help'", o->arguments[0], name);
    else
        return true;
    return false;
}

bool risk_fits(const options *o)
{
    if (o->measure < COAMING_MEASURE_FREEBOARD ||
        !(o->given & (OPT_SAMPLING | OPT_SHARE | OPT_MERGE | OPT_EXPLAIN | OPT_BY_RISK)))
        return true;
    complain("risk is counted in worth, volume, people or spaces, not in %s",
             coaming_measure_word(o->measure));
    return false;
}

static bool without_risk(const options *o)
{
    return o->measure >= COAMING_MEASURE_FREEBOARD ||
           (o->given & OPT_RISK && (int)o->risk_method == RISK_NONE);
}

coaming_risk_options risk_asked(const options *o)
{
    coaming_risk_options r = coaming_risk_options_default();
    r.within = 0.05;
    if (o->given & OPT_RISK)
        r.method = o->risk_method;
    if (o->given & OPT_SEED)
        r.seed = o->seed;
    if (o->given & OPT_SAMPLES)
        r.samples = o->samples;
    if (o->given & OPT_ACCURACY) { /* then as long as it takes, within reason */
        r.within = o->accuracy;
        r.sampling = 0;
        r.settlings = MOST_ROUNDS * r.settlings;
    }
    if (o->given & OPT_SHARE) {
        r.share = o->share;
        r.shares = o->shares;
    }
    return r;
}

int leave_out_air(options *o, const coaming_place *sources, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (sources[i] != COAMING_SEA)
            return -1;
    if (!o->query.hazard[COAMING_WATER]) {
        complain("the sea is no source of bad air; name the weather or a space");
        return EXIT_USAGE;
    }
    o->query.hazard[COAMING_AIR] = false;
    return -1;
}

int ask_outset(const coaming_ship *ship, coaming_query query, coaming_outset **outset)
{
    coaming_error error;
    return coaming_outset_new(ship, query, outset, &error) == COAMING_OK ? -1 : complain_of(&error);
}

static coaming_status merge(const options *o, const coaming_ship *ship, coaming_risk **risk,
                            coaming_error *error)
{
    coaming_risk_part *parts = NULL;
    size_t count = (size_t)o->argument_count;
    coaming_risk_options r = risk_asked(o);
    coaming_status status =
        coaming_risk_parts_load((const char *const *)o->arguments, count, &parts, error);
    if (status != COAMING_OK)
        return status;
    status = coaming_risk_new_from_parts(ship, o->query, o->measure, NULL, &r, parts, count, risk,
                                         error);
    coaming_risk_parts_free(parts, count);
    return status;
}

int ask_risk(const options *o, const coaming_ship *ship, rank_answer *a)
{
    coaming_error error;
    coaming_risk_options r = risk_asked(o);
    coaming_status status = COAMING_OK;
    if (!(o->given & OPT_SHARE))
        status = coaming_outset_new(ship, o->query, &a->outset, &error);
    if (status == COAMING_OK && !without_risk(o))
        status = o->merge
                     ? merge(o, ship, &a->risk, &error)
                     : coaming_risk_new(ship, o->query, o->measure, NULL, &r, &a->risk, &error);
    a->rows = coaming_rank_options_default();
    a->rows.query = o->query;
    a->rows.outset = a->outset;
    a->rows.measure = o->measure;
    a->rows.risk = a->risk;
    a->rows.by_risk = o->by_risk;
    a->rows.top = (size_t)o->top;
    a->rows.standing = o->standing;
    return status == COAMING_OK ? -1 : complain_of(&error);
}

/* By risk; of closures without any the consequence decides as before. */
static int sort_by_risk(rank_answer *a, size_t closures)
{
    coaming_error error;
    double *values = calloc(closures + 1, sizeof *values);
    if (!values)
        return complain_of_memory();
    for (size_t i = 0; i < closures; i++)
        values[i] = coaming_risk_get(a->risk, (int)i)->repair_gain;
    coaming_status status = coaming_ranking_sort(a->ranking, values, &error);
    free(values);
    return status == COAMING_OK ? -1 : complain_of(&error);
}

int ask_rank(const options *o, const coaming_ship *ship, rank_answer *a)
{
    coaming_error error;
    size_t closures = coaming_closure_count(ship);
    int result = ask_risk(o, ship, a);
    if (result < 0 &&
        coaming_ranking_new(ship, o->query, o->measure, &a->ranking, &error) != COAMING_OK)
        result = complain_of(&error);
    if (result < 0 && o->by_risk && a->risk)
        result = sort_by_risk(a, closures);
    if (result >= 0)
        return result;
    a->leaks = calloc(closures + 1, sizeof *a->leaks);
    if (!a->leaks)
        return complain_of_memory();
    coaming_likelihood_all(ship, a->leaks);
    a->rows.ranking = a->ranking;
    a->rows.leaks = a->leaks;
    return -1;
}

void rank_answer_free(rank_answer *a)
{
    coaming_outset_free(a->outset);
    coaming_risk_free(a->risk);
    coaming_ranking_free(a->ranking);
    free(a->leaks);
}

int ask_walk(const options *o, const coaming_ship *ship, coaming_round_options *how)
{
    how->inside = o->inside;
    if (!o->start || !strcmp(o->start, "weather"))
        return -1;
    return find_space(ship, o->start, &how->start);
}
