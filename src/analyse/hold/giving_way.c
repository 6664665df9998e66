#include "analyse/hold/giving_way.h"

#include <string.h>

#include "analyse/flotation/flotation.h"

/* How she lies at the end: where no arm turns her back that is no place to float. */
static coaming_afloat fate(const giving_way *w, const settled *s)
{
    const bool *flooded = settler_flooded(w->settler);
    if (s->at.afloat == COAMING_AFLOAT_YES &&
        !flotation_turns_back(settler_flotation(w->settler), flooded, &s->at))
        return COAMING_AFLOAT_CAPSIZES;
    return s->at.afloat;
}

/* From all of it held, with this one leaking. */
static coaming_status give_way(const giving_way *w, const settled *held, size_t opened,
                               coaming_hold_closure *c, coaming_error *error)
{
    const ship_link *l = &w->n->ship->links[c->closure];
    const settled *s = NULL;
    settler_links links = {w->passes, w->opened, opened + 1};
    w->opened[opened] = l->a >= 0 && w->kept[l->a] ? l->a : l->b;
    w->passes[c->closure] = true;
    w->held[c->closure] = false;
    coaming_status status = settler_on(w->settler, held, &links, &s, error);
    if (status == COAMING_OK && s->count > held->count)
        c->then = fate(w, s);
    w->passes[c->closure] = false;
    w->held[c->closure] = true;
    return status;
}

/* What the line's sources fill, and those that lie dry as long as it holds. */
static size_t open_sources(const giving_way *w, const coaming_hold_line *line)
{
    size_t count = 0;
    for (size_t i = 0; i < line->filled_count; i++)
        w->opened[count++] = line->filled[i];
    for (size_t i = 0; i < w->n->ship->space_count; i++)
        if (w->n->begins[i] && !net_is_source(w->n, (int)i))
            w->opened[count++] = (int)i;
    return count;
}

/* She is lost though all of the line holds, by the order in which it floods. */
static coaming_status lose(const giving_way *w, const settled *s, coaming_hold_line *line,
                           coaming_error *error)
{
    coaming_flotation *f = settler_flotation(w->settler);
    const bool *flooded = settler_flooded(w->settler);
    grade_terms terms = {w->n->condition, COAMING_AS_TESTED, ARMS_ALL, w->held, NULL};
    line->at = flotation_nowhere(f, flooded, fate(w, s));
    return flotation_grade(f, flooded, &line->at, &terms, &line->stability, error);
}

coaming_status giving_way_find(const giving_way *w, coaming_hold_line *line, bool *any,
                               coaming_error *error)
{
    const coaming_ship *ship = w->n->ship;
    size_t opened = open_sources(w, line);
    settler_links links = {w->passes, w->opened, opened};
    const settled *s = NULL;
    settled held;
    *any = false;
    memset(w->sound, 0, ship->link_count * sizeof *w->sound);
    for (size_t l = 0; l < ship->link_count; l++)
        w->passes[l] = !w->held[l] && net_lets_through(w->n, l);
    coaming_status status = settler_on(w->settler, NULL, &links, &s, error);
    if (status != COAMING_OK)
        return status;
    if (fate(w, s) != COAMING_AFLOAT_YES)
        return lose(w, s, line, error);
    status = settled_keep(s, w->n->memory, &held, error);
    for (size_t i = 0; i < line->closure_count && status == COAMING_OK; i++) {
        coaming_hold_closure *c = &line->closures[i];
        status = give_way(w, &held, opened, c, error);
        w->sound[c->closure] = c->then != COAMING_AFLOAT_YES;
        *any = *any || w->sound[c->closure];
    }
    return status;
}

double giving_way_chance(const coaming_hold_line *line)
{
    double none = 1;
    for (size_t i = 0; i < line->closure_count; i++)
        if (line->closures[i].then != COAMING_AFLOAT_YES)
            none *= 1 - line->closures[i].leak_probability;
    return 1 - none;
}
