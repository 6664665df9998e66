/* analyse/ranking/ranking.h - what the two ways of adding up a ranking share. */
#ifndef ANALYSE_RANKING_RANKING_H
#define ANALYSE_RANKING_RANKING_H

#include "analyse/flotation/settle.h"
#include "coaming/ranking.h"
#include "graph/reach_cache.h"

struct coaming_ranking {
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    scenario *scenarios;
    size_t scenario_count;
    coaming_rank *rows; /* by closure while adding up, then by rank */
    reach_cache cache;
    settler *settler; /* for the level of equilibrium */
    unsigned threads; /* for that level; 0: as many as are worth it */
    int *spaces;      /* room for coaming_ranking_exposes */
    uint64_t *bits;   /* a bit for each space, all 0; to sort these by */
};

/* As coaming_ranking_new. threads: at most TOGETHER_MOST, 0 as many as are worth it; of no account to
 * what comes out. */
coaming_status ranking_by(const coaming_ship *ship, coaming_query query, coaming_measure measure,
                          unsigned threads, coaming_ranking **ranking, coaming_error *error);

/* Are scenarios of this hazard settled one by one? */
bool rank_settles(const coaming_ranking *k, coaming_hazard hazard);
/* Adds what all water scenarios lose at equilibrium. */
coaming_status settle_all(coaming_ranking *k, coaming_error *error);
/* The spaces exposed in the worst scenario of a row, into k->spaces in file order. */
coaming_status settle_exposes(coaming_ranking *k, const coaming_rank *row, size_t *count,
                              coaming_error *error);

#endif
