#include "analyse/ranking/scenarios.h"

size_t scenarios_room(const coaming_ship *ship)
{
    return ship->scenario_count + COAMING_HAZARDS * (ship->space_count + 1);
}

size_t scenarios_for(const coaming_ship *ship, coaming_hazard hazard, scenario *list)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->scenario_count; i++)
        if (ship->scenarios[i].hazard == hazard)
            list[count++] = ship->scenarios[i];
    if (count)
        return count;

    list[count++] = (scenario){hazard, hazard == COAMING_WATER ? COAMING_SEA : COAMING_WEATHER, 1};
    for (size_t s = 0; s < ship->space_count; s++)
        if (hazard == COAMING_AIR || ship->spaces[s].shell)
            list[count++] = (scenario){hazard, (coaming_place)s, 0};
    for (size_t i = 1; i < count; i++)
        list[i].weight = 1.0 / (double)(count - 1);
    return count;
}
