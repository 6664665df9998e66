/*
 * present/tell/survival_lines.h - cases as they are told to people: two that differ in the side alone
 * are one line.
 */
#ifndef PRESENT_SURVIVAL_LINES_H
#define PRESENT_SURVIVAL_LINES_H

#include "coaming/survival.h"

typedef struct {
    size_t which; /* of coaming_survival_get; of two, that to port */
    size_t twin;  /* the one to starboard; NO_TWIN */
    double share; /* of all damage, together */
    double cost;  /* of the index as last tested, together */
    size_t cases; /* 1 or 2 */
} survival_line;

#define NO_TWIN ((size_t)-1)

/* Do two cases differ in the side alone? What they open, spare and are turned by may be others to
 * either side, but as many. */
bool survival_twins(const coaming_survival_case *port, const coaming_survival_case *starboard);

/* All cases, in their order; memory_free; NULL when out of memory. */
survival_line *survival_lines(const coaming_survival *survival, size_t *count);

/* What costs most as last tested first. */
void survival_lines_by_cost(survival_line *lines, size_t count);

#endif
