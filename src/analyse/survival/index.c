/*
 * The index: all cases of all loadings, each set of opened spaces answered once a loading, and their
 * sums. Sums go in the order of the cases, so that they are the same bits however the answers were
 * come by.
 */
#include "analyse/survival/index.h"

#include <math.h>
#include <stdlib.h>

#include "analyse/survival/damage.h"
#include "base/error.h"
#include "coaming/likelihood.h"

coaming_survival_options coaming_survival_options_default(void)
{
    return (coaming_survival_options){COAMING_NO_CONDITION, COAMING_NO_LOADING, true, 0.001,
                                      COAMING_SURVIVAL_WORK};
}

void coaming_survival_free(coaming_survival *v)
{
    if (!v)
        return;
    for (int i = 0; i < TOGETHER_MOST; i++)
        arena_free(&v->answers[i]);
    expectation_free(v->expected);
    arena_free(&v->memory);
    parts_free(&v->parts);
    memory_free(v->cases);
    memory_free(v);
}

const coaming_survival_index *coaming_survival_get_index(const coaming_survival *v)
{
    return &v->index;
}

size_t coaming_survival_count(const coaming_survival *v)
{
    return v->count;
}

const coaming_survival_case *coaming_survival_get(const coaming_survival *v, size_t index)
{
    return &v->cases[index];
}

double coaming_survival_share(const coaming_survival *v, size_t index)
{
    const coaming_survival_case *c = &v->cases[index];
    return v->loadings[c->loading].share * (c->weight / 2);
}

size_t coaming_survival_loading_count(const coaming_survival *v)
{
    return v->loading_count;
}

const coaming_survival_loading *coaming_survival_loading_get(const coaming_survival *v,
                                                             size_t index)
{
    return &v->loadings[index];
}

size_t coaming_survival_zone_count(const coaming_survival *v)
{
    return v->zone_count;
}

const coaming_survival_zone *coaming_survival_zone_get(const coaming_survival *v, size_t index)
{
    return &v->zones[index];
}

size_t coaming_survival_closure_count(const coaming_survival *v)
{
    return v->closure_count;
}

const coaming_survival_closure *coaming_survival_closure_get(const coaming_survival *v,
                                                             size_t index)
{
    return &v->closures[index];
}

size_t coaming_survival_way_count(const coaming_survival *v)
{
    size_t count = 0;
    if (v->expected)
        expectation_ways(v->expected, &count);
    return count;
}

const coaming_survival_way *coaming_survival_way_get(const coaming_survival *v, size_t index)
{
    size_t count = 0;
    return v->expected ? &expectation_ways(v->expected, &count)[index] : NULL;
}

/* --- one loading at work --- */

/* The sets of all cases, each once. */
static size_t list_sets(survival_work *w, size_t *list)
{
    size_t count = 0;
    for (size_t i = 0; i < w->list.count; i++) {
        const damage_case *c = &w->list.cases[i];
        for (size_t e = 0; e < c->extent_count; e++) {
            if (w->answered[c->extents[e]])
                continue;
            w->answered[c->extents[e]] = true;
            list[count++] = c->extents[e];
        }
    }
    return count;
}

/* Of the list what the share does that is being worked out. */
static size_t list_share(const survival_work *w, size_t *list, size_t count)
{
    const survival_parts *p = &w->v->parts;
    size_t kept = 0;
    for (size_t i = 0; i < count; i++)
        if (!p->shares || parts_share(i, p->shares) == p->share)
            list[kept++] = list[i];
    return kept;
}

