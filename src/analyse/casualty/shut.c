/* What is to be shut at once, and what on the ways of the hazard nobody can shut. */
#include <stdlib.h>

#include "analyse/casualty/ways.h"
#include "analyse/ranking/loss.h"
#include "base/error.h"
#include "ship/state.h"

/* Would shutting it keep the hazard back, as far as is known? */
static bool can_help(const ways *w, int link)
{
    const ship_link *l = &w->ship->links[link];
    return !l->passage && link_rated_to_hold(l, w->hazard) && !l->seen[COAMING_SEEN_FAILED] &&
           !l->seen[COAMING_SEEN_SHUT];
}

/* From the side that stays clean; where neither does, from the one that is reached later. */
static void find_sides(const ways *w, const bool *without, coaming_shutting *row)
{
    const ship_link *l = &w->ship->links[row->closure];
    bool a = l->a >= 0 && !without[l->a], b = l->b >= 0 && !without[l->b];
    bool later = l->b < 0 || (l->a >= 0 && w->order[l->a] > w->order[l->b]);
    bool from_a = a == b ? later : a;
    row->from = from_a ? l->a : l->b;
    row->against = from_a ? l->b : l->a;
}

/* Fills a row of what the closure saves; *any: it saves something. without: what is reached then. */
static bool list_saved(const ways *w, coaming_measure measure, const bool *without,
                       coaming_shutting *row)
{
    size_t count = 0;
    for (size_t i = 0; i < w->ship->space_count; i++)
        count += w->reached[i] && !without[i];
    int *saves = arena_new(w->memory, count, sizeof *saves);
    if (!saves)
        return false;
    for (size_t i = 0; i < w->ship->space_count; i++)
        if (w->reached[i] && !without[i]) {
            saves[row->saves_count++] = (int)i;
            row->saved += space_whole_loss(&w->ship->spaces[i], measure);
        }
    row->saves = saves;
    find_sides(w, without, row);
    return true;
}

static int most_first(const void *left, const void *right)
{
    const coaming_shutting *a = left, *b = right;
    if (a->keeps_afloat != b->keeps_afloat)
        return a->keeps_afloat ? -1 : 1;
    if (a->saved != b->saved)
        return a->saved > b->saved ? -1 : 1;
    if (a->saves_count != b->saves_count)
        return a->saves_count > b->saves_count ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}

/* rows: room for every closure; without: for every space. */
static coaming_status list_shut(ways *w, coaming_measure measure, coaming_shutting *rows,
                                bool *without, size_t *count, coaming_error *error)
{
    bool lost = false;
    for (size_t i = 0; i < w->ship->closure_count; i++) {
        if (!w->over[i] || !can_help(w, (int)i))
            continue;
        coaming_status status = ways_without(w, (int)i, without, &lost, error);
        if (status != COAMING_OK)
            return status;
        coaming_shutting *row = &rows[*count];
        *row = (coaming_shutting){
            .closure = (int)i, .keeps_afloat = w->lost && !lost, .lost_anyhow = lost};
        if (!list_saved(w, measure, without, row))
            return error_memory(error);
        *count += row->saves_count > 0 || row->keeps_afloat;
    }
    qsort(rows, *count, sizeof *rows, most_first);
    return COAMING_OK;
}

/* Links by which a place that is told is first reached, and that shutting does not stop. */
static bool list_cannot(const ways *w, coaming_casualty_answer *a)
{
    bool *on_way = memory_new(w->ship->link_count, sizeof *on_way);
    int *cannot = arena_new(w->memory, w->ship->link_count, sizeof *cannot);
    for (size_t i = 0; on_way && i < a->reached_count; i++)
        for (size_t k = 0; k < a->reached[i].by_count; k++)
            on_way[a->reached[i].by[k]] = true;
    for (size_t i = 0; on_way && cannot && i < w->ship->link_count; i++)
        if (on_way[i] && !can_help(w, (int)i))
            cannot[a->cannot_count++] = (int)i;
    memory_free(on_way);
    a->cannot = cannot;
    return on_way && cannot;
}

coaming_status ways_shut(ways *w, coaming_measure measure, coaming_casualty_answer *a,
                         coaming_error *error)
{
    coaming_shutting *rows = arena_new(w->memory, w->ship->closure_count, sizeof *rows);
    bool *without = memory_new(w->ship->space_count, sizeof *without);
    coaming_status status = rows && without && list_cannot(w, a)
                                ? list_shut(w, measure, rows, without, &a->shut_now_count, error)
                                : error_memory(error);
    memory_free(without);
    a->shut_now = rows;
    return status;
}
