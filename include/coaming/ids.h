/*
 * coaming/ids.h - the ids that stand in a file, without a judgement of the file.
 *
 * Purpose: offer the spaces, closures, conditions, decks or pumps of an arrangement, or the closures of a
 * test log, while somebody is still writing it, so that it cannot be loaded yet. Whoever wants a
 * ship loads her (ship.h).
 */
#ifndef COAMING_IDS_H
#define COAMING_IDS_H

#include <stddef.h>

#include "coaming/error.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum {
    COAMING_IDS_NONE,
    COAMING_IDS_SPACES,
    COAMING_IDS_CLOSURES,
    COAMING_IDS_CONDITIONS,
    COAMING_IDS_LOADINGS,
    COAMING_IDS_DECKS,
    COAMING_IDS_LOGGED, /* closures of the tests and repairs of a log, each as often as it is */
    COAMING_IDS_PUMPS,
    COAMING_IDS_FANS,
    COAMING_IDS_KINDS
} coaming_ids;

enum { COAMING_IDS_MOST = 8 * 1024 * 1024 }; /* bytes of the file that are looked through */

/*
 * Gives the ids to `take`, in file order, each valid during the call only. Where the file is no
 * XML from some place on, the ids before it are given. Only a regular file is read, and of a long
 * one only the beginning. COAMING_NO_FILE, COAMING_READ, COAMING_MEMORY. Cost: linear in the bytes
 * that are looked through.
 */
COAMING_API coaming_status coaming_ids_scan(const char *path, coaming_ids which,
                                            void (*take)(const char *id, void *data), void *data,
                                            coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
