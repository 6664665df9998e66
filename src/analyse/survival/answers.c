/* A closure with water on both sides is no opening, so where holding it changes nothing of what is
 * flooded, it changes nothing at all. */
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
    arena *memory, kept;
    bool *holding;         /* by link, all false */
    bool *passes;          /* by link, as last tested */
    bool *flooded;         /* by space, as last tested with nothing held */
    coaming_afloat afloat; /* likewise */
    space_set opened;      /* at work */
} answerer;

static coaming_status begin(answerer *a, const answer_terms *terms, settler *t, arena *memory,
                            coaming_error *error)
{
    const coaming_ship *ship = terms->ship;
    *a = (answerer){.settler = t, .ship = ship, .condition = terms->condition, .memory = memory};
    a->holding = arena_new(&a->kept, ship->link_count, sizeof *a->holding);
    a->passes = arena_new(&a->kept, ship->link_count, sizeof *a->passes);
    a->flooded = arena_new(&a->kept, ship->space_count, sizeof *a->flooded);
    if (!a->holding || !a->passes || !a->flooded)
        return error_memory(error);
    for (size_t i = 0; i < ship->link_count; i++)
        a->passes[i] = link_passes(&ship->links[i], a->condition, COAMING_WATER, true, false);
    return COAMING_OK;
}

bool answer_worse(const double s[COAMING_ANSWERS], const coaming_grade grade[COAMING_ANSWERS])
{
    return s[COAMING_AS_TESTED] < s[COAMING_AS_BUILT] ||
           (grade[COAMING_AS_TESTED] == COAMING_GRADE_LOST &&
            grade[COAMING_AS_BUILT] != COAMING_GRADE_LOST);
}

static coaming_status grade(answerer *a, coaming_answer which, int held, const settled *rest,
                            coaming_stability *stability, coaming_error *error)
{
    coaming_float at = rest->at;
    grade_terms terms = {.condition = a->condition,
                         .answer = which,
                         .detail = ARMS_FACTOR,
                         .held = held < 0 ? NULL : a->holding};
    if (held >= 0)
        a->holding[held] = true;
    coaming_status status = flotation_grade(
        settler_flotation(a->settler), settler_flooded(a->settler), &at, &terms, stability, error);
    if (held >= 0)
        a->holding[held] = false;
    return status;
}

static coaming_status settle(answerer *a, coaming_answer which, int held, const settled **rest,
                             coaming_error *error)
{
    return settler_breach(a->settler, a->opened.spaces, a->opened.count, which, held, rest, error);
}

/* --- with a closure that holds --- */

/* Fills s and grade as last tested, but that the closure holds; they begin as without that. */
static coaming_status ask_held(answerer *a, held_answer *out, bool is_opening, coaming_error *error)
{
    int held = out->closure;
    const settled *rest;
    coaming_stability stability;
    coaming_status status = settle(a, COAMING_AS_TESTED, held, &rest, error);
    if (status != COAMING_OK)
        return status;
    if (!is_opening && rest->at.afloat == a->afloat &&
        !memcmp(a->flooded, settler_flooded(a->settler), a->ship->space_count * sizeof *a->flooded))
        return COAMING_OK;
    status = grade(a, COAMING_AS_TESTED, held, rest, &stability, error);
    out->s = stability.s;
    out->grade = stability.grade;
    return status;
}

/* Does the closure hold as built, and pass as last tested? */
static bool weakened(const answerer *a, int link)
{
    const ship_link *l = link < 0 ? NULL : &a->ship->links[link];
    return l && !link_passes(l, a->condition, COAMING_WATER, false, false) &&
           link_passes(l, a->condition, COAMING_WATER, true, false);
}

/* Those that are to be asked, in file order, each once. */
static coaming_status list_weakened(const answerer *a, const settled *rest, int flooding,
                                    int **list, size_t *count, coaming_error *error)
{
    size_t kept = 0;
    *count = 0;
    *list = memory_new(rest->afloat_count + 1, sizeof **list);
    if (!*list)
        return error_memory(error);
    for (size_t i = 0; i < rest->afloat_count; i++)
        if (weakened(a, rest->by[i]))
            (*list)[(*count)++] = rest->by[i];
    if (weakened(a, flooding))
        (*list)[(*count)++] = flooding;
    qsort(*list, *count, sizeof **list, order_ints);
    for (size_t i = 0; i < *count; i++)
        if (!kept || (*list)[i] != (*list)[kept - 1])
            (*list)[kept++] = (*list)[i];
    *count = kept;
    return COAMING_OK;
}

