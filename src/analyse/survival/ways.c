/*
 * The likeliest ways she is lost: paths of the tree to a state in which she is, the likeliest first
 * (A* with the exact chance of the likeliest rest of the path as its guess; Hart, Nilsson and
 * Raphael, "A formal basis for the heuristic determination of minimum cost paths", IEEE Transactions
 * on Systems Science and Cybernetics 4(2), 1968). A path whose leaking closures contain those of a
 * likelier way is that way with others leaking as well, and its chance is added to it.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/survival/branching.h"
#include "base/error.h"
#include "base/order.h"

/* The start of a path. */
typedef struct {
    double chance, guess; /* of the start; of the likeliest path that begins so */
    int node, from, link; /* from: what it goes on from, -1: the root; link: leaks on it, or -1 */
} start;

typedef struct {
    branches *b;
    double *best; /* by node: chance of the likeliest path from there to one that is lost */
    start *starts;
    size_t count, room;
    int *heap;
    size_t heap_count, heap_room;
    branch_way *ways;
    size_t way_count;
} search;

enum { PATHS = 16 }; /* looked at for each way that is wanted */

static bool ends_lost(const tree_node *n)
{
    return n->child[0] < 0 && !n->open && n->lost.low >= 1;
}

/* Depth first, without recursion: a node's best is known once its children's are. */
static void find_best(search *s, int *stack)
{
    const tree *t = &s->b->tree;
    size_t depth = 0;
    for (size_t i = 0; i < t->node_count; i++)
        s->best[i] = -1;
    stack[depth++] = s->b->root;
    while (depth) {
        int node = stack[depth - 1];
        const tree_node *n = &t->nodes[node];
        int wait = -1;
        for (int c = 0; c < 2; c++)
            if (n->child[c] >= 0 && s->best[n->child[c]] < 0)
                wait = n->child[c];
        if (wait >= 0) {
            stack[depth++] = wait;
            continue;
        }
        depth--;
        double p = node_chance(n, s->b->terms.leaks);
        double holds = n->child[0] < 0 ? 0 : (1 - p) * s->best[n->child[0]];
        double leaks = n->child[1] < 0 ? 0 : p * s->best[n->child[1]];
        s->best[node] = ends_lost(n) ? 1 : fmax(holds, leaks);
    }
}

static void swap(search *s, size_t a, size_t b)
{
    int kept = s->heap[a];
    s->heap[a] = s->heap[b];
    s->heap[b] = kept;
}

static double guess_at(const search *s, size_t at)
{
    return s->starts[s->heap[at]].guess;
}

static bool push(search *s, start new)
{
    if (!(new.guess > 0))
        return true;
    if (!MEMORY_ROOM(s->starts, s->count, s->room) ||
        !MEMORY_ROOM(s->heap, s->heap_count, s->heap_room))
        return false;
    s->starts[s->count] = new;
    s->heap[s->heap_count] = (int)s->count++;
    for (size_t at = s->heap_count++; at && guess_at(s, (at - 1) / 2) < guess_at(s, at);
         at = (at - 1) / 2)
        swap(s, at, (at - 1) / 2);
    return true;
}

static int pop(search *s)
{
    int first = s->heap[0];
    s->heap[0] = s->heap[--s->heap_count];
    for (size_t at = 0, down; (down = 2 * at + 1) < s->heap_count; at = down) {
        if (down + 1 < s->heap_count && guess_at(s, down + 1) > guess_at(s, down))
            down++;
        if (guess_at(s, down) <= guess_at(s, at))
            break;
        swap(s, at, down);
    }
    return first;
}

static bool contains(const branch_way *way, const int *closures, size_t count)
{
    for (size_t i = 0; i < way->closure_count; i++)
        if (!sorted_has(closures, count, way->closures[i]))
            return false;
    return true;
}

/* A path that has come to its end. False: out of memory. */
static bool keep(search *s, int last)
{
    const tree *t = &s->b->tree;
    const start *end = &s->starts[last];
    size_t count = 0;
    int *closures = s->b->held;
    for (int i = last; i >= 0; i = s->starts[i].from)
        if (s->starts[i].link >= 0)
            closures[count++] = s->starts[i].link;
    qsort(closures, count, sizeof *closures, order_ints);
    for (size_t i = 0; i < s->way_count; i++)
        if (contains(&s->ways[i], closures, count)) {
            s->ways[i].probability += end->chance;
            return true;
        }
    if (s->way_count == s->b->terms.ways)
        return true;
    const tree_place *p = &t->places[t->nodes[end->node].place];
    int *mine = arena_new(&s->b->results, count, sizeof *mine);
    int *flooded = arena_new(&s->b->results, p->count, sizeof *flooded);
    if (!mine || !flooded)
        return false;
    memcpy(mine, closures, count * sizeof *mine);
    memcpy(flooded, p->spaces, p->count * sizeof *flooded);
    s->ways[s->way_count++] = (branch_way){end->chance, mine, count, flooded, p->count};
    return true;
}

static bool walk(search *s)
{
    const tree *t = &s->b->tree;
    size_t paths = PATHS * s->b->terms.ways;
    if (!push(s, (start){1, s->best[s->b->root], s->b->root, -1, -1}))
        return false;
    while (s->heap_count && paths) {
        int at = pop(s);
        start from = s->starts[at];
        const tree_node *n = &t->nodes[from.node];
        if (ends_lost(n)) {
            paths--;
            if (!keep(s, at))
                return false;
        }
        double p = node_chance(n, s->b->terms.leaks);
        for (int c = 0; c < 2; c++) {
            int child = n->child[c];
            double chance = from.chance * (c ? p : 1 - p);
            if (child >= 0 &&
                !push(s, (start){chance, chance * s->best[child], child, at, c ? n->link : -1}))
                return false;
        }
    }
    return true;
}

static int likelier(const void *left, const void *right)
{
    const branch_way *a = left, *b = right;
    return (a->probability < b->probability) - (a->probability > b->probability);
}

coaming_status branches_list_ways(branches *b, coaming_error *error)
{
    tree *t = &b->tree;
    search s = {.b = b};
    s.best = arena_new(&t->memory, t->node_count, sizeof *s.best);
    s.ways = arena_new(&b->results, b->terms.ways, sizeof *s.ways);
    int *stack = arena_new(&t->memory, t->node_count + 1, sizeof *stack);
    bool all = s.best && s.ways && stack;
    if (all) {
        find_best(&s, stack);
        all = walk(&s);
    }
    if (all && s.way_count > 1)
        qsort(s.ways, s.way_count, sizeof *s.ways, likelier);
    b->answer.ways = s.ways;
    b->answer.way_count = s.way_count;
    memory_free(s.starts);
    memory_free(s.heap);
    return all ? COAMING_OK : error_memory(error);
}
