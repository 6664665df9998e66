/* Ranking at the level of equilibrium: each scenario is settled with each closure that can matter.
 */
#include <math.h>
#include <stdlib.h>

#include "analyse/ranking/loss.h"
#include "analyse/ranking/ranking.h"
#include "base/error.h"
#include "base/order.h"
#include "base/together.h"
#include "ship/state.h"

bool rank_settles(const coaming_ranking *k, coaming_hazard hazard)
{
    return level_settles(k->query.level, hazard);
}

/* What is lost in one settled state, by the measure. */
static double loss_in(coaming_ranking *k, const settled *s)
{
    bool afloat = s->at.afloat == COAMING_AFLOAT_YES;
    if (k->measure == COAMING_MEASURE_FREEBOARD)
        return afloat ? fmin(-s->at.freeboard, k->ship->depth) : k->ship->depth;
    if (k->measure == COAMING_MEASURE_GM)
        return afloat ? -s->at.gm : 0;
    return settled_loss(k->settler, k->ship, s, k->measure);
}

/* What one closure changes for a source. */
typedef struct {
    double loss; /* passing less holding */
    bool lost;   /* she is, for it */
} change;

/* Of a source that comes under only with the closure passing. */
typedef struct {
    int scenario;
    change change;
} exception;

/* The same for all sources that flood alike, but that it matters on which side of the closure a
 * source stands if something hangs at it in the first turn. */
typedef struct {
    int closure;
    change outer, inner;
    size_t first, last; /* what hangs: places in the course, none if last is 0 */
    size_t first_exception, last_exception;
} group_change;

/* Sources that flood alike. */
typedef struct {
    int number;    /* of settler_group */
    int *scenario; /* of k->scenarios */
    int *place;    /* of their sources in the course */
    bool *under;   /* room: does it come under? */
    size_t scenario_count;
    group_change *changes;
    size_t count, room;
    exception *exceptions;
    size_t exception_count, exception_room;
} group;

static coaming_status weigh(coaming_ranking *k, coaming_place source, int closure, change *out,
                            const settled **came, coaming_error *error)
{
    const settled *held = NULL, *passing = NULL;
    *out = (change){0, false};
    coaming_status status =
        settler_pair(k->settler, source, false, closure, &held, &passing, error);
    *came = passing;
    if (status != COAMING_OK || passing == held)
        return status;
    out->loss = loss_in(k, passing) - loss_in(k, held);
    out->lost = held->at.afloat == COAMING_AFLOAT_YES && passing->at.afloat != COAMING_AFLOAT_YES;
    return COAMING_OK;
}

static bool within(const group_change *c, int place)
{
    return place >= (int)c->first && place < (int)c->last;
}

static bool any_within(const group *g, const group_change *c)
{
    for (size_t i = 0; i < g->scenario_count; i++)
        if (within(c, g->place[i]))
            return true;
    return false;
}

/* Sources of group 0 that are dry, each where it comes under in this change. */
static coaming_status add_exceptions(coaming_ranking *k, group *g, group_change *c,
                                     const settled *passing, coaming_error *error)
{
    c->first_exception = g->exception_count;
    for (size_t i = 0; i < g->scenario_count; i++)
        g->under[i] = g->place[i] < 0 && k->scenarios[g->scenario[i]].source >= 0 &&
                      settler_came_under(k->settler, passing, k->scenarios[g->scenario[i]].source);
    for (size_t i = 0; i < g->scenario_count; i++) {
        if (!g->under[i])
            continue;
        if (!MEMORY_ROOM(g->exceptions, g->exception_count, g->exception_room))
            return error_memory(error);
        exception *x = &g->exceptions[g->exception_count++];
        x->scenario = g->scenario[i];
        coaming_status status =
            weigh(k, k->scenarios[x->scenario].source, c->closure, &x->change, &passing, error);
        if (status != COAMING_OK)
            return status;
    }
    c->last_exception = g->exception_count;
    return COAMING_OK;
}

/* What stands on the other side of what hangs at the closure in the first turn. */
static coaming_status add_inner(coaming_ranking *k, const course *way, const group *g,
                                group_change *c, coaming_error *error)
{
    course_hanging h;
    const settled *passing = NULL;
    if (!course_hangs(way, k->ship, c->closure, &h) || h.turn > 0)
        return COAMING_OK;
    c->first = h.first;
    c->last = h.last;
    if (!any_within(g, c))
        return COAMING_OK;
    return weigh(k, way->order[h.first], c->closure, &c->inner, &passing, error);
}

