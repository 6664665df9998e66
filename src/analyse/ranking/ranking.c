#include "analyse/ranking/ranking.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>

#include "analyse/ranking/field.h"
#include "analyse/ranking/loss.h"
#include "analyse/ranking/scenarios.h"
#include "base/error.h"
#include "base/order.h"
#include "ship/state.h"

const char *coaming_measure_word(coaming_measure measure)
{
    static const char *const words[] = {
#define WORD(code, word, unit) word,
        COAMING_MEASURE_TABLE(WORD)
#undef WORD
    };
    return words[measure];
}

const char *coaming_measure_unit(coaming_measure measure)
{
    static const char *const units[] = {
#define UNIT(code, word, unit) unit,
        COAMING_MEASURE_TABLE(UNIT)
#undef UNIT
    };
    return units[measure];
}

void coaming_ranking_free(coaming_ranking *k)
{
    if (!k)
        return;
    reach_cache_clear(&k->cache);
    settler_free(k->settler);
    memory_free(k->scenarios);
    memory_free(k->rows);
    memory_free(k->spaces);
    memory_free(k->bits);
    memory_free(k);
}

static reach_setting setting_for(const coaming_ranking *k, const scenario *s)
{
    return (reach_setting){s->hazard, level_for(k->ship, k->query, s->hazard, s->source),
                           k->query.condition, false,
                           s->hazard == COAMING_WATER || s->source == COAMING_WEATHER};
}

/* A scenario with its setting; those of one setting share a traversal, a pass. */
typedef struct {
    reach_setting setting;
    int scenario;
} planned;

static int compare_settings(reach_setting a, reach_setting b)
{
    if (a.hazard != b.hazard)
        return a.hazard < b.hazard ? -1 : 1;
    if (a.outside != b.outside)
        return a.outside < b.outside ? -1 : 1;
    if (a.hazard == COAMING_AIR || a.level == b.level)
        return 0;
    return a.level < b.level ? -1 : 1;
}

static int by_setting(const void *left, const void *right)
{
    const planned *a = left, *b = right;
    int order = compare_settings(a->setting, b->setting);
    return order ? order : (a->scenario > b->scenario) - (a->scenario < b->scenario);
}

/* Puts loss and the scenarios of a pass onto the order. A source above the water leaves the outside
 * alone as the source. */
static coaming_status make_field(const coaming_ranking *k, const reach *r, const planned *pass,
                                 size_t count, field *f, coaming_error *error)
{
    size_t n = reach_vertices(r);
    double *loss = memory_new(n, sizeof *loss), *weight = memory_new(n, sizeof *weight);
    int *heaviest = memory_new(n, sizeof *heaviest);
    bool made = loss && weight && heaviest;
    for (size_t p = 0; made && p < n; p++) {
        coaming_place place = reach_place_at(r, (int)p);
        heaviest[p] = -1;
        if (place >= 0)
            loss[p] = space_loss(&k->ship->spaces[place], k->measure, pass->setting.hazard,
                                 pass->setting.level);
    }
    for (size_t i = 0; made && i < count; i++) {
        const scenario *s = &k->scenarios[pass[i].scenario];
        int vertex = reach_vertex(r, s->source);
        int p = reach_position(r, vertex >= 0 ? vertex : reach_outside(r));
        weight[p] += s->weight;
        if (heaviest[p] < 0 || s->weight > k->scenarios[heaviest[p]].weight)
            heaviest[p] = pass[i].scenario;
    }
    made = made && field_make(f, n, loss, weight, heaviest, k->scenarios);
    memory_free(loss);
    memory_free(weight);
    memory_free(heaviest);
    return made ? COAMING_OK : error_memory(error);
}

static bool holds_outside(const reach *r, reach_set set)
{
    int p = reach_position(r, reach_outside(r));
    return reach_in(set.run[0], p) || reach_in(set.run[1], p);
}

/* Adds what the scenarios of one pass lose by one closure. */
static void add_closure(coaming_ranking *k, const reach *r, bool water, const field *f, int closure)
{
    coaming_rank *row = &k->rows[closure];
    reach_sides sides = reach_sides_of(r, closure);
    if (sides.change == REACH_NOTHING)
        return;
    bool near_wet = water && holds_outside(r, sides.near);
    bool far_wet = water && holds_outside(r, sides.far);
    if (near_wet || far_wet) {
        /* The outside is always a source: every scenario but those behind the closure loses. */
        reach_set behind = near_wet ? sides.far : sides.near;
        rank_count_in(row, k->scenarios, field_heaviest_outside(f, behind),
                      field_weight_outside(f, behind), field_loss(f, behind));
        return;
    }
    rank_count_in(row, k->scenarios, field_heaviest(f, sides.near), field_weight(f, sides.near),
                  field_loss(f, sides.far));
    rank_count_in(row, k->scenarios, field_heaviest(f, sides.far), field_weight(f, sides.far),
                  field_loss(f, sides.near));
}

