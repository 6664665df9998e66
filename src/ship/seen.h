/* ship/seen.h - what is seen of closures now (coaming/seen.h), for who tells or signs it. */
#ifndef SHIP_SEEN_H
#define SHIP_SEEN_H

#include "ship/ship.h"

/* Of how many closures is that seen, and of any kind at all? */
size_t seen_count(const coaming_ship *ship, coaming_seen_kind kind);
bool seen_any(const coaming_ship *ship);

/* May a closure be seen so? *closure is it. COAMING_UNKNOWN and COAMING_USAGE as coaming_ship_see. */
coaming_status seen_find(const coaming_ship *ship, const char *id, coaming_seen_kind kind,
                         int *closure, coaming_error *error);

/* The digest of a study with what is seen signed in; as it was if nothing is. */
uint64_t seen_digest(const coaming_ship *ship, uint64_t digest);

#endif
