/* Ranking at the level of equilibrium: each scenario is settled with each closure that can matter.
 */
#include <math.h>
#include <stdlib.h>

#include "analyse/ranking/loss.h"
#include "analyse/ranking/ranking.h"
#include "base/error.h"
#include "base/order.h"

bool rank_settles(const coaming_ranking *k, coaming_hazard hazard)
{
    return hazard == COAMING_WATER && k->query.level.kind == COAMING_LEVEL_EQUILIBRIUM;
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

/* One scenario, one closure. */
static coaming_status add_one(coaming_ranking *k, int number, int closure, coaming_error *error)
{
    const scenario *s = &k->scenarios[number];
    coaming_rank *row = &k->rows[closure];
    const settled *held = NULL, *passing = NULL;
    coaming_status status =
        settler_forced(k->settler, s->source, false, closure, false, &held, error);
    if (status != COAMING_OK)
        return status;
    double loss = loss_in(k, held);
    bool afloat = held->at.afloat == COAMING_AFLOAT_YES;
    status = settler_forced(k->settler, s->source, false, closure, true, &passing, error);
    if (status != COAMING_OK || passing == held)
        return status;
    rank_count_in(row, k->scenarios, number, s->weight, loss_in(k, passing) - loss);
    row->lost = row->lost || (afloat && passing->at.afloat != COAMING_AFLOAT_YES && s->weight > 0);
    return COAMING_OK;
}

/* One scenario. Only closures with an end where there is water, or outside, can matter to it. */
static coaming_status add_scenario(coaming_ranking *k, int number, bool *wet, coaming_error *error)
{
    const settled *base = NULL;
    coaming_status status =
        settler_base(k->settler, k->scenarios[number].source, false, &base, error);
    if (status != COAMING_OK)
        return status;
    for (size_t i = 0; i < base->count; i++)
        wet[base->spaces[i]] = true;
    for (size_t c = 0; c < k->ship->closure_count && status == COAMING_OK; c++) {
        const ship_link *l = &k->ship->links[c];
        if (l->a < 0 || l->b < 0 || wet[l->a] || wet[l->b])
            status = add_one(k, number, (int)c, error);
    }
    for (size_t i = 0; i < base->count; i++)
        wet[base->spaces[i]] = false;
    return status;
}

coaming_status settle_all(coaming_ranking *k, coaming_error *error)
{
    bool *wet = memory_new(k->ship->space_count, sizeof *wet);
    if (!wet)
        return error_memory(error);
    coaming_status status =
        settler_new(k->ship, k->query.condition, k->query.loading, &k->settler, error);
    for (size_t i = 0; i < k->scenario_count && status == COAMING_OK; i++)
        if (k->scenarios[i].hazard == COAMING_WATER)
            status = add_scenario(k, (int)i, wet, error);
    memory_free(wet);
    return status;
}

coaming_status settle_exposes(coaming_ranking *k, const coaming_rank *row, size_t *count,
                              coaming_error *error)
{
    const settled *s = NULL;
    bool *held = memory_new(k->ship->space_count, sizeof *held);
    if (!held)
        return error_memory(error);
    coaming_status status =
        settler_forced(k->settler, row->worst_source, false, row->closure, false, &s, error);
    for (size_t i = 0; status == COAMING_OK && i < s->count; i++)
        held[s->spaces[i]] = true;
    if (status == COAMING_OK)
        status =
            settler_forced(k->settler, row->worst_source, false, row->closure, true, &s, error);
    *count = 0;
    for (size_t i = 0; status == COAMING_OK && i < s->count; i++)
        if (!held[s->spaces[i]])
            k->spaces[(*count)++] = s->spaces[i];
    qsort(k->spaces, *count, sizeof *k->spaces, order_ints);
    memory_free(held);
    return status;
}
