/*
 * Lines from near to far: the least sets of worth and t x sum of -log(1 - p), for t from 0 without
 * bounds (graph/nested.h). Parts that nothing can hold apart are one vertex, so no line goes through
 * what cannot hold. The set that has no closure left to hold is no line.
 */
#include <math.h>

#include "analyse/hold/search.h"
#include "base/error.h"
#include "base/memory.h"
#include "graph/nested.h"

static coaming_status take_lines(search *s, const nested_cuts *cuts, size_t limit,
                                 coaming_hold_answer *answer, coaming_error *error)
{
    for (size_t i = 0; i < cuts->count && answer->line_count < limit; i++) {
        for (int p = 0; p < s->parts; p++)
            s->near[p] = cuts->first[p] <= (int)i;
        if (!search_crossing(s))
            continue;
        if (!search_take(s, &answer->lines[answer->line_count]))
            return error_memory(error);
        answer->line_count++;
    }
    return COAMING_OK;
}

coaming_status search_nested(search *s, size_t limit, coaming_hold_answer *answer,
                             coaming_error *error)
{
    coaming_status status = search_parts(s, error);
    if (status != COAMING_OK)
        return status;
    for (int p = 0; p < s->parts; p++)
        s->aimed[p] = false;
    s->near[s->parts] = false; /* no goal */
    search_edges(s);
    double *worth = memory_new((size_t)s->parts, sizeof *worth);
    if (!worth)
        return error_memory(error);
    for (int i = 0; i < s->places - 1; i++)
        worth[s->part[i]] += net_worth(s->n, i);
    nested_graph g = {(size_t)s->parts, s->edges.count, s->edges.ends, worth, s->edges.weight};
    nested_cuts cuts;
    status = nested_cuts_new(&g, &cuts, error);
    if (status == COAMING_OK) {
        status = take_lines(s, &cuts, limit, answer, error);
        nested_cuts_free(&cuts);
    }
    memory_free(worth);
    return status;
}
