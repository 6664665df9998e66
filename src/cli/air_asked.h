/* cli/air_asked.h - what is asked of air in time, from the words of the command line. */
#ifndef CLI_AIR_ASKED_H
#define CLI_AIR_ASKED_H

#include "cli.h"

/* Owns the lists that `how` borrows. */
typedef struct {
    coaming_air_options how;
    double *warmth; /* by space */
    coaming_air_source *sources;
    coaming_air_limit *limits;
    coaming_air_change *changes;
} air_asked;

/* Is what needs no ship written well? -1 to go on, else the exit status, with the error told. */
int air_said_well(const options *o);

/* The whole; condition and ship are those of load_asked. -1 to go on, else the exit status; freed
 * either way. */
int air_asked_make(const options *o, const coaming_ship *ship, air_asked *made);
void air_asked_free(air_asked *made);

#endif
