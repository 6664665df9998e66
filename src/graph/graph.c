#include "graph/graph.h"

#include <igraph/igraph.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"

struct graph {
    igraph_t graph;
};

/* igraph calls its handler once a level on the way out; the first call knows the reason. */
static char first_reason[200];
static igraph_error_handler_t *host_error;
static igraph_warning_handler_t *host_warning;

static void keep_reason(const char *reason, const char *file, int line, igraph_error_t code)
{
    (void)file, (void)line, (void)code;
    if (!first_reason[0]) {
        strncpy(first_reason, reason, sizeof first_reason - 1);
        first_reason[sizeof first_reason - 1] = '\0';
    }
    IGRAPH_FINALLY_FREE();
}

static void ignore_warning(const char *reason, const char *file, int line)
{
    (void)reason, (void)file, (void)line;
}

static void enter(void)
{
    first_reason[0] = '\0';
    host_error = igraph_set_error_handler(keep_reason);
    host_warning = igraph_set_warning_handler(ignore_warning);
}

static coaming_status leave(igraph_error_t code, coaming_error *error)
{
    igraph_set_error_handler(host_error);
    igraph_set_warning_handler(host_warning);
    if (code == IGRAPH_SUCCESS)
        return COAMING_OK;
    if (code == IGRAPH_ENOMEM)
        return error_memory(error);
    return error_set(error, COAMING_INTERNAL, "graph library: %s",
                     first_reason[0] ? first_reason : "failed without a reason");
}

int graph_left_over(void)
{
    return IGRAPH_FINALLY_STACK_SIZE();
}

coaming_status graph_new(size_t vertices, size_t edges, const int *ends, bool directed, graph **out,
                         coaming_error *error)
{
    for (size_t i = 0; i < 2 * edges; i++)
        if (ends[i] < 0 || (size_t)ends[i] >= vertices)
            return error_set(error, COAMING_INTERNAL, "edge %zu ends at no vertex", i / 2);
    graph *g = memory_new(1, sizeof *g);
    if (!g)
        return error_memory(error);

    igraph_vector_int_t list;
    enter();
    igraph_error_t code = igraph_vector_int_init(&list, (igraph_integer_t)(2 * edges));
    if (code == IGRAPH_SUCCESS) {
        for (size_t i = 0; i < 2 * edges; i++)
            VECTOR(list)[i] = ends[i];
        code = igraph_create(&g->graph, &list, (igraph_integer_t)vertices, directed);
        igraph_vector_int_destroy(&list);
    }
    coaming_status status = leave(code, error);
    if (status != COAMING_OK)
        memory_free(g);
    else
        *out = g;
    return status;
}

void graph_free(graph *g)
{
    if (!g)
        return;
    igraph_destroy(&g->graph);
    memory_free(g);
}

static void copy_out(const igraph_vector_int_t *from, int *to)
{
    for (igraph_integer_t i = 0; i < igraph_vector_int_size(from); i++)
        to[i] = (int)VECTOR(*from)[i];
}

static void mark(const igraph_vector_int_t *from, bool *marks, igraph_integer_t count)
{
    memset(marks, 0, (size_t)count * sizeof *marks);
    for (igraph_integer_t i = 0; i < igraph_vector_int_size(from); i++)
        marks[VECTOR(*from)[i]] = true;
}

coaming_status graph_forest(const graph *g, int *order, int *parent, coaming_error *error)
{
    if (igraph_vcount(&g->graph) == 0)
        return COAMING_OK;
    igraph_vector_int_t met, father;
    enter();
    igraph_error_t code = igraph_vector_int_init(&met, 0);
    if (code != IGRAPH_SUCCESS)
        return leave(code, error);
    code = igraph_vector_int_init(&father, 0);
    if (code == IGRAPH_SUCCESS) {
        code =
            igraph_dfs(&g->graph, 0, IGRAPH_ALL, true, &met, NULL, &father, NULL, NULL, NULL, NULL);
        if (code == IGRAPH_SUCCESS) {
            copy_out(&met, order);
            copy_out(&father, parent);
        }
        igraph_vector_int_destroy(&father);
    }
    igraph_vector_int_destroy(&met);
    return leave(code, error);
}

typedef igraph_error_t (*marker)(const igraph_t *graph, igraph_vector_int_t *found);

