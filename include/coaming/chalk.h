/*
 * coaming/chalk.h - reading a print and a gasket: from the gaps along the gasket run, the places of
 * the dogs, what was measured and how the gasket is pieced, what to do, in the words of the trade.
 *
 * The run goes from the top corner on the hinge side along the top edge, down the free side, along
 * the bottom and up the hinge side; its length is taken as that of the clear opening's edges. Dogs
 * given only by their number are taken as evenly spaced, the first half a pitch from the corner.
 * Only doors, hatches and scuttles are read by sides and corners; a valve has no print.
 *
 * Each finding has a reason, the reason has a source (coaming_reading and coaming_gap_reading carry
 * it), and reason and kind of closure give the advice. Bounds, as read in excerpts of the sources:
 * permanent set above 3.2 mm (1/8 in), play of the hinge above 4.8 mm (3/16 in), more than two
 * joints, a piece of two or more under 24 in (0.6096 m). Common practice, no source: a gap is at a
 * corner or a joint if it comes within 0.05 m of it, and along a side if it covers 80 % of it; all
 * these are compared in whole micrometres. After COAMING_ADJUSTMENTS adjustments of the dogs since
 * the gasket was fitted or renewed and gaps again, the gasket is to be renewed in place of taking
 * up dogs; if it was renewed by a recorded repair and has not passed a test but by looking since,
 * the knife edge is to be looked to.
 *
 * A print shows contact, not tightness. Lifetime: a reading borrows the ship.
 */
#ifndef COAMING_CHALK_H
#define COAMING_CHALK_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { COAMING_ADJUSTMENTS = 2, COAMING_JOINTS_MOST = 2 };

/* m; see above for where they come from. */
#define COAMING_SET_MOST    0.0032
#define COAMING_PLAY_MOST   0.0048
#define COAMING_PIECE_LEAST 0.6096

/* Code, word for programs. */
#define COAMING_ADVICE_TABLE(X)                                                                    \
    X(NONE, "none")             /* nothing to adjust */                                            \
    X(CHALK, "chalk")           /* where it failed is not known: chalk it and note the gaps */     \
    X(CLEAN, "clean")           /* paint on the knife edge */                                      \
    X(DOGS, "dogs")             /* take up dogs */                                                 \
    X(FASTENINGS, "fastenings") /* the same of what has nuts or clamps: evenly */                  \
    X(CORNER, "corner")         /* out of true at a corner */                                      \
    X(SIDE, "side")             /* out of true along a side */                                     \
    X(HINGE, "hinge")           /* hinge or frame out of line, or the hinge worn */                \
    X(GASKET, "gasket")         /* renew the gasket */                                             \
    X(KNIFE_EDGE, "knife-edge") /* the gasket is new and gaps stay */                              \
    X(OVERHAUL, "overhaul")     /* of a valve: seat, disc, packing */                              \
    X(RETEST, "retest")         /* repaired, not tested since */

typedef enum {
#define COAMING_ADVICE_CODE(code, word) COAMING_ADVICE_##code,
    COAMING_ADVICE_TABLE(COAMING_ADVICE_CODE)
#undef COAMING_ADVICE_CODE
        COAMING_ADVICES
} coaming_advice;

/* Code, word for programs; in the order in which they decide for the closure as a whole, but that
 * RENEWED also goes before EDGE, SIDE and CORNER. */
#define COAMING_REASON_TABLE(X)                                                                    \
    X(NONE, "none")             /* there is none */                                                \
    X(SET, "set")               /* permanent set of the gasket */                                  \
    X(JOINTS, "joints")         /* more joints than a gasket may have */                           \
    X(PIECE, "piece")           /* a piece too short */                                            \
    X(HINGE_PLAY, "hinge-play") /* measured */                                                     \
    X(REPAIRED, "repaired")     /* not tested since */                                             \
    X(FAILED, "failed")         /* by a test without gaps */                                       \
    X(PAINT, "paint")           /* seen at a gap; the rest are of gaps too */                      \
    X(BEYOND, "beyond")         /* its place is past the end of the run */                         \
    X(DAMAGE, "damage")                                                                            \
    X(JOINT, "joint")                                                                              \
    X(EDGE, "edge") /* the print lies outside the middle three fifths */                           \
    X(SIDE, "side")                                                                                \
    X(CORNER, "corner")                                                                            \
    X(ADJUSTED, "adjusted") /* dogs were taken up before, and gaps again */                        \
    X(RENEWED, "renewed")   /* and that since the gasket was renewed */                            \
    X(LOOSE, "loose")       /* a gap elsewhere */

