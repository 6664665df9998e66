/* plain.h - the plain way to the same answers: a fresh graph and search for each closure and
 * source. */
#ifndef BENCH_PLAIN_H
#define BENCH_PLAIN_H

#include "ship/ship.h"

/*
 * Loss (worth) of a source's reach with the closure passing less that with it holding, at the still
 * level and without condition: two igraph graphs are made and searched with igraph_subcomponent.
 */
double plain_loss(const coaming_ship *ship, coaming_hazard hazard, coaming_place source,
                  int closure);

#endif
