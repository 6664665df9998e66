/*
 * Tables of places and nodes: chained; the queue a binary heap, in which a node's urgency only rises
 * while it is there.
 *
 * Urgency: what hangs on the likeliest end below a node. Ordered so, nodes whose closures are still to
 * be decided are followed to the ends in the order of these, as if all ends were there; ordered by the
 * node's own chance, every node likelier than the likeliest end comes before it, and of many closures
 * there are thousands.
 */
#include "analyse/survival/tree.h"

#include <math.h>
#include <string.h>

#include "base/hash.h"
#include "base/order.h"

enum { HEADS = 1024 };

bool sorted_has(const int *list, size_t count, int item)
{
    size_t low = 0;
    while (low < count) {
        size_t middle = (low + count) / 2;
        if (list[middle] == item)
            return true;
        if (list[middle] < item)
            low = middle + 1;
        else
            count = middle;
    }
    return false;
}

int sorted_with(int *to, const int *list, int count, int item)
{
    int at = 0;
    for (int i = 0; i < count; i++) {
        if (item >= 0 && list[i] > item) {
            to[at++] = item;
            item = -1;
        }
        to[at++] = list[i];
    }
    if (item >= 0)
        to[at++] = item;
    return at;
}

int sorted_put(int *list, int count, int item)
{
    int at = count;
    for (; at > 0 && list[at - 1] > item; at--)
        list[at] = list[at - 1];
    list[at] = item;
    return count + 1;
}

void tree_free(tree *t)
{
    arena_free(&t->memory);
    memory_free(t->places);
    memory_free(t->nodes);
    memory_free(t->place_heads);
    memory_free(t->node_heads);
    memory_free(t->queue);
    *t = (tree){0};
}

static void clear_heads(tree *t)
{
    memset(t->place_heads, -1, t->heads * sizeof *t->place_heads);
    memset(t->node_heads, -1, t->heads * sizeof *t->node_heads);
}

bool tree_begin(tree *t)
{
    arena_free(&t->memory);
    t->bytes = t->place_count = t->node_count = t->queue_count = 0;
    t->open = 0;
    if (!t->heads) {
        t->place_heads = memory_new(HEADS, sizeof *t->place_heads);
        t->node_heads = memory_new(HEADS, sizeof *t->node_heads);
        if (!t->place_heads || !t->node_heads)
            return false;
        t->heads = HEADS;
    }
    clear_heads(t);
    return true;
}

/* More heads than nodes or places, so that chains stay short. */
static bool more_heads(tree *t)
{
    if (t->node_count < t->heads && t->place_count < t->heads)
        return true;
    int *places = memory_resize(t->place_heads, 2 * t->heads, sizeof *places);
    if (places)
        t->place_heads = places;
    int *nodes = memory_resize(t->node_heads, 2 * t->heads, sizeof *nodes);
    if (nodes)
        t->node_heads = nodes;
    if (!places || !nodes)
        return false;
    t->heads *= 2;
    clear_heads(t);
    for (size_t i = 0; i < t->place_count; i++) {
        int *head = &t->place_heads[t->places[i].hash % t->heads];
        t->places[i].chain = *head;
        *head = (int)i;
    }
    for (size_t i = 0; i < t->node_count; i++) {
        int *head = &t->node_heads[t->nodes[i].hash % t->heads];
        t->nodes[i].chain = *head;
        *head = (int)i;
    }
    return true;
}

static int *copy_list(tree *t, const int *list, size_t count)
{
    int *copy = arena_new(&t->memory, count, sizeof *copy);
    if (copy && count)
        memcpy(copy, list, count * sizeof *copy);
    t->bytes += count * sizeof *copy;
    return copy;
}

int tree_place_of(tree *t, const int *spaces, size_t count, bool lost, bool *fresh)
{
    int key = lost;
    uint64_t hash = hash_ints(hash_ints(HASH_START, &key, 1), spaces, count);
    *fresh = false;
    for (int i = t->place_heads[hash % t->heads]; i >= 0; i = t->places[i].chain) {
        const tree_place *p = &t->places[i];
        if (p->hash == hash && p->count == count && p->lost == lost &&
            !memcmp(p->spaces, spaces, count * sizeof *spaces))
            return i;
    }
    int *copy = copy_list(t, spaces, count);
    if (!copy || !more_heads(t) || !MEMORY_ROOM(t->places, t->place_count, t->place_room))
        return -1;
    int *head = &t->place_heads[hash % t->heads];
    t->places[t->place_count] =
        (tree_place){.hash = hash, .chain = *head, .lost = lost, .spaces = copy, .count = count};
    *fresh = true;
    return *head = (int)t->place_count++;
}

