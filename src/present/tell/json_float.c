#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/json_parts.h"
#include "present/tell/views.h"

void json_float_members(json_document *d, cJSON *row, const coaming_float *f)
{
    json_add(d, row, "afloat", json_bool(f->afloat == COAMING_AFLOAT_YES));
    json_add(d, row, "draught", json_number(f->draught));
    json_add(d, row, "draught_aft", json_number(f->draught_aft));
    json_add(d, row, "draught_fwd", json_number(f->draught_fwd));
    json_add(d, row, "trim", json_number(f->trim));
    json_add(d, row, "heel", json_number(f->heel));
    json_add(d, row, "gm", json_number(f->gm));
    json_add(d, row, "displacement", json_number(f->displacement));
    json_add(d, row, "freeboard", json_number(f->freeboard));
    json_add(d, row, "flooded_volume", json_number(f->flooded_volume));
}

cJSON *json_limits(json_document *d, const coaming_stability *s)
{
    cJSON *limits = json_array(d);
    for (int i = 0; i < COAMING_LIMITS; i++)
        if (s->passed[i])
            json_append(d, limits, json_text(coaming_limit_text((coaming_limit)i)));
    return limits;
}

void json_grade_members(json_document *d, cJSON *row, const coaming_ship *ship,
                        const coaming_float *f, const coaming_stability *s)
{
    json_add(d, row, "grade", json_text(coaming_grade_word(s->grade)));
    json_add(d, row, "limits", json_limits(d, s));
    json_add(d, row, "flooding_angle", json_number(s->flooding_angle));
    json_add(d, row, "flooding_opening",
             json_text(s->flooding_opening >= 0 ? ship->links[s->flooding_opening].id : NULL));
    json_add(d, row, "loll", json_number(f->loll ? fabs(f->heel) : NAN));
    json_add(d, row, "either_side", json_bool(f->either_side));
}

static void members(json_document *d, cJSON *row)
{
    if (!row) {
        d->memory_lost = true;
        return;
    }
    while (row->child) {
        cJSON *item = cJSON_DetachItemViaPointer(row, row->child);
        json_member(d, item->string, item);
    }
}

static void add_arms(json_document *d, cJSON *row, const coaming_stability *s)
{
    json_add(d, row, "range", json_number(s->righting.range));
    json_add(d, row, "greatest_arm", json_number(s->righting.greatest));
    json_add(d, row, "s", json_number(s->s));
}

/* In words: the grade, or why she is lost. */
static const char *float_result(const coaming_floating_answer *f)
{
    return f->stability.grade == COAMING_GRADE_LOST ? coaming_afloat_text(f->at.afloat)
                                                    : coaming_grade_text(f->stability.grade);
}

static void add_ways(json_document *d, cJSON *row, const coaming_ship *ship,
                     const coaming_floating_answer *f)
{
    json_add(d, row, "spread", json_entries(d, ship, "closure", f->went_on, f->went_on_count));
    json_add(d, row, "would_spread",
             json_entries(d, ship, "closure", f->would_go_on, f->would_go_on_count));
    json_add(d, row, "would_spread_grade",
             json_text(f->would_go_on_count ? coaming_grade_word(f->then.grade) : NULL));
}

static cJSON *righting_rows(json_document *d, const coaming_stability *s)
{
    cJSON *rows = json_array(d);
    for (int i = 0; i < s->arm_count; i++) {
        cJSON *arm = json_object(d);
        json_add(d, arm, "heel", json_number(s->righting.arm[i].heel));
        json_add(d, arm, "gz", json_number(s->righting.arm[i].gz));
        json_append(d, rows, arm);
    }
    return rows;
}

static cJSON *opening_rows(json_document *d, const coaming_ship *ship, const float_answer *a)
{
    cJSON *rows = json_array(d);
    for (size_t i = 0; i < a->opening_count; i++) {
        cJSON *row = json_object(d);
        json_add(d, row, "id", json_text(ship->links[a->openings[i]].id));
        json_add(d, row, "height",
                 json_number(coaming_float_height(ship, &a->floating->at, a->openings[i])));
        json_append(d, rows, row);
    }
    return rows;
}

