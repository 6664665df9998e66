#include "present/form/markup.h"

#include <math.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stdlib.h>
#include <string.h>

#include "base/text.h"
#include "present/form/style.h"

/* What stands for the first sign of a text, or NULL: it stands for itself. */
static const char *in_place_of(char sign)
{
    switch (sign) {
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
    default:
        return NULL;
    }
}

static void put_shown(FILE *out, const char *shown)
{
    for (; *shown; shown++) {
        const char *other = in_place_of(*shown);
        if (other)
            fputs(other, out);
        else
            fputc(*shown, out);
    }
}

void markup_text(FILE *out, const char *text)
{
    char shown[TEXT_SHOWN];
    while (*text) {
        bool blank = *text == '\t' || *text == '\n' || *text == '\r';
        text += blank ? 1 : text_shown(text, shown);
        put_shown(out, blank ? " " : shown);
    }
}

void markup_number(FILE *out, double value)
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

/* Writes what one conversion asks for; returns the last sign of it. */
static const char *put_one(FILE *out, const char *at, va_list *args)
{
    char number[SHOWN];
    switch (*at) {
    case '%':
        fputc('%', out);
        return at;
    case 's':
        markup_text(out, va_arg(*args, const char *));
        return at;
    case 'd':
        fprintf(out, "%d", va_arg(*args, int));
        return at;
    case 'f':
        markup_number(out, va_arg(*args, double));
        return at;
    case 'g':
        markup_text(out, amount(number, va_arg(*args, double)));
        return at;
    default:
        break;
    }
    if (!strncmp(at, "-s", 2))
        fputs(va_arg(*args, const char *), out);
    else if (!strncmp(at, "zu", 2))
        fprintf(out, "%zu", va_arg(*args, size_t));
    else
        abort(); /* a format of ours that is not in the list */
    return at + 1;
}

void markup_put(FILE *out, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    for (const char *at = format; *at; at++)
        if (*at == '%')
            at = put_one(out, at + 1, &args);
        else
            fputc(*at, out);
    va_end(args);
}
