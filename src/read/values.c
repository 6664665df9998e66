/* Words and dates. */
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

static int refuse_word(const char *text, const char *words, char why[VALUES_WHY])
{
    snprintf(why, VALUES_WHY, "'%s' is not known; it must be %s", BRIEF(text), words);
    return -1;
}

int values_one_of(const values_reading *how, const char *text, const char *const *words,
                  char why[VALUES_WHY])
{
    char all[VALUES_LIST];
    for (int i = 0; words[i]; i++)
        if (how->exact ? !strcmp(text, words[i]) : values_same(text, words[i]))
            return i;
    return refuse_word(text, values_list(all, words), why);
}

value_result values_result(const char *text, char why[VALUES_WHY])
{
    static const char *const pass[] = {"pass", "passed", "ok", "okay", "satisfactory", NULL};
    static const char *const fail[] = {"fail", "failed", "not ok", "unsatisfactory", NULL};
    static const char *const untested[] = {"untested", "not tested", "n/a", "", NULL};
    if (values_word(text, pass) >= 0)
        return RESULT_PASS;
    if (values_word(text, fail) >= 0)
        return RESULT_FAIL;
    if (values_word(text, untested) >= 0)
        return RESULT_UNTESTED;
    refuse_word(text,
                "pass (passed, ok, okay, satisfactory), fail (failed, not ok, unsatisfactory) or "
                "untested (not tested, n/a, -)",
                why);
    return RESULT_UNKNOWN;
}

bool values_yes_no(const values_reading *how, const char *text, bool *yes, char why[VALUES_WHY])
{
    static const char *const exact[] = {"no", "yes", NULL};
    static const char *const loose_yes[] = {"yes", "y", "true", "1", "x", NULL};
    static const char *const loose_no[] = {"no", "n", "false", "0", NULL};
    int word = -1;
    if (how->exact)
        word = values_one_of(how, text, exact, why);
    else if (values_word(text, loose_yes) >= 0)
        word = 1;
    else if (values_word(text, loose_no) >= 0)
        word = 0;
    else
        refuse_word(text, "yes (y, true, 1, x) or no (n, false, 0, or nothing)", why);
    if (word >= 0)
        *yes = word == 1;
    return word >= 0;
}

/* Texts. */

bool values_id(const char *text, char why[VALUES_WHY])
{
    if (*text && !text[strcspn(text, " \t\r\n,")] && strlen(text) < WORD_SIZE)
        return true;
    snprintf(why, VALUES_WHY, "'%s' is no id: one word without blanks and commas, below %d bytes",
             BRIEF(text), WORD_SIZE);
    return false;
}

bool values_name(const char *text, char why[VALUES_WHY])
{
    size_t signs = text_signs(text);
    if (signs <= NAME_SIGNS_MAX)
        return true;
    snprintf(why, VALUES_WHY, "'%s' is %zu signs long, more than %d", BRIEF(text), signs,
             NAME_SIGNS_MAX);
    return false;
}

bool values_note(const char *text, char why[VALUES_WHY])
{
    size_t size = strlen(text);
    if (size < NOTE_SIZE)
        return true;
    snprintf(why, VALUES_WHY, "'%s' is %zu bytes long; it must be below %d", BRIEF(text), size,
             NOTE_SIZE);
    return false;
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

static bool read_date(const values_reading *how, const char *text, coaming_date *date,
                      char why[VALUES_WHY])
{
    char all[160];
    const char *shown = BRIEF(text);
    coaming_date_order order = how->exact ? COAMING_DATES_ISO : how->dates;
    if (coaming_date_read(text, order, date))
        return true;
    if (order != COAMING_DATES_ISO) {
        snprintf(why, VALUES_WHY,
                 "'%s' is not a date by --date-format %s, nor one such as 2026-09-30", shown,
                 coaming_date_order_word(order));
        return false;
    }
    int fits = how->exact ? 0 : could_be(text, all, sizeof all);
    if (fits > 1)
        snprintf(why, VALUES_WHY, "'%s' fits more than one way of writing dates: it is %s", shown,
                 all);
    else if (fits)
        snprintf(why, VALUES_WHY,
                 "'%s' is not read without being told how dates are written: it is %s", shown, all);
    else
        snprintf(why, VALUES_WHY, "'%s' is not a date; write year, month, day, as 2026-09-30",
                 shown);
    return false;
}

bool values_date(const values_reading *how, const char *text, coaming_date *date,
                 char why[VALUES_WHY])
{
    coaming_date read;
    if (!read_date(how, text, &read, why) || !values_come(read, how->latest, why))
        return false;
    *date = read;
    return true;
}

bool values_come(coaming_date date, coaming_date latest, char why[VALUES_WHY])
{
    char one[COAMING_DATE_TEXT], two[COAMING_DATE_TEXT];
    if (date <= latest)
        return true;
    snprintf(why, VALUES_WHY, "%s is still to come; dates go up to %s",
             coaming_date_format(date, one), coaming_date_format(latest, two));
    return false;
}

bool values_since_fitted(coaming_date date, coaming_date fitted, char why[VALUES_WHY])
{
    char one[COAMING_DATE_TEXT], two[COAMING_DATE_TEXT];
    if (date >= fitted)
        return true;
    snprintf(why, VALUES_WHY, "%s is before the closure was fitted, %s; one of the two is wrong",
             coaming_date_format(date, one), coaming_date_format(fitted, two));
    return false;
}
