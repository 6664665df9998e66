/* cli/follow.h - a casualty that is followed: an answer for each line that is reported. */
#ifndef CLI_FOLLOW_H
#define CLI_FOLLOW_H

#include "cli.h"

/* Do the other options go with --follow? Complains if not. */
bool follow_fits(const options *o);

/* Answers each line of the file of --follow on standard output. sources: where it is from the
 * beginning. Returns the exit status. */
int follow(const options *o, coaming_ship *ship, const coaming_place *sources, size_t count);

#endif
