/* Where the water stands that a boundary is to keep back. */
#include <math.h>

#include "analyse/boundary/boundary.h"
#include "base/error.h"
#include "coaming/spread.h"
#include "ship/state.h"

/* The set, and what the sea is let into already. */
static coaming_status mark_flooded(const coaming_boundary *b, bool *flooded, coaming_error *error)
{
    coaming_inflow *entries = NULL;
    size_t count = 0;
    coaming_status status = coaming_let_in(b->ship, b->query, &entries, &count, error);
    for (size_t i = 0; i < b->list_count; i++)
        flooded[b->list[i]] = true;
    for (size_t i = 0; i < count; i++)
        flooded[entries[i].space] = true;
    coaming_inflows_free(entries);
    return status;
}

static coaming_status float_her(coaming_boundary *b, coaming_error *error)
{
    coaming_flotation *flotation = NULL;
    coaming_status status = coaming_flotation_new(b->ship, b->query.loading, &flotation, error);
    if (status != COAMING_OK)
        return status;
    bool *flooded = memory_new(b->ship->space_count, sizeof *flooded);
    status = flooded ? mark_flooded(b, flooded, error) : error_memory(error);
    if (status == COAMING_OK)
        status = coaming_flotation_solve(flotation, flooded, &b->at, error);
    b->floats = status == COAMING_OK;
    memory_free(flooded);
    coaming_flotation_free(flotation);
    return status;
}

/* Height of the plane where she is not settled. */
static double plane(const coaming_boundary *b)
{
    return fmax(level_for(b->ship, b->query, COAMING_WATER, COAMING_SEA),
                level_for_all(b->ship, b->query, COAMING_WATER, b->list, b->list_count));
}

static coaming_keeps keeps_water(const ship_link *l, bool reached)
{
    if (!reached)
        return COAMING_KEEPS_UNREACHED;
    if (link_can_hold(l, COAMING_WATER))
        return COAMING_KEEPS_BACK;
    return link_slows(l, COAMING_WATER) ? COAMING_KEEPS_SLOWED : COAMING_KEEPS_NOTHING;
}

coaming_status boundary_wet(coaming_boundary *b, coaming_error *error)
{
    bool settles = b->query.level.kind == COAMING_LEVEL_EQUILIBRIUM;
    coaming_status status = settles ? float_her(b, error) : COAMING_OK;
    if (status != COAMING_OK)
        return status;
    bool lost = settles && b->at.afloat != COAMING_AFLOAT_YES;
    double level = settles ? NAN : plane(b);
    for (size_t i = 0; i < b->count; i++) {
        coaming_bound *row = &b->rows[i];
        const ship_link *l = &b->ship->links[row->link];
        if (!lost)
            row->height =
                settles ? coaming_float_height(b->ship, &b->at, row->link) : l->clear.z - level;
        bool reached = lost || (settles ? row->height < 0 : link_reached(l, COAMING_WATER, level));
        row->keeps[COAMING_WATER] = keeps_water(l, reached);
    }
    return COAMING_OK;
}
