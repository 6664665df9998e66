/*
 * analyse/survival/answers.h - what opened spaces do to her in one loading, in each state of her
 * closures.
 *
 * Each set of spaces is settled (settle.h) as built, as last tested and with untested closures
 * leaking, and graded. Each closure that is weaker as tested than as built and that water came by, or
 * that ends her righting arms, is asked what she were if it held: worse, it may be, where water that
 * crosses to the other side takes heel off her. Any other may hold and nothing changes.
 *
 * Which are needed together: all those hold, then those as well that water comes by instead, until it
 * comes by none; then each is left out again, in file order, that is not missed.
 */
#ifndef ANALYSE_SURVIVAL_ANSWERS_H
#define ANALYSE_SURVIVAL_ANSWERS_H

#include "analyse/flotation/settlers.h"
#include "analyse/survival/cases.h"

typedef struct {
    int closure;
    double s; /* as last tested, but that it holds */
    coaming_grade grade;
} held_answer;

typedef struct {
    double s[COAMING_ANSWERS];
    coaming_grade grade[COAMING_ANSWERS];
    const int *flooded; /* as last tested, in file order; if she is lost, up to then */
    size_t flooded_count;
    const held_answer *held; /* in file order */
    size_t held_count;
    /* Where it is worse as last tested than as built (answer_worse): those that, if all of them hold,
     * make it no worse, none of which may be left out. In file order. */
    const int *needed;
    size_t needed_count;
} set_answer;

/* Is s less as last tested than as built, or is she lost only then? */
bool answer_worse(const double s[COAMING_ANSWERS], const coaming_grade grade[COAMING_ANSWERS]);

/* Of whom it is asked. */
typedef struct {
    const coaming_ship *ship;
    int condition;
    const settlers *by; /* of these; as many threads as they are */
} answer_terms;

/*
 * Answers the sets numbered in `list`, each into its place of `answers`; what an answer is does not
 * depend on the threads. memory: TOGETHER_MOST of them, where what the answers point to is kept.
 * COAMING_MEMORY, and of settler_breach.
 */
coaming_status answer_sets(const answer_terms *terms, const damage_cases *sets, const size_t *list,
                           size_t count, arena *memory, set_answer *answers, coaming_error *error);

#endif
