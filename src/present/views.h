/* present/views.h - one view of each answer per format; chosen by coaming_print_... in text_*.c. */
#ifndef PRESENT_VIEWS_H
#define PRESENT_VIEWS_H

#include "coaming/present.h"
#include "ship/ship.h"

coaming_status json_check(FILE *out, const char *path, const coaming_ship *ship,
                          const coaming_faults *faults, coaming_error *error);
coaming_status json_expose(FILE *out, const coaming_ship *ship, coaming_query query,
                           const int *closures, size_t count, coaming_error *error);
coaming_status json_rank(FILE *out, const coaming_ship *ship, coaming_query query,
                         coaming_measure measure, size_t top, coaming_error *error);

/* "pass", "fail" or "untested". */
const char *result_word(coaming_result result);

#endif
