#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "read/import.h"
#include "read/said.h"

/* `between`: two words, or where names have blanks, two parts with a semicolon between. */
static bool split_between(coaming_import *m, const char *text, const char *ends[2])
{
    char word[WORD_SIZE], *parts = import_new(m, strlen(text) + 1, 1);
    if (!parts)
        return false;
    memcpy(parts, text, strlen(text) + 1);
    char *cut = strchr(parts, ';');
    if (!cut) {
        const char *rest = parts;
        if (!next_word(&rest, "", word, sizeof word) || text_is_blank(rest))
            return false;
        cut = parts + (rest - parts);
    } else if (strchr(cut + 1, ';')) {
        return false;
    }
    *cut = '\0';
    for (int i = 0; i < 2; i++) {
        char *end = i ? cut + 1 : parts;
        end += strspn(end, " \t\r\n");
        for (size_t n = strlen(end); n && strchr(" \t\r\n", end[n - 1]); n--)
            end[n - 1] = '\0';
        ends[i] = end;
    }
    return *ends[0] && *ends[1];
}

/* The side from which it is tested and worked: one of its two, or both. */
static void read_side(coaming_import *m, const import_list *l, import_row *row,
                      const char *const ids[2])
{
    const char *side = row->value[LINK_WORKED_FROM];
    if (!side || !strcasecmp(side, "both")) {
        row->value[LINK_WORKED_FROM] = NULL;
        return;
    }
    row->stake = field_of(l->kind, LINK_WORKED_FROM)->stake;
    const char *id = import_place(m, l, row, LINK_WORKED_FROM, side);
    if (id && strcmp(id, ids[0]) && strcmp(id, ids[1])) {
        row_refuse(l, row, "worked-from '%s' is neither of the places that it joins", BRIEF(side));
        id = NULL;
    }
    row->stake = NULL;
    row->value[LINK_WORKED_FROM] = id;
}

static void forget(import_row *row, int first, int last)
{
    for (int f = first; f <= last; f++)
        row->value[f] = NULL;
}

/* Fields that say something only together: the row loses all of them where one is missing or cannot
 * be read, which has been told. */
static void need_together(const import_list *l, import_row *row, int first, int last)
{
    char missing[120] = "";
    int given = 0, read = 0;
    for (int f = first; f <= last; f++) {
        given += row_says(row, f);
        read += row->value[f] != NULL;
        if (row_says(row, f))
            continue;
        strncat(missing, *missing ? ", " : "", sizeof missing - strlen(missing) - 1);
        strncat(missing, field_heading(l->kind, f), sizeof missing - strlen(missing) - 1);
    }
    row->stake = field_of(l->kind, first)->stake;
    if (given && *missing)
        row_refuse(l, row, "it is given in part only: without %s", missing);
    row->stake = NULL;
    if (read <= last - first)
        forget(row, first, last);
}

/* Can the drop of pressure of this row be? Tells why not. */
static bool drop_holds(const import_list *l, import_row *row, const char *const ids[2])
{
    const char *space = row->value[LINK_TEST_SPACE], *method = row->value[LINK_TEST_METHOD];
    double start = 0, end = 0;
    number_parse(row->value[LINK_TEST_START], &start);
    number_parse(row->value[LINK_TEST_END], &end);
    if (!method || strcmp(method, method_words[AIR_TEST]))
        row_refuse(l, row, SAID_DROP_AIR);
    else if (end > start)
        row_refuse(l, row, SAID_DROP_ROSE);
    else if (!row_says(row, LINK_TEST_SPACE) && outside_named(ids[0]) == 0 &&
             outside_named(ids[1]) == 0)
        row_refuse(l, row, SAID_DROP_WHICH);
    else if (space && strcmp(space, ids[0]) && strcmp(space, ids[1]))
        row_refuse(l, row, SAID_DROP_SIDE, BRIEF(space));
    else
        return space || !row_says(row, LINK_TEST_SPACE); /* a space that is none has been told */
    return false;
}