typedef enum {
#define COAMING_REASON_CODE(code, word) COAMING_REASON_##code,
    COAMING_REASON_TABLE(COAMING_REASON_CODE)
#undef COAMING_REASON_CODE
        COAMING_REASONS
} coaming_reason;

/* What a closure is kept shut by, which decides the words of a remedy. */
typedef enum {
    COAMING_SHUT_BY_DOGS,       /* door, hatch, scuttle: dogs and hinges */
    COAMING_SHUT_BY_SCREW_DOGS, /* sidescuttle, with its deadlight behind it */
    COAMING_SHUT_BY_NUTS,       /* manhole, cover */
    COAMING_SHUT_BY_CLAMPS,     /* ventilator: the cover of its head */
    COAMING_SHUT_BY_SPINDLE     /* valve */
} coaming_fastening;

COAMING_API const char *coaming_advice_word(coaming_advice advice);
COAMING_API const char *coaming_reason_word(coaming_reason reason);
/* What it asks for where the closure is shut in this way. */
COAMING_API coaming_advice coaming_reason_advice(coaming_reason reason,
                                                 coaming_fastening fastening);
/* The public source of a reason where that is how it is shut, or "common practice" and what of. */
COAMING_API const char *coaming_reason_source(coaming_reason reason, coaming_fastening fastening);

enum { COAMING_FINDINGS = 4 };

/* Gaps that overlap or touch are one; so are stretches with the print off the middle. */
typedef struct {
    double at, length; /* m along the run; a gap may go on past the end of the run */
    double area;       /* m2 for each mm that it stands open; 0 with a print off the middle */
    coaming_reason reason;
    coaming_advice advice;
    int side;   /* 0 top, 1 free side, 2 bottom, 3 hinge side; -1: not known */
    int corner; /* 0 top hinge, 1 top free, 2 bottom free, 3 bottom hinge; -1 */
    int *dogs;  /* numbers from 1, rising: on either side and all between; owned by the reading */
    int dog_count;
} coaming_gap_reading;

typedef struct {
    int closure;
    coaming_fastening fastening;
    coaming_date date;     /* of the test whose print is read */
    double run;            /* m; 0: the size of the opening is not known */
    double printed;        /* share of the run with a print, 0 to 1; NaN: not known */
    double longest;        /* m, longest gap */
    double area;           /* m2 for each mm that the gaps stand open */
    coaming_reason reason; /* what comes first for the closure as a whole */
    coaming_advice advice; /* and what that asks for */
    int adjustment_count;  /* of dogs since the gasket was fitted or renewed */
    coaming_date renewed;  /* the gasket, by a recorded repair; COAMING_NO_DATE: none */
    double set, play;      /* m, as last measured of this gasket, of this hinge; NaN: not */
    size_t joint_count;    /* of this gasket, as far as they are known */
    double piece;          /* m, shortest; NaN: not known, or there is one piece only */
    coaming_reason findings[COAMING_FINDINGS]; /* by what was measured and by its pieces */
    int finding_count;
    coaming_gap_reading *gaps; /* owned by the reading */
    size_t gap_count;
} coaming_reading;

/* Reads the test of a closure that counts: of the failures that stand the latest whose gaps are
 * noted, else the one that decides how it stands, else its last test. COAMING_MEMORY. */
COAMING_API coaming_status coaming_reading_new(const coaming_ship *ship, int closure,
                                               coaming_reading **reading, coaming_error *error);
COAMING_API void coaming_reading_free(coaming_reading *reading);

/* The readings of several closures, in the order asked for. It borrows the ship; readings are
 * borrowed from it. */
typedef struct coaming_readings coaming_readings;

/* closures: NULL with count 0: of all for which there is something to do, in file order.
 * COAMING_MEMORY. Cost: gaps of them all. */
COAMING_API coaming_status coaming_readings_new(const coaming_ship *ship, const int *closures,
                                                size_t count, coaming_readings **readings,
                                                coaming_error *error);
COAMING_API void coaming_readings_free(coaming_readings *readings);
COAMING_API const coaming_ship *coaming_readings_ship(const coaming_readings *readings);
COAMING_API size_t coaming_readings_count(const coaming_readings *readings);
COAMING_API const coaming_reading *coaming_readings_get(const coaming_readings *readings,
                                                        size_t index);
/* Of a closure; NULL: it is not among them. */
COAMING_API const coaming_reading *coaming_readings_find(const coaming_readings *readings,
                                                         int closure);

#ifdef __cplusplus
}
#endif

#endif
