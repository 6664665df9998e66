/*
 * graph/reach_cache.h - reaches by setting, the least recently used thrown out.
 *
 * Levels differ from source to source only with COAMING_LEVEL_FULL, and then by deck heights, so a
 * few dozen serve every ship that is built in decks; others only take longer.
 */
#ifndef GRAPH_REACH_CACHE_H
#define GRAPH_REACH_CACHE_H

#include "graph/reach.h"

enum { REACH_CACHE_SIZE = 64 };

typedef struct {
    struct {
        reach_setting setting;
        reach *reach;
        size_t used; /* when last asked for */
    } place[REACH_CACHE_SIZE];
    size_t clock;
} reach_cache;

/* The reach stays the cache's; it lives at least until REACH_CACHE_SIZE - 1 further calls. */
coaming_status reach_cache_get(reach_cache *cache, const coaming_ship *ship, reach_setting setting,
                               reach **out, coaming_error *error);
void reach_cache_clear(reach_cache *cache);

#endif