/* The drop of pressure of the last test: whole or not at all, and lost where it cannot be. */
static void read_drop(coaming_import *m, const import_list *l, import_row *row,
                      const char *const ids[2])
{
    bool said[2] = {false, false}; /* the three that it needs; the others */
    for (int f = LINK_TEST_SPACE; f <= LINK_TEST_VOLUME; f++)
        said[f == LINK_TEST_SPACE || f == LINK_TEST_VOLUME] |= row_says(row, f);
    need_together(l, row, LINK_TEST_START, LINK_TEST_DURATION);
    row->stake = field_of(l->kind, LINK_TEST_START)->stake;
    if (row->value[LINK_TEST_SPACE])
        row->value[LINK_TEST_SPACE] =
            import_space(m, l, row, LINK_TEST_SPACE, row->value[LINK_TEST_SPACE]);
    if (!said[0] && said[1])
        row_refuse(l, row, SAID_DROP_PART);
    if (!row->value[LINK_TEST_START] || !drop_holds(l, row, ids))
        forget(row, LINK_TEST_SPACE, LINK_TEST_VOLUME);
    row->stake = NULL;
}

static void read_ends(coaming_import *m, const import_list *l, import_row *row)
{
    const char *ends[2] = {row->value[LINK_FROM], row->value[LINK_TO]};
    const char *between = row->value[LINK_BETWEEN], *ids[2];
    if (between && (ends[0] || ends[1])) {
        row_refuse(l, row, "give between, or from and to, not both");
        return;
    }
    if (between && !split_between(m, between, ends)) {
        row_refuse(l, row,
                   "between '%s' must name two places with a blank between, or with a semicolon "
                   "where their names have blanks",
                   BRIEF(between));
        return;
    }
    if (!ends[0] || !ends[1]) {
        row_refuse(l, row, "it does not say %s",
                   ends[0]   ? "to what it leads (to)"
                   : ends[1] ? "from what it leads (from)"
                             : "what it joins (from, to)");
        return;
    }
    for (int i = 0; i < 2; i++) {
        int field = between ? LINK_BETWEEN : i ? LINK_TO : LINK_FROM;
        ids[i] = import_place(m, l, row, field, ends[i]);
    }
    if (!ids[0] || !ids[1])
        return;
    if (!strcmp(ids[0], ids[1]))
        row_refuse(l, row, "it joins '%s' to itself", BRIEF(ids[0]));
    row->between = import_pair(m, ids[0], ids[1]);
    if (l->kind == COAMING_LIST_CLOSURES) {
        read_side(m, l, row, ids);
        read_drop(m, l, row, ids);
    }
}

/* A day that comes before the closure was fitted is lost: one of the two is wrong. */
static void need_after_fitting(const import_list *l, import_row *row, int field)
{
    coaming_date fitted, date;
    char why[VALUES_WHY];
    if (!row->value[LINK_FITTED] || !coaming_date_parse(row->value[LINK_FITTED], &fitted) ||
        !row->value[field] || !coaming_date_parse(row->value[field], &date) ||
        values_since_fitted(date, fitted, why))
        return;
    row->stake = field_of(l->kind, field)->stake;
    row_refuse_value(l, row, field_heading(l->kind, field), why);
    row->stake = NULL;
    row->value[field] = NULL;
}

/* The last test: whole or not at all. A method alone is no test, and is what most lists have of
 * closures that were not tested yet. */
static void read_test(const import_list *l, import_row *row)
{
    bool begun = row_says(row, LINK_TEST_DATE) || row_says(row, LINK_TEST_RESULT);
    need_after_fitting(l, row, LINK_TEST_DATE);
    if (begun)
        need_together(l, row, LINK_TEST_DATE, LINK_TEST_RESULT);
    if (!begun || !row->value[LINK_TEST_DATE])
        forget(row, LINK_TEST_DATE, LINK_TEST_NOTE);
}

/* Was the word that ends here too long for next_word? */
static bool word_is_cut(const char *end, const char *word)
{
    size_t length = strlen(word);
    return strncmp(end - length, word, length) != 0;
}

/* Where it cannot be read: open is the side on which nobody relies on it. */
static void never_shut(import_row *row)
{
    static const char *const word[] = {"never"}; /* LIST_NEVER */
    row->value[LINK_SHUT_IN] = LIST_NEVER;
    row->conditions = word;
    row->condition_count = 1;
    row->never_shut = true;
}

