/* What damage to her side costs, laid over the drawing: zones along her as built and as last tested,
 * and the closures that the difference hangs on, numbered. */
#include <math.h>
#include <stdlib.h>

#include "base/text.h"
#include "coaming/survival.h"
#include "present/draw/drawing.h"
#include "present/form/style.h"
#include "present/tell/survival_words.h"

/* "zone 3 (frames 20 to 36): 5.3 % lost as built, 41 % as last tested". */
static void say_zone(drawing *d, int number, const zone_cell *z)
{
    char built[SHOWN], tested[SHOWN], where[SHOWN];
    ITEM("%s: %s lost as built, %s as last tested",
         zones_words(where, d->ship, d->what->survival, number, number),
         percent(built, z->lost[COAMING_AS_BUILT]), percent(tested, z->lost[COAMING_AS_TESTED]));
}

static void make_zones(drawing *d, const coaming_survival *v)
{
    size_t count = coaming_survival_zone_count(v);
    zone_cell *zones = draw_new(d, count, sizeof *zones);
    if (!zones)
        return;
    for (size_t i = 0; i < count; i++) {
        const coaming_survival_zone *from = coaming_survival_zone_get(v, i);
        zones[i].from = from->from;
        zones[i].to = from->to;
        for (int a = 0; a < COAMING_ANSWERS; a++)
            zones[i].lost[a] = from->weight > 0 ? from->gone[a] / from->weight : 0;
        if (zones[i].lost[COAMING_AS_TESTED] > zones[i].lost[COAMING_AS_BUILT])
            say_zone(d, (int)i + 1, &zones[i]);
    }
    d->over.zones = zones;
    d->over.zone_count = count;
}

static void number_closures(drawing *d, const coaming_survival *v)
{
    size_t count = coaming_survival_closure_count(v), top = d->what->top;
    char gain[SHOWN];
    d->over.badge_means = "costs her most of the index";
    for (size_t i = 0; i < count && (!top || i < top); i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(v, i);
        if (!(c->tested_gain > 0))
            break;
        d->over.links[c->closure].badge = (int)i + 1;
        ITEM("%zu. %s %s: %s of the index", i + 1, BRIEF(d->ship->links[c->closure].id),
             BRIEF(d->ship->links[c->closure].name), gain_words(gain, c));
    }
}

static void say_index(drawing *d, const coaming_survival *v)
{
    const coaming_survival_index *index = coaming_survival_get_index(v);
    char built[SHOWN], tested[SHOWN];
    char *required = required_words(index), *cost = tested_cost_words(v);
    SAY("Index of subdivision: %s %s, %s %s.", index_words(built, index->index[COAMING_AS_BUILT]),
        survival_state(COAMING_AS_BUILT), index_words(tested, index->index[COAMING_AS_TESTED]),
        survival_state(COAMING_AS_TESTED));
    if (required && cost)
        SAY("%s. %s. %s", cost, required, NOT_STATUTORY);
    else
        d->lost = true;
    free(required);
    free(cost);
}

void overlay_make_survival(drawing *d)
{
    const coaming_survival *v = d->what->survival;
    d->over.heading = "What damage to her side costs, as built and as last tested";
    say_index(d, v);
    number_closures(d, v);
    make_zones(d, v);
    d->over.caution = coaming_float_caution();
}
