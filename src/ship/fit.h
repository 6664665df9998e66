/* ship/fit.h - do the spaces fit the hull and each other? */
#ifndef SHIP_FIT_H
#define SHIP_FIT_H

#include "ship/inside.h"

/*
 * How far a solid stands out of all that the hull reaches, m: past her greatest breadth, past an
 * end or under her lowest keel, whichever is most; 0 if it stands above the hull. A box to full
 * breadth whose corners the shell cuts off does not stand out: it ends at the shell.
 */
double solid_outside(const hull_shape *hull, const solid *s);

/* Volume common to two solids of what there is of them, m3; negative: out of memory. */
double solids_share(const coaming_ship *ship, hull_room *room, const solid *a, const solid *b);
/* The same, without what stands above the hull. */
double solids_share_inside(const coaming_ship *ship, hull_room *room, const solid *a,
                           const solid *b);

/* Horizontal distance from a point to what there is of a space, 0 inside. */
double space_distance(const ship_space *s, double x, double y);

/* How far a point is outside the hull sideways or past an end, m; below 0 inside it. Above the hull
 * her breadth at its top counts, below it that of the bottom. */
double hull_distance(const hull_shape *hull, double x, double y, double z);

#endif
