/*
 * read/parts.h - the parts of an arrangement and of a log, each read by one function that reports
 * every fault it meets and goes on. After an error the ship is not complete and must not be used.
 */
#ifndef READ_PARTS_H
#define READ_PARTS_H

#include "read/element.h"
#include "ship/fields.h"

extern const char ARRANGEMENT_NS[];

/* coaming_ship_load with the arrangement's text in memory. */
coaming_status ship_load_text(const char *text, size_t size, const char *shown,
                              const coaming_load_options *options, coaming_faults *faults,
                              coaming_ship **ship, coaming_error *error);

/* Root element: name, units; and which elements may stand in it. */
void read_arrangement_root(reader *r, const xmlNode *root);
/* ship, hull, frames, deck, condition, ageing, method, repairing, interval, zone. */
void read_principal(reader *r, const xmlNode *root);
/* Once the hull is known. */
void check_zones(reader *r);
void read_spaces(reader *r, const xmlNode *root);
/* Closures and passages, with the tests in them; spaces and conditions must have been read. */
void read_links(reader *r, const xmlNode *root);
/* Loading conditions; spaces must have been read and, for their volumes, cut by the hull. */
void read_loadings(reader *r, const xmlNode *root);
/* Pumps and fans; spaces must have been read. */
void read_pumps(reader *r, const xmlNode *root);
/* Scenarios; spaces must have been read. */
void read_scenarios(reader *r, const xmlNode *root);

/* A test log, part by part: adds its tests and repairs to the reader's events. begin: false if none
 * of it is to be read (which is reported). end: always. */
bool read_log_begin(reader *r, const xmlNode *root);
void read_log_part(reader *r, const xmlNode *root);
void read_log_end(reader *r);

/* One <test> for a closure; shared by arrangement and log. closure -1: read for its faults only. */
void read_test(reader *r, const xmlNode *element, int closure);

/* Hands each closure its events by date and finds how it stands. */
void settle_events(reader *r);

/* element_check of a space or link, or of the element `within` it, by the fields of its list;
 * children: what may stand within that element. */
void fields_check(reader *r, const xmlNode *element, coaming_list list, const char *within,
                  const char *const *children);
/* Reads the plain fields among the columns first to last, which are attributes of this element,
 * into a space or link that fields_begin has begun. */
void fields_read(reader *r, const xmlNode *element, coaming_list list, int first, int last,
                 void *item);

/* Makes an index of ids and reports those that stand twice. line: of each list item. */
typedef long (*line_of_item)(const void *list, size_t index);
void read_index(reader *r, id_index *index, const char *what, size_t count, text_of_id id,
                line_of_item line, const void *list);

/* A space by its id, or by that in an attribute; -1, which is reported, where there is none, and
 * where nothing is said. */
int read_space_named(reader *r, const xmlNode *element, const char *what, const char *id);
int read_space_of(reader *r, const xmlNode *element, const char *name);

/* A place by its id: a space, sea or weather; reports what is neither. */
bool read_place(reader *r, const xmlNode *element, const char *name, const char *id,
                coaming_place *place);

#endif
