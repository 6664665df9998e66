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
#include "analyse/hold/net.h"

#include <math.h>
#include <string.h>

#include "base/error.h"
#include "graph/graph.h"
#include "ship/state.h"

/* Beside the spaces and the outside a graph of ways has one vertex where all sources are, and one
 * where all that is to be got to is. */
enum { OUTSIDE, START, GOAL, OTHERS };

static int number_of(const net *n, int other)
{
    return (int)n->ship->space_count + other;
}

bool net_make(net *n)
{
    n->space = arena_new(n->memory, n->ship->space_count + 1, sizeof *n->space);
    n->link = arena_new(n->memory, n->ship->link_count + 1, sizeof *n->link);
    n->reached = arena_new(n->memory, n->ship->space_count + 1, sizeof *n->reached);
    return n->space && n->link && n->reached;
}

void net_add_level(net *n, double level)
{
    for (size_t i = 0; i < n->ship->space_count; i++)
        n->space[i] = n->space[i] || space_reached(&n->ship->spaces[i], n->hazard, level);
    for (size_t i = 0; i < n->ship->link_count; i++)
        n->link[i] = n->link[i] || link_reached(&n->ship->links[i], n->hazard, level);
}

/* -1: the hazard does not get there. */
static int place_number(const net *n, coaming_place place)
{
    if (place >= 0)
        return n->space[place] ? place : -1;
    return n->outside ? number_of(n, OUTSIDE) : -1;
}

static coaming_place outside_of(const ship_link *l)
{
    return l->a < 0 ? l->a : l->b;
}

/* The two ends of a link that can carry the hazard on; false if it cannot. */
static bool ends_of(const net *n, size_t link, int ends[2])
{
    const ship_link *l = &n->ship->links[link];
    if (!n->link[link])
        return false;
    ends[0] = place_number(n, l->a);
    ends[1] = place_number(n, l->b);
    return ends[0] >= 0 && ends[1] >= 0 && ends[0] != ends[1];
}

/* That it leaks; 1 for what nobody can hold. */
static double leak_of(const net *n, size_t link)
{
    const ship_link *l = &n->ship->links[link];
    if (link_state_as_built(l, COAMING_NO_CONDITION, n->hazard) == LINK_PASSES)
        return 1;
    return n->leaks[link];
}

static bool is_source(const net *n, int place)
{
    return place == number_of(n, OUTSIDE) ? n->outside : place == n->source && n->space[place];
}

/* A list of edges that grows; room for all links and for one more edge at each place. */
typedef struct {
    int *ends, *link; /* link: -1 for an edge that only joins */
    double *weight;
    size_t count;
} edges;

static bool edges_make(const net *n, edges *e)
{
    size_t room = n->ship->link_count + 2 * (n->ship->space_count + OTHERS);
    e->ends = memory_new(2 * room, sizeof *e->ends);
    e->link = memory_new(room, sizeof *e->link);
    e->weight = memory_new(room, sizeof *e->weight);
    e->count = 0;
    return e->ends && e->link && e->weight;
}

static void edges_free(edges *e)
{
    memory_free(e->ends);
    memory_free(e->link);
    memory_free(e->weight);
}

static void edges_add(edges *e, int a, int b, int link, double weight)
{
    e->ends[2 * e->count] = a;
    e->ends[2 * e->count + 1] = b;
    e->link[e->count] = link;
    e->weight[e->count++] = weight;
}

/* What a search for lines works on. */
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
    edges edges;
} search;

static void search_free(search *s)
{
    memory_free(s->given);
    memory_free(s->spent);
    memory_free(s->aim);
    memory_free(s->part);
    memory_free(s->aimed);
    memory_free(s->near);
    memory_free(s->order);
    memory_free(s->parent);
    edges_free(&s->edges);
}

