/*
 * analyse/hold/net.h - the places that one hazard can get to and the links between them, and what
 * is asked of that as a graph: lines and ways.
 *
 * Places are numbered as spaces, then the outside (sea and weather as one). Everything that a net
 * or an answer points to hangs on the arena that it was made with.
 */
#ifndef ANALYSE_HOLD_NET_H
#define ANALYSE_HOLD_NET_H

#include <stdint.h>

#include "coaming/hold.h"
#include "ship/ship.h"

enum { NET_DRAWN = 64, NET_WORD = 64 }; /* words of drawn states, and states of a word */

typedef struct {
    const coaming_ship *ship;
    coaming_hazard hazard;
    int condition, loading;
    const coaming_place *sources; /* one set; places may stand more than once */
    size_t source_count;
    bool nested;        /* lines from near to far, not those that keep `protect` */
    bool outside;       /* is the outside a place, and so a source? */
    bool *begins;       /* by space: is it one of the sources? by net_make */
    bool *space, *link; /* what the hazard can get to or act on: grows as she settles */
    /* By space, of water: wet by design (ship/state.h) and no source, so nothing is lost there. */
    bool *by_design;
    const double *leaks; /* by closure */
    const bool *sound;   /* by link: taken to hold for sure; NULL: none */
    const bool *protect; /* by space */
    const bool *held;    /* by link, for ways: of the line to hold, all else as it stands; NULL: all
                          * shut that can be */
    bool *reached;       /* by place: what no line can keep from the source; by net_solve */
    /* By closure, for beyond.c, which fills them as it asks: the drawn states in which it leaks, a bit
     * each in NET_DRAWN words; and which of these words are filled. Of a copy of a net the same. */
    uint64_t *leaking, *drawn;
    arena *memory;
} net;

/* Room for a net whose other members are set, leaking and drawn to NULL or to those of another net of
 * the same leaks; nothing in it yet. False when out of memory. */
bool net_make(net *n);

/* Beside the spaces and the outside a graph of ways has one vertex where all sources are, and one
 * where all that is to be got to is. */
enum { NET_OUTSIDE, NET_START, NET_GOAL, NET_OTHERS };
int net_number(const net *n, int other);

/* The two ends of a link that can carry the hazard on; false if it cannot. */
bool net_ends(const net *n, size_t link, int ends[2]);
/* Is it weathertight and under water, where nested lines take it all the same? */
bool net_slows(const net *n, size_t link);
/* That it leaks; 1 for what nobody can hold. */
double net_leak(const net *n, size_t link);
/* Does water get over it with the doors as they are and as last tested, or for it is sure to leak? */
bool net_lets_through(const net *n, size_t link);
/* As it is told of a line. last: nothing behind it can hold. */
coaming_hold_closure net_closure(const net *n, size_t link, bool last);
/* What is lost with a space; 0 if it is made to be wet, and not itself a source. */
double net_worth(const net *n, int space);
/* A source that the hazard is in: not a space that lies dry. */
bool net_is_source(const net *n, int place);
/* Are there spaces among the sources, and do all of them lie above the water? */
bool net_all_dry(const net *n);

/* Of a set whose members lead to one another by `parent`: the one that stands for it. */
int net_root(int *parent, int i);

/* A list of edges that grows; room for all links and for one more edge at each place. */
typedef struct {
    int *ends, *link; /* link: -1 for an edge that only joins */
    double *weight;
    size_t count;
} net_edges;

/* False when out of memory; to be freed whatever is returned. */
bool net_edges_make(const net *n, net_edges *e);
void net_edges_free(net_edges *e);
void net_edges_add(net_edges *e, int a, int b, int link, double weight);

/* Everything at a fixed level, or where she floats; adds to what is in. */
void net_add_level(net *n, double level);

/* The weakest way to one of the spaces that are marked; *found is false if none leads there. */
coaming_status net_way(const net *n, const bool *goal, coaming_hold_way *way, bool *found,
                       coaming_error *error);

/*
 * Fills lost, lines (at most `limit`, without `at`) and the ways of an answer whose protect list is
 * set. COAMING_MEMORY, COAMING_INTERNAL.
 */
coaming_status net_solve(net *n, size_t limit, coaming_hold_answer *answer, coaming_error *error);

#endif
