#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/drop_words.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static cJSON *history_row(json_document *d, const coaming_ship *ship, const coaming_history_row *r)
{
    cJSON *row = json_object(d);
    json_add(d, row, "event", json_text(r->test ? "test" : "repair"));
    json_add(d, row, "date", json_date(r->date));
    json_add(d, row, "method", json_text(r->test ? r->what : NULL));
    json_add(d, row, "result", json_text(r->test ? result_word(r->result) : NULL));
    json_add(d, row, "action", json_text(r->test ? NULL : r->what));
    json_add(d, row, "gaps", json_number((double)r->gap_count));
    json_add(d, row, "edges", json_number((double)r->edge_count));
    json_add(d, row, "printed", json_number(r->printed));
    json_add(d, row, "set", json_number(r->set));
    json_add(d, row, "hinge_play", json_number(r->hinge_play));
    json_drop(d, row, ship, r->dropped ? &r->drop : NULL);
    json_add(d, row, "failure", json_bool(r->failure));
    json_add(d, row, "undone", json_date(r->undone ? r->undone_on : COAMING_NO_DATE));
    json_add(d, row, "undone_by", json_text(r->undone_by));
    json_add(d, row, "undone_note", json_text(r->undone_note));
    json_add(d, row, "by", json_text(r->by));
    json_add(d, row, "note", json_text(r->note));
    return row;
}

coaming_status json_history(FILE *out, const coaming_ship *ship, int closure,
                            const coaming_history *h, coaming_error *error)
{
    json_document d;
    json_open(&d, out);
    json_head(&d, "history", ship, NULL);
    json_member(&d, "caution", json_text(coaming_test_caution()));
    json_member(&d, "closure", json_text(ship->links[closure].id));
    json_member_standing(&d, ship, closure);
    json_member(&d, "gasket_fitted", json_date(ship->links[closure].gasket_fitted));
    json_member(&d, "tests", json_number((double)h->tests));
    json_member(&d, "repairs", json_number((double)h->repairs));
    json_member(&d, "failures", json_number((double)h->failures));
    json_member(&d, "days_between_failures", json_number(h->between));
    json_member(&d, "trend_per_year", json_number(h->trend));
    json_member(&d, "prints", json_number((double)h->print_count));
    json_member(&d, "since", json_date(h->since));
    json_list_open(&d, "events");
    for (size_t i = 0; i < h->count; i++)
        json_item(&d, history_row(&d, ship, &h->rows[i]));
    json_list_close(&d);
    return json_close(&d, error);
}

coaming_status csv_history(FILE *out, const coaming_ship *ship, int closure,
                           const coaming_history *h)
{
    static const char *const headings[] = {
        "closure",    "date",    "event",          "method",       "result",   "action", "gaps",
        "printed",    "failure", "undone",         "by",           "note",     "edges",  "set",
        "hinge-play", "space",   "start-pressure", "end-pressure", "duration", "volume"};
    char date[COAMING_DATE_TEXT];
    csv_writer w = {out, false};
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        csv_text(&w, headings[i]);
    csv_end_row(&w);
    for (size_t i = 0; i < h->count; i++) {
        const coaming_history_row *r = &h->rows[i];
        csv_text(&w, ship->links[closure].id);
        csv_text(&w, coaming_date_format(r->date, date));
        csv_text(&w, r->test ? "test" : "repair");
        csv_text(&w, r->test ? r->what : NULL);
        csv_text(&w, r->test ? result_word(r->result) : NULL);
        csv_text(&w, r->test ? NULL : r->what);
        csv_number(&w, (double)r->gap_count);
        csv_number(&w, r->printed);
        csv_text(&w, r->failure ? "yes" : "no");
        csv_text(&w, r->undone ? coaming_date_format(r->undone_on, date) : NULL);
        csv_text(&w, r->by);
        csv_text(&w, r->note);
        csv_number(&w, (double)r->edge_count);
        csv_number(&w, r->set);
        csv_number(&w, r->hinge_play);
        csv_drop(&w, ship, r->dropped ? &r->drop : NULL);
        csv_end_row(&w);
    }
    return COAMING_OK;
}