static bool search_make(search *s, const net *n)
{
    size_t places = n->ship->space_count + 1;
    *s = (search){.n = n,
                  .places = (int)places,
                  .given = memory_new(places, sizeof *s->given),
                  .spent = memory_new(n->ship->link_count, sizeof *s->spent),
                  .aim = memory_new(places, sizeof *s->aim),
                  .part = memory_new(places + 1, sizeof *s->part),
                  .aimed = memory_new(places + 1, sizeof *s->aimed),
                  .near = memory_new(places + 2, sizeof *s->near),
                  .order = memory_new(places + 1, sizeof *s->order),
                  .parent = memory_new(places + 1, sizeof *s->parent)};
    bool room = edges_make(n, &s->edges);
    if (!room || !s->given || !s->spent || !s->aim || !s->part || !s->aimed || !s->near ||
        !s->order || !s->parent)
        return false;
    for (int i = 0; i < s->places; i++)
        s->given[i] = is_source(n, i);
    for (size_t i = 0; i < n->ship->space_count; i++)
        s->aim[i] = n->protect[i];
    return true;
}

/* Numbers the parts: places joined by what cannot be held or is spent. Vertex 0 joins the sources,
 * so that they are part 0. */
static coaming_status find_parts(search *s, coaming_error *error)
{
    const net *n = s->n;
    edges *e = &s->edges;
    int ends[2];
    e->count = 0;
    for (int i = 0; i < s->places; i++)
        if (s->given[i])
            edges_add(e, 0, i + 1, -1, 0);
    for (size_t l = 0; l < n->ship->link_count; l++)
        if (ends_of(n, l, ends) && (leak_of(n, l) >= 1 || s->spent[l]))
            edges_add(e, ends[0] + 1, ends[1] + 1, (int)l, 0);
    graph *g = NULL;
    coaming_status status = graph_new((size_t)s->places + 1, e->count, e->ends, false, &g, error);
    if (status == COAMING_OK)
        status = graph_forest(g, s->order, s->parent, error);
    graph_free(g);
    s->parts = 0;
    for (int i = 0; i <= s->places && status == COAMING_OK; i++) {
        int v = s->order[i];
        s->parts += s->parent[v] < 0;
        if (v > 0)
            s->part[v - 1] = s->parts - 1;
    }
    return status;
}

/* The graph between parts, with part numbers, those to be kept clean taken together as the last. */
static void find_edges(search *s)
{
    const net *n = s->n;
    int ends[2];
    s->edges.count = 0;
    for (size_t l = 0; l < n->ship->closure_count; l++) {
        if (!ends_of(n, l, ends) || leak_of(n, l) >= 1 || s->spent[l])
            continue;
        int a = s->part[ends[0]], b = s->part[ends[1]];
        a = s->aimed[a] ? s->parts : a;
        b = s->aimed[b] ? s->parts : b;
        if (a != b)
            edges_add(&s->edges, a, b, (int)l, -log1p(-leak_of(n, l)));
    }
}

/* Turns -log(1 - p) into whole numbers. The lowest places count closures, one for each, so that of
 * equal lines the one with fewest is least; the sum stays below 2^52. */
static void make_whole(edges *e)
{
    static const double most = 4503599627370496; /* 2^52 */
    double sum = 0, step = (double)e->count + 1;
    for (size_t i = 0; i < e->count; i++)
        sum += e->weight[i];
    double scale = sum > 0 ? (most / step - 2 * step) / sum : 0;
    for (size_t i = 0; i < e->count; i++)
        e->weight[i] = floor(e->weight[i] * scale + 0.5) * step + 1;
}

/* Closures of the line: edges out of the near side. */
static bool crosses(const search *s, size_t edge)
{
    return s->near[s->edges.ends[2 * edge]] != s->near[s->edges.ends[2 * edge + 1]];
}

