/*
 * coaming/libraries.h - what this library is made with: the libraries of others, their versions and
 * licences.
 *
 * A list of parts, for who has to know whether a fault that is told of one of them is in here. It is
 * the same for as long as the program runs; any thread may ask.
 */
#ifndef COAMING_LIBRARIES_H
#define COAMING_LIBRARIES_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/error.h"

#ifdef __cplusplus
extern "C" {
#endif

enum { COAMING_LIBRARY_TEXT = 48 };

typedef struct {
    const char *name, *licence;       /* the licence as SPDX has it */
    const char *purpose;              /* what it does here, a few words */
    char built[COAMING_LIBRARY_TEXT]; /* the version whose headers were compiled in */
    /* The version that is loaded now, as it says itself; of one that cannot say it the name of the
     * file that was loaded. */
    char running[COAMING_LIBRARY_TEXT];
} coaming_library;

/* The index-th of them, from 0; false: there are no more. */
COAMING_API bool coaming_library_get(size_t index, coaming_library *library);

#ifdef __cplusplus
}
#endif

#endif
