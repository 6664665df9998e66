#include "analyse/risk/model.h"

#include <math.h>
#include <stdlib.h>

#include "analyse/ranking/loss.h"
#include "analyse/ranking/scenarios.h"
#include "analyse/risk/risk.h"
#include "base/error.h"
#include "ship/state.h"

/* A scenario with the plane it is counted at. */
typedef struct {
    scenario scenario;
    double level; /* NaN for air */
    bool outside; /* is the outside a node? */
    int order;
} planned;

static int by_plane(const void *left, const void *right)
{
    const planned *a = left, *b = right;
    if (a->scenario.hazard != b->scenario.hazard)
        return a->scenario.hazard < b->scenario.hazard ? -1 : 1;
    if (a->outside != b->outside)
        return a->outside < b->outside ? -1 : 1;
    if (a->scenario.hazard == COAMING_WATER && a->level != b->level)
        return a->level < b->level ? -1 : 1;
    return (a->order > b->order) - (a->order < b->order);
}

static bool same_plane(const planned *a, const planned *b)
{
    return a->scenario.hazard == b->scenario.hazard && a->outside == b->outside &&
           (a->scenario.hazard == COAMING_AIR || a->level == b->level);
}

static size_t plan(const coaming_ship *ship, coaming_query query, planned *list, scenario *scratch)
{
    size_t count = 0;
    if (query.level.kind == COAMING_LEVEL_EQUILIBRIUM)
        query.level.kind = COAMING_LEVEL_STILL;
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        size_t found = query.hazard[h] ? scenarios_for(ship, (coaming_hazard)h, scratch) : 0;
        for (size_t i = 0; i < found; i++) {
            bool water = h == COAMING_WATER;
            list[count] =
                (planned){scratch[i], level_for(ship, query, (coaming_hazard)h, scratch[i].source),
                          water || scratch[i].source == COAMING_WEATHER, (int)count};
            count++;
        }
    }
    if (count)
        qsort(list, count, sizeof *list, by_plane);
    return count;
}

/* Places as numbers: spaces, then the outside. */

typedef struct {
    const coaming_ship *ship;
    const planned *plane;
    int *parent; /* union by passages */
} gathering;

static int place_index(const gathering *g, coaming_place place)
{
    if (place >= 0)
        return space_reached(&g->ship->spaces[place], g->plane->scenario.hazard, g->plane->level)
                   ? place
                   : -1;
    if (!g->plane->outside)
        return -1;
    if (g->plane->scenario.hazard == COAMING_AIR && place == COAMING_SEA)
        return -1;
    return (int)g->ship->space_count;
}

static int root_of(int *parent, int i)
{
    while (parent[i] != i)
        i = parent[i] = parent[parent[i]];
    return i;
}

/* The two ends of a link that the hazard can act on; false if it cannot. */
static bool ends_of(const gathering *g, const ship_link *l, int *a, int *b)
{
    if (!link_reached(l, g->plane->scenario.hazard, g->plane->level))
        return false;
    *a = place_index(g, l->a);
    *b = place_index(g, l->b);
    return *a >= 0 && *b >= 0;
}

static void join_passages(gathering *g)
{
    for (size_t i = g->ship->closure_count; i < g->ship->link_count; i++) {
        int a, b;
        if (ends_of(g, &g->ship->links[i], &a, &b))
            g->parent[root_of(g->parent, a)] = root_of(g->parent, b);
    }
}

static double middle_of(const ship_space *s)
{
    double low = INFINITY, high = -INFINITY;
    for (size_t i = 0; i < s->solid_count; i++) {
        low = fmin(low, s->parts[i].x0);
        high = fmax(high, s->parts[i].x1);
    }
    return (low + high) / 2;
}

/* Numbers the roots and gives the nodes their mass and place. node: by place. */
static void number_nodes(gathering *g, coaming_measure measure, risk_model *m, int *node)
{
    int outside = (int)g->ship->space_count;
    for (int i = 0; i <= outside; i++)
        node[i] = -1;
    for (int i = 0; i <= outside; i++) {
        bool there = i == outside ? g->plane->outside : place_index(g, i) >= 0;
        if (!there)
            continue;
        int root = root_of(g->parent, i);
        if (node[root] < 0) {
            node[root] = m->node_count;
            m->along[m->node_count++] = i == outside ? -INFINITY : middle_of(&g->ship->spaces[i]);
        }
        node[i] = node[root];
        if (i == outside)
            m->along[node[i]] = -INFINITY;
        else
            m->mass[node[i]] += space_loss(&g->ship->spaces[i], measure, g->plane->scenario.hazard,
                                           g->plane->level);
    }
}

