/*
 * coaming/exposure.h - if this closure failed, which spaces would flood, which would get bad air.
 *
 * One row for each closure, hazard and side. The side named in a row is where water or bad air
 * already is (for water the outside is always a source besides); exposed are the spaces that it
 * reaches if the closure passes and does not reach if the closure holds, all others being in their
 * state: shut or open by condition, passing if their last test failed. Untested closures hold in
 * the first answer and pass in the second.
 *
 * At the level of equilibrium the closure gives way once she has settled with it holding, and the
 * water goes on from there (analyse/flotation/settle.h says why).
 *
 * Lifetime: a coaming_exposure borrows the ship, which must outlive it; a row borrows the exposure
 * and is valid until the next call of coaming_exposure_row_get on the same exposure.
 * Cost: making it, spaces + links for each level, condition and answer; a row, the number of spaces
 * that it lists and of their links.
 */
#ifndef COAMING_EXPOSURE_H
#define COAMING_EXPOSURE_H

#include "coaming/grade.h"
#include "coaming/query.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Why a row is empty: code, text for people. */
#define COAMING_NOTE_TABLE(X)                                                                      \
    X(NONE, "")                                                                                    \
    X(ABOVE_WATER, "above the water")                                                              \
    X(SOURCE_DRY, "the source lies above the water")                                               \
    X(FAR_DRY, "the other side lies above the water")                                              \
    X(OTHER_SEA, "the other side is the sea")                                                      \
    X(OTHER_WEATHER, "the other side is the weather")                                              \
    X(NO_AIR_BY_SEA, "no air comes by the sea")                                                    \
    X(OTHER_WAY, "the other side is reached by another way as well")

typedef enum {
#define COAMING_NOTE_CODE(code, text) COAMING_NOTE_##code,
    COAMING_NOTE_TABLE(COAMING_NOTE_CODE)
#undef COAMING_NOTE_CODE
} coaming_note;

/* The text of the table; "" for COAMING_NOTE_NONE. */
COAMING_API const char *coaming_note_text(coaming_note note);

typedef struct {
    int closure;
    coaming_hazard hazard;
    coaming_place source;
    double level; /* m above the baseline; NaN for air; at equilibrium the draught amidships with
                   * the closure passing, NaN if she does not stay afloat */
    bool settled; /* water at equilibrium: it has a grade, see coaming_exposure_grade */
    bool afloat;  /* at equilibrium: does she stay afloat with the closure passing? Else true */
    const int *exposed; /* spaces in file order */
    size_t exposed_count;
    /* For each, the link (closure, or passages after them) that first lets it in. At equilibrium
     * she may settle until other links let water in. -1: the water starts there. */
    const int *by;
    const int *exposed_if_untested_leak;
    size_t exposed_if_untested_leak_count;
    double volume; /* m3, permeable: below the level for water, whole for air; over `exposed` */
    double people, worth; /* over `exposed` */
    coaming_note note;
} coaming_exposure_row;

/* What keeps the rest dry or clean: a link on the edge of the exposed spaces. */
typedef enum { COAMING_KEPT_SHUT, COAMING_KEPT_UNTESTED, COAMING_KEPT_BY_HEIGHT } coaming_kept;
typedef struct {
    int link;
    coaming_place beyond;
    coaming_kept kept;
    double height; /* of its lowest edge above the level, m; for COAMING_KEPT_BY_HEIGHT */
} coaming_border;

typedef struct coaming_exposure coaming_exposure;

/*
 * closures: the closures asked for, in the order of the rows; NULL with count 0 asks for all in
 * file order. COAMING_USAGE if no hazard is asked for; COAMING_INPUT if its rows at a given level would
 * name more than COAMING_EXPOSURE_MOST spaces, one by one, for that may grow with the square of the
 * ship; COAMING_MEMORY, COAMING_INTERNAL. Cost: spaces + links + closures asked for.
 */
#define COAMING_EXPOSURE_MOST 50000000
COAMING_API coaming_status coaming_exposure_new(const coaming_ship *ship, coaming_query query,
                                                const int *closures, size_t count,
                                                coaming_exposure **exposure, coaming_error *error);
COAMING_API void coaming_exposure_free(coaming_exposure *exposure);

/* Was it asked of all closures, by NULL? */
COAMING_API bool coaming_exposure_of_all(const coaming_exposure *exposure);

COAMING_API size_t coaming_exposure_row_count(const coaming_exposure *exposure);
/* COAMING_INPUT: with this row, all that were got so far (those at a given level count from the start)
 * name more than COAMING_EXPOSURE_MOST spaces; COAMING_MEMORY, COAMING_INTERNAL. */
COAMING_API coaming_status coaming_exposure_row_get(coaming_exposure *exposure, size_t index,
                                                    coaming_exposure_row *row,
                                                    coaming_error *error);

/* The row of a closure that is looked at first: of those with the source, or of all (source NULL),
 * one in which she does not stay afloat because of it before all others, then that of the greatest
 * worth, then volume, then the first. COAMING_USAGE: it was not asked of this closure, or the
 * closure has no such side; COAMING_MEMORY, COAMING_INTERNAL. Cost: the rows of the closure. */
COAMING_API coaming_status coaming_exposure_choose(coaming_exposure *exposure, int closure,
                                                   const coaming_place *source, size_t *index,
                                                   coaming_error *error);

/* How she floats in the row last got, and how good that is; only for a settled row. Of the righting
 * arms no more than the grade depends on. */
COAMING_API coaming_status coaming_exposure_grade(coaming_exposure *exposure, coaming_float *at,
                                                  coaming_stability *stability,
                                                  coaming_error *error);

/* The border of the row last got, in order of links; borrowed like the row. */
COAMING_API coaming_status coaming_exposure_border(coaming_exposure *exposure,
                                                   const coaming_border **border, size_t *count,
                                                   coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
