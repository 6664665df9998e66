/* analyse/air/agents.h - which parts of a dose count at what is in the air. */
#ifndef AIR_AGENTS_H
#define AIR_AGENTS_H

#include "coaming/air.h"

/* A number for each set of parts that count: where it changes, what people take up a second jumps. */
int air_harm_counts(const double share[COAMING_AGENTS]);

#endif
