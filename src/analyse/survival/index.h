/* analyse/survival/index.h - a survival at work, and how a case of it is counted. */
#ifndef ANALYSE_SURVIVAL_INDEX_H
#define ANALYSE_SURVIVAL_INDEX_H

#include <math.h>

#include "analyse/survival/answers.h"
#include "analyse/survival/expected.h"
#include "analyse/survival/parts.h"

/* What is less than this is rounding. */
static const double NO_GAIN = 1e-12;

static const coaming_survival_limits UNKNOWN_LIMITS = {NAN, NAN, NAN};

struct coaming_survival {
    arena memory;
    arena answers[TOGETHER_MOST]; /* what they point to, by thread */
    const coaming_ship *ship;
    coaming_survival_options options;
    unsigned threads; /* 0: as many as are worth it */
    coaming_survival_index index;
    coaming_survival_case *cases;
    size_t count, capacity;
    coaming_survival_loading *loadings;
    int *numbers; /* of each in the ship */
    size_t loading_count;
    bool by_role; /* one each that is deepest, partial and light */
    coaming_survival_zone *zones;
    size_t zone_count;
    coaming_survival_closure *closures;
    size_t closure_count;
    expectation *expected; /* NULL: not worked out */
    survival_parts parts;
};

/* Made, and nothing worked out: COAMING_USAGE as coaming_survival_new. To be freed if it is not NULL. */
coaming_status index_begin(const coaming_ship *ship, const coaming_survival_options *options,
                           coaming_survival **survival, coaming_error *error);
/* The loadings with their shares; the draught that damage is measured at. COAMING_INPUT as
 * coaming_survival_new. */
coaming_status index_begin_loadings(coaming_survival *v, double *deepest, coaming_error *error);
/* Threads that are worth it for so many sets of opened spaces. */
unsigned index_threads(const coaming_survival *v, size_t sets);

/* One loading. */
typedef struct {
    coaming_survival *v;
    size_t loading;
    damage_cases *sets;
    settlers by;
    case_list list;
    set_answer *answers; /* by set */
    bool *answered;
} survival_work;

/* As coaming_survival_new. threads: at most TOGETHER_MOST, 0 as many as are worth it; of no account to
 * what comes out. */
coaming_status survival_by(const coaming_ship *ship, const coaming_survival_options *options,
                           unsigned threads, coaming_survival **survival, coaming_error *error);

/* Adds the case to the list, and its share to all sums: those of the index, its loading, its zones, and
 * the closures that it hangs on (counting.c). All its sets are answered. COAMING_MEMORY. */
coaming_status index_add_case(const survival_work *w, const damage_case *c, coaming_error *error);

#endif
