/*
 * What one case comes to in each state, which closures turn it, and what it adds to the sums. A case
 * that may spare what lies low counts in each state with the extent that is worst there.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/index.h"
#include "base/error.h"
#include "base/order.h"

bool coaming_survival_turned(const coaming_survival_case *c, coaming_survival_turn turn)
{
    if (turn == COAMING_TURN_LOST)
        return c->grade[COAMING_AS_TESTED] == COAMING_GRADE_LOST &&
               c->grade[COAMING_AS_BUILT] != COAMING_GRADE_LOST;
    return c->s[COAMING_AS_BUILT] > 0 && !(c->s[COAMING_AS_TESTED] > 0);
}

static const set_answer *answer_of(const survival_work *w, const damage_case *c, size_t extent)
{
    return &w->answers[c->extents[extent]];
}

/* The extent that is worst in a state: the first of those of least s, and of these of the worst
 * grade. */
static size_t worst_extent(const survival_work *w, const damage_case *c, int state)
{
    size_t worst = 0;
    for (size_t e = 1; e < c->extent_count; e++) {
        const set_answer *a = answer_of(w, c, e), *b = answer_of(w, c, worst);
        if (a->s[state] < b->s[state] ||
            (!(a->s[state] > b->s[state]) && a->grade[state] > b->grade[state]))
            worst = e;
    }
    return worst;
}

/* As last tested, but that the closure holds; of all extents the least s and the worst grade. */
static held_answer case_if_held(const survival_work *w, const damage_case *c, int closure)
{
    held_answer worst = {closure, INFINITY, COAMING_GRADE_WITHIN};
    for (size_t e = 0; e < c->extent_count; e++) {
        const set_answer *a = answer_of(w, c, e);
        held_answer here = {closure, a->s[COAMING_AS_TESTED], a->grade[COAMING_AS_TESTED]};
        for (size_t i = 0; i < a->held_count; i++)
            if (a->held[i].closure == closure)
                here = a->held[i];
        worst.s = fmin(worst.s, here.s);
        worst.grade = here.grade > worst.grade ? here.grade : worst.grade;
    }
    return worst;
}

static bool listed(const int *list, size_t count, int closure)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == closure)
            return true;
    return false;
}

/* The closures that any extent asked about, in file order. */
static size_t list_asked(const survival_work *w, const damage_case *c, held_answer *list, int *seen)
{
    size_t count = 0;
    for (size_t e = 0; e < c->extent_count; e++) {
        const set_answer *a = answer_of(w, c, e);
        for (size_t i = 0; i < a->held_count; i++)
            if (!listed(seen, count, a->held[i].closure))
                seen[count++] = a->held[i].closure;
    }
    qsort(seen, count, sizeof *seen, order_ints);
    for (size_t i = 0; i < count; i++)
        list[i] = case_if_held(w, c, seen[i]);
    return count;
}

/* The closures needed by any extent that is worse than the case is as built, in file order. */
static size_t list_needed(const survival_work *w, const damage_case *c,
                          const coaming_survival_case *out, int *needed)
{
    size_t count = 0;
    for (size_t e = 0; e < c->extent_count; e++) {
        const set_answer *a = answer_of(w, c, e);
        double s[] = {out->s[COAMING_AS_BUILT], a->s[COAMING_AS_TESTED], 0};
        coaming_grade grade[] = {out->grade[COAMING_AS_BUILT], a->grade[COAMING_AS_TESTED],
                                 COAMING_GRADE_WITHIN};
        for (size_t i = 0; answer_worse(s, grade) && i < a->needed_count; i++)
            if (!listed(needed, count, a->needed[i]))
                needed[count++] = a->needed[i];
    }
    qsort(needed, count, sizeof *needed, order_ints);
    return count;
}

/* Closures that a case is asked about. */
typedef struct {
    held_answer *asked;
    size_t asked_count;
    int *needed; /* together */
    size_t needed_count;
} suspects;

/* Does the case still turn so, with the closure holding? */
static bool turns_if_held(coaming_survival_turn turn, const held_answer *held)
{
    return turn == COAMING_TURN_LOST ? held->grade == COAMING_GRADE_LOST : !(held->s > 0);
}

