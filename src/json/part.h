/*
 * json/part.h - files that each hold one share of an answer (base/share.h), and the members that all
 * such documents have.
 */
#ifndef JSON_PART_H
#define JSON_PART_H

#include <stdint.h>

#include "json/json.h"

#define PART_MEMBER(root, key) cJSON_GetObjectItemCaseSensitive(root, key)

/* Writes "format", "ship" and "as_of". */
void part_head(json_document *d, const char *format, const char *ship, coaming_date as_of);
/* Writes "digest" as 16 hexadecimal digits. */
void part_digest(json_document *d, uint64_t digest);

/* False: it is no such value. */
bool part_is(const cJSON *root, const char *format);
bool part_take_count(const cJSON *number, double most, double *value); /* a whole one, from 1 */
bool part_take_share(const cJSON *root, unsigned *share, unsigned *shares);

/* Reads a file and has the document taken; into: one part. COAMING_INPUT: it is none that `command`
 * has written; COAMING_NO_FILE, COAMING_READ, COAMING_MEMORY. */
coaming_status part_read(const char *path, const char *command,
                         bool (*take)(const cJSON *root, void *into), void *into,
                         coaming_error *error);

#endif
