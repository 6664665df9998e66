/*
 * coaming/flotation.h - how she floats with spaces open to the sea.
 *
 * Method: constant displacement, lost buoyancy. Hull and flooded spaces are cut by the water's
 * plane exactly (ship/body.h); sinkage, heel and trim are found together where the height of the
 * centre of gravity over that of buoyancy is least (stable equilibrium), by Newton's method with
 * the net waterplane's second moments as the Hessian and a line search as the safeguard.
 * Displacement is the hull's at the intact draught, upright on even keel; the centre of gravity is
 * at kg, and along and across where lcg and tcg say, else over the centre of buoyancy so that she
 * floats as her draught says. Of a loading: at its draught and trim, and the liquid in each space
 * that is neither full nor empty is cut level at its volume in every position, by the same exact
 * cut, so that the centre of gravity moves with heel and trim and GM is less; a space that is open
 * to the sea has lost its content, which comes off displacement and centre of gravity. The hull is
 * tight up to its top; what stands on deck gives no buoyancy. Quasi-static: no waves, no wind, no
 * shift of cargo, no time. Where nothing decides the side to which she heels, both are tried: she
 * lies where she comes to rest lower.
 *
 * Lifetime: a coaming_flotation borrows the ship. Units: m, t, degrees.
 */
#ifndef COAMING_FLOTATION_H
#define COAMING_FLOTATION_H

#include "coaming/query.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Code, text: how the search ended. Only the first is a floating position; how good it is, its
 * grade says (grade.h). */
#define COAMING_AFLOAT_TABLE(X)                                                                    \
    X(YES, "floats")                                                                               \
    X(SINKS, "does not stay afloat: not enough buoyancy is left")                                  \
    X(CAPSIZES, "does not stay afloat: she capsizes")                                              \
    X(PLUNGES, "does not stay afloat: she goes down by one end")                                   \
    X(UNKNOWN, "cannot be told to stay afloat: no position of rest was found")

typedef enum {
#define COAMING_AFLOAT_CODE(code, text) COAMING_AFLOAT_##code,
    COAMING_AFLOAT_TABLE(COAMING_AFLOAT_CODE)
#undef COAMING_AFLOAT_CODE
} coaming_afloat;

COAMING_API const char *coaming_afloat_text(coaming_afloat afloat);

/* A position beyond so many degrees of heel is no floating position: she capsizes. */
enum { COAMING_HEEL_MOST = 60 };

typedef struct {
    coaming_afloat afloat; /* unless YES only displacement is set, the rest is NaN */
    double draught, draught_aft, draught_fwd; /* at mid-length, x = 0 and x = length; y = 0 */
    double trim;                              /* draught_fwd - draught_aft: positive by the bow */
    double heel;                              /* positive to port */
    double gm;                                /* transverse, with the net waterplane */
    double displacement;
    double freeboard; /* least height of the deck edge above the water: of the bulkhead deck if the
                       * ship names one, and at most of the hull's top */
    double flooded_volume; /* permeable volume of the flooded spaces below the water, m3 */
    /* the water's plane: wet where normal . (x, y, z) < height */
    double normal[3], height;
    int capsizes_to;  /* if she does: 1 to port, -1 to starboard, 0: nothing decides the side */
    bool loll;        /* unstable upright: heel is the angle of loll; set by its grade */
    bool either_side; /* nothing decides the side to which she heels; port is told, or by her
                       * grade the side where the openings are worse */
} coaming_float;

typedef struct {
    double heel, gz; /* degrees, m; gz positive: turns her back upright */
} coaming_righting_arm;

enum { COAMING_RIGHTING_ARMS = 13, COAMING_RIGHTING_STEP = 5 }; /* 0 to 60 degrees */

typedef struct {
    /* To the side to which she heels; upright to the worse side. */
    coaming_righting_arm arm[COAMING_RIGHTING_ARMS];
    double range; /* degrees from the equilibrium to where the arm vanishes again; at most to 60 */
    double greatest; /* m */
} coaming_righting;

typedef struct coaming_flotation coaming_flotation;

/*
 * loading: index, or COAMING_NO_LOADING. COAMING_USAGE if neither it nor the ship gives kg;
 * COAMING_INPUT if she does not stay afloat intact, or has no volume at her draught.
 */
COAMING_API coaming_status coaming_flotation_new(const coaming_ship *ship, int loading,
                                                 coaming_flotation **flotation,
                                                 coaming_error *error);
COAMING_API void coaming_flotation_free(coaming_flotation *flotation);

/* Floats the undamaged ship as <ship> says, if it gives kg, and in each of her loadings, and adds an
 * error to `faults`, after those that are there, for each in which coaming_flotation_new would refuse her. COAMING_MEMORY. */
COAMING_API coaming_status coaming_loadings_check(const coaming_ship *ship, coaming_faults *faults,
                                                  coaming_error *error);

/* flooded: by space. Results are kept by set, so asking again costs next to nothing. */
COAMING_API coaming_status coaming_flotation_solve(coaming_flotation *flotation,
                                                   const bool *flooded, coaming_float *result,
                                                   coaming_error *error);

/* Righting arms about a floating position that was solved for the same spaces, as if every opening
 * were tight; grade.h has them up to the first that is not. */
COAMING_API void coaming_flotation_righting(coaming_flotation *flotation, const bool *flooded,
                                            const coaming_float *at, coaming_righting *righting);

/* Height of a closure's or passage's lowest edge above the water, m. */
COAMING_API double coaming_float_height(const coaming_ship *ship, const coaming_float *at,
                                        int link);

#ifdef __cplusplus
}
#endif

#endif
