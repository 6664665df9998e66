#include <stdio.h>
#include <string.h>

#include "read/import.h"
#include "read/values.h"

/* common: by a heading that means it only where no other does. */
static bool means(const import_list *l, int field, const char *heading, bool common)
{
    const ship_field *f = field_of(l->kind, field);
    if (common)
        return values_word(heading, f->common) >= 0;
    return values_same(heading, field_heading(l->kind, field)) ||
           values_word(heading, f->synonyms) >= 0;
}

static void fault(const import_list *l, coaming_severity severity, const char *message)
{
    faults_add(l->faults, severity, l->shown, 0, coaming_list_word(l->kind), "%s", message);
}

static bool has(const import_list *l, int field)
{
    return l->column[field] >= 0;
}

/* "'A', 'B'" of the headings of a sheet; unused: those only to which no field belongs. Returns how
 * many. */
static size_t list_headings(const import_list *l, bool unused, char *text, size_t size)
{
    size_t count = 0, used = 0;
    *text = '\0';
    for (size_t c = 0; c < csv_table_columns(l->table); c++) {
        bool wanted = false;
        for (int f = 0; f < field_count(l->kind) && unused; f++)
            wanted = wanted || l->column[f] == (int)c;
        if (wanted)
            continue;
        const char *heading = csv_table_heading(l->table, c);
        char brief[TEXT_BRIEF];
        int more = snprintf(text + used, size - used, "%s'%s'", count ? ", " : "",
                            text_brief(brief, heading));
        if (more < 0 || (size_t)more >= size - used) {
            snprintf(text + used, size - used, "%s", size - used > 5 ? ", ..." : "");
            return count + 1;
        }
        used += (size_t)more;
        count++;
    }
    return count;
}

static void lacking(const import_list *l, const char *what)
{
    char headings[400], message[700];
    list_headings(l, false, headings, sizeof headings);
    snprintf(message, sizeof message,
             "there is no column %s; --map says which it is. The headings are %s", what, headings);
    fault(l, COAMING_SEVERITY_ERROR, message);
}

/* The map for a field; NULL: none. */
static const coaming_import_map *map_of(const coaming_import *m, const import_list *l, int field)
{
    for (size_t i = m->options->map_count; i-- > 0;) {
        const coaming_import_map *map = &m->options->maps[i];
        if (map->list == l->kind && values_same(map->field, field_heading(l->kind, field)))
            return map;
    }
    return NULL;
}

static void map_column(import_list *l, int field, const char *column)
{
    if (!*column)
        return; /* not to be read */
    for (size_t c = 0; c < csv_table_columns(l->table); c++)
        if (values_same(csv_table_heading(l->table, c), column))
            l->column[field] = (int)c;
    if (l->column[field] < 0) {
        char what[TEXT_BRIEF + 2];
        snprintf(what, sizeof what, "'%s'", BRIEF(column));
        lacking(l, what);
    }
}

static bool is_mapped(const coaming_import *m, const import_list *l, const char *heading)
{
    for (int f = 0; f < field_count(l->kind); f++) {
        const coaming_import_map *map = map_of(m, l, f);
        if (map && values_same(map->column, heading))
            return true;
    }
    return false;
}

/* Is the column the one of another field, by a heading of that field's own? */
static bool is_taken(const import_list *l, int field, const char *heading)
{
    for (int f = 0; f < field_count(l->kind); f++)
        if (f != field && means(l, f, heading, false))
            return true;
    return false;
}

static void find_column(const coaming_import *m, import_list *l, int field, bool common)
{
    for (size_t c = 0; c < csv_table_columns(l->table); c++) {
        const char *heading = csv_table_heading(l->table, c);
        if (!means(l, field, heading, common) || is_mapped(m, l, heading) ||
            (common && is_taken(l, field, heading)))
            continue;
        if (l->column[field] < 0) {
            l->column[field] = (int)c;
            continue;
        }
        char message[400], one[TEXT_BRIEF];
        const char *first = csv_table_heading(l->table, (size_t)l->column[field]);
        snprintf(message, sizeof message,
                 "'%s' and '%s' could both be the column '%s'; --map says which it is",
                 text_brief(one, first), BRIEF(heading), field_heading(l->kind, field));
        fault(l, COAMING_SEVERITY_ERROR, message);
    }
}

