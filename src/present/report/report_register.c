/* The register: every closure as it stands, and a line to sign. */
#include "base/error.h"
#include "base/memory.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"

static void put_day(FILE *out, coaming_date day)
{
    char date[COAMING_DATE_TEXT];
    markup_put(out, "<span class=\"day\">%s</span>", coaming_date_format(day, date));
}

/* When the gasket that is in it now was put in. */
static coaming_date gasket_date(const ship_link *l)
{
    coaming_date date = l->gasket_fitted;
    for (size_t i = 0; i < l->event_count; i++) {
        const ship_event *e = &l->events[i];
        bool renews = e->kind == EVENT_REPAIR && (e->action == GASKET || e->action == REPLACED);
        if (renews && (date == COAMING_NO_DATE || e->date > date))
            date = e->date;
    }
    return date;
}

static void put_gasket(const report *r, const ship_link *l)
{
    coaming_date date = gasket_date(l);
    if (date == COAMING_NO_DATE)
        fputs("date not recorded", r->out);
    else
        put_day(r->out, date);
    if (l->gasket_section)
        markup_put(r->out, "; <bdi>%s</bdi>", l->gasket_section);
}

/* Who tested, and who looked since, as the standing tells both. */
static void put_testers(const report *r, const ship_link *l)
{
    bool tested = l->decided && l->decided->by;
    if (l->seen[COAMING_SEEN_FAILED])
        return; /* what is seen is of no tester */
    if (tested)
        markup_put(r->out, "<bdi>%s</bdi>", l->decided->by);
    if (l->looked && l->looked->by && (!l->decided || l->looked > l->decided))
        markup_put(r->out, "%s<bdi>%s</bdi> (look)", tested ? "; " : "", l->looked->by);
}

/* The test that is due first; due: NULL if none is. */
static void put_next(const report *r, const ship_link *l, const coaming_due_row *due)
{
    if (!due) {
        fputs(l->rating == NONTIGHT ? "none: nontight" : "none", r->out);
        return;
    }
    markup_put(r->out, "%s%s, ",
               due->reason == COAMING_DUE_FAILED || due->reason == COAMING_DUE_REPAIRED
                   ? "retest by "
                   : "",
               due->method);
    report_test_day(r, due);
    fputs(due->overdue ? " <strong>(overdue)</strong>" : "", r->out);
}

static void put_row(const report *r, int closure, const coaming_due_row *due)
{
    const ship_link *l = &r->ship->links[closure];
    fputs("<tr><th scope=\"row\">", r->out);
    report_closure(r, closure);
    markup_put(r->out, "</th><td>%s, %s</td><td>", link_kind_word(l->kind),
               rating_words[l->rating]);
    report_place(r, l->a, false);
    fputs(" / ", r->out);
    report_place(r, l->b, false);
    fputs("</td><td>", r->out);
    report_result(r->out, r->ship, closure);
    if (l->repair_since) {
        markup_put(r->out, "; repaired (%s) ", action_words[l->repair_since->action]);
        put_day(r->out, l->repair_since->date);
    }
    fputs("</td><td>", r->out);
    put_testers(r, l);
    fputs("</td><td>", r->out);
    put_gasket(r, l);
    fputs("</td><td>", r->out);
    put_next(r, l, due);
    fputs("</td></tr>\n", r->out);
}

static void put_signature(const report *r)
{
    fputs("<div class=\"sign\">\n<p>The register as of ", r->out);
    put_day(r->out, r->ship->as_of);
    markup_put(r->out,
               ", %zu closures, gone through by:</p>\n<p class=\"lines\"><span>Name</span> "
               "<span>Date</span> <span>Signature</span></p>\n</div>\n",
               r->ship->closure_count);
}

static void put_rows(const report *r, const coaming_due_row **first)
{
    const coaming_due *due = r->now->due;
    for (size_t i = coaming_due_count(due); i-- > 0;)
        first[coaming_due_get(due, i)->closure] = coaming_due_get(due, i);
    html_table(r->out, "all-closures", "All closures, in the order of the arrangement",
               "Closure|Kind, rating|Between|Stands|By|Gasket|Next test due",
               r->ship->closure_count);
    for (size_t i = 0; i < r->ship->closure_count; i++)
        put_row(r, (int)i, first[i]);
    html_table_end(r->out);
}

coaming_status report_register(const report *r, coaming_error *error)
{
    const coaming_due_row **first = memory_new(r->ship->closure_count, sizeof *first);
    if (!first)
        return error_memory(error);
    fputs("<section aria-labelledby=\"register\">\n<h2 id=\"register\">Register</h2>\n", r->out);
    if (r->ship->closure_count)
        put_rows(r, first);
    put_signature(r);
    fputs("</section>\n", r->out);
    memory_free(first);
    return COAMING_OK;
}
