/* Pumps and fans of lists. */
#include <string.h>

#include "read/import.h"

/* Adds a space to those that a pump serves, once; a text that means none is lost alone. */
static void add_served(coaming_import *m, const import_list *l, import_row *row, const char *text,
                       const char **served)
{
    row->stake = "space that it serves";
    const char *id = import_space(m, l, row, PUMP_SERVES, text), *rest = *served;
    row->stake = NULL;
    char word[WORD_SIZE];
    while (id && rest && next_word(&rest, "", word, sizeof word))
        if (!strcmp(word, id))
            return;
    if (id)
        *served = *served ? import_pair(m, *served, id) : id;
}

/* Words with blanks between, or where names have blanks, parts with semicolons. */
static void read_serves(coaming_import *m, const import_list *l, import_row *row)
{
    const char *text = row->value[PUMP_SERVES], *served = NULL;
    const char *ends = text && strchr(text, ';') ? ";" : " \t\r\n,";
    char *parts = import_new(m, text ? strlen(text) + 1 : 1, 1);
    if (!text || !parts)
        return;
    memcpy(parts, text, strlen(text) + 1);
    for (char *at = parts, *next; at; at = next) {
        next = at + strcspn(at, ends);
        next = *next ? next : NULL;
        if (next)
            *next++ = '\0';
        at = values_trim(at);
        if (*at)
            add_served(m, l, row, at, &served);
    }
    if (!served)
        row_refuse(l, row, "serves '%s' names no space that is known", BRIEF(text));
    row->value[PUMP_SERVES] = served;
}

/* What it must have, and the id. */
static void read_needed(coaming_import *m, const import_list *l, import_row *row)
{
    if (row->value[0])
        import_fit_id(m, l, row);
    for (int f = 0; f < field_count(l->kind); f++)
        if (field_of(l->kind, f)->required && !row_says(row, f))
            row_refuse(l, row, "it has no %s", field_heading(l->kind, f));
}

static void read_space(coaming_import *m, const import_list *l, import_row *row, int field)
{
    if (row->value[field])
        row->value[field] = import_space(m, l, row, field, row->value[field]);
}

static void read_row(coaming_import *m, const import_list *l, import_row *row)
{
    read_needed(m, l, row);
    if (l->kind == COAMING_LIST_FANS) {
        read_space(m, l, row, FAN_SUPPLIES);
        return;
    }
    read_space(m, l, row, PUMP_SPACE);
    read_serves(m, l, row);
    import_hanging(m, l, row, PUMP_POWER, PUMP_CONTROL);
}

/* Of one that is placed. */
static void count_taken(coaming_import *m, const import_list *l, import_row *row)
{
    (void)l;
    m->counts.taken[COAMING_TAKEN_NAME] += !row->value[PUMP_NAME];
}

void import_pumps(coaming_import *m)
{
    if (import_read(m, COAMING_LIST_PUMPS, COAMING_LIST_PUMPS, read_row) &&
        import_read(m, COAMING_LIST_FANS, COAMING_LIST_FANS, read_row))
        import_count(m, COAMING_LIST_PUMPS, COAMING_LIST_FANS, count_taken);
}
