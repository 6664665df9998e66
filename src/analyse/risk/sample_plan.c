/*
 * What is the same for every sample of a model, worked out once. Method: edges that pass for sure
 * join nodes into groups; with nothing else passing, one search of all groups gives each edge its
 * base effect, and a sample only differs from that at the groups that its own edges touch. Why the
 * base may stand in for all that is not touched: an edge's effect depends on the two components
 * that it lies between, and a component without a passing uncertain edge is a group as it was. The
 * sum of the base effects of what passes is the control variate; its shift keeps it within a unit,
 * so that whole numbers cannot overflow. Cost: nodes + edges, once for a model and not a sample.
 */
#include <math.h>

#include "analyse/risk/sample.h"
#include "base/error.h"

static const uint64_t GOLDEN = 0x9e3779b97f4a7c15u;

static bool is_certain(const risk_edge *e)
{
    return e->p >= 1;
}

static bool take_room(sample_plan *p)
{
    size_t n = (size_t)p->nodes, m = (size_t)p->edges;
    arena *r = &p->room;
    p->ends = arena_new(r, m, sizeof *p->ends);
    p->weight = arena_new(r, n, sizeof *p->weight);
    p->mass = arena_new(r, n, sizeof *p->mass);
    p->certain.first = arena_new(r, n + 1, sizeof *p->certain.first);
    p->certain.arcs = arena_new(r, 2 * m, sizeof *p->certain.arcs);
    p->uncertain.first = arena_new(r, n + 1, sizeof *p->uncertain.first);
    p->uncertain.arcs = arena_new(r, 2 * m, sizeof *p->uncertain.arcs);
    p->group = arena_new(r, n, sizeof *p->group);
    p->first_member = arena_new(r, n + 1, sizeof *p->first_member);
    p->member = arena_new(r, n, sizeof *p->member);
    p->groups = arena_new(r, n, sizeof *p->groups);
    p->inner = arena_new(r, m, sizeof *p->inner);
    p->chance = arena_new(r, m, sizeof *p->chance);
    p->key = arena_new(r, m, sizeof *p->key);
    p->base_effect = arena_new(r, m, sizeof *p->base_effect);
    p->base_way = arena_new(r, m, sizeof *p->base_way);
    p->control = arena_new(r, m, sizeof *p->control);
    return p->ends && p->weight && p->mass && p->certain.first && p->certain.arcs &&
           p->uncertain.first && p->uncertain.arcs && p->group && p->first_member && p->member &&
           p->groups && p->inner && p->chance && p->key && p->base_effect && p->base_way &&
           p->control;
}

/* Weight and mass as shares; all 0 where there is nothing to lose. */
static void share_out(sample_plan *p)
{
    const risk_model *m = p->model;
    double all_mass = 0;
    int weighted = 0, last = -1;
    for (int v = 0; v < p->nodes; v++) {
        all_mass += m->mass[v];
        if (m->weight[v] > 0) {
            weighted++;
            last = v;
        }
    }
    p->always = m->always < 0 && weighted == 1 ? last : m->always;
    bool some = m->total_weight > 0 && all_mass > 0;
    for (int v = 0; v < p->nodes && some; v++) {
        p->weight[v] = m->weight[v] / m->total_weight;
        p->mass[v] = m->mass[v] / all_mass;
    }
}

/* The arcs of the edges that are certain, or of the others, by node. */
static void list_arcs(const sample_plan *p, bool certain, sample_arcs *list)
{
    const risk_edge *edges = p->model->edges;
    for (int e = 0; e < p->edges; e++)
        if (is_certain(&edges[e]) == certain) {
            list->first[edges[e].u]++;
            list->first[edges[e].v]++;
        }
    for (int v = 0, sum = 0; v <= p->nodes; v++) { /* to the end of each node's run */
        sum += list->first[v];
        list->first[v] = sum;
    }
    for (int e = p->edges - 1; e >= 0; e--) /* from the end, down to its start */
        if (is_certain(&edges[e]) == certain) {
            list->arcs[--list->first[edges[e].u]] = (sample_arc){e, edges[e].v};
            list->arcs[--list->first[edges[e].v]] = (sample_arc){e, edges[e].u};
        }
}