/* Each is asked, or read from the parts; of a share it is put down. */
static coaming_status answer_list(survival_work *w, size_t *list, size_t count,
                                  coaming_error *error)
{
    coaming_survival *v = w->v;
    coaming_status status = COAMING_OK;
    for (size_t i = 0; v->parts.read && i < count && status == COAMING_OK; i++)
        status = parts_take(&v->parts, v->ship, i, v->answers, &w->answers[list[i]], error);
    if (v->parts.read)
        return status;
    answer_terms terms = {v->ship, v->options.condition, &w->by};
    count = list_share(w, list, count);
    status = answer_sets(&terms, w->sets, list, count, v->answers, w->answers, error);
    for (size_t i = 0; v->parts.shares && i < count && status == COAMING_OK; i++)
        if (!parts_put(&v->parts, &w->answers[list[i]]))
            status = error_memory(error);
    return status;
}

static coaming_status answer_cases(survival_work *w, coaming_error *error)
{
    size_t count = damage_cases_set_count(w->sets);
    size_t *list = memory_new(count, sizeof *list);
    coaming_status status = COAMING_OK;
    w->answers = memory_new(count, sizeof *w->answers);
    w->answered = memory_new(count, sizeof *w->answered);
    if (list && w->answers && w->answered)
        status = answer_list(w, list, list_sets(w, list), error);
    else
        status = error_memory(error);
    memory_free(list);
    return status;
}

static void work_free(survival_work *w)
{
    settlers_free(&w->by);
    case_list_free(&w->list);
    memory_free(w->answers);
    memory_free(w->answered);
}

/* Where there is little to do one thread keeps what two would work out twice. */
enum { FEW_SETS = 64 };

unsigned index_threads(const coaming_survival *v, size_t sets)
{
    return v->threads ? v->threads : together_threads(sets / FEW_SETS);
}

/* How she lies before any damage. */
static coaming_status lie_undamaged(survival_work *w, coaming_survival_loading *loading,
                                    coaming_error *error)
{
    const coaming_survival *v = w->v;
    coaming_flotation *f = settler_flotation(w->by.each[0]);
    bool *none = memory_new(v->ship->space_count, sizeof *none);
    coaming_status status =
        none ? coaming_flotation_solve(f, none, &loading->undamaged, error) : error_memory(error);
    if (status == COAMING_OK)
        status = coaming_flotation_grade(f, none, &loading->undamaged, v->options.condition,
                                         COAMING_AS_TESTED, &loading->stability, error);
    memory_free(none);
    return status;
}

static coaming_status do_loading(survival_work *w, coaming_error *error)
{
    coaming_survival *v = w->v;
    coaming_survival_loading *loading = &v->loadings[w->loading];
    coaming_status status = damage_cases_list(w->sets, loading->draught, &w->list, error);
    if (status == COAMING_OK)
        status = settlers_make(&w->by, v->ship, v->options.condition, v->numbers[w->loading],
                               index_threads(v, damage_cases_set_count(w->sets)), error);
    if (status == COAMING_OK)
        status = lie_undamaged(w, loading, error);
    if (status == COAMING_OK)
        status = answer_cases(w, error);
    if (v->parts.shares)
        return status;
    if (status == COAMING_OK && v->expected)
        status = expectation_begin(v->expected, &w->by, w->sets, &w->list, loading->share, error);
    for (size_t i = 0; status == COAMING_OK && i < w->list.count; i++)
        status = index_add_case(w, &w->list.cases[i], error);
    return status;
}

/* --- all of it --- */

static void put_loading(coaming_survival *v, int number, double share)
{
    const ship_loading *l = number < 0 ? NULL : &v->ship->loadings[number];
    v->numbers[v->loading_count] = number;
    v->loadings[v->loading_count++] =
        (coaming_survival_loading){.id = l ? l->id : NULL,
                                   .name = l ? l->name : NULL,
                                   .share = share,
                                   .draught = l ? l->draught : v->ship->draught};
}

/* Which loading has a role; -1: none. */
static int loading_of_role(const coaming_ship *ship, coaming_index_role role)
{
    for (size_t i = 0; i < ship->loading_count; i++)
        if (ship->loadings[i].role == role)
            return (int)i;
    return -1;
}

