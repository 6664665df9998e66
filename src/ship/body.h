/*
 * ship/body.h - closed bodies of plane faces, cut by a plane exactly.
 *
 * A body is what a hull or a space encloses: polygons with their corners anticlockwise seen from
 * outside. The part below a plane is measured without sampling: each face is cut by the plane
 * (Sutherland and Hodgman, Communications of the ACM 17(1), 1974) and joined to a point in the
 * plane by tetrahedra, whose signed volumes add up (divergence theorem); the waterplane follows
 * from the cut edges alone (Green's theorem). Faces need not be convex.
 */
#ifndef SHIP_BODY_H
#define SHIP_BODY_H

#include "ship/ship.h"

/* Wet is where n.p < d. n is a unit vector, pointing up; e1 lies in the plane along the ship (the
 * projection of the x axis), e2 athwart to port; origin is a point in the plane. */
typedef struct {
    double n[3], d, e1[3], e2[3], origin[3];
} plane;

/* The plane of heel and trim (radians; heel positive to port, trim positive by the bow) whose
 * height above `near`, along n, is such that n.p = d. near: any point about amidships. */
plane plane_make(double heel, double trim, double d, const double near[3]);
/* Height of a point above the plane, m. */
double plane_height(const plane *p, double x, double y, double z);

/* Faces that lie together: where all of them are below a plane, or above it, they need not be
 * looked at one by one. The sums are those of the tetrahedra from the middle, fanned over the faces
 * (corners a, b, c from the middle): of det(a, b, c), of its products with a + b + c, of
 * a x b + b x c + c x a, and of the products of that with a + b + c. */
typedef struct {
    size_t first, last;            /* faces, last not counted */
    size_t first_vertex, vertices; /* of body.vertices, and how many; of body.all none */
    double middle[3], half[3];     /* the box that they lie in */
    double det, det_sum[3], normal[3], normal_sum[3][3];
} body_group;

typedef struct body {
    double *points;   /* x, y, z of each corner, face after face */
    size_t *start;    /* first corner of each face; faces + 1 of them */
    double *vertices; /* x, y, z of the places where corners are, each once, group after group */
    unsigned *vertex; /* of each corner: its place, among those of its group */
    size_t faces, largest; /* most corners of a face or vertices of a group */
    body_group *groups;
    size_t group_count;
    body_group all; /* every face; no reach without any */
} body;

/* What is below a plane. Moments about the ship's origin; waterplane about plane.origin along e1
 * (u) and e2 (v). */
typedef struct {
    double volume, moment[3];
    double area, au, av, auu, auv, avv;
} submerged;

/* Adds share x what of the body is below the plane: only groups that the plane meets are cut, the
 * others are counted by their sums. scratch: room for 6 x (largest + 8) numbers. */
void body_add(const body *b, const plane *p, double share, double *scratch, submerged *sum);

/* Bounds of n.p over the corners, at one look; the least and greatest themselves. */
void body_box_extent(const body *b, const double n[3], double *least, double *greatest);
void body_extent(const body *b, const double n[3], double *least, double *greatest);

double body_volume(const body *b);
/* Volume of groups first to last (not counted), each closed in itself, below a level plane. */
double body_below_level(const body *b, size_t first, size_t last, double level);

/* Making a body: corners, then the end of their face; faces, then the end of their group. A face of
 * fewer than three corners is dropped. Out of memory is told at the end. */
typedef struct {
    double *points;
    size_t corners, corner_room;
    size_t *ends; /* of each face: corners up to it */
    size_t faces, face_room;
    size_t *groups; /* of each group: faces up to it */
    size_t group_count, group_room;
    bool lost;
} body_maker;

void maker_corner(body_maker *m, double x, double y, double z);
void maker_end_face(body_maker *m);
void maker_end_group(body_maker *m);
/* A box or prism as it is given, as one group. */
void maker_solid(body_maker *m, const solid *s);
/* Takes back what was put in since; a mark is a copy of the maker. */
void maker_back_to(body_maker *m, const body_maker *mark);
/* Moves all into the body, with the arena's memory, and frees the maker. */
bool maker_finish(body_maker *m, body *b, arena *memory);

#endif
