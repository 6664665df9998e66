/* analyse/air/shutting.h - what it gains to shut a closure, and until when. */
#ifndef AIR_SHUTTING_H
#define AIR_SHUTTING_H

#include "analyse/air/mixing.h"

typedef struct {
    const coaming_ship *ship;
    const coaming_air_options *how;
    coaming_air_answer *answer;
    air_moment *moments; /* as it was asked; none unless until when is asked for */
    size_t moment_count;
} air_shutting_work;

/* Before it is mixed as asked: has moments kept from which shutting is tried. False when out of memory. */
bool air_shuttings_keep(air_shutting_work *w, air_mixing *mixing, arena *memory);

/* Afterwards: fills the shuttings of the answer. COAMING_MEMORY, COAMING_INTERNAL. */
coaming_status air_shuttings(const air_shutting_work *w, arena *memory, coaming_error *error);

#endif
