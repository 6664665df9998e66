/*
 * coaming/breaches.h - every breach of the side in turn: does she stay afloat, as built and as
 * tested?
 *
 * Cases: each shell space, and each pair of shell spaces that are neighbours along the side (they
 * meet at a transverse boundary and share height and breadth there). Each is settled (flooding and
 * floating by turns) three times: as built (every closure that is shut holds), as last tested, and
 * with untested closures leaking as well.
 *
 * Each answer has its grade (grade.h), what floods and by what, and of a case that is afloat as
 * built and lost in this answer which closures turned it: those that pass in this answer and not as
 * built, that water came by before she was lost, and without which she would not be; if there is
 * none such alone, all that water came by.
 */
#ifndef COAMING_BREACHES_H
#define COAMING_BREACHES_H

#include "coaming/grade.h"
#include "coaming/spread.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct {
    coaming_float at;
    coaming_stability stability;
    double range, greatest; /* the same as of the stability; 0 if not afloat */
    double s;
    const coaming_inflow *flooded; /* as water got there, what is breached first; if she is lost, up
                                    * to then */
    size_t flooded_count;
    const int *turned_by; /* closures, in file order */
    size_t turned_by_count;
} coaming_breaches_answer;

typedef struct {
    int space[2]; /* breached; the second is -1 in cases of one */
    coaming_breaches_answer answer[COAMING_ANSWERS];
} coaming_breaches_case;

typedef struct coaming_breaches coaming_breaches;

/* Of the query condition and loading count. COAMING_USAGE and COAMING_INPUT as
 * coaming_flotation_new. A coaming_breaches borrows the ship. */
COAMING_API coaming_status coaming_breaches_new(const coaming_ship *ship, coaming_query query,
                                                coaming_breaches **breaches, coaming_error *error);
/* The same with no more of the righting arms, which take most of the time, than the grades depend
 * on: range, greatest and s are NaN. */
COAMING_API coaming_status coaming_breaches_afloat_new(const coaming_ship *ship,
                                                       coaming_query query,
                                                       coaming_breaches **breaches,
                                                       coaming_error *error);
COAMING_API void coaming_breaches_free(coaming_breaches *breaches);
COAMING_API size_t coaming_breaches_count(const coaming_breaches *breaches);
COAMING_API const coaming_breaches_case *coaming_breaches_get(const coaming_breaches *breaches,
                                                              size_t index);

/* How many cases have the grade in an answer. */
COAMING_API size_t coaming_breaches_grade_count(const coaming_breaches *breaches,
                                                coaming_answer answer, coaming_grade grade);
/* The share of cases that she survives, 0 to 1: those of a grade better than not surviving; NaN
 * without cases. */
COAMING_API double coaming_breaches_share(const coaming_breaches *breaches, coaming_answer answer);

#ifdef __cplusplus
}
#endif

#endif
