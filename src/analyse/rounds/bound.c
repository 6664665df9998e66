/* The bound of tour.h. */
#include <math.h>
#include <string.h>

#include "analyse/rounds/tour.h"
#include "base/error.h"
#include "base/memory.h"

typedef struct {
    const double *d;
    size_t n, late;              /* the first of those that come last; n: none */
    double *weight;              /* on each number; d[a][b] counts as d + weight[a] + weight[b] */
    int *degree, *degree_before; /* of each number in the 1-tree */
    double *reach;               /* by number not in the tree yet: its shortest edge to the tree */
    int *tie;                    /* the end of that edge in the tree */
    int *left;                   /* numbers not in the tree yet */
} ascent;

/* Least spanning tree of the numbers from `first` to before `end` (Prim, "Shortest connection
 * networks and some generalizations", Bell System Technical Journal 36(6), 1957). */
static double least_tree(ascent *a, size_t first, size_t end)
{
    int count = 0, joined = (int)first;
    double sum = 0;
    for (int v = (int)first + 1; v < (int)end; v++) {
        a->left[count++] = v;
        a->reach[v] = INFINITY;
    }
    while (count) {
        const double *row = a->d + (size_t)joined * a->n;
        double own = a->weight[joined], best = INFINITY;
        int at = 0;
        for (int i = 0; i < count; i++) {
            int v = a->left[i];
            double edge = row[v] + own + a->weight[v];
            if (edge <= a->reach[v]) /* of equal ones the newest: chains, not stars */
                a->reach[v] = edge, a->tie[v] = joined;
            if (a->reach[v] < best)
                best = a->reach[v], at = i;
        }
        joined = a->left[at];
        a->left[at] = a->left[--count];
        a->degree[joined]++, a->degree[a->tie[joined]]++;
        sum += best;
    }
    return sum;
}

/* The least edge between two runs of numbers, each from its first to before its second. */
static double least_edge(ascent *a, const size_t from[2], const size_t to[2])
{
    double least = INFINITY;
    size_t one = 0, two = 0;
    for (size_t u = from[0]; u < from[1]; u++)
        for (size_t v = to[0]; v < to[1]; v++) {
            double edge = a->d[u * a->n + v] + a->weight[u] + a->weight[v];
            if (edge < least)
                least = edge, one = u, two = v;
        }
    a->degree[one]++, a->degree[two]++;
    return least;
}

/* The two least edges of 0 to all others. */
static double two_edges(ascent *a)
{
    double least = INFINITY, second = INFINITY;
    int first = 0, other = 0;
    for (int v = 1; v < (int)a->n; v++) {
        double edge = a->d[v] + a->weight[0] + a->weight[v];
        if (edge < least)
            second = least, other = first, least = edge, first = v;
        else if (edge < second)
            second = edge, other = v;
    }
    a->degree[first]++, a->degree[other]++, a->degree[0] = 2;
    return least + second;
}

/* A least spanning tree of all but 0 and the two least edges of 0: every tour is such a thing, so
 * none is lighter. Where some come last, a tour is a tree of those before them, one of them, an
 * edge from the ones to the others and an edge from 0 to each. Returns its weight less twice the
 * weights on the numbers. */
static double one_tree(ascent *a)
{
    for (size_t v = 0; v < a->n; v++) {
        a->degree_before[v] = a->degree[v];
        a->degree[v] = 0;
    }
    double sum = least_tree(a, 1, a->late);
    if (a->late == a->n)
        sum += two_edges(a);
    else {
        const size_t start[] = {0, 1}, early[] = {1, a->late}, late[] = {a->late, a->n};
        sum += least_tree(a, a->late, a->n) + least_edge(a, start, early) +
               least_edge(a, start, late) + least_edge(a, early, late);
    }
    for (size_t v = 0; v < a->n; v++)
        sum -= 2 * a->weight[v];
    return sum;
}

/* Numbers on more than two edges become dearer, those on one cheaper; a part of the last direction
 * is kept, so that it does not swing. False: the 1-tree is a tour, and nothing is left to gain. */
static bool climb(ascent *a, double length)
{
    bool off = false;
    for (size_t v = 0; v < a->n; v++) {
        off = off || a->degree[v] != 2;
        a->weight[v] += length * (0.6 * (a->degree[v] - 2) + 0.4 * (a->degree_before[v] - 2));
    }
    return off;
}

/* Steps of a set number that shrink as the cube of what is left of them, from four times the first
 * step that Volgenant and Jonker take ("A branch and bound algorithm for the symmetric traveling
 * salesman problem based on the 1-tree relaxation", European Journal of Operational Research 9(1),
 * 1982). Steps that look at how far off the tree is are too short where many numbers lie in one
 * place. */
static double ascend(ascent *a, double known)
{
    int most = a->n < 1000 ? 1500 : 300;
    double best = one_tree(a), first = 2 * known / (double)a->n;
    memcpy(a->degree_before, a->degree, a->n * sizeof *a->degree);
    for (int i = 0; i < most && best < known * (1 - 1e-12); i++) {
        double left = 1 - (double)i / most;
        if (!climb(a, first * left * left * left))
            break;
        best = fmax(best, one_tree(a));
    }
    return best;
}

coaming_status tour_bound(const double *d, size_t n, size_t late, double known, double *bound,
                          coaming_error *error)
{
    if (n < 3) {
        *bound = n == 2 ? 2 * d[1] : 0;
        return COAMING_OK;
    }
    ascent a = {.d = d, .n = n, .late = late > 1 ? late : n};
    a.weight = memory_new(n, sizeof *a.weight);
    a.degree = memory_new(n, sizeof *a.degree);
    a.degree_before = memory_new(n, sizeof *a.degree_before);
    a.reach = memory_new(n, sizeof *a.reach);
    a.tie = memory_new(n, sizeof *a.tie);
    a.left = memory_new(n, sizeof *a.left);
    bool made = a.weight && a.degree && a.degree_before && a.reach && a.tie && a.left;
    if (made)
        *bound = fmin(ascend(&a, known), known);
    memory_free(a.weight);
    memory_free(a.degree);
    memory_free(a.degree_before);
    memory_free(a.reach);
    memory_free(a.tie);
    memory_free(a.left);
    return made ? COAMING_OK : error_memory(error);
}
