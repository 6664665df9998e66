#include <math.h>

#include "base/error.h"
#include "present/form/style.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/heading.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static bool print_step(FILE *out, coaming_style style, const coaming_step *s)
{
    char date[COAMING_DATE_TEXT], before[SHOWN], after[SHOWN], age[SHOWN], se[SHOWN], sp[SHOWN];
    coaming_date_format(s->date, date);
    percent(before, s->before);
    percent(after, s->after);
    amount(age, s->age);
    switch (s->kind) {
    case COAMING_STEP_FITTED:
        if (s->success >= 1)
            return print_line(out, style, 2, 14, "%s: gasket fitted: sound", date);
        return print_line(out, style, 2, 14,
                          "%s: %s by then (%s years old); new gasket fitted, which works with %s: "
                          "%s",
                          date, before, age, percent(se, s->success), after);
    case COAMING_STEP_GIVEN:
        return print_line(out, style, 2, 14, "%s: %s, given by the arrangement", date, after);
    case COAMING_STEP_SEEN:
        return print_line(out, style, 2, 14, "%s: %s, failed (" AS_SEEN ")", date, after);
    case COAMING_STEP_NOW:
        return print_line(out, style, 2, 14, "%s: %s by now, the gasket %s years old", date, after,
                          age);
    case COAMING_STEP_REPAIR:
        return print_line(out, style, 2, 14,
                          "%s: %s by then (%s years old); repaired (%s), which works with %s: %s",
                          date, before, age, s->what, percent(se, s->success), after);
    default:
        return print_line(
            out, style, 2, 14,
            "%s: %s by then (%s years old); test by %s: %s (finds %s of leaks, passes "
            "%s of sound ones): %s",
            date, before, age, s->what, s->result == COAMING_FAIL ? "FAIL" : "pass",
            percent(se, s->sensitivity), percent(sp, s->specificity), after);
    }
}

/* Of a gasket whose age is not known: how old it is taken to be, and why. */
static bool print_supposed(FILE *out, coaming_style style, const coaming_likelihood *l)
{
    char age[SHOWN], why[80] = "half its characteristic life";
    if (isnan(l->supposed_age))
        return true;
    if (l->known_age_count)
        snprintf(why, sizeof why, "the mean of the %zu of its kind whose age is known",
                 l->known_age_count);
    return print_line(out, style, 0, 2,
                      "No date of fitting of the %sgasket: taken as %s years old when it was last "
                      "there, by %s, its first entry and the closure's own age (assumption).",
                      l->age_assumed ? "" : "older ", amount(age, l->supposed_age), why);
}

static bool print_parameters(FILE *out, coaming_style style, const coaming_likelihood *l)
{
    char eta[SHOWN], beta[SHOWN];
    if (!by_history(l))
        return true;
    bool good =
        print_line(out, style, 0, 2,
                   "Ages by a Weibull hazard: characteristic life %s years, shape %s (%s)%s%s.",
                   amount(eta, l->eta_years), amount(beta, l->beta),
                   l->ageing_assumed ? "assumptions, no source" : "given by the arrangement",
                   l->methods_assumed ? "; what tests find is an assumption, no source" : "",
                   l->repairs_assumed
                       ? "; how often a repair works is an assumption, common practice, no source"
                       : "");
    return good && print_supposed(out, style, l);
}

/* "not known" for what no branch tells. */
static const char *known(char buffer[SHOWN], double value)
{
    return isnan(value) ? "not known" : isfinite(value) ? amount(buffer, value) : "without bound";
}

static const char *known_share(char buffer[SHOWN], double value)
{
    return isnan(value) ? "not known" : percent(buffer, value);
}

/* Why something is not, and what a repair does all the same. */
static bool print_unknown(FILE *out, coaming_style style, coaming_measure measure,
                          const coaming_risk_row *r)
{
    char number[SHOWN], gain[SHOWN];
    measured(number, measure, r->repair_gain);
    snprintf(gain, SHOWN, "a repair gains %.60s", r->repair_gain > 0 ? number : "nothing");
    if (isnan(r->risk))
        return print_line(out, style, 0, 2,
                          "Water passes it whatever its gasket where she settles, and she was not "
                          "settled with it holding; %s.",
                          gain);
    if (passes_anyhow(r) &&
        !print_line(out, style, 0, 2, "It passes whatever its gasket; %s.", gain))
        return false;
    return !isnan(r->fussell_vesely) ||
           print_line(out, style, 0, 2,
                      "Where she settles the ways through it change from state to state, and "
                      "Fussell-Vesely is not counted.");
}

/* The loss's own error stands beside it, and the risk's beside the risk. */
static bool print_importance(FILE *out, coaming_style style, int closure,
                             const coaming_rank_options *rank)
{
    const coaming_risk *risk = rank->risk;
    coaming_measure measure = rank->measure;
    const coaming_risk_row *r = coaming_risk_get(risk, closure);
    char a[SHOWN], b[SHOWN], c[SHOWN], d[SHOWN], e[SHOWN], f[SHOWN], g[SHOWN];
    char how[SHOWN], doubt[SHOWN];
    fputc('\n', out);
    return print_scope(out, style, rank->outset) &&
           print_line(out, style, 0, 2,
                      "Of an expected loss of %s (%s): Birnbaum %s, risk %s%s, criticality %s, "
                      "Fussell-Vesely %s (by minimal ways through it), achievement worth %s and "
                      "reduction worth %s.",
                      measured_loss(a, measure, coaming_risk_expected(risk)),
                      sampled_words(how, risk), known(b, r->birnbaum), known(c, r->risk),
                      risk_doubt_words(doubt, r), known_share(d, r->criticality),
                      known_share(e, r->fussell_vesely), known(f, r->achievement),
                      known(g, r->reduction)) &&
           print_unknown(out, style, measure, r);
}

static bool text_likelihood(FILE *out, coaming_style style, const coaming_ship *ship, int closure,
                            const coaming_likelihood *l, const coaming_rank_options *rank)
{
    const ship_link *link = &ship->links[closure];
    char id[SHOWN], name[SHOWN], title[2 * SHOWN];
    snprintf(title, sizeof title, "how likely %s %s leaks", shown(id, link->id, 24),
             shown(name, link->name, 40));
    bool good = print_title(out, style, ship, title) && print_parameters(out, style, l);
    fputc('\n', out);
    for (size_t i = 0; i < l->step_count && good; i++)
        good = print_step(out, style, &l->steps[i]);
    return good && print_importance(out, style, closure, rank) &&
           print_caution(out, style, coaming_caution_at(rank->query.level));
}

coaming_status coaming_print_likelihood(FILE *out, coaming_style style, const coaming_ship *ship,
                                        int closure, const coaming_likelihood *likelihood,
                                        const coaming_rank_options *rank, coaming_error *error)
{
    if (!rank->outset)
        return outset_missing(error);
    if (style.format != COAMING_TEXT)
        return json_likelihood(out, style.format, ship, closure, likelihood, rank, error);
    return text_likelihood(out, style_fit(style), ship, closure, likelihood, rank)
               ? COAMING_OK
               : error_memory(error);
}
