/*
 * read/values.h - one reading of the headings and values of sheets, as people fill them in.
 *
 * Capitals, blanks, hyphens, underscores and points make no difference in headings and words
 * ("Test date" is test-date, "Knife edge" is knife-edge, "O.K." is ok). Results have a few words
 * more than the format, dates may be written as the user says they are, and nothing is guessed. XML
 * is another matter: its words are exact (element.c), and only the lists of them are put here.
 */
#ifndef READ_VALUES_H
#define READ_VALUES_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/date.h"
#include "ship/ship.h"

/* Cuts off the blanks at both ends, no-break spaces too, in place; returns where it begins. */
char *values_trim(char *text);

/* Are two headings or words the same? */
bool values_same(const char *a, const char *b);
/* Is it one of the words (a list ending in NULL)? Its index, or -1. */
int values_word(const char *text, const char *const *words);

/* "door, hatch or valve"; cut where the buffer ends. Returns buffer. */
enum { VALUES_LIST = 200 };
const char *values_list(char buffer[VALUES_LIST], const char *const *words);

/* Pass: pass, passed, ok, okay, satisfactory. Fail: fail, failed, not ok, unsatisfactory.
 * Untested: untested, not tested, n/a, or hyphens alone. */
typedef enum { RESULT_PASS, RESULT_FAIL, RESULT_UNTESTED, RESULT_UNKNOWN } value_result;
value_result values_result(const char *text);
extern const char values_result_words[]; /* for a message */

/* Yes: yes, y, true, 1, x. No: no, n, false, 0. -1: neither. */
int values_yes_no(const char *text);
extern const char values_yes_no_words[];

/* A date as ISO 8601 has it or as `order` says. Else false, and `why` says what is wrong, to be put
 * after the text as it stands. */
enum { VALUES_WHY = 240 };
bool values_date(const char *text, coaming_date_order order, coaming_date *date,
                 char why[VALUES_WHY]);

/* One "AT:LENGTH[:SEEN]" of so many bytes, in the unit in which it is written. Else false, and
 * `why` says what is wrong. */
enum { VALUES_GAP_WHY = 500 };
bool values_gap(const char *text, size_t length, gap *g, char why[VALUES_GAP_WHY]);
/* What was measured: "0.0035", "3.5mm", "3.5 mm", "0.14in". Else false, and `why` is to be put after
 * the text as it stands. */
typedef struct {
    double number;
    double unit; /* m; 0: that of the ship's file */
} value_measure;
bool values_measure(const char *text, value_measure *m, char why[VALUES_WHY]);

/* What stands between gaps. */
extern const char values_between_gaps[];

#endif
