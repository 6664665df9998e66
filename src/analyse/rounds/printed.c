#include "analyse/rounds/printed.h"

#include <math.h>
#include <stdlib.h>

static int by_place(const void *left, const void *right)
{
    const gap *a = left, *b = right;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return (a->length > b->length) - (a->length < b->length);
}

size_t join_gaps(gap *list, size_t count, double run)
{
    size_t kept = 0;
    qsort(list, count, sizeof *list, by_place);
    for (size_t i = 0; i < count; i++) {
        if (kept && list[i].at <= list[kept - 1].at + list[kept - 1].length) {
            gap *last = &list[kept - 1];
            last->length = fmax(last->length, list[i].at + list[i].length - last->at);
            last->seen = last->seen < list[i].seen ? last->seen : list[i].seen;
        } else {
            list[kept++] = list[i];
        }
    }
    /* the last may go on past the end of the run into the first */
    if (run > 0 && kept > 1 && list[kept - 1].at + list[kept - 1].length >= run + list[0].at) {
        gap *last = &list[kept - 1];
        last->length = fmax(last->length, run + list[0].at + list[0].length - last->at);
        last->seen = last->seen < list[0].seen ? last->seen : list[0].seen;
        for (size_t i = 1; i < kept; i++)
            list[i - 1] = list[i];
        kept--;
    }
    for (size_t i = 0; run > 0 && i < kept; i++)
        list[i].length = fmin(list[i].length, run);
    return kept;
}

double printed_share(const ship_link *l, const ship_event *test, const gap *gaps, size_t count)
{
    double run = link_gasket_run(l), without = 0;
    bool told = count || (test->method == CHALK && test->result == COAMING_PASS);
    if (!told || !(run > 0))
        return NAN;
    for (size_t i = 0; i < count; i++)
        without += gaps[i].length;
    return fmax(0, 1 - without / run);
}
