/*
 * Growing the tree. A node is taken from the queue, what follows it is worked out if nobody has yet,
 * and its chance is handed on; a node that is met again later is handed chance again, and hands that
 * on. What is in the queue is what is left open.
 */
#include "analyse/survival/branches.h"

#include <math.h>
#include <string.h>

#include "analyse/ranking/loss.h"
#include "analyse/survival/branching.h"
#include "base/error.h"
#include "ship/state.h"

void branches_free(branches *b)
{
    if (!b)
        return;
    tree_free(&b->tree);
    arena_free(&b->memory);
    arena_free(&b->results);
    memory_free(b);
}

static bool make_room(branches *b)
{
    size_t spaces = b->ship->space_count, links = b->ship->link_count;
    b->passes = arena_new(&b->memory, links, sizeof *b->passes);
    b->by = arena_new(&b->memory, spaces, sizeof *b->by);
    b->uncertain = arena_new(&b->memory, links, sizeof *b->uncertain);
    b->outside = arena_new(&b->memory, links, sizeof *b->outside);
    b->flooded = arena_new(&b->memory, spaces, sizeof *b->flooded);
    b->leaks = arena_new(&b->memory, links, sizeof *b->leaks);
    b->decided = arena_new(&b->memory, links, sizeof *b->decided);
    b->behind = arena_new(&b->memory, spaces + links, sizeof *b->behind);
    b->held = arena_new(&b->memory, spaces + links, sizeof *b->held);
    b->marked = arena_new(&b->memory, spaces + links, sizeof *b->marked);
    b->order = arena_new(&b->memory, 2 * links, sizeof *b->order);
    b->sampled = arena_new(&b->memory, links, sizeof *b->sampled);
    bool all = b->sampled;
    for (int i = 0; i < 2; i++)
        all = (b->sampled_turn[i] = arena_new(&b->memory, links, sizeof **b->sampled_turn)) && all;
    for (int i = 0; i < 6; i++)
        all = (b->turn[i] = arena_new(&b->memory, links, sizeof **b->turn)) && all;
    return all && b->passes && b->by && b->uncertain && b->outside && b->flooded && b->leaks &&
           b->decided && b->behind && b->held && b->marked && b->order;
}

coaming_status branches_new(settler *t, const coaming_ship *ship, const branch_terms *terms,
                            branches **out, coaming_error *error)
{
    branches *b = memory_new(1, sizeof *b);
    if (!b)
        return error_memory(error);
    b->ship = ship;
    b->settler = t;
    b->terms = *terms;
    if (!make_room(b)) {
        branches_free(b);
        return error_memory(error);
    }
    for (size_t l = 0; l < ship->link_count; l++) {
        const ship_link *k = &ship->links[l];
        b->passes[l] = link_passes(k, terms->condition, COAMING_WATER, false, false);
        b->uncertain[l] = !b->passes[l] && terms->leaks[l] > 0; /* a closure: passages pass */
        if (b->uncertain[l] && (k->a < 0 || k->b < 0))
            b->outside[b->outside_count++] = (int)l;
    }
    for (size_t i = 0; i < ship->space_count; i++)
        b->by[i] = -1;
    *out = b;
    return COAMING_OK;
}

void branches_allow(branches *b, size_t work, size_t samples, size_t turn_every)
{
    b->terms.work = work;
    b->terms.samples = samples;
    b->terms.turn_every = turn_every;
}

void branches_allow_bytes(branches *b, size_t memory)
{
    b->terms.memory = memory;
}

void branches_set(branches *b, const branch_terms *terms)
{
    b->terms = *terms;
}

/* --- the whole --- */

/* Hands on what the node has. A closure that holds although it is likelier to leak bears more on
 * gains than on what is expected. */
static bool hand_on(branches *b, int node)
{
    tree_node *n = &b->tree.nodes[node];
    double chance = n->chance, reach = n->reach;
    double p = node_chance(n, b->terms.leaks);
    int holds = n->child[0], leaks = n->child[1];
    n->chance = n->reach = 0;
    if (holds < 0)
        return true;
    double held = p > 0.5 ? fmax(reach * (1 - p), chance * p) : reach * (1 - p);
    if (b->other)
        held = reach * (1 - node_chance(n, b->other));
    if (!tree_give(&b->tree, holds, chance * (1 - p), held))
        return false;
    return leaks < 0 || tree_give(&b->tree, leaks, chance * p, reach * p);
}

static coaming_status grow(branches *b, coaming_error *error)
{
    const branch_terms *t = &b->terms;
    int node;
    while (!(t->within > 0 && b->tree.open <= t->within) && (node = tree_take(&b->tree)) >= 0) {
        if (b->tree.nodes[node].open) {
            b->answer.stopped = b->work >= t->work || tree_bytes(&b->tree) >= t->memory;
            if (b->answer.stopped) /* back into the queue */
                return tree_give(&b->tree, node, 0, 0) ? COAMING_OK : error_memory(error);
            coaming_status status = branches_expand(b, node, error);
            if (status != COAMING_OK)
                return status;
        }
        if (!hand_on(b, node))
            return error_memory(error);
    }
    return COAMING_OK;
}

/* What nodes are come to with at most, whichever chances closures have of the two. */
static void spread_reach(branches *b, const int *order, size_t count)
{
    tree *t = &b->tree;
    for (size_t i = 0; i < t->node_count; i++) {
        t->nodes[i].chance = t->nodes[i].reach = 0;
        t->nodes[i].queued = -1;
    }
    t->nodes[b->root].reach = 1;
    for (size_t i = 0; i < count; i++) {
        const tree_node *n = &t->nodes[order[i]];
        double p = node_chance(n, b->terms.leaks);
        double other = node_chance(n, b->other);
        if (n->child[0] >= 0)
            t->nodes[n->child[0]].reach += n->reach * (1 - other);
        if (n->child[1] >= 0)
            t->nodes[n->child[1]].reach += n->reach * p;
    }
}

