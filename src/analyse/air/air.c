#include <math.h>
#include <string.h>

#include "analyse/air/mixing.h"
#include "analyse/air/shelter.h"
#include "base/error.h"

struct coaming_air {
    const coaming_ship *ship;
    coaming_air_options asked; /* its lists are of the arena */
    arena memory;
    air_model model;
    coaming_air_answer answer;
};

const char *coaming_air_state_word(coaming_air_state state)
{
    static const char *const words[] = {
#define STATE(code, word) word,
        COAMING_AIR_STATE_TABLE(STATE)
#undef STATE
    };
    return words[state];
}

coaming_air_options coaming_air_options_default(void)
{
    return (coaming_air_options){.condition = COAMING_NO_CONDITION,
                                 .inside = 20,
                                 .outside = 20,
                                 .overpressure = 50,
                                 .until = 3600,
                                 .every = 60,
                                 .activity = COAMING_ACTIVITY_LIGHT};
}

void coaming_air_free(coaming_air *a)
{
    if (!a)
        return;
    arena_free(&a->memory);
    memory_free(a);
}

const coaming_air_answer *coaming_air_get(const coaming_air *a)
{
    return &a->answer;
}

const coaming_air_options *coaming_air_asked(const coaming_air *a)
{
    return &a->asked;
}

const coaming_ship *coaming_air_ship(const coaming_air *a)
{
    return a->ship;
}

/* --- what is asked --- */

static bool is_warmth(double celsius)
{
    return celsius >= -100 && celsius <= 1500;
}

static coaming_status check_times(const coaming_air_options *o, coaming_error *error)
{
    if (!(o->until > 0 && o->until <= COAMING_AIR_LONGEST))
        return error_set(error, COAMING_USAGE, "the air is followed for up to 30 days, not %g s",
                         o->until);
    if (!(o->every > 0) || o->until / o->every > COAMING_AIR_MOMENTS)
        return error_set(
            error, COAMING_USAGE,
            "a moment is told every so many s, and %d of them at most, not every %g of "
            "%g s",
            COAMING_AIR_MOMENTS, o->every, o->until);
    return COAMING_OK;
}

static coaming_status check(const coaming_ship *ship, const coaming_air_options *o,
                            coaming_error *error)
{
    bool warm = is_warmth(o->inside) && is_warmth(o->outside);
    for (size_t s = 0; o->warmth && s < ship->space_count; s++)
        warm = warm && is_warmth(o->warmth[s]);
    if (!warm)
        return error_set(error, COAMING_USAGE, "a temperature of air is -100 to 1500 degrees");
    if (!(o->wind >= 0 && o->wind <= 150) || !isfinite(o->wind_from))
        return error_set(error, COAMING_USAGE, "wind is 0 to 150 m/s, not %g", o->wind);
    if (!(o->overpressure >= 0 && o->overpressure <= COAMING_AIR_TRIED))
        return error_set(error, COAMING_USAGE, "an overpressure is 0 to %g Pa, not %g",
                         COAMING_AIR_TRIED, o->overpressure);
    for (size_t i = 0; i < o->source_count; i++)
        if (!(o->sources[i].rate > 0) || !isfinite(o->sources[i].rate) ||
            o->sources[i].place == COAMING_SEA)
            return error_set(error, COAMING_USAGE, "source %zu gives nothing off into the air",
                             i + 1);
    return check_times(o, error);
}

static void *kept(coaming_air *a, const void *list, size_t count, size_t size)
{
    void *copy = list ? arena_new(&a->memory, count, size) : NULL;
    if (copy && count)
        memcpy(copy, list, count * size);
    return copy;
}

/* The lists of the caller are of the call alone. */
static bool keep(coaming_air *a, const coaming_air_options *o)
{
    a->asked = *o;
    a->asked.sources = kept(a, o->sources, o->source_count, sizeof *o->sources);
    a->asked.limits = kept(a, o->limits, o->limit_count, sizeof *o->limits);
    a->asked.warmth = kept(a, o->warmth, a->ship->space_count, sizeof *o->warmth);
    return !o->sources == !a->asked.sources && !o->limits == !a->asked.limits &&
           !o->warmth == !a->asked.warmth;
}

/* --- the answer --- */

static bool tell_spaces(coaming_air *a)
{
    const air_net *net = &a->model.net;
    size_t count = a->ship->space_count;
    coaming_air_space *spaces = arena_new(&a->memory, count, sizeof *spaces);
    double *out = memory_new(count + 1, sizeof *out);
    bool good = spaces && out;
    for (size_t k = 0; good && k < net->link_count; k++) {
        out[net->links[k].a] += net->links[k].forth;
        out[net->links[k].b] += net->links[k].back;
    }
    for (size_t s = 0; good && s < count; s++) {
        const air_node *node = &net->nodes[s];
        spaces[s] = (coaming_air_space){
            a->model.volumes[s],
            air_node_over(node, net->nodes[count].density, a->model.middles[s]),
            3600 * out[s] / (node->density * a->model.volumes[s]), node->sealed};
    }
    memory_free(out);
    a->answer.spaces = spaces;
    a->answer.ways = a->model.ways;
    a->answer.way_count = net->link_count;
    return good;
}

