/* The readings of several closures, kept together. */
#include "base/error.h"
#include "base/memory.h"
#include "coaming/chalk.h"
#include "ship/ship.h"

struct coaming_readings {
    const coaming_ship *ship;
    coaming_reading **list; /* owned, and each of them */
    size_t count;
    int *place; /* by closure: its first reading in the list; -1: none */
};

void coaming_readings_free(coaming_readings *readings)
{
    if (!readings)
        return;
    for (size_t i = 0; readings->list && i < readings->count; i++)
        coaming_reading_free(readings->list[i]);
    memory_free(readings->list);
    memory_free(readings->place);
    memory_free(readings);
}

static void keep(coaming_readings *all, coaming_reading *reading)
{
    int *place = &all->place[reading->closure];
    if (*place < 0)
        *place = (int)all->count;
    all->list[all->count++] = reading;
}

static coaming_status read_each(coaming_readings *all, const int *closures, size_t count,
                                coaming_error *error)
{
    for (size_t i = 0; i < count; i++) {
        coaming_reading *r = NULL;
        coaming_status status =
            coaming_reading_new(all->ship, closures ? closures[i] : (int)i, &r, error);
        if (status != COAMING_OK)
            return status;
        if (closures || r->advice != COAMING_ADVICE_NONE)
            keep(all, r);
        else
            coaming_reading_free(r);
    }
    return COAMING_OK;
}

coaming_status coaming_readings_new(const coaming_ship *ship, const int *closures, size_t count,
                                    coaming_readings **readings, coaming_error *error)
{
    size_t asked = closures ? count : ship->closure_count;
    coaming_readings *all = memory_new(1, sizeof *all);
    if (!all)
        return error_memory(error);
    all->ship = ship;
    all->list = memory_new(asked, sizeof(coaming_reading *));
    all->place = memory_new(ship->closure_count, sizeof *all->place);
    for (size_t i = 0; i < ship->closure_count && all->place; i++)
        all->place[i] = -1;
    coaming_status status =
        all->list && all->place ? read_each(all, closures, asked, error) : error_memory(error);
    if (status == COAMING_OK)
        *readings = all;
    else
        coaming_readings_free(all);
    return status;
}

const coaming_ship *coaming_readings_ship(const coaming_readings *readings)
{
    return readings->ship;
}

size_t coaming_readings_count(const coaming_readings *readings)
{
    return readings->count;
}

const coaming_reading *coaming_readings_get(const coaming_readings *readings, size_t index)
{
    return readings->list[index];
}

const coaming_reading *coaming_readings_find(const coaming_readings *readings, int closure)
{
    int place = readings->place[closure];
    return place >= 0 ? readings->list[place] : NULL;
}
