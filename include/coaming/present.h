/*
 * coaming/present.h - answers as text for people or as JSON for programs.
 *
 * Text: UTF-8, made to fit `columns`; states are told by words, colour only underlines them. JSON:
 * one document with the keys of the published schemas; every number reads back as the same double.
 * All functions write to `out`, which stays open; errors of writing are left to ferror(out), which
 * the caller checks once when closing. They return COAMING_MEMORY or what the analysis returns.
 */
#ifndef COAMING_PRESENT_H
#define COAMING_PRESENT_H

#include <stdio.h>

#include "coaming/air.h"
#include "coaming/boundary.h"
#include "coaming/casualty.h"
#include "coaming/chalk.h"
#include "coaming/due.h"
#include "coaming/exposure.h"
#include "coaming/fault.h"
#include "coaming/flood.h"
#include "coaming/follow.h"
#include "coaming/history.h"
#include "coaming/hold.h"
#include "coaming/likelihood.h"
#include "coaming/list.h"
#include "coaming/plan.h"
#include "coaming/query.h"
#include "coaming/ranking.h"
#include "coaming/record.h"
#include "coaming/round.h"
#include "coaming/spread.h"
#include "coaming/survival.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Not every answer can be written in every format: each function says which. Where it says nothing,
 * it is text and JSON. */
typedef enum {
    COAMING_TEXT,
    COAMING_JSON,
    COAMING_CSV,
    COAMING_ICAL,
    COAMING_GRAPHML,
    COAMING_DOT,
    COAMING_SVG, /* draw.h alone */
    COAMING_HTML /* report.h alone */
} coaming_format;

typedef struct {
    coaming_format format;
    bool colour; /* text only */
    int columns; /* text only; at least 40 are used */
} coaming_style;

/* The short caution that stands once in every answer that somebody could act on. */
COAMING_API const char *coaming_caution(void);

/* The same with what is assumed at a level: at equilibrium, of how she floats. */
COAMING_API const char *coaming_caution_at(coaming_level level);

/* The same for tests and the reading of prints. */
COAMING_API const char *coaming_test_caution(void);

/* A short one, to be read aloud with a casualty. */
COAMING_API const char *coaming_casualty_caution(coaming_level level);

/* The same for how she floats. */
COAMING_API const char *coaming_float_caution(void);

/* The same for smoke and gas in time. */
COAMING_API const char *coaming_air_caution(void);

/* What is known of a file; all borrowed. */
typedef struct {
    const char *path;
    const coaming_faults *faults;
    const coaming_ship *ship;         /* NULL: it could not be loaded */
    const coaming_unfilled *unfilled; /* of the ship; NULL without one */
} coaming_check_answer;

/* Is the file sound. As text only the summary is written: the faults themselves belong on standard
 * error, see coaming_print_fault. COAMING_USAGE: a ship without what is unfilled of her. */
COAMING_API coaming_status coaming_print_check(FILE *out, coaming_style style,
                                               const coaming_check_answer *answer,
                                               coaming_error *error);

/* Writes text with every sign that would deceive the eye as its number, "<U+202E>": control
 * characters, marks that turn the direction of writing, what cannot be seen; and bytes that are no
 * UTF-8 as "<0xFF>". */
COAMING_API void coaming_print_clean(FILE *out, const char *text);

/* One fault as a line: FILE:LINE: error: object: message. */
COAMING_API void coaming_print_fault(FILE *out, const coaming_fault *fault);

/* In what follows outset is what the answer starts from (spread.h), of the ship and the query that
 * it was asked with; COAMING_USAGE if it is NULL. */

/* What is exposed if a closure fails. Of one of all closures the text leaves out what exposes
 * nothing. */
COAMING_API coaming_status coaming_print_expose(FILE *out, coaming_style style,
                                                const coaming_outset *outset,
                                                coaming_exposure *exposure, coaming_error *error);

/* A set of standings, as bits. */
#define COAMING_STANDS(result) (1u << (result))
enum { COAMING_STANDS_ALL = 7 };

/* What was asked of a rank and what was answered; and which rows to show, which coaming_print_rank
 * alone goes by. The answers are borrowed. */
typedef struct {
    coaming_query query;
    const coaming_outset *outset; /* of this query */
    coaming_measure measure;
    coaming_ranking *ranking; /* of this query and measure; its rows are shown in its order */
    const coaming_risk *risk; /* of the same, or NULL */
    const double *leaks;      /* how likely each closure leaks (likelihood.h), in file order */
    bool by_risk;             /* say that the ranking is sorted by risk, not by consequence */
    size_t top;               /* how many rows of each list, 0 for all */
    unsigned standing; /* one list, of the closures that stand so; 0: first what stands failed or
                          untested, then all */
} coaming_rank_options;

