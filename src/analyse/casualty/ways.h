/*
 * analyse/casualty/ways.h - the places that one hazard gets to from a set of sources, and the links
 * that it goes over.
 */
#ifndef ANALYSE_CASUALTY_WAYS_H
#define ANALYSE_CASUALTY_WAYS_H

#include "analyse/flotation/settle.h"
#include "coaming/casualty.h"

typedef struct {
    const coaming_ship *ship;
    coaming_query query;
    coaming_hazard hazard;
    const int *spaces; /* the sources that are spaces, each once */
    size_t space_count;
    double level;  /* of water at a plane */
    bool outside;  /* the hazard is there as well */
    settler *boat; /* water at equilibrium; else NULL */
    arena *memory;
    /* filled by ways_find */
    bool *over;    /* by link: the hazard goes over it */
    bool *reached; /* by space */
    int *order;    /* by space, -1: not reached */
    int *queue;    /* room for every space */
    bool lost;     /* she is, of water at equilibrium */
} ways;

/* Sets are made, then followed. COAMING_MEMORY and as settler_named. */
coaming_status ways_find(ways *w, coaming_error *error);
/* What is reached with the closure holding: marks by space. *lost: she is, all the same; then what is
 * reached without it over the links that were gone over, or are with it holding. */
coaming_status ways_without(ways *w, int closure, bool *reached, bool *lost, coaming_error *error);

/* Rows of what is reached but for what is wet by design, in their order. */
coaming_status ways_list(const ways *w, coaming_casualty_answer *a, coaming_error *error);
/* Rows of what to shut and of what cannot be shut; after ways_list. */
coaming_status ways_shut(ways *w, coaming_measure measure, coaming_casualty_answer *a,
                         coaming_error *error);

#endif
