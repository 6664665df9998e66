#include "analyse/ranking/loss.h"

#include "ship/inside.h"

double space_loss(const ship_space *s, coaming_measure measure, coaming_hazard hazard, double level)
{
    switch (measure) {
    case COAMING_MEASURE_VOLUME:
        return hazard == COAMING_WATER ? space_volume_below(s, level) : s->volume;
    case COAMING_MEASURE_PEOPLE:
        return s->people;
    case COAMING_MEASURE_SPACES:
        return 1;
    case COAMING_MEASURE_WORTH:
        return s->worth;
    default: /* what the ship herself loses is not lost space by space */
        return 0;
    }
}
