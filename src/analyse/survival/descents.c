/*
 * What is left open, sampled: from open nodes, drawn by their chance, down the tree by chance to an
 * end. Drawn systematically (one in each of as many equal parts of what is open, with one random
 * place in all parts), so that the likely nodes are all met; the standard error is that of random
 * draws, which is no less. What is worked out on the way stays in the tree. The draws depend on the
 * spaces opened alone: SplitMix64 (Steele, Lea and Flood, "Fast splittable pseudorandom number
 * generators", OOPSLA 2014), begun with their numbers.
 */
#include <math.h>

#include "analyse/survival/branching.h"
#include "base/error.h"

static double draw(uint64_t *state)
{
    uint64_t z = *state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return (double)((z ^ (z >> 31)) >> 11) * 0x1p-53;
}

static coaming_status descend(branches *b, int node, uint64_t *state, const tree_node **end,
                              coaming_error *error)
{
    for (;;) {
        if (b->tree.nodes[node].open) {
            coaming_status status = branches_expand(b, node, error);
            if (status != COAMING_OK)
                return status;
        }
        const tree_node *n = &b->tree.nodes[node];
        *end = n;
        if (n->child[0] < 0)
            return COAMING_OK;
        bool leaks = n->link >= 0 && draw(state) < b->terms.leaks[n->link];
        node = n->child[leaks];
    }
}

/* The open nodes and the sums of their chances up to each. Returns how many they are. */
static size_t list_open(const tree *t, int *nodes, double *sums)
{
    double sum = 0;
    size_t count = 0;
    for (size_t i = 0; i < t->queue_count; i++) {
        const tree_node *n = &t->nodes[t->queue[i]];
        if (!(n->chance > 0))
            continue;
        nodes[count] = t->queue[i];
        sums[count++] = sum += n->chance;
    }
    return count;
}

static void take_in(branch_sample *s, double value, double lost)
{
    s->sum[0] += value;
    s->squares[0] += value * value;
    s->sum[1] += lost;
    s->squares[1] += lost * lost;
    s->count++;
}

coaming_status branches_sample(branches *b, coaming_error *error)
{
    tree *t = &b->tree;
    b->sample = (branch_sample){0};
    int *nodes = arena_new(&t->memory, t->queue_count, sizeof *nodes);
    double *sums = arena_new(&t->memory, t->queue_count, sizeof *sums);
    if (!nodes || !sums)
        return error_memory(error);
    size_t count = list_open(t, nodes, sums), at = 0;
    uint64_t state = 1;
    for (size_t i = 0; i < b->opened_count; i++)
        state = (state ^ (uint64_t)b->opened[i]) * 1099511628211u;
    double place = draw(&state);
    for (size_t i = 0; count && i < b->terms.samples; i++) {
        double wanted = ((double)i + place) / (double)b->terms.samples * sums[count - 1];
        const tree_node *end = NULL;
        while (at + 1 < count && sums[at] <= wanted)
            at++;
        coaming_status status = descend(b, nodes[at], &state, &end, error);
        if (status != COAMING_OK)
            return status;
        take_in(&b->sample, (end->value.low + end->value.high) / 2,
                (end->lost.low + end->lost.high) / 2);
    }
    b->sample.open = count ? sums[count - 1] : 0;
    return COAMING_OK;
}
