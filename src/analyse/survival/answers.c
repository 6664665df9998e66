#include "analyse/survival/answers.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/order.h"
#include "ship/state.h"

typedef struct {
    settler *settler;
    const coaming_ship *ship;
    int condition;
    space_set opened;
    arena *memory;
} work;

/* She with the spaces opened, in a state of her closures. held: a closure that holds, or -1. */
static coaming_status settle_and_grade(const work *w, coaming_answer which, int held,
                                       const settled **rest, coaming_stability *stability,
                                       coaming_error *error)
{
    bool *holding = NULL;
    coaming_status status =
        settler_breach(w->settler, w->opened.spaces, w->opened.count, which, held, rest, error);
    if (status != COAMING_OK)
        return status;
    if (held >= 0) {
        holding = memory_new(w->ship->link_count, sizeof *holding);
        if (!holding)
            return error_memory(error);
        holding[held] = true;
    }
    coaming_float at = (*rest)->at;
    grade_terms terms = {
        .condition = w->condition, .answer = which, .detail = ARMS_ENOUGH, .held = holding};
    status = flotation_grade(settler_flotation(w->settler), settler_flooded(w->settler), &at,
                             &terms, stability, error);
    memory_free(holding);
    return status;
}

static coaming_status keep_flooded(const work *w, const settled *rest, set_answer *a,
                                   coaming_error *error)
{
    int *list = arena_new(w->memory, rest->afloat_count, sizeof *list);
    if (!list)
        return error_memory(error);
    memcpy(list, rest->spaces, rest->afloat_count * sizeof *list);
    qsort(list, rest->afloat_count, sizeof *list, order_ints);
    a->flooded = list;
    a->flooded_count = rest->afloat_count;
    return COAMING_OK;
}

/* Does the closure hold as built, and pass as last tested? */
static bool weakened(const work *w, int link)
{
    const ship_link *l = link < 0 ? NULL : &w->ship->links[link];
    return l && !link_passes(l, w->condition, COAMING_WATER, false, false) &&
           link_passes(l, w->condition, COAMING_WATER, true, false);
}

/* Those that are to be asked, in file order, each once. */
static coaming_status list_weakened(const work *w, const settled *rest, int flooding, int **list,
                                    size_t *count, coaming_error *error)
{
    size_t kept = 0;
    *count = 0;
    *list = memory_new(rest->afloat_count + 1, sizeof **list);
    if (!*list)
        return error_memory(error);
    for (size_t i = 0; i < rest->afloat_count; i++)
        if (weakened(w, rest->by[i]))
            (*list)[(*count)++] = rest->by[i];
    if (weakened(w, flooding))
        (*list)[(*count)++] = flooding;
    qsort(*list, *count, sizeof **list, order_ints);
    for (size_t i = 0; i < *count; i++)
        if (!kept || (*list)[i] != (*list)[kept - 1])
            (*list)[kept++] = (*list)[i];
    *count = kept;
    return COAMING_OK;
}

static coaming_status ask_held(const work *w, const int *list, size_t count, set_answer *a,
                               coaming_error *error)
{
    coaming_status status = COAMING_OK;
    held_answer *held = arena_new(w->memory, count, sizeof *held);
    if (!held)
        return error_memory(error);
    for (size_t i = 0; status == COAMING_OK && i < count; i++) {
        const settled *rest;
        coaming_stability stability;
        status = settle_and_grade(w, COAMING_AS_TESTED, list[i], &rest, &stability, error);
        held[i] = (held_answer){list[i], stability.s};
    }
    a->held = held;
    a->held_count = count;
    return status;
}

static coaming_status answer_tested(const work *w, set_answer *a, coaming_error *error)
{
    const settled *rest;
    coaming_stability stability;
    int *list = NULL;
    size_t count = 0;
    coaming_status status = settle_and_grade(w, COAMING_AS_TESTED, -1, &rest, &stability, error);
    if (status != COAMING_OK)
        return status;
    a->s[COAMING_AS_TESTED] = stability.s;
    a->grade[COAMING_AS_TESTED] = stability.grade;
    status = keep_flooded(w, rest, a, error);
    if (status == COAMING_OK)
        status = list_weakened(w, rest, stability.flooding_opening, &list, &count, error);
    if (status == COAMING_OK && count)
        status = ask_held(w, list, count, a, error);
    memory_free(list);
    return status;
}

coaming_status answer_set(settler *t, const coaming_ship *ship, int condition, space_set opened,
                          arena *memory, set_answer *answer, coaming_error *error)
{
    work w = {t, ship, condition, opened, memory};
    const coaming_answer whole[] = {COAMING_AS_BUILT, COAMING_UNTESTED_LEAK};
    *answer = (set_answer){0};
    for (int i = 0; i < 2; i++) {
        const settled *rest;
        coaming_stability stability;
        coaming_status status = settle_and_grade(&w, whole[i], -1, &rest, &stability, error);
        if (status != COAMING_OK)
            return status;
        answer->s[whole[i]] = stability.s;
        answer->grade[whole[i]] = stability.grade;
    }
    return answer_tested(&w, answer, error);
}
