/* present/report/report_picture.h - the drawing that shows what a row of the ranking says. */
#ifndef PRESENT_REPORT_PICTURE_H
#define PRESENT_REPORT_PICTURE_H

#include "present/report/reporting.h"

typedef struct {
    int closure;
    size_t row; /* of the exposure */
    coaming_hazard hazard;
    coaming_place source; /* the side of the closure where it is already */
    bool same;            /* just the spaces of the ranking's worst case are exposed from there */
    int *exposed, *by; /* the spaces, and the link that first lets it into each (-1: none); owned */
    size_t exposed_count;
    bool sinks;   /* with it she does not stay afloat, and if the closure held she would */
    bool perhaps; /* more is reached if untested closures leak */
    int *decks;   /* that these spaces stand on, and the closure; owned */
    size_t deck_count;
} picture;

/* index: in the ranking, of one that is drawn. A side from which its failure sinks her, if the
 * ranking says that it does and there is one; else the side that shows the worst case, or most of
 * it. */
coaming_status picture_choose(const report *r, size_t index, const int *spaces, size_t count,
                              picture *p, coaming_error *error);
/* The plan on which a height is shown: the highest deck not above it, or the lowest deck; -1: there are
 * none. */
int picture_deck_at(const coaming_ship *ship, double z);
void picture_free(picture *p);
/* number: of the closure in the page, for ids. */
coaming_status picture_draw(const report *r, const picture *p, size_t number, coaming_error *error);

#endif
