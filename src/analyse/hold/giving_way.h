/* analyse/hold/giving_way.h - which closures of a line she cannot do without. */
#ifndef ANALYSE_HOLD_GIVING_WAY_H
#define ANALYSE_HOLD_GIVING_WAY_H

#include "analyse/flotation/settle.h"
#include "analyse/hold/net.h"

typedef struct {
    const net *n; /* with what is under water where she floats behind the line */
    settler *settler;
    bool *passes;     /* by link: room */
    bool *held;       /* by link: of the line; as before once it is done */
    bool *sound;      /* by link: room for those that are found */
    const bool *kept; /* by place: kept by the line */
    int *opened;      /* room for every space and one */
} giving_way;

/*
 * Settles her once with all of the line held and what it fills open to the sea, and from there with
 * each closure alone leaking, so that what it leads to is open too, and what else there is as the doors
 * are and as last tested: `then` of each closure, and `sound` marks those by which she is lost. The
 * closure need not be under water at that rest: it was on the way there. If she is lost with all of
 * it held, which hangs on the order in which she floods, the line is told so: of two orders the worse
 * counts. Cost: for each closure of the line a settling. COAMING_MEMORY.
 */
coaming_status giving_way_find(const giving_way *w, coaming_hold_line *line, bool *any,
                               coaming_error *error);

/* Chance that one of the line leaks by which she is lost. */
double giving_way_chance(const coaming_hold_line *line);

#endif
