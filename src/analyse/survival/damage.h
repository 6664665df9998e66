/*
 * analyse/survival/damage.h - how likely damage to the side is where, how deep and how high.
 *
 * Method: SOLAS II-1, regulations 6, 7 and 7-1, text of MSC.216(82), read as French national law
 * (Division 221, articles 221-II-1/06 to 07-1). Length, depth and height of damage have densities;
 * p, r and v are what these give for damage that keeps within limits:
 *
 *   length J (a share of the ship's)  density b11 J + b12 up to Jk, b21 J + b22 from there to Jm
 *   place                             evenly over where it lies within the ship; with half of that
 *                                     density by how much of it lies within, where it is over an end
 *   depth b (m from the shell)        at most 15 B J; P(depth <= b) below that is C(b)
 *   height H (m)                      P(<= H) is v(H) by how far H lies above the water
 *
 * The regulation gives only the integrals; that they come from these densities is what the tests
 * show. Lengths along her are shares of hers, measured from her after end.
 */
#ifndef ANALYSE_SURVIVAL_DAMAGE_H
#define ANALYSE_SURVIVAL_DAMAGE_H

#include <stdbool.h>
#include <stddef.h>

typedef struct {
    double jm, jk; /* greatest length; where the density bends */
    double b11, b12, b21, b22;
} damage_law;

/* Of a ship of this length, m. */
damage_law damage_law_of(double length);

/* From one place along her to another: 0 is her after end, 1 her forward one. */
typedef struct {
    double from, to;
} stretch;

/* The factor p: damage keeps within the stretch, however deep. */
double damage_p(const damage_law *law, stretch within);

/* The factor r: of such damage the share that reaches no deeper than `depth`, both in breadths of
 * the ship. All of it at half the breadth, or more. */
double damage_r(const damage_law *law, stretch within, double depth);

/* Damage that lies in each of the zones first to last, and in no other, and reaches no deeper.
 * Zone i is from ends[i] to ends[i + 1]. */
double damage_of_group(const damage_law *law, const double *ends, size_t first, size_t last,
                       double depth);

/* Can damage reach from zone first to zone last at all? */
bool damage_spans(const damage_law *law, const double *ends, size_t first, size_t last);

/* The factor v: damage reaches no higher than this above the water, m. */
double damage_v(double above);

/* The index that regulation 6 asks of a cargo ship (NaN under 80 m), and of a passenger ship for
 * so many persons, crew included, all of them with places in lifeboats. */
double damage_required_cargo(double length);
double damage_required_passenger(double length, double persons);

#endif
