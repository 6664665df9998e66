/* base/error.h - filling a coaming_error. */
#ifndef BASE_ERROR_H
#define BASE_ERROR_H

#include "coaming/error.h"

/* Sets status and message (error may be NULL) and returns status, so that callers can return it. */
coaming_status error_set(coaming_error *error, coaming_status status, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
coaming_status error_memory(coaming_error *error);

#endif
