/* analyse/report/report.h - the answers that a report is made of, each asked once. */
#ifndef ANALYSE_REPORT_REPORT_H
#define ANALYSE_REPORT_REPORT_H

#include "coaming/chalk.h"
#include "coaming/due.h"
#include "coaming/exposure.h"
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

struct coaming_report {
    const coaming_ship *ship;
    coaming_report_options how;
    coaming_outset *outset; /* of the day of the report */
    report_day now, before;
    size_t shown;                     /* closures at the head of the ranking that are drawn */
    coaming_exposure *exposure;       /* of these, in their order; NULL: none */
    coaming_reading **readings;       /* by closure */
    coaming_likelihood **likelihoods; /* by closure */
    coaming_survival *survival;       /* NULL: not told */
    coaming_error survival_refuse;    /* why not; COAMING_OK: not asked */
};

#endif
