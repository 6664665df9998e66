#include "analyse/ranking/field.h"

#include <math.h>
#include <string.h>

static int heavier(const scenario *list, int a, int b)
{
    if (a < 0 || b < 0)
        return a < 0 ? b : a;
    if (list[a].weight != list[b].weight)
        return list[a].weight > list[b].weight ? a : b;
    return a < b ? a : b;
}

static int floor_log2(size_t n)
{
    int log = 0;
    while (n >>= 1)
        log++;
    return log;
}

bool field_make(field *f, size_t length, const double *loss_at, const double *weight_at,
                const int *heaviest_at, const scenario *scenarios)
{
    memset(f, 0, sizeof *f);
    f->length = length;
    f->scenarios = scenarios;
    f->levels = floor_log2(length) + 1;
    f->loss = memory_new(length + 1, sizeof *f->loss);
    f->weight = memory_new(length + 1, sizeof *f->weight);
    f->heaviest = memory_new((size_t)f->levels, sizeof *f->heaviest);
    bool made = f->loss && f->weight && f->heaviest;
    for (int k = 0; made && k < f->levels; k++)
        made = (f->heaviest[k] = memory_new(length, sizeof *f->heaviest[k])) != NULL;
    if (!made) {
        field_free(f);
        return false;
    }
    for (size_t i = 0; i < length; i++) {
        f->loss[i + 1] = f->loss[i] + loss_at[i];
        f->weight[i + 1] = f->weight[i] + weight_at[i];
        f->heaviest[0][i] = heaviest_at[i];
    }
    for (int k = 1; k < f->levels; k++)
        for (size_t i = 0; i + ((size_t)1 << k) <= length; i++)
            f->heaviest[k][i] = heavier(scenarios, f->heaviest[k - 1][i],
                                        f->heaviest[k - 1][i + ((size_t)1 << (k - 1))]);
    return true;
}

void field_free(field *f)
{
    for (int k = 0; f->heaviest && k < f->levels; k++)
        memory_free(f->heaviest[k]);
    memory_free(f->heaviest);
    memory_free(f->loss);
    memory_free(f->weight);
    memset(f, 0, sizeof *f);
}

static double clean(long double sum, long double whole)
{
    return fabsl(sum) <= 1e-13L * whole ? 0 : (double)sum;
}

static long double over(const long double *sums, reach_set set)
{
    return (sums[set.run[0].to] - sums[set.run[0].from]) +
           (sums[set.run[1].to] - sums[set.run[1].from]);
}

double field_loss(const field *f, reach_set set)
{
    return clean(over(f->loss, set), f->loss[f->length]);
}

double field_weight(const field *f, reach_set set)
{
    return clean(over(f->weight, set), f->weight[f->length]);
}

double field_weight_outside(const field *f, reach_set set)
{
    return clean(f->weight[f->length] - over(f->weight, set), f->weight[f->length]);
}

static int heaviest_in(const field *f, int from, int to)
{
    if (from >= to)
        return -1;
    int k = floor_log2((size_t)(to - from));
    return heavier(f->scenarios, f->heaviest[k][from], f->heaviest[k][to - (1 << k)]);
}

int field_heaviest(const field *f, reach_set set)
{
    return heavier(f->scenarios, heaviest_in(f, set.run[0].from, set.run[0].to),
                   heaviest_in(f, set.run[1].from, set.run[1].to));
}

/* An unused second run is 0..0 and stands after the first: then all after the first is outside. */
int field_heaviest_outside(const field *f, reach_set set)
{
    int end = (int)f->length;
    reach_run second = set.run[1];
    if (second.from >= second.to)
        second = (reach_run){end, end};
    int before = heaviest_in(f, 0, set.run[0].from);
    int amid = heaviest_in(f, set.run[0].to, second.from);
    int after = heaviest_in(f, second.to, end);
    return heavier(f->scenarios, heavier(f->scenarios, before, amid), after);
}