cJSON *json_floats(json_document *d, const float_answer *a)
{
    const coaming_ship *ship = coaming_outset_ship(a->outset);
    const coaming_floating_answer *f = a->floating;
    cJSON *row = json_object(d);
    json_add(d, row, "flooded", json_space_ids(d, ship, f->flooded, f->flooded_count));
    json_float_members(d, row, &f->at);
    json_grade_members(d, row, ship, &f->at, &f->stability);
    json_add(d, row, "result", json_text(float_result(f)));
    add_ways(d, row, ship, f);
    json_add(d, row, "righting_arms", righting_rows(d, &f->stability));
    if (f->at.afloat == COAMING_AFLOAT_YES)
        add_arms(d, row, &f->stability);
    json_add(d, row, "openings", opening_rows(d, ship, a));
    return row;
}

coaming_status json_float(FILE *out, const float_answer *a, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(a->outset);
    coaming_query query = coaming_outset_query(a->outset);
    json_document d;
    json_open(&d, out);
    json_head(&d, "float", ship, &query);
    json_member_let_in(&d, a->outset);
    json_member(&d, "caution", json_text(coaming_float_caution()));
    cJSON *row = json_floats(&d, a);
    members(&d, row);
    cJSON_Delete(row);
    return json_close(&d, error);
}

static void put_line(csv_writer *w, const char *table, const char *of, double number,
                     const char *text)
{
    csv_text(w, table);
    csv_text(w, of);
    if (text)
        csv_text(w, text);
    else
        csv_number(w, number);
    csv_end_row(w);
}

/* One value of the position, as a sheet has it. */
static void put_value(json_document *d, csv_writer *w, const cJSON *v)
{
    char *words = cJSON_IsArray(v) ? json_words(v) : NULL;
    if (cJSON_IsArray(v) && !words)
        d->memory_lost = true;
    put_line(w, "position", v->string, NAN,
             cJSON_IsBool(v) ? (cJSON_IsTrue(v) ? "yes" : "no")
             : words         ? words
                             : v->valuestring);
    memory_free(words);
}

static void put_ways(csv_writer *w, const char *table, const coaming_ship *ship,
                     const coaming_inflow *ways, size_t count)
{
    for (size_t i = 0; i < count; i++)
        put_line(w, table, ship->links[ways[i].link].id, 0, ship->spaces[ways[i].space].id);
}

coaming_status csv_float(FILE *out, const float_answer *a, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(a->outset);
    csv_writer w = {out, false};
    json_document d = {0}; /* only remembers whether memory was lost */
    const coaming_floating_answer *f = a->floating;
    cJSON *row = json_object(&d);
    json_float_members(&d, row, &f->at);
    json_grade_members(&d, row, ship, &f->at, &f->stability);
    if (f->stability.grade != COAMING_GRADE_LOST)
        add_arms(&d, row, &f->stability);
    put_line(&w, "table", "of", 0, "value");
    for (const cJSON *v = row ? row->child : NULL; v; v = v->next)
        put_value(&d, &w, v);
    cJSON_Delete(row);
    for (int i = 0; i < f->stability.arm_count; i++) {
        char heel[NUMBER_TEXT];
        put_line(&w, "righting_arms", number_format(f->stability.righting.arm[i].heel, heel),
                 f->stability.righting.arm[i].gz, NULL);
    }
    put_ways(&w, "spread", ship, f->went_on, f->went_on_count);
    put_ways(&w, "would_spread", ship, f->would_go_on, f->would_go_on_count);
    for (size_t i = 0; i < a->opening_count; i++)
        put_line(&w, "openings", ship->links[a->openings[i]].id,
                 coaming_float_height(ship, &a->floating->at, a->openings[i]), NULL);
    return d.memory_lost ? error_memory(error) : COAMING_OK;
}
