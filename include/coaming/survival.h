/*
 * coaming/survival.h - what damage to her side does to her, as built and as her closures are: cases
 * with their weights, the factor s of each, and the index that they add up to.
 *
 * Cases: SOLAS II-1, regulation 7-1 (text of MSC.216(82), read as French national law, Division
 * 221, article 221-II-1/07-1). Zones are those of the arrangement, else from end to end of the
 * shell spaces. Damage lies in one zone or in zones next to each other; it reaches in from the
 * shell to one of the longitudinal boundaries of all those zones together, at most to the centre
 * line; and up to one of the horizontal boundaries above the water, or without limit. A case opens
 * every space that its box meets; its weight is p r v. The weights of one loading and side add up
 * to 1. Cases of one side that open the same spaces are one: zones, penetration and height are then
 * those of the heaviest of them.
 *
 * Where a boundary lies: a space begins where the plane along her that touches its outermost part
 * stands, by the mean distance of that plane from the shell at the deepest draught over what of the
 * zone the space takes up, but at most twice the least distance. A space at the shell begins there.
 * 0.15 m of bulkhead or lining is no distance, and no part of a zone (common practice, no source).
 *
 * Lesser extents: damage may leave whole what lies under a horizontal boundary below the water. In
 * each state the extent counts that is worst there.
 *
 * States: as built, as last tested, if untested ones leak (coaming_answer), and as likely as the
 * history of the closures says. s is that of grade.h in the final stage.
 *
 * Index: the sum of weight x s, of both sides by halves; over the loadings 0.4, 0.4 and 0.2 where
 * one each is named deepest, partial and light, else all alike. Beside it stands what regulation 6
 * asks of a ship of her length: of one with 13 or more persons who are not of the crew as a
 * passenger ship, else as a cargo ship, from 80 m on; of the former it is the least that it can be,
 * for her crew, which counts, is not known. This is not the statutory calculation:
 * permeabilities are the arrangement's own, moments of wind and people are not counted, nor are
 * intermediate stages of flooding.
 *
 * Lifetime: a coaming_survival borrows the ship and owns all that it points to. Units: m. Cost:
 * cases x states x (settling, and the righting arms), kept by set of flooded spaces, by as many
 * threads as there are processors; what is found does not depend on them. Memory: what is kept takes
 * at most 256 MiB in all, beyond which it is worked out again; a tree of what may leak at most 64 MiB
 * a thread; besides, some 100 bytes for each case and closure or space that it names.
 */
#ifndef COAMING_SURVIVAL_H
#define COAMING_SURVIVAL_H

#include "coaming/grade.h"

