/* analyse/air/mixing.h - what is carried with the air: shares, doses and harm in time. */
#ifndef AIR_MIXING_H
#define AIR_MIXING_H

#include "analyse/air/openings.h"

/* Of a model that is solved; fills times, courses, harms, events and what is unbalanced. COAMING_MEMORY,
 * COAMING_INTERNAL. */
coaming_status air_mix(const air_model *m, arena *memory, coaming_air_answer *answer,
                       coaming_error *error);

#endif
