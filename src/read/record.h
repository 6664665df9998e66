/* read/record.h - the entries of a coaming_record and what is known of each. */
#ifndef READ_RECORD_H
#define READ_RECORD_H

#include "base/memory.h"
#include "base/text.h"
#include "coaming/record.h"
#include "read/log_scan.h"
#include "read/values.h"
#include "ship/ship.h"

/* A length as it was given. */
typedef struct {
    bool given;
    value_measure value;
    char *spelt; /* in the unit of the ship's file, once that is known; room: NUMBER_TEXT */
} measure;

typedef struct {
    coaming_entry entry; /* texts in the record's arena; gaps in one spelling */
    gap *gaps;           /* in the unit of the ship's file, once that is known */
    size_t gap_count;
    char *gaps_spelt; /* entry.gaps, to be spelt anew; room for each: GAP_ROOM */
    measure set, hinge_play;
    const char *file; /* where it was asked for */
    long line;
    int earlier;          /* entry of the same closure in the same record; -1 */
    bool latest;          /* of its closure in the record */
    bool undone;          /* by a later entry of the same record */
    coaming_entry before; /* an undo: what it takes back */
} record_item;

struct coaming_record {
    arena memory;
    coaming_date today;
    const coaming_ship *of; /* whose closures are recorded, borrowed; NULL: not known */
    bool again;             /* record also what stands last in the log already */
    record_item *items;     /* growing */
    size_t count, capacity;
    const char *ship;  /* after writing */
    const char *known; /* then: what the log has of the closures recorded, as a log */
    size_t log_entries;
};

/* A fault under the name of the closure. */
void record_fault(coaming_faults *faults, coaming_severity severity, const char *file, long line,
                  const char *closure, const char *format, ...)
    __attribute__((format(printf, 6, 7)));

/* Gaps in one spelling. text: GAP_ROOM for each. */
enum { GAP_ROOM = 160 };
void record_spell_gaps(const gap *gaps, size_t count, char *text);

/* The closure that an entry is about; NULL after telling why there is none. */
const ship_link *record_closure(const coaming_ship *ship, const record_item *item,
                                coaming_faults *faults);

/* Checks all entries against the ship (may be NULL) and the log, and finds what each undo takes
 * back.
 */
void record_check(coaming_record *record, const coaming_ship *ship, log_scan *scan, const char *log,
                  coaming_faults *faults);

#endif
