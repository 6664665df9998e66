#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/flood_words.h"
#include "present/tell/json_parts.h"
#include "present/tell/views.h"

static const char *pump_id(const coaming_ship *ship, int pump)
{
    return pump >= 0 ? coaming_pump_id(ship, pump) : NULL;
}

/* --- what was asked --- */

static cJSON *breach_rows(json_document *d, const coaming_ship *ship, const coaming_flood_ask *ask)
{
    cJSON *rows = json_array(d);
    for (size_t i = 0; i < ask->breach_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[ask->breaches[i].space].id));
        json_add(d, row, "area", json_number(ask->breaches[i].area));
        json_add(d, row, "height", json_number(ask->breaches[i].height));
        json_append(d, rows, row);
    }
    return rows;
}

static cJSON *inflow_rows(json_document *d, const coaming_ship *ship, const coaming_flood_ask *ask)
{
    cJSON *rows = json_array(d);
    for (size_t i = 0; i < ask->inflow_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[ask->inflows[i].space].id));
        json_add(d, row, "rate", json_number(ask->inflows[i].rate));
        json_append(d, rows, row);
    }
    return rows;
}

static cJSON *change_rows(json_document *d, const coaming_ship *ship, const coaming_flood_ask *ask)
{
    cJSON *rows = json_array(d);
    for (size_t i = 0; i < ask->change_count; i++) {
        const coaming_flood_change *c = &ask->changes[i];
        bool pump = flood_changes_pump(c);
        cJSON *row = json_object(d);
        json_add(d, row, "t", json_number(c->t));
        json_add(d, row, "what", json_text(coaming_flood_change_word(c->kind)));
        json_add(d, row, "closure", json_text(pump ? NULL : ship->links[c->which].id));
        json_add(d, row, "pump", json_text(pump ? pump_id(ship, c->which) : NULL));
        json_append(d, rows, row);
    }
    return rows;
}

static void put_asked(json_document *d, const coaming_ship *ship, const coaming_flood_ask *ask)
{
    json_member(d, "breaches", breach_rows(d, ship, ask));
    json_member(d, "inflows", inflow_rows(d, ship, ask));
    json_member(d, "changes", change_rows(d, ship, ask));
    json_member(d, "until", json_number(ask->until));
    json_member(d, "every", json_number(ask->every));
    json_member(d, "discharge", json_number(ask->discharge));
    json_member(d, "stand_off", json_number(ask->stand_off));
}

/* --- what happens --- */

/* What stands in a row of an event, and of many draws of it. */
static void add_event(json_document *d, cJSON *row, const coaming_ship *ship,
                      const coaming_flood_event *e)
{
    json_add(d, row, "what", json_text(coaming_flood_event_word(e->kind)));
    json_add(d, row, "closure", json_text(e->link >= 0 ? ship->links[e->link].id : NULL));
    json_add(d, row, "space", json_text(e->space >= 0 ? ship->spaces[e->space].id : NULL));
    json_add(d, row, "pump", json_text(pump_id(ship, e->pump)));
}

static void put_events(json_document *d, const coaming_ship *ship, const coaming_flood_answer *a)
{
    json_list_open(d, "events");
    for (size_t i = 0; i < a->event_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "t", json_number(a->events[i].t));
        add_event(d, row, ship, &a->events[i]);
        json_item(d, row);
    }
    json_list_close(d);
}

/* Null where she does not lie in any position. */
static cJSON *lying(json_document *d, const coaming_flood_answer *a, const double *values)
{
    cJSON *list = json_array(d);
    for (size_t i = 0; i < a->moment_count; i++)
        json_append(d, list, json_number(flood_lies(a, i) ? values[i] : NAN));
    return list;
}

