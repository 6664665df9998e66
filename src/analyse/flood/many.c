#include "analyse/flood/run.h"
#include "base/error.h"

struct coaming_flood_deadlines {
    size_t count;
    coaming_flood_deadline *rows;
};
struct coaming_flood_likely {
    size_t count;
    coaming_flood_likely_event *rows;
};

static coaming_status not_yet(coaming_error *error)
{
    return error_set(error, COAMING_INTERNAL, "floods in time are not worked out yet");
}

coaming_status coaming_flood_deadlines_new(const coaming_ship *ship, const coaming_flood_ask *ask,
                                           coaming_flood_deadlines **deadlines,
                                           coaming_error *error)
{
    (void)ship, (void)ask, (void)deadlines;
    return not_yet(error);
}

void coaming_flood_deadlines_free(coaming_flood_deadlines *deadlines)
{
    (void)deadlines;
}

size_t coaming_flood_deadline_count(const coaming_flood_deadlines *deadlines)
{
    return deadlines->count;
}

const coaming_flood_deadline *coaming_flood_deadline_get(const coaming_flood_deadlines *deadlines,
                                                         size_t index)
{
    return &deadlines->rows[index];
}

coaming_status coaming_flood_likely_new(const coaming_ship *ship, const coaming_flood_ask *ask,
                                        size_t draws, unsigned long long seed,
                                        coaming_flood_likely **likely, coaming_error *error)
{
    (void)ship, (void)ask, (void)draws, (void)seed, (void)likely;
    return not_yet(error);
}

void coaming_flood_likely_free(coaming_flood_likely *likely)
{
    (void)likely;
}

size_t coaming_flood_likely_count(const coaming_flood_likely *likely)
{
    return likely->count;
}

const coaming_flood_likely_event *coaming_flood_likely_get(const coaming_flood_likely *likely,
                                                           size_t index)
{
    return &likely->rows[index];
}
