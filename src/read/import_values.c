#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "read/import.h"

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

/* The second field of every list. */
enum { NAME_FIELD = SPACE_NAME };
_Static_assert((int)SPACE_NAME == (int)LINK_NAME && (int)LINK_NAME == (int)PUMP_NAME &&
                   (int)PUMP_NAME == (int)FAN_NAME,
               "a row is named by its second field");

/* "space 3-20-0-E": a row by the first that it has of id, number and name. */
static void name_row(const import_list *l, const import_row *row, char *object, size_t size)
{
    static const char *const kinds[] = {"space", "closure", "passage", "pump", "fan"};
    const char *name = row->raw_id;
    if (!name && l->kind == COAMING_LIST_SPACES)
        name = row->value[SPACE_NUMBER];
    if (!name)
        name = row->value[NAME_FIELD];
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

void row_refuse_value(const import_list *l, import_row *row, const char *name, const char *why)
{
    row_refuse(l, row, "%s %s", name, why);
}

static const char *refuse(const cell *c, const char *why)
{
    row_refuse_value(c->l, c->row, c->name, why);
    return NULL;
}

/* How values of the lists are written. */
static values_reading reading(const coaming_import *m)
{
    const coaming_import_options *o = m->options;
    return (values_reading){.unit = m->unit,
                            .framed = o->framed,
                            .zero = o->frame_zero * m->unit,
                            .spacing = o->frame_spacing * m->unit,
                            .unframed = "no frame spacing is given (--frames)",
                            .dates = o->dates,
                            .latest = o->latest};
}

const char *cell_number(const cell *c, const char *text, const values_bounds *bounds)
{
    double value;
    char why[VALUES_WHY];
    return values_number(text, bounds, &value, why) ? import_number(c->m, value) : refuse(c, why);
}

const char *cell_length(const cell *c, const char *text, const values_bounds *bounds,
                        double *metres)
{
    values_reading how = reading(c->m);
    values_place place;
    char why[VALUES_WHY];
    if (!values_length(&how, text, bounds, &place, why))
        return refuse(c, why);
    if (metres)
        *metres = place.metres;
    return import_number(c->m, place.number);
}

/* As the loader reads it: fr20+0.25, or where frames count from forward a length. */
static const char *write_frame(coaming_import *m, values_place *place)
{
    const coaming_import_options *o = m->options;
    char text[2 * NUMBER_TEXT + 4], number[NUMBER_TEXT], rest[NUMBER_TEXT];
    if (o->frame_spacing < 0) {
        double at = o->frame_zero + place->number * o->frame_spacing + place->offset;
        place->metres = at * m->unit; /* as the loader reckons it */
        return import_number(m, at);
    }
    snprintf(text, sizeof text, "fr%s%s%s", number_format(place->number, number),
             place->offset > 0 ? "+" : "",
             place->offset != 0 ? number_format(place->offset, rest) : "");
    return import_text(m, text);
}

const char *cell_along(const cell *c, const char *text, double *metres)
{
    values_reading how = reading(c->m);
    values_place place;
    char why[VALUES_WHY];
    if (!values_along(&how, text, &place, why))
        return refuse(c, why);
    const char *written =
        place.frame ? write_frame(c->m, &place) : import_number(c->m, place.number);
    if (metres)
        *metres = place.metres;
    return written;
}

static const char *cell_word(const cell *c, const char *text, const char *const *words)
{
    values_reading how = reading(c->m);
    char why[VALUES_WHY];
    int known = values_one_of(&how, text, words, why);
    return known >= 0 ? words[known] : refuse(c, why);
}

/* Untested is as if the list said nothing. */
static const char *cell_result(const cell *c, int field, const char *text)
{
    char why[VALUES_WHY];
    value_result result = values_result(text, why);
    if (result == RESULT_UNKNOWN)
        return refuse(c, why);
    if (result != RESULT_UNTESTED)
        return result_words[result == RESULT_FAIL];
    c->row->given &= ~((uint64_t)1 << field);
    return NULL;
}

static const char *cell_yes_no(const cell *c, const char *text)
{
    values_reading how = reading(c->m);
    char why[VALUES_WHY];
    bool yes;
    if (!values_yes_no(&how, text, &yes, why))
        return refuse(c, why);
    return yes ? "yes" : "no";
}

static const char *cell_date(const cell *c, const char *text)
{
    values_reading how = reading(c->m);
    char why[VALUES_WHY], iso[COAMING_DATE_TEXT];
    coaming_date date;
    if (!values_date(&how, text, &date, why))
        return refuse(c, why);
    return import_text(c->m, coaming_date_format(date, iso));
}

/* As the loader takes it; ids are made to fit, and what is a list is read by its parts. */
static const char *cell_text(const cell *c, int field, const char *text)
{
    const ship_field *f = field_of(c->l->kind, field);
    char why[VALUES_WHY];
    bool note = c->l->kind == COAMING_LIST_CLOSURES && field == LINK_TEST_NOTE;
    bool name = f->kind == FIELD_LABEL || (f->plain && field != SPACE_ID);
    if ((note && !values_note(text, why)) || (name && !note && !values_name(text, why)))
        return refuse(c, why);
    return text;
}

static const char *read_value(coaming_import *m, const import_list *l, import_row *row, int field,
                              const char *text)
{
    const ship_field *f = field_of(l->kind, field);
    const cell c = {m, l, row, field_heading(l->kind, field)};
    const values_bounds bounds = values_field_bounds(f);
    if (!text_is_xml(text))
        return refuse(&c, "holds a control character");
    switch (f->kind) {
    case FIELD_NUMBER:
        return cell_number(&c, text, &bounds);
    case FIELD_LENGTH:
        return cell_length(&c, text, &bounds, NULL);
    case FIELD_ALONG:
        return cell_along(&c, text, NULL);
    case FIELD_WORD:
        return cell_word(&c, text, f->words);
    case FIELD_RESULT:
        return cell_result(&c, field, text);
    case FIELD_YES_NO:
        return cell_yes_no(&c, text);
    case FIELD_DATE:
        return cell_date(&c, text);
    default:
        return cell_text(&c, field, text);
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
static void read_row(coaming_import *m, const import_list *l, import_row *row, const csv_row *from)
{
    for (int pass = 0; pass < 2; pass++) {
        for (int f = 0; f < field_count(l->kind); f++) {
            const ship_field *field = field_of(l->kind, f);
            bool text = field->kind == FIELD_TEXT || field->kind == FIELD_LABEL;
            const char *said = l->column[f] < 0 ? "" : csv_field(from, (size_t)l->column[f]);
            if (text != (pass == 0) || text_is_blank(said))
                continue;
            row->given |= (uint64_t)1 << f;
            row->stake = field->stake;
            row->value[f] =
                read_value(m, l, row, f, field->kind == FIELD_LABEL ? said : trimmed(m, said));
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
        read_row(m, l, &l->rows[i], from);
    }
    m->counts.rows[l->kind] = l->count;
}
