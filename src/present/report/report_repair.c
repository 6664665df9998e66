/* What stands failed or untested, worst first: its head opens the report, the rest stands behind the
 * pictures. */
#include "present/form/html.h"
#include "present/form/markup.h"
#include "present/report/reporting.h"
#include "present/tell/views.h"

enum { OPENING_ROWS = 15, WORK = COAMING_STANDS(COAMING_FAIL) | COAMING_STANDS(COAMING_UNTESTED) };

static size_t count_work(const report *r)
{
    return coaming_ranking_work(r->now->ranking, COAMING_FAIL).closure_count +
           coaming_ranking_work(r->now->ranking, COAMING_UNTESTED).closure_count;
}

static coaming_status put_row(const report *r, size_t place, coaming_error *error)
{
    char leaks[SHOWN];
    const coaming_rank *row = coaming_ranking_get(r->now->ranking, place);
    double hours = r->ship->links[row->closure].hours;
    markup_put(r->out, "<tr><td class=\"number\">%zu</td><th scope=\"row\">", place + 1);
    report_closure(r, row->closure);
    fputs("</th><td>", r->out);
    report_result(r->out, r->ship, row->closure);
    fputs("</td><td class=\"number\">", r->out);
    report_amount(r, row->consequence);
    fputs("</td><td class=\"number\">", r->out);
    if (hours >= 0)
        markup_put(r->out, "%g", hours);
    else
        fputs("not given", r->out);
    markup_put(r->out, "</td><td class=\"number\">%s</td><td>",
               html_percent(leaks, r->now->leaks[row->closure]));
    coaming_status status = report_advice(r, row->closure, error);
    fputs("</td></tr>\n", r->out);
    return status;
}

/* The rows from the one numbered `first` on, of all that stand failed or untested. */
static coaming_status put_table(const report *r, const char *id, const char *caption, size_t first,
                                size_t most, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    size_t at = 0;
    html_table(r->out, id, caption,
               "#Rank of all|Closure|Stands|#Consequence|#Hours|#Leaks with|What to do", most);
    for (size_t i = 0; i < coaming_ranking_count(r->now->ranking) && status == COAMING_OK; i++) {
        if (!coaming_ranking_is_work(r->now->ranking,
                                     coaming_ranking_get(r->now->ranking, i)->closure))
            continue;
        if (at >= first && at < first + most)
            status = put_row(r, i, error);
        at++;
    }
    html_table_end(r->out);
    return status;
}

/* Passed, but worked on since: not in the list, and not to be forgotten. */
static void put_retests(const report *r)
{
    bool started = false;
    for (size_t i = 0; i < r->ship->closure_count; i++) {
        const ship_link *l = &r->ship->links[i];
        if (!l->repair_since || coaming_closure_result(r->ship, (int)i) != COAMING_PASS)
            continue;
        fputs(started ? ", " : "<p>Repaired since they passed, and to be tested again: ", r->out);
        markup_put(r->out, "<bdi>%s</bdi>", l->id);
        started = true;
    }
    fputs(started ? ".</p>\n" : "", r->out);
}

coaming_status report_repair(const report *r, coaming_error *error)
{
    size_t count = count_work(r), shown_rows = count < OPENING_ROWS ? count : OPENING_ROWS;
    coaming_status status = COAMING_OK;
    char asks[SHOWN];
    markup_put(r->out,
               "<section aria-labelledby=\"repair\">\n<h2 id=\"repair\" tabindex=\"-1\">%s</h2>\n"
               "<p>Closures that stand failed or untested: ",
               capital(asks, WORK_ASKS));
    say_open_work(r->out, r->now->ranking, WORK);
    fputs(count ? "; worst first, by consequence.</p>\n" : ".</p>\n", r->out);
    if (count)
        status = put_table(r, "work", "Failed or untested, worst first", 0, shown_rows, error);
    if (shown_rows < count)
        markup_put(
            r->out,
            "<p>%zu more stand in <a href=\"#repair-rest\">the rest of this list</a>, behind "
            "the drawings.</p>\n",
            count - shown_rows);
    put_retests(r);
    fputs("</section>\n", r->out);
    return status;
}

coaming_status report_repair_rest(const report *r, coaming_error *error)
{
    size_t count = count_work(r);
    if (count <= OPENING_ROWS)
        return COAMING_OK;
    fputs(
        "<section aria-labelledby=\"repair-rest\">\n<h2 id=\"repair-rest\">Failed or untested: the "
        "rest of the list</h2>\n",
        r->out);
    coaming_status status = put_table(r, "work-rest", "Failed or untested, those after the first",
                                      OPENING_ROWS, count - OPENING_ROWS, error);
    fputs("</section>\n", r->out);
    return status;
}
