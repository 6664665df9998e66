/*
 * read/values.h - one reading of values, whoever writes them: attributes (element.c), lists
 * (import_values.c) and sheets (record.c).
 *
 * Each reader takes one text and says what is wrong with it in one set of sentences, to be put after
 * the name of the attribute or column: "'4,5' is not a number". Who calls adds file, line and object.
 *
 * Attributes are exact. In sheets, as people fill them in, capitals, blanks, hyphens, underscores
 * and points make no difference in headings and words ("Test date" is test-date, "Knife edge" is
 * knife-edge, "O.K." is ok), results and yes have a few words more, and dates may be written as the
 * user says they are; nothing is guessed.
 */
#ifndef READ_VALUES_H
#define READ_VALUES_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/date.h"
#include "ship/fields.h"
#include "ship/ship.h"

/* How values are written. */
typedef struct {
    bool exact;  /* to the letter, as attributes are; else as people fill in sheets */
    double unit; /* m in the unit in which lengths are written */
    bool framed;
    double zero, spacing; /* where framed: m, of frame 0 and from frame to frame */
    const char *unframed; /* else: what is said of a frame, to be put after "is a frame, but " */
    coaming_date_order dates; /* where not exact */
    coaming_date latest;      /* no date may come after it */
} values_reading;

/* What a number may be. */
typedef struct {
    double least, greatest;
    bool above; /* more than least, not least itself */
} values_bounds;

/* What a field that is a number may be. */
values_bounds values_field_bounds(const ship_field *f);

enum { VALUES_WHY = 500 };

/* A number within bounds. */
bool values_number(const char *text, const values_bounds *bounds, double *value,
                   char why[VALUES_WHY]);

/* A length, or a place along the ship (a length or a frame: fr20, fr20+0.25), as it is written and in
 * metres. Bounds are metres too. */
typedef struct {
    double metres;
    bool frame;
    double number; /* the length or the frame */
    double offset; /* from the frame */
} values_place;
bool values_length(const values_reading *how, const char *text, const values_bounds *bounds,
                   values_place *place, char why[VALUES_WHY]);
bool values_along(const values_reading *how, const char *text, values_place *place,
                  char why[VALUES_WHY]);

/* Takes the next word at *text (ended by blanks or one of `ends`) into word; false at the end. A
 * word that does not fit becomes one that is neither id nor number. */
enum { WORD_SIZE = 1000 };
bool next_word(const char **text, const char *ends, char *word, size_t size);

/* An id: one word without blanks and commas, of less than WORD_SIZE bytes. */
bool values_id(const char *text, char why[VALUES_WHY]);
/* A name, or what else stands as one line in lists and drawings; and a note. Blank is none. */
enum { NAME_SIGNS_MAX = 200, NOTE_SIZE = 4096 };
bool values_name(const char *text, char why[VALUES_WHY]);
bool values_note(const char *text, char why[VALUES_WHY]);

/* The two words of a text. */
bool values_two(const char *text, char one[WORD_SIZE], char two[WORD_SIZE], char why[VALUES_WHY]);
/* Is low, of a text that gives both, less than high? */
bool values_rise(double low, double high, const char *text, char why[VALUES_WHY]);

/* The next "x,y" of an outline. CORNER_NONE: nothing is left. Of outlines `why` stands alone. */
typedef enum { CORNER_READ, CORNER_NONE, CORNER_FAULTY } corner_result;
corner_result values_corner(const char **text, char x[WORD_SIZE], char y[WORD_SIZE],
                            char why[VALUES_WHY]);
enum { CORNERS_MAX = 1000 };
/* Can an outline have so many corners, or where they are known those? */
bool values_corner_count(size_t corners, char why[VALUES_WHY]);
bool values_outline(const double *xy, size_t corners, char why[VALUES_WHY]);

/* Cuts off the blanks at both ends, no-break spaces too, in place; returns where it begins. */
char *values_trim(char *text);

/* Are two headings or words of a sheet the same? */
bool values_same(const char *a, const char *b);
/* Is it one of the words (a list ending in NULL)? Its index, or -1. */
int values_word(const char *text, const char *const *words);

/* "door, hatch or valve"; cut where the buffer ends. Returns buffer. */
enum { VALUES_LIST = 200 };
const char *values_list(char buffer[VALUES_LIST], const char *const *words);

/* One of the words; -1, and why not. */
int values_one_of(const values_reading *how, const char *text, const char *const *words,
                  char why[VALUES_WHY]);

/* Pass: pass, passed, ok, okay, satisfactory. Fail: fail, failed, not ok, unsatisfactory.
 * Untested: untested, not tested, n/a, or hyphens alone. */
typedef enum { RESULT_PASS, RESULT_FAIL, RESULT_UNTESTED, RESULT_UNKNOWN } value_result;
value_result values_result(const char *text, char why[VALUES_WHY]);

/* Yes or no; in sheets also y, true, 1, x and n, false, 0. */
bool values_yes_no(const values_reading *how, const char *text, bool *yes, char why[VALUES_WHY]);

/* A date as ISO 8601 has it, or in sheets as they are said to be written. */
bool values_date(const values_reading *how, const char *text, coaming_date *date,
                 char why[VALUES_WHY]);
/* Is it no later than that? */
bool values_come(coaming_date date, coaming_date latest, char why[VALUES_WHY]);
/* Is what is dated so, as ISO 8601 has it, not before the closure was fitted? */
bool values_since_fitted(coaming_date date, coaming_date fitted, char why[VALUES_WHY]);

/* One "AT:LENGTH[:SEEN]" of so many bytes, in the unit in which it is written. Here `why` stands
 * alone. */
bool values_gap(const char *text, size_t length, gap *g, char why[VALUES_WHY]);
/* What was measured: "0.0035", "3.5mm", "3.5 mm", "0.14in". */
typedef struct {
    double number;
    double unit; /* m; 0: that of the ship's file */
} value_measure;
bool values_measure(const char *text, value_measure *m, char why[VALUES_WHY]);

/* What stands between gaps. */
extern const char values_between_gaps[];

#endif