static void add_edges(gathering *g, int condition, const double *probabilities, const int *node,
                      risk_model *m)
{
    for (size_t i = 0; i < g->ship->closure_count; i++) {
        const ship_link *l = &g->ship->links[i];
        int a, b;
        if (!ends_of(g, l, &a, &b) || node[a] == node[b])
            continue;
        bool open = link_state_as_built(l, condition, m->hazard) == LINK_PASSES;
        m->whatever[m->edge_count] = open;
        m->edges[m->edge_count++] =
            (risk_edge){node[a], node[b], (int)i, open ? 1 : probabilities[i]};
    }
}

static bool make_model(const coaming_ship *ship, coaming_query query, coaming_measure measure,
                       const double *probabilities, const planned *list, size_t count,
                       risk_model *m)
{
    size_t places = ship->space_count + 1;
    gathering g = {ship, list, memory_new(places, sizeof *g.parent)};
    int *node = memory_new(places, sizeof *node);
    *m = (risk_model){.hazard = list->scenario.hazard,
                      .level = list->level,
                      .weight = memory_new(places, sizeof *m->weight),
                      .mass = memory_new(places, sizeof *m->mass),
                      .along = memory_new(places, sizeof *m->along),
                      .edges = memory_new(ship->closure_count, sizeof *m->edges),
                      .whatever = memory_new(ship->closure_count, sizeof *m->whatever),
                      .always = -1};
    bool made = g.parent && node && m->weight && m->mass && m->along && m->edges && m->whatever;
    if (made) {
        for (size_t i = 0; i < places; i++)
            g.parent[i] = (int)i;
        join_passages(&g);
        number_nodes(&g, measure, m, node);
        add_edges(&g, query.condition, probabilities, node, m);
        if (m->hazard == COAMING_WATER)
            m->always = node[ship->space_count];
        for (size_t i = 0; i < count; i++) {
            int at = place_index(&g, list[i].scenario.source);
            /* a source above the water leaves the outside alone as the source */
            int from = at >= 0 ? node[at] : m->always;
            if (from < 0)
                continue;
            m->weight[from] += list[i].scenario.weight;
            m->total_weight += list[i].scenario.weight;
        }
    }
    memory_free(g.parent);
    memory_free(node);
    return made;
}

coaming_status risk_models_new(const coaming_ship *ship, coaming_query query,
                               coaming_measure measure, const double *probabilities,
                               risk_model **models, size_t *count, coaming_error *error)
{
    size_t room = scenarios_room(ship), planes = 0;
    if (measure >= COAMING_MEASURE_FREEBOARD)
        return risk_measure_refused(measure, error);
    planned *list = memory_new(room, sizeof *list);
    scenario *scratch = memory_new(room, sizeof *scratch);
    risk_model *made = NULL;
    bool good = list && scratch;
    size_t found = good ? plan(ship, query, list, scratch) : 0;
    made = good ? memory_new(found, sizeof *made) : NULL;
    good = made != NULL;
    for (size_t from = 0, to; from < found && good; from = to) {
        for (to = from + 1; to < found && same_plane(&list[from], &list[to]); to++)
            ;
        good = make_model(ship, query, measure, probabilities, list + from, to - from,
                          &made[planes++]);
    }
    memory_free(list);
    memory_free(scratch);
    if (!good) {
        risk_models_free(made, planes);
        return error_memory(error);
    }
    *models = made;
    *count = planes;
    return COAMING_OK;
}

void risk_models_free(risk_model *models, size_t count)
{
    for (size_t i = 0; models && i < count; i++) {
        memory_free(models[i].weight);
        memory_free(models[i].mass);
        memory_free(models[i].along);
        memory_free(models[i].edges);
        memory_free(models[i].whatever);
    }
    memory_free(models);
}