/* The open nodes into the queue; of the others what they had has been handed on. */
static bool queue_open(branches *b)
{
    tree *t = &b->tree;
    t->queue_count = 0;
    t->open = 0;
    for (size_t i = 0; i < t->node_count; i++) {
        double reach = t->nodes[i].reach;
        t->nodes[i].reach = 0;
        if (t->nodes[i].open && !tree_give(t, (int)i, 0, reach))
            return false;
    }
    return true;
}

coaming_status branches_grow_on(branches *b, const branch_growth *how, bool *stopped,
                                coaming_error *error)
{
    size_t count = b->tree.node_count;
    int *order = arena_new(&b->tree.memory, count, sizeof *order);
    int *left = arena_new(&b->tree.memory, count, sizeof *left);
    if (!order || !left)
        return error_memory(error);
    b->other = how->other;
    b->terms.within = how->within;
    b->terms.work = how->work;
    b->terms.memory = how->memory;
    b->work = 0;
    b->answer.stopped = false;
    spread_reach(b, order, tree_sort(&b->tree, b->root, order, left));
    coaming_status status = queue_open(b) ? grow(b, error) : error_memory(error);
    b->other = NULL;
    *stopped = b->answer.stopped;
    return status;
}

static void flood(branches *b, int space, size_t *count)
{
    b->flooded[space] = true;
    b->behind[(*count)++] = space;
}

static void flood_over(branches *b, int link, size_t *count)
{
    const ship_link *l = &b->ship->links[link];
    if ((b->uncertain[link] || b->passes[link]) && has_water(b, l->a) != has_water(b, l->b))
        flood(b, dry_side(b, link), count);
}

/* The loss if everything leaks that may, at any height. */
static double loss_at_most(branches *b)
{
    const coaming_ship *ship = b->ship;
    size_t count = 0;
    memset(b->flooded, 0, ship->space_count * sizeof *b->flooded);
    for (size_t i = 0; i < b->opened_count; i++)
        if (!b->flooded[b->opened[i]])
            flood(b, b->opened[i], &count);
    for (size_t l = 0; l < ship->link_count; l++)
        flood_over(b, (int)l, &count);
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        int s = b->behind[i];
        for (int j = ship->first[s]; j < ship->first[s + 1]; j++)
            flood_over(b, ship->incident[j], &count);
        sum += space_whole_loss(&ship->spaces[s], b->terms.measure);
    }
    return sum;
}

static coaming_status start(branches *b, const int *opened, size_t count, const settled **rest,
                            coaming_error *error)
{
    settler_links links = {b->passes, opened, count};
    return settler_on(b->settler, NULL, &links, rest, error);
}

coaming_status branches_rest(branches *b, const int *opened, size_t count, arena *memory,
                             branch_rest *rest, coaming_error *error)
{
    const settled *s = NULL;
    coaming_status status = start(b, opened, count, &s, error);
    if (status != COAMING_OK)
        return status;
    rest->lost = s->at.afloat != COAMING_AFLOAT_YES;
    rest->list = arena_new(memory, s->count + count, sizeof *rest->list);
    if (!rest->list)
        return error_memory(error);
    rest->count = rest->flooded = branches_flooded_at(b, s, rest->list);
    for (size_t i = 0; i < count; i++)
        if (!sorted_has(rest->list, rest->flooded, opened[i]))
            rest->list[rest->count++] = opened[i];
    return COAMING_OK;
}

int branch_rest_order(const branch_rest *a, const branch_rest *b)
{
    if (a->lost != b->lost)
        return a->lost - b->lost;
    if (a->flooded != b->flooded)
        return (a->flooded > b->flooded) - (a->flooded < b->flooded);
    if (a->count != b->count)
        return (a->count > b->count) - (a->count < b->count);
    return a->count ? memcmp(a->list, b->list, a->count * sizeof *a->list) : 0;
}

coaming_status branches_case(branches *b, const int *opened, size_t count,
                             const branch_answer **answer, coaming_error *error)
{
    const settled *s = NULL;
    if (!tree_begin(&b->tree))
        return error_memory(error);
    arena_free(&b->results);
    b->answer = (branch_answer){0};
    b->opened = opened;
    b->opened_count = count;
    b->work = 1;
    b->most = b->terms.value == BRANCH_LOSS ? loss_at_most(b) : 1;
    b->tree.scale = b->most > 0 ? b->most : 1;
    coaming_status status = start(b, opened, count, &s, error);
    if (status != COAMING_OK)
        return status;
    int place = branches_place_from(b, s);
    b->root = place < 0 ? -1 : branches_node_after(b, place, 0, 0, 0);
    if (b->root < 0 || !tree_give(&b->tree, b->root, 1, 1))
        return error_memory(error);
    b->sample = (branch_sample){0};
    b->draw_count = 0;
    memset(b->decided, 0, b->ship->link_count * sizeof *b->decided);
    for (int i = 0; i < 2; i++)
        memset(b->sampled_turn[i], 0, b->ship->link_count * sizeof *b->sampled_turn[i]);
    status = grow(b, error);
    if (status == COAMING_OK && b->answer.stopped && b->terms.samples)
        status = branches_sample(b, error);
    if (status == COAMING_OK)
        status = branches_read(b, error);
    *answer = &b->answer;
    return status;
}
