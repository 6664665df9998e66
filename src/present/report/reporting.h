/* present/report/reporting.h - what the sections of the report share. */
#ifndef PRESENT_REPORTING_H
#define PRESENT_REPORTING_H

#include "analyse/report/report.h"
#include "ship/ship.h"

typedef struct {
    FILE *out;
    const coaming_ship *ship;
    const coaming_report_options *how;
    const report_day *now, *before;
    const coaming_report *of; /* all answers; those of a day stand above */
    char *let_in; /* what the sea is let into already, every answer starts from it; "": nothing */
    char *seen;   /* what is seen of closures now; "": nothing */
} report;

/* "D1 Engine room door", both as names of their own direction. */
void report_closure(const report *r, int closure);
/* "FAIL 2026-09-30" with its sign. */
void report_result(FILE *out, const coaming_ship *ship, int closure);
/* A space by its name, "the weather", and "the sea" or for water "outside". */
void report_place(const report *r, coaming_place place, bool water);
/* What a loss or a consequence comes to, with the unit of the measure. */
void report_amount(const report *r, double value);
/* How many tests are overdue or due within the days asked for: the first of the day's, for what is
 * due first stands first. */
size_t report_due_soon(const report *r);
/* The day that it is due, "never done". */
void report_test_day(const report *r, const coaming_due_row *row);
/* What the last print or test asks for, in words. COAMING_MEMORY. */
coaming_status report_advice(const report *r, int closure, coaming_error *error);

/* Names all closures whose failure sinks her in some scenario, if there are any. */
void report_sinking(const report *r);
coaming_status report_state(const report *r, coaming_error *error);
coaming_status report_changes(const report *r, coaming_error *error);
coaming_status report_worst(const report *r, coaming_error *error);
/* Lines to hold from machinery and vital spaces. */
coaming_status report_hold(const report *r, coaming_error *error);
/* Water and air in time; nothing where they are not asked for. */
coaming_status report_water(const report *r, coaming_error *error);
coaming_status report_air(const report *r, coaming_error *error);
/* What stands failed or untested: the head of the list, and what is too long for it. */
coaming_status report_repair(const report *r, coaming_error *error);
coaming_status report_repair_rest(const report *r, coaming_error *error);
coaming_status report_due(const report *r, coaming_error *error);
/* Every closure, and a line to sign. */
coaming_status report_register(const report *r, coaming_error *error);
coaming_status report_survival(const report *r, coaming_error *error);
coaming_status report_assumptions(const report *r, coaming_error *error);

#endif
