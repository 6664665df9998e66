#include "analyse/exposure/exposure.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/order.h"
#include "ship/inside.h"
#include "ship/state.h"

const char *coaming_note_text(coaming_note note)
{
    static const char *const texts[] = {
#define TEXT(code, text) text,
        COAMING_NOTE_TABLE(TEXT)
#undef TEXT
    };
    return texts[note];
}

void coaming_exposure_free(coaming_exposure *e)
{
    if (!e)
        return;
    reach_cache_clear(&e->cache);
    settler_free(e->settler);
    memory_free(e->closures);
    memory_free(e->exposed);
    memory_free(e->by);
    memory_free(e->untested);
    memory_free(e->queue);
    memory_free(e->entry);
    memory_free(e->wet);
    memory_free(e->bits);
    memory_free(e->counted);
    memory_free(e->border);
    memory_free(e);
}

size_t coaming_exposure_row_count(const coaming_exposure *e)
{
    return e->closure_count * e->hazard_count * 2;
}

static bool make_room(coaming_exposure *e)
{
    size_t n = e->ship->space_count;
    e->closures = memory_new(e->closure_count, sizeof *e->closures);
    e->exposed = memory_new(n, sizeof *e->exposed);
    e->by = memory_new(n, sizeof *e->by);
    e->untested = memory_new(n, sizeof *e->untested);
    e->queue = memory_new(n, sizeof *e->queue);
    e->entry = memory_new(n, sizeof *e->entry);
    e->wet = memory_new(n, sizeof *e->wet);
    e->bits = memory_new(order_words(n), sizeof *e->bits);
    e->counted = memory_new(order_words(coaming_exposure_row_count(e)), sizeof *e->counted);
    if (!e->closures || !e->exposed || !e->by || !e->untested || !e->queue || !e->entry ||
        !e->wet || !e->bits || !e->counted)
        return false;
    for (size_t s = 0; s < n; s++)
        e->entry[s] = -1;
    return true;
}

static void begin_row(coaming_exposure *e, size_t index)
{
    int closure = e->closures[index / (2 * e->hazard_count)];
    const ship_link *l = &e->ship->links[closure];
    coaming_hazard hazard = e->hazards[index / 2 % e->hazard_count];
    coaming_place source = index % 2 ? l->b : l->a;
    e->row = (coaming_exposure_row){.closure = closure,
                                    .hazard = hazard,
                                    .source = source,
                                    .exposed = e->exposed,
                                    .by = e->by,
                                    .exposed_if_untested_leak = e->untested,
                                    .afloat = true};
}

static coaming_status get_reach(coaming_exposure *e, bool untested_pass, reach **out,
                                coaming_error *error)
{
    reach_setting setting = {e->row.hazard, e->row.level, e->query.condition, untested_pass,
                             e->row.hazard == COAMING_WATER || e->row.source == COAMING_WEATHER};
    return reach_cache_get(&e->cache, e->ship, setting, out, error);
}

/* Of the row at hand, at a level that is given: untested closures hold, and pass. */
static coaming_status get_reaches(coaming_exposure *e, reach **held, reach **leaky,
                                  coaming_error *error)
{
    e->row.level = level_for(e->ship, e->query, e->row.hazard, e->row.source);
    coaming_status status = get_reach(e, false, held, error);
    return status == COAMING_OK ? get_reach(e, true, leaky, error) : status;
}

/* An answer names every space of every row, so that it may grow with the square of the ship: what a
 * row names counts once, however often it is got. */
static coaming_status count_named(coaming_exposure *e, size_t index, size_t named,
                                  coaming_error *error)
{
    enum { BITS = 64 };
    uint64_t *word = &e->counted[index / BITS], bit = (uint64_t)1 << index % BITS;
    if (*word & bit)
        return COAMING_OK;
    if (named > COAMING_EXPOSURE_MOST - e->named) {
        const ship_link *l = &e->ship->links[e->row.closure];
        return error_set(error, COAMING_INPUT,
                         "%s:%ld: closure %s: with what its failure exposes, more than %d spaces "
                         "would be named, closure by closure; 'coaming expose' answers of a few "
                         "closures, or one hazard, at a time",
                         e->ship->path, l->line, l->id, COAMING_EXPOSURE_MOST);
    }
    *word |= bit;
    e->named += named;
    return COAMING_OK;
}

static coaming_status count_reached(coaming_exposure *e, size_t index, coaming_error *error)
{
    reach *held = NULL, *leaky = NULL;
    coaming_status status = get_reaches(e, &held, &leaky, error);
    if (status != COAMING_OK)
        return status;
    int source = reach_vertex(held, e->row.source);
    return count_named(e, index,
                       reach_size(reach_exposed(held, e->row.closure, source)) +
                           reach_size(reach_exposed(leaky, e->row.closure, source)),
                       error);
}