/* The loadings of the index by regulation 7, or else all alike. */
static coaming_status list_loadings(coaming_survival *v, coaming_error *error)
{
    const coaming_index_role roles[] = {COAMING_INDEX_DEEPEST, COAMING_INDEX_PARTIAL,
                                        COAMING_INDEX_LIGHT};
    const double shares[] = {0.4, 0.4, 0.2};
    const coaming_ship *ship = v->ship;
    int found[3] = {-1, -1, -1};
    for (int i = 0; i < 3; i++)
        found[i] = loading_of_role(ship, roles[i]);
    if (found[0] < 0)
        return error_set(error, COAMING_INPUT,
                         "%s:%ld: no loading is named deepest (index=\"deepest\"), which the index "
                         "is measured from; or ask for one by its id",
                         ship->path, ship->loadings[0].line);
    bool all = v->by_role = found[1] >= 0 && found[2] >= 0;
    for (int i = 0; all && i < 3; i++)
        put_loading(v, found[i], shares[i]);
    for (size_t i = 0; !all && i < ship->loading_count; i++)
        put_loading(v, (int)i, 1 / (double)ship->loading_count);
    return COAMING_OK;
}

coaming_status index_begin_loadings(coaming_survival *v, double *deepest, coaming_error *error)
{
    size_t room = v->ship->loading_count + 3;
    int asked = v->options.loading;
    v->loadings = arena_new(&v->memory, room, sizeof *v->loadings);
    v->numbers = arena_new(&v->memory, room, sizeof *v->numbers);
    if (!v->loadings || !v->numbers)
        return error_memory(error);
    if (asked != COAMING_NO_LOADING || !v->ship->loading_count) {
        put_loading(v, asked, 1);
    } else {
        coaming_status status = list_loadings(v, error);
        if (status != COAMING_OK)
            return status;
    }
    int named = loading_of_role(v->ship, COAMING_INDEX_DEEPEST);
    *deepest = named < 0 ? v->loadings[0].draught : v->ship->loadings[named].draught;
    return COAMING_OK;
}

static coaming_status begin_zones(coaming_survival *v, const damage_cases *sets,
                                  coaming_error *error)
{
    v->zone_count = damage_cases_zone_count(sets);
    v->zones = arena_new(&v->memory, v->zone_count, sizeof *v->zones);
    if (!v->zones)
        return error_memory(error);
    for (size_t i = 0; i < v->zone_count; i++) {
        v->zones[i].from = damage_cases_place(sets, i);
        v->zones[i].to = damage_cases_place(sets, i + 1);
    }
    return COAMING_OK;
}

/* Regulation 6, 1: shares of the index required that each partial index has to reach. */
static const double EACH_PASSENGER = 0.9, EACH_CARGO = 0.5;

static void require(coaming_survival *v, const damage_cases *sets)
{
    coaming_survival_index *all = &v->index;
    double persons = v->ship->persons;
    all->length = damage_cases_length(sets);
    all->breadth = damage_cases_breadth(sets);
    all->passenger = all->at_least = ship_takes_passengers(v->ship);
    all->required = all->passenger ? damage_required_passenger(all->length, persons)
                                   : damage_required_cargo(all->length);
    all->required_each =
        v->by_role ? all->required * (all->passenger ? EACH_PASSENGER : EACH_CARGO) : NAN;
}

static int order_closures(const void *left, const void *right)
{
    const coaming_survival_closure *a = left, *b = right;
    if (a->tested_gain != b->tested_gain)
        return a->tested_gain > b->tested_gain ? -1 : 1;
    if (a->turned != b->turned)
        return a->turned > b->turned ? -1 : 1;
    if (a->index_gain.value > b->index_gain.value || a->index_gain.value < b->index_gain.value)
        return a->index_gain.value > b->index_gain.value ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}

