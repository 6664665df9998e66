/*
 * base/text.h - numbers as text and back, likeness of words, text made fit for a terminal.
 *
 * Numbers have a decimal point whatever locale the process has set.
 */
#ifndef BASE_TEXT_H
#define BASE_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

enum { NUMBER_TEXT = 32 };

typedef enum { NUMBER_OK, NUMBER_BAD, NUMBER_INFINITE } number_result;

/* The whole text (blanks around it allowed) as a finite decimal number. */
number_result number_parse(const char *text, double *value);

/* Shortest decimal text of 15 to 17 digits that reads back as the same double; finite values only.
 * Whole numbers up to 2^53 are written without point or exponent. Returns buffer. */
const char *number_format(double value, char buffer[NUMBER_TEXT]);

/* Greatest likeness to `word` among the candidates by edit distance (Levenshtein, 1966), upper and
 * lower case alike; NULL if nothing is near: more than a third of the longer word changed, or in a
 * word of two letters the first. */
typedef const char *(*text_candidate)(const void *from, size_t index);
const char *text_nearest(const char *word, text_candidate candidate, const void *from,
                         size_t count);

/* Code points of UTF-8 text. */
size_t text_signs(const char *text);

/*
 * A sign that would deceive the eye (width.h: control characters, escapes, marks that turn the
 * direction of writing, what nobody can see) is shown by its number, "<U+202E>", and a byte that
 * is no UTF-8 as "<0xFF>"; every other sign as it is. Into `shown`, ended with NUL; returns the
 * bytes of the text that this stands for, at least 1. Not to be called at the end of a text.
 */
enum { TEXT_SHOWN = 16 };
size_t text_shown(const char *text, char shown[TEXT_SHOWN]);
/* The same for what is read back: what only looks like such a number gets one for its '<', so that
 * text_unshown makes the same text of it again. */
size_t text_kept(const char *text, char shown[TEXT_SHOWN]);
/* Takes back in place what text_kept has done to a text. */
void text_unshown(char *text);
/* Writes the first bytes of a text so. */
void text_put(FILE *out, const char *text, size_t size);

/* Columns that UTF-8 text takes on a terminal as it is shown: two for a wide sign, none for one
 * that joins the sign before (width.h). */
size_t text_width(const char *text);
size_t text_width_in(const char *text, size_t size); /* of its first bytes */

/* Bytes of the beginning of a text that takes at most so many columns. */
size_t text_head(const char *text, size_t columns);

/* Is the text well-formed UTF-8 (no overlong forms, no surrogates)? */
bool text_is_utf8(const char *text);

/* May the text stand in XML 1.0: UTF-8 without control characters (but tab and ends of lines) and
 * without U+FFFE and U+FFFF? (Extensible Markup Language 1.0, fifth edition, section 2.2.) */
bool text_is_xml(const char *text);

/* The code point that a text begins with, U+FFFD for a byte that is no UTF-8; returns its bytes, at
 * least 1. */
size_t text_point(const char *text, uint32_t *point);
/* Its bytes; and whether it is shown as it is. */
size_t text_next(const char *text);
bool text_is_plain(const char *text);

/* Copies at most `columns` columns of UTF-8 text as it is shown; a text that is cut ends in "~".
 * Buffer needs 4*columns+1. */
void text_fit(char *buffer, size_t size, const char *text, size_t columns);

/* A text cut to 40 columns for a message, in a buffer that lives as long as the block. */
enum { TEXT_BRIEF = 4 * 40 + 1 };
const char *text_brief(char buffer[TEXT_BRIEF], const char *text);
#define BRIEF(text) text_brief((char[TEXT_BRIEF]){""}, (const char *)(text))

#endif
