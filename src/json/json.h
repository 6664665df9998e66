/*
 * json/json.h - JSON documents, piece by piece through cJSON.
 *
 * A document is an object whose members are written one after the other, so that a list of many
 * rows is never held as a whole. Each piece is a cJSON value that the writer takes and frees. Out
 * of memory is remembered and asked for once, at the end. Numbers are written as text of our own
 * (base/text.h), for cJSON 1.7.15 does not keep all digits. Nothing else includes cJSON.
 */
#ifndef JSON_JSON_H
#define JSON_JSON_H

#include <cjson/cJSON.h>
#include <stdio.h>

#include "coaming/libraries.h"
#include "coaming/present.h"
#include "json/sheet.h"

typedef struct {
    FILE *out;
    bool memory_lost, first_member, first_item;
    bool in_one_line;
    const sheet_form *form; /* NULL: JSON */
    sheet_names names;
    const char *list; /* the one that is open */
    csv_writer sheet;
    char *texts; /* room that json_texts writes a list in */
    size_t texts_room;
} json_document;

void json_open(json_document *d, FILE *out);
/* The same without an end of line before its end, for a stream of documents. */
void json_open_line(json_document *d, FILE *out);
/* As json_open; or as COAMING_CSV only those lists that the form takes, as a sheet. */
void json_open_as(json_document *d, FILE *out, coaming_format format, const sheet_form *form,
                  sheet_names names);
/* Ends the document; COAMING_MEMORY if a piece was lost on the way. */
coaming_status json_close(json_document *d, coaming_error *error);
void json_member(json_document *d, const char *key, cJSON *value);
void json_list_open(json_document *d, const char *key);
void json_item(json_document *d, cJSON *value);
void json_list_close(json_document *d);

/* Values; NULL when out of memory, which the next json_add or json_item notices. */
cJSON *json_number(double value);    /* NaN and infinity become null */
cJSON *json_text(const char *text);  /* NULL becomes null; bytes that are not UTF-8 are shown */
cJSON *json_date(coaming_date date); /* COAMING_NO_DATE becomes null */
cJSON *json_bool(bool value);
/* Takes value into object; a NULL of either is remembered as lost memory. key: not copied. */
void json_add(json_document *d, cJSON *object, const char *key, cJSON *value);
void json_append(json_document *d, cJSON *array, cJSON *value);
/* A list of texts, the i-th of them text(of, i): as json_append would make it of json_text, but in
 * one piece, for a tenth of the time. */
typedef const char *json_text_at(const void *of, size_t i);
cJSON *json_texts(json_document *d, json_text_at *text, const void *of, size_t count);
cJSON *json_object(json_document *d);
cJSON *json_array(json_document *d);

/* What is to be told of cJSON. */
void json_library(coaming_library *library);

#endif
