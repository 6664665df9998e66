/*
 * present/tell/level_words.h - to which level water is counted, for flooding and for risk; once for
 * text, drawings and the report.
 */
#ifndef PRESENT_LEVEL_WORDS_H
#define PRESENT_LEVEL_WORDS_H

#include "present/form/style.h"
#include "ship/ship.h"

#define AT_REST "the waterline at rest"

/* "water to where she settles with the flooded spaces open to the sea". Returns the buffer. */
const char *level_words(char buffer[SHOWN], const coaming_ship *ship, coaming_query query);
/* The same as a sentence, with its end. */
const char *level_sentence(char buffer[SHOWN], const coaming_ship *ship, coaming_query query);

/* Where flooding settles with her; a plan does not, and is counted at the waterline at rest. */
bool settles_with_her(coaming_query query);
/* Of a plan: "Risk is counted at the waterline at rest"; NULL: at the level that was asked for. */
const char *risk_plane_words(coaming_query query);

#endif
