/*
 * ship/inside.h - a space ends at the shell.
 *
 * What of a box or prism stands outside the hull does not exist. What stands above the hull's top
 * (deckhouses, the upper part of a trunk) does: it carries nothing and takes nothing away when
 * flooded, but people are in it and air and water go through it. Above is what lies over the top of
 * the hull at its place along her length, past the ends over the top of that end; how far it stands
 * out sideways does not matter.
 */
#ifndef SHIP_INSIDE_H
#define SHIP_INSIDE_H

#include "base/fault.h"
#include "ship/hull.h"

/*
 * Makes the hull and cuts all spaces by it: fills ship->hull and of each space parts, inside,
 * above, bottom, top, volume and outside. A space of which nothing is left is an error, and so is a
 * hull without volume. False when out of memory. Done once, on loading.
 */
bool ship_cut(coaming_ship *ship, coaming_faults *faults);

/* Calls use for each convex piece of a solid as it was given. piece: room for them. False: out of
 * memory, or use was false. */
typedef bool (*piece_use)(void *data, const convex *piece);
bool solid_pieces(const solid *s, convex *piece, piece_use use, void *data);

/* Permeable volume below a level plane, m3. */
double space_volume_below(const ship_space *s, double level);

/* What of a box from corner to corner (x, y, z) lies inside the hull, m3; negative: out of
 * memory. */
double hull_box_volume(const hull_shape *hull, hull_room *room, const double from[3],
                       const double to[3]);

/* Extents along a unit vector over all that there is of a space. */
void space_extent_along(const ship_space *s, const double n[3], double *least, double *greatest);
/* The place, or one of them, that is the highest along it. */
void space_highest(const ship_space *s, const double n[3], double at[3]);
/* The box round all that there is of a space. */
void space_box(const ship_space *s, double low[3], double high[3]);

#endif