static coaming_status ask_each(answerer *a, const int *list, size_t count, int flooding,
                               set_answer *answer, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    held_answer *held = arena_new(a->memory, count, sizeof *held);
    if (!held)
        return error_memory(error);
    for (size_t i = 0; status == COAMING_OK && i < count; i++) {
        held[i] =
            (held_answer){list[i], answer->s[COAMING_AS_TESTED], answer->grade[COAMING_AS_TESTED]};
        status = ask_held(a, &held[i], list[i] == flooding, error);
    }
    answer->held = held;
    answer->held_count = count;
    return status;
}

/* --- with several that hold --- */

/* Settled and graded as last tested, with those marked in a->holding holding. */
static coaming_status ask_holding(answerer *a, const settled **rest, coaming_stability *stability,
                                  coaming_error *error)
{
    settler_links links = {a->passes, a->opened.spaces, a->opened.count};
    coaming_status status = settler_on(a->settler, NULL, &links, rest, error);
    if (status != COAMING_OK)
        return status;
    coaming_float at = (*rest)->at;
    grade_terms terms = {.condition = a->condition,
                         .answer = COAMING_AS_TESTED,
                         .detail = ARMS_FACTOR,
                         .held = a->holding};
    return flotation_grade(settler_flotation(a->settler), settler_flooded(a->settler), &at, &terms,
                           stability, error);
}

/* a->passes is as last tested, and nothing of what is weakened passes as built. */
static void set_holding(answerer *a, int link, bool holds)
{
    a->holding[link] = holds;
    a->passes[link] = !holds;
}

static bool hold_more(answerer *a, int link, int *list, size_t *count)
{
    if (!weakened(a, link) || a->holding[link])
        return false;
    set_holding(a, link, true);
    list[(*count)++] = link;
    return true;
}

/* Holds what water comes by, until it comes by nothing that was sound as built. */
static coaming_status hold_all(answerer *a, int *list, size_t *count, coaming_error *error)
{
    for (bool more = true; more;) {
        const settled *rest;
        coaming_stability stability;
        coaming_status status = ask_holding(a, &rest, &stability, error);
        if (status != COAMING_OK)
            return status;
        more = hold_more(a, stability.flooding_opening, list, count);
        for (size_t i = 0; i < rest->afloat_count; i++)
            more = hold_more(a, rest->by[i], list, count) || more;
    }
    return COAMING_OK;
}

/* What s loses no more than this by is not missed: rounding. */
static const double MISSED = 1e-9;

/* Lets go each that is not missed, and returns how many are left. */
static coaming_status let_go(answerer *a, const set_answer *answer, int *list, size_t *count,
                             coaming_error *error)
{
    size_t kept = 0;
    qsort(list, *count, sizeof *list, order_ints);
    for (size_t i = 0; i < *count; i++) {
        const settled *rest;
        coaming_stability without;
        set_holding(a, list[i], false);
        coaming_status status = ask_holding(a, &rest, &without, error);
        if (status != COAMING_OK)
            return status;
        double s[COAMING_ANSWERS] = {answer->s[COAMING_AS_BUILT] - MISSED, without.s};
        coaming_grade grade[COAMING_ANSWERS] = {answer->grade[COAMING_AS_BUILT], without.grade};
        if (!answer_worse(s, grade))
            continue;
        set_holding(a, list[i], true);
        list[kept++] = list[i];
    }
    *count = kept;
    return COAMING_OK;
}

/* One that alone makes it no worse than as built; -1: none does. */
static int enough(const set_answer *answer)
{
    for (size_t i = 0; i < answer->held_count; i++) {
        double s[COAMING_ANSWERS] = {answer->s[COAMING_AS_BUILT] - MISSED, answer->held[i].s};
        coaming_grade grade[COAMING_ANSWERS] = {answer->grade[COAMING_AS_BUILT],
                                                answer->held[i].grade};
        if (!answer_worse(s, grade))
            return answer->held[i].closure;
    }
    return -1;
}

