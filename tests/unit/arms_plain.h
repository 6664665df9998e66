/*
 * arms_plain.h - righting arms the plain way: from positions alone, at each of which the volume is
 * exact, by secants, steps and halves.
 */
#ifndef TESTS_ARMS_PLAIN_H
#define TESTS_ARMS_PLAIN_H

#include "analyse/flotation/flotation.h"

/* The lever along e2 at a heel (radians), where the trim's is none; NaN: nowhere. */
double plain_lever(coaming_flotation *f, const bool *flooded, double heel, position *at);

/* Range, degrees, and greatest arm from a heel at rest to a side (1 port, -1 starboard): steps of half
 * a degree, then halves. */
void plain_measure(coaming_flotation *f, const bool *flooded, double side, double start,
                   double *range, double *greatest);

#endif
