/*
 * ship/number.h - compartment numbers deck-frame-side-use, such as 3-20-0-E. Common practice, no
 * source: the frame is one of the space's own; side 0 meets the centre line, odd numbers lie to
 * starboard and even ones to port, growing outboard; the use is a letter, which differs from ship
 * to ship.
 */
#ifndef SHIP_NUMBER_H
#define SHIP_NUMBER_H

#include <stdbool.h>

enum { NUMBER_DECK = 8 };

typedef struct {
    char deck[NUMBER_DECK]; /* as it is written: 01 is not 1 */
    long frame, side;
    const char *use; /* what stands after the third hyphen; "" if there is none */
} number_parts;

/* False if the text does not begin with three whole numbers with hyphens between. */
bool number_split(const char *text, number_parts *parts);

#endif
