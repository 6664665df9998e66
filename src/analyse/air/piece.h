/*
 * analyse/air/piece.h - a piece of a step of the solver: what is taken up in it, and when what.
 *
 * The solver's own shares are polynomials of its step, of the fifth degree at most; six places of a piece
 * have them all, and give their integrals exactly by Lobatto's rule. What harm comes of them is integrated
 * so too, on each side of the places where something begins or ceases to count and the rate jumps; so no
 * such jump stands in the way of the solver.
 */
#ifndef AIR_PIECE_H
#define AIR_PIECE_H

#include "analyse/air/streams.h"

enum { PIECE_NODES = 6 };

typedef struct {
    const air_streams *s;
    bool harms;              /* is there anything that harms? */
    double from, length;     /* s */
    double *at[PIECE_NODES]; /* unknowns at each of its places */
} air_piece;

/* Where the places are, as shares of the piece. */
double piece_place(int node);

/* At a share x of the piece: what is in the air of a space, by agent. */
void piece_shares(const air_piece *p, size_t space, double x, double share[COAMING_AGENTS]);
/* Share x s from the beginning on; the agent by its place. */
double piece_dose(const air_piece *p, size_t agent, size_t space, double x);
/* Both fractional effective doses from the beginning on. */
void piece_harm(const air_piece *p, size_t space, double x, double harm[2]);
/* The most of an agent at the places of the piece. */
double piece_most(const air_piece *p, size_t agent, size_t space);

#endif
