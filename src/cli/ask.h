/*
 * cli/ask.h - what more than one command asks, asked in one place. Each returns -1 to go on, else
 * the exit status, with the error told; what was made until then is freed by the caller either way.
 */
#ifndef CLI_ASK_H
#define CLI_ASK_H

#include "cli.h"

/* What the answer starts from. */
int ask_outset(const coaming_ship *ship, coaming_query query, coaming_outset **outset);

/* Where a walk starts, and whether it keeps inside. */
int ask_walk(const options *o, const coaming_ship *ship, coaming_round_options *how);

typedef struct {
    coaming_rank_options rows; /* for coaming_print_...; borrows the rest */
    coaming_outset *outset;    /* NULL: of a share of the samples */
    coaming_ranking *ranking;
    coaming_risk *risk; /* NULL: of a measure that has none */
    double *leaks;
} rank_answer;

/* Do --share, --merge and the words behind the ship go together, as they must for every command that
 * is split? Complains if not. name: of the command. */
bool share_fits(const options *o, const char *name);

/* What is said where no source is named. */
#define SOURCE_MISSING "say by --source where the water or smoke is"

/* Of the sea alone water alone is asked: the query has air no more. Complains if air alone is asked. */
int leave_out_air(options *o, const coaming_place *sources, size_t count);

/* Is nothing of risk asked for where the measure has none? Else it is complained of. */
bool risk_fits(const options *o);

/* How risk is worked out: method, seed, samples and accuracy, given or not. */
coaming_risk_options risk_asked(const options *o);

/* The risk alone, NULL for a measure that is not added up by space; and all. a: zero before. */
int ask_risk(const options *o, const coaming_ship *ship, rank_answer *a);
int ask_rank(const options *o, const coaming_ship *ship, rank_answer *a);
void rank_answer_free(rank_answer *a);

#endif
