/*
 * ship/survey.h - does the geometry agree with itself? Findings are warnings, never errors.
 */
#ifndef SHIP_SURVEY_H
#define SHIP_SURVEY_H

#include "base/fault.h"
#include "ship/ship.h"

/*
 * Warns of spaces that overlap, openings away from the spaces that they join, openings to the sea
 * above the waterline and to the weather below it, spaces that stand out of the hull, and
 * compartment numbers that contradict the geometry. False when out of memory. Cost: n log n, and
 * the pairs of solids that share a place along the axis on which fewest do.
 */
bool ship_survey(const coaming_ship *ship, coaming_faults *faults);

#endif
