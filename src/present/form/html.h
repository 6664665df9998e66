/*
 * present/form/html.h - HTML that is well-formed XML too: escaped text, tables that scroll in a box of
 * their own.
 *
 * Text is escaped as svg_text does it, which serves content and quoted attributes alike.
 */
#ifndef PRESENT_HTML_H
#define PRESENT_HTML_H

#include <stdbool.h>
#include <stdio.h>

/*
 * printf for markup: %t escaped text, %b the same in <bdi> (a name whose direction of writing is
 * its own), %a a number for reading (double), %p a share as a percentage (double), %s as it is, %d
 * an int, %z a size_t, %% a sign.
 */
void html_put(FILE *out, const char *format, ...);

/* Opens a table in its box; columns: headings separated by '|', those that begin with '#' of
 * columns of numbers. id: unique in the page. rows: how many there will be; of many a script lets
 * filter. */
void html_table(FILE *out, const char *id, const char *caption, const char *columns, size_t rows);
void html_table_end(FILE *out);

#endif
