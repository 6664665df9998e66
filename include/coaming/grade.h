/*
 * coaming/grade.h - how good a floating position is, in four grades, and what limits it.
 *
 * Lost: she sinks, goes down by one end, or capsizes (no position with a positive range of righting
 * arms up to 60 degrees of heel). Not surviving: afloat, but one of the limits below is passed.
 * Beyond: none is, but the factor s of SOLAS II-1/7-2 is less than 1. Within: s is 1.
 *
 * Limits: deck edge under water; an opening under water that lets water on; heel over 15 degrees;
 * range of righting arms under 7 degrees; greatest righting arm under 0.05 m. The last three are
 * those of intermediate stages of flooding in SOLAS II-1/7-2 (text of MSC.216(82), read as French
 * national law, Division 221, article 221-II-1/07-2).
 *
 * Openings that let water in, in a state of the closures (condition and answer): closures and
 * passages that pass, weathertight closures too, between the outside or a flooded space and a space
 * that is not flooded, if the water would take buoyancy: the space is part of the hull, or leads on
 * to one that is by what passes. Spaces that stand open to the sea by passages alone, undamaged,
 * are wet by design and count as flooded here. A closure that is `protected` does not count while
 * no test found it failed. Righting arms end at the first angle at which one of them goes under
 * (its lowest edge, in the middle). Not looked for: one that dips under between two of the angles
 * and comes out again.
 *
 * Factor s: in the final stage, K x [GZmax/0.12 x range/16]^(1/4) with GZmax at most 0.12 m and
 * range at most 16 degrees, K = 1 to 25 degrees of heel, 0 from 30, between them the square root of
 * (30 - heel)/5; of a ship that carries 13 or more persons who are not of her crew, as of passenger
 * ships, 1 to 7 degrees, 0 from 15, between them the square root of (15 - heel)/8 (same article). It
 * is 0 if an opening that lets water on is under, and if the deck is under water right across
 * somewhere, for then no way along it and no control on it is left (paragraphs 5.2 and 5.3, read for
 * what an arrangement knows). Moments of wind, passengers and survival craft are not counted. This is
 * not the statutory calculation.
 *
 * Units: degrees, m. Cost: the righting arms, which are kept by set of flooded spaces.
 */
#ifndef COAMING_GRADE_H
#define COAMING_GRADE_H

#include "coaming/flotation.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Which closures hold: as built (every one that is shut, but for nontight and, under water,
 * weathertight ones), as last tested, and with untested ones leaking as well. */
typedef enum {
    COAMING_AS_BUILT,
    COAMING_AS_TESTED,
    COAMING_UNTESTED_LEAK,
    COAMING_ANSWERS
} coaming_answer;

/* Code, word for programs, words for people; the best first. */
#define COAMING_GRADE_TABLE(X)                                                                     \
    X(WITHIN, "within", "afloat, within the limits of SOLAS II-1/7-2")                             \
    X(BEYOND, "beyond", "afloat, but beyond the limits of SOLAS II-1/7-2")                         \
    X(NOT_SURVIVING, "not_surviving", "afloat, but not surviving")                                 \
    X(LOST, "lost", "lost")

typedef enum {
#define COAMING_GRADE_CODE(code, word, text) COAMING_GRADE_##code,
    COAMING_GRADE_TABLE(COAMING_GRADE_CODE) COAMING_GRADES
#undef COAMING_GRADE_CODE
} coaming_grade;

COAMING_API const char *coaming_grade_word(coaming_grade grade);
COAMING_API const char *coaming_grade_text(coaming_grade grade);

/* Code, words. */
#define COAMING_LIMIT_TABLE(X)                                                                     \
    X(DECK, "deck edge under water")                                                               \
    X(BULKHEAD_DECK, "bulkhead deck under water")                                                  \
    X(OPENING, "an opening that lets water on under water")                                        \
    X(HEEL, "heel over 15 degrees")                                                                \
    X(RANGE, "range of righting arms under 7 degrees")                                             \
    X(ARM, "greatest righting arm under 0.05 m")

typedef enum {
#define COAMING_LIMIT_CODE(code, text) COAMING_LIMIT_##code,
    COAMING_LIMIT_TABLE(COAMING_LIMIT_CODE) COAMING_LIMITS
#undef COAMING_LIMIT_CODE
} coaming_limit;

COAMING_API const char *coaming_limit_text(coaming_limit limit);

typedef struct {
    coaming_grade grade;
    bool passed[COAMING_LIMITS]; /* which limits are; none if she is lost */
    double s;
    double flooding_angle; /* heel to the side of the arms; NaN: none up to 60 degrees */
    int flooding_opening;  /* link; -1: none */
    /* up to the flooding angle; arm_count: those before it. All 0 if she is lost. */
    coaming_righting righting;
    int arm_count;
} coaming_stability;

/* at: as solved for the same spaces; it becomes that of a capsized ship if she has no positive
 * range. */
COAMING_API coaming_status coaming_flotation_grade(coaming_flotation *flotation,
                                                   const bool *flooded, coaming_float *at,
                                                   int condition, coaming_answer answer,
                                                   coaming_stability *stability,
                                                   coaming_error *error);

/* The factor s of a floating position, of a passenger ship or of another; heel in degrees. */
COAMING_API double coaming_survival_factor(bool passenger, double heel, double greatest,
                                           double range);

#ifdef __cplusplus
}
#endif

#endif
