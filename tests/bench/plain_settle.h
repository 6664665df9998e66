/*
 * plain_settle.h - flooding and floating by turns, the way of before, to compare with.
 *
 * A ship that was made plain has every body cut by every plane, whether it meets it or not.
 */
#ifndef BENCH_PLAIN_SETTLE_H
#define BENCH_PLAIN_SETTLE_H

#include "analyse/flotation/flooding.h"

/* The boxes round her bodies are made so large that every plane seems to meet them. */
void plain_make(coaming_ship *ship);

typedef struct plain_settler plain_settler;
coaming_status plain_new(const coaming_ship *ship, int condition, plain_settler **out,
                         coaming_error *error);
void plain_free(plain_settler *t);
coaming_flotation *plain_flotation(plain_settler *t);
const bool *plain_flooded(const plain_settler *t);

/* As settler_base, settler_pair one way at a time, and settler_breach. */
coaming_status plain_base(plain_settler *t, coaming_place source, bool untested_pass,
                          const settled **out, coaming_error *error);
coaming_status plain_forced(plain_settler *t, coaming_place source, bool untested_pass, int closure,
                            bool forced_passes, const settled **out, coaming_error *error);
coaming_status plain_breach(plain_settler *t, const int *spaces, size_t count,
                            coaming_answer answer, int held, const settled **out,
                            coaming_error *error);

#endif
