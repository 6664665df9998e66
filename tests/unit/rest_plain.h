/*
 * rest_plain.h - where she comes to rest, each state of the uncertain closures by itself.
 *
 * Each state starts with her undamaged, floods and floats her by turns with what passes as built, then
 * lets what leaks, is wet and has water on one side pass, all at once, and goes on until nothing does. It
 * knows nothing of trees, merging, order or bounds. How she floats with given spaces open, and s of a
 * state of all closures, are asked of flotation and grades, which are checked elsewhere.
 */
#ifndef TESTS_REST_PLAIN_H
#define TESTS_REST_PLAIN_H

#include "analyse/flotation/flotation.h"
#include "ship/ship.h"

enum { MOST_SPACES = 20, MOST_UNCERTAIN = 10, CLOSURES = 64 };

typedef struct {
    const coaming_ship *ship;
    coaming_flotation *flotation;
    double leaks[CLOSURES];
    int uncertain[MOST_UNCERTAIN]; /* closures */
    int count;
    const int *opened;
    size_t opened_count;
    const bool *held, *leaking; /* by link: whatever it is as built; NULL: none */
} question;

typedef struct {
    bool wet[MOST_SPACES], wet_afloat[MOST_SPACES];
    coaming_float at;
    bool lost;
    double s, worth, volume;
} rest;

bool is_lost(const coaming_float *at);
/* Does a link pass as built? */
bool as_built(const question *q, int link);
/* From where she lies floods and floats her by turns until neither changes. r: zero, but for where she
 * lies undamaged; or as left before. */
void plain_settle(const question *q, rest *r);
/* All closures that do not and may leak are uncertain. */
void list_uncertain(question *q);
/* The state in which those uncertain closures leak whose bits are set. */
void plain_rest(const question *q, int state, rest *r);
double chance_of(const question *q, int state);

#endif
