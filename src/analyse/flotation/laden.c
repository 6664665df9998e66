#include "analyse/flotation/laden.h"

#include <math.h>

#include "base/cubic.h"
#include "base/dot.h"
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
    liquid_settle(&(liquid_part){s, l->volume, 0}, &level, middle, scratch, &at);
    for (int k = 0; k < 3; k++) {
        l->centre[k] = at.centre[k];
        l->surface[k] = at.surface[k];
    }
}

bool laden_make(laden *w, const coaming_ship *ship, const ship_loading *loading, double *scratch,
                arena *memory)
{
    size_t count = loading->content_count;
    w->liquid_count = 0;
    w->liquids = arena_new(memory, count, sizeof *w->liquids);
    w->levels = arena_new(memory, count * LADEN_HEELS * LADEN_TRIMS, sizeof *w->levels);
    for (size_t i = 0; w->liquids && w->levels && i < count; i++) {
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
    return w->liquids && w->levels;
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

/* --- where a surface stands --- */

static const double HEEL_STEP = 2.5 / 57.29577951308232, TRIM_STEP = 0.02; /* radians */

/* With heel n turns by -cos(trim) e2, with trim by -e1. */
static void find_level(const ship_space *s, const laden_liquid *l, double heel, double trim,
                       double *scratch, laden_level *out)
{
    plane p = plane_make(heel, trim, 0, l->surface);
    liquid at;
    double off[3];
    liquid_settle(&(liquid_part){s, l->volume, 0}, &p, l->surface, scratch, &at);
    for (int k = 0; k < 3; k++)
        off[k] = at.surface[k] - l->surface[k];
    *out = (laden_level){true, dot(p.n, off), -cos(trim) * dot(p.e2, off), -dot(p.e1, off)};
}

/* An attitude among the steps: the one below it, and how far on it is to the next. */
typedef struct {
    bool within;
    int heel, trim;
    double on_heel, on_trim;
} among_steps;

static among_steps steps_about(const plane *p)
{
    double heel = atan2(-p->n[1], p->n[2]) / HEEL_STEP + LADEN_UPRIGHT;
    double trim = asin(fmax(-1, fmin(1, -p->n[0]))) / TRIM_STEP + LADEN_EVEN;
    double below_heel = floor(heel), below_trim = floor(trim);
    if (!(below_heel >= 0 && below_heel < LADEN_HEELS - 1 && below_trim >= 0 &&
          below_trim < LADEN_TRIMS - 1))
        return (among_steps){.within = false};
    return (among_steps){true, (int)below_heel, (int)below_trim, heel - below_heel,
                         trim - below_trim};
}

/* The level and its change with trim at a step of trim, between two of heel: by a cubic, and straight,
 * which is enough for a change. */
static double between_heels(const laden_level *a, const laden_level *b, double on, double *by_trim)
{
    cubic c = cubic_make(a->height, a->by_heel, b->height, b->by_heel, HEEL_STEP);
    *by_trim = a->by_trim + on * (b->by_trim - a->by_trim);
    return cubic_at(&c, on);
}

/* About how far over laden_liquid.surface a liquid stands. */
static double level_near(const laden *w, const coaming_ship *ship, size_t which,
                         const among_steps *to, double *scratch)
{
    const laden_liquid *l = &w->liquids[which];
    laden_level *all = w->levels + which * LADEN_HEELS * LADEN_TRIMS;
    double height[2], by_trim[2];
    if (!to->within)
        return 0;
    for (int j = 0; j < 2; j++) {
        int trim = to->trim + j;
        laden_level *at = all + trim * LADEN_HEELS + to->heel;
        for (int i = 0; i < 2; i++)
            if (!at[i].known)
                find_level(&ship->spaces[l->space], l, (to->heel + i - LADEN_UPRIGHT) * HEEL_STEP,
                           (trim - LADEN_EVEN) * TRIM_STEP, scratch, &at[i]);
        height[j] = between_heels(&at[0], &at[1], to->on_heel, &by_trim[j]);
    }
    cubic c = cubic_make(height[0], by_trim[0], height[1], by_trim[1], TRIM_STEP);
    return cubic_at(&c, to->on_trim);
}

laden_pull laden_move(const laden *w, const coaming_ship *ship, const bool *flooded,
                      const plane *level, bool exactly, double *scratch)
{
    laden_pull sum = {0};
    among_steps to = steps_about(level);
    for (size_t i = 0; i < w->liquid_count; i++) {
        const laden_liquid *l = &w->liquids[i];
        if (!l->moves || (flooded && flooded[l->space]))
            continue;
        liquid_part part = {&ship->spaces[l->space], l->volume, exactly ? 0 : 1e-5};
        double share = l->weight / w->weight, near[3], up = level_near(w, ship, i, &to, scratch);
        liquid at;
        for (int k = 0; k < 3; k++)
            near[k] = l->surface[k] + up * level->n[k];
        liquid_settle(&part, level, near, scratch, &at);
        for (int k = 0; k < 3; k++)
            sum.shift[k] += share * (at.centre[k] - l->centre[k]);
        sum.uu += share * at.uu / l->volume;
        sum.uv += share * at.uv / l->volume;
        sum.vv += share * at.vv / l->volume;
    }
    return sum;
}
