#include "present/form/style.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"

coaming_style style_fit(coaming_style style)
{
    if (style.columns < 40)
        style.columns = 40;
    return style;
}

void ink_on(FILE *out, coaming_style style, ink i)
{
    static const char *const codes[] = {"", "\033[1m", "\033[1;31m", "\033[33m"};
    if (style.colour)
        fputs(codes[i], out);
}

void ink_off(FILE *out, coaming_style style, ink i)
{
    if (style.colour && i != INK_PLAIN)
        fputs("\033[0m", out);
}

bool paragraph_open(paragraph *p)
{
    *p = (paragraph){NULL, NULL, 0};
    p->stream = open_memstream(&p->text, &p->size);
    return p->stream != NULL;
}

static void spaces(FILE *out, int count)
{
    fprintf(out, "%*s", count, "");
}

typedef struct {
    FILE *out;
    int columns, at, rest;
} line;

static void new_line(line *l)
{
    fputc('\n', l->out);
    spaces(l->out, l->rest);
    l->at = l->rest;
}

/* A word, taken apart where no line has room for it. */
static void put_word(line *l, const char *word, size_t size)
{
    int width = (int)text_width_in(word, size);
    if (l->at + width > l->columns && l->at > l->rest)
        new_line(l);
    while (size) {
        size_t head = l->columns > l->at ? text_head(word, (size_t)(l->columns - l->at)) : 0;
        if (!head) /* not even one sign: it stands out */
            head = text_next(word);
        if (head > size)
            head = size;
        text_put(l->out, word, head);
        l->at += (int)text_width_in(word, head);
        word += head;
        size -= head;
        if (size)
            new_line(l);
    }
}

/* Up to the next blank; a sign of percent stays with its number. */
static size_t word_size(const char *text)
{
    size_t size = strcspn(text, " ");
    return strncmp(text + size, " %", 2) ? size : size + 1 + strcspn(text + size + 1, " ");
}

static void wrap(FILE *out, const char *text, int columns, int first, int rest)
{
    line l = {out, columns, first < 0 ? -first : first, rest};
    bool fresh = true;
    spaces(out, first < 0 ? 0 : first);
    while (*text) {
        size_t size = word_size(text);
        bool fits = l.at + 1 + (int)text_width_in(text, size) <= columns;
        if (!fresh && fits) {
            fputc(' ', out);
            l.at++;
        } else if (!fresh) {
            new_line(&l);
        }
        put_word(&l, text, size);
        fresh = false;
        text += size;
        text += strspn(text, " ");
    }
    fputc('\n', out);
}

bool paragraph_close(paragraph *p, FILE *out, coaming_style style, int first, int rest)
{
    bool good = p->stream && !fclose(p->stream) && p->text;
    if (good)
        wrap(out, p->text, style.columns, first, rest);
    free(p->text); /* from open_memstream */
    return good;
}

bool paragraph_close_in(paragraph *p, FILE *out, coaming_style style, ink colour, int first,
                        int rest)
{
    ink_on(out, style, colour);
    bool good = paragraph_close(p, out, style, first, rest);
    ink_off(out, style, colour);
    return good;
}

bool paragraph_close_list(paragraph *p, bool started, FILE *out, coaming_style style, int first,
                          int rest)
{
    if (started)
        return paragraph_close(p, out, style, first, rest);
    bool opened = p->stream != NULL;
    if (opened)
        fclose(p->stream);
    free(p->text);
    return opened;
}

char *words_end(FILE *out, char **text)
{
    bool lost = !out || ferror(out);
    if (out && !fclose(out) && !lost)
        return *text;
    free(*text);
    return NULL;
}

bool sentence_begin(sentence *s)
{
    *s = (sentence){NULL, NULL, 0, 0};
    s->out = open_memstream(&s->text, &s->size);
    return s->out != NULL;
}

char *sentence_end(sentence *s)
{
    return words_end(s->out, &s->text);
}

void paragraph_item(paragraph *p, bool *started, const char *text)
{
    if (p->stream)
        fprintf(p->stream, "%s%s", *started ? ", " : "", text);
    *started = true;
}

const char *shown(char buffer[SHOWN], const char *text, size_t columns)
{
    text_fit(buffer, SHOWN, text, columns < SHOWN_COLUMNS ? columns : SHOWN_COLUMNS);
    return buffer;
}

/* Those at the end of a number with decimals. */
static void drop_zeros(char *number)
{
    char *end = number + strlen(number);
    while (end[-1] == '0')
        *--end = '\0';
    if (end[-1] == '.')
        end[-1] = '\0';
}

const char *amount(char buffer[SHOWN], double value)
{
    int decimals = fabs(value) >= 100 ? 1 : fabs(value) >= 1 ? 2 : 3;
    if (value != 0 && fabs(value) < 0.001) {
        snprintf(buffer, SHOWN, "<0.001");
        return buffer;
    }
    snprintf(buffer, SHOWN, "%.*f", decimals, value);
    drop_zeros(buffer);
    return buffer;
}

const char *percent(char buffer[SHOWN], double share)
{
    double value = 100 * share;
    int decimals = value >= 10 ? 1 : value >= 0.1 ? 2 : 3;
    snprintf(buffer, SHOWN - 3, "%.*f", decimals, value);
    bool nothing = strtod(buffer, NULL) == 0, certain = strtod(buffer, NULL) >= 100;
    if (certain && share < 1)
        snprintf(buffer, SHOWN, "over 99.9");
    else if (nothing && share > 0)
        snprintf(buffer, SHOWN, "under 0.001");
    else
        drop_zeros(buffer);
    size_t used = strlen(buffer);
    snprintf(buffer + used, SHOWN - used, " %%");
    return buffer;
}

const char *capital(char buffer[SHOWN], const char *text)
{
    snprintf(buffer, SHOWN, "%s", text);
    if (*buffer >= 'a' && *buffer <= 'z')
        *buffer = (char)(*buffer - 'a' + 'A');
    return buffer;
}

const char *counted(char buffer[SHOWN], double count, const char *one, const char *many)
{
    char number[SHOWN];
    snprintf(buffer, SHOWN, "%.100s %s", amount(number, count), count == 1 ? one : many);
    return buffer;
}

bool print_line(FILE *out, coaming_style style, int first, int rest, const char *format, ...)
{
    paragraph p;
    va_list args;
    va_start(args, format);
    if (paragraph_open(&p))
        vfprintf(p.stream, format, args);
    va_end(args);
    return paragraph_close(&p, out, style, first, rest);
}

bool print_words(FILE *out, coaming_style style, ink colour, int first, char *words)
{
    ink_on(out, style, colour);
    bool good = words && (!*words || print_line(out, style, first, first + 2, "%s", words));
    ink_off(out, style, colour);
    free(words);
    return good;
}

bool print_caution(FILE *out, coaming_style style, const char *caution)
{
    paragraph p;
    fputc('\n', out);
    if (paragraph_open(&p))
        fprintf(p.stream, "Caution: %s", caution);
    return paragraph_close(&p, out, style, 0, 2);
}
