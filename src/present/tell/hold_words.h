/* present/tell/hold_words.h - words and order that lines of hold have in text and drawings alike. */
#ifndef PRESENT_HOLD_WORDS_H
#define PRESENT_HOLD_WORDS_H

#include "coaming/hold.h"
#include "present/form/style.h"
#include "ship/ship.h"

/* "dry", of smoke or bad air "clean"; "water", "smoke or bad air". */
const char *hold_clean(const coaming_hold_answer *a);
const char *hold_noun(const coaming_hold_answer *a);
/* How a closure of a line stands: "CANNOT BE TRUSTED: FAILED 2026-09-14 by chalk, repaired ...".
 * Returns the buffer. */
const char *hold_trust(char buffer[SHOWN], const coaming_ship *ship, int closure);
/* "3 closures, which all hold with a chance of 57.9 %". Returns the buffer. */
const char *hold_line_chance(char buffer[SHOWN], const coaming_hold_line *line);
/* How she fares as the doors are, of water where she settles: the first thing said. */
char *hold_as_is_words(const coaming_ship *ship, const coaming_hold_answer *a);
/* That she does not float with what no line can keep dry; that the source lies above the water: ""
 * where it is not so. */
const char *hold_not_afloat_words(char buffer[SHOWN], const coaming_hold_answer *a);
const char *hold_source_words(char buffer[SHOWN], const coaming_ship *ship,
                              const coaming_hold_answer *a);
/* What no line can keep, with the way to it; and the weakest way to what lines protect. */
char *hold_lost_words(const coaming_ship *ship, const coaming_hold_answer *a, size_t index);
char *hold_weakest_words(const coaming_ship *ship, const coaming_hold_answer *a);
/* What is asked. */
#define HOLD_ASKS "what is most likely to hold"
/* Heads of the lines, nearest first; and what is said where there is but one. */
#define HOLD_LINE_HEAD(index) ((index) ? "The next line behind" : "Line most likely to hold")
#define HOLD_ONE_LINE         "There is no other line behind it."
/* Why there is no line though not all is lost. */
char *hold_no_line_words(const coaming_hold_answer *a);
/* What the line keeps clean, and what of it is wet already: "" if there is none. */
char *hold_kept_words(const coaming_ship *ship, const coaming_hold_answer *a,
                      const coaming_hold_line *line);
char *hold_wet_words(const coaming_ship *ship, const coaming_hold_answer *a,
                     const coaming_hold_line *line);
/* How she floats with what the source fills up to the line, and how good that is; and what the line
 * gives up, with the people there. To be given to free(); NULL when out of memory. */
char *hold_float_words(const coaming_ship *ship, const coaming_hold_line *line);
char *hold_given_up_words(const coaming_ship *ship, const coaming_hold_answer *a, size_t index);

/* For qsort of coaming_hold_closure: what must be shut first, then what is likeliest to leak. */
int hold_by_need(const void *left, const void *right);

#endif
