/*
 * A short tour by local search. Method: 2-opt and Or-opt moves that begin with a leg that gains
 * (take out a-b, put in the shorter a-c), so that only the numbers nearer to a than b need be looked
 * at; numbers whose legs have changed wait in a queue, the rest are known to have no move. Restarts
 * by a double bridge, which no chain of those moves undoes, kept or dropped by annealing. Argument:
 * of any move that gains, the gains can be taken in an order in which each part of the sum is
 * positive (Lin and Kernighan, Operations Research 21(2), 1973), so nothing is missed by starting
 * with a leg that gains, but what lies beyond the `NEAR` listed. Not proven best: bound.c says how
 * far from it. Cost: n^2 log n for the lists, then 50 n trials of a few dozen looks each.
 */
#include "analyse/rounds/tour.h"

#include <math.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/hash.h"
#include "base/memory.h"

enum {
    NEAR = 100,     /* others that a move looks at, nearest first; most looks end far sooner */
    OF_A_HEAP = 5,  /* of these, how many in one place */
    LONGEST_RUN = 3 /* that an Or-opt move takes along */
};
enum { LONGEST_SWAP = 50 }; /* of the runs that a restart puts in opposite order */

typedef struct {
    const double *d;
    size_t size;
    int n, near_count;            /* n: the same as size */
    int *order, *place;           /* number at a position, position of a number */
    int *kept_order, *kept_place; /* of the tour in hand, to go back to */
    int *best_order;
    int *near;  /* near_count others of each number */
    int *queue; /* a ring of numbers whose surroundings have changed */
    bool *queued;
    int queue_first, queue_count;
    double least;  /* less than this is no gain, but rounding */
    double forced; /* of the length, what no order is without */
    double change; /* of the length of the tour in hand */
    uint64_t seed;
} tour;

static double between(const tour *t, int a, int b)
{
    return t->d[(size_t)a * t->size + (size_t)b];
}

double tour_length(const double *d, size_t n, const int *order)
{
    double sum = 0;
    for (size_t i = 0; i < n; i++)
        sum += d[(size_t)order[i] * n + (size_t)order[i + 1 < n ? i + 1 : 0]];
    return sum;
}

void tour_nearest(const double *d, size_t n, bool *taken, int *order)
{
    memset(taken, 0, n * sizeof *taken);
    for (size_t i = 0; i < n; i++) {
        const double *row = i ? d + (size_t)order[i - 1] * n : d;
        size_t best = n;
        for (size_t v = 0; v < n; v++)
            if (!taken[v] && (best == n || row[v] < row[best]))
                best = v;
        order[i] = i ? (int)best : 0;
        taken[order[i]] = true;
    }
}

/* Drawn by SplitMix64 (base/hash.h). */
static int below(tour *t, int bound)
{
    return (int)(hash_mix(t->seed += HASH_GOLDEN) % (uint64_t)bound);
}

/* The neighbour in the tour, forward (1) or back (-1). */
static int step(const tour *t, int a, int way)
{
    int p = t->place[a] + way;
    return t->order[p < 0 ? t->n - 1 : p == t->n ? 0 : p];
}

static void look_at(tour *t, int a)
{
    if (t->queued[a])
        return;
    int last = t->queue_first + t->queue_count++;
    t->queue[last < t->n ? last : last - t->n] = a;
    t->queued[a] = true;
}

/* Turns round the run from position i forward to position j, or, which makes the same ring, the
 * rest. */
static void turn_round(tour *t, int i, int j)
{
    int length = j - i + (j < i ? t->n : 0) + 1;
    if (2 * length > t->n) {
        int start = i;
        i = j + 1 < t->n ? j + 1 : 0;
        j = start > 0 ? start - 1 : t->n - 1;
        length = t->n - length;
    }
    for (length /= 2; length > 0; length--) {
        int a = t->order[i], b = t->order[j];
        t->order[i] = b, t->place[b] = i;
        t->order[j] = a, t->place[a] = j;
        i = i + 1 < t->n ? i + 1 : 0;
        j = j > 0 ? j - 1 : t->n - 1;
    }
}

