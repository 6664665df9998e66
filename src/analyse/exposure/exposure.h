/* analyse/exposure/exposure.h - what the two ways of answering a row share. */
#ifndef ANALYSE_EXPOSURE_EXPOSURE_H
#define ANALYSE_EXPOSURE_EXPOSURE_H

#include "analyse/flotation/settle.h"
#include "coaming/exposure.h"
#include "graph/reach_cache.h"

struct coaming_exposure {
    const coaming_ship *ship;
    coaming_query query;
    int *closures;
    size_t closure_count;
    bool of_all; /* not of closures that were named */
    coaming_hazard hazards[COAMING_HAZARDS];
    size_t hazard_count;
    reach_cache cache;
    settler *settler; /* for the level of equilibrium */
    /* the row last got */
    coaming_exposure_row row;
    int *exposed, *by, *untested;  /* room for every space */
    int *queue, *entry;            /* by space: the link that lets it in; -1 outside the set */
    const settled *held, *passing; /* of a settled row: with the closure holding, and passing */
    bool *wet;                     /* by space: none; for grades */
    uint64_t *bits;                /* a bit for each space, all 0; to sort lists by */
    uint64_t *counted;             /* a bit for each row: is what it names in `named`? */
    size_t named;                  /* spaces, one by one */
    coaming_float at;              /* of the row, closure passing */
    coaming_border *border;
    size_t border_capacity;
};

/* Is the row answered by settling? */
bool row_settles(const coaming_exposure *e);

/* Fills the row (closure, hazard and source are set). */
coaming_status settle_row(coaming_exposure *e, coaming_error *error);

#endif
