/*
 * coaming/due.h - which tests are due by when.
 *
 * How often a closure is to be tested by a method comes from the arrangement's <interval>s; for a
 * kind of which it says nothing, from these defaults, which are assumptions:
 *   watertight door, sidescuttle, valve   visual    7 days   SOLAS II-1/21: weekly
 *   door, hatch, scuttle, sidescuttle     chalk   182 days   assumption, no source
 *   manhole, cover                        chalk   365 days   assumption, no source
 *   ventilator, any other valve           visual   91 days   assumption, no source
 * (SOLAS II-1/21: periodical operation and inspection of watertight doors, etc.; the number of the
 * rule and the week are from memory.)
 *
 * Closures rated nontight are not tested. Every test is a look at the closure, so any method counts
 * as visual, and for the assumed intervals any but visual counts as chalk (common practice, no
 * source); else only a test by the same method counts. While a failure stands, looked at since or
 * not, and after a repair until it is tested, a retest by the method of the test that decides how
 * the closure stands (coaming_closure_method; else of its last test, else by what is usual for its
 * kind: of its intervals that of a method that proves, the shortest of these, or the first if none
 * does) is due from that day on; it stands for the interval of that method.
 *
 * A test due on the as-of date is not overdue yet. Lifetime: a coaming_due borrows the ship.
 */
#ifndef COAMING_DUE_H
#define COAMING_DUE_H

#include "coaming/ranking.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef enum {
    COAMING_DUE_INTERVAL, /* the interval runs out */
    COAMING_DUE_NEVER,    /* never tested by this method */
    COAMING_DUE_FAILED,   /* stands as failed: make good and retest */
    COAMING_DUE_REPAIRED  /* repaired and not tested since; a look is no test of one that stands as
                           * failed or passed */
} coaming_due_reason;

typedef enum {
    COAMING_BASIS_ARRANGEMENT,
    COAMING_BASIS_SOLAS,
    COAMING_BASIS_ASSUMED,
    COAMING_BASIS_RETEST
} coaming_due_basis;

typedef struct {
    int closure;
    const char *method; /* word of the format */
    int days;           /* the interval; 0 for a retest */
    coaming_due_reason reason;
    coaming_due_basis basis;
    coaming_date last; /* test that counts for it; COAMING_NO_DATE: none */
    coaming_date due;  /* COAMING_NO_DATE: never tested, so due at once */
    bool overdue;
    int late;           /* days after the due date, negative: days left; 0 for never */
    double minutes;     /* that the test takes */
    bool minutes_given; /* by the arrangement; else an assumption */
    double consequence; /* of ranking.h; NaN unless weighed */
    double urgency; /* consequence x days since the last test / interval; see coaming_due_weigh */
} coaming_due_row;

typedef struct coaming_due coaming_due;

/* All tests of all closures: overdue first, the longest overdue before the others (never tested
 * before all), ties in file order, then by the method's word. COAMING_MEMORY. Cost: events +
 * closures log closures. */
COAMING_API coaming_status coaming_due_new(const coaming_ship *ship, coaming_due **due,
                                           coaming_error *error);
COAMING_API void coaming_due_free(coaming_due *due);

/*
 * Puts what matters most first: overdue before the rest, and within each the greatest urgency:
 * consequence times the share of the interval that has gone by. Never tested counts as two
 * intervals gone by, a failed or repaired closure as two as well (assumptions). Ranking's errors.
 */
COAMING_API coaming_status coaming_due_weigh(coaming_due *due, coaming_query query,
                                             coaming_measure measure, coaming_error *error);

/* Was it weighed, and by what? */
COAMING_API bool coaming_due_weighed(const coaming_due *due, coaming_query *query,
                                     coaming_measure *measure);

/* Forgets rows that fall due more than `days` after the as-of date. */
COAMING_API void coaming_due_within(coaming_due *due, int days);

COAMING_API size_t coaming_due_count(const coaming_due *due);
COAMING_API const coaming_due_row *coaming_due_get(const coaming_due *due, size_t index);
/* How many are overdue. */
COAMING_API size_t coaming_due_overdue_count(const coaming_due *due);

/* Does the closure stand untested, and do its intervals ask for no test that would prove that it
 * holds? Then nothing that falls due will ever change how it stands, such as a valve that is only
 * looked at. False for what is rated nontight. */
COAMING_API bool coaming_due_unproved(const coaming_due *due, int closure);

COAMING_API const char *coaming_due_reason_word(coaming_due_reason reason);
COAMING_API const char *coaming_due_basis_word(coaming_due_basis basis);

#ifdef __cplusplus
}
#endif

#endif
