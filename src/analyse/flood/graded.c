/* How good the position at a moment is: the analysis of a ship afloat, asked with the water that is in
 * her then. */
#include <math.h>

#include "analyse/flood/flood.h"
#include "base/error.h"

static const double AT_SEA = 0.01; /* m: a surface so near to the sea's stands at its level */

typedef struct {
    bool *flooded;      /* by space: open to the sea */
    bool *held, *leaks; /* by link */
    loading_content *contents;
    size_t count;
} filling;

static bool filling_make(filling *f, const coaming_ship *ship)
{
    f->flooded = memory_new(ship->space_count, sizeof *f->flooded);
    f->held = memory_new(ship->link_count, sizeof *f->held);
    f->leaks = memory_new(ship->link_count, sizeof *f->leaks);
    f->contents = memory_new(ship->space_count, sizeof *f->contents);
    return f->flooded && f->held && f->leaks && f->contents;
}

static void filling_free(filling *f)
{
    memory_free(f->flooded);
    memory_free(f->held);
    memory_free(f->leaks);
    memory_free(f->contents);
}

static bool at_sea(const water_model *m, const filling *f, int room)
{
    if (room < 0)
        return room == OUTSIDE;
    return f->flooded[m->rooms[room].space];
}

static bool stands_at_sea(const water_model *m, int room)
{
    const water_level *l = &m->rooms[room].level;
    double sea = m->at[m->room_count];
    return l->volume > 0 &&
           (fabs(l->height - sea) < AT_SEA ||
            (l->volume >= (1 - 1e-5) * m->ship->spaces[m->rooms[room].space].volume &&
             l->high <= sea + AT_SEA));
}

/* By openings that are under, from outside, as far as surfaces stand at the sea's level. */
static void open_to_sea(const water_model *m, filling *f)
{
    for (bool grown = true; grown;) {
        grown = false;
        for (size_t i = 0; i < m->way_count; i++) {
            const water_way *w = &m->ways[i];
            bool a = at_sea(m, f, w->a), b = at_sea(m, f, w->b);
            if (a == b || w->state == WAY_HOLDS || !(w->head[a ? 0 : 1] > 0) ||
                !stands_at_sea(m, a ? w->b : w->a))
                continue;
            f->flooded[m->rooms[a ? w->b : w->a].space] = true;
            grown = true;
        }
    }
}

static void add_content(filling *f, int space, double fill, double density)
{
    f->contents[f->count++] = (loading_content){space, fmin(1, fill), density, 0};
}

static void fill(const water_model *m, filling *f)
{
    double density = m->ship->density;
    for (size_t i = 0; i < m->room_count; i++) {
        const water_room *r = &m->rooms[i];
        if (!f->flooded[r->space] && r->level.volume > 0)
            add_content(f, r->space, r->level.volume / m->ship->spaces[r->space].volume,
                        r->heavy * density);
    }
    for (size_t i = 0; i < m->f->laden.liquid_count; i++) {
        const laden_liquid *l = &m->f->laden.liquids[i];
        if (!m->taken[l->space])
            add_content(f, l->space, l->volume / m->ship->spaces[l->space].volume,
                        l->weight / l->volume * density);
    }
}

static void set_links(const water_model *m, filling *f)
{
    for (size_t i = 0; i < m->way_count; i++) {
        const water_way *w = &m->ways[i];
        if (w->link < 0)
            continue;
        bool goes_on = fmax(w->head[0], w->head[1]) > 0 && fabs(w->through.flow) > 0;
        f->held[w->link] = w->state == WAY_HOLDS || goes_on;
        f->leaks[w->link] = !f->held[w->link];
    }
}

static coaming_float lie_now(const water_model *m)
{
    coaming_float at = m->begin;
    at.heel = flotation_heel(&m->sea);
    for (int k = 0; k < 3; k++)
        at.normal[k] = m->sea.n[k];
    at.height = m->sea.d;
    at.either_side = false;
    return at;
}

static coaming_status grade_filled(const water_model *m, const filling *f, bool all,
                                   coaming_float *at, coaming_stability *stability,
                                   coaming_error *error)
{
    coaming_flotation *g = NULL;
    coaming_float near = lie_now(m);
    const grade_terms terms = {.condition = m->ask->condition,
                               .answer = COAMING_AS_TESTED,
                               .detail = all ? ARMS_ALL : ARMS_ENOUGH,
                               .held = f->held,
                               .leaks = f->leaks};
    coaming_status status = flotation_refilled(m->f, f->contents, f->count, &near, &g, error);
    if (status == COAMING_OK)
        status = coaming_flotation_solve(g, f->flooded, at, error);
    if (status == COAMING_OK)
        status = flotation_grade(g, f->flooded, at, &terms, stability, error);
    coaming_flotation_free(g);
    return status;
}

coaming_status water_grade(water_model *m, bool all, coaming_float *at,
                           coaming_stability *stability, coaming_error *error)
{
    filling f = {0};
    coaming_status status = COAMING_OK;
    if (filling_make(&f, m->ship)) {
        open_to_sea(m, &f);
        fill(m, &f);
        set_links(m, &f);
        status = grade_filled(m, &f, all, at, stability, error);
    } else {
        status = error_memory(error);
    }
    filling_free(&f);
    return status;
}
