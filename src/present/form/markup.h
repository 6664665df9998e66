/*
 * present/form/markup.h - what SVG and HTML are written with: both are XML here.
 *
 * Text is escaped for content and for attributes between double quotes alike. What XML 1.0 does not
 * allow and what would deceive the eye is shown by its number (base/text.h); ends of lines and tabs
 * become spaces.
 */
#ifndef PRESENT_MARKUP_H
#define PRESENT_MARKUP_H

#include <stdio.h>

void markup_text(FILE *out, const char *text);
/* Two decimals at most, a point whatever the locale. */
void markup_number(FILE *out, double value);

/*
 * Writes markup. Its formats are a part of printf's, so that the compiler checks their arguments:
 * %s text, escaped; %-s markup of our own, as it is: never of what came from a file; %d; %zu; %f a
 * number as markup_number has it, for places in a drawing; %g a number for reading, as `amount` has
 * it; %% a sign. Any other one ends the program.
 */
void markup_put(FILE *out, const char *format, ...) __attribute__((format(printf, 2, 3)));

#endif
