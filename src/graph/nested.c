/*
 * Of a set X let W be its weight and C the capacity that leaves it. A set that is least for some t is
 * a corner of the lower hull of all (C, W). Two corners are known: that for t near 0 and that for t
 * without bounds. Where the straight line through two known corners is lower for some set, there is
 * a corner between them, and the least set for the t of that line is one (of equal ones the
 * smallest, which is the corner with less weight); else there is none. So each flow either finds a
 * corner or shows that two are neighbours.
 *
 * Sets are nested, so between corners L and H only the vertices of H without L are open: L is taken
 * together as the source, what is outside H as the other end. The vertices stand in a list in the
 * order of the corners; an interval of it is a question, and its answer parts the interval.
 *
 * A flow: weight x a + capacity x b for whole a and b. The flow is sent backwards: each vertex
 * begins with its weight x a and with what comes from outside H, and pushes it on towards L
 * (push-relabel; Goldberg and Tarjan, "A new approach to the maximum-flow problem", Journal of the
 * ACM 35(4), 1988). What cannot get there stays. Then the vertices from which L can still be got to
 * are the smallest least set, without a second phase: that is why backwards.
 */
#include "graph/nested.h"

#include <math.h>
#include <stdbool.h>
#include <stdint.h>
#include <stdlib.h>

#include "base/error.h"
#include "base/memory.h"

__extension__ typedef __int128 wide;

/* Whole weights add up to no more than 2^60, and so do capacities: a product of the two sums, and the
 * sum of some of them, stays below 2^126. */
enum { WEIGHT_BITS = 60, CAPACITY_BITS = 60 };

/* Two corners and the part of the list that lies between them. */
typedef struct {
    int low, high;
    int64_t weight[2], capacity[2];
} interval;

typedef struct {
    const nested_graph *g;
    int vertices;
    int64_t *weight, *capacity; /* whole; capacity by edge */
    double weight_unit, capacity_unit;
    int *start, *arc;  /* by vertex: its run of arcs; an arc is 2 x edge, + 1 from its second end */
    int *list, *place; /* vertices in the order of the corners; where each stands */
    bool *corner;      /* by place in the list: does a set end before it? */
    /* one flow */
    wide *excess, *left; /* by vertex; by arc, what it can still carry */
    int *label, *next, *queue;
    bool *waiting;
    interval *open; /* intervals still to be looked at, the nearest last */
} finder;

static int head_of(const finder *f, int arc)
{
    return f->g->ends[arc ^ 1];
}

static void finder_free(finder *f)
{
    void *const all[] = {f->weight, f->capacity, f->start, f->arc,  f->list,  f->place,   f->corner,
                         f->excess, f->left,     f->label, f->next, f->queue, f->waiting, f->open};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        memory_free(all[i]);
}

static bool finder_room(finder *f)
{
    size_t v = f->g->vertex_count, e = f->g->edge_count;
    f->weight = memory_new(v, sizeof *f->weight);
    f->capacity = memory_new(e, sizeof *f->capacity);
    f->start = memory_new(v + 1, sizeof *f->start);
    f->arc = memory_new(2 * e, sizeof *f->arc);
    f->list = memory_new(v, sizeof *f->list);
    f->place = memory_new(v, sizeof *f->place);
    f->corner = memory_new(v + 1, sizeof *f->corner);
    f->excess = memory_new(v, sizeof *f->excess);
    f->left = memory_new(2 * e, sizeof *f->left);
    f->label = memory_new(v, sizeof *f->label);
    f->next = memory_new(v, sizeof *f->next);
    f->queue = memory_new(v, sizeof *f->queue);
    f->waiting = memory_new(v, sizeof *f->waiting);
    f->open = memory_new(v + 1, sizeof *f->open);
    return f->weight && f->capacity && f->start && f->arc && f->list && f->place && f->corner &&
           f->excess && f->left && f->label && f->next && f->queue && f->waiting && f->open;
}

/* Whole numbers of a power of two, so that whole weights stay as they are. Returns the unit. */
static double make_whole(const double *values, size_t count, int bits, int64_t *whole)
{
    double sum = 0;
    int exponent = 0;
    for (size_t i = 0; i < count; i++)
        sum += values[i];
    frexp(sum, &exponent);
    /* each is rounded by half a unit at most: one bit is left for these */
    int shift = bits - 1 - exponent;
    for (size_t i = 0; i < count; i++)
        whole[i] = (int64_t)floor(ldexp(values[i], shift) + 0.5);
    return ldexp(1, -shift);
}

static void find_arcs(finder *f)
{
    size_t arcs = 2 * f->g->edge_count;
    for (size_t i = 0; i < arcs; i++)
        f->start[f->g->ends[i]]++;
    for (int v = 1; v <= f->vertices; v++)
        f->start[v] += f->start[v - 1];
    for (size_t i = arcs; i-- > 0;)
        f->arc[--f->start[f->g->ends[i]]] = (int)i;
}