static coaming_status add_pass(coaming_ranking *k, const planned *pass, size_t count,
                               coaming_error *error)
{
    reach *r = NULL;
    field f;
    coaming_status status = reach_cache_get(&k->cache, k->ship, pass->setting, &r, error);
    if (status != COAMING_OK)
        return status;
    status = make_field(k, r, pass, count, &f, error);
    if (status != COAMING_OK)
        return status;
    for (size_t c = 0; c < k->ship->closure_count; c++)
        add_closure(k, r, pass->setting.hazard == COAMING_WATER, &f, (int)c);
    field_free(&f);
    return COAMING_OK;
}

static coaming_status add_all(coaming_ranking *k, coaming_error *error)
{
    size_t n = k->scenario_count;
    planned *plan = memory_new(n, sizeof *plan);
    if (!plan)
        return error_memory(error);
    size_t planned_count = 0;
    for (size_t i = 0; i < n; i++)
        if (!rank_settles(k, k->scenarios[i].hazard))
            plan[planned_count++] = (planned){setting_for(k, &k->scenarios[i]), (int)i};
    n = planned_count;
    qsort(plan, n, sizeof *plan, by_setting);
    coaming_status status = COAMING_OK;
    for (size_t i = 0, end; i < n && status == COAMING_OK; i = end) {
        for (end = i + 1; end < n && !compare_settings(plan[i].setting, plan[end].setting); end++)
            ;
        status = add_pass(k, plan + i, end - i, error);
    }
    memory_free(plan);
    return status;
}

/* The first 12 digits, so that rounding does not decide the order. */
static double shortened(double value)
{
    char text[32];
    snprintf(text, sizeof text, "%.11e", value);
    return strtod(text, NULL);
}

typedef struct {
    double key;
    coaming_rank row;
} keyed;

static int first_to_repair(const void *left, const void *right)
{
    const keyed *a = left, *b = right;
    if (a->key != b->key)
        return a->key > b->key ? -1 : 1;
    return (a->row.closure > b->row.closure) - (a->row.closure < b->row.closure);
}

static coaming_status put_in_order(coaming_ranking *k, coaming_error *error)
{
    size_t n = k->ship->closure_count;
    keyed *list = memory_new(n, sizeof *list);
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < n; i++) {
        coaming_rank *row = &k->rows[i];
        row->consequence = row->part[COAMING_WATER] + row->part[COAMING_AIR];
        list[i] = (keyed){shortened(row->consequence), *row};
    }
    qsort(list, n, sizeof *list, first_to_repair);
    for (size_t i = 0; i < n; i++)
        k->rows[i] = list[i].row;
    memory_free(list);
    return COAMING_OK;
}

static coaming_status work(coaming_ranking *k, coaming_error *error)
{
    k->scenarios = memory_new(scenarios_room(k->ship), sizeof *k->scenarios);
    k->rows = memory_new(k->ship->closure_count, sizeof *k->rows);
    k->spaces = memory_new(k->ship->space_count, sizeof *k->spaces);
    k->bits = memory_new(order_words(k->ship->space_count), sizeof *k->bits);
    if (!k->scenarios || !k->rows || !k->spaces || !k->bits)
        return error_memory(error);
    for (size_t c = 0; c < k->ship->closure_count; c++)
        k->rows[c].closure = (int)c;
    for (int h = 0; h < COAMING_HAZARDS; h++)
        if (k->query.hazard[h])
            k->scenario_count +=
                scenarios_for(k->ship, (coaming_hazard)h, k->scenarios + k->scenario_count);
    coaming_status status = add_all(k, error);
    if (status == COAMING_OK && rank_settles(k, COAMING_WATER) && k->query.hazard[COAMING_WATER])
        status = settle_all(k, error);
    return status == COAMING_OK ? put_in_order(k, error) : status;
}

