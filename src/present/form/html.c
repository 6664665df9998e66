#include "present/form/html.h"

#include <stdarg.h>
#include <string.h>

#include "present/form/style.h"
#include "present/form/svg.h"

static void put_amount(FILE *out, double value)
{
    char number[SHOWN];
    svg_text(out, amount(number, value));
}

void html_put(FILE *out, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    for (const char *at = format; *at; at++) {
        if (*at != '%') {
            fputc(*at, out);
            continue;
        }
        switch (*++at) {
        case 't':
            svg_text(out, va_arg(args, const char *));
            break;
        case 'b':
            fputs("<bdi>", out);
            svg_text(out, va_arg(args, const char *));
            fputs("</bdi>", out);
            break;
        case 'a':
            put_amount(out, va_arg(args, double));
            break;
        case 'p':
            put_amount(out, 100 * va_arg(args, double));
            fputs("\302\240%", out); /* a space that does not break */
            break;
        case 's':
            fputs(va_arg(args, const char *), out);
            break;
        case 'd':
            fprintf(out, "%d", va_arg(args, int));
            break;
        case 'z':
            fprintf(out, "%zu", va_arg(args, size_t));
            break;
        default:
            fputc(*at, out);
        }
    }
    va_end(args);
}

void html_table(FILE *out, const char *id, const char *caption, const char *columns, size_t rows)
{
    enum { LONG_TABLE = 20 };
    html_put(out,
             "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-labelledby=\"%s\">\n"
             "<table%s><caption id=\"%s\">%t</caption>\n<thead><tr>",
             id, rows > LONG_TABLE ? " class=\"long\"" : "", id, caption);
    for (const char *at = columns; *at; at += strcspn(at, "|"), at += *at == '|') {
        bool number = *at == '#';
        at += number;
        html_put(out, "<th scope=\"col\"%s>", number ? " class=\"number\"" : "");
        fwrite(at, 1, strcspn(at, "|"), out);
        fputs("</th>", out);
    }
    fputs("</tr></thead>\n<tbody>\n", out);
}

void html_table_end(FILE *out)
{
    fputs("</tbody></table></div>\n", out);
}
