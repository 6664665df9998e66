#include <math.h>

#include "base/error.h"
#include "base/text.h"
#include "coaming/present.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static cJSON *gap_row(json_document *d, const coaming_reading *r, const coaming_gap_reading *g)
{
    static const char *const sides[] = {"top", "free", "bottom", "hinge"};
    static const char *const corners[] = {"top-hinge", "top-free", "bottom-free", "bottom-hinge"};
    cJSON *row = json_object(d), *dogs = json_array(d);
    for (int i = 0; i < g->dog_count; i++)
        json_append(d, dogs, json_number(g->dogs[i]));
    json_add(d, row, "at", json_number(g->at));
    json_add(d, row, "length", json_number(g->length));
    json_add(d, row, "area_per_mm", json_number(g->area));
    json_add(d, row, "side", json_text(g->side >= 0 ? sides[g->side] : NULL));
    json_add(d, row, "corner", json_text(g->corner >= 0 ? corners[g->corner] : NULL));
    json_add(d, row, "reason", json_text(coaming_reason_word(g->reason)));
    json_add(d, row, "advice", json_text(coaming_advice_word(g->advice)));
    json_add(d, row, "source", json_text(coaming_reason_source(g->reason, r->fastening)));
    json_add(d, row, "dogs", dogs);
    return row;
}

static cJSON *finding_row(json_document *d, const coaming_reading *r, coaming_reason reason)
{
    coaming_advice advice = coaming_reason_advice(reason, r->fastening);
    cJSON *row = json_object(d);
    json_add(d, row, "reason", json_text(coaming_reason_word(reason)));
    json_add(d, row, "advice", json_text(coaming_advice_word(advice)));
    json_add(d, row, "source", json_text(coaming_reason_source(reason, r->fastening)));
    return row;
}

static void put_reading(json_document *d, const coaming_ship *ship, const coaming_reading *r)
{
    cJSON *row = json_object(d), *gaps = json_array(d), *findings = json_array(d);
    for (int i = 0; i < r->finding_count; i++)
        json_append(d, findings, finding_row(d, r, r->findings[i]));
    for (size_t i = 0; i < r->gap_count; i++)
        json_append(d, gaps, gap_row(d, r, &r->gaps[i]));
    json_add(d, row, "closure", json_text(ship->links[r->closure].id));
    json_standing(d, row, ship, r->closure);
    json_add(d, row, "tested", json_date(coaming_closure_tested(ship, r->closure)));
    json_add(d, row, "run", json_number(r->run > 0 ? r->run : NAN));
    json_add(d, row, "printed", json_number(r->printed));
    json_add(d, row, "longest", json_number(r->longest));
    json_add(d, row, "area_per_mm", json_number(r->area));
    json_add(d, row, "reason", json_text(coaming_reason_word(r->reason)));
    json_add(d, row, "advice", json_text(coaming_advice_word(r->advice)));
    json_add(d, row, "source", json_text(coaming_reason_source(r->reason, r->fastening)));
    json_add(d, row, "adjustments", json_number(r->adjustment_count));
    json_add(d, row, "renewed", json_date(r->renewed));
    json_add(d, row, "set", json_number(r->set));
    json_add(d, row, "hinge_play", json_number(r->play));
    json_add(d, row, "joints", json_number((double)r->joint_count));
    json_add(d, row, "shortest_piece", json_number(r->piece));
    json_add(d, row, "findings", findings);
    json_add(d, row, "gaps", gaps);
    json_item(d, row);
}

/* NULL: an empty list. */
static void put_readings(json_document *d, const coaming_readings *readings)
{
    json_list_open(d, "closures");
    for (size_t i = 0; readings && i < coaming_readings_count(readings); i++)
        put_reading(d, coaming_readings_ship(readings), coaming_readings_get(readings, i));
    json_list_close(d);
}

static const char *const adjust_lists[] = {"closures", NULL};
static const char *const adjust_columns[] = {
    "closure",     "name",           STANDING_COLUMNS,   "tested",    "run",         "printed",
    "longest",     "area_per_mm",    "advice",           "source",    "adjustments", "renewed",
    "gaps_at",     "gaps_length",    "gaps_area_per_mm", "gaps_side", "gaps_corner", "gaps_advice",
    "gaps_source", "gaps_dogs",      "gaps_reason",      "reason",    "set",         "hinge_play",
    "joints",      "shortest_piece", "findings",         NULL};
