/* present/tell/hold_words.h - words and order that lines of hold have in text and drawings alike. */
#ifndef PRESENT_HOLD_WORDS_H
#define PRESENT_HOLD_WORDS_H

#include "coaming/hold.h"
#include "present/form/style.h"
#include "ship/ship.h"

/* "dry", of smoke or bad air "clean"; "water", "smoke or bad air". */
const char *hold_clean(const coaming_hold_answer *a);
const char *hold_noun(const coaming_hold_answer *a);
/* The same in capitals, as a page begins. */
const char *hold_title(coaming_hazard hazard);
/* Ids with commas between; "no space". */
void hold_put_spaces(FILE *out, const coaming_ship *ship, const int *spaces, size_t count);
/* Ids of the sources, so many at most. */
void hold_put_sources(FILE *out, const coaming_ship *ship, const coaming_hold_answer *a,
                      size_t most);
/* Why a link that lets through cannot be held: "open", "not tight". */
const char *hold_why_open(const ship_link *l, coaming_hazard hazard);
/* "from motor against engine": where somebody stands who shuts it or keeps it shut. elsewhere: it is
 * to be shut, and can be from elsewhere too. */
void hold_put_sides(FILE *out, const coaming_ship *ship, int closure, coaming_place from,
                    bool elsewhere);
/* How a closure of a line stands: "CANNOT BE TRUSTED: FAILED 2026-09-14 by chalk, repaired ...".
 * Returns the buffer. */
const char *hold_trust(char buffer[SHOWN], const coaming_ship *ship, int closure);
/* "3 closures, which all hold with a chance of 57.9 %". Returns the buffer. */
const char *hold_line_chance(char buffer[SHOWN], const coaming_hold_line *line);
/* How many of the places of a rest are sources themselves; they stand first. */
size_t hold_own_count(const coaming_rest *rest);
/* Where it goes on as the doors are, and where she settles how she fares: the first thing said. */
char *hold_as_is_words(const coaming_ship *ship, const coaming_hold_answer *a, bool settles);
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
/* Heads of the lines: "Line most likely to hold", "The next line behind"; of nested ones "LINE TO
 * HOLD, 2 of 6", "Second line behind it, 3 of 6". Returns the buffer. And what is said where none is
 * behind: of nested lines there may be doors behind all the same, that make none. */
const char *hold_line_head(char buffer[SHOWN], const coaming_hold_answer *a, size_t index);
const char *hold_one_line(const coaming_hold_answer *a);
/* Nested lines are told from this one on: the recommended, or where there is none the nearest; and
 * so many, for a list of closures: the third is the last. */
size_t hold_told_first(const coaming_hold_answer *a);
enum { HOLD_TOLD = 3 };
/* What nested lines are; why this one is to be held, or that she is lost with any of them. */
#define HOLD_NESTED                                                                                \
    "Lines from near to far: each farther one gives up more and is likelier to hold."
#define HOLD_SETTLED                                                                               \
    "Lines from near to far: each farther one gives up more; more closures may be of it where "    \
    "she "                                                                                         \
    "lies deeper behind it."
#define HOLD_EXPECTED                                                                              \
    "Expected: what is lost in worth, counted with what comes through the line if it is held "     \
    "only "                                                                                        \
    "as well as its closures are; where she is lost, all she is worth."
char *hold_why_words(const coaming_hold_answer *a, bool floats);
/* "expected loss 21.2 worth (standard error 0.3)". Returns the buffer. */
const char *hold_loss_words(char buffer[SHOWN], const coaming_hold_line *line);
/* "D1, Engine room door, from motor against engine: holds 51.9 %; CANNOT BE TRUSTED: ...", with what
 * is to be done before it: "SHUT", "keep shut"; what may only slow says so. */
char *hold_closure_words(const coaming_ship *ship, const coaming_hold_answer *a,
                         const coaming_hold_line *line, const coaming_hold_closure *c);
/* Where nobody is to stand on the side that is kept, as in a tank. */
#define HOLD_INSIDE "FROM INSIDE"
#define HOLD_SLOWS  "shut it: it slows, it may not hold"
/* What is done with it: "SHUT", "keep shut". */
const char *hold_task(const coaming_hold_closure *c);
/* Of a line, the closures that the line before has too: "and of the line before: D2, V3", without
 * the "and" if it has no others. "" if there are none. */
char *hold_shared_words(const coaming_ship *ship, const coaming_hold_line *line,
                        const coaming_hold_line *before);
/* Of nested lines round a space: is it a closure to the outside, shut and passed, for which nobody
 * need go anywhere? These are only named: "to the outside, passed, keep shut: V4 (96.6 %), V3
 * (97.4 %)"; of a line behind another those that it does not share. "" if there are none. */
bool hold_outer(const coaming_ship *ship, const coaming_hold_answer *a,
                const coaming_hold_closure *c);
char *hold_outer_words(const coaming_ship *ship, const coaming_hold_answer *a,
                       const coaming_hold_line *line, const coaming_hold_line *before);
bool hold_has_closure(const coaming_hold_line *line, int closure);
/* How many closures of a line another has too. */
size_t hold_count_shared(const coaming_hold_line *line, const coaming_hold_line *other);
bool hold_gives_up(const coaming_hold_line *line, int space);
/* Of a link that a line is of, or that leads past it: its side behind the line. */
coaming_place hold_clean_side(const coaming_ship *ship, const coaming_hold_line *line, int link);
/* What leads past a line, where she floats behind it, and cannot hold: "" if nothing does. It is of
 * hold_float_words too. */
char *hold_not_held_words(const coaming_ship *ship, const coaming_hold_answer *a,
                          const coaming_hold_line *line);
/* "If D1 or D4 gives way she is lost: not enough buoyancy is left."; without
 * `why` up to "lost", and of many only how many. "" if by none of it she is. */
char *hold_lost_if_words(const coaming_ship *ship, const coaming_hold_line *line, bool why);
/* What stands open behind a line and could be shut: "" if nothing does. */
char *hold_open_words(const coaming_ship *ship, const coaming_hold_line *line);
/* Is a line told as bad: lost or not surviving with it, or it cannot hold where she floats? */
bool hold_is_bad(const coaming_hold_line *line);
/* One word of how she floats with a line: "within", "not surviving"; or that it cannot hold. */
const char *hold_grade_brief(const coaming_hold_line *line);
/* Why there is no line though not all is lost. */
char *hold_no_line_words(const coaming_hold_answer *a);
/* What the line keeps clean, and what of it is wet already: "" if there is none. */
char *hold_kept_words(const coaming_ship *ship, const coaming_hold_answer *a,
                      const coaming_hold_line *line);
#define HOLD_WET "WET ALREADY, as tested, though behind the line: "
char *hold_wet_words(const coaming_ship *ship, const coaming_hold_answer *a,
                     const coaming_hold_line *line);
/* How she floats with what the source fills up to the line, and how good that is; and what the line
 * gives up, with the people there. To be given to free(); NULL when out of memory. */
char *hold_float_words(const coaming_ship *ship, const coaming_hold_answer *a,
                       const coaming_hold_line *line);
/* before: the line of which what it gives up is told already, NULL: none. */
char *hold_given_up_words(const coaming_ship *ship, const coaming_hold_line *line,
                          const coaming_hold_line *before);

/* For qsort of coaming_hold_closure: what must be shut first, then what is likeliest to leak. */
int hold_by_need(const void *left, const void *right);

#endif