static bool same_node(const tree_node *a, const tree_node *b)
{
    return a->hash == b->hash && a->place == b->place && a->step == b->step && a->next == b->next &&
           a->leaking == b->leaking && a->holding == b->holding &&
           !memcmp(a->marked, b->marked,
                   ((size_t)a->leaking + (size_t)a->holding) * sizeof a->marked[0]);
}

int tree_node_of(tree *t, const tree_node *pattern)
{
    tree_node n = *pattern;
    int key[] = {n.place, n.step, n.next, n.leaking};
    n.hash = hash_ints(hash_ints(HASH_START, key, sizeof key / sizeof key[0]), n.marked,
                       (size_t)n.leaking + (size_t)n.holding);
    for (int i = t->node_heads[n.hash % t->heads]; i >= 0; i = t->nodes[i].chain)
        if (same_node(&t->nodes[i], &n))
            return i;
    n.marked = copy_list(t, n.marked, (size_t)n.leaking + (size_t)n.holding);
    if (!n.marked || !more_heads(t) || !MEMORY_ROOM(t->nodes, t->node_count, t->node_room))
        return -1;
    int *head = &t->node_heads[n.hash % t->heads];
    n.chain = *head;
    n.link = n.child[0] = n.child[1] = n.queued = -1;
    n.chance = n.reach = 0;
    t->nodes[t->node_count] = n;
    return *head = (int)t->node_count++;
}

/* --- the queue --- */

double tree_range(const tree *t, const tree_node *n)
{
    return fmax((n->value.high - n->value.low) / t->scale, n->lost.high - n->lost.low);
}

static double hangs_on(const tree *t, int node)
{
    const tree_node *n = &t->nodes[node];
    return n->reach * tree_range(t, n);
}

static double urgency(const tree *t, int node)
{
    return hangs_on(t, node) * t->nodes[node].ahead;
}

static void put(tree *t, size_t at, int node)
{
    t->queue[at] = node;
    t->nodes[node].queued = (int)at;
}

static void rise(tree *t, size_t at)
{
    int node = t->queue[at];
    double own = urgency(t, node);
    for (size_t up; at && urgency(t, t->queue[up = (at - 1) / 2]) < own; at = up)
        put(t, at, t->queue[up]);
    put(t, at, node);
}

static void sink(tree *t, size_t at)
{
    int node = t->queue[at];
    double own = urgency(t, node);
    for (size_t down; (down = 2 * at + 1) < t->queue_count; at = down) {
        if (down + 1 < t->queue_count &&
            urgency(t, t->queue[down + 1]) > urgency(t, t->queue[down]))
            down++;
        if (urgency(t, t->queue[down]) <= own)
            break;
        put(t, at, t->queue[down]);
    }
    put(t, at, node);
}

bool tree_give(tree *t, int node, double chance, double reach)
{
    tree_node *n = &t->nodes[node];
    double before = n->queued < 0 ? 0 : hangs_on(t, node);
    n->chance += chance;
    n->reach += reach;
    if (!(n->reach > 0) || (!n->open && n->child[0] < 0))
        return true;
    if (n->queued < 0) {
        if (!MEMORY_ROOM(t->queue, t->queue_count, t->queue_room))
            return false;
        put(t, t->queue_count++, node);
    }
    t->open += hangs_on(t, node) - before;
    rise(t, (size_t)t->nodes[node].queued);
    return true;
}

int tree_take(tree *t)
{
    if (!t->queue_count)
        return -1;
    int first = t->queue[0], last = t->queue[--t->queue_count];
    t->nodes[first].queued = -1;
    t->open = t->queue_count ? t->open - hangs_on(t, first) : 0;
    if (t->queue_count) {
        put(t, 0, last);
        sink(t, 0);
    }
    return first;
}

/* Room is made by doubling, and kept for later trees: only what this one has filled of it may count, or
 * what is asked before would decide where a tree stops. */
size_t tree_bytes(const tree *t)
{
    size_t most = t->node_count > t->place_count ? t->node_count : t->place_count;
    size_t heads = 2 * (most > HEADS / 2 ? most : HEADS / 2);
    return t->bytes + 2 * (t->place_count * sizeof *t->places + t->node_count * sizeof *t->nodes) +
           (2 * t->node_count + 2 * heads) * sizeof *t->queue;
}
