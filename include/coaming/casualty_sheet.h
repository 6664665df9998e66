/*
 * coaming/casualty_sheet.h - sheets to hang up: one page of A4 for each place where she may be holed or on fire,
 * drawn ahead of time from the answer of casualty.h.
 *
 * A sheet is true as long as what is recorded is. Until when that is by the tests that fall due (due.h)
 * is the earliest day on which one of any closure falls due that its answers rest on: by which a place
 * is reached first, that is to be shut or cannot be, and of the line to hold and the two behind it.
 *
 * Sheets are written one after the other into one HTML document that parses as XML too, needs nothing
 * from elsewhere (its Content-Security-Policy forbids it) and has no script. Each is one page of A4
 * standing: what has no room there is counted, with the command that tells it. Widths of text are
 * estimated as not less than common sans-serif faces need.
 */
#ifndef COAMING_CASUALTY_SHEET_H
#define COAMING_CASUALTY_SHEET_H

#include <stdio.h>

#include "coaming/casualty.h"
#include "coaming/due.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Is it a space that a sheet is drawn for unasked: vital, or used as a machinery space? */
COAMING_API bool coaming_space_has_sheet(const coaming_ship *ship, int space);

/* One of the sheets of a document; all borrowed. */
typedef struct {
    const coaming_outset *outset; /* of the query that the casualty was asked with */
    const coaming_casualty *casualty;
    const coaming_due *due; /* of all tests, whenever they fall due */
    size_t number, count;   /* the first is 1, and begins the document; the last ends it */
} coaming_casualty_sheet;

/* The test that ends the truth of a sheet: its row of `due`; NULL if none of what it rests on is
 * ever due. It may be overdue. overdue: how many of these closures have a test that is. COAMING_MEMORY. */
COAMING_API coaming_status coaming_casualty_sheet_until(const coaming_casualty_sheet *sheet,
                                                        const coaming_due_row **until,
                                                        size_t *overdue, coaming_error *error);

/* Writes one. COAMING_USAGE: there is no outset; COAMING_MEMORY, COAMING_INTERNAL. Errors of writing are
 * left to ferror(out). Cost: its text a few times over, and a drawing for each hazard. */
COAMING_API coaming_status coaming_print_casualty_sheet(FILE *out,
                                                        const coaming_casualty_sheet *sheet,
                                                        coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
