/* analyse/rounds/gasket.h - what a gasket and a hinge say by themselves: permanent set, play,
 * joints, pieces. */
#ifndef ANALYSE_ROUNDS_GASKET_H
#define ANALYSE_ROUNDS_GASKET_H

#include "coaming/chalk.h"
#include "ship/ship.h"

/* Are the joints of the arrangement those of the gasket that is in now? Not if a recorded repair
 * has renewed it since. */
bool joints_known(const ship_link *l);

/* Fills set, play, joints, piece and findings of a reading that has its run and fastening. A
 * measure counts until the gasket, or the hinge, is renewed or seen to. */
void read_gasket_state(const ship_link *l, coaming_reading *r);

#endif
