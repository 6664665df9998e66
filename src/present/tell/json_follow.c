/* A casualty, line by line as it is reported. */
#include "coaming/present.h"
#include "present/tell/json_parts.h"

static const coaming_hold_answer *lines_of(const coaming_casualty *casualty)
{
    return coaming_casualty_get(casualty, 0)->hold;
}

static cJSON *places(json_document *d, const coaming_ship *ship, const coaming_casualty *casualty)
{
    cJSON *ids = json_array(d);
    for (size_t i = 0; casualty && i < lines_of(casualty)->source_count; i++)
        json_append(d, ids, json_place(ship, lines_of(casualty)->sources[i]));
    return ids;
}

static bool is_source(const coaming_casualty *casualty, coaming_place place)
{
    for (size_t i = 0; casualty && i < lines_of(casualty)->source_count; i++)
        if (lines_of(casualty)->sources[i] == place)
            return true;
    return false;
}

/* Of every hazard, in file order, then sea and weather. */
static cJSON *all_places(json_document *d, const coaming_ship *ship, const coaming_followed *f)
{
    cJSON *ids = json_array(d);
    for (size_t i = 0; i < ship->space_count + 2; i++) {
        coaming_place place = (coaming_place)i;
        if (i >= ship->space_count)
            place = i == ship->space_count ? COAMING_SEA : COAMING_WEATHER;
        bool any = false;
        for (int h = 0; h < COAMING_HAZARDS; h++)
            any = any || is_source(f->of[h], place);
        if (any)
            json_append(d, ids, json_place(ship, place));
    }
    return ids;
}

static void report(json_document *d, const coaming_followed *f)
{
    json_member(d, "line", json_number((double)f->line));
    json_member(d, "t", json_number(f->report.t));
    json_member(d, "counts", json_bool(f->report.counts));
}

coaming_status coaming_print_followed(FILE *out, const coaming_followed *f, coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(f->outset);
    coaming_query query = coaming_outset_query(f->outset);
    json_document d;
    json_open_line(&d, out);
    report(&d, f);
    json_head_at(&d, "casualty-follow", &query, f->outset);
    json_member(&d, "caution", json_text(coaming_casualty_caution(query.level)));
    json_member(&d, "sources", all_places(&d, ship, f));
    for (int h = 0; h < COAMING_HAZARDS; h++)
        json_member(&d, coaming_hazard_word((coaming_hazard)h), places(&d, ship, f->of[h]));
    json_member(&d, "measure", json_text(coaming_measure_word(f->measure)));
    json_list_open(&d, "answers");
    for (int h = 0; h < COAMING_HAZARDS; h++)
        if (f->of[h])
            json_item(&d, json_casualty_row(&d, f->outset, coaming_casualty_get(f->of[h], 0)));
    json_list_close(&d);
    return json_close(&d, error);
}

coaming_status coaming_print_no_report(FILE *out, size_t line, const char *why,
                                       coaming_error *error)
{
    json_document d;
    json_open_line(&d, out);
    json_member(&d, "line", json_number((double)line));
    json_member(&d, "error", json_text(why));
    return json_close(&d, error);
}
