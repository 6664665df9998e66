/* Tests that are due. */
#include "base/error.h"
#include "base/memory.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/form/style.h"
#include "present/report/reporting.h"
#include "present/tell/late_words.h"

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
