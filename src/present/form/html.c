#include "present/form/html.h"

#include <string.h>

#include "present/form/markup.h"

const char *html_percent(char buffer[SHOWN], double share)
{
    char words[SHOWN], *end = buffer;
    for (const char *at = percent(words, share); *at; at++)
        end = stpcpy(end, *at == ' ' ? "\302\240" : (const char[]){*at, '\0'});
    return buffer;
}

void html_table(FILE *out, const char *id, const char *caption, const char *columns, size_t rows)
{
    enum { LONG_TABLE = 20 };
    markup_put(out,
               "<div class=\"scroll\" role=\"region\" tabindex=\"0\" aria-labelledby=\"%s\">\n"
               "<table%-s><caption id=\"%s\">%s</caption>\n<thead><tr>",
               id, rows > LONG_TABLE ? " class=\"long\"" : "", id, caption);
    for (const char *at = columns; *at; at += strcspn(at, "|"), at += *at == '|') {
        bool number = *at == '#';
        at += number;
        markup_put(out, "<th scope=\"col\"%-s>", number ? " class=\"number\"" : "");
        fwrite(at, 1, strcspn(at, "|"), out);
        fputs("</th>", out);
    }
    fputs("</tr></thead>\n<tbody>\n", out);
}

void html_table_end(FILE *out)
{
    fputs("</tbody></table></div>\n", out);
}
