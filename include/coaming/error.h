/*
 * coaming/error.h - how every function of the library says that it failed.
 *
 * A function that can fail returns a coaming_status; results leave through out-pointers, which are
 * untouched unless the status is COAMING_OK. Detail goes into a coaming_error that the caller owns
 * (on the stack, no freeing); NULL is accepted everywhere and means "no detail wanted".
 *
 * Threads: use the library from one thread at a time. igraph 0.10 keeps its error handler and
 * clean-up stack per process, and so does the counter by which tests make allocations fail.
 *
 * Memory: the library's own calls for it may fail, which is COAMING_MEMORY. Libraries below do not all
 * live through a failed call of their own: igraph 0.10.2 and libical 3.0.16 may crash. A program that
 * must end well gives the process a malloc that ends it, as the program coaming does.
 */
#ifndef COAMING_ERROR_H
#define COAMING_ERROR_H

#ifdef __cplusplus
extern "C" {
#endif

#if defined(__GNUC__) && !defined(COAMING_STATIC)
#define COAMING_API __attribute__((visibility("default")))
#else
#define COAMING_API
#endif

/* One row for each status: code, exit status of the program, meaning. */
#define COAMING_STATUS_TABLE(X)                                                                    \
    X(OK, 0, "done")                                                                               \
    X(USAGE, 2, "the call or the command line asks for something that is not offered")             \
    X(INPUT, 3, "an input file has faults")                                                        \
    X(NO_FILE, 3, "an input file cannot be opened")                                                \
    X(UNKNOWN, 3, "the input names no such object")                                                \
    X(MEMORY, 4, "out of memory")                                                                  \
    X(READ, 4, "reading failed")                                                                   \
    X(WRITE, 4, "writing failed")                                                                  \
    X(INTERNAL, 4, "a library below failed")

typedef enum {
#define COAMING_STATUS_CODE(code, exit_status, meaning) COAMING_##code,
    COAMING_STATUS_TABLE(COAMING_STATUS_CODE)
#undef COAMING_STATUS_CODE
} coaming_status;

typedef struct {
    coaming_status status;
    char message[480]; /* one line without control characters */
} coaming_error;

/* The meaning column of the table; never NULL. */
COAMING_API const char *coaming_status_meaning(coaming_status status);

/* The exit status column of the table. */
COAMING_API int coaming_status_exit(coaming_status status);

#ifdef __cplusplus
}
#endif

#endif
