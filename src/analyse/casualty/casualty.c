#include "coaming/casualty.h"

#include "analyse/casualty/ways.h"
#include "base/error.h"
#include "ship/state.h"

struct coaming_casualty {
    const coaming_ship *ship;
    coaming_query query;
    coaming_measure measure;
    coaming_place *sources;
    size_t source_count;
    int *spaces; /* of the sources, each once */
    size_t space_count;
    arena memory;
    coaming_hold *hold;
    coaming_floating *floating; /* NULL: she is not floated */
    coaming_casualty_answer answers[COAMING_HAZARDS];
    size_t count;
};

void coaming_casualty_free(coaming_casualty *c)
{
    if (!c)
        return;
    coaming_hold_free(c->hold);
    coaming_floating_free(c->floating);
    arena_free(&c->memory);
    memory_free(c);
}

coaming_measure coaming_casualty_measure(const coaming_casualty *c)
{
    return c->measure;
}

size_t coaming_casualty_count(const coaming_casualty *c)
{
    return c->count;
}

const coaming_casualty_answer *coaming_casualty_get(const coaming_casualty *c, size_t index)
{
    return &c->answers[index];
}

static bool take_sources(coaming_casualty *c, const coaming_place *sources, size_t count)
{
    bool *taken = memory_new(c->ship->space_count, sizeof *taken);
    c->sources = arena_new(&c->memory, count, sizeof *c->sources);
    c->spaces = arena_new(&c->memory, count, sizeof *c->spaces);
    for (size_t i = 0; taken && c->sources && c->spaces && i < count; i++) {
        c->sources[c->source_count++] = sources[i];
        if (sources[i] < 0 || taken[sources[i]])
            continue;
        taken[sources[i]] = true;
        c->spaces[c->space_count++] = sources[i];
    }
    memory_free(taken);
    return taken && c->sources && c->spaces;
}

static coaming_status find(coaming_casualty *c, coaming_casualty_answer *a, settler *boat,
                           coaming_error *error)
{
    ways w = {.ship = c->ship,
              .query = c->query,
              .hazard = a->hazard,
              .spaces = c->spaces,
              .space_count = c->space_count,
              .level = a->hold->level,
              .outside = a->hazard == COAMING_WATER ||
                         is_among(c->sources, c->source_count, COAMING_WEATHER),
              .boat = boat,
              .memory = &c->memory};
    coaming_status status = ways_find(&w, error);
    if (status == COAMING_OK)
        status = ways_list(&w, a, error);
    return status == COAMING_OK ? ways_shut(&w, c->measure, a, error) : status;
}

static coaming_status answer(coaming_casualty *c, const coaming_hold_answer *hold,
                             coaming_error *error)
{
    settler *boat = NULL;
    coaming_status status = COAMING_OK;
    coaming_casualty_answer *a = &c->answers[c->count++];
    *a = (coaming_casualty_answer){.hazard = hold->hazard, .hold = hold};
    if (level_settles(c->query.level, a->hazard)) {
        status = coaming_floating_new(c->ship, c->query, c->spaces, c->space_count, true,
                                      &c->floating, error);
        a->floating = c->floating;
        if (status == COAMING_OK)
            status = settler_new(c->ship, c->query.condition, c->query.loading, &boat, error);
    }
    if (status == COAMING_OK)
        status = find(c, a, boat, error);
    settler_free(boat);
    return status;
}

static coaming_status fill(coaming_casualty *c, const coaming_place *sources, size_t count,
                           coaming_error *error)
{
    if (c->measure >= COAMING_MEASURE_FREEBOARD)
        return error_set(error, COAMING_USAGE, "the measure is not added up by space");
    if (!take_sources(c, sources, count))
        return error_memory(error);
    coaming_status status =
        coaming_hold_set_new(c->ship, c->query, c->sources, c->source_count, &c->hold, error);
    for (size_t i = 0; status == COAMING_OK && i < coaming_hold_count(c->hold); i++)
        status = answer(c, coaming_hold_get(c->hold, i), error);
    return status;
}

coaming_status coaming_casualty_new(const coaming_ship *ship, coaming_query query,
                                    coaming_measure measure, const coaming_place *sources,
                                    size_t count, coaming_casualty **casualty, coaming_error *error)
{
    coaming_casualty *c = memory_new(1, sizeof *c);
    *casualty = NULL;
    if (!c)
        return error_memory(error);
    c->ship = ship;
    c->query = query;
    c->measure = measure;
    coaming_status status = fill(c, sources, count, error);
    if (status == COAMING_OK)
        *casualty = c;
    else
        coaming_casualty_free(c);
    return status;
}
