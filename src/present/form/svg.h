/*
 * present/form/svg.h - text, numbers and small shapes of an SVG document.
 *
 * Text is escaped for content and for attributes between double quotes alike. What XML 1.0 does not
 * allow, other control characters and marks that turn the direction of writing become '?' (as
 * coaming_print_clean has it); ends of lines and tabs become spaces.
 */
#ifndef PRESENT_SVG_H
#define PRESENT_SVG_H

#include <stdbool.h>
#include <stdio.h>

void svg_text(FILE *out, const char *text);
/* Two decimals at most, a point whatever the locale. */
void svg_number(FILE *out, double value);
/* ' name="value"' */
void svg_attribute(FILE *out, const char *name, double value);
void svg_attribute_text(FILE *out, const char *name, const char *value);

/* printf for markup: %n a number (double), %t escaped text, %s as it is, %d an int, %% a sign. */
void svg_put(FILE *out, const char *format, ...);

#endif
