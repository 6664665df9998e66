/*
 * base/together.h - jobs that know nothing of each other, by as many threads as there are
 * processors.
 *
 * Which thread takes which job is left to chance, so a job's result must depend on the job alone,
 * and be put in a place of its own.
 */
#ifndef BASE_TOGETHER_H
#define BASE_TOGETHER_H

#include <stddef.h>

#include "coaming/error.h"

enum { TOGETHER_MOST = 64 };

/* Threads for so many jobs: as many as processors, but no more than jobs or TOGETHER_MOST; at least
 * one. */
unsigned together_threads(size_t jobs);

/* thread: 0 to threads - 1; the first is the caller. */
typedef coaming_status (*together_job)(void *data, unsigned thread, size_t job,
                                       coaming_error *error);

/* Does jobs 0 to count - 1, begun in order. After one fails no more are begun; told is the failure of
 * the first of those that did. If no thread can be had the caller does all. */
coaming_status together_do(unsigned threads, size_t count, together_job work, void *data,
                           coaming_error *error);

#endif
