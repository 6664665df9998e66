/*
 * analyse/flotation/laden.h - what she weighs and where, with liquids that move and are lost.
 *
 * Weights are m3 of the water that she floats in. A space that is open to the sea has lost its
 * content. Each other liquid is cut level (ship/liquid.h): its centre moves along the plane, and the
 * centre of gravity with it. The height of gravity over buoyancy stays a potential: a liquid at rest
 * is itself where its centre is lowest, so that only the plane's own turning counts in the first
 * derivative, and the second loses density x second moment of the liquid's surface.
 *
 * Where a surface stands is kept at steps of heel and trim; between them a cubic tells it so nearly
 * that one cut does. At a constant volume a surface turns about its middle, so that the middle tells how
 * its height changes. What is kept at a step depends on the step alone, so nothing depends on what
 * was asked before.
 */
#ifndef ANALYSE_FLOTATION_LADEN_H
#define ANALYSE_FLOTATION_LADEN_H

#include "base/memory.h"
#include "ship/liquid.h"

/* The content of a space. */
typedef struct {
    int space;
    double volume, weight; /* m3: of the liquid; of as heavy water */
    double centre[3];      /* with the ship upright on even keel */
    double surface[3];     /* middle of its surface then */
    bool moves;            /* neither full nor empty */
} laden_liquid;

/* How many steps there are, and which of them is upright and on even keel. */
enum { LADEN_HEELS = 49, LADEN_UPRIGHT = 24, LADEN_TRIMS = 21, LADEN_EVEN = 10 };

/* Where the surface of a liquid is at a step: its height over laden_liquid.surface along the normal,
 * and its changes with heel and trim, a radian. */
typedef struct {
    bool known;
    double height, by_heel, by_trim;
} laden_level;

typedef struct {
    double weight;     /* in all, m3: the displacement */
    double gravity[3]; /* its centre, liquids as they stand upright on even keel */
    laden_liquid *liquids;
    size_t liquid_count;
    laden_level
        *levels; /* of each liquid LADEN_HEELS x LADEN_TRIMS; filled as they are asked for */
} laden;

/* Fills the liquids of a loading. scratch: as of body_add for every space. False: out of memory. */
bool laden_make(laden *w, const coaming_ship *ship, const ship_loading *loading, double *scratch,
                arena *memory);

/* Without the content of what is flooded (by space; NULL: nothing is). */
laden laden_left(const laden *w, const bool *flooded);

/* What moving liquids do in the attitude of a plane, whatever its height: how far they shift the
 * centre of gravity, and what they take off the metacentric heights along e1 and e2, m. */
typedef struct {
    double shift[3];
    double uu, uv, vv;
} laden_pull;

/* exactly: but for rounding; else the shift to some 1e-11 m, and the heights to a hundred thousandth of
 * what is taken off. */
laden_pull laden_move(const laden *w, const coaming_ship *ship, const bool *flooded,
                      const plane *level, bool exactly, double *scratch);

#endif