static bool helps(const coaming_survival_case *c, const held_answer *held)
{
    return held->s - c->s[COAMING_AS_TESTED] > NO_GAIN ||
           (coaming_survival_turned(c, COAMING_TURN_LOST) &&
            !turns_if_held(COAMING_TURN_LOST, held));
}

static coaming_status keep_turning(const survival_work *w, const suspects *of,
                                   coaming_survival_case *out, coaming_error *error)
{
    size_t kept = 0;
    int *turning = arena_new(&w->v->memory, of->asked_count + of->needed_count, sizeof *turning);
    if (!turning)
        return error_memory(error);
    for (size_t i = 0; i < of->asked_count; i++)
        if (helps(out, &of->asked[i]))
            turning[kept++] = of->asked[i].closure;
    out->turned_together = !kept;
    for (size_t i = 0; out->turned_together && i < of->needed_count; i++)
        turning[kept++] = of->needed[i];
    out->turned_by = turning;
    out->turned_by_count = kept;
    return COAMING_OK;
}

static void count_turn(const survival_work *w, const suspects *of, const coaming_survival_case *c,
                       coaming_survival_turn turn, double share)
{
    coaming_survival_closure *closures = w->v->closures;
    bool alone = false;
    if (!coaming_survival_turned(c, turn))
        return;
    for (size_t i = 0; i < of->asked_count; i++) {
        if (turns_if_held(turn, &of->asked[i]))
            continue;
        closures[of->asked[i].closure].turned_alone[turn] += share;
        alone = true;
    }
    for (size_t i = 0; !alone && i < of->needed_count; i++)
        closures[of->needed[i]].turned_together[turn] += share;
}

static void count_closures(const survival_work *w, const suspects *of,
                           const coaming_survival_case *c, double share)
{
    for (size_t i = 0; i < of->asked_count; i++)
        w->v->closures[of->asked[i].closure].tested_gain +=
            share * (of->asked[i].s - c->s[COAMING_AS_TESTED]);
    for (int turn = 0; turn < COAMING_TURNS; turn++)
        count_turn(w, of, c, (coaming_survival_turn)turn, share);
}

static coaming_status find_turning(const survival_work *w, const damage_case *c,
                                   coaming_survival_case *out, double share, coaming_error *error)
{
    size_t asked = 0, needed = 0;
    for (size_t e = 0; e < c->extent_count; e++) {
        asked += answer_of(w, c, e)->held_count;
        needed += answer_of(w, c, e)->needed_count;
    }
    suspects of = {.asked = memory_new(asked, sizeof *of.asked),
                   .needed = memory_new(asked + needed, sizeof *of.needed)};
    coaming_status status = COAMING_OK;
    if (of.asked && of.needed) {
        of.asked_count = list_asked(w, c, of.asked, of.needed);
        of.needed_count = list_needed(w, c, out, of.needed);
        if (answer_worse(out->s, out->grade))
            status = keep_turning(w, &of, out, error);
        if (status == COAMING_OK)
            count_closures(w, &of, out, share);
    } else {
        status = error_memory(error);
    }
    memory_free(of.asked);
    memory_free(of.needed);
    return status;
}

/* Of what is opened, what an extent leaves whole. */
static coaming_status keep_spared(const survival_work *w, const damage_case *c, size_t extent,
                                  coaming_survival_case *out, coaming_error *error)
{
    space_set all = damage_cases_set(w->sets, c->extents[0]);
    space_set of = damage_cases_set(w->sets, c->extents[extent]);
    int *spared = arena_new(&w->v->memory, all.count - of.count, sizeof *spared);
    if (!spared)
        return error_memory(error);
    for (size_t i = 0, k = 0; i < all.count; i++) {
        if (k < of.count && of.spaces[k] == all.spaces[i])
            k++;
        else
            spared[out->spared_count++] = all.spaces[i];
    }
    out->spared = spared;
    return COAMING_OK;
}

