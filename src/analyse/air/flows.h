/*
 * analyse/air/flows.h - pressures and flows of air in a net of spaces, at rest in time.
 *
 * Each node has one temperature, so one density; the last of them is the still air outside. The pressure falls upwards as the weight of its own
 * air says. Pressures are told over those of the still air outside at the same height, at the baseline.
 * A link passes mass by the power law of its leak, with the density of the side that it comes from:
 * density x c (density / 1.2)^(n-1) |dp|^n, which is that of an orifice for n = 0.5, and of creeping
 * flow for n = 1. Below FLOW_CREEPS it goes in proportion to dp, as in a gap it would; so nothing is
 * infinitely steep. An opening that has a height passes both ways at once where dp changes its sign
 * over it: the law is integrated over the height, exactly.
 *
 * Mass balance: the sum of the potentials of all links less what is put in is convex, and its gradient
 * is what each space gains or loses. Newton with a search along each step by the slope alone; sparse.
 */
#ifndef AIR_FLOWS_H
#define AIR_FLOWS_H

#include <stdbool.h>
#include <stddef.h>

#include "coaming/air.h"

#define FLOW_CREEPS     1e-3 /* Pa */
#define AIR_REFERENCE   1.2  /* kg/m3 */
#define AIR_GRAVITY     9.80665
#define AIR_CONSTANT    287.05 /* J/(kg K) */
#define AIR_ATMOSPHERE  101325.0
#define AIR_KELVIN      273.15
#define FAN_FALLS_SHARE 0.05

/* kg/m3 of dry air at 1 atmosphere. */
double air_density(double celsius);

typedef struct {
    bool fixed;      /* its pressure is given */
    double pressure; /* Pa, at the baseline */
    double density;  /* kg/m3 */
    double supply;   /* kg/s put in */
    /* A fan: fan_flow kg/s up to fan_pressure at fan_height, and from there falling evenly to nothing
     * at (1 + FAN_FALLS_SHARE) of it. */
    double fan_flow, fan_pressure, fan_height;
    /* found */
    double blown; /* kg/s by the fan */
    bool sealed;  /* no way leads out of where it is: what is put in there is left out */
} air_node;

typedef struct {
    int a, b;
    coaming_leak leak;
    double low, high; /* heights of its edges, m; equal: it passes one way at a time */
    double push;      /* Pa that is added on the side of a: wind */
    /* found */
    double forth, back; /* kg/s from a to b, and from b to a; both 0 or more */
} air_link;

typedef struct {
    air_node *nodes;
    size_t node_count;
    air_link *links;
    size_t link_count;
    /* found */
    int turns;       /* of Newton */
    double residual; /* greatest kg/s by which a balance is off */
} air_net;

/* COAMING_MEMORY; COAMING_INTERNAL if it does not come to rest. Pressures that nodes have are where it
 * begins. */
coaming_status air_net_solve(air_net *net, coaming_error *error);

/* Pa by which the air at the side of a is over that at the side of b, at a height. */
double air_link_drop(const air_net *net, const air_link *link, double height);
/* Pa of a node over the still air outside at that height, whose density is given. */
double air_node_over(const air_node *node, double outside, double height);

#endif
