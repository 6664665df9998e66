/* present/tell/seen_words.h - what is seen of closures now, once for text, drawings, the report and
 * JSON. */
#ifndef PRESENT_SEEN_WORDS_H
#define PRESENT_SEEN_WORDS_H

#include "ship/ship.h"
#include "json/json.h"

#define AS_SEEN    "as seen"
#define SEEN_TITLE "As seen"

/* "D3, D4 open; V1 shut; D2 failed", in file order; "" if nothing is seen; NULL: out of memory.
 * Freed by the caller. */
char *seen_words(const coaming_ship *ship);

/* The list of one kind; NULL if nothing of that kind is seen. */
cJSON *json_seen(json_document *d, const coaming_ship *ship, coaming_seen_kind kind);
/* open, shut and failed of a document, each only where something is. */
void json_member_seen(json_document *d, const coaming_ship *ship);

#endif
