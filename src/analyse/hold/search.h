/* analyse/hold/search.h - what a search for lines works on: parts, the closures between them, and how
 * a line is taken down. */
#ifndef ANALYSE_HOLD_SEARCH_H
#define ANALYSE_HOLD_SEARCH_H

#include "analyse/hold/net.h"

typedef struct {
    const net *n;
    int places;
    bool *given; /* by place: counted as lost: the sources, and what the lines so far give up */
    bool *spent; /* by closure: of a line so far */
    bool *aim;   /* by space: to be kept clean, and not lost from the start */
    int *part;   /* by place: number of the places that nothing can hold apart; 0: the sources */
    int parts;
    bool *aimed, *near; /* by part; near also of the goal, the vertex after the last part */
    int *order, *parent;
    net_edges edges;
} search;

/* False when out of memory. To be freed whatever is returned. */
bool search_make(search *s, const net *n);
void search_free(search *s);

/* Numbers the parts: places joined by what cannot be held or is spent. */
coaming_status search_parts(search *s, coaming_error *error);
/* The graph between parts, with part numbers, those aimed at taken together as the last. */
void search_edges(search *s);
/* How many closures lead out of the near parts. */
size_t search_crossing(const search *s);
/* Takes down the line that the near parts have, and gives up what is in them. False when out of
 * memory. */
bool search_take(search *s, coaming_hold_line *line);

/* Lists anew what the sources alone can fill up to a line: over all links of the net but the line's own
 * (own: by link), without going round by the outside. False when out of memory. */
bool search_fill(const net *n, const bool *own, coaming_hold_line *line);
/* What is behind a line: lists what stands open there and could hold if shut, and says of a nested
 * line behind which of its closures nothing can hold. COAMING_MEMORY. */
coaming_status search_behind(const net *n, coaming_hold_line *line, coaming_error *error);

/* Adds all nested lines to those of the answer, at most up to `limit` of them. */
coaming_status search_nested(search *s, size_t limit, coaming_hold_answer *answer,
                             coaming_error *error);

#endif
