/* analyse/survival/branching.h - what growing the tree and reading it share. */
#ifndef ANALYSE_SURVIVAL_BRANCHING_H
#define ANALYSE_SURVIVAL_BRANCHING_H

#include "analyse/survival/tree.h"

/* What descents from open nodes came to: of the value, of being lost. */
typedef struct {
    size_t count;
    double open; /* chance that was open before */
    double sum[2], squares[2];
    size_t half_count[2]; /* of every other one, beginning with the first, with the second */
    double half_sum[2][2];
} branch_sample;

/* One of them, for estimates. */
typedef struct {
    int node;  /* where it began */
    int guess; /* taken for the guess of its node alone, not by chance, and of which batch; -1: no */
    double value;
    int turned;  /* closure that was taken the other way as well; -1 */
    double turn; /* what that tells of what hangs on it */
} branch_draw;

/* Batches that samples are dealt into for estimates: at most so many, or none if there are fewer than
 * the least. */
enum { BRANCH_BATCHES = 8, BRANCH_BATCHES_LEAST = 4 };
static inline size_t branch_batches(size_t samples)
{
    return samples < BRANCH_BATCHES_LEAST ? 1 : samples < BRANCH_BATCHES ? samples : BRANCH_BATCHES;
}

struct branches {
    const coaming_ship *ship;
    settler *settler;
    branch_terms terms;
    arena memory;    /* as long as the branches */
    bool *passes;    /* by link: passes as built */
    int *by;         /* nothing, for every space */
    bool *uncertain; /* by link: holds as built, and may leak */
    int *outside;    /* uncertain links with an outside end */
    size_t outside_count;
    bool *flooded, *leaks;       /* by space, by link: of the state at work */
    int *behind, *held, *marked; /* lists at work: room for every space and link */
    int *order;                  /* candidates at work, sorted */
    tree tree;
    const int *opened;
    size_t opened_count;
    double most; /* loss, if everything leaks */
    int root;
    size_t work;
    const double *other; /* chances that count as well while it grows; NULL */
    /* the answer */
    arena results;
    branch_answer answer;
    branch_gain *gains; /* of the answer */
    branch_sample sample;
    branch_draw *draws;
    size_t draw_count;
    double
        *turn[6]; /* by closure: sums of chance x (leaks - holds): least, most; of lost; likely */
    double *sampled_turn[2]; /* the same of what was sampled, likely */
    int *sampled;            /* closures that leaked in a sample */
    bool *decided;           /* by closure */
};

static inline bool has_water(const branches *b, coaming_place place)
{
    return place < 0 || b->flooded[place];
}

/* The side without water of a link with water on one side. */
static inline int dry_side(const branches *b, int link)
{
    const ship_link *l = &b->ship->links[link];
    return has_water(b, l->a) ? l->b : l->a;
}

/* Marks in b->flooded what is flooded at a place. */
void branches_mark_flooded(branches *b, const tree_place *p);

/* What follows a node, once known: link < 0: nothing is decided there, and `holds` is what follows.
 * Children < 0 where one is needed: out of memory. */
coaming_status branches_follow(branches *b, int node, int link, int holds, int leaks,
                               coaming_error *error);

/* What is known of a node of STEP_GRADE, and what follows it. */
coaming_status branches_grade_rest(branches *b, int node, coaming_error *error);

/* SplitMix64 to a number from 0 to below 1 (descents.c). */
double branches_fraction(uint64_t z);

/* Nodes that are come to from the root, in an order in which each comes before what follows it; left:
 * zero, of all nodes. Returns how many they are. */
size_t tree_sort(const tree *t, int root, int *order, int *left);

/* Chances of all nodes; `order` has those before what follows them. NULL: out of memory. */
int *branches_spread_chances(branches *b);

/* s at a place, b->flooded being its, with the closures in b->leaks leaking. */
coaming_status branches_grade(branches *b, const tree_place *p, coaming_stability *out,
                              coaming_error *error);

/* What counts as flooded in a settled state, sorted, into a list with room for all of it; how many. */
size_t branches_flooded_at(const branches *b, const settled *s, int *list);
/* The place of a settled state; the node there once the closures before `next` are decided, of which
 * the first so many of b->behind and b->held leak and hold. -1: out of memory. */
int branches_place_from(branches *b, const settled *s);
int branches_node_after(branches *b, int place, int next, int behind, int held);

/* What spaces add to a loss at least, once they are flooded: of a volume what is below the water may
 * become less. */
double branches_loss_at_least(const branches *b, const int *spaces, size_t count);

/* Where she settles on from a place with water in these spaces behind closures that leak, too. */
coaming_status branches_settle_on(branches *b, int *place, const int *behind, size_t count,
                                  coaming_error *error);

/* Works out what follows an open node. */
coaming_status branches_expand(branches *b, int node, coaming_error *error);

/* Descents from what is open: fills b->sample. */
coaming_status branches_sample(branches *b, coaming_error *error);

/* The answer from the tree as it stands. */
coaming_status branches_read(branches *b, coaming_error *error);
/* Estimates with their errors, from the tree and the samples, once gains are there. */
coaming_status branches_estimate(branches *b, const int *order, coaming_error *error);
/* The ways she is lost, once values and chances are there. */
coaming_status branches_list_ways(branches *b, coaming_error *error);

#endif
