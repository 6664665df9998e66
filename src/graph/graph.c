#include "graph/graph.h"

#include <igraph/igraph.h>
#include <stdint.h>
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