static void put_spaces(json_document *d, const coaming_ship *ship, const coaming_flood_answer *a)
{
    json_list_open(d, "spaces");
    for (size_t i = 0; i < a->space_count; i++) {
        const coaming_flood_space *s = &a->spaces[i];
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[s->space].id));
        json_add(d, row, "wet", json_number(s->wet));
        json_add(d, row, "pocket", json_number(s->pocket));
        json_add(d, row, "levels", lying(d, a, s->levels));
        json_add(d, row, "depths", lying(d, a, s->depths));
        json_add(d, row, "volumes", json_numbers(d, s->volumes, a->moment_count, 1));
        json_item(d, row);
    }
    json_list_close(d);
}

/* A moment, as a document and a sheet have it. */
static cJSON *moment_row(json_document *d, const coaming_flood_answer *a, size_t moment)
{
    const coaming_flood_moment *m = &a->moments[moment];
    bool lies = flood_lies(a, moment);
    cJSON *row = json_object(d);
    json_add(d, row, "t", json_number(m->t));
    json_add(d, row, "draught", json_number(lies ? m->draught : NAN));
    json_add(d, row, "draught_aft", json_number(lies ? m->draught_aft : NAN));
    json_add(d, row, "draught_fwd", json_number(lies ? m->draught_fwd : NAN));
    json_add(d, row, "trim", json_number(lies ? m->trim : NAN));
    json_add(d, row, "heel", json_number(lies ? m->heel : NAN));
    json_add(d, row, "freeboard", json_number(lies ? m->freeboard : NAN));
    json_add(d, row, "water", json_number(m->water));
    json_add(d, row, "inflow", json_number(m->inflow));
    json_add(d, row, "outflow", json_number(m->pumped));
    json_add(d, row, "grade", json_text(m->graded ? coaming_grade_word(m->grade) : NULL));
    return row;
}

static void put_moments(json_document *d, const coaming_flood_answer *a)
{
    cJSON *times = json_array(d);
    for (size_t i = 0; i < a->moment_count; i++)
        json_append(d, times, json_number(a->moments[i].t));
    json_member(d, "times", times);
    json_list_open(d, "positions");
    for (size_t i = 0; i < a->moment_count; i++)
        json_item(d, moment_row(d, a, i));
    json_list_close(d);
}

/* How she floats at the end, as float tells it; flooded is what has water in it then. */
static void put_end(json_document *d, const coaming_flood_page *page)
{
    const coaming_ship *ship = coaming_outset_ship(page->outset);
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    int *wet = memory_new(a->space_count, sizeof *wet), *openings = NULL;
    coaming_floating_answer f = {.condition = a->asked.condition,
                                 .loading = a->asked.loading,
                                 .flooded = wet,
                                 .at = a->at,
                                 .stability = a->stability};
    float_answer shown = {page->outset, &f, NULL, 0};
    if (!wet || !float_openings(ship, &shown, &openings)) {
        d->memory_lost = true;
    } else {
        for (size_t i = 0; i < a->space_count; i++)
            if (a->spaces[i].volumes[a->moment_count - 1] > 0)
                wet[f.flooded_count++] = a->spaces[i].space;
        json_member(d, "end", json_floats(d, &shown));
    }
    memory_free(openings);
    memory_free(wet);
}

/* --- what can still be done, and how sure it is --- */

static void put_by_when(json_document *d, const coaming_ship *ship,
                        const coaming_flood_deadlines *deadlines)
{
    if (!deadlines) {
        json_member(d, "by_when", json_text(NULL));
        return;
    }
    json_list_open(d, "by_when");
    for (size_t i = 0; i < coaming_flood_deadline_count(deadlines); i++) {
        const coaming_flood_deadline *w = coaming_flood_deadline_get(deadlines, i);
        cJSON *row = json_object(d);
        json_add(d, row, "closure", json_text(ship->links[w->closure].id));
        json_add(d, row, "keeps_dry", json_text(w->space >= 0 ? ship->spaces[w->space].id : NULL));
        json_add(d, row, "dry", json_number(w->dry));
        json_add(d, row, "keeps_afloat", json_number(w->afloat));
        json_add(d, row, "afloat_anyhow", json_bool(isinf(w->afloat)));
        json_add(d, row, "worse", json_text(w->worse ? coaming_grade_word(w->shut_grade) : NULL));
        json_item(d, row);
    }
    json_list_close(d);
}

