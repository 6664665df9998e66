/*
 * base/joined.h - which of many things are joined, directly or by others: disjoint sets in one array.
 *
 * Source: Cormen, Leiserson, Rivest, Stein, Introduction to Algorithms, chapter on disjoint sets (from
 * memory; with halving of paths). Cost: all joinings of n things together about n log n at most.
 */
#ifndef BASE_JOINED_H
#define BASE_JOINED_H

#include <stddef.h>

/* joined: room for count; each is by itself. */
static inline void joined_begin(int *joined, size_t count)
{
    for (size_t i = 0; i < count; i++)
        joined[i] = (int)i;
}

/* The one that stands for all that i is joined to; the way there gets shorter each time. */
static inline int joined_sign(int *joined, int i)
{
    while (joined[i] != i)
        i = joined[i] = joined[joined[i]];
    return i;
}

static inline void joined_join(int *joined, int a, int b)
{
    joined[joined_sign(joined, a)] = joined_sign(joined, b);
}

#endif
