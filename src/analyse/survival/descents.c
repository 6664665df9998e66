/*
 * What is left open, sampled. From open nodes, drawn by their chance, down the tree to an end, each
 * closure leaking by chance. Drawn systematically (one in each of as many equal parts of what is open,
 * with one random place in all parts), so that the likely nodes are all met; the standard error is
 * that of random draws, which is no less.
 *
 * What hangs on a closure that is decided below an open node: chance x (leaks - holds) is the mean of
 * [it leaks] (value - value if it alone holds), so one of those that leaked in a sample, drawn at
 * random, is held and the sample taken again.
 *
 * Whether a closure leaks depends on where she first comes to rest, on the sample and on its number alone
 * (SplitMix64, base/hash.h).
 * What is worked out on the way stays in the tree, marked `late`.
 */
#include <math.h>
#include <string.h>

#include "analyse/survival/branching.h"
#include "base/error.h"
#include "base/hash.h"

double branches_fraction(uint64_t z)
{
    return (double)(hash_mix(z + HASH_GOLDEN) >> 11) * 0x1p-53;
}

/* One state of all closures. */
typedef struct {
    uint64_t seed;
    int held;      /* holds whatever is drawn; -1: none */
    size_t leaked; /* how many of b->order leaked and mattered */
    double value, lost;
} descent;

bool branch_walk_leaks(uint64_t seed, int closure, double chance)
{
    return branches_fraction(seed + 0x632be59bd9b4e019u * (uint64_t)(closure + 1)) < chance;
}

static bool leaks_in(const branches *b, const descent *d, int link)
{
    return link != d->held && branch_walk_leaks(d->seed, link, b->terms.leaks[link]);
}

/* At rest for good: s with the dry closures as drawn. */
static coaming_status end_at(branches *b, const tree_node *n, descent *d, coaming_error *error)
{
    coaming_stability stability;
    memset(b->leaks, 0, b->ship->link_count * sizeof *b->leaks);
    for (size_t l = 0; l < b->ship->closure_count; l++)
        b->leaks[l] = b->uncertain[l] && leaks_in(b, d, (int)l);
    for (int i = 0; i < n->leaking + n->holding; i++)
        b->leaks[n->marked[i]] = i < n->leaking;
    branches_mark_flooded(b, &b->tree.places[n->place]);
    coaming_status status = branches_grade(b, &b->tree.places[n->place], &stability, error);
    d->value = stability.s;
    d->lost = stability.grade == COAMING_GRADE_LOST;
    int at_end = status == COAMING_OK ? stability.flooding_opening : -1;
    if (at_end >= 0 && b->leaks[at_end] && !sorted_has(n->marked, (size_t)n->leaking, at_end))
        b->sampled[d->leaked++] = at_end;
    return status;
}

/* Who leaks of those that are wet at a place, as drawn, from `next` on: adds to b->behind the spaces
 * behind them, which are marked in b->flooded, and marks in b->leaks who holds. */
static void decide_all(branches *b, const tree_place *p, size_t next, descent *d, size_t *behind)
{
    for (size_t i = next; i < p->link_count; i++) {
        int link = p->links[i];
        if (b->flooded[p->behind[i]] || b->leaks[link])
            continue;
        b->decided[link] = true;
        if (!leaks_in(b, d, link)) {
            b->leaks[link] = true;
            continue;
        }
        b->sampled[d->leaked++] = link;
        b->flooded[p->behind[i]] = true;
        b->behind[(*behind)++] = p->behind[i];
    }
}

/* The same as down the tree, but without a node for each closure: of many closures that are wet at one
 * place a tree takes the square of their number. Of losses, which no dry closure changes. */
static coaming_status walk(branches *b, int node, descent *d, coaming_error *error)
{
    const tree_node *n = &b->tree.nodes[node];
    size_t behind = (size_t)n->leaking, next = n->step == STEP_DECIDE ? (size_t)n->next : SIZE_MAX;
    int place = n->place;
    memcpy(b->behind, n->marked, behind * sizeof *b->behind);
    memset(b->leaks, 0, b->ship->link_count * sizeof *b->leaks);
    for (int i = 0; i < n->holding; i++)
        b->leaks[n->marked[n->leaking + i]] = true;
    for (;; next = behind = 0) {
        const tree_place *p = &b->tree.places[place];
        branches_mark_flooded(b, p);
        for (size_t i = 0; i < behind; i++)
            b->flooded[b->behind[i]] = true;
        decide_all(b, p, next, d, &behind);
        d->value = p->loss;
        d->lost = p->lost;
        if (!behind)
            return COAMING_OK;
        coaming_status status = branches_settle_on(b, &place, b->behind, behind, error);
        if (status != COAMING_OK)
            return status;
    }
}

static coaming_status descend(branches *b, int node, descent *d, coaming_error *error)
{
    d->leaked = 0;
    for (;;) {
        if (b->tree.nodes[node].open) {
            if (b->terms.value == BRANCH_LOSS)
                return walk(b, node, d, error);
            if (b->tree.nodes[node].step == STEP_GRADE)
                return end_at(b, &b->tree.nodes[node], d, error);
            coaming_status status = branches_expand(b, node, error);
            if (status != COAMING_OK)
                return status;
            b->tree.nodes[node].late = true;
        }
        const tree_node *n = &b->tree.nodes[node];
        if (n->child[0] < 0) {
            d->value = (n->value.low + n->value.high) / 2;
            d->lost = (n->lost.low + n->lost.high) / 2;
            return COAMING_OK;
        }
        bool leaks = n->link >= 0 && leaks_in(b, d, n->link);
        if (leaks)
            b->sampled[d->leaked++] = n->link;
        node = n->child[leaks];
    }
}

