/*
 * coaming/round.h - a walk through the ship herself that takes in a list of closures and comes
 * back.
 *
 * A person walks from opening to opening in straight lines within a space, climbs what lies between
 * their heights (lowest edges), and goes from space to space through doors, hatches, scuttles,
 * arches and stairs that are large enough (0.4 m each way where given, common practice, no source);
 * the weather is one open deck, and nobody walks on the sea, nor on the weather side of an opening
 * in the ship's side (half a metre outside it one is off the hull: common practice, no source), nor
 * in spaces that are not walkable. A closure that can be passed is got at and left from either
 * side, without the time to open it. One that nobody can pass (a valve, a manhole, a ventilator) is
 * got at and left from one side, that nearer on foot from the start; of equal ones the first in
 * "between". So is one that is tested and worked from one side only, from that side.
 *
 * Enclosed spaces are entered only for closures that cannot be got at otherwise, and then after all
 * others. Lines through a space that is not convex are shorter than the way round: an assumption.
 * An opening without <clear> is taken in the middle of what its two places share along and across,
 * or of the gap between them.
 *
 * A walk starts in the middle of a space at its bottom, or on the open deck in front of the first
 * link in the file (closures first, then passages) that leads from the weather and can be passed;
 * if there is none, at the first that leads there at all. Who keeps inside may still go in by that
 * opening, but nowhere else onto the deck.
 *
 * Method: shortest ways by Dijkstra over the openings; the order by nearest neighbour, improved by
 * 2-opt and Or-opt moves and by restarts from changed orders with a fixed seed, so that the same
 * ship gives the same walk. Bound: no order is shorter than a 1-tree with the best weights that a
 * subgradient ascent finds (Held and Karp, "The traveling-salesman problem and minimum spanning
 * trees", Operations Research 18(6), 1970). On random rounds of up to 12 stops the tests find the
 * shortest order; how far a longer round is from it at most, the bound tells.
 * Lifetime: a coaming_round does not hold on to the ship; what it gives is borrowed from it.
 */
#ifndef COAMING_ROUND_H
#define COAMING_ROUND_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct {
    coaming_place start; /* a space, or COAMING_WEATHER: the open deck */
    bool inside;         /* keep off the open deck */
    double pace;         /* m/s on the level */
    double climb;        /* m/s up or down */
    double door;         /* s to open a closure and shut it behind one */
    const int *avoid;    /* spaces that nobody goes into; borrowed for the call */
    size_t avoid_count;
} coaming_round_options;

/* 1.0 m/s, 0.3 m/s, 20 s: assumptions, no source. Start: the weather. Nothing is avoided. */
COAMING_API coaming_round_options coaming_round_options_default(void);

typedef struct {
    int closure;
    coaming_place side; /* the place from which one gets to it */
    double seconds;     /* on the way from the stop before (the first: from the start) */
    double metres;      /* of the same way, along and up or down */
    const int *through; /* links passed on that way, in order; the stop itself is not one */
    size_t through_count;
    const int *enclosed; /* enclosed spaces that one walks in on that way, in order */
    size_t enclosed_count;
} coaming_round_stop;

typedef struct coaming_round coaming_round;

/*
 * closures: which to visit, no one twice. COAMING_USAGE: the start is the sea or no place of the
 * ship, or a space that is enclosed, not walkable or to be avoided, a space to be avoided does not
 * exist, a pace is not from 0.001 to 1000 m/s, the time at a door not from 0 to 1e6 s, a closure
 * does not exist or comes twice, or there are more than COAMING_ROUND_MOST; COAMING_MEMORY. Cost: a
 * search of all openings for each stop (at worst openings squared of the largest space), count^2
 * log count for the order and some hundred times count^2 for the bound; memory count^2.
 */
enum { COAMING_ROUND_MOST = 2000 };
COAMING_API coaming_status coaming_round_new(const coaming_ship *ship,
                                             const coaming_round_options *options,
                                             const int *closures, size_t count,
                                             coaming_round **round, coaming_error *error);
COAMING_API void coaming_round_free(coaming_round *round);

/* The stops in walking order. */
COAMING_API size_t coaming_round_count(const coaming_round *round);
COAMING_API const coaming_round_stop *coaming_round_get(const coaming_round *round, size_t index);
/* The way back from the last stop to the start; closure -1, side the start. */
COAMING_API const coaming_round_stop *coaming_round_home(const coaming_round *round);

/* Closures to which no way leads from the start, in the order given. */
COAMING_API const int *coaming_round_unreached(const coaming_round *round, size_t *count);
/* Closures that can be got at from outside the shell only, from a boat or a stage or in dock, in
 * the order given. They are neither stops nor among those unreached. */
COAMING_API const int *coaming_round_outside(const coaming_round *round, size_t *count);
/* Enclosed spaces that the walk enters, each once, in the order of entry. */
COAMING_API const int *coaming_round_enclosed(const coaming_round *round, size_t *count);

COAMING_API double
coaming_round_seconds(const coaming_round *round); /* walking, way back included */
COAMING_API double coaming_round_metres(const coaming_round *round);
/* No order of these stops takes less walking than this, s (to rounding); never above the walk. */
COAMING_API double coaming_round_bound(const coaming_round *round);

#ifdef __cplusplus
}
#endif

#endif
