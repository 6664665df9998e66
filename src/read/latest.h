/*
 * read/latest.h - of a log that is being read, the latest entry of each closure, kind and date that
 * stands: what an <undo> takes back.
 *
 * An open-addressed table with linear probing (Knuth, The Art of Computer Programming, volume 3, section
 * 6.4, algorithm L), at most half full, so that a log of undos takes time in proportion to its entries.
 */
#ifndef READ_LATEST_H
#define READ_LATEST_H

#include <stdbool.h>
#include <stddef.h>

/* Compared byte by byte: zeroed before it is filled. */
typedef struct {
    int closure, kind;
    char date[12]; /* in any one spelling */
} latest_key;

typedef struct {
    latest_key key;
    int latest; /* what was put there; -1: none */
    bool taken;
} latest_slot;

typedef struct {
    latest_slot *slots;
    size_t used, room;
} latest_entries; /* zeroed: empty */

/* Where the number of the latest entry of this key stands, to be read and written until the next call;
 * NULL when out of memory. */
int *latest_of(latest_entries *t, const latest_key *key);
void latest_free(latest_entries *t);

#endif
