#include "analyse/flotation/breaches.h"

#include <math.h>
#include <stdlib.h>

#include "analyse/flotation/settlers.h"
#include "base/error.h"
#include "base/order.h"
#include "base/together.h"
#include "ship/state.h"

struct coaming_breaches {
    arena memory[TOGETHER_MOST]; /* by thread */
    coaming_breaches_case *cases;
    size_t count, capacity;
};

void coaming_breaches_free(coaming_breaches *v)
{
    if (!v)
        return;
    for (int i = 0; i < TOGETHER_MOST; i++)
        arena_free(&v->memory[i]);
    memory_free(v->cases);
    memory_free(v);
}

size_t coaming_breaches_count(const coaming_breaches *v)
{
    return v->count;
}

const coaming_breaches_case *coaming_breaches_get(const coaming_breaches *v, size_t index)
{
    return &v->cases[index];
}

size_t coaming_breaches_grade_count(const coaming_breaches *v, coaming_answer answer,
                                    coaming_grade grade)
{
    size_t count = 0;
    for (size_t i = 0; i < v->count; i++)
        count += v->cases[i].answer[answer].stability.grade == grade;
    return count;
}

double coaming_breaches_share(const coaming_breaches *v, coaming_answer answer)
{
    size_t survived = 0;
    for (int grade = 0; grade < COAMING_GRADE_NOT_SURVIVING; grade++)
        survived += coaming_breaches_grade_count(v, answer, (coaming_grade)grade);
    return v->count ? (double)survived / (double)v->count : NAN;
}

/* Do the two meet at a transverse boundary, with height and breadth in common? 0.15 m of bulkhead
 * and lining may stand between: common practice, no source. */
static bool meet(const solid_part *a, const solid_part *b)
{
    const double apart = 0.15;
    bool end_to_end = fabs(a->x1 - b->x0) <= apart || fabs(b->x1 - a->x0) <= apart;
    return end_to_end && fmin(a->z1, b->z1) > fmax(a->z0, b->z0) &&
           fmin(a->y1, b->y1) > fmax(a->y0, b->y0);
}

static bool neighbours(const ship_space *a, const ship_space *b)
{
    for (size_t i = 0; i < a->solid_count; i++)
        for (size_t j = 0; j < b->solid_count; j++)
            if (meet(&a->parts[i], &b->parts[j]))
                return true;
    return false;
}

static bool add_case(coaming_breaches *v, int one, int two)
{
    if (!MEMORY_ROOM(v->cases, v->count, v->capacity))
        return false;
    v->cases[v->count] = (coaming_breaches_case){.space = {one, two}};
    v->count++;
    return true;
}

static bool list_cases(coaming_breaches *v, const coaming_ship *ship)
{
    for (size_t a = 0; a < ship->space_count; a++)
        if (ship->spaces[a].shell && !add_case(v, (int)a, -1))
            return false;
    for (size_t a = 0; a < ship->space_count; a++)
        for (size_t b = a + 1; ship->spaces[a].shell && b < ship->space_count; b++)
            if (ship->spaces[b].shell && neighbours(&ship->spaces[a], &ship->spaces[b]) &&
                !add_case(v, (int)a, (int)b))
                return false;
    return true;
}

/* One case in one answer, while it is worked out. */
typedef struct {
    arena *memory;
    settler *settler;
    const coaming_ship *ship;
    coaming_breaches_case *of;
    int condition;
    coaming_answer which;
    bool arms;
    const bool *open_by_design; /* by space */
} work;

static size_t spaces_of(const coaming_breaches_case *c)
{
    return c->space[1] < 0 ? 1 : 2;
}

static coaming_status keep_flooded(const work *w, const settled *s, coaming_error *error)
{
    coaming_breaches_answer *a = &w->of->answer[w->which];
    coaming_inflow *list = arena_new(w->memory, s->afloat_count, sizeof *list);
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < s->afloat_count; i++)
        list[i] = (coaming_inflow){s->spaces[i], s->by[i],
                                   s->by[i] >= 0 && w->open_by_design[s->spaces[i]]};
    a->flooded = list;
    a->flooded_count = s->afloat_count;
    return COAMING_OK;
}

/* Does the closure hold as built, and pass now? */
static bool weakened(const work *w, int link)
{
    const ship_link *l = link < 0 ? NULL : &w->ship->links[link];
    return l && !link_passes(l, w->condition, COAMING_WATER, false, false) &&
           link_passes(l, w->condition, COAMING_WATER, true, w->which == COAMING_UNTESTED_LEAK);
}

/* Of the closures that water came by those without which she would not be lost, moved to the
 * front. */
static coaming_status keep_critical(const work *w, int *list, size_t *count, coaming_error *error)
{
    size_t critical = 0;
    for (size_t i = 0; i < *count; i++) {
        bool saves = false;
        coaming_status status = settler_saves(w->settler, w->of->space, spaces_of(w->of), w->which,
                                              list[i], &saves, error);
        if (status != COAMING_OK)
            return status;
        if (saves) {
            int closure = list[i];
            list[i] = list[critical];
            list[critical++] = closure;
        }
    }
    if (critical)
        *count = critical;
    return COAMING_OK;
}

