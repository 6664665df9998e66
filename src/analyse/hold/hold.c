#include "coaming/hold.h"

#include <stdint.h>

#include "analyse/hold/as_is.h"
#include "analyse/hold/beyond.h"
#include "analyse/hold/net.h"
#include "analyse/hold/search.h"
#include "analyse/hold/settling.h"
#include "base/error.h"
#include "coaming/likelihood.h"
#include "ship/state.h"

struct coaming_hold {
    const coaming_ship *ship;
    coaming_query query;
    coaming_place *sources;
    size_t source_count;
    arena memory;
    double *leaks;
    bool *protect; /* by space */
    int *list;     /* the same as a list */
    size_t list_count;
    bool nested, vital, source_left_out;
    coaming_hold_answer answers[COAMING_HAZARDS];
    size_t count;
};

void coaming_hold_free(coaming_hold *h)
{
    if (!h)
        return;
    for (size_t i = 0; i < h->count; i++) {
        coaming_inflows_free(h->answers[i].let_in);
        coaming_inflows_free(h->answers[i].as_is.entries);
    }
    arena_free(&h->memory);
    memory_free(h);
}

size_t coaming_hold_count(const coaming_hold *h)
{
    return h->count;
}

const coaming_hold_answer *coaming_hold_get(const coaming_hold *h, size_t index)
{
    return &h->answers[index];
}

/* Lists of each line what is kept by it and wet all the same. */
static coaming_status mark_wet(coaming_hold *h, coaming_hold_answer *answer, coaming_error *error)
{
    bool *wet = arena_new(&h->memory, h->ship->space_count, sizeof *wet);
    if (!wet)
        return error_memory(error);
    for (size_t i = 0; i < answer->let_in_count; i++)
        wet[answer->let_in[i].space] = true;
    for (size_t i = 0; i < answer->line_count; i++) {
        coaming_hold_line *line = &answer->lines[i];
        line->wet = arena_new(&h->memory, line->kept_count, sizeof *line->wet);
        if (!line->wet)
            return error_memory(error);
        for (size_t k = 0; k < line->kept_count; k++)
            if (wet[line->kept[k]])
                line->wet[line->wet_count++] = line->kept[k];
    }
    return COAMING_OK;
}

/* The others the sea gets to only as she is lost. */
static coaming_status count_afloat(const coaming_hold *h, coaming_hold_answer *answer,
                                   coaming_error *error)
{
    coaming_rest rest;
    coaming_status status = coaming_come_to_rest(h->ship, h->query, NULL, 0, &rest, error);
    if (status == COAMING_OK && rest.count)
        answer->let_in_afloat = rest.count;
    coaming_inflows_free(rest.entries);
    return status;
}

/* How she fares as the doors are. */
static coaming_status find_as_is(coaming_hold *h, coaming_hold_answer *answer, coaming_error *error)
{
    coaming_status status =
        coaming_let_in(h->ship, h->query, &answer->let_in, &answer->let_in_count, error);
    if (status == COAMING_OK)
        status = mark_wet(h, answer, error);
    answer->let_in_afloat = answer->let_in_count;
    if (status != COAMING_OK || h->query.level.kind != COAMING_LEVEL_EQUILIBRIUM)
        return status;
    if (answer->let_in_count)
        status = count_afloat(h, answer, error);
    return status == COAMING_OK ? coaming_come_to_rest(h->ship, h->query, h->sources,
                                                       h->source_count, &answer->as_is, error)
                                : status;
}

/* The line to hold: of those that keep what is asked for the most dependable, the first; of nested
 * ones that with the least expected loss of those with which she stays afloat, of equal ones the
 * nearest. */
static void recommend(coaming_hold_answer *answer, bool settles)
{
    coaming_hold_line *best = NULL;
    for (size_t i = 0; i < answer->line_count; i++) {
        coaming_hold_line *line = &answer->lines[i];
        if (line->not_held >= 0 ||
            (answer->nested && settles && line->stability.grade == COAMING_GRADE_LOST))
            continue;
        if (!best || (answer->nested && line->expected_loss < best->expected_loss * (1 - 1e-12)))
            best = line;
    }
    answer->recommended = best ? (size_t)(best - answer->lines) : answer->line_count;
}

static bool among_sources(const coaming_hold *h, coaming_place place)
{
    return is_among(h->sources, h->source_count, place);
}

/* The weakest way with the line held that is told first, and all else as it stands. under: what is under
 * water behind each line where she settles, else NULL. */
static coaming_status find_way_past(net *n, coaming_hold_answer *answer, const under_water *under,
                                    coaming_error *error)
{
    size_t told = answer->recommended < answer->line_count ? answer->recommended : 0;
    const coaming_hold_line *line = &answer->lines[told];
    bool *held = arena_new(n->memory, n->ship->link_count, sizeof *held);
    bool *aim = arena_new(n->memory, n->ship->space_count, sizeof *aim);
    if (!held || !aim)
        return error_memory(error);
    for (size_t i = 0; i < line->closure_count; i++)
        held[line->closures[i].closure] = true;
    for (size_t i = 0; i < n->ship->space_count; i++)
        aim[i] = n->protect[i] && !n->reached[i];
    n->held = held;
    if (under) {
        n->space = under[told].space;
        n->link = under[told].link;
    }
    return net_way(n, aim, &answer->way, &answer->has_way, error);
}

