/*
 * coaming/spread.h - where water is already, and where it would go on, as the doors are.
 *
 * Let in: a ship on which nothing new has happened, with her closures in the condition and as last
 * tested (untested ones hold). What water reaches from outside then is part of every answer that
 * starts from her, so every answer says so.
 *
 * A floating: the spaces named are open to the sea, wherever they lie; the water stays in them, or
 * goes on by what passes (flooding and floating by turns until neither changes).
 *
 * Lifetime: a coaming_floating and a coaming_outset borrow the ship and own all that they point to.
 */
#ifndef COAMING_SPREAD_H
#define COAMING_SPREAD_H

#include "coaming/grade.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Water gets into a space by a link; -1: it starts there. */
typedef struct {
    int space, link;
    bool by_design; /* open to the sea by passages alone, undamaged: a trunk made to be wet */
} coaming_inflow;

/*
 * What water is in by the query's condition and level, in the order in which it gets there, but for
 * what is wet by design; none if water is not asked for. *entries: to be freed by
 * coaming_inflows_free, NULL if there are none. Where she cannot be floated (no kg, or not afloat
 * undamaged) there are none: the analysis itself says so.
 */
COAMING_API coaming_status coaming_let_in(const coaming_ship *ship, coaming_query query,
                                          coaming_inflow **entries, size_t *count,
                                          coaming_error *error);
COAMING_API void coaming_inflows_free(coaming_inflow *entries);

/* Where water and ship come to rest, her closures in the condition and as last tested. */
typedef struct {
    /* Spaces that water got to while she was afloat, in that order, but for what is wet by design;
     * the source first, by no link. To be freed by coaming_inflows_free. */
    coaming_inflow *entries;
    size_t count;
    coaming_float at;
    coaming_stability stability;
} coaming_rest;

/* sources: spaces, which are open to the sea however high they lie, for what comes from there and from
 * outside; what is no space, or NULL with count 0, for the latter alone. COAMING_USAGE and
 * COAMING_INPUT as coaming_flotation_new. */
COAMING_API coaming_status coaming_come_to_rest(const coaming_ship *ship, coaming_query query,
                                                const coaming_place *sources, size_t count,
                                                coaming_rest *rest, coaming_error *error);

/*
 * What every answer to a query starts from: the ship, the query, and what the sea is let into
 * already, asked once, so that it can be told at the head of each.
 */
typedef struct coaming_outset coaming_outset;

/* COAMING_MEMORY. Cost: one settling at equilibrium and two where something is let in, else one
 * search. */
COAMING_API coaming_status coaming_outset_new(const coaming_ship *ship, coaming_query query,
                                              coaming_outset **outset, coaming_error *error);
COAMING_API void coaming_outset_free(coaming_outset *outset);
COAMING_API const coaming_ship *coaming_outset_ship(const coaming_outset *outset);
COAMING_API coaming_query coaming_outset_query(const coaming_outset *outset);
/* As coaming_let_in. NULL with a count of 0. */
COAMING_API const coaming_inflow *coaming_outset_let_in(const coaming_outset *outset,
                                                        size_t *count);
/* What she is with that open; NULL where nothing is let in or the query does not settle her. */
COAMING_API const coaming_rest *coaming_outset_rest(const coaming_outset *outset);

typedef struct {
    int condition, loading; /* as asked, with the spaces that were named */
    const int *flooded;
    size_t flooded_count;
    coaming_float at;
    coaming_stability stability;
    /* Spaces that it went on to, if it was let; else, and only while she is afloat, those that it
     * would go on to with the ship as she lies, but for what is wet by design. */
    const coaming_inflow *went_on, *would_go_on;
    size_t went_on_count, would_go_on_count;
    /* If there are any that it would go on to: what she is once it has, and has gone on from there
     * as she settles; and how many spaces it got to in all while she was afloat. */
    coaming_float then_at;
    coaming_stability then;
    size_t then_count;
} coaming_floating_answer;

typedef struct coaming_floating coaming_floating;

/* The query's condition, and closures as last tested, say what passes. COAMING_USAGE and
 * COAMING_INPUT as coaming_flotation_new. */
COAMING_API coaming_status coaming_floating_new(const coaming_ship *ship, coaming_query query,
                                                const int *flooded, size_t count, bool goes_on,
                                                coaming_floating **floating, coaming_error *error);
COAMING_API void coaming_floating_free(coaming_floating *floating);
COAMING_API const coaming_floating_answer *coaming_floating_get(const coaming_floating *floating);

#ifdef __cplusplus
}
#endif

#endif
