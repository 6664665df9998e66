#include <math.h>

#include "coaming/present.h"
#include "csv/table.h"
#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static cJSON *due_row(json_document *d, const coaming_ship *ship, const coaming_due_row *r)
{
    cJSON *row = json_object(d);
    json_add(d, row, "closure", json_text(ship->links[r->closure].id));
    json_standing(d, row, ship, r->closure);
    json_add(d, row, "method", json_text(r->method));
    json_add(d, row, "reason", json_text(coaming_due_reason_word(r->reason)));
    json_add(d, row, "basis", json_text(coaming_due_basis_word(r->basis)));
    json_add(d, row, "days", json_number(r->days ? r->days : NAN));
    json_add(d, row, "last", json_date(r->last));
    json_add(d, row, "due", json_date(r->due));
    json_add(d, row, "overdue", json_bool(r->overdue));
    json_add(d, row, "late", json_number(r->due == COAMING_NO_DATE ? NAN : r->late));
    json_add(d, row, "minutes", json_number(r->minutes));
    json_add(d, row, "minutes_assumed", json_bool(!r->minutes_given));
    json_add(d, row, "consequence", json_number(r->consequence));
    json_add(d, row, "urgency", json_number(r->urgency));
    return row;
}

coaming_status json_due(FILE *out, const coaming_ship *ship, const coaming_due *due,
                        coaming_error *error)
{
    json_document d;
    json_open(&d, out);
    coaming_query query;
    coaming_measure measure;
    bool weighed = coaming_due_weighed(due, &query, &measure);
    json_head(&d, "due", ship, weighed ? &query : NULL);
    json_member(&d, "caution", json_text(coaming_test_caution()));
    json_member(&d, "measure", json_text(weighed ? coaming_measure_word(measure) : NULL));
    if (weighed)
        json_member_level(&d, query.level);
    else
        json_member(&d, "level", json_text(NULL));
    json_member(&d, "overdue", json_number((double)coaming_due_overdue_count(due)));
    json_list_open(&d, "unproved");
    for (size_t i = 0; i < ship->closure_count; i++)
        if (coaming_due_unproved(due, (int)i))
            json_item(&d, json_text(ship->links[i].id));
    json_list_close(&d);
    json_list_open(&d, "tests");
    for (size_t i = 0; i < coaming_due_count(due); i++)
        json_item(&d, due_row(&d, ship, coaming_due_get(due, i)));
    json_list_close(&d);
    return json_close(&d, error);
}

static void put_date(csv_writer *w, coaming_date date)
{
    char text[COAMING_DATE_TEXT];
    csv_text(w, date == COAMING_NO_DATE ? NULL : coaming_date_format(date, text));
}

coaming_status csv_due(FILE *out, const coaming_ship *ship, const coaming_due *due)
{
    static const char *const headings[] = {"closure", "name",    "method",      "reason",
                                           "basis",   "days",    "last",        "due",
                                           "overdue", "minutes", "consequence", "urgency"};
    csv_writer w = {out, false};
    for (size_t i = 0; i < sizeof headings / sizeof *headings; i++)
        csv_text(&w, headings[i]);
    csv_end_row(&w);
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        const coaming_due_row *r = coaming_due_get(due, i);
        csv_text(&w, ship->links[r->closure].id);
        csv_text(&w, ship->links[r->closure].name);
        csv_text(&w, r->method);
        csv_text(&w, coaming_due_reason_word(r->reason));
        csv_text(&w, coaming_due_basis_word(r->basis));
        csv_number(&w, r->days ? r->days : NAN);
        put_date(&w, r->last);
        put_date(&w, r->due);
        csv_text(&w, r->overdue ? "yes" : "no");
        csv_number(&w, r->minutes);
        csv_number(&w, r->consequence);
        csv_number(&w, r->urgency);
        csv_end_row(&w);
    }
    return COAMING_OK;
}
