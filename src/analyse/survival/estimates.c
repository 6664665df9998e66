/*
 * Estimates without bias of what was sampled, with their standard errors: of the value, and of what
 * hangs on each closure (`turn`: if it leaks less if it holds).
 *
 * An open node counts with a guess, which is nothing but what is flooded there and what samples have
 * found besides in the mean, and each sample that began there with how much it was off the guess,
 * divided by how often it was to be drawn (difference estimator; Saerndal, Swensson and Wretman,
 * "Model assisted survey sampling", 1992, section 6.3, from memory). What hangs on a closure decided
 * above open nodes comes by the same sweep back over the tree as exact values do; what on one decided
 * below them, from the samples that were taken with it the other way.
 *
 * Errors are those of the samples, of turns those among batches into which the samples are dealt in
 * turn; what did not vary has none.
 */
#include <math.h>
#include <string.h>

#include "analyse/survival/branching.h"
#include "base/error.h"

typedef struct {
    branches *b;
    const int *order;
    double *guess, *value;  /* by node */
    double *turn;           /* by link */
    double *mean, *squares; /* by link: of the turns of batches */
} estimation;

static bool was_open(const tree_node *n)
{
    return n->open || n->late;
}

static double flooded_by_then(const branches *b, const tree_node *n)
{
    if (b->terms.value == BRANCH_S)
        return 0;
    double loss = b->tree.places[n->place].loss;
    if (n->step == STEP_GRADE)
        return loss;
    return loss + branches_loss_at_least(b, n->marked, (size_t)n->leaking);
}

/* Of nodes that were drawn for their guess, what the draws of one batch said; of all if it is -1. */
static void take_guesses(const estimation *e, int batch, double *to)
{
    const branches *b = e->b;
    for (size_t i = 0; i < b->draw_count; i++) {
        const branch_draw *d = &b->draws[i];
        if (d->guess >= 0 && (batch < 0 || d->guess == batch)) /* the mean, one after the other */
            to[d->node] += (d->value - to[d->node]) / (batch < 0 ? d->guess + 1 : 1);
    }
}

/* Guesses of open nodes. Nothing of them may hang on what was found of the node by the samples that are
 * counted. */
static void guess_nodes(estimation *e)
{
    const branches *b = e->b;
    double sum = 0, count = (double)b->sample.count;
    for (size_t i = 0; i < b->sample.count; i++)
        sum += b->draws[i].value - e->guess[b->draws[i].node];
    for (size_t i = 0; i < b->tree.node_count && count > 0; i++)
        e->guess[i] += sum / count;
    take_guesses(e, -1, e->guess);
}

/* What the samples of one batch of so many say of the nodes that they began at, and of turns. */
static void add_draws(estimation *e, size_t batch, size_t batches)
{
    const branches *b = e->b;
    const tree *t = &b->tree;
    size_t count = 0;
    for (size_t i = 0; i < b->sample.count; i++)
        count += i % batches == batch;
    for (size_t i = 0; i < b->sample.count; i++) {
        const branch_draw *d = &b->draws[i];
        if (i % batches != batch)
            continue;
        e->value[d->node] += b->sample.open / (double)count / t->nodes[d->node].early_chance *
                             (d->value - e->guess[d->node]);
        if (d->turned >= 0)
            e->turn[d->turned] += d->turn * (double)b->sample.count / (double)count;
    }
}

/* Values of all nodes by one batch; of all samples if there is one. */
static void sweep(estimation *e, size_t batch, size_t batches)
{
    const branches *b = e->b;
    const tree *t = &b->tree;
    memcpy(e->value, e->guess, t->node_count * sizeof *e->value);
    memset(e->turn, 0, b->ship->link_count * sizeof *e->turn);
    if (batches > 1)
        take_guesses(e, (int)batch, e->value);
    add_draws(e, batch, batches);
    for (size_t i = t->node_count; i-- > 0;) {
        const tree_node *n = &t->nodes[e->order[i]];
        double *value = &e->value[e->order[i]];
        if (was_open(n))
            continue;
        if (n->child[0] < 0) {
            *value = (n->value.low + n->value.high) / 2;
            continue;
        }
        double holds = e->value[n->child[0]];
        double leaks = e->value[node_if_leaks(n)];
        double p = node_chance(n, b->terms.leaks);
        *value = (1 - p) * holds + p * leaks;
        if (n->link >= 0)
            e->turn[n->link] += n->early_chance * (leaks - holds);
    }
}

