/* present/tell/views.h - one view of each answer per format; chosen by coaming_print_... in text_*.c. */
#ifndef PRESENT_VIEWS_H
#define PRESENT_VIEWS_H

#include "coaming/chalk.h"
#include "coaming/flotation.h"
#include "coaming/history.h"
#include "coaming/likelihood.h"
#include "coaming/present.h"
#include "ship/ship.h"
#include "json/json.h"

coaming_status json_check(FILE *out, coaming_format format, const coaming_check_answer *a,
                          coaming_error *error);
coaming_status json_expose(FILE *out, coaming_format format, const coaming_outset *outset,
                           coaming_exposure *exposure, coaming_error *error);
coaming_status json_rank(FILE *out, coaming_format format, const coaming_ship *ship,
                         const coaming_rank_options *how, coaming_error *error);
coaming_status json_likelihood(FILE *out, coaming_format format, const coaming_ship *ship,
                               int closure, const coaming_likelihood *l,
                               const coaming_rank_options *rank, coaming_error *error);
coaming_status json_plan(FILE *out, coaming_format format, const coaming_ship *ship,
                         const coaming_plan_answer *answer, coaming_error *error);

/* Is the closure of a row one that a plan leaves out and that may cost the ship? */
bool plan_leaves_to_be_lost(const coaming_ship *ship, const coaming_plan *plan,
                            const coaming_rank *row);
/* Is it one that stands failed, has hours, and is not among the repairs of a plan? */
bool plan_leaves_failed(const coaming_ship *ship, const coaming_plan *plan, int closure);

/* What float shows of one set of flooded spaces. */
typedef struct {
    const coaming_outset *outset;
    const coaming_floating_answer *floating;
    const int *openings; /* links to the weather, lowest above the water first */
    size_t opening_count;
} float_answer;
coaming_status json_float(FILE *out, const float_answer *a, coaming_error *error);
/* Sets openings, to be given to memory_free; none if she is lost. False when out of memory. */
bool float_openings(const coaming_ship *ship, float_answer *a, int **openings);
/* All that a document of float tells but its head, as one object. */
cJSON *json_floats(json_document *d, const float_answer *a);

/* The position, the righting arms, the ways of the water and the openings, each on a line. */
coaming_status csv_float(FILE *out, const float_answer *a, coaming_error *error);

coaming_status json_flood(FILE *out, const coaming_flood_page *page, coaming_error *error);
/* A line for each moment. */
coaming_status csv_flood(FILE *out, const coaming_flood_page *page, coaming_error *error);

/* All lines, and what no line can keep. floats: is it told how she floats with them? */
cJSON *json_hold_lines(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a,
                       bool floats);
cJSON *json_hold_sources(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a);
cJSON *json_hold_lost(json_document *d, const coaming_ship *ship, const coaming_hold_answer *a);
coaming_status json_casualty(FILE *out, const coaming_outset *outset,
                             const coaming_casualty *casualty, coaming_error *error);
coaming_status csv_casualty(FILE *out, const coaming_ship *ship, const coaming_casualty *casualty,
                            coaming_error *error);
coaming_status json_hold(FILE *out, const coaming_outset *outset, const coaming_hold *hold,
                         coaming_error *error);

coaming_status json_air(FILE *out, const coaming_air *air, coaming_error *error);
coaming_status csv_air(FILE *out, const coaming_air *air);
coaming_status json_tightness(FILE *out, const coaming_tightness_answer *answer,
                              coaming_error *error);

coaming_status json_boundary(FILE *out, coaming_format format, const coaming_outset *outset,
                             const coaming_boundary *boundary, coaming_error *error);

coaming_status json_survival(FILE *out, coaming_format format, const coaming_survival_rows *rows,
                             coaming_error *error);

/* Closures of the lines, and steps of the ways. */
coaming_status csv_hold(FILE *out, const coaming_outset *outset, const coaming_hold *hold,
                        coaming_error *error);

coaming_status json_adjust(FILE *out, coaming_format format, const coaming_readings *readings,
                           coaming_error *error);
coaming_status json_due(FILE *out, const coaming_ship *ship, const coaming_due *due,
                        coaming_error *error);
coaming_status csv_due(FILE *out, const coaming_ship *ship, const coaming_due *due);
/* What is to be told of libical. */
void ical_library(coaming_library *library);
coaming_status ical_due(FILE *out, const coaming_ship *ship, const coaming_due *due,
                        coaming_error *error);
coaming_status json_history(FILE *out, const coaming_ship *ship, int closure,
                            const coaming_history *history, coaming_error *error);
coaming_status csv_history(FILE *out, const coaming_ship *ship, int closure,
                           const coaming_history *history);
coaming_status json_record(FILE *out, coaming_format format, const char *log,
                           const coaming_record *record, size_t skipped,
                           const coaming_readings *readings, coaming_error *error);

/* The readings as text. */
coaming_status print_readings(FILE *out, coaming_style style, const coaming_readings *readings,
                              coaming_error *error);

typedef coaming_round_answer round_answer;
coaming_status json_round(FILE *out, const round_answer *a, coaming_error *error);
void csv_round(FILE *out, const round_answer *a);

/* What to carry: gaskets by section, and dogs. */
typedef struct {
    const char *section; /* NULL: not given */
    double metres;
    size_t closures, unknown; /* of how many closures; of how many the run is not known */
} gasket_need;
typedef struct {
    gasket_need *gaskets; /* owned by whoever asked: memory_free */
    size_t gasket_count;
    int dogs; /* to take up */
    double minutes;
    bool minutes_assumed; /* of at least one test */
} round_needs;
/* The next test that is due of a closure, looks first: a look after a chalk test on the same day
 * teaches nothing. *at: 0 at first. NULL: no more. */
const coaming_due_row *round_test(const coaming_due *due, int closure, size_t *at);
coaming_status round_needs_new(const round_answer *a, round_needs *needs, coaming_error *error);
/* From which side a closure is tested that is got at from outside the shell only, and how. */
coaming_place outside_place(const coaming_ship *ship, int closure);
const char *outside_way(coaming_place place);

#define WORK_ASKS    "to make good or test first"
#define NEVER_TESTED "rated nontight and not tested"
/* "7 failed (24 h to make good), 10 untested (30 h to make good if all need it, 2 without hours)": of
 * the standings asked for. */
void say_open_work(FILE *out, const coaming_ranking *ranking, unsigned standing);

#endif
