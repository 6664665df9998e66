#include "analyse/flotation/course.h"

#include <stdlib.h>
#include <string.h>

#include "base/order.h"

/* Numbers of spaces that have no place in the order yet. */
enum {
    ROOT = -1,   /* water is there before anything spreads: counts as one with the outside */
    UNSEEN = -2, /* flooded in the turn at hand */
    DRY = -3
};

bool course_room_make(course_room *r, arena *memory, size_t spaces)
{
    r->number = arena_new(memory, spaces, sizeof *r->number);
    r->low = arena_new(memory, spaces, sizeof *r->low);
    r->stack = arena_new(memory, spaces, sizeof *r->stack);
    r->next = arena_new(memory, spaces, sizeof *r->next);
    if (!r->number || !r->low || !r->stack || !r->next)
        return false;
    for (size_t s = 0; s < spaces; s++)
        r->number[s] = DRY;
    return true;
}

/* The search of one turn. */
typedef struct {
    course *c;
    course_room *room;
    const flood_plan *plan;
    const flood_world *world;
    const coaming_float *at;
    int count; /* spaces that have a place */
} search;

static bool open_in(const search *s, int l)
{
    return flood_passes(s->plan, s->world, l) && flood_link_wet(s->plan, s->at, l);
}

static void enter(search *s, int space, int by)
{
    int place = s->count++;
    s->c->order[place] = space;
    s->c->entered[place] = by;
    s->room->low[place] = place;
    s->room->next[place] = s->plan->ship->first[space];
    s->room->number[space] = by < 0 ? ROOT : place;
}

static void leave(search *s, int place, int parent)
{
    int *low = s->room->low;
    bool bridge = s->c->entered[place] >= 0 && low[place] == place;
    s->c->below[place] = bridge ? s->count - place : 0;
    if (parent >= 0 && low[place] < low[parent])
        low[parent] = low[place];
}

/* Depth first from a space that is entered over a link, or is a source. */
static void go_down(search *s, int space, int by)
{
    course_room *r = s->room;
    const coaming_ship *ship = s->plan->ship;
    int depth = 0;
    r->stack[depth++] = s->count;
    enter(s, space, by);
    while (depth) {
        int place = r->stack[depth - 1], here = s->c->order[place];
        if (r->next[place] == ship->first[here + 1]) {
            depth--;
            leave(s, place, depth ? r->stack[depth - 1] : -1);
            continue;
        }
        int l = ship->incident[r->next[place]++];
        const flood_link *link = &s->plan->links[l];
        coaming_place to = link->a == here ? link->b : link->a;
        int number = to < 0 ? ROOT : r->number[to];
        if (l == s->c->entered[place] || number == DRY || !open_in(s, l))
            continue;
        if (number == UNSEEN) {
            r->stack[depth++] = s->count;
            enter(s, to, l);
        } else if (number < r->low[place]) {
            r->low[place] = number;
        }
    }
}

static void try_down(search *s, int l, coaming_place to)
{
    if (to >= 0 && s->room->number[to] == UNSEEN && open_in(s, l))
        go_down(s, to, l);
}

/* Spaces of the course from `before` to `after` are of the turn. */
static void search_turn(search *s, size_t before, size_t after)
{
    const settled *end = &s->c->end;
    const coaming_ship *ship = s->plan->ship;
    for (size_t i = 0; i < after; i++)
        s->room->number[end->spaces[i]] = i < before || end->by[i] < 0 ? ROOT : UNSEEN;
    for (size_t i = 0; i < s->plan->outside_count; i++) {
        const flood_link *l = &s->plan->links[s->plan->outside[i]];
        try_down(s, s->plan->outside[i], l->a < 0 ? l->b : l->a);
    }
    for (size_t i = 0; i < before; i++) {
        int from = end->spaces[i];
        for (int j = ship->first[from]; j < ship->first[from + 1]; j++) {
            const flood_link *l = &s->plan->links[ship->incident[j]];
            try_down(s, ship->incident[j], l->a == from ? l->b : l->a);
        }
    }
    for (size_t i = before; i < after; i++)
        if (end->by[i] < 0)
            go_down(s, end->spaces[i], -1);
}

size_t course_turn_end(const course *c, size_t turn)
{
    return turn + 1 < c->turn_count ? c->turns[turn + 1].before : c->end.count;
}

/* Places by space, to look them up. */
static void list_places(course *c, const int *number_of)
{
    size_t count = c->end.count;
    memcpy(c->spaces, c->order, count * sizeof *c->spaces);
    qsort(c->spaces, count, sizeof *c->spaces, order_ints);
    for (size_t i = 0; i < count; i++)
        c->places[i] = number_of[c->spaces[i]];
}

static void find_bridges(course *c, course_room *room, const flood_plan *p, const flood_world *w)
{
    search s = {c, room, p, w, NULL, 0};
    for (size_t turn = 0; turn < c->turn_count; turn++) {
        s.at = &c->turns[turn].at;
        search_turn(&s, c->turns[turn].before, course_turn_end(c, turn));
    }
    for (size_t i = 0; i < c->end.count; i++)
        room->number[c->order[i]] = (int)i;
    list_places(c, room->number);
    for (size_t i = 0; i < c->end.count; i++)
        room->number[c->order[i]] = DRY;
}

static int *copy_ints(arena *memory, const int *from, size_t count)
{
    int *to = arena_new(memory, count, sizeof *to);
    if (to && from && count)
        memcpy(to, from, count * sizeof *to);
    return to;
}

bool course_make(course *c, arena *memory, course_room *room, const flood_plan *p,
                 const flood_world *w, const settled *end, const course_turn *turns, size_t count)
{
    size_t n = end->count;
    course_turn *kept = arena_new(memory, count, sizeof *kept);
    *c = (course){.end = *end, .turns = kept, .turn_count = count};
    c->end.spaces = copy_ints(memory, end->spaces, n);
    c->end.by = copy_ints(memory, end->by, n);
    int **made[] = {&c->order, &c->entered, &c->below, &c->spaces, &c->places};
    bool good = kept && c->end.spaces && c->end.by;
    for (size_t i = 0; good && i < sizeof made / sizeof *made; i++) {
        *made[i] = copy_ints(memory, NULL, n);
        good = *made[i] != NULL;
    }
    if (!good)
        return false;
    if (count)
        memcpy(kept, turns, count * sizeof *kept);
    find_bridges(c, room, p, w);
    return true;
}

int course_place(const course *c, coaming_place space)
{
    size_t count = c->end.count;
    const int *found =
        count ? bsearch(&space, c->spaces, count, sizeof *c->spaces, order_ints) : NULL;
    return found ? c->places[found - c->spaces] : -1;
}

bool course_hangs(const course *c, const coaming_ship *ship, int link, course_hanging *h)
{
    const int ends[] = {ship->links[link].a, ship->links[link].b};
    for (int i = 0; i < 2; i++) {
        int place = ends[i] < 0 ? -1 : course_place(c, ends[i]);
        if (place < 0 || c->entered[place] != link || !c->below[place])
            continue;
        *h = (course_hanging){0, (size_t)place, (size_t)(place + c->below[place])};
        while (course_turn_end(c, h->turn) <= h->first)
            h->turn++;
        return true;
    }
    return false;
}
