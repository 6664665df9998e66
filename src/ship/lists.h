/*
 * ship/lists.h - the columns of the lists that go in and out as sheets: one table for both ways, so
 * that what is written is what is read.
 */
#ifndef SHIP_LISTS_H
#define SHIP_LISTS_H

/* Code, heading. */
#define SPACE_COLUMNS(X)                                                                           \
    X(SPACE_ID, "id")                                                                              \
    X(SPACE_NAME, "name")                                                                          \
    X(SPACE_NUMBER, "number")                                                                      \
    X(SPACE_DECK, "deck")                                                                          \
    X(SPACE_USE, "use")                                                                            \
    X(SPACE_PERMEABILITY, "permeability")                                                          \
    X(SPACE_SHELL, "shell")                                                                        \
    X(SPACE_PEOPLE, "people")                                                                      \
    X(SPACE_WORTH, "worth")                                                                        \
    X(SPACE_VITAL, "vital")                                                                        \
    X(SPACE_ENCLOSED, "enclosed")                                                                  \
    X(SPACE_WALKABLE, "walkable")                                                                  \
    X(SPACE_X0, "x0")                                                                              \
    X(SPACE_X1, "x1")                                                                              \
    X(SPACE_Y0, "y0")                                                                              \
    X(SPACE_Y1, "y1")                                                                              \
    X(SPACE_Z0, "z0")                                                                              \
    X(SPACE_Z1, "z1")                                                                              \
    X(SPACE_BOXES, "boxes")                                                                        \
    X(SPACE_PRISMS, "prisms")

/* Of passages, and the first of closures. `between` is read in place of from and to, never written.
 * Closures' plain fields (fields.h) stand in runs: a new one goes after leak-probability.
 */
#define PASSAGE_COLUMNS(X)                                                                         \
    X(LINK_ID, "id")                                                                               \
    X(LINK_NAME, "name")                                                                           \
    X(LINK_KIND, "kind")                                                                           \
    X(LINK_FROM, "from")                                                                           \
    X(LINK_TO, "to")                                                                               \
    X(LINK_BETWEEN, "between")                                                                     \
    X(LINK_X, "x")                                                                                 \
    X(LINK_Y, "y")                                                                                 \
    X(LINK_Z, "z")                                                                                 \
    X(LINK_WIDTH, "width")                                                                         \
    X(LINK_HEIGHT, "height")                                                                       \
    X(LINK_LIES, "lies")
#define CLOSURE_COLUMNS(X)                                                                         \
    PASSAGE_COLUMNS(X)                                                                             \
    X(LINK_RATING, "rating")                                                                       \
    X(LINK_WORKED_FROM, "worked-from")                                                             \
    X(LINK_SHUT_IN, "shut-in")                                                                     \
    X(LINK_POWER, "power")                                                                         \
    X(LINK_CONTROL, "control")                                                                     \
    X(LINK_HOURS, "hours")                                                                         \
    X(LINK_LEAK_PROBABILITY, "leak-probability")                                                   \
    X(LINK_COLLAPSE_HEAD, "collapse-head")                                                         \
    X(LINK_LEAK_AREA, "leak-area")                                                                 \
    X(LINK_REMOTE, "remote")                                                                       \
    X(LINK_PROTECTED, "protected")                                                                 \
    X(LINK_FITTED, "fitted")                                                                       \
    X(LINK_GASKET_FITTED, "gasket-fitted")                                                         \
    X(LINK_GASKET_SECTION, "gasket-section")                                                       \
    X(LINK_GASKET_JOINTS, "gasket-joints")                                                         \
    X(LINK_DOGS, "dogs")                                                                           \
    X(LINK_TEST_DATE, "test-date")                                                                 \
    X(LINK_TEST_METHOD, "test-method")                                                             \
    X(LINK_TEST_RESULT, "test-result")                                                             \
    X(LINK_TEST_GAPS, "test-gaps")                                                                 \
    X(LINK_TEST_SET, "test-set")                                                                   \
    X(LINK_TEST_HINGE_PLAY, "test-hinge-play")                                                     \
    X(LINK_TEST_SPACE, "test-space")                                                               \
    X(LINK_TEST_START, "test-start-pressure")                                                      \
    X(LINK_TEST_END, "test-end-pressure")                                                          \
    X(LINK_TEST_DURATION, "test-duration")                                                         \
    X(LINK_TEST_VOLUME, "test-volume")                                                             \
    X(LINK_TEST_BY, "test-by")                                                                     \
    X(LINK_TEST_NOTE, "test-note")
#define PUMP_COLUMNS(X)                                                                            \
    X(PUMP_ID, "id")                                                                               \
    X(PUMP_NAME, "name")                                                                           \
    X(PUMP_SPACE, "space")                                                                         \
    X(PUMP_CAPACITY, "capacity")                                                                   \
    X(PUMP_SERVES, "serves")                                                                       \
    X(PUMP_POWER, "power")                                                                         \
    X(PUMP_CONTROL, "control")
#define FAN_COLUMNS(X)                                                                             \
    X(FAN_ID, "id")                                                                                \
    X(FAN_NAME, "name")                                                                            \
    X(FAN_SUPPLIES, "supplies")                                                                    \
    X(FAN_FLOW, "flow")                                                                            \
    X(FAN_PRESSURE, "pressure")

#define LIST_CODE(code, heading) code,
typedef enum { SPACE_COLUMNS(LIST_CODE) SPACE_COLUMN_COUNT } space_column;
typedef enum { CLOSURE_COLUMNS(LIST_CODE) CLOSURE_COLUMN_COUNT } link_column;
typedef enum { PUMP_COLUMNS(LIST_CODE) PUMP_COLUMN_COUNT } pump_column;
typedef enum { FAN_COLUMNS(LIST_CODE) FAN_COLUMN_COUNT } fan_column;
#undef LIST_CODE
enum { PASSAGE_COLUMN_COUNT = LINK_RATING, LIST_COLUMNS_MAX = CLOSURE_COLUMN_COUNT };

/* Headings in the order of the codes. */
extern const char *const space_columns[], *const link_columns[];
extern const char *const pump_columns[], *const fan_columns[];

/* What shut-in says of a closure that is never shut; an empty cell: shut in every condition. */
extern const char LIST_NEVER[];

/* What is written after a box that was worked out from a compartment number. */
extern const char LIST_DERIVED[];

#endif