static bool finder_make(finder *f, const nested_graph *g)
{
    *f = (finder){.g = g, .vertices = (int)g->vertex_count};
    if (!finder_room(f))
        return false;
    f->weight_unit = make_whole(g->weight, g->vertex_count, WEIGHT_BITS, f->weight);
    f->capacity_unit = make_whole(g->capacity, g->edge_count, CAPACITY_BITS, f->capacity);
    find_arcs(f);
    for (int v = 0; v < f->vertices; v++)
        f->list[v] = f->place[v] = v;
    return true;
}

/* One flow over the vertices that stand at low to high - 1 of the list. */

/* Labels are the least number of arcs to L; what cannot get there has `far`. Returns how many can,
 * which are in f->queue, the nearest first. */
static int label_all(finder *f, int low, int high)
{
    int far = high - low + 1, read = 0, written = 0;
    for (int i = low; i < high; i++) {
        int v = f->list[i];
        f->label[v] = far;
        f->next[v] = f->start[v];
        for (int k = f->start[v]; k < f->start[v + 1] && f->label[v] == far; k++)
            if (f->left[f->arc[k]] > 0 && f->place[head_of(f, f->arc[k])] < low) {
                f->label[v] = 1;
                f->queue[written++] = v;
            }
    }
    while (read < written) {
        int v = f->queue[read++];
        for (int k = f->start[v]; k < f->start[v + 1]; k++) {
            int u = head_of(f, f->arc[k]), at = f->place[u];
            if (at < low || at >= high || f->label[u] < far || f->left[f->arc[k] ^ 1] <= 0)
                continue;
            f->label[u] = f->label[v] + 1;
            f->queue[written++] = u;
        }
    }
    return written;
}

static void begin_flow(finder *f, int low, int high, wide a, wide b)
{
    for (int i = low; i < high; i++) {
        int v = f->list[i];
        f->excess[v] = a * f->weight[v];
        for (int k = f->start[v]; k < f->start[v + 1]; k++) {
            int arc = f->arc[k];
            f->left[arc] = b * f->capacity[arc / 2];
            if (f->place[head_of(f, arc)] >= high)
                f->excess[v] += f->left[arc];
        }
    }
}

/* Pushes along one arc as much as it can carry. Returns the vertex at its end if that now has to push
 * on, else -1. */
static int push(finder *f, int low, int v, int arc)
{
    int u = head_of(f, arc);
    wide much = f->excess[v] < f->left[arc] ? f->excess[v] : f->left[arc];
    f->left[arc] -= much;
    f->excess[v] -= much;
    if (f->place[u] < low)
        return -1;
    f->left[arc ^ 1] += much;
    f->excess[u] += much;
    return u;
}

/* One more than the lowest neighbour that it can push to. */
static int new_label(const finder *f, int low, int high, int v)
{
    int far = high - low + 1, least = far;
    for (int k = f->start[v]; k < f->start[v + 1]; k++) {
        int arc = f->arc[k], at = f->place[head_of(f, arc)];
        if (f->left[arc] <= 0 || at >= high)
            continue;
        int label = at < low ? 1 : f->label[head_of(f, arc)] + 1;
        least = label < least ? label : least;
    }
    return least;
}

typedef struct {
    int low, high, head, count, since; /* since: new labels since all were made anew */
} line_up;

static void wait(finder *f, line_up *q, int v)
{
    int room = q->high - q->low;
    if (f->waiting[v])
        return;
    f->waiting[v] = true;
    f->queue[(q->head + q->count++) % room] = v;
}

/* Pushes what a vertex has until it has nothing, or cannot get to L. */
static void discharge(finder *f, line_up *q, int v)
{
    int far = q->high - q->low + 1;
    while (f->excess[v] > 0 && f->label[v] < far) {
        if (f->next[v] == f->start[v + 1]) {
            f->label[v] = new_label(f, q->low, q->high, v);
            f->next[v] = f->start[v];
            q->since++;
            continue;
        }
        int arc = f->arc[f->next[v]], at = f->place[head_of(f, arc)];
        int below = at < q->low ? 0 : at < q->high ? f->label[head_of(f, arc)] : far;
        if (f->left[arc] <= 0 || below + 1 != f->label[v]) {
            f->next[v]++;
            continue;
        }
        int u = push(f, q->low, v, arc);
        if (u >= 0)
            wait(f, q, u);
    }
}

/* Makes all labels anew, and puts in line what can still get to L: the farthest first, so that each
 * sends on at once what has come to it. The other way round a row of n vertices takes n rounds. */
static void line_up_anew(finder *f, line_up *q)
{
    int reached = label_all(f, q->low, q->high);
    q->head = q->count = q->since = 0;
    for (int i = q->low; i < q->high; i++)
        f->waiting[f->list[i]] = false;
    for (int i = 0, j = reached - 1; i < j; i++, j--) {
        int nearest = f->queue[i];
        f->queue[i] = f->queue[j];
        f->queue[j] = nearest;
    }
    for (int i = 0; i < reached; i++)
        if (f->excess[f->queue[i]] > 0)
            wait(f, q, f->queue[i]); /* no place before i is read again */
}

