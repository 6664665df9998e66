/* analyse/ranking/scenarios.h - the scenarios that count: given ones, else the defaults. */
#ifndef ANALYSE_RANKING_SCENARIOS_H
#define ANALYSE_RANKING_SCENARIOS_H

#include "ship/ship.h"

/* Upper bound of the number of scenarios for all hazards. */
size_t scenarios_room(const coaming_ship *ship);

/* Writes the scenarios of one hazard: the ship's own in file order; without any, the outside
 * (water: the sea; air: the weather), then each shell space (water) or each space (air). */
size_t scenarios_for(const coaming_ship *ship, coaming_hazard hazard, scenario *list);

#endif