static bool matters(const change *c)
{
    return c->loss != 0 || c->lost;
}

static coaming_status add_change(coaming_ranking *k, const course *way, int closure, group *g,
                                 coaming_error *error)
{
    const settled *passing = NULL;
    if (!MEMORY_ROOM(g->changes, g->count, g->room))
        return error_memory(error);
    group_change *c = &g->changes[g->count];
    *c = (group_change){.closure = closure};
    coaming_place source = g->number ? g->number - 1 : COAMING_SEA;
    coaming_status status = weigh(k, source, closure, &c->outer, &passing, error);
    if (status == COAMING_OK && !g->number)
        status = add_exceptions(k, g, c, passing, error);
    if (status == COAMING_OK)
        status = add_inner(k, way, g, c, error);
    g->count += matters(&c->outer) || matters(&c->inner) || c->first_exception < c->last_exception;
    return status;
}

/* Only closures with an end where there is water, or outside, can matter. */
static coaming_status find_changes(coaming_ranking *k, const course *way, group *g,
                                   coaming_error *error)
{
    const coaming_ship *ship = k->ship;
    coaming_status status = COAMING_OK;
    for (size_t l = 0; l < ship->closure_count && status == COAMING_OK; l++)
        if (ship->links[l].a < 0 || ship->links[l].b < 0)
            status = add_change(k, way, (int)l, g, error);
    for (size_t i = 0; i < way->end.count && status == COAMING_OK; i++) {
        int s = way->end.spaces[i];
        for (int j = ship->first[s]; j < ship->first[s + 1] && status == COAMING_OK; j++) {
            int l = ship->incident[j];
            coaming_place beyond = link_other_side(&ship->links[l], s);
            /* between two of them it is looked at from the first */
            if (l < (int)ship->closure_count && beyond >= 0 &&
                !(beyond < s && course_place(way, beyond) >= 0))
                status = add_change(k, way, l, g, error);
        }
    }
    return status;
}

static coaming_status settle_group(coaming_ranking *k, group *g, coaming_error *error)
{
    const course *way = NULL;
    coaming_status status =
        settler_alike(k->settler, g->number ? g->number - 1 : COAMING_SEA, false, &way, error);
    if (status != COAMING_OK)
        return status;
    for (size_t i = 0; i < g->scenario_count; i++) {
        coaming_place source = k->scenarios[g->scenario[i]].source;
        g->place[i] = source < 0 ? -1 : course_place(way, source);
    }
    return find_changes(k, way, g, error);
}

/* The water scenarios, those that flood alike together, in the order of the first of them. */
typedef struct {
    group *groups;
    size_t count;
    int *group_of; /* by scenario, -1: not of water */
    int *index;    /* by number of group, while they are made: which, + 1 */
    arena memory;
} all_groups;

static bool make_groups(coaming_ranking *k, all_groups *all)
{
    size_t n = k->scenario_count;
    all->groups = arena_new(&all->memory, n, sizeof *all->groups);
    all->group_of = arena_new(&all->memory, n, sizeof *all->group_of);
    all->index = arena_new(&all->memory, k->ship->space_count + 1, sizeof *all->index);
    return all->groups && all->group_of && all->index;
}

static coaming_status put_in_group(coaming_ranking *k, all_groups *all, size_t index,
                                   coaming_error *error)
{
    int number;
    all->group_of[index] = -1;
    if (k->scenarios[index].hazard != COAMING_WATER)
        return COAMING_OK;
    coaming_status status =
        settler_group(k->settler, k->scenarios[index].source, false, &number, error);
    if (status != COAMING_OK)
        return status;
    if (!all->index[number]) {
        all->groups[all->count].number = number;
        all->index[number] = (int)++all->count;
    }
    all->group_of[index] = all->index[number] - 1;
    all->groups[all->index[number] - 1].scenario_count++;
    return COAMING_OK;
}

static bool list_scenarios(coaming_ranking *k, all_groups *all)
{
    for (size_t i = 0; i < all->count; i++) {
        group *g = &all->groups[i];
        g->scenario = arena_new(&all->memory, g->scenario_count, sizeof *g->scenario);
        g->place = arena_new(&all->memory, g->scenario_count, sizeof *g->place);
        g->under = arena_new(&all->memory, g->scenario_count, sizeof *g->under);
        if (!g->scenario || !g->place || !g->under)
            return false;
        g->scenario_count = 0;
    }
    for (size_t i = 0; i < k->scenario_count; i++)
        if (all->group_of[i] >= 0) {
            group *g = &all->groups[all->group_of[i]];
            g->scenario[g->scenario_count++] = (int)i;
        }
    return true;
}