/* What rows at a given level name is known before they are made; of settled ones only as they are. */
static coaming_status can_be_told(coaming_exposure *e, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    size_t rows = coaming_exposure_row_count(e);
    for (size_t i = 0; i < rows && status == COAMING_OK; i++) {
        begin_row(e, i);
        if (!row_settles(e))
            status = count_reached(e, i, error);
    }
    return status;
}

coaming_status coaming_exposure_new(const coaming_ship *ship, coaming_query query,
                                    const int *closures, size_t count, coaming_exposure **exposure,
                                    coaming_error *error)
{
    coaming_exposure *e = memory_new(1, sizeof *e);
    if (!e)
        return error_memory(error);
    e->ship = ship;
    e->query = query;
    e->of_all = !closures;
    e->closure_count = closures ? count : ship->closure_count;
    for (int h = 0; h < COAMING_HAZARDS; h++)
        if (query.hazard[h])
            e->hazards[e->hazard_count++] = (coaming_hazard)h;
    coaming_status status = COAMING_OK;
    if (!e->hazard_count)
        status = error_set(error, COAMING_USAGE, "no hazard is asked for");
    else if (!make_room(e))
        status = error_memory(error);
    if (status == COAMING_OK && query.hazard[COAMING_WATER] &&
        query.level.kind == COAMING_LEVEL_EQUILIBRIUM)
        status = settler_new(ship, query.condition, query.loading, &e->settler, error);
    if (status != COAMING_OK) {
        coaming_exposure_free(e);
        return status;
    }
    for (size_t i = 0; i < e->closure_count; i++)
        e->closures[i] = closures ? closures[i] : (int)i;
    status = can_be_told(e, error);
    if (status != COAMING_OK)
        coaming_exposure_free(e);
    else
        *exposure = e;
    return status;
}

bool coaming_exposure_of_all(const coaming_exposure *e)
{
    return e->of_all;
}

/* Why nothing is exposed; called for empty rows only. */
static coaming_note reason(const coaming_exposure *e, const reach *r)
{
    const coaming_exposure_row *row = &e->row;
    const ship_link *l = &e->ship->links[row->closure];
    coaming_place other = link_other_side(l, row->source);
    if (row->hazard == COAMING_AIR && (l->a == COAMING_SEA || l->b == COAMING_SEA))
        return COAMING_NOTE_NO_AIR_BY_SEA;
    if (!link_reached(l, row->hazard, row->level))
        return COAMING_NOTE_ABOVE_WATER;
    if (other == COAMING_SEA)
        return COAMING_NOTE_OTHER_SEA;
    if (other == COAMING_WEATHER)
        return COAMING_NOTE_OTHER_WEATHER;
    if (reach_vertex(r, row->source) < 0)
        return COAMING_NOTE_SOURCE_DRY;
    if (reach_vertex(r, other) < 0)
        return COAMING_NOTE_FAR_DRY;
    return COAMING_NOTE_OTHER_WAY;
}

/* Walks breadth first from the far side of the closure through the exposed spaces, noting the link
 * by which each is first entered, in order of links. */
static coaming_status trace(coaming_exposure *e, reach *r, coaming_error *error)
{
    const coaming_ship *ship = e->ship;
    size_t head = 0, tail = 0;
    const int unseen = -2;
    for (size_t i = 0; i < e->row.exposed_count; i++)
        e->entry[e->exposed[i]] = unseen;
    coaming_place start = link_other_side(&ship->links[e->row.closure], e->row.source);
    if (start >= 0 && e->entry[start] == unseen) {
        e->entry[start] = e->row.closure;
        e->queue[tail++] = start;
    }
    coaming_status status = COAMING_OK;
    while (head < tail && status == COAMING_OK) {
        int s = e->queue[head++], count = 0;
        const int *ways = NULL;
        status = reach_ways(r, s, &ways, &count, error);
        for (int i = 0; i < count; i++) {
            coaming_place next = link_other_side(&ship->links[ways[i]], s);
            if (e->entry[next] == unseen) {
                e->entry[next] = ways[i];
                e->queue[tail++] = next;
            }
        }
    }
    for (size_t i = 0; i < e->row.exposed_count; i++) {
        e->by[i] = e->entry[e->exposed[i]];
        e->entry[e->exposed[i]] = -1;
    }
    return status;
}

static void add_up(coaming_exposure *e)
{
    coaming_exposure_row *row = &e->row;
    for (size_t i = 0; i < row->exposed_count; i++) {
        const ship_space *s = &e->ship->spaces[row->exposed[i]];
        row->volume += row->hazard == COAMING_WATER ? space_volume_below(s, row->level) : s->volume;
        row->people += s->people;
        row->worth += s->worth;
    }
}

/* A row at a level that is given. */
static coaming_status reach_row(coaming_exposure *e, coaming_error *error)
{
    int closure = e->row.closure;
    coaming_place source = e->row.source;
    reach *held = NULL, *leaky = NULL;
    coaming_status status = get_reaches(e, &held, &leaky, error);
    if (status != COAMING_OK)
        return status;
    e->row.exposed_count = reach_list(
        held, reach_exposed(held, closure, reach_vertex(held, source)), e->bits, e->exposed);
    e->row.exposed_if_untested_leak_count = reach_list(
        leaky, reach_exposed(leaky, closure, reach_vertex(leaky, source)), e->bits, e->untested);
    status = trace(e, held, error);
    if (status == COAMING_OK)
        add_up(e);
    if (status == COAMING_OK && !e->row.exposed_count)
        e->row.note = reason(e, held);
    return status;
}

