/* Which views there are, and which spaces, closures and passages are on each. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

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

/* How many levels are higher than that: those before the first that is not. */
static size_t levels_above(const drawing *d, double z)
{
    size_t low = 0, high = d->level_count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (d->levels[middle].z > z)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* Does it reach more than a little into no plan at all? */
static bool too_thin(const drawing *d, const ship_space *s)
{
    for (size_t k = 0; k < s->solid_count; k++) {
        double from = s->parts[k].z0;
        for (size_t i = levels_above(d, from); i-- > 0;) { /* upward */
            double to = fmin(d->levels[i].z, s->parts[k].z1);
            if (to - from > THIN)
                return false;
            from = fmax(from, to);
            if (d->levels[i].z >= s->parts[k].z1)
                break;
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
    for (size_t i = 0; i < v->spaces.count; i++)
        if (solids_on(d, v, &d->ship->spaces[v->spaces.of[i]]))
            return true;
    for (size_t i = 0; i < v->links.count; i++)
        if (link_on(d, v, &d->ship->links[v->links.of[i]]))
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
        levels[i] = (plan_level){d->ship->decks[i].z, d->ship->decks[i].name, i, false};
    qsort(levels, count, sizeof *levels, order_levels);
    return count;
}

/* Without decks: the floors of the spaces, of those less than a man's height apart the lowest. */
static size_t levels_of_floors(drawing *d, plan_level *levels)
{
    size_t spaces = d->ship->space_count, count = 0;
    for (size_t i = 0; i < spaces; i++)
        levels[i] = (plan_level){d->ship->spaces[i].bottom, NULL, i, false};
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

/* "Main deck / Poop": of levels at one height, in the order of the file. */
static const char *joined_names(drawing *d, const plan_level *levels, size_t count)
{
    static const char between[] = " / ";
    size_t length = 0;
    for (size_t i = 0; i < count; i++)
        length += strlen(levels[i].name) + strlen(between);
    char *words = draw_new(d, length + 1, 1), *end = words;
    for (size_t i = 0; words && i < count; i++) {
        end = stpcpy(end, i ? between : "");
        end = stpcpy(end, levels[i].name);
    }
    return words ? words : "";
}

static void merge_levels(drawing *d)
{
    size_t count = 0;
    for (size_t i = 0, end; i < d->level_count; i = end) {
        plan_level level = d->levels[i];
        for (end = i + 1; end < d->level_count && d->levels[end].z == level.z;)
            end++;
        if (end - i > 1)
            level.name = joined_names(d, d->levels + i, end - i);
        level.asked = d->what->plans && asked(d, level.z);
        d->levels[count++] = level;
    }
    d->level_count = count;
}

/* --- what may be on each plan, so that not all there is must be looked at for each --- */

/* Levels from the highest. */
typedef struct {
    size_t first, end;
} span;

/* Those on whose plans what reaches from low to high may be. */
static span levels_between(const drawing *d, double low, double high)
{
    size_t most = d->level_count, first = levels_above(d, high), last = levels_above(d, low);
    return (span){first < most ? first : most - 1, last < most ? last + 1 : most};
}

static span span_of_space(const drawing *d, size_t space)
{
    const ship_space *s = &d->ship->spaces[space];
    double low = s->bottom, high = s->bottom;
    for (size_t k = 0; k < s->solid_count; k++) {
        low = fmin(low, s->parts[k].z0);
        high = fmax(high, s->parts[k].z1);
    }
    return levels_between(d, low, high);
}

/* A little under a deck is on it. */
static span span_of_link(const drawing *d, size_t link)
{
    double z = d->ship->links[link].clear.z;
    return levels_between(d, z, z + THIN);
}

/* Row by row for each level, and last, for the profile, all `count` of them. */
static bool shelve(drawing *d, size_t count, span (*span_of)(const drawing *, size_t), shelf *made)
{
    size_t all = d->level_count;
    size_t *end = draw_new(d, all + 3, sizeof *end); /* of the row before; two before, as counted */
    if (!end)
        return false;
    for (size_t i = 0; all && i < count; i++)
        for (span s = span_of(d, i); s.first < s.end; s.first++)
            end[s.first + 2] += d->levels[s.first].asked;
    end[all + 2] = count;
    for (size_t row = 0; row <= all; row++)
        end[row + 2] += end[row + 1];
    int *of = draw_new(d, end[all + 2], sizeof *of);
    for (size_t i = 0; of && i < count; i++) {
        for (span s = span_of(d, i); all && s.first < s.end; s.first++)
            if (d->levels[s.first].asked)
                of[end[s.first + 1]++] = (int)i;
        of[end[all + 1]++] = (int)i;
    }
    *made = (shelf){end, of};
    return of;
}

/* What may be on a view: a plan of that level, or the profile after the last. */
static shelf_row row_of(const shelf *s, size_t row)
{
    return (shelf_row){s->of + s->end[row], s->end[row + 1] - s->end[row]};
}

bool levels_make(drawing *d)
{
    size_t decks = d->ship->deck_count;
    d->levels = draw_new(d, decks ? decks : d->ship->space_count, sizeof *d->levels);
    if (!d->levels)
        return false;
    d->level_count = decks ? levels_of_decks(d, d->levels) : levels_of_floors(d, d->levels);
    merge_levels(d);
    return shelve(d, d->ship->space_count, span_of_space, &d->spaces) &&
           shelve(d, d->ship->link_count, span_of_link, &d->links);
}

/* The plans from the highest deck down. */
static size_t add_plans(drawing *d, view *views, size_t count)
{
    for (size_t i = 0; i < d->level_count; i++) {
        const plan_level *level = &d->levels[i];
        view v = {.name = level->name,
                  .low = i + 1 < d->level_count ? level->z : -INFINITY,
                  .high = i ? level[-1].z : INFINITY,
                  .spaces = row_of(&d->spaces, i),
                  .links = row_of(&d->links, i)};
        if (level->asked && (d->what->deck_count || anything_on(d, &v)))
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
                   .high = INFINITY,
                   .spaces = row_of(&d->spaces, d->level_count),
                   .links = row_of(&d->links, d->level_count)};
    if (d->what->plans)
        count = add_plans(d, *views, count);
    return count;
}
