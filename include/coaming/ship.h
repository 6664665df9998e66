/*
 * coaming/ship.h - a ship as the analyses see her: spaces, and the closures and passages between.
 *
 * Purpose: read an arrangement file and any number of test logs, and look the parts up.
 * Lifetime: a coaming_ship is made by coaming_ship_load and freed by coaming_ship_free (free(NULL)
 * is fine); in between only coaming_ship_see (seen.h) changes it. Getters borrow: texts live as
 * long as the ship.
 * Units: metres, cubic metres, tonnes; x forward from the after perpendicular, y to port, z up from
 * the baseline. Files in feet are converted on reading, by 0.3048 exactly.
 * Indices: spaces, closures, passages, decks, conditions, loadings, pumps and fans are each numbered
 * from 0 in file order. A link is a closure or a passage, numbered as the closures are and then the passages:
 * coaming_closure_count(ship) + passage. A getter must be given an index that exists.
 */
#ifndef COAMING_SHIP_H
#define COAMING_SHIP_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/date.h"
#include "coaming/error.h"
#include "coaming/fault.h"

#ifdef __cplusplus
extern "C" {
#endif

typedef struct coaming_ship coaming_ship;

/* A space by its index, or one of the two outsides. */
typedef int coaming_place;
enum { COAMING_SEA = -1, COAMING_WEATHER = -2 };

/* How a closure stands as of the ship's date. */
typedef enum { COAMING_PASS, COAMING_FAIL, COAMING_UNTESTED } coaming_result;

/* What a loading stands for in the index of subdivision of SOLAS II-1/7: the deepest subdivision
 * draught, the partial one, the light service draught. */
typedef enum {
    COAMING_INDEX_DEEPEST,
    COAMING_INDEX_PARTIAL,
    COAMING_INDEX_LIGHT,
    COAMING_INDEX_NONE
} coaming_index_role;

typedef struct {
    const char *const *logs; /* paths of test logs, in the order in which they were given */
    size_t log_count;
    coaming_date as_of; /* tests and repairs after this date are not counted */
    coaming_date today; /* a date after both this and as_of is a fault */
} coaming_load_options;

/* No logs, as of today. */
COAMING_API coaming_load_options coaming_load_options_default(void);

/*
 * Reads an arrangement and its logs. `path` (or one of the logs) may be "-": standard input.
 * Every fault that was found is added to `faults` (required). Returns COAMING_INPUT if any of them
 * is an error; warnings alone do not stop the reading. COAMING_NO_FILE, COAMING_READ and
 * COAMING_MEMORY as their names say. Cost: linear in the size of the files, but for the look-up of
 * ids (n log n).
 */
COAMING_API coaming_status coaming_ship_load(const char *path, const coaming_load_options *options,
                                             coaming_faults *faults, coaming_ship **ship,
                                             coaming_error *error);
COAMING_API void coaming_ship_free(coaming_ship *ship);

COAMING_API const char *coaming_ship_name(const coaming_ship *ship);
COAMING_API coaming_date coaming_ship_as_of(const coaming_ship *ship);
COAMING_API size_t coaming_space_count(const coaming_ship *ship);
COAMING_API size_t coaming_closure_count(const coaming_ship *ship);
COAMING_API size_t coaming_passage_count(const coaming_ship *ship);

COAMING_API size_t coaming_deck_count(const coaming_ship *ship);
COAMING_API size_t coaming_condition_count(const coaming_ship *ship);
COAMING_API size_t coaming_loading_count(const coaming_ship *ship);

/* How many spaces have boxes that were worked out from their compartment numbers, not measured? */
COAMING_API size_t coaming_space_derived_count(const coaming_ship *ship);

/* What of the hull no space fills, and so can never flood: for coaming_print_check. */
typedef struct coaming_unfilled coaming_unfilled;

/* COAMING_MEMORY. Cost: spaces x regions of the hull, each test cheap. */
COAMING_API coaming_status coaming_unfilled_new(const coaming_ship *ship,
                                                coaming_unfilled **unfilled, coaming_error *error);
COAMING_API void coaming_unfilled_free(coaming_unfilled *unfilled);

/* Is kg given, so that it can be told how she floats? By every loading; without one (-1) by the
 * arrangement or not. */
COAMING_API bool coaming_ship_floats(const coaming_ship *ship, int loading);

COAMING_API const char *coaming_space_id(const coaming_ship *ship, int space);
COAMING_API const char *coaming_space_name(const coaming_ship *ship, int space);
/* Permeable volume of a whole space, m3. */
COAMING_API double coaming_space_volume(const coaming_ship *ship, int space);

/* Where the file gives no name, it is the id, here and below. */
COAMING_API const char *coaming_deck_id(const coaming_ship *ship, int deck);
COAMING_API const char *coaming_deck_name(const coaming_ship *ship, int deck);
COAMING_API const char *coaming_condition_id(const coaming_ship *ship, int condition);
COAMING_API const char *coaming_condition_name(const coaming_ship *ship, int condition);
COAMING_API const char *coaming_loading_id(const coaming_ship *ship, int loading);
COAMING_API const char *coaming_loading_name(const coaming_ship *ship, int loading);
/* No two loadings of a ship have the same, but for COAMING_INDEX_NONE. */
COAMING_API coaming_index_role coaming_loading_role(const coaming_ship *ship, int loading);
COAMING_API const char *coaming_passage_id(const coaming_ship *ship, int passage);
COAMING_API const char *coaming_passage_name(const coaming_ship *ship, int passage);
COAMING_API const char *coaming_link_id(const coaming_ship *ship, int link);
COAMING_API const char *coaming_link_name(const coaming_ship *ship, int link);

COAMING_API const char *coaming_closure_id(const coaming_ship *ship, int closure);
COAMING_API const char *coaming_closure_name(const coaming_ship *ship, int closure);
/*
 * How it stands. It stands as failed from a failed test on, until a later pass by a method that
 * proves (by default every method but visual) and that finds no smaller share of leaks than the
 * method that failed; a visual failure is cleared by any later pass that is not by a weaker method.
 * A repair clears nothing. Else it stands as passed if a pass since the last failure proved it;
 * else it is untested, looked at or not. Over all that, one that is seen to have failed (seen.h)
 * stands as failed.
 */
COAMING_API coaming_result coaming_closure_result(const coaming_ship *ship, int closure);
/* Date and method of the test that decides it; COAMING_NO_DATE and NULL if untested, and of one that
 * is seen to have failed. Of failures
 * that stand it is the one that takes most to clear, of equal ones the latest. */
COAMING_API coaming_date coaming_closure_tested(const coaming_ship *ship, int closure);
COAMING_API const char *coaming_closure_method(const coaming_ship *ship, int closure);
/* Date of the last visual test; COAMING_NO_DATE if there is none. */
COAMING_API coaming_date coaming_closure_looked_at(const coaming_ship *ship, int closure);

/*
 * A drop of pressure that was recorded at a test by air: one side was brought to a pressure over the
 * other (or under it), and after a while it was read again. What leaks it tells is worked out from it
 * by air.h.
 */
typedef struct {
    coaming_date date;
    double start, end; /* Pa, the difference between the sides as it began and as it ended */
    double duration;   /* s */
    int space;         /* the one that was brought to that pressure */
    double volume;     /* m3 of air in it: as recorded, else the permeable volume of the space */
} coaming_drop;

/* Of the tests up to the ship's date that are not taken back, by date. */
COAMING_API size_t coaming_closure_drop_count(const coaming_ship *ship, int closure);
COAMING_API coaming_drop coaming_closure_drop(const coaming_ship *ship, int closure, size_t index);

/* Head of water on one side of it, shut, at which it gives way, m; NaN: not given. */
COAMING_API double coaming_closure_collapse_head(const coaming_ship *ship, int closure);
/* Area of its leak, shut, as somebody tested it: that of a sharp-edged opening which lets as much
 * air by, m2; NaN: not given. */
COAMING_API double coaming_closure_leak_area(const coaming_ship *ship, int closure);
/* Can it be shut from elsewhere than beside it? Not once the space that its power comes from, or
 * the one where that is done, is under water; -1: not given. */
COAMING_API bool coaming_closure_remote(const coaming_ship *ship, int closure);
COAMING_API int coaming_closure_power(const coaming_ship *ship, int closure);
COAMING_API int coaming_closure_control(const coaming_ship *ship, int closure);

/*
 * Pumps take water out of the spaces that they serve, one or more, and over the side. One stops
 * once the space where it stands is under water, or that from which its power comes or it is
 * controlled (-1: not given, then nothing is assumed of it).
 */
COAMING_API size_t coaming_pump_count(const coaming_ship *ship);
COAMING_API const char *coaming_pump_id(const coaming_ship *ship, int pump);
COAMING_API const char *coaming_pump_name(const coaming_ship *ship, int pump);
COAMING_API int coaming_pump_space(const coaming_ship *ship, int pump);
/* m3/s, of all that it serves together; files have m3/h. */
COAMING_API double coaming_pump_capacity(const coaming_ship *ship, int pump);
COAMING_API size_t coaming_pump_serve_count(const coaming_ship *ship, int pump);
COAMING_API int coaming_pump_serves(const coaming_ship *ship, int pump, size_t index);
COAMING_API int coaming_pump_power(const coaming_ship *ship, int pump);
COAMING_API int coaming_pump_control(const coaming_ship *ship, int pump);

/* Fans blow air from the weather into a space: so much, m3/s, against so much more pressure there,
 * Pa (NaN: not given). */
COAMING_API size_t coaming_fan_count(const coaming_ship *ship);
COAMING_API const char *coaming_fan_id(const coaming_ship *ship, int fan);
COAMING_API const char *coaming_fan_name(const coaming_ship *ship, int fan);
COAMING_API int coaming_fan_supplies(const coaming_ship *ship, int fan);
COAMING_API double coaming_fan_flow(const coaming_ship *ship, int fan);
COAMING_API double coaming_fan_pressure(const coaming_ship *ship, int fan);

/* "sea", "weather" or the id of the space. */
COAMING_API const char *coaming_place_id(const coaming_ship *ship, coaming_place place);

/*
 * Look-ups by id. COAMING_UNKNOWN if there is none; the error names the nearest id there is.
 */
COAMING_API coaming_status coaming_find_space(const coaming_ship *ship, const char *id, int *space,
                                              coaming_error *error);
COAMING_API coaming_status coaming_find_closure(const coaming_ship *ship, const char *id,
                                                int *closure, coaming_error *error);
COAMING_API coaming_status coaming_find_deck(const coaming_ship *ship, const char *id, int *deck,
                                             coaming_error *error);
COAMING_API coaming_status coaming_find_condition(const coaming_ship *ship, const char *id,
                                                  int *condition, coaming_error *error);
COAMING_API coaming_status coaming_find_loading(const coaming_ship *ship, const char *id,
                                                int *loading, coaming_error *error);
COAMING_API coaming_status coaming_find_pump(const coaming_ship *ship, const char *id, int *pump,
                                             coaming_error *error);
COAMING_API coaming_status coaming_find_fan(const coaming_ship *ship, const char *id, int *fan,
                                            coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
