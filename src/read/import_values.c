#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "read/element.h"
#include "read/import.h"
#include "read/values.h"

/* Whatever lies farther than this from the origin is no part of a ship; as in element.c. */
static const double FARTHEST = 1e6; /* m */

void *import_new(coaming_import *m, size_t count, size_t size)
{
    void *piece = arena_new(&m->memory, count, size);
    if (!piece)
        m->memory_lost = true;
    return piece;
}

const char *import_text(coaming_import *m, const char *text)
{
    const char *copy = arena_text(&m->memory, text);
    if (!copy)
        m->memory_lost = true;
    return copy;
}

const char *import_number(coaming_import *m, double value)
{
    char number[NUMBER_TEXT];
    return import_text(m, number_format(value, number));
}

const char *import_pair(coaming_import *m, const char *low, const char *high)
{
    size_t size = strlen(low) + strlen(high) + 2;
    char *pair = import_new(m, size, 1);
    if (pair)
        snprintf(pair, size, "%s %s", low, high);
    return pair;
}

const char *import_folded(coaming_import *m, const char *text)
{
    char *copy = import_new(m, strlen(text) + 1, 1);
    for (size_t i = 0; copy && text[i]; i++)
        copy[i] = (char)tolower((unsigned char)text[i]);
    return copy;
}

bool text_is_blank(const char *text)
{
    while (text[strspn(text, " \t\r\n")]) {
        text += strspn(text, " \t\r\n");
        if (strncmp(text, "\xC2\xA0", 2)) /* a no-break space */
            return false;
        text += 2;
    }
    return true;
}

/* "space 3-20-0-E": a row by the first that it has of id, number and name. */
static void name_row(const import_list *l, const import_row *row, char *object, size_t size)
{
    static const char *const kinds[] = {"space", "closure", "passage"};
    const char *name = row->raw_id;
    if (!name && l->kind == COAMING_LIST_SPACES)
        name = row->value[SPACE_NUMBER];
    if (!name)
        name = row->value[l->kind == COAMING_LIST_SPACES ? (int)SPACE_NAME : (int)LINK_NAME];
    snprintf(object, size, "%s%s%s", kinds[l->kind], name ? " " : "", name ? BRIEF(name) : "");
}

bool row_says(const import_row *row, int field)
{
    return row->given >> field & 1;
}

__attribute__((format(printf, 4, 0))) static void warn(const import_list *l, const import_row *row,
                                                       const char *before, const char *format,
                                                       va_list args)
{
    char object[240], message[700];
    vsnprintf(message, sizeof message, format, args);
    name_row(l, row, object, sizeof object);
    faults_add(l->faults, COAMING_SEVERITY_WARNING, l->shown, row->line, object, "%s%s", before,
               message);
}

void row_refuse(const import_list *l, import_row *row, const char *format, ...)
{
    char lost[100] = "not placed: ";
    va_list args;
    if (row->stake)
        snprintf(lost, sizeof lost, "without its %s: ", row->stake);
    va_start(args, format);
    warn(l, row, lost, format, args);
    va_end(args);
    row->spoilt = row->spoilt || row->stake;
    row->bad = row->bad || !row->stake;
}

void row_tell(const import_list *l, const import_row *row, const char *format, ...)
{
    va_list args;
    va_start(args, format);
    warn(l, row, "", format, args);
    va_end(args);
}

static bool parse(const import_list *l, import_row *row, const char *name, const char *text,
                  double *value)
{
    switch (number_parse(text, value)) {
    case NUMBER_OK:
        return true;
    case NUMBER_INFINITE:
        row_refuse(l, row, "%s '%s' is too large for a number", name, BRIEF(text));
        return false;
    default:
        if (strchr(text, ',') && !text[strspn(text, "0123456789,.+- ")])
            row_refuse(l, row,
                       "%s '%s': a comma may part decimals or thousands; write a point before "
                       "decimals and nothing between thousands",
                       name, BRIEF(text));
        else
            row_refuse(l, row, "%s '%s' is not a number", name, BRIEF(text));
        return false;
    }
}