static bool hangs_on(const coaming_survival_closure *c)
{
    bool turned = false;
    for (int turn = 0; turn < COAMING_TURNS; turn++)
        turned = turned || c->turned_alone[turn] > 0 || c->turned_together[turn] > 0;
    return turned || fabs(c->tested_gain) > NO_GAIN || fabs(c->index_gain.value) > NO_GAIN ||
           fabs(c->lost_gain.value) > NO_GAIN;
}

static void sort_closures(coaming_survival *v)
{
    size_t kept = 0;
    for (size_t i = 0; i < v->ship->closure_count; i++)
        if (hangs_on(&v->closures[i]))
            v->closures[kept++] = v->closures[i];
    v->closure_count = kept;
    qsort(v->closures, kept, sizeof *v->closures, order_closures);
}

static coaming_status begin_closures(coaming_survival *v, coaming_error *error)
{
    v->closures = arena_new(&v->memory, v->ship->closure_count, sizeof *v->closures);
    if (!v->closures)
        return error_memory(error);
    for (size_t i = 0; i < v->ship->closure_count; i++)
        v->closures[i] = (coaming_survival_closure){
            .closure = (int)i, .index_gain = UNKNOWN_LIMITS, .lost_gain = UNKNOWN_LIMITS};
    return COAMING_OK;
}

static void add_up_turned(coaming_survival_closure *c)
{
    for (int turn = 0; turn < COAMING_TURNS; turn++) {
        c->turned_alone[turn] = fmin(c->turned_alone[turn], 1);
        c->turned_together[turn] = fmin(c->turned_together[turn], 1);
    }
    c->turned = fmin(c->turned_alone[COAMING_TURN_LOST] + c->turned_together[COAMING_TURN_LOST], 1);
}

/* Sums of shares may stand above 1 by rounding. */
static coaming_survival_limits trimmed(coaming_survival_limits l)
{
    return (coaming_survival_limits){l.value > 1 ? 1 : l.value, l.low > 1 ? 1 : l.low,
                                     l.high > 1 ? 1 : l.high};
}

static void trim(coaming_survival *v)
{
    coaming_survival_index *all = &v->index;
    all->expected = trimmed(all->expected);
    all->lost_expected = trimmed(all->lost_expected);
    for (size_t i = 0; i < v->loading_count; i++)
        v->loadings[i].expected = trimmed(v->loadings[i].expected);
    for (int state = 0; state < COAMING_ANSWERS; state++) {
        all->index[state] = fmin(all->index[state], 1);
        all->lost[state] = fmin(all->lost[state], 1);
        for (size_t i = 0; i < v->loading_count; i++)
            v->loadings[i].index[state] = fmin(v->loadings[i].index[state], 1);
        for (size_t i = 0; i < v->zone_count; i++) {
            v->zones[i].lost[state] = fmin(v->zones[i].lost[state], 1);
            v->zones[i].gone[state] = fmin(v->zones[i].gone[state], 1);
        }
    }
    for (size_t i = 0; i < v->zone_count; i++)
        v->zones[i].weight = fmin(v->zones[i].weight, 1);
    for (size_t i = 0; i < v->ship->closure_count; i++)
        add_up_turned(&v->closures[i]);
    for (int turn = 0; turn < COAMING_TURNS; turn++)
        all->turned[turn] = fmin(all->turned[turn], 1);
}

/* A guess between limits that are sure varies by at most half their distance: it is never farther from
 * their middle. */
static double error_of_expected(const coaming_survival *v)
{
    const coaming_survival_limits *l = &v->index.expected;
    return fmin(expectation_error(v->expected), fmax(l->high - l->low, 0) / 2);
}

