/*
 * base/share.h - what is said of the parts of an answer that was split into shares: the same whatever
 * it is an answer to.
 */
#ifndef BASE_SHARE_H
#define BASE_SHARE_H

#include <stddef.h>

#include "coaming/error.h"

enum { SHARE_NAME = 200 };

/* How a part is told: by its name, such as its file, or NULL by its number from 1. */
const char *share_name(const char *name, size_t index, char text[SHARE_NAME]);

/* COAMING_INPUT, each with its words. */
coaming_status share_of_other(const char *name, coaming_error *error);
coaming_status share_damaged(const char *name, coaming_error *error);
coaming_status share_twice(const char *name, unsigned share, unsigned shares, const char *other,
                           coaming_error *error);

#endif
