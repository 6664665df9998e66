/*
 * rounds/walk.h - ways on foot between the openings of a ship.
 *
 * A graph whose vertices are the openings that one can pass, the closures to be visited and the
 * start; two of them are joined by a straight walk in every space that both are at. The time to
 * open and shut a closure is split between its two walks, half to each, so that a way through it
 * costs all of it and lengths are the same both ways. Nobody passes through a vertex that is at one
 * place only, so such vertices are not joined with each other; straight across is the shortest way
 * between any two at one place.
 * Points are the start (0) and the closures that a way leads to, in the order given.
 */
#ifndef ROUNDS_WALK_H
#define ROUNDS_WALK_H

#include "coaming/round.h"
#include "ship/ship.h"

typedef struct walk walk;

/* The options and closures are known to be good. Cost: openings squared of each space. */
coaming_status walk_new(const coaming_ship *ship, const coaming_round_options *options,
                        const int *closures, size_t count, walk **out, coaming_error *error);
void walk_free(walk *w);

size_t walk_points(const walk *w);
/* Closures that are no points, in the order given. */
const int *walk_unreached(const walk *w, size_t *count);

/* seconds: points x points, row after row, symmetric; the time at the two closures themselves is
 * not in it. Cost: points x edges x log openings. */
coaming_status walk_table(const walk *w, double *seconds, coaming_error *error);

/* One leg, point to point. What it lists is in the arena. */
coaming_status walk_leg(const walk *w, size_t from, size_t to, arena *memory,
                        coaming_round_stop *leg, coaming_error *error);

#endif
