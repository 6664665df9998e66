#include <math.h>

#include "base/memory.h"
#include "coaming/present.h"
#include "present/tell/json_parts.h"
#include "present/tell/views.h"

static cJSON *reached_rows(json_document *d, const coaming_ship *ship,
                           const coaming_casualty_answer *a)
{
    cJSON *rows = json_array(d);
    for (size_t i = 0; i < a->reached_count; i++) {
        const coaming_reached *r = &a->reached[i];
        cJSON *row = json_object(d);
        json_add(d, row, "space", json_text(ship->spaces[r->space].id));
        json_add(d, row, "by", json_link_ids(d, ship, r->by, r->by_count));
        json_add(d, row, "order", json_number(r->order));
        json_add(d, row, "sill", json_number(r->sill));
        json_append(d, rows, row);
    }
    return rows;
}

static cJSON *shut_ids(json_document *d, const coaming_ship *ship, const coaming_casualty_answer *a)
{
    cJSON *ids = json_array(d);
    for (size_t i = 0; i < a->shut_now_count; i++)
        json_append(d, ids, json_text(ship->links[a->shut_now[i].closure].id));
    return ids;
}

static cJSON *shut_rows(json_document *d, const coaming_ship *ship,
                        const coaming_casualty_answer *a)
{
    cJSON *rows = json_array(d);
    for (size_t i = 0; i < a->shut_now_count; i++) {
        const coaming_shutting *s = &a->shut_now[i];
        cJSON *row = json_object(d);
        json_add(d, row, "closure", json_text(ship->links[s->closure].id));
        json_add(d, row, "from", json_place(ship, s->from));
        json_add(d, row, "against", json_place(ship, s->against));
        json_add(d, row, "saves", json_space_ids(d, ship, s->saves, s->saves_count));
        json_add(d, row, "saved", json_number(s->saved));
        json_add(d, row, "keeps_afloat", json_bool(s->keeps_afloat));
        json_add(d, row, "lost_anyhow", json_bool(s->lost_anyhow));
        json_append(d, rows, row);
    }
    return rows;
}

/* How she floats, as float tells it; null where she is not floated. */
static cJSON *floats_value(json_document *d, const coaming_outset *outset,
                           const coaming_casualty_answer *a)
{
    int *openings = NULL;
    if (!a->floating)
        return json_text(NULL);
    float_answer f = {outset, coaming_floating_get(a->floating), NULL, 0};
    if (!float_openings(coaming_outset_ship(outset), &f, &openings))
        d->memory_lost = true;
    cJSON *row = json_floats(d, &f);
    memory_free(openings);
    return row;
}

cJSON *json_casualty_row(json_document *d, const coaming_outset *outset,
                         const coaming_casualty_answer *a)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    cJSON *row = json_object(d);
    json_add(d, row, "hazard", json_text(coaming_hazard_word(a->hazard)));
    json_add(d, row, "level", json_number(a->hold->level));
    json_add(d, row, "source_dry", json_bool(a->hold->source_dry));
    json_add(d, row, "reached", reached_rows(d, ship, a));
    json_add(d, row, "shut_now", shut_ids(d, ship, a));
    json_add(d, row, "shutting", shut_rows(d, ship, a));
    json_add(d, row, "cannot_be_shut", json_link_ids(d, ship, a->cannot, a->cannot_count));
    json_add(d, row, "lost", json_hold_lost(d, ship, a->hold));
    json_add(d, row, "lines", json_hold_lines(d, ship, a->hold, a->floating != NULL));
    json_add(d, row, "floats", floats_value(d, outset, a));
    return row;
}

coaming_status json_casualty(FILE *out, const coaming_outset *outset,
                             const coaming_casualty *casualty, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    const coaming_hold_answer *hold = coaming_casualty_get(casualty, 0)->hold;
    json_document d;
    json_open(&d, out);
    json_head_at(&d, "casualty", &query, outset);
    json_member(&d, "caution", json_text(coaming_casualty_caution(query.level)));
    json_member(&d, "sources", json_hold_sources(&d, ship, hold));
    json_member(&d, "measure", json_text(coaming_measure_word(coaming_casualty_measure(casualty))));
    json_list_open(&d, "answers");
    for (size_t i = 0; i < coaming_casualty_count(casualty); i++)
        json_item(&d, json_casualty_row(&d, outset, coaming_casualty_get(casualty, i)));
    json_list_close(&d);
    return json_close(&d, error);
}
