#include "present/tell/until_words.h"

#include "base/error.h"
#include "base/memory.h"
#include "present/form/style.h"
#include "present/tell/hold_words.h"
#include "ship/ship.h"

bool coaming_space_has_sheet(const coaming_ship *ship, int space)
{
    return space_is_machinery_or_vital(&ship->spaces[space]);
}

/* Marks the closures among these links. */
static void rest_on(const coaming_ship *ship, bool *on, const int *links, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (!ship->links[links[i]].passage)
            on[links[i]] = true;
}

static void rest_on_line(bool *on, const coaming_hold_line *line)
{
    for (size_t i = 0; i < line->closure_count; i++)
        on[line->closures[i].closure] = true;
}

static void mark(const coaming_ship *ship, bool *on, const coaming_casualty_answer *a)
{
    size_t first = hold_told_first(a->hold);
    for (size_t i = 0; i < a->reached_count; i++)
        rest_on(ship, on, a->reached[i].by, a->reached[i].by_count);
    for (size_t i = 0; i < a->shut_now_count; i++)
        on[a->shut_now[i].closure] = true;
    rest_on(ship, on, a->cannot, a->cannot_count);
    for (size_t i = first; i < first + HOLD_TOLD && i < a->hold->line_count; i++)
        rest_on_line(on, &a->hold->lines[i]);
}

/* Never tested is due before all that has a day. */
static bool earlier(const coaming_due_row *a, const coaming_due_row *b)
{
    return !b || (a->due == COAMING_NO_DATE ? b->due != COAMING_NO_DATE
                                            : b->due != COAMING_NO_DATE && a->due < b->due);
}

coaming_status coaming_casualty_sheet_until(const coaming_casualty_sheet *sheet,
                                            const coaming_due_row **until, size_t *overdue,
                                            coaming_error *error)
{
    const coaming_ship *ship = coaming_outset_ship(sheet->outset);
    bool *on = memory_new(ship->closure_count, sizeof *on);
    *until = NULL;
    *overdue = 0;
    if (!on)
        return error_memory(error);
    for (size_t i = 0; i < coaming_casualty_count(sheet->casualty); i++)
        mark(ship, on, coaming_casualty_get(sheet->casualty, i));
    for (size_t i = 0; i < coaming_due_count(sheet->due); i++) {
        const coaming_due_row *row = coaming_due_get(sheet->due, i);
        if (on[row->closure] && earlier(row, *until))
            *until = row;
    }
    for (size_t i = 0; i < coaming_due_count(sheet->due); i++) {
        const coaming_due_row *row = coaming_due_get(sheet->due, i);
        *overdue += on[row->closure] && row->overdue;
        on[row->closure] = on[row->closure] && !row->overdue; /* each once */
    }
    memory_free(on);
    return COAMING_OK;
}

#define UNTIL_ENTRY "until the next entry in the log."

static void put_overdue(FILE *out, const coaming_due_row *row, const char *id, size_t overdue)
{
    char date[COAMING_DATE_TEXT], more[SHOWN];
    if (row->due == COAMING_NO_DATE)
        fprintf(out, "IN DOUBT ALREADY: %s's test (%s) was never done", id, row->method);
    else
        fprintf(out, "IN DOUBT ALREADY: %s's test (%s) has been due since %s", id, row->method,
                coaming_date_format(row->due, date));
    if (overdue > 1)
        fprintf(out, ", and tests of %s named here are overdue too",
                counted(more, (double)(overdue - 1), "closure more", "closures more"));
    fputs("; true as recorded only " UNTIL_ENTRY, out);
}

char *until_words(const coaming_casualty_sheet *sheet)
{
    char id[SHOWN], date[COAMING_DATE_TEXT], *text = NULL;
    const coaming_due_row *row = NULL;
    size_t overdue = 0, size = 0;
    coaming_error error;
    if (coaming_casualty_sheet_until(sheet, &row, &overdue, &error) != COAMING_OK)
        return NULL;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    if (row)
        shown(id, coaming_closure_id(coaming_outset_ship(sheet->outset), row->closure), 30);
    if (row && row->overdue)
        put_overdue(out, row, id, overdue);
    else if (row)
        fprintf(out, "True as recorded until %s, when %s's test (%s) falls due, or " UNTIL_ENTRY,
                coaming_date_format(row->due, date), id, row->method);
    else
        fputs("True as recorded " UNTIL_ENTRY, out);
    return words_end(out, &text);
}