/* --- what shutting gains --- */

/* When the first limit is passed in a space; NaN: none is. */
static double first_event(const coaming_air_answer *a, int space)
{
    for (size_t i = 0; i < a->event_count; i++)
        if (a->events[i].space == space)
            return a->events[i].t;
    return NAN;
}

static bool list_kept(coaming_air *a, const coaming_air_answer *then, coaming_air_shutting *s)
{
    int *kept = arena_new(&a->memory, a->ship->space_count, sizeof *kept);
    for (size_t i = 0; kept && i < a->ship->space_count; i++)
        if (!isnan(first_event(&a->answer, (int)i)) && isnan(first_event(then, (int)i)))
            kept[s->kept_count++] = (int)i;
    s->kept = kept;
    return kept;
}

/* The same again with the closure shut. */
static coaming_status try_shut(coaming_air *a, coaming_air_shutting *s, coaming_error *error)
{
    arena memory = {NULL};
    coaming_air_answer then = {0};
    air_stretch all = {0, {.ship = a->ship, .how = &a->asked, .shut = s->closure}};
    coaming_status status = COAMING_MEMORY;
    if (!air_model_make(&all.model, &memory))
        status = error_memory(error);
    else
        status = air_model_solve(&all.model, error);
    if (status == COAMING_OK)
        status = air_mix(&all, 1, &memory, &then, error);
    if (status == COAMING_OK && !list_kept(a, &then, s))
        status = error_memory(error);
    s->after = first_event(&then, s->space);
    arena_free(&memory);
    return status;
}

static bool tried_before(const coaming_air_shutting *list, size_t count, int closure)
{
    for (size_t i = 0; i < count; i++)
        if (list[i].closure == closure)
            return true;
    return false;
}

static bool stands_open(const coaming_air *a, int link)
{
    for (size_t i = 0; i < a->answer.way_count; i++)
        if (a->answer.ways[i].link == link)
            return a->answer.ways[i].state == COAMING_AIR_OPEN && !a->ship->links[link].passage;
    return false;
}

static coaming_status find_shuttings(coaming_air *a, coaming_error *error)
{
    coaming_air_shutting tried[COAMING_AIR_SHUTTINGS];
    coaming_air_shutting *gains = arena_new(&a->memory, COAMING_AIR_SHUTTINGS, sizeof *gains);
    coaming_status status = COAMING_OK;
    size_t count = 0;
    if (!gains)
        return error_memory(error);
    a->answer.shuttings = gains;
    for (size_t i = 0; i < a->answer.event_count && status == COAMING_OK; i++) {
        const coaming_air_event *e = &a->answer.events[i];
        if (count == COAMING_AIR_SHUTTINGS || e->by < 0 || tried_before(tried, count, e->by) ||
            !stands_open(a, e->by))
            continue;
        coaming_air_shutting *s = &tried[count++];
        *s = (coaming_air_shutting){
            .closure = e->by, .space = e->space, .before = first_event(&a->answer, e->space)};
        status = try_shut(a, s, error);
        if (status == COAMING_OK &&
            (s->kept_count || isnan(s->after) || s->after > 1.01 * s->before))
            gains[a->answer.shutting_count++] = *s;
    }
    return status;
}

static coaming_status answer(coaming_air *a, const coaming_air_options *o, coaming_error *error)
{
    if (!keep(a, o))
        return error_memory(error);
    a->model = (air_model){.ship = a->ship, .how = &a->asked, .shut = -1};
    if (!air_model_make(&a->model, &a->memory))
        return error_memory(error);
    coaming_status status = air_model_solve(&a->model, error);
    if (status == COAMING_OK && !tell_spaces(a))
        status = error_memory(error);
    if (status == COAMING_OK)
        status = air_shelters(&a->model, &a->memory, &a->answer, error);
    if (status == COAMING_OK && o->source_count && a->ship->space_count)
        status = air_mix(&(air_stretch){0, a->model}, 1, &a->memory, &a->answer, error);
    if (status == COAMING_OK)
        status = find_shuttings(a, error);
    return status;
}

coaming_status coaming_air_new(const coaming_ship *ship, const coaming_air_options *options,
                               coaming_air **air, coaming_error *error)
{
    coaming_status status = check(ship, options, error);
    if (status != COAMING_OK)
        return status;
    coaming_air *a = memory_new(1, sizeof *a);
    if (!a)
        return error_memory(error);
    a->ship = ship;
    status = answer(a, options, error);
    if (status == COAMING_OK)
        *air = a;
    else
        coaming_air_free(a);
    return status;
}
