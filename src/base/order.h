/* base/order.h - comparing for qsort. */
#ifndef BASE_ORDER_H
#define BASE_ORDER_H

/* Ints, ascending. */
int order_ints(const void *left, const void *right);

#endif
