/*
 * coaming/report.h - the state of the ship as one HTML page, to be read on a screen, a phone or
 * paper.
 *
 * A report is asked first (coaming_report_new), then written (coaming_print_report). The page needs
 * nothing from elsewhere (its Content-Security-Policy forbids it) and no script: a small one of its
 * own adds a field to filter long tables. It is HTML that parses as XML too. Sections: what stands
 * failed or untested, the state in a few figures, what changed since an earlier day, the closures
 * whose failure would cost most each with the drawing (draw.h) of what it exposes, the lines to hold
 * (hold.h) from the vital and machinery spaces where they leave most to be lost, tests due, the
 * register of all closures with a line to sign, survival of damage to her side, assumptions,
 * caution; and where they are asked for, after the lines, water and air in time, with the plots and
 * plans of draw.h.
 *
 * The drawing of a closure shows the hazard of its worst scenario (ranking.h) and the side from
 * which the same spaces are exposed as there; if no side has just these, the one that has most of
 * them, and the page says so. It has the profile and the plans of the decks that these spaces stand
 * on.
 *
 * Lifetime: a coaming_report borrows both ships, which must outlive it, and owns all its answers.
 * Units are those of the answers it is made of: ranking.h, risk.h, due.h, likelihood.h, chalk.h,
 * exposure.h, survival.h. One thread at a time.
 */
#ifndef COAMING_REPORT_H
#define COAMING_REPORT_H

#include <stdio.h>

#include "coaming/air.h"
#include "coaming/flood.h"
#include "coaming/risk.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Ships of more spaces are asked at the waterline at rest by the program, unless a level is given:
 * to settle so many cases takes minutes. */
enum { COAMING_REPORT_SETTLED = 500 };

typedef struct {
    coaming_query query;
    coaming_measure measure;    /* freeboard and gm: without risk */
    coaming_risk_options risk;  /* as a rank's, whose numbers are then those of the page */
    const coaming_ship *before; /* the same files as of an earlier day, to compare; NULL */
    size_t top;                 /* closures with a drawing */
    int within;                 /* days ahead in the list of tests */
    const coaming_flood_ask
        *flood; /* water in time, told in a section of its own; NULL: not asked */
    const coaming_air_options *air; /* the same of smoke and gas; both borrowed as the ships are */
    bool level_by_size;             /* the level was chosen because there are so many spaces */
} coaming_report_options;

/* The default query and risk, worth, five closures, 30 days. */
COAMING_API coaming_report_options coaming_report_options_default(void);

typedef struct coaming_report coaming_report;

/*
 * Asks all that the page tells. COAMING_USAGE: `before` is not the same ship of an earlier day; air
 * without a source; and as ranking, risk, flood and air say; COAMING_MEMORY, COAMING_INTERNAL. That her survival cannot be told, such
 * as for want of kg, is no error: the page says why. Cost: ranking, risk and tests due, of both days;
 * the likelihoods and readings of all closures, an exposure of those drawn; nested lines of up to
 * twelve spaces; where asked for a flood and an air; the deadlines of the flood and survival.h, of a
 * ship of up to COAMING_REPORT_SETTLED spaces.
 */
COAMING_API coaming_status coaming_report_new(const coaming_ship *ship,
                                              const coaming_report_options *how,
                                              coaming_report **report, coaming_error *error);
COAMING_API void coaming_report_free(coaming_report *report);

/* Writes the page, always HTML. COAMING_MEMORY, COAMING_INTERNAL; errors of writing are left to
 * ferror(out). Cost: its text, and a drawing for each closure shown. */
COAMING_API coaming_status coaming_print_report(FILE *out, coaming_report *report,
                                                coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
