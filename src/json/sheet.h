/*
 * json/sheet.h - a list of a JSON document as a sheet of comma separated values: the same rows,
 * made once. Numbers and texts stand as in JSON, true and false as yes and no, null as nothing; a
 * list of values without blanks as words with blanks between ("-" for a null in it), any other as
 * JSON.
 */
#ifndef JSON_SHEET_H
#define JSON_SHEET_H

#include <cjson/cJSON.h>

#include "csv/table.h"

typedef struct {
    const char *const *lists; /* which lists of the document, ending in NULL */
    /* Keys, ending in NULL. Of an object in the row: object_key. "table" is the key of the list;
     * "name", where the row has none, is that of its "closure". */
    const char *const *columns;
    /* A list in each row that gets a line for each of its items, with columns each_key; a row
     * without any gets one line. NULL: none. */
    const char *each;
} sheet_form;

/* Who knows the name of what a row calls its closure; find: NULL leaves names empty, and so does a
 * name that is NULL. */
typedef struct {
    const char *(*find)(const void *of, const char *closure);
    const void *of;
} sheet_names;

void sheet_head(csv_writer *w, const sheet_form *form);
bool sheet_takes(const sheet_form *form, const char *list);
/* False when out of memory. */
bool sheet_row(csv_writer *w, const sheet_form *form, sheet_names names, const char *list,
               const cJSON *row);

/* A list as words, or as JSON; NULL when out of memory, else to be freed with memory_free. */
char *json_words(const cJSON *list);

#endif
