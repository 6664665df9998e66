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

/*
 * volume: of liquid, m3, more than 0 and at most the space's. level: a plane along which the surface
 * lies, at any height. near: where it is looked for first, a point about the surface. scratch: as of
 * body_add for both bodies of the space. The result does not depend on near but for rounding.
 */
void liquid_settle(const ship_space *s, double volume, const plane *level, const double near[3],
                   double *scratch, liquid *out);

#endif
