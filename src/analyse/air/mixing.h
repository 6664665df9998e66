/*
 * analyse/air/mixing.h - what is carried with the air: shares, doses and harm in time.
 *
 * From one change of the flows to the next the solver goes on as far as it likes at a time; on each of
 * its steps doses, harm and the moments when limits are passed are found from its own polynomials, so
 * its steps follow the shares alone.
 */
#ifndef AIR_MIXING_H
#define AIR_MIXING_H

#include "analyse/air/openings.h"

/* Of models that are solved, `count` of them, each from a time on to that of the next: the first from 0,
 * the last to the end. Fills times, courses, harms, events and what is unbalanced. COAMING_MEMORY,
 * COAMING_INTERNAL. */
typedef struct {
    double from;
    air_model model;
} air_stretch;

coaming_status air_mix(const air_stretch *stretches, size_t count, arena *memory,
                       coaming_air_answer *answer, coaming_error *error);

#endif
