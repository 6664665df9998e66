/*
 * coaming/boundary.h - everything that must be shut to seal spaces off, and from which side.
 *
 * Purpose: gas is to be released into a space, or it burns, or it floods, and all that leads out of
 * it is to be shut. The spaces named are one set; its boundary is every link, closure or passage,
 * valve or ventilator, with one side in the set and the other outside it, the sea and the weather
 * too. Each stands in it once.
 *
 * What a link keeps back were it shut and sound: a passage, a closure that nothing shuts and one
 * rated nontight keep nothing; watertight and airtight ones keep water and air; a weathertight one
 * keeps air, and under water it slows the water and may not hold (state.h has the model, the
 * lines of hold.h take it so too). Water does not act where the lowest edge of the link is above
 * it, air not on what leads to the sea. Water is counted, at equilibrium, where she floats with the
 * set and what the sea is let into already open to the sea, and nothing more; if she does not stay
 * afloat so, every link is under water. At a level that fills a source, to the top of the highest
 * space of the set, at least to the plane of the draught.
 *
 * Who shuts it: from outside the set if the arrangement lets it be worked from there and somebody
 * can stand there (round.h says where people walk), but not from an enclosed space where it can be
 * worked from one of the set that is not; else from inside. Those that are open are in
 * the order of a walk (round.h) that goes into none of the set; then those that only a way through
 * the set leads to, in the order of a second walk; then those that no way on foot leads to.
 *
 * Lifetime: a coaming_boundary borrows the ship and owns all that its rows point to.
 * Cost: links, n log n to order them, two walks, and at equilibrium a floating position.
 */
#ifndef COAMING_BOUNDARY_H
#define COAMING_BOUNDARY_H

#include "coaming/flotation.h"
#include "coaming/query.h"
#include "coaming/round.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Code, word. In the order of the rows. */
#define COAMING_BOUND_TABLE(X)                                                                     \
    X(CANNOT, "cannot_be_shut") /* it keeps nothing back, shut or not */                           \
    X(TO_SHUT, "to_shut")       /* it is open: by condition, or as seen */                         \
    X(SHUT, "shut")             /* it is shut already, whether it holds or not */                  \
    X(UNREACHED, "not_reached") /* no hazard that was asked for acts on it */

typedef enum {
#define COAMING_BOUND_CODE(code, word) COAMING_BOUND_##code,
    COAMING_BOUND_TABLE(COAMING_BOUND_CODE)
#undef COAMING_BOUND_CODE
        COAMING_BOUND_GROUPS
} coaming_bound_group;

/* The word of the table. */
COAMING_API const char *coaming_bound_group_word(coaming_bound_group group);

/* Code, word: what it does to a hazard once it is shut, if it is sound. */
#define COAMING_KEEPS_TABLE(X)                                                                     \
    X(BACK, "holds")                                                                               \
    X(SLOWED, "slows") /* it may not hold */                                                       \
    X(NOTHING, "passes")                                                                           \
    X(UNREACHED, "not_reached")                                                                    \
    X(UNASKED, NULL)

typedef enum {
#define COAMING_KEEPS_CODE(code, word) COAMING_KEEPS_##code,
    COAMING_KEEPS_TABLE(COAMING_KEEPS_CODE)
#undef COAMING_KEEPS_CODE
} coaming_keeps;

/* The word of the table; NULL for COAMING_KEEPS_UNASKED. */
COAMING_API const char *coaming_keeps_word(coaming_keeps keeps);

typedef struct {
    int link;
    coaming_place inside, outside; /* its two sides; inside is a space of the set */
    coaming_bound_group group;
    coaming_keeps keeps[COAMING_HAZARDS];
    bool can_be_worked; /* is there a side where somebody can stand and work it? Else from outside
                          * the hull only, or not at all; false of passages */
    coaming_place side; /* that side: outside, unless it is worked from inside only, or the walk
                          * gets to it inside only */
    bool remote;   /* it can be shut from elsewhere too, its power and control outside the set */
    bool open;     /* it is not shut, by condition or as seen; true of passages */
    double leak;   /* chance that it leaks once shut; 1 of what keeps nothing back; of what
                          * slows the water at least COAMING_HOLD_SLOWS */
    double height; /* of its lowest edge above the water, m; NaN: water is not asked for, or
                          * she does not stay afloat */
    const coaming_round_stop *way; /* to what is to be shut; NULL: no way on foot leads there */
    bool through;                  /* that way goes through the set */
} coaming_bound;

/* What the rows come to. */
typedef struct {
    size_t count[COAMING_BOUND_GROUPS];
    size_t slow;             /* of those to shut and shut: they slow the water, they may not hold */
    size_t sure;             /* of the same: sure to leak, as what is seen to have failed */
    size_t failed, untested; /* of those shut: how they stand */
    size_t remote;           /* of those to shut: by remote control too */
    size_t through;          /* of those to shut: only by a way through the set, or from inside */
    size_t no_way;           /* of those to shut: no way on foot */
    double holds;            /* chance that all that is reached holds once shut, each by itself */
    double seconds, metres;  /* of the walk outside the set, way back included */
} coaming_boundary_sum;

typedef struct coaming_boundary coaming_boundary;

/*
 * spaces: the set, each once at least; walk: from where, and how fast; what it avoids is replaced by
 * the set. COAMING_USAGE: no space, one that does not exist, or all of them; no hazard; what
 * coaming_round_new refuses, such as a start in the set; and at equilibrium what
 * coaming_flotation_new refuses. COAMING_INPUT as that one; COAMING_MEMORY, COAMING_INTERNAL.
 */
COAMING_API coaming_status coaming_boundary_new(const coaming_ship *ship, coaming_query query,
                                                const int *spaces, size_t count,
                                                const coaming_round_options *walk,
                                                coaming_boundary **boundary, coaming_error *error);
COAMING_API void coaming_boundary_free(coaming_boundary *boundary);

/* The rows by group; those to shut in walking order, those shut by how they stand, failed first,
 * then untested; else in file order. */
COAMING_API size_t coaming_boundary_count(const coaming_boundary *boundary);
COAMING_API const coaming_bound *coaming_boundary_get(const coaming_boundary *boundary,
                                                      size_t index);
COAMING_API coaming_boundary_sum coaming_boundary_total(const coaming_boundary *boundary);

/* The set in file order. */
COAMING_API const int *coaming_boundary_spaces(const coaming_boundary *boundary, size_t *count);
/* Who walks: as asked for, without the set. */
COAMING_API coaming_round_options coaming_boundary_walk(const coaming_boundary *boundary);
/* How she floats with the set open to the sea; NULL: not asked, for no water at equilibrium is. */
COAMING_API const coaming_float *coaming_boundary_float(const coaming_boundary *boundary);

#ifdef __cplusplus
}
#endif

#endif
