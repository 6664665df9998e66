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

size_t text_point(const char *text, uint32_t *point)
{
    const unsigned char *t = (const unsigned char *)text;
    static const unsigned char mask[] = {0, 0x7f, 0x1f, 0x0f, 0x07};
    static const uint32_t least[] = {0, 0, 0x80, 0x800, 0x10000};
    size_t length = t[0] < 0x80 ? 1 : t[0] >= 0xf0 ? 4 : t[0] >= 0xe0 ? 3 : 2;
    bool good = t[0] < 0x80 || (t[0] >= 0xc0 && t[0] < 0xf8);
    uint32_t value = t[0] & mask[length];
    for (size_t i = 1; i < length && good; i++) {
        good = (t[i] & 0xc0) == 0x80;
        value = value << 6 | (t[i] & 0x3f);
    }
    good =
        good && value >= least[length] && (value < 0xd800 || value >= 0xe000) && value <= 0x10ffff;
    *point = good ? value : 0xfffd;
    return good ? length : 1;
}

size_t text_shown(const char *text, char shown[TEXT_SHOWN])
{
    uint32_t point;
    size_t length = text_point(text, &point);
    if (point == 0xfffd && length == 1) {
        snprintf(shown, TEXT_SHOWN, "<0x%02X>", (unsigned)(unsigned char)*text);
    } else if (point_deceives(point)) {
        snprintf(shown, TEXT_SHOWN, "<U+%04X>", (unsigned)point);
    } else {
        memcpy(shown, text, length);
        shown[length] = '\0';
    }
    return length;
}

/* UTF-8 of a code point. Returns its bytes. */
static size_t encode(uint32_t point, char out[4])
{
    size_t length = point < 0x80 ? 1 : point < 0x800 ? 2 : point < 0x10000 ? 3 : 4;
    static const unsigned char lead[] = {0, 0, 0xc0, 0xe0, 0xf0};
    for (size_t i = length - 1; i > 0; i--, point >>= 6)
        out[i] = (char)(0x80 | (point & 0x3f));
    out[0] = (char)(lead[length] | point);
    return length;
}

/* The bytes of a number as text_kept writes it, and what it stands for; 0 where there is none. */
static size_t number_of_sign(const char *text, uint32_t *point)
{
    enum { MOST_DIGITS = 6 };
    char sign[5] = "", again[TEXT_SHOWN];
    if (strncmp(text, "<U+", 3))
        return 0;
    size_t digits = strspn(text + 3, "0123456789ABCDEF");
    if (digits > MOST_DIGITS || text[3 + digits] != '>')
        return 0;
    *point = (uint32_t)strtoul(text + 3, NULL, 16);
    if (*point == '<')
        return digits == 4 ? digits + 4 : 0;
    if (!*point || *point > 0x10ffff)
        return 0;
    encode(*point, sign);
    text_shown(sign, again);
    return strncmp(text, again, digits + 4) ? 0 : digits + 4;
}

size_t text_kept(const char *text, char shown[TEXT_SHOWN])
{
    uint32_t point;
    if (!number_of_sign(text, &point))
        return text_shown(text, shown);
    snprintf(shown, TEXT_SHOWN, "<U+%04X>", (unsigned)'<');
    return 1;
}

void text_unshown(char *text)
{
    char *to = text;
    for (const char *at = text; *at;) {
        uint32_t point;
        size_t size = number_of_sign(at, &point);
        if (size)
            to += encode(point, to);
        else
            *to++ = *at;
        at += size ? size : 1;
    }
    *to = '\0';
}

void text_put(FILE *out, const char *text, size_t size)
{
    char shown[TEXT_SHOWN];
    for (const char *at = text; *at && at < text + size;) {
        at += text_shown(at, shown);
        fputs(shown, out);
    }
}

/* Of the sign that a text begins with, as it is shown; and its bytes. */
static size_t sign_width(const char *text, size_t *length)
{
    char shown[TEXT_SHOWN];
    uint32_t point;
    *length = text_point(text, &point);
    if (!point_deceives(point))
        return (size_t)point_width(point);
    text_shown(text, shown);
    return strlen(shown);
}

size_t text_width_in(const char *text, size_t size)
{
    size_t columns = 0, length;
    for (const char *at = text; *at && at < text + size; at += length)
        columns += sign_width(at, &length);
    return columns;
}

size_t text_width(const char *text)
{
    return text_width_in(text, strlen(text));
}

size_t text_signs(const char *text)
{
    size_t count = 0;
    for (; *text; text++)
        count += (*text & 0xC0) != 0x80; /* what goes on with a sign begins so */
    return count;
}

size_t text_head(const char *text, size_t columns)
{
    size_t size = 0;
    while (text[size]) {
        size_t length, width = sign_width(text + size, &length);
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
        char shown[TEXT_SHOWN];
        size_t length, width = sign_width(text, &length);
        text_shown(text, shown);
        size_t out = strlen(shown);
        if (width > room)
            break;
        if (used + out + 2 > size) {
            cut = true;
            break;
        }
        memcpy(buffer + used, shown, out);
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
    uint32_t point;
    for (size_t length; *text; text += length) {
        length = text_point(text, &point);
        if (point == 0xfffd && length == 1)
            return false;
    }
    return true;
}

size_t text_next(const char *text)
{
    uint32_t point;
    return text_point(text, &point);
}

bool text_is_plain(const char *text)
{
    uint32_t point;
    text_point(text, &point);
    return !point_deceives(point);
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
