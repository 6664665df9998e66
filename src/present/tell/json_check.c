#include <math.h>

#include "present/tell/json_parts.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"
#include "ship/unfilled.h"

static const char *const check_lists[] = {"faults", NULL};
static const char *const check_columns[] = {"file", "line", "object", "severity", "message", NULL};
static const sheet_form check_form = {check_lists, check_columns, NULL};

/* How many closures stand how. */
static cJSON *standings(json_document *d, const coaming_ship *ship)
{
    size_t counts[COAMING_UNTESTED + 1] = {0};
    for (size_t i = 0; i < ship->closure_count; i++)
        counts[coaming_closure_result(ship, (int)i)]++;
    cJSON *row = json_object(d);
    for (int r = COAMING_PASS; r <= COAMING_UNTESTED; r++)
        json_add(d, row, result_word((coaming_result)r), json_number((double)counts[r]));
    return row;
}

static cJSON *span(json_document *d, double from, double to)
{
    cJSON *pair = json_array(d);
    json_append(d, pair, json_number(from));
    json_append(d, pair, json_number(to));
    return pair;
}

/* What of the hull no space fills. */
static cJSON *unfilled_row(json_document *d, const unfilled *u)
{
    cJSON *row = json_object(d), *list = json_array(d);
    json_add(d, row, "volume", json_number(u->volume));
    json_add(d, row, "share", json_number(u->volume / u->hull));
    for (size_t i = 0; i < u->count; i++) {
        const unfilled_region *r = &u->regions[i];
        cJSON *region = json_object(d);
        json_add(d, region, "x", span(d, r->x0, r->x1));
        json_add(d, region, "z", span(d, r->z0, r->z1));
        json_add(d, region, "volume", json_number(r->volume));
        json_add(d, region, "share", json_number(r->volume / u->hull));
        json_append(d, list, region);
    }
    json_add(d, row, "regions", list);
    return row;
}

coaming_status json_check(FILE *out, coaming_format format, const coaming_check_answer *a,
                          coaming_error *error)
{
    const coaming_ship *ship = a->ship;
    const coaming_faults *faults = a->faults;
    json_document d;
    json_open_as(&d, out, format, &check_form, names_of(ship));
    json_head(&d, "check", ship, NULL);
    json_member(&d, "file", json_text(a->path));
    json_member(&d, "ok", json_bool(coaming_faults_error_count(faults) == 0));
    json_member(&d, "derived", json_number(ship ? (double)coaming_space_derived_count(ship) : NAN));
    json_member(&d, "closures", ship ? standings(&d, ship) : json_text(NULL));
    json_member(&d, "unfilled", ship ? unfilled_row(&d, a->unfilled) : json_text(NULL));
    json_member(&d, "ages_assumed",
                json_number(ship ? (double)coaming_likelihood_age_assumed_count(ship) : NAN));
    json_list_open(&d, "faults");
    for (size_t i = 0; i < coaming_faults_count(faults); i++) {
        const coaming_fault *f = coaming_faults_get(faults, i);
        cJSON *row = json_object(&d);
        json_add(&d, row, "file", json_text(f->file));
        json_add(&d, row, "line", json_number((double)f->line));
        json_add(&d, row, "object", json_text(f->object));
        json_add(&d, row, "severity",
                 json_text(f->severity == COAMING_SEVERITY_ERROR ? "error" : "warning"));
        json_add(&d, row, "message", json_text(f->message));
        json_item(&d, row);
    }
    json_list_close(&d);
    return json_close(&d, error);
}