/* Takes out the legs a-b and c-d, which are met in this order (a b ... c d) in one direction or the
 * other, and puts in a-c and b-d. */
static void exchange(tour *t, int a, int b, int c, int d)
{
    if (step(t, a, 1) == b)
        turn_round(t, t->place[b], t->place[c]);
    else
        turn_round(t, t->place[a], t->place[d]);
}

/* The run from first to last, between p and n, goes between the neighbours c and x, so that first
 * is next to c and last next to x. */
static void put_between(tour *t, int p, int first, int last, int n, int c, int x)
{
    bool c_sooner = step(t, c, step(t, p, 1) == first ? 1 : -1) == x;
    int sooner = c_sooner ? c : x, later = c_sooner ? x : c;
    exchange(t, p, first, sooner, later);
    exchange(t, p, sooner, n, last); /* nothing where these are the same */
    if (c_sooner)
        exchange(t, sooner, last, first, later);
}

static void look_at_all(tour *t, int count, const int *numbers)
{
    for (int i = 0; i < count; i++)
        look_at(t, numbers[i]);
}

/* Is there gain in the run that starts at `first` and grows in the direction `way` going between
 * the neighbours c and x, first next to c? Takes the first move that helps. `saved` is the leg c-x
 * less the new leg between c and first. */
static bool try_run(tour *t, int first, int way, int c, int x, double saved)
{
    int p = step(t, first, -way), last = first;
    for (int length = 1; length <= LONGEST_RUN && length <= t->n - 3; length++) {
        if (last == c || last == x)
            return false;
        int n = step(t, last, way);
        double gain = saved + between(t, p, first) + between(t, last, n) - between(t, p, n) -
                      between(t, last, x);
        if (gain > t->least) {
            put_between(t, p, first, last, n, c, x);
            look_at_all(t, 6, (int[]){p, first, last, n, c, x});
            t->change -= gain;
            return true;
        }
        last = n;
    }
    return false;
}

/* Every move that takes out the leg a-b, puts in the leg a-c and gains by these two. */
static bool improve_leg(tour *t, int a, int way)
{
    int b = step(t, a, way);
    double leg = between(t, a, b);
    for (int k = 0; k < t->near_count; k++) {
        int c = t->near[(size_t)a * (size_t)t->near_count + (size_t)k];
        double saved = leg - between(t, a, c);
        if (saved <= t->least)
            return false;
        int d = step(t, c, way);
        double gain = saved + between(t, c, d) - between(t, b, d);
        if (gain > t->least) {
            exchange(t, a, b, c, d);
            look_at_all(t, 4, (int[]){a, b, c, d});
            t->change -= gain;
            return true;
        }
        for (int side = -1; side <= 1; side += 2) {
            int x = step(t, c, side);
            if (try_run(t, c, side, a, b, saved) ||
                try_run(t, a, -way, c, x, between(t, c, x) - between(t, a, c)))
                return true;
        }
    }
    return false;
}

/* Until no number in the queue has a move that helps. */
static void improve(tour *t)
{
    while (t->queue_count) {
        int a = t->queue[t->queue_first];
        t->queue_first = t->queue_first + 1 < t->n ? t->queue_first + 1 : 0;
        t->queue_count--;
        t->queued[a] = false;
        while (improve_leg(t, a, 1) || improve_leg(t, a, -1))
            ;
    }
}

