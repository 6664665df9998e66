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

typedef struct {
    double *points;        /* x, y, z of each corner, face after face */
    size_t *start;         /* first corner of each face; faces + 1 of them */
    size_t faces, largest; /* corners of the largest face */
} body;

/* What is below a plane. Moments about the ship's origin; waterplane about plane.origin along e1
 * (u) and e2 (v). */
typedef struct {
    double volume, moment[3];
    double area, au, av, auu, auv, avv;
} submerged;

/* Adds share x what of the body is below the plane. scratch: room for 6 x (largest + 8) numbers. */
void body_add(const body *b, const plane *p, double share, double *scratch, submerged *sum);

/* Least and greatest n.p over the corners. */
void body_extent(const body *b, const double n[3], double *least, double *greatest);

/* Makers; memory of the arena; false when out of memory. */
bool body_of_space(body *b, arena *memory, const ship_space *s);
/* The same, cut off level with the hull's top at the middle of each solid: what of a space is part
 * of the hull. */
bool body_of_space_in_hull(body *b, arena *memory, const coaming_ship *ship, const ship_space *s);
/* The hull from its sections, straight lines between them; without sections the box of the
 * principal dimensions. Sections are joined at all heights that any of them names. */
bool body_of_hull(body *b, arena *memory, const coaming_ship *ship);

/* The section abaft a place along her length (the first or last but one beyond the ends), and the
 * share of the way to the next. Only for hulls with sections. */
size_t hull_bay(const coaming_ship *ship, double x, double *share);

/* Height of the hull's top (deck) at a place along her length. */
double hull_top(const coaming_ship *ship, double x);

/* Half-breadth of a hull section at a height, by straight lines; below and above its offsets those
 * of its ends. Where several offsets have the height, the last of them (above) or the first. */
double section_breadth(const hull_section *s, double z, bool above);

#endif
