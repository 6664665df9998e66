#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "read/element.h"
#include "read/import.h"

#define BOUNDED(kind, least, greatest) kind, least, greatest, NULL
#define PLAIN(kind)                    kind, -INFINITY, INFINITY, NULL
#define WORDS(words)                   VALUE_WORD, 0, 0, words

/* In the order of space_columns. Synonyms only where no doubt can arise. */
static const import_field space_fields[SPACE_COLUMN_COUNT] = {
    [SPACE_ID] = {PLAIN(VALUE_TEXT), {"identifier", "spaceid", "compartmentid"}},
    [SPACE_NAME] = {PLAIN(VALUE_LABEL), {"spacename", "compartmentname"}},
    [SPACE_NUMBER] = {PLAIN(VALUE_TEXT), {"compartmentnumber", "compartmentno"}},
    [SPACE_DECK] = {PLAIN(VALUE_TEXT), {NULL}},
    [SPACE_USE] = {PLAIN(VALUE_TEXT), {NULL}},
    [SPACE_PERMEABILITY] = {BOUNDED(VALUE_NUMBER, 0, 1), {NULL}},
    [SPACE_SHELL] = {PLAIN(VALUE_YES_NO), {NULL}},
    [SPACE_PEOPLE] = {BOUNDED(VALUE_NUMBER, 0, AMOUNT_MAX), {NULL}},
    [SPACE_WORTH] = {BOUNDED(VALUE_NUMBER, 0, AMOUNT_MAX), {NULL}},
    [SPACE_VITAL] = {PLAIN(VALUE_YES_NO), {NULL}},
    [SPACE_ENCLOSED] = {PLAIN(VALUE_YES_NO), {"enclosedspace"}},
    [SPACE_WALKABLE] = {PLAIN(VALUE_YES_NO), {NULL}},
    [SPACE_X0] = {PLAIN(VALUE_ALONG), {NULL}},
    [SPACE_X1] = {PLAIN(VALUE_ALONG), {NULL}},
    [SPACE_Y0] = {PLAIN(VALUE_LENGTH), {NULL}},
    [SPACE_Y1] = {PLAIN(VALUE_LENGTH), {NULL}},
    [SPACE_Z0] = {PLAIN(VALUE_LENGTH), {NULL}},
    [SPACE_Z1] = {PLAIN(VALUE_LENGTH), {NULL}},
    [SPACE_BOXES] = {PLAIN(VALUE_TEXT), {"box"}},
    [SPACE_PRISMS] = {PLAIN(VALUE_TEXT), {"prism"}},
};

static const import_field link_fields[CLOSURE_COLUMN_COUNT] = {
    [LINK_ID] = {PLAIN(VALUE_TEXT), {"identifier", "closureid"}},
    [LINK_NAME] = {PLAIN(VALUE_LABEL), {"closurename"}},
    [LINK_KIND] = {WORDS(closure_kind_words), {NULL}},
    [LINK_FROM] = {PLAIN(VALUE_TEXT), {"fromspace"}},
    [LINK_TO] = {PLAIN(VALUE_TEXT), {"tospace"}},
    [LINK_BETWEEN] = {PLAIN(VALUE_TEXT), {NULL}},
    [LINK_X] = {PLAIN(VALUE_ALONG), {NULL}},
    [LINK_Y] = {PLAIN(VALUE_LENGTH), {NULL}},
    [LINK_Z] = {PLAIN(VALUE_LENGTH), {NULL}},
    [LINK_WIDTH] = {BOUNDED(VALUE_LENGTH, 0, INFINITY), {NULL}},
    [LINK_HEIGHT] = {BOUNDED(VALUE_LENGTH, 0, INFINITY), {NULL}},
    [LINK_LIES] = {WORDS(attitude_words), {NULL}},
    [LINK_RATING] = {WORDS(rating_words), {NULL}},
    [LINK_WORKED_FROM] = {PLAIN(VALUE_TEXT), {"testedfrom"}},
    [LINK_SHUT_IN] = {PLAIN(VALUE_TEXT), {NULL}},
    [LINK_HOURS] = {BOUNDED(VALUE_NUMBER, 0, AMOUNT_MAX), {NULL}},
    [LINK_LEAK_PROBABILITY] = {BOUNDED(VALUE_NUMBER, 0, 1), {NULL}},
    [LINK_GASKET_FITTED] = {PLAIN(VALUE_DATE), {NULL}},
    [LINK_DOGS] = {PLAIN(VALUE_TEXT), {NULL}},
    [LINK_TEST_DATE] = {PLAIN(VALUE_DATE), {"lasttestdate"}},
    [LINK_TEST_METHOD] = {WORDS(method_words), {"lasttestmethod"}},
    [LINK_TEST_RESULT] = {WORDS(result_words), {"lasttestresult"}},
    [LINK_TEST_BY] = {PLAIN(VALUE_LABEL), {NULL}},
    [LINK_TEST_NOTE] = {PLAIN(VALUE_LABEL), {NULL}},
};

