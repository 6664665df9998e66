#include "base/text.h"

#include <ctype.h>
#include <locale.h>
#include <math.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/width.h"

/* The caller of the library may have set a locale with a decimal comma. */
static void exchange(char *text, char from, char to)
{
    for (char *at = from == to ? NULL : strchr(text, from); at; at = strchr(at, from))
        *at = to;
}

number_result number_parse(const char *text, double *value)
{
    text += strspn(text, " \t\r\n");
    size_t length = strspn(text, "+-.0123456789eE");
    if (!length || text[length + strspn(text + length, " \t\r\n")] != '\0')
        return NUMBER_BAD;
    char local[128], *end;
    if (length >= sizeof local)
        return NUMBER_BAD;
    memcpy(local, text, length);
    local[length] = '\0';
    exchange(local, '.', *localeconv()->decimal_point);
    double parsed = strtod(local, &end);
    if (*end)
        return NUMBER_BAD;
    if (!isfinite(parsed))
        return NUMBER_INFINITE;
    *value = parsed;
    return NUMBER_OK;
}

const char *number_format(double value, char buffer[NUMBER_TEXT])
{
    if (value == 0)
        value = 0; /* no minus zero */
    if (floor(value) == value && fabs(value) <= 9007199254740992.0) {
        snprintf(buffer, NUMBER_TEXT, "%.0f", value);
        return buffer;
    }
    for (int digits = 15; digits <= 17; digits++) {
        snprintf(buffer, NUMBER_TEXT, "%.*g", digits, value);
        if (strtod(buffer, NULL) == value)
            break;
    }
    exchange(buffer, *localeconv()->decimal_point, '.');
    return buffer;
}

enum { WORD_MAX = 64 };

static size_t smaller(size_t a, size_t b)
{
    return a < b ? a : b;
}

static size_t distance(const char *a, const char *b)
{
    size_t la = strlen(a), lb = strlen(b), row[WORD_MAX + 1];
    if (la > WORD_MAX || lb > WORD_MAX)
        return SIZE_MAX;
    for (size_t j = 0; j <= lb; j++)
        row[j] = j;
    for (size_t i = 1; i <= la; i++) {
        size_t corner = row[0];
        row[0] = i;
        for (size_t j = 1; j <= lb; j++) {
            bool same = tolower((unsigned char)a[i - 1]) == tolower((unsigned char)b[j - 1]);
            size_t best = smaller(smaller(row[j], row[j - 1]) + 1, corner + !same);
            corner = row[j];
            row[j] = best;
        }
    }
    return row[lb];
}

const char *text_nearest(const char *word, text_candidate candidate, const void *from, size_t count)
{
    const char *best = NULL;
    size_t best_distance = SIZE_MAX;
    for (size_t i = 0; i < count; i++) {
        const char *other = candidate(from, i);
        size_t d = distance(word, other), la = strlen(word), lb = strlen(other);
        size_t allowed = (la > lb ? la : lb) / 3;
        if (!allowed && la > 1 && lb > 1 &&
            tolower((unsigned char)*word) == tolower((unsigned char)*other))
            allowed = 1; /* D7 for D1, not A for W */
        if (d <= allowed && d < best_distance) {
            best = other;
            best_distance = d;
        }
    }
    return best;
}

/* Decodes one code point of valid UTF-8; a stray byte counts as one. */
static size_t decode(const char *text, uint32_t *point)
{
    const unsigned char *t = (const unsigned char *)text;
    size_t length = t[0] < 0x80 ? 1 : t[0] >= 0xf0 ? 4 : t[0] >= 0xe0 ? 3 : t[0] >= 0xc0 ? 2 : 1;
    static const unsigned char mask[] = {0, 0x7f, 0x1f, 0x0f, 0x07};
    *point = t[0] & mask[length];
    for (size_t i = 1; i < length; i++) {
        if ((t[i] & 0xc0) != 0x80) {
            *point = 0xfffd;
            return i;
        }
        *point = *point << 6 | (t[i] & 0x3f);
    }
    if (length == 1 && t[0] >= 0x80)
        *point = 0xfffd;
    return length;
}

static bool unprintable(uint32_t point)
{
    return point < 0x20 || (point >= 0x7f && point < 0xa0) || point == 0xfffd ||
           (point >= 0x200e && point <= 0x200f) || (point >= 0x2028 && point <= 0x202e) ||
           (point >= 0x2066 && point <= 0x2069);
}

/* What is not printable stands as one sign. */
static size_t width_of(uint32_t point)
{
    return unprintable(point) ? 1 : (size_t)point_width(point);
}

size_t text_width_in(const char *text, size_t size)
{
    size_t columns = 0;
    uint32_t point;
    for (const char *at = text; *at && at < text + size;) {
        at += decode(at, &point);
        columns += width_of(point);
    }
    return columns;
}

size_t text_width(const char *text)
{
    return text_width_in(text, strlen(text));
}

size_t text_head(const char *text, size_t columns)
{
    size_t size = 0;
    uint32_t point;
    while (text[size]) {
        size_t length = decode(text + size, &point), width = width_of(point);
        if (width > columns)
            break;
        columns -= width;
        size += length;
    }
    return size;
}

void text_fit(char *buffer, size_t size, const char *text, size_t columns)
{
    bool cut = text_width(text) > columns;
    size_t room = cut && columns ? columns - 1 : columns, used = 0;
    while (*text) {
        uint32_t point;
        size_t length = decode(text, &point), width = width_of(point);
        bool plain = !unprintable(point);
        size_t out = plain ? length : 1;
        if (width > room)
            break;
        if (used + out + 2 > size) {
            cut = true;
            break;
        }
        memcpy(buffer + used, plain ? text : "?", out);
        used += out;
        room -= width;
        text += length;
    }
    if (cut && columns && used + 2 <= size)
        buffer[used++] = '~';
    if (size)
        buffer[used] = '\0';
}

bool text_is_utf8(const char *text)
{
    while (*text) {
        uint32_t point;
        size_t length = decode(text, &point);
        static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
        if (point == 0xfffd && (length < 3 || memcmp(text, "\xef\xbf\xbd", 3)))
            return false;
        if (point < least[length] || (point >= 0xd800 && point < 0xe000) || point > 0x10ffff)
            return false;
        text += length;
    }
    return true;
}

size_t text_next(const char *text)
{
    uint32_t point;
    return decode(text, &point);
}

bool text_is_plain(const char *text)
{
    uint32_t point;
    decode(text, &point);
    return !unprintable(point);
}

const char *text_brief(char buffer[TEXT_BRIEF], const char *text)
{
    text_fit(buffer, TEXT_BRIEF, text, 40);
    return buffer;
}

bool text_is_xml(const char *text)
{
    if (!text_is_utf8(text))
        return false;
    for (const unsigned char *at = (const unsigned char *)text; *at; at++) {
        if (*at < ' ' && *at != '\t' && *at != '\n' && *at != '\r')
            return false;
        if (*at == 0xEF && at[1] == 0xBF && at[2] >= 0xBE)
            return false;
    }
    return true;
}
