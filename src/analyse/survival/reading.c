/*
 * Reading the tree. Nodes in an order in which each comes before what follows it (Kahn, "Topological
 * sorting of large networks", Communications of the ACM 5(11), 1962): chances forward, values back.
 *
 * Where closure c is decided, at a node that is come to with the chance w, nothing before has asked
 * for c, and nothing after does: so E[value | c leaks] - E[value | c holds] is the sum of
 * w x (value if it leaks - value if it holds) over these nodes, and what is open may add or take as
 * much as its value is unknown. Sums that merged states do not hinder: w is of all ways to the node.
 */
#include <math.h>
#include <string.h>

#include "analyse/survival/branching.h"
#include "base/error.h"

size_t tree_sort(const tree *t, int root, int *order, int *left)
{
    size_t count = 0;
    order[count++] = root;
    left[root] = 1;                    /* never gets to 0 again */
    for (size_t i = 0; i < count; i++) /* what is come to, and by how many of those */
        for (int c = 0; c < 2; c++) {
            int child = t->nodes[order[i]].child[c];
            if (child >= 0 && left[child]++ == 0)
                order[count++] = child;
        }
    count = 1;
    for (size_t i = 0; i < count; i++)
        for (int c = 0; c < 2; c++) {
            int child = t->nodes[order[i]].child[c];
            if (child >= 0 && --left[child] == 0)
                order[count++] = child;
        }
    return count;
}

static void spread_chances(branches *b, const int *order)
{
    tree *t = &b->tree;
    for (size_t i = 0; i < t->node_count; i++)
        t->nodes[i].chance = 0;
    t->nodes[b->root].chance = 1;
    for (size_t i = 0; i < t->node_count; i++) {
        const tree_node *n = &t->nodes[order[i]];
        double p = node_chance(n, b->terms.leaks);
        if (n->child[0] >= 0)
            t->nodes[n->child[0]].chance += n->chance * (1 - p);
        if (n->child[1] >= 0)
            t->nodes[n->child[1]].chance += n->chance * p;
    }
}

static branch_limits mixed(branch_limits holds, branch_limits leaks, double p)
{
    return (branch_limits){(1 - p) * holds.low + p * leaks.low,
                           (1 - p) * holds.high + p * leaks.high};
}

int *branches_spread_chances(branches *b)
{
    tree *t = &b->tree;
    int *order = arena_new(&t->memory, t->node_count, sizeof *order);
    int *left = arena_new(&t->memory, t->node_count, sizeof *left);
    if (!order || !left)
        return NULL;
    tree_sort(t, b->root, order, left);
    spread_chances(b, order);
    return order;
}

static double mean_of(const branch_sample *s, int which)
{
    return s->sum[which] / (double)s->count;
}

/* A node whose value is known, or one that was open: then the samples that began there and a little
 * of the mean of all; without samples the middle of the limits. */
static void guess(const branches *b, tree_node *n)
{
    const branch_sample *s = &b->sample;
    bool was_open = n->open || n->late;
    const double own = 0.25; /* what the mean of all counts as, in samples */
    double count = (double)n->samples + own;
    if (was_open && s->count) {
        n->likely = (n->likely + own * mean_of(s, 0)) / count;
        n->lost_likely = (n->lost_likely + own * mean_of(s, 1)) / count;
        return;
    }
    n->likely = (n->value.low + n->value.high) / 2;
    n->lost_likely = (n->lost.low + n->lost.high) / 2;
}

static void gather_values(branches *b, const int *order)
{
    tree *t = &b->tree;
    for (size_t i = t->node_count; i-- > 0;) {
        tree_node *n = &t->nodes[order[i]];
        if (n->child[0] < 0 || n->late)
            guess(b, n);
        if (n->child[0] < 0)
            continue;
        const tree_node *holds = &t->nodes[n->child[0]];
        const tree_node *leaks = &t->nodes[node_if_leaks(n)];
        double p = node_chance(n, b->terms.leaks);
        n->value = mixed(holds->value, leaks->value, p);
        n->lost = mixed(holds->lost, leaks->lost, p);
        if (n->late)
            continue;
        n->likely = (1 - p) * holds->likely + p * leaks->likely;
        n->lost_likely = (1 - p) * holds->lost_likely + p * leaks->lost_likely;
    }
}

/* What hangs on each closure, and what on the nodes that are left open. */
static void add_turns(branches *b)
{
    const tree *t = &b->tree;
    branch_answer *a = &b->answer;
    for (size_t i = 0; i < t->node_count; i++) {
        const tree_node *n = &t->nodes[i];
        if (n->child[0] < 0) {
            a->other += n->chance * (n->value.high - n->value.low);
            a->other_lost += n->chance * (n->lost.high - n->lost.low);
            a->rest += n->open ? n->chance : 0;
            continue;
        }
        if (n->link < 0)
            continue;
        const tree_node *holds = &t->nodes[n->child[0]], *leaks = &t->nodes[n->child[1]];
        b->decided[n->link] = true;
        b->turn[0][n->link] += n->chance * (leaks->value.low - holds->value.high);
        b->turn[1][n->link] += n->chance * (leaks->value.high - holds->value.low);
        b->turn[2][n->link] += n->chance * (leaks->lost.low - holds->lost.high);
        b->turn[3][n->link] += n->chance * (leaks->lost.high - holds->lost.low);
        if (n->late)
            continue;
        b->turn[4][n->link] += n->early_chance * (leaks->likely - holds->likely);
        b->turn[5][n->link] += n->early_chance * (leaks->lost_likely - holds->lost_likely);
    }
}

