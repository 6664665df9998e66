#include <stdio.h>
#include <string.h>

#include "base/error.h"
#include "base/fault.h"
#include "base/file.h"
#include "base/text.h"
#include "csv/table.h"
#include "read/record.h"
#include "read/values.h"

/* Code, heading, and what else is read as it where nothing has that heading. The round's own sheet
 * has the headings of the first kind, and none of the second. */
#define COLUMNS_OF(X)                                                                              \
    X(CLOSURE, "closure", "id", "closure id", "closure no", "door", "door no", "mark", "tag")      \
    X(RESULT, "result", "test result", "as found")                                                 \
    X(METHOD, "method", "test method")                                                             \
    X(GAPS, "gaps", "test gaps")                                                                   \
    X(GAPS_M, "gaps-m", "gaps (m)")                                                                \
    X(SET, "set-mm", "set (mm)", "permanent set (mm)")                                             \
    X(HINGE_PLAY, "hinge-play-mm", "hinge play (mm)")                                              \
    X(SPACE, "space", "test space", "space under pressure")                                        \
    X(START_PRESSURE, "start-pressure-pa", "start pressure (pa)")                                  \
    X(END_PRESSURE, "end-pressure-pa", "end pressure (pa)")                                        \
    X(DURATION, "duration-s", "duration (s)")                                                      \
    X(VOLUME, "volume-m3", "volume (m3)")                                                          \
    X(ACTION, "action", "repair")                                                                  \
    X(RETEST, "retest", "retest result")                                                           \
    X(RETEST_GAPS, "retest-gaps", NULL)                                                            \
    X(DATE, "date", "test date", "date of test", "date tested", "tested on", "last tested")        \
    X(BY, "by", "test by", "tested by", "tester")                                                  \
    X(NOTE, "note", "notes", "test note", "remark", "remarks", "comment", "comments")

enum { HEADINGS_MOST = 9, MM_ROOM = 80 };
#define CODE(code, ...) COLUMN_##code,
enum { COLUMNS_OF(CODE) COLUMNS };
#undef CODE
#define HEADINGS(code, ...) {__VA_ARGS__, NULL},
static const char *const headings[COLUMNS][HEADINGS_MOST] = {COLUMNS_OF(HEADINGS)};
#undef HEADINGS

typedef struct {
    coaming_record *record;
    const csv_table *table;
    const coaming_sheet *asked;
    const char *file;
    int at[COLUMNS]; /* -1: not in the sheet */
    coaming_faults *faults;
} sheet;

/* NULL where the column is missing or the field is blank. */
static const char *field(const sheet *s, const csv_row *row, int column)
{
    const char *text =
        s->at[column] >= 0 ? values_trim(csv_field(row, (size_t)s->at[column])) : NULL;
    return text && *text ? text : NULL;
}

/* The word of the format that is meant; else the text as it is, which record_add refuses. */
static const char *word(const sheet *s, const csv_row *row, int column, const char *const *words)
{
    const char *text = field(s, row, column);
    int known = text ? values_word(text, words) : -1;
    return known >= 0 ? words[known] : text;
}

/* The same of a result; NULL also where it says that nothing was tested. */
static const char *result(const sheet *s, const csv_row *row, int column)
{
    char why[VALUES_WHY];
    const char *text = field(s, row, column);
    value_result read = text ? values_result(text, why) : RESULT_UNTESTED;
    if (read == RESULT_UNTESTED)
        return NULL;
    return read == RESULT_UNKNOWN ? text : result_words[read == RESULT_FAIL]; /* know_results */
}

/* A length in mm, where it does not say otherwise. */
static const char *field_mm(const sheet *s, const csv_row *row, int column, char buffer[MM_ROOM])
{
    const char *text = field(s, row, column);
    if (!text)
        return NULL;
    snprintf(buffer, MM_ROOM, "%.70s%s", text, text[strcspn(text, "mi")] ? "" : "mm");
    return buffer;
}

static coaming_status add(sheet *s, const csv_row *row, coaming_entry entry, coaming_error *error)
{
    coaming_status status =
        coaming_record_add(s->record, &entry, s->file, row->line, s->faults, error);
    return status == COAMING_USAGE ? COAMING_INPUT : status;
}

/* The day of a row; a fault and false if it is none. */
static bool read_date(sheet *s, const csv_row *row, const char *closure, coaming_date *date)
{
    const char *text = field(s, row, COLUMN_DATE);
    const values_reading how = {.dates = s->asked->dates, .latest = INT32_MAX}; /* see record_add */
    char why[VALUES_WHY];
    if (!text || values_date(&how, text, date, why))
        return true;
    record_fault(s->faults, COAMING_SEVERITY_ERROR, s->file, row->line, closure, "date %s", why);
    return false;
}

