/* analyse/hold/settling.h - the lines where she comes to rest: water, at equilibrium. */
#ifndef ANALYSE_HOLD_SETTLING_H
#define ANALYSE_HOLD_SETTLING_H

#include "analyse/hold/net.h"

/*
 * Fills the net with what is under water once she has settled, and the answer as net_solve does,
 * with how she floats behind each line. Errors as of net_solve and coaming_flotation_new.
 */
coaming_status settling_solve(net *n, coaming_hold_answer *answer, coaming_error *error);

#endif
