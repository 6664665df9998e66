/*
 * analyse/survival/branches.h - where she may come to rest from one damage, when nobody knows which
 * closures leak: expected values with limits, by branch and bound.
 *
 * Process. Openings, weathertight closures under water and what is open pass from the start, and she
 * settles (flooding and floating by turns, settle.h) with every other closure holding. At rest, the
 * closures that are under water with water on one side, and lead to a space that reaches below the
 * water, begin to leak, all at once, if they leak at all; she settles on with them; and so on until
 * none is left. What leaks is slow beside what stands open, so what stands open is done first.
 * Each closure leaks or holds once and for all, with its own chance, independent of the others.
 *
 * Method. A tree of decisions, one closure at a time: who leaks of those at one rest is decided with
 * her lying still, so the order of deciding does not matter, and each state of all closures goes
 * down one way of the tree: what is found is what enumeration of all 2^k states finds. States that
 * agree in the flooded spaces and in which of the closures round them hold are one. The state that
 * bears most of the chance is taken first, until what is left open bears less than `within`. What is
 * left open counts with the least and the greatest value that it can have, so that limits are
 * rigorous (branch and bound; Land and Doig, "An automatic method of solving discrete programming
 * problems", Econometrica 28(3), 1960, from memory). At the end one sweep forward gives the chances,
 * one back the values, and for each closure the sum over the states where it is decided of
 * chance x (value if it leaks - value if it holds): the difference of the expectations, for up to
 * there nothing hung on it.
 *
 * Where the work that is allowed runs out before, the limits are as wide as they are, and what is
 * open is sampled for the best guess between them (descents.c).
 *
 * The factor s hangs on dry closures as well: one that goes under as she heels ends the righting
 * arms if it leaks. So at the last rest the closure that would end them first is decided too, and
 * so on until none of those left can change s.
 *
 * Limits of memory: `memory` bytes for the states, what the settler keeps of flotations besides
 * (settler_keep).
 * A branches borrows settler and terms; no globals, so each thread may have its own.
 */
#ifndef ANALYSE_SURVIVAL_BRANCHES_H
#define ANALYSE_SURVIVAL_BRANCHES_H

#include <stdint.h>

#include "analyse/flotation/settle.h"
#include "coaming/ranking.h"

typedef enum {
    BRANCH_S,   /* the factor s of grade.h, 0 if she is lost */
    BRANCH_LOSS /* what is flooded, by `measure`; of a ship that is lost also what water comes to
                 * after that by what passes, at any height, as in ranking.h */
} branch_value;

typedef struct {
    int condition;
    const double *leaks; /* by closure: chance that it leaks, 0 to 1; not read of those that pass as
                          * built (ship/state.h) */
    branch_value value;
    coaming_measure measure; /* of BRANCH_LOSS: worth, volume, people or spaces */
    double within;           /* chance that may be left open; 0: none */
    size_t work;             /* how often she is settled or graded at most, for each case */
    size_t memory;           /* bytes of states at most */
    size_t samples;    /* of what is left open where `work` or `memory` ran out; 0: none. They go
                     * beyond `work` */
    size_t turn_every; /* one in so many samples tells what hangs on a closure; at least 1 */
    uint64_t seed;     /* of samples; 0: usual */
    bool errors;       /* estimates with their standard errors are wanted, of closures too */
    size_t ways;       /* how many of the ways she is lost are wanted */
} branch_terms;

enum { BRANCH_WORK = 20000, BRANCH_MEMORY = 64 << 20 }; /* usual */

typedef struct {
    double low, high;
} branch_limits;

/* One way she is lost. Of two ways no state of the closures goes by both. */
typedef struct {
    double probability;
    const int *closures; /* those that leak, in file order; of others on the way some hold */
    size_t closure_count;
    const int *flooded; /* in file order; what water had got to while she was still afloat */
    size_t flooded_count;
} branch_way;

typedef struct {
    int closure;
    double probability;               /* that it leaks */
    branch_limits if_leaks, if_holds; /* expected value */
    double likely, lost_likely;       /* best guesses of the two gains */
    double turn,
        turn_error; /* of terms.errors: if_leaks - if_holds, estimated without bias, and its
                              * standard error: 0 exact, NaN not seen to vary in any sample */
    branch_limits turn_limits;
    branch_limits gain;      /* what the expected value is more if it is sure to hold */
    branch_limits lost_gain; /* what the chance that she is lost is less */
} branch_gain;

typedef struct {
    branch_limits value, lost; /* E[value]; P(lost): of grade lost */
    /* Best guesses: what is open counts with the mean of the samples, or without any in the middle of
     * its limits. Standard errors are of the samples, 0 without. */
    double likely, lost_likely, error, lost_error;
    double estimate, estimate_error; /* of terms.errors: of the value, as of a gain's turn */
    size_t sampled;                  /* samples that were taken */
    double open, most; /* chance that was open before them; the greatest value there may be */
    /* The best guesses by every other sample alone, and by the others: which of several is least is to
     * be guessed by one half, and how much it is by the other, for the least of guesses is too low.
     * With less than two samples both are as above. */
    double half[2], lost_half[2];
    double rest;  /* chance left open */
    bool stopped; /* by work or memory, before `within` was met */
    size_t states, work;
    const branch_way *ways; /* likeliest first, up to terms.ways */
    size_t way_count;
    /* Of closures that were decided anywhere, in file order. Of any other both gains lie within
     * +- its chance x other (other_lost). */
    const branch_gain *gains;
    size_t gain_count;
    double other, other_lost;
} branch_answer;

