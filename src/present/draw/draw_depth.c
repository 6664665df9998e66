/* How deep the water stands at a moment, or how much of an agent is in the air, laid over the drawing. */
#include "present/draw/drawing.h"
#include "present/tell/air_words.h"
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

void overlay_make_air(drawing *d)
{
    static const space_fill fills[AIR_STEPS] = {FILL_THIN, FILL_THICK, FILL_WORST};
    const coaming_air_answer *a = coaming_air_get(d->what->air);
    double steps[AIR_STEPS];
    char time[SHOWN];
    air_steps(coaming_air_asked(d->what->air), d->what->agent, steps);
    for (size_t i = 0; i < a->course_count; i++) {
        const coaming_air_course *c = &a->courses[i];
        for (int k = 0; k < AIR_STEPS; k++)
            if (c->agent == d->what->agent && c->share[d->what->moment] >= steps[k])
                d->over.fills[c->space] = (unsigned char)fills[k];
    }
    d->over.picture = true;
    d->over.heading = draw_format(d, "%s in the air after %s", agent_name(d->what->agent),
                                  lapse_words(time, a->times[d->what->moment]));
    d->over.caution = coaming_air_caution();
}
