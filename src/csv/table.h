/*
 * csv/table.h - comma separated values (RFC 4180): a sheet with a line of headings, in and out.
 * Nothing else includes libcsv.
 *
 * Reading: UTF-8 with or without a byte order mark; the separator is a comma, a semicolon or a tab,
 * whichever stands most often in the line of headings (spreadsheets of many countries write
 * semicolons). Blanks around a field that is not quoted are dropped, rows without any text skipped.
 * Writing: commas, CR LF at the end of a line, quotes only where they are needed. A sign that would
 * deceive the eye is written by its number, <U+202E> (text_kept of base/text.h), ends of lines and
 * tabs among them, and a text that a spreadsheet would take for a formula behind a '. Reading takes both back, so
 * that what was written is read as it was.
 */
#ifndef CSV_TABLE_H
#define CSV_TABLE_H

#include <stdbool.h>
#include <stdio.h>

#include "base/fault.h"
#include "coaming/error.h"
#include "coaming/libraries.h"

enum {
    CSV_COLUMNS_MAX = 1000, /* of a sheet */
    CSV_HEADING_MAX = 200   /* signs of a heading */
};

typedef struct {
    char **fields; /* as many as it has, but those beyond the headings */
    size_t count;
    long line; /* in the file, where the row begins */
} csv_row;

/* "" where the row is shorter. */
char *csv_field(const csv_row *row, size_t column);

typedef struct csv_table csv_table;

/* Every fault of the text is added to `faults` with its line, and COAMING_INPUT returned: quotes
 * that do not match, a row with more fields than there are headings, two equal headings (upper and
 * lower case alike), more or longer headings than above, bytes that are not UTF-8, no line of headings.
 * Others as file_read. Cost: of the text, and of sorting the headings. */
coaming_status csv_table_read(const char *path, coaming_faults *faults, csv_table **table,
                              coaming_error *error);
void csv_table_free(csv_table *table);

size_t csv_table_columns(const csv_table *table);
const char *csv_table_heading(const csv_table *table, size_t column);
size_t csv_table_rows(const csv_table *table);
const csv_row *csv_table_row(const csv_table *table, size_t row);

/* One field, with the separator before it unless it is the first of its line. */
typedef struct {
    FILE *out;
    bool started; /* is there a field on this line? */
} csv_writer;
void csv_text(csv_writer *w, const char *text); /* NULL is empty */
void csv_number(csv_writer *w, double value);   /* NaN is empty */
void csv_end_row(csv_writer *w);

/* What is to be told of libcsv. */
void csv_library(coaming_library *library);

#endif
