#include "present/form/svg.h"

#include <math.h>
#include <stdarg.h>
#include <string.h>

#include "base/text.h"

/* What stands for the code point at `text`, or NULL: it stands for itself. */
static const char *in_place_of(const char *text, size_t length)
{
    switch (*text) {
    case '&':
        return "&amp;";
    case '<':
        return "&lt;";
    case '>':
        return "&gt;";
    case '"':
        return "&quot;";
    case '\'':
        return "&#39;";
    case '\t':
    case '\n':
    case '\r':
        return " ";
    default:
        if (length == 3 && !memcmp(text, "\xef\xbf", 2) && (unsigned char)text[2] >= 0xbe)
            return "?";
        return text_is_plain(text) ? NULL : "?";
    }
}

void svg_text(FILE *out, const char *text)
{
    while (*text) {
        size_t length = text_next(text);
        const char *other = in_place_of(text, length);
        if (other)
            fputs(other, out);
        else
            fwrite(text, 1, length, out);
        text += length;
    }
}

void svg_number(FILE *out, double value)
{
    long long hundredths = llround(value * 100);
    const char *sign = hundredths < 0 ? "-" : "";
    if (hundredths < 0)
        hundredths = -hundredths;
    fprintf(out, "%s%lld", sign, hundredths / 100);
    if (hundredths % 100)
        fprintf(out, hundredths % 10 ? ".%02lld" : ".%lld",
                hundredths % 10 ? hundredths % 100 : hundredths % 100 / 10);
}

void svg_attribute(FILE *out, const char *name, double value)
{
    fprintf(out, " %s=\"", name);
    svg_number(out, value);
    fputc('"', out);
}

void svg_attribute_text(FILE *out, const char *name, const char *value)
{
    fprintf(out, " %s=\"", name);
    svg_text(out, value);
    fputc('"', out);
}

void svg_put(FILE *out, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    for (const char *at = format; *at; at++) {
        if (*at != '%') {
            fputc(*at, out);
            continue;
        }
        switch (*++at) {
        case 'n':
            svg_number(out, va_arg(args, double));
            break;
        case 't':
            svg_text(out, va_arg(args, const char *));
            break;
        case 's':
            fputs(va_arg(args, const char *), out);
            break;
        case 'd':
            fprintf(out, "%d", va_arg(args, int));
            break;
        default:
            fputc(*at, out);
        }
    }
    va_end(args);
}
