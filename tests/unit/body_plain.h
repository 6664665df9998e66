/*
 * body_plain.h - what of a body is below a plane, the plain way: triangle by triangle of every face.
 */
#ifndef TESTS_BODY_PLAIN_H
#define TESTS_BODY_PLAIN_H

#include "ship/body.h"

/* The sums of body.h, and beside each the sum of what went into it without its sign: rounding is
 * measured against that. */
enum { VOLUME, MOMENT, AREA = MOMENT + 3, AU, AV, AUU, AVV, AUV, SUMS };

typedef struct {
    double sum[SUMS], size[SUMS];
} plain;

plain plain_below(const body *b, const plane *p);

#endif