static coaming_status keep_opened(const survival_work *w, const damage_case *c,
                                  coaming_survival_case *out, coaming_error *error)
{
    space_set set = damage_cases_set(w->sets, c->extents[0]);
    int *opened = arena_new(&w->v->memory, set.count, sizeof *opened);
    if (!opened)
        return error_memory(error);
    memcpy(opened, set.spaces, set.count * sizeof *opened);
    out->opened = opened;
    out->opened_count = set.count;
    return COAMING_OK;
}

static void count_zones(const survival_work *w, const damage_case *c,
                        const coaming_survival_case *out, double share)
{
    for (size_t b = c->first_box; b < c->first_box + c->box_count; b++) {
        const damage_box *box = &w->list.boxes[b];
        double part = share * (box->weight / c->weight);
        for (size_t z = box->first; z <= box->last; z++) {
            coaming_survival_zone *zone = &w->v->zones[z];
            zone->weight += part;
            for (int state = 0; state < COAMING_ANSWERS; state++) {
                zone->gone[state] += part * (1 - out->s[state]);
                zone->lost[state] += out->grade[state] == COAMING_GRADE_LOST ? part : 0;
            }
        }
    }
}

static void count_case(const survival_work *w, const coaming_survival_case *c, double share)
{
    coaming_survival_index *all = &w->v->index;
    coaming_survival_loading *loading = &w->v->loadings[w->loading];
    for (int state = 0; state < COAMING_ANSWERS; state++) {
        all->index[state] += share * c->s[state];
        all->lost[state] += c->grade[state] == COAMING_GRADE_LOST ? share : 0;
        loading->index[state] += c->weight / 2 * c->s[state];
    }
    for (int turn = 0; turn < COAMING_TURNS; turn++) {
        bool turned = coaming_survival_turned(c, (coaming_survival_turn)turn);
        all->turned[turn] += turned ? share : 0;
        all->turned_cases[turn] += turned;
    }
}

static void expect_case(const survival_work *w, const damage_case *c, coaming_survival_case *out,
                        double share)
{
    coaming_survival_index *all = &w->v->index;
    coaming_survival_loading *loading = &w->v->loadings[w->loading];
    expected_case as = {.s = UNKNOWN_LIMITS, .lost = UNKNOWN_LIMITS};
    if (w->v->expected)
        expectation_add(w->v->expected, c, w->v->count, share, &as);
    out->expected = as.known ? as.s : UNKNOWN_LIMITS;
    out->lost = as.known ? as.lost : UNKNOWN_LIMITS;
    limits_add(&all->expected, share, as.s);
    limits_add(&all->lost_expected, share, as.lost);
    limits_add(&loading->expected, c->weight / 2, as.s);
}

coaming_status index_add_case(const survival_work *w, const damage_case *c, coaming_error *error)
{
    coaming_survival *v = w->v;
    double share = v->loadings[w->loading].share * (c->weight / 2);
    coaming_survival_case out = {.starboard = c->starboard,
                                 .first_zone = (int)c->first + 1,
                                 .last_zone = (int)c->last + 1,
                                 .penetration = c->penetration,
                                 .height = c->height,
                                 .weight = c->weight,
                                 .loading = (int)w->loading};
    for (int state = 0; state < COAMING_ANSWERS; state++) {
        const set_answer *a = answer_of(w, c, worst_extent(w, c, state));
        out.s[state] = a->s[state];
        out.grade[state] = a->grade[state];
    }
    size_t worst = worst_extent(w, c, COAMING_AS_TESTED);
    out.flooded = answer_of(w, c, worst)->flooded;
    out.flooded_count = answer_of(w, c, worst)->flooded_count;
    coaming_status status = keep_opened(w, c, &out, error);
    if (status == COAMING_OK)
        status = keep_spared(w, c, worst, &out, error);
    if (status == COAMING_OK)
        status = find_turning(w, c, &out, share, error);
    if (status != COAMING_OK)
        return status;
    expect_case(w, c, &out, share);
    count_zones(w, c, &out, share);
    count_case(w, &out, share);
    if (!MEMORY_ROOM(v->cases, v->count, v->capacity))
        return error_memory(error);
    v->cases[v->count++] = out;
    return COAMING_OK;
}