coaming_status coaming_exposure_row_get(coaming_exposure *e, size_t index,
                                        coaming_exposure_row *row, coaming_error *error)
{
    begin_row(e, index);
    e->row.settled = row_settles(e);
    coaming_status status = e->row.settled ? settle_row(e, error) : reach_row(e, error);
    if (status == COAMING_OK)
        status = count_named(e, index, e->row.exposed_count + e->row.exposed_if_untested_leak_count,
                             error);
    if (status == COAMING_OK)
        *row = e->row;
    return status;
}

static int by_link(const void *left, const void *right)
{
    const coaming_border *a = left, *b = right;
    return (a->link > b->link) - (a->link < b->link);
}

/* How the row's water or air stands to a link and a place; r is NULL for a row that was settled. */

static bool row_passes(const coaming_exposure *e, const reach *r, int l)
{
    if (r)
        return reach_passes(r, l);
    return link_state_in(&e->ship->links[l], e->query.condition, COAMING_WATER) == LINK_PASSES &&
           (!e->row.afloat || coaming_float_height(e->ship, &e->at, l) < 0);
}

/* Of a link's lowest edge above the water, m; below 0 where it can pass. */
static double row_height(const coaming_exposure *e, const reach *r, int l)
{
    const ship_link *k = &e->ship->links[l];
    if (r)
        return link_reached(k, e->row.hazard, e->row.level) ? -1 : k->clear.z - e->row.level;
    return e->row.afloat ? coaming_float_height(e->ship, &e->at, l) : -1;
}

/* Does the hazard get to the place whatever the closure of the row does? */
static bool reached_anyway(const coaming_exposure *e, const reach *r, coaming_place place)
{
    if (!r)
        return settler_among(e->settler, e->held, place);
    int v = reach_vertex(r, place), source = reach_vertex(r, e->row.source);
    if (v < 0)
        return false;
    if (reach_in(reach_component(r, source), reach_position(r, v)))
        return true;
    return e->row.hazard == COAMING_WATER &&
           reach_in(reach_component(r, reach_outside(r)), reach_position(r, v));
}

/* Is the link on the border of the set (whose spaces have entry 0), seen from space s? */
static bool borders(const coaming_exposure *e, const reach *r, int l, int s, coaming_border *out)
{
    const ship_link *k = &e->ship->links[l];
    coaming_place beyond = link_other_side(k, s);
    if (l == e->row.closure || row_passes(e, r, l) || (beyond >= 0 && e->entry[beyond] == 0))
        return false;
    bool air = e->row.hazard == COAMING_AIR;
    if (air && beyond < 0)
        return false;
    double height = row_height(e, r, l);
    bool by_height = !air && height >= 0;
    if (!(by_height && beyond < 0) && reached_anyway(e, r, beyond))
        return false;
    link_state state = link_state_in(k, e->query.condition, e->row.hazard);
    if (by_height) { /* a sound closure above the water is no news */
        *out = (coaming_border){l, beyond, COAMING_KEPT_BY_HEIGHT, height};
        return state != LINK_HOLDS;
    }
    *out = (coaming_border){l, beyond,
                            state == LINK_UNTESTED ? COAMING_KEPT_UNTESTED : COAMING_KEPT_SHUT, 0};
    return state != LINK_PASSES; /* else it leads to a space above the water */
}

coaming_status coaming_exposure_border(coaming_exposure *e, const coaming_border **border,
                                       size_t *count, coaming_error *error)
{
    reach *r = NULL;
    coaming_status status = COAMING_OK;
    if (!row_settles(e))
        status = get_reach(e, false, &r, error);
    if (status != COAMING_OK)
        return status;
    const coaming_ship *ship = e->ship;
    size_t found = 0;
    for (size_t i = 0; i < e->row.exposed_count; i++)
        e->entry[e->exposed[i]] = 0;
    for (size_t i = 0; i < e->row.exposed_count && status == COAMING_OK; i++) {
        int s = e->exposed[i];
        for (int j = ship->first[s]; j < ship->first[s + 1]; j++) {
            coaming_border b;
            if (!borders(e, r, ship->incident[j], s, &b))
                continue;
            if (!MEMORY_ROOM(e->border, found, e->border_capacity)) {
                status = error_memory(error);
                break;
            }
            e->border[found++] = b;
        }
    }
    for (size_t i = 0; i < e->row.exposed_count; i++)
        e->entry[e->exposed[i]] = -1;
    if (status != COAMING_OK)
        return status;
    if (found)
        qsort(e->border, found, sizeof *e->border, by_link);
    *border = e->border;
    *count = found;
    return COAMING_OK;
}
