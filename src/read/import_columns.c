#include <math.h>
#include <stdio.h>
#include <string.h>

#include "read/element.h"
#include "read/import.h"
#include "read/values.h"

#define BOUNDED(kind, least, greatest) kind, least, greatest, NULL
#define PLAIN(kind)                    kind, -INFINITY, INFINITY, NULL
#define WORDS(words)                   VALUE_WORD, 0, 0, words

/* In the order of space_columns. Synonyms only where no doubt can arise. */
static const import_field space_fields[SPACE_COLUMN_COUNT] = {
    [SPACE_ID] = {PLAIN(VALUE_TEXT), NULL, {"identifier", "space id", "compartment id"}, {NULL}},
    [SPACE_NAME] = {PLAIN(VALUE_LABEL),
                    "name (its id is taken)",
                    {"space name", "compartment name"},
                    {"description", "designation"}},
    [SPACE_NUMBER] = {PLAIN(VALUE_TEXT),
                      "number",
                      {"compartment number", "compartment no"},
                      {"space number", "space no"}},
    [SPACE_DECK] = {PLAIN(VALUE_TEXT), "deck", {NULL}, {NULL}},
    [SPACE_USE] = {PLAIN(VALUE_TEXT), "use", {NULL}, {"used for"}},
    [SPACE_PERMEABILITY] = {BOUNDED(VALUE_NUMBER, 0, 1),
                            "permeability (that of its use is taken)",
                            {NULL},
                            {NULL}},
    [SPACE_SHELL] = {PLAIN(VALUE_YES_NO), "shell (no is taken)", {NULL}, {"at the shell"}},
    [SPACE_PEOPLE] = {BOUNDED(VALUE_NUMBER, 0, AMOUNT_MAX),
                      "people (0 is taken)",
                      {NULL},
                      {"crew", "persons"}},
    [SPACE_WORTH] = {BOUNDED(VALUE_NUMBER, 0, AMOUNT_MAX), "worth (1 is taken)", {NULL}, {NULL}},
    [SPACE_VITAL] = {PLAIN(VALUE_YES_NO), "vital (no is taken)", {NULL}, {NULL}},
    [SPACE_ENCLOSED] = {PLAIN(VALUE_YES_NO), "enclosed (yes is taken)", {"enclosed space"}, {NULL}},
    [SPACE_WALKABLE] = {PLAIN(VALUE_YES_NO), "walkable (no is taken)", {NULL}, {NULL}},
    [SPACE_X0] = {PLAIN(VALUE_ALONG), NULL, {NULL}, {NULL}},
    [SPACE_X1] = {PLAIN(VALUE_ALONG), NULL, {NULL}, {NULL}},
    [SPACE_Y0] = {PLAIN(VALUE_LENGTH), NULL, {NULL}, {NULL}},
    [SPACE_Y1] = {PLAIN(VALUE_LENGTH), NULL, {NULL}, {NULL}},
    [SPACE_Z0] = {PLAIN(VALUE_LENGTH), NULL, {NULL}, {NULL}},
    [SPACE_Z1] = {PLAIN(VALUE_LENGTH), NULL, {NULL}, {NULL}},
    [SPACE_BOXES] = {PLAIN(VALUE_TEXT), NULL, {"box"}, {NULL}},
    [SPACE_PRISMS] = {PLAIN(VALUE_TEXT), NULL, {"prism"}, {NULL}},
};

