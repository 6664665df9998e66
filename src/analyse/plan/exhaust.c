/*
 * Every set of repairs that fits. What is lost is worked out once for each state of the closures
 * that are uncertain or could be repaired; closure by closure the table is then turned from "holds,
 * leaks" into "left as it is, repaired", which are sums of these two weighted by their
 * probabilities. So the expected loss of every set comes of as many sums as there are sets, times
 * closures.
 */
#include <math.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"

typedef struct {
    const planner *a;
    int *places; /* of uncertain closures: candidates first, in their order */
    int *place;  /* by closure; CERTAIN: it has none */
    int count;
    double *loss; /* by state, then by set */
    int *parent;  /* nodes of a model, for each step of the recursion one after the other */
} table;

enum { CERTAIN = -1, UNCERTAIN = -2 }; /* UNCERTAIN: has no place yet */

/* Marks, in place, those that matter to a model and may leak or hold. */
static void mark_uncertain(table *t)
{
    const planner *a = t->a;
    for (size_t c = 0; c < a->ship->closure_count; c++)
        t->place[c] = CERTAIN;
    for (size_t i = 0; i < a->model_count; i++)
        for (size_t e = 0; e < a->models[i].edge_count; e++) {
            int c = a->models[i].edges[e].closure;
            if (!a->models[i].whatever[e] && a->p[c] > 0 && a->p[c] < 1)
                t->place[c] = UNCERTAIN;
        }
}

static void list_uncertain(table *t)
{
    const planner *a = t->a;
    mark_uncertain(t);
    for (size_t i = 0; i < a->candidate_count; i++) {
        t->place[a->candidates[i]] = t->count;
        t->places[t->count++] = a->candidates[i];
    }
    for (int c = 0; c < (int)a->ship->closure_count; c++)
        if (t->place[c] == UNCERTAIN) {
            t->place[c] = t->count;
            t->places[t->count++] = c;
        }
}

static int root_of(int *parent, int v)
{
    while (parent[v] != v)
        v = parent[v] = parent[parent[v]];
    return v;
}

/* Edges of a model that pass for certain. */
static bool certain(const table *t, const risk_model *m, size_t edge)
{
    return m->whatever[edge] || (t->place[m->edges[edge].closure] < 0 && m->edges[edge].p >= 1);
}

static double loss_of(const risk_model *m, int *parent)
{
    double sum = 0, weight, mass;
    for (int root = 0; root < m->node_count; root++) {
        if (parent[root] != root)
            continue;
        weight = mass = 0;
        bool always = false;
        for (int v = 0; v < m->node_count; v++)
            if (root_of(parent, v) == root) {
                weight += m->weight[v];
                mass += m->mass[v];
                always |= v == m->always;
            }
        sum += (always ? m->total_weight : weight) * mass;
    }
    return sum;
}

static void join_closure(const table *t, const risk_model *m, int place, int *parent)
{
    for (size_t e = 0; e < m->edge_count; e++)
        if (!m->whatever[e] && m->edges[e].closure == t->places[place])
            parent[root_of(parent, m->edges[e].u)] = root_of(parent, m->edges[e].v);
}

/* Adds the losses of all states of the closures below `place`, those from it on as in `state`.
 * parent: as these join the nodes; the room after it is free. */
static void add_states(table *t, const risk_model *m, int place, unsigned state, int *parent)
{
    if (place == 0) {
        t->loss[state] += loss_of(m, parent);
        return;
    }
    int *next = parent + m->node_count;
    for (unsigned passes = 0; passes < 2; passes++) {
        for (int v = 0; v < m->node_count; v++)
            next[v] = parent[v];
        if (passes)
            join_closure(t, m, place - 1, next);
        add_states(t, m, place - 1, state | passes << (place - 1), next);
    }
}

static void add_model(table *t, const risk_model *m)
{
    for (int v = 0; v < m->node_count; v++)
        t->parent[v] = v;
    for (size_t e = 0; e < m->edge_count; e++)
        if (certain(t, m, e))
            t->parent[root_of(t->parent, m->edges[e].u)] = root_of(t->parent, m->edges[e].v);
    add_states(t, m, t->count, 0, t->parent);
}

/* From states to sets. What is no candidate is left as it is in both. */
static void turn(table *t)
{
    for (int i = 0; i < t->count; i++) {
        double p = t->a->p[t->places[i]];
        double mended = (size_t)i < t->a->candidate_count ? t->a->mended[t->places[i]] : p;
        for (unsigned set = 0; set >> t->count == 0; set++) {
            if (set >> i & 1)
                continue;
            double holds = t->loss[set], leaks = t->loss[set | 1u << i];
            t->loss[set] = holds + p * (leaks - holds);
            t->loss[set | 1u << i] = holds + mended * (leaks - holds);
        }
    }
}

static void choose(const table *t, choice *c, choice *best)
{
    const planner *a = t->a;
    best->after = t->loss[0];
    for (unsigned set = 1; set >> a->candidate_count == 0; set++) {
        choice_numbered(a, c, set);
        c->after = t->loss[set];
        if (hours_fit(a, c->hours) && choice_better(c, best))
            choice_copy(best, c);
    }
}

static coaming_status fill_table(table *t, choice *best, coaming_error *error)
{
    choice c = {0};
    t->loss = memory_new((size_t)1 << t->count, sizeof *t->loss);
    t->parent =
        memory_new((size_t)(t->count + 1) * (t->a->ship->space_count + 1), sizeof *t->parent);
    bool made = t->loss && t->parent && choice_new(t->a, &c);
    if (made) {
        for (size_t i = 0; i < t->a->model_count; i++)
            add_model(t, &t->a->models[i]);
        turn(t);
        choose(t, &c, best);
    }
    memory_free(t->loss);
    memory_free(t->parent);
    memory_free(c.list);
    return made ? COAMING_OK : error_memory(error);
}

coaming_status plan_exhaust(planner *a, choice *best, bool *done, coaming_error *error)
{
    size_t n = a->ship->closure_count;
    table t = {
        .a = a, .places = memory_new(n, sizeof *t.places), .place = memory_new(n, sizeof *t.place)};
    bool made = t.places && t.place;
    coaming_status status = COAMING_OK;
    *done = false;
    if (made)
        list_uncertain(&t);
    if (made && t.count <= a->exhaustive) {
        status = fill_table(&t, best, error);
        *done = status == COAMING_OK;
    }
    memory_free(t.places);
    memory_free(t.place);
    return made ? status : error_memory(error);
}
