/*
 * coaming/seen.h - what is seen of her closures now, over the condition and the test log.
 *
 * Purpose: somebody stands before a door that the condition has shut and sees it open, or shuts one
 * that no condition shuts, or finds that one does not hold. All that is asked of the ship
 * afterwards counts it, and every answer says so in its head.
 *
 * Open: it passes, in every state, as a closure does that the condition does not shut. Shut: it is
 * shut whatever the condition says, also one that no condition shuts, for in an emergency somebody
 * shuts it; it holds as it is rated and stands. Failed: it stands as failed and is sure to leak;
 * as built it holds, so far as it is shut. A repair that no test has tried counts as tried by that.
 * It counts on the ship's as-of date, is no test, and is written to no log: of what is seen to have
 * failed there is neither date nor method of a test (ship.h).
 */
#ifndef COAMING_SEEN_H
#define COAMING_SEEN_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum {
    COAMING_SEEN_OPEN,
    COAMING_SEEN_SHUT,
    COAMING_SEEN_FAILED,
    COAMING_SEEN_KINDS
} coaming_seen_kind;

/* "open", "shut" or "failed". */
COAMING_API const char *coaming_seen_word(coaming_seen_kind kind);

/* Ids of closures by kind, in any order; an id may stand more than once. Borrowed for the call. */
typedef struct {
    const char *const *closures[COAMING_SEEN_KINDS];
    size_t count[COAMING_SEEN_KINDS];
} coaming_seen;

/*
 * Makes this all that is seen of her; what was seen by an earlier call is forgotten. To be called
 * while nobody asks anything of the ship; answers made before are of what was seen then, so they are
 * to be printed before. COAMING_UNKNOWN of an id that there is not; COAMING_USAGE of a passage, of
 * one that is to be open and shut, and of a closure rated nontight that is to be shut, for that
 * keeps nothing back; COAMING_MEMORY. Then all is as it was before the call. Cost: closures, and
 * log n for each id.
 */
COAMING_API coaming_status coaming_ship_see(coaming_ship *ship, const coaming_seen *seen,
                                            coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