static void take_closures(search *s, coaming_hold_line *line)
{
    const net *n = s->n;
    double whole = 0;
    for (size_t i = 0; i < s->edges.count; i++) {
        if (!crosses(s, i))
            continue;
        int closure = s->edges.link[i];
        bool at_goal = s->edges.ends[2 * i] == s->parts || s->edges.ends[2 * i + 1] == s->parts;
        line->closures[line->closure_count++] =
            (coaming_hold_closure){closure, n->leaks[closure],
                                   !link_shut(&n->ship->links[closure], n->condition), at_goal};
        whole += log1p(-n->leaks[closure]);
        s->spent[closure] = true;
    }
    line->holds = exp(whole);
}

/* Lists what the source alone can fill up to the line: over all links but the line's own (own: by
 * link), without going round by the outside. */
static bool take_filled(const search *s, const bool *own, coaming_hold_line *line)
{
    const net *n = s->n;
    int ends[2], outside = number_of(n, OUTSIDE);
    bool *in = memory_new((size_t)s->places, sizeof *in);
    if (!in)
        return false;
    if (n->source >= 0)
        in[n->source] = n->space[n->source];
    for (bool more = true; more;) {
        more = false;
        for (size_t l = 0; l < n->ship->link_count; l++) {
            if (!ends_of(n, l, ends) || own[l] || ends[0] == outside || ends[1] == outside ||
                in[ends[0]] == in[ends[1]])
                continue;
            in[ends[0]] = in[ends[1]] = more = true;
        }
    }
    for (int i = 0; i < outside; i++)
        if (in[i])
            line->filled[line->filled_count++] = i;
    memory_free(in);
    return true;
}

static bool take_line(search *s, coaming_hold_line *line)
{
    const net *n = s->n;
    size_t crossing = 0;
    for (size_t i = 0; i < s->edges.count; i++)
        crossing += crosses(s, i);
    *line = (coaming_hold_line){
        .closures = arena_new(n->memory, crossing, sizeof *line->closures),
        .given_up = arena_new(n->memory, n->ship->space_count, sizeof *line->given_up),
        .kept = arena_new(n->memory, n->ship->space_count, sizeof *line->kept),
        .filled = arena_new(n->memory, n->ship->space_count, sizeof *line->filled)};
    bool *own = memory_new(n->ship->link_count, sizeof *own);
    bool good = line->closures && line->given_up && line->kept && line->filled && own;
    if (good)
        take_closures(s, line);
    for (size_t i = 0; i < line->closure_count && good; i++)
        own[line->closures[i].closure] = true;
    good = good && take_filled(s, own, line);
    memory_free(own);
    if (!good)
        return false;
    for (int i = 0; i < s->places; i++) {
        s->given[i] = s->near[s->part[i]];
        if (i == number_of(n, OUTSIDE))
            continue;
        if (s->given[i] || i == n->source)
            line->given_up[line->given_up_count++] = i;
        else
            line->kept[line->kept_count++] = i;
    }
    return true;
}

/* One line more behind those so far, if there is one. */
static coaming_status find_line(search *s, coaming_hold_answer *answer, bool *found,
                                coaming_error *error)
{
    *found = false;
    coaming_status status = find_parts(s, error);
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
    find_edges(s);
    make_whole(&s->edges);
    graph *g = NULL;
    double value = 0;
    status = graph_new((size_t)s->parts + 1, s->edges.count, s->edges.ends, false, &g, error);
    if (status == COAMING_OK)
        status = graph_min_cut(g, s->edges.weight, 0, s->parts, &value, s->near, NULL, error);
    graph_free(g);
    if (status != COAMING_OK || value == 0)
        return status;
    if (!take_line(s, &answer->lines[answer->line_count]))
        return error_memory(error);
    answer->line_count++;
    *found = true;
    return COAMING_OK;
}

/* Ways */

