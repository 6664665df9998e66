/* How deep the water stands at a moment, laid over the drawing. */
#include "present/draw/drawing.h"
#include "present/tell/flood_words.h"

void overlay_make_flood(drawing *d)
{
    const coaming_flood_answer *a = coaming_flood_get(d->what->flood);
    size_t moment = d->what->moment;
    char time[SHOWN];
    for (size_t i = 0; i < a->space_count; i++) {
        const coaming_flood_space *s = &a->spaces[i];
        if (s->depths[moment] >= COAMING_FLOOD_WET_DEPTH)
            d->over.fills[s->space] =
                s->depths[moment] < COAMING_FLOOD_KNEE_DEPTH ? FILL_SHALLOW : FILL_DEEP;
    }
    d->over.picture = true; /* who draws them has one legend for all */
    d->over.heading = draw_format(d, "Water after %s", lapse_words(time, a->moments[moment].t));
    d->over.caution = coaming_flood_caution();
}