#ifdef __cplusplus
extern "C" {
#endif

/* How a case may turn by how her closures were last tested. Both may be: what was survived as built
 * and is lost as last tested. */
typedef enum {
    COAMING_TURN_LOST,       /* grade lost as last tested, and not as built */
    COAMING_TURN_UNSURVIVED, /* s is 0 as last tested, and above 0 as built */
    COAMING_TURNS
} coaming_survival_turn;

/* A value that is known to lie between limits. All NaN: not worked out. */
typedef struct {
    double value, low, high;
} coaming_survival_limits;

typedef struct {
    bool starboard;
    int first_zone, last_zone; /* from aft, from 1 */
    double penetration;        /* from the shell; half the breadth for the deepest */
    double height;             /* above the baseline; infinite: without limit */
    double weight;
    int loading;       /* of coaming_survival_loading_get */
    const int *opened; /* spaces, in file order */
    size_t opened_count;
    /* by state; the extent that is worst in it */
    double s[COAMING_ANSWERS];
    coaming_grade grade[COAMING_ANSWERS];
    /* as last tested, of the extent that is worst then */
    const int *spared; /* spaces that it leaves whole of those opened, in file order */
    size_t spared_count;
    const int *flooded; /* spaces, in file order; if she is lost, up to then */
    size_t flooded_count;
    /* Where s as last tested is less than as built, or she is lost only then: closures in file
     * order. Each alone, if made sound, gives some of s back, or keeps her from being lost; where
     * none does, those that together give all of it back, and each of which is needed for that (in
     * one of the extents that are worse). */
    const int *turned_by;
    size_t turned_by_count;
    bool turned_together;             /* none does alone */
    coaming_survival_limits expected; /* of s, as likely as the history says */
    coaming_survival_limits lost;     /* chance that she is lost */
} coaming_survival_case;

/* What one closure costs, in index. */
typedef struct {
    int closure;
    double tested_gain; /* what the index as last tested is more if it alone were
                                         * sound; less than 0 where its water takes heel off her */
    double turned;      /* sum of the next two of COAMING_TURN_LOST */
    /* Weight of the cases that so turn, and do not if it alone were sound; and of those that no
     * closure turns back alone, and it does together with others. */
    double turned_alone[COAMING_TURNS], turned_together[COAMING_TURNS];
    coaming_survival_limits index_gain; /* what the expected index is more if it is sure to hold */
    coaming_survival_limits lost_gain;  /* what the chance to be lost is less then */
} coaming_survival_closure;

typedef struct {
    double from, to;              /* m along her */
    double weight;                /* of the cases that reach into it, over loadings and sides */
    double lost[COAMING_ANSWERS]; /* of them the weight that is lost */
    double gone[COAMING_ANSWERS]; /* of them the sum of weight x (1 - s) */
} coaming_survival_zone;

typedef struct {
    const char *id, *name; /* NULL: the arrangement names no loading */
    double share;          /* of the index; adds up to 1 */
    double draught;        /* at mid-length */
    double index[COAMING_ANSWERS];
    coaming_survival_limits expected;
    coaming_float undamaged;     /* with nothing flooded; loll: she is unstable upright */
    coaming_stability stability; /* of that, as last tested */
} coaming_survival_loading;

typedef struct {
    double index[COAMING_ANSWERS];
    coaming_survival_limits expected; /* of the index */
    double expected_error;            /* standard error of its value, where that was sampled */
    double lost[COAMING_ANSWERS];     /* weight of the cases that she is lost in */
    coaming_survival_limits lost_expected;
    double turned[COAMING_TURNS];       /* weight of the cases that so turn */
    size_t turned_cases[COAMING_TURNS]; /* how many */
    double required;                    /* NaN: nothing is asked of her */
    double required_each; /* of the index of each loading: 0.9 of it of a passenger ship, 0.5 of a
                           * cargo ship; NaN: nothing, or not one each is deepest, partial and light */
    bool passenger;       /* as which it is asked */
    bool at_least;        /* her crew, or places in lifeboats, may make it more: neither is known */
    double length, breadth; /* as the formulas take them */
} coaming_survival_index;

/* One of the likeliest ways that she is lost. */
typedef struct {
    size_t which;        /* of coaming_survival_get */
    const int *closures; /* that leak, in file order */
    size_t closure_count;
    const int *flooded;
    size_t flooded_count;
    double probability; /* of the closures' state, times the share of the case */
} coaming_survival_way;

typedef struct {
    int condition;
    int loading;   /* this alone; COAMING_NO_LOADING: all that the index is made of */
    bool expected; /* also as likely as the history says */
    double within; /* of the weight, what may be left open of it, in each case */
    /* How often she may be settled or graded for what is expected, over all cases; then limits are as
     * wide as they are, and what is open is sampled. 0: until `within` is met. */
    size_t work;
} coaming_survival_options;

/* No condition, no loading, expected, within 0.001. */
COAMING_API coaming_survival_options coaming_survival_options_default(void);

enum { COAMING_SURVIVAL_WORK = 8000 };
/* What her cases of damage may name of spaces, all sets that they open together. */
enum { COAMING_SURVIVAL_NAMED_MOST = 1 << 23 };

typedef struct coaming_survival coaming_survival;

/* COAMING_USAGE: within is not above 0 and at most 1; and as coaming_flotation_new. COAMING_INPUT:
 * she does not stay afloat undamaged in a loading; or has loadings, and none is named deepest; or her
 * damage opens sets that name more than COAMING_SURVIVAL_NAMED_MOST spaces, which grow with the cube
 * of her decks. */
COAMING_API coaming_status coaming_survival_new(const coaming_ship *ship,
                                                const coaming_survival_options *options,
                                                coaming_survival **survival, coaming_error *error);
COAMING_API void coaming_survival_free(coaming_survival *survival);

COAMING_API const coaming_survival_index *
coaming_survival_get_index(const coaming_survival *survival);

/* Cases by loading, then port before starboard, then from aft, short before long, shallow before
 * deep, low before high. */
COAMING_API size_t coaming_survival_count(const coaming_survival *survival);
COAMING_API const coaming_survival_case *coaming_survival_get(const coaming_survival *survival,
                                                              size_t index);
/* Does a case so turn? */
COAMING_API bool coaming_survival_turned(const coaming_survival_case *damage,
                                         coaming_survival_turn turn);
/* Share of a case in the index: that of its loading, times half its weight. */
COAMING_API double coaming_survival_share(const coaming_survival *survival, size_t index);

COAMING_API size_t coaming_survival_loading_count(const coaming_survival *survival);
COAMING_API const coaming_survival_loading *
coaming_survival_loading_get(const coaming_survival *survival, size_t index);

/* From aft. */
COAMING_API size_t coaming_survival_zone_count(const coaming_survival *survival);
COAMING_API const coaming_survival_zone *coaming_survival_zone_get(const coaming_survival *survival,
                                                                   size_t index);

/* Closures that anything hangs on, greatest gain first: of the expected index, where it was worked
 * out, then of that as last tested. */
COAMING_API size_t coaming_survival_closure_count(const coaming_survival *survival);
COAMING_API const coaming_survival_closure *
coaming_survival_closure_get(const coaming_survival *survival, size_t index);

/* Likeliest first. */
COAMING_API size_t coaming_survival_way_count(const coaming_survival *survival);
COAMING_API const coaming_survival_way *coaming_survival_way_get(const coaming_survival *survival,
                                                                 size_t index);

#ifdef __cplusplus
}
#endif

#endif
