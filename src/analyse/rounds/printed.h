/* analyse/rounds/printed.h - the share of the gasket run that a test's print shows. */
#ifndef ANALYSE_ROUNDS_PRINTED_H
#define ANALYSE_ROUNDS_PRINTED_H

#include "ship/ship.h"

/* Gaps by place, those that touch as one (over the end of the run too); what was seen at any part
 * was seen at it. Stretches with the print off the middle join with each other only, and what lies
 * past the end of the run with its like. Returns how many there are. run 0: its length is not
 * known. */
size_t join_gaps(gap *list, size_t count, double run);

/* 0 to 1; NaN where it is not known: no chalk, no size, or a failure without gaps. gaps: joined. A
 * print off the middle is one. */
double printed_share(const ship_link *l, const ship_event *test, const gap *gaps, size_t count);

#endif
