#include "ship/crossing.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"
#include "ship/geometry.h"

static const double EDGE = 0.10;     /* m round an opening that are left out */
static const double DEPTH = 0.05;    /* m to either side of it that are looked at */
static const double UPSTAND = 1.00;  /* m; a coaming stands up to this far above its deck */
static const double SIDEWAYS = 0.30; /* m that the place of an opening may be off */
static const double SPECK = 1e-9;    /* m3: rounding */

typedef struct {
    const solid *solid;
    int space;
} placed;

struct crossings {
    const coaming_ship *ship;
    placed *list;  /* by after end */
    double *reach; /* of each and all before it, the foremost end */
    size_t count;
};

static int by_after_end(const void *left, const void *right)
{
    const placed *a = left, *b = right;
    if (a->solid->x0 != b->solid->x0)
        return a->solid->x0 < b->solid->x0 ? -1 : 1;
    return (a->space > b->space) - (a->space < b->space);
}

crossings *crossings_new(const coaming_ship *ship)
{
    size_t count = 0;
    for (size_t s = 0; s < ship->space_count; s++)
        count += ship->spaces[s].solid_count;
    crossings *c = memory_new(1, sizeof *c);
    if (!c)
        return NULL;
    *c = (crossings){ship, memory_new(count, sizeof *c->list), memory_new(count, sizeof *c->reach),
                     0};
    if (!c->list || !c->reach) {
        crossings_free(c);
        return NULL;
    }
    for (size_t s = 0; s < ship->space_count; s++)
        for (size_t i = 0; i < ship->spaces[s].solid_count; i++)
            c->list[c->count++] = (placed){&ship->spaces[s].solids[i], (int)s};
    qsort(c->list, c->count, sizeof *c->list, by_after_end);
    for (size_t i = 0; i < c->count; i++)
        c->reach[i] = fmax(i ? c->reach[i - 1] : -INFINITY, c->list[i].solid->x1);
    return c;
}

void crossings_free(crossings *c)
{
    if (!c)
        return;
    memory_free(c->list);
    memory_free(c->reach);
    memory_free(c);
}

/* Where the deck is in which an opening lies whose coaming ends at z: the highest top, not above
 * that, of the spaces there that it joins. */
static double deck_of(const coaming_ship *ship, const ship_link *l)
{
    const opening *o = &l->clear;
    const coaming_place sides[] = {l->a, l->b};
    double best = -INFINITY;
    for (int i = 0; i < 2; i++) {
        const ship_space *s = sides[i] >= 0 ? &ship->spaces[sides[i]] : NULL;
        for (size_t k = 0; s && k < s->solid_count; k++) {
            const solid *b = &s->solids[k];
            if (b->z1 <= o->z + DEPTH && b->z1 >= o->z - UPSTAND - DEPTH &&
                outline_distance(b->outline, 2, b->corners, o->x, o->y) <= SIDEWAYS)
                best = fmax(best, b->z1);
        }
    }
    return isfinite(best) ? best : o->z;
}

/* Half of a length without the edges. */
static double half_within(double length)
{
    return length / 2 - fmin(EDGE, length / 4);
}

/* What is looked at: the opening without its edges, a little to both sides. */
static solid probe_of(const coaming_ship *ship, const ship_link *l, double corners[8])
{
    const opening *o = &l->clear;
    double width = half_within(o->width), height = half_within(o->height);
    double middle = o->lies == DECK ? deck_of(ship, l) : o->z + o->height / 2;
    double dx = o->lies == TRANSVERSE ? DEPTH : o->lies == DECK ? height : width;
    double dy = o->lies == LONGITUDINAL ? DEPTH : width;
    double dz = o->lies == DECK ? DEPTH : height;
    solid s = {.z0 = middle - dz, .z1 = middle + dz, .outline = corners, .corners = 4, .box = true};
    const double xy[] = {o->x - dx, o->y - dy, o->x + dx, o->y - dy,
                         o->x + dx, o->y + dy, o->x - dx, o->y + dy};
    for (int i = 0; i < 8; i++)
        corners[i] = xy[i];
    solid_measure(&s);
    return s;
}

static bool apart(const solid *a, const solid *b)
{
    return a->x1 <= b->x0 || b->x1 <= a->x0 || a->y1 <= b->y0 || b->y1 <= a->y0 || a->z1 <= b->z0 ||
           b->z1 <= a->z0;
}

/* How many solids begin abaft x. */
static size_t abaft(const crossings *c, double x)
{
    size_t low = 0, high = c->count;
    while (low < high) {
        size_t middle = low + (high - low) / 2;
        if (c->list[middle].solid->x0 < x)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

int crossings_find(const crossings *c, const ship_link *l)
{
    double corners[8];
    int found = -1;
    if (!l->clear.given || !(l->clear.width > 0) || !(l->clear.height > 0))
        return -1;
    solid probe = probe_of(c->ship, l, corners);
    for (size_t i = abaft(c, probe.x1); i-- > 0 && c->reach[i] > probe.x0;) {
        const placed *p = &c->list[i];
        if (p->space == l->a || p->space == l->b || (found >= 0 && p->space >= found) ||
            apart(p->solid, &probe))
            continue;
        double shared = solid_overlap(p->solid, &probe);
        if (shared < 0)
            return CROSSINGS_NO_MEMORY;
        if (shared > SPECK)
            found = p->space;
    }
    return found;
}
