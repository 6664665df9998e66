#include "base/order.h"

#include <stdlib.h>

int order_ints(const void *left, const void *right)
{
    int a = *(const int *)left, b = *(const int *)right;
    return (a > b) - (a < b);
}

size_t order_words(size_t most)
{
    return (most + 63) / 64;
}

void order_distinct(int *list, size_t count, uint64_t *bits, size_t words)
{
    if (count < 4 + words / 16) {
        qsort(list, count, sizeof *list, order_ints);
        return;
    }
    for (size_t i = 0; i < count; i++)
        bits[list[i] / 64] |= (uint64_t)1 << list[i] % 64;
    for (size_t w = 0; w < words; w++) {
        for (uint64_t left = bits[w]; left; left &= left - 1)
            *list++ = (int)(64 * w) + __builtin_ctzll(left);
        bits[w] = 0;
    }
}
