/* Rows at the level of equilibrium: what floods with the closure passing and not with it holding,
 * each with the ship where she then floats. */
#include <math.h>
#include <string.h>

#include "analyse/exposure/exposure.h"
#include "base/order.h"
#include "ship/state.h"

bool row_settles(const coaming_exposure *e)
{
    return level_settles(e->query.level, e->row.hazard);
}

/* The spaces that stand behind those that are flooded anyway, in file order. */
static size_t list_new(const coaming_exposure *e, const settled *held, const settled *passing,
                       int *list)
{
    size_t count = passing->count - held->count;
    if (count)
        memcpy(list, passing->spaces + held->count, count * sizeof *list);
    order_distinct(list, count, e->bits, order_words(e->ship->space_count));
    return count;
}

static coaming_note why_empty(const coaming_exposure *e, const settled *held)
{
    const ship_link *l = &e->ship->links[e->row.closure];
    coaming_place other = link_other_side(l, e->row.source);
    if (!settler_wet(e->settler, held, e->row.closure))
        return COAMING_NOTE_ABOVE_WATER;
    if (other < 0)
        return other == COAMING_SEA ? COAMING_NOTE_OTHER_SEA : COAMING_NOTE_OTHER_WEATHER;
    if (settler_among(e->settler, held, other))
        return COAMING_NOTE_OTHER_WAY;
    if (e->row.source < 0 || settler_among(e->settler, held, e->row.source))
        return COAMING_NOTE_FAR_DRY;
    return COAMING_NOTE_SOURCE_DRY;
}

/* What was let in, by which link, and what it adds up to. */
static void add_up_new(coaming_exposure *e, const settled *held, const settled *passing)
{
    coaming_exposure_row *row = &e->row;
    for (size_t i = held->count; i < passing->count; i++)
        e->entry[passing->spaces[i]] = passing->by[i];
    for (size_t i = 0; i < row->exposed_count; i++) {
        const ship_space *s = &e->ship->spaces[e->exposed[i]];
        e->by[i] = e->entry[e->exposed[i]];
        e->entry[e->exposed[i]] = -1;
        row->volume += settler_volume(e->settler, passing, e->exposed[i]);
        row->people += s->people;
        row->worth += s->worth;
    }
}

static void fill(coaming_exposure *e, const settled *held, const settled *passing)
{
    coaming_exposure_row *row = &e->row;
    row->exposed_count = list_new(e, held, passing, e->exposed);
    add_up_new(e, held, passing);
    row->afloat = passing->at.afloat == COAMING_AFLOAT_YES;
    row->level = passing->at.draught;
    e->at = passing->at;
    e->held = held;
    e->passing = passing;
    if (!row->exposed_count) /* then it is the same with the closure passing */
        row->note = why_empty(e, held);
}

coaming_status settle_row(coaming_exposure *e, coaming_error *error)
{
    /* The second answer first, for the states of the first are wanted by border and grade. */
    for (int untested = 1; untested >= 0; untested--) {
        const settled *held = NULL, *passing = NULL;
        coaming_status status = settler_pair(e->settler, e->row.source, untested == 1,
                                             e->row.closure, &held, &passing, error);
        if (status != COAMING_OK)
            return status;
        if (untested)
            e->row.exposed_if_untested_leak_count = list_new(e, held, passing, e->untested);
        else
            fill(e, held, passing);
    }
    return COAMING_OK;
}

coaming_status coaming_exposure_grade(coaming_exposure *e, coaming_float *at,
                                      coaming_stability *stability, coaming_error *error)
{
    const settled *s = e->passing;
    grade_terms terms = {e->query.condition, COAMING_AS_TESTED, ARMS_ENOUGH, NULL, NULL};
    *at = e->at;
    for (size_t i = 0; i < s->count; i++)
        e->wet[s->spaces[i]] = true;
    coaming_status status =
        flotation_grade(settler_flotation(e->settler), e->wet, at, &terms, stability, error);
    for (size_t i = 0; i < s->count; i++)
        e->wet[s->spaces[i]] = false;
    return status;
}
