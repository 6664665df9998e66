/*
 * coaming/round.h - a walk through the ship herself that takes in a list of closures and comes
 * back.
 *
 * A person walks from opening to opening in straight lines within a space, climbs what lies between
 * their heights, and goes from space to space through doors, hatches, arches and stairs that are
 * large enough (0.4 m each way, common practice, no source); the weather is one open deck. Closures
 * that nobody can pass (a valve, a manhole, a ventilator) are tested from the side that is nearer
 * on foot. Lines through a space that is not convex are shorter than the way round: an assumption.
 *
 * Method: shortest ways by Dijkstra over the openings; the order by nearest neighbour, improved by
 * 2-opt and Or-opt moves and by restarts from changed orders with a fixed seed, so that the same
 * ship gives the same walk. Bound: no order is shorter than a 1-tree with the best weights that a
 * subgradient ascent finds (Held and Karp, "The traveling-salesman problem and minimum spanning
 * trees", Operations Research 18(6), 1970).
 * Lifetime: a coaming_round borrows the ship; what it gives is borrowed from it.
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
} coaming_round_options;

/* 1.0 m/s, 0.3 m/s, 20 s: assumptions, no source. Start: the weather. */
COAMING_API coaming_round_options coaming_round_default(void);

typedef struct {
    int closure;
    coaming_place side; /* the place from which one gets to it */
    double seconds;     /* on the way from the stop before (the first: from the start) */
    double metres;      /* of the same way, along and up or down */
    const int *through; /* links passed on that way, in order; the stop itself is not one */
    size_t through_count;
} coaming_round_stop;

typedef struct coaming_round coaming_round;

/*
 * closures: which to visit, no one twice. COAMING_USAGE: the start is the sea, or a number of the
 * options is not finite and greater than 0 (door: 0 or more), or more than COAMING_ROUND_MOST
 * closures; COAMING_MEMORY, COAMING_INTERNAL. Cost: links^2 of the largest space for the ways,
 * count^2 for the order.
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

COAMING_API double
coaming_round_seconds(const coaming_round *round); /* walking, way back included */
COAMING_API double coaming_round_metres(const coaming_round *round);
/* No order of these stops takes less walking than this, s. */
COAMING_API double coaming_round_bound(const coaming_round *round);

#ifdef __cplusplus
}
#endif

#endif
