/* analyse/flood/run.h - one flood, for those that ask many. */
#ifndef ANALYSE_FLOOD_RUN_H
#define ANALYSE_FLOOD_RUN_H

#include "base/memory.h"
#include "coaming/flood.h"

struct coaming_flood {
    coaming_flood_answer answer;
    arena memory;
    const bool *passed; /* by link: water went through, and it stood open and whole at the end */
};

typedef struct {
    const bool *leaks; /* by closure: is it unsound, whatever its tests say; NULL: as they stand */
    bool events_only;  /* no grade at the end, */
    bool grades;       /* and only then moments, for when she no longer survives is told as well */
} flood_manner;

coaming_status flood_run(const coaming_ship *ship, const coaming_flood_ask *ask,
                         const flood_manner *manner, coaming_flood **flood, coaming_error *error);

#endif