/* Three runs one after the other come in opposite order: p B C D q -> p D C B q. */
static void double_bridge(tour *t)
{
    int most = (t->n - 1) / 3 < LONGEST_SWAP ? (t->n - 1) / 3 : LONGEST_SWAP;
    int at = below(t, t->n), end[8]; /* p, ends of B, of C and of D, q */
    end[0] = t->order[at];
    for (int i = 0; i < 3; i++) {
        end[2 * i + 1] = t->order[(at + 1) % t->n];
        at = (at + 1 + below(t, most)) % t->n;
        end[2 * i + 2] = t->order[at];
    }
    end[7] = t->order[(at + 1) % t->n];
    static const int old_legs[4][2] = {{0, 1}, {2, 3}, {4, 5}, {6, 7}};
    static const int new_legs[4][2] = {{0, 5}, {6, 3}, {4, 1}, {2, 7}};
    for (int i = 0; i < 4; i++)
        t->change += between(t, end[new_legs[i][0]], end[new_legs[i][1]]) -
                     between(t, end[old_legs[i][0]], end[old_legs[i][1]]);
    exchange(t, end[0], end[1], end[6], end[7]); /* all three turned round, then each by itself */
    exchange(t, end[0], end[6], end[5], end[4]);
    exchange(t, end[6], end[4], end[3], end[2]);
    exchange(t, end[4], end[2], end[1], end[7]);
    look_at_all(t, 8, end);
}

static void copy(const tour *t, int *to, const int *from)
{
    memcpy(to, from, t->size * sizeof *to);
}

typedef struct {
    double d;
    int number;
} neighbour;

static int nearer(const void *left, const void *right)
{
    const neighbour *a = left, *b = right;
    return a->d != b->d ? (a->d > b->d) - (a->d < b->d) : a->number - b->number;
}

/* The nearest of all others, sorted. Of a heap in one place only a few are listed as long as there
 * are enough elsewhere: a list that holds nothing but one's own heap leads nowhere. */
static void list_near(const tour *t, const neighbour *others, int *near)
{
    int listed = 0, alike = 0, spare = t->n - 1 - t->near_count;
    for (int k = 0; listed < t->near_count; k++) {
        int b = others[k].number;
        bool same =
            k > 0 && others[k].d == others[k - 1].d && between(t, b, others[k - 1].number) == 0;
        alike = same ? alike + 1 : 1;
        if (alike > OF_A_HEAP && spare > 0)
            spare--;
        else
            near[listed++] = b;
    }
}

static bool find_near(tour *t)
{
    neighbour *others = memory_new(t->size, sizeof *others);
    if (!others)
        return false;
    for (int a = 0; a < t->n; a++) {
        int count = 0;
        for (int b = 0; b < t->n; b++)
            if (b != a)
                others[count++] = (neighbour){between(t, a, b), b};
        qsort(others, (size_t)count, sizeof *others, nearer);
        list_near(t, others, t->near + (size_t)a * (size_t)t->near_count);
    }
    memory_free(others);
    return true;
}

static void tour_clear(tour *t)
{
    memory_free(t->order);
    memory_free(t->place);
    memory_free(t->kept_order);
    memory_free(t->kept_place);
    memory_free(t->best_order);
    memory_free(t->near);
    memory_free(t->queue);
    memory_free(t->queued);
}

static bool tour_make(tour *t, const double *d, size_t n)
{
    *t = (tour){.d = d, .size = n, .n = (int)n, .near_count = n <= NEAR ? (int)n - 1 : NEAR};
    t->order = memory_new(n, sizeof *t->order);
    t->place = memory_new(n, sizeof *t->place);
    t->kept_order = memory_new(n, sizeof *t->kept_order);
    t->kept_place = memory_new(n, sizeof *t->kept_place);
    t->best_order = memory_new(n, sizeof *t->best_order);
    t->near = memory_new(n * (size_t)t->near_count, sizeof *t->near);
    t->queue = memory_new(n, sizeof *t->queue);
    t->queued = memory_new(n, sizeof *t->queued);
    if (!t->order || !t->place || !t->kept_order || !t->kept_place || !t->best_order || !t->near ||
        !t->queue || !t->queued || !find_near(t))
        return false;
    double most = 0;
    for (size_t i = 0; i < n * n; i++)
        most = fmax(most, d[i]);
    t->least = 1e-12 * most;
    return true;
}

/* Trials after the first descent; more were seen to help little. */
static long trials(int n)
{
    return 500 + 50L * n;
}