static void put_likely(json_document *d, const coaming_ship *ship, const coaming_flood_page *page)
{
    if (!page->likely) {
        json_member(d, "likely", json_text(NULL));
        return;
    }
    char seed[24];
    cJSON *likely = json_object(d), *rows = json_array(d);
    snprintf(seed, sizeof seed, "%llu", page->seed); /* more digits than a double keeps */
    for (size_t i = 0; i < coaming_flood_likely_count(page->likely); i++) {
        const coaming_flood_likely_event *e = coaming_flood_likely_get(page->likely, i);
        cJSON *row = json_object(d);
        add_event(d, row, ship, &e->event);
        json_add(d, row, "share", json_number(e->share));
        json_add(d, row, "tenth", json_number(e->early));
        json_add(d, row, "median", json_number(e->event.t));
        json_add(d, row, "nine_tenths", json_number(e->late));
        json_append(d, rows, row);
    }
    json_add(d, likely, "draws", json_number((double)page->draws));
    json_add(d, likely, "seed", json_text(seed));
    json_add(d, likely, "events", rows);
    json_member(d, "likely", likely);
}

coaming_status json_flood(FILE *out, const coaming_flood_page *page, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(page->outset);
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    coaming_query query = coaming_outset_query(page->outset);
    json_document d;
    json_open(&d, out);
    json_head(&d, "flood", ship, &query);
    json_member_let_in(&d, page->outset);
    json_member(&d, "caution", json_text(coaming_flood_caution()));
    put_asked(&d, ship, page->ask);
    put_moments(&d, a);
    put_spaces(&d, ship, a);
    put_events(&d, ship, a);
    json_member(&d, "ended", json_number(a->end));
    json_member(&d, "at_rest", json_bool(a->at_rest));
    put_end(&d, page);
    put_by_when(&d, ship, page->deadlines);
    put_likely(&d, ship, page);
    json_member(&d, "tolerance", json_number(a->kept));
    json_member(&d, "sizes_assumed", json_link_ids(&d, ship, a->assumed, a->assumed_count));
    json_member(&d, "gaps_assumed", json_link_ids(&d, ship, a->leaking, a->leaking_count));
    return json_close(&d, error);
}

/* --- as a sheet --- */

static void put_heading(csv_writer *w, const cJSON *row, const coaming_ship *ship,
                        const coaming_flood_answer *a)
{
    static const char *const what[] = {"level", "depth", "volume"};
    char name[512];
    for (const cJSON *v = row->child; v; v = v->next)
        csv_text(w, v->string);
    for (size_t s = 0; s < a->space_count; s++)
        for (size_t k = 0; k < sizeof what / sizeof *what; k++) {
            snprintf(name, sizeof name, "%s %s", ship->spaces[a->spaces[s].space].id, what[k]);
            csv_text(w, name);
        }
    csv_end_row(w);
}

/* A line for each moment: how she lies, then level, depth and volume of each space. */
coaming_status csv_flood(FILE *out, const coaming_flood_page *page, coaming_error *error)
{
    const coaming_flood_answer *a = coaming_flood_get(page->flood);
    json_document d = {0}; /* only remembers whether memory was lost */
    csv_writer w = {out, false};
    for (size_t i = 0; i < a->moment_count; i++) {
        cJSON *row = moment_row(&d, a, i);
        if (!row)
            break;
        if (!i)
            put_heading(&w, row, coaming_outset_ship(page->outset), a);
        for (const cJSON *v = row->child; v; v = v->next)
            csv_text(&w, v->valuestring);
        for (size_t s = 0; s < a->space_count; s++) {
            csv_number(&w, flood_lies(a, i) ? a->spaces[s].levels[i] : NAN);
            csv_number(&w, flood_lies(a, i) ? a->spaces[s].depths[i] : NAN);
            csv_number(&w, a->spaces[s].volumes[i]);
        }
        csv_end_row(&w);
        cJSON_Delete(row);
    }
    return d.memory_lost ? error_memory(error) : COAMING_OK;
}