const char *value_number(coaming_import *m, const import_list *l, import_row *row, const char *name,
                         const char *text, double least, double greatest)
{
    char low[NUMBER_TEXT], high[NUMBER_TEXT];
    double value;
    if (!parse(l, row, name, text, &value))
        return NULL;
    if (value >= least && value <= greatest)
        return import_number(m, value);
    row_refuse(l, row, "%s '%s' is out of bounds; it must lie in %s to %s", name, BRIEF(text),
               number_format(least, low), number_format(greatest, high));
    return NULL;
}

static bool near_enough(const import_list *l, import_row *row, const char *name, double at,
                        double *metres)
{
    if (fabs(at) > FARTHEST) {
        row_refuse(l, row, "%s is more than %g m off", name, FARTHEST);
        return false;
    }
    if (metres)
        *metres = at;
    return true;
}

const char *value_length(coaming_import *m, const import_list *l, import_row *row, const char *name,
                         const char *text, double least, double *metres)
{
    double value;
    if (!parse(l, row, name, text, &value) || !near_enough(l, row, name, value * m->unit, metres))
        return NULL;
    if (value >= least)
        return import_number(m, value);
    row_refuse(l, row, "%s '%s' is out of bounds; it must be 0 or more", name, BRIEF(text));
    return NULL;
}

/* The words after "fr": a frame, then perhaps + or - a length. */
static bool parse_frame(const char *text, double *frame, double *offset)
{
    char number[64];
    size_t length = *text ? 1 + strcspn(text + 1, "+-") : 0;
    *offset = 0;
    if (!length || length >= sizeof number)
        return false;
    memcpy(number, text, length);
    number[length] = '\0';
    return number_parse(number, frame) == NUMBER_OK &&
           (!text[length] || number_parse(text + length, offset) == NUMBER_OK);
}

/* As the loader reads it: fr20+0.25, or where frames count from forward a length. */
static const char *write_frame(coaming_import *m, double frame, double offset)
{
    const coaming_import_options *o = m->options;
    char text[2 * NUMBER_TEXT + 4], number[NUMBER_TEXT], rest[NUMBER_TEXT];
    if (o->frame_spacing < 0)
        return import_number(m, o->frame_zero + frame * o->frame_spacing + offset);
    snprintf(text, sizeof text, "fr%s%s%s", number_format(frame, number), offset > 0 ? "+" : "",
             offset != 0 ? number_format(offset, rest) : "");
    return import_text(m, text);
}

const char *value_along(coaming_import *m, const import_list *l, import_row *row, const char *name,
                        const char *text, double *metres)
{
    const coaming_import_options *o = m->options;
    double frame, offset;
    text += strspn(text, " \t\r\n");
    if (strncasecmp(text, "fr", 2))
        return value_length(m, l, row, name, text, -INFINITY, metres);
    if (!o->framed) {
        row_refuse(l, row, "%s '%s' is a frame, but no frame spacing is given (--frames)", name,
                   BRIEF(text));
        return NULL;
    }
    if (!parse_frame(text + 2, &frame, &offset)) {
        row_refuse(l, row, "%s '%s' is not a frame; write fr20 or fr20+0.25", name, BRIEF(text));
        return NULL;
    }
    double at = /* as the loader reckons it */
        o->frame_spacing < 0
            ? (o->frame_zero + frame * o->frame_spacing + offset) * m->unit
            : o->frame_zero * m->unit + frame * (o->frame_spacing * m->unit) + offset * m->unit;
    return near_enough(l, row, name, at, metres) ? write_frame(m, frame, offset) : NULL;
}

/* Words, upper and lower case alike. */

static const char *read_word(const import_list *l, import_row *row, const char *name,
                             const char *text, const char *const *words)
{
    char all[VALUES_LIST];
    int known = values_word(text, words);
    if (known >= 0)
        return words[known];
    row_refuse(l, row, "%s '%s' is not known; it must be %s", name, BRIEF(text),
               values_list(all, words));
    return NULL;
}

/* Untested is as if the list said nothing. */
static const char *read_result(const import_list *l, import_row *row, int field, const char *text)
{
    value_result result = values_result(text);
    if (result == RESULT_UNTESTED)
        row->given &= ~((uint64_t)1 << field);
    else if (result == RESULT_UNKNOWN)
        row_refuse(l, row, "%s '%s' is not known; it must be %s", field_heading(l->kind, field),
                   BRIEF(text), values_result_words);
    else
        return result_words[result == RESULT_FAIL];
    return NULL;
}

