#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"
#include "present/form/style.h"
#include "present/tell/heading.h"
#include "present/tell/late_words.h"
#include "present/tell/views.h"

static const char *shown_why(char buffer[SHOWN], const coaming_due_row *row)
{
    char date[COAMING_DATE_TEXT];
    coaming_date_format(row->reason == COAMING_DUE_REPAIRED ? row->due : row->last, date);
    switch (row->reason) {
    case COAMING_DUE_FAILED:
        snprintf(buffer, SHOWN, "FAILED %s", date);
        break;
    case COAMING_DUE_REPAIRED:
        snprintf(buffer, SHOWN, "repaired %s", date);
        break;
    case COAMING_DUE_NEVER:
        snprintf(buffer, SHOWN, "due every %d d", row->days);
        break;
    default:
        snprintf(buffer, SHOWN, "last %s", date);
        break;
    }
    return buffer;
}

typedef struct {
    FILE *out;
    coaming_style style;
    const coaming_ship *ship;
    int id_width, name_width;
    bool weighed, narrow; /* narrow: two lines for each */
} table;

static void print_cell(FILE *out, const char *text, int width)
{
    fprintf(out, "%s%*s ", text,
            width - (int)text_width(text) > 0 ? width - (int)text_width(text) : 0, "");
}

static void print_row(const table *t, const coaming_due_row *row)
{
    const ship_link *l = &t->ship->links[row->closure];
    char id[SHOWN], name[SHOWN], late[SHOWN], why[SHOWN], number[SHOWN];
    ink colour = row->reason == COAMING_DUE_FAILED ? INK_BAD : row->overdue ? INK_DOUBT : INK_PLAIN;
    fputs("  ", t->out);
    print_cell(t->out, shown(id, l->id, (size_t)t->id_width), t->id_width);
    if (t->name_width >= 8)
        print_cell(t->out, shown(name, l->name, (size_t)t->name_width), t->name_width);
    print_cell(t->out, row->method, 10);
    ink_on(t->out, t->style, colour);
    print_cell(t->out, late_words(late, row), 12);
    ink_off(t->out, t->style, colour);
    if (t->narrow)
        fputs("\n      ", t->out);
    if (t->weighed) {
        print_cell(t->out, shown_why(why, row), 19);
        fprintf(t->out, "%8s\n", amount(number, row->urgency));
    } else {
        fprintf(t->out, "%s\n", shown_why(why, row));
    }
}

static table make_table(FILE *out, coaming_style style, const coaming_ship *ship,
                        const coaming_due *due)
{
    table t = {out, style, ship, 4, 0, false, false};
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        int width = (int)text_width(ship->links[coaming_due_get(due, i)->closure].id);
        t.id_width = width > t.id_width ? width : t.id_width;
    }
    if (t.id_width > 16)
        t.id_width = 16;
    t.weighed = coaming_due_count(due) && !isnan(coaming_due_get(due, 0)->urgency);
    t.name_width = style.columns - t.id_width - 48 - (t.weighed ? 9 : 0);
    t.narrow = t.name_width < 0;
    if (t.narrow && t.id_width > style.columns - 28)
        t.id_width = style.columns - 28;
    if (t.name_width > 40)
        t.name_width = 40;
    return t;
}

/* Where the intervals come from that were used. */
static bool print_bases(FILE *out, coaming_style style, const coaming_due *due)
{
    bool solas = false, assumed = false;
    for (size_t i = 0; i < coaming_due_count(due); i++) {
        solas = solas || coaming_due_get(due, i)->basis == COAMING_BASIS_SOLAS;
        assumed = assumed || coaming_due_get(due, i)->basis == COAMING_BASIS_ASSUMED;
    }
    bool good = true;
    if (solas || assumed)
        fputc('\n', out);
    if (solas)
        good = print_line(
            out, style, 0, 2,
            "Visual tests every 7 days are the weekly inspection of SOLAS II-1/21, " MAY_NOT_BIND
            "; any test counts as one.");
    if (assumed)
        good = good && print_line(out, style, 0, 2,
                                  "Other intervals are assumptions " WHERE_NONE
                                  ": <interval kind= method= days=/> replaces them.");
    return good;
}

/* What stands untested and will for ever, by the intervals that there are. */
static bool print_unproved(FILE *out, coaming_style style, const coaming_ship *ship,
                           const coaming_due *due)
{
    enum { NAMED_MOST = 12 };
    paragraph p;
    char id[SHOWN];
    size_t found = 0;
    for (size_t i = 0; i < ship->closure_count; i++)
        found += coaming_due_unproved(due, (int)i);
    if (!found)
        return true;
    if (paragraph_open(&p)) {
        fputs("Untested, and no interval asks for a test that would prove that they hold "
              "(<interval kind= method= days=/> can):",
              p.stream);
        size_t named = 0;
        for (size_t i = 0; i < ship->closure_count && named < NAMED_MOST; i++)
            if (coaming_due_unproved(due, (int)i))
                fprintf(p.stream, "%s %s", named++ ? "," : "", shown(id, ship->links[i].id, 24));
        if (found > NAMED_MOST)
            fprintf(p.stream, " and %zu more", found - NAMED_MOST);
        fputc('.', p.stream);
    }
    fputc('\n', out);
    return paragraph_close(&p, out, style, 0, 2);
}

static coaming_status text_due(FILE *out, coaming_style style, const coaming_ship *ship,
                               const coaming_due *due, coaming_error *error)
{
    char date[COAMING_DATE_TEXT], tests[SHOWN];
    size_t count = coaming_due_count(due);
    table t = make_table(out, style, ship, due);
    bool good = print_title(out, style, ship, "which tests are due") &&
                print_line(out, style, 0, 2, "On %s: %s%s.", coaming_date_format(ship->as_of, date),
                           due_count_words(tests, due),
                           t.weighed ? "; overdue first, then by what failure would cost and how "
                                       "long ago the last test was"
                                     : "");
    if (count)
        fputc('\n', out);
    for (size_t i = 0; i < count; i++)
        print_row(&t, coaming_due_get(due, i));
    good = good && print_unproved(out, style, ship, due) && print_bases(out, style, due) &&
           print_caution(out, style, coaming_test_caution());
    return good ? COAMING_OK : error_memory(error);
}

coaming_status coaming_print_due(FILE *out, coaming_style style, const coaming_ship *ship,
                                 const coaming_due *due, coaming_error *error)
{
    switch (style.format) {
    case COAMING_JSON:
        return json_due(out, ship, due, error);
    case COAMING_CSV:
        return csv_due(out, ship, due);
    case COAMING_ICAL:
        return ical_due(out, ship, due, error);
    default:
        return text_due(out, style_fit(style), ship, due, error);
    }
}
