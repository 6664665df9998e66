#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/fault.h"
#include "base/file.h"
#include "base/text.h"
#include "csv/table.h"
#include "read/record.h"

enum {
    COLUMN_CLOSURE,
    COLUMN_RESULT,
    COLUMN_METHOD,
    COLUMN_GAPS,
    COLUMN_ACTION,
    COLUMN_RETEST,
    COLUMN_RETEST_GAPS,
    COLUMN_DATE,
    COLUMN_BY,
    COLUMN_NOTE,
    COLUMNS
};
static const char *const headings[COLUMNS] = {"closure", "result",      "method", "gaps", "action",
                                              "retest",  "retest-gaps", "date",   "by",   "note"};

typedef struct {
    coaming_record *record;
    const csv_table *table;
    const char *file;
    int at[COLUMNS]; /* -1: not in the sheet */
    coaming_date date;
    const char *by;
    coaming_faults *faults;
} sheet;

/* NULL where the column is missing or the field is empty. */
static const char *field(const sheet *s, const csv_row *row, int column)
{
    const char *text = s->at[column] >= 0 ? row->fields[s->at[column]] : NULL;
    return text && *text ? text : NULL;
}

static coaming_status add(sheet *s, const csv_row *row, coaming_entry entry, coaming_error *error)
{
    return coaming_record_add(s->record, &entry, s->file, row->line, s->faults, error);
}

/* A row filled in: the test as found, the repair, the test after it. */
static coaming_status take_row(sheet *s, const csv_row *row, coaming_error *error)
{
    const char *date = field(s, row, COLUMN_DATE), *by = field(s, row, COLUMN_BY);
    const char *closure = field(s, row, COLUMN_CLOSURE), *result = field(s, row, COLUMN_RESULT);
    const char *action = field(s, row, COLUMN_ACTION), *retest = field(s, row, COLUMN_RETEST);
    coaming_entry e = {.closure = closure,
                       .date = s->date,
                       .method = field(s, row, COLUMN_METHOD),
                       .by = by ? by : s->by,
                       .note = field(s, row, COLUMN_NOTE)};
    coaming_status status = COAMING_OK;
    if (date && !record_date(s->record, date, s->file, row->line, closure, s->faults, &e.date))
        return error_set(error, COAMING_INPUT, "%s: a faulty date", s->file);
    if ((!result && field(s, row, COLUMN_GAPS)) || (!retest && field(s, row, COLUMN_RETEST_GAPS))) {
        record_fault(s->faults, COAMING_SEVERITY_ERROR, s->file, row->line, closure,
                     "gaps are filled in, but no result");
        return error_set(error, COAMING_INPUT, "%s: gaps without a result", s->file);
    }
    if (result) {
        coaming_entry test = e;
        test.kind = COAMING_ENTRY_TEST;
        test.result = result;
        test.gaps = field(s, row, COLUMN_GAPS);
        status = add(s, row, test, error);
    }
    if (action && status == COAMING_OK) {
        coaming_entry repair = e;
        repair.kind = COAMING_ENTRY_REPAIR;
        repair.action = action;
        status = add(s, row, repair, error);
    }
    if (retest && status == COAMING_OK) {
        coaming_entry test = e;
        test.kind = COAMING_ENTRY_TEST;
        test.result = retest;
        test.gaps = field(s, row, COLUMN_RETEST_GAPS);
        status = add(s, row, test, error);
    }
    return status;
}

static bool filled_in(const sheet *s, const csv_row *row)
{
    static const int columns[] = {COLUMN_RESULT, COLUMN_GAPS, COLUMN_ACTION, COLUMN_RETEST,
                                  COLUMN_RETEST_GAPS};
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
        if (field(s, row, columns[i]))
            return true;
    return false;
}

static bool find_columns(sheet *s)
{
    char all[300] = "";
    for (int i = 0; i < COLUMNS; i++)
        s->at[i] = csv_table_find(s->table, headings[i]);
    if (s->at[COLUMN_CLOSURE] >= 0 && (s->at[COLUMN_RESULT] >= 0 || s->at[COLUMN_ACTION] >= 0))
        return true;
    for (size_t i = 0; i < csv_table_columns(s->table) && strlen(all) < 200; i++)
        snprintf(all + strlen(all), sizeof all - strlen(all), "%s%.60s", i ? ", " : "",
                 csv_table_heading(s->table, i));
    faults_add(s->faults, COAMING_SEVERITY_ERROR, s->file, 1, "sheet",
               "needs a column 'closure' and a column 'result' or 'action'; its columns are: %s",
               all);
    return false;
}

/* Faulty rows are all told; only lost memory stops at once. */
static coaming_status take_rows(sheet *s, size_t *skipped, coaming_error *error)
{
    coaming_status worst = COAMING_OK;
    for (size_t i = 0; i < csv_table_rows(s->table); i++) {
        const csv_row *row = csv_table_row(s->table, i);
        if (!filled_in(s, row)) {
            ++*skipped;
            continue;
        }
        coaming_status status = take_row(s, row, error);
        if (status == COAMING_MEMORY)
            return status;
        worst = status != COAMING_OK ? status : worst;
    }
    return worst;
}

coaming_status coaming_record_sheet(coaming_record *record, const char *path, coaming_date date,
                                    const char *by, size_t *skipped, coaming_faults *faults,
                                    coaming_error *error)
{
    csv_table *table = NULL;
    size_t none = 0;
    coaming_status status = csv_table_read(path, faults, &table, error);
    if (status != COAMING_OK)
        return status;
    sheet s = {.record = record,
               .table = table,
               .file = file_shown(path),
               .date = date,
               .by = by,
               .faults = faults};
    status = find_columns(&s) ? take_rows(&s, &none, error)
                              : error_set(error, COAMING_INPUT, "%s: columns are missing", s.file);
    if (skipped)
        *skipped = none;
    csv_table_free(table);
    return status;
}
