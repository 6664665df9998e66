/*
 * ship/liquid.h - liquid that fills part of a space, cut level in any attitude.
 *
 * The liquid stands below one plane across all that there is of the space, inside the hull and above
 * its top, and takes the permeable part of it. The plane is found exactly (body.h), not by moments of
 * a free surface.
 */
#ifndef SHIP_LIQUID_H
#define SHIP_LIQUID_H

#include "ship/body.h"

typedef struct {
    double centre[3];  /* of the liquid */
    double surface[3]; /* middle of its surface; of a space that is full, of its highest corner */
    double uu, uv, vv; /* second moments of the surface about its own middle along e1 and e2 of the
                        * plane, m4, of its permeable part */
} liquid;

/* What is to be brought level. */
typedef struct {
    const ship_space *space;
    double volume; /* m3, more than 0 and at most the space's */
    double
        off; /* what part of the liquid, or of the air over it if that is less, may be off; 0: none
                    * but rounding */
} liquid_part;

/*
 * level: a plane along which the surface lies, at any height. near: where it is looked for first, a
 * point about the surface. scratch: as of body_add for both bodies of the space. The result does not
 * depend on near but for rounding; where `off` was allowed the centre is off by the square of it, and
 * the second moments by it.
 */
void liquid_settle(const liquid_part *part, const plane *level, const double near[3],
                   double *scratch, liquid *out);

#endif
