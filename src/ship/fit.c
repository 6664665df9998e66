#include "ship/fit.h"

#include <math.h>

#include "ship/geometry.h"

static double outside_at(const hull_shape *hull, const solid *s, double x, double y)
{
    if (s->z0 >= hull_top(hull, x))
        return 0;
    double out = fmax(0, fmax(hull->x0 - x, x - hull->x1));
    out = fmax(out, hull->keel - s->z0);
    return fmax(out, fabs(y) - hull->greatest);
}

double solid_outside(const hull_shape *hull, const solid *s)
{
    double most = 0;
    for (size_t i = 0; i < s->corners; i++)
        most = fmax(most, outside_at(hull, s, s->outline[2 * i], s->outline[2 * i + 1]));
    return most;
}

double hull_distance(const hull_shape *hull, double x, double y, double z)
{
    double past = fmax(hull->x0 - x, x - hull->x1), at = fmin(fmax(x, hull->x0), hull->x1);
    double height = fmin(fmax(z, hull_keel(hull, at)), hull_top(hull, at));
    double aside = fabs(y) - hull_breadth(hull, at, height);
    return past > 0 ? fmax(past, aside) : aside;
}

/* What two solids share: a convex piece of one cut by the faces of a convex piece of the other. */

typedef struct {
    const hull_shape *hull;
    hull_room *room;
    const solid *other;
    const convex *own;    /* piece of the first */
    convex piece, common; /* of the second; of both */
    double volume;
    bool inside_only;
} sharing;

static bool add_common(void *data, const convex *part)
{
    ((sharing *)data)->volume += convex_volume(part);
    return true;
}

/* The plane of a side of a prism whose corners are its first, the z of whose faces are level. */
static half_space plane_of_face(const convex *c, size_t face)
{
    const int *corner = c->face + c->start[face];
    const double *a = c->xyz + 3 * corner[0], *b = c->xyz + 3 * corner[1];
    if (face < 2)
        return (half_space){{0, 0, face ? 1 : -1}, face ? a[2] : -a[2]};
    double dx = b[0] - a[0], dy = b[1] - a[1], size = hypot(dx, dy);
    return (half_space){{dy / size, -dx / size, 0}, (dy * a[0] - dx * a[1]) / size};
}

static bool share_with(void *data, const convex *piece)
{
    sharing *s = data;
    convex_copy(&s->common, s->own);
    for (size_t f = 0; f < piece->faces && !s->common.lost; f++)
        if (convex_cut(&s->room->cut, &s->common, plane_of_face(piece, f)) == CUT_ALL_OFF)
            return !s->common.lost;
    hull_takes takes = {add_common, s->inside_only ? NULL : add_common, s};
    return !s->common.lost && hull_cut(s->hull, s->room, &s->common, takes) != HULL_NO_ROOM;
}

static bool share_piece(void *data, const convex *piece)
{
    sharing *s = data;
    s->own = piece;
    return solid_pieces(s->other, &s->piece, share_with, s);
}

static double share(sharing s, const solid *a)
{
    convex piece = {0};
    s.room->cut.tolerance = s.hull->tolerance;
    bool good = solid_pieces(a, &piece, share_piece, &s);
    convex_free(&piece);
    convex_free(&s.piece);
    convex_free(&s.common);
    return good ? s.volume : -1;
}

double solids_share(const coaming_ship *ship, hull_room *room, const solid *a, const solid *b)
{
    return share((sharing){.hull = ship->hull, .room = room, .other = b}, a);
}

double solids_share_inside(const coaming_ship *ship, hull_room *room, const solid *a,
                           const solid *b)
{
    return share((sharing){.hull = ship->hull, .room = room, .other = b, .inside_only = true}, a);
}

static double body_distance(const body *b, size_t first, size_t last, double x, double y)
{
    double least = INFINITY;
    for (size_t i = first; i < last; i++)
        for (size_t f = b->groups[i].first; f < b->groups[i].last; f++)
            least = fmin(least, outline_distance(b->points + 3 * b->start[f], 3,
                                                 b->start[f + 1] - b->start[f], x, y));
    return least;
}

double space_distance(const ship_space *s, double x, double y)
{
    double least = INFINITY;
    for (size_t i = 0; i < s->solid_count; i++) {
        const solid *from = &s->solids[i];
        const solid_part *p = &s->parts[i];
        if (p->whole) {
            least = fmin(least, outline_distance(from->outline, 2, from->corners, x, y));
            continue;
        }
        least = fmin(least, body_distance(s->inside, p->first[0], p->last[0], x, y));
        least = fmin(least, body_distance(s->above, p->first[1], p->last[1], x, y));
    }
    return least;
}
