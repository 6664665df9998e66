/*
 * Growing the tree. A node is taken from the queue, what follows it is worked out if nobody has yet,
 * and its chance is handed on; a node that is met again later is handed chance again, and hands that
 * on. What is in the queue is what is left open.
 */
#include "analyse/survival/branches.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "analyse/ranking/loss.h"
#include "analyse/survival/branching.h"
#include "base/error.h"
#include "base/order.h"
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

/* --- places --- */

static int by_space_behind(const void *left, const void *right)
{
    const int *a = left, *b = right;
    return a[0] != b[0] ? (a[0] > b[0]) - (a[0] < b[0]) : (a[1] > b[1]) - (a[1] < b[1]);
}

/* Adds the link to b->order if it would pass at the place, did it leak. */
static void try_link(branches *b, const coaming_float *at, int link, size_t *count)
{
    const ship_link *l = &b->ship->links[link];
    if (!b->uncertain[link] || has_water(b, l->a) == has_water(b, l->b))
        return;
    bool lost = at->afloat != COAMING_AFLOAT_YES;
    int behind = dry_side(b, link);
    if (!lost && (!(coaming_float_height(b->ship, at, link) < 0) ||
                  !settler_reaches(b->settler, at, behind)))
        return;
    b->order[2 * *count] = behind;
    b->order[2 * (*count)++ + 1] = link;
}

static bool list_links(branches *b, tree_place *p)
{
    size_t count = 0;
    branches_mark_flooded(b, p);
    for (size_t i = 0; i < b->outside_count; i++)
        try_link(b, &p->at, b->outside[i], &count);
    for (size_t i = 0; i < p->count; i++) {
        int s = p->spaces[i];
        for (int j = b->ship->first[s]; j < b->ship->first[s + 1]; j++)
            try_link(b, &p->at, b->ship->incident[j], &count);
    }
    qsort(b->order, count, 2 * sizeof *b->order, by_space_behind);
    p->links = arena_new(&b->tree.memory, count, sizeof *p->links);
    p->behind = arena_new(&b->tree.memory, count, sizeof *p->behind);
    if (!p->links || !p->behind)
        return false;
    b->tree.bytes += 2 * count * sizeof *p->links;
    for (size_t i = 0; i < count; i++) {
        p->behind[i] = b->order[2 * i];
        p->links[i] = b->order[2 * i + 1];
    }
    p->link_count = count;
    return true;
}

/* Of a ship that is lost s is 0, whatever floods then. */
static int place_from(branches *b, const settled *s)
{
    bool lost = s->at.afloat != COAMING_AFLOAT_YES, fresh, all = true;
    bool ends = lost && b->terms.value == BRANCH_S;
    size_t count = ends ? s->afloat_count : s->count;
    memcpy(b->marked, s->spaces, count * sizeof *b->marked);
    qsort(b->marked, count, sizeof *b->marked, order_ints);
    int place = tree_place_of(&b->tree, b->marked, count, lost, &fresh);
    if (place < 0 || !fresh)
        return place;
    tree_place *p = &b->tree.places[place];
    p->at = s->at;
    if (b->terms.value == BRANCH_LOSS)
        p->loss = settled_loss(b->settler, b->ship, s, b->terms.measure);
    if (!ends)
        all = list_links(b, p);
    return all ? place : -1;
}

/* --- nodes --- */

/* What spaces add to a loss at least, once they are flooded: of a volume what is below the water may
 * become less. */
static double loss_at_least(const branches *b, const int *spaces, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count && b->terms.measure != COAMING_MEASURE_VOLUME; i++)
        sum += space_loss(&b->ship->spaces[spaces[i]], b->terms.measure, COAMING_WATER, 0);
    return sum;
}

static void set_limits(const branches *b, tree_node *n)
{
    const tree_place *p = &b->tree.places[n->place];
    n->open = true;
    n->lost = (branch_limits){p->lost, 1};
    n->value = (branch_limits){0, 1};
    if (b->terms.value == BRANCH_LOSS) {
        n->value.high = b->most;
        n->value.low = loss_at_least(b, p->spaces, p->count);
        if (n->step != STEP_GRADE)
            n->value.low += loss_at_least(b, n->marked, (size_t)n->leaking);
    }
    if (n->step != STEP_GRADE || (b->terms.value == BRANCH_S && !p->lost))
        return;
    n->open = false;
    n->lost.high = p->lost;
    n->value.low = n->value.high = b->terms.value == BRANCH_S ? 0 : p->loss;
}

