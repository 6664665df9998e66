/*
 * present/tell/json_parts.h - members and rows that stand in more than one document, said once.
 */
#ifndef PRESENT_JSON_PARTS_H
#define PRESENT_JSON_PARTS_H

#include "coaming/casualty.h"
#include "coaming/exposure.h"
#include "coaming/flotation.h"
#include "coaming/ranking.h"
#include "coaming/risk.h"
#include "coaming/spread.h"
#include "ship/ship.h"
#include "json/json.h"

/* Names of closures for a sheet; ship: NULL leaves them empty. */
sheet_names names_of(const coaming_ship *ship);

/* format, ship, condition, loading, as_of, and what is seen: the head of every document. query:
 * NULL if neither condition nor loading is asked for. */
void json_head(json_document *d, const char *command, const coaming_ship *ship,
               const coaming_query *query);
void json_member_level(json_document *d, coaming_level level);
/* let_in: what the sea is let into already. */
void json_member_let_in(json_document *d, const coaming_outset *outset);
/* All of these, for what is asked of her at a level. */
void json_head_at(json_document *d, const char *command, const coaming_query *query,
                  const coaming_outset *outset);

cJSON *json_level(coaming_level level);
cJSON *json_space_ids(json_document *d, const coaming_ship *ship, const int *spaces, size_t count);
/* Each as so many of the unit that is written. */
cJSON *json_numbers(json_document *d, const double *values, size_t count, double worth);
/* Id of a space, "sea" or "weather". */
cJSON *json_place(const coaming_ship *ship, coaming_place place);
/* Null for -1. */
cJSON *json_link_ids(json_document *d, const coaming_ship *ship, const int *links, size_t count);

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
/* What is to be done against one hazard. */
cJSON *json_casualty_row(json_document *d, const coaming_outset *outset,
                         const coaming_casualty_answer *a);
/* Leak probability and importance of one closure; null where there is no risk. */
void json_risk_members(json_document *d, cJSON *row, const coaming_risk *risk, int closure,
                       double probability);
/* Expected loss, at which level, and how it was worked out. */
void json_risk_head(json_document *d, const coaming_risk *risk, coaming_level level);

#endif
