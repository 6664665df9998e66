/*
 * present/tell/flood_words.h - what is said of water in time, once for text, drawings and report.
 *
 * Sentences are made into memory that the caller gives to free(); NULL when out of memory.
 */
#ifndef PRESENT_FLOOD_WORDS_H
#define PRESENT_FLOOD_WORDS_H

#include "coaming/present.h"
#include "present/form/style.h"
#include "present/tell/told_events.h"
#include "ship/ship.h"

/* A time after the start as a crew would say it: "9.5 s", "45 s", "2 min 10 s", "1 h 05 min"; to the
 * second up to an hour. Returns the buffer. */
const char *lapse_words(char buffer[SHOWN], double seconds);

/* The same for long lists, "2:10" for 2 min 10 s, "1:05:00". */
const char *clock_words(char buffer[SHOWN], double seconds);

/* "engine holed", "engine, motor holed, water let into galley", "water by what stands open": what is
 * asked, for a title. */
char *flood_title(const coaming_ship *ship, const coaming_flood_ask *ask);

/* "engine: a hole of 0.05 m2, its middle 1.2 m above the baseline.", a sentence a source, joined. */
char *flood_source_words(const coaming_ship *ship, const coaming_flood_ask *ask);

/* Is it of a pump, else of a closure? */
bool flood_changes_pump(const coaming_flood_change *c);
/* What is to happen on board: "As asked: D3 shut after 2 min, P1 started at once."; "" if nothing. */
char *flood_change_words(const coaming_ship *ship, const coaming_flood_ask *ask);

/* The event as it happens: "water in motor (Motor room)", "D3 gives way ...". a: the flood that it is of,
 * which tells why she is lost; NULL: of many. */
char *flood_event_words(const coaming_ship *ship, const coaming_flood_answer *a,
                        const coaming_flood_event *e);

/* Does she lie in a position at that moment, so that levels mean something: not once she is lost? */
bool flood_lies(const coaming_flood_answer *a, size_t moment);

/* Is it one of those that a short list has: not of every closure that gets wet? */
bool flood_event_matters(const coaming_flood_event *e);
/* Those of a short list, the grave ones in any case, however much happens. */
told_events flood_told(const coaming_flood_answer *a);
/* Does water come to a space, vital or not? */
bool flood_is_wet(const coaming_flood_event *e);

/* "Water gets to 2 more spaces: motor after 2 min, ...", or to none within the time. */
char *flood_reach_words(const coaming_ship *ship, const coaming_flood_page *page);
/* What becomes of her, and when: "She is afloat, but not surviving, from 12 min on; ...", "She is lost
 * after 12 min: she ...". */
char *flood_fate_words(const coaming_flood_answer *a);

#define FLOOD_STILL_DONE   "What can still be done, from the start on:"
#define FLOOD_NOTHING_OPEN "No closure stands open in the water's way that could be shut."
/* Those that help if they are shut in time, the most pressing first: into a list with room for all;
 * returns how many. And the others, in one sentence; "" if there are none. */
size_t flood_useful(const coaming_flood_deadlines *deadlines, const coaming_flood_deadline **list);
char *flood_useless_words(const coaming_ship *ship, const coaming_flood_deadlines *deadlines);

/* Of one that helps: "D3: shut within 3 min 40 s it keeps motor dry, within 11 min her afloat." */
char *flood_deadline_words(const coaming_ship *ship, const coaming_flood_deadline *d);
/* Without deadlines: closures that stand open where water comes to, with when it is there; "" if there
 * are none. */
char *flood_open_words(const coaming_ship *ship, const coaming_flood_page *page);

/* How she lies at the end, after "She ". */
char *flood_end_words(const coaming_ship *ship, const coaming_flood_answer *a);

/* Of times of water, in a page that has a caution of its own: what that does not say. */
const char *flood_more_caution(void);

/* What is assumed and what is not modelled. */
char *flood_assumed_words(const coaming_ship *ship, const coaming_flood_answer *a);

/* An event of many draws: "in 95 %, in half by 3 min, 10 to 90 %: 2 min to 9 min", of a rare
 * one less. Returns the buffer. */
const char *flood_spread_words(char buffer[2 * SHOWN], const coaming_flood_likely_event *e);

#endif