/* Runs one of igraph's searches that give a list of ids, and turns the list into marks. */
static coaming_status find_marks(const graph *g, marker search, bool *marks, igraph_integer_t count,
                                 coaming_error *error)
{
    igraph_vector_int_t found;
    enter();
    igraph_error_t code = igraph_vector_int_init(&found, 0);
    if (code == IGRAPH_SUCCESS) {
        code = search(&g->graph, &found);
        if (code == IGRAPH_SUCCESS)
            mark(&found, marks, count);
        igraph_vector_int_destroy(&found);
    }
    return leave(code, error);
}

coaming_status graph_bridges(const graph *g, bool *bridge, coaming_error *error)
{
    return find_marks(g, igraph_bridges, bridge, igraph_ecount(&g->graph), error);
}

coaming_status graph_chokes(const graph *g, bool *choke, coaming_error *error)
{
    return find_marks(g, igraph_articulation_points, choke, igraph_vcount(&g->graph), error);
}

coaming_status graph_dominators(const graph *g, int root, int *dominator, coaming_error *error)
{
    if (root < 0 || root >= igraph_vcount(&g->graph))
        return error_set(error, COAMING_INTERNAL, "no vertex %d to start from", root);
    igraph_vector_int_t dominators;
    enter();
    igraph_error_t code = igraph_vector_int_init(&dominators, 0);
    if (code == IGRAPH_SUCCESS) {
        code = igraph_dominator_tree(&g->graph, root, &dominators, NULL, NULL, IGRAPH_OUT);
        if (code == IGRAPH_SUCCESS)
            copy_out(&dominators, dominator);
        igraph_vector_int_destroy(&dominators);
    }
    return leave(code, error);
}

coaming_status graph_disjoint_ways(const graph *g, int from, int to, int *ways,
                                   coaming_error *error)
{
    igraph_integer_t n = igraph_vcount(&g->graph), found = 0;
    if (from < 0 || to < 0 || from >= n || to >= n || from == to)
        return error_set(error, COAMING_INTERNAL, "two different vertices are needed");
    enter();
    igraph_error_t code = igraph_edge_disjoint_paths(&g->graph, &found, from, to);
    if (code == IGRAPH_SUCCESS)
        *ways = (int)found;
    return leave(code, error);
}

/* Dijkstra in 0.10.2 does not look at `from`, nor refuse an infinite weight. */
static coaming_status check_ways(const graph *g, const double *weight, const int *ends,
                                 size_t count, coaming_error *error)
{
    for (size_t i = 0; i < count; i++)
        if (ends[i] < 0 || ends[i] >= igraph_vcount(&g->graph))
            return error_set(error, COAMING_INTERNAL, "no vertex %d to go from or to", ends[i]);
    for (igraph_integer_t e = 0; e < igraph_ecount(&g->graph); e++)
        if (!isfinite(weight[e]) || weight[e] < 0)
            return error_set(error, COAMING_INTERNAL, "edge %lld has no length", (long long)e);
    return COAMING_OK;
}

coaming_status graph_way(const graph *g, const double *weight, int from, int to, int *edges,
                         size_t *count, coaming_error *error)
{
    coaming_status status = check_ways(g, weight, (int[]){from, to}, 2, error);
    if (status != COAMING_OK)
        return status;
    igraph_vector_t weights;
    igraph_vector_int_t found;
    igraph_vector_view(&weights, weight, igraph_ecount(&g->graph));
    enter();
    igraph_error_t code = igraph_vector_int_init(&found, 0);
    if (code == IGRAPH_SUCCESS) {
        code = igraph_get_shortest_path_dijkstra(&g->graph, NULL, &found, from, to, &weights,
                                                 IGRAPH_ALL);
        if (code == IGRAPH_SUCCESS) {
            copy_out(&found, edges);
            *count = (size_t)igraph_vector_int_size(&found);
        }
        igraph_vector_int_destroy(&found);
    }
    return leave(code, error);
}