coaming_status ranking_by(const coaming_ship *ship, coaming_query query, coaming_measure measure,
                          unsigned threads, coaming_ranking **ranking, coaming_error *error)
{
    if (!query.hazard[COAMING_WATER] && !query.hazard[COAMING_AIR])
        return error_set(error, COAMING_USAGE, "no hazard is asked for");
    if ((measure == COAMING_MEASURE_FREEBOARD || measure == COAMING_MEASURE_GM) &&
        query.level.kind != COAMING_LEVEL_EQUILIBRIUM)
        return error_set(error, COAMING_USAGE, "%s is lost only at the level of equilibrium",
                         coaming_measure_word(measure));
    coaming_ranking *k = memory_new(1, sizeof *k);
    if (!k)
        return error_memory(error);
    k->ship = ship;
    k->query = query;
    k->measure = measure;
    k->threads = threads;
    coaming_status status = work(k, error);
    if (status != COAMING_OK)
        coaming_ranking_free(k);
    else
        *ranking = k;
    return status;
}

coaming_status coaming_ranking_new(const coaming_ship *ship, coaming_query query,
                                   coaming_measure measure, coaming_ranking **ranking,
                                   coaming_error *error)
{
    return ranking_by(ship, query, measure, 0, ranking, error);
}

size_t coaming_ranking_count(const coaming_ranking *k)
{
    return k->ship->closure_count;
}

const coaming_rank *coaming_ranking_get(const coaming_ranking *k, size_t index)
{
    return &k->rows[index];
}

bool coaming_ranking_is_work(const coaming_ranking *k, int closure)
{
    coaming_result standing = coaming_closure_result(k->ship, closure);
    return standing == COAMING_FAIL ||
           (standing == COAMING_UNTESTED && k->ship->links[closure].rating != NONTIGHT);
}

coaming_work coaming_ranking_work(const coaming_ranking *k, coaming_result standing)
{
    coaming_work sum = {0, 0, 0, 0};
    for (size_t i = 0; i < k->ship->closure_count; i++) {
        if (coaming_closure_result(k->ship, (int)i) != standing)
            continue;
        if (!coaming_ranking_is_work(k, (int)i)) {
            sum.not_tested_count++;
            continue;
        }
        double hours = k->ship->links[i].hours;
        sum.closure_count++;
        sum.without_hours_count += hours < 0;
        sum.hours += hours < 0 ? 0 : hours;
    }
    return sum;
}

coaming_status coaming_ranking_exposes(coaming_ranking *k, size_t index, const int **spaces,
                                       size_t *count, coaming_error *error)
{
    const coaming_rank *row = &k->rows[index];
    if (!row->has_worst) {
        *spaces = k->spaces;
        *count = 0;
        return COAMING_OK;
    }
    if (rank_settles(k, row->worst_hazard)) {
        *spaces = k->spaces;
        return settle_exposes(k, row, count, error);
    }
    scenario worst = {row->worst_hazard, row->worst_source, 0};
    reach *r = NULL;
    coaming_status status = reach_cache_get(&k->cache, k->ship, setting_for(k, &worst), &r, error);
    if (status != COAMING_OK)
        return status;
    reach_sides sides = reach_sides_of(r, row->closure);
    reach_set beyond = sides.far;
    if (worst.hazard == COAMING_WATER && holds_outside(r, sides.far)) {
        beyond = sides.near;
    } else if (worst.hazard == COAMING_AIR || !holds_outside(r, sides.near)) {
        int p = reach_position(r, reach_vertex(r, worst.source));
        if (reach_in(sides.far.run[0], p) || reach_in(sides.far.run[1], p))
            beyond = sides.near;
    }
    *spaces = k->spaces;
    *count = reach_list(r, beyond, k->bits, k->spaces);
    return COAMING_OK;
}

typedef struct {
    coaming_rank row;
    double value;
    size_t before; /* its place so far */
} valued;

static int by_value(const void *left, const void *right)
{
    const valued *a = left, *b = right;
    if (a->value != b->value)
        return a->value > b->value ? -1 : 1;
    return (a->before > b->before) - (a->before < b->before);
}

coaming_status coaming_ranking_sort(coaming_ranking *ranking, const double *values,
                                    coaming_error *error)
{
    size_t n = ranking->ship->closure_count;
    valued *list = memory_new(n, sizeof *list);
    if (!list)
        return error_memory(error);
    for (size_t i = 0; i < n; i++)
        list[i] = (valued){ranking->rows[i], values[ranking->rows[i].closure], i};
    if (n)
        qsort(list, n, sizeof *list, by_value);
    for (size_t i = 0; i < n; i++)
        ranking->rows[i] = list[i].row;
    memory_free(list);
    return COAMING_OK;
}