static branch_limits within(branch_limits l, double least, double most)
{
    return (branch_limits){fmin(fmax(l.low, least), most), fmax(fmin(l.high, most), least)};
}

static coaming_status put_gains(branches *b, coaming_error *error)
{
    branch_answer *a = &b->answer;
    size_t count = 0;
    for (size_t c = 0; c < b->ship->closure_count; c++)
        count += b->decided[c];
    branch_gain *gains = arena_new(&b->results, count, sizeof *gains);
    if (!gains)
        return error_memory(error);
    a->gains = b->gains = gains;
    for (size_t c = 0; c < b->ship->closure_count; c++) {
        if (!b->decided[c])
            continue;
        double p = b->terms.leaks[c];
        double low = b->turn[0][c] - a->other, high = b->turn[1][c] + a->other;
        branch_gain *g = &gains[a->gain_count++];
        *g = (branch_gain){.closure = (int)c, .probability = p};
        g->likely = -p * (b->turn[4][c] + b->sampled_turn[0][c]);
        g->lost_likely = p * (b->turn[5][c] + b->sampled_turn[1][c]);
        g->gain = (branch_limits){-p * high, -p * low};
        g->turn_limits = (branch_limits){low, high};
        g->if_leaks =
            within((branch_limits){a->value.low + (1 - p) * low, a->value.high + (1 - p) * high}, 0,
                   b->most);
        g->if_holds =
            within((branch_limits){a->value.low - p * high, a->value.high - p * low}, 0, b->most);
        g->lost_gain = (branch_limits){p * (b->turn[2][c] - a->other_lost),
                                       p * (b->turn[3][c] + a->other_lost)};
    }
    return COAMING_OK;
}

static double sample_error(const branch_sample *s, int which, double range)
{
    const double sums[] = {(double)s->count, s->sum[which], s->squares[which]};
    return s->open * sampled_error(sums, range);
}

static void put_halves(branches *b, double known, double known_lost)
{
    const branch_sample *s = &b->sample;
    branch_answer *a = &b->answer;
    for (int half = 0; half < 2; half++) {
        double count = (double)s->half_count[half];
        a->half[half] = s->count < 2 ? a->likely : known + s->open * s->half_sum[half][0] / count;
        a->lost_half[half] =
            s->count < 2 ? a->lost_likely : known_lost + s->open * s->half_sum[half][1] / count;
    }
}

/* What was known before there were samples, and their mean for the rest. */
static void put_likely(branches *b)
{
    const branch_sample *s = &b->sample;
    branch_answer *a = &b->answer;
    double known = 0, known_lost = 0;
    for (size_t i = 0; i < b->tree.node_count; i++) {
        const tree_node *n = &b->tree.nodes[i];
        if (n->child[0] >= 0 || (s->count && n->open))
            continue;
        known += n->early_chance * n->likely;
        known_lost += n->early_chance * n->lost_likely;
    }
    a->likely = known + (s->count ? s->open * mean_of(s, 0) : 0);
    a->lost_likely = known_lost + (s->count ? s->open * mean_of(s, 1) : 0);
    put_halves(b, known, known_lost);
}

coaming_status branches_read(branches *b, coaming_error *error)
{
    tree *t = &b->tree;
    branch_answer *a = &b->answer;
    size_t links = b->ship->link_count;
    int *order = branches_spread_chances(b);
    if (!order)
        return error_memory(error);
    for (size_t i = 0; !b->sample.count && i < t->node_count; i++)
        t->nodes[i].early_chance = t->nodes[i].chance;
    for (int i = 0; i < 6; i++)
        memset(b->turn[i], 0, links * sizeof *b->turn[i]);
    gather_values(b, order);
    add_turns(b);
    a->value = t->nodes[b->root].value;
    a->lost = t->nodes[b->root].lost;
    put_likely(b);
    a->error = sample_error(&b->sample, 0, b->most);
    a->lost_error = sample_error(&b->sample, 1, 1);
    a->states = t->node_count;
    a->work = b->work;
    a->sampled = b->sample.count;
    a->open = b->sample.open;
    a->most = b->most;
    coaming_status status = put_gains(b, error);
    if (status == COAMING_OK && b->terms.errors)
        status = branches_estimate(b, order, error);
    return status == COAMING_OK && b->terms.ways ? branches_list_ways(b, error) : status;
}
