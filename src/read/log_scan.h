/* read/log_scan.h - what recording needs to know of a log: where to write, and what stands there of
 * the closures at hand. No tree is built: a log may have hundreds of thousands of entries. */
#ifndef READ_LOG_SCAN_H
#define READ_LOG_SCAN_H

#include <stdbool.h>

#include "base/memory.h"
#include "base/order.h"
#include "coaming/record.h"
#include "read/latest.h"
#include "read/xml.h"

extern const char TEST_LOG_NS[];

/* An entry of one of the closures at hand, in the words of the log. */
typedef struct {
    coaming_entry entry;
    long line;
    int previous; /* of the same closure; -1 */
    int before;   /* of the closure, no undo, though it may be taken back; -1 */
    int like;     /* of the same closure, kind and date, not taken back; -1 */
    bool undone;
    bool of_repair; /* an undo: what it takes back */
    char of_date[12];
    char date[12];
} logged;

typedef struct {
    arena *memory;
    const char *const *closures; /* at hand, sorted */
    size_t closure_count;
    int *last;               /* by closure at hand: its latest entry; -1 */
    int *stands;             /* its latest that is no undo and may be not taken back; -1 */
    latest_entries standing; /* not taken back, by kind and date; freed by log_scan_free */
    logged *list;            /* growing; freed by log_scan_free */
    size_t count, capacity;
    char *gaps; /* of the entry at hand, a blank behind each; growing; freed by log_scan_free */
    size_t gaps_used, gaps_room;
    char *ship, *prefix; /* of the root; prefix "" where there is none */
    size_t entries;      /* of all closures */
    size_t insert;       /* where new entries go, bytes */
    size_t resume;       /* where the old text goes on */
    bool empty_root;     /* <test-log/>: the end tag must be written */
    bool memory_lost;
} log_scan;

/* Fills scan->ship to empty_root; closures, closure_count and memory are given. */
coaming_status log_scan_text(log_scan *scan, const char *text, size_t size, const char *shown,
                             coaming_faults *faults, coaming_error *error);
void log_scan_free(log_scan *scan);

/* The place of a closure among those at hand; -1. */
int log_scan_find(const log_scan *scan, const char *closure);

/* Takes the latest entry of a closure at hand that stands back; its number, -1: there is none. */
int log_scan_take_back(log_scan *scan, int closure);

/* "AT:LENGTH[:SEEN]" in one spelling. */
void gap_text(char *buffer, size_t size, double at, double length, const char *seen);

#endif
