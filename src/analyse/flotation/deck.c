/* The edge of the deck to which freeboard is measured: the bulkhead deck where the ship names one,
 * else the top of the hull. */
#include <math.h>

#include "analyse/flotation/flotation.h"

/* Heights of its port and starboard corner above the water, at the hull's section `index`, or at
 * the ends of the box. */
static void corners(const coaming_ship *ship, const plane *p, size_t index, double height[2])
{
    double x = index ? ship->length : 0, y = ship->beam / 2, z = ship->depth;
    double most = ship->bulkhead_deck >= 0 ? ship->decks[ship->bulkhead_deck].z : INFINITY;
    if (ship->section_count) {
        const hull_section *s = &ship->sections[index];
        x = s->x;
        z = fmin(s->offsets[2 * s->offset_count - 2], most);
        y = section_breadth(s, z, true);
    }
    z = fmin(z, most);
    height[0] = plane_height(p, x, y, z);
    height[1] = plane_height(p, x, -y, z);
}

static size_t places(const coaming_ship *ship)
{
    return ship->section_count ? ship->section_count : 2;
}

double deck_freeboard(const coaming_ship *ship, const plane *p)
{
    double least = INFINITY, height[2];
    for (size_t i = 0; i < places(ship); i++) {
        corners(ship, p, i, height);
        least = fmin(least, fmin(height[0], height[1]));
    }
    return least;
}

bool deck_crossed(const coaming_ship *ship, const plane *p)
{
    double height[2];
    for (size_t i = 0; i < places(ship); i++) {
        corners(ship, p, i, height);
        if (fmax(height[0], height[1]) < 0)
            return true;
    }
    return false;
}
