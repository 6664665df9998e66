#include <math.h>

#include "base/error.h"
#include "base/text.h"
#include "coaming/present.h"
#include "csv/table.h"
#include "present/json.h"
#include "present/views.h"

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

coaming_status json_float(FILE *out, const coaming_ship *ship, const float_answer *a,
                          coaming_error *error)
{
    json_document d;
    json_open(&d, out);
    json_head(&d, "float", ship, a->condition);
    json_member(&d, "caution", json_text(coaming_float_caution()));
    json_member(&d, "flooded", json_space_ids(&d, ship, a->flooded, a->flooded_count));
    cJSON *row = json_object(&d);
    json_float_members(&d, row, &a->at);
    members(&d, row);
    cJSON_Delete(row);
    json_member(&d, "result", json_text(coaming_afloat_text(a->at.afloat)));
    bool afloat = a->at.afloat == COAMING_AFLOAT_YES;
    json_list_open(&d, "righting_arms");
    for (int i = 0; afloat && i < COAMING_RIGHTING_ARMS; i++) {
        cJSON *arm = json_object(&d);
        json_add(&d, arm, "heel", json_number(a->righting.arm[i].heel));
        json_add(&d, arm, "gz", json_number(a->righting.arm[i].gz));
        json_item(&d, arm);
    }
    json_list_close(&d);
    if (afloat) {
        json_member(&d, "range", json_number(a->righting.range));
        json_member(&d, "greatest_arm", json_number(a->righting.greatest));
    }
    json_list_open(&d, "openings");
    for (size_t i = 0; i < a->opening_count; i++) {
        cJSON *row_of = json_object(&d);
        json_add(&d, row_of, "id", json_text(ship->links[a->openings[i]].id));
        json_add(&d, row_of, "height",
                 json_number(coaming_float_height(ship, &a->at, a->openings[i])));
        json_item(&d, row_of);
    }
    json_list_close(&d);
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

coaming_status csv_float(FILE *out, const coaming_ship *ship, const float_answer *a,
                         coaming_error *error)
{
    csv_writer w = {out, false};
    json_document d = {0}; /* only remembers whether memory was lost */
    cJSON *row = json_object(&d);
    json_float_members(&d, row, &a->at);
    put_line(&w, "table", "of", 0, "value");
    for (const cJSON *v = row ? row->child : NULL; v; v = v->next)
        put_line(&w, "position", v->string, NAN,
                 cJSON_IsBool(v) ? (cJSON_IsTrue(v) ? "yes" : "no") : v->valuestring);
    cJSON_Delete(row);
    bool afloat = a->at.afloat == COAMING_AFLOAT_YES;
    if (afloat) {
        put_line(&w, "position", "range", a->righting.range, NULL);
        put_line(&w, "position", "greatest_arm", a->righting.greatest, NULL);
    }
    for (int i = 0; afloat && i < COAMING_RIGHTING_ARMS; i++) {
        char heel[NUMBER_TEXT];
        put_line(&w, "righting_arms", number_format(a->righting.arm[i].heel, heel),
                 a->righting.arm[i].gz, NULL);
    }
    for (size_t i = 0; i < a->opening_count; i++)
        put_line(&w, "openings", ship->links[a->openings[i]].id,
                 coaming_float_height(ship, &a->at, a->openings[i]), NULL);
    return d.memory_lost ? error_memory(error) : COAMING_OK;
}
