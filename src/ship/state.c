#include "ship/state.h"

#include <math.h>

const char *coaming_hazard_word(coaming_hazard hazard)
{
    return hazard == COAMING_WATER ? "water" : "air";
}

coaming_query coaming_query_default(void)
{
    coaming_query query = {
        COAMING_NO_CONDITION, COAMING_NO_LOADING, {COAMING_LEVEL_STILL, 0}, {true, true}};
    return query;
}

bool link_shut(const ship_link *l, int condition)
{
    if (l->passage || l->seen[COAMING_SEEN_OPEN])
        return false;
    if (l->seen[COAMING_SEEN_SHUT])
        return true;
    if (!l->ever_shut)
        return false;
    return condition == COAMING_NO_CONDITION || l->always || l->shut_in[condition];
}

bool link_can_be_shut(const ship_link *l)
{
    return !l->passage && (l->ever_shut || l->seen[COAMING_SEEN_SHUT]);
}

bool link_rated_to_hold(const ship_link *l, coaming_hazard hazard)
{
    return l->rating != NONTIGHT && (hazard == COAMING_AIR || l->rating != WEATHERTIGHT);
}

bool link_can_hold(const ship_link *l, coaming_hazard hazard)
{
    return link_can_be_shut(l) && link_rated_to_hold(l, hazard);
}

bool link_slows(const ship_link *l, coaming_hazard hazard)
{
    return hazard == COAMING_WATER && link_can_be_shut(l) && l->rating == WEATHERTIGHT;
}

link_state link_state_as_built(const ship_link *l, int condition, coaming_hazard hazard)
{
    return link_shut(l, condition) && link_rated_to_hold(l, hazard) ? LINK_HOLDS : LINK_PASSES;
}

link_state link_state_in(const ship_link *l, int condition, coaming_hazard hazard)
{
    if (link_state_as_built(l, condition, hazard) == LINK_PASSES)
        return LINK_PASSES;
    if (l->result == COAMING_UNTESTED)
        return LINK_UNTESTED;
    return l->result == COAMING_FAIL ? LINK_PASSES : LINK_HOLDS;
}

bool link_passes(const ship_link *l, int condition, coaming_hazard hazard, bool tested,
                 bool untested_pass)
{
    if (!tested)
        return link_state_as_built(l, condition, hazard) == LINK_PASSES;
    link_state state = link_state_in(l, condition, hazard);
    return state == LINK_PASSES || (state == LINK_UNTESTED && untested_pass);
}

bool link_reached(const ship_link *l, coaming_hazard hazard, double level)
{
    if (hazard == COAMING_WATER)
        return l->clear.z < level;
    return l->a != COAMING_SEA && l->b != COAMING_SEA;
}

bool space_reached(const ship_space *s, coaming_hazard hazard, double level)
{
    return hazard == COAMING_AIR || s->bottom < level;
}

double still_level(const coaming_ship *ship, int loading)
{
    return loading < 0 ? ship->draught : ship->loadings[loading].draught;
}

void mark_open_by_design(const coaming_ship *ship, int loading, bool *open)
{
    double level = still_level(ship, loading);
    bool more = true;
    while (more) {
        more = false;
        for (size_t i = ship->closure_count; i < ship->link_count; i++) {
            const ship_link *l = &ship->links[i];
            bool a = l->a < 0 || open[l->a], b = l->b < 0 || open[l->b];
            if (a == b || !link_reached(l, COAMING_WATER, level) ||
                !space_reached(&ship->spaces[a ? l->b : l->a], COAMING_WATER, level))
                continue;
            more = open[a ? l->b : l->a] = true;
        }
    }
}

bool level_settles(coaming_level level, coaming_hazard hazard)
{
    return hazard == COAMING_WATER && level.kind == COAMING_LEVEL_EQUILIBRIUM;
}

double level_for(const coaming_ship *ship, coaming_query query, coaming_hazard hazard,
                 coaming_place source)
{
    coaming_level level = query.level;
    if (hazard == COAMING_AIR)
        return NAN;
    if (level.kind == COAMING_LEVEL_AT)
        return level.height;
    if (level.kind == COAMING_LEVEL_FULL && source >= 0)
        return ship->spaces[source].top;
    return still_level(ship, query.loading);
}

double level_for_all(const coaming_ship *ship, coaming_query query, coaming_hazard hazard,
                     const coaming_place *sources, size_t count)
{
    double level = NAN;
    for (size_t i = 0; i < count; i++)
        level = fmax(level, level_for(ship, query, hazard, sources[i]));
    return level;
}

bool is_among(const coaming_place *places, size_t count, coaming_place place)
{
    for (size_t i = 0; i < count; i++)
        if (places[i] == place)
            return true;
    return false;
}
