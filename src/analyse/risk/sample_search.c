/*
 * One depth-first search, without recursion, for components and blocks. A block hangs at its top,
 * the node through which the search came into it; each other node of it belongs to one block
 * upward, that of the edge to its parent. When a block is closed, all blocks below its nodes are,
 * so that the sums of weight and mass at its nodes hold all that hangs there.
 */
#include "analyse/risk/sample.h"

static void enter(sample_state *s, int v, int parent, int by)
{
    const sample_plan *p = s->plan;
    int clock = ++s->clock;
    s->node[v] = (sample_node){.met = s->now,
                               .order = clock,
                               .low = clock,
                               .parent = parent,
                               .by = by,
                               .block = -1,
                               .part = s->part_count,
                               .certain_at = p->certain.first[v],
                               .passing_at = s->head_at[v] == s->now ? s->head[v] : -1,
                               .weight = p->weight[v],
                               .mass = p->mass[v]};
    s->pending[s->open_count++] = v;
}

/* The next arc of a node that is not yet followed. */
static bool next_arc(const sample_state *s, sample_node *n, int v, sample_arc *arc)
{
    if (n->certain_at < s->plan->certain.first[v + 1]) {
        *arc = s->plan->certain.arcs[n->certain_at++];
        return true;
    }
    int end = n->passing_at;
    if (end < 0)
        return false;
    n->passing_at = s->link[end];
    const risk_edge *e = &s->plan->model->edges[s->passing[end / 2]];
    *arc = (sample_arc){s->passing[end / 2], end % 2 ? e->u : e->v};
    return true;
}

/* The nodes met since v, and not in a closed block, are one with `top`. */
static void close_block(sample_state *s, int top, int v)
{
    int number = s->block_count++, taken = 0, last;
    sample_block *b = &s->block[number];
    *b = (sample_block){.top = top};
    do {
        last = s->pending[--s->open_count];
        sample_node *n = &s->node[last];
        n->block = number;
        b->weight += n->weight;
        b->mass += n->mass;
        b->products += n->weight * n->mass;
        taken++;
    } while (last != v);
    b->bridge = taken == 1 && s->node[v].low > s->node[top].order;
    s->node[top].weight += b->weight;
    s->node[top].mass += b->mass;
}

static void leave(sample_state *s, int v)
{
    const sample_node *n = &s->node[v];
    if (n->parent < 0)
        return;
    sample_node *up = &s->node[n->parent];
    if (n->low < up->low)
        up->low = n->low;
    if (n->low >= up->order)
        close_block(s, n->parent, v);
}

static void search_from(sample_state *s, int root)
{
    int depth = 0;
    s->open_count = 0;
    enter(s, root, -1, -1);
    s->open[depth++] = root;
    while (depth) {
        int v = s->open[depth - 1];
        sample_node *n = &s->node[v];
        sample_arc arc;
        if (!next_arc(s, n, v, &arc)) {
            depth--;
            leave(s, v);
        } else if (s->node[arc.other].met != s->now) {
            enter(s, arc.other, v, arc.edge);
            s->open[depth++] = arc.other;
        } else if (arc.edge != n->by && s->node[arc.other].order < n->low) {
            n->low = s->node[arc.other].order;
        }
    }
    s->part[s->part_count++] =
        (sample_part){s->node[root].weight, s->node[root].mass, root == s->plan->always};
}

void sample_search(sample_state *s)
{
    const sample_plan *p = s->plan;
    s->clock = s->block_count = s->part_count = 0;
    /* from `always` first, so that it is the root of its component */
    if (p->always >= 0 && s->group_at[p->group[p->always]] == s->now)
        search_from(s, p->always);
    for (int i = 0; i < s->touched_count; i++) {
        int v = p->member[p->first_member[s->touched[i]]];
        if (s->node[v].met != s->now)
            search_from(s, v);
    }
}
