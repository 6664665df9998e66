/*
 * coaming/record.h - tests and repairs into a test log, so that none is ever lost.
 *
 * A coaming_record gathers entries, from the command line or from a sheet, and then puts all of
 * them into the log or none. An entry is never changed or deleted afterwards: a slip is taken back
 * by an entry of its own (COAMING_ENTRY_UNDO).
 *
 * How the log is written: the new text is made beside it, synced to the disk, and then put in its
 * place by one rename, so that the old log or the new one is found whole whenever the machine
 * stops. All writers wait for each other by a lock on the log (flock); what stood in it, comments
 * and layout too, stays byte for byte. Not for file systems without rename over a file in use.
 *
 * Lifetime: texts are copied. Cost: linear in the size of the log.
 */
#ifndef COAMING_RECORD_H
#define COAMING_RECORD_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum { COAMING_ENTRY_TEST, COAMING_ENTRY_REPAIR, COAMING_ENTRY_UNDO } coaming_entry_kind;

/* One entry in the words of the format; NULL where there is nothing to say. Lengths are in the
 * unit of the arrangement's file. */
typedef struct {
    coaming_entry_kind kind;
    const char *closure;
    coaming_date date;
    const char *method;           /* test: as in the format; NULL: what is usual for the kind */
    const char *result;           /* test: as in the format */
    const char *gaps;             /* test: "AT:LENGTH[:SEEN]" with blanks between */
    bool gaps_in_metres;          /* then they need the ship's file, as mm and inches do */
    const char *set, *hinge_play; /* test: as measured; with "mm" or "in" behind in these */
    /* test by air: the difference of pressure as it began and ended, Pa, after how long, s; the space
     * that was under pressure, which need be said only between two spaces; its air, m3 */
    const char *start_pressure, *end_pressure, *duration, *space, *volume;
    const char *action; /* repair */
    const char *by, *note;
} coaming_entry;

/* A test of which nothing is said yet, nor its date, which an entry needs. */
COAMING_API coaming_entry coaming_entry_default(void);

/* The words of the format, each list ending in NULL. */
COAMING_API const char *const *coaming_method_words(void);
COAMING_API const char *const *coaming_result_words(void);
COAMING_API const char *const *coaming_action_words(void);

typedef struct coaming_record coaming_record;

/* NULL when out of memory. today: no entry may be of a later day. */
COAMING_API coaming_record *coaming_record_new(coaming_date today);
COAMING_API void coaming_record_free(coaming_record *record);

/* The ship whose closures are recorded, for the methods of tests that say none: of the intervals
 * that due.h has for the closure, those by a method that proves that it holds, and of these the
 * shortest. Without a ship, or where there is none such (a valve, which is looked at), an entry
 * must say its method. Borrowed as long as entries are added. */
COAMING_API void coaming_record_of(coaming_record *record, const coaming_ship *ship);

/* Adds an entry. What is wrong with it becomes faults, under `file` and `line`, and COAMING_INPUT,
 * or COAMING_USAGE if nothing is but that its method is not said and not known. An undo takes back
 * the latest entry of the closure that is not taken back yet, by this record or before it. */
COAMING_API coaming_status coaming_record_add(coaming_record *record, const coaming_entry *entry,
                                              const char *file, long line, coaming_faults *faults,
                                              coaming_error *error);

/* A sheet to be read. */
typedef struct {
    const char *path;
    coaming_date date;        /* these three stand for rows that leave them empty; */
    const char *by, *method;  /* NULL: nobody, and what is usual for the kind */
    coaming_date_order dates; /* how they are written in it */
} coaming_sheet;

/* No path; each row needs its date, as ISO 8601 has them. */
COAMING_API coaming_sheet coaming_sheet_default(void);

/*
 * Adds what a sheet says that was filled in on the way (comma separated values, as `coaming round
 * --format csv` prints it). Columns by their headings: closure; result (pass, fail or empty: not
 * tested), method, gaps or gaps-m (in metres, as the list of tests of coaming export has them),
 * set-mm and hinge-play-mm (measured at that test, in mm where no unit is written),
 * start-pressure-pa, end-pressure-pa, duration-s, space and volume-m3 (of a test by air), action (repair
 * after that test), retest (result after the repair, by the same method), retest-gaps, date, by,
 * note; coaming-record(1) says which other headings mean them, and how values may be written.
 * Others are not read. A sheet with results and without a column of methods is refused unless it is
 * said by which method all of them are: a glance is no chalk test. Every faulty row is a fault with
 * its line, and COAMING_INPUT. skipped: rows with nothing filled in (may be NULL).
 */
COAMING_API coaming_status coaming_record_sheet(coaming_record *record, const coaming_sheet *sheet,
                                                size_t *skipped, coaming_faults *faults,
                                                coaming_error *error);

/*
 * Puts all entries into the log. ship: to check closures and gaps against, to name a new log by,
 * and for the unit of its file, into which mm, inches and gaps in metres are turned; NULL: a
 * closure is known if the log has an entry of it, and a log that does not exist is COAMING_NO_FILE.
 * What stands last of its closure in the log already, word for word, was recorded before and is a
 * fault, unless `again`. Faults name the entries as they were added. COAMING_WRITE, COAMING_READ
 * and COAMING_MEMORY leave the log as it was; only where the folder could not be synced after the
 * rename the message says that the log is the new one.
 */
COAMING_API coaming_status coaming_record_write(coaming_record *record, const char *log,
                                                const coaming_ship *ship, bool again,
                                                coaming_faults *faults, coaming_error *error);

/* The checks of coaming_record_write alone; nothing is written. */
COAMING_API coaming_status coaming_record_check(coaming_record *record, const char *log,
                                                const coaming_ship *ship, bool again,
                                                coaming_faults *faults, coaming_error *error);

/* Entries; after coaming_record_write also what an undo took back. Borrowed. */
COAMING_API size_t coaming_record_count(const coaming_record *record);
COAMING_API const coaming_entry *coaming_record_get(const coaming_record *record, size_t index);
COAMING_API const coaming_entry *coaming_record_undone(const coaming_record *record, size_t index);

/* After writing: the ship of that arrangement, with what the log has of the closures that were
 * recorded, enough to read their prints (chalk.h); without reading the log again. As
 * coaming_ship_load. */
COAMING_API coaming_status coaming_record_load(const coaming_record *record, const char *path,
                                               coaming_faults *faults, coaming_ship **ship,
                                               coaming_error *error);

/* After writing: the ship's name in the log, and how many entries it has now. */
COAMING_API const char *coaming_record_ship(const coaming_record *record);
COAMING_API size_t coaming_record_log_entry_count(const coaming_record *record);

#ifdef __cplusplus
}
#endif

#endif
