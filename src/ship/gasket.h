/* ship/gasket.h - since when a closure has its gasket, as far as the records tell. */
#ifndef SHIP_GASKET_H
#define SHIP_GASKET_H

#include "ship/ship.h"

/* Of a kind the mean age of known gaskets counts from so many on. */
enum { GASKETS_KNOWN_LEAST = 3 };

/* Does a repair leave a new gasket? */
bool gasket_renewed_by(const ship_event *event);

/* The day of fitting given for a gasket that is in place on the as-of date; COAMING_NO_DATE: none is
 * given, or a later one, which is that of the gasket that comes after. */
coaming_date gasket_fitted(const coaming_ship *ship, const ship_link *closure);

/* The day from which the present gasket is: as given or by the latest renewal recorded;
 * COAMING_NO_DATE: not known. */
coaming_date gasket_since(const coaming_ship *ship, const ship_link *closure);

/* Fills ship->gaskets once all entries are there. */
void gaskets_count(coaming_ship *ship);

#endif
