/* The report: all that it is made of is worked out first, then written section by section. */
#include "coaming/report.h"

#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/likelihood.h"
#include "coaming/present.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/report_files.h"
#include "present/tell/float_words.h"

coaming_report_options coaming_report_options_default(void)
{
    coaming_report_options how = {.query = coaming_query_default(),
                                  .risk = coaming_risk_options_default(),
                                  .top = 5,
                                  .within = 30};
    how.risk.within = 0.05;
    how.risk.loss_only = true;
    return how;
}

/* --- working out --- */

static void count_results(known *k)
{
    for (size_t i = 0; i < k->ship->closure_count; i++) {
        k->results[coaming_closure_result(k->ship, (int)i)]++;
        k->repaired += k->ship->links[i].repair_since != NULL;
    }
}

static coaming_status know(known *k, const coaming_ship *ship, const coaming_report_options *how,
                           coaming_error *error)
{
    k->ship = ship;
    k->leaks = memory_new(ship->closure_count, sizeof *k->leaks);
    k->place = memory_new(ship->closure_count, sizeof *k->place);
    if (!k->leaks || !k->place)
        return error_memory(error);
    count_results(k);
    coaming_likelihood_all(ship, k->leaks);
    coaming_status status = coaming_due_new(ship, &k->due, error);
    if (status == COAMING_OK)
        coaming_due_within(k->due, how->within);
    if (status == COAMING_OK)
        status = coaming_ranking_new(ship, how->query, how->measure, &k->ranking, error);
    for (size_t i = 0; status == COAMING_OK && i < coaming_ranking_count(k->ranking); i++)
        k->place[coaming_ranking_get(k->ranking, i)->closure] = i;
    if (status == COAMING_OK && how->measure < COAMING_MEASURE_FREEBOARD)
        status =
            coaming_risk_new(ship, how->query, how->measure, NULL, &how->risk, &k->risk, error);
    return status;
}

static void forget(known *k)
{
    coaming_ranking_free(k->ranking);
    coaming_risk_free(k->risk);
    coaming_due_free(k->due);
    memory_free(k->leaks);
    memory_free(k->place);
}

/* A ship that does not float by herself is said to be so; the rest of the report stands. */
static coaming_status survive(report *r, coaming_error *error)
{
    if (!coaming_ship_floats(r->ship))
        return COAMING_OK;
    coaming_status status = coaming_breaches_afloat_new(r->ship, r->how->query.condition,
                                                        &r->survival, &r->survival_refuse);
    if (status == COAMING_OK || status == COAMING_INPUT)
        return COAMING_OK;
    if (error)
        *error = r->survival_refuse;
    return status;
}

static bool same_ship(const coaming_ship *a, const coaming_ship *b)
{
    if (a->closure_count != b->closure_count || strcmp(a->name, b->name) || b->as_of >= a->as_of)
        return false;
    for (size_t i = 0; i < a->closure_count; i++)
        if (strcmp(a->links[i].id, b->links[i].id))
            return false;
    return true;
}

static coaming_status work_out(report *r, coaming_error *error)
{
    const coaming_ship *before = r->how->before;
    if (before && !same_ship(r->ship, before))
        return error_set(error, COAMING_USAGE,
                         "what to compare with is not the same ship of an earlier day");
    coaming_status status = know(&r->now, r->ship, r->how, error);
    if (status == COAMING_OK && before)
        status = know(&r->before, before, r->how, error);
    if (status == COAMING_OK)
        status = let_in_words(r->ship, r->how->query, &r->let_in, error);
    return status == COAMING_OK ? survive(r, error) : status;
}

/* --- writing --- */

static void put_head(const report *r)
{
    fputs("<!DOCTYPE html>\n<html xmlns=\"http://www.w3.org/1999/xhtml\" lang=\"en\">\n<head>\n"
          "<meta charset=\"utf-8\"/>\n",
          r->out);
    markup_put(r->out,
               "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; "
               "style-src 'unsafe-inline'; script-src 'sha256-%s'; base-uri 'none'; "
               "form-action 'none'\"/>\n",
               report_js_hash);
    markup_put(r->out,
               "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>\n"
               "<meta name=\"color-scheme\" content=\"light dark\"/>\n"
               "<title>%s: state of her closures</title>\n<style>\n",
               r->ship->name);
    fwrite(report_css, 1, report_css_size, r->out);
    fputs("</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#repair\">To what is to be "
          "made good first</a>\n",
          r->out);
}

