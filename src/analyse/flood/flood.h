/*
 * analyse/flood/flood.h - what the flood's own files share: openings, rooms, the model, its equations.
 *
 * Unknowns, in this order: the water in each room (m3), the height of the sea's plane over the middle
 * of the ship, heel, trim (m, radians), and what came in and went out in all (m3). Heights are along the
 * plane's normal, over amidships on the centre line (`middle`); so are all points here.
 */
#ifndef ANALYSE_FLOOD_FLOOD_H
#define ANALYSE_FLOOD_FLOOD_H

#include "analyse/flotation/flotation.h"
#include "coaming/flood.h"
#include "ode/stiff.h"

/* --- opening.c: what goes through --- */

/* Two heads over the lowest edge, m; negative: below it. */
typedef struct {
    double width, height; /* m; of one that lies flat the width is the way round it */
    double area;          /* m2, of one that lies flat */
    bool flat;
    bool under; /* flat, and in the bottom: the outside is under it, no weir round it */
} water_shape;

/* From a to b, over the coefficient x sqrt(2g): m2 sqrt(m), and its changes with the two heads. */
typedef struct {
    double flow, by_a, by_b;
} water_through;

/* The root of a head of 0 or more, rounded off below COAMING_FLOOD_SMOOTH. */
double water_root(double head, double *rate);
water_through water_flow(const water_shape *shape, double a, double b);

/* --- level.c: where the water of a space stands --- */

typedef struct {
    bool known; /* was it found before? then what follows is looked for near there */
    double volume;
    double low, high;         /* heights of its lowest and highest corner; dry: far below, and 0 */
    double height;            /* of the surface */
    double by_volume;         /* its change, 1/m2 */
    double surface[3];        /* the middle of it */
    double weight, moment[3]; /* that the ship bears, m3 */
    double uu, uv, vv; /* second moments of the surface about its middle, of the permeable part */
} water_level;

/* Of the surface over the lowest corner, m; of a full space with the head that it bears. */
static inline double water_depth(const water_level *at)
{
    return at->height - at->low;
}

/* attitude: a plane through `middle`; sea: the height of the sea's. scratch: as of body_add. */
typedef struct {
    const double *middle;
    const plane *attitude;
    double sea;
    double *scratch;
} water_lie;

void water_find_level(const ship_space *s, double volume, const water_lie *lie, water_level *at);

/* --- model.c: what there is --- */

/* What is no room: the sea; a space that water never comes to. */
enum { OUTSIDE = -1, NOWHERE = -2 };

typedef enum { WAY_HOLDS, WAY_LEAKS, WAY_OPEN } way_state;

typedef struct {
    int link;     /* -1: a breach */
    int a, b;     /* rooms, OUTSIDE or, of one that always holds, NOWHERE */
    double at[3]; /* the middle of its lowest edge */
    water_shape open, gap;
    bool shut;           /* is it? then it holds, or leaks if it is not sound */
    bool unsound;        /* leaks when shut */
    bool guessed;        /* its gap is by no print */
    bool broken;         /* it gave way, or was never one that holds */
    way_state state;     /* of these */
    double collapse;     /* head, m; negative: none */
    bool way_out;        /* a door that people go out by */
    double floor[2];     /* at a door on a way out, over `at`, m: floor of the room at a and at b */
    bool passed;         /* water went through */
    bool from_elsewhere; /* can it be shut so? */
    int hangs[2];        /* rooms: of the power and the control for that; -1 */
    /* at work */
    double head[2];
    water_through through; /* m3/s, with the coefficient */
    double by_dregs; /* change of the flow with the volume of a room that has all but run out */
} water_way;

typedef struct {
    int space;
    bool reached;   /* is there water in it, in the state at work? */
    double start;   /* m3 at the start */
    double heavy;   /* weight of a m3 as of sea */
    bool untouched; /* a tank of other liquid, that no sea came to */
    bool by_design; /* open to the sea undamaged */
    double inflow;  /* m3/s from elsewhere */
    double wet;     /* s; NaN: not yet */
    water_level level;
    double pumped, out; /* at work: what pumps take, m3/s, and its change with the volume, 1/s */
} water_room;

typedef struct {
    const int *serves; /* rooms */
    size_t count;
    double capacity; /* m3/s */
    int number;      /* of the ship's */
    int hangs[3];    /* rooms: where it stands, of its power, of its control; -1 */
    bool on, drowned;
} water_pump;

