/* present/form/html.h - tables that scroll in a box of their own, in HTML that is XML too. */
#ifndef PRESENT_HTML_H
#define PRESENT_HTML_H

#include <stdbool.h>
#include <stdio.h>

#include "present/form/style.h"

/* A percentage as `percent` writes it, in which no line breaks. Returns the buffer. */
const char *html_percent(char buffer[SHOWN], double share);

/* Opens a table in its box; columns: headings separated by '|', those that begin with '#' of
 * columns of numbers. id: unique in the page. rows: how many there will be; of many a script lets
 * filter. */
void html_table(FILE *out, const char *id, const char *caption, const char *columns, size_t rows);
void html_table_end(FILE *out);

/* A sentence of our own that may have names in it, escaped: no date is broken at its hyphens, no number
 * parted from its unit or sign, and m3 is written with its exponent. */
void html_words(FILE *out, const char *text);

#endif
