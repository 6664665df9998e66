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

/* Of each test that is told the next of the same closure, whose number is greater by one; 0: none.
 * next: by test, all 0; last: by closure, all 0. How many closures there are. */
static size_t link_tests(const report *r, size_t count, size_t *next, size_t *last)
{
    size_t closures = 0;
    for (size_t i = 0; i < count; i++) {
        size_t *before = &last[coaming_due_get(r->now->due, i)->closure];
        closures += !*before;
        if (*before)
            next[*before - 1] = i + 1;
        *before = i + 1;
    }
    return closures;
}

/* All tests of a closure in one row, where the first of them stands. */
static void put_tests(const report *r, size_t first, const size_t *next)
{
    const coaming_due *due = r->now->due;
    int closure = coaming_due_get(due, first)->closure;
    fputs("<tr><th scope=\"row\">", r->out);
    report_closure(r, closure);
    fputs("</th><td>", r->out);
    for (size_t i = first + 1; i > 0; i = next[i - 1]) {
        const coaming_due_row *row = coaming_due_get(due, i - 1);
        markup_put(r->out, "%-s%s: ", i > first + 1 ? "<br/>" : "", row->method);
        put_lateness(r, row);
    }
    fputs("</td><td>", r->out);
    report_result(r->out, r->ship, closure);
    fputs("</td></tr>\n", r->out);
}

/* next, last: as link_tests takes them. */
static void put_list(const report *r, size_t count, size_t *next, size_t *last)
{
    size_t closures = link_tests(r, count, next, last);
    size_t overdue = coaming_due_overdue_count(r->now->due);
    markup_put(r->out,
               "<section aria-labelledby=\"due\">\n<h2 id=\"due\">Tests due</h2>\n<p>%zu tests "
               "overdue, %zu more due within %d days, of %zu closures.</p>\n",
               overdue, count - overdue, r->how->within, closures);
    if (count)
        html_table(r->out, "due-list", "Overdue first, the longest first", "Closure|Due|Last test",
                   closures);
    for (size_t i = 0; i < count; i++) {
        size_t *waits = &last[coaming_due_get(r->now->due, i)->closure];
        if (*waits)
            put_tests(r, i, next);
        *waits = 0;
    }
    if (count)
        html_table_end(r->out);
    fputs("</section>\n", r->out);
}

coaming_status report_due(const report *r, coaming_error *error)
{
    size_t count = report_due_soon(r);
    size_t *next = memory_new(count, sizeof *next);
    size_t *last = memory_new(r->ship->closure_count, sizeof *last);
    bool made = next && last;
    if (made)
        put_list(r, count, next, last);
    memory_free(next);
    memory_free(last);
    return made ? COAMING_OK : error_memory(error);
}
