/* The arrangement that lists make, as XML. */
#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/file.h"
#include "read/import.h"
#include "read/pen.h"

static const char COMMENT[] =
    " Made from lists by coaming import. Boxes marked derived were worked out from compartment\n"
    "  numbers and not measured. What the lists do not carry (conditions' names, hull, density,\n"
    "  loadings, scenarios, tests before the last) can be added here by hand. ";

static void put_number(pen *p, const char *name, double value)
{
    char number[NUMBER_TEXT];
    if (!isnan(value))
        pen_put(p, name, number_format(value, number));
}

/* The fields of the columns first to last as their attributes. */
static void put_fields(pen *p, const import_list *l, const import_row *row, int first, int last)
{
    for (int c = first; c <= last; c++)
        if (field_of(l->kind, c)->attribute)
            pen_put(p, field_of(l->kind, c)->attribute, row->value[c]);
}

/* An element of its own within the space or link; nothing where the row says nothing of it. */
static bool begin_fields(pen *p, const import_list *l, const import_row *row, int first, int last)
{
    bool says = false;
    for (int c = first; c <= last; c++)
        says = says || row->value[c];
    if (!says)
        return false;
    pen_begin(p, field_of(l->kind, first)->element);
    put_fields(p, l, row, first, last);
    return true;
}

static void write_fields(pen *p, const import_list *l, const import_row *row, int first, int last)
{
    if (begin_fields(p, l, row, first, last))
        pen_end(p);
}

static void write_principal(pen *p, const coaming_import_options *o)
{
    pen_begin(p, "ship");
    put_number(p, "length", o->length);
    put_number(p, "beam", o->beam);
    put_number(p, "depth", o->depth);
    put_number(p, "draft", o->draft);
    put_number(p, "kg", o->kg);
    pen_end(p);
    if (o->framed && o->frame_spacing > 0) {
        pen_begin(p, "frames");
        put_number(p, "spacing", o->frame_spacing);
        put_number(p, "zero", o->frame_zero);
        pen_end(p);
    }
    for (size_t i = 0; i < o->deck_count; i++) {
        pen_begin(p, "deck");
        pen_put(p, "id", o->decks[i].id);
        pen_put(p, "name", o->decks[i].name);
        put_number(p, "z", o->decks[i].z);
        pen_end(p);
    }
}

static void write_conditions(pen *p, const coaming_import *m)
{
    for (size_t i = 0; i < m->condition_count; i++) {
        pen_begin(p, "condition");
        pen_put(p, "id", m->conditions[i]);
        pen_end(p);
    }
}

static void write_space(pen *p, const import_list *l, const import_row *row)
{
    pen_begin(p, "space");
    put_fields(p, l, row, SPACE_ID, SPACE_WALKABLE);
    for (const import_solid *s = row->solids; s; s = s->next) {
        pen_begin(p, s->x ? "box" : "prism");
        pen_put(p, "x", s->x);
        pen_put(p, "y", s->y);
        pen_put(p, "z", s->z);
        pen_put(p, "outline", s->outline);
        pen_put(p, "derived", s->derived ? "yes" : NULL);
        pen_end(p);
    }
    pen_end(p);
}

static void put_shut_in(pen *p, const import_row *row)
{
    if (!row->condition_count || p->lost)
        return;
    p->lost = xmlTextWriterStartAttribute(p->writer, (const xmlChar *)"shut-in") < 0;
    for (size_t i = 0; i < row->condition_count && !row->never_shut; i++) {
        if (i)
            pen_text(p, " ");
        pen_text(p, row->conditions[i]);
    }
    p->lost = p->lost || xmlTextWriterEndAttribute(p->writer) < 0;
}

static void write_dogs(pen *p, const import_row *row)
{
    if (!row->value[LINK_DOGS])
        return;
    pen_begin(p, "dogs");
    pen_put(p, "count", row->dogs ? NULL : row->value[LINK_DOGS]);
    for (size_t i = 0; row->dogs && i < row->dog_count; i++) {
        pen_begin(p, "dog");
        pen_put(p, "at", row->dogs[i]);
        pen_end(p);
    }
    pen_end(p);
}

