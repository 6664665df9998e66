/*
 * cli/flood_asked.h - what the command line says of a flooding: holes, inflows, and what is done when.
 */
#ifndef CLI_FLOOD_ASKED_H
#define CLI_FLOOD_ASKED_H

#include "cli.h"

typedef struct {
    coaming_flood_ask ask; /* borrows the lists */
    coaming_flood_breach *breaches;
    coaming_flood_inflow *inflows;
    coaming_flood_change *changes;
} flood_asked;

/* Is what needs no ship to be judged said well: times, areas and rates? -1 if so, else the exit status,
 * with the error told. */
int flood_said_well(const options *o);

/* The same, with the ship's own spaces, closures and pumps. -1 to go on, else the exit status; to be
 * freed either way. */
int flood_asked_make(const options *o, const coaming_ship *ship, flood_asked *made);
void flood_asked_free(flood_asked *made);

#endif
