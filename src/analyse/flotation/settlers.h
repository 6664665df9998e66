/*
 * analyse/flotation/settlers.h - settlers of one ship in one loading, one for each thread.
 *
 * What a settler answers does not depend on what it was asked before, so any of them may be asked
 * anything; what one keeps the others do not see. All of them together keep no more than
 * FLOTATION_KEPT.
 */
#ifndef ANALYSE_FLOTATION_SETTLERS_H
#define ANALYSE_FLOTATION_SETTLERS_H

#include "analyse/flotation/settle.h"
#include "base/together.h"

typedef struct {
    const coaming_ship *ship;
    int condition, loading;
    settler *each[TOGETHER_MOST];
    unsigned count;
} settlers;

/* Makes so many, at most TOGETHER_MOST. To be freed whatever is returned. COAMING_MEMORY, and as
 * settler_new. */
coaming_status settlers_make(settlers *s, const coaming_ship *ship, int condition, int loading,
                             unsigned count, coaming_error *error);
void settlers_free(settlers *s);

#endif