/*
 * Trials from the tour in hand. One that ends worse is kept with a chance that falls with what it
 * loses, against a share of the mean leg that goes to nothing (Kirkpatrick, Gelatt and Vecchi,
 * "Optimization by simulated annealing", Science 220, 1983): where many orders are alike, going
 * only down gets nowhere.
 */
static void try_again(tour *t)
{
    const double share = 0.6;
    double length = tour_length(t->d, t->size, t->order), best = length;
    double warm = share * (length - t->forced) / t->n;
    long all = trials(t->n);
    copy(t, t->kept_order, t->order);
    copy(t, t->kept_place, t->place);
    for (long left = all; left > 0; left--) {
        t->change = 0;
        double_bridge(t);
        improve(t);
        double chance = (1 + below(t, 1 << 20)) / (double)(1 << 20);
        if (t->change > -log(chance) * warm * (double)left / (double)all) {
            copy(t, t->order, t->kept_order);
            copy(t, t->place, t->kept_place);
            continue;
        }
        length += t->change;
        copy(t, t->kept_order, t->order);
        copy(t, t->kept_place, t->place);
        if (length < best - t->least) {
            best = length;
            copy(t, t->best_order, t->order);
        }
    }
}

static void search(tour *t)
{
    tour_nearest(t->d, t->size, t->queued, t->order);
    memset(t->queued, 0, t->size * sizeof *t->queued);
    for (int p = 0; p < t->n; p++) {
        t->place[t->order[p]] = p;
        look_at(t, t->order[p]);
    }
    if (t->n < 4)
        return;
    improve(t);
    copy(t, t->best_order, t->order);
    if (t->n >= 5)
        try_again(t);
    copy(t, t->order, t->best_order);
    for (int p = 0; p < t->n; p++)
        t->place[t->order[p]] = p;
}

static coaming_status find_free(const double *d, size_t n, double forced, int *order,
                                coaming_error *error)
{
    tour t = {0};
    if (n < 2) {
        for (size_t i = 0; i < n; i++)
            order[i] = 0;
        return COAMING_OK;
    }
    bool made = tour_make(&t, d, n);
    t.forced = forced;
    if (made) {
        search(&t);
        int a = step(&t, 0, 1), b = step(&t, 0, -1);
        int way = d[a] < d[b] || (d[a] == d[b] && a <= b) ? 1 : -1;
        order[0] = 0;
        for (size_t i = 1; i < n; i++)
            order[i] = step(&t, order[i - 1], way);
    }
    tour_clear(&t);
    return made ? COAMING_OK : error_memory(error);
}

/* 0, those that come before the others, and the others. */
static int part_of(size_t v, size_t late)
{
    return v == 0 ? 0 : v < late ? 1 : 2;
}

/* The table with so much more on each leg from part to part that a tour with three such legs, the
 * fewest there can be, is shorter than any with more. Returns by how much. */
static double part_table(const double *d, size_t n, size_t late, double *apart)
{
    double most = 0;
    for (size_t i = 0; i < n * n; i++)
        most = fmax(most, d[i]);
    double more = (double)n * most + 1;
    for (size_t i = 0; i < n; i++)
        for (size_t j = 0; j < n; j++)
            apart[i * n + j] = d[i * n + j] + (part_of(i, late) != part_of(j, late) ? more : 0);
    return more;
}

static void turn_order(int *order, size_t n)
{
    for (size_t i = 1, j = n - 1; i < j; i++, j--) {
        int kept = order[i];
        order[i] = order[j];
        order[j] = kept;
    }
}

coaming_status tour_find(const double *d, size_t n, size_t late, int *order, coaming_error *error)
{
    if (late >= n || late < 2)
        return find_free(d, n, 0, order, error);
    double *apart = memory_new(n * n, sizeof *apart);
    if (!apart)
        return error_memory(error);
    double more = part_table(d, n, late, apart);
    coaming_status status = find_free(apart, n, 3 * more, order, error);
    memory_free(apart);
    if (status == COAMING_OK && part_of((size_t)order[1], late) == 2)
        turn_order(order, n);
    return status;
}