static const char *read_yes_no(const import_list *l, import_row *row, const char *name,
                               const char *text)
{
    int yes = values_yes_no(text);
    if (yes >= 0)
        return yes ? "yes" : "no";
    row_refuse(l, row, "%s '%s' is neither %s", name, BRIEF(text), values_yes_no_words);
    return NULL;
}

static const char *read_date(coaming_import *m, const import_list *l, import_row *row,
                             const char *name, const char *text)
{
    char iso[COAMING_DATE_TEXT], latest[COAMING_DATE_TEXT], why[VALUES_WHY];
    coaming_date date;
    if (!values_date(text, m->options->dates, &date, why)) {
        row_refuse(l, row, "%s '%s' %s", name, BRIEF(text), why);
        return NULL;
    }
    if (date <= m->options->latest)
        return import_text(m, coaming_date_format(date, iso));
    row_refuse(l, row, "%s %s is still to come; dates go up to %s", name, BRIEF(text),
               coaming_date_format(m->options->latest, latest));
    return NULL;
}

/* Bounds are metres, as the loader has them. */
static const char *read_length(coaming_import *m, const import_list *l, import_row *row, int field,
                               const char *text)
{
    const ship_field *f = field_of(l->kind, field);
    const char *name = field_heading(l->kind, field);
    double metres = 0;
    const char *value = value_length(m, l, row, name, text, f->least, &metres);
    if (!value || !f->above || metres > f->least)
        return value;
    row_refuse(l, row, "%s must be greater than %g", name, f->least);
    return NULL;
}

static const char *read_value(coaming_import *m, const import_list *l, import_row *row, int field,
                              const char *text)
{
    const ship_field *f = field_of(l->kind, field);
    const char *name = field_heading(l->kind, field);
    if (!text_is_xml(text)) {
        row_refuse(l, row, "%s holds a control character", name);
        return NULL;
    }
    switch (f->kind) {
    case FIELD_NUMBER:
        return value_number(m, l, row, name, text, f->least, f->greatest);
    case FIELD_LENGTH:
        return read_length(m, l, row, field, text);
    case FIELD_ALONG:
        return value_along(m, l, row, name, text, NULL);
    case FIELD_WORD:
        return read_word(l, row, name, text, f->words);
    case FIELD_RESULT:
        return read_result(l, row, field, text);
    case FIELD_YES_NO:
        return read_yes_no(l, row, name, text);
    case FIELD_DATE:
        return read_date(m, l, row, name, text);
    default:
        return text;
    }
}

/* A copy without the blanks at both ends: a column may hold a label and something else. */
static const char *trimmed(coaming_import *m, const char *text)
{
    char *copy = import_new(m, strlen(text) + 1, 1);
    if (copy)
        memcpy(copy, text, strlen(text) + 1);
    return copy ? values_trim(copy) : "";
}

/* Texts first, for faults name the row by them. */
static void read_row(coaming_import *m, const import_list *l, import_row *row, char **fields)
{
    for (int pass = 0; pass < 2; pass++) {
        for (int f = 0; f < field_count(l->kind); f++) {
            const ship_field *field = field_of(l->kind, f);
            bool text = field->kind == FIELD_TEXT || field->kind == FIELD_LABEL;
            const char *cell = l->column[f] < 0 ? "" : fields[l->column[f]];
            if (text != (pass == 0) || text_is_blank(cell))
                continue;
            row->given |= (uint64_t)1 << f;
            row->stake = field->stake;
            row->value[f] =
                read_value(m, l, row, f, field->kind == FIELD_LABEL ? cell : trimmed(m, cell));
            row->stake = NULL;
            if (f == 0)
                row->raw_id = row->value[0];
        }
    }
}

void import_rows(coaming_import *m, import_list *l)
{
    l->count = csv_table_rows(l->table);
    l->rows = import_new(m, l->count, sizeof *l->rows);
    if (!l->rows)
        l->count = 0;
    for (size_t i = 0; i < l->count; i++) {
        const csv_row *from = csv_table_row(l->table, i);
        l->rows[i].line = from->line;
        l->rows[i].solids_end = &l->rows[i].solids;
        read_row(m, l, &l->rows[i], from->fields);
    }
    m->counts.rows[l->kind] = l->count;
}
