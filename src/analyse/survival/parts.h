/* analyse/survival/parts.h - answers of sets as numbers, by shares: coaming/survival_parts.h. */
#ifndef ANALYSE_SURVIVAL_PARTS_H
#define ANALYSE_SURVIVAL_PARTS_H

#include "analyse/survival/answers.h"
#include "coaming/survival_parts.h"

/* What is written, or read. */
typedef struct {
    uint64_t digest;
    unsigned share, shares; /* being written; 0: none */
    double *numbers;
    size_t count, capacity;
    const coaming_survival_part *read; /* by share, from 0; NULL: none are */
    size_t *at;                        /* of each: the number that is next */
    coaming_survival_part *sorted;     /* owns `read`, not what it points to */
} survival_parts;

void parts_free(survival_parts *p);

/* Over all that an answer hangs on. */
uint64_t parts_digest(const coaming_ship *ship, const coaming_survival_options *options,
                      const double *leaks);

/* The share, from 1, that does place `i` of a list of sets: by blocks, which flood much the same. */
unsigned parts_share(size_t i, unsigned shares);

/* Checks parts against each other and the digest, and begins to read them. */
coaming_status parts_begin(survival_parts *p, const coaming_survival_part *parts, size_t count,
                           coaming_error *error);
/* Are all of them read? */
coaming_status parts_end(const survival_parts *p, coaming_error *error);

/* False: out of memory. */
bool parts_put(survival_parts *p, const set_answer *answer);
/* The next answer of the share that did place `i` of a list. memory: where what it points to is
 * kept. */
coaming_status parts_take(survival_parts *p, const coaming_ship *ship, size_t i, arena *memory,
                          set_answer *answer, coaming_error *error);

#endif