/* Groups, their members found by spreading over certain edges; `member` is the queue besides. */
static void list_groups(sample_plan *p)
{
    int found = 0;
    for (int v = 0; v < p->nodes; v++)
        p->group[v] = -1;
    for (int v = 0; v < p->nodes; v++) {
        if (p->group[v] >= 0)
            continue;
        int number = p->group_count++;
        sample_part *g = &p->groups[number];
        int at = p->first_member[number] = found;
        p->group[v] = number;
        p->member[found++] = v;
        for (; at < found; at++) {
            int a = p->member[at];
            g->weight += p->weight[a];
            g->mass += p->mass[a];
            g->always |= a == p->always;
            for (int i = p->certain.first[a]; i < p->certain.first[a + 1]; i++) {
                int b = p->certain.arcs[i].other;
                if (p->group[b] < 0) {
                    p->group[b] = number;
                    p->member[found++] = b;
                }
            }
        }
    }
    p->first_member[p->group_count] = found;
}

static void prepare_edges(sample_plan *p, uint64_t seed, unsigned model_number)
{
    uint64_t model_key = sample_mix(sample_mix(seed + GOLDEN) + GOLDEN * (model_number + 1));
    for (int e = 0; e < p->edges; e++) {
        const risk_edge *edge = &p->model->edges[e];
        p->key[e] = sample_mix(model_key + GOLDEN * ((uint64_t)edge->closure + 1));
        p->ends[e] = (sample_ends){edge->u, edge->v};
        if (is_certain(edge))
            continue;
        p->chance[e] = (uint64_t)ldexp(edge->p, 64);
        int a = p->group[edge->u], b = p->group[edge->v];
        if (a == b && p->groups[a].always)
            p->inner[p->inner_count++] = e;
    }
}

/* The base state: every group is searched, and nothing uncertain passes. */
static void fill_base(sample_plan *p, sample_state *s)
{
    double loss = 0, sum = 0;
    for (int g = 0; g < p->group_count; g++) {
        s->is_touched[g] = true;
        s->touched[s->touched_count++] = g;
        loss += p->groups[g].always ? p->groups[g].mass : p->groups[g].weight * p->groups[g].mass;
    }
    p->base_loss = sample_round(loss);
    sample_search(s);
    for (int e = 0; e < p->edges; e++) {
        sample_outcome o = sample_edge(s, e);
        p->base_effect[e] = o.effect;
        p->base_way[e] = o.by_way;
        sum += p->chance[e] ? (double)o.effect / (double)RISK_UNIT : 0;
    }
    while (ldexp(sum, -p->control_shift) > 1)
        p->control_shift++;
    for (int e = 0; e < p->edges; e++)
        p->control[e] = p->chance[e] ? p->base_effect[e] >> p->control_shift : 0;
}

coaming_status sample_plan_new(const risk_model *m, uint64_t seed, unsigned model_number,
                               sample_plan **plan, coaming_error *error)
{
    sample_plan *p = memory_new(1, sizeof *p);
    if (!p)
        return error_memory(error);
    p->model = m;
    p->nodes = m->node_count;
    p->edges = (int)m->edge_count;
    sample_state *s = memory_new(1, sizeof *s);
    bool made = s && take_room(p);
    if (made) {
        share_out(p);
        list_arcs(p, true, &p->certain);
        list_arcs(p, false, &p->uncertain);
        list_groups(p);
        prepare_edges(p, seed, model_number);
        made = sample_state_new(s, p);
    }
    if (made)
        fill_base(p, s);
    if (s)
        sample_state_free(s);
    memory_free(s);
    if (!made) {
        sample_plan_free(p);
        return error_memory(error);
    }
    *plan = p;
    return COAMING_OK;
}

void sample_plan_free(sample_plan *p)
{
    if (!p)
        return;
    arena_free(&p->room);
    memory_free(p);
}
