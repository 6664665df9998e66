/*
 * analyse/risk/exact_layer.h - the states of the frontier between two steps, and their memory.
 *
 * A state says which nodes of the frontier are joined: a label for each place, 0 for what is joined
 * to `always`, else 1, 2, ... in the order of first appearance. Of what has been gone through,
 * these numbers are enough for the sums to come (expectations over the edges so far, all times the
 * probability of the state; W weight and M mass of what is joined under a label):
 *     P, W of each label, M of each label, then for labels a <= b (row by row of b)
 *     W(a) M(a) where a = b, else W(a) M(b) + W(b) M(a).
 * The label 0 has none: its mass is counted as lost when it is joined.
 */
#ifndef ANALYSE_RISK_EXACT_LAYER_H
#define ANALYSE_RISK_EXACT_LAYER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Labels are bytes. */
enum { EXACT_WIDEST = 250 };
#define EXACT_NOWHERE UINT32_MAX

/* Everything that grows with the number of states is taken from here. */
typedef struct {
    size_t most, used, peak; /* bytes */
    bool over;               /* more than `most` was asked for */
    bool out;                /* out of memory */
} exact_budget;

/* NULL: over or out, as the budget then says; the old piece is as it was. New bytes are zero. */
void *exact_resize(exact_budget *b, void *old, size_t old_bytes, size_t bytes);
void exact_give_back(exact_budget *b, void *piece, size_t bytes);

typedef struct {
    size_t at; /* where its numbers begin */
    uint32_t
        next[2]; /* in the next layer, if the edge holds and passes; of other steps the first */
    unsigned char labels; /* how many, without 0 */
    bool live;            /* can it come about? else it matters to derivatives only */
} exact_state;

typedef struct {
    int width; /* nodes in the frontier */
    size_t count;
    exact_state *states;
    unsigned char *labels; /* width of each state */
    double *numbers;       /* NULL: not needed and given back */
    size_t number_count;
    size_t state_room, label_room, number_room;
} exact_layer;

/* Of a state; NULL where the frontier has no nodes, and so no room. */
static inline const unsigned char *exact_labels(const exact_layer *l, size_t state)
{
    return l->width ? l->labels + state * (size_t)l->width : NULL;
}

/* Finds states by their labels. */
typedef struct {
    uint32_t *slots; /* index + 1; 0: free */
    size_t size;     /* a power of two */
} exact_index;

static inline size_t exact_numbers(size_t labels)
{
    return 1 + 2 * labels + labels * (labels + 1) / 2;
}

/* The state with these labels, made if there is none yet, with all numbers 0; NOWHERE: budget. */
uint32_t exact_find(exact_budget *b, exact_layer *l, exact_index *index,
                    const unsigned char *labels);
bool exact_index_new(exact_budget *b, exact_index *index);
/* Forgets all but the states of a layer, for which it must have had room before. */
void exact_index_fill(exact_index *index, const exact_layer *l);
void exact_index_free(exact_budget *b, exact_index *index);

/* No more states will come: what was taken ahead is given back. False: budget. */
bool exact_layer_close(exact_budget *b, exact_layer *l);
bool exact_layer_numbers(exact_budget *b, exact_layer *l); /* room again if dropped, all 0 */
void exact_layer_drop_numbers(exact_budget *b, exact_layer *l);
void exact_layer_free(exact_budget *b, exact_layer *l);

#endif
