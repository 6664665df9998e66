/*
 * coaming/survival.h - every breach of the side in turn: does she stay afloat, as built and as
 * tested?
 *
 * Cases: each shell space, and each pair of shell spaces that are neighbours along the side (they
 * meet at a transverse boundary and share height and breadth there). Each is settled (flooding and
 * floating by turns) three times: as built (every closure that is shut holds), as last tested, and
 * with untested closures leaking as well.
 *
 * Factor s: SOLAS II-1/7-2 for cargo ships in the final stage, K x [GZmax/0.12 x range/16]^(1/4)
 * with GZmax at most 0.12 m and range at most 16 degrees, K = 1 to 25 degrees of heel, 0 from 30,
 * between them the square root of (30 - heel)/5; 0 if she does not stay afloat. The regulation's
 * structure was read; these constants are from memory. Moments of wind, passengers and survival
 * craft are not counted, nor openings or a deck edge under water.
 */
#ifndef COAMING_SURVIVAL_H
#define COAMING_SURVIVAL_H

#include "coaming/flotation.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { COAMING_AS_BUILT, COAMING_AS_TESTED, COAMING_UNTESTED_LEAK, COAMING_ANSWERS };

typedef struct {
    coaming_float at;
    double range, greatest; /* righting arms to the heeled side: degrees, m; 0 if not afloat */
    double s;
} coaming_survival_answer;

typedef struct {
    int space[2]; /* breached; the second is -1 in cases of one */
    coaming_survival_answer answer[COAMING_ANSWERS];
} coaming_survival_case;

typedef struct coaming_survival coaming_survival;

/* COAMING_USAGE and COAMING_INPUT as coaming_flotation_new. A survival borrows the ship. */
COAMING_API coaming_status coaming_survival_new(const coaming_ship *ship, int condition,
                                                coaming_survival **survival, coaming_error *error);
/* The same without righting arms, which take most of the time: range, greatest and s are NaN. */
COAMING_API coaming_status coaming_survival_afloat_new(const coaming_ship *ship, int condition,
                                                       coaming_survival **survival,
                                                       coaming_error *error);
COAMING_API void coaming_survival_free(coaming_survival *survival);
COAMING_API size_t coaming_survival_count(const coaming_survival *survival);
COAMING_API const coaming_survival_case *coaming_survival_get(const coaming_survival *survival,
                                                              size_t index);

/* The share of cases after which she stays afloat, 0 to 1; NaN without cases. */
COAMING_API double coaming_survival_share(const coaming_survival *survival, int answer);

/* The factor s of a floating position; heel in degrees. */
COAMING_API double coaming_survival_factor(double heel, double greatest, double range);

#ifdef __cplusplus
}
#endif

#endif
