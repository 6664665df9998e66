#include "words.h"

#include <string.h>

static const struct {
    coaming_format format;
    const char *word, *meaning;
} formats[] = {{COAMING_TEXT, "text", "for people"},
               {COAMING_JSON, "json", "for programs"},
               {COAMING_CSV, "csv", "for spreadsheets"},
               {COAMING_ICAL, "ical", "for calendars"},
               {COAMING_GRAPHML, "graphml", "for graph programs"},
               {COAMING_DOT, "dot", "for Graphviz"},
               {COAMING_SVG, "svg", "for screens and paper"},
               {COAMING_HTML, "html", "for browsers and paper"}};
enum { FORMATS = sizeof formats / sizeof *formats };

/* Where the format of the command with this number, from 0, stands; FORMATS: it has no more. */
static int format_place(const command *c, int number)
{
    int at = 0;
    for (; at < FORMATS; at++)
        if (c->formats & 1u << formats[at].format && number-- == 0)
            break;
    return at;
}

const char *words_of_format(const command *c, int code)
{
    int at = format_place(c, code);
    return at < FORMATS ? formats[at].word : NULL;
}

coaming_format format_at(const command *c, int code)
{
    int at = format_place(c, code);
    return at < FORMATS ? formats[at].format : COAMING_TEXT;
}

void format_help(const command *c, char *text, size_t size)
{
    *text = '\0';
    for (int number = 0, at; (at = format_place(c, number)) < FORMATS; number++) {
        size_t used = strlen(text);
        snprintf(text + used, size - used, "%s%s %s%s", used ? ", " : "", formats[at].word,
                 formats[at].meaning, used ? "" : " (default)");
    }
}

const char *words_of_measure(const command *c, int code)
{
    (void)c;
    return code < COAMING_MEASURES ? coaming_measure_word((coaming_measure)code) : NULL;
}

const char *words_of_summed(const command *c, int code)
{
    return code < COAMING_MEASURE_FREEBOARD ? words_of_measure(c, code) : NULL;
}

const char *words_of_planned(const command *c, int code)
{
    return code == MEASURE_SURVIVAL ? COAMING_PLAN_SURVIVAL : words_of_summed(c, code);
}

const char *words_of_overlay(const command *c, int code)
{
    (void)c; /* water in time is drawn by flood itself */
    return code < COAMING_OVERLAY_FLOOD ? coaming_overlay_word((coaming_overlay)code) : NULL;
}

const char *words_of_risk(const command *c, int code)
{
    if (code == RISK_NONE && c->takes & OPT_EXPLAIN) /* of a ranking it can be left out */
        return "none";
    return code < COAMING_RISK_METHODS ? coaming_risk_method_word((coaming_risk_method)code) : NULL;
}

const char *words_of_list(const command *c, int code)
{
    (void)c;
    return code < COAMING_LISTS ? coaming_list_word((coaming_list)code) : NULL;
}

const char *words_of_activity(const command *c, int code)
{
    (void)c;
    return code < COAMING_ACTIVITIES ? coaming_activity_word((coaming_activity)code) : NULL;
}

const char *words_of_dates(const command *c, int code)
{
    (void)c;
    return code < COAMING_DATE_ORDERS_COUNT ? coaming_date_order_word((coaming_date_order)code)
                                            : NULL;
}

const char *words_of_hazard(const command *c, int code)
{
    (void)c;
    if (code < COAMING_HAZARDS)
        return coaming_hazard_word((coaming_hazard)code);
    return code == COAMING_HAZARDS ? "both" : NULL;
}

/* The one at `code` of words that end with NULL. */
static const char *at(const char *const *words, int code)
{
    while (*words && code-- > 0)
        words++;
    return *words;
}

static const struct {
    coaming_level_kind kind;
    const char *word;
} levels[] = {{COAMING_LEVEL_EQUILIBRIUM, "equilibrium"},
              {COAMING_LEVEL_STILL, "still"},
              {COAMING_LEVEL_FULL, "full"}};
enum { LEVELS = sizeof levels / sizeof *levels };

const char *words_of_level(const command *c, int code)
{
    (void)c;
    return code < LEVELS ? levels[code].word : NULL;
}

coaming_level_kind level_kind_at(int code)
{
    return levels[code].kind;
}

const char *words_of_standing(const command *c, int code)
{
    static const char *const words[] = {[COAMING_PASS] = "passed",
                                        [COAMING_FAIL] = "failed",
                                        [COAMING_UNTESTED] = "untested",
                                        "all",
                                        NULL};
    (void)c;
    return at(words, code);
}

const char *words_of_method(const command *c, int code)
{
    (void)c;
    return at(coaming_method_words(), code);
}

const char *words_of_result(const command *c, int code)
{
    (void)c;
    return at(coaming_result_words(), code);
}

const char *words_of_action(const command *c, int code)
{
    (void)c;
    return at(coaming_action_words(), code);
}

static const char *words_of_undo(const command *c, int code)
{
    (void)c;
    return code ? NULL : "undo";
}

const char *words_of_entry(const command *c, int code)
{
    static word_list *const lists[] = {words_of_result, words_of_undo, words_of_method,
                                       words_of_action};
    for (size_t l = 0; l < sizeof lists / sizeof *lists; l++) {
        int count = 0;
        while (lists[l](c, count))
            count++;
        if (code < count)
            return lists[l](c, code);
        code -= count;
    }
    return NULL;
}

const char *words_of_unit(const command *c, int code)
{
    static const char *const words[] = {"m", "ft", NULL};
    (void)c;
    return at(words, code);
}

const char *words_of_end(const command *c, int code)
{
    static const char *const words[] = {"fore", "aft", NULL};
    (void)c;
    return at(words, code);
}

const char *words_of_source(const command *c, int code)
{
    static const char *const words[] = {"weather", "sea", NULL};
    (void)c;
    return at(words, code);
}

const char *words_of_start(const command *c, int code)
{
    return code ? NULL : words_of_source(c, code);
}

int word_find(word_list *words, const command *c, int first, const char *word, size_t length)
{
    const char *known;
    for (int code = first; (known = words(c, code)); code++)
        if (strlen(known) == length && !strncmp(known, word, length))
            return code;
    return -1;
}

void words_joined(word_list *words, const command *c, int first, char *text, size_t size)
{
    *text = '\0';
    for (int code = first; words(c, code); code++) {
        size_t used = strlen(text);
        const char *before = !used ? "" : words(c, code + 1) ? ", " : " or ";
        snprintf(text + used, size - used, "%s%s", before, words(c, code));
    }
}
