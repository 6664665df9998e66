#include "json/written.h"

#include <string.h>

#include "base/memory.h"
#include "base/text.h"

/* Bytes before the next sign that deceives the eye (base/text.h) or the end. */
static size_t plain_run(const char *text)
{
    size_t size = 0;
    while (text[size]) {
        bool usual = text[size] >= ' ' && text[size] < 0x7f;
        if (!usual && !text_is_plain(text + size))
            break;
        size += usual ? 1 : text_next(text + size);
    }
    return size;
}

/* Such a sign as JSON has it: the library escapes only those below U+0020. They stand in strings
 * alone, for all else is ASCII. Returns the bytes of the sign. */
enum { ESCAPED = 13 };
static size_t escape(const char *text, char escaped[ESCAPED])
{
    uint32_t point;
    size_t length = text_point(text, &point);
    if (point < 0x10000)
        snprintf(escaped, ESCAPED, "\\u%04x", (unsigned)point & 0xffff);
    else
        snprintf(escaped, ESCAPED, "\\u%04x\\u%04x", (unsigned)(0xd7c0 + (point >> 10)) & 0xffff,
                 (unsigned)(0xdc00 | (point & 0x3ff)));
    return length;
}

void json_put_escaped(FILE *out, const char *text)
{
    for (;;) {
        char escaped[ESCAPED];
        size_t run = plain_run(text);
        fwrite(text, 1, run, out);
        text += run;
        if (!*text)
            return;
        text += escape(text, escaped);
        fputs(escaped, out);
    }
}

char *json_written(const cJSON *value)
{
    char *text = cJSON_PrintUnformatted(value);
    char *whole = text ? memory_new(6 * strlen(text) + 1, 1) : NULL, *to = whole;
    for (const char *at = text; whole && *at;) {
        size_t run = plain_run(at);
        memcpy(to, at, run);
        to += run;
        at += run;
        if (*at) {
            at += escape(at, to);
            to += strlen(to);
        }
    }
    cJSON_free(text);
    return whole;
}
