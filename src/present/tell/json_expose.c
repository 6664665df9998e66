#include "coaming/present.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static cJSON *expose_row(json_document *d, const coaming_ship *ship, const coaming_exposure_row *r,
                         const coaming_stability *stability)
{
    cJSON *row = json_object(d);
    json_add(d, row, "closure", json_text(ship->links[r->closure].id));
    json_standing(d, row, ship, r->closure);
    json_add(d, row, "hazard", json_text(coaming_hazard_word(r->hazard)));
    json_add(d, row, "source", json_place(ship, r->source));
    json_add(d, row, "level", json_number(r->level));
    json_add(d, row, "exposed", json_space_ids(d, ship, r->exposed, r->exposed_count));
    json_add(d, row, "by", json_link_ids(d, ship, r->by, r->exposed_count));
    json_add(
        d, row, "exposed_if_untested_leak",
        json_space_ids(d, ship, r->exposed_if_untested_leak, r->exposed_if_untested_leak_count));
    json_add(d, row, "spaces", json_number((double)r->exposed_count));
    json_add(d, row, "volume", json_number(r->volume));
    json_add(d, row, "people", json_number(r->people));
    json_add(d, row, "worth", json_number(r->worth));
    if (!r->afloat)
        json_add(d, row, "afloat", json_bool(false));
    json_add(d, row, "grade", json_text(r->settled ? coaming_grade_word(stability->grade) : NULL));
    json_add(d, row, "limits", r->settled ? json_limits(d, stability) : json_array(d));
    if (r->note != COAMING_NOTE_NONE)
        json_add(d, row, "note", json_text(coaming_note_text(r->note)));
    return row;
}

coaming_status json_expose_rows(json_document *d, const char *key, const coaming_ship *ship,
                                coaming_exposure *e, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    json_list_open(d, key);
    for (size_t i = 0; i < coaming_exposure_row_count(e) && status == COAMING_OK; i++) {
        coaming_exposure_row row;
        coaming_float at;
        coaming_stability stability;
        status = coaming_exposure_row_get(e, i, &row, error);
        if (status == COAMING_OK && row.settled)
            status = coaming_exposure_grade(e, &at, &stability, error);
        if (status == COAMING_OK)
            json_item(d, expose_row(d, ship, &row, &stability));
    }
    json_list_close(d);
    return status;
}

static const char *const expose_lists[] = {"results", NULL};
static const char *const expose_columns[] = {"closure", "name",   STANDING_COLUMNS,
                                             "hazard",  "source", "level",
                                             "exposed", "by",     "exposed_if_untested_leak",
                                             "spaces",  "volume", "people",
                                             "worth",   "afloat", "grade",
                                             "limits",  "note",   NULL};
static const sheet_form expose_form = {expose_lists, expose_columns, NULL};

coaming_status json_expose(FILE *out, coaming_format format, const coaming_outset *outset,
                           coaming_exposure *exposure, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(outset);
    coaming_query query = coaming_outset_query(outset);
    json_document d;
    json_open_as(&d, out, format, &expose_form, names_of(ship));
    json_head_at(&d, "expose", &query, outset);
    json_member(&d, "caution", json_text(coaming_caution_at(query.level)));
    coaming_status status = json_expose_rows(&d, "results", ship, exposure, error);
    coaming_status closed = json_close(&d, error);
    return status == COAMING_OK ? closed : status;
}
