#include "analyse/flotation/settlers.h"

coaming_status settlers_make(settlers *s, const coaming_ship *ship, int condition, int loading,
                             unsigned count, coaming_error *error)
{
    *s = (settlers){.ship = ship, .condition = condition, .loading = loading};
    coaming_status status = COAMING_OK;
    while (s->count < count && status == COAMING_OK) {
        status = settler_new(ship, condition, loading, &s->each[s->count], error);
        if (status == COAMING_OK)
            settler_keep(s->each[s->count++], FLOTATION_KEPT / count);
    }
    return status;
}

void settlers_free(settlers *s)
{
    for (unsigned i = 0; i < s->count; i++)
        settler_free(s->each[i]);
    s->count = 0;
}
