/*
 * coaming/follow.h - what is reported in a casualty, line by line, and how she stands with all of it.
 *
 * A report is a line of JSON: an object with one of these keys, and t, a number, if it is known when
 * it was seen (greater is later; in whatever counts time).
 *     open, shut, failed   a closure is seen so, as seen.h has it
 *     holds                it is seen shut and to hold: shut, and not seen to have failed
 *     as_recorded          nothing is seen of it: as the condition and its tests have it
 *     water, air           that hazard is in a place: a space, "weather" or, of water alone, "sea"
 *     dry, clean           water is not there; smoke or bad air is not
 *
 * All reports are one set, so that their order does not matter: of what is said of one thing the
 * latest t counts. A report without t counts as older than any with one, and what the ship was seen
 * to be before the first report, and the sources given then, as older still. Of what is said at the
 * same t, or without any, the worse counts: open before as_recorded before shut; failed before
 * as_recorded before holds; water before dry, air before clean. So whoever takes something back
 * needs a t. What stands in the log is not taken back: a closure that a test has failed stands so
 * until a test passes it, also if it is seen to hold.
 *
 * Lifetime: a coaming_follow borrows the ship, and puts over her what is seen (coaming_ship_see).
 */
#ifndef COAMING_FOLLOW_H
#define COAMING_FOLLOW_H

#include "coaming/query.h"
#include "coaming/seen.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { COAMING_FOLLOW_LONGEST = 4096 }; /* bytes of a line */

typedef struct coaming_follow coaming_follow;

typedef struct {
    double t; /* NaN: not given */
    bool
        counts; /* false: something else that is reported counts in place of it, or of part of it */
} coaming_follow_report;

/* sources: where every hazard is, before the first report; in the sea water alone. COAMING_MEMORY. */
COAMING_API coaming_status coaming_follow_new(coaming_ship *ship, const coaming_place *sources,
                                              size_t count, coaming_follow **follow,
                                              coaming_error *error);
COAMING_API void coaming_follow_free(coaming_follow *follow);

/* Is a line to be passed over, for it holds nothing but blanks, and not too many? */
COAMING_API bool coaming_follow_blank(const char *line, size_t size);

/*
 * Takes in a report: size bytes and a NUL, without the end of the line. The ship is then as
 * reported; answers made before are to be printed before. COAMING_INPUT of what is no report,
 * COAMING_UNKNOWN and COAMING_USAGE of an id that may not be named so, COAMING_MEMORY: all is as it
 * was before. Cost: the closures.
 */
COAMING_API coaming_status coaming_follow_take(coaming_follow *follow, const char *line,
                                               size_t size, coaming_follow_report *report,
                                               coaming_error *error);

/* Where a hazard is: spaces in file order, then sea and weather. Valid until the next call. */
COAMING_API const coaming_place *coaming_follow_sources(coaming_follow *follow,
                                                        coaming_hazard hazard, size_t *count);

#ifdef __cplusplus
}
#endif

#endif
