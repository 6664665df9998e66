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
    s->hanging[o] = 0;
    s->below[o] = p->links[v] + s->links[v];
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

/* The nodes met from `below` on, and not in a closed block, are one with `top`. It is a bridge if
 * no other edge goes from there to the top. */
static void close_block(sample_state *s, int top, const sample_frame *below)
{
    int number = ++s->block_count, taken = 0, o;
    sample_block b = {.top = top, .drawn = below->by >= 0};
    do {
        o = s->pending[--s->pending_count];
        s->step[o].block = number;
        s->step[o].up = top;
        b.weight += s->weight[o];
        b.mass += s->mass[o];
        b.products += s->weight[o] * s->mass[o];
        b.hanging += s->hanging[o] + s->plan->weight[s->met[o]] * s->mass[o];
        b.links += s->below[o];
        taken++;
    } while (o != below->order);
    s->is_bridge[number] = taken == 1 && below->low > top;
    s->weight[top] += b.weight;
    s->mass[top] += b.mass;
    s->hanging[top] += b.hanging;
    s->below[top] += b.links;
    s->block[number] = b;
}

/* On the way down from the root, which is first of its component. */
static void look_across(sample_state *s, const sample_part *all, int above, int root)
{
    const double *own = s->plan->weight;
    double none_cut =
        all->weight * all->mass - s->hanging[root] - own[s->met[root]] * s->mass[root];
    for (int i = s->block_count; i > above; i--) {
        sample_block *b = &s->block[i];
        const sample_block *up = &s->block[s->step[b->top].block];
        double weight = own[s->met[b->top]], before = b->top == root ? none_cut : up->across;
        b->across = before - weight * (all->mass - s->mass[b->top] - b->mass);
        b->down = weight * b->mass + (b->top == root ? 0 : up->down);
    }
    for (int o = root; o <= s->clock; o++) {
        double beyond = own[s->met[o]] * (all->mass - s->mass[o]);
        s->near[o] = (o == root ? none_cut : s->block[s->step[o].block].across) - beyond;
        s->above[o] = o == root ? 0 : beyond + s->above[s->step[o].up];
    }
}

static double ways_of_block(const sample_part *all, const sample_block *b, bool bridge)
{
    double weight = all->weight - b->weight, mass = all->mass - b->mass;
    if (bridge && !all->links)
        return b->weight * mass + weight * b->mass;
    if (!all->links)
        return fmax(0, all->weight * all->mass - b->products - weight * mass);
    return b->links ? (1 - all->weight) * all->mass + b->across
                    : (1 - b->weight) * b->mass + b->weight * all->mass - b->hanging;
}

/* Of one component. Blocks are closed from below, so that the last is looked at first. */
static void finish_blocks(sample_state *s, int above, int root)
{
    sample_part *all = &s->sides[s->part_count - 1];
    all->bridges = all->links == 1 && !s->plan->links[s->met[root]];
    for (int i = s->block_count; i > above; i--) {
        sample_block *b = &s->block[i];
        double way = fmax(0, ways_of_block(all, b, s->is_bridge[i])), effect = way;
        s->is_bridge[i] = s->is_bridge[i] && !b->links;
        all->bridges += s->is_bridge[i] && b->drawn;
        if (all->links)
            effect = (1 - b->weight) * b->mass;
        s->block_effect[i] = s->is_bridge[i] ? sample_round(effect) : 0;
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
                close_block(s, at.order, &below);
        } else {
            break;
        }
    }
    s->sides[s->part_count] = (sample_part){s->weight[first], s->mass[first], s->below[first], 0};
    if (s->plan->always >= 0)
        look_across(s, &s->sides[s->part_count], blocks_before, first);
    s->part_count++;
    finish_blocks(s, blocks_before, first);
}

/* The root of what is joined to `always` is a node that is. */
void sample_search(sample_state *s)
{
    const sample_plan *p = s->plan;
    s->clock = s->block_count = s->part_count = 0;
    for (int i = 0; i < s->passing_count; i++) {
        sample_ends at = p->ends[s->passing[i]];
        if (at.v == p->always && !s->place[at.u].order)
            search_from(s, at.u);
    }
    for (int linked = 1; linked >= 0; linked--)
        for (int i = 0; i < s->touched_count; i++) {
            int group = s->touched[i], v = p->member[p->first_member[group]];
            if ((p->groups[group].links > 0) == linked && !s->place[v].order)
                search_from(s, v);
        }
}
