/*
 * One depth-first search, without recursion, for components and blocks. A block hangs at its top,
 * the node through which the search came into it; each other node of it belongs to one block
 * upward, that of the edge to its parent. When a block is closed, all blocks below its nodes are,
 * so that the sums of weight and mass at its nodes hold all that hangs there.
 *
 * What a node was met by: the place in `passing` of an uncertain edge, FROM_CERTAIN less a certain
 * edge, NOTHING at a root.
 */
#include <math.h>

#include "analyse/risk/sample.h"

enum { NOTHING = -1, FROM_CERTAIN = -2 };

static inline sample_frame enter(sample_state *s, int v, int by)
{
    const sample_plan *p = s->plan;
    int o = ++s->clock;
    s->place[v].order = o;
    s->met[o] = v;
    s->place[v].side = s->part_count;
    s->part_of[o] = s->part_count;
    s->weight[o] = p->weight[v];
    s->mass[o] = p->mass[v];
    s->pending[s->pending_count++] = o;
    return (sample_frame){v, o, o, by, p->certain.first[v], s->head[v]};
}

/* The next arc that is not yet followed: where it leads, and what it is. */
static inline bool next_arc(const sample_state *s, sample_frame *f, int *other, int *by)
{
    if (f->passing_at >= 0) {
        const sample_link *link = &s->link[f->passing_at];
        *other = link->other;
        *by = f->passing_at / 2;
        f->passing_at = link->next;
        return true;
    }
    if (f->certain_at == s->plan->certain.first[f->node + 1])
        return false;
    const sample_arc *arc = &s->plan->certain.arcs[f->certain_at++];
    *other = arc->other;
    *by = FROM_CERTAIN - arc->edge;
    return true;
}

/* The nodes met since `from`, and not in a closed block, are one with `top`. alone: no other edge
 * goes from there to the top. */
static void close_block(sample_state *s, int top, int from, bool alone)
{
    int number = ++s->block_count, taken = 0, o;
    sample_block b = {.top = top};
    do {
        o = s->pending[--s->pending_count];
        s->step[o].block = number;
        s->step[o].up = top;
        b.weight += s->weight[o];
        b.mass += s->mass[o];
        b.products += s->weight[o] * s->mass[o];
        taken++;
    } while (o != from);
    s->is_bridge[number] = taken == 1 && alone;
    s->weight[top] += b.weight;
    s->mass[top] += b.mass;
    s->block[number] = b;
}

/* Of one component. Blocks are closed from below, so that the last is looked at first. */
static void finish_blocks(sample_state *s, int above, int root)
{
    sample_part all = s->part[s->part_count - 1];
    for (int i = s->block_count; i > above; i--) {
        sample_block *b = &s->block[i];
        double weight = all.weight - b->weight, mass = all.mass - b->mass, effect = 0,
               way = b->mass;
        if (s->is_bridge[i])
            effect = way =
                all.always ? (1 - b->weight) * b->mass : b->weight * mass + weight * b->mass;
        else if (!all.always)
            way = fmax(0, all.weight * all.mass - b->products - weight * mass);
        if (all.always)
            way = b->mass;
        s->block_effect[i] = sample_round(effect);
        s->block_way[i] = sample_round(way);
        b->path = b->products;
        if (b->top != root)
            b->path += s->block[s->step[b->top].block].path - s->weight[b->top] * s->mass[b->top] +
                       (s->weight[b->top] - b->weight) * (s->mass[b->top] - b->mass);
    }
}

/* The frame at hand is not in memory. */
static void search_from(sample_state *s, int root)
{
    int depth = 0, blocks_before = s->block_count, first = s->clock + 1, other, by;
    s->pending_count = 0;
    sample_frame at = enter(s, root, NOTHING);
    s->step[first] = (sample_step){0, 0};
    for (;;) {
        if (next_arc(s, &at, &other, &by)) {
            int met = s->place[other].order;
            if (!met) {
                s->open[depth++] = at;
                at = enter(s, other, by);
                continue;
            }
            int low = by == at.by ? at.low : met;
            at.low = low < at.low ? low : at.low;
        } else if (depth) {
            sample_frame below = at;
            at = s->open[--depth];
            at.low = below.low < at.low ? below.low : at.low;
            if (below.low >= at.order)
                close_block(s, at.order, below.order, below.low > at.order);
        } else {
            break;
        }
    }
    sample_part all = {s->weight[first], s->mass[first], root == s->plan->always};
    s->sides[s->part_count] = sample_side_of(all);
    s->part[s->part_count++] = all;
    finish_blocks(s, blocks_before, first);
}

void sample_search(sample_state *s)
{
    const sample_plan *p = s->plan;
    s->clock = s->block_count = s->part_count = 0;
    /* from `always` first, so that it is the root of its component */
    if (p->always >= 0 && s->touched_count && s->is_touched[p->group[p->always]])
        search_from(s, p->always);
    for (int i = 0; i < s->touched_count; i++) {
        int v = p->member[p->first_member[s->touched[i]]];
        if (!s->place[v].order)
            search_from(s, v);
    }
}
