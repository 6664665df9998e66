/*
 * json/line.h - one line that somebody else wrote: an object of texts and numbers.
 *
 * cJSON lets through much that is no JSON: control characters and NUL as blanks, 012, bytes that are
 * no UTF-8, and a NUL behind \u that cuts a text short. So a line is held to the grammar first (RFC
 * 8259), and cJSON then takes the escapes out.
 */
#ifndef JSON_LINE_H
#define JSON_LINE_H

#include <stdbool.h>
#include <stddef.h>

#include <cjson/cJSON.h>

/* Are there only blanks? */
bool json_line_blank(const char *line, size_t size);

/* line: size bytes and a NUL. The object, to be deleted by the caller, with neither list nor object
 * in it and no key twice; NULL with *why, words that go on after "the line", or with *why NULL when
 * out of memory. Cost: linear in the bytes, and quadratic in the keys. */
cJSON *json_line(const char *line, size_t size, const char **why);

#endif