static void flow(finder *f, int low, int high, wide a, wide b)
{
    line_up q = {.low = low, .high = high};
    begin_flow(f, low, high, a, b);
    line_up_anew(f, &q);
    while (q.count) {
        int v = f->queue[q.head];
        q.head = (q.head + 1) % (high - low);
        q.count--;
        f->waiting[v] = false;
        discharge(f, &q, v);
        if (q.since > high - low)
            line_up_anew(f, &q);
    }
    label_all(f, low, high);
}

/* Puts the vertices that can get to L first in their part of the list. Returns where they end. */
static int part_list(finder *f, int low, int high)
{
    int end = low, far = high - low + 1;
    for (int i = low; i < high; i++) {
        int v = f->list[i], other = f->list[end];
        if (f->label[v] == far)
            continue;
        f->list[i] = other;
        f->place[other] = i;
        f->list[end] = v;
        f->place[v] = end++;
    }
    return end;
}

/* The least set for a and b between low and high: where it ends; weight and capacity are those of
 * the set that ends at low, and on return those of this. */
static int least_set(finder *f, int low, int high, wide a, wide b, int64_t *weight,
                     int64_t *capacity)
{
    flow(f, low, high, a, b);
    int end = part_list(f, low, high);
    for (int i = low; i < end; i++) {
        int v = f->list[i];
        *weight += f->weight[v];
        for (int k = f->start[v]; k < f->start[v + 1]; k++) {
            int at = f->place[head_of(f, f->arc[k])];
            int64_t c = f->capacity[f->arc[k] / 2];
            *capacity += at < low ? -c : at >= end ? c : 0;
        }
    }
    return end;
}

/* Looks at intervals until none is open. */
static void find_corners(finder *f, interval all)
{
    size_t count = 0;
    f->open[count++] = all;
    while (count) {
        interval i = f->open[--count];
        wide a = (wide)i.capacity[0] - i.capacity[1], b = (wide)i.weight[1] - i.weight[0];
        int64_t weight = i.weight[0], capacity = i.capacity[0];
        if (i.low == i.high || a <= 0 || b <= 0)
            continue;
        int end = least_set(f, i.low, i.high, a, b, &weight, &capacity);
        if (end == i.low || end == i.high)
            continue;
        f->corner[end] = true;
        f->open[count++] =
            (interval){end, i.high, {weight, i.weight[1]}, {capacity, i.capacity[1]}};
        f->open[count++] = (interval){i.low, end, {i.weight[0], weight}, {i.capacity[0], capacity}};
    }
}

/* The sets at both ends, and all between. */
static void find_all(finder *f)
{
    int n = f->vertices, first, last;
    int64_t weight = f->weight[0], capacity = 0;
    for (int k = f->start[0]; k < f->start[1]; k++)
        capacity += head_of(f, f->arc[k]) ? f->capacity[f->arc[k] / 2] : 0;
    f->corner[1] = true;
    first = least_set(f, 1, n, (wide)1 << (CAPACITY_BITS + 1), 1, &weight, &capacity);
    interval all = {first, n, {weight, weight}, {capacity, capacity}};
    last =
        least_set(f, first, n, 1, (wide)1 << (WEIGHT_BITS + 1), &all.weight[1], &all.capacity[1]);
    all.high = last;
    f->corner[first] = f->corner[last] = true;
    find_corners(f, all);
}

/* The sets as they end in the list, and for which t each begins to be least. */
static void take_sets(const finder *f, nested_cuts *cuts)
{
    int n = f->vertices;
    double weight = 0, capacity = 0, before[2] = {0, 0};
    cuts->count = 0;
    for (int at = 0; at < n; at++) {
        int v = f->list[at];
        cuts->first[v] = (int)cuts->count;
        weight += (double)f->weight[v] * f->weight_unit;
        for (int k = f->start[v]; k < f->start[v + 1]; k++) {
            int other = f->place[head_of(f, f->arc[k])];
            int64_t whole = f->capacity[f->arc[k] / 2];
            double c = (double)whole * f->capacity_unit;
            capacity += other < at ? -c : other > at ? c : 0;
        }
        if (!f->corner[at + 1])
            continue;
        if (cuts->count && capacity < before[1])
            cuts->from[cuts->count] = (weight - before[0]) / (before[1] - capacity);
        before[0] = weight;
        before[1] = capacity;
        cuts->count++;
    }
}

coaming_status nested_cuts_new(const nested_graph *g, nested_cuts *cuts, coaming_error *error)
{
    finder f;
    *cuts = (nested_cuts){.first = memory_new(g->vertex_count, sizeof *cuts->first),
                          .from = memory_new(g->vertex_count + 1, sizeof *cuts->from)};
    bool good = finder_make(&f, g) && cuts->first && cuts->from;
    if (good) {
        find_all(&f);
        take_sets(&f, cuts);
    }
    finder_free(&f);
    if (good)
        return COAMING_OK;
    nested_cuts_free(cuts);
    return error_memory(error);
}

void nested_cuts_free(nested_cuts *cuts)
{
    memory_free(cuts->first);
    memory_free(cuts->from);
    *cuts = (nested_cuts){0};
}
