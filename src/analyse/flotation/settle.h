/*
 * analyse/flotation/settle.h - flooding and floating by turns until neither changes.
 *
 * Water starts outside and in the source space (if that reaches below the water). With the ship
 * where she floats it spreads over the links that pass and lie below the plane into spaces that
 * reach below it; then she settles deeper with these open to the sea, and so on. A space once
 * flooded stays so: the sets only grow, and the turns end after at most one for each space. If she
 * does not stay afloat, water spreads over all passing links at any height.
 *
 * Floating positions are kept by set of flooded spaces (flotation/kept.c), up to a bound of memory;
 * undisturbed states by source.
 */
#ifndef ANALYSE_FLOTATION_SETTLE_H
#define ANALYSE_FLOTATION_SETTLE_H

#include "analyse/flotation/course.h"
#include "coaming/grade.h"

typedef struct settler settler;

coaming_status settler_new(const coaming_ship *ship, int condition, int loading, settler **out,
                           coaming_error *error);
void settler_free(settler *t);

/* What its floating positions may take of memory, bytes, from now on; FLOTATION_KEPT of a new one. */
void settler_keep(settler *t, size_t most);

/* All closures in their state. Stays the settler's, for good. */
coaming_status settler_base(settler *t, coaming_place source, bool untested_pass,
                            const settled **out, coaming_error *error);

/*
 * With one closure forced: holding, settled from the start; passing, it gives way once she has
 * settled with it holding, and water goes on from there. So passing never floods fewer spaces than
 * holding, which from the start it could: water that crosses to the other side may take heel off
 * her and lift an opening out. Where passing changes nothing it is the same state as holding; else
 * what it floods stands behind what is flooded anyway. By which link a space was reached is told for
 * the latter only. Both live until the next call.
 */
coaming_status settler_pair(settler *t, coaming_place source, bool untested_pass, int closure,
                            const settled **held, const settled **passing, coaming_error *error);

/* After settler_pair: was part of the space under in any turn of what the closure changed? */
bool settler_came_under(const settler *t, const settled *passing, int space);

/* Number of the sources that flood the same as things stand: 0 with the outside, or not at all, else
 * one of them + 1. A source that stays dry in group 0 may yet come under for a closure that passes. */
coaming_status settler_group(settler *t, coaming_place source, bool untested_pass, int *group,
                             coaming_error *error);
/* How all of them flood; stays the settler's, for good. Only in what hangs in the first turn they
 * differ: there it is told as from the source that names the group. */
coaming_status settler_alike(settler *t, coaming_place source, bool untested_pass,
                             const course **out, coaming_error *error);

/* Is water there? The outside always has some. */
bool settler_among(const settler *t, const settled *s, coaming_place place);

/* Several spaces breached at once, all closures in their state but `held`, which holds (-1: none);
 * lives until the next call. */
coaming_status settler_breach(settler *t, const int *spaces, size_t count, coaming_answer answer,
                              int held, const settled **out, coaming_error *error);

/* Does she stay afloat after a breach of one or two spaces, as last tested or if untested leak, with
 * the closure holding? Kept for all breaches of the same parts, so asking again costs little. */
coaming_status settler_saves(settler *t, const int *spaces, size_t count, coaming_answer answer,
                             int closure, bool *saves, coaming_error *error);

/* She floats with these spaces open to the sea. If it goes on, water spreads from them and from outside
 * first with the ship as she floats undamaged, then by turns. Lives until the next call. */
coaming_status settler_named(settler *t, const int *spaces, size_t count, coaming_answer answer,
                             bool goes_on, const settled **out, coaming_error *error);

/* The same going on, with one closure that holds. */
coaming_status settler_named_held(settler *t, const int *spaces, size_t count,
                                  coaming_answer answer, int held, const settled **out,
                                  coaming_error *error);

/* The turns of the last settling of a breach or of named spaces, in which something was flooded; live
 * until the next call. */
const course_turn *settler_turns(const settler *t, size_t *count);

/* Does a space reach below the water? All do if she is lost. */
bool settler_reaches(const settler *t, const coaming_float *at, int space);

/* After settler_breach or settler_named: adds where water would go on to with the ship as she lies
 * at `at`, and no further. Returns how many spaces were flooded before. Not for a ship that is lost. */
size_t settler_next(settler *t, coaming_answer answer, const coaming_float *at);

/* Every link decided by hand, and where water is let in besides outside. */
typedef struct {
    const bool *passes;          /* by link, closures first: does water pass where it is under? */
    const coaming_place *source; /* opened where they reach below the water */
    size_t sources;
} settler_links;

/*
 * Goes on from a settled state (`from`; NULL: from her undamaged) with the links as decided, until
 * neither flooding nor floating changes anything. What is flooded in `from` stays so, in its order;
 * what comes besides follows after it. From a ship that is lost water only spreads on. from may be
 * any state that this settler gave, or a copy of one (settled_keep). Lives until the next call.
 */
coaming_status settler_on(settler *t, const settled *from, const settler_links *links,
                          const settled **out, coaming_error *error);

/* A copy in the arena's memory, which outlives the settler's next call. */
coaming_status settled_keep(const settled *s, arena *memory, settled *copy, coaming_error *error);

/* By space, of the last result of settler_breach, settler_named or settler_on: is it flooded? */
const bool *settler_flooded(const settler *t);

/* Permeable volume of a space below the water, m3; the whole if she is lost. */
double settler_volume(settler *t, const settled *s, int space);
/* Is the lowest edge of the link below the water? All are if she is lost. */
bool settler_wet(const settler *t, const settled *s, int link);
coaming_flotation *settler_flotation(settler *t);

#endif
