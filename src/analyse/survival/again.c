/*
 * Trees that are kept, and asked again with other chances. What is known of a tree's ends holds
 * whatever the chances, so limits of other chances are as rigorous; but what is left open may bear more
 * of other chances than `within`.
 */
#include <math.h>
#include <string.h>

#include "analyse/survival/branching.h"
#include "base/error.h"
#include "base/memory.h"

struct branch_tree {
    tree tree;
    int root;
    double most;
    int *order;                           /* of the nodes, since it was last put back */
    size_t known, ordered;                /* how many there are, and are in it */
    double *low, *high, *likely, *chance; /* by node */
};

coaming_status branches_keep(branches *b, branch_tree **out, coaming_error *error)
{
    branch_tree *k = memory_new(1, sizeof *k);
    if (!k)
        return error_memory(error);
    branches_take_out(b, k);
    *out = k;
    return COAMING_OK;
}

static void forget_order(branch_tree *k)
{
    memory_free(k->order);
    memory_free(k->low);
    k->order = NULL;
    k->low = NULL;
    k->known = k->ordered = 0;
}

void branch_tree_free(branch_tree *k)
{
    if (!k)
        return;
    forget_order(k);
    tree_free(&k->tree);
    memory_free(k);
}

void branches_put_back(branches *b, branch_tree *k, const int *opened, size_t count)
{
    tree_free(&b->tree);
    b->tree = k->tree;
    b->root = k->root;
    b->most = k->most;
    b->opened = opened;
    b->opened_count = count;
    k->tree = (tree){0};
    forget_order(k); /* a node may come to be followed by one that there was already */
}

void branches_take_out(branches *b, branch_tree *k)
{
    k->tree = b->tree;
    k->root = b->root;
    k->most = b->most;
    b->tree = (tree){0};
}

size_t branch_tree_size(const branch_tree *k)
{
    return k->tree.node_count;
}

void branch_tree_decides(const branch_tree *k, bool *closures)
{
    for (size_t i = 0; i < k->tree.node_count; i++)
        if (k->tree.nodes[i].link >= 0)
            closures[k->tree.nodes[i].link] = true;
}

size_t branches_work(const branches *b)
{
    return b->work;
}

/* --- sweeps --- */

static coaming_status sort_again(branch_tree *k, coaming_error *error)
{
    size_t count = k->tree.node_count;
    if (k->known == count)
        return COAMING_OK;
    forget_order(k);
    int *left = memory_new(count, sizeof *left);
    k->order = memory_new(count, sizeof *k->order);
    k->low = memory_new(4 * count, sizeof *k->low);
    bool made = left && k->order && k->low;
    if (made) {
        k->high = k->low + count;
        k->likely = k->high + count;
        k->chance = k->likely + count;
        k->known = count;
        k->ordered = tree_sort(&k->tree, k->root, k->order, left);
    }
    memory_free(left);
    return made ? COAMING_OK : error_memory(error);
}

coaming_status branch_tree_expect(branch_tree *k, const double *leaks, branch_limits *value,
                                  double *likely, coaming_error *error)
{
    coaming_status status = sort_again(k, error);
    for (size_t i = status == COAMING_OK ? k->ordered : 0; i-- > 0;) {
        int at = k->order[i];
        const tree_node *n = &k->tree.nodes[at];
        if (n->child[0] < 0) {
            k->low[at] = n->value.low;
            k->high[at] = n->value.high;
            k->likely[at] = (n->value.low + n->value.high) / 2;
            continue;
        }
        int holds = n->child[0], falls = node_if_leaks(n);
        double p = node_chance(n, leaks);
        k->low[at] = (1 - p) * k->low[holds] + p * k->low[falls];
        k->high[at] = (1 - p) * k->high[holds] + p * k->high[falls];
        k->likely[at] = (1 - p) * k->likely[holds] + p * k->likely[falls];
    }
    if (status != COAMING_OK)
        return status;
    *value = (branch_limits){k->low[k->root], k->high[k->root]};
    *likely = k->likely[k->root];
    return COAMING_OK;
}