/* The node at a place once the closures before `next` are decided. Lists: b->behind, b->held. */
static int node_after(branches *b, int place, int next, int behind, int held)
{
    const tree_place *p = &b->tree.places[place];
    int holding = 0;
    memcpy(b->marked, b->behind, (size_t)behind * sizeof *b->marked);
    branches_mark_flooded(b, p);
    for (int i = 0; i < held; i++) /* those with water on both sides count no more */
        if (!has_water(b, b->ship->links[b->held[i]].a) ||
            !has_water(b, b->ship->links[b->held[i]].b))
            if (!sorted_has(b->behind, (size_t)behind, dry_side(b, b->held[i])))
                b->marked[behind + holding++] = b->held[i];
    while (next < (int)p->link_count && (sorted_has(b->behind, (size_t)behind, p->behind[next]) ||
                                         sorted_has(b->held, (size_t)held, p->links[next])))
        next++;
    bool more = next < (int)p->link_count;
    tree_node n = {.place = place,
                   .step = more     ? STEP_DECIDE
                           : behind ? STEP_SETTLE
                                    : STEP_GRADE,
                   .next = more ? next : 0,
                   .marked = b->marked,
                   .leaking = behind,
                   .holding = holding};
    set_limits(b, &n);
    return tree_node_of(&b->tree, &n);
}

/* --- what follows a node --- */

static coaming_status decide(branches *b, int node, coaming_error *error)
{
    tree_node n = b->tree.nodes[node];
    const tree_place *p = &b->tree.places[n.place];
    int link = p->links[n.next], behind = p->behind[n.next], child[2];
    for (int leaks = 0; leaks < 2; leaks++) {
        int leaking = sorted_with(b->behind, n.marked, n.leaking, leaks ? behind : -1);
        int holding = sorted_with(b->held, n.marked + n.leaking, n.holding, leaks ? -1 : link);
        child[leaks] = node_after(b, n.place, n.next + 1, leaking, holding);
    }
    return branches_follow(b, node, link, child[0], child[1], error);
}

static coaming_status settle_on(branches *b, int node, coaming_error *error)
{
    tree_node n = b->tree.nodes[node];
    const tree_place *p = &b->tree.places[n.place];
    const settled *s = NULL;
    /* what has begun to leak lets water into the spaces behind it */
    memcpy(b->behind, b->opened, b->opened_count * sizeof *b->behind);
    memcpy(b->behind + b->opened_count, n.marked, (size_t)n.leaking * sizeof *b->behind);
    settled from = {p->spaces, b->by, p->count, p->count, p->at};
    settler_links links = {b->passes, b->behind, b->opened_count + (size_t)n.leaking};
    b->work++;
    coaming_status status = settler_on(b->settler, &from, &links, &s, error);
    if (status != COAMING_OK)
        return status;
    int place = place_from(b, s);
    if (place < 0)
        return error_memory(error);
    int held = sorted_with(b->held, n.marked + n.leaking, n.holding, -1);
    return branches_follow(b, node, -1, node_after(b, place, 0, 0, held), -1, error);
}

coaming_status branches_expand(branches *b, int node, coaming_error *error)
{
    switch (b->tree.nodes[node].step) {
    case STEP_DECIDE:
        return decide(b, node, error);
    case STEP_SETTLE:
        return settle_on(b, node, error);
    default:
        return branches_grade_rest(b, node, error);
    }
}

/* --- the whole --- */

/* Hands on what the node has. A closure that holds although it is likelier to leak bears more on
 * gains than on what is expected. */
static bool hand_on(branches *b, int node)
{
    tree_node *n = &b->tree.nodes[node];
    double chance = n->chance, reach = n->reach;
    double p = n->link < 0 ? 0 : b->terms.leaks[n->link];
    int holds = n->child[0], leaks = n->child[1];
    n->chance = n->reach = 0;
    if (holds < 0)
        return true;
    double held = p > 0.5 ? fmax(reach * (1 - p), chance * p) : reach * (1 - p);
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
        sum += b->terms.measure == COAMING_MEASURE_VOLUME
                   ? ship->spaces[s].volume
                   : space_loss(&ship->spaces[s], b->terms.measure, COAMING_WATER, 0);
    }
    return sum;
}

coaming_status branches_start(branches *b, const int *opened, size_t count, const settled **rest,
                              coaming_error *error)
{
    settler_links links = {b->passes, opened, count};
    return settler_on(b->settler, NULL, &links, rest, error);
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
    coaming_status status = branches_start(b, opened, count, &s, error);
    if (status != COAMING_OK)
        return status;
    int place = place_from(b, s);
    b->root = place < 0 ? -1 : node_after(b, place, 0, 0, 0);
    if (b->root < 0 || !tree_give(&b->tree, b->root, 1, 1))
        return error_memory(error);
    b->sample = (branch_sample){0};
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
