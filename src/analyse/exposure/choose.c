/* Which row of a closure is looked at first. */
#include "analyse/exposure/exposure.h"
#include "base/error.h"
#include "ship/ship.h"

/* Does she not stay afloat, and only because the closure fails? As far as it floods anything. */
static bool sinks_her(const coaming_exposure_row *row)
{
    return !row->afloat && row->exposed_count;
}

static bool better(const coaming_exposure_row *a, const coaming_exposure_row *b)
{
    if (sinks_her(a) != sinks_her(b))
        return sinks_her(a);
    return a->worth != b->worth ? a->worth > b->worth : a->volume > b->volume;
}

/* The rows of a closure: they stand together. */
static coaming_status rows_of(const coaming_exposure *e, int closure, size_t *first, size_t *end,
                              coaming_error *error)
{
    for (size_t i = 0; i < e->closure_count; i++) {
        if (e->closures[i] != closure)
            continue;
        *first = i * 2 * e->hazard_count;
        *end = *first + 2 * e->hazard_count;
        return COAMING_OK;
    }
    return error_set(error, COAMING_USAGE, "closure %d was not asked for", closure);
}

coaming_status coaming_exposure_choose(coaming_exposure *e, int closure,
                                       const coaming_place *source, size_t *chosen,
                                       coaming_error *error)
{
    coaming_exposure_row row, best;
    size_t first = 0, end = 0;
    bool any = false;
    coaming_status status = rows_of(e, closure, &first, &end, error);
    for (size_t i = first; i < end; i++) {
        status = coaming_exposure_row_get(e, i, &row, error);
        if (status != COAMING_OK)
            return status;
        if ((source && row.source != *source) || (any && !better(&row, &best)))
            continue;
        best = row;
        *chosen = i;
        any = true;
    }
    if (status == COAMING_OK && !any)
        return error_set(error, COAMING_USAGE, "closure '%s' has no side '%s'",
                         e->ship->links[closure].id, coaming_place_id(e->ship, *source));
    return status;
}
