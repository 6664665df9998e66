/*
 * ship/geometry.h - areas, volumes and distances of boxes and prisms.
 *
 * Areas by the shoelace formula. The overlap of two outlines is exact for any simple polygons: each
 * is written as a signed sum of triangles from its first corner, and triangles are cut by the
 * half-planes of each other (Sutherland and Hodgman, Communications of the ACM 17(1), 1974).
 */
#ifndef SHIP_GEOMETRY_H
#define SHIP_GEOMETRY_H

#include "ship/ship.h"

/* Signed area, positive when the corners run anticlockwise seen from above. */
double outline_area(const double *xy, size_t corners);

/* No two sides touch but neighbours at their common corner. Cost: corners squared. */
bool outline_simple(const double *xy, size_t corners);

/* Area common to two simple outlines. */
double outline_overlap(const double *a, size_t a_corners, const double *b, size_t b_corners);

/* Fills extents and area from outline, corners, z0 and z1. */
void solid_measure(solid *s);

/* Volume common to two solids, m3. */
double solid_overlap(const solid *a, const solid *b);

/* Horizontal distance from a point to the outline, 0 inside. */
double solid_distance(const solid *s, double x, double y);

/* Fills bottom, top and volume of a space from its solids and permeability. */
void space_measure(ship_space *s);

/* Permeable volume below a level plane, m3. */
double space_volume_below(const ship_space *s, double level);

#endif