/* Columns that say something only together: if one is missing none is read. */
static void only_together(import_list *l, int first, int last)
{
    bool all = true;
    for (int f = first; f <= last; f++)
        all = all && has(l, f);
    for (int f = first; f <= last && !all; f++)
        l->column[f] = -1;
}

/* Days or results of tests that lack a column are lost, which is more than a column not read. */
static void need_tests(import_list *l)
{
    char message[400];
    int missing = !has(l, LINK_TEST_METHOD) ? LINK_TEST_METHOD
                  : !has(l, LINK_TEST_DATE) ? LINK_TEST_DATE
                                            : LINK_TEST_RESULT;
    l->tests_lost = !has(l, missing) && (has(l, LINK_TEST_DATE) || has(l, LINK_TEST_RESULT));
    snprintf(message, sizeof message,
             "the last tests are not read, and closures are untested: there is no column '%s'%s; "
             "--map says which it is",
             field_heading(l->kind, missing),
             missing == LINK_TEST_METHOD
                 ? ", and whether somebody looked or tested by chalk is not guessed"
                 : "");
    if (l->tests_lost)
        fault(l, COAMING_SEVERITY_WARNING, message);
    only_together(l, LINK_TEST_DATE, LINK_TEST_RESULT);
    for (int f = LINK_TEST_GAPS; f <= LINK_TEST_NOTE && !has(l, LINK_TEST_DATE); f++)
        l->column[f] = -1;
}

/* Of pumps and fans: the attributes that they must have. */
static void require_fields(const import_list *l)
{
    for (int f = 0; f < field_count(l->kind); f++) {
        char what[40];
        snprintf(what, sizeof what, "'%s'", field_heading(l->kind, f));
        if (field_of(l->kind, f)->required && !has(l, f))
            lacking(l, what);
    }
}

static void require_columns(const import_list *l)
{
    if (l->kind == COAMING_LIST_SPACES) {
        if (!has(l, SPACE_ID) && !has(l, SPACE_NUMBER))
            lacking(l, "'id', nor 'number' to take its place");
        return;
    }
    static const int needed[] = {LINK_ID, LINK_KIND, LINK_RATING};
    for (int i = 0; i < (l->kind == COAMING_LIST_CLOSURES ? 3 : 2); i++) {
        char what[40];
        snprintf(what, sizeof what, "'%s'", field_heading(l->kind, needed[i]));
        if (!has(l, needed[i]))
            lacking(l, what);
    }
    if (!has(l, LINK_BETWEEN) && (!has(l, LINK_FROM) || !has(l, LINK_TO)))
        lacking(l, has(l, LINK_FROM) ? "'to'" : has(l, LINK_TO) ? "'from'" : "'from' and 'to'");
}

static void tell_unused(const import_list *l)
{
    char headings[600], message[800];
    size_t count = list_headings(l, true, headings, sizeof headings);
    if (!count)
        return;
    snprintf(message, sizeof message, "%s not read: %s", count == 1 ? "column" : "columns",
             headings);
    fault(l, COAMING_SEVERITY_WARNING, message);
}

void import_columns(coaming_import *m, import_list *l)
{
    for (int f = 0; f < LIST_COLUMNS_MAX; f++)
        l->column[f] = -1;
    for (int f = 0; f < field_count(l->kind); f++) {
        const coaming_import_map *map = map_of(m, l, f);
        if (map)
            map_column(l, f, map->column);
        else
            find_column(m, l, f, false);
        if (!map && !has(l, f))
            find_column(m, l, f, true);
    }
    if (l->kind == COAMING_LIST_PUMPS || l->kind == COAMING_LIST_FANS)
        require_fields(l);
    else
        require_columns(l);
    if (l->kind == COAMING_LIST_SPACES)
        only_together(l, SPACE_X0, SPACE_Z1);
    else if (l->kind <= COAMING_LIST_PASSAGES)
        only_together(l, LINK_X, LINK_LIES);
    if (l->kind == COAMING_LIST_CLOSURES)
        need_tests(l);
    tell_unused(l);
}
