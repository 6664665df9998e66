#include "ship/access.h"

#include <math.h>

#include "ship/fit.h"

/* What somebody needs to stand on, m (common practice, no source). */
static const double FOOTING = 0.5;

/* Half a metre out of the space; where both ways are alike, away from the middle of the ship. */
static void step_out(const coaming_ship *ship, const ship_space *s, const opening *o, double at[2])
{
    double dx = o->lies == TRANSVERSE ? FOOTING : 0, dy = o->lies == LONGITUDINAL ? FOOTING : 0;
    double ahead = space_distance(s, o->x + dx, o->y + dy);
    double behind = space_distance(s, o->x - dx, o->y - dy);
    bool forward = o->lies == TRANSVERSE ? o->x >= ship->length / 2 : o->y >= 0;
    double way = ahead == behind ? (forward ? 1 : -1) : ahead > behind ? 1 : -1;
    at[0] = o->x + way * dx;
    at[1] = o->y + way * dy;
}

bool link_overboard(const coaming_ship *ship, const ship_link *l)
{
    coaming_place inner = l->a == COAMING_WEATHER ? l->b : l->a;
    if (inner < 0 || (l->a != COAMING_WEATHER && l->b != COAMING_WEATHER))
        return false;
    if (!l->clear.given)
        return l->kind == SIDESCUTTLE;
    if (l->clear.lies == DECK)
        return false;
    double at[2];
    step_out(ship, &ship->spaces[inner], &l->clear, at);
    return hull_distance(ship->hull, at[0], at[1], l->clear.z) > 0;
}

bool link_worked_from(const ship_link *l, coaming_place side)
{
    return !l->one_sided || l->from == side;
}

bool link_workable(const coaming_ship *ship, const ship_link *l, coaming_place side)
{
    if (!link_worked_from(l, side))
        return false;
    if (side >= 0)
        return ship->spaces[side].walkable;
    return side == COAMING_WEATHER && !link_overboard(ship, l);
}

bool link_remote_without(const ship_link *l, const coaming_place *lost, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (lost[i] >= 0 && (lost[i] == l->power || lost[i] == l->control))
            return false;
    return l->remote;
}

static bool is_enclosed(const coaming_ship *ship, coaming_place place)
{
    return place >= 0 && ship->spaces[place].enclosed;
}

coaming_place link_side(const coaming_ship *ship, const ship_link *l, coaming_place wanted)
{
    coaming_place other = link_other_side(l, wanted);
    bool shun = is_enclosed(ship, wanted) && !is_enclosed(ship, other);
    if (!link_workable(ship, l, other))
        return wanted;
    return shun || !link_workable(ship, l, wanted) ? other : wanted;
}

coaming_place link_stand(const coaming_ship *ship, const ship_link *l, coaming_place clean)
{
    return l->one_sided ? clean : link_side(ship, l, clean);
}

bool link_from_outside(const coaming_ship *ship, const ship_link *l, coaming_place *side)
{
    const coaming_place sides[] = {l->a, l->b};
    bool outside = false;
    for (int i = 0; i < 2; i++) {
        if (link_workable(ship, l, sides[i]))
            return false;
        if (sides[i] < 0 && link_worked_from(l, sides[i])) {
            outside = true;
            *side = sides[i];
        }
    }
    return outside;
}
