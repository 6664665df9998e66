#include "world.h"

#include <check.h>

#include "ship/state.h"

/* Of a space, or of the outside; -1: the hazard cannot be there. */
static int place_of(const world *w, const coaming_hold_answer *answer, coaming_place place)
{
    bool water = answer->hazard == COAMING_WATER;
    if (place < 0)
        return water || is_among(answer->sources, answer->source_count, COAMING_WEATHER)
                   ? (int)w->ship->space_count
                   : -1;
    return !water || w->ship->spaces[place].bottom < answer->level ? place : -1;
}

world world_of(const coaming_ship *ship, const coaming_hold_answer *answer)
{
    world w = {.ship = ship, .places = (int)ship->space_count + 1};
    bool water = answer->hazard == COAMING_WATER;
    for (size_t i = 0; i < ship->link_count; i++) {
        const ship_link *l = &ship->links[i];
        if (water ? l->clear.z >= answer->level : l->a == COAMING_SEA || l->b == COAMING_SEA)
            continue;
        int a = place_of(&w, answer, l->a), b = place_of(&w, answer, l->b);
        if (a >= 0 && b >= 0 && a != b)
            w.links[w.count++] = (world_link){.a = a, .b = b, .link = (int)i};
    }
    w.sources = water ? 1u << ship->space_count : 0;
    for (size_t i = 0; i < answer->source_count; i++) {
        coaming_place source = answer->sources[i];
        int place = place_of(&w, answer, source);
        w.sources |= place >= 0 ? 1u << place : 0;
        w.begins |= source >= 0 ? 1u << source : 0;
    }
    w.spaces = (1u << ship->space_count) - 1;
    if (water)
        w.wet = made_to_be_wet(ship) & ~w.begins;
    return w;
}

unsigned reach_of(const world *w, unsigned from, unsigned passing)
{
    for (unsigned before = 0; before != from;) {
        before = from;
        for (int i = 0; i < w->count; i++) {
            unsigned both = 1u << w->links[i].a | 1u << w->links[i].b;
            if (passing >> i & 1 && from & both)
                from |= both;
        }
    }
    return from;
}

static coaming_place random_source(const coaming_ship *ship, dice *d)
{
    return dice_below(d, 8) ? dice_below(d, (int)ship->space_count) : -1 - dice_below(d, 2);
}

size_t random_sources(const coaming_ship *ship, dice *d, coaming_place sources[WORLD_SOURCES])
{
    size_t count = dice_below(d, 2) ? 1 : 2 + (size_t)dice_below(d, WORLD_SOURCES - 1);
    for (size_t i = 0; i < count; i++)
        sources[i] = random_source(ship, d);
    return count;
}

coaming_ship *load_numbered(const char *text, int number)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    if (ship_from_text(text, NULL, NULL, &ship, &error) != COAMING_OK)
        ck_abort_msg("ship %d: %s", number, error.message);
    return ship;
}

unsigned spaces_of(const int *list, size_t count)
{
    unsigned set = 0;
    for (size_t i = 0; i < count; i++)
        set |= 1u << list[i];
    return set;
}
