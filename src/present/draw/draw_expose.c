/* What one closure exposes from one side, laid over the drawing, with the ways it gets there. */
#include <stdlib.h>

#include "base/error.h"
#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/style.h"
#include "present/tell/float_words.h"

/* The rows of the closure but the one that is drawn in which she does not stay afloat, in one
 * sentence. */
static coaming_status say_other_losses(drawing *d, coaming_error *error)
{
    const char *words = "";
    bool also = false;
    size_t count =
        2 * (size_t)(d->what->query.hazard[COAMING_WATER] + d->what->query.hazard[COAMING_AIR]);
    size_t drawn = d->what->row, first = drawn - drawn % count;
    for (size_t i = first; i < first + count; i++) {
        coaming_exposure_row row;
        coaming_status status = coaming_exposure_row_get(d->what->exposure, i, &row, error);
        if (status != COAMING_OK)
            return status;
        also = also || (i == drawn && !row.afloat);
        if (i != drawn && !row.afloat)
            words = draw_format(d, "%s%s with %s in %s%s", words, *words ? ";" : "",
                                row.hazard == COAMING_WATER ? "water" : "bad air",
                                overlay_place(d, row.source), lost_whether(row.exposed_count));
    }
    if (*words)
        ALARM(NOT_AFLOAT_LOUD "%s%s; not drawn here.", also ? " either" : "", words);
    return COAMING_OK;
}

static void show_ways(drawing *d, const coaming_exposure_row *row)
{
    for (size_t i = 0; i < row->exposed_count; i++) {
        if (row->by[i] < 0)
            continue;
        overlay_way(d, row->by[i], row->exposed[i]);
        ITEM("%s, by %s", overlay_place(d, row->exposed[i]), BRIEF(d->ship->links[row->by[i]].id));
    }
}

/* How she floats then, but that she is lost, which is said apart, or within all limits. */
static coaming_status say_grade(drawing *d, const coaming_exposure_row *row, coaming_error *error)
{
    coaming_float at;
    coaming_stability stability;
    if (!row->settled || !row->afloat)
        return COAMING_OK;
    coaming_status status = coaming_exposure_grade(d->what->exposure, &at, &stability, error);
    if (status != COAMING_OK || stability.grade == COAMING_GRADE_WITHIN)
        return status;
    char *words = grade_words(d->ship, &at, &stability);
    if (!words)
        d->lost = true;
    else if (stability.grade >= COAMING_GRADE_NOT_SURVIVING)
        ALARM("Then she %s.", words);
    else
        SAY("Then she %s.", words);
    free(words);
    return COAMING_OK;
}

static void show_row(drawing *d, const coaming_exposure_row *row)
{
    bool water = row->hazard == COAMING_WATER;
    char spaces[SHOWN], volume[SHOWN], people[SHOWN];
    const ship_link *l = &d->ship->links[row->closure];
    overlay_fill_all(d, row->exposed_if_untested_leak, row->exposed_if_untested_leak_count,
                     FILL_MAYBE);
    overlay_fill_all(d, row->exposed, row->exposed_count, water ? FILL_WATER : FILL_AIR);
    overlay_fill_source(d, row->source);
    d->over.links[row->closure].frame = FRAME_RING;
    d->over.ring_means = "the closure that fails";
    d->over.arrow_means = "way in";
    d->over.heading = draw_format(d, "If %s (%s) fails, with %s in %s", l->id, l->name,
                                  water ? "water" : "bad air", overlay_place(d, row->source));
    if (!row->afloat)
        ALARM(NOT_AFLOAT_LOUD " in this case%s.", lost_whether(row->exposed_count));
    overlay_say_level(d, water);
    if (row->exposed_if_untested_leak_count > row->exposed_count)
        SAY("Thinly hatched: what it also reaches if untested closures leak.");
    if (!row->exposed_count)
        SAY("Nothing more %s%s%s.", water ? "floods" : "gets bad air", row->note ? ": " : "",
            coaming_note_text(row->note));
    else
        SAY("%s %s, %s m3, %s:", counted(spaces, (double)row->exposed_count, "space", "spaces"),
            water ? row->exposed_count == 1 ? "floods" : "flood" : "with bad air",
            amount(volume, row->volume), counted(people, row->people, "person", "people"));
    show_ways(d, row);
}

coaming_status overlay_make_expose(drawing *d, coaming_error *error)
{
    coaming_exposure_row row;
    coaming_status status = coaming_exposure_row_get(d->what->exposure, d->what->row, &row, error);
    if (status == COAMING_OK)
        show_row(d, &row);
    if (status == COAMING_OK)
        status = say_grade(d, &row, error);
    if (status == COAMING_OK)
        status = say_other_losses(d, error);
    d->over.caution = coaming_caution_at(d->what->query.level);
    return status;
}
