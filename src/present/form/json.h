/*
 * present/form/json.h - JSON documents, piece by piece through cJSON.
 *
 * A document is an object whose members are written one after the other, so that a list of many
 * rows is never held as a whole. Each piece is a cJSON value that the writer takes and frees. Out
 * of memory is remembered and asked for once, at the end. Numbers are written as text of our own
 * (base/text.h), for cJSON 1.7.15 does not keep all digits. Nothing else includes cJSON.
 */
#ifndef PRESENT_JSON_H
#define PRESENT_JSON_H

#include <cjson/cJSON.h>
#include <stdio.h>

#include "coaming/exposure.h"
#include "coaming/flotation.h"
#include "coaming/present.h"
#include "coaming/ranking.h"
#include "coaming/risk.h"
#include "coaming/spread.h"
#include "present/form/sheet.h"
#include "ship/ship.h"

typedef struct {
    FILE *out;
    bool memory_lost, first_member, first_item;
    const sheet_form *form; /* NULL: JSON */
    const coaming_ship *ship;
    const char *list; /* the one that is open */
    csv_writer sheet;
} json_document;

void json_open(json_document *d, FILE *out);
/* The same; or as COAMING_CSV only those lists that the form takes, as a sheet. ship: for names. */
void json_open_as(json_document *d, FILE *out, coaming_format format, const sheet_form *form,
                  const coaming_ship *ship);
/* Ends the document; COAMING_MEMORY if a piece was lost on the way. */
coaming_status json_close(json_document *d, coaming_error *error);
void json_member(json_document *d, const char *key, cJSON *value);
void json_list_open(json_document *d, const char *key);
void json_item(json_document *d, cJSON *value);
void json_list_close(json_document *d);

/* format, ship, condition, as_of: the head of every document. */
void json_head(json_document *d, const char *command, const coaming_ship *ship, int condition);
void json_member_level(json_document *d, coaming_level level);
/* let_in: what the sea is let into already. */
void json_member_let_in(json_document *d, const coaming_ship *ship, coaming_query query);

/* Values; NULL when out of memory, which the next json_add or json_item notices. */
cJSON *json_number(double value);    /* NaN becomes null */
cJSON *json_text(const char *text);  /* NULL becomes null; bytes that are not UTF-8 become '?' */
cJSON *json_date(coaming_date date); /* COAMING_NO_DATE becomes null */
cJSON *json_bool(bool value);
cJSON *json_level(coaming_level level);
/* Takes value into object; a NULL of either is remembered as lost memory. key: not copied. */
void json_add(json_document *d, cJSON *object, const char *key, cJSON *value);
void json_append(json_document *d, cJSON *array, cJSON *value);
cJSON *json_object(json_document *d);
cJSON *json_array(json_document *d);
cJSON *json_space_ids(json_document *d, const coaming_ship *ship, const int *spaces, size_t count);

/* The position: draughts, heel, GM and so on. */
void json_float_members(json_document *d, cJSON *row, const coaming_float *f);

/* The grade, what limits it, where the arms end, and the loll. */
void json_grade_members(json_document *d, cJSON *row, const coaming_ship *ship,
                        const coaming_float *f, const coaming_stability *s);
/* Which limits are passed, as texts. */
cJSON *json_limits(json_document *d, const coaming_stability *s);
/* Ways of the water: rows of the link (key: by) and of the space to which it leads. */
cJSON *json_entries(json_document *d, const coaming_ship *ship, const char *by,
                    const coaming_inflow *entries, size_t count);

/* Rows and lists that stand in more than one document. */
coaming_status json_expose_rows(json_document *d, const char *key, const coaming_ship *ship,
                                coaming_exposure *e, coaming_error *error);
coaming_status json_rank_rows(json_document *d, const char *key, const coaming_ship *ship,
                              const coaming_rank_options *how, coaming_error *error);
/* One of them: what is in it by index. Of a rank, *row is NULL where it could not be made. */
cJSON *json_principal(json_document *d, const coaming_ship *ship);
cJSON *json_space_row(json_document *d, const coaming_ship *ship, size_t space);
cJSON *json_closure_row(json_document *d, const coaming_ship *ship, size_t closure, int condition);
cJSON *json_link_row(json_document *d, const coaming_ship *ship, size_t link);
coaming_status json_rank_row(json_document *d, const coaming_ship *ship,
                             const coaming_rank_options *how, size_t place, cJSON **row,
                             coaming_error *error);
/* Leak probability and importance of one closure; null where there is no risk. */
void json_risk_members(json_document *d, cJSON *row, const coaming_risk *risk, int closure,
                       double probability);
/* Expected loss, at which level, and how it was worked out. level: that was asked for. */
void json_risk_head(json_document *d, const coaming_risk *risk, coaming_level level);
/* The level at which risk is counted. */
cJSON *json_risk_level(coaming_level asked);

#endif
