#include "present/form/style.h"

#include <math.h>
#include <stdarg.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/tell/float_words.h"
#include "present/tell/level_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

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
        fwrite(word, 1, head, l->out);
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

ink result_ink(coaming_result result)
{
    return result == COAMING_FAIL ? INK_BAD : result == COAMING_UNTESTED ? INK_DOUBT : INK_PLAIN;
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
    return strcat(buffer, " %");
}

const char *counted(char buffer[SHOWN], double count, const char *one, const char *many)
{
    char number[SHOWN];
    snprintf(buffer, SHOWN, "%.100s %s", amount(number, count), count == 1 ? one : many);
    return buffer;
}

bool print_title(FILE *out, coaming_style style, const coaming_ship *ship, const char *what)
{
    char name[SHOWN];
    paragraph p;
    ink_on(out, style, INK_STRONG);
    if (paragraph_open(&p))
        fprintf(p.stream, "%s: %s", shown(name, ship->name, 40), what);
    bool good = paragraph_close(&p, out, style, 0, 2);
    ink_off(out, style, INK_STRONG);
    return good;
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

bool print_heading(FILE *out, coaming_style style, const coaming_ship *ship, coaming_query query,
                   const char *what)
{
    return print_title(out, style, ship, what) && print_scope(out, style, ship, query);
}

bool print_state(FILE *out, coaming_style style, const coaming_ship *ship, int condition)
{
    char date[COAMING_DATE_TEXT], words[SHOWN];
    return print_line(out, style, 0, 2, "As last tested by %s; %s.",
                      coaming_date_format(ship->as_of, date),
                      shown(words, condition_words(ship, condition), 30));
}

bool print_let_in(FILE *out, coaming_style style, const coaming_ship *ship, coaming_query query)
{
    char *words = NULL;
    if (let_in_words(ship, query, &words, NULL) != COAMING_OK)
        return false;
    ink_on(out, style, INK_BAD);
    bool good = !words || print_line(out, style, 0, 2, "%s", words);
    ink_off(out, style, INK_BAD);
    free(words);
    return good;
}

bool print_scope(FILE *out, coaming_style style, const coaming_ship *ship, coaming_query query)
{
    char level[SHOWN];
    bool good = print_state(out, style, ship, query.condition);
    if (!good || !query.hazard[COAMING_WATER])
        return good;
    return print_line(out, style, 0, 2, "%s", level_sentence(level, ship, query.level)) &&
           print_let_in(out, style, ship, query);
}

#define CAUTION_START                                                                              \
    "Worked out from the arrangement and the tests as recorded: water is one level plane that "    \
    "fills all it can reach, bad air goes by every open way, and closures are taken as shut by "   \
    "condition, not as seen. "
#define CAUTION_FLOAT                                                                              \
    "She floats in still water, at rest, tight up to her deck, with nothing shifting, no wind "    \
    "and "                                                                                         \
    "no waves. "
#define CAUTION_END                                                                                \
    "A chalk print shows contact, not tightness. Ship's orders, class, flag and licensed "         \
    "practice "                                                                                    \
    "decide."

const char *coaming_caution(void)
{
    return CAUTION_START CAUTION_END;
}

const char *coaming_test_caution(void)
{
    return "Worked out from the register and the log as they stand; intervals, minutes and "
           "distances marked as assumptions are that. " CAUTION_END;
}

const char *coaming_caution_at(coaming_level level)
{
    return level.kind == COAMING_LEVEL_EQUILIBRIUM ? CAUTION_START CAUTION_FLOAT CAUTION_END
                                                   : coaming_caution();
}

#define CAUTION_HOLD                                                                               \
    "Chances rest on assumed ageing of gaskets and on closures failing independently of each "     \
    "other, and say nothing of heat, of pressure beyond what a closure is made for, or of a way "  \
    "that is not recorded. "

const char *coaming_hold_caution(coaming_level level)
{
    return level.kind == COAMING_LEVEL_EQUILIBRIUM
               ? CAUTION_START CAUTION_HOLD CAUTION_FLOAT CAUTION_END
               : CAUTION_START CAUTION_HOLD CAUTION_END;
}

bool print_caution(FILE *out, coaming_style style, const char *caution)
{
    paragraph p;
    fputc('\n', out);
    if (paragraph_open(&p))
        fprintf(p.stream, "Caution: %s", caution);
    return paragraph_close(&p, out, style, 0, 2);
}
