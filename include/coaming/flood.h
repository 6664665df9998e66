/*
 * coaming/flood.h - water in time: where it stands when, what it reaches, what can still be done.
 *
 * State: the water in each space that it can come to, and the plane of the sea aboard her. What goes
 * through an opening is that of an orifice and a weir over its wetted part, both ways: with the higher
 * and the lower surface so far above its lowest edge, and `a` the wetted heights,
 *   Cd b sqrt(2g) [2/3 (ha^1.5 - (ha - a)^1.5) + hb sqrt(ha - hb)], the free part and the one under
 * water (as a slot from a sill; derived, checks in tests/unit/test_flood.c). An opening in a deck is an
 * orifice of its area, and at little depth a weir all round it. Heads below COAMING_FLOOD_SMOOTH are
 * rounded off, so that nothing is infinitely stiff: the flow there grows with the head, not with its
 * root. Levels are those of each space's own volume curve in the attitude in which she lies, cut by a
 * plane exactly (ship/body.h); a full space bears the head on it.
 *
 * The ship is quasi-static. Water aboard is a weight that moves, cut level in each attitude; where it
 * stands in what has no buoyancy (above the hull's top) only what is above the sea weighs. At rest,
 * with every surface at the sea's, that is the lost buoyancy of flotation.h, so the end is what `float`
 * says with the same spaces open. She goes to where the height of gravity over buoyancy is least, with
 * a lag of COAMING_FLOOD_LAG; where nothing decides the side she goes to port. Waves and the ship's own
 * swing are not counted.
 *
 * Closures: open ones, passages and those rated nontight pass by their clear opening. A shut one that
 * stands as failed leaks by the gaps of its last print x stand_off; without gaps recorded, by
 * COAMING_FLOOD_GAP of its gasket's run; a weathertight one under water by all of its run: assumptions,
 * no source. The gap is spread evenly over the height of the opening. An untested one holds. One with a
 * collapse head gives way at that difference of heads over its lowest edge, and is open from then on.
 * Openings without <clear> have the size of COAMING_FLOOD_OPENINGS, an assumption; they are listed.
 *
 * Pumps run from the start unless a change switches them on; they take from the wet ones of the spaces
 * that they serve alike, less where water is less than 5 cm deep, and stop once what they hang on is
 * under water.
 * A closure with remote="yes" is shut from elsewhere as long as neither its power nor its control was
 * under water; from then on by hand, where somebody can stand beside it: on a side that it is worked
 * from, where people walk, with less than COAMING_FLOOD_IMPASSABLE_DEPTH over the floor. Else it stays
 * as it is. Whether anybody gets there in time is not asked, nor of one that is always shut by hand.
 * Not modelled: air that cannot get out (spaces with such a pocket are listed: they fill here as if it
 * could), sloshing, flow along a compartment, drag of what stands about in it.
 * A tank's content stays as it is until sea comes in; from then on it is sea of the same volume.
 *
 * Method of integration: backward differences of varying order with Newton's method, sparse (CVODE of
 * SUNDIALS: Hindmarsh and others, ACM Transactions on Mathematical Software 31(3), 2005); every flow
 * takes from one space what it gives to the other, so volume is kept to rounding. Events are zeros of
 * functions that it looks for.
 *
 * Lifetime: a coaming_flood borrows the ship and owns all that it points to. Units: s, m, m2, m3,
 * degrees, tonnes. Cost: each rate one cut of the hull and one or two of each wet space.
 */
#ifndef COAMING_FLOOD_H
#define COAMING_FLOOD_H

#include "coaming/grade.h"

