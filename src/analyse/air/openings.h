/* analyse/air/openings.h - the ship as a net of air: what each link passes as it stands. */
#ifndef AIR_OPENINGS_H
#define AIR_OPENINGS_H

#include "analyse/air/flows.h"
#include "base/memory.h"
#include "ship/ship.h"

/* kg/mol of air, of which each mole that is given off takes the place of one. */
#define AIR_WEIGHT 0.028964

typedef enum { AIR_AS_FOUND, AIR_OPENED, AIR_SHUT } air_stands;

/* What has been changed so far. */
typedef struct {
    unsigned char *stands; /* an air_stands by closure */
    bool *failed;          /* by closure */
    bool *stopped;         /* by fan */
    bool *ended;           /* by source */
    int shut;              /* a closure that is shut, whatever else is done with it; -1: none */
} air_scene;

typedef struct {
    const coaming_ship *ship;
    const coaming_air_options *how;
    const air_scene *scene;
    air_net net;           /* nodes: the spaces, and the outside */
    coaming_air_way *ways; /* of each link of the net */
    double *volumes;       /* m3, by space */
    double *middles;       /* height of the middle of each space */
} air_model;

/* m2 of an orifice that a link is like in a state, of which it need not be. */
double air_way_area(const coaming_ship *ship, int link, coaming_air_state state);

/* Fills the model; nothing is solved. False when out of memory. */
bool air_model_make(air_model *m, arena *memory);

/* Solves it, and fills what is found into the ways. */
coaming_status air_model_solve(air_model *m, coaming_error *error);

#endif
