/* analyse/rounds/advice.h - how a kind of closure is kept shut, which decides the remedy. */
#ifndef ANALYSE_ROUNDS_ADVICE_H
#define ANALYSE_ROUNDS_ADVICE_H

#include "coaming/chalk.h"
#include "ship/ship.h"

/* Common practice, no source. */
coaming_fastening fastening_of(link_kind kind);

#endif
