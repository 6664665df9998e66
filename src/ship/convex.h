/*
 * ship/convex.h - convex bodies cut by half-spaces, closed whatever the rounding.
 *
 * Each corner is judged once against a half-space: inside, outside, or on it within a tolerance.
 * All faces that share the corner go by that one judgement, and the new face is put together from
 * the edges that the kept faces leave open. So the result is closed by construction: of planes that
 * nearly or quite coincide one is taken, none twice, and no sliver is left open. (The faces are cut
 * as by Sutherland and Hodgman, Communications of the ACM 17(1), 1974.)
 */
#ifndef SHIP_CONVEX_H
#define SHIP_CONVEX_H

#include "ship/ship.h"

/* Kept is where n.p <= d; n of length 1. */
typedef struct {
    double n[3], d;
} half_space;

/* Corners, and faces by the numbers of their corners, anticlockwise seen from outside. Made zeroed;
 * its memory is kept from cut to cut. */
typedef struct {
    double *xyz;
    size_t corners, corner_room;
    int *face, *start; /* start[faces] is the end of the last */
    size_t uses, use_room, faces, start_room;
    bool lost; /* out of memory: holds nothing */
} convex;

/* Room that cuts need besides; made zeroed, one for any number of bodies. */
typedef struct {
    convex spare;
    signed char *side;
    int *number, *crossing, *open;
    size_t side_room, number_room, crossing_room, open_room;
    struct cut_edge {
        int from, to, next;
    } * edges;
    size_t edge_count, edge_room;
    double tolerance; /* m: nearer than this is on a plane */
} cutter;

void convex_free(convex *c);
void cutter_free(cutter *t);

/* A prism over a convex outline (anticlockwise if left), between two heights. */
void convex_prism(convex *c, const double *outline, size_t corners, bool left, double z0,
                  double z1);
void convex_copy(convex *to, const convex *from);

typedef enum { CUT_NOTHING_OFF, CUT_SOME_OFF, CUT_ALL_OFF } cut_effect;
/* Cuts off what lies beyond. CUT_ALL_OFF leaves the body empty: no faces. */
cut_effect convex_cut(cutter *t, convex *c, half_space h);

/* Greatest n.p - d over the corners. */
double convex_beyond(const convex *c, half_space h);
double convex_volume(const convex *c);

/*
 * Splits a simple outline (anticlockwise if left) into convex ones: ears are cut off (Meisters, American Mathematical
 * Monthly 82, 1975), then put together again while they stay convex (Hertel and Mehlhorn, 1983).
 * The pieces run anticlockwise, as numbers of corners: piece i is from start[i] to start[i + 1].
 * Returns how many; 0 when out of memory. Free both lists. Cost: corners squared.
 */
size_t outline_split(const double *xy, size_t corners, bool left, int **pieces, size_t **start);

#endif
