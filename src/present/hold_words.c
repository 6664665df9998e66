#include "present/hold_words.h"

#include <stdio.h>

const char *hold_chance(char buffer[SHOWN], double value)
{
    if (value > 0.9995)
        snprintf(buffer, SHOWN, "over 99.9%%");
    else
        snprintf(buffer, SHOWN, "%.*f%%", value < 0.1 ? 2 : 1, 100 * value);
    if (value > 0 && value < 0.00005)
        snprintf(buffer, SHOWN, "under 0.01%%");
    return buffer;
}

const char *hold_why_open(const ship_link *l, coaming_hazard hazard)
{
    if (l->passage)
        return "open";
    if (!l->ever_shut)
        return "never shut";
    if (l->rating == NONTIGHT)
        return "not tight";
    if (hazard == COAMING_WATER && l->rating == WEATHERTIGHT)
        return "weathertight only, under water";
    return "sure to leak";
}

int hold_by_need(const void *left, const void *right)
{
    const coaming_hold_closure *a = left, *b = right;
    if (a->must_be_shut != b->must_be_shut)
        return a->must_be_shut ? -1 : 1;
    if (a->leak_probability != b->leak_probability)
        return a->leak_probability > b->leak_probability ? -1 : 1;
    return (a->closure > b->closure) - (a->closure < b->closure);
}
