#include "analyse/ranking/loss.h"

#include "ship/inside.h"

double space_whole_loss(const ship_space *s, coaming_measure measure)
{
    switch (measure) {
    case COAMING_MEASURE_VOLUME:
        return s->volume;
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

double space_loss(const ship_space *s, coaming_measure measure, coaming_hazard hazard, double level)
{
    if (measure == COAMING_MEASURE_VOLUME && hazard == COAMING_WATER)
        return space_volume_below(s, level);
    return space_whole_loss(s, measure);
}

double settled_loss(settler *t, const coaming_ship *ship, const settled *s, coaming_measure measure)
{
    double loss = 0;
    for (size_t i = 0; i < s->count; i++)
        loss += measure == COAMING_MEASURE_VOLUME
                    ? settler_volume(t, s, s->spaces[i])
                    : space_whole_loss(&ship->spaces[s->spaces[i]], measure);
    return loss;
}

void rank_count_in(coaming_rank *row, const scenario *list, int heaviest, double weight,
                   double loss)
{
    if (weight <= 0 || loss == 0)
        return;
    const scenario *s = &list[heaviest];
    row->part[s->hazard] += weight * loss;
    if (loss < 0) /* metacentric height may grow by flooding */
        return;
    double worst = s->weight * loss;
    if (!row->has_worst || worst > row->worst_loss ||
        (worst == row->worst_loss && heaviest < row->worst_scenario)) {
        row->has_worst = true;
        row->worst_hazard = s->hazard;
        row->worst_source = s->source;
        row->worst_loss = worst;
        row->worst_scenario = heaviest;
    }
}
