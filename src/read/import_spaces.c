#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "read/element.h"
#include "read/import.h"
#include "ship/number.h"

void import_fit_id(coaming_import *m, const import_list *l, import_row *row)
{
    static const char unfit[] = " \t\r\n,";
    const char *raw = row->value[0];
    char *fit = import_new(m, strlen(raw) + 1, 1);
    if (!fit)
        return;
    size_t length = 0;
    for (const char *at = raw; *at;) {
        size_t run = strspn(at, unfit);
        fit[length++] = run ? '-' : *at;
        at += run ? run : 1;
    }
    if (length >= WORD_SIZE) {
        row_refuse(l, row, "its id is too long: %d bytes or more", WORD_SIZE);
        return;
    }
    if (strcmp(fit, raw))
        row_tell(l, row, "its id '%s' is written as %s: ids have no blanks and commas", BRIEF(raw),
                 BRIEF(fit));
    row->value[0] = fit;
}

static const char *row_id(const void *list, size_t i)
{
    const char *id = ((import_row *const *)list)[i]->value[0];
    return id ? id : "";
}

/* Refuses every row whose id is that of a row before it. lists: of each row. */
static void refuse_same_ids(coaming_import *m, import_row **rows, const import_list **lists,
                            size_t count)
{
    id_index index;
    if (!id_index_make(&index, &m->memory, count, row_id, rows)) {
        m->memory_lost = true;
        return;
    }
    size_t first = 0;
    for (size_t i = 1; i < count; i++) {
        if (strcmp(index.ids[first], index.ids[i]))
            first = i;
        else if (*index.ids[i])
            row_refuse(lists[index.index[i]], rows[index.index[i]],
                       "its id %s is already taken at line %ld of %s", BRIEF(index.ids[i]),
                       rows[index.index[first]]->line, BRIEF(lists[index.index[first]]->shown));
    }
}

bool import_read(coaming_import *m, coaming_list first, coaming_list last, import_take *read)
{
    size_t room = 0, count = 0;
    for (int k = (int)first; k <= (int)last; k++)
        room += m->lists[k].count;
    import_row **rows = import_new(m, room, sizeof *rows);
    const import_list **lists = import_new(m, room, sizeof *lists);
    if (!rows || !lists)
        return false;
    for (int k = (int)first; k <= (int)last; k++) {
        import_list *l = &m->lists[k];
        for (size_t i = 0; i < l->count; i++) {
            read(m, l, &l->rows[i]);
            lists[count] = l;
            rows[count++] = &l->rows[i];
        }
    }
    refuse_same_ids(m, rows, lists, count);
    return true;
}

void import_count(coaming_import *m, coaming_list first, coaming_list last, import_take *count)
{
    for (int k = (int)first; k <= (int)last && !m->memory_lost; k++) {
        import_list *l = &m->lists[k];
        for (size_t i = 0; i < l->count; i++) {
            if (l->rows[i].bad)
                continue;
            count(m, l, &l->rows[i]);
            m->counts.placed[k]++;
            m->counts.spoilt[k] += l->rows[i].spoilt;
        }
    }
}

/* Decks: by id, else by number or name where exactly one has it, upper and lower case alike. */

static bool is_called(const coaming_import_deck *deck, const char *text)
{
    return !strcasecmp(deck->id, text) || (*deck->number && !strcasecmp(deck->number, text)) ||
           (deck->name && !strcasecmp(deck->name, text));
}

static const char *nth_deck(const void *decks, size_t i)
{
    return ((const coaming_import_deck *)decks)[i].id;
}

static void find_deck(const coaming_import *m, const import_list *l, import_row *row)
{
    const coaming_import_options *o = m->options;
    const char *text = row->value[SPACE_DECK];
    const coaming_import_deck *found = NULL;
    size_t called = 0;
    for (size_t i = 0; i < o->deck_count; i++) {
        if (!strcmp(o->decks[i].id, text))
            return;
        if (is_called(&o->decks[i], text)) {
            found = &o->decks[i];
            called++;
        }
    }
    const char *near = o->deck_count ? text_nearest(text, nth_deck, o->decks, o->deck_count) : NULL;
    row->value[SPACE_DECK] = called == 1 ? found->id : NULL;
    if (called == 1) {
        row_tell(l, row, "its deck '%s' is taken as deck %s", BRIEF(text), BRIEF(found->id));
        return;
    }
    row->stake = field_of(l->kind, SPACE_DECK)->stake;
    if (called)
        row_refuse(l, row, "its deck '%s' could be any of %zu decks", BRIEF(text), called);
    else
        row_refuse(l, row, "deck '%s' is not given (--deck NUMBER:ID:Z)%s%s", BRIEF(text),
                   near ? "; the nearest is " : "", near ? BRIEF(near) : "");
    row->stake = NULL;
}