/* Errors of turns, into e->squares: the standard errors among batches, two or more. */
static void find_errors(estimation *e, size_t batches)
{
    size_t links = e->b->ship->link_count;
    for (size_t i = 0; i < batches; i++) {
        sweep(e, i, batches);
        for (size_t l = 0; l < links;
             l++) { /* Welford's way, so that equal turns vary by nothing */
            double off = e->turn[l] - e->mean[l];
            e->mean[l] += off / (double)(i + 1);
            e->squares[l] += off * (e->turn[l] - e->mean[l]);
        }
    }
    for (size_t l = 0; l < links; l++)
        e->squares[l] = sqrt(e->squares[l] / (double)batches / (double)(batches - 1));
}

double sampled_error(const double sums[3], double range)
{
    double count = sums[0], mean = count > 0 ? sums[1] / count : 0;
    if (!(count > 0))
        return 0;
    double squares = fmax(sums[2] - count * mean * mean, 0) + range * range / 4;
    return sqrt(squares / (count + 1) / count);
}

/* Of the value; NaN: it did not vary. */
static double value_error(const estimation *e)
{
    const branches *b = e->b;
    double mean = 0, squares = 0, count = (double)b->sample.count;
    for (size_t i = 0; i < b->sample.count; i++) {
        double off = b->draws[i].value - e->guess[b->draws[i].node], from = off - mean;
        mean += from / (double)(i + 1);
        squares += from * (off - mean);
    }
    return squares > 0 ? b->sample.open * sqrt(squares / count / (count - 1)) : NAN;
}

static double between(branch_limits l, double value)
{
    return fmin(fmax(value, l.low), l.high);
}

/* Rounding apart. */
static bool is_known(branch_limits l, double scale)
{
    return l.high - l.low <= 1e-9 * scale;
}

static void put_estimates(estimation *e)
{
    branches *b = e->b;
    branch_answer *a = &b->answer;
    a->estimate = between(a->value, e->value[b->root]);
    a->estimate_error = value_error(e);
    if (is_known(a->value, b->most))
        a->estimate_error = 0;
    for (size_t i = 0; i < a->gain_count; i++) {
        branch_gain *g = &b->gains[i];
        g->turn = between(g->turn_limits, e->turn[g->closure]);
        g->turn_error = e->squares[g->closure] > 0 ? e->squares[g->closure] : NAN;
        if (is_known(g->turn_limits, b->most))
            g->turn_error = 0;
    }
}

coaming_status branches_estimate(branches *b, const int *order, coaming_error *error)
{
    tree *t = &b->tree;
    size_t links = b->ship->link_count;
    estimation e = {.b = b,
                    .order = order,
                    .guess = arena_new(&t->memory, t->node_count, sizeof *e.guess),
                    .value = arena_new(&t->memory, t->node_count, sizeof *e.value),
                    .turn = arena_new(&t->memory, links, sizeof *e.turn),
                    .mean = arena_new(&t->memory, links, sizeof *e.mean),
                    .squares = arena_new(&t->memory, links, sizeof *e.squares)};
    if (!e.guess || !e.value || !e.turn || !e.mean || !e.squares)
        return error_memory(error);
    for (size_t i = 0; i < t->node_count; i++)
        e.guess[i] = flooded_by_then(b, &t->nodes[i]);
    guess_nodes(&e);
    size_t batches = branch_batches(b->sample.count);
    if (batches > 1)
        find_errors(&e, batches);
    sweep(&e, 0, 1);
    put_estimates(&e);
    return COAMING_OK;
}
