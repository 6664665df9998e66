/*
 * coaming/history.h - one closure through the years: tests, repairs, the trend of its print, the
 * time between its failures.
 *
 * A failure is found by a test that fails where the closure did not stand as failed already
 * (ship.h). Time between failures: days from one found to the next. Trend:
 * straight line by least squares through the printed fractions (chalk.h) since the gasket was last
 * fitted or renewed, where there are three or more, not all of one day.
 * Lifetime: borrows the ship.
 */
#ifndef COAMING_HISTORY_H
#define COAMING_HISTORY_H

#include "coaming/ship.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct {
    coaming_date date;
    bool test;              /* else a repair */
    const char *what;       /* method of the test or action of the repair */
    coaming_result result;  /* of a test */
    double printed;         /* share of the run, 0 to 1; NaN: not known */
    size_t gap_count;       /* stretches without a print */
    size_t edge_count;      /* stretches where it lies off the middle of the gasket */
    double set, hinge_play; /* m, as measured at that test; NaN: not */
    bool dropped;           /* a test by air, with this drop of pressure: */
    coaming_drop drop;
    bool failure; /* a failure was found by it */
    bool undone;  /* taken back: counts for nothing */
    coaming_date undone_on;
    const char *undone_by, *undone_note;
    const char *by, *note; /* NULL: not said */
} coaming_history_row;

typedef struct {
    const coaming_history_row *rows; /* by date, then as they were entered; owned by the history */
    size_t count;
    size_t tests, repairs, failures; /* of what is not taken back */
    double between;                  /* mean days between failures; NaN: fewer than two */
    double trend;                    /* change of the printed fraction a year; NaN: not known */
    size_t print_count;              /* that the trend goes by */
    coaming_date since;              /* first of them; COAMING_NO_DATE */
} coaming_history;

/* COAMING_MEMORY. Cost: events. */
COAMING_API coaming_status coaming_history_new(const coaming_ship *ship, int closure,
                                               coaming_history **history, coaming_error *error);
COAMING_API void coaming_history_free(coaming_history *history);

#ifdef __cplusplus
}
#endif

#endif
