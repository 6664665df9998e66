/*
 * coaming/query.h - what every analysis is asked with: condition, loading, level of the water,
 * hazards.
 */
#ifndef COAMING_QUERY_H
#define COAMING_QUERY_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum { COAMING_WATER, COAMING_AIR, COAMING_HAZARDS } coaming_hazard;

/* "water" or "air". */
COAMING_API const char *coaming_hazard_word(coaming_hazard hazard);

typedef enum {
    COAMING_LEVEL_STILL, /* plane of the intact draught, on even keel; of a loading, its draught */
    COAMING_LEVEL_FULL,  /* top of the source space; for the outside the plane of the draught */
    COAMING_LEVEL_AT,    /* a height above the baseline */
    COAMING_LEVEL_EQUILIBRIUM /* where she settles with the flooded spaces open, see flotation.h */
} coaming_level_kind;

typedef struct {
    coaming_level_kind kind;
    double height; /* m above the baseline, for COAMING_LEVEL_AT */
} coaming_level;

enum { COAMING_NO_CONDITION = -1 };
/* As <ship> says: its draught, on even keel, and its centre of gravity; no liquid moves. */
enum { COAMING_NO_LOADING = -1 };

typedef struct {
    int condition; /* index, or COAMING_NO_CONDITION: all shut but those that are never shut */
    int loading;   /* index, or COAMING_NO_LOADING */
    coaming_level level;
    bool hazard[COAMING_HAZARDS]; /* which hazards are asked for */
} coaming_query;

/* No condition, no loading, the still level, both hazards. */
COAMING_API coaming_query coaming_query_default(void);

#ifdef __cplusplus
}
#endif

#endif
