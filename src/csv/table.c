#include "csv/table.h"

#include <csv.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "base/error.h"
#include "base/file.h"
#include "base/loaded.h"
#include "base/memory.h"
#include "base/text.h"

struct csv_table {
    arena memory;
    char **headings;
    size_t columns;
    csv_row *rows; /* growing */
    size_t row_count, row_capacity;
};

/* What the parser's callbacks know. */
typedef struct {
    csv_table *table;
    coaming_faults *faults;
    const char *shown;
    char **fields; /* of the row at hand, growing */
    size_t field_count, field_capacity;
    long line, row_line; /* being read; where the row at hand began */
    bool any;            /* has the row at hand any text? */
    bool too_wide;       /* which has been told: nothing is read */
    bool memory_lost;
} sheet;

/* Quotes before a text that a spreadsheet would work out as a formula: the program sets one and
 * takes one. Numbers are none, nor ranges and corners of outlines. The signs in their wide forms
 * are taken for the same by some. */
static bool is_formula(const char *text)
{
    static const char *const signs[] = {
        "=", "+", "-", "@", "\xEF\xBC\x9D", "\xEF\xBC\x8B", "\xEF\xBC\x8D", "\xEF\xBC\xA0"};
    double value;
    if (!text[strspn(text, "0123456789.,;/+- ")] || number_parse(text, &value) == NUMBER_OK)
        return false;
    text += strspn(text, "'");
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++)
        if (!strncmp(text, signs[i], strlen(signs[i])))
            return true;
    return false;
}

/* What csv_text has done to a text. */
static void take_back(char *text)
{
    if (*text == '\'' && is_formula(text))
        memmove(text, text + 1, strlen(text));
    text_unshown(text);
}

#define FAULT(s, at, ...)                                                                          \
    faults_add((s)->faults, COAMING_SEVERITY_ERROR, (s)->shown, (at), "sheet", __VA_ARGS__)

static void on_field(void *text, size_t size, void *data)
{
    sheet *s = data;
    char *kept = arena_new(&s->table->memory, size + 1, 1);
    if (!kept || !MEMORY_ROOM(s->fields, s->field_count, s->field_capacity)) {
        s->memory_lost = true;
        return;
    }
    if (size)
        memcpy(kept, text, size);
    if (!s->field_count)
        s->row_line = s->line;
    if (strlen(kept) != size || !text_is_utf8(kept))
        FAULT(s, s->line, "not UTF-8 text; save the sheet as UTF-8");
    s->any = s->any || *kept;
    take_back(kept);
    s->fields[s->field_count++] = kept;
}

static int by_heading(const void *left, const void *right)
{
    return strcasecmp(*(char *const *)left, *(char *const *)right);
}

/* Each heading that more than one column has is told once. */
static void find_doubled(sheet *s)
{
    const csv_table *t = s->table;
    char **sorted = memory_new(t->columns, sizeof *sorted);
    s->memory_lost = s->memory_lost || !sorted;
    if (!sorted)
        return;
    memcpy(sorted, t->headings, t->columns * sizeof *sorted);
    qsort(sorted, t->columns, sizeof *sorted, by_heading);
    for (size_t i = 1, told = 0; i < t->columns; i++) {
        if (!*sorted[i] || strcasecmp(sorted[i], sorted[i - 1]) != 0)
            told = 0;
        else if (!told++)
            FAULT(s, s->row_line, "two columns are headed '%s'", BRIEF(sorted[i]));
    }
    memory_free(sorted);
}

static void take_headings(sheet *s)
{
    csv_table *t = s->table;
    while (s->field_count && !*s->fields[s->field_count - 1])
        s->field_count--; /* spreadsheets write separators for columns that are empty */
    s->too_wide = s->field_count > CSV_COLUMNS_MAX;
    if (s->too_wide) {
        FAULT(s, s->row_line, "%zu headings, but a sheet has at most %d columns", s->field_count,
              CSV_COLUMNS_MAX);
        return;
    }
    t->headings = arena_new(&t->memory, s->field_count, sizeof *t->headings);
    if (!t->headings) {
        s->memory_lost = true;
        return;
    }
    t->columns = s->field_count;
    memcpy(t->headings, s->fields, s->field_count * sizeof *s->fields);
    for (size_t i = 0; i < t->columns; i++)
        if (text_signs(t->headings[i]) > CSV_HEADING_MAX)
            FAULT(s, s->row_line, "the heading '%s' is longer than %d signs", BRIEF(t->headings[i]),
                  CSV_HEADING_MAX);
    find_doubled(s);
}

static void take_row(sheet *s)
{
    csv_table *t = s->table;
    for (size_t i = t->columns; i < s->field_count; i++) {
        if (*s->fields[i]) {
            FAULT(s, s->row_line, "a row of %zu fields, but there are %zu headings", s->field_count,
                  t->columns);
            break;
        }
    }
    size_t count = s->field_count < t->columns ? s->field_count : t->columns;
    char **fields = arena_new(&t->memory, count, sizeof *fields);
    if (!fields || !MEMORY_ROOM(t->rows, t->row_count, t->row_capacity)) {
        s->memory_lost = true;
        return;
    }
    memcpy(fields, s->fields, count * sizeof *fields);
    t->rows[t->row_count++] = (csv_row){fields, count, s->row_line};
}

static void on_row(int end, void *data)
{
    (void)end;
    sheet *s = data;
    if (s->any && !s->memory_lost && !s->too_wide) {
        if (s->table->headings)
            take_row(s);
        else
            take_headings(s);
    }
    s->field_count = 0;
    s->any = false;
}

