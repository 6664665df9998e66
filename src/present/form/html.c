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

/* A word that ends in a blank or with the text. */
typedef struct {
    const char *at;
    size_t length;
} word;

static word next_word(const char *at)
{
    return (word){at, strcspn(at, " ")};
}

static bool is_digit(char sign)
{
    return sign >= '0' && sign <= '9';
}

/* Is it this word, whatever stands behind it that is no letter? */
static bool is_word(word w, const char *text)
{
    size_t length = strlen(text);
    return w.length >= length && !memcmp(w.at, text, length) &&
           (w.length == length || strchr(".,;:)", w.at[length]));
}

/* "97.2 %", "40 d", "over 99.9". */
static bool stay_together(word a, word b)
{
    bool number = a.length && is_digit(a.at[a.length - 1]);
    return (number && (is_word(b, "%") || is_word(b, "d"))) ||
           ((is_word(a, "over") || is_word(a, "under")) && is_digit(*b.at));
}

static void put_word(FILE *out, word w)
{
    char text[SHOWN];
    snprintf(text, sizeof text, "%.*s", (int)w.length, w.at);
    if (is_word(w, "m3"))
        markup_put(out, "m\302\263%s", text + 2);
    else
        markup_put(out,
                   is_digit(*text) && strchr(text, '-') ? "<span class=\"day\">%s</span>" : "%s",
                   text);
}

void html_words(FILE *out, const char *text)
{
    for (word w = next_word(text);;) {
        put_word(out, w);
        if (!w.at[w.length])
            return;
        word next = next_word(w.at + w.length + 1);
        fputs(stay_together(w, next) ? "\302\240" : " ", out);
        w = next;
    }
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
