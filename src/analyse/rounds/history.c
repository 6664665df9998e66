#include "coaming/history.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/rounds/printed.h"
#include "base/error.h"
#include "base/memory.h"
#include "ship/standing.h"

/* A history and its rows, the rows to be written to. */
typedef struct {
    coaming_history shown;
    coaming_history_row *rows;
    standing stands; /* by the entries gone over so far */
} history;

/* Counts the next entry in. True: a failure was found by it, for none stood before. */
static bool finds_failure(const coaming_ship *ship, history *h, const ship_event *e)
{
    const ship_event *before = standing_decided(ship, &h->stands);
    bool stood = before && before->result == COAMING_FAIL;
    standing_add(ship, &h->stands, e);
    return e->kind == EVENT_TEST && e->result == COAMING_FAIL && !stood;
}

static double share_of(const ship_link *l, const ship_event *e, gap *scratch)
{
    for (size_t i = 0; i < e->gap_count; i++)
        scratch[i] = e->gaps[i];
    return printed_share(l, e, scratch, join_gaps(scratch, e->gap_count, link_gasket_run(l)));
}

static size_t edges_of(const ship_event *e)
{
    size_t count = 0;
    for (size_t i = 0; i < e->gap_count; i++)
        count += e->gaps[i].seen == SEEN_EDGE;
    return count;
}

static void fill_row(const coaming_ship *ship, const ship_link *l, const ship_event *e, bool undone,
                     gap *scratch, coaming_history_row *row)
{
    bool test = e->kind == EVENT_TEST;
    *row = (coaming_history_row){.date = e->date,
                                 .test = test,
                                 .what = test ? method_words[e->method] : action_words[e->action],
                                 .result = e->result,
                                 .printed = test ? share_of(l, e, scratch) : NAN,
                                 .gap_count = e->gap_count - edges_of(e),
                                 .edge_count = edges_of(e),
                                 .set = e->set,
                                 .hinge_play = e->hinge_play,
                                 .dropped = e->dropped,
                                 .undone = undone,
                                 .undone_on = undone ? e->undone_on : COAMING_NO_DATE,
                                 .undone_by = undone ? e->undone_by : NULL,
                                 .undone_note = undone ? e->undone_note : NULL,
                                 .by = e->by,
                                 .note = e->note};
    if (e->dropped)
        row->drop = event_drop(ship, e);
}

/* Both lists are sorted: one after the other as they were entered. */
static void fill_rows(const coaming_ship *ship, const ship_link *l, gap *scratch, history *h)
{
    size_t one = 0, other = 0, undone = l->undone_count;
    while (undone && l->undone[undone - 1].date > ship->as_of)
        undone--;
    while (one < l->event_count || other < undone) {
        const ship_event *e = one < l->event_count ? &l->events[one] : NULL;
        const ship_event *u = other < undone ? &l->undone[other] : NULL;
        bool first =
            !u || (e && (e->date < u->date || (e->date == u->date && e->order < u->order)));
        coaming_history_row *row = &h->rows[h->shown.count++];
        fill_row(ship, l, first ? e : u, !first, scratch, row);
        row->failure = first && finds_failure(ship, h, e);
        one += first;
        other += !first;
    }
}

static void count_failures(history *h)
{
    coaming_date first = 0, last = 0;
    coaming_history *s = &h->shown;
    for (size_t i = 0; i < s->count; i++) {
        coaming_history_row *row = &h->rows[i];
        if (row->undone)
            continue;
        s->tests += row->test;
        s->repairs += !row->test;
        if (!row->failure)
            continue;
        first = s->failures ? first : row->date;
        last = row->date;
        s->failures++;
    }
    s->between = s->failures > 1 ? (double)(last - first) / (double)(s->failures - 1) : NAN;
}

/* The first row that the trend goes by: the gasket was fitted or renewed before it. */
static size_t since_gasket(const ship_link *l, const history *h)
{
    size_t from = 0;
    for (size_t i = 0; i < h->shown.count; i++) {
        const coaming_history_row *row = &h->rows[i];
        bool renewed = !row->test && !row->undone &&
                       (!strcmp(row->what, "gasket") || !strcmp(row->what, "replaced"));
        if (renewed || (l->gasket_fitted != COAMING_NO_DATE && row->date < l->gasket_fitted))
            from = i + 1;
    }
    return from;
}

static void fit_trend(const ship_link *l, history *h)
{
    coaming_history *s = &h->shown;
    double sum = 0, sum_t = 0, sum_tt = 0, sum_y = 0, sum_ty = 0;
    s->since = COAMING_NO_DATE;
    for (size_t i = since_gasket(l, h); i < s->count; i++) {
        const coaming_history_row *row = &h->rows[i];
        if (row->undone || isnan(row->printed))
            continue;
        if (s->since == COAMING_NO_DATE)
            s->since = row->date;
        double t = (row->date - s->since) / 365.25;
        sum += 1;
        sum_t += t;
        sum_tt += t * t;
        sum_y += row->printed;
        sum_ty += t * row->printed;
        s->print_count++;
    }
    double spread = sum * sum_tt - sum_t * sum_t;
    s->trend = sum >= 3 && spread > 0 ? (sum * sum_ty - sum_t * sum_y) / spread : NAN;
}

coaming_status coaming_history_new(const coaming_ship *ship, int closure, coaming_history **out,
                                   coaming_error *error)
{
    const ship_link *l = &ship->links[closure];
    size_t most = 0;
    for (size_t i = 0; i < l->event_count; i++)
        most = l->events[i].gap_count > most ? l->events[i].gap_count : most;
    for (size_t i = 0; i < l->undone_count; i++)
        most = l->undone[i].gap_count > most ? l->undone[i].gap_count : most;
    history *h = memory_new(1, sizeof *h);
    gap *scratch = memory_new(most, sizeof *scratch);
    if (h)
        h->rows = memory_new(l->event_count + l->undone_count, sizeof *h->rows);
    if (!h || !scratch || !h->rows) {
        memory_free(scratch);
        coaming_history_free((coaming_history *)h);
        return error_memory(error);
    }
    h->shown.rows = h->rows;
    fill_rows(ship, l, scratch, h);
    count_failures(h);
    fit_trend(l, h);
    memory_free(scratch);
    *out = &h->shown;
    return COAMING_OK;
}

void coaming_history_free(coaming_history *shown)
{
    history *h = (history *)shown; /* its first member */
    if (!h)
        return;
    memory_free(h->rows);
    memory_free(h);
}