/* The separator that stands most often in the first line. */
static unsigned char separator(const char *text, size_t size)
{
    static const char candidates[] = ",;\t";
    size_t most = 0;
    unsigned char best = CSV_COMMA;
    for (const char *c = candidates; *c; c++) {
        size_t count = 0;
        for (size_t i = 0; i < size && text[i] != '\n'; i++)
            count += text[i] == *c;
        if (count > most) {
            most = count;
            best = (unsigned char)*c;
        }
    }
    return best;
}

/* Hands the text over line by line, so that the callbacks know where they are. */
static void parse(sheet *s, struct csv_parser *parser, const char *text, size_t size)
{
    for (size_t at = 0; at < size && !s->memory_lost;) {
        const char *end = memchr(text + at, '\n', size - at);
        size_t length = end ? (size_t)(end - (text + at)) + 1 : size - at;
        s->line++;
        if (csv_parse(parser, text + at, length, on_field, on_row, s) != length)
            break;
        at += length;
    }
    if (!csv_error(parser))
        csv_fini(parser, on_field, on_row, s);
    if (csv_error(parser) == CSV_ENOMEM)
        s->memory_lost = true;
    else if (csv_error(parser))
        faults_add(s->faults, COAMING_SEVERITY_ERROR, s->shown, s->line, "sheet",
                   "quotes that do not match: a field with quotes must begin and end with one, and "
                   "a quote in it stand twice");
}

static coaming_status read_sheet(sheet *s, const char *text, size_t size, coaming_error *error)
{
    static const char mark[] = "\xEF\xBB\xBF";
    struct csv_parser parser;
    size_t skip = size >= 3 && !memcmp(text, mark, 3) ? 3 : 0;
    if (csv_init(&parser, CSV_STRICT | CSV_STRICT_FINI))
        return error_memory(error);
    csv_set_delim(&parser, separator(text + skip, size - skip));
    csv_set_realloc_func(&parser, memory_again);
    csv_set_free_func(&parser, memory_free);
    size_t before = coaming_faults_error_count(s->faults);
    parse(s, &parser, text + skip, size - skip);
    csv_free(&parser);
    if (s->memory_lost)
        return error_memory(error);
    if (!s->table->headings && coaming_faults_error_count(s->faults) == before)
        faults_add(s->faults, COAMING_SEVERITY_ERROR, s->shown, 0, "sheet",
                   "empty; a line of headings is expected");
    return coaming_faults_error_count(s->faults) == before
               ? COAMING_OK
               : error_set(error, COAMING_INPUT, "%s: is not a sound sheet", s->shown);
}

coaming_status csv_table_read(const char *path, coaming_faults *faults, csv_table **table,
                              coaming_error *error)
{
    char *text = NULL;
    size_t size = 0;
    coaming_status status = file_read(path, faults, &text, &size, error);
    if (status != COAMING_OK)
        return status;
    csv_table *t = memory_new(1, sizeof *t);
    sheet s = {.table = t, .faults = faults, .shown = file_shown(path)};
    status = t ? read_sheet(&s, text, size, error) : error_memory(error);
    memory_free(text);
    memory_free(s.fields);
    if (status == COAMING_OK)
        *table = t;
    else
        csv_table_free(t);
    return status;
}

void csv_table_free(csv_table *table)
{
    if (!table)
        return;
    arena_free(&table->memory);
    memory_free(table->rows);
    memory_free(table);
}

size_t csv_table_columns(const csv_table *table)
{
    return table->columns;
}

const char *csv_table_heading(const csv_table *table, size_t column)
{
    return table->headings[column];
}

size_t csv_table_rows(const csv_table *table)
{
    return table->row_count;
}

char *csv_field(const csv_row *row, size_t column)
{
    static char empty[] = "";
    return column < row->count ? row->fields[column] : empty;
}

const csv_row *csv_table_row(const csv_table *table, size_t row)
{
    return &table->rows[row];
}

static void put_shown(FILE *out, const char *text)
{
    char shown[TEXT_SHOWN];
    if (is_formula(text))
        fputc('\'', out);
    while (*text) {
        text += text_kept(text, shown);
        fputs(*shown == '"' ? "\"\"" : shown, out);
    }
}

void csv_text(csv_writer *w, const char *text)
{
    size_t size = text ? strlen(text) : 0;
    if (w->started)
        fputc(',', w->out);
    w->started = true;
    if (!size)
        return;
    bool quoted = text[0] == ' ' || text[size - 1] == ' ' || strpbrk(text, ",;\"");
    fputs(quoted ? "\"" : "", w->out);
    put_shown(w->out, text);
    fputs(quoted ? "\"" : "", w->out);
}

void csv_number(csv_writer *w, double value)
{
    char number[NUMBER_TEXT];
    csv_text(w, isnan(value) ? NULL : number_format(value, number));
}

void csv_end_row(csv_writer *w)
{
    fputs("\r\n", w->out);
    w->started = false;
}

void csv_library(coaming_library *library)
{
    *library = (coaming_library){"libcsv", "LGPL-2.1-or-later", "sheets", "", ""};
    snprintf(library->built, sizeof library->built, "%d.%d.%d", CSV_MAJOR, CSV_MINOR, CSV_RELEASE);
    loaded_from((void (*)(void))csv_init, library->running, sizeof library->running);
}
