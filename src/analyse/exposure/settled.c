/* Rows at the level of equilibrium: what floods with the closure passing and not with it holding,
 * each with the ship where she then floats. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/exposure/exposure.h"
#include "base/order.h"
#include "ship/state.h"

bool row_settles(const coaming_exposure *e)
{
    return e->row.hazard == COAMING_WATER && e->query.level.kind == COAMING_LEVEL_EQUILIBRIUM;
}

/* Marks where water is with the closure holding. */
static coaming_status mark_held(coaming_exposure *e, bool untested_pass, coaming_error *error)
{
    const settled *held = NULL;
    coaming_status status = settler_forced(e->settler, e->row.source, untested_pass, e->row.closure,
                                           false, &held, error);
    if (status != COAMING_OK)
        return status;
    memset(e->held_wet, 0, e->ship->space_count * sizeof *e->held_wet);
    for (size_t i = 0; i < held->count; i++)
        e->held_wet[held->spaces[i]] = true;
    return COAMING_OK;
}

/* The spaces that are wet in `passing` and not marked, in file order. */
static size_t list_new(const coaming_exposure *e, const settled *passing, int *list)
{
    size_t count = 0;
    for (size_t i = 0; i < passing->count; i++)
        if (!e->held_wet[passing->spaces[i]])
            list[count++] = passing->spaces[i];
    qsort(list, count, sizeof *list, order_ints);
    return count;
}

static coaming_note why_empty(const coaming_exposure *e, const settled *passing)
{
    const ship_link *l = &e->ship->links[e->row.closure];
    coaming_place other = link_other_side(l, e->row.source);
    if (!settler_wet(e->settler, passing, e->row.closure))
        return COAMING_NOTE_ABOVE_WATER;
    if (other < 0)
        return other == COAMING_SEA ? COAMING_NOTE_OTHER_SEA : COAMING_NOTE_OTHER_WEATHER;
    if (e->held_wet[other])
        return COAMING_NOTE_OTHER_WAY;
    for (size_t i = 0; e->row.source >= 0 && i < passing->count; i++)
        if (passing->spaces[i] == e->row.source)
            return COAMING_NOTE_FAR_DRY;
    return e->row.source >= 0 ? COAMING_NOTE_SOURCE_DRY : COAMING_NOTE_FAR_DRY;
}

static void fill(coaming_exposure *e, const settled *passing)
{
    coaming_exposure_row *row = &e->row;
    row->exposed_count = list_new(e, passing, e->exposed);
    memset(e->wet, 0, e->ship->space_count * sizeof *e->wet);
    for (size_t i = 0; i < passing->count; i++)
        e->wet[passing->spaces[i]] = true;
    for (size_t i = 0; i < passing->count; i++)
        e->entry[passing->spaces[i]] = passing->by[i];
    for (size_t i = 0; i < row->exposed_count; i++) {
        const ship_space *s = &e->ship->spaces[e->exposed[i]];
        e->by[i] = e->entry[e->exposed[i]];
        row->volume += settler_volume(e->settler, passing, e->exposed[i]);
        row->people += s->people;
        row->worth += s->worth;
    }
    for (size_t i = 0; i < passing->count; i++)
        e->entry[passing->spaces[i]] = -1;
    row->afloat = passing->at.afloat == COAMING_AFLOAT_YES;
    row->level = passing->at.draught;
    e->at = passing->at;
    if (!row->exposed_count)
        row->note = why_empty(e, passing);
}

coaming_status settle_row(coaming_exposure *e, coaming_error *error)
{
    /* The second answer first, for the marks of the first are wanted by the border. */
    for (int untested = 1; untested >= 0; untested--) {
        const settled *passing = NULL;
        coaming_status status = mark_held(e, untested == 1, error);
        if (status == COAMING_OK)
            status = settler_forced(e->settler, e->row.source, untested == 1, e->row.closure, true,
                                    &passing, error);
        if (status != COAMING_OK)
            return status;
        if (untested)
            e->row.exposed_if_untested_leak_count = list_new(e, passing, e->untested);
        else
            fill(e, passing);
    }
    return COAMING_OK;
}

coaming_status coaming_exposure_grade(coaming_exposure *e, coaming_float *at,
                                      coaming_stability *stability, coaming_error *error)
{
    *at = e->at;
    grade_terms terms = {e->query.condition, COAMING_AS_TESTED, ARMS_ENOUGH, NULL, NULL};
    return flotation_grade(settler_flotation(e->settler), e->wet, at, &terms, stability, error);
}
