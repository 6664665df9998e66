#include "analyse/air/scene.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/error.h"
#include "base/text.h"

const char *coaming_air_change_word(coaming_air_change_kind kind)
{
    static const char *const words[] = {
#define WORD(code, word) word,
        COAMING_AIR_CHANGE_TABLE(WORD)
#undef WORD
    };
    return words[kind];
}

/* --- what is asked --- */

static bool is_fan(const coaming_air_change *c)
{
    return c->kind == COAMING_AIR_CHANGE_FAN_ON || c->kind == COAMING_AIR_CHANGE_FAN_OFF;
}

static bool is_place(const coaming_ship *ship, int which)
{
    return which == COAMING_SEA || which == COAMING_WEATHER ||
           (which >= 0 && (size_t)which < ship->space_count);
}

bool air_has_source(const coaming_air_options *how, coaming_place place)
{
    for (size_t i = 0; i < how->source_count; i++)
        if (how->sources[i].place == place)
            return true;
    return false;
}

coaming_status air_changes_check(const coaming_ship *ship, const coaming_air_options *how,
                                 coaming_error *error)
{
    for (size_t i = 0; i < how->change_count; i++) {
        const coaming_air_change *c = &how->changes[i];
        size_t most = is_fan(c) ? ship->fan_count : ship->closure_count;
        if (!(c->t >= 0 && c->t <= how->until))
            return error_set(error, COAMING_USAGE,
                             "a change of the air needs a time from 0 to the end, not %g s", c->t);
        if (c->kind == COAMING_AIR_CHANGE_END && !is_place(ship, c->which))
            return error_set(error, COAMING_USAGE, "there is no place of number %d", c->which);
        if (c->kind == COAMING_AIR_CHANGE_END && !air_has_source(how, c->which))
            return error_set(error, COAMING_USAGE, "nothing is given off in %s that could end",
                             BRIEF(coaming_place_id(ship, c->which)));
        if (c->kind != COAMING_AIR_CHANGE_END && (c->which < 0 || (size_t)c->which >= most))
            return error_set(error, COAMING_USAGE, "there is no %s of number %d",
                             is_fan(c) ? "fan" : "closure", c->which);
    }
    return COAMING_OK;
}

/* --- scenes --- */

static void apply(const coaming_air_options *how, const coaming_air_change *c, air_scene *scene)
{
    switch (c->kind) {
    case COAMING_AIR_CHANGE_SHUT:
        scene->stands[c->which] = AIR_SHUT;
        break;
    case COAMING_AIR_CHANGE_OPEN:
        scene->stands[c->which] = AIR_OPENED;
        break;
    case COAMING_AIR_CHANGE_FAIL:
        scene->failed[c->which] = true;
        break;
    case COAMING_AIR_CHANGE_END:
        for (size_t i = 0; i < how->source_count; i++)
            scene->ended[i] = scene->ended[i] || how->sources[i].place == c->which;
        break;
    default:
        scene->stopped[c->which] = c->kind == COAMING_AIR_CHANGE_FAN_OFF;
    }
}

static int by_time(const void *left, const void *right)
{
    const coaming_air_change *a = *(const coaming_air_change *const *)left,
                             *b = *(const coaming_air_change *const *)right;
    if (a->t != b->t)
        return a->t < b->t ? -1 : 1;
    return a < b ? -1 : a > b;
}

/* Fans whose first change is that they start are off before it. */
static void stop_first(const coaming_air_change *const *sorted, size_t count, air_scene *scene)
{
    for (size_t i = count; i-- > 0;)
        if (is_fan(sorted[i]))
            scene->stopped[sorted[i]->which] = sorted[i]->kind == COAMING_AIR_CHANGE_FAN_ON;
}

static air_scene *scene_at(const air_plan *plan, const coaming_air_change *const *sorted, double t,
                           arena *memory)
{
    const coaming_ship *ship = plan->ship;
    size_t count = plan->how->change_count;
    air_scene *scene = arena_new(memory, 1, sizeof *scene);
    if (!scene)
        return NULL;
    scene->stands = arena_new(memory, ship->closure_count, sizeof *scene->stands);
    scene->failed = arena_new(memory, ship->closure_count, sizeof *scene->failed);
    scene->stopped = arena_new(memory, ship->fan_count, sizeof *scene->stopped);
    scene->ended = arena_new(memory, plan->how->source_count, sizeof *scene->ended);
    scene->shut = plan->shut >= 0 && t >= plan->at ? plan->shut : -1;
    if (!scene->stands || !scene->failed || !scene->stopped || !scene->ended)
        return NULL;
    stop_first(sorted, count, scene);
    for (size_t i = 0; i < count && sorted[i]->t <= t; i++)
        apply(plan->how, sorted[i], scene);
    return scene;
}

/* --- stretches --- */

/* The next moment after t when something changes; that of the end: nothing does. */
static double next_after(const air_plan *plan, double t)
{
    double next = plan->how->until;
    for (size_t i = 0; i < plan->how->change_count; i++)
        if (plan->how->changes[i].t > t)
            next = fmin(next, plan->how->changes[i].t);
    return plan->shut >= 0 && plan->at > t ? fmin(next, plan->at) : next;
}

static coaming_status make_one(const air_plan *plan, const coaming_air_change *const *sorted,
                               air_stretch *s, arena *memory, coaming_error *error)
{
    s->model = (air_model){
        .ship = plan->ship, .how = plan->how, .scene = scene_at(plan, sorted, s->from, memory)};
    if (!s->model.scene || !air_model_make(&s->model, memory))
        return error_memory(error);
    return air_model_solve(&s->model, error);
}

coaming_status air_stretches_make(const air_plan *plan, arena *memory, air_stretch **list,
                                  size_t *count, coaming_error *error)
{
    size_t changes = plan->how->change_count;
    const coaming_air_change **sorted = arena_new(memory, changes, sizeof(*sorted));
    air_stretch *all = arena_new(memory, changes + 2, sizeof *all);
    if (!sorted || !all)
        return error_memory(error);
    for (size_t i = 0; i < changes; i++)
        sorted[i] = &plan->how->changes[i];
    if (changes)
        qsort(sorted, changes, sizeof(*sorted), by_time);
    coaming_status status = COAMING_OK;
    double t = plan->from;
    for (*count = 0; status == COAMING_OK && (!*count || t < plan->how->until);
         t = next_after(plan, t)) {
        all[*count].from = t;
        status = make_one(plan, sorted, &all[(*count)++], memory, error);
    }
    *list = all;
    return status;
}
