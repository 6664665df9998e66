/*
 * present/tell/air_words.h - what is said of air in time, once for text, drawings and report.
 *
 * What returns a char * makes a sentence that the caller gives to free(); NULL when out of memory, ""
 * where there is nothing to say.
 */
#ifndef PRESENT_AIR_WORDS_H
#define PRESENT_AIR_WORDS_H

#include "coaming/present.h"
#include "present/form/style.h"
#include "present/tell/told_events.h"
#include "ship/ship.h"

/* A share of the air: "240 ppm", "1.2 %"; of smoke a share of what its source gives off. */
const char *share_words(char buffer[SHOWN], coaming_agent agent, double share);
/* "CO", "smoke" */
const char *agent_name(coaming_agent agent);
/* "engine gives off 2 g/s of CO"; "the air outside has 500 ppm of CO" */
const char *air_source_words(char buffer[2 * SHOWN], const coaming_ship *ship,
                             const coaming_air_source *source);
/* "Wind 10 m/s from 45 degrees to starboard of ahead; 5 degrees outside, 20 inside." */
const char *weather_words(char buffer[2 * SHOWN], const coaming_air_options *o);
/* How a link stands: "open", "FAILED", "shut, not tight", ... */
const char *air_state_words(coaming_air_state state);

/* The way by a link; NULL: no air passes it. */
const coaming_air_way *air_way(const coaming_air_answer *a, int link);

/* What a change is of: a closure, a fan or a place. */
const char *air_changed(const coaming_ship *ship, const coaming_air_change *c);
/* "As asked: engine gives off 2 g/s of CO; D3 shut after 2 min. Followed for 1 h." */
char *air_asked_words(const coaming_ship *ship, const coaming_air_options *o);

#define AIR_TITLE         "smoke and gas in her air"
#define AIR_PASSED        "LIMITS PASSED, the first space first"
#define AIR_STILL_DONE    "WHAT CAN STILL BE DONE (each by itself, were it shut from the start)"
#define AIR_STILL_IN_TIME "WHAT CAN STILL BE DONE (each by itself, shut by then at the latest)"
/* The first, or where it was asked until when, the other. */
const char *air_still_done(const coaming_air_options *o);
/* Where none is passed. */
const char *air_no_limit(const coaming_air_options *o);
/* Is the event the first in its space? Is that limit passed anywhere? */
bool air_first_there(const coaming_air_answer *a, size_t event);
bool air_passes(const coaming_air_answer *a, const coaming_air_limit *limit);
/* All that is passed in the space of an event, the first there: "aux: co-ceiling after 2 min, co-idlh
 * after 9 min 10 s, by D2 (open)"; and an event by itself: "co-ceiling passed in aux (Aux machinery),
 * by D2 (open)". */
char *air_space_words(const coaming_ship *ship, const coaming_air_answer *a, size_t event);
char *air_event_words(const coaming_ship *ship, const coaming_air_event *e);
/* What a published name means, and who says so. */
char *air_limit_words(const coaming_air_limit *limit);
/* "D1: no limit is passed by the end in hold-aft"; with until when, "D1 within 8 min: ..." */
char *air_shutting_words(const coaming_ship *ship, const coaming_air_shutting *s);

/* The limits that were asked for, or else the published ones, by index; NULL past the last. */
const coaming_air_limit *air_limit(const coaming_air_options *o, size_t index);
/* The shares of an agent at which fills of a drawing change: a tenth of its lowest limit, that and its
 * highest; of one limit a tenth, that and ten times; without one 0.1, 1 and 10 %. Rising. */
enum { AIR_STEPS = 3 };
void air_steps(const coaming_air_options *o, coaming_agent agent, double steps[AIR_STEPS]);
/* The events of a short list, the first of each space in any case. False when out of memory. */
bool air_told(const coaming_ship *ship, const coaming_air_answer *a, told_events *told);

/* The courses by their dose at the end, the most first; for memory_free. NULL: out of memory. */
size_t *air_by_dose(const coaming_air_answer *a);
/* What it does to people in a space; NULL: nothing that is there does. */
const coaming_air_harm *air_harm(const coaming_air_answer *a, int space);

/* What no air leads out of; a pressure that cannot be. */
char *air_sealed_words(const coaming_ship *ship, const coaming_air_options *o,
                       const coaming_air_answer *a);
char *air_much_words(const coaming_ship *ship, const coaming_air_answer *a);

/* How a shelter stands, and from which pressure on it is clean. */
char *air_shelter_words(const coaming_ship *ship, const coaming_air_shelter *s);
/* "From 5 min on it stands 0.2 Pa over what is round it."; "" without changes. */
char *air_later_words(const coaming_air_answer *a, const coaming_air_shelter *s);
char *air_clean_words(const coaming_air_shelter *s);

/* Of smoke and gas, in a page that has a caution of its own: what that does not say. */
const char *air_more_caution(void);

/* What the answer leaves out; and what it assumes of so many openings and leaks. */
extern const char air_not_counted[];
const char *air_assumed(char buffer[4 * SHOWN], const coaming_air_answer *a);

#endif
