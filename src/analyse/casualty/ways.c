/*
 * At a plane the graph of what passes is searched breadth first. At equilibrium she is settled as
 * float settles her, and the links that water went over are read off her turns: in each she lies at
 * one plane, and water goes over a link that is under in it if one of its sides has been flooded by
 * the end of it. So the search over these links reaches what she flooded, no more and no less.
 */
#include "analyse/casualty/ways.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "ship/state.h"

/* Can the hazard be there? The sources' own spaces have it, though it carries on only where wet. */
static bool has_place(const ways *w, coaming_place place)
{
    if (place < 0)
        return w->outside;
    return space_reached(&w->ship->spaces[place], w->hazard, w->level);
}

static bool passes(const ways *w, int link)
{
    return link_passes(&w->ship->links[link], w->query.condition, w->hazard, true, false);
}

/* At a plane: what could be gone over, wherever the hazard is. */
static void mark_open(ways *w)
{
    for (size_t i = 0; i < w->ship->link_count; i++) {
        const ship_link *l = &w->ship->links[i];
        w->over[i] = passes(w, (int)i) && link_reached(l, w->hazard, w->level) &&
                     has_place(w, l->a) && has_place(w, l->b);
    }
}

static void enter(const ways *w, int *order, coaming_place to, int hops, size_t *count)
{
    if (to < 0 || order[to] >= 0)
        return;
    order[to] = hops;
    w->queue[(*count)++] = to;
}

/* Breadth first over what is marked, but for one link (-1: none). order: by space, filled. */
static void search(const ways *w, int without, int *order)
{
    const coaming_ship *ship = w->ship;
    size_t count = 0, done = 0;
    for (size_t i = 0; i < ship->space_count; i++)
        order[i] = -1;
    for (size_t i = 0; i < w->space_count; i++)
        enter(w, order, w->spaces[i], 0, &count);
    for (size_t i = 0; w->outside && i < ship->link_count; i++) {
        const ship_link *l = &ship->links[i];
        if ((int)i != without && w->over[i] && (l->a < 0 || l->b < 0))
            enter(w, order, l->a < 0 ? l->b : l->a, 1, &count);
    }
    /* the outside's neighbours stand behind the sources, which are of the order before */
    while (done < count) {
        int from = w->queue[done++];
        for (int j = ship->first[from]; j < ship->first[from + 1]; j++) {
            int link = ship->incident[j];
            if (link != without && w->over[link])
                enter(w, order, link_other_side(&ship->links[link], from), order[from] + 1, &count);
        }
    }
}

/* --- at equilibrium --- */

/* Has the place been flooded by the end of a turn? at: by space its place in the settled list. */
static bool wet_by(const int *at, coaming_place place, size_t end)
{
    return place < 0 || (at[place] >= 0 && (size_t)at[place] < end);
}

/* Links that water goes over with the ship at one plane. */
static void mark_turn(ways *w, const int *at, const settled *s, size_t end)
{
    for (size_t i = 0; i < w->ship->link_count; i++) {
        const ship_link *l = &w->ship->links[i];
        if (!w->over[i] && (wet_by(at, l->a, end) || wet_by(at, l->b, end)) &&
            wet_by(at, l->a, s->afloat_count) && wet_by(at, l->b, s->afloat_count))
            w->over[i] = passes(w, (int)i) && settler_wet(w->boat, s, (int)i);
    }
}

static void mark_turns(ways *w, const int *at, const settled *s)
{
    size_t count = 0;
    const course_turn *turns = settler_turns(w->boat, &count);
    for (size_t i = 0; i <= count; i++) { /* the last: at rest */
        settled then = *s;
        then.at = i < count ? turns[i].at : s->at;
        if (then.at.afloat == COAMING_AFLOAT_YES)
            mark_turn(w, at, &then, i + 1 < count ? turns[i + 1].before : s->count);
    }
}

/* Links that water went over as she was settled last. */
static coaming_status mark_settled(ways *w, const settled *s, coaming_error *error)
{
    int *at = memory_new(w->ship->space_count, sizeof *at);
    if (!at)
        return error_memory(error);
    for (size_t i = 0; i < w->ship->space_count; i++)
        at[i] = -1;
    for (size_t i = 0; i < s->count; i++)
        at[s->spaces[i]] = (int)i;
    mark_turns(w, at, s);
    memory_free(at);
    return COAMING_OK;
}

static coaming_status settle(ways *w, coaming_error *error)
{
    const settled *s = NULL;
    coaming_status status =
        settler_named(w->boat, w->spaces, w->space_count, COAMING_AS_TESTED, true, &s, error);
    if (status != COAMING_OK)
        return status;
    w->lost = s->at.afloat != COAMING_AFLOAT_YES;
    return mark_settled(w, s, error);
}

coaming_status ways_find(ways *w, coaming_error *error)
{
    w->over = arena_new(w->memory, w->ship->link_count, sizeof *w->over);
    w->reached = arena_new(w->memory, w->ship->space_count, sizeof *w->reached);
    w->order = arena_new(w->memory, w->ship->space_count, sizeof *w->order);
    w->queue = arena_new(w->memory, w->ship->space_count, sizeof *w->queue);
    if (!w->over || !w->reached || !w->order || !w->queue)
        return error_memory(error);
    coaming_status status = COAMING_OK;
    if (w->boat)
        status = settle(w, error);
    else
        mark_open(w);
    if (status != COAMING_OK)
        return status;
    search(w, -1, w->order);
    for (size_t i = 0; i < w->ship->space_count; i++)
        w->reached[i] = w->order[i] >= 0;
    return COAMING_OK;
}

