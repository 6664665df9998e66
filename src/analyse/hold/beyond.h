/*
 * analyse/hold/beyond.h - what each line is expected to cost if it is held only as well as its
 * closures are.
 */
#ifndef ANALYSE_HOLD_BEYOND_H
#define ANALYSE_HOLD_BEYOND_H

#include "analyse/hold/net.h"

/* States drawn where it is not worked out exactly, and the most places for which that is tried. */
enum { BEYOND_SAMPLES = NET_DRAWN * NET_WORD, BEYOND_EXACT_PLACES = 256 };
/* Work of the exact tables for all lines together, as risk_exact_bounded counts it. */
enum { BEYOND_WORK = 8000000 };

/*
 * Fills worth, people, expected_loss and expected_error of the lines of an answer. What a line gives
 * up is lost, and from there the risk engine's graph goes on: the line's own closures pass each with
 * the chance that it leaks, those beyond it as the condition leaves them, each with its own chance
 * (1 where it is open, nontight, or for water weathertight). Exact by the frontier where its tables
 * are small, else by samples: then each state that is drawn serves all lines. try_exact false: only
 * sampled. COAMING_MEMORY.
 */
coaming_status beyond_fill(const net *n, bool try_exact, coaming_hold_answer *answer,
                           coaming_error *error);

#endif
