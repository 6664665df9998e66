/*
 * analyse/survival/repaired.h - the expected index with other chances to leak, for one ship, asked
 * again and again.
 *
 * The rests of damage (rests.h) are branched once, at the chances as they are, and their trees kept.
 * Those that were not stopped are grown on until what is open bears less than `within` of any choice of
 * chances between these and the least ones: then a sweep over them tells. Where it was stopped samples
 * tell the change: the same states are drawn whatever the chances, so that a closure leaks in a sample
 * or not by its chance alone (common random numbers; Glasserman and Yao, "Some guidelines and
 * guarantees for common random numbers", Management Science 38(6), 1992, from memory), and what she
 * comes to then is worked out where no sample came to it before. The index is what it is as the
 * chances are, by expected.h, and the mean change of the samples.
 *
 * Cost of a question: nodes of the trees that hang on what changed, samples x (closures on a way), and
 * flotations of states that are new. Memory: REST_TREES_MEMORY, and what samples add; what is kept of
 * flotations. By threads; what comes out does not depend on them.
 */
#ifndef ANALYSE_SURVIVAL_REPAIRED_H
#define ANALYSE_SURVIVAL_REPAIRED_H

#include <stdint.h>

#include "coaming/survival.h"

typedef struct repaired repaired;

/* leaks, least: by closure, borrowed: chances as they are, and the least that they are asked with. threads: 0 as many as are worth it.
 * COAMING_USAGE, COAMING_INPUT, COAMING_MEMORY as coaming_survival_new. */
coaming_status repaired_new(const coaming_ship *ship, const coaming_survival_options *options,
                            const double *leaks, const double *least, unsigned threads,
                            repaired **out, coaming_error *error);
void repaired_free(repaired *r);

/* Was a tree stopped, so that samples tell what changes? */
bool repaired_is_sampled(const repaired *r);
/* None was, and every rest has a tree: limits are within `within` at the chances as they are. */
bool repaired_is_exact(const repaired *r);
/* What a question takes that every tree has part in, without samples. */
size_t repaired_size(const repaired *r);
/* Does anything hang on the closure, as far as is known? */
bool repaired_asks(const repaired *r, int closure);
/* Work since it was made, in nodes; a flotation counts as many. */
uint64_t repaired_work(const repaired *r);

/* Other samples from now on: what was chosen by some is not to be judged by the same. COAMING_MEMORY,
 * and of settler_on. */
coaming_status repaired_draw(repaired *r, uint64_t seed, coaming_error *error);

/* The index as guessed, at these chances. */
coaming_status repaired_index(repaired *r, const double *leaks, double *index,
                              coaming_error *error);
/* After repaired_index: what is asked now is what repaired_error_since, after another, tells the standard
 * error of the change from. */
void repaired_mark(repaired *r);
double repaired_error_since(const repaired *r);
/* After repaired_index: the index with limits; the standard error of how far it is from the index at the chances
 * as they are. */
coaming_status repaired_limits(repaired *r, coaming_survival_limits *index, double *error_of_change,
                               coaming_error *error);
/* After repaired_index, by closure: what the index changes by d chance, up to `other` chances where it is
 * sampled; then of each sample some of those closures are asked that she came by, drawn at random, as
 * many as TURN_WORK allows. slopes: of all closures. */
coaming_status repaired_slopes(repaired *r, const double *other, double *slopes,
                               coaming_error *error);
/* No choice of chances, of each closure as it is or `other`, has a greater index. */
coaming_status repaired_most(repaired *r, const double *other, double *most, coaming_error *error);
/* Standard error of the index at the chances as they are, 0 where none is sampled. */
double repaired_error(const repaired *r);

#endif
