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
#include "base/hash.h"

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
    p->others.first = arena_new(r, n + 1, sizeof *p->others.first);
    p->others.arcs = arena_new(r, 2 * m, sizeof *p->others.arcs);
    p->links = arena_new(r, n, sizeof *p->links);
    p->near = arena_new(r, n, sizeof *p->near);
    p->group = arena_new(r, n, sizeof *p->group);
    p->first_member = arena_new(r, n + 1, sizeof *p->first_member);
    p->member = arena_new(r, n, sizeof *p->member);
    p->groups = arena_new(r, n, sizeof *p->groups);
    p->chance = arena_new(r, m, sizeof *p->chance);
    p->key = arena_new(r, m, sizeof *p->key);
    p->base_effect = arena_new(r, m, sizeof *p->base_effect);
    p->base_way = arena_new(r, m, sizeof *p->base_way);
    p->control = arena_new(r, m, sizeof *p->control);
    return p->ends && p->weight && p->mass && p->certain.first && p->certain.arcs &&
           p->others.first && p->others.arcs && p->links && p->near && p->group &&
           p->first_member && p->member && p->groups && p->chance && p->key && p->base_effect &&
           p->base_way && p->control;
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

/* `always` is the second of the two. */
static void list_ends(sample_plan *p)
{
    for (int e = 0; e < p->edges; e++) {
        const risk_edge *edge = &p->model->edges[e];
        bool first = edge->u == p->always;
        p->ends[e] = (sample_ends){first ? edge->v : edge->u, first ? edge->u : edge->v};
        if (p->ends[e].v == p->always && is_certain(edge))
            p->links[p->ends[e].u]++;
    }
}

/* The arcs of the edges that are searched whatever is drawn, or of the others, by node. */
static void list_arcs(const sample_plan *p, bool certain, sample_arcs *list)
{
    for (int pass = 0; pass < 2; pass++) {
        for (int e = p->edges - 1; e >= 0; e--) {
            sample_ends at = p->ends[e];
            bool outside = at.v == p->always;
            if ((is_certain(&p->model->edges[e]) && !outside) != certain)
                continue;
            if (pass == 0) {
                list->first[at.u]++;
                list->first[at.v] += !outside;
                continue;
            }
            list->arcs[--list->first[at.u]] = (sample_arc){e, at.v};
            if (!outside)
                list->arcs[--list->first[at.v]] = (sample_arc){e, at.u};
        }
        /* to the end of each node's run; the second pass goes down to its start */
        for (int v = 0, sum = 0; v <= p->nodes && pass == 0; v++) {
            sum += list->first[v];
            list->first[v] = sum;
        }
    }
}

/* All that certain edges lead to from a node; `member` is the queue besides. */
static void list_group(sample_plan *p, int from, int *found)
{
    int number = p->group_count++, at = p->first_member[number] = *found;
    sample_part *g = &p->groups[number];
    p->group[from] = number;
    p->member[(*found)++] = from;
    for (; at < *found; at++) {
        int a = p->member[at];
        g->weight += p->weight[a];
        g->mass += p->mass[a];
        g->links += p->links[a];
        for (int i = p->certain.first[a]; i < p->certain.first[a + 1]; i++) {
            int b = p->certain.arcs[i].other;
            if (p->group[b] < 0) {
                p->group[b] = number;
                p->member[(*found)++] = b;
            }
        }
    }
}

static void list_groups(sample_plan *p)
{
    int found = 0;
    for (int v = 0; v < p->nodes; v++)
        p->group[v] = -1;
    for (int linked = 1; linked >= 0; linked--)
        for (int v = 0; v < p->nodes; v++)
            if (v != p->always && p->group[v] < 0 && (p->links[v] > 0) == linked)
                list_group(p, v, &found);
    p->first_member[p->group_count] = found;
}

static void prepare_edges(sample_plan *p, uint64_t seed, unsigned model_number)
{
    uint64_t model_key = hash_mix(hash_mix(seed + HASH_GOLDEN) + HASH_GOLDEN * (model_number + 1));
    for (int e = 0; e < p->edges; e++) {
        const risk_edge *edge = &p->model->edges[e];
        p->key[e] = hash_mix(model_key + HASH_GOLDEN * ((uint64_t)edge->closure + 1));
        if (!is_certain(edge))
            p->chance[e] = (uint64_t)ldexp(edge->p, 64);
    }
}

static int root_of(int *parent, int v)
{
    while (parent[v] != v)
        v = parent[v] = parent[parent[v]];
    return v;
}

/* What is lost where every edge passes that may; parent: room for all nodes. */
static double greatest_loss(const sample_plan *p, int *parent, sample_part *parts)
{
    double sum = 0;
    for (int v = 0; v < p->nodes; v++) {
        parent[v] = v;
        parts[v] = (sample_part){p->weight[v], p->mass[v], v == p->always, 0};
    }
    for (int e = 0; e < p->edges; e++) {
        int a = root_of(parent, p->ends[e].u), b = root_of(parent, p->ends[e].v);
        if (a == b || p->model->edges[e].p <= 0)
            continue;
        parent[a] = b;
        parts[b].weight += parts[a].weight;
        parts[b].mass += parts[a].mass;
        parts[b].links += parts[a].links;
    }
    for (int v = 0; v < p->nodes; v++)
        sum += parent[v] == v ? sample_lost(&parts[v]) : 0;
    return sum;
}

/* A sample's loss is no more from that of the base state than 1 and the sum of all p. */
static void find_loss_shift(sample_plan *p)
{
    double most = 1;
    for (int e = 0; e < p->edges; e++)
        most += p->chance[e] ? p->model->edges[e].p : 0;
    while (ldexp(1, p->loss_shift) < most)
        p->loss_shift++;
}

/* The base state: every group is searched, and nothing uncertain passes. */
static void fill_base(sample_plan *p, sample_state *s)
{
    find_loss_shift(p);
    double loss = p->always < 0 ? 0 : p->mass[p->always], sum = 0, alone = 0;
    for (int g = 0; g < p->group_count; g++) {
        s->is_touched[g] = true;
        s->touched[s->touched_count++] = g;
        loss += sample_lost(&p->groups[g]);
    }
    sample_search(s);
    for (int v = 0; v < p->nodes; v++)
        p->near[v] = s->near[s->place[v].order];
    for (int e = 0; e < p->edges; e++) {
        sample_outcome o = sample_edge(s, e);
        p->base_effect[e] = o.effect;
        p->base_way[e] = o.by_way;
        sum += p->chance[e] ? (double)o.effect / (double)RISK_UNIT : 0;
        alone += p->chance[e] ? p->model->edges[e].p * (double)o.effect / (double)RISK_UNIT : 0;
    }
    p->base_loss = loss + alone;
    p->greatest = greatest_loss(p, s->touched, s->sides);
    p->most = fmax(0, p->greatest - loss);
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
        list_ends(p);
        list_arcs(p, true, &p->certain);
        list_arcs(p, false, &p->others);
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
