#include <math.h>

#include "base/error.h"
#include "present/form/style.h"
#include "present/tell/drop_words.h"
#include "present/tell/heading.h"
#include "present/tell/remedy_words.h"
#include "present/tell/standing_words.h"
#include "present/tell/views.h"

static void say_print(FILE *out, const coaming_history_row *row)
{
    char number[SHOWN];
    if (row->gap_count)
        fprintf(out, ", %zu %s", row->gap_count, row->gap_count == 1 ? "gap" : "gaps");
    if (!isnan(row->printed))
        fprintf(out, ", printed %s", percent(number, row->printed));
    if (row->edge_count)
        fputs(", partly off the middle of the gasket", out);
    if (!isnan(row->set))
        fprintf(out, ", permanent set %s mm", amount(number, row->set * 1000));
    if (!isnan(row->hinge_play))
        fprintf(out, ", hinge play %s mm", amount(number, row->hinge_play * 1000));
    if (row->dropped)
        say_drop(out, &row->drop);
}

static bool print_row(FILE *out, coaming_style style, const coaming_history_row *row)
{
    char date[COAMING_DATE_TEXT], undone[COAMING_DATE_TEXT], by[SHOWN], note[SHOWN];
    bool fail = row->test && row->result == COAMING_FAIL;
    paragraph p;
    ink colour = row->undone ? INK_PLAIN : fail ? INK_BAD : INK_PLAIN;
    ink_on(out, style, colour);
    if (paragraph_open(&p)) {
        fprintf(p.stream, "%s: %s %s", coaming_date_format(row->date, date),
                row->test ? "test by" : "repair:", row->what);
        if (row->test)
            fprintf(p.stream, ": %s", fail ? "FAIL" : "pass");
        say_print(p.stream, row);
        if (row->by)
            fprintf(p.stream, ", by %s", shown(by, row->by, 20));
        if (row->note)
            fprintf(p.stream, " (%s)", shown(note, row->note, 60));
        if (row->undone)
            fprintf(p.stream, " - taken back %s%s%s%s%s%s, does not count",
                    coaming_date_format(row->undone_on, undone), row->undone_by ? " by " : "",
                    row->undone_by ? shown(by, row->undone_by, 20) : "",
                    row->undone_note ? " (" : "",
                    row->undone_note ? shown(note, row->undone_note, 60) : "",
                    row->undone_note ? ")" : "");
    }
    bool good = paragraph_close(&p, out, style, 2, 14);
    ink_off(out, style, colour);
    return good;
}

static bool print_figures(FILE *out, coaming_style style, const coaming_history *h)
{
    char tests[SHOWN], repairs[SHOWN], failures[SHOWN], days[SHOWN], since[COAMING_DATE_TEXT];
    fputc('\n', out);
    bool good = print_line(out, style, 0, 2, "%s, %s, %s found.",
                           counted(tests, (double)h->tests, "test", "tests"),
                           counted(repairs, (double)h->repairs, "repair", "repairs"),
                           counted(failures, (double)h->failures, "failure", "failures"));
    if (!isnan(h->between))
        good = good && print_line(out, style, 0, 2, "Between failures found: %s days on average.",
                                  amount(days, h->between));
    if (!isnan(h->trend))
        good = good &&
               print_line(out, style, 0, 2,
                          "Printed fraction since %s: %+.1f percentage points a year, by "
                          "%zu prints (straight line, least squares).",
                          coaming_date_format(h->since, since), 100 * h->trend, h->print_count);
    return good;
}

static coaming_status text_history(FILE *out, coaming_style style, const coaming_ship *ship,
                                   int closure, const coaming_history *h, coaming_error *error)
{
    const ship_link *l = &ship->links[closure];
    char id[SHOWN], name[SHOWN], title[2 * SHOWN], date[COAMING_DATE_TEXT];
    snprintf(title, sizeof title, "%s %s, tests and repairs", shown(id, l->id, 24),
             shown(name, l->name, 40));
    bool good = print_title(out, style, ship, title);
    if (l->gasket_fitted != COAMING_NO_DATE)
        good = good && print_line(out, style, 0, 2, "Gasket fitted %s.",
                                  coaming_date_format(l->gasket_fitted, date));
    good = good && print_line(out, style, 0, 2, "So far: %s.", standing_words(name, ship, closure));
    fputs(h->count ? "\n" : "\n  Nothing is recorded.\n", out);
    for (size_t i = 0; i < h->count && good; i++)
        good = print_row(out, style, &h->rows[i]);
    good =
        good && print_figures(out, style, h) && print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_history(FILE *out, coaming_style style, const coaming_ship *ship,
                                     int closure, const coaming_history *history,
                                     coaming_error *error)
{
    switch (style.format) {
    case COAMING_JSON:
        return json_history(out, ship, closure, history, error);
    case COAMING_CSV:
        return csv_history(out, ship, closure, history);
    default:
        return text_history(out, style_fit(style), ship, closure, history, error);
    }
}
