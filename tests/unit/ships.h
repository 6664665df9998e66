/*
 * ships.h - ships for tests: from XML text, and random small ones.
 */
#ifndef TESTS_SHIPS_H
#define TESTS_SHIPS_H

#include <stdint.h>

#include "coaming/coaming.h"
#include "ship/ship.h"

/* Loads an arrangement (and a log, or NULL) given as text, as of 2026-11-01. faults may be NULL. */
coaming_status ship_from_text(const char *arrangement, const char *log, coaming_faults *faults,
                              coaming_ship **ship, coaming_error *error);

/* The parts of an arrangement inside a valid frame: root, <ship draft="3"/>, conditions "sea" and
 * "port". Freed by free. */
char *arrangement_with(const char *parts);

/* A counter-based generator (SplitMix64; Steele, Lea and Flood, OOPSLA 2014), so that a failing
 * ship can be made again from its number. */
typedef struct {
    uint64_t state;
} dice;
uint64_t dice_next(dice *d);
int dice_below(dice *d, int bound);

/* The text of a random small ship: up to `spaces` spaces and `links` links, every kind of state. */
char *random_arrangement(uint64_t number, int spaces, int links);

#endif