static const import_field passage_id = {PLAIN(VALUE_TEXT), {"identifier", "passageid"}};
static const import_field passage_name = {PLAIN(VALUE_LABEL), {"passagename"}};
static const import_field passage_kind = {WORDS(passage_kind_words), {NULL}};

const import_field *import_field_of(coaming_list kind, int field)
{
    if (kind == COAMING_LIST_SPACES)
        return &space_fields[field];
    if (kind == COAMING_LIST_PASSAGES && field <= LINK_KIND)
        return field == LINK_ID ? &passage_id : field == LINK_NAME ? &passage_name : &passage_kind;
    return &link_fields[field];
}

int import_fields(coaming_list kind)
{
    if (kind == COAMING_LIST_SPACES)
        return SPACE_COLUMN_COUNT;
    return kind == COAMING_LIST_CLOSURES ? CLOSURE_COLUMN_COUNT : PASSAGE_COLUMN_COUNT;
}

const char *import_heading(coaming_list kind, int field)
{
    return kind == COAMING_LIST_SPACES ? space_columns[field] : link_columns[field];
}

/* Are two headings the same but for upper and lower case, blanks, hyphens, underscores, points? */
static bool same_heading(const char *a, const char *b)
{
    static const char passed_over[] = " \t\r\n-_.";
    for (;; a++, b++) {
        a += strspn(a, passed_over);
        b += strspn(b, passed_over);
        if (tolower((unsigned char)*a) != tolower((unsigned char)*b))
            return false;
        if (!*a)
            return true;
    }
}

static bool means(const import_list *l, int field, const char *heading)
{
    if (same_heading(heading, import_heading(l->kind, field)))
        return true;
    for (const char *const *s = import_field_of(l->kind, field)->synonyms; *s; s++)
        if (same_heading(heading, *s))
            return true;
    return false;
}

static void fault(const import_list *l, coaming_severity severity, const char *message)
{
    faults_add(l->faults, severity, l->shown, 0, coaming_list_word(l->kind), "%s", message);
}

/* "'A', 'B'" of the headings of a sheet; unused: those only to which no field belongs. Returns how
 * many. */
static size_t list_headings(const import_list *l, bool unused, char *text, size_t size)
{
    size_t count = 0, used = 0;
    *text = '\0';
    for (size_t c = 0; c < csv_table_columns(l->table); c++) {
        bool wanted = false;
        for (int f = 0; f < import_fields(l->kind) && unused; f++)
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
        if (map->list == l->kind && same_heading(map->field, import_heading(l->kind, field)))
            return map;
    }
    return NULL;
}

static void map_column(import_list *l, int field, const char *column)
{
    if (!*column)
        return; /* not to be read */
    for (size_t c = 0; c < csv_table_columns(l->table); c++)
        if (same_heading(csv_table_heading(l->table, c), column))
            l->column[field] = (int)c;
    if (l->column[field] < 0) {
        char what[TEXT_BRIEF + 2];
        snprintf(what, sizeof what, "'%s'", BRIEF(column));
        lacking(l, what);
    }
}

static bool is_mapped(const coaming_import *m, const import_list *l, const char *heading)
{
    for (int f = 0; f < import_fields(l->kind); f++) {
        const coaming_import_map *map = map_of(m, l, f);
        if (map && same_heading(map->column, heading))
            return true;
    }
    return false;
}

static void find_column(const coaming_import *m, import_list *l, int field)
{
    for (size_t c = 0; c < csv_table_columns(l->table); c++) {
        const char *heading = csv_table_heading(l->table, c);
        if (!means(l, field, heading) || is_mapped(m, l, heading))
            continue;
        if (l->column[field] < 0) {
            l->column[field] = (int)c;
            continue;
        }
        char message[400], one[TEXT_BRIEF];
        const char *first = csv_table_heading(l->table, (size_t)l->column[field]);
        snprintf(message, sizeof message,
                 "'%s' and '%s' could both be the column '%s'; --map says which it is",
                 text_brief(one, first), BRIEF(heading), import_heading(l->kind, field));
        fault(l, COAMING_SEVERITY_ERROR, message);
    }
}

static bool has(const import_list *l, int field)
{
    return l->column[field] >= 0;
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
        snprintf(what, sizeof what, "'%s'", import_heading(l->kind, needed[i]));
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
    for (int f = 0; f < import_fields(l->kind); f++) {
        const coaming_import_map *map = map_of(m, l, f);
        if (map)
            map_column(l, f, map->column);
        else
            find_column(m, l, f);
    }
    require_columns(l);
    if (l->kind == COAMING_LIST_SPACES)
        only_together(l, SPACE_X0, SPACE_Z1);
    else
        only_together(l, LINK_X, LINK_LIES);
    if (l->kind == COAMING_LIST_CLOSURES)
        only_together(l, LINK_TEST_DATE, LINK_TEST_RESULT);
    tell_unused(l);
}
