#include "analyse/flotation/laden.h"

#include <math.h>

#include "ship/inside.h"

/* All of it where the space is full: what is nearer than rounding to full or empty does not move. */
static void set_upright(laden_liquid *l, const ship_space *s, double fill, double *scratch)
{
    const double least = 1e-9;
    double low, high;
    space_extent_along(s, (const double[]){0, 0, 1}, &low, &high);
    liquid at;
    l->moves = fill > least && fill < 1 - least;
    double middle[] = {(s->parts[0].x0 + s->parts[0].x1) / 2, (s->parts[0].y0 + s->parts[0].y1) / 2,
                       low + fill * (high - low)};
    plane level = plane_make(0, 0, 0, middle);
    liquid_settle(s, l->volume, &level, middle, scratch, &at);
    for (int k = 0; k < 3; k++) {
        l->centre[k] = at.centre[k];
        l->surface[k] = at.surface[k];
    }
}

bool laden_make(laden *w, const coaming_ship *ship, const ship_loading *loading, double *scratch,
                arena *memory)
{
    size_t count = loading ? loading->content_count : 0;
    w->liquid_count = 0;
    w->liquids = arena_new(memory, count, sizeof *w->liquids);
    for (size_t i = 0; w->liquids && i < count; i++) {
        const loading_content *c = &loading->contents[i];
        const ship_space *s = &ship->spaces[c->space];
        laden_liquid *l = &w->liquids[w->liquid_count];
        *l = (laden_liquid){.space = c->space, .volume = c->fill * s->volume};
        l->weight = l->volume * c->density / ship->density;
        if (!(l->volume > 0))
            continue;
        set_upright(l, s, c->fill, scratch);
        w->liquid_count++;
    }
    return w->liquids != NULL;
}

laden laden_left(const laden *w, const bool *flooded)
{
    laden left = *w;
    for (size_t i = 0; flooded && i < w->liquid_count; i++) {
        const laden_liquid *l = &w->liquids[i];
        if (!flooded[l->space])
            continue;
        double before = left.weight;
        left.weight -= l->weight;
        for (int k = 0; k < 3; k++)
            left.gravity[k] = (before * left.gravity[k] - l->weight * l->centre[k]) / left.weight;
    }
    return left;
}

laden_pull laden_move(const laden *w, const coaming_ship *ship, const bool *flooded,
                      const plane *level, double *scratch)
{
    laden_pull sum = {0};
    for (size_t i = 0; i < w->liquid_count; i++) {
        const laden_liquid *l = &w->liquids[i];
        if (!l->moves || (flooded && flooded[l->space]))
            continue;
        liquid at;
        double share = l->weight / w->weight;
        liquid_settle(&ship->spaces[l->space], l->volume, level, l->surface, scratch, &at);
        for (int k = 0; k < 3; k++)
            sum.shift[k] += share * (at.centre[k] - l->centre[k]);
        sum.uu += share * at.uu / l->volume;
        sum.uv += share * at.uv / l->volume;
        sum.vv += share * at.vv / l->volume;
    }
    return sum;
}
