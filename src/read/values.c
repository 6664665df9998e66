#include "read/values.h"

#include <ctype.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

static const char BLANKS[] = " \t\r\n";
static const char NO_BREAK[] = "\xC2\xA0"; /* U+00A0, as spreadsheets pad with */

char *values_trim(char *text)
{
    for (size_t run; (run = strspn(text, BLANKS)) || !strncmp(text, NO_BREAK, 2);)
        text += run ? run : 2;
    for (size_t length = strlen(text); length; length = strlen(text)) {
        if (strchr(BLANKS, text[length - 1]))
            text[length - 1] = '\0';
        else if (length >= 2 && !strcmp(text + length - 2, NO_BREAK))
            text[length - 2] = '\0';
        else
            break;
    }
    return text;
}

bool values_same(const char *a, const char *b)
{
    static const char passed_over[] = " \t\r\n-_.";
    for (;; a++, b++) {
        a += strspn(a, passed_over);
        b += strspn(b, passed_over);
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return false;
        if (!*a)
            return true;
    }
}

int values_word(const char *text, const char *const *words)
{
    for (int i = 0; words[i]; i++)
        if (values_same(text, words[i]))
            return i;
    return -1;
}

const char *values_list(char buffer[VALUES_LIST], const char *const *words)
{
    *buffer = '\0';
    for (size_t i = 0; words[i]; i++) {
        strncat(buffer,
                i == 0         ? ""
                : words[i + 1] ? ", "
                               : " or ",
                VALUES_LIST - strlen(buffer) - 1);
        strncat(buffer, words[i], VALUES_LIST - strlen(buffer) - 1);
    }
    return buffer;
}

const char values_result_words[] =
    "pass (passed, ok, okay, satisfactory), fail (failed, not ok, unsatisfactory) or untested (not "
    "tested, n/a, -)";

value_result values_result(const char *text)
{
    static const char *const pass[] = {"pass", "passed", "ok", "okay", "satisfactory", NULL};
    static const char *const fail[] = {"fail", "failed", "not ok", "unsatisfactory", NULL};
    static const char *const untested[] = {"untested", "not tested", "n/a", "", NULL};
    if (values_word(text, pass) >= 0)
        return RESULT_PASS;
    if (values_word(text, fail) >= 0)
        return RESULT_FAIL;
    return values_word(text, untested) >= 0 ? RESULT_UNTESTED : RESULT_UNKNOWN;
}

const char values_yes_no_words[] = "yes (y, true, 1, x) nor no (n, false, 0, or nothing)";

int values_yes_no(const char *text)
{
    static const char *const yes[] = {"yes", "y", "true", "1", "x", NULL};
    static const char *const no[] = {"no", "n", "false", "0", NULL};
    if (values_word(text, yes) >= 0)
        return 1;
    return values_word(text, no) >= 0 ? 0 : -1;
}

/* Dates. */

/* All that the text could be, were it said: "2026-05-03 by --date-format D/M/Y". How many. */
static int could_be(const char *text, char *all, size_t size)
{
    int fits = 0;
    *all = '\0';
    for (int o = COAMING_DATES_ISO + 1; o < COAMING_DATE_ORDERS_COUNT; o++) {
        char iso[COAMING_DATE_TEXT];
        coaming_date date;
        if (!coaming_date_read(text, (coaming_date_order)o, &date))
            continue;
        size_t used = strlen(all);
        snprintf(all + used, size - used, "%s%s by --date-format %s", fits++ ? " or " : "",
                 coaming_date_format(date, iso), coaming_date_order_word((coaming_date_order)o));
    }
    return fits;
}

bool values_date(const char *text, coaming_date_order order, coaming_date *date,
                 char why[VALUES_WHY])
{
    char all[160];
    if (coaming_date_read(text, order, date))
        return true;
    if (order != COAMING_DATES_ISO) {
        snprintf(why, VALUES_WHY, "is not a date by --date-format %s, nor one such as 2026-09-30",
                 coaming_date_order_word(order));
        return false;
    }
    int fits = could_be(text, all, sizeof all);
    if (fits > 1)
        snprintf(why, VALUES_WHY, "fits more than one way of writing dates: it is %s", all);
    else if (fits)
        snprintf(why, VALUES_WHY, "is not read without being told how dates are written: it is %s",
                 all);
    else
        snprintf(why, VALUES_WHY, "is not a date; write year, month, day, as 2026-09-30");
    return false;
}

/* Gaps. */

const char values_between_gaps[] = " \t\r\n;";

static bool gap_number(const char *text, size_t length, double *value)
{
    char number[64];
    if (length == 0 || length >= sizeof number)
        return false;
    memcpy(number, text, length);
    number[length] = '\0';
    return number_parse(number, value) == NUMBER_OK;
}

/* The word after the second colon; NULL: there is none, which is well. */
static bool read_seen(const char *word, sight *seen, char why[VALUES_GAP_WHY])
{
    char all[VALUES_LIST];
    int known = word ? values_word(word, sight_words) : (int)SEEN_NOTHING;
    if (known < 0) {
        snprintf(why, VALUES_GAP_WHY, "what was seen at a gap '%s' is not known; it must be %s",
                 BRIEF(word), values_list(all, sight_words));
        return false;
    }
    *seen = (sight)known;
    return true;
}

bool values_gap(const char *text, size_t length, gap *g, char why[VALUES_GAP_WHY])
{
    char word[256];
    length = length < sizeof word ? length : sizeof word - 1;
    memcpy(word, text, length);
    word[length] = '\0';
    size_t first = strcspn(word, ":");
    const char *second = word[first] ? word + first + 1 : "";
    size_t long_by = strcspn(second, ":");
    if (!gap_number(word, first, &g->at) || !gap_number(second, long_by, &g->length)) {
        snprintf(why, VALUES_GAP_WHY,
                 "gap '%s' must be AT:LENGTH or AT:LENGTH:SEEN, lengths with a point, such as "
                 "2.10:0.18",
                 BRIEF(word));
        return false;
    }
    if (!read_seen(second[long_by] ? second + long_by + 1 : NULL, &g->seen, why))
        return false;
    if (g->at >= 0 && g->length > 0 && g->at <= 1e6 && g->length <= 1e6)
        return true;
    snprintf(why, VALUES_GAP_WHY, "gap '%s' must begin at 0 or more and be longer than 0",
             BRIEF(word));
    return false;
}

bool values_measure(const char *text, value_measure *m, char why[VALUES_WHY])
{
    static const char *const units[] = {"mm", "in"};
    static const double metres[] = {0.001, 0.0254};
    size_t length = strlen(text);
    *m = (value_measure){0, 0};
    for (int i = 0; i < 2; i++) {
        if (length > 2 && !strcmp(text + length - 2, units[i])) {
            m->unit = metres[i];
            length -= 2;
            break;
        }
    }
    while (length > 0 && text[length - 1] == ' ')
        length--;
    bool good = gap_number(text, length, &m->number) && m->number >= 0;
    if (!good)
        snprintf(why, VALUES_WHY, "must be a length of 0 or more with a point, such as 3.5mm");
    if (!good || m->number * (m->unit > 0 ? m->unit : 1) < MEASURED_MAX)
        return good;
    snprintf(why, VALUES_WHY, "is more than can be%s",
             m->unit > 0 ? "" : "; a number alone is in the unit of the ship's file: write 3.5mm");
    return false;
}
