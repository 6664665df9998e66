/*
 * coaming/fault.h - faults of an input file: all that were found in one pass, each with its line.
 *
 * A coaming_faults is made by coaming_faults_new and freed by coaming_faults_free (free(NULL) is
 * fine). Getters borrow: what they return lives as long as the list.
 */
#ifndef COAMING_FAULT_H
#define COAMING_FAULT_H

#include <stddef.h>

#include "coaming/error.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum { COAMING_SEVERITY_ERROR, COAMING_SEVERITY_WARNING } coaming_severity;

typedef struct {
    const char *file;
    long line;          /* counted from 1; 0 where a fault belongs to the whole file */
    const char *object; /* e.g. "closure D4"; "file" where none is named */
    coaming_severity severity;
    const char *message; /* what is wrong, and what would be right */
} coaming_fault;

typedef struct coaming_faults coaming_faults;

/* NULL when out of memory. */
COAMING_API coaming_faults *coaming_faults_new(void);
COAMING_API void coaming_faults_free(coaming_faults *faults);

/* Faults stand in the order of files given, then of lines. */
COAMING_API size_t coaming_faults_count(const coaming_faults *faults);
COAMING_API size_t coaming_faults_error_count(const coaming_faults *faults);
COAMING_API const coaming_fault *coaming_faults_get(const coaming_faults *faults, size_t index);

#ifdef __cplusplus
}
#endif

#endif
