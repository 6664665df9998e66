/* analyse/flotation/flotation.h - what the flotation's own files share. */
#ifndef ANALYSE_FLOTATION_FLOTATION_H
#define ANALYSE_FLOTATION_FLOTATION_H

#include "coaming/flotation.h"
#include "ship/inside.h"

typedef struct kept_float kept_float;

struct coaming_flotation {
    const coaming_ship *ship;
    arena memory;
    double displacement;  /* m3 */
    double gravity[3];    /* centre of gravity */
    double middle[3];     /* amidships on the centre line at the draught */
    double *scratch;      /* for body_add */
    coaming_float intact; /* how she floats undamaged */
    kept_float **kept;    /* by hash of the set of flooded spaces */
    size_t kept_places, kept_count;
};

/* A trial position: the plane at given heel and trim that leaves the displacement, and what is
 * below it net of the flooded spaces. */
typedef struct {
    plane plane;
    submerged net;
    double lever[3];      /* gravity - buoyancy: along e1, along e2, along n */
    double guu, guv, gvv; /* metacentric heights: Hessian over displacement */
} position;

/* False if the volume cannot be had: she sinks. Start from the plane height d. */
bool position_find(coaming_flotation *f, const bool *flooded, double heel, double trim, double d,
                   position *at);

/* Water in a space that is open to the sea, m3: also in what of it stands above the hull. */
double flotation_water_in(const coaming_flotation *f, int space, const plane *p);

/* How far the least lever may be off, m: rounding of volumes of a few thousand m3 is far below. */
static const double LEVER_LEAST = 1e-11;

/* Kept results. find: NULL if there is none. */
const coaming_float *kept_find(const coaming_flotation *f, const bool *flooded);
bool kept_add(coaming_flotation *f, const bool *flooded, const coaming_float *result);
void kept_free(coaming_flotation *f);

#endif
