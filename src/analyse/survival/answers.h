/*
 * analyse/survival/answers.h - what opened spaces do to her in one loading, in each state of her
 * closures.
 *
 * Each set of spaces is settled (settle.h) as built, as last tested and with untested closures
 * leaking, and graded. Each closure that is weaker as tested than as built and that water came by, or
 * that ends her righting arms, is asked what she were if it held: worse, it may be, where water that
 * crosses to the other side takes heel off her. Any other may hold and nothing changes.
 */
#ifndef ANALYSE_SURVIVAL_ANSWERS_H
#define ANALYSE_SURVIVAL_ANSWERS_H

#include "analyse/flotation/settle.h"
#include "analyse/survival/cases.h"

typedef struct {
    int closure;
    double s; /* as last tested, but that it holds */
} held_answer;

typedef struct {
    double s[COAMING_ANSWERS];
    coaming_grade grade[COAMING_ANSWERS];
    const int *flooded; /* as last tested, in file order; if she is lost, up to then */
    size_t flooded_count;
    const held_answer *held; /* in file order */
    size_t held_count;
} set_answer;

typedef struct answerer answerer;

/* memory: where what the answers point to is kept. COAMING_MEMORY. It borrows all that it is given. */
coaming_status answerer_new(settler *t, const coaming_ship *ship, int condition, arena *memory,
                            answerer **out, coaming_error *error);
void answerer_free(answerer *a);

/* COAMING_MEMORY, and of settler_breach. */
coaming_status answer_set(answerer *a, space_set opened, set_answer *answer, coaming_error *error);

#endif
