/* analyse/air/shelter.h - the spaces that fans keep over what is round them, and what that takes. */
#ifndef AIR_SHELTER_H
#define AIR_SHELTER_H

#include "analyse/air/scene.h"

/* Of models that are solved: those of the first, and how they stand in the others. COAMING_MEMORY,
 * COAMING_INTERNAL. */
coaming_status air_shelters(const air_stretch *stretches, size_t count, arena *memory,
                            coaming_air_answer *answer, coaming_error *error);

#endif
