/*
 * world.h - a small ship as places and the links between them, for plain enumeration: sets of places
 * and of links are bits. The rules are read off the ship; nothing is known of flows.
 */
#ifndef TESTS_WORLD_H
#define TESTS_WORLD_H

#include "coaming/hold.h"
#include "ship/ship.h"
#include "ships.h"

enum { WORLD_LINKS = 24 };

typedef struct {
    int a, b, link;   /* places: spaces, then the outside */
    double p, beyond; /* that it leaks, in a line and behind one; set by who asks */
} world_link;

typedef struct {
    const coaming_ship *ship;
    world_link links[WORLD_LINKS];
    int count, places;
    unsigned sources, spaces; /* spaces: of the places those that are */
    unsigned begins;          /* spaces that are sources, be they dry or not */
    unsigned wet;             /* of water, spaces made to be wet; not the sources */
} world;

/* Of what the answer is about: its hazard, sources and level. */
world world_of(const coaming_ship *ship, const coaming_hold_answer *answer);

/* All places that are reached over the links whose bits are set. */
unsigned reach_of(const world *w, unsigned from, unsigned passing);

enum { WORLD_SOURCES = 3 };
/* One place in half of the cases, else two or three, which may be the same. Returns how many. */
size_t random_sources(const coaming_ship *ship, dice *d, coaming_place sources[WORLD_SOURCES]);

/* A ship of this text; who does not load stops the test, and is named by its number. */
coaming_ship *load_numbered(const char *text, int number);

/* A list of spaces as a set. */
unsigned spaces_of(const int *list, size_t count);

#endif
