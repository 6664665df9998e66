/*
 * analyse/survival/tree.h - the states that branches.c comes to, each once.
 *
 * A place is a set of flooded spaces with the position in which she lies still; a node is a place
 * and what was decided there. A node's step says what is to be done at it:
 *   DECIDE  one of the closures that are wet at the place (`next`) leaks or holds; `marked` are the
 *           spaces behind those that leak, then the closures that hold
 *   SETTLE  all are decided and some leak: she settles on
 *   GRADE   she is at rest for good; `marked` are the dry closures that leak, then those that hold
 * Nodes and places are numbered; pointers to them last until the next is made.
 */
#ifndef ANALYSE_SURVIVAL_TREE_H
#define ANALYSE_SURVIVAL_TREE_H

#include <stdint.h>

#include "analyse/survival/branches.h"

typedef struct {
    uint64_t hash;
    int chain; /* next of the same head; -1 */
    bool lost; /* not afloat */
    coaming_float at;
    int *spaces; /* flooded, in file order */
    size_t count;
    int *links; /* undecided as far as the place knows: wet, with water on one side; by the space
                 * behind them, then in file order */
    int *behind;
    size_t link_count;
    double loss; /* of BRANCH_LOSS */
    bool graded; /* with every uncertain closure holding: */
    double s;
    bool capsizes;
} tree_place;

typedef enum { STEP_DECIDE, STEP_SETTLE, STEP_GRADE } tree_step;

typedef struct {
    uint64_t hash;
    int chain;
    int place;
    tree_step step;
    int next;
    int *marked; /* both parts in file order */
    int leaking, holding;
    bool open;    /* what follows is not known yet */
    int link;     /* decided here; -1: none, child[0] follows for sure, or nothing does */
    int child[2]; /* if it holds, if it leaks; -1: none */
    branch_limits value, lost;
    /* Best guesses of value and lost, once the tree is read; before, sums over the samples that began
     * here. */
    double likely, lost_likely;
    size_t samples;
    bool late;                  /* what follows it was worked out by samples */
    double early_chance;        /* before there were any */
    bool low_known, high_known; /* of STEP_GRADE: is the limit the s of a state? */
    double chance;              /* while the tree grows: what has not been handed on yet */
    double reach; /* the same with the likeliest single closure that holds taken as holding, so
                    * that gains get limits as well */
    double ahead; /* chance of the likeliest end of what is still to be decided at the place */
    int queued;   /* place in the queue; -1 */
} tree_node;

typedef struct {
    arena memory;
    size_t bytes;
    tree_place *places;
    size_t place_count, place_room;
    tree_node *nodes;
    size_t node_count, node_room;
    int *place_heads, *node_heads; /* by hash */
    size_t heads;
    int *queue; /* heap of nodes, that of greatest urgency first */
    size_t queue_count, queue_room;
    double scale; /* of what hangs on a node: the range of the value */
    double open;  /* sum of what hangs on the nodes in the queue, but for rounding */
} tree;

/* Forgets everything, keeps the room. False: out of memory. */
bool tree_begin(tree *t);
void tree_free(tree *t);

/* The place, made if it is new: then `at`, `links` and what follows are the caller's to set. spaces
 * in file order. -1: out of memory. */
int tree_place_of(tree *t, const int *spaces, size_t count, bool lost, bool *fresh);
/* The node of the pattern's place, step, next and marks; made, open, with the pattern's limits if
 * it is new. -1: out of memory. */
int tree_node_of(tree *t, const tree_node *pattern);

/* How much may hang on what is open at the node, per chance. */
double tree_range(const tree *t, const tree_node *n);
/* Hands chance to a node; one that is known already needs to hand it on. False: out of memory. */
bool tree_give(tree *t, int node, double chance, double reach);
/* The node to go on with; -1: none. */
int tree_take(tree *t);

/* Memory that a tree of this size takes at most, bytes. */
size_t tree_bytes(const tree *t);

/* Chance that what is decided at the node leaks; 0 where nothing is. */
static inline double node_chance(const tree_node *n, const double *leaks)
{
    return n->link < 0 ? 0 : leaks[n->link];
}

/* What follows a node if its closure leaks; the same as if it holds where nothing is decided. */
static inline int node_if_leaks(const tree_node *n)
{
    return n->child[n->child[1] < 0 ? 0 : 1];
}

bool sorted_has(const int *list, size_t count, int item);
/* Copies a sorted list, with one item more if item is not negative; returns its length. */
int sorted_with(int *to, const int *list, int count, int item);
/* Puts one more into a sorted list that has room; returns its length. */
int sorted_put(int *list, int count, int item);

#endif
