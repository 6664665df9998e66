/*
 * analyse/flotation/lost.h - the buoyancy that flooded spaces take, at many planes.
 *
 * Of the flooded spaces those that lie wholly below the plane count by volume and moment, and of
 * these the sum is kept; those wholly above do not count; only those that the plane meets are cut.
 * Which is which is told for all planes that are near each other at once, and looked at again only
 * when she has moved on.
 */
#ifndef ANALYSE_FLOTATION_LOST_H
#define ANALYSE_FLOTATION_LOST_H

#include "base/memory.h"
#include "ship/inside.h"

/* A space inside the hull: the box round it, and its permeable volume and moment. */
typedef struct {
    double middle[3], half[3]; /* the middle from lost_buoyancy.middle */
    double volume, moment[3];
    bool there; /* is any of it inside the hull? */
} lost_space;

typedef struct {
    const coaming_ship *ship;
    double middle[3]; /* about which the plane is said to turn */
    double step[3]; /* of heel, trim (radians) and height: planes of one step are near each other */
    double margin;  /* that they are apart, anywhere aboard, at most from the middle one */
    lost_space *spaces;
    bool *flooded; /* the set at hand, by space */
    int *list;     /* of it, those that take buoyancy */
    size_t count;
    double volume; /* of all in the list */
    bool known;    /* what follows, for the step `at` */
    long long at[3];
    double whole, moment[3]; /* of those wholly below */
    int *near;               /* those that a plane of the step may meet */
    size_t near_count;
} lost_buoyancy;

/* Room of the arena; false when out of memory. middle: amidships at the draught. No set is chosen. */
bool lost_make(lost_buoyancy *b, arena *memory, const coaming_ship *ship, const double middle[3]);

/* The spaces that are open to the sea; NULL: none. */
void lost_choose(lost_buoyancy *b, const bool *flooded);

/* Takes what they lose below the plane from the sum. The result depends on the set and the plane
 * alone, to the last bit, whatever was asked before. scratch: as for body_add. */
void lost_take(lost_buoyancy *b, const plane *p, double *scratch, submerged *sum);

#endif
