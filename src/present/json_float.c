#include "coaming/present.h"
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
