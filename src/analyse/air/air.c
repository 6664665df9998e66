#include <math.h>
#include <string.h>

#include "analyse/air/shelter.h"
#include "analyse/air/shutting.h"
#include "base/error.h"

struct coaming_air {
    const coaming_ship *ship;
    coaming_air_options asked; /* its lists are of the arena */
    arena memory;
    air_stretch *stretches;
    size_t stretch_count;
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
    coaming_status status = check_times(o, error);
    return status == COAMING_OK ? air_changes_check(ship, o, error) : status;
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
    a->asked.changes = kept(a, o->changes, o->change_count, sizeof *o->changes);
    a->asked.warmth = kept(a, o->warmth, a->ship->space_count, sizeof *o->warmth);
    return !o->sources == !a->asked.sources && !o->limits == !a->asked.limits &&
           !o->changes == !a->asked.changes && !o->warmth == !a->asked.warmth;
}

/* --- the answer --- */

static bool tell_spaces(coaming_air *a, const air_model *m, coaming_air_stretch *to)
{
    const air_net *net = &m->net;
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
            m->volumes[s], air_node_over(node, net->nodes[count].density, m->middles[s]),
            3600 * out[s] / (node->density * m->volumes[s]), node->sealed};
    }
    memory_free(out);
    to->spaces = spaces;
    to->ways = m->ways;
    return good;
}

static bool tell_stretches(coaming_air *a)
{
    coaming_air_stretch *told = arena_new(&a->memory, a->stretch_count, sizeof *told);
    bool good = told;
    for (size_t i = 0; good && i < a->stretch_count; i++) {
        told[i].from = a->stretches[i].from;
        good = tell_spaces(a, &a->stretches[i].model, &told[i]);
    }
    a->answer.stretches = told;
    a->answer.stretch_count = a->stretch_count;
    if (good) {
        a->answer.spaces = told->spaces;
        a->answer.ways = told->ways;
        a->answer.way_count = a->stretches->model.net.link_count;
    }
    return good;
}

static coaming_status mix(coaming_air *a, coaming_error *error)
{
    air_shutting_work w = {.ship = a->ship, .how = &a->asked, .answer = &a->answer};
    if (!a->asked.source_count)
        return COAMING_OK;
    air_mixing mixing = {.stretches = a->stretches, .count = a->stretch_count};
    if (a->asked.by_when && !air_shuttings_keep(&w, &mixing, &a->memory))
        return error_memory(error);
    coaming_status status = air_mix(&mixing, &a->memory, &a->answer, error);
    return status == COAMING_OK ? air_shuttings(&w, &a->memory, error) : status;
}

static coaming_status answer(coaming_air *a, const coaming_air_options *o, coaming_error *error)
{
    if (!keep(a, o))
        return error_memory(error);
    const air_plan plan = {.ship = a->ship, .how = &a->asked, .shut = -1};
    coaming_status status =
        air_stretches_make(&plan, &a->memory, &a->stretches, &a->stretch_count, error);
    if (status == COAMING_OK && !tell_stretches(a))
        status = error_memory(error);
    if (status == COAMING_OK)
        status = air_shelters(a->stretches, a->stretch_count, &a->memory, &a->answer, error);
    return status == COAMING_OK ? mix(a, error) : status;
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
