/*
 * coaming/casualty.h - holed or on fire here, the doors as they are now: what is reached and in
 * which order, what to shut at once, what cannot be shut, the lines to hold, and how she floats.
 *
 * One answer made of others, so that no number differs from what they say when asked one by one: how
 * she floats is that of spread.h with the water going on, the lines are those of hold.h. Sources are
 * one set. Closures are as the condition has them, as last tested (untested ones hold), and as seen.
 *
 * Water at equilibrium: the sources are open to the sea, wherever they lie, and she settles. She is
 * followed while she is afloat; what water gets to only as she is lost is not told. At another level
 * water fills what it can reach at that plane; of level full at the highest of the sources. The
 * outside has water always. What is wet by design (spread.h) is not told.
 *
 * Order of a place: over how few links it is reached from the sources or, for water, from outside
 * (both have 0). A link counts if the hazard goes over it: it passes and, for water, is under in one
 * of the positions in which she lies on the way, with water on one side of it then. Places of one
 * order are told by the lowest edge of the opening by which they are first reached, lowest first; of
 * bad air, and of equal ones, in file order.
 *
 * To be shut at once: a closure that the hazard goes over, that shut and sound would keep it back,
 * that is not seen to be shut or to have failed, and by which alone something is reached: with it
 * holding from the start fewer places are reached, or she stays afloat. (If she is lost all the
 * same, what counts is whether there is another way over the links that the hazard goes over with it
 * as it is, or with it holding.) That it has no condition that shuts it does not matter: in an
 * emergency somebody shuts it. A closure that the condition shuts can be among them, if it stands as
 * failed.
 * Cannot be shut, on the ways by which places are first reached: passages, closures rated nontight,
 * for water weathertight ones under water (shut, they slow it), those seen to have failed, and those
 * that are seen shut and let through all the same.
 *
 * Cost: as hold.h and spread.h; for each closure that the hazard goes over one search more, of water
 * at equilibrium one settling.
 * Lifetime: a coaming_casualty borrows the ship and owns all that it points to.
 */
#ifndef COAMING_CASUALTY_H
#define COAMING_CASUALTY_H

#include "coaming/hold.h"
#include "coaming/ranking.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct {
    int space;
    int order;     /* 0: a source */
    const int *by; /* links by which it is reached from places of the order before, lowest first */
    size_t by_count; /* 0 of a source */
    double sill; /* of water: lowest edge of the first of them, m above the baseline; else NaN */
} coaming_reached;

typedef struct {
    int closure;
    coaming_place from, against; /* the side that it keeps clean, and the other */
    const int *saves;            /* spaces, in file order */
    size_t saves_count;
    double saved;      /* by the measure, over these; volume: permeable, whole */
    bool keeps_afloat; /* water at equilibrium: she is lost unless it holds */
    bool lost_anyhow;  /* the same: she is lost though it holds */
} coaming_shutting;

typedef struct {
    coaming_hazard hazard;
    const coaming_reached *reached; /* the sources that are spaces first */
    size_t reached_count;
    /* What keeps her afloat first, then by what is saved, the most first; then by how many spaces. */
    const coaming_shutting *shut_now;
    size_t shut_now_count;
    const int *cannot; /* links, in file order */
    size_t cannot_count;
    const coaming_hold_answer *hold; /* its lines, near to far, and what no line can keep */
    /* Water at equilibrium: how she floats with the sources open to the sea, and what water has gone
     * on to; else NULL. */
    const coaming_floating *floating;
} coaming_casualty_answer;

typedef struct coaming_casualty coaming_casualty;

/*
 * sources: spaces, COAMING_SEA or COAMING_WEATHER. measure: by what is saved; one that is added up
 * by space. COAMING_USAGE if there is no source, no hazard is asked for, the measure is not added
 * up, or equilibrium is asked of a ship without kg; COAMING_INPUT as coaming_flotation_new;
 * COAMING_MEMORY, COAMING_INTERNAL.
 */
COAMING_API coaming_status coaming_casualty_new(const coaming_ship *ship, coaming_query query,
                                                coaming_measure measure,
                                                const coaming_place *sources, size_t count,
                                                coaming_casualty **casualty, coaming_error *error);
COAMING_API void coaming_casualty_free(coaming_casualty *casualty);

COAMING_API coaming_measure coaming_casualty_measure(const coaming_casualty *casualty);
/* One answer for each hazard that was asked for, water before air. */
COAMING_API size_t coaming_casualty_count(const coaming_casualty *casualty);
COAMING_API const coaming_casualty_answer *coaming_casualty_get(const coaming_casualty *casualty,
                                                                size_t index);

#ifdef __cplusplus
}
#endif

#endif
