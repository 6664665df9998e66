/*
 * Lines and ways as graph questions. A line holds with the product of 1 - p over its closures, so
 * the most dependable is the least cut with the weights -log(1 - p), and the weakest way through the
 * shortest with -log p. What can never hold joins its two places beforehand (parts), so that no cut
 * goes through it and all weights are finite: igraph 0.10.2 is wrong with infinite ones. Weights are
 * made whole numbers below 2^52, with one for each closure in the lowest places: sums are exact
 * then, and of equal lines the one of fewest closures is least. The next line is sought with all
 * that the last gave up as source; its closures are spent, which keeps lines apart. Cost: one cut
 * on at most spaces + 2 vertices for each line.
 */
#include <math.h>
#include <string.h>

#include "analyse/hold/search.h"
#include "base/error.h"
#include "graph/graph.h"

/* Turns -log(1 - p) into whole numbers. The lowest places count closures, one for each, so that of
 * equal lines the one with fewest is least; the sum stays below 2^52. */
static void make_whole(net_edges *e)
{
    static const double most = 4503599627370496; /* 2^52 */
    double sum = 0, step = (double)e->count + 1;
    for (size_t i = 0; i < e->count; i++)
        sum += e->weight[i];
    double scale = sum > 0 ? (most / step - 2 * step) / sum : 0;
    for (size_t i = 0; i < e->count; i++)
        e->weight[i] = floor(e->weight[i] * scale + 0.5) * step + 1;
}

/* One line more behind those so far, if there is one. */
static coaming_status find_line(search *s, coaming_hold_answer *answer, bool *found,
                                coaming_error *error)
{
    *found = false;
    coaming_status status = search_parts(s, error);
    if (status != COAMING_OK)
        return status;
    memset(s->aimed, 0, ((size_t)s->places + 1) * sizeof *s->aimed);
    bool any = false;
    for (size_t i = 0; i < s->n->ship->space_count; i++) {
        any = any || s->aim[i];
        s->aimed[s->part[i]] = s->aimed[s->part[i]] || s->aim[i];
    }
    if (!any || s->aimed[0])
        return COAMING_OK;
    search_edges(s);
    make_whole(&s->edges);
    graph *g = NULL;
    double value = 0;
    status = graph_new((size_t)s->parts + 1, s->edges.count, s->edges.ends, false, &g, error);
    if (status == COAMING_OK)
        status = graph_min_cut(g, s->edges.weight, 0, s->parts, &value, s->near, NULL, error);
    graph_free(g);
    if (status != COAMING_OK || value == 0)
        return status;
    if (!search_take(s, &answer->lines[answer->line_count]))
        return error_memory(error);
    answer->line_count++;
    *found = true;
    return COAMING_OK;
}

/* What is to be kept clean but cannot be, with a way for each. */
static coaming_status find_lost(net *n, search *s, coaming_hold_answer *answer,
                                coaming_error *error)
{
    bool *goal = memory_new(n->ship->space_count, sizeof *goal), found;
    if (!goal)
        return error_memory(error);
    coaming_status status = search_parts(s, error);
    for (int i = 0; i < s->places && status == COAMING_OK; i++)
        n->reached[i] = s->part[i] == 0;
    answer->lost_count = 0;
    for (size_t i = 0; i < answer->protect_count && status == COAMING_OK; i++) {
        int space = answer->protect[i];
        if (!n->reached[space])
            continue;
        s->aim[space] = false;
        goal[space] = true;
        answer->lost_spaces[answer->lost_count] = space;
        status = net_way(n, goal, &answer->lost[answer->lost_count++], &found, error);
        goal[space] = false;
    }
    memory_free(goal);
    return status;
}

coaming_status net_solve(net *n, size_t limit, coaming_hold_answer *answer, coaming_error *error)
{
    search s;
    coaming_status status;
    size_t spaces = n->ship->space_count;
    answer->lost = arena_new(n->memory, answer->protect_count, sizeof *answer->lost);
    answer->lost_spaces = arena_new(n->memory, answer->protect_count, sizeof *answer->lost_spaces);
    /* each gives up more spaces than the one before, but for the first: there are not more of them
     * than spaces and one */
    answer->lines = arena_new(n->memory, spaces + 1, sizeof *answer->lines);
    answer->line_count = 0;
    if (!answer->lost || !answer->lost_spaces || !answer->lines)
        return error_memory(error);
    if (search_make(&s, n))
        status = find_lost(n, &s, answer, error);
    else
        status = error_memory(error);
    if (status == COAMING_OK && n->nested)
        status = search_nested(&s, limit, answer, error);
    for (bool found = !n->nested; found && status == COAMING_OK && answer->line_count < limit;)
        status = find_line(&s, answer, &found, error);
    if (status == COAMING_OK)
        status = net_way(n, s.aim, &answer->way, &answer->has_way, error);
    search_free(&s);
    return status;
}