#ifdef __cplusplus
extern "C" {
#endif

#define COAMING_FLOOD_SMOOTH    1e-3 /* m of head */
#define COAMING_FLOOD_PROMISE   10   /* times the tolerance; measured, tests/unit/test_flood.c */
#define COAMING_FLOOD_LAG       0.05 /* s */
#define COAMING_FLOOD_GAP       0.1  /* of the gasket's run: of a failed closure without a print */
#define COAMING_FLOOD_WET_DEPTH 0.01 /* m over the lowest corner: a space is wet from there on */
#define COAMING_FLOOD_KNEE_DEPTH                                                                   \
    0.5 /* m over the floor at a door: knee deep; common practice, no source */
#define COAMING_FLOOD_IMPASSABLE_DEPTH 1.0 /* m, the same */
#define COAMING_FLOOD_DROWNED_DEPTH                                                                \
    0.5 /* m over the lowest corner: what stands there is under water */

/* Kind of link, width and height in m that are taken where the arrangement gives none. */
#define COAMING_FLOOD_OPENINGS(X)                                                                  \
    X("door", 0.7, 1.7)                                                                            \
    X("hatch", 0.8, 0.8)                                                                           \
    X("scuttle", 0.5, 0.5)                                                                         \
    X("manhole", 0.4, 0.6)                                                                         \
    X("ventilator", 0.3, 0.3)                                                                      \
    X("valve", 0.1, 0.1)                                                                           \
    X("sidescuttle", 0.3, 0.3)                                                                     \
    X("cover", 0.5, 0.5)                                                                           \
    X("arch", 1.0, 2.0)                                                                            \
    X("duct", 0.4, 0.4)                                                                            \
    X("drain", 0.05, 0.05)                                                                         \
    X("stair", 0.8, 2.0)                                                                           \
    X("cable", 0.05, 0.05)                                                                         \
    X("pipe", 0.1, 0.1)

/* A hole to the sea. */
typedef struct {
    int space;
    double area;   /* m2, more than 0 */
    double height; /* of its middle above the baseline; NaN: the lowest place of the space */
} coaming_flood_breach;

/* Water from elsewhere: a burst main, hoses. */
typedef struct {
    int space;
    double rate; /* m3/s, more than 0 */
} coaming_flood_inflow;

/* Code, word: what is done, or happens by itself, at a moment. */
#define COAMING_FLOOD_CHANGE_TABLE(X)                                                              \
    X(SHUT, "shut")                                                                                \
    X(OPEN, "open")                                                                                \
    X(FAIL, "fail")                                                                                \
    X(PUMP_ON, "pump on")                                                                          \
    X(PUMP_OFF, "pump off")

typedef enum {
#define COAMING_FLOOD_CHANGE_CODE(code, word) COAMING_FLOOD_##code,
    COAMING_FLOOD_CHANGE_TABLE(COAMING_FLOOD_CHANGE_CODE)
#undef COAMING_FLOOD_CHANGE_CODE
} coaming_flood_change_kind;

COAMING_API const char *coaming_flood_change_word(coaming_flood_change_kind kind);

/* A closure that is shut, if it can be, holds as it is rated and stands; one that fails leaks from then on if it is
 * shut. A pump that is switched on by a change is off until then; the others run from the start. */
typedef struct {
    double t; /* s, 0 or more */
    coaming_flood_change_kind kind;
    int which; /* closure or pump */
} coaming_flood_change;

typedef struct {
    int condition, loading;
    const coaming_flood_breach *breaches; /* all lists are borrowed for the call */
    size_t breach_count;
    const coaming_flood_inflow *inflows;
    size_t inflow_count;
    const coaming_flood_change *changes; /* in any order */
    size_t change_count;
    double until;     /* s, more than 0 */
    double every;     /* s between the moments told, more than 0 */
    double discharge; /* Cd of every opening; customary 0.6, no source */
    double stand_off; /* m between gasket and edge where the print is broken: assumption */
    double tolerance; /* part of a volume that a step may be off: volumes are told to
                       * COAMING_FLOOD_PROMISE of these of each space's own, or see `kept` */
    /* Tell at each moment whether she survives, and since when not, to a second after a moment at which
     * she did: costs more than the rest. */
    bool grades;
} coaming_flood_ask;

/* No condition, no loading, an hour, every minute, 0.6, 2 mm, 1e-5, with grades. */
COAMING_API coaming_flood_ask coaming_flood_ask_default(void);

/* Code, word for programs, text for people: what happened. */
#define COAMING_FLOOD_EVENT_TABLE(X)                                                               \
    X(SPACE_WET, "space_wet", "water in")                                                          \
    X(VITAL_WET, "vital_wet", "water in a vital space")                                            \
    X(SPACE_FULL, "space_full", "full")                                                            \
    X(CLOSURE_WET, "closure_wet", "water at its lowest edge")                                      \
    X(KNEE_DEEP, "knee_deep", "knee deep at a door on a way out")                                  \
    X(IMPASSABLE, "impassable", "impassable: a door on a way out")                                 \
    X(COLLAPSE, "collapse", "gives way")                                                           \
    X(REMOTE_LOST, "remote_lost", "can no longer be shut from elsewhere")                          \
    X(SHUT_DONE, "shut", "shut")                                                                   \
    X(SHUT_BY_HAND, "shut_by_hand", "shut by hand, beside it")                                     \
    X(NOT_SHUT, "not_shut", "cannot be shut")                                                      \
    X(OPEN_DONE, "open", "opened")                                                                 \
    X(FAIL_DONE, "fail", "fails")                                                                  \
    X(PUMP_STARTS, "pump_on", "pump runs")                                                         \
    X(PUMP_STOPS, "pump_off", "pump stopped")                                                      \
    X(PUMP_DROWNS, "pump_drowned", "pump stops: it, or its power, is under water")                 \
    X(DECK_UNDER, "deck_under", "deck edge under water")                                           \
    X(NOT_SURVIVING, "not_surviving", "afloat, but not surviving")                                 \
    X(LOST, "lost", "lost")                                                                        \
    X(AT_REST, "at_rest", "water and ship at rest")

typedef enum {
#define COAMING_FLOOD_EVENT_CODE(code, word, text) COAMING_FLOOD_##code,
    COAMING_FLOOD_EVENT_TABLE(COAMING_FLOOD_EVENT_CODE) COAMING_FLOOD_EVENTS
#undef COAMING_FLOOD_EVENT_CODE
} coaming_flood_event_kind;

COAMING_API const char *coaming_flood_event_word(coaming_flood_event_kind kind);
COAMING_API const char *coaming_flood_event_text(coaming_flood_event_kind kind);

typedef struct {
    double t;
    coaming_flood_event_kind kind;
    int link; /* -1: none */
    int space; /* of a link the side on which the water stands, else -1 if it is the outside; of a pump
                * that drowns, and of a closure that loses its remote control or for want of it stays
                * open, the space that is under */
    int pump; /* -1: none */
} coaming_flood_event;

/* How she lies at a moment. */
typedef struct {
    double t;
    double draught, draught_aft, draught_fwd, trim, heel, freeboard; /* as in coaming_float */
    double water;    /* m3 aboard, but for tanks that no sea came to */
    double inflow;   /* m3 that came aboard since the start; less pumped it is in the spaces */
    double pumped;   /* m3 that went out again, pumped or by itself */
    double plane[4]; /* of the sea: normal and height, as in coaming_float */
    bool graded;
    coaming_grade grade; /* as she is with the water that is in her then, cut level */
} coaming_flood_moment;

/* A space that water came to. Lists have a place for each moment. */
typedef struct {
    int space;
    const double
        *levels; /* of the surface above the baseline, in the middle of the space; NaN: dry */
    const double *depths;  /* m over its lowest corner; 0: dry */
    const double *volumes; /* m3 */
    double wet;            /* s; NaN: never, as counted in events */
    double pocket; /* m3 of it above its highest opening that is not shut tight: air that cannot get
                    * out, not modelled; 0: none */
} coaming_flood_space;

typedef struct {
    coaming_flood_ask asked;             /* without its lists */
    const coaming_flood_moment *moments; /* the first at 0, the last at the end */
    size_t moment_count;
    const coaming_flood_space *spaces; /* in file order */
    size_t space_count;
    const coaming_flood_event *events; /* by time */
    size_t event_count;
    double end;       /* s: when it ended, asked for, lost, or at rest */
    bool at_rest;     /* levels no longer change: nothing flows, or pumps take what comes in */
    coaming_float at; /* how she lies then; lost: as float says it */
    coaming_stability stability;
    const int *assumed; /* links whose size is assumed, of those that water passed */
    size_t assumed_count;
    const int *leaking; /* closures that leaked by an assumed gap, of those that water passed */
    size_t leaking_count;
    double kept;         /* the tolerance that was kept throughout: as asked, or more, where the
                          * equations are too rough for it */
    double off;          /* m3: what volumes differ from what came in less what went out */
    size_t steps, rates; /* that it took */
} coaming_flood_answer;

typedef struct coaming_flood coaming_flood;

/* COAMING_USAGE of an ask that is out of bounds, and without a source of water (no breach, no inflow,
 * nothing that lets the sea in); COAMING_USAGE and COAMING_INPUT as coaming_flotation_new;
 * COAMING_MEMORY; COAMING_INTERNAL if it cannot be integrated. */
COAMING_API coaming_status coaming_flood_new(const coaming_ship *ship, const coaming_flood_ask *ask,
                                             coaming_flood **flood, coaming_error *error);
COAMING_API void coaming_flood_free(coaming_flood *flood);
COAMING_API const coaming_flood_answer *coaming_flood_get(const coaming_flood *flood);

/* Until when shutting a closure that stands open, and that water passes, still helps. */
typedef struct {
    int closure;
    int space;  /* that it keeps dry: the side that is dry without it; -1: none is */
    double dry; /* s, the latest; NaN: not even at the start; INFINITY: dry without it */
    double
        afloat; /* s, the latest that keeps her afloat; NaN: none does; INFINITY: she is anyhow */
    bool worse; /* shut as late as keeps it dry, she ends in a worse grade than as asked */
    coaming_grade shut_grade; /* that, if it is worse */
} coaming_flood_deadline;

typedef struct coaming_flood_deadlines coaming_flood_deadlines;

#define COAMING_FLOOD_DEADLINE 1e-3 /* of the time that is followed */

/* Of the closures that are open or fail and pass water in the flood as asked: by halving, to a
 * second or COAMING_FLOOD_DEADLINE of `until`, whichever is more, on the early side. Cost: some ten
 * floods a closure, and as many again if she is lost. */
COAMING_API coaming_status coaming_flood_deadlines_new(const coaming_ship *ship,
                                                       const coaming_flood_ask *ask,
                                                       coaming_flood_deadlines **deadlines,
                                                       coaming_error *error);
COAMING_API void coaming_flood_deadlines_free(coaming_flood_deadlines *deadlines);
COAMING_API size_t coaming_flood_deadline_count(const coaming_flood_deadlines *deadlines);
COAMING_API const coaming_flood_deadline *
coaming_flood_deadline_get(const coaming_flood_deadlines *deadlines, size_t index);

/* An event in many floods, each with its closures sound or leaking as drawn by their chances; of one that
 * happens again, such as a shutting, when it does first. */
typedef struct {
    coaming_flood_event event; /* its t: the median */
    double early, late;        /* 10 and 90 % of the draws; INFINITY: not by then */
    double share;              /* of the draws in which it happens */
} coaming_flood_likely_event;

typedef struct coaming_flood_likely coaming_flood_likely;

/* not_surviving is among them if the ask is with grades, as finely as in one flood. draws: 1 to 100000.
 * The same seed draws the same, whatever the number of threads. */
COAMING_API coaming_status coaming_flood_likely_new(const coaming_ship *ship,
                                                    const coaming_flood_ask *ask, size_t draws,
                                                    unsigned long long seed,
                                                    coaming_flood_likely **likely,
                                                    coaming_error *error);
COAMING_API void coaming_flood_likely_free(coaming_flood_likely *likely);
/* By the median, INFINITY last; of these in the order of event kinds and of files. */
COAMING_API size_t coaming_flood_likely_count(const coaming_flood_likely *likely);
COAMING_API const coaming_flood_likely_event *
coaming_flood_likely_get(const coaming_flood_likely *likely, size_t index);

#ifdef __cplusplus
}
#endif

#endif
