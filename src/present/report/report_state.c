/* The state in a few figures, each with what it means. */
#include <stdlib.h>

#include "base/error.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/report/reporting.h"
#include "present/tell/chance_words.h"
#include "present/tell/float_words.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/survival_words.h"
#include "present/tell/views.h"

void report_closure(const report *r, int closure)
{
    const ship_link *l = &r->ship->links[closure];
    markup_put(r->out, "<b class=\"id\"><bdi>%s</bdi></b> <bdi>%s</bdi>", l->id, l->name);
}

void report_result(FILE *out, const coaming_ship *ship, int closure)
{
    char text[SHOWN];
    markup_put(out, "<span class=\"%s\">", result_word(coaming_closure_result(ship, closure)));
    html_words(out, standing_words(text, ship, closure));
    fputs("</span>", out);
}

void report_amount(const report *r, double value)
{
    char text[SHOWN];
    html_words(r->out, measured(text, r->how->measure, value));
}

/* One figure; `before` is shown where an earlier day is asked for. */
static void put_figure(const report *r, const char *sort, const char *label, size_t now,
                       size_t before, const char *means)
{
    char date[COAMING_DATE_TEXT];
    markup_put(r->out, "<div class=\"%s\"><dt>%s</dt><dd class=\"value\">%zu</dd>", sort, label,
               now);
    if (r->before->ship)
        markup_put(r->out, "<dd class=\"was\">%zu on %s</dd>", before,
                   coaming_date_format(r->before->ship->as_of, date));
    markup_put(r->out, "<dd>%s</dd></div>\n", means);
}

static void put_closures(const report *r)
{
    const size_t *now = r->now->results, *before = r->before->results;
    put_figure(
        r, "fail", "Closures that stand as failed", now[COAMING_FAIL], before[COAMING_FAIL],
        "In consequences and in what is drawn they let water and air through; in chances and risks "
        "they count as likely to leak as their history says.");
    put_figure(
        r, "untested", "Closures untested", now[COAMING_UNTESTED], before[COAMING_UNTESTED],
        "In consequences they hold, unless it says \342\200\230if untested closures "
        "leak\342\200\231; in chances and risks they are as likely to leak as their age says.");
    put_figure(r, "plain", "Closures that stand as passed", now[COAMING_PASS], before[COAMING_PASS],
               "In consequences they hold. A test says what was found on that day.");
    put_figure(r, "plain", "Repaired, not tested since", r->now->repaired, r->before->repaired,
               "Counted above as they stood before: only a test changes that.");
    put_figure(r, "plain", "Tests overdue", coaming_due_overdue_count(r->now->due),
               r->before->ship ? coaming_due_overdue_count(r->before->due) : 0,
               "By the arrangement\342\200\231s intervals, or assumed ones where it gives none.");
}

/* How the expected loss was worked out, if not exactly. */
static void put_manner(const report *r)
{
    char words[SHOWN];
    if (!coaming_risk_is_exact(r->now->risk)) {
        fputs("; ", r->out);
        html_words(r->out, sampled_words(words, r->now->risk));
    }
    fputs(".</dd></div>\n", r->out);
}

static void put_expected(const report *r)
{
    char date[COAMING_DATE_TEXT];
    const bool *asked = r->how->query.hazard;
    bool both = asked[COAMING_WATER] && asked[COAMING_AIR];
    if (!r->now->risk)
        return;
    markup_put(r->out, "<div class=\"plain\"><dt>Expected loss, %s</dt><dd class=\"value\">",
               coaming_measure_word(r->how->measure));
    report_amount(r, coaming_risk_expected(r->now->risk));
    fputs("</dd>", r->out);
    if (r->before->risk) {
        fputs("<dd class=\"was\">", r->out);
        report_amount(r, coaming_risk_expected(r->before->risk));
        markup_put(r->out, " on %s</dd>", coaming_date_format(r->before->ship->as_of, date));
    }
    markup_put(r->out, "<dd>What %s reach%s, summed over the scenarios by weight, " AS_LIKELY,
               both                   ? "water and bad air"
               : asked[COAMING_WATER] ? "water"
                                      : "bad air",
               both ? "" : "es");
    put_manner(r);
}

static coaming_status put_index(const report *r, coaming_error *error)
{
    char tested[SHOWN], built[SHOWN], leaking[SHOWN];
    if (!r->of->survival)
        return COAMING_OK;
    const coaming_survival_index *index = coaming_survival_get_index(r->of->survival);
    char *required = required_words(index);
    if (!required)
        return error_memory(error);
    markup_put(r->out,
               "<div class=\"plain\"><dt>Index of subdivision, as last tested</dt><dd "
               "class=\"value\">%s</dd><dd>What of the damage to her side she survives, by its "
               "weight. As built %s; if untested closures leak %s. %s.</dd></div>\n",
               index_words(tested, index->index[COAMING_AS_TESTED]),
               index_words(built, index->index[COAMING_AS_BUILT]),
               index_words(leaking, index->index[COAMING_UNTESTED_LEAK]), required);
    free(required);
    return COAMING_OK;
}

void report_sinking(const report *r)
{
    bool started = false;
    for (size_t i = 0; i < coaming_ranking_count(r->now->ranking); i++) {
        const coaming_rank *row = coaming_ranking_get(r->now->ranking, i);
        if (!row->lost)
            continue;
        fputs(started ? ", " : "<p><strong class=\"fail\">" LOST_IF_ONE_FAILS ":</strong> ",
              r->out);
        markup_put(r->out, "<bdi>%s</bdi>", r->ship->links[row->closure].id);
        started = true;
    }
    if (started)
        fputs(".</p>\n", r->out);
}

coaming_status report_state(const report *r, coaming_error *error)
{
    markup_put(r->out,
               "<section aria-labelledby=\"state\">\n<h2 id=\"state\">State of the "
               "ship</h2>\n<p>%zu closures, %zu spaces.</p>\n<dl class=\"figures\">\n",
               r->ship->closure_count, r->ship->space_count);
    put_closures(r);
    put_expected(r);
    coaming_status status = put_index(r, error);
    fputs("</dl>\n", r->out);
    report_sinking(r);
    fputs("</section>\n", r->out);
    return status;
}
