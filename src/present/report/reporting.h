/* present/report/reporting.h - what the sections of the report share. */
#ifndef PRESENT_REPORTING_H
#define PRESENT_REPORTING_H

#include "coaming/breaches.h"
#include "coaming/due.h"
#include "coaming/report.h"
#include "ship/ship.h"

/* What is worked out of the ship as of one day. */
typedef struct {
    const coaming_ship *ship; /* NULL: this day is not asked for */
    coaming_ranking *ranking;
    coaming_risk *risk; /* NULL: not by this measure */
    coaming_due *due;   /* all overdue and those within the days asked for */
    double *leaks;      /* probability by closure */
    size_t *place;      /* in the ranking, by closure, from 0 */
    size_t results[COAMING_UNTESTED + 1];
    size_t repaired; /* and not tested since */
} known;

typedef struct {
    FILE *out;
    const coaming_ship *ship;
    const coaming_report_options *how;
    known now, before;
    char *let_in; /* what the sea is let into already, every answer starts from it; NULL: nothing */
    coaming_breaches *survival;    /* NULL: not told */
    coaming_error survival_refuse; /* why not, if her kg is known */
} report;

/* "D1 Engine room door", both as names of their own direction. */
void report_closure(const report *r, int closure);
/* "FAIL 2026-09-30" with its sign. */
void report_result(FILE *out, const coaming_ship *ship, int closure);
/* A space by its name, "the weather", and "the sea" or for water "outside". */
void report_place(const report *r, coaming_place place, bool water);
/* "worth", " m3": after a number. */
const char *report_unit(const report *r);
/* What the last print or test asks for, in words. COAMING_MEMORY. */
coaming_status report_advice(const report *r, int closure, coaming_error *error);

/* Names all closures whose failure sinks her in some scenario, if there are any. */
void report_sinking(const report *r);
void report_state(const report *r);
coaming_status report_changes(const report *r, coaming_error *error);
coaming_status report_worst(const report *r, coaming_error *error);
/* What stands failed or untested: the head of the list, and what is too long for it. */
coaming_status report_repair(const report *r, coaming_error *error);
coaming_status report_repair_rest(const report *r, coaming_error *error);
coaming_status report_due(const report *r, coaming_error *error);
/* Every closure, and a line to sign. */
coaming_status report_register(const report *r, coaming_error *error);
void report_survival(const report *r);
coaming_status report_assumptions(const report *r, coaming_error *error);

#endif