/* Words of shut-in; "never" alone: shut in no condition. */
static void read_shut_in(coaming_import *m, const import_list *l, import_row *row)
{
    const char *text = row->value[LINK_SHUT_IN];
    char word[WORD_SIZE];
    size_t count = 0;
    bool long_word = false;
    if (!text && row_says(row, LINK_SHUT_IN)) {
        never_shut(row);
        return;
    }
    if (!text)
        return;
    row->stake = field_of(l->kind, LINK_SHUT_IN)->stake;
    for (int pass = 0; pass < 2; pass++) {
        const char **list = pass ? import_new(m, count, sizeof *list) : NULL;
        const char *rest = text;
        size_t i = 0;
        if (pass && !list)
            return;
        for (;;) {
            rest += strspn(rest, ", \t\r\n");
            if (!next_word(&rest, ",", word, sizeof word))
                break;
            if (pass)
                list[i] = import_text(m, word);
            else if (word_is_cut(rest, word)) {
                row_refuse(l, row, "shut-in '%s': a condition is too long", BRIEF(text));
                long_word = true;
            }
            i++;
        }
        count = i;
        row->conditions = list;
    }
    row->condition_count = count;
    row->never_shut =
        count == 1 && row->conditions[0] && !strcasecmp(row->conditions[0], LIST_NEVER);
    if (!count)
        row_refuse(l, row, "shut-in '%s' names no condition", BRIEF(text));
    row->stake = NULL;
    if (!count || long_word)
        never_shut(row);
}

static const char between[] = "; \t\r\n";

/* Places along the gasket; false where one cannot be read. */
static bool read_lengths(coaming_import *m, const import_list *l, import_row *row, int field,
                         const char **list, size_t *count)
{
    static const values_bounds from_0 = {0, INFINITY, false};
    const cell c = {m, l, row, field_heading(l->kind, field)};
    const char *rest = row->value[field];
    char word[WORD_SIZE];
    *count = 0;
    for (;;) {
        rest += strspn(rest, between);
        if (!next_word(&rest, ";", word, sizeof word))
            return true;
        const char *at = cell_length(&c, word, &from_0, NULL);
        if (!at)
            return false;
        list[(*count)++] = at;
    }
}

/* "8": so many; "0.35;0.9" or "0.35 0.9": their places along the gasket. */
static void read_dogs(coaming_import *m, const import_list *l, import_row *row)
{
    const char *text = row->value[LINK_DOGS], *value = NULL;
    if (!text)
        return;
    row->stake = field_of(l->kind, LINK_DOGS)->stake;
    if (text_is_blank(text + strcspn(text, between))) { /* one number */
        double count;
        value = cell_number(&(cell){m, l, row, "dogs"}, text, &(values_bounds){0, 1000, false});
        if (value && number_parse(value, &count) == NUMBER_OK && count != floor(count)) {
            row_refuse(l, row,
                       "dogs '%s' is neither a whole number nor a list of places such as 0.35;0.9",
                       BRIEF(text));
            value = NULL;
        }
    } else {
        const char **list = import_new(m, strlen(text), sizeof *list);
        if (list && read_lengths(m, l, row, LINK_DOGS, list, &row->dog_count)) {
            row->dogs = list;
            value = text;
        }
    }
    row->stake = NULL;
    row->value[LINK_DOGS] = value;
}

/* Places of joints, as the arrangement has them: with blanks between. */
static void read_joints(coaming_import *m, const import_list *l, import_row *row)
{
    const char *text = row->value[LINK_GASKET_JOINTS], *joints = NULL;
    size_t count = 0;
    if (!text)
        return;
    const char **list = import_new(m, strlen(text) + 1, sizeof *list);
    row->stake = field_of(l->kind, LINK_GASKET_JOINTS)->stake;
    bool good = list && read_lengths(m, l, row, LINK_GASKET_JOINTS, list, &count);
    if (good && count > JOINTS_MAX)
        row_refuse(l, row, "more than %d joints", JOINTS_MAX);
    row->stake = NULL;
    for (size_t i = 0; good && count <= JOINTS_MAX && i < count; i++)
        joints = joints ? import_pair(m, joints, list[i]) : list[i];
    row->value[LINK_GASKET_JOINTS] = joints;
}