/* Are the results of a row what results can be? A fault and false where not. */
static bool know_results(const sheet *s, const csv_row *row, const char *closure)
{
    static const int columns[] = {COLUMN_RESULT, COLUMN_RETEST};
    bool known = true;
    for (int i = 0; i < 2; i++) {
        char why[VALUES_WHY];
        const char *text = field(s, row, columns[i]);
        if (!text || values_result(text, why) != RESULT_UNKNOWN)
            continue;
        record_fault(s->faults, COAMING_SEVERITY_ERROR, s->file, row->line, closure, "%s %s",
                     headings[columns[i]][0], why);
        known = false;
    }
    return known;
}

/* As found; in metres or in the unit of the ship's file. A sheet has one of the two columns. */
static const char *found_gaps(const sheet *s, const csv_row *row)
{
    const char *metres = field(s, row, COLUMN_GAPS_M);
    return metres ? metres : field(s, row, COLUMN_GAPS);
}

/* The space alone is no drop: sheets may have it for other ends. */
static bool says_drop(const sheet *s, const csv_row *row)
{
    return field(s, row, COLUMN_START_PRESSURE) || field(s, row, COLUMN_END_PRESSURE) ||
           field(s, row, COLUMN_DURATION) || field(s, row, COLUMN_VOLUME);
}

static void take_drop(const sheet *s, const csv_row *row, coaming_entry *test)
{
    if (!says_drop(s, row))
        return;
    test->space = field(s, row, COLUMN_SPACE);
    test->start_pressure = field(s, row, COLUMN_START_PRESSURE);
    test->end_pressure = field(s, row, COLUMN_END_PRESSURE);
    test->duration = field(s, row, COLUMN_DURATION);
    test->volume = field(s, row, COLUMN_VOLUME);
}

/* What is there that only goes with a result, which is not; NULL: nothing. */
static const char *without_result(const sheet *s, const csv_row *row, const char *found,
                                  const char *again)
{
    if ((!found && found_gaps(s, row)) || (!again && field(s, row, COLUMN_RETEST_GAPS)))
        return "gaps are";
    if (!found && says_drop(s, row))
        return "a drop of pressure is";
    if (!found && (field(s, row, COLUMN_SET) || field(s, row, COLUMN_HINGE_PLAY)))
        return "a set or hinge play is";
    return NULL;
}

/* A row filled in: the test as found, the repair, the test after it. */
static coaming_status take_row(sheet *s, const csv_row *row, coaming_error *error)
{
    const char *by = field(s, row, COLUMN_BY), *closure = field(s, row, COLUMN_CLOSURE);
    const char *method = word(s, row, COLUMN_METHOD, method_words);
    const char *found = result(s, row, COLUMN_RESULT), *again = result(s, row, COLUMN_RETEST);
    const char *action = word(s, row, COLUMN_ACTION, action_words);
    coaming_entry e = {.closure = closure,
                       .date = s->asked->date,
                       .method = method ? method : s->asked->method,
                       .by = by ? by : s->asked->by,
                       .note = field(s, row, COLUMN_NOTE)};
    char set[MM_ROOM], play[MM_ROOM];
    coaming_status status = COAMING_OK;
    bool good = read_date(s, row, closure, &e.date);
    if (!know_results(s, row, closure) || !good)
        return error_set(error, COAMING_INPUT, "%s: a faulty value", s->file);
    const char *what = without_result(s, row, found, again);
    if (what) {
        record_fault(s->faults, COAMING_SEVERITY_ERROR, s->file, row->line, closure,
                     "%s filled in, but no result", what);
        return error_set(error, COAMING_INPUT, "%s: what was found without a result", s->file);
    }
    if (found) {
        coaming_entry test = e;
        test.kind = COAMING_ENTRY_TEST;
        test.result = found;
        test.gaps = found_gaps(s, row);
        test.gaps_in_metres = s->at[COLUMN_GAPS_M] >= 0;
        test.set = field_mm(s, row, COLUMN_SET, set);
        test.hinge_play = field_mm(s, row, COLUMN_HINGE_PLAY, play);
        take_drop(s, row, &test);
        status = add(s, row, test, error);
    }
    if (action && status == COAMING_OK) {
        coaming_entry repair = e;
        repair.kind = COAMING_ENTRY_REPAIR;
        repair.action = action;
        status = add(s, row, repair, error);
    }
    if (again && status == COAMING_OK) {
        coaming_entry test = e;
        test.kind = COAMING_ENTRY_TEST;
        test.result = again;
        test.gaps = field(s, row, COLUMN_RETEST_GAPS);
        status = add(s, row, test, error);
    }
    return status;
}