static const change *change_for(const group *g, const group_change *c, int scenario_number,
                                int place)
{
    for (size_t i = c->first_exception; i < c->last_exception; i++)
        if (g->exceptions[i].scenario == scenario_number)
            return &g->exceptions[i].change;
    return within(c, place) ? &c->inner : &c->outer;
}

/* Scenario by scenario in file order, whatever the order in which groups were settled. */
static void add_scenario(coaming_ranking *k, int number, const group *g, int place)
{
    const scenario *s = &k->scenarios[number];
    for (size_t i = 0; i < g->count; i++) {
        const group_change *c = &g->changes[i];
        const change *of = change_for(g, c, number, place);
        coaming_rank *row = &k->rows[c->closure];
        rank_count_in(row, k->scenarios, number, s->weight, of->loss);
        row->lost = row->lost || (of->lost && s->weight > 0);
    }
}

static void add_all(coaming_ranking *k, const all_groups *all)
{
    for (size_t i = 0; i < all->count; i++)
        all->groups[i].scenario_count = 0;
    for (size_t i = 0; i < k->scenario_count; i++)
        if (all->group_of[i] >= 0) {
            group *g = &all->groups[all->group_of[i]];
            add_scenario(k, (int)i, g, g->place[g->scenario_count++]);
        }
}

enum { FEW_GROUPS = 32 }; /* not worth a thread */

/* What the threads share; each has a copy of the ranking, with a settler of its own. */
typedef struct {
    all_groups *all;
    coaming_ranking copies[TOGETHER_MOST];
} shared_work;

static coaming_status settle_one(void *data, unsigned thread, size_t job, coaming_error *error)
{
    shared_work *work = data;
    return settle_group(&work->copies[thread], &work->all->groups[job], error);
}

static coaming_status settle_together(coaming_ranking *k, all_groups *all, unsigned threads,
                                      coaming_error *error)
{
    shared_work work = {.all = all};
    coaming_status status = COAMING_OK;
    for (unsigned i = 0; i < threads; i++) {
        work.copies[i] = *k;
        if (i == 0)
            continue;
        work.copies[i].settler = NULL;
        if (status == COAMING_OK)
            status = settler_new(k->ship, k->query.condition, k->query.loading,
                                 &work.copies[i].settler, error);
    }
    for (unsigned i = 0; i < threads && status == COAMING_OK; i++)
        settler_keep(work.copies[i].settler, FLOTATION_KEPT / threads);
    if (status == COAMING_OK)
        status = together_do(threads, all->count, settle_one, &work, error);
    for (unsigned i = 1; i < threads; i++)
        settler_free(work.copies[i].settler);
    return status;
}

static coaming_status settle_groups(coaming_ranking *k, all_groups *all, coaming_error *error)
{
    if (!make_groups(k, all))
        return error_memory(error);
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < k->scenario_count && status == COAMING_OK; i++)
        status = put_in_group(k, all, i, error);
    if (status == COAMING_OK && !list_scenarios(k, all))
        status = error_memory(error);
    if (status != COAMING_OK)
        return status;
    unsigned threads = k->threads ? k->threads : together_threads(all->count / FEW_GROUPS);
    return settle_together(k, all, threads, error);
}

static void free_group(group *g)
{
    memory_free(g->changes);
    memory_free(g->exceptions);
}

coaming_status settle_all(coaming_ranking *k, coaming_error *error)
{
    all_groups all = {0};
    coaming_status status =
        settler_new(k->ship, k->query.condition, k->query.loading, &k->settler, error);
    if (status == COAMING_OK)
        status = settle_groups(k, &all, error);
    if (status == COAMING_OK)
        add_all(k, &all);
    for (size_t i = 0; all.groups && i < all.count; i++)
        free_group(&all.groups[i]);
    arena_free(&all.memory);
    return status;
}

coaming_status settle_exposes(coaming_ranking *k, const coaming_rank *row, size_t *count,
                              coaming_error *error)
{
    const settled *held = NULL, *passing = NULL;
    coaming_status status =
        settler_pair(k->settler, row->worst_source, false, row->closure, &held, &passing, error);
    *count = 0;
    if (status != COAMING_OK)
        return status;
    for (size_t i = held->count; i < passing->count; i++)
        k->spaces[(*count)++] = passing->spaces[i];
    qsort(k->spaces, *count, sizeof *k->spaces, order_ints);
    return COAMING_OK;
}
