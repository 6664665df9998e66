/*
 * coaming/draw.h - deck plans and a profile of the ship as SVG, to scale, with an answer laid over.
 *
 * SVG 1.1 with no script, no style sheet and nothing from elsewhere: it can be opened, printed, or
 * put into an HTML page as it is. One user unit is one point (1/72 inch) of paper at the width
 * asked for; no text is smaller than 7 points. What has no room for its name shows its id, or a
 * number, and a key tells the rest; ids and numbers for which no place is found are listed below.
 *
 * A deck plan shows what lies between a deck and the next higher one: each space that has more than
 * 1 cm of its height there (one that has so nowhere, at its lowest part). Decks of the same height
 * are one plan; the lowest also shows all below it, the highest all above. Bow to the right, port
 * up. Without decks, plans begin at the floors of spaces that are 1.8 m or more apart. The profile
 * is seen from starboard; what lies nearer to the centre line is drawn over what lies farther off,
 * and what is hidden so is named below.
 *
 * Marks and colours are the project's own; no standard's symbols are followed. The palette's
 * contrast and its distances for colour-blind readers are tested (tests/unit/test_draw.c).
 *
 * Cost: for a plan, spaces x places tried for a label; n^2 for the extents of its n spaces; besides
 * the rows of one closure for an overlay that shows what it exposes.
 */
#ifndef COAMING_DRAW_H
#define COAMING_DRAW_H

#include <stdio.h>

#include "coaming/due.h"
#include "coaming/exposure.h"
#include "coaming/hold.h"
#include "coaming/present.h"
#include "coaming/ranking.h"
#include "coaming/spread.h"
#include "coaming/survival.h"

#ifdef __cplusplus
extern "C" {
#endif

/* Code, word. */
#define COAMING_OVERLAY_TABLE(X)                                                                   \
    X(NONE, "none")                                                                                \
    X(EXPOSE, "expose") /* what floods or gets bad air if a closure fails, and by which way */     \
    X(RANK, "rank")     /* whose failure would cost most, numbered */                              \
    X(DUE, "due")       /* the closures whose tests are due */                                     \
    X(HOLD, "hold")     /* the line most likely to hold, and the weakest way */                    \
    X(SURVIVAL,                                                                                    \
      "survival")     /* zones along her by what damage there costs, as built and as tested */     \
    X(FLOOD, "flood") /* how deep the water stands at a moment */                                  \
    X(AIR, "air")     /* how much of an agent is in the air at a moment */

typedef enum {
#define COAMING_OVERLAY_CODE(code, word) COAMING_OVERLAY_##code,
    COAMING_OVERLAY_TABLE(COAMING_OVERLAY_CODE)
#undef COAMING_OVERLAY_CODE
        COAMING_OVERLAYS
} coaming_overlay;

COAMING_API const char *coaming_overlay_word(coaming_overlay kind);

/* What is drawn. The answers that an overlay shows are asked by the caller, and borrowed. */
typedef struct {
    const int *decks; /* which plans; NULL with count 0: every deck that something is on */
    size_t deck_count;

    /* As the answer was asked with; its condition also tells which closures stand open. */
    coaming_query query;
    const coaming_outset *outset; /* of this query; EXPOSE, RANK, HOLD: what they start from */
    /* EXPOSE: the answer, and which of its rows; coaming_exposure_choose finds one. */
    coaming_exposure *exposure;
    size_t row;
    const coaming_ranking *ranking;   /* RANK */
    const coaming_survival *survival; /* SURVIVAL */
    size_t top; /* RANK, SURVIVAL: how many closures of the answer are numbered; 0: all */
    const coaming_due *due;          /* DUE: the tests that are shown */
    const coaming_hold_answer *hold; /* HOLD */
    const coaming_flood *flood;      /* FLOOD, and which of its moments */
    const coaming_air *air;          /* AIR, which of its moments, and of which agent */
    size_t moment;
    coaming_agent agent;

    double width;       /* of the page, mm, 80 to 2000 */
    const char *prefix; /* of all ids in the document: a letter, then letters, digits, '-' */
    /* Of several drawings that go together: the spaces that an earlier one shows, by space, to
     * which this one adds its own; what none shows is named by the last. NULL: this one alone. */
    bool *seen;
    bool *seen_links; /* the same of closures and passages, by link; NULL with seen */

    coaming_overlay overlay;
    coaming_measure measure; /* RANK */
    int within;              /* DUE: days after the as-of date that the answer was limited to */

    bool profile, plans;
    bool
        compact; /* for small pages: ids in place of names; beside plans, or where more follows, the profile shows only
                    * closures that the overlay is about */
    bool embedded; /* in a page that has its own: no XML declaration, ship's name, caution; narrow
                    * margins */
    bool bare;     /* views and a short key of numbers alone, the legend only with the profile: for
                    * one of several drawings in a page that says the rest */
    bool sketch; /* of these: what has no room or is not seen is not listed, for the page says what
                    * counts */
    bool more;   /* of these: others follow */
} coaming_drawing;

/* Profile and all plans on a page as wide as A4 lying or A3 standing (297 mm); no overlay, the
 * default query, ten numbered, 30 days, prefix "c". */
COAMING_API coaming_drawing coaming_drawing_default(void);

/* COAMING_USAGE: width, prefix or decks are not as said above, or the overlay has no answer;
 * COAMING_MEMORY, COAMING_INTERNAL. Errors of writing are left to ferror(out). */
COAMING_API coaming_status coaming_print_drawing(FILE *out, const coaming_ship *ship,
                                                 const coaming_drawing *what, coaming_error *error);

/* Water in time: what is said of it, then levels, heel, trim and freeboard against time, on a page as
 * wide as A4 standing. Lines are told apart by dash and weight. COAMING_MEMORY; COAMING_USAGE without
 * an outset. */
COAMING_API coaming_status coaming_print_flood_plots(FILE *out, const coaming_flood_page *page,
                                                     coaming_error *error);

/* Smoke and gas in time in the same way: what each agent comes to in the air of the spaces, and what
 * people there take up, with the limits across and the moments marked at which they are passed; then
 * plans at chosen moments, filled by the agent whose limit is passed first. COAMING_MEMORY;
 * COAMING_USAGE of an answer without a source. */
COAMING_API coaming_status coaming_print_air_plots(FILE *out, const coaming_air *air,
                                                   coaming_error *error);

#ifdef __cplusplus
}
#endif

#endif
