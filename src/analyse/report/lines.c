/* Lines to hold: from which machinery and vital spaces water or bad air would cost most. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/report/report.h"
#include "base/error.h"
#include "base/memory.h"
#include "ship/ship.h"

typedef struct {
    double worth;
    int space;
} place;

static int by_worth(const void *left, const void *right)
{
    const place *a = left, *b = right;
    if (a->worth != b->worth)
        return a->worth > b->worth ? -1 : 1;
    return a->space - b->space;
}

static const coaming_hold_line *told(const coaming_hold_answer *a)
{
    return &a->lines[a->recommended < a->line_count ? a->recommended : 0];
}

/* Does the first come before the second: with no line does she stay afloat, or it costs more? */
static bool is_worse(const coaming_hold_answer *a, const coaming_hold_answer *b)
{
    bool none_a = a->recommended == a->line_count, none_b = b->recommended == b->line_count;
    return none_a != none_b ? none_a : told(a)->expected_loss > told(b)->expected_loss;
}

/* The same closures against the same spaces: who shuts it shuts it for both. */
static bool is_same(const coaming_hold_answer *a, const coaming_hold_answer *b)
{
    const coaming_hold_line *x = told(a), *y = told(b);
    if (x->closure_count != y->closure_count || x->given_up_count != y->given_up_count)
        return false;
    for (size_t i = 0; i < x->closure_count; i++)
        if (x->closures[i].closure != y->closures[i].closure)
            return false;
    return !memcmp(x->given_up, y->given_up, x->given_up_count * sizeof *x->given_up);
}

/* Is it of a line that is told already? */
static bool joins(report_line *rows, size_t count, const coaming_hold_answer *a)
{
    for (size_t i = 0; i < count; i++) {
        if (!is_same(rows[i].answer, a))
            continue;
        rows[i].also[rows[i].also_count++] = a->source;
        return true;
    }
    return false;
}

/* Kept if it is among the worst so far, the earlier of equals. */
static void keep(report_lines *l, const coaming_hold_answer *a, size_t most)
{
    report_line *rows = l->rows[a->hazard];
    size_t *count = &l->count[a->hazard], at = *count;
    if (joins(rows, *count, a))
        return;
    while (at > 0 && is_worse(a, rows[at - 1].answer))
        at--;
    if (at == most)
        return;
    *count += *count < most;
    memmove(&rows[at + 1], &rows[at], (*count - at - 1) * sizeof *rows);
    rows[at] = (report_line){.answer = a};
}

/* What lies above the water does not flood from itself. */
static void keep_answers(coaming_report *r, const coaming_hold *hold)
{
    const bool *asked = r->how.query.hazard;
    bool both = asked[COAMING_WATER] && asked[COAMING_AIR];
    for (size_t i = 0; i < coaming_hold_count(hold); i++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, i);
        size_t most = both ? REPORT_LINES / 2 : REPORT_LINES;
        if (!a->line_count)
            r->lines.without[a->hazard]++;
        else if (!a->source_dry)
            keep(&r->lines, a, most);
    }
}

static coaming_status ask_places(coaming_report *r, const place *places, coaming_error *error)
{
    report_lines *l = &r->lines;
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < l->asked && status == COAMING_OK; i++) {
        status =
            coaming_hold_nested_new(r->ship, r->how.query, places[i].space, &l->holds[i], error);
        if (status == COAMING_OK)
            keep_answers(r, l->holds[i]);
    }
    return status;
}

coaming_status report_ask_lines(coaming_report *r, coaming_error *error)
{
    report_lines *l = &r->lines;
    place *places = memory_new(r->ship->space_count, sizeof *places);
    if (!places)
        return error_memory(error);
    for (size_t i = 0; i < r->ship->space_count; i++)
        if (space_is_machinery_or_vital(&r->ship->spaces[i]))
            places[l->places++] = (place){r->ship->spaces[i].worth, (int)i};
    if (l->places)
        qsort(places, l->places, sizeof *places, by_worth);
    l->asked = l->places < REPORT_LINES_ASKED ? l->places : REPORT_LINES_ASKED;
    coaming_status status = ask_places(r, places, error);
    memory_free(places);
    return status;
}

void report_free_lines(coaming_report *r)
{
    for (size_t i = 0; i < REPORT_LINES_ASKED; i++)
        coaming_hold_free(r->lines.holds[i]);
}
