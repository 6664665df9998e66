/* ship/access.h - from where can somebody get at a closure? */
#ifndef SHIP_ACCESS_H
#define SHIP_ACCESS_H

#include "ship/ship.h"

/*
 * Does the weather side of a link lie over the ship's side, where there is no deck to stand on? An
 * opening that stands upright does if half a metre outside it one is outside the hull: past its
 * side at that height, or at the deck edge where it is higher up, or past an end. An opening that
 * lies in a deck does not, nor one without <clear>, unless it is a sidescuttle. False for links
 * that do not lead from a space to the weather.
 */
bool link_overboard(const coaming_ship *ship, const ship_link *l);

/* Is it tested and worked from this side, as the arrangement has it? */
bool link_worked_from(const ship_link *l, coaming_place side);

/* The same, and can somebody stand there: where people walk, or on a deck? */
bool link_workable(const coaming_ship *ship, const ship_link *l, coaming_place side);

/* Can it be shut from elsewhere than beside it with these places lost, each a space or an outside? Not
 * if its power comes from one of them, or it is controlled from there. */
bool link_remote_without(const ship_link *l, const coaming_place *lost, size_t count);

/* From which of its sides to work it: the wanted one, unless it can be worked from the other alone, or
 * that one is an enclosed space and the other is not: nobody is sent into a tank to shut its manhole
 * behind him. Where it can be worked from neither: the wanted one. */
coaming_place link_side(const coaming_ship *ship, const ship_link *l, coaming_place wanted);

/* Where to stand to keep `clean` so: as link_side, but of what is worked from one side alone: `clean`. */
coaming_place link_stand(const coaming_ship *ship, const ship_link *l, coaming_place clean);

/* Is it to be got at from no deck and no space where people walk, but from outside the shell? Then
 * `side` is from where, the weather or the sea. */
bool link_from_outside(const coaming_ship *ship, const ship_link *l, coaming_place *side);

#endif
