#include "present/tell/level_words.h"

#include <stdio.h>
#include <string.h>

#include "ship/state.h"

const char *level_words(char buffer[SHOWN], const coaming_ship *ship, coaming_query query)
{
    coaming_level level = query.level;
    bool asked = level.kind == COAMING_LEVEL_AT;
    if (level.kind == COAMING_LEVEL_EQUILIBRIUM)
        snprintf(buffer, SHOWN,
                 "water to where she settles with the flooded spaces open to the sea");
    else if (level.kind == COAMING_LEVEL_FULL)
        snprintf(buffer, SHOWN,
                 "water to the top of the space it starts in, from outside to the draught");
    else
        snprintf(buffer, SHOWN, "water to %.2f m above the baseline (%s)",
                 asked ? level.height : still_level(ship, query.loading),
                 asked ? "as asked" : AT_REST);
    return buffer;
}

const char *level_sentence(char buffer[SHOWN], const coaming_ship *ship, coaming_query query)
{
    char words[SHOWN];
    capital(buffer, level_words(words, ship, query));
    size_t used = strlen(buffer);
    snprintf(buffer + used, SHOWN - used, ".");
    return buffer;
}

bool settles_with_her(coaming_query query)
{
    return query.level.kind == COAMING_LEVEL_EQUILIBRIUM && query.hazard[COAMING_WATER];
}

const char *risk_plane_words(coaming_query query)
{
    return settles_with_her(query) ? "Risk is counted at " AT_REST : NULL;
}
