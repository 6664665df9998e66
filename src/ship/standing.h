/*
 * ship/standing.h - how a closure stands by the tests of its history.
 *
 * A failed test stands until a later pass clears it: one by a method that proves (chalk, hose, air,
 * ultrasonic, smoke and light unless the arrangement says otherwise; visual only if it says so) and
 * whose sensitivity is not less than that of the method that failed. A visual failure is cleared by
 * any later pass that is not by a weaker method. A repair clears nothing. The closure stands as
 * failed while any failure stands; else as passed if a pass since the last failure proved it; else
 * it is untested, looked at or not. Of failures that stand the one decides that takes most to
 * clear, of equal ones the latest; of passes the latest that proves.
 */
#ifndef SHIP_STANDING_H
#define SHIP_STANDING_H

#include "ship/ship.h"

/* What the tests so far have left. All zero: none yet. */
typedef struct {
    const ship_event *failures[METHOD_COUNT]; /* by method, the latest that stands; NULL */
    const ship_event *proof;                  /* the latest pass that proves; NULL */
    const ship_event *looked;                 /* the latest visual test; NULL */
} standing;

/* How good a method is, by the arrangement or else assumed; then *assumed (may be NULL) becomes
 * true. */
method_quality standing_quality(const coaming_ship *ship, test_method method, bool *assumed);

/* Counts the next entry in; a repair leaves it as it is. The entry is borrowed. */
void standing_add(const coaming_ship *ship, standing *s, const ship_event *event);

/* The test that decides how it stands; NULL: untested. */
const ship_event *standing_decided(const coaming_ship *ship, const standing *s);

/* Gives the closure its standing from its events, which are by date. Returns the entry that a repair
 * must come after to be untried; NULL: it was never tested. */
const ship_event *standing_settle(const coaming_ship *ship, ship_link *closure);

#endif
