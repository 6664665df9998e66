/*
 * Planes are sorted by steps of heel, trim and height. Argument: over a step the height of a point
 * above the plane changes by at most the half step of heel times its distance from the long axis,
 * that of trim times its distance from amidships, and that of height, for these bound the
 * derivatives; each is a third of the margin. A space further from the step's middle plane than the
 * margin is on the same side of every plane of the step. Cost of a step: a look at each flooded
 * space; of a plane: those near it.
 */
#include "analyse/flotation/lost.h"

#include <math.h>
#include <string.h>

#include "base/dot.h"

enum { FEW = 6 }; /* of so few spaces each is asked itself */

static void put_space(lost_buoyancy *b, size_t s)
{
    const ship_space *from = &b->ship->spaces[s];
    const body_group *all = &from->inside->all;
    lost_space *to = &b->spaces[s];
    to->there = true;
    to->volume = from->permeability * body_volume(from->inside);
    for (int k = 0; k < 3; k++) {
        to->middle[k] = all->middle[k] - b->middle[k];
        to->half[k] = all->half[k];
        to->moment[k] = from->permeability * all->det_sum[k] / 24 + to->volume * all->middle[k];
    }
}

/* Greatest distances from the long axis and from the middle. */
static void measure(lost_buoyancy *b)
{
    double far_out = 1, far_off = 1;
    for (size_t s = 0; s < b->ship->space_count; s++) {
        double reach[3];
        for (int k = 0; k < 3; k++)
            reach[k] = fabs(b->spaces[s].middle[k]) + b->spaces[s].half[k];
        far_out = fmax(far_out, hypot(reach[1], reach[2]));
        far_off = fmax(far_off, hypot(reach[0], hypot(reach[1], reach[2])));
    }
    double third = b->ship->depth / 60;
    b->step[0] = 2 * third / far_out;
    b->step[1] = 2 * third / far_off;
    b->step[2] = 2 * third;
    b->margin = 3 * third + 1e-6;
}

bool lost_make(lost_buoyancy *b, arena *memory, const coaming_ship *ship, const double middle[3])
{
    size_t n = ship->space_count;
    *b = (lost_buoyancy){.ship = ship};
    memcpy(b->middle, middle, sizeof b->middle);
    b->spaces = arena_new(memory, n, sizeof *b->spaces);
    b->flooded = arena_new(memory, n, sizeof *b->flooded);
    b->list = arena_new(memory, n, sizeof *b->list);
    b->near = arena_new(memory, n, sizeof *b->near);
    if (!b->spaces || !b->flooded || !b->list || !b->near)
        return false;
    for (size_t s = 0; s < n; s++)
        if (ship->spaces[s].inside->faces)
            put_space(b, s);
    measure(b);
    return true;
}

static void choose_none(lost_buoyancy *b)
{
    for (size_t i = 0; i < b->count; i++)
        b->flooded[b->list[i]] = false;
}

void lost_choose(lost_buoyancy *b, const bool *flooded)
{
    size_t n = b->ship->space_count;
    if (flooded && memcmp(b->flooded, flooded, n * sizeof *flooded) == 0)
        return;
    if (flooded)
        memcpy(b->flooded, flooded, n * sizeof *flooded);
    else
        choose_none(b);
    b->count = 0;
    b->volume = 0;
    b->known = false;
    const bool *end = flooded ? flooded + n : NULL;
    for (const bool *at = flooded; at && at < end; at++) {
        if (!*at)
            at = memchr(at, 1, (size_t)(end - at));
        if (!at)
            return;
        if (!b->spaces[at - flooded].there)
            continue;
        b->list[b->count++] = (int)(at - flooded);
        b->volume += b->spaces[at - flooded].volume;
    }
}

static void sort_out(lost_buoyancy *b)
{
    double heel = (double)b->at[0] * b->step[0], trim = (double)b->at[1] * b->step[1];
    plane middle = plane_make(heel, trim, (double)b->at[2] * b->step[2], b->middle);
    b->near_count = 0;
    b->whole = b->moment[0] = b->moment[1] = b->moment[2] = 0;
    for (size_t i = 0; i < b->count; i++) {
        const lost_space *s = &b->spaces[b->list[i]];
        double height = dot(middle.n, s->middle) - middle.d;
        double reach = fabs(middle.n[0]) * s->half[0] + fabs(middle.n[1]) * s->half[1] +
                       fabs(middle.n[2]) * s->half[2];
        if (height - reach > b->margin)
            continue;
        if (height + reach >= -b->margin) {
            b->near[b->near_count++] = b->list[i];
            continue;
        }
        b->whole += s->volume;
        for (int k = 0; k < 3; k++)
            b->moment[k] += s->moment[k];
    }
}

/* Finds the step that the plane is in. */
static void step_to(lost_buoyancy *b, const plane *p)
{
    const long long at[3] = {llround(atan2(-p->n[1], p->n[2]) / b->step[0]),
                             llround(asin(fmax(-1, fmin(1, -p->n[0]))) / b->step[1]),
                             llround((p->d - dot(p->n, b->middle)) / b->step[2])};
    if (b->known && memcmp(at, b->at, sizeof at) == 0)
        return;
    memcpy(b->at, at, sizeof at);
    b->known = true;
    sort_out(b);
}

static void cut(const lost_buoyancy *b, const int *list, size_t count, const plane *p,
                double *scratch, submerged *sum)
{
    for (size_t i = 0; i < count; i++) {
        const ship_space *s = &b->ship->spaces[list[i]];
        body_add(s->inside, p, -s->permeability, scratch, sum);
    }
}

void lost_take(lost_buoyancy *b, const plane *p, double *scratch, submerged *sum)
{
    if (b->count <= FEW) {
        cut(b, b->list, b->count, p, scratch, sum);
        return;
    }
    step_to(b, p);
    sum->volume -= b->whole;
    for (int k = 0; k < 3; k++)
        sum->moment[k] -= b->moment[k];
    cut(b, b->near, b->near_count, p, scratch, sum);
}
