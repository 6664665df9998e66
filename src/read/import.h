/*
 * read/import.h - the parts of reading lists (coaming/import.h): sheets become rows of values as
 * the arrangement will have them, or rows that are not placed, each with every reason why.
 *
 * A value is text that the loader reads as it is; numbers are kept beside it where they are needed
 * for more than writing. Lengths are in the unit of the lists, for so they are written; what is
 * compared is compared in metres as the loader reckons them.
 */
#ifndef READ_IMPORT_H
#define READ_IMPORT_H

#include <stdint.h>

#include "base/text.h"
#include "coaming/import.h"
#include "csv/table.h"
#include "read/values.h"
#include "ship/fields.h"
#include "ship/number.h"

/* A box or a prism as it is written. */
typedef struct import_solid {
    const char *x, *y, *z; /* x NULL: a prism */
    const char *outline;
    bool derived;
    struct import_solid *next;
} import_solid;

typedef struct {
    const char *value[LIST_COLUMNS_MAX]; /* as written; NULL: none */
    const char *raw_id;                  /* as the list has it; NULL: none */
    uint64_t given;                      /* bits of the fields in which the list says something */
    long line;
    const char *stake; /* while a value is read: what is lost if it is wrong; NULL: the row */
    bool bad;          /* not to be placed */
    bool spoilt;       /* something of it is lost */
    bool numbered;     /* spaces: the number has three parts */
    number_parts number;
    import_solid *solids, **solids_end;
    bool has_place;          /* spaces: one of the solids lies in the hull or above it */
    const char *between;     /* links: two ids */
    const char *const *dogs; /* links: places along the gasket, */
    size_t dog_count;        /* or NULL and in the value a count */
    const char *joints;      /* links: places with blanks between */
    const gap *gaps;         /* links: of the last test, in the unit of the lists */
    size_t gap_count;
    const char *const *conditions; /* links: of shut-in */
    size_t condition_count;
    bool never_shut;
} import_row;

typedef struct {
    coaming_list kind;
    const char *path, *shown; /* path NULL: there is no such list */
    csv_table *table;
    int column[LIST_COLUMNS_MAX]; /* of each field; -1: none */
    import_row *rows;
    size_t count;
    bool tests_lost;        /* it has last tests that cannot be read, for want of a column */
    coaming_faults *faults; /* of this list, handed on by line in the end */
} import_list;

/* A name by which a space is meant, in small letters. */
typedef struct {
    const char *folded, *exact;
    coaming_place place; /* a row of the spaces, or an outside */
    bool id;             /* else its number or name */
    bool *told;          /* has it been said what is taken for it? */
} import_name;

struct coaming_import {
    arena memory;
    const coaming_import_options *options; /* while it is made */
    import_list lists[COAMING_LISTS_READ];
    double unit; /* metres in the unit of the lists */

    import_name *names;
    size_t name_count, suggestions;
    const char **conditions; /* in the order in which the closures name them */
    size_t condition_count;
    coaming_import_counts counts;
    char *text; /* of the arrangement, made by libxml2 */
    size_t size;
    bool memory_lost;
};

/* Finds the columns of a sheet; errors where one is missing or two could be meant. */
void import_columns(coaming_import *m, import_list *l);

/* The rows of a list with every value that can be read; the others are told of. */
void import_rows(coaming_import *m, import_list *l);

/* Spaces: ids, decks, boxes. Links: ids, places, openings, tests; spaces come first. */
void import_spaces(coaming_import *m);
void import_links(coaming_import *m);
/* Pumps and fans; spaces come first. */
void import_pumps(coaming_import *m);
void import_solids(coaming_import *m, const import_list *l, import_row *row);
/* Works out boxes from numbers for all that have none yet. */
void import_numbers(coaming_import *m);

/* Names by which spaces may be meant; made once all rows are there. */
void import_names(coaming_import *m);
/* The id of the space, sea or weather that is meant; NULL after telling why there is none. */
const char *import_place(coaming_import *m, const import_list *l, import_row *row, int field,
                         const char *text);

/* The same of a space and no outside. */
const char *import_space(coaming_import *m, const import_list *l, import_row *row, int field,
                         const char *text);
/* The fields first to last, each of a space: what cannot be read is lost alone. */
void import_hanging(coaming_import *m, const import_list *l, import_row *row, int first, int last);

/* The arrangement as text in m->text. */
coaming_status import_compose(coaming_import *m, coaming_error *error);

/* Does the list say something in this field of the row, be it right or wrong? */
bool row_says(const import_row *row, int field);
/* Why a row is not placed, or what it loses if something less than the row is at stake; and what
 * was changed or taken. */
void row_refuse(const import_list *l, import_row *row, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void row_tell(const import_list *l, const import_row *row, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Memory that lives as long as the import; a NULL is remembered in memory_lost. */
void *import_new(coaming_import *m, size_t count, size_t size);
const char *import_text(coaming_import *m, const char *text);
const char *import_number(coaming_import *m, double value);
/* "low high" */
const char *import_pair(coaming_import *m, const char *low, const char *high);

/* What is wrong with a value: "NAME why". */
void row_refuse_value(const import_list *l, import_row *row, const char *name, const char *why);

/* Values of a cell or a part of one, as written; NULL after telling what is wrong. metres: may be
 * NULL. */
typedef struct {
    coaming_import *m;
    const import_list *l;
    import_row *row;
    const char *name; /* of the column */
} cell;
const char *cell_number(const cell *c, const char *text, const values_bounds *bounds);
const char *cell_length(const cell *c, const char *text, const values_bounds *bounds,
                        double *metres);
const char *cell_along(const cell *c, const char *text, double *metres);

/* Is there nothing but blanks? */
bool text_is_blank(const char *text);
/* Small letters of A to Z. */
const char *import_folded(coaming_import *m, const char *text);

/* What is done with a row. */
typedef void import_take(coaming_import *m, const import_list *l, import_row *row);
/* Reads every row of these lists, whose ids must differ: a row whose id is that of a row before it is
 * refused. The id is the first field of every list. False when out of memory. */
bool import_read(coaming_import *m, coaming_list first, coaming_list last, import_take *read);
/* Counts every row of these lists that is placed, and what was taken for it; none once memory is lost. */
void import_count(coaming_import *m, coaming_list first, coaming_list last, import_take *count);
/* Makes the id of a row fit and tells of it, or why it cannot be one. */
void import_fit_id(coaming_import *m, const import_list *l, import_row *row);

#endif
