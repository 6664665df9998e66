#include "ship/unfilled.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "ship/fit.h"
#include "ship/geometry.h"

/* Bulkheads nearer to each other than this are taken for one (common practice, no source). */
static const double APART = 0.15;

typedef struct {
    const coaming_ship *ship;
    hull_room room;
    double *x, *z; /* where it is cut, rising */
    size_t x_count, z_count;
    double *held,
        *empty; /* of each region: of the hull, and of that unfilled; by deck, then along */
} survey;

static int ascending(const void *left, const void *right)
{
    double a = *(const double *)left, b = *(const double *)right;
    return (a > b) - (a < b);
}

/* Sorts cuts and keeps those inside the ends, which are put first and last; of neighbours the first.
 * Room for two more. */
static size_t tidy(double *at, size_t count, double low, double high)
{
    at[count] = low; /* no cut that is kept lies before it */
    qsort(at, count + 1, sizeof *at, ascending);
    size_t kept = 1;
    double last = low;
    for (size_t i = 0; i <= count; i++)
        if (at[i] > last + APART && at[i] < high - APART)
            last = at[kept++] = at[i];
    at[0] = low;
    at[kept++] = high;
    return kept;
}

static bool any_shell(const coaming_ship *ship)
{
    for (size_t i = 0; i < ship->space_count; i++)
        if (ship->spaces[i].shell)
            return true;
    return false;
}

static void ends_of(const ship_space *s, double *low, double *high)
{
    *low = INFINITY;
    *high = -INFINITY;
    for (size_t i = 0; i < s->solid_count; i++)
        if (s->parts[i].inside > 0) {
            *low = fmin(*low, s->parts[i].x0);
            *high = fmax(*high, s->parts[i].x1);
        }
}

static double highest_top(const hull_shape *hull)
{
    double top = -INFINITY;
    for (size_t i = 0; i < hull->bay_count; i++)
        top = fmax(top, fmax(hull->bays[i].top[0], hull->bays[i].top[1]));
    return top;
}

static bool choose_cuts(survey *v)
{
    const coaming_ship *ship = v->ship;
    const hull_shape *hull = ship->hull;
    v->x = memory_new(2 * ship->space_count + 2, sizeof *v->x);
    v->z = memory_new(ship->deck_count + 2, sizeof *v->z);
    if (!v->x || !v->z)
        return false;
    bool shell = any_shell(ship);
    for (size_t i = 0; i < ship->space_count; i++) {
        double low, high;
        ends_of(&ship->spaces[i], &low, &high);
        if (low > high || (shell && !ship->spaces[i].shell))
            continue;
        v->x[v->x_count++] = low;
        v->x[v->x_count++] = high;
    }
    for (size_t i = 0; i < ship->deck_count; i++)
        v->z[v->z_count++] = ship->decks[i].z;
    v->x_count = tidy(v->x, v->x_count, hull->x0, hull->x1);
    v->z_count = tidy(v->z, v->z_count, hull->keel, highest_top(hull));
    return true;
}

static bool measure_hull(survey *v)
{
    const hull_shape *hull = v->ship->hull;
    for (size_t k = 0; k + 1 < v->z_count; k++)
        for (size_t i = 0; i + 1 < v->x_count; i++) {
            const double from[] = {v->x[i], -hull->greatest, v->z[k]};
            const double to[] = {v->x[i + 1], hull->greatest, v->z[k + 1]};
            double volume = hull_box_volume(hull, &v->room, from, to);
            if (volume < 0)
                return false;
            v->held[k * v->x_count + i] = v->empty[k * v->x_count + i] = volume;
        }
    return true;
}

/* What of a solid lies inside the hull in a region; negative: out of memory. */
static double part_in_region(survey *v, const solid *s, const solid_part *p, const double x[2],
                             const double z[2])
{
    double y = v->ship->hull->greatest;
    const double outline[] = {x[0], -y, x[1], -y, x[1], y, x[0], y};
    solid region = {.z0 = z[0], .z1 = z[1], .outline = outline, .corners = 4, .box = true};
    solid_measure(&region);
    return p->whole ? solid_overlap(&region, s)
                    : solids_share_inside(v->ship, &v->room, &region, s);
}

