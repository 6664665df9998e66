#include "json/line.h"

#include <string.h>

#include "base/text.h"

enum { NUMBER_LONGEST = 60 }; /* bytes; cJSON cuts longer ones in two */

static bool is_blank(char c)
{
    return c == ' ' || c == '\t' || c == '\r';
}

static const char *after_blanks(const char *at)
{
    while (is_blank(*at))
        at++;
    return at;
}

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static const char *after_digits(const char *at)
{
    while (is_digit(*at))
        at++;
    return at;
}

/* Each of these returns what is behind its piece; NULL: there is none. The text ends in NUL, which
 * is of no piece. */

static const char *number(const char *from)
{
    const char *at = from + (*from == '-'), *digits = at;
    at = *at == '0' ? at + 1 : after_digits(at);
    if (at == digits)
        return NULL;
    if (*at == '.') {
        digits = at + 1;
        at = after_digits(digits);
        if (at == digits)
            return NULL;
    }
    if (*at == 'e' || *at == 'E') {
        at += at[1] == '+' || at[1] == '-' ? 2 : 1;
        digits = at;
        at = after_digits(digits);
        if (at == digits)
            return NULL;
    }
    return at - from <= NUMBER_LONGEST ? at : NULL;
}

/* The four digits behind \u; -1: they are none. */
static int code_unit(const char *at)
{
    static const char digits[] = "0123456789abcdefABCDEF";
    int unit = 0;
    for (int i = 0; i < 4; i++) {
        const char *digit = at[i] ? strchr(digits, at[i]) : NULL;
        if (!digit)
            return -1;
        long value = digit - digits;
        unit = 16 * unit + (int)(value < 16 ? value : value - 6);
    }
    return unit;
}

/* A code point behind a backslash; halves of one only together, and no NUL. */
static const char *escape(const char *at)
{
    if (*at != 'u')
        return *at && strchr("\"\\/bfnrt", *at) ? at + 1 : NULL;
    int unit = code_unit(at + 1);
    if (unit <= 0 || (unit >= 0xDC00 && unit <= 0xDFFF))
        return NULL;
    if (unit < 0xD800 || unit > 0xDBFF)
        return at + 5;
    int low = at[5] == '\\' && at[6] == 'u' ? code_unit(at + 7) : -1;
    return low >= 0xDC00 && low <= 0xDFFF ? at + 11 : NULL;
}

static const char *text(const char *at)
{
    if (*at++ != '"')
        return NULL;
    while (at && *at != '"') {
        if ((unsigned char)*at < ' ')
            return NULL;
        at = *at == '\\' ? escape(at + 1) : at + 1;
    }
    return at ? at + 1 : NULL;
}

static const char *word(const char *at, const char *of)
{
    return strncmp(at, of, strlen(of)) ? NULL : at + strlen(of);
}

static const char *value(const char *at)
{
    const char *end = text(at);
    end = end ? end : number(at);
    end = end ? end : word(at, "true");
    end = end ? end : word(at, "false");
    return end ? end : word(at, "null");
}

/* "key": value, with blanks around its parts. */
static const char *member(const char *at, bool *nested)
{
    at = text(after_blanks(at));
    at = at ? after_blanks(at) : NULL;
    if (!at || *at != ':')
        return NULL;
    at = after_blanks(at + 1);
    *nested = *at == '{' || *at == '[';
    at = value(at);
    return at ? after_blanks(at) : NULL;
}

static bool is_object(const char *line, bool *nested)
{
    const char *at = after_blanks(line);
    *nested = false;
    if (*at != '{')
        return false;
    at = after_blanks(at + 1);
    if (*at != '}')
        for (at = member(at, nested); at && *at == ','; at = member(at + 1, nested))
            ;
    return at && *at == '}' && !*after_blanks(at + 1);
}

static bool has_twice(const cJSON *object)
{
    const cJSON *first;
    cJSON_ArrayForEach(
        first,
        object) for (const cJSON *other = first->next; other;
                     other = other->next) if (!strcmp(first->string, other->string)) return true;
    return false;
}

bool json_line_blank(const char *line, size_t size)
{
    for (size_t i = 0; i < size; i++)
        if (!is_blank(line[i]))
            return false;
    return true;
}

cJSON *json_line(const char *line, size_t size, const char **why)
{
    bool nested = false;
    *why = NULL;
    if (memchr(line, '\0', size))
        *why = "holds a NUL byte";
    else if (!text_is_utf8(line))
        *why = "is no UTF-8";
    else if (!is_object(line, &nested))
        *why = nested ? "holds a list or an object, where a text or a number belongs"
                      : "is no JSON object";
    if (*why)
        return NULL;
    cJSON *object = cJSON_Parse(line);
    if (object && has_twice(object)) {
        *why = "holds a key twice";
        cJSON_Delete(object);
        return NULL;
    }
    return object;
}
