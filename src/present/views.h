/* present/views.h - one view of each answer per format; chosen by coaming_print_... in text_*.c. */
#ifndef PRESENT_VIEWS_H
#define PRESENT_VIEWS_H

#include "coaming/flotation.h"
#include "coaming/present.h"
#include "coaming/survival.h"
#include "ship/ship.h"

coaming_status json_check(FILE *out, const char *path, const coaming_ship *ship,
                          const coaming_faults *faults, coaming_error *error);
coaming_status json_expose(FILE *out, const coaming_ship *ship, coaming_query query,
                           const int *closures, size_t count, coaming_error *error);
coaming_status json_rank(FILE *out, const coaming_ship *ship, coaming_query query,
                         coaming_measure measure, size_t top, coaming_error *error);

/* What float shows of one set of flooded spaces. */
typedef struct {
    int condition; /* shown only: what floods is given */
    const int *flooded;
    size_t flooded_count;
    coaming_float at;
    coaming_righting righting;
    const int *openings; /* links to the weather, lowest above the water first */
    size_t opening_count;
} float_answer;
coaming_status json_float(FILE *out, const coaming_ship *ship, const float_answer *a,
                          coaming_error *error);

coaming_status json_survival(FILE *out, const coaming_ship *ship, int condition,
                             const coaming_survival *v, coaming_error *error);

/* "pass", "fail" or "untested". */
const char *result_word(coaming_result result);

#endif
