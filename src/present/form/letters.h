/*
 * present/form/letters.h - how wide text is on a page, whatever face the reader has.
 */
#ifndef PRESENT_LETTERS_H
#define PRESENT_LETTERS_H

#include <stdbool.h>
#include <stddef.h>

/* Width of text, points: not less than common sans-serif faces need. */
double text_points(const char *text, double size, bool bold);
/* The same of its first bytes. */
double text_points_of(const char *text, size_t bytes, double size, bool bold);

#endif