static coaming_status solve(coaming_hold *h, coaming_hazard hazard, coaming_error *error)
{
    coaming_hold_answer *answer = &h->answers[h->count++];
    *answer = (coaming_hold_answer){
        .hazard = hazard,
        .source = h->sources[0],
        .sources = h->sources,
        .source_count = h->source_count,
        .level = level_for_all(h->ship, h->query, hazard, h->sources, h->source_count),
        .protect = h->list,
        .protect_count = h->list_count,
        .nested = h->nested,
        .vital = h->vital,
        .source_left_out = h->source_left_out};
    net n = {.ship = h->ship,
             .hazard = hazard,
             .condition = h->query.condition,
             .loading = h->query.loading,
             .sources = h->sources,
             .source_count = h->source_count,
             .nested = h->nested,
             .outside = hazard == COAMING_WATER || among_sources(h, COAMING_WEATHER),
             .leaks = h->leaks,
             .protect = h->protect,
             .memory = &h->memory};
    if (!net_make(&n))
        return error_memory(error);
    coaming_status status = COAMING_OK;
    under_water *under = NULL;
    bool settles = level_settles(h->query.level, hazard);
    if (settles)
        status = settling_solve(&n, answer, &under, error);
    else {
        net_add_level(&n, answer->level);
        status = as_is_find(&n, &answer->as_is.entries, &answer->as_is.count, error);
        answer->source_dry = net_all_dry(&n);
        if (status == COAMING_OK)
            status = net_solve(&n, SIZE_MAX, answer, error);
        if (status == COAMING_OK)
            status = beyond_fill(&n, true, answer, error);
        for (size_t i = 0; i < answer->line_count && status == COAMING_OK; i++)
            status = search_behind(&n, &answer->lines[i], error);
    }
    recommend(answer, settles);
    if (status == COAMING_OK && answer->nested && answer->line_count)
        status = find_way_past(&n, answer, under, error);
    return status == COAMING_OK && hazard == COAMING_WATER ? find_as_is(h, answer, error) : status;
}

static coaming_status mark_protected(coaming_hold *h, const int *protect, size_t count,
                                     coaming_error *error)
{
    h->vital = count == 0;
    for (size_t i = 0; i < count; i++)
        h->protect[protect[i]] = true;
    for (size_t i = 0; i < h->ship->space_count; i++) {
        if (h->vital && h->ship->spaces[i].vital) {
            h->protect[i] = !among_sources(h, (int)i);
            h->source_left_out = h->source_left_out || !h->protect[i];
        }
        if (h->protect[i])
            h->list[h->list_count++] = (int)i;
    }
    if (!h->list_count && !h->nested)
        return error_set(error, COAMING_USAGE,
                         "no %sspace is marked vital, so it must be said what is to stay clean",
                         h->source_left_out ? "other " : "");
    return COAMING_OK;
}

static coaming_status fill(coaming_hold *h, const int *protect, size_t count, coaming_error *error)
{
    size_t spaces = h->ship->space_count;
    h->leaks = arena_new(&h->memory, h->ship->closure_count, sizeof *h->leaks);
    h->protect = arena_new(&h->memory, spaces, sizeof *h->protect);
    h->list = arena_new(&h->memory, spaces, sizeof *h->list);
    if (!h->leaks || !h->protect || !h->list || !h->sources)
        return error_memory(error);
    if (!h->source_count)
        return error_set(error, COAMING_USAGE, "no source is given");
    if (!h->query.hazard[COAMING_WATER] && !h->query.hazard[COAMING_AIR])
        return error_set(error, COAMING_USAGE, "no hazard is asked for");
    coaming_likelihood_all(h->ship, h->leaks);
    coaming_status status = mark_protected(h, protect, count, error);
    for (int i = 0; i < COAMING_HAZARDS && status == COAMING_OK; i++)
        if (h->query.hazard[i])
            status = solve(h, (coaming_hazard)i, error);
    return status;
}

/* NULL when out of memory. */
static coaming_hold *begin(const coaming_ship *ship, coaming_query query,
                           const coaming_place *sources, size_t count)
{
    coaming_hold *h = memory_new(1, sizeof *h);
    if (!h)
        return NULL;
    h->ship = ship;
    h->query = query;
    h->sources = arena_new(&h->memory, count, sizeof *h->sources); /* asked for by fill */
    h->source_count = count;
    for (size_t i = 0; h->sources && i < count; i++)
        h->sources[i] = sources[i];
    return h;
}

/* Fills it and hands it out, or frees it. */
static coaming_status finish(coaming_hold *h, const int *protect, size_t count, coaming_hold **hold,
                             coaming_error *error)
{
    coaming_status status = h ? fill(h, protect, count, error) : error_memory(error);
    if (status == COAMING_OK)
        *hold = h;
    else
        coaming_hold_free(h);
    return status;
}

coaming_status coaming_hold_new(const coaming_ship *ship, coaming_query query, coaming_place source,
                                const int *protect, size_t count, coaming_hold **hold,
                                coaming_error *error)
{
    return finish(begin(ship, query, &source, 1), protect, count, hold, error);
}

coaming_status coaming_hold_keeping_new(const coaming_ship *ship, coaming_query query,
                                        const coaming_hold_asked *asked, coaming_hold **hold,
                                        coaming_error *error)
{
    return finish(begin(ship, query, asked->sources, asked->source_count), asked->protect,
                  asked->protect_count, hold, error);
}

coaming_status coaming_hold_nested_new(const coaming_ship *ship, coaming_query query,
                                       coaming_place source, coaming_hold **hold,
                                       coaming_error *error)
{
    return coaming_hold_set_new(ship, query, &source, 1, hold, error);
}

coaming_status coaming_hold_set_new(const coaming_ship *ship, coaming_query query,
                                    const coaming_place *sources, size_t count, coaming_hold **hold,
                                    coaming_error *error)
{
    coaming_hold *h = begin(ship, query, sources, count);
    if (h)
        h->nested = true;
    return finish(h, NULL, 0, hold, error);
}
