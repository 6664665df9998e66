#include "analyse/hold/search.h"

#include <math.h>

#include "base/error.h"
#include "graph/graph.h"
#include "ship/state.h"

void search_free(search *s)
{
    memory_free(s->given);
    memory_free(s->spent);
    memory_free(s->aim);
    memory_free(s->part);
    memory_free(s->aimed);
    memory_free(s->near);
    memory_free(s->order);
    memory_free(s->parent);
    net_edges_free(&s->edges);
}

bool search_make(search *s, const net *n)
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
    bool room = net_edges_make(n, &s->edges);
    if (!room || !s->given || !s->spent || !s->aim || !s->part || !s->aimed || !s->near ||
        !s->order || !s->parent)
        return false;
    for (int i = 0; i < s->places; i++)
        s->given[i] = net_is_source(n, i);
    for (size_t i = 0; i < n->ship->space_count; i++)
        s->aim[i] = n->protect[i];
    return true;
}

/* Numbers the parts: places joined by what cannot be held or is spent. Vertex 0 joins the sources,
 * so that they are part 0. */
coaming_status search_parts(search *s, coaming_error *error)
{
    const net *n = s->n;
    net_edges *e = &s->edges;
    int ends[2];
    e->count = 0;
    for (int i = 0; i < s->places; i++)
        if (s->given[i])
            net_edges_add(e, 0, i + 1, -1, 0);
    for (size_t l = 0; l < n->ship->link_count; l++)
        if (net_ends(n, l, ends) && (net_leak(n, l) >= 1 || s->spent[l]))
            net_edges_add(e, ends[0] + 1, ends[1] + 1, (int)l, 0);
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
void search_edges(search *s)
{
    const net *n = s->n;
    int ends[2];
    s->edges.count = 0;
    for (size_t l = 0; l < n->ship->closure_count; l++) {
        if (!net_ends(n, l, ends) || net_leak(n, l) >= 1 || s->spent[l])
            continue;
        int a = s->part[ends[0]], b = s->part[ends[1]];
        a = s->aimed[a] ? s->parts : a;
        b = s->aimed[b] ? s->parts : b;
        if (a != b)
            net_edges_add(&s->edges, a, b, (int)l, -log1p(-net_leak(n, l)));
    }
}

/* Closures of the line: edges out of the near side. */
static bool crosses(const search *s, size_t edge)
{
    return s->near[s->edges.ends[2 * edge]] != s->near[s->edges.ends[2 * edge + 1]];
}

size_t search_crossing(const search *s)
{
    size_t crossing = 0;
    for (size_t i = 0; i < s->edges.count; i++)
        crossing += crosses(s, i);
    return crossing;
}

static void take_closures(search *s, coaming_hold_line *line)
{
    double whole = 0;
    for (size_t i = 0; i < s->edges.count; i++) {
        if (!crosses(s, i))
            continue;
        bool at_goal = s->edges.ends[2 * i] == s->parts || s->edges.ends[2 * i + 1] == s->parts;
        coaming_hold_closure closure = net_closure(s->n, (size_t)s->edges.link[i], at_goal);
        line->closures[line->closure_count++] = closure;
        whole += log1p(-closure.leak_probability);
        s->spent[closure.closure] = true;
    }
    line->holds = exp(whole);
}

bool search_fill(const net *n, const bool *own, coaming_hold_line *line)
{
    int ends[2], outside = net_number(n, NET_OUTSIDE);
    int *parent = memory_new((size_t)outside + 1, sizeof *parent);
    bool *filled = memory_new((size_t)outside + 1, sizeof *filled); /* by root */
    if (!parent || !filled) {
        memory_free(parent);
        memory_free(filled);
        return false;
    }
    line->filled_count = 0;
    for (int i = 0; i <= outside; i++)
        parent[i] = i;
    for (size_t l = 0; l < n->ship->link_count; l++)
        if (!own[l] && net_ends(n, l, ends) && ends[0] != outside && ends[1] != outside)
            parent[net_root(parent, ends[0])] = net_root(parent, ends[1]);
    for (int i = 0; i < outside; i++)
        if (net_is_source(n, i))
            filled[net_root(parent, i)] = true;
    for (int i = 0; i < outside; i++)
        if (filled[net_root(parent, i)])
            line->filled[line->filled_count++] = i;
    memory_free(parent);
    memory_free(filled);
    return true;
}

bool search_take(search *s, coaming_hold_line *line)
{
    const net *n = s->n;
    *line = (coaming_hold_line){
        .not_held = -1,
        .closures = arena_new(n->memory, search_crossing(s), sizeof *line->closures),
        .given_up = arena_new(n->memory, n->ship->space_count, sizeof *line->given_up),
        .kept = arena_new(n->memory, n->ship->space_count, sizeof *line->kept),
        .filled = arena_new(n->memory, n->ship->space_count, sizeof *line->filled)};
    bool *own = memory_new(n->ship->link_count, sizeof *own);
    bool good = line->closures && line->given_up && line->kept && line->filled && own;
    if (good)
        take_closures(s, line);
    for (size_t i = 0; i < line->closure_count; i++)
        own[line->closures[i].closure] = true;
    good = good && search_fill(n, own, line);
    memory_free(own);
    if (!good)
        return false;
    for (int i = 0; i < s->places; i++) {
        s->given[i] = s->near[s->part[i]];
        if (i == net_number(n, NET_OUTSIDE))
            continue;
        if (s->given[i] && n->by_design[i])
            continue;
        if (s->given[i] || n->begins[i])
            line->given_up[line->given_up_count++] = i;
        else
            line->kept[line->kept_count++] = i;
    }
    return true;
}

/* Does the link lead from one place behind the line to another? */
static bool is_behind(const net *n, const bool *kept, size_t link, int ends[2])
{
    return net_ends(n, link, ends) && kept[ends[0]] && kept[ends[1]];
}

/* Joins the kept places that nothing can hold apart, and marks of each such part, by its root, whether
 * a closure, which then can hold, leads on from it to another. */
static void find_leading_on(const net *n, const bool *kept, int *part, bool *leads_on)
{
    int ends[2];
    for (int i = 0; i <= net_number(n, NET_OUTSIDE); i++)
        part[i] = i;
    for (size_t l = 0; l < n->ship->link_count; l++)
        if (is_behind(n, kept, l, ends) && net_leak(n, l) >= 1)
            part[net_root(part, ends[0])] = net_root(part, ends[1]);
    for (size_t l = 0; l < n->ship->link_count; l++) {
        if (!is_behind(n, kept, l, ends))
            continue;
        int a = net_root(part, ends[0]), b = net_root(part, ends[1]);
        if (a != b)
            leads_on[a] = leads_on[b] = true;
    }
}

static bool mark_last(const net *n, const bool *kept, coaming_hold_line *line)
{
    size_t places = (size_t)net_number(n, NET_OUTSIDE) + 1;
    int ends[2], *part = memory_new(places, sizeof *part);
    bool *leads_on = memory_new(places, sizeof *leads_on);
    bool room = part && leads_on;
    if (room)
        find_leading_on(n, kept, part, leads_on);
    for (size_t i = 0; i < line->closure_count && room; i++) {
        coaming_hold_closure *c = &line->closures[i];
        if (net_ends(n, (size_t)c->closure, ends))
            c->last = !leads_on[net_root(part, kept[ends[0]] ? ends[0] : ends[1])];
    }
    memory_free(part);
    memory_free(leads_on);
    return room;
}

static bool list_open(const net *n, const bool *kept, coaming_hold_line *line)
{
    int ends[2];
    line->open_count = 0;
    line->open_behind = arena_new(n->memory, n->ship->closure_count, sizeof *line->open_behind);
    for (size_t l = 0; line->open_behind && l < n->ship->closure_count; l++)
        if (is_behind(n, kept, l, ends) && net_leak(n, l) < 1 &&
            !link_shut(&n->ship->links[l], n->condition))
            line->open_behind[line->open_count++] = (int)l;
    return line->open_behind;
}

coaming_status search_behind(const net *n, coaming_hold_line *line, coaming_error *error)
{
    bool *kept = memory_new((size_t)net_number(n, NET_OUTSIDE) + 1, sizeof *kept);
    for (size_t i = 0; kept && i < line->kept_count; i++)
        kept[line->kept[i]] = true;
    bool room = kept && list_open(n, kept, line) && (!n->nested || mark_last(n, kept, line));
    memory_free(kept);
    return room ? COAMING_OK : error_memory(error);
}