static void read_gaps(coaming_import *m, const import_list *l, import_row *row)
{
    const char *text = row->value[LINK_TEST_GAPS];
    char why[VALUES_WHY];
    if (!text)
        return;
    gap *gaps = import_new(m, strlen(text) / 2 + 1, sizeof *gaps);
    size_t count = 0;
    row->stake = field_of(l->kind, LINK_TEST_GAPS)->stake;
    for (const char *at = text; gaps && *(at += strspn(at, values_between_gaps));) {
        size_t length = strcspn(at, values_between_gaps);
        if (!values_gap(at, length, &gaps[count++], why)) {
            row_refuse(l, row, "%s", why);
            count = 0;
            break;
        }
        at += length;
    }
    row->stake = NULL;
    row->gaps = gaps;
    row->gap_count = gaps ? count : 0;
}

static void read_link(coaming_import *m, const import_list *l, import_row *row)
{
    static const int needed[] = {LINK_KIND, LINK_RATING};
    if (row->value[LINK_ID])
        import_fit_id(m, l, row);
    else if (!row_says(row, LINK_ID))
        row_refuse(l, row, "it has no id");
    for (int i = 0; i < (l->kind == COAMING_LIST_CLOSURES ? 2 : 1); i++)
        if (!row_says(row, needed[i]))
            row_refuse(l, row, "it has no %s", field_heading(l->kind, needed[i]));
    read_ends(m, l, row);
    need_together(l, row, LINK_X, LINK_LIES);
    if (l->kind != COAMING_LIST_CLOSURES)
        return;
    need_after_fitting(l, row, LINK_GASKET_FITTED);
    read_test(l, row);
    read_shut_in(m, l, row);
    import_hanging(m, l, row, LINK_POWER, LINK_CONTROL);
    read_joints(m, l, row);
    read_dogs(m, l, row);
    read_gaps(m, l, row);
}

static void count_taken(coaming_import *m, const import_list *l, import_row *row)
{
    size_t *taken = m->counts.taken;
    taken[COAMING_TAKEN_NAME] += !row->value[LINK_NAME];
    taken[COAMING_TAKEN_OPENING] += !row->value[LINK_X];
    taken[COAMING_TAKEN_SHUT_IN] += l->kind == COAMING_LIST_CLOSURES && !row->value[LINK_SHUT_IN];
}

static const char *nth(const void *list, size_t i)
{
    return ((const char *const *)list)[i];
}

/* The conditions that the closures placed name, each once, in the order of their first naming. */
static void collect_conditions(coaming_import *m)
{
    const import_list *l = &m->lists[COAMING_LIST_CLOSURES];
    size_t room = 0, count = 0;
    for (size_t i = 0; i < l->count; i++)
        room += l->rows[i].condition_count;
    const char **all = import_new(m, room, sizeof *all);
    bool *again = import_new(m, room, sizeof *again);
    id_index index;
    if (!all || !again)
        return;
    for (size_t i = 0; i < l->count; i++)
        for (size_t c = 0; c < l->rows[i].condition_count; c++)
            if (!l->rows[i].bad && !l->rows[i].never_shut && l->rows[i].conditions[c])
                all[count++] = l->rows[i].conditions[c];
    if (!id_index_make(&index, &m->memory, count, nth, all)) {
        m->memory_lost = true;
        return;
    }
    for (size_t i = 1; i < count; i++)
        again[index.index[i]] = !strcmp(index.ids[i], index.ids[i - 1]);
    for (size_t i = 0; i < count; i++)
        if (!again[i])
            all[m->condition_count++] = all[i];
    m->conditions = all;
}

void import_links(coaming_import *m)
{
    if (!import_read(m, COAMING_LIST_CLOSURES, COAMING_LIST_PASSAGES, read_link))
        return;
    import_count(m, COAMING_LIST_CLOSURES, COAMING_LIST_PASSAGES, count_taken);
    collect_conditions(m);
}
