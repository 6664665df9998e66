#include "ship/opening.h"

#include "coaming/flood.h"

void opening_place(const coaming_ship *ship, const opening *o, double at[3])
{
    at[0] = o->given ? o->x : ship->length / 2;
    at[1] = o->given ? o->y : 0;
    at[2] = o->z;
}

opening_size opening_size_of(const ship_link *l)
{
    static const opening_size usual[] = {
#define USUAL(kind, width, height) {width, height, true},
        COAMING_FLOOD_OPENINGS(USUAL)
#undef USUAL
    };
    _Static_assert(sizeof usual / sizeof *usual == KIND_COUNT, "a size for each kind of link");
    if (l->clear.given && l->clear.width > 0 && l->clear.height > 0)
        return (opening_size){l->clear.width, l->clear.height, false};
    return usual[l->kind];
}