static void write_gap(pen *p, const gap *g)
{
    pen_begin(p, "gap");
    put_number(p, "at", g->at);
    put_number(p, "length", g->length);
    pen_put(p, "seen", g->seen < SEEN_NOTHING ? sight_words[g->seen] : NULL);
    pen_end(p);
}

static void write_test(pen *p, const import_list *l, const import_row *row)
{
    if (!begin_fields(p, l, row, LINK_TEST_DATE, LINK_TEST_NOTE))
        return;
    for (size_t i = 0; i < row->gap_count; i++)
        write_gap(p, &row->gaps[i]);
    pen_end(p);
}

static void write_link(pen *p, const import_list *l, const import_row *row)
{
    pen_begin(p, l->kind == COAMING_LIST_CLOSURES ? "closure" : "passage");
    put_fields(p, l, row, LINK_ID, LINK_KIND);
    pen_put(p, "between", row->between);
    if (l->kind == COAMING_LIST_CLOSURES) {
        put_fields(p, l, row, LINK_RATING, LINK_RATING);
        put_shut_in(p, row);
        put_fields(p, l, row, LINK_POWER, LINK_CONTROL);
        put_fields(p, l, row, LINK_FITTED, LINK_FITTED);
        put_fields(p, l, row, LINK_HOURS, LINK_FITTED - 1);
    }
    write_fields(p, l, row, LINK_X, LINK_LIES);
    if (l->kind == COAMING_LIST_CLOSURES) {
        write_fields(p, l, row, LINK_WORKED_FROM, LINK_WORKED_FROM);
        write_fields(p, l, row, LINK_GASKET_FITTED, LINK_GASKET_JOINTS);
        write_dogs(p, row);
        write_test(p, l, row);
    }
    pen_end(p);
}

/* A pump or a fan, all of it attributes. */
static void write_plant(pen *p, const import_list *l, const import_row *row)
{
    pen_begin(p, l->kind == COAMING_LIST_PUMPS ? "pump" : "fan");
    put_fields(p, l, row, 0, field_count(l->kind) - 1);
    pen_end(p);
}

static void write_all(pen *p, const coaming_import *m)
{
    xmlTextWriterSetIndent(p->writer, 1);
    xmlTextWriterSetIndentString(p->writer, (const xmlChar *)"  ");
    p->lost = xmlTextWriterStartDocument(p->writer, NULL, "UTF-8", NULL) < 0 ||
              xmlTextWriterWriteComment(p->writer, (const xmlChar *)COMMENT) < 0;
    pen_begin(p, "arrangement");
    pen_put(p, "xmlns", "urn:coaming:arrangement:1");
    pen_put(p, "name", m->options->name);
    pen_put(p, "units", m->options->feet ? "ft" : "m");
    write_principal(p, m->options);
    write_conditions(p, m);
    for (int k = 0; k < COAMING_LISTS_READ; k++) {
        const import_list *l = &m->lists[k];
        for (size_t i = 0; i < l->count; i++) {
            if (l->rows[i].bad)
                continue;
            if (k == COAMING_LIST_SPACES)
                write_space(p, l, &l->rows[i]);
            else if (k <= COAMING_LIST_PASSAGES)
                write_link(p, l, &l->rows[i]);
            else
                write_plant(p, l, &l->rows[i]);
        }
    }
    pen_end(p);
    p->lost = p->lost || xmlTextWriterEndDocument(p->writer) < 0;
}

coaming_status import_compose(coaming_import *m, coaming_error *error)
{
    xmlBufferPtr buffer = xmlBufferCreate();
    pen p = {buffer ? xmlNewTextWriterMemory(buffer, 0) : NULL, true};
    if (p.writer)
        write_all(&p, m);
    xmlFreeTextWriter(p.writer);
    coaming_status status = p.lost ? error_memory(error) : COAMING_OK;
    if (status == COAMING_OK && xmlBufferLength(buffer) > FILE_MAX)
        status = error_set(error, COAMING_INPUT, "the arrangement is larger than %d MiB",
                           FILE_MAX / 1024 / 1024);
    if (status == COAMING_OK) {
        m->size = (size_t)xmlBufferLength(buffer);
        m->text = arena_new(&m->memory, m->size, 1);
        if (m->text)
            memcpy(m->text, xmlBufferContent(buffer), m->size);
        else
            status = error_memory(error);
    }
    xmlBufferFree(buffer);
    return status;
}
