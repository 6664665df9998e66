/* ship/opening.h - where an opening is and how large, also where the arrangement does not say. */
#ifndef SHIP_OPENING_H
#define SHIP_OPENING_H

#include "ship/ship.h"

/* The middle of its lowest edge; without <clear> amidships on the centre line. */
void opening_place(const coaming_ship *ship, const opening *o, double at[3]);

/* m. assumed: by its kind, as COAMING_FLOOD_OPENINGS has it. */
typedef struct {
    double width, height;
    bool assumed;
} opening_size;

opening_size opening_size_of(const ship_link *l);

#endif
