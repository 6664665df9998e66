#include "world.h"

/* Of a space, or of the outside; -1: the hazard cannot be there. */
static int place_of(const world *w, const coaming_hold_answer *answer, coaming_place place)
{
    bool water = answer->hazard == COAMING_WATER;
    if (place < 0)
        return water || answer->source == COAMING_WEATHER ? (int)w->ship->space_count : -1;
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
    int source = place_of(&w, answer, answer->source);
    w.sources = (source >= 0 ? 1u << source : 0) | (water ? 1u << ship->space_count : 0);
    w.spaces = (1u << ship->space_count) - 1;
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

unsigned spaces_of(const int *list, size_t count)
{
    unsigned set = 0;
    for (size_t i = 0; i < count; i++)
        set |= 1u << list[i];
    return set;
}
