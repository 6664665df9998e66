/* What the ends of closures and passages mean: ids first, then numbers and names. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "read/element.h"
#include "read/import.h"
#include "read/said.h"

static int by_text(const void *left, const void *right)
{
    const import_name *a = left, *b = right;
    int order = strcmp(a->folded, b->folded);
    return order ? order : (a->place > b->place) - (a->place < b->place);
}

static void add_name(coaming_import *m, const char *text, coaming_place place, bool id)
{
    if (!text)
        return;
    const char *folded = import_folded(m, text);
    bool *told = import_new(m, 1, sizeof *told);
    if (folded && told)
        m->names[m->name_count++] = (import_name){folded, text, place, id, told};
}

void import_names(coaming_import *m)
{
    const import_list *l = &m->lists[COAMING_LIST_SPACES];
    m->names = import_new(m, 4 * l->count + 2, sizeof *m->names);
    if (!m->names)
        return;
    for (size_t i = 0; i < l->count; i++) {
        const import_row *row = &l->rows[i];
        add_name(m, row->value[SPACE_ID], (coaming_place)i, true);
        if (row->raw_id && row->value[SPACE_ID] && strcmp(row->raw_id, row->value[SPACE_ID]))
            add_name(m, row->raw_id, (coaming_place)i, true);
        add_name(m, row->value[SPACE_NUMBER], (coaming_place)i, false);
        add_name(m, row->value[SPACE_NAME], (coaming_place)i, false);
    }
    add_name(m, "sea", COAMING_SEA, true);
    add_name(m, "weather", COAMING_WEATHER, true);
    qsort(m->names, m->name_count, sizeof *m->names, by_text);
}

/* Where names begin that are not less than the text. */
static size_t first_name(const coaming_import *m, const char *folded)
{
    size_t low = 0, high = m->name_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (strcmp(m->names[middle].folded, folded) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* The places that a text may mean. */
typedef struct {
    import_name *first, *second; /* of different places; NULL: none */
} meaning;

/* exact: only ids as they are written. */
static meaning find(coaming_import *m, size_t from, const char *folded, const char *exact)
{
    meaning found = {NULL, NULL};
    for (size_t i = from; i < m->name_count && !strcmp(m->names[i].folded, folded); i++) {
        import_name *n = &m->names[i];
        if (exact && (!n->id || strcmp(n->exact, exact)))
            continue;
        if (!found.first)
            found.first = n;
        else if (n->place != found.first->place && !found.second)
            found.second = n;
    }
    return found;
}

static const char *id_of(const coaming_import *m, coaming_place place)
{
    if (place < 0)
        return place == COAMING_SEA ? "sea" : "weather";
    return m->lists[COAMING_LIST_SPACES].rows[place].value[SPACE_ID];
}

/* Its id, or, of a row that has none, what else it goes by in the list. */
static const char *called(const coaming_import *m, const import_name *n)
{
    const char *id = id_of(m, n->place);
    return id ? id : n->exact;
}

static long line_of(const coaming_import *m, coaming_place place)
{
    return place < 0 ? 0 : m->lists[COAMING_LIST_SPACES].rows[place].line;
}

static const char *nth_id(const void *import, size_t i)
{
    const coaming_import *m = import;
    return m->names[i].exact;
}

static void refuse_unknown(coaming_import *m, const import_list *l, import_row *row,
                           const char *name, const char *text)
{
    const char *near =
        m->suggestions++ < SUGGESTIONS_MAX ? text_nearest(text, nth_id, m, m->name_count) : NULL;
    row_refuse(l, row, "%s: " SAID_NO_PLACE "%s%s", name, BRIEF(text),
               near ? "; the nearest is " : "", near ? BRIEF(near) : "");
}

/* Says once what is taken for a text that is not an id. */
static void tell_once(const coaming_import *m, const import_list *l, const import_row *row,
                      const import_name *n, const char *name, const char *text)
{
    if (*n->told)
        return;
    *n->told = true;
    if (n->place < 0)
        row_tell(l, row, "%s '%s' is taken as %s, here and below", name, BRIEF(text),
                 id_of(m, n->place));
    else
        row_tell(l, row, "%s '%s' is taken as space %s (line %ld), here and below", name,
                 BRIEF(text), BRIEF(id_of(m, n->place)), line_of(m, n->place));
}

const char *import_place(coaming_import *m, const import_list *l, import_row *row, int field,
                         const char *text)
{
    const char *name = field_heading(l->kind, field), *folded = import_folded(m, text);
    if (!folded)
        return NULL;
    size_t from = first_name(m, folded);
    meaning found = find(m, from, folded, text);
    bool exact = found.first != NULL;
    if (!exact)
        found = find(m, from, folded, NULL);
    if (!found.first) {
        refuse_unknown(m, l, row, name, text);
        return NULL;
    }
    coaming_place place = found.first->place;
    if (found.second) {
        row_refuse(l, row, "%s: '%s' could be %s (line %ld) or %s (line %ld) of %s", name,
                   BRIEF(text), BRIEF(called(m, found.first)), line_of(m, place),
                   BRIEF(called(m, found.second)), line_of(m, found.second->place),
                   BRIEF(m->lists[COAMING_LIST_SPACES].shown));
        return NULL;
    }
    if (place >= 0 && m->lists[COAMING_LIST_SPACES].rows[place].bad) {
        row_refuse(l, row, "%s: space '%s' (line %ld of %s) was not placed", name, BRIEF(text),
                   line_of(m, place), BRIEF(m->lists[COAMING_LIST_SPACES].shown));
        return NULL;
    }
    if (!exact)
        tell_once(m, l, row, found.first, name, text);
    return id_of(m, place);
}

const char *import_space(coaming_import *m, const import_list *l, import_row *row, int field,
                         const char *text)
{
    const char *id = import_place(m, l, row, field, text);
    if (!id || outside_named(id) == 0)
        return id;
    row_refuse(l, row, "%s: '%s' is no space", field_heading(l->kind, field), BRIEF(text));
    return NULL;
}

void import_hanging(coaming_import *m, const import_list *l, import_row *row, int first, int last)
{
    for (int f = first; f <= last; f++) {
        if (!row->value[f])
            continue;
        row->stake = field_of(l->kind, f)->stake;
        row->value[f] = import_space(m, l, row, f, row->value[f]);
        row->stake = NULL;
    }
}
