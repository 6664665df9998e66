#include "plain_risk.h"

#include <igraph/igraph.h>
#include <math.h>
#include <stdlib.h>
#include <time.h>

/* Of the processor: what else runs does not count against the plain way. */
static double now(void)
{
    struct timespec t;
    clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static double plain_reach(const risk_model *m, const bool *passes, int source)
{
    igraph_vector_int_t ends, reached;
    igraph_t g;
    double mass = 0;
    igraph_vector_int_init(&ends, 0);
    igraph_vector_int_init(&reached, 0);
    for (size_t e = 0; e < m->edge_count; e++)
        if (passes[e]) {
            igraph_vector_int_push_back(&ends, m->edges[e].u);
            igraph_vector_int_push_back(&ends, m->edges[e].v);
        }
    if (m->always >= 0 && source != m->always) { /* a source besides */
        igraph_vector_int_push_back(&ends, source);
        igraph_vector_int_push_back(&ends, m->always);
    }
    igraph_create(&g, &ends, m->node_count, IGRAPH_UNDIRECTED);
    igraph_subcomponent(&g, &reached, source, IGRAPH_ALL);
    for (igraph_integer_t i = 0; i < igraph_vector_int_size(&reached); i++)
        mass += m->mass[VECTOR(reached)[i]];
    igraph_destroy(&g);
    igraph_vector_int_destroy(&ends);
    igraph_vector_int_destroy(&reached);
    return mass;
}

/* Adds up the searches that it made. */
static double plain_effect(const risk_model *m, bool *passes, size_t edge, double *searches)
{
    bool was = passes[edge];
    double sum = 0;
    for (int v = 0; v < m->node_count; v++) {
        if (m->weight[v] <= 0)
            continue;
        passes[edge] = true;
        sum += m->weight[v] * plain_reach(m, passes, v);
        passes[edge] = false;
        sum -= m->weight[v] * plain_reach(m, passes, v);
        *searches += 2;
    }
    passes[edge] = was;
    return sum;
}

/* The first sample of the sampler, and what it counts in it. */
typedef struct {
    sample_plan *plan;
    sample_state drawn, counted;
    bool *passes;
} first_sample;

static bool first_sample_new(first_sample *f, const risk_model *m, unsigned number)
{
    *f = (first_sample){.passes = calloc(m->edge_count + 1, sizeof *f->passes)};
    if (!f->passes || sample_plan_new(m, 1, number, &f->plan, NULL) != COAMING_OK)
        return false;
    if (!sample_state_new(&f->drawn, f->plan) || !sample_state_new(&f->counted, f->plan))
        return false;
    sample_draw_block(&f->drawn, 0);
    sample_draw(&f->drawn, 0);
    for (size_t e = 0; e < m->edge_count; e++)
        f->passes[e] = m->edges[e].p >= 1;
    for (int i = 0; i < f->drawn.passing_count; i++)
        f->passes[f->drawn.passing[i]] = true;
    sample_block_of(&f->counted, 0, 1);
    return true;
}

static void first_sample_free(first_sample *f)
{
    free(f->passes);
    sample_state_free(&f->drawn);
    sample_state_free(&f->counted);
    sample_plan_free(f->plan);
}

static double greatest_loss(const risk_model *m)
{
    double mass = 0;
    for (int v = 0; v < m->node_count; v++)
        mass += m->mass[v];
    return m->total_weight * mass;
}

bool plain_risk_seconds(const risk_model *m, unsigned number, double *seconds)
{
    enum { COMPARED = 3 };
    first_sample f;
    double unit = greatest_loss(m) / (double)RISK_UNIT, searches = 0, spent = 0, scenarios = 0;
    bool good = first_sample_new(&f, m, number);
    for (int v = 0; v < m->node_count; v++)
        scenarios += m->weight[v] > 0;
    for (size_t i = 0; i < COMPARED && m->edge_count && good; i++) {
        size_t e = (2 * i + 1) * m->edge_count / (2 * COMPARED);
        double start = now(), plain = plain_effect(m, f.passes, e, &searches);
        spent += now() - start;
        double counted = unit * (double)(f.plan->base_effect[e] + f.counted.tally.sums[e].effect);
        good = fabs(plain - counted) <= 1e-9 * (1 + fabs(plain));
    }
    *seconds = searches > 0 ? spent / searches * 2 * scenarios * (double)m->edge_count : 0;
    first_sample_free(&f);
    return good;
}

void plain_risk_write(const risk_model *models, size_t count, FILE *out)
{
    for (size_t i = 0; i < count; i++) {
        const risk_model *m = &models[i];
        fprintf(out, "model %d %zu %d\n", m->node_count, m->edge_count, m->always);
        for (int v = 0; v < m->node_count; v++)
            fprintf(out, "%.17g %.17g\n", m->weight[v], m->mass[v]);
        for (size_t e = 0; e < m->edge_count; e++)
            fprintf(out, "%d %d %.17g\n", m->edges[e].u, m->edges[e].v, m->edges[e].p);
    }
}