/* The default query, worth and all rows; outset, ranking, risk and leaks are still to be set. */
COAMING_API coaming_rank_options coaming_rank_options_default(void);

COAMING_API coaming_status coaming_print_rank(FILE *out, coaming_style style,
                                              const coaming_ship *ship,
                                              const coaming_rank_options *how,
                                              coaming_error *error);

/* How likely one closure leaks, step by step through its history, and its importance by the risk.
 * likelihood: of this closure; rank: query, outset, measure and risk are enough. */
COAMING_API coaming_status coaming_print_likelihood(FILE *out, coaming_style style,
                                                    const coaming_ship *ship, int closure,
                                                    const coaming_likelihood *likelihood,
                                                    const coaming_rank_options *rank,
                                                    coaming_error *error);

/* Ships of more spaces are not asked where they float by the program, for a plan at equilibrium: to
 * settle so many cases takes minutes. */
enum { COAMING_PLAN_SETTLED = 500 };

/* What was asked of a plan and what was answered. The answers are borrowed. A plan counts at one
 * plane and so does not know what she does not survive where she settles: of a ranking at
 * equilibrium the closures are named that stand failed or untested, are not in the plan, and with
 * which failed she does not stay afloat in some scenario (coaming_rank.lost). */
typedef struct {
    coaming_query query;
    const coaming_outset *outset; /* of this query */
    coaming_measure measure;
    double hours; /* that there are */
    const coaming_plan *plan;
    const coaming_ranking *ranking; /* of this query and measure; NULL: not asked */
} coaming_plan_answer;

/* Which repairs to make in the hours given. */
COAMING_API coaming_status coaming_print_plan(FILE *out, coaming_style style,
                                              const coaming_ship *ship,
                                              const coaming_plan_answer *answer,
                                              coaming_error *error);

/* How she floats with the spaces that were asked for open to the sea (spread.h), with the openings
 * to the weather and the righting arms. outset: at equilibrium, in the condition of the
 * floating. */
COAMING_API coaming_status coaming_print_float(FILE *out, coaming_style style,
                                               const coaming_outset *outset,
                                               const coaming_floating *floating,
                                               coaming_error *error);

/* The same for water in time. */
COAMING_API const char *coaming_flood_caution(void);

/* A flooding and what else was asked of it; all borrowed. */
typedef struct {
    const coaming_outset *outset; /* at equilibrium, in the condition and loading of the ask */
    const coaming_flood_ask *ask; /* with its lists */
    const coaming_flood *flood;   /* of this ask, and so are the next two */
    const coaming_flood_deadlines *deadlines; /* NULL: not asked */
    const coaming_flood_likely *likely;       /* NULL: not asked */
    unsigned long long seed;                  /* of these draws */
    size_t draws;
    bool table; /* in text: a row for each moment */
} coaming_flood_page;

/* Water in time: what is reached when, what can still be done, how she lies at the end; also as CSV, a
 * line for each moment. As SVG: draw.h. */
COAMING_API coaming_status coaming_print_flood(FILE *out, coaming_style style,
                                               const coaming_flood_page *page,
                                               coaming_error *error);

typedef struct {
    const coaming_outset *outset; /* at equilibrium, in the condition and loading asked for */
    const coaming_survival *survival;
    bool all;   /* in text: every case, from aft, not those that cost most */
    size_t top; /* so many cases that cost most as last tested; 0: as usual, in documents all */
} coaming_survival_rows;

/* What damage to her side does to her: the indexes and what their difference hangs on, the cases in
 * which she is lost only as last tested, and a table of cases. */
COAMING_API coaming_status coaming_print_survival(FILE *out, coaming_style style,
                                                  const coaming_survival_rows *rows,
                                                  coaming_error *error);

/* What can hold. */
COAMING_API coaming_status coaming_print_hold(FILE *out, coaming_style style,
                                              const coaming_outset *outset,
                                              const coaming_hold *hold, coaming_error *error);

/* What must be shut to seal spaces off; also as CSV, a line for each link. outset: of the query that
 * the boundary was asked with. */
COAMING_API coaming_status coaming_print_boundary(FILE *out, coaming_style style,
                                                  const coaming_outset *outset,
                                                  const coaming_boundary *boundary,
                                                  coaming_error *error);

/* A casualty, on one page; also as CSV, a line for each thing that is said. */
COAMING_API coaming_status coaming_print_casualty(FILE *out, coaming_style style,
                                                  const coaming_outset *outset,
                                                  const coaming_casualty *casualty,
                                                  coaming_error *error);