#define OPENING "opening"
#define TEST    "last test"
static const import_field link_fields[CLOSURE_COLUMN_COUNT] = {
    [LINK_ID] = {PLAIN(VALUE_TEXT),
                 NULL,
                 {"identifier", "closure id"},
                 {"closure", "closure no", "door", "door no", "mark", "tag"}},
    [LINK_NAME] = {PLAIN(VALUE_LABEL),
                   "name (its id is taken)",
                   {"closure name"},
                   {"description", "designation"}},
    [LINK_KIND] = {WORDS(closure_kind_words), NULL, {NULL}, {"type", "closure type"}},
    [LINK_FROM] = {PLAIN(VALUE_TEXT), NULL, {"from space"}, {"leads from", "from compartment"}},
    [LINK_TO] = {PLAIN(VALUE_TEXT), NULL, {"to space"}, {"leads to", "to compartment"}},
    [LINK_BETWEEN] = {PLAIN(VALUE_TEXT), NULL, {NULL}, {NULL}},
    [LINK_X] = {PLAIN(VALUE_ALONG), OPENING, {NULL}, {NULL}},
    [LINK_Y] = {PLAIN(VALUE_LENGTH), OPENING, {NULL}, {NULL}},
    [LINK_Z] = {PLAIN(VALUE_LENGTH), OPENING, {NULL}, {NULL}},
    [LINK_WIDTH] = {BOUNDED(VALUE_LENGTH, 0, INFINITY), OPENING, {NULL}, {"clear width"}},
    [LINK_HEIGHT] = {BOUNDED(VALUE_LENGTH, 0, INFINITY), OPENING, {NULL}, {"clear height"}},
    [LINK_LIES] = {WORDS(attitude_words), OPENING, {NULL}, {NULL}},
    [LINK_RATING] = {WORDS(rating_words), NULL, {NULL}, {"tightness"}},
    [LINK_WORKED_FROM] = {PLAIN(VALUE_TEXT),
                          "worked-from (both sides are taken)",
                          {"tested from"},
                          {NULL}},
    [LINK_SHUT_IN] = {PLAIN(VALUE_TEXT), "shut-in (never is taken)", {NULL}, {NULL}},
    [LINK_HOURS] = {BOUNDED(VALUE_NUMBER, 0, AMOUNT_MAX), "hours", {NULL}, {"repair hours"}},
    [LINK_LEAK_PROBABILITY] = {BOUNDED(VALUE_NUMBER, 0, 1), "leak-probability", {NULL}, {NULL}},
    [LINK_PROTECTED] = {PLAIN(VALUE_YES_NO), "protected (no is taken)", {NULL}, {NULL}},
    [LINK_FITTED] = {PLAIN(VALUE_DATE), "fitted", {NULL}, {"date fitted", "fitted on"}},
    [LINK_GASKET_FITTED] = {PLAIN(VALUE_DATE),
                            "gasket-fitted",
                            {NULL},
                            {"gasket date", "gasket renewed"}},
    [LINK_GASKET_SECTION] = {PLAIN(VALUE_LABEL), "gasket-section", {NULL}, {NULL}},
    [LINK_GASKET_JOINTS] = {PLAIN(VALUE_TEXT), "gasket-joints", {NULL}, {NULL}},
    [LINK_DOGS] = {PLAIN(VALUE_TEXT), "dogs", {NULL}, {NULL}},
    [LINK_TEST_DATE] = {PLAIN(VALUE_DATE),
                        TEST,
                        {"last test date"},
                        {"last tested", "tested on", "date tested", "date of test",
                         "date of last test"}},
    [LINK_TEST_METHOD] = {WORDS(method_words), TEST, {"last test method"}, {"method"}},
    [LINK_TEST_RESULT] = {PLAIN(VALUE_RESULT),
                          TEST,
                          {"last test result"},
                          {"result", "last result"}},
    [LINK_TEST_GAPS] = {PLAIN(VALUE_TEXT), "test-gaps", {NULL}, {"gaps"}},
    [LINK_TEST_SET] = {BOUNDED(VALUE_LENGTH, 0, MEASURED_MAX), "test-set", {NULL}, {NULL}},
    [LINK_TEST_HINGE_PLAY] = {BOUNDED(VALUE_LENGTH, 0, MEASURED_MAX),
                              "test-hinge-play",
                              {NULL},
                              {NULL}},
    [LINK_TEST_BY] = {PLAIN(VALUE_LABEL), "test-by", {NULL}, {"tested by", "tester"}},
    [LINK_TEST_NOTE] = {PLAIN(VALUE_LABEL), "test-note", {NULL}, {NULL}},
};

static const import_field passage_id = {PLAIN(VALUE_TEXT),
                                        NULL,
                                        {"identifier", "passage id"},
                                        {"passage", "passage no", "mark", "tag"}};
static const import_field passage_name = {
    PLAIN(VALUE_LABEL), "name (its id is taken)", {"passage name"}, {"description", "designation"}};
static const import_field passage_kind = {WORDS(passage_kind_words), NULL, {NULL}, {"type"}};

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

/* common: by a heading that means it only where no other does. */
static bool means(const import_list *l, int field, const char *heading, bool common)
{
    const import_field *f = import_field_of(l->kind, field);
    if (common)
        return values_word(heading, f->common) >= 0;
    return values_same(heading, import_heading(l->kind, field)) ||
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
        if (map->list == l->kind && values_same(map->field, import_heading(l->kind, field)))
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
    for (int f = 0; f < import_fields(l->kind); f++) {
        const coaming_import_map *map = map_of(m, l, f);
        if (map && values_same(map->column, heading))
            return true;
    }
    return false;
}

/* Is the column the one of another field, by a heading of that field's own? */
static bool is_taken(const import_list *l, int field, const char *heading)
{
    for (int f = 0; f < import_fields(l->kind); f++)
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
                 text_brief(one, first), BRIEF(heading), import_heading(l->kind, field));
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
             import_heading(l->kind, missing),
             missing == LINK_TEST_METHOD
                 ? ", and whether somebody looked or tested by chalk is not guessed"
                 : "");
    if (l->tests_lost)
        fault(l, COAMING_SEVERITY_WARNING, message);
    only_together(l, LINK_TEST_DATE, LINK_TEST_RESULT);
    for (int f = LINK_TEST_GAPS; f <= LINK_TEST_NOTE && !has(l, LINK_TEST_DATE); f++)
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
            find_column(m, l, f, false);
        if (!map && !has(l, f))
            find_column(m, l, f, true);
    }
    require_columns(l);
    if (l->kind == COAMING_LIST_SPACES)
        only_together(l, SPACE_X0, SPACE_Z1);
    else
        only_together(l, LINK_X, LINK_LIES);
    if (l->kind == COAMING_LIST_CLOSURES)
        need_tests(l);
    tell_unused(l);
}
