#include <math.h>
#include <stdio.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/rules.h"

static cJSON *spaces_of(json_document *d, const coaming_ship *ship, const int *spaces, size_t count)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < count; i++)
        json_append(d, list, json_text(ship->spaces[spaces[i]].id));
    return list;
}

static void put_way(json_document *d, cJSON *row, const coaming_ship *ship,
                    const coaming_round_stop *s)
{
    cJSON *through = json_array(d);
    for (size_t i = 0; i < s->through_count; i++)
        json_append(d, through, json_text(ship->links[s->through[i]].id));
    json_add(d, row, "walk_seconds", json_number(s->seconds));
    json_add(d, row, "walk_metres", json_number(s->metres));
    json_add(d, row, "through", through);
    json_add(d, row, "enclosed", spaces_of(d, ship, s->enclosed, s->enclosed_count));
}

static cJSON *tests_of(json_document *d, const coaming_due *due, int closure)
{
    cJSON *tests = json_array(d);
    const coaming_due_row *r;
    for (size_t at = 0; (r = round_test(due, closure, &at));) {
        cJSON *row = json_object(d);
        json_add(d, row, "method", json_text(r->method));
        json_add(d, row, "reason", json_text(coaming_due_reason_word(r->reason)));
        json_add(d, row, "due", json_date(r->due));
        json_add(d, row, "overdue", json_bool(r->overdue));
        json_add(d, row, "minutes", json_number(r->minutes));
        json_append(d, tests, row);
    }
    return tests;
}

/* What is to be done at a closure; the way to it where there is one. */
static void put_closure(json_document *d, const round_answer *a, cJSON *row,
                        const coaming_round_stop *s)
{
    const coaming_reading *r = coaming_readings_find(a->readings, s->closure);
    json_add(d, row, "closure", json_text(a->ship->links[s->closure].id));
    json_add(d, row, "from", json_place(a->ship, s->side));
    if (s->through)
        put_way(d, row, a->ship, s);
    json_add(d, row, "tests", tests_of(d, a->due, s->closure));
    json_standing(d, row, a->ship, s->closure);
    json_add(d, row, "advice", json_text(coaming_advice_word(r->advice)));
    json_item(d, row);
}

static void put_stop(json_document *d, const round_answer *a, size_t index)
{
    cJSON *row = json_object(d);
    json_add(d, row, "stop", json_number((double)index + 1));
    put_closure(d, a, row, coaming_round_get(a->round, index));
}

static void put_outside(json_document *d, const round_answer *a)
{
    size_t count;
    const int *list = coaming_round_outside(a->round, &count);
    json_list_open(d, "outside");
    for (size_t i = 0; i < count; i++) {
        coaming_round_stop s = {.closure = list[i], .side = outside_place(a->ship, list[i])};
        put_closure(d, a, json_object(d), &s);
    }
    json_list_close(d);
}

static cJSON *parts(json_document *d, const round_answer *a, const round_needs *n)
{
    cJSON *all = json_object(d), *gaskets = json_array(d);
    size_t enclosed_count;
    const int *enclosed = coaming_round_enclosed(a->round, &enclosed_count);
    for (size_t i = 0; i < n->gasket_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "section", json_text(n->gaskets[i].section));
        json_add(d, row, "metres", json_number(n->gaskets[i].metres));
        json_add(d, row, "closures", json_number((double)n->gaskets[i].closures));
        json_add(d, row, "of_unknown_size", json_number((double)n->gaskets[i].unknown));
        json_append(d, gaskets, row);
    }
    json_add(d, all, "gaskets", gaskets);
    json_add(d, all, "dogs", json_number(n->dogs));
    json_add(d, all, "gas_meter", json_bool(enclosed_count > 0));
    json_add(d, all, "permits", spaces_of(d, a->ship, enclosed, enclosed_count));
    return all;
}

static void put_totals(json_document *d, const round_answer *a, const round_needs *n)
{
    size_t count = 0;
    const int *unreached = coaming_round_unreached(a->round, &count);
    cJSON *list = json_array(d), *home = json_object(d);
    for (size_t i = 0; i < count; i++)
        json_append(d, list, json_text(a->ship->links[unreached[i]].id));
    put_way(d, home, a->ship, coaming_round_home(a->round));
    json_member(d, "home", home);
    json_member(d, "unreached", list);
    json_member(d, "walk_seconds", json_number(coaming_round_seconds(a->round)));
    json_member(d, "walk_metres", json_number(coaming_round_metres(a->round)));
    json_member(d, "bound_seconds", json_number(coaming_round_bound(a->round)));
    json_member(d, "test_minutes", json_number(n->minutes));
    json_member(d, "minutes_assumed", json_bool(n->minutes_assumed));
    json_member(d, "parts", parts(d, a, n));
}

