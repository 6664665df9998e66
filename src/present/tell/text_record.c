#include "base/error.h"
#include "present/form/style.h"
#include "present/tell/drop_words.h"
#include "present/tell/views.h"

static bool print_test(FILE *out, coaming_style style, const char *id, const char *date,
                       const coaming_entry *e)
{
    paragraph p;
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s, %s: test by %s: %s%s%s%s%s%s%s", id, date, e->method, e->result,
                e->gaps ? ", gaps " : "", e->gaps ? e->gaps : "", e->set ? ", set " : "",
                e->set ? e->set : "", e->hinge_play ? ", hinge play " : "",
                e->hinge_play ? e->hinge_play : "");
        if (e->start_pressure)
            say_drop_words(p.stream, e->start_pressure, e->end_pressure, e->duration);
    }
    return paragraph_close(&p, out, style, 2, 4);
}

static bool print_entry(FILE *out, coaming_style style, const coaming_entry *e,
                        const coaming_entry *undone)
{
    char id[SHOWN], date[COAMING_DATE_TEXT], of[COAMING_DATE_TEXT];
    shown(id, e->closure, 24);
    coaming_date_format(e->date, date);
    switch (e->kind) {
    case COAMING_ENTRY_TEST:
        return print_test(out, style, id, date, e);
    case COAMING_ENTRY_REPAIR:
        return print_line(out, style, 2, 4, "%s, %s: repair: %s", id, date, e->action);
    default:
        return print_line(out, style, 2, 4, "%s, %s: takes back its %s of %s%s%s", id, date,
                          undone->kind == COAMING_ENTRY_TEST ? "test" : "repair",
                          coaming_date_format(undone->date, of),
                          undone->kind == COAMING_ENTRY_TEST ? ": " : "",
                          undone->kind == COAMING_ENTRY_TEST ? undone->result : "");
    }
}

static coaming_status text_record(FILE *out, coaming_style style, const char *log,
                                  const coaming_record *record, size_t skipped,
                                  const coaming_readings *readings, coaming_error *error)
{
    char name[SHOWN], entries[SHOWN];
    bool good =
        print_line(out, style, 0, 2, "%s: %s recorded in %s, which has %zu now.",
                   shown(name, coaming_record_ship(record), 40),
                   counted(entries, (double)coaming_record_count(record), "entry", "entries"), log,
                   coaming_record_log_entry_count(record));
    for (size_t i = 0; i < coaming_record_count(record) && good; i++)
        good = print_entry(out, style, coaming_record_get(record, i),
                           coaming_record_undone(record, i));
    if (skipped && good)
        good = print_line(out, style, 0, 2, "%s of the sheet had nothing filled in.",
                          counted(entries, (double)skipped, "row", "rows"));
    if (!readings) /* nothing is said that could be acted on */
        return good ? COAMING_OK : error_memory(error);
    coaming_status status = print_readings(out, style, readings, error);
    if (status != COAMING_OK)
        return status;
    good = good && print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_record(FILE *out, coaming_style style, const char *log,
                                    const coaming_record *record, size_t skipped,
                                    const coaming_readings *readings, coaming_error *error)
{
    return style.format != COAMING_TEXT
               ? json_record(out, style.format, log, record, skipped, readings, error)
               : text_record(out, style_fit(style), log, record, skipped, readings, error);
}