static void way_edges(const net *n, const bool *goal, edges *e)
{
    static const double a_link = 1e-12; /* of equal ways the one over fewest links */
    int ends[2];
    e->count = 0;
    for (int i = 0; i <= number_of(n, OUTSIDE); i++) {
        if (is_source(n, i))
            edges_add(e, number_of(n, START), i, -1, 0);
        if (i < number_of(n, OUTSIDE) && goal[i] && n->space[i])
            edges_add(e, i, number_of(n, GOAL), -1, 0);
    }
    for (size_t l = 0; l < n->ship->link_count; l++)
        if (ends_of(n, l, ends) && leak_of(n, l) > 0)
            edges_add(e, ends[0], ends[1], (int)l, a_link - log(leak_of(n, l)));
}

/* Takes the way apart into steps. path: edges, the first and last of them only joining. */
static bool take_way(const net *n, const edges *e, const int *path, size_t count,
                     coaming_hold_way *way)
{
    way->steps = arena_new(n->memory, count, sizeof *way->steps);
    if (!way->steps)
        return false;
    int at = e->ends[2 * path[0] + 1];
    bool outside = at == number_of(n, OUTSIDE);
    way->from = outside ? outside_of(&n->ship->links[e->link[path[1]]]) : at;
    way->step_count = 0;
    way->probability = 1;
    for (size_t i = 1; i + 1 < count; i++) {
        const int *ends = &e->ends[2 * path[i]];
        int link = e->link[path[i]];
        at = ends[0] == at ? ends[1] : ends[0];
        way->probability *= leak_of(n, (size_t)link);
        way->steps[way->step_count++] = (coaming_hold_step){link, at, leak_of(n, (size_t)link)};
    }
    return true;
}

/* find_way with room for its edges and its path. */
static coaming_status find_way_in(const net *n, const bool *goal, edges *e, int *path,
                                  coaming_hold_way *way, bool *found, coaming_error *error)
{
    size_t vertices = n->ship->space_count + OTHERS, count = 0;
    graph *g = NULL;
    way_edges(n, goal, e);
    coaming_status status = graph_new(vertices, e->count, e->ends, false, &g, error);
    if (status == COAMING_OK)
        status =
            graph_way(g, e->weight, number_of(n, START), number_of(n, GOAL), path, &count, error);
    graph_free(g);
    *found = status == COAMING_OK && count > 0;
    if (*found && !take_way(n, e, path, count, way))
        status = error_memory(error);
    return status;
}

/* The weakest way to one of the spaces that are marked; *found is false if none leads there. */
static coaming_status find_way(const net *n, const bool *goal, coaming_hold_way *way, bool *found,
                               coaming_error *error)
{
    edges e;
    bool room = edges_make(n, &e);
    int *path = memory_new(n->ship->space_count + OTHERS, sizeof *path);
    coaming_status status = COAMING_MEMORY;
    if (room && path)
        status = find_way_in(n, goal, &e, path, way, found, error);
    else
        error_memory(error);
    memory_free(path);
    edges_free(&e);
    return status;
}

/* What is to be kept clean but cannot be, with a way for each. */
static coaming_status find_lost(net *n, search *s, coaming_hold_answer *answer,
                                coaming_error *error)
{
    bool *goal = memory_new(n->ship->space_count, sizeof *goal), found;
    if (!goal)
        return error_memory(error);
    coaming_status status = find_parts(s, error);
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
        status = find_way(n, goal, &answer->lost[answer->lost_count++], &found, error);
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
    /* lines share no space that they give up first: there are not more of them than spaces */
    answer->lines = arena_new(n->memory, spaces + 1, sizeof *answer->lines);
    answer->line_count = 0;
    if (!answer->lost || !answer->lost_spaces || !answer->lines)
        return error_memory(error);
    if (search_make(&s, n))
        status = find_lost(n, &s, answer, error);
    else
        status = error_memory(error);
    for (bool found = true; found && status == COAMING_OK && answer->line_count < limit;)
        status = find_line(&s, answer, &found, error);
    if (status == COAMING_OK)
        status = find_way(n, s.aim, &answer->way, &answer->has_way, error);
    search_free(&s);
    return status;
}
