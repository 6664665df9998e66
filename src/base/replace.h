/*
 * base/replace.h - a file that others may change too, replaced as a whole under a lock.
 *
 * The lock (flock) is on the file itself; whoever waited for it looks again whether the path still
 * leads to the file it has locked. The new text is written beside it, synced, and renamed over it,
 * and the folder synced: whenever the machine stops, the old text or the new one is there whole.
 * What a stopped writer left beside the file is removed by the next one.
 */
#ifndef BASE_REPLACE_H
#define BASE_REPLACE_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/error.h"

typedef struct {
    char *target;     /* the file itself, behind links */
    char *unfinished; /* beside it */
    char *begun;      /* beside it, where it is not there yet */
    int lock;         /* descriptor, -1: the file is not there yet */
} replacement;

/* Locks the file, waiting for others. A file that is not there is no error: exists tells.
 * COAMING_WRITE if it cannot be written, COAMING_NO_FILE if it is no plain file. */
coaming_status replace_begin(replacement *r, const char *path, bool *exists, coaming_error *error);

/* Pieces of the new text, one after the other. */
typedef struct {
    const char *text;
    size_t size;
} text_piece;

/* Puts the new text in place. again (may be NULL for a file that exists): the file that was not
 * there has been made by someone else in the meantime; nothing was written, begin anew. */
coaming_status replace_write(replacement *r, const text_piece *pieces, size_t count, bool *again,
                             coaming_error *error);

/* Lets the lock go; also after an error, and once more is fine. */
void replace_end(replacement *r);

#endif