static coaming_status check_capacity(const graph *g, const double *capacity, int from, int to,
                                     coaming_error *error)
{
    static const double exact = 9007199254740992; /* 2^53 */
    igraph_integer_t n = igraph_vcount(&g->graph);
    if (from < 0 || to < 0 || from >= n || to >= n || from == to)
        return error_set(error, COAMING_INTERNAL, "two different vertices are needed");
    double sum = 0;
    for (igraph_integer_t e = 0; e < igraph_ecount(&g->graph); e++) {
        sum += capacity[e];
        if (!(capacity[e] >= 0 && sum < exact) || floor(capacity[e]) != capacity[e])
            return error_set(error, COAMING_INTERNAL, "edge %lld has no whole capacity",
                             (long long)e);
    }
    return COAMING_OK;
}

/* What more could go along the edge from this end of it to the other. */
static double residual(const igraph_t *g, const igraph_vector_t *capacity,
                       const igraph_vector_t *flow, igraph_integer_t e, igraph_integer_t end)
{
    igraph_integer_t start = IGRAPH_FROM(g, e), other = IGRAPH_TO(g, e);
    /* undirected: positive flow goes from the lower number to the higher */
    if (!igraph_is_directed(g))
        return VECTOR(*capacity)[e] + (end < IGRAPH_OTHER(g, e, end) ? -1 : 1) * VECTOR(*flow)[e];
    double more = end == start ? VECTOR(*capacity)[e] - VECTOR(*flow)[e] : 0;
    return end == other ? more + VECTOR(*flow)[e] : more;
}

/* Marks all that can still be reached from a vertex or, backwards, that can still reach it. */
static igraph_error_t spread_residual(const igraph_t *g, const igraph_vector_t *capacity,
                                      const igraph_vector_t *flow, int start, bool backwards,
                                      bool *side)
{
    igraph_vector_int_t queue, edges;
    igraph_error_t code = igraph_vector_int_init(&queue, 0);
    if (code != IGRAPH_SUCCESS)
        return code;
    code = igraph_vector_int_init(&edges, 0);
    if (code == IGRAPH_SUCCESS) {
        memset(side, 0, (size_t)igraph_vcount(g) * sizeof *side);
        side[start] = true;
        code = igraph_vector_int_push_back(&queue, start);
        while (code == IGRAPH_SUCCESS && !igraph_vector_int_empty(&queue)) {
            igraph_integer_t v = igraph_vector_int_pop_back(&queue);
            code = igraph_incident(g, &edges, v, IGRAPH_ALL);
            for (igraph_integer_t i = 0;
                 code == IGRAPH_SUCCESS && i < igraph_vector_int_size(&edges); i++) {
                igraph_integer_t e = VECTOR(edges)[i], u = IGRAPH_OTHER(g, e, v);
                if (side[u] || residual(g, capacity, flow, e, backwards ? u : v) <= 0)
                    continue;
                side[u] = true;
                code = igraph_vector_int_push_back(&queue, u);
            }
        }
        igraph_vector_int_destroy(&edges);
    }
    igraph_vector_int_destroy(&queue);
    return code;
}

coaming_status graph_min_cut(const graph *g, const double *capacity, int from, int to,
                             double *value, bool *near, bool *far, coaming_error *error)
{
    coaming_status status = check_capacity(g, capacity, from, to, error);
    if (status != COAMING_OK)
        return status;
    igraph_vector_t limits, flow;
    igraph_real_t least = 0;
    igraph_vector_view(&limits, capacity, igraph_ecount(&g->graph));
    enter();
    igraph_error_t code = igraph_vector_init(&flow, 0);
    if (code == IGRAPH_SUCCESS) {
        code = igraph_maxflow(&g->graph, &least, &flow, NULL, NULL, NULL, from, to, &limits, NULL);
        if (code == IGRAPH_SUCCESS && near)
            code = spread_residual(&g->graph, &limits, &flow, from, false, near);
        if (code == IGRAPH_SUCCESS && far)
            code = spread_residual(&g->graph, &limits, &flow, to, true, far);
        igraph_vector_destroy(&flow);
    }
    status = leave(code, error);
    if (status == COAMING_OK)
        *value = least;
    return status;
}

void graph_library(coaming_library *library)
{
    const char *running = NULL;
    *library = (coaming_library){"igraph", "GPL-2.0-or-later", "graphs", IGRAPH_VERSION, ""};
    igraph_version(&running, NULL, NULL, NULL);
    snprintf(library->running, sizeof library->running, "%s", running);
}