static coaming_status find_needed(answerer *a, set_answer *answer, coaming_error *error)
{
    size_t count = 0;
    if (!answer_worse(answer->s, answer->grade))
        return COAMING_OK;
    int *list = arena_new(a->memory, a->ship->closure_count, sizeof *list);
    if (!list)
        return error_memory(error);
    answer->needed = list;
    list[0] = enough(answer);
    answer->needed_count = list[0] >= 0;
    if (answer->needed_count)
        return COAMING_OK;
    coaming_status status = hold_all(a, list, &count, error);
    size_t held = count;
    if (status == COAMING_OK)
        status = let_go(a, answer, list, &count, error);
    for (size_t i = 0; i < (status == COAMING_OK ? count : held); i++)
        set_holding(a, list[i], false);
    answer->needed_count = count;
    return status;
}

/* --- the states --- */

static coaming_status ask_state(answerer *a, coaming_answer which, set_answer *answer,
                                const settled **rest, int *flooding, coaming_error *error)
{
    coaming_stability stability;
    coaming_status status = settle(a, which, -1, rest, error);
    if (status == COAMING_OK)
        status = grade(a, which, -1, *rest, &stability, error);
    if (status != COAMING_OK)
        return status;
    answer->s[which] = stability.s;
    answer->grade[which] = stability.grade;
    *flooding = stability.flooding_opening;
    return COAMING_OK;
}

static coaming_status keep_flooded(const answerer *a, const settled *rest, set_answer *answer,
                                   coaming_error *error)
{
    int *list = arena_new(a->memory, rest->afloat_count, sizeof *list);
    if (!list)
        return error_memory(error);
    memcpy(list, rest->spaces, rest->afloat_count * sizeof *list);
    qsort(list, rest->afloat_count, sizeof *list, order_ints);
    answer->flooded = list;
    answer->flooded_count = rest->afloat_count;
    return COAMING_OK;
}

static coaming_status answer_set(answerer *a, space_set opened, set_answer *answer,
                                 coaming_error *error)
{
    const settled *rest;
    int *list = NULL, flooding;
    size_t count = 0;
    *answer = (set_answer){0};
    a->opened = opened;
    coaming_status status = ask_state(a, COAMING_AS_BUILT, answer, &rest, &flooding, error);
    if (status == COAMING_OK)
        status = ask_state(a, COAMING_UNTESTED_LEAK, answer, &rest, &flooding, error);
    if (status == COAMING_OK)
        status = ask_state(a, COAMING_AS_TESTED, answer, &rest, &flooding, error);
    if (status == COAMING_OK)
        status = keep_flooded(a, rest, answer, error);
    if (status == COAMING_OK)
        status = list_weakened(a, rest, flooding, &list, &count, error);
    if (status == COAMING_OK && count) {
        a->afloat = rest->at.afloat;
        memcpy(a->flooded, settler_flooded(a->settler), a->ship->space_count * sizeof *a->flooded);
        status = ask_each(a, list, count, flooding, answer, error);
    }
    if (status == COAMING_OK)
        status = find_needed(a, answer, error);
    memory_free(list);
    return status;
}

/* --- all of them --- */

typedef struct {
    const answer_terms *terms;
    const damage_cases *sets;
    const size_t *list;
    size_t count;
    set_answer *answers;
    answerer answerers[TOGETHER_MOST];
} workshop;

/* Sets next to each other flood much the same: so many are asked of one settler. Fewer, and two would
 * float her with the same spaces open. */
enum { TOGETHER = 128 };

static coaming_status answer_some(void *data, unsigned thread, size_t job, coaming_error *error)
{
    workshop *w = data;
    coaming_status status = COAMING_OK;
    for (size_t i = job * TOGETHER;
         i < (job + 1) * TOGETHER && i < w->count && status == COAMING_OK; i++)
        status = answer_set(&w->answerers[thread], damage_cases_set(w->sets, w->list[i]),
                            &w->answers[w->list[i]], error);
    return status;
}

coaming_status answer_sets(const answer_terms *terms, const damage_cases *sets, const size_t *list,
                           size_t count, arena *memory, set_answer *answers, coaming_error *error)
{
    unsigned threads = terms->by->count;
    workshop w = {.terms = terms, .sets = sets, .list = list, .count = count, .answers = answers};
    coaming_status status = COAMING_OK;
    for (unsigned i = 0; i < threads && status == COAMING_OK; i++)
        status = begin(&w.answerers[i], terms, terms->by->each[i], &memory[i], error);
    if (status == COAMING_OK)
        status = together_do(threads, (count + TOGETHER - 1) / TOGETHER, answer_some, &w, error);
    for (unsigned i = 0; i < threads; i++)
        arena_free(&w.answerers[i].kept);
    return status;
}
