/* Tests that are due, and breaches of the side. */
#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/html.h"
#include "present/reporting.h"
#include "present/style.h"

/* --- due --- */

static void put_lateness(FILE *out, const coaming_due_row *row)
{
    char date[COAMING_DATE_TEXT];
    if (row->due == COAMING_NO_DATE) {
        html_put(out, "never done, every %d days", row->days);
        return;
    }
    html_put(out, "<span class=\"day\">%s</span>, ", coaming_date_format(row->due, date));
    if (row->late > 0)
        html_put(out, "<strong>%d\302\240d over</strong>", row->late);
    else if (row->late == 0)
        fputs("today", out);
    else
        html_put(out, "in %d\302\240d", -row->late);
    fputs(row->reason == COAMING_DUE_FAILED     ? ", retest after failure"
          : row->reason == COAMING_DUE_REPAIRED ? ", retest after repair"
                                                : "",
          out);
}

/* All tests of a closure in one row, where the first of them stands. */
static void put_tests(const report *r, size_t first)
{
    const coaming_due *due = r->now.due;
    int closure = coaming_due_get(due, first)->closure;
    fputs("<tr><th scope=\"row\">", r->out);
    report_closure(r, closure);
    fputs("</th><td>", r->out);
    for (size_t i = first; i < coaming_due_count(due); i++) {
        const coaming_due_row *row = coaming_due_get(due, i);
        if (row->closure != closure)
            continue;
        html_put(r->out, "%s%s: ", i > first ? "<br/>" : "", row->method);
        put_lateness(r->out, row);
    }
    fputs("</td><td>", r->out);
    report_result(r->out, r->ship, closure);
    fputs("</td></tr>\n", r->out);
}

static size_t mark_waiting(const report *r, bool *waiting)
{
    size_t closures = 0;
    for (size_t i = 0; i < coaming_due_count(r->now.due); i++) {
        bool *waits = &waiting[coaming_due_get(r->now.due, i)->closure];
        closures += !*waits;
        *waits = true;
    }
    return closures;
}

coaming_status report_due(const report *r, coaming_error *error)
{
    const coaming_due *due = r->now.due;
    size_t count = coaming_due_count(due), overdue = coaming_due_overdue(due);
    bool *waiting = memory_new(r->ship->closure_count, sizeof *waiting);
    if (!waiting)
        return error_memory(error);
    size_t closures = mark_waiting(r, waiting);
    html_put(r->out,
             "<section aria-labelledby=\"due\">\n<h2 id=\"due\">Tests due</h2>\n<p>%z tests "
             "overdue, %z more due within %d days, of %z closures.</p>\n",
             overdue, count - overdue, r->how->within, closures);
    if (count)
        html_table(r->out, "due-list", "Overdue first, the longest first", "Closure|Due|Last test",
                   closures);
    for (size_t i = 0; i < count; i++) {
        bool *waits = &waiting[coaming_due_get(due, i)->closure];
        if (*waits)
            put_tests(r, i);
        *waits = false;
    }
    if (count)
        html_table_end(r->out);
    fputs("</section>\n", r->out);
    memory_free(waiting);
    return COAMING_OK;
}

/* --- survival --- */

enum { CASES_MOST = 60 };

/* Lost, or with the deck edge under water, in some answer. */
static bool listed(const coaming_survival_case *c)
{
    for (int a = 0; a < COAMING_ANSWERS; a++)
        if (c->answer[a].at.afloat != COAMING_AFLOAT_YES || c->answer[a].at.freeboard < 0)
            return true;
    return false;
}

static void put_answer(FILE *out, const coaming_float *at)
{
    if (at->afloat != COAMING_AFLOAT_YES)
        fputs("<td><span class=\"fail\">does not stay afloat</span></td>", out);
    else
        html_put(out, "<td>freeboard %a m%s, heel %a\302\260%s</td>", at->freeboard,
                 at->freeboard < 0 ? " (deck edge under water)" : "", fabs(at->heel),
                 fabs(at->heel) < 0.05 ? ""
                 : at->heel > 0        ? " to port"
                                       : " to starboard");
}

static void put_case(const report *r, const coaming_survival_case *c)
{
    html_put(r->out, "<tr><th scope=\"row\">%b", r->ship->spaces[c->space[0]].name);
    if (c->space[1] >= 0)
        html_put(r->out, " with %b", r->ship->spaces[c->space[1]].name);
    fputs("</th>", r->out);
    for (int a = 0; a < COAMING_ANSWERS; a++)
        put_answer(r->out, &c->answer[a].at);
    fputs("</tr>\n", r->out);
}

static void put_shares(const report *r)
{
    static const char *const words[] = {"as built", "as last tested", "if untested closures leak"};
    html_put(r->out,
             "<p>%z breaches of her side, of one space or of two neighbours. By this "
             "reckoning she stays afloat after: ",
             coaming_survival_count(r->survival));
    for (int a = 0; a < COAMING_ANSWERS; a++)
        html_put(r->out, "%s%p %s", a ? ", " : "", coaming_survival_share(r->survival, a),
                 words[a]);
    fputs(". In still water; righting arms are not counted here (<code>coaming float "
          "--all-breaches</code> does).</p>\n",
          r->out);
}

static void put_cases(const report *r)
{
    size_t lost = 0, put = 0;
    for (size_t i = 0; i < coaming_survival_count(r->survival); i++)
        lost += listed(coaming_survival_get(r->survival, i));
    if (!lost)
        return;
    html_table(r->out, "breaches",
               "Breaches after which she does not stay afloat, or has the deck edge under "
               "water, in some answer",
               "Breached|As built|As last tested|If untested closures leak",
               lost < CASES_MOST ? lost : CASES_MOST);
    for (size_t i = 0; i < coaming_survival_count(r->survival) && put < CASES_MOST; i++) {
        const coaming_survival_case *c = coaming_survival_get(r->survival, i);
        if (!listed(c))
            continue;
        put_case(r, c);
        put++;
    }
    html_table_end(r->out);
    if (put < lost)
        html_put(r->out, "<p>And %z more.</p>\n", lost - put);
}

void report_survival(const report *r)
{
    fputs("<section aria-labelledby=\"survival\">\n<h2 id=\"survival\">Breaches of her side</h2>\n",
          r->out);
    if (!coaming_ship_floats(r->ship))
        fputs("<p>How she floats after a breach cannot be told: the arrangement gives no kg, the "
              "height of her centre of gravity.</p>\n",
              r->out);
    else if (!r->survival)
        html_put(r->out, "<p>Cannot be told: %t</p>\n", r->survival_refuse.message);
    else if (!coaming_survival_count(r->survival))
        fputs("<p>No space is marked as shell, so there is nothing to breach.</p>\n", r->out);
    else {
        put_shares(r);
        put_cases(r);
    }
    fputs("</section>\n", r->out);
}
