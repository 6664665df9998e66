#include <string.h>

#include "base/error.h"
#include "base/memory.h"
#include "present/tell/views.h"
#include "ship/access.h"

coaming_place outside_place(const coaming_ship *ship, int closure)
{
    coaming_place side = COAMING_WEATHER;
    link_from_outside(ship, &ship->links[closure], &side);
    return side;
}

const char *outside_way(coaming_place place)
{
    return place == COAMING_SEA ? "from outside, under water: diver or dock"
                                : "from outside: boat or stage";
}

const coaming_due_row *round_test(const coaming_due *due, int closure, size_t *at)
{
    size_t count = coaming_due_count(due);
    while (*at < 2 * count) {
        bool looks = *at < count;
        const coaming_due_row *row = coaming_due_get(due, *at % count);
        ++*at;
        if (row->closure == closure && looks == !strcmp(row->method, method_words[VISUAL]))
            return row;
    }
    return NULL;
}

static bool same_section(const char *a, const char *b)
{
    return a && b ? !strcmp(a, b) : !a && !b;
}

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
    bool gasket = r->advice == COAMING_ADVICE_GASKET;
    for (size_t i = 0; i < r->gap_count; i++) {
        gasket = gasket || r->gaps[i].advice == COAMING_ADVICE_GASKET;
        if (r->gaps[i].reason == COAMING_REASON_LOOSE)
            n->dogs += r->gaps[i].dog_count;
    }
    if (gasket)
        add_gasket(n, &ship->links[r->closure]);
}

static void add_stops(const round_answer *a, round_needs *needs, bool *visited)
{
    for (size_t i = 0; i < coaming_round_count(a->round); i++) {
        int closure = coaming_round_get(a->round, i)->closure;
        visited[closure] = true;
        add_reading(needs, a->ship, coaming_readings_find(a->readings, closure));
    }
    for (size_t i = 0; i < coaming_due_count(a->due); i++) {
        const coaming_due_row *row = coaming_due_get(a->due, i);
        if (!visited[row->closure])
            continue;
        needs->minutes += row->minutes;
        needs->minutes_assumed = needs->minutes_assumed || !row->minutes_given;
    }
}

coaming_status round_needs_new(const round_answer *a, round_needs *needs, coaming_error *error)
{
    *needs =
        (round_needs){.gaskets = memory_new(coaming_round_count(a->round), sizeof *needs->gaskets)};
    bool *visited = memory_new(a->ship->closure_count, sizeof *visited);
    bool good = needs->gaskets && visited;
    if (good)
        add_stops(a, needs, visited);
    memory_free(visited);
    if (good)
        return COAMING_OK;
    memory_free(needs->gaskets);
    return error_memory(error);
}
