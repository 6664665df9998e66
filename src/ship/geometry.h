/*
 * ship/geometry.h - areas, volumes and distances of boxes and prisms.
 *
 * Areas by the shoelace formula. The overlap of two outlines is exact for any simple polygons: it is
 * summed over the pairs of their sides that stand over each other, which one sweep finds (our own
 * working).
 */
#ifndef SHIP_GEOMETRY_H
#define SHIP_GEOMETRY_H

#include "ship/ship.h"

/* Signed area, positive when the corners run anticlockwise seen from above. */
double outline_area(const double *xy, size_t corners);

/* No two sides touch but neighbours at their common corner. Cost: corners squared. */
bool outline_simple(const double *xy, size_t corners);

/* Area common to two simple outlines; -1: out of memory. Cost: sorting the sides, and the pairs of
 * them that stand over each other along that axis along which these are fewer. */
double outline_overlap(const double *a, size_t a_corners, const double *b, size_t b_corners);

/* Fills extents and area from outline, corners, z0 and z1. */
void solid_measure(solid *s);

/* Volume common to two solids, m3; -1: out of memory. */
double solid_overlap(const solid *a, const solid *b);

/* Distance from a point to an outline whose corners stand so many numbers apart, 0 inside. */
double outline_distance(const double *xy, size_t apart, size_t corners, double x, double y);

#endif
