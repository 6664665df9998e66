/* The state in a few figures, each with what it means. */
#include <math.h>
#include <string.h>

#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/report/reporting.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

void report_closure(const report *r, int closure)
{
    const ship_link *l = &r->ship->links[closure];
    markup_put(r->out, "<b class=\"id\"><bdi>%s</bdi></b> <bdi>%s</bdi>", l->id, l->name);
}

/* Text in which no date is broken at its hyphens. */
static void put_days_whole(FILE *out, const char *text)
{
    char word[SHOWN];
    for (const char *at = text; *at;) {
        size_t length = strcspn(at, " ");
        snprintf(word, sizeof word, "%.*s", (int)length, at);
        markup_put(out, strchr(word, '-') ? "<span class=\"day\">%s</span>" : "%s", word);
        at += length;
        if (*at)
            fputc(*at++, out);
    }
}

void report_result(FILE *out, const coaming_ship *ship, int closure)
{
    char text[SHOWN];
    markup_put(out, "<span class=\"%s\">", result_word(coaming_closure_result(ship, closure)));
    put_days_whole(out, standing_words(text, ship, closure));
    fputs("</span>", out);
}

const char *report_unit(const report *r)
{
    return r->how->measure == COAMING_MEASURE_VOLUME ? " m\302\263"
           : *coaming_measure_unit(r->how->measure)  ? " m"
                                                     : "";
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

static void put_expected(const report *r)
{
    char date[COAMING_DATE_TEXT];
    if (!r->now->risk)
        return;
    markup_put(
        r->out, "<div class=\"plain\"><dt>Expected loss, %s</dt><dd class=\"value\">%g%s</dd>",
        coaming_measure_word(r->how->measure), coaming_risk_expected(r->now->risk), report_unit(r));
    if (r->before->risk)
        markup_put(r->out, "<dd class=\"was\">%g%s on %s</dd>",
                   coaming_risk_expected(r->before->risk), report_unit(r),
                   coaming_date_format(r->before->ship->as_of, date));
    const bool *asked = r->how->query.hazard;
    markup_put(r->out, "<dd>What %s reach%s, ",
               asked[COAMING_WATER] && asked[COAMING_AIR] ? "water and bad air"
               : asked[COAMING_WATER]                     ? "water"
                                                          : "bad air",
               asked[COAMING_WATER] && asked[COAMING_AIR] ? "" : "es");
    fputs("summed over the scenarios by weight, each closure "
          "leaking as likely as its history says",
          r->out);
    if (coaming_risk_limit(r->now->risk) >= 0)
        markup_put(r->out,
                   "; sampled, in no sample otherwise, with a confidence of 95 in 100 at most %g",
                   coaming_risk_limit(r->now->risk));
    else if (!coaming_risk_is_exact(r->now->risk))
        markup_put(r->out, "; sampled, standard error %g", coaming_risk_error(r->now->risk));
    markup_put(r->out, ".%s</dd></div>\n",
               r->how->query.level.kind == COAMING_LEVEL_EQUILIBRIUM &&
                       r->how->query.hazard[COAMING_WATER]
                   ? " Water is counted at the waterline at rest."
                   : "");
}

static size_t afloat(const report *r, int answer)
{
    return (size_t)llround(coaming_breaches_share(r->of->breaches, answer) *
                           (double)coaming_breaches_count(r->of->breaches));
}

static void put_afloat(const report *r)
{
    if (!r->of->breaches || !coaming_breaches_count(r->of->breaches))
        return;
    size_t count = coaming_breaches_count(r->of->breaches);
    markup_put(
        r->out,
        "<div class=\"plain\"><dt>Breaches of her side that she survives, by this "
        "reckoning</dt><dd class=\"value\">%zu of %zu</dd><dd>As last tested. As built %zu; if "
        "untested closures leak %zu.</dd></div>\n",
        afloat(r, COAMING_AS_TESTED), count, afloat(r, COAMING_AS_BUILT),
        afloat(r, COAMING_UNTESTED_LEAK));
}

void report_sinking(const report *r)
{
    bool started = false;
    for (size_t i = 0; i < coaming_ranking_count(r->now->ranking); i++) {
        const coaming_rank *row = coaming_ranking_get(r->now->ranking, i);
        if (!row->lost)
            continue;
        fputs(started
                  ? ", "
                  : "<p><strong class=\"fail\">She does not stay afloat in some scenario if one "
                    "of these fails:</strong> ",
              r->out);
        markup_put(r->out, "<bdi>%s</bdi>", r->ship->links[row->closure].id);
        started = true;
    }
    if (started)
        fputs(".</p>\n", r->out);
}

void report_state(const report *r)
{
    markup_put(r->out,
               "<section aria-labelledby=\"state\">\n<h2 id=\"state\">State of the "
               "ship</h2>\n<p>%zu closures, %zu spaces.</p>\n<dl class=\"figures\">\n",
               r->ship->closure_count, r->ship->space_count);
    put_closures(r);
    put_expected(r);
    put_afloat(r);
    fputs("</dl>\n", r->out);
    report_sinking(r);
    fputs("</section>\n", r->out);
}
