/*
 * ship/crossing.h - does an opening cross a bulkhead or a deck that is not its own?
 *
 * An opening lies in the boundary between the two places that it joins. If on either side of it some
 * of it lies in a third space, the boundary of that space runs through the opening: one of the two is
 * not where the arrangement says. A tenth of a metre round its edges is left out, of a small one a
 * quarter of its size: what a hand-measured arrangement may be off (common practice, no source).
 */
#ifndef SHIP_CROSSING_H
#define SHIP_CROSSING_H

#include "ship/ship.h"

typedef struct crossings crossings;

/* The solids of all spaces by place; NULL when out of memory. Cost: solids log solids. */
crossings *crossings_new(const coaming_ship *ship);
void crossings_free(crossings *c);

/* The first space in file order into which the opening of a link reaches, other than those that it
 * joins; -1: none, or its place is not given; or CROSSINGS_NO_MEMORY. Cost: solids abaft its forward edge. */
enum { CROSSINGS_NO_MEMORY = -2 };
int crossings_find(const crossings *c, const ship_link *l);

#endif
