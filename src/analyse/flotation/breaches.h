/* analyse/flotation/breaches.h - every breach, by a number of threads that is given. */
#ifndef ANALYSE_FLOTATION_BREACHES_H
#define ANALYSE_FLOTATION_BREACHES_H

#include "coaming/breaches.h"

/* As coaming_breaches_new, or coaming_breaches_afloat_new without arms. threads: at most
 * TOGETHER_MOST, 0 as many as there are processors; of no account to what comes out. */
coaming_status breaches_by(const coaming_ship *ship, coaming_query query, bool arms,
                           unsigned threads, coaming_breaches **breaches, coaming_error *error);

#endif
