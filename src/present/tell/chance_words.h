/*
 * present/tell/chance_words.h - how likely a closure leaks, what that costs and how sure that is; and
 * amounts by their measure. Once for text, drawings and the report; a percentage is written by
 * `percent` of present/form/style.h. Each returns the buffer.
 */
#ifndef PRESENT_CHANCE_WORDS_H
#define PRESENT_CHANCE_WORDS_H

#include "coaming/likelihood.h"
#include "coaming/ranking.h"
#include "coaming/risk.h"
#include "present/form/style.h"

/* "12.5 m3"; "12.5" where the measure has no unit. */
const char *measured(char buffer[SHOWN], coaming_measure measure, double value);
/* "12.5 m3"; "12.5 worth" where it has none. */
const char *measured_loss(char buffer[SHOWN], coaming_measure measure, double value);
/* What a ranking is by: "people in reach", for that water reaches them does not say that they are
 * lost; "freeboard lost". */
const char *measure_words(char buffer[SHOWN], coaming_measure measure);

/* What a ranking tells; and what it says where there is nothing to tell. */
#define RANK_ASKS    "whose failure would cost most"
#define IN_THE_COUNT "by this measure in the scenarios counted"
#define NOTHING_LOST "No closure loses anything " IN_THE_COUNT "."
/* Over what a loss is expected. */
#define AS_LIKELY "each closure leaking as likely as its history says"

/* Is the chance worked out from the closure's history: neither given nor by what is seen? */
bool by_history(const coaming_likelihood *likelihood);

/* Of a closure that lets through whatever its gasket, such as one that is never shut. */
bool passes_anyhow(const coaming_risk_row *risk);
/* "14.8 %", "passes whatever its gasket". risk: NULL if none is worked out. */
const char *leak_words(char buffer[SHOWN], double leaks, const coaming_risk_row *risk);
/* " (standard error 0.1)", " (never seen to vary; at most 0.2)"; "" of an exact risk. */
const char *risk_doubt_words(char buffer[SHOWN], const coaming_risk_row *risk);
/* "3.2 m3 (standard error 0.1)", "0, though she does not stay afloat if it fails": what a certain
 * repair would gain. lost: as rank has it. */
const char *risk_words(char buffer[SHOWN], coaming_measure measure, const coaming_risk_row *risk,
                       bool lost);
/* How an expected loss was worked out: "exact", "sampled, standard error 0.2, surely 3 to 9". Without a
 * count: the error is of all that was sampled, and each hazard has a count of its own. */
const char *sampled_words(char buffer[SHOWN], const coaming_risk *risk);

#endif
