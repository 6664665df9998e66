/* analyse/report/report.h - the answers that a report is made of, each asked once. */
#ifndef ANALYSE_REPORT_REPORT_H
#define ANALYSE_REPORT_REPORT_H

#include "coaming/chalk.h"
#include "coaming/due.h"
#include "coaming/exposure.h"
#include "coaming/hold.h"
#include "coaming/likelihood.h"
#include "coaming/report.h"
#include "coaming/spread.h"
#include "coaming/survival.h"

/* The ship as of one day. */
typedef struct {
    const coaming_ship *ship; /* NULL: this day is not asked for */
    coaming_ranking *ranking;
    coaming_risk *risk; /* NULL: not by this measure */
    coaming_due *due;   /* every test, whenever it is due */
    double *leaks;      /* probability by closure */
    size_t *place;      /* in the ranking, by closure, from 0 */
    size_t results[COAMING_UNTESTED + 1];
    size_t repaired; /* and not tested since */
} report_day;

/* Of machinery and vital spaces those of most worth are asked; so many lines are told, half of them of
 * each hazard where both are asked: with a picture that is a sheet. */
enum { REPORT_LINES_ASKED = 12, REPORT_LINES = 4 };

typedef struct {
    const coaming_hold_answer *answer;
    int also[REPORT_LINES_ASKED]; /* other spaces, from which it is the same line */
    size_t also_count;
} report_line;

/* Of each hazard the worst first: with no line does she stay afloat, then by the expected loss. */
typedef struct {
    coaming_hold *holds[REPORT_LINES_ASKED];
    report_line rows[COAMING_HAZARDS][REPORT_LINES];
    size_t count[COAMING_HAZARDS];
    size_t places;                   /* machinery and vital spaces that there are */
    size_t asked;                    /* of these */
    size_t without[COAMING_HAZARDS]; /* of the asked, those for which there is no line */
} report_lines;

struct coaming_report {
    const coaming_ship *ship;
    coaming_report_options how;
    coaming_outset *outset; /* of the day of the report */
    report_day now, before;
    size_t shown;               /* closures at the head of the ranking that are drawn */
    coaming_exposure *exposure; /* of these, in their order; NULL: none */
    report_lines lines;
    coaming_reading **readings;         /* by closure */
    coaming_likelihood **likelihoods;   /* by closure */
    coaming_survival *survival;         /* NULL: not told */
    coaming_flood *flood;               /* NULL: not asked */
    coaming_flood_deadlines *deadlines; /* NULL: not asked */
    coaming_air *air;                   /* NULL: not asked */
    coaming_error survival_refuse;      /* why not; COAMING_OK: not asked */
};

/* Asks r->lines (lines.c). COAMING_MEMORY, and as coaming_hold_nested_new says. */
coaming_status report_ask_lines(coaming_report *r, coaming_error *error);
void report_free_lines(coaming_report *r);

#endif