static const sheet_form adjust_form = {adjust_lists, adjust_columns, "gaps"};

coaming_status json_adjust(FILE *out, coaming_format format, const coaming_readings *readings,
                           coaming_error *error)
{
    const coaming_ship *ship = coaming_readings_ship(readings);
    json_document d;
    json_open_as(&d, out, format, &adjust_form, names_of(ship));
    json_head(&d, "adjust", ship, NULL);
    json_member(&d, "caution", json_text(coaming_test_caution()));
    put_readings(&d, readings);
    return json_close(&d, error);
}

/* Of a text that is one; null where there is none. */
static cJSON *number_of(const char *text)
{
    double value = NAN;
    if (text)
        number_parse(text, &value);
    return json_number(value);
}

static cJSON *entry_row(json_document *d, const coaming_entry *e, const coaming_entry *undone)
{
    static const char *const words[] = {"test", "repair", "undo"};
    bool undo = e->kind == COAMING_ENTRY_UNDO;
    cJSON *row = json_object(d);
    json_add(d, row, "entry", json_text(words[e->kind]));
    json_add(d, row, "closure", json_text(e->closure));
    json_add(d, row, "date", json_date(e->date));
    json_add(d, row, "method", json_text(e->method));
    json_add(d, row, "result", json_text(e->result));
    json_add(d, row, "gaps", json_text(e->gaps));
    json_add(d, row, "set", number_of(e->set));
    json_add(d, row, "hinge_play", number_of(e->hinge_play));
    json_add(d, row, "space", json_text(e->space));
    json_add(d, row, "start_pressure", number_of(e->start_pressure));
    json_add(d, row, "end_pressure", number_of(e->end_pressure));
    json_add(d, row, "duration", number_of(e->duration));
    json_add(d, row, "volume", number_of(e->volume));
    json_add(d, row, "action", json_text(e->action));
    json_add(d, row, "of", json_text(undo ? words[undone->kind] : NULL));
    json_add(d, row, "of_date", json_date(undo ? undone->date : COAMING_NO_DATE));
    json_add(d, row, "by", json_text(e->by));
    json_add(d, row, "note", json_text(e->note));
    return row;
}

static const char *const record_lists[] = {"recorded", NULL};
static const char *const record_columns[] = {
    "entry",        "closure",  "name",   "date", "method", "result",     "gaps",  "action",
    "of",           "of_date",  "by",     "note", "set",    "hinge_play", "space", "start_pressure",
    "end_pressure", "duration", "volume", NULL};
static const sheet_form record_form = {record_lists, record_columns, NULL};

coaming_status json_record(FILE *out, coaming_format format, const char *log,
                           const coaming_record *record, size_t skipped,
                           const coaming_readings *readings, coaming_error *error)
{
    const coaming_ship *ship = readings ? coaming_readings_ship(readings) : NULL;
    json_document d;
    json_open_as(&d, out, format, &record_form, names_of(ship));
    json_member(&d, "format", json_text("coaming/record/1"));
    json_member(&d, "ship", json_text(coaming_record_ship(record)));
    json_member(&d, "condition", json_text(NULL));
    json_member(&d, "loading", json_text(NULL));
    json_member(&d, "as_of", json_date(ship ? ship->as_of : COAMING_NO_DATE));
    json_member(&d, "caution", json_text(coaming_test_caution()));
    json_member(&d, "log", json_text(log));
    json_member(&d, "log_entries", json_number((double)coaming_record_log_entry_count(record)));
    json_member(&d, "skipped", json_number((double)skipped));
    json_list_open(&d, "recorded");
    for (size_t i = 0; i < coaming_record_count(record); i++)
        json_item(&d,
                  entry_row(&d, coaming_record_get(record, i), coaming_record_undone(record, i)));
    json_list_close(&d);
    put_readings(&d, readings);
    return json_close(&d, error);
}
