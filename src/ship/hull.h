/*
 * ship/hull.h - the hull between its sections, and what of other bodies lies in it.
 *
 * Between two sections, and two heights next to each other of all that any section names, lies a
 * panel. Its four corners need not lie in one plane, and its two diagonals then give two surfaces;
 * neither is taken: the panel is four triangles round its middle point, the middle of both
 * diagonals. Seen from the side each of these cells is a triangle over which the half-breadth is
 * linear, so the hull over it is convex: the wedge |y| <= Y(x, z). A panel whose corners lie in one
 * plane is one cell. Without sections the hull is the box of the principal dimensions.
 */
#ifndef SHIP_HULL_H
#define SHIP_HULL_H

#include "ship/body.h"
#include "ship/convex.h"

typedef struct {
    double xz[4][2];    /* corners seen from starboard, anticlockwise (x to the right) */
    half_space side[4]; /* inside of each side, from its corner to the next */
    half_space port;    /* inside of the shell to port; to starboard with y turned round */
    int corners;
    double x0, x1, z0, z1;
} hull_cell;

typedef struct {
    hull_cell cells[4];
    int cell_count;
    half_space over_foot, under_head; /* between its lower and its upper line */
    double z0, z1, least;             /* extents; least half-breadth */
} hull_panel;

/* What lies between two sections. */
typedef struct {
    double x0, x1;
    double keel[2], top[2]; /* at the sections */
    half_space fore, aft;   /* of the sections */
    half_space over_keel, under_top;
    size_t first, count; /* panels, from the keel up */
} hull_bay;

typedef struct hull_shape {
    hull_bay *bays;
    size_t bay_count;
    hull_panel *panels;
    size_t panel_count;
    double x0, x1, greatest; /* ends; greatest half-breadth */
    double keel;             /* lowest */
    double volume;
    double tolerance; /* m: what is nearer than this is taken for the same place */
    body body;
} hull_shape;

/* Memory of the arena; NULL when out of memory. */
hull_shape *hull_make(arena *memory, const coaming_ship *ship);

/* Height of the hull's top (deck) and of its keel at a place along her length; past the ends those
 * of the ends. */
double hull_top(const hull_shape *hull, double x);
double hull_keel(const hull_shape *hull, double x);

/* Half-breadth at a place; 0 outside. Where it steps at a height, the greater. */
double hull_breadth(const hull_shape *hull, double x, double z);

/* Half-breadth of a hull section at a height, by straight lines; below and above its offsets those
 * of its ends. Where several offsets have the height, the last of them (above) or the first. */
double section_breadth(const hull_section *s, double z, bool above);

/* What is done with each part of a body that is cut by the hull. The part is closed and convex; it
 * may be changed. False: out of memory. */
typedef struct {
    bool (*inside)(void *data, const convex *part);
    bool (*above)(void *data, const convex *part); /* over the hull's top; NULL: not wanted */
    void *data;
} hull_takes;

typedef enum {
    HULL_HOLDS,  /* all of it inside: what was handed out makes up the whole */
    HULL_UNDER,  /* all of it above the hull, likewise */
    HULL_CUTS,   /* anything else */
    HULL_NO_ROOM /* out of memory */
} hull_verdict;

/* Room for cutting; made zeroed. */
typedef struct {
    cutter cut;
    convex bay, panel, cell, above;
} hull_room;
void hull_room_free(hull_room *room);

/*
 * Cuts a convex body by the hull: hands out what lies inside, in as few parts as the panels allow,
 * and what stands above its top. Above counts past the ends too, over the top of that end. What is
 * neither does not exist.
 */
hull_verdict hull_cut(const hull_shape *hull, hull_room *room, const convex *c, hull_takes takes);

#endif
