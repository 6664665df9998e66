/*
 * present/tell/float_words.h - what is said of how she floats, once for text, drawings and report: the
 * side of a heel, a grade with what limits it, where water is and where it would go on.
 *
 * Sentences are made into memory that the caller gives to free(); NULL when out of memory.
 */
#ifndef PRESENT_FLOAT_WORDS_H
#define PRESENT_FLOAT_WORDS_H

#include "coaming/spread.h"
#include "present/form/style.h"
#include "ship/ship.h"

/* " to port", " to starboard", " to either side"; "" for a heel that is shown as 0. */
const char *heel_side(const coaming_float *at, int decimals);
/* "0.9 degrees to port". Returns the buffer. */
const char *heel_words(char buffer[SHOWN], const coaming_float *at, int decimals);

/* After "she": "is afloat, but not surviving: deck edge under water", or why she is lost; with the
 * loll, if she has one. */
char *grade_words(const coaming_ship *ship, const coaming_float *at,
                  const coaming_stability *stability);
/* Why she does not stay afloat: ": she capsizes"; "" if she does. */
const char *lost_cause(coaming_afloat afloat);
/* After "she": the same of a state that is yet to come, where "is lost: she capsizes" is said. */
char *fate_words(const coaming_ship *ship, const coaming_float *at,
                 const coaming_stability *stability);
/* Head of the closures that cost her, which are named before anything else. */
#define NOT_AFLOAT        "she does not stay afloat"
#define NOT_AFLOAT_LOUD   "SHE DOES NOT STAY AFLOAT"
#define THOUGH_NOT_AFLOAT ", though " NOT_AFLOAT " if it fails"
#define NOTHING_TO_BREACH "No space is marked as shell, so there is nothing to breach."
#define LOST_IF_ONE_FAILS "She does not stay afloat in some scenario if one of these fails"
/* After "she does not stay afloat" in a row of expose, whether it is the closure that decides: ", and
 * would if it held", ", whether it holds or not". */
const char *lost_whether(bool decides);

/* The same with where she lies: "is afloat, but not surviving: heel over 15 degrees, at 3.68 m
 * amidships, heel 16.2 degrees to port." */
char *rest_words(const coaming_ship *ship, const coaming_float *at, const coaming_stability *s);

/* "the range ends at 31.2 degrees, where W3 goes under"; "" where none does. */
char *flooding_words(const coaming_ship *ship, const coaming_stability *stability);

/* "engine by V1, motor by D1"; of many the first, and how many more. What is wet by design is not
 * told: "" if that is all. */
char *entry_words(const coaming_ship *ship, const coaming_inflow *entries, size_t count);

/* "D3 to store-sci, P1 to cold", the same way. */
char *way_words(const coaming_ship *ship, const coaming_inflow *entries, size_t count);

/* "As the doors are, water would go on by D1 to b, and with that she is lost: she capsizes."; where
 * it goes further from there, to how many spaces more. */
char *would_go_on_words(const coaming_ship *ship, const coaming_floating_answer *answer);

/* "As tested the sea is let into engine by V1.", and where the query settles her, what she is with
 * that open; "" if it is let in nowhere. */
char *let_in_words(const coaming_outset *outset);

#endif
