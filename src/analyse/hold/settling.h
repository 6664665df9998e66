/* analyse/hold/settling.h - the lines where she comes to rest: water, at equilibrium. */
#ifndef ANALYSE_HOLD_SETTLING_H
#define ANALYSE_HOLD_SETTLING_H

#include "analyse/hold/net.h"

/* What has been under water on the way to where she floats behind a line: by space and by link. */
typedef struct {
    bool *space, *link;
} under_water;

/*
 * Fills the net with what is under water once she has settled, and the answer as net_solve does,
 * with how she floats behind each line; *under: by line, on the net's arena. Errors as of net_solve
 * and coaming_flotation_new.
 */
coaming_status settling_solve(net *n, coaming_hold_answer *answer, under_water **under,
                              coaming_error *error);

#endif