static void put_level(const report *r)
{
    coaming_level level = r->how->query.level;
    if (!r->how->query.hazard[COAMING_WATER])
        return;
    if (level.kind == COAMING_LEVEL_EQUILIBRIUM)
        fputs("water to where she settles with the flooded spaces open to the sea", r->out);
    else if (level.kind == COAMING_LEVEL_FULL)
        fputs("water to the top of the space it starts in, from outside to the draught", r->out);
    else
        markup_put(r->out, "water to %g m above the baseline (%s)",
                   level.kind == COAMING_LEVEL_AT ? level.height : r->ship->draught,
                   level.kind == COAMING_LEVEL_AT ? "as asked" : "the waterline at rest");
    if (r->how->query.hazard[COAMING_AIR])
        fputs("; ", r->out);
}

static void put_title(const report *r)
{
    char date[COAMING_DATE_TEXT];
    int condition = r->how->query.condition;
    markup_put(r->out,
               "<header>\n<h1><bdi>%s</bdi></h1>\n<p class=\"lead\">State of her closures on <span "
               "class=\"day\">%s</span></p>\n",
               r->ship->name, coaming_date_format(r->ship->as_of, date));
    fputs("<dl class=\"asked\">\n<div><dt>Condition</dt><dd>", r->out);
    if (condition >= 0)
        markup_put(r->out, "<bdi>%s</bdi>", r->ship->conditions[condition].name);
    else
        fputs("every closure shut that can be", r->out);
    fputs("</dd></div>\n<div><dt>Hazards</dt><dd>", r->out);
    put_level(r);
    markup_put(r->out, "%s</dd></div>\n<div><dt>Counted in</dt><dd>%s%s%s%s</dd></div>\n</dl>\n",
               r->how->query.hazard[COAMING_AIR] ? "bad air by every open way" : "",
               coaming_measure_word(r->how->measure),
               *coaming_measure_unit(r->how->measure) ? ", " : "",
               coaming_measure_unit(r->how->measure),
               r->how->measure < COAMING_MEASURE_FREEBOARD ? " in reach" : " lost");
    fputs("<p>What all this rests on stands at its end: <a href=\"#assumptions\">assumptions</a> "
          "and <a href=\"#caution\">caution</a>.</p>\n",
          r->out);
    if (r->let_in)
        markup_put(r->out, "<p><strong class=\"fail\">%s</strong></p>\n", r->let_in);
    fputs("</header>\n<main>\n", r->out);
}

static void put_foot(const report *r)
{
    coaming_level level = r->how->query.level;
    if (r->survival)
        level.kind = COAMING_LEVEL_EQUILIBRIUM;
    markup_put(r->out,
               "<section aria-labelledby=\"caution\">\n<h2 id=\"caution\">Caution</h2>\n"
               "<p class=\"caution\">%s</p>\n</section>\n</main>\n<script>",
               coaming_caution_at(level));
    fwrite(report_js, 1, report_js_size, r->out);
    fputs("</script>\n</body>\n</html>\n", r->out);
}

static coaming_status write_page(const report *r, coaming_error *error)
{
    put_head(r);
    put_title(r);
    coaming_status status = report_repair(r, error);
    report_state(r);
    if (status == COAMING_OK && r->before.ship)
        status = report_changes(r, error);
    if (status == COAMING_OK)
        status = report_worst(r, error);
    if (status == COAMING_OK)
        status = report_repair_rest(r, error);
    if (status == COAMING_OK)
        status = report_due(r, error);
    if (status == COAMING_OK)
        status = report_register(r, error);
    if (status != COAMING_OK)
        return status;
    report_survival(r);
    status = report_assumptions(r, error);
    put_foot(r);
    return status;
}

coaming_status coaming_print_report(FILE *out, const coaming_ship *ship,
                                    const coaming_report_options *how, coaming_error *error)
{
    report r = {.out = out, .ship = ship, .how = how};
    coaming_status status = work_out(&r, error);
    if (status == COAMING_OK)
        status = write_page(&r, error);
    forget(&r.now);
    forget(&r.before);
    coaming_breaches_free(r.survival);
    free(r.let_in);
    return status;
}
