/*
 * coaming/chalk.h - reading a chalk print: from the gaps along the gasket run and the places of the
 * dogs, what to do, in the words of the trade.
 *
 * The run goes from the top corner on the hinge side along the top edge, down the free side, along
 * the bottom and up the hinge side; its length is taken as that of the clear opening's edges. Dogs
 * given only by their number are taken as evenly spaced, the first half a pitch from the corner.
 *
 * Rules, the first that fits a gap, and where each comes from:
 *   paint seen          clean the knife edge and repeat before adjusting   common practice, no
 * source damage seen         renew the gasket there                             common practice, no
 * source at a joint          make the joint of the gasket anew                  common practice, no
 * source along a whole side  frame or door out of true                          common practice, no
 * source at a corner         frame or door out of true                          common practice, no
 * source elsewhere           take up the dogs on either side (and any between), at most to 1/8 in
 * (3.2 mm) compression of the gasket, and retest; a sound print is unbroken: US Army, TM
 * 55-1905-223-24-18-1, watertight doors After COAMING_ADJUSTMENTS adjustments of the dogs since the
 * gasket was fitted or renewed and gaps again, the gasket is to be renewed in place of taking up
 * dogs; if it was renewed by a recorded repair and has not passed a test but by looking since, the
 * knife edge is to be looked to (common practice, no source). Distances, common practice, no
 * source: a gap is at a corner or a joint if it comes within 0.05 m of it, and along a side if it
 * covers 80 % of it.
 *
 * A print shows contact, not tightness. Lifetime: a reading borrows the ship.
 */
#ifndef COAMING_CHALK_H
#define COAMING_CHALK_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { COAMING_ADJUSTMENTS = 2 };

/* Code, word for programs. */
#define COAMING_ADVICE_TABLE(X)                                                                    \
    X(NONE, "none")     /* nothing to adjust */                                                    \
    X(CHALK, "chalk")   /* it failed, but where is not known: chalk it and note the gaps */        \
    X(CLEAN, "clean")   /* paint on the knife edge */                                              \
    X(DOGS, "dogs")     /* take up dogs */                                                         \
    X(JOINT, "joint")   /* joint of the gasket */                                                  \
    X(CORNER, "corner") /* out of true at a corner */                                              \
    X(SIDE, "side")     /* out of true along a side */                                             \
    X(GASKET, "gasket") /* renew the gasket */                                                     \
    X(KNIFE_EDGE, "knife-edge") /* the gasket is new and gaps stay */                              \
    X(RETEST, "retest")         /* repaired, not tested since */

typedef enum {
#define COAMING_ADVICE_CODE(code, word) COAMING_ADVICE_##code,
    COAMING_ADVICE_TABLE(COAMING_ADVICE_CODE)
#undef COAMING_ADVICE_CODE
        COAMING_ADVICES
} coaming_advice;

COAMING_API const char *coaming_advice_word(coaming_advice advice);
/* The public source of a rule, or "common practice, no source". */
COAMING_API const char *coaming_advice_source(coaming_advice advice);

enum { COAMING_GAP_DOGS = 8 };

/* Gaps that overlap or touch are one. */
typedef struct {
    double at, length; /* m along the run; a gap may go on past the end of the run */
    double area;       /* m2 for each mm that it stands open */
    coaming_advice advice;
    int side;                   /* 0 top, 1 free side, 2 bottom, 3 hinge side; -1: not known */
    int corner;                 /* 0 top hinge, 1 top free, 2 bottom free, 3 bottom hinge; -1 */
    int dogs[COAMING_GAP_DOGS]; /* numbers from 1, along the run, on either side and between */
    int dog_count;
} coaming_gap_reading;

typedef struct {
    int closure;
    coaming_date date;         /* of the test whose print is read */
    double run;                /* m; 0: the size of the opening is not known */
    double printed;            /* share of the run with a print, 0 to 1; NaN: not known */
    double longest;            /* m, longest gap */
    double area;               /* m2 for each mm that the gaps stand open */
    coaming_advice advice;     /* what comes first for the closure as a whole */
    int adjustments;           /* of dogs since the gasket was fitted or renewed */
    coaming_date renewed;      /* the gasket, by a recorded repair; COAMING_NO_DATE: none */
    coaming_gap_reading *gaps; /* owned by the reading */
    size_t gap_count;
} coaming_reading;

/* Reads the test of a closure that counts: of the failures that stand the latest whose gaps are
 * noted, else the one that decides how it stands, else its last test. COAMING_MEMORY. */
COAMING_API coaming_status coaming_reading_new(const coaming_ship *ship, int closure,
                                               coaming_reading **reading, coaming_error *error);
COAMING_API void coaming_reading_free(coaming_reading *reading);

#ifdef __cplusplus
}
#endif

#endif
