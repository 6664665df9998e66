/* base/order.h - comparing for qsort, and sorting numbers that are few for what they are of. */
#ifndef BASE_ORDER_H
#define BASE_ORDER_H

#include <stddef.h>
#include <stdint.h>

/* Ints, ascending. */
int order_ints(const void *left, const void *right);

/* Words of 64 bits that have a bit for each number below `most`. */
size_t order_words(size_t most);
/* Sorts different numbers, each with a bit in the words: marked there and gathered, or by qsort where
 * they are few. The bits are 0 before and after. Cost: count and words. */
void order_distinct(int *list, size_t count, uint64_t *bits, size_t words);

#endif
