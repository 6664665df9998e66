/*
 * ship/fields.h - what is said of a space, a closure, a passage, a pump and a fan: one row for each column of the
 * lists (lists.h), by which the loader, the lists in and out, the arrangement that lists make and
 * the documents go.
 *
 * A plain field is one value in ship_space, ship_link, ship_pump or ship_fan and is handled by its row alone; a new one
 * is a column in lists.h, a row in fields.c and a member. The other fields are parts of something
 * or lists of things: they have a row, so that each is found in a list and allowed in the
 * arrangement, and each is read and written by hand beside the runs of plain ones.
 */
#ifndef SHIP_FIELDS_H
#define SHIP_FIELDS_H

#include "coaming/list.h"
#include "ship/lists.h"
#include "ship/ship.h"

typedef enum {
    FIELD_LABEL, /* text, in lists kept as it is */
    FIELD_TEXT,  /* in lists without the blanks at both ends, as all that follow */
    FIELD_NUMBER,
    FIELD_LENGTH, /* m; in the unit of the file */
    FIELD_ALONG,
    FIELD_WORD, /* its number in words */
    FIELD_RESULT,
    FIELD_YES_NO,
    FIELD_DATE
} field_kind;

typedef struct {
    double least, greatest;
    const char *const *words; /* ending in NULL */
    /* in lists, whose heading is in lists.h */
    const char *stake;       /* what a row loses if it cannot be read; NULL: its place */
    const char *synonyms[4]; /* headings that mean it too; only where no doubt can arise */
    const char *common[9];   /* and those that do where no other column does */
    /* in the arrangement */
    const char *element;   /* within the space or link; NULL: that itself */
    const char *attribute; /* NULL: it is not one attribute */
    /* of plain fields */
    const char *key; /* in documents */
    size_t member;   /* offset in ship_space, ship_link, ship_pump or ship_fan */
    double absent;   /* number or yes (1) where nothing is said; less than least: not given */
    field_kind kind;
    bool plain;
    bool required; /* attribute */
    bool above;    /* more than least, not least itself */
} ship_field;

/* The row of a column; of passages those up to PASSAGE_COLUMN_COUNT. */
const ship_field *field_of(coaming_list list, int column);
int field_count(coaming_list list);
const char *field_heading(coaming_list list, int column);

/* The value of a plain field of a space, link, pump or fan. */
const char *field_text(const ship_field *f, const void *item); /* or word; NULL: not given */
double field_number(const ship_field *f, const void *item);    /* NaN: not given */
bool field_yes(const ship_field *f, const void *item);
coaming_date field_date(const ship_field *f, const void *item); /* COAMING_NO_DATE: not given */

/* Sets every plain field to what is taken where nothing is said. */
void fields_begin(coaming_list list, void *item);

#endif
