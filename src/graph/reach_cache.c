#include "graph/reach_cache.h"

static bool same_setting(reach_setting a, reach_setting b)
{
    return a.hazard == b.hazard && (a.hazard == COAMING_AIR || a.level == b.level) &&
           a.condition == b.condition && a.untested_pass == b.untested_pass &&
           (a.hazard == COAMING_WATER || a.outside == b.outside);
}

coaming_status reach_cache_get(reach_cache *cache, const coaming_ship *ship, reach_setting setting,
                               reach **out, coaming_error *error)
{
    size_t oldest = 0;
    for (size_t i = 0; i < REACH_CACHE_SIZE; i++) {
        if (cache->place[i].reach && same_setting(cache->place[i].setting, setting)) {
            cache->place[i].used = ++cache->clock;
            *out = cache->place[i].reach;
            return COAMING_OK;
        }
        if (cache->place[i].used < cache->place[oldest].used)
            oldest = i;
    }
    reach *made = NULL;
    coaming_status status = reach_new(ship, setting, &made, error);
    if (status != COAMING_OK)
        return status;
    reach_free(cache->place[oldest].reach);
    cache->place[oldest].setting = setting;
    cache->place[oldest].reach = made;
    cache->place[oldest].used = ++cache->clock;
    *out = made;
    return COAMING_OK;
}

void reach_cache_clear(reach_cache *cache)
{
    for (size_t i = 0; i < REACH_CACHE_SIZE; i++) {
        reach_free(cache->place[i].reach);
        cache->place[i].reach = NULL;
    }
}
