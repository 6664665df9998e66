/*
 * coaming/ranking.h - what each closure costs if it fails, and which of them stand failed or
 * untested.
 *
 * consequence(c) = sum over the scenarios of weight x [loss if c passes - loss if c holds], all
 * other closures as last tested (untested ones hold), loss being a measure summed over the reached
 * spaces. A scenario is a source with a weight, from the arrangement or, where it gives none for a
 * hazard, the defaults: water from outside with weight 1 and a breach of each shell space, equal
 * weights that add up to 1; air from the weather with weight 1 and a source in each space, equal
 * weights that add up to 1.
 *
 * Method: one traversal for each hazard and level serves all closures and scenarios
 * (graph/reach.h). Cost: (spaces + links) x different levels, and n log n for the order. Order:
 * greatest consequence first; values that agree in their first 12 digits stand in file order.
 * At the level of equilibrium each scenario is settled with the ship where she then floats
 * (flotation.h), once for each closure that can matter to it; only there can the loss be counted in
 * freeboard or gm (m lost to the ship herself, water only). A ship that does not stay afloat has
 * lost all her gm; freeboard counts down to her depth below the deck edge, and that for a ship
 * lost. Lifetime: a coaming_ranking borrows the ship; rows are borrowed from the ranking.
 */
#ifndef COAMING_RANKING_H
#define COAMING_RANKING_H

#include "coaming/query.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Code, word, unit. */
#define COAMING_MEASURE_TABLE(X)                                                                   \
    X(WORTH, "worth", "")                                                                          \
    X(VOLUME, "volume", "m3")                                                                      \
    X(PEOPLE, "people", "")                                                                        \
    X(SPACES, "spaces", "")                                                                        \
    X(FREEBOARD, "freeboard", "m")                                                                 \
    X(GM, "gm", "m")

typedef enum {
#define COAMING_MEASURE_CODE(code, word, unit) COAMING_MEASURE_##code,
    COAMING_MEASURE_TABLE(COAMING_MEASURE_CODE)
#undef COAMING_MEASURE_CODE
        COAMING_MEASURES
} coaming_measure;

COAMING_API const char *coaming_measure_word(coaming_measure measure);
COAMING_API const char *coaming_measure_unit(coaming_measure measure);

typedef struct {
    int closure;
    double part[COAMING_HAZARDS]; /* consequence by hazard, in units of the measure */
    double consequence;           /* sum of the parts */
    /* The scenario with the greatest weighted loss of this closure; has_worst false: none loses. */
    bool has_worst;
    coaming_hazard worst_hazard;
    coaming_place worst_source;
    double worst_loss;  /* weight x loss in that scenario */
    int worst_scenario; /* its number, water's before air's: the first of equals is kept */
    bool lost;          /* in some scenario she does not stay afloat, but would if this held */
} coaming_rank;

typedef struct coaming_ranking coaming_ranking;

/* COAMING_USAGE if no hazard is asked for, or freeboard or gm at a level that is not equilibrium;
 * COAMING_MEMORY, COAMING_INTERNAL. */
COAMING_API coaming_status coaming_ranking_new(const coaming_ship *ship, coaming_query query,
                                               coaming_measure measure, coaming_ranking **ranking,
                                               coaming_error *error);
COAMING_API void coaming_ranking_free(coaming_ranking *ranking);

/* All closures, the one whose failure costs most first. */
COAMING_API size_t coaming_ranking_count(const coaming_ranking *ranking);
COAMING_API const coaming_rank *coaming_ranking_get(const coaming_ranking *ranking, size_t index);

/* Puts the rows in the order of values by closure, greatest first, ties as before.
 * COAMING_MEMORY. */
COAMING_API coaming_status coaming_ranking_sort(coaming_ranking *ranking, const double *values,
                                                coaming_error *error);

/* Is it to be made good or tested: does it stand failed, or untested and is to be tested, which
 * closures rated nontight are not (due.h)? */
COAMING_API bool coaming_ranking_is_work(const coaming_ranking *ranking, int closure);

/* Of the closures that stand so and are work: how many, and the hours to make them good where they
 * are given. not_tested: those that stand so and are no work. */
typedef struct {
    size_t closure_count, without_hours_count, not_tested_count;
    double hours;
} coaming_work;
COAMING_API coaming_work coaming_ranking_work(const coaming_ranking *ranking,
                                              coaming_result standing);

/* The spaces exposed in the worst scenario of a row, in file order; borrowed until the next call.
 */
COAMING_API coaming_status coaming_ranking_exposes(coaming_ranking *ranking, size_t index,
                                                   const int **spaces, size_t *count,
                                                   coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
