/*
 * analyse/flotation/course.h - how flooding came about, turn by turn, and what hangs at one link.
 *
 * In each turn water spreads with the ship at one plane from all that was flooded before, the
 * outside and the sources, over links that pass and are under. A link that holds instead changes
 * that turn only if it is a bridge: if what lies beyond is reached over no other link. All turns
 * before are as they were, and if it changes none of them so is the end. So what a closure changes
 * by holding is told by one depth-first search of each turn (R. Tarjan, A note on finding the
 * bridges of a graph, Information Processing Letters 2(6), 1974, 160-161), in which what hangs at a
 * bridge stands in one run.
 */
#ifndef ANALYSE_FLOTATION_COURSE_H
#define ANALYSE_FLOTATION_COURSE_H

#include "analyse/flotation/flooding.h"

typedef struct {
    size_t before;    /* spaces that were flooded before it */
    coaming_float at; /* where she lies in it */
} course_turn;

typedef struct {
    settled end;
    const course_turn *turns; /* those in which something was flooded */
    size_t turn_count;
    int *order;   /* the spaces turn by turn, each turn depth first; in the first, what comes from
                   * the outside stands before what comes from a source */
    int *entered; /* by place in the order: the link it was entered by, -1 a source */
    int *below; /* by place: if that link is a bridge how many hang at it, itself counted; else 0 */
    int *spaces; /* ascending */
    int *places; /* of these in the order */
} course;

/* What hangs at a link in a turn: places from first to last (not counted) in the order. */
typedef struct {
    size_t turn, first, last;
} course_hanging;

/* Room for the search, which a settler keeps. */
typedef struct {
    int *number;      /* by space: place in the order, or as in course.c */
    int *low, *stack; /* by place: least number reached; the way down */
    int *next;        /* by place: incidence to look at next */
} course_room;
bool course_room_make(course_room *r, arena *memory, size_t spaces);

/* Copies what was flooded, `end` by `turns`, and looks for bridges, all in the arena's memory. False
 * when out of it. w: as the course was, with nothing forced. */
bool course_make(course *c, arena *memory, course_room *room, const flood_plan *p,
                 const flood_world *w, const settled *end, const course_turn *turns, size_t count);

/* Spaces that are flooded by the end of a turn. */
size_t course_turn_end(const course *c, size_t turn);
/* Place in the order, -1: not flooded. */
int course_place(const course *c, coaming_place space);
/* Does anything hang at the link? */
bool course_hangs(const course *c, const coaming_ship *ship, int link, course_hanging *h);

#endif
