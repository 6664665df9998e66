#include "analyse/rounds/printed.h"

#include <math.h>
#include <stdlib.h>

/* What can become one: gaps, stretches with the print off the middle, what lies nowhere. */
typedef enum { BROKEN, OFF_MIDDLE, NOWHERE, SORTS } sort;

static sort sort_of(const gap *g, double run)
{
    return !on_gasket_run(run, g) ? NOWHERE : g->seen == SEEN_EDGE ? OFF_MIDDLE : BROKEN;
}

static int by_place(const void *left, const void *right)
{
    const gap *a = left, *b = right;
    if (a->at != b->at)
        return a->at < b->at ? -1 : 1;
    return (a->length > b->length) - (a->length < b->length);
}

/* The second becomes part of the first, which begins before it; `turn` is added to where it lies.
 */
static void take_in(gap *first, const gap *second, double turn)
{
    first->length = fmax(first->length, second->at + turn + second->length - first->at);
    first->seen = first->seen < second->seen ? first->seen : second->seen;
}

/* Of one sort, by place; run 0: they do not go on past its end. */
static size_t join_sort(gap *list, size_t count, double run)
{
    static const double TOUCH = 1e-9; /* m: decimals are not exact in binary */
    size_t kept = 0;
    for (size_t i = 0; i < count; i++) {
        gap *last = kept ? &list[kept - 1] : NULL;
        if (last && list[i].at <= last->at + last->length + TOUCH)
            take_in(last, &list[i], 0);
        else
            list[kept++] = list[i];
    }
    /* the last may go on past the end of the run, over the first and more */
    size_t swallowed = 0;
    while (run > 0 && swallowed + 1 < kept &&
           list[kept - 1].at + list[kept - 1].length + TOUCH >= run + list[swallowed].at)
        take_in(&list[kept - 1], &list[swallowed++], run);
    for (size_t i = swallowed; i < kept; i++)
        list[i - swallowed] = list[i];
    kept -= swallowed;
    for (size_t i = 0; run > 0 && i < kept; i++)
        list[i].length = fmin(list[i].length, run);
    return kept;
}

/* Those of one sort to the front, by place. */
static size_t gather(gap *list, size_t count, double run, sort which)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++) {
        if (sort_of(&list[i], run) != which)
            continue;
        gap g = list[i];
        list[i] = list[found];
        list[found++] = g;
    }
    qsort(list, found, sizeof *list, by_place);
    return found;
}

size_t join_gaps(gap *list, size_t count, double run)
{
    size_t kept = 0, rest = 0;
    for (int s = BROKEN; s < SORTS; s++) {
        size_t some = gather(list + rest, count - rest, run, (sort)s);
        size_t joined = join_sort(list + rest, some, s == NOWHERE ? 0 : run);
        for (size_t i = 0; i < joined; i++)
            list[kept + i] = list[rest + i];
        kept += joined;
        rest += some;
    }
    qsort(list, kept, sizeof *list, by_place);
    return kept;
}

double printed_share(const ship_link *l, const ship_event *test, const gap *gaps, size_t count)
{
    double run = link_gasket_run(l), without = 0;
    bool told = count || (test->method == CHALK && test->result == COAMING_PASS);
    if (!told || !(run > 0))
        return NAN;
    for (size_t i = 0; i < count; i++)
        without += sort_of(&gaps[i], run) == BROKEN ? gaps[i].length : 0;
    return micrometres(run - without) > 0 ? 1 - without / run : 0;
}
