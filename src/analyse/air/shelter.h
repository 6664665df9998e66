/* analyse/air/shelter.h - the spaces that fans keep over what is round them, and what that takes. */
#ifndef AIR_SHELTER_H
#define AIR_SHELTER_H

#include "analyse/air/openings.h"

/* Of a model that is solved. COAMING_MEMORY, COAMING_INTERNAL. */
coaming_status air_shelters(const air_model *m, arena *memory, coaming_air_answer *answer,
                            coaming_error *error);

#endif
