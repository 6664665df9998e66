/* Tests that are due, and breaches of the side. */
#include "base/error.h"
#include "base/memory.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/report/reporting.h"
#include "present/tell/float_words.h"
#include "present/tell/late_words.h"

/* --- due --- */

size_t report_due_soon(const report *r)
{
    size_t count = 0;
    while (count < coaming_due_count(r->now->due)) {
        const coaming_due_row *row = coaming_due_get(r->now->due, count);
        if (!row->overdue && row->due - r->ship->as_of > r->how->within)
            break;
        count++;
    }
    return count;
}

void report_test_day(const report *r, const coaming_due_row *row)
{
    char text[SHOWN];
    if (row->due == COAMING_NO_DATE)
        html_words(r->out, late_words(text, row));
    else
        html_words(r->out, coaming_date_format(row->due, text));
}

static void put_lateness(const report *r, const coaming_due_row *row)
{
    char late[SHOWN];
    const char *retest = retest_words(row);
    report_test_day(r, row);
    if (row->due == COAMING_NO_DATE) {
        markup_put(r->out, ", every %d days", row->days);
        return;
    }
    fputs(row->late > 0 ? ", <strong>" : ", ", r->out);
    html_words(r->out, late_words(late, row));
    fputs(row->late > 0 ? "</strong>" : "", r->out);
    markup_put(r->out, "%s%s", *retest ? ", " : "", retest);
}

/* All tests of a closure in one row, where the first of them stands. */
static void put_tests(const report *r, size_t first)
{
    const coaming_due *due = r->now->due;
    int closure = coaming_due_get(due, first)->closure;
    fputs("<tr><th scope=\"row\">", r->out);
    report_closure(r, closure);
    fputs("</th><td>", r->out);
    for (size_t i = first; i < report_due_soon(r); i++) {
        const coaming_due_row *row = coaming_due_get(due, i);
        if (row->closure != closure)
            continue;
        markup_put(r->out, "%-s%s: ", i > first ? "<br/>" : "", row->method);
        put_lateness(r, row);
    }
    fputs("</td><td>", r->out);
    report_result(r->out, r->ship, closure);
    fputs("</td></tr>\n", r->out);
}

static size_t mark_waiting(const report *r, bool *waiting)
{
    size_t closures = 0;
    for (size_t i = 0; i < report_due_soon(r); i++) {
        bool *waits = &waiting[coaming_due_get(r->now->due, i)->closure];
        closures += !*waits;
        *waits = true;
    }
    return closures;
}

coaming_status report_due(const report *r, coaming_error *error)
{
    const coaming_due *due = r->now->due;
    size_t count = report_due_soon(r), overdue = coaming_due_overdue_count(due);
    bool *waiting = memory_new(r->ship->closure_count, sizeof *waiting);
    if (!waiting)
        return error_memory(error);
    size_t closures = mark_waiting(r, waiting);
    markup_put(r->out,
               "<section aria-labelledby=\"due\">\n<h2 id=\"due\">Tests due</h2>\n<p>%zu tests "
               "overdue, %zu more due within %d days, of %zu closures.</p>\n",
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

/* Not survived in some answer. */
static bool listed(const coaming_breaches_case *c)
{
    for (int a = 0; a < COAMING_ANSWERS; a++)
        if (c->answer[a].stability.grade >= COAMING_GRADE_NOT_SURVIVING)
            return true;
    return false;
}

static void put_survival(FILE *out, const coaming_breaches_answer *a)
{
    char heel[SHOWN];
    bool started = false;
    coaming_grade grade = a->stability.grade;
    if (grade == COAMING_GRADE_LOST) {
        markup_put(out, "<td><span class=\"fail\">lost: %s</span></td>",
                   coaming_afloat_text(a->at.afloat));
        return;
    }
    markup_put(out, "<td>freeboard %g m, heel %s", a->at.freeboard, heel_words(heel, &a->at, 1));
    if (grade == COAMING_GRADE_NOT_SURVIVING)
        markup_put(out, ": <span class=\"fail\">%s</span>: ", coaming_grade_text(grade));
    for (int i = 0; i < COAMING_LIMITS; i++) {
        if (a->stability.passed[i])
            markup_put(out, "%s%s", started ? ", " : "", coaming_limit_text((coaming_limit)i));
        started = started || a->stability.passed[i];
    }
    fputs("</td>", out);
}

static void put_case(const report *r, const coaming_breaches_case *c)
{
    markup_put(r->out, "<tr><th scope=\"row\"><bdi>%s</bdi>", r->ship->spaces[c->space[0]].name);
    if (c->space[1] >= 0)
        markup_put(r->out, " with <bdi>%s</bdi>", r->ship->spaces[c->space[1]].name);
    fputs("</th>", r->out);
    for (int a = 0; a < COAMING_ANSWERS; a++)
        put_survival(r->out, &c->answer[a]);
    fputs("</tr>\n", r->out);
}

static void put_shares(const report *r)
{
    static const char *const words[] = {"As built", "As last tested", "If untested closures leak"};
    markup_put(
        r->out,
        "<p>%zu breaches of her side, of one space or of two neighbours, by this reckoning in "
        "still water (<code>coaming float --all-breaches</code> tells more of each):</p>\n"
        "<ul>\n",
        coaming_breaches_count(r->of->breaches));
    for (int a = 0; a < COAMING_ANSWERS; a++) {
        markup_put(r->out, "<li>%s: ", words[a]);
        for (int grade = COAMING_GRADES - 1; grade >= 0; grade--)
            markup_put(r->out, "%zu %s%-s",
                       coaming_breaches_grade_count(r->of->breaches, (coaming_answer)a,
                                                    (coaming_grade)grade),
                       coaming_grade_text((coaming_grade)grade), grade ? "; " : ".</li>\n");
    }
    fputs("</ul>\n", r->out);
}

static void put_cases(const report *r)
{
    size_t lost = 0, put = 0;
    for (size_t i = 0; i < coaming_breaches_count(r->of->breaches); i++)
        lost += listed(coaming_breaches_get(r->of->breaches, i));
    if (!lost)
        return;
    html_table(r->out, "breaches",
               "Breaches after which she is lost, or afloat but not surviving, in some answer",
               "Breached|As built|As last tested|If untested closures leak",
               lost < CASES_MOST ? lost : CASES_MOST);
    for (size_t i = 0; i < coaming_breaches_count(r->of->breaches) && put < CASES_MOST; i++) {
        const coaming_breaches_case *c = coaming_breaches_get(r->of->breaches, i);
        if (!listed(c))
            continue;
        put_case(r, c);
        put++;
    }
    html_table_end(r->out);
    if (put < lost)
        markup_put(r->out, "<p>And %zu more.</p>\n", lost - put);
}

void report_survival(const report *r)
{
    fputs("<section aria-labelledby=\"survival\">\n<h2 id=\"survival\">Breaches of her side</h2>\n",
          r->out);
    if (!coaming_ship_floats(r->ship))
        fputs("<p>How she floats after a breach cannot be told: the arrangement gives no kg, the "
              "height of her centre of gravity.</p>\n",
              r->out);
    else if (!r->of->breaches)
        markup_put(r->out, "<p>Cannot be told: %s</p>\n", r->of->breaches_refuse.message);
    else if (!coaming_breaches_count(r->of->breaches))
        fputs("<p>No space is marked as shell, so there is nothing to breach.</p>\n", r->out);
    else {
        put_shares(r);
        put_cases(r);
    }
    fputs("</section>\n", r->out);
}
