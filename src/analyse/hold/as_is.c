#include "analyse/hold/as_is.h"

#include "base/error.h"
#include "ship/state.h"

typedef struct {
    const net *n;
    bool *there; /* by space */
    coaming_inflow *list;
    size_t count;
} spread;

static void enter(spread *s, int space, int link)
{
    if (s->there[space])
        return;
    s->there[space] = true;
    s->list[s->count++] = (coaming_inflow){space, link, s->n->by_design[space]};
}

/* Over a link from a place where it is; the outside is beyond all spaces. */
static void go_over(spread *s, int link, int from)
{
    int ends[2], outside = net_number(s->n, NET_OUTSIDE);
    const ship_link *l = &s->n->ship->links[link];
    if (!net_ends(s->n, (size_t)link, ends) || (ends[0] != from && ends[1] != from) ||
        !link_passes(l, s->n->condition, s->n->hazard, true, false))
        return;
    int to = ends[0] == from ? ends[1] : ends[0];
    if (to != outside)
        enter(s, to, link);
}

static void spread_all(spread *s)
{
    const coaming_ship *ship = s->n->ship;
    size_t done = 0;
    for (size_t i = 0; i < s->n->source_count; i++)
        if (s->n->sources[i] >= 0)
            enter(s, s->n->sources[i], -1);
    for (size_t l = 0; s->n->outside && l < ship->link_count; l++)
        go_over(s, (int)l, net_number(s->n, NET_OUTSIDE));
    while (done < s->count) {
        int from = s->list[done++].space;
        for (int j = ship->first[from]; j < ship->first[from + 1]; j++)
            go_over(s, ship->incident[j], from);
    }
}

/* Leaves out what is wet by design. */
static void sort_out(spread *s)
{
    size_t kept = 0;
    for (size_t i = 0; i < s->count; i++)
        if (!s->list[i].by_design)
            s->list[kept++] = s->list[i];
    s->count = kept;
}

coaming_status as_is_find(const net *n, coaming_inflow **entries, size_t *count,
                          coaming_error *error)
{
    spread s = {.n = n,
                .there = memory_new(n->ship->space_count, sizeof *s.there),
                .list = memory_new(n->ship->space_count, sizeof *s.list)};
    bool room = s.there && s.list;
    if (room) {
        spread_all(&s);
        sort_out(&s);
        *entries = s.list;
        *count = s.count;
    } else {
        memory_free(s.list);
    }
    memory_free(s.there);
    return room ? COAMING_OK : error_memory(error);
}
