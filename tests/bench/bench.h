/* bench.h - what the benchmarks share. */
#ifndef BENCH_BENCH_H
#define BENCH_BENCH_H

#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "coaming/coaming.h"

/* Seconds of CLOCK_MONOTONIC, or of CLOCK_PROCESS_CPUTIME_ID where others may share the machine. */
static inline double seconds(clockid_t clock)
{
    struct timespec t;
    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static inline void must(coaming_status status, const coaming_error *error)
{
    if (status == COAMING_OK)
        return;
    fprintf(stderr, "benchmark: %s\n", error->message);
    exit(1);
}

/* As of 2026-11-10. */
static inline coaming_ship *load(const char *path)
{
    coaming_load_options options = {NULL, 0, 20767, 20767};
    coaming_faults *faults = coaming_faults_new();
    coaming_ship *ship = NULL;
    coaming_error error;
    must(coaming_ship_load(path, &options, faults, &ship, &error), &error);
    coaming_faults_free(faults);
    return ship;
}

#endif
