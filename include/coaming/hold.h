/*
 * coaming/hold.h - water or smoke is inside: which lines of closures may hold, and which of them to
 * hold.
 *
 * Each closure that the hazard can act on holds with probability 1 - p, p that it leaks
 * (likelihood.h), independent of all others (an assumption). Whoever fights a casualty shuts what
 * can be shut, so a closure that is not shut in the condition can be of the line all the same
 * (must_be_shut). No line can hold a passage, a closure that is never shut or rated nontight, one
 * that is sure to leak, or for water a weathertight one under water.
 *
 * A line is a set of closures that together part the sources from all that is to stay clean. For
 * water the outside (sea and weather as one) is always a source too; for air the weather carries
 * nothing on unless it is the source.
 *
 * Nested lines (coaming_hold_nested_new): from near to far, each giving up all that the one before
 * does and more, and holding better. They are the minimum cuts of
 *     worth of what is given up + t x sum of -log(1 - p) over the closures of the line
 * for t from 0 without bounds, and first the nearest of all, which gives up only what nothing can
 * part from the sources; all from one search (graph/nested.h; Gallo, Grigoriadis and Tarjan, SIAM
 * Journal on Computing 18(1), 1989). In these a weathertight closure under water may be of a line
 * all the same: it slows the water and may not hold, so it is taken to leak with a chance of
 * COAMING_HOLD_SLOWS, or its own if that is greater (an assumption).
 * Expected loss of a line: the worth that it gives up, and what is expected to be lost beyond it if
 * it is held only as well as its closures are: from all that is given up on by the graph of risk.h,
 * the closures of the line shut and each leaking with its p, those beyond as the condition has them.
 * Exact by the frontier where its tables are small, else by 4,096 samples, the same for all lines.
 * The line to hold is that with the least expected loss of those with which she stays afloat.
 * Water at equilibrium: for each closure of each line she is settled with all of the line held but
 * this one, which leaks, and what lies behind it as the doors are and as last tested. Where she is
 * lost so (`then`) all that she is worth is lost: expected loss is (chance that one of these
 * leaks) x worth of the ship + (that none does) x expected loss with these sound. Of a line with
 * which she is lost it is the worth of the ship. Not counted: that she is lost by two that leak,
 * by one that does and another behind it, or by one behind it alone; nor, where she is not lost by
 * one that leaks, what comes under water only as she lies deeper so. The expected loss is then too
 * low.
 * Wet by design (spread.h): what is made to be wet is not lost. It counts neither as given up nor
 * in worth and people, unless it is a source; where she floats it is open to the sea.
 *
 * Lines that keep given spaces (coaming_hold_new). Best line: a minimum cut with capacity -log(1 -
 * p); that is the line with the greatest product of 1 - p. Ties: chances that agree in about their
 * first ten digits count as equal; of equals the line with fewest closures, and of those the one
 * that gives up fewest spaces (the least source side, which is one and the same for all such
 * lines). Capacities are made whole numbers, so that this is exact. The next line is the best of
 * those behind it: all that the line gives up, and the far sides of its closures, count as lost;
 * so it shares no closure with it.
 * Weakest way: of nested lines with the line to hold shut (the nearest where there is none), where
 * she floats behind it, and all else as it stands; else with all shut that can be, at the plane for
 * which the lines are sought. A shortest way with length -log p over
 * closures and 0 over passages, closures with p = 0 left out; of ways whose chances agree in twelve
 * digits the one over fewest links.
 *
 * Level of the water: as for the other questions. At equilibrium the ship floats with the source,
 * and all that it can fill up to the first line, open to the sea, and openings count as under water
 * that are so in any of the positions on the way there. (Not with all that the line gives up: that
 * counts every valve in her side as leaking at once, and sinks any ship.) Each line is then settled
 * by itself, with what the source can fill up to it, and what of the rest that it gives up the sea is
 * let into as the doors are: what is under water on the way there and leads past the line joins it,
 * or if it cannot hold makes it of no use (not_held); its chances and its expected loss are those
 * with all that is under water there. If she does not stay afloat so, or not if she floods in another
 * order, from undamaged on, the line says that she does not; it is told for the last position in
 * which she did.
 *
 * Cost: a maximum flow for each line, a flotation for each turn of settling, and at equilibrium for
 * each closure of each line by which anything floods a settling and the first of the righting arms.
 * Lifetime: a coaming_hold borrows the ship and owns all that it points to.
 */
#ifndef COAMING_HOLD_H
#define COAMING_HOLD_H

#include "coaming/query.h"
#include "coaming/spread.h"

