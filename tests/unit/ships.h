/*
 * ships.h - ships for tests: from XML text, and random small ones.
 */
#ifndef TESTS_SHIPS_H
#define TESTS_SHIPS_H

#include <stdint.h>
#include <stdio.h>

#include "coaming/coaming.h"
#include "ship/ship.h"

/* Loads an arrangement (and a log, or NULL) given as text, as of 2026-11-01. faults may be NULL. */
coaming_status ship_from_text(const char *arrangement, const char *log, coaming_faults *faults,
                              coaming_ship **ship, coaming_error *error);

/* The parts of an arrangement inside a valid frame: root, <ship draft="3"/>, conditions "sea" and
 * "port". Freed by free. */
char *arrangement_with(const char *parts);

/* Loads the elements of an arrangement, <ship PRINCIPAL/> and parts, or a file of the source tree (as of
 * 2026-11-25); who does not load stops the test. */
coaming_ship *ship_from_elements(const char *elements);
coaming_ship *ship_from_parts(const char *principal, const char *parts);
coaming_ship *ship_from_tree(const char *path);
/* Fathom Lark and her log, as of a day (yyyy-mm-dd). */
coaming_ship *ship_with_history(const char *day);

/* Water alone, where she comes to rest. */
coaming_query at_equilibrium(void);

/* Writes the sections of Wigley's hull (W. C. S. Wigley, 1934, form from memory), 100 x 10 x 6.25 m,
 * y = (B/2)(1 - (2x/L)^2)(1 - (1 - z/T)^2), wall-sided from there up to 9 m, in so many straight
 * pieces. */
#define WIGLEY "length=\"100\" beam=\"10\" depth=\"9\" "
void write_wigley(FILE *out, int along, int up);

/* A counter-based generator (SplitMix64; Steele, Lea and Flood, OOPSLA 2014), so that a failing
 * ship can be made again from its number. */
typedef struct {
    uint64_t state;
} dice;
uint64_t dice_next(dice *d);
int dice_below(dice *d, int bound);

/* The text of a random small ship: up to `spaces` spaces and `links` links, every kind of state. */
char *random_arrangement(uint64_t number, int spaces, int links);

/* The text of an arrangement with leak probabilities, of these values, on most of its closures. Freed by
 * free. */
char *with_leaks(const char *plain, const char *const values[], int count, dice *d);

/* Spaces that the sea is in, undamaged, over passages alone, as bits: made to be wet. For at most 31. */
unsigned made_to_be_wet(const coaming_ship *ship);

#endif