/* A casualty after one report more. Borrowed. */
typedef struct {
    size_t line; /* of the reports, from 1 */
    coaming_follow_report report;
    const coaming_outset *outset; /* of the ship as she is reported */
    coaming_measure measure;
    /* Each of its hazard alone; NULL: it is reported nowhere, or is not asked for. */
    const coaming_casualty *of[COAMING_HAZARDS];
} coaming_followed;

/* One line of JSON: the document of a casualty, with the report that it follows; and what is written
 * in its place if the line is no report. */
COAMING_API coaming_status coaming_print_followed(FILE *out, const coaming_followed *followed,
                                                  coaming_error *error);
COAMING_API coaming_status coaming_print_no_report(FILE *out, size_t line, const char *why,
                                                   coaming_error *error);
/* Smoke and gas in time; also as CSV, a line for each moment, space and agent: concentrations in ppm,
 * doses in ppm min. outset: of the condition that the air was asked with, and of air alone. */
COAMING_API coaming_status coaming_print_air(FILE *out, coaming_style style,
                                             const coaming_outset *outset, const coaming_air *air,
                                             coaming_error *error);

/* A pressure-drop test of a space, and what it comes to. */
typedef struct {
    const coaming_ship *ship;
    int space;
    coaming_tightness drop;
    coaming_leak leak; /* by coaming_tightness_leak */
} coaming_tightness_answer;

COAMING_API coaming_status coaming_print_tightness(FILE *out, coaming_style style,
                                                   const coaming_tightness_answer *answer,
                                                   coaming_error *error);

/* The same for what is likely to hold. */
COAMING_API const char *coaming_hold_caution(coaming_level level);

/* What to do about the prints that were read. */
COAMING_API coaming_status coaming_print_adjust(FILE *out, coaming_style style,
                                                const coaming_readings *readings,
                                                coaming_error *error);

/* Which tests are due; also as CSV and as iCalendar (RFC 5545), an all-day entry for each: on its
 * day, or on the as-of date if that has gone by. */
COAMING_API coaming_status coaming_print_due(FILE *out, coaming_style style,
                                             const coaming_ship *ship, const coaming_due *due,
                                             coaming_error *error);

/* One closure through the years; also as CSV. history: of this closure. */
COAMING_API coaming_status coaming_print_history(FILE *out, coaming_style style,
                                                 const coaming_ship *ship, int closure,
                                                 const coaming_history *history,
                                                 coaming_error *error);

/* A round and what else its sheet tells; all borrowed. */
typedef struct {
    const coaming_ship *ship;
    const coaming_round_options *options;
    const coaming_round *round;
    const coaming_due *due; /* what is to be tested; of closures of the round alone it is shown */
    const coaming_readings *readings; /* of at least the closures of the round */
} coaming_round_answer;

/* A walk with its sheet to carry; as CSV the sheet that coaming_record_sheet reads back.
 * COAMING_USAGE: a closure of the round was not read. */
COAMING_API coaming_status coaming_print_round(FILE *out, coaming_style style,
                                               const coaming_round_answer *answer,
                                               coaming_error *error);

/* What was recorded into a log (after coaming_record_write), and what to do about the prints.
 * readings: of the closures recorded, of the ship with the log as it is now, or NULL. skipped: rows
 * of a sheet with nothing filled in. */
COAMING_API coaming_status coaming_print_record(FILE *out, coaming_style style, const char *log,
                                                const coaming_record *record, size_t skipped,
                                                const coaming_readings *readings,
                                                coaming_error *error);

/* The whole model with the results of expose and rank; always JSON. exposure: of all closures, of
 * the same query as the rank. */
COAMING_API coaming_status coaming_print_export(FILE *out, const coaming_ship *ship,
                                                coaming_exposure *exposure,
                                                const coaming_rank_options *rank,
                                                coaming_error *error);

/* Spaces, sea and weather as nodes, closures and passages as edges, with the values that the export
 * gives them and those of the rank, whose outset may be NULL. COAMING_GRAPHML (schema 1.0, with
 * typed keys) or COAMING_DOT. */
COAMING_API coaming_status coaming_print_graph(FILE *out, coaming_style style,
                                               const coaming_ship *ship,
                                               const coaming_rank_options *rank,
                                               coaming_error *error);

/* A list of the ship as coaming/import.h reads it; of tests, every test and repair up to the ship's
 * date. Always CSV; lengths are metres. */
COAMING_API coaming_status coaming_print_table(FILE *out, const coaming_ship *ship,
                                               coaming_list list, coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
