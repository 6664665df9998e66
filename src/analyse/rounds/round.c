#include "coaming/round.h"

#include <math.h>

#include "analyse/rounds/tour.h"
#include "analyse/rounds/walk.h"
#include "base/error.h"
#include "ship/access.h"

/* Far beyond any use, but far from where sums overflow. */
static const double SLOWEST = 1e-3, FASTEST = 1e3, LONGEST = 1e6;

struct coaming_round {
    arena memory;
    coaming_round_stop *stops; /* the last is the way home */
    size_t stop_count;         /* without it */
    int *unreached;
    size_t unreached_count;
    int *outside;
    size_t outside_count;
    int *enclosed;
    size_t enclosed_count;
    double seconds, metres, bound;
};

coaming_round_options coaming_round_options_default(void)
{
    return (coaming_round_options){.start = COAMING_WEATHER, .pace = 1.0, .climb = 0.3, .door = 20};
}

void coaming_round_free(coaming_round *round)
{
    if (!round)
        return;
    arena_free(&round->memory);
    memory_free(round);
}

/* Also false for what is no number. */
static bool within(double value, double least, double most)
{
    return value >= least && value <= most;
}

static coaming_status check_avoided(const coaming_ship *ship, const coaming_round_options *o,
                                    coaming_error *error)
{
    for (size_t i = 0; i < o->avoid_count; i++) {
        if (o->avoid[i] < 0 || (size_t)o->avoid[i] >= ship->space_count)
            return error_set(error, COAMING_USAGE, "there is no space %d to be avoided",
                             o->avoid[i]);
        if (o->avoid[i] == o->start)
            return error_set(error, COAMING_USAGE,
                             "no round starts in space '%s': nobody is to go in there",
                             ship->spaces[o->start].id);
    }
    return COAMING_OK;
}

static coaming_status check_options(const coaming_ship *ship, const coaming_round_options *o,
                                    coaming_error *error)
{
    bool place =
        o->start == COAMING_WEATHER || (o->start >= 0 && (size_t)o->start < ship->space_count);
    if (!place)
        return error_set(error, COAMING_USAGE, "a round starts in a space or on the open deck");
    const ship_space *start = o->start >= 0 ? &ship->spaces[o->start] : NULL;
    if (start && !start->walkable)
        return error_set(error, COAMING_USAGE, "no round starts in space '%s': nobody walks there",
                         start->id);
    if (start && start->enclosed)
        return error_set(error, COAMING_USAGE,
                         "no round starts in space '%s': it is enclosed, and its air is to be "
                         "tested before anybody goes in",
                         start->id);
    if (!within(o->pace, SLOWEST, FASTEST) || !within(o->climb, SLOWEST, FASTEST))
        return error_set(error, COAMING_USAGE, "a pace must be from %g to %g m/s", SLOWEST,
                         FASTEST);
    if (!within(o->door, 0, LONGEST))
        return error_set(error, COAMING_USAGE, "the time at a door must be from 0 to %g s",
                         LONGEST);
    return check_avoided(ship, o, error);
}

static coaming_status check_closures(const coaming_ship *ship, const int *closures, size_t count,
                                     coaming_error *error)
{
    if (count > COAMING_ROUND_MOST)
        return error_set(error, COAMING_USAGE,
                         "%zu closures are too many for one round; at most %d", count,
                         (int)COAMING_ROUND_MOST);
    bool *met = memory_new(ship->closure_count, sizeof *met);
    if (!met)
        return error_memory(error);
    coaming_status status = COAMING_OK;
    for (size_t i = 0; status == COAMING_OK && i < count; i++) {
        if (closures[i] < 0 || (size_t)closures[i] >= ship->closure_count)
            status = error_set(error, COAMING_USAGE, "there is no closure %d", closures[i]);
        else if (met[closures[i]])
            status = error_set(error, COAMING_USAGE, "closure '%s' is named twice",
                               ship->links[closures[i]].id);
        else
            met[closures[i]] = true;
    }
    memory_free(met);
    return status;
}

/* Leg after leg in the order of the tour, and home. */
static coaming_status walk_tour(coaming_round *r, walk *w, const int *order, coaming_error *error)
{
    size_t n = walk_points(w);
    r->stops = arena_new(&r->memory, n, sizeof *r->stops);
    if (!r->stops)
        return error_memory(error);
    r->stop_count = n - 1;
    for (size_t i = 0; i < n; i++) {
        coaming_round_stop *leg = &r->stops[i];
        size_t from = (size_t)order[i], to = i + 1 < n ? (size_t)order[i + 1] : 0;
        coaming_status status = walk_leg(w, from, to, &r->memory, leg, error);
        if (status != COAMING_OK)
            return status;
        r->seconds += leg->seconds;
        r->metres += leg->metres;
    }
    return COAMING_OK;
}