static coaming_status do_all(coaming_survival *v, coaming_error *error)
{
    double deepest = 0;
    damage_cases *sets = NULL;
    coaming_status status = index_begin_loadings(v, &deepest, error);
    if (status == COAMING_OK)
        status = damage_cases_new(v->ship, deepest, &sets, error);
    if (status == COAMING_OK)
        status = begin_zones(v, sets, error);
    if (status == COAMING_OK)
        status = begin_closures(v, error);
    if (status == COAMING_OK)
        require(v, sets);
    for (size_t i = 0; status == COAMING_OK && i < v->loading_count; i++) {
        survival_work w = {.v = v, .loading = i, .sets = sets};
        status = do_loading(&w, error);
        work_free(&w);
    }
    if (status == COAMING_OK) {
        if (v->expected)
            expectation_gains(v->expected, v->closures);
        v->index.expected_error = v->expected ? error_of_expected(v) : NAN;
        trim(v);
        sort_closures(v);
    }
    damage_cases_free(sets);
    return status;
}

coaming_status index_begin(const coaming_ship *ship, const coaming_survival_options *options,
                           coaming_survival **survival, coaming_error *error)
{
    if (!(options->within > 0 && options->within <= 1))
        return error_set(error, COAMING_USAGE, "within must be above 0 and at most 1");
    coaming_survival *v = memory_new(1, sizeof *v);
    if (!v)
        return error_memory(error);
    v->ship = ship;
    v->options = *options;
    *survival = v;
    return COAMING_OK;
}

static coaming_status finish(coaming_survival *v, coaming_status status,
                             coaming_survival **survival, coaming_error *error)
{
    if (status == COAMING_OK && v->options.expected && !v->parts.shares)
        status = expectation_new(v->ship, &v->options, &v->expected, error);
    if (status == COAMING_OK)
        status = do_all(v, error);
    if (status == COAMING_OK)
        status = parts_end(&v->parts, error);
    if (status == COAMING_OK)
        *survival = v;
    else
        coaming_survival_free(v);
    return status;
}

coaming_status survival_by(const coaming_ship *ship, const coaming_survival_options *options,
                           unsigned threads, coaming_survival **survival, coaming_error *error)
{
    coaming_survival *v = NULL;
    coaming_status status = index_begin(ship, options, &v, error);
    if (!v)
        return status;
    v->threads = threads;
    return finish(v, status, survival, error);
}

coaming_status coaming_survival_new(const coaming_ship *ship,
                                    const coaming_survival_options *options,
                                    coaming_survival **survival, coaming_error *error)
{
    return survival_by(ship, options, 0, survival, error);
}

static coaming_status take_digest(coaming_survival *v, coaming_error *error)
{
    double *leaks = memory_new(v->ship->closure_count, sizeof *leaks);
    if (!leaks)
        return error_memory(error);
    coaming_likelihood_all(v->ship, leaks);
    v->parts.digest = parts_digest(v->ship, &v->options, leaks);
    memory_free(leaks);
    return COAMING_OK;
}

coaming_status coaming_survival_new_share(const coaming_ship *ship,
                                          const coaming_survival_options *options, unsigned share,
                                          unsigned shares, coaming_survival **survival,
                                          coaming_error *error)
{
    coaming_survival *v = NULL;
    if (share == 0 || share > shares)
        return error_set(error, COAMING_USAGE, "there is no share %u of %u", share, shares);
    coaming_status status = index_begin(ship, options, &v, error);
    if (!v)
        return status;
    v->parts.share = share;
    v->parts.shares = shares;
    return finish(v, take_digest(v, error), survival, error);
}

coaming_survival_part coaming_survival_get_part(const coaming_survival *v)
{
    const survival_parts *p = &v->parts;
    return (coaming_survival_part){p->digest, p->share, p->shares, p->count, p->numbers, NULL};
}

coaming_status coaming_survival_new_from_parts(const coaming_ship *ship,
                                               const coaming_survival_options *options,
                                               const coaming_survival_part *parts, size_t count,
                                               coaming_survival **survival, coaming_error *error)
{
    coaming_survival *v = NULL;
    coaming_status status = index_begin(ship, options, &v, error);
    if (!v)
        return status;
    status = take_digest(v, error);
    if (status == COAMING_OK)
        status = parts_begin(&v->parts, parts, count, error);
    return finish(v, status, survival, error);
}
