/* Which views there are, and which spaces, closures and passages are on each. */
#include <math.h>
#include <stdlib.h>

#include "present/draw/drawing.h"

#define THIN    0.01 /* m: what reaches no farther into a deck's height is not on it */
#define MAN     1.8  /* m */
#define FAR_OFF 2.0  /* m beyond the ship: an opening there is taken to have no place */

bool part_on(const solid_part *p, const view *v)
{
    return p->z0 < p->z1 && (v->profile || fmin(p->z1, v->high) - fmax(p->z0, v->low) > THIN);
}

/* Of a space that reaches nowhere far enough: is its bottom here? */
static bool at_bottom(const ship_space *s, const view *v)
{
    return s->bottom >= v->low && s->bottom < v->high;
}

/* Does it reach more than a little into no plan at all? */
static bool too_thin(const drawing *d, const ship_space *s)
{
    for (size_t k = 0; k < s->solid_count; k++) {
        double from = s->parts[k].z0;
        for (size_t i = d->level_count; i-- > 0;) { /* upward */
            double to = fmin(d->levels[i].z, s->parts[k].z1);
            if (to - from > THIN)
                return false;
            from = fmax(from, to);
        }
        if (s->parts[k].z1 - from > THIN)
            return false;
    }
    return true;
}

bool placed(const drawing *d, const ship_link *l)
{
    const opening *c = &l->clear;
    return c->given && c->x >= d->x0 - FAR_OFF && c->x <= d->x1 + FAR_OFF &&
           c->y >= d->y0 - FAR_OFF && c->y <= d->y1 + FAR_OFF && c->z >= d->z0 - FAR_OFF &&
           c->z <= d->z1 + FAR_OFF;
}

size_t solids_on(const drawing *d, const view *v, const ship_space *s)
{
    size_t count = 0;
    for (size_t k = 0; k < s->solid_count; k++)
        count += part_on(&s->parts[k], v);
    if (!count && s->solid_count && at_bottom(s, v) && too_thin(d, s))
        count = s->solid_count;
    return count;
}

/* On the deck where its lowest edge is; an opening in a deck on the plan of that deck. */
bool link_on(const drawing *d, const view *v, const ship_link *l)
{
    double z = l->clear.z;
    return placed(d, l) && (v->profile || (z >= v->low - THIN / 2 && z < v->high - THIN / 2));
}

static bool anything_on(const drawing *d, const view *v)
{
    for (size_t i = 0; i < d->ship->space_count; i++)
        if (solids_on(d, v, &d->ship->spaces[i]))
            return true;
    for (size_t i = 0; i < d->ship->link_count; i++)
        if (link_on(d, v, &d->ship->links[i]))
            return true;
    return false;
}

static bool asked(const drawing *d, double z)
{
    for (size_t i = 0; i < d->what->deck_count; i++)
        if (d->ship->decks[d->what->decks[i]].z == z)
            return true;
    return d->what->deck_count == 0;
}

static int order_levels(const void *left, const void *right)
{
    const plan_level *a = left, *b = right;
    return a->z != b->z ? (a->z > b->z ? -1 : 1) : (a->order > b->order) - (a->order < b->order);
}

static size_t levels_of_decks(drawing *d, plan_level *levels)
{
    size_t count = d->ship->deck_count;
    for (size_t i = 0; i < count; i++)
        levels[i] = (plan_level){d->ship->decks[i].z, d->ship->decks[i].name, i};
    qsort(levels, count, sizeof *levels, order_levels);
    return count;
}

/* Without decks: the floors of the spaces, of those less than a man's height apart the lowest. */
static size_t levels_of_floors(drawing *d, plan_level *levels)
{
    size_t spaces = d->ship->space_count, count = 0;
    for (size_t i = 0; i < spaces; i++)
        levels[i] = (plan_level){d->ship->spaces[i].bottom, NULL, i};
    qsort(levels, spaces, sizeof *levels, order_levels);
    double last = INFINITY;
    for (size_t i = spaces; i-- > 0;) { /* the lowest first, put from the end */
        if (count && levels[i].z < last + MAN)
            continue;
        last = levels[i].z;
        levels[spaces - ++count] = levels[i];
    }
    for (size_t i = 0; i < count; i++) {
        levels[i] = levels[spaces - count + i];
        levels[i].name =
            count == 1 ? "All spaces" : draw_format(d, "Spaces from %.2f m up", levels[i].z);
    }
    return count;
}

bool levels_make(drawing *d)
{
    size_t decks = d->ship->deck_count;
    d->levels = draw_new(d, decks ? decks : d->ship->space_count, sizeof *d->levels);
    if (d->levels)
        d->level_count = decks ? levels_of_decks(d, d->levels) : levels_of_floors(d, d->levels);
    return d->levels != NULL;
}

/* The plans from the highest deck down. */
static size_t add_plans(drawing *d, view *views, size_t count)
{
    double above = INFINITY;
    for (size_t i = 0; i < d->level_count; i++) {
        view v = {.name = d->levels[i].name, .low = d->levels[i].z, .high = above};
        while (i + 1 < d->level_count && d->levels[i + 1].z == v.low)
            v.name = draw_format(d, "%s / %s", v.name, d->levels[++i].name);
        above = v.low;
        double z = v.low;
        if (i + 1 == d->level_count)
            v.low = -INFINITY;
        if (asked(d, z) && (d->what->deck_count || anything_on(d, &v)))
            views[count++] = v;
    }
    return count;
}

size_t views_make(drawing *d, view **views)
{
    size_t count = 0;
    *views = draw_new(d, d->level_count + 1, sizeof **views);
    if (!*views)
        return 0;
    if (d->what->profile)
        (*views)[count++] =
            (view){.profile = true,
                   .name = d->page > 300 ? "Profile, seen from starboard" : "From starboard",
                   .low = -INFINITY,
                   .high = INFINITY};
    if (d->what->plans)
        count = add_plans(d, *views, count);
    return count;
}
