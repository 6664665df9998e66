/*
 * analyse/hold/net.h - the places that one hazard can get to and the links between them, and what
 * is asked of that as a graph: lines and ways.
 *
 * Places are numbered as spaces, then the outside (sea and weather as one). Everything that a net
 * or an answer points to hangs on the arena that it was made with.
 */
#ifndef ANALYSE_HOLD_NET_H
#define ANALYSE_HOLD_NET_H

#include "coaming/hold.h"
#include "ship/ship.h"

typedef struct {
    const coaming_ship *ship;
    coaming_hazard hazard;
    int condition, loading;
    coaming_place source;
    bool outside;        /* is the outside a place, and so a source? */
    bool *space, *link;  /* what the hazard can get to or act on: grows as she settles */
    const double *leaks; /* by closure */
    const bool *protect; /* by space */
    bool *reached;       /* by place: what no line can keep from the source; by net_solve */
    arena *memory;
} net;

/* Room for a net whose other members are set; nothing in it yet. False when out of memory. */
bool net_make(net *n);

/* Everything at a fixed level, or where she floats; adds to what is in. */
void net_add_level(net *n, double level);

/*
 * Fills lost, lines (at most `limit`, without `at`) and the ways of an answer whose protect list is
 * set. COAMING_MEMORY, COAMING_INTERNAL.
 */
coaming_status net_solve(net *n, size_t limit, coaming_hold_answer *answer, coaming_error *error);

#endif
