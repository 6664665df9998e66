/* analyse/air/scene.h - what is changed when: models of the air from one change to the next. */
#ifndef AIR_SCENE_H
#define AIR_SCENE_H

#include "analyse/air/openings.h"

/* Of the models each from a time on to that of the next, the last to the end. */
typedef struct {
    double from;
    air_model model;
} air_stretch;

typedef struct {
    const coaming_ship *ship;
    const coaming_air_options *how;
    double from; /* s: what is before it is left out */
    int shut;    /* a closure that is shut at `at` and stays so; -1: none */
    double at;
} air_plan;

/* Is something given off at the place? */
bool air_has_source(const coaming_air_options *how, coaming_place place);

/* COAMING_USAGE, with what is wrong of a change. */
coaming_status air_changes_check(const coaming_ship *ship, const coaming_air_options *how,
                                 coaming_error *error);

/* Makes and solves them. COAMING_MEMORY, COAMING_INTERNAL. */
coaming_status air_stretches_make(const air_plan *plan, arena *memory, air_stretch **list,
                                  size_t *count, coaming_error *error);

#endif
