/* ship/fit.h - do the spaces lie inside the hull? */
#ifndef SHIP_FIT_H
#define SHIP_FIT_H

#include "ship/ship.h"

/*
 * How far a solid stands out of the hull, m: sideways, past an end or under the keel, whichever is
 * most; 0 if it lies inside, or above the hull. Looked at where it can be greatest: at the corners
 * of the outline and where its sides pass a section, at bottom and top.
 */
double solid_outside(const coaming_ship *ship, const solid *s);

/* How far a point is outside the hull sideways or past an end, m; below 0 inside it. Above the hull
 * her breadth at its top counts, below it that of the bottom. */
double hull_distance(const coaming_ship *ship, double x, double y, double z);

#endif
