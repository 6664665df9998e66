/* All of libical: tests that are due as an iCalendar object (RFC 5545). */
#include <ctype.h>
#include <libical/ical.h>
#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/loaded.h"
#include "base/memory.h"
#include "base/text.h"
#include "coaming/present.h"
#include "coaming/version.h"
#include "present/tell/late_words.h"
#include "present/tell/views.h"

/* A calendar date without time or zone. */
static struct icaltimetype ical_date(coaming_date date)
{
    char text[COAMING_DATE_TEXT];
    int year = 0, month = 0, day = 0;
    coaming_date_format(date, text);
    if (sscanf(text, "%d-%d-%d", &year, &month, &day) != 3)
        return icaltime_null_date();
    struct icaltimetype t = icaltime_null_date();
    t.year = year;
    t.month = month;
    t.day = day;
    t.is_date = 1;
    return t;
}

/* A day of its own. From a text, for libical takes no time after the year 3000 for one, and a test
 * of today may fall due after it. */
static icalproperty *date_property(icalproperty_kind kind, coaming_date date)
{
    char text[COAMING_DATE_TEXT], digits[COAMING_DATE_TEXT];
    size_t used = 0;
    for (const char *at = coaming_date_format(date, text); *at; at++)
        if (*at != '-')
            digits[used++] = *at;
    digits[used] = '\0';
    icalproperty *property = icalproperty_new(kind);
    icalvalue *value = icalvalue_new_from_string(ICAL_DATE_VALUE, digits);
    if (property && value)
        icalproperty_set_value(property, value);
    return property;
}

/* Names may hold control characters that no calendar takes. */
static void plain(char *buffer, size_t size, const char *text, size_t columns)
{
    text_fit(buffer, size, text, columns);
}

/* The same for the same test whenever it is written, so that a calendar keeps one entry of it. NULL
 * when out of memory. */
static char *make_uid(const coaming_ship *ship, const coaming_due_row *row)
{
    const char *const parts[] = {ship->links[row->closure].id, row->method, ship->name};
    size_t room = 4, used = 0;
    for (int p = 0; p < 3; p++)
        room += 3 * strlen(parts[p]);
    char *uid = memory_new(room, 1);
    for (int p = 0; uid && p < 3; p++) {
        if (p)
            uid[used++] = p == 2 ? '@' : '-';
        for (const char *at = parts[p]; *at; at++) {
            unsigned char c = (unsigned char)*at;
            if (c < 128 && isalnum(c))
                uid[used++] = (char)c;
            else
                used += (size_t)snprintf(uid + used, room - used, ".%02x", c);
        }
    }
    return uid;
}

static void say_test(char *summary, size_t size, const coaming_ship *ship,
                     const coaming_due_row *row)
{
    char id[161], name[401], since[COAMING_DATE_TEXT], never[SHOWN];
    plain(id, sizeof id, ship->links[row->closure].id, 40);
    plain(name, sizeof name, ship->links[row->closure].name, 100);
    const char *why = row->due == COAMING_NO_DATE ? late_words(never, row) : retest_words(row);
    int used =
        snprintf(summary, size, "%c%s test: %s %s%s%s%s", toupper((unsigned char)*row->method),
                 row->method + 1, id, name, *why ? " (" : "", why, *why ? ")" : "");
    if (row->overdue && row->reason == COAMING_DUE_INTERVAL && used > 0 && (size_t)used < size)
        snprintf(summary + used, size - (size_t)used, " (overdue since %s)",
                 coaming_date_format(row->due, since));
}

static icalcomponent *make_event(const coaming_ship *ship, const coaming_due_row *row,
                                 struct icaltimetype stamp)
{
    char summary[700], text[900], last[COAMING_DATE_TEXT];
    coaming_date day = row->overdue ? ship->as_of : row->due;
    char *uid = make_uid(ship, row);
    if (!uid)
        return NULL;
    say_test(summary, sizeof summary, ship, row);
    snprintf(text, sizeof text, "Last counted test: %s. Interval: %s. %s",
             coaming_date_format(row->last, last), coaming_due_basis_word(row->basis),
             coaming_test_caution());
    icalcomponent *event = icalcomponent_vanew(
        ICAL_VEVENT_COMPONENT, icalproperty_new_uid(uid), icalproperty_new_dtstamp(stamp),
        date_property(ICAL_DTSTART_PROPERTY, day), date_property(ICAL_DTEND_PROPERTY, day + 1),
        icalproperty_new_summary(summary), icalproperty_new_description(text),
        icalproperty_new_categories("TESTS"), icalproperty_new_transp(ICAL_TRANSP_TRANSPARENT),
        (void *)0);
    memory_free(uid);
    return event;
}

/* libical 3.0.16 counts a line's end as part of it and may fold there: between CR and LF, or just
 * before them. Either is taken back to a plain end of line. */
static void put_lines(FILE *out, const char *text)
{
    static const char *const spoilt[] = {"\r\r\n \n", "\r\n \r\n"};
    while (*text) {
        size_t cut = 0;
        for (size_t i = 0; i < 2 && !cut; i++)
            if (!strncmp(text, spoilt[i], strlen(spoilt[i])))
                cut = strlen(spoilt[i]);
        if (cut)
            fputs("\r\n", out);
        else
            fputc(*text, out);
        text += cut ? cut : 1;
    }
}

static coaming_status write_calendar(FILE *out, icalcomponent *calendar, coaming_error *error)
{
    char *text = icalcomponent_as_ical_string_r(calendar);
    if (!text)
        return error_memory(error);
    put_lines(out, text);
    icalmemory_free_buffer(text);
    return COAMING_OK;
}

coaming_status ical_due(FILE *out, const coaming_ship *ship, const coaming_due *due,
                        coaming_error *error)
{
    /* The stamp is the as-of date, so that the same question gives the same bytes. */
    struct icaltimetype stamp = ical_date(ship->as_of);
    stamp.hour = stamp.minute = stamp.second = 0;
    stamp.is_date = 0;
    stamp.zone = icaltimezone_get_utc_timezone();
    icalcomponent *calendar =
        icalcomponent_vanew(ICAL_VCALENDAR_COMPONENT, icalproperty_new_version("2.0"),
                            icalproperty_new_prodid("-//coaming//coaming " COAMING_VERSION "//EN"),
                            icalproperty_new_calscale("GREGORIAN"),
                            icalproperty_new_method(ICAL_METHOD_PUBLISH), (void *)0);
    if (!calendar)
        return error_memory(error);
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < coaming_due_count(due) && status == COAMING_OK; i++) {
        icalcomponent *event = make_event(ship, coaming_due_get(due, i), stamp);
        if (event)
            icalcomponent_add_component(calendar, event);
        else
            status = error_memory(error);
    }
    if (status == COAMING_OK)
        status = write_calendar(out, calendar, error);
    icalcomponent_free(calendar);
    return status;
}

void ical_library(coaming_library *library)
{
    *library =
        (coaming_library){"libical", "LGPL-2.1-only OR MPL-2.0", "calendars", ICAL_VERSION, ""};
    loaded_from((void (*)(void))icalcomponent_free, library->running, sizeof library->running);
}