/* Those that no way leads to: from outside the shell, or not at all. */
static coaming_status keep_unreached(coaming_round *r, const walk *w, const coaming_ship *ship,
                                     coaming_error *error)
{
    size_t count;
    const int *list = walk_unreached(w, &count);
    r->unreached = arena_new(&r->memory, count, sizeof *r->unreached);
    r->outside = arena_new(&r->memory, count, sizeof *r->outside);
    if (!r->unreached || !r->outside)
        return error_memory(error);
    for (size_t i = 0; i < count; i++) {
        coaming_place side;
        if (link_from_outside(ship, &ship->links[list[i]], &side))
            r->outside[r->outside_count++] = list[i];
        else
            r->unreached[r->unreached_count++] = list[i];
    }
    return COAMING_OK;
}

/* Every enclosed space that is entered, once, in the order of the walk. */
static coaming_status keep_enclosed(coaming_round *r, const coaming_ship *ship,
                                    coaming_error *error)
{
    bool *met = memory_new(ship->space_count, sizeof *met);
    r->enclosed = arena_new(&r->memory, ship->space_count, sizeof *r->enclosed);
    if (!met || !r->enclosed) {
        memory_free(met);
        return error_memory(error);
    }
    for (size_t i = 0; i <= r->stop_count; i++)
        for (size_t k = 0; k < r->stops[i].enclosed_count; k++) {
            int space = r->stops[i].enclosed[k];
            if (!met[space])
                r->enclosed[r->enclosed_count++] = space;
            met[space] = true;
        }
    memory_free(met);
    return COAMING_OK;
}

static coaming_status work(coaming_round *r, walk *w, const coaming_ship *ship,
                           coaming_error *error)
{
    size_t n = walk_points(w);
    double *seconds = memory_new(n * n, sizeof *seconds);
    int *order = memory_new(n, sizeof *order);
    coaming_status status = seconds && order ? COAMING_OK : error_memory(error);
    if (status == COAMING_OK) {
        walk_table(w, seconds);
        status = tour_find(seconds, n, walk_late(w), order, error);
    }
    if (status == COAMING_OK)
        status =
            tour_bound(seconds, n, walk_late(w), tour_length(seconds, n, order), &r->bound, error);
    if (status == COAMING_OK)
        status = walk_tour(r, w, order, error);
    if (status == COAMING_OK)
        status = keep_unreached(r, w, ship, error);
    if (status == COAMING_OK)
        status = keep_enclosed(r, ship, error);
    r->bound = fmin(r->bound, r->seconds); /* the same sum in another order */
    memory_free(seconds);
    memory_free(order);
    return status;
}

coaming_status coaming_round_new(const coaming_ship *ship, const coaming_round_options *options,
                                 const int *closures, size_t count, coaming_round **round,
                                 coaming_error *error)
{
    coaming_status status = check_options(ship, options, error);
    if (status == COAMING_OK)
        status = check_closures(ship, closures, count, error);
    if (status != COAMING_OK)
        return status;
    coaming_round *r = memory_new(1, sizeof *r);
    if (!r)
        return error_memory(error);
    walk *w = NULL;
    status = walk_new(ship, options, closures, count, &w, error);
    if (status == COAMING_OK)
        status = work(r, w, ship, error);
    walk_free(w);
    if (status == COAMING_OK)
        *round = r;
    else
        coaming_round_free(r);
    return status;
}

size_t coaming_round_count(const coaming_round *round)
{
    return round->stop_count;
}

const coaming_round_stop *coaming_round_get(const coaming_round *round, size_t index)
{
    return &round->stops[index];
}

const coaming_round_stop *coaming_round_home(const coaming_round *round)
{
    return &round->stops[round->stop_count];
}

const int *coaming_round_unreached(const coaming_round *round, size_t *count)
{
    *count = round->unreached_count;
    return round->unreached;
}

const int *coaming_round_outside(const coaming_round *round, size_t *count)
{
    *count = round->outside_count;
    return round->outside;
}

const int *coaming_round_enclosed(const coaming_round *round, size_t *count)
{
    *count = round->enclosed_count;
    return round->enclosed;
}

double coaming_round_seconds(const coaming_round *round)
{
    return round->seconds;
}

double coaming_round_metres(const coaming_round *round)
{
    return round->metres;
}

double coaming_round_bound(const coaming_round *round)
{
    return round->bound;
}
