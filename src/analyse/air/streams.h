/*
 * analyse/air/streams.h - what goes with the air from where to where while nothing changes.
 *
 * Unknowns: by agent that there is the share of each space, then of each agent the moles that have left
 * her less those that came in with the air. Shares go by a linear equation; what one space loses another
 * gains or the last unknowns do, in the Jacobian too, so that moles are kept to rounding.
 */
#ifndef AIR_STREAMS_H
#define AIR_STREAMS_H

#include "analyse/air/openings.h"
#include "ode/stiff.h"

/* Air that goes from one space to another. */
typedef struct {
    int from, to;   /* nodes; the last is the outside */
    double by_mass; /* 1/s: kg/s over the mass of air of `to`; to the outside: mol/s */
    int link;       /* -1: through the walls */
} air_stream;

typedef struct {
    const air_model *m;
    size_t spaces, agents;
    coaming_agent agent[COAMING_AGENTS]; /* those that there are at any time */
    double outside[COAMING_AGENTS];      /* share of the air outside, by place among them */
    double *given;                       /* by agent and space: share given off a second */
    air_stream *streams;                 /* by `from` */
    size_t stream_count;
    int *first;     /* by node: its first stream */
    double *loss;   /* by space, 1/s */
    double *blown;  /* by space: 1/s of fans */
    double *masses; /* mol of air, by space */
    int *start, *row;
    double *slopes; /* the Jacobian, which is constant */
} air_streams;

/* Of a model that is solved. False when out of memory. */
bool air_streams_make(air_streams *s, const air_model *m, arena *memory);

size_t air_unknowns(const air_streams *s);
size_t air_share_at(const air_streams *s, size_t agent, size_t space);
/* The place of an agent among those that there are; their number: it is none of them. */
size_t air_agent_place(const air_streams *s, coaming_agent agent);
/* The share of an agent in the air of a stream. */
double air_carried(const air_streams *s, size_t agent, const air_stream *m, const double *y);

/* What changes in time; borrows s. Tolerances are for the caller to say. */
stiff_problem air_streams_problem(air_streams *s);

/* mol of an agent that are in her, that have left her, and that her sources give off a second. */
double air_inside(const air_streams *s, size_t agent, const double *y);
double air_gone(const air_streams *s, size_t agent, const double *y);
double air_given(const air_streams *s, size_t agent);

#endif
