/*
 * read/element.h - elements and attributes with faults: what is allowed, and typed values.
 *
 * Getters report a faulty value once and return false for it as for an absent one, so that reading
 * goes on and every fault of a file is found in one pass.
 */
#ifndef READ_ELEMENT_H
#define READ_ELEMENT_H

#include "base/text.h"
#include "read/latest.h"
#include "read/values.h"
#include "read/xml.h"
#include "ship/ship.h"

typedef struct {
    coaming_ship *ship;
    coaming_faults *faults;
    const char *file;
    double unit;         /* metres in the file's unit of length */
    coaming_date latest; /* no date may come after it */
    bool memory_lost;
    ship_event *events; /* growing: all tests and repairs as they are read */
    size_t event_count, event_capacity;
    bool in_log;             /* a log is read, */
    latest_entries standing; /* and these of its entries are not taken back */
    const char *text;        /* of the arrangement; NULL: it is read from its file */
    size_t text_size;
    const char *log_text; /* of one more log, which is read last; NULL: none */
    size_t log_size;
    size_t suggestions; /* that were looked for: each costs a walk over all ids */
} reader;

/* A fault at an element, which is named by the nearest id in or above it. */
void fault_at(reader *r, const xmlNode *element, const char *format, ...)
    __attribute__((format(printf, 3, 4)));
void warning_at(reader *r, const xmlNode *element, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Memory for the ship; remembers in memory_lost when there is none. */
void *reader_new(reader *r, size_t count, size_t size);

/* Names of what an element may hold; lists end in NULL, NULL is an empty list. */
typedef struct {
    const char *const *required, *const *optional, *const *children;
} element_rule;

/* Reports unknown attributes and elements, missing attributes and stray text. */
void element_check(reader *r, const xmlNode *element, const element_rule *rule);
/* The two halves of it. */
void element_check_attributes(reader *r, const xmlNode *element, const element_rule *rule);
void element_check_children(reader *r, const xmlNode *element, const element_rule *rule);

bool element_is(const xmlNode *node, const char *name);
xmlNode *element_first(const xmlNode *parent, const char *name); /* NULL name: any element */
xmlNode *element_next(const xmlNode *element, const char *name);
size_t element_count(const xmlNode *parent, const char *name);
/* Reports every element of that name after the first. Returns the first. */
xmlNode *element_only(reader *r, const xmlNode *parent, const char *name);

/* The text of an attribute, borrowed from the tree or the ship; NULL where there is none. */
const char *attribute(reader *r, const xmlNode *element, const char *name);

/* As attribute, but kept with the ship; NULL also when blank or too long (which is reported). */
const char *get_name(reader *r, const xmlNode *element, const char *name);
const char *get_note(reader *r, const xmlNode *element, const char *name);
/* A word without blanks and commas. */
const char *get_id(reader *r, const xmlNode *element, const char *name);
/* A number or a length, from the file's unit to metres, which the bounds are too. */
bool get_bounded(reader *r, const xmlNode *element, const char *name, bool length,
                 const values_bounds *bounds, double *value);
bool get_number(reader *r, const xmlNode *element, const char *name, double least, double greatest,
                double *value);
bool get_length(reader *r, const xmlNode *element, const char *name, double least, double greatest,
                double *value);
/* A place along the ship: a length or a frame (fr20, fr20+0.25). */
bool get_along(reader *r, const xmlNode *element, const char *name, double *value);
/* Two places or lengths, the first smaller. */
bool get_alongs(reader *r, const xmlNode *element, const char *name, double pair[2]);
bool get_lengths(reader *r, const xmlNode *element, const char *name, double pair[2]);
/* One of the words of a table ending in NULL. */
bool get_word(reader *r, const xmlNode *element, const char *name, const char *const *words,
              int *index);
bool get_yes_no(reader *r, const xmlNode *element, const char *name, bool *value);
bool get_date(reader *r, const xmlNode *element, const char *name, coaming_date *date);

/* Parses one place along the ship or one length; reports and returns false if it is none. */
bool parse_along(reader *r, const xmlNode *element, const char *name, const char *text,
                 double *value);
bool parse_length(reader *r, const xmlNode *element, const char *name, const char *text,
                  double *value);

/* "; the nearest is X" for an id that is not in the index, or "": where none is near, and after
 * many faults. Buffer of its own for each call. */
enum { SUGGESTIONS_MAX = 50 };
const char *nearest(reader *r, const id_index *index, const char *id, char buffer[2 * TEXT_BRIEF]);
#define NEAREST(r, index, id) nearest(r, index, id, (char[2 * TEXT_BRIEF]){""})

#endif
