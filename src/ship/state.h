/*
 * ship/state.h - does a link pass, in a condition, as last tested? Rules of the model:
 * a passage passes; so does a closure that is not shut in the condition, is rated nontight, or
 * stands as failed (standing.h). Untested closures stand apart. For water a weathertight closure
 * passes once immersed (SOLAS consolidated edition 2020, regulation II-1/7-2, treats immersed
 * weathertight openings so), however it stands. What is seen of a closure now (seen.h) comes before
 * the condition and its tests.
 */
#ifndef SHIP_STATE_H
#define SHIP_STATE_H

#include "ship/ship.h"

typedef enum { LINK_HOLDS, LINK_UNTESTED, LINK_PASSES } link_state;

link_state link_state_in(const ship_link *l, int condition, coaming_hazard hazard);

/* The same were every closure that is shut sound, however it stands. */
link_state link_state_as_built(const ship_link *l, int condition, coaming_hazard hazard);

/* Does it pass? tested: by its last test, else as built; untested_pass: what is untested too. */
bool link_passes(const ship_link *l, int condition, coaming_hazard hazard, bool tested,
                 bool untested_pass);

/* Is it shut: as it is seen, else as the condition says? */
bool link_shut(const ship_link *l, int condition);

/* Can it be shut, however it stands open now: not what no condition shuts and nobody has shut. And
 * does it keep the hazard back then, if it is sound? */
bool link_can_be_shut(const ship_link *l);
bool link_can_hold(const ship_link *l, coaming_hazard hazard);
/* Would it, were it shut and sound: by its rating alone. */
bool link_rated_to_hold(const ship_link *l, coaming_hazard hazard);
/* Can it be shut, and only slows the hazard then: weathertight, of water. */
bool link_slows(const ship_link *l, coaming_hazard hazard);

/* Can the hazard act on the link at all: water only if its lowest edge is below the level (an edge
 * at the level is dry), air only if neither side is the sea. The level is not used for air. */
bool link_reached(const ship_link *l, coaming_hazard hazard, double level);

/* Can the space hold the hazard: water only if part of it is below the level. */
bool space_reached(const ship_space *s, coaming_hazard hazard, double level);

/* Height of the waterline at rest at mid-length, m above the baseline. */
double still_level(const coaming_ship *ship, int loading);

/* Marks the spaces that stand open to the sea at that height by passages alone, which nothing can
 * shut: a trunk or a well made to be wet. `open` has a place for every space. */
void mark_open_by_design(const coaming_ship *ship, int loading, bool *open);

/* Does the ship settle with the hazard, so that its level is where she floats? */
bool level_settles(coaming_level level, coaming_hazard hazard);

/* Height of the plane of a query for a source, m above the baseline; NaN for air. */
double level_for(const coaming_ship *ship, coaming_query query, coaming_hazard hazard,
                 coaming_place source);

/* Of several sources the highest of these; NaN of none. */
double level_for_all(const coaming_ship *ship, coaming_query query, coaming_hazard hazard,
                     const coaming_place *sources, size_t count);
bool is_among(const coaming_place *places, size_t count, coaming_place place);

#endif
