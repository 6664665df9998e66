/* analyse/ranking/loss.h - what one space adds to a loss once it is reached, and a loss to a row. */
#ifndef ANALYSE_RANKING_LOSS_H
#define ANALYSE_RANKING_LOSS_H

#include "analyse/flotation/settle.h"
#include "coaming/ranking.h"
#include "ship/ship.h"

/* Of volume the whole. 0 for what the ship herself loses. */
double space_whole_loss(const ship_space *s, coaming_measure measure);

/* The same; of volume what is below the water. level: of water, m; not used for air. */
double space_loss(const ship_space *s, coaming_measure measure, coaming_hazard hazard,
                  double level);

/* What the flooded spaces of a settled state add up to; of volume, what is below the water. */
double settled_loss(settler *t, const coaming_ship *ship, const settled *s,
                    coaming_measure measure);

/* Adds weight x loss to the row, and keeps the worst scenario: `heaviest` of those it stands for.
 */
void rank_count_in(coaming_rank *row, const scenario *list, int heaviest, double weight,
                   double loss);

#endif
