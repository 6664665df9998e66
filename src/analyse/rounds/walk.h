/*
 * rounds/walk.h - ways on foot between the openings of a ship.
 *
 * Vertices are the openings that one can pass, the closures to be visited and the start, each with
 * the one or two places at which one can stand at it; in a place one walks straight from any to any
 * other. There is no list of these walks: a deck with 2,000 openings would have 2,000,000.
 * Points are the start (0) and the closures that a way leads to, in the order given.
 */
#ifndef ROUNDS_WALK_H
#define ROUNDS_WALK_H

#include "coaming/round.h"
#include "ship/ship.h"

typedef struct walk walk;

/* The options and closures are known to be good. Cost: links and one search. */
coaming_status walk_new(const coaming_ship *ship, const coaming_round_options *options,
                        const int *closures, size_t count, walk **out, coaming_error *error);
void walk_free(walk *w);

size_t walk_points(const walk *w);
/* The first point for which an enclosed space has to be entered; they come after the others, each
 * part in the order given. walk_points if there is none. */
size_t walk_late(const walk *w);
/* Closures that are no points, in the order given. */
const int *walk_unreached(const walk *w, size_t *count);

/* Between early points no way leads through an enclosed space. seconds: points x points, row after
 * row, symmetric; the time at the two closures themselves is not in it. Cost: a search for each
 * point; a search looks at all openings of a place for each opening by which the place is entered
 * best, at worst openings squared. */
void walk_table(walk *w, double *seconds);

/* One leg, point to point. What it lists is in the arena. Cost: a search. */
coaming_status walk_leg(walk *w, size_t from, size_t to, arena *memory, coaming_round_stop *leg,
                        coaming_error *error);

#endif