typedef struct branches branches;

/* COAMING_MEMORY. */
coaming_status branches_new(settler *t, const coaming_ship *ship, const branch_terms *terms,
                            branches **out, coaming_error *error);
void branches_free(branches *b);

/* Where she first comes to rest, every uncertain closure holding: what is flooded there, sorted, then
 * what is opened above the water. Cases that come to the same rest have the same answer. */
typedef struct {
    int *list;
    size_t count, flooded;
    bool lost;
} branch_rest;

/* With these spaces opened. The list is of the memory. COAMING_MEMORY, and of settler_on. */
coaming_status branches_rest(branches *b, const int *opened, size_t count, arena *memory,
                             branch_rest *rest, coaming_error *error);
/* As of qsort; 0: they are the same. */
int branch_rest_order(const branch_rest *a, const branch_rest *b);

/* Other terms of these names from the next case on. */
void branches_allow(branches *b, size_t work, size_t samples, size_t turn_every);

/*
 * The tree of the case that was answered last, taken out of the branches: where she comes to rest does
 * not hang on how likely her closures leak, so other chances are told from the same tree. To be put
 * back into branches of the same ship, condition and value, with the spaces that were opened, before it
 * is asked; one at a time. What is asked counts with the chances that terms.leaks points to by then,
 * of closures that could leak when the branches were made.
 */
typedef struct branch_tree branch_tree;
/* COAMING_MEMORY. */
coaming_status branches_keep(branches *b, branch_tree **out, coaming_error *error);
void branch_tree_free(branch_tree *k);
void branches_put_back(branches *b, branch_tree *k, const int *opened, size_t count);
/* While it is back: grows it on, until what is left open bears less than `within` whichever of the
 * closures have chances of `other`, none of which is greater than that of terms.leaks; by that much work and
 * memory. COAMING_MEMORY, and of settler_on. */
typedef struct {
    const double *other; /* by closure */
    double within;
    size_t work, memory;
} branch_growth;
coaming_status branches_grow_on(branches *b, const branch_growth *how, bool *stopped,
                                coaming_error *error);
/* After that: out again, with what has been found besides. */
void branches_take_out(branches *b, branch_tree *k);
/* Nodes; marks the closures that are decided at any of them. */
size_t branch_tree_size(const branch_tree *k);
void branch_tree_decides(const branch_tree *k, bool *closures);

/* The expected value with its limits, and as a guess what is open in the middle of its limits. One
 * sweep, no flotation. COAMING_MEMORY. */
coaming_status branch_tree_expect(branch_tree *k, const double *leaks, branch_limits *value,
                                  double *likely, coaming_error *error);
/* After that: adds weight x d likely / d leaks of each closure. */
void branch_tree_slopes(branch_tree *k, const double *leaks, double weight, double *slopes);
/* More than the expected value can be at most, whichever of the closures have the chances `leaks` and
 * which `other`. */
coaming_status branch_tree_most(branch_tree *k, const double *leaks, const double *other,
                                double *most, coaming_error *error);

/* One state of the closures. `asked`, the caller's, takes those that it hung on, at most all links. */
typedef struct {
    double value;
    int *asked;
    size_t asked_count;
} branch_walk;

/* Draws who leaks, by the seed and each closure's number and chance alone, and goes down the tree to
 * the end; what is not known yet is worked out, and stays. A closure that leaks still leaks where only
 * its chance is greater. */
coaming_status branches_walk(branches *b, uint64_t seed, branch_walk *walk, coaming_error *error);
/* Does a closure of this chance leak in it? */
bool branch_walk_leaks(uint64_t seed, int closure, double chance);
/* How often she was settled or graded since the branches last began a case. */
size_t branches_work(const branches *b);

/* Other bytes of states at most. */
void branches_allow_bytes(branches *b, size_t memory);

/* Other terms altogether; condition and leaks must be those that it was made with. */
void branches_set(branches *b, const branch_terms *terms);

/* Standard error of a mean. sums: how many values, their sum, that of their squares. A value as far
 * from the mean as half the range is added, so that a few that happen to be alike do not look sure. */
double sampled_error(const double sums[3], double range);

/* These spaces opened to the sea (none: only what comes in by itself). The answer lives until the
 * next call. COAMING_MEMORY: the machine's, not `memory`. Cost: work x (a flotation, or righting
 * arms), and states x log states. */
coaming_status branches_case(branches *b, const int *opened, size_t count,
                             const branch_answer **answer, coaming_error *error);

#endif
