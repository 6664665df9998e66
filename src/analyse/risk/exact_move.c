/*
 * One step of the frontier method: from a state of joined labels to the next, and what becomes of
 * its sums. Why so few sums are enough: a label's weight and mass enter the loss only as products
 * of the two once it is complete, and expectation is linear, so that E of W, of M and of their
 * pairwise products can be pushed through joins without knowing the states behind them. pull is the
 * transpose of push, step by step: with 1 for the loss at the end it gives the derivative by every
 * entry, and so by every closure, in one sweep back (reverse differentiation). Cost: the square of
 * the labels for each state and step.
 */
#include "analyse/risk/exact_move.h"

bool exact_joins(const exact_step *step, const unsigned char *labels)
{
    return step->kind == EXACT_EDGE && labels[step->at] != labels[step->other];
}

/* Numbers the labels anew; those that no node bears any more are EXACT_GONE. */
static void renumber(exact_move *move, int width, size_t labels)
{
    unsigned char fresh = 0;
    for (size_t a = 1; a <= labels; a++)
        move->to[a] = EXACT_GONE;
    for (int i = 0; i < width; i++) {
        unsigned char a = move->labels[i];
        if (a > 0 && move->to[a] == EXACT_GONE)
            move->to[a] = ++fresh;
        move->labels[i] = move->to[a];
    }
}

void exact_make_move(const exact_step *step, const unsigned char *labels, int width, size_t count,
                     bool passes, exact_move *move)
{
    unsigned char gone = EXACT_GONE, into = EXACT_GONE;
    int kept = 0;
    move->to[0] = 0;
    if (passes) { /* the greater label into the lesser, so that 0 stays */
        unsigned char a = labels[step->at], b = labels[step->other];
        gone = a > b ? a : b;
        into = a > b ? b : a;
    }
    for (int i = 0; i < width; i++)
        if (step->kind != EXACT_LEAVE || i != step->at)
            move->labels[kept++] = labels[i] == gone ? into : labels[i];
    if (step->kind == EXACT_ENTER)
        move->labels[kept++] = (unsigned char)++count;
    renumber(move, kept, count);
    if (passes)
        move->to[gone] = move->to[into];
}

exact_view exact_view_of(double *numbers, size_t labels)
{
    return (exact_view){numbers, numbers, numbers + labels, numbers + 2 * labels + 1, labels};
}

/* a, b from 1 */
static size_t pair(size_t a, size_t b)
{
    size_t low = a < b ? a : b, high = a < b ? b : a;
    return high * (high - 1) / 2 + low - 1;
}

static bool stays(unsigned char to)
{
    return to != 0 && to != EXACT_GONE;
}

double exact_push(const risk_model *m, exact_view from, const exact_move *move, double factor,
                  exact_view into)
{
    double lost = 0;
    *into.p += factor * *from.p;
    for (size_t b = 1; b <= from.count; b++) {
        unsigned char to = move->to[b];
        if (to == 0)
            lost += factor * m->total_weight * from.mass[b];
        else if (to == EXACT_GONE)
            lost += factor * from.pairs[pair(b, b)];
        if (!stays(to))
            continue;
        into.weight[to] += factor * from.weight[b];
        into.mass[to] += factor * from.mass[b];
        for (size_t a = 1; a <= b; a++)
            if (stays(move->to[a]))
                into.pairs[pair(move->to[a], to)] += factor * from.pairs[pair(a, b)];
    }
    return lost;
}

void exact_pull(const risk_model *m, exact_view after, const exact_move *move, exact_view before)
{
    *before.p = *after.p;
    for (size_t b = 1; b <= before.count; b++) {
        unsigned char to = move->to[b];
        before.weight[b] = stays(to) ? after.weight[to] : 0;
        before.mass[b] = stays(to) ? after.mass[to] : to == 0 ? m->total_weight : 0;
        for (size_t a = 1; a <= b; a++)
            before.pairs[pair(a, b)] = stays(to) && stays(move->to[a])
                                           ? after.pairs[pair(move->to[a], to)]
                                           : a == b && to == EXACT_GONE;
    }
}

/* A node that enters bears the last label, and its weight and mass are certain. */
void exact_push_entered(const risk_model *m, int node, exact_view from, exact_view into)
{
    double weight = m->weight[node], mass = m->mass[node];
    size_t last = into.count;
    into.weight[last] += weight * *from.p;
    into.mass[last] += mass * *from.p;
    into.pairs[pair(last, last)] += weight * mass * *from.p;
    for (size_t a = 1; a < last; a++)
        into.pairs[pair(a, last)] += weight * from.mass[a] + mass * from.weight[a];
}

void exact_pull_entered(const risk_model *m, int node, exact_view after, exact_view before)
{
    double weight = m->weight[node], mass = m->mass[node];
    size_t last = after.count;
    *before.p += weight * after.weight[last] + mass * after.mass[last] +
                 weight * mass * after.pairs[pair(last, last)];
    for (size_t a = 1; a < last; a++) {
        before.weight[a] += mass * after.pairs[pair(a, last)];
        before.mass[a] += weight * after.pairs[pair(a, last)];
    }
}
