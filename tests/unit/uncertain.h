/*
 * uncertain.h - random ships with closures that may leak, and expectations over all states of these, each
 * by itself (rest_plain.h): chance x value, added up.
 */
#ifndef TESTS_UNCERTAIN_H
#define TESTS_UNCERTAIN_H

#include "rest_plain.h"

/* A box ship of three by two by two spaces and two houses on deck, some left out, and up to
 * MOST_UNCERTAIN closures that may leak among others; then `more` elements. */
coaming_ship *random_uncertain_ship(int number, const char *more);

typedef enum value { OF_S, OF_LOST, OF_WORTH, OF_VOLUME, OF_SUNK, VALUES } value;

typedef struct {
    double expected[VALUES];
    double leaks[VALUES][MOST_UNCERTAIN], holds[VALUES][MOST_UNCERTAIN];
} truth;

/* rests: of all states. */
void enumerate_states(const question *q, rest *rests, truth *t);

#endif