/* The first cell along that ends beyond a place. */
static size_t first_over(const survey *v, double x)
{
    size_t low = 0, high = v->x_count - 1;
    while (low < high) {
        size_t middle = (low + high) / 2;
        if (v->x[middle + 1] > x)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

static bool take_solid(survey *v, const solid *s, const solid_part *p)
{
    for (size_t k = 0; k + 1 < v->z_count; k++) {
        if (v->z[k] >= p->z1 || v->z[k + 1] <= p->z0)
            continue;
        for (size_t i = first_over(v, p->x0); i + 1 < v->x_count && v->x[i] < p->x1; i++) {
            double filled = part_in_region(v, s, p, v->x + i, v->z + k);
            if (filled < 0)
                return false;
            double *empty = &v->empty[k * v->x_count + i];
            *empty = fmax(0, *empty - filled); /* what overlaps fills once */
        }
    }
    return true;
}

static bool take_spaces(survey *v)
{
    for (size_t n = 0; n < v->ship->space_count; n++) {
        const ship_space *s = &v->ship->spaces[n];
        for (size_t i = 0; i < s->solid_count; i++)
            if (s->parts[i].inside > 0 && !take_solid(v, &s->solids[i], &s->parts[i]))
                return false;
    }
    return true;
}

/* A run of regions on one deck from here on: one, or several that are more than half empty. */
static size_t run_from(const survey *v, size_t k, size_t i, double *volume)
{
    const double *held = v->held + k * v->x_count, *empty = v->empty + k * v->x_count;
    *volume = empty[i];
    if (empty[i] <= held[i] / 2)
        return i + 1;
    for (i++; i + 1 < v->x_count && empty[i] > held[i] / 2; i++)
        *volume += empty[i];
    return i;
}

static int order_regions(const void *left, const void *right)
{
    const unfilled_region *a = left, *b = right;
    return a->volume != b->volume ? (a->volume > b->volume ? -1 : 1) : ascending(&a->x0, &b->x0);
}

static bool gather(const survey *v, unfilled *u)
{
    u->regions = memory_new(v->x_count * v->z_count, sizeof *u->regions);
    if (!u->regions)
        return false;
    for (size_t k = 0; k + 1 < v->z_count; k++)
        for (size_t i = 0, end; i + 1 < v->x_count; i = end) {
            double volume;
            end = run_from(v, k, i, &volume);
            u->volume += volume;
            if (volume >= UNFILLED_LEAST * u->hull)
                u->regions[u->count++] =
                    (unfilled_region){v->x[i], v->x[end], v->z[k], v->z[k + 1], volume};
        }
    qsort(u->regions, u->count, sizeof *u->regions, order_regions);
    return true;
}

bool unfilled_make(const coaming_ship *ship, unfilled *u)
{
    survey v = {.ship = ship};
    *u = (unfilled){.hull = ship->hull->volume};
    bool good = choose_cuts(&v);
    if (good) {
        v.held = memory_new(v.x_count * v.z_count, sizeof *v.held);
        v.empty = memory_new(v.x_count * v.z_count, sizeof *v.empty);
        good = v.held && v.empty && measure_hull(&v) && take_spaces(&v) && gather(&v, u);
    }
    hull_room_free(&v.room);
    memory_free(v.x);
    memory_free(v.z);
    memory_free(v.held);
    memory_free(v.empty);
    return good;
}

void unfilled_free(unfilled *u)
{
    memory_free(u->regions);
    *u = (unfilled){0};
}

coaming_status coaming_unfilled_new(const coaming_ship *ship, coaming_unfilled **out,
                                    coaming_error *error)
{
    unfilled *u = memory_new(1, sizeof *u);
    *out = NULL;
    if (!u || !unfilled_make(ship, u)) {
        memory_free(u);
        return error_memory(error);
    }
    *out = u;
    return COAMING_OK;
}

void coaming_unfilled_free(coaming_unfilled *u)
{
    if (!u)
        return;
    unfilled_free(u);
    memory_free(u);
}
