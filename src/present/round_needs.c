#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/views.h"

/* Is the gasket to be renewed or patched? */
static bool wants_gasket(coaming_advice advice)
{
    return advice == COAMING_ADVICE_GASKET || advice == COAMING_ADVICE_JOINT;
}

static bool same_section(const char *a, const char *b)
{
    return a && b ? !strcmp(a, b) : !a && !b;
}

/* A whole run, also where only a joint is to be made: the cut must reach. */
static void add_gasket(round_needs *n, const ship_link *l)
{
    size_t i = 0;
    while (i < n->gasket_count && !same_section(n->gaskets[i].section, l->gasket_section))
        i++;
    if (i == n->gasket_count)
        n->gaskets[n->gasket_count++] = (gasket_need){.section = l->gasket_section};
    double run = link_gasket_run(l);
    n->gaskets[i].metres += run;
    n->gaskets[i].closures++;
    n->gaskets[i].unknown += !(run > 0);
}

static void add_reading(round_needs *n, const coaming_ship *ship, const coaming_reading *r)
{
    bool gasket = wants_gasket(r->advice);
    for (size_t i = 0; i < r->gap_count; i++) {
        gasket = gasket || wants_gasket(r->gaps[i].advice);
        if (r->gaps[i].advice == COAMING_ADVICE_DOGS && !past_dogs(r))
            n->dogs += r->gaps[i].dog_count;
    }
    if (gasket)
        add_gasket(n, &ship->links[r->closure]);
}

coaming_status round_needs_new(const round_answer *a, round_needs *needs, coaming_error *error)
{
    size_t stops = coaming_round_count(a->round);
    *needs = (round_needs){.gaskets = memory_new(stops, sizeof *needs->gaskets)};
    bool *visited = memory_new(a->ship->closure_count, sizeof *visited);
    coaming_status status = needs->gaskets && visited ? COAMING_OK : error_memory(error);
    for (size_t i = 0; i < stops && status == COAMING_OK; i++) {
        coaming_reading *r = NULL;
        int closure = coaming_round_get(a->round, i)->closure;
        visited[closure] = true;
        status = coaming_reading_new(a->ship, closure, &r, error);
        if (status == COAMING_OK)
            add_reading(needs, a->ship, r);
        coaming_reading_free(r);
    }
    for (size_t i = 0; i < coaming_due_count(a->due) && status == COAMING_OK; i++) {
        const coaming_due_row *row = coaming_due_get(a->due, i);
        if (!visited[row->closure])
            continue;
        needs->minutes += row->minutes;
        needs->minutes_assumed = needs->minutes_assumed || !row->minutes_given;
    }
    memory_free(visited);
    if (status != COAMING_OK)
        memory_free(needs->gaskets);
    return status;
}
