/*
 * analyse/air/mixing.h - what is carried with the air: shares, doses and harm in time.
 *
 * From one change of the flows to the next the solver goes on as far as it likes at a time; on each of
 * its steps doses, harm and the moments when limits are passed are found from its own polynomials, so
 * its steps follow the shares alone.
 */
#ifndef AIR_MIXING_H
#define AIR_MIXING_H

#include "analyse/air/scene.h"

/* All that is in her air at a moment. */
typedef struct {
    double t;
    double *unknowns, *dose, *harm;
} air_moment;

typedef struct {
    const air_stretch *stretches; /* of models that are solved */
    size_t count;
    const air_moment *begin; /* at the start of the first stretch; NULL: clean air, from 0 */
    air_moment *keep;        /* what there is at these times, above 0, is filled in; they rise */
    size_t keep_count;
} air_mixing;

/* Fills times, courses, harms, events and what is unbalanced; with `begin` what was before it is left
 * out of them. What is kept is of the arena. COAMING_MEMORY, COAMING_INTERNAL. */
coaming_status air_mix(const air_mixing *mixing, arena *memory, coaming_air_answer *answer,
                       coaming_error *error);

#endif