static coaming_status find_turning(const work *w, coaming_error *error)
{
    coaming_breaches_answer *a = &w->of->answer[w->which];
    if (a->stability.grade != COAMING_GRADE_LOST ||
        w->of->answer[COAMING_AS_BUILT].stability.grade == COAMING_GRADE_LOST)
        return COAMING_OK;
    int *list = arena_new(w->memory, a->flooded_count, sizeof *list);
    size_t count = 0;
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < a->flooded_count; i++)
        if (weakened(w, a->flooded[i].link))
            list[count++] = a->flooded[i].link;
    coaming_status status = keep_critical(w, list, &count, error);
    if (status != COAMING_OK)
        return status;
    qsort(list, count, sizeof *list, order_ints);
    a->turned_by = list;
    a->turned_by_count = count;
    return COAMING_OK;
}

static coaming_status answer_case(const work *w, coaming_error *error)
{
    const settled *s = NULL;
    coaming_breaches_answer *a = &w->of->answer[w->which];
    coaming_status status =
        settler_breach(w->settler, w->of->space, spaces_of(w->of), w->which, -1, &s, error);
    if (status != COAMING_OK)
        return status;
    coaming_flotation *f = settler_flotation(w->settler);
    const bool *flooded = settler_flooded(w->settler);
    a->at = s->at;
    grade_terms terms = {w->condition, w->which, w->arms ? ARMS_ALL : ARMS_ENOUGH, NULL, NULL};
    status = flotation_grade(f, flooded, &a->at, &terms, &a->stability, error);
    a->range = w->arms ? a->stability.righting.range : NAN;
    a->greatest = w->arms ? a->stability.righting.greatest : NAN;
    a->s = w->arms ? a->stability.s : NAN;
    if (status == COAMING_OK)
        status = keep_flooded(w, s, error);
    return status == COAMING_OK ? find_turning(w, error) : status;
}

/* Cases next to each other flood much the same: they are asked of one settler. */
enum { TOGETHER = 16 };

/* What the threads share, and a settler for each. */
typedef struct {
    coaming_breaches *all;
    const coaming_ship *ship;
    coaming_query query;
    bool arms;
    const bool *open_by_design;
    settlers by;
} shared_work;

static coaming_status answer_some(void *data, unsigned thread, size_t job, coaming_error *error)
{
    const shared_work *all = data;
    coaming_breaches *v = all->all;
    coaming_status status = COAMING_OK;
    for (size_t i = job * TOGETHER; i < (job + 1) * TOGETHER && i < v->count; i++)
        for (int which = 0; which < COAMING_ANSWERS && status == COAMING_OK; which++)
            status = answer_case(&(work){&v->memory[thread], all->by.each[thread], all->ship,
                                         &v->cases[i], all->query.condition, (coaming_answer)which,
                                         all->arms, all->open_by_design},
                                 error);
    return status;
}

static coaming_status answer_all(shared_work *all, unsigned threads, coaming_error *error)
{
    coaming_breaches *v = all->all;
    coaming_status status = settlers_make(&all->by, all->ship, all->query.condition,
                                          all->query.loading, threads, error);
    if (status == COAMING_OK)
        status =
            together_do(threads, (v->count + TOGETHER - 1) / TOGETHER, answer_some, all, error);
    settlers_free(&all->by);
    return status;
}

coaming_status breaches_by(const coaming_ship *ship, coaming_query query, bool arms,
                           unsigned threads, coaming_breaches **breaches, coaming_error *error)
{
    coaming_breaches *v = memory_new(1, sizeof *v);
    if (!v)
        return error_memory(error);
    bool *open = arena_new(&v->memory[0], ship->space_count, sizeof *open);
    coaming_status status = COAMING_OK;
    if (!open || !list_cases(v, ship)) {
        status = error_memory(error);
    } else {
        mark_open_by_design(ship, query.loading, open);
        shared_work all = {
            .all = v, .ship = ship, .query = query, .arms = arms, .open_by_design = open};
        threads = threads ? threads : together_threads(v->count / (2 * TOGETHER));
        status = answer_all(&all, threads, error);
    }
    if (status != COAMING_OK)
        coaming_breaches_free(v);
    else
        *breaches = v;
    return status;
}

coaming_status coaming_breaches_new(const coaming_ship *ship, coaming_query query,
                                    coaming_breaches **breaches, coaming_error *error)
{
    return breaches_by(ship, query, true, 0, breaches, error);
}

coaming_status coaming_breaches_afloat_new(const coaming_ship *ship, coaming_query query,
                                           coaming_breaches **breaches, coaming_error *error)
{
    return breaches_by(ship, query, false, 0, breaches, error);
}
