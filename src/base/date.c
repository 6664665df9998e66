#include "coaming/date.h"

#include <stdio.h>
#include <string.h>
#include <time.h>

static bool leap(int year)
{
    return year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
}

static int month_days(int year, int month)
{
    static const int days[] = {31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31};
    return month == 2 && leap(year) ? 29 : days[month - 1];
}

/* Days from 0000-01-01 to the first day of the year. */
static int days_before_year(int year)
{
    int past = year - 1;
    return year * 365 + past / 4 - past / 100 + past / 400 + 1;
}

static const int EPOCH = 719528; /* days_before_year(1970) */

static coaming_date from_parts(int year, int month, int day)
{
    int days = days_before_year(year) - EPOCH;
    for (int m = 1; m < month; m++)
        days += month_days(year, m);
    return days + day - 1;
}

static bool digits(const char *text, int count, int *value)
{
    *value = 0;
    for (int i = 0; i < count; i++) {
        if (text[i] < '0' || text[i] > '9')
            return false;
        *value = *value * 10 + (text[i] - '0');
    }
    return true;
}

static bool is_day(int year, int month, int day)
{
    return year >= 1900 && year <= 2999 && month >= 1 && month <= 12 && day >= 1 &&
           day <= month_days(year, month);
}

bool coaming_date_parse(const char *text, coaming_date *date)
{
    int year, month, day;
    if (strlen(text) != 10 || text[4] != '-' || text[7] != '-' || !digits(text, 4, &year) ||
        !digits(text + 5, 2, &month) || !digits(text + 8, 2, &day) || !is_day(year, month, day))
        return false;
    *date = from_parts(year, month, day);
    return true;
}

#define ORDER_WORD(code, word) word,
static const char *const order_words[] = {"", COAMING_DATE_ORDERS(ORDER_WORD)};
#undef ORDER_WORD

const char *coaming_date_order_word(coaming_date_order order)
{
    return order_words[order];
}

bool coaming_date_order_parse(const char *word, coaming_date_order *order)
{
    for (int o = COAMING_DATES_ISO + 1; o < COAMING_DATE_ORDERS_COUNT; o++) {
        if (!strcmp(word, order_words[o])) {
            *order = (coaming_date_order)o;
            return true;
        }
    }
    return false;
}

/* By a pattern: D, M and Y stand for numbers, other signs for themselves. */
static bool read_pattern(const char *text, const char *pattern, coaming_date *date)
{
    int day = 0, month = 0, year = 0;
    for (; *pattern; pattern++) {
        int *number = *pattern == 'D'   ? &day
                      : *pattern == 'M' ? &month
                      : *pattern == 'Y' ? &year
                                        : NULL;
        int length = (int)strspn(text, "0123456789");
        if (!number && *text++ != *pattern)
            return false;
        if (!number)
            continue;
        if (number == &year ? length != 4 : length < 1 || length > 2)
            return false;
        digits(text, length, number);
        text += length;
    }
    if (*text || !is_day(year, month, day))
        return false;
    *date = from_parts(year, month, day);
    return true;
}

bool coaming_date_read(const char *text, coaming_date_order order, coaming_date *date)
{
    return coaming_date_parse(text, date) ||
           (order != COAMING_DATES_ISO && read_pattern(text, order_words[order], date));
}

const char *coaming_date_format(coaming_date date, char buffer[COAMING_DATE_TEXT])
{
    if (date == COAMING_NO_DATE) {
        snprintf(buffer, COAMING_DATE_TEXT, "never");
        return buffer;
    }
    int year = 1970 + date / 366, month = 1;
    while (from_parts(year + 1, 1, 1) <= date)
        year++;
    while (from_parts(year, 1, 1) > date)
        year--;
    int day = date - from_parts(year, 1, 1);
    while (day >= month_days(year, month))
        day -= month_days(year, month++);
    snprintf(buffer, COAMING_DATE_TEXT, "%04u-%02u-%02u", (unsigned)year % 10000u,
             (unsigned)month % 100u, (unsigned)(day + 1) % 100u);
    return buffer;
}

coaming_date coaming_date_today(void)
{
    time_t now = time(NULL);
    struct tm parts = {0};
    if (now == (time_t)-1 || !localtime_r(&now, &parts))
        return 0;
    return from_parts(parts.tm_year + 1900, parts.tm_mon + 1, parts.tm_mday);
}