typedef struct {
    const coaming_ship *ship;
    const coaming_flood_ask *ask;
    coaming_flotation *f;
    arena memory;
    laden left;   /* the ship without what is in the rooms */
    bool *taken;  /* by space: it is a room */
    int *room_of; /* by space; -1 */
    water_room *rooms;
    water_way *ways;
    water_pump *pumps;
    coaming_flood_change *changes; /* by time */
    size_t room_count, way_count, pump_count, change_count;
    double scale[3];     /* of height, heel and trim: roots of the intact waterplane's moments */
    coaming_float begin; /* how she lies at the start */
    const bool *leaks;   /* by closure: drawn to be unsound; NULL: as they stand */
    double loose;        /* times the tolerance, where it cannot be kept */
    /* at work */
    double *at; /* unknowns of the state at work */
    bool known;
    size_t
        *live; /* ways that water stands at on some side; what goes through the others is nothing */
    size_t live_count;
    bool live_known;
    plane sea;
    double weight, dry; /* m3: of her with the water; of the hull above the sea */
    double pull[3];     /* of height, heel and trim: what is to be 0 */
    double bend[3][3];  /* its changes with them */
    double back[3][3];  /* takes a pull to how fast they change */
    double least; /* the least principal value of bend, of the intact ship's; negative: unstable */
    double way_down[3]; /* its direction */
    int *start, *row;   /* its pattern */
} water_model;

coaming_status water_model_make(water_model *m, const coaming_ship *ship,
                                const coaming_flood_ask *ask, const bool *leaks,
                                coaming_error *error);
void water_model_free(water_model *m);
size_t water_unknowns(const water_model *m);
/* Is there water on that side of a way? */
bool water_on(const water_model *m, int side);
/* Of permeability 0, say: nothing goes in, so nothing goes through. */
bool water_holds_nothing(const water_model *m, int side);
void water_begin(const water_model *m, double *y);
/* What a change does to the model. */
void water_way_settle(water_way *w);
/* The way through a link; NULL: water never comes to it. */
water_way *water_way_of(const water_model *m, int link);
bool water_apply(water_model *m, const coaming_flood_change *change);

/* --- afloat.c: how she lies --- */

/* The pull on her plane and the way back, of the levels at work. */
void water_attitude(water_model *m);
/* So far unstable that she does not stay, even where nothing pulls: rises through 0. */
double water_topples(const water_model *m);
/* Moves her a little the way down, of the state at work. */
void water_topple(const water_model *m, double *y);

/* --- events.c: what is looked for --- */

/* Can somebody stand beside it, on a side from which it is worked? Of the state at work. */
bool water_can_stand(const water_model *m, const water_way *w);

/* Besides the events that are told: she does not stay as she lies. As often as it happens, but not while
 * she is still coming down from the last time: over a film of water, or where two bodies of it meet, she
 * may come back at once, and again and again. */
#define WATCH_TOPPLES COAMING_FLOOD_EVENTS

typedef struct {
    coaming_flood_event_kind kind;
    int which, side; /* way, room or pump by kind; of a way the side: 0 a, 1 b, -1 any */
    bool done;
} water_watch;

typedef struct {
    double at, until; /* s: when she was moved last, and from when on it is looked at again */
} water_toppling;

typedef struct {
    water_model *m;
    water_watch *watches;
    size_t count;
    water_toppling toppling;
} water_watching;

/* She is moved at t. */
void water_toppled(water_toppling *toppling, double t);

bool water_watch_make(water_watching *w, water_model *m);
double water_watch_value(const water_watching *all, const water_watch *w);
/* Of a stiff_problem. */
void water_watch_look(void *data, double t, const double *y, double *values);

/* --- rates.c: the equations --- */

/* Works the state out, if it is not the one at work. False: too far over. */
bool water_look_at(water_model *m, const double *y);
/* data: a water_watching */
bool water_rates(void *data, double t, const double *y, double *rates);
void water_allow(void *data, const double *y, double *off);
bool water_pattern(water_model *m);
bool water_jacobian(void *data, double t, const double *y, double *values);

/* --- graded.c: how good the position is at a moment --- */

/* Of the state at work, with what stands at the sea's level and is open to it as lost buoyancy, all
 * other water as weight that moves. all: the curve of arms too. Openings that are under and through
 * which water goes on are part of the state, not held against her. Lost: *at says how. */
coaming_status water_grade(water_model *m, bool all, coaming_float *at,
                           coaming_stability *stability, coaming_error *error);

#endif
