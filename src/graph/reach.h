/*
 * graph/reach.h - the connectivity model: where water or bad air gets, and what one closure
 * changes.
 *
 * A reach is made for one hazard, level, condition and answer (untested closures hold or pass). Its
 * vertices are the spaces that the hazard can fill and, if asked for, the outside: for water sea
 * and weather are one. For air the weather is a vertex only where it is the source, so that what
 * gets out into the weather from a space does not come back in.
 *
 * Forcing one closure c against its state changes the reach of a source in one of two ways:
 *   c holds now: passing joins the component behind c to the source's;
 *   c passes now: holding cuts off what lies behind it, if and only if c is a bridge.
 * In a depth-first forest both are runs of `order`, so all closures and sources are answered from
 * one traversal (src: the forest and bridges of graph.h; the argument is written out in
 * DEVELOPERS.md). A reach borrows the ship.
 */
#ifndef GRAPH_REACH_H
#define GRAPH_REACH_H

#include <stdint.h>

#include "ship/ship.h"

typedef struct {
    coaming_hazard hazard;
    double level; /* m above the baseline; not used for air */
    int condition;
    bool untested_pass;
    bool outside; /* is the outside a vertex? For water always set. */
} reach_setting;

typedef struct reach reach;

/* Cost: spaces + links. */
coaming_status reach_new(const coaming_ship *ship, reach_setting setting, reach **out,
                         coaming_error *error);
void reach_free(reach *r);

/* Runs of positions [from, to) in the forest's order; unused runs are empty. */
typedef struct {
    int from, to;
} reach_run;
typedef struct {
    reach_run run[2];
} reach_set;

size_t reach_vertices(const reach *r);
/* Vertex of a place; -1 where it has none (dry, or an outside that the hazard does not use). */
int reach_vertex(const reach *r, coaming_place place);
/* Vertex of the outside; -1 if there is none. */
int reach_outside(const reach *r);
/* Place of the vertex at a position of the order. */
coaming_place reach_place_at(const reach *r, int position);
int reach_position(const reach *r, int vertex);
/* The component that a vertex belongs to. */
reach_run reach_component(const reach *r, int vertex);
bool reach_in(reach_run run, int position);

/* Does the link pass as things stand (state and level)? */
bool reach_passes(const reach *r, int link);

/* The links by which a space passes on to others as things stand, in file order, of several to the
 * same space the first. Cost: the first time spaces + links, then nothing. */
coaming_status reach_ways(reach *r, int space, const int **ways, int *count, coaming_error *error);

/*
 * The two sides of a closure for which its state matters. kind REACH_NOTHING: forcing it changes
 * nothing for any source. REACH_JOINS: it holds now; near and far are the components of its sides a
 * and b. REACH_PARTS: it passes and is a bridge; near and far are the two parts of one component
 * that would come apart, near holding side a.
 */
typedef enum { REACH_NOTHING, REACH_JOINS, REACH_PARTS } reach_change;
typedef struct {
    reach_change change;
    reach_set near, far;
} reach_sides;

/* The closure's own state and rating are set aside: only the level must let it pass. */
reach_sides reach_sides_of(const reach *r, int closure);

/*
 * exposed(closure, source): what passing adds to the reach of source (a vertex, and for water the
 * outside with it). `source` must be at one of the closure's sides. Empty set: nothing.
 */
reach_set reach_exposed(const reach *r, int closure, int source);

/* How many vertices a set has, the outside among them. */
size_t reach_size(reach_set set);
/* Writes the spaces of a set in file order, the outside left out; returns their number. `spaces`
 * has room for every space; bits: as for order_distinct (base/order.h), a bit for each. */
size_t reach_list(const reach *r, reach_set set, uint64_t *bits, int *spaces);

#endif