static void take_in(branches *b, const descent *d)
{
    branch_sample *s = &b->sample;
    size_t half = s->count % 2;
    s->half_count[half]++;
    s->half_sum[half][0] += d->value;
    s->half_sum[half][1] += d->lost;
    s->sum[0] += d->value;
    s->squares[0] += d->value * d->value;
    s->sum[1] += d->lost;
    s->squares[1] += d->lost * d->lost;
    s->count++;
}

static void note(branches *b, int node, const descent *d, int guess)
{
    tree_node *n = &b->tree.nodes[node];
    b->draws[b->draw_count++] = (branch_draw){node, guess, d->value, -1, 0};
    n->likely += d->value;
    n->lost_likely += d->lost;
    n->samples++;
}

/* The same with one of those that leaked holding. */
static coaming_status turn(branches *b, int node, const descent *with, double chance,
                           coaming_error *error)
{
    descent without = *with;
    double among = (double)with->leaked;
    int link = b->sampled[(size_t)(branches_fraction(with->seed) * among)];
    double weight = chance * among / b->terms.leaks[link];
    without.held = link;
    coaming_status status = descend(b, node, &without, error);
    b->sampled_turn[0][link] += weight * (with->value - without.value);
    b->sampled_turn[1][link] += weight * (with->lost - without.lost);
    b->decided[link] = true;
    b->draws[b->draw_count - 1].turned = link;
    b->draws[b->draw_count - 1].turn = weight * (with->value - without.value);
    return status;
}

/* The open nodes and the sums of their chances up to each. Returns how many they are. */
static size_t list_open(tree *t, int *nodes, double *sums)
{
    double sum = 0;
    size_t count = 0;
    for (size_t i = 0; i < t->node_count; i++) {
        tree_node *n = &t->nodes[i];
        n->early_chance = n->chance;
        if (!n->open)
            continue;
        nodes[count] = (int)i;
        sums[count++] = sum += n->chance;
    }
    return count;
}

/* Draws of a node for its guess: one, or with errors one for each batch, so that they tell how far the
 * guess may be off. */
static coaming_status guess_node(branches *b, int node, uint64_t seed, coaming_error *error)
{
    size_t draws = b->terms.errors ? branch_batches(b->terms.samples) : 1;
    for (size_t i = 0; i < draws; i++) {
        descent d = {.seed = seed + i * 0xd1342543de82ef95u, .held = -1};
        coaming_status status = descend(b, node, &d, error);
        if (status != COAMING_OK)
            return status;
        note(b, node, &d, (int)i);
    }
    return COAMING_OK;
}

/* Where a closure holds that is likelier to leak, the chance is small, but much of what hangs on that
 * closure is there: they are sampled for the guess of gains alone, no more often than by chance. */
static coaming_status sample_unlikely(branches *b, const int *nodes, size_t count, uint64_t seed,
                                      coaming_error *error)
{
    double least = b->sample.open / (double)b->terms.samples;
    size_t most = b->draw_count + (b->terms.errors ? b->terms.samples : count);
    for (size_t i = 0; i < count && b->draw_count < most; i++) {
        const tree_node *n = &b->tree.nodes[nodes[i]];
        if (n->samples || n->reach < least || n->reach < 2 * n->chance)
            continue;
        coaming_status status =
            guess_node(b, nodes[i], seed ^ (0x9fb21c651e98df25u * (i + 1)), error);
        if (status != COAMING_OK)
            return status;
    }
    return COAMING_OK;
}

coaming_status branches_sample(branches *b, coaming_error *error)
{
    tree *t = &b->tree;
    int *nodes = arena_new(&t->memory, t->node_count, sizeof *nodes);
    double *sums = arena_new(&t->memory, t->node_count, sizeof *sums);
    if (!nodes || !sums || !branches_spread_chances(b))
        return error_memory(error);
    size_t count = list_open(t, nodes, sums), at = 0;
    b->draw_count = 0;
    b->draws =
        arena_new(&t->memory, 2 * b->terms.samples + count + BRANCH_BATCHES, sizeof *b->draws);
    if (!b->draws)
        return error_memory(error);
    double wanted = (double)b->terms.samples;
    const tree_place *start = &t->places[t->nodes[b->root].place];
    uint64_t seed = 1 + b->terms.seed;
    for (size_t i = 0; i < start->count; i++)
        seed = hash_step(seed, (uint64_t)start->spaces[i]);
    b->sample.open = count ? sums[count - 1] : 0;
    for (size_t i = 0; count && i < b->terms.samples; i++) {
        double place = ((double)i + branches_fraction(seed)) / wanted * b->sample.open;
        descent d = {.seed = seed + (i + 1) * 0xd1342543de82ef95u, .held = -1};
        while (at + 1 < count && sums[at] <= place)
            at++;
        coaming_status status = descend(b, nodes[at], &d, error);
        take_in(b, &d);
        note(b, nodes[at], &d, -1);
        if (status == COAMING_OK && d.leaked && i % b->terms.turn_every == 0)
            status = turn(b, nodes[at], &d, b->sample.open / wanted * (double)b->terms.turn_every,
                          error);
        if (status != COAMING_OK)
            return status;
    }
    return count ? sample_unlikely(b, nodes, count, seed, error) : COAMING_OK;
}
