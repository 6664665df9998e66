/* What changed since an earlier day: the ship as of both days side by side, and the entries made
 * between. */
#include <math.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/present.h"
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"

static const coaming_rank *rank_of(const report_day *k, int closure)
{
    return coaming_ranking_get(k->ranking, k->place[closure]);
}

static bool differs(double a, double b)
{
    return fabs(a - b) > 1e-9 * fmax(fabs(a), fabs(b));
}

/* --- entries --- */

typedef struct {
    coaming_date date;
    const ship_event *event;
    bool undo;   /* the event was taken back on that date */
    bool undone; /* it is the event itself, taken back later */
} entry;

static size_t entries_of(const report *r, int closure, entry *list)
{
    const ship_link *l = &r->ship->links[closure];
    coaming_date since = r->before->ship->as_of;
    size_t count = 0;
    for (size_t i = 0; i < l->event_count; i++) {
        if (l->events[i].date <= since)
            continue;
        if (list)
            list[count] = (entry){l->events[i].date, &l->events[i], false, false};
        count++;
    }
    for (size_t i = 0; i < l->undone_count; i++) {
        const ship_event *e = &l->undone[i];
        if (e->date > since && e->date <= r->ship->as_of) {
            if (list)
                list[count] = (entry){e->date, e, false, true};
            count++;
        }
        if (e->undone_on > since) {
            if (list)
                list[count] = (entry){e->undone_on, e, true, false};
            count++;
        }
    }
    return count;
}

static int order_entries(const void *left, const void *right)
{
    const entry *a = left, *b = right;
    if (a->date != b->date)
        return a->date < b->date ? -1 : 1;
    if (a->event->closure != b->event->closure)
        return a->event->closure < b->event->closure ? -1 : 1;
    if (a->event->order != b->event->order)
        return a->event->order < b->event->order ? -1 : 1;
    return a->undo - b->undo; /* taken back on its own day */
}

static void put_event(FILE *out, const ship_event *e)
{
    if (e->kind == EVENT_REPAIR)
        markup_put(out, "repaired: %s", action_words[e->action]);
    else if (e->result == COAMING_FAIL)
        markup_put(out, "%s: <span class=\"fail\">FAIL</span>", method_words[e->method]);
    else
        markup_put(out, "%s: pass", method_words[e->method]);
}

static void put_entry(const report *r, const entry *e)
{
    char date[COAMING_DATE_TEXT];
    const char *by = e->undo ? e->event->undone_by : e->event->by;
    const char *note = e->undo ? e->event->undone_note : e->event->note;
    markup_put(r->out, "<tr><td class=\"day\">%s</td><th scope=\"row\">",
               coaming_date_format(e->date, date));
    report_closure(r, e->event->closure);
    fputs("</th><td>", r->out);
    if (e->undo)
        markup_put(r->out, "takes back what was recorded of %s: ",
                   coaming_date_format(e->event->date, date));
    put_event(r->out, e->event);
    if (e->undone)
        markup_put(r->out, ", taken back %s", coaming_date_format(e->event->undone_on, date));
    markup_put(r->out, "</td><td><bdi>%s</bdi></td><td><bdi>%s</bdi></td></tr>\n", by ? by : "",
               note ? note : "");
}

static coaming_status put_entries(const report *r, coaming_error *error)
{
    size_t count = 0, filled = 0;
    for (size_t i = 0; i < r->ship->closure_count; i++)
        count += entries_of(r, (int)i, NULL);
    if (!count)
        return COAMING_OK;
    entry *list = memory_new(count, sizeof *list);
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < r->ship->closure_count; i++)
        filled += entries_of(r, (int)i, list + filled);
    qsort(list, count, sizeof *list, order_entries);
    html_table(r->out, "entries", "What was recorded", "Date|Closure|Entry|By|Note", count);
    for (size_t i = 0; i < count; i++)
        put_entry(r, &list[i]);
    html_table_end(r->out);
    memory_free(list);
    return COAMING_OK;
}

/* --- closures --- */

static bool turned(const report *r, int closure)
{
    return coaming_closure_result(r->ship, closure) !=
           coaming_closure_result(r->before->ship, closure);
}

/* Of the many that move because others do only those at the head of the list are told. */
static bool moved(const report *r, int closure)
{
    size_t now = r->now->place[closure], before = r->before->place[closure], top = r->how->top;
    return (now < top || before < top) &&
           (now != before || differs(rank_of(r->now, closure)->consequence,
                                     rank_of(r->before, closure)->consequence));
}

static bool changed(const report *r, int closure)
{
    return turned(r, closure) || entries_of(r, closure, NULL) || moved(r, closure);
}

static void put_move(FILE *out, size_t before, size_t now)
{
    if (now == before)
        markup_put(out, "%zu", now + 1);
    else
        markup_put(out, "%zu, from %zu", now + 1, before + 1);
}

static void put_closure(const report *r, int closure)
{
    char before[SHOWN], now[SHOWN];
    fputs("<tr><th scope=\"row\">", r->out);
    report_closure(r, closure);
    fputs("</th><td>", r->out);
    report_result(r->out, r->before->ship, closure);
    fputs("</td><td>", r->out);
    report_result(r->out, r->ship, closure);
    markup_put(r->out, "</td><td class=\"number\">%s</td><td class=\"number\">%s</td>",
               html_percent(before, r->before->leaks[closure]),
               html_percent(now, r->now->leaks[closure]));
    fputs("<td class=\"number\">", r->out);
    report_amount(r, rank_of(r->before, closure)->consequence);
    fputs("</td><td class=\"number\">", r->out);
    report_amount(r, rank_of(r->now, closure)->consequence);
    fputs("</td><td class=\"day\">", r->out);
    put_move(r->out, r->before->place[closure], r->now->place[closure]);
    fputs("</td></tr>\n", r->out);
}

static void put_closures(const report *r, size_t count)
{
    if (!count)
        return;
    html_table(
        r->out, "changed",
        "Closures with a new entry or that stand otherwise, and those at the head of the ranking "
        "on either day that moved; in the order of now",
        "Closure|Stood then|Stands now|#Leaks then|#now|#Consequence "
        "then|#now|Rank now",
        count);
    for (size_t i = 0; i < coaming_ranking_count(r->now->ranking); i++) {
        int closure = coaming_ranking_get(r->now->ranking, i)->closure;
        if (changed(r, closure))
            put_closure(r, closure);
    }
    html_table_end(r->out);
}

coaming_status report_changes(const report *r, coaming_error *error)
{
    char date[COAMING_DATE_TEXT];
    size_t count = 0, turns = 0, entries = 0;
    for (size_t i = 0; i < r->ship->closure_count; i++) {
        count += changed(r, (int)i);
        turns += turned(r, (int)i);
        entries += entries_of(r, (int)i, NULL);
    }
    coaming_date_format(r->before->ship->as_of, date);
    markup_put(
        r->out,
        "<section aria-labelledby=\"changes\">\n<h2 id=\"changes\">What changed since %s</h2>\n"
        "<p>Worked out as of that day and as of the day of this report, from the same files. "
        "Entries after <span class=\"day\">%s</span>: %zu; closures that stand otherwise: %zu. "
        "Gaskets also grow older, "
        "so every chance of leaking changes.%s</p>\n",
        date, date, entries, turns,
        *r->seen ? " What is seen counts on the day of this report alone." : "");
    put_closures(r, count);
    coaming_status status = put_entries(r, error);
    fputs("</section>\n", r->out);
    return status;
}
