/*
 * analyse/flotation/flooding.h - water spreads over what passes and is under at one plane.
 *
 * What is asked of every link and space at every plane is laid out once: whether a link passes in
 * each answer, the point that it is wet by, and a box round each space, so that most spaces are told
 * to be wet or dry without a look at their corners. Nothing of it changes once it is made: threads
 * may share it.
 */
#ifndef ANALYSE_FLOTATION_FLOODING_H
#define ANALYSE_FLOTATION_FLOODING_H

#include "analyse/flotation/flotation.h"

/* Where water is once all has come to rest. */
typedef struct {
    int *spaces,
        *by; /* flooded spaces as they were reached; the link each was reached by, -1: source */
    size_t count;
    size_t afloat_count; /* of them, those that water had got to while she was still afloat */
    coaming_float at;
} settled;

/* The point of a link that is wet or not, and whether it passes water, by answer. */
typedef struct {
    double at[3];
    int a, b;
    bool passes[COAMING_ANSWERS];
} flood_link;

/* A link that passes in an answer, seen from a space at its end: what water asks on its way. */
typedef struct {
    double at[3];
    int link, to; /* to: a space */
} flood_way;

/* The box round a space, and its lowest corner. */
typedef struct {
    double middle[3], half[3], corner[3];
} flood_space;

typedef struct {
    const coaming_ship *ship;
    flood_link *links;
    flood_space *spaces;
    int *outside; /* links with an outside end */
    size_t outside_count;
    flood_way *ways[COAMING_ANSWERS]; /* from first_way[s] to first_way[s + 1] by space */
    int *first_way[COAMING_ANSWERS];
} flood_plan;

bool flood_plan_make(flood_plan *p, arena *memory, const coaming_ship *ship, int condition);

/* One state of all links. */
typedef struct {
    const coaming_place *source;
    size_t sources;
    coaming_answer answer;
    int forced; /* -1: none */
    bool forced_passes;
    const bool *decided; /* by link: passes, whatever its state; NULL: by the answer */
} flood_world;

bool flood_passes(const flood_plan *p, const flood_world *w, int link);
/* With the ship as she lies; all are wet if she is lost. */
bool flood_link_wet(const flood_plan *p, const coaming_float *at, int link);
bool flood_space_wet(const flood_plan *p, const coaming_float *at, int space);

/* Puts a space in, by the link that it was reached by. flooded: by space, in step with s->spaces. */
void flood_take(settled *s, bool *flooded, int space, int by);
/* Breadth first with the ship at s->at: from all that is flooded, the outside and the sources. */
void flood_spread(const flood_plan *p, const flood_world *w, settled *s, bool *flooded);
/* From the spaces that stand from `first` on, where all others lead no further. */
void flood_spread_from(const flood_plan *p, const flood_world *w, settled *s, bool *flooded,
                       size_t first);

#endif
