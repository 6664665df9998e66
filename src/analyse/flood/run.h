/* analyse/flood/run.h - one flood, for those that ask many. */
#ifndef ANALYSE_FLOOD_RUN_H
#define ANALYSE_FLOOD_RUN_H

#include "coaming/flood.h"

/* coaming_flood_new; leaks: by closure, whether it is unsound whatever its tests say; NULL: as they
 * stand. */
coaming_status flood_run(const coaming_ship *ship, const coaming_flood_ask *ask, const bool *leaks,
                         coaming_flood **flood, coaming_error *error);

#endif
