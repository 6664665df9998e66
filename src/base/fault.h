/* base/fault.h - building a list of faults. */
#ifndef BASE_FAULT_H
#define BASE_FAULT_H

#include <stdbool.h>

#include "coaming/fault.h"

/* Adds a fault; texts are copied, object and message freed of what a terminal would act on. Out of
 * memory is remembered: see faults_lost. */
void faults_add(coaming_faults *faults, coaming_severity severity, const char *file, long line,
                const char *object, const char *format, ...) __attribute__((format(printf, 6, 7)));

/* True if a fault could not be kept for want of memory: the list must not be trusted. */
bool faults_lost(const coaming_faults *faults);

/* Errors among the faults from index `from` on. */
size_t faults_errors_from(const coaming_faults *faults, size_t from);

/* Sorts the faults from index `from` on by line, keeping the order within a line. */
void faults_sort_from(coaming_faults *faults, size_t from);

#endif