coaming_status json_round(FILE *out, const round_answer *a, coaming_error *error)
{
    json_document d;
    round_needs needs;
    coaming_status status = round_needs_new(a, &needs, error);
    if (status != COAMING_OK)
        return status;
    json_open(&d, out);
    json_head(&d, "round", a->ship, NULL);
    json_member(&d, "caution", json_text(coaming_test_caution()));
    json_member(&d, "start", json_place(a->ship, a->options->start));
    json_list_open(&d, "stops");
    for (size_t i = 0; i < coaming_round_count(a->round); i++)
        put_stop(&d, a, i);
    json_list_close(&d);
    put_outside(&d, a);
    put_totals(&d, a, &needs);
    memory_free(needs.gaskets);
    return json_close(&d, error);
}

/* The sheet: what is known, then empty columns for what is found. */

static const char *const headings[] = {
    "stop",        "closure", "name",        "from",   "walk-m", "method", "due",
    "last-result", "todo",    "enclosed",    "result", "gaps",   "set-mm", "hinge-play-mm",
    "action",      "retest",  "retest-gaps", "date",   "by",     "note"};
enum { EMPTY = 10 }; /* of them, at the end */

/* The enclosed spaces to be entered, with blanks between. */
static void put_entries(csv_writer *w, const round_answer *a, const coaming_round_stop *s)
{
    char text[400] = "";
    size_t used = 0;
    for (size_t i = 0; i < s->enclosed_count && used < sizeof text; i++)
        used += (size_t)snprintf(text + used, sizeof text - used, "%s%s", i ? " " : "",
                                 a->ship->spaces[s->enclosed[i]].id);
    csv_text(w, *text ? text : NULL);
}

/* What the lines of one closure have in common. */
typedef struct {
    size_t number; /* of the stop; 0: it is none, but got at from outside */
    const coaming_round_stop *stop;
    const coaming_reading *reading;
} known_row;

static void put_known(csv_writer *w, const round_answer *a, const known_row *known,
                      const char *method, const coaming_due_row *row)
{
    const coaming_round_stop *s = known->stop;
    const ship_link *l = &a->ship->links[s->closure];
    coaming_advice advice = known->reading->advice;
    char due[COAMING_DATE_TEXT], number[32];
    snprintf(number, sizeof number, "%.0f", s->metres);
    csv_number(w, known->number ? (double)known->number : NAN);
    csv_text(w, l->id);
    csv_text(w, l->name);
    csv_text(w, coaming_place_id(a->ship, s->side));
    csv_text(w, known->number ? number : NULL);
    csv_text(w, method);
    csv_text(w, row ? coaming_date_format(row->due, due) : NULL);
    csv_text(w, result_word(coaming_closure_result(a->ship, s->closure)));
    csv_text(w, advice == COAMING_ADVICE_NONE ? NULL : coaming_advice_word(advice));
    put_entries(w, a, s);
    for (int i = 0; i < EMPTY; i++)
        csv_text(w, NULL);
    csv_end_row(w);
}

/* A line for each test of the stop; if nothing is due there one by what is usual for the kind of
 * closure, else to be filled in. */
static void put_lines(csv_writer *w, const round_answer *a, known_row known)
{
    int closure = known.stop->closure;
    size_t lines = 0;
    known.reading = coaming_readings_find(a->readings, closure);
    const coaming_due_row *row;
    for (size_t at = 0; (row = round_test(a->due, closure, &at));) {
        put_known(w, a, &known, row->method, row);
        lines++;
    }
    test_method usual;
    if (!lines && usual_method(a->ship, &a->ship->links[closure], &usual))
        put_known(w, a, &known, method_words[usual], NULL);
    else if (!lines)
        put_known(w, a, &known, NULL, NULL);
}

void csv_round(FILE *out, const round_answer *a)
{
    csv_writer w = {out, false};
    size_t outside_count, stops = coaming_round_count(a->round);
    const int *outside = coaming_round_outside(a->round, &outside_count);
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        csv_text(&w, headings[i]);
    csv_end_row(&w);
    for (size_t i = 0; i < stops; i++)
        put_lines(&w, a, (known_row){i + 1, coaming_round_get(a->round, i), NULL});
    for (size_t i = 0; i < outside_count; i++) {
        coaming_round_stop s = {.closure = outside[i], .side = outside_place(a->ship, outside[i])};
        put_lines(&w, a, (known_row){0, &s, NULL});
    }
}