/* The uses that give a permeability (SOLAS II-1/7-3; see spaces.c), in small letters. */
static bool known_use(import_row *row)
{
    static const char *const uses[] = {"stores", "machinery", "accommodation", "void", "tank"};
    for (size_t i = 0; row->value[SPACE_USE] && i < sizeof uses / sizeof *uses; i++) {
        if (!strcasecmp(row->value[SPACE_USE], uses[i])) {
            row->value[SPACE_USE] = uses[i];
            return true;
        }
    }
    return false;
}

/* Where it cannot be read what keeps people out of harm is taken. */
static void keep_safe(import_row *row)
{
    if (row_says(row, SPACE_ENCLOSED) && !row->value[SPACE_ENCLOSED])
        row->value[SPACE_ENCLOSED] = "yes";
    if (row_says(row, SPACE_WALKABLE) && !row->value[SPACE_WALKABLE])
        row->value[SPACE_WALKABLE] = "no";
}

static void read_space(coaming_import *m, const import_list *l, import_row *row)
{
    const char *number = row->value[SPACE_NUMBER];
    row->numbered = number && number_split(number, &row->number);
    if (!row_says(row, SPACE_ID))
        row->value[SPACE_ID] = number;
    if (row->value[SPACE_ID])
        import_fit_id(m, l, row);
    else if (!row_says(row, SPACE_ID))
        row_refuse(l, row, "it has neither an id nor a number");
    const char *id = row->value[SPACE_ID];
    if (id && outside_named(id) < 0)
        row_refuse(l, row, "'%s' names the outside and cannot be the id of a space", id);
    if (row->value[SPACE_DECK])
        find_deck(m, l, row);
    keep_safe(row);
    import_solids(m, l, row);
}

/* An id may be longer than a name: then the name is how it begins. */
static const char *name_of_id(coaming_import *m, const char *id)
{
    char *name = import_new(m, strlen(id) + 1, 1);
    size_t size = 0;
    for (size_t signs = 0; name && id[size] && signs < NAME_SIGNS_MAX; signs++)
        size += text_next(id + size);
    if (name)
        memcpy(name, id, size);
    return name;
}

/* Of a space that is placed. */
static void count_taken(coaming_import *m, const import_list *l, import_row *row)
{
    (void)l;
    size_t *taken = m->counts.taken;
    bool known = known_use(row);
    taken[COAMING_TAKEN_ID] += !row->raw_id;
    taken[COAMING_TAKEN_NAME] += !row->value[SPACE_NAME];
    if (!row->value[SPACE_PERMEABILITY])
        taken[known ? COAMING_TAKEN_PERMEABILITY_USE : COAMING_TAKEN_PERMEABILITY_ELSE]++;
    taken[COAMING_TAKEN_SHELL] += !row->value[SPACE_SHELL];
    taken[COAMING_TAKEN_PEOPLE] += !row->value[SPACE_PEOPLE];
    taken[COAMING_TAKEN_WORTH] += !row->value[SPACE_WORTH];
    taken[COAMING_TAKEN_VITAL] += !row->value[SPACE_VITAL];
    if (!row->value[SPACE_NAME])
        row->value[SPACE_NAME] = name_of_id(m, row->value[SPACE_ID]);
    m->counts.derived += row->solids->derived && !row->solids->next && row->numbered;
}

void import_spaces(coaming_import *m)
{
    if (!import_read(m, COAMING_LIST_SPACES, COAMING_LIST_SPACES, read_space))
        return;
    import_numbers(m);
    import_count(m, COAMING_LIST_SPACES, COAMING_LIST_SPACES, count_taken);
}
