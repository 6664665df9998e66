/*
 * ship/unfilled.h - which part of the hull does no space fill?
 *
 * What is not recorded can never flood, and so stays buoyant for ever: a hold left out makes every
 * answer too good. The hull is cut into regions at the transverse ends of the shell spaces and at
 * the decks, and from each the parts of spaces that lie in it are taken, all exactly. Regions that
 * lie next to each other on one deck and are more than half empty are put together.
 */
#ifndef SHIP_UNFILLED_H
#define SHIP_UNFILLED_H

#include "ship/ship.h"

/* Common practice, no source: less than this share of the hull is frames and lining. */
#define UNFILLED_LEAST 0.01

typedef struct {
    double x0, x1, z0, z1; /* m */
    double volume;         /* m3 that no space fills */
} unfilled_region;

typedef struct coaming_unfilled {
    double volume, hull;      /* m3: unfilled, and of the whole hull */
    unfilled_region *regions; /* of at least UNFILLED_LEAST of the hull, the largest first */
    size_t count;
} unfilled;

/* False when out of memory; then nothing is to be freed. Cost: spaces x regions, each test cheap. */
bool unfilled_make(const coaming_ship *ship, unfilled *u);
void unfilled_free(unfilled *u);

#endif