#ifdef __cplusplus
extern "C" {
#endif

/* That a weathertight closure under water leaks, if it is shut to slow the water. */
#define COAMING_HOLD_SLOWS 0.5

typedef struct {
    int closure;
    double leak_probability;
    bool must_be_shut; /* it is not shut in the condition */
    /* Nothing behind it can hold: of lines that keep given spaces it stands directly before what is
     * to stay clean; of nested lines no closure that can hold leads on from behind it to more of
     * what is kept. */
    bool last;
    bool slows; /* weathertight and under water, so it may not hold: of nested lines only */
    /* Water at equilibrium: does she stay afloat with this one of the line leaking, or why not; what
     * lies behind it as the doors are and as last tested. YES also where that is not asked: of a line
     * with which she is lost all the same, or of no use. */
    coaming_afloat then;
} coaming_hold_closure;

typedef struct {
    coaming_hold_closure *closures; /* in file order */
    size_t closure_count;
    double holds; /* chance that all of them do */
    int not_held; /* link that is under water where she floats behind the line, leads on from what is
                    * given up, and cannot hold: the line is of no use; -1: none */
    int *given_up; /* spaces counted as lost, in file order; not those wet by design */
    size_t given_up_count;
    int *kept; /* spaces that stay clean if the line holds, in file order */
    size_t kept_count;
    int *wet; /* of kept those that the sea is let into already: dry only once that is stopped */
    size_t wet_count;
    int *open_behind; /* closures between kept spaces that stand open and could hold if shut, in
                       * file order */
    size_t open_count;
    double worth, people;  /* of what is given up */
    double expected_loss;  /* in worth */
    double expected_error; /* its standard error: 0 if exact, NaN if sampled and not seen to vary */
    int *
        filled; /* what the source itself can fill up to the line, not what comes in from outside */
    size_t filled_count;
    /* Water at equilibrium: how she floats with `filled` open to the sea, the line holding, and what
     * the sea is let into besides as the doors are and as last tested: so many more of given_up. */
    size_t let_in_count;
    coaming_float at;
    coaming_stability stability;
} coaming_hold_line;

typedef struct {
    int link;                /* closure, or passages after them */
    coaming_place to;        /* where it leads */
    double leak_probability; /* 1 for what cannot hold, and for what stands open */
    bool stands_open;        /* and could hold if shut: of nested lines only */
} coaming_hold_step;

typedef struct {
    coaming_place from; /* the source, or for water the outside (the sea or the weather) */
    coaming_hold_step *steps;
    size_t step_count; /* 0: the place itself is the source */
    double probability;
} coaming_hold_way;

typedef struct {
    coaming_hazard hazard;
    coaming_place source; /* the first */
    const coaming_place *sources;
    size_t source_count;
    double level; /* m above the baseline; at equilibrium the draught amidships of the position for
                   * which the lines are told; NaN for air, and if she is not afloat in it */
    coaming_afloat afloat; /* with the source flooded; COAMING_AFLOAT_YES unless at equilibrium */
    /* Water: what the sea is let into already, as coaming_let_in has it. And whatever any line could
     * do, where the hazard goes on as the doors are: at equilibrium where water and ship come to rest,
     * else only the entries of that, the sources by no link first. */
    coaming_inflow *let_in;
    size_t let_in_count, let_in_afloat; /* of them, those that water gets to while she is afloat */
    coaming_rest as_is;
    bool source_dry; /* all sources lie above the water, so water comes from outside alone */
    int *protect;    /* what is to stay clean, in file order */
    size_t protect_count;
    bool vital;           /* these are the vital spaces, as nothing else was asked for */
    bool source_left_out; /* one of the vital spaces, but the source is in it */
    /* What no line can keep clean, with a way for each; the lines are for the rest. */
    coaming_hold_way *lost;
    int *lost_spaces;
    size_t lost_count;
    /* Nested ones from near to far; else the best, then the next behind it, and so on. None if all
     * is lost, nor if no way leads: then has_way is false and lost_count is 0. */
    coaming_hold_line *lines;
    size_t line_count;
    bool nested;
    size_t recommended; /* the line to hold; line_count: with none does she stay afloat */
    bool has_way;
    coaming_hold_way way; /* the weakest to what the lines protect */
} coaming_hold_answer;

typedef struct coaming_hold coaming_hold;

/*
 * protect: spaces; NULL with count 0 for the vital ones, but for the source. COAMING_USAGE if no
 * hazard is asked for, nothing is to be protected, or equilibrium is asked of a ship without kg.
 */
COAMING_API coaming_status coaming_hold_new(const coaming_ship *ship, coaming_query query,
                                            coaming_place source, const int *protect, size_t count,
                                            coaming_hold **hold, coaming_error *error);
/* The same against several places that are one set. protect: as of coaming_hold_new. */
typedef struct {
    const coaming_place *sources;
    size_t source_count;
    const int *protect;
    size_t protect_count;
} coaming_hold_asked;

/* The level is that of the highest source where it hangs on the source. Borrows nothing of `asked`.
 * Errors as of coaming_hold_new; COAMING_USAGE also if there is no source. */
COAMING_API coaming_status coaming_hold_keeping_new(const coaming_ship *ship, coaming_query query,
                                                    const coaming_hold_asked *asked,
                                                    coaming_hold **hold, coaming_error *error);
/*
 * All lines from near to far. What no line can keep (`lost`) and the weakest way are told of the
 * vital spaces but for the source; there need not be any. Level of the water: as above, with the
 * nearest line as the first. Errors as of coaming_hold_new. Cost: see graph/nested.h; for each line
 * a flotation, and the tables or a share of the samples.
 */
COAMING_API coaming_status coaming_hold_nested_new(const coaming_ship *ship, coaming_query query,
                                                   coaming_place source, coaming_hold **hold,
                                                   coaming_error *error);
/* The same of several places that are one set, as of coaming_hold_keeping_new. */
COAMING_API coaming_status coaming_hold_set_new(const coaming_ship *ship, coaming_query query,
                                                const coaming_place *sources, size_t count,
                                                coaming_hold **hold, coaming_error *error);
COAMING_API void coaming_hold_free(coaming_hold *hold);

/* One answer for each hazard that was asked for, water before air. */
COAMING_API size_t coaming_hold_count(const coaming_hold *hold);
COAMING_API const coaming_hold_answer *coaming_hold_get(const coaming_hold *hold, size_t index);

#ifdef __cplusplus
}
#endif

#endif