static bool filled_in(const sheet *s, const csv_row *row)
{
    static const int columns[] = {COLUMN_SET, COLUMN_HINGE_PLAY, COLUMN_ACTION, COLUMN_RETEST_GAPS};
    for (size_t i = 0; i < sizeof columns / sizeof *columns; i++)
        if (field(s, row, columns[i]))
            return true;
    return found_gaps(s, row) || says_drop(s, row) || result(s, row, COLUMN_RESULT) ||
           result(s, row, COLUMN_RETEST);
}

/* Columns. */

static void sheet_fault(const sheet *s, const char *message)
{
    faults_add(s->faults, COAMING_SEVERITY_ERROR, s->file, 1, "sheet", "%s", message);
}

/* The column of one of these headings; a fault where two have one. false: a fault. */
static bool find_column(sheet *s, int column, const char *const *names)
{
    for (size_t c = 0; c < csv_table_columns(s->table); c++) {
        const char *heading = csv_table_heading(s->table, c);
        char message[400];
        if (values_word(heading, names) < 0)
            continue;
        if (s->at[column] < 0) {
            s->at[column] = (int)c;
            continue;
        }
        snprintf(message, sizeof message, "'%s' and '%s' could both be the column '%s'",
                 BRIEF(csv_table_heading(s->table, (size_t)s->at[column])), BRIEF(heading),
                 headings[column][0]);
        sheet_fault(s, message);
        return false;
    }
    return true;
}

static bool has(const sheet *s, int column)
{
    return s->at[column] >= 0;
}

static bool lacks_columns(const sheet *s)
{
    char all[300] = "", message[600];
    if (has(s, COLUMN_CLOSURE) && (has(s, COLUMN_RESULT) || has(s, COLUMN_ACTION)))
        return false;
    for (size_t i = 0; i < csv_table_columns(s->table) && strlen(all) < 200; i++)
        snprintf(all + strlen(all), sizeof all - strlen(all), "%s%.60s", i ? ", " : "",
                 csv_table_heading(s->table, i));
    snprintf(message, sizeof message,
             "needs a column 'closure' and a column 'result' or 'action'; its columns are: %s",
             all);
    sheet_fault(s, message);
    return true;
}

/* The list of closures that export writes is in metres under the heading of anybody's own sheet, which
 * is taken to be in the unit of the ship's file: they are told apart only where both are the same. */
static bool gaps_have_a_unit(const sheet *s)
{
    const coaming_ship *ship = s->record->of;
    char message[400];
    if (has(s, COLUMN_GAPS) && has(s, COLUMN_GAPS_M)) {
        snprintf(message, sizeof message, "'%s' and '%s' are both gaps as found",
                 BRIEF(csv_table_heading(s->table, (size_t)s->at[COLUMN_GAPS])),
                 BRIEF(csv_table_heading(s->table, (size_t)s->at[COLUMN_GAPS_M])));
        sheet_fault(s, message);
        return false;
    }
    const char *heading =
        has(s, COLUMN_GAPS) ? csv_table_heading(s->table, (size_t)s->at[COLUMN_GAPS]) : NULL;
    const char *const own[] = {headings[COLUMN_GAPS][0], NULL};
    if (!heading || values_word(heading, own) >= 0 || (ship && !ship->feet))
        return true;
    snprintf(message, sizeof message,
             "'%s' may be in metres or in the unit of the arrangement%s; head it gaps-m or gaps",
             BRIEF(heading), ship ? ", feet" : "");
    sheet_fault(s, message);
    return false;
}

static bool find_columns(sheet *s)
{
    bool good = true;
    for (int i = 0; i < COLUMNS; i++) {
        const char *const own[] = {headings[i][0], NULL};
        s->at[i] = -1;
        good = find_column(s, i, own) && good;
        if (!has(s, i))
            good = find_column(s, i, headings[i] + 1) && good;
    }
    if (!good || lacks_columns(s) || !gaps_have_a_unit(s))
        return false;
    bool tests = has(s, COLUMN_RESULT) || has(s, COLUMN_RETEST);
    if (!tests || has(s, COLUMN_METHOD) || s->asked->method)
        return true;
    sheet_fault(s,
                "has results but no column 'method': whether somebody looked or tested by chalk is "
                "not guessed; add the column, or give --method if one holds for every row");
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

coaming_status coaming_record_sheet(coaming_record *record, const coaming_sheet *asked,
                                    size_t *skipped, coaming_faults *faults, coaming_error *error)
{
    csv_table *table = NULL;
    size_t none = 0;
    coaming_status status = csv_table_read(asked->path, faults, &table, error);
    if (status != COAMING_OK)
        return status;
    sheet s = {.record = record,
               .table = table,
               .asked = asked,
               .file = file_shown(asked->path),
               .faults = faults};
    status = find_columns(&s) ? take_rows(&s, &none, error)
                              : error_set(error, COAMING_INPUT, "%s: columns are missing", s.file);
    if (skipped)
        *skipped = none;
    csv_table_free(table);
    return status;
}
