/* analyse/survival/zones.h - the ship as damage meets her: zones along her, and what lies in each how
 * deep from the shell and how high. */
#ifndef ANALYSE_SURVIVAL_ZONES_H
#define ANALYSE_SURVIVAL_ZONES_H

#include "ship/ship.h"

/* What damage meets: a part of a space in a zone, of one side. */
typedef struct {
    int space;
    size_t zone;
    double depth;  /* from the shell to where it begins, m */
    double z0, z1; /* from its bottom to its top */
} target;

typedef struct {
    double *places; /* ends of zones from aft, m */
    double *ends;   /* the same as shares of her length */
    size_t count;   /* of zones */
    double length, breadth;
    target *targets[2]; /* port, starboard; by zone */
    size_t *first[2];   /* of each zone in them; count + 1 places */
} subdivision;

/* Memory of the arena; false when out of it. */
bool subdivide(const coaming_ship *ship, double deepest, arena *memory, subdivision *out);

/* What is not further away stands at a boundary, m: bulkhead and lining (common practice, no
 * source). */
#define LINING 0.15

#endif
