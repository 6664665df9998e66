/*
 * json/written.h - values as JSON in which nothing deceives the eye.
 *
 * Signs that would (base/text.h) are escaped, \u202e, so that a program reads them as they were and
 * who looks at the document sees them. The library leaves all but those below U+0020 as they are.
 */
#ifndef JSON_WRITTEN_H
#define JSON_WRITTEN_H

#include <cjson/cJSON.h>
#include <stdio.h>

/* Writes what is JSON already. */
void json_put_escaped(FILE *out, const char *json);

/* A value in one line, to be freed with memory_free; NULL when out of memory. */
char *json_written(const cJSON *value);

#endif