/* What can still be got to over the links that were gone over. */
static coaming_status search_without(const ways *w, int closure, bool *reached,
                                     coaming_error *error)
{
    int *order = memory_new(w->ship->space_count, sizeof *order);
    if (!order)
        return error_memory(error);
    search(w, closure, order);
    for (size_t i = 0; i < w->ship->space_count; i++)
        reached[i] = order[i] >= 0;
    memory_free(order);
    return COAMING_OK;
}

/* She is lost all the same, as she was settled last: what water goes over then can lead on as well. */
static coaming_status search_either(const ways *w, int closure, const settled *s, bool *reached,
                                    coaming_error *error)
{
    ways either = *w;
    either.over = memory_new(w->ship->link_count, sizeof *either.over);
    if (!either.over)
        return error_memory(error);
    memcpy(either.over, w->over, w->ship->link_count * sizeof *w->over);
    coaming_status status = mark_settled(&either, s, error);
    if (status == COAMING_OK)
        status = search_without(&either, closure, reached, error);
    memory_free(either.over);
    return status;
}

coaming_status ways_without(ways *w, int closure, bool *reached, bool *lost, coaming_error *error)
{
    const settled *s = NULL;
    *lost = false;
    if (!w->boat)
        return search_without(w, closure, reached, error);
    coaming_status status = settler_named_held(w->boat, w->spaces, w->space_count,
                                               COAMING_AS_TESTED, closure, &s, error);
    if (status != COAMING_OK)
        return status;
    *lost = s->at.afloat != COAMING_AFLOAT_YES;
    if (*lost)
        return search_either(w, closure, s, reached, error);
    memset(reached, 0, w->ship->space_count * sizeof *reached);
    for (size_t i = 0; i < s->afloat_count; i++)
        reached[s->spaces[i]] = true;
    return COAMING_OK;
}

/* --- what is reached --- */

/* For qsort, which hands nothing on: rows and links carry what they are sorted by. */
typedef struct {
    double sill;
    int link;
} sill;

static int lowest_first(const void *left, const void *right)
{
    const sill *a = left, *b = right;
    if (a->sill != b->sill)
        return a->sill < b->sill ? -1 : 1;
    return (a->link > b->link) - (a->link < b->link);
}

static int as_reached(const void *left, const void *right)
{
    const coaming_reached *a = left, *b = right;
    if (a->order != b->order)
        return a->order < b->order ? -1 : 1;
    if (a->sill < b->sill || a->sill > b->sill) /* of bad air they are NaN */
        return a->sill < b->sill ? -1 : 1;
    return (a->space > b->space) - (a->space < b->space);
}

static int order_of(const ways *w, coaming_place place)
{
    return place < 0 ? 0 : w->order[place];
}

/* The links by which a space is reached from places of the order before. sorted: room for all. */
static bool list_by(const ways *w, coaming_reached *row, sill *sorted)
{
    const coaming_ship *ship = w->ship;
    size_t count = 0;
    for (int j = ship->first[row->space]; row->order && j < ship->first[row->space + 1]; j++) {
        int link = ship->incident[j];
        const ship_link *l = &ship->links[link];
        coaming_place from = link_other_side(l, row->space);
        if (w->over[link] && order_of(w, from) == row->order - 1)
            sorted[count++] = (sill){w->hazard == COAMING_WATER ? l->clear.z : 0, link};
    }
    int *by = arena_new(w->memory, count, sizeof *by);
    if (!by)
        return false;
    qsort(sorted, count, sizeof *sorted, lowest_first);
    for (size_t i = 0; i < count; i++)
        by[i] = sorted[i].link;
    row->by = by;
    row->by_count = count;
    row->sill = count && w->hazard == COAMING_WATER ? sorted[0].sill : NAN;
    return true;
}

coaming_status ways_list(const ways *w, coaming_casualty_answer *a, coaming_error *error)
{
    const coaming_ship *ship = w->ship;
    bool *open = memory_new(ship->space_count, sizeof *open);
    sill *sorted = memory_new(ship->link_count, sizeof *sorted);
    coaming_reached *rows = arena_new(w->memory, ship->space_count, sizeof *rows);
    bool good = open && sorted && rows;
    if (good && w->hazard == COAMING_WATER)
        mark_open_by_design(ship, w->query.loading, open);
    for (size_t i = 0; good && i < ship->space_count; i++) {
        if (w->order[i] < 0 || (w->order[i] > 0 && open[i]))
            continue;
        coaming_reached *row = &rows[a->reached_count++];
        *row = (coaming_reached){.space = (int)i, .order = w->order[i], .sill = NAN};
        good = list_by(w, row, sorted);
    }
    memory_free(open);
    memory_free(sorted);
    if (!good)
        return error_memory(error);
    qsort(rows, a->reached_count, sizeof *rows, as_reached);
    a->reached = rows;
    return COAMING_OK;
}