void branch_tree_slopes(branch_tree *k, const double *leaks, double weight, double *slopes)
{
    memset(k->chance, 0, k->known * sizeof *k->chance);
    k->chance[k->root] = weight;
    for (size_t i = 0; i < k->ordered; i++) {
        int at = k->order[i];
        const tree_node *n = &k->tree.nodes[at];
        double p = node_chance(n, leaks);
        if (n->child[0] < 0)
            continue;
        k->chance[n->child[0]] += (1 - p) * k->chance[at];
        k->chance[node_if_leaks(n)] += p * k->chance[at];
        if (n->link >= 0)
            slopes[n->link] +=
                k->chance[at] * (k->likely[node_if_leaks(n)] - k->likely[n->child[0]]);
    }
}

coaming_status branch_tree_most(branch_tree *k, const double *leaks, const double *other,
                                double *most, coaming_error *error)
{
    coaming_status status = sort_again(k, error);
    for (size_t i = status == COAMING_OK ? k->ordered : 0; i-- > 0;) {
        int at = k->order[i];
        const tree_node *n = &k->tree.nodes[at];
        if (n->child[0] < 0) {
            k->high[at] = n->value.high;
            continue;
        }
        double holds = k->high[n->child[0]], turn = k->high[node_if_leaks(n)] - holds;
        k->high[at] = holds + fmax(node_chance(n, leaks) * turn, node_chance(n, other) * turn);
    }
    if (status == COAMING_OK)
        *most = k->high[k->root];
    return status;
}

/* --- one state --- */

static void ask(const branches *b, uint64_t seed, int link, branch_walk *walk, bool *leaks)
{
    walk->asked[walk->asked_count++] = link;
    *leaks = branch_walk_leaks(seed, link, b->terms.leaks[link]);
}

/* All that is left to decide where she lies, at once: of the many ways to that no node is made. Returns
 * the node that follows; -1: out of memory. */
static int decide_all(branches *b, int node, uint64_t seed, branch_walk *walk)
{
    const tree_node *n = &b->tree.nodes[node];
    const tree_place *p = &b->tree.places[n->place];
    int leaking = sorted_with(b->behind, n->marked, n->leaking, -1);
    int holding = sorted_with(b->held, n->marked + n->leaking, n->holding, -1);
    for (int next = n->next; next < (int)p->link_count; next++) {
        bool leaks;
        if (sorted_has(b->behind, (size_t)leaking, p->behind[next]) ||
            sorted_has(b->held, (size_t)holding, p->links[next]))
            continue;
        ask(b, seed, p->links[next], walk, &leaks);
        if (leaks)
            leaking = sorted_put(b->behind, leaking, p->behind[next]);
        else
            holding = sorted_put(b->held, holding, p->links[next]);
    }
    return branches_node_after(b, n->place, (int)p->link_count, leaking, holding);
}

/* The node that follows one that is known or can be worked out; -1: nothing does. */
static coaming_status follow(branches *b, int node, uint64_t seed, branch_walk *walk, int *next,
                             coaming_error *error)
{
    if (b->tree.nodes[node].step == STEP_DECIDE) {
        *next = decide_all(b, node, seed, walk);
        return *next < 0 ? error_memory(error) : COAMING_OK;
    }
    coaming_status status = b->tree.nodes[node].open ? branches_expand(b, node, error) : COAMING_OK;
    const tree_node *n = &b->tree.nodes[node];
    bool leaks = false;
    if (status == COAMING_OK && n->child[0] >= 0 && n->link >= 0)
        ask(b, seed, n->link, walk, &leaks);
    *next = n->child[leaks];
    return status;
}

coaming_status branches_walk(branches *b, uint64_t seed, branch_walk *walk, coaming_error *error)
{
    walk->asked_count = 0;
    for (int node = b->root, next;; node = next) {
        coaming_status status = follow(b, node, seed, walk, &next, error);
        if (status != COAMING_OK)
            return status;
        if (next < 0) {
            const tree_node *n = &b->tree.nodes[node];
            walk->value = (n->value.low + n->value.high) / 2;
            return COAMING_OK;
        }
    }
}
