/* present/tell/air_words.h - what is said of air in time, once for text and drawings. */
#ifndef PRESENT_AIR_WORDS_H
#define PRESENT_AIR_WORDS_H

#include "coaming/present.h"
#include "present/form/style.h"
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

/* What the answer leaves out; and what it assumes of so many openings and leaks. */
extern const char air_not_counted[];
const char *air_assumed(char buffer[4 * SHOWN], const coaming_air_answer *a);

#endif
