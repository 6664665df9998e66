/*
 * Flooding and floating by turns. Method: water spreads, breadth first, over what passes and is
 * under at the present plane; then she is solved with all that is wet open to the sea; until a turn
 * takes no more. Argument: spaces are only ever added, so there are at most as many turns as spaces;
 * a turn takes all that it can before she moves, so the order of links decides only by which of them
 * a space is told to be reached. A closure that holds changes the first turn in which something
 * hangs at it, and nothing if there is none (course.h); all before that turn is taken over, and water
 * goes on from there. A closure that passes changes something only if it is under with water on one
 * side; all else is at rest, so water goes on from its far side alone. Sources that are joined at the
 * intact plane flood the same, and share a course. Cost: for each turn a flotation (kept by set) and
 * a look at the links of what is flooded; memory: the flooded spaces of each course.
 */
#include "analyse/flotation/settle.h"

#include <math.h>
#include <string.h>

#include "analyse/flotation/course.h"
#include "base/error.h"

/* Components at the intact plane, for one answer. */
enum { WITH_OUTSIDE = -1, DRY_INTACT = -2 };

/* How a breach floods, and what each closure that something hangs at does by holding. */
typedef struct {
    coaming_answer answer;
    int parts[2]; /* components of its spaces, the lower first; for dry ones as part_key says */
    course way;
    signed char
        *saves[2]; /* by place in the order, with the sources on this side of the closure and
                              on the other: 1 she stays afloat, -1 not, 0 not asked yet */
    double *taken; /* by place: of her volume, by all spaces that stand before it in the order */
    double most;   /* that can be taken of her without her sinking whatever holds, m3, and a bit */
} breach_way;

struct settler {
    const coaming_ship *ship;
    coaming_flotation *flotation;
    flood_plan plan;
    bool *flooded, *held_flooded; /* by space: of the state at work, of that of one holding */
    settled work, held; /* room for every space: the state at work, that of a closure holding */
    settled *base[2]; /* by answer, then by place: 0 the outside, then each space; spaces NULL: not
                         yet */
    course_turn *turns; /* of the state at work, since it was begun */
    size_t turn_count, turn_capacity;
    course_room room;
    int *component[2]; /* by answer, then space: the lowest space that it is joined to, or as above;
                          NULL: not yet */
    course **courses[2]; /* by answer, then by place as base */
    const course *last;  /* that settler_pair asked about last; NULL: none */
    course breach;       /* of the breach last asked about with a closure holding */
    int *breached;
    size_t breached_count;
    coaming_answer breach_answer;
    breach_way *ways; /* of breaches that were asked about by settler_saves */
    size_t way_count, way_room;
    arena memory, breach_memory;
    coaming_float plane_of; /* whose plane it is */
    plane water;
};

void settler_free(settler *t)
{
    if (!t)
        return;
    coaming_flotation_free(t->flotation);
    arena_free(&t->memory);
    arena_free(&t->breach_memory);
    memory_free(t->turns);
    memory_free(t->ways);
    memory_free(t);
}

static bool make_room(settler *t, int condition)
{
    size_t n = t->ship->space_count;
    t->flooded = arena_new(&t->memory, n, sizeof *t->flooded);
    t->held_flooded = arena_new(&t->memory, n, sizeof *t->held_flooded);
    t->work.spaces = arena_new(&t->memory, n, sizeof *t->work.spaces);
    t->work.by = arena_new(&t->memory, n, sizeof *t->work.by);
    t->held.spaces = arena_new(&t->memory, n, sizeof *t->held.spaces);
    t->held.by = arena_new(&t->memory, n, sizeof *t->held.by);
    for (int i = 0; i < 2; i++) {
        t->base[i] = arena_new(&t->memory, n + 1, sizeof *t->base[i]);
        t->courses[i] = arena_new(&t->memory, n + 1, sizeof *t->courses[i]);
    }
    return t->flooded && t->held_flooded && t->work.spaces && t->work.by && t->held.spaces &&
           t->held.by && t->base[0] && t->base[1] && t->courses[0] && t->courses[1] &&
           course_room_make(&t->room, &t->memory, n) &&
           flood_plan_make(&t->plan, &t->memory, t->ship, condition);
}

coaming_status settler_new(const coaming_ship *ship, int condition, int loading, settler **out,
                           coaming_error *error)
{
    settler *t = memory_new(1, sizeof *t);
    if (!t)
        return error_memory(error);
    t->ship = ship;
    coaming_status status = coaming_flotation_new(ship, loading, &t->flotation, error);
    if (status == COAMING_OK && !make_room(t, condition))
        status = error_memory(error);
    if (status != COAMING_OK)
        settler_free(t);
    else
        *out = t;
    return status;
}

void settler_keep(settler *t, size_t most)
{
    kept_bound(t->flotation, most);
}

coaming_flotation *settler_flotation(settler *t)
{
    return t->flotation;
}

bool settler_wet(const settler *t, const settled *s, int link)
{
    return flood_link_wet(&t->plan, &s->at, link);
}

bool settler_reaches(const settler *t, const coaming_float *at, int space)
{
    return flood_space_wet(&t->plan, at, space);
}

double settler_volume(settler *t, const settled *s, int space)
{
    const ship_space *p = &t->ship->spaces[space];
    const coaming_float *at = &s->at;
    if (at->afloat != COAMING_AFLOAT_YES)
        return p->volume;
    if (!same_water_plane(at, &t->plane_of)) {
        t->plane_of = *at;
        t->water = flotation_plane(t->flotation, at);
    }
    return flotation_water_in(t->flotation, space, &t->water);
}

static void copy_state(settled *to, const settled *from)
{
    if (to == from)
        return;
    memcpy(to->spaces, from->spaces, from->count * sizeof *to->spaces);
    memcpy(to->by, from->by, from->count * sizeof *to->by);
    to->count = from->count;
    to->afloat_count = from->afloat_count;
    to->at = from->at;
}

/* Makes t->work that state; from NULL: the undamaged ship. */
static void begin(settler *t, const settled *from)
{
    memset(t->flooded, 0, t->ship->space_count * sizeof *t->flooded);
    t->turn_count = 0;
    if (from)
        copy_state(&t->work, from);
    else
        t->work = (settled){t->work.spaces, t->work.by, 0, 0, t->flotation->intact};
    for (size_t i = 0; i < t->work.count; i++)
        t->flooded[t->work.spaces[i]] = true;
}

static coaming_status note_turn(settler *t, size_t before, coaming_error *error)
{
    if (t->work.at.afloat == COAMING_AFLOAT_YES)
        t->work.afloat_count = t->work.count;
    if (t->work.count == before)
        return COAMING_OK;
    if (!MEMORY_ROOM(t->turns, t->turn_count, t->turn_capacity))
        return error_memory(error);
    t->turns[t->turn_count++] = (course_turn){before, t->work.at};
    return COAMING_OK;
}

/* Whether water is followed through a ship that is lost, or no more than that she is is asked. */
typedef enum { TO_THE_END, WHILE_AFLOAT } how_far;

/* After water has spread: she settles, and it spreads on, until neither changes anything. before:
 * how many spaces were flooded before it spread. */
static coaming_status settle_on(settler *t, const flood_world *w, size_t before, how_far far,
                                coaming_error *error)
{
    for (;;) {
        coaming_status status = note_turn(t, before, error);
        if (status != COAMING_OK || t->work.count == before ||
            t->work.at.afloat != COAMING_AFLOAT_YES)
            return status;
        status = coaming_flotation_solve(t->flotation, t->flooded, &t->work.at, error);
        if (status != COAMING_OK ||
            (far == WHILE_AFLOAT && t->work.at.afloat != COAMING_AFLOAT_YES))
            return status;
        before = t->work.count;
        flood_spread(&t->plan, w, &t->work, t->flooded);
    }
}

/* Fills t->work; from: a state to go on from, or NULL for the undamaged ship. */
static coaming_status settle(settler *t, const flood_world *w, const settled *from,
                             coaming_error *error)
{
    begin(t, from);
    size_t before = t->work.count;
    flood_spread(&t->plan, w, &t->work, t->flooded);
    return settle_on(t, w, before, TO_THE_END, error);
}

static coaming_answer answer_of(bool untested_pass)
{
    return untested_pass ? COAMING_UNTESTED_LEAK : COAMING_AS_TESTED;
}

/* --- a closure that holds --- */

/* Places of the order that a closure keeps dry by holding, less a run among them. */
typedef struct {
    size_t first, last, but_first, but_last;
} kept_dry;

/* Of the sources that the course was made with, the part in which the place stands: *from its source.
 * False: it is a part of what the outside floods. */
static bool part_of(const course *c, size_t place, size_t *from, size_t *to)
{
    bool found = false;
    *to = course_turn_end(c, 0);
    for (size_t i = 0; i < c->end.count && c->end.by[i] < 0; i++) {
        size_t at = (size_t)course_place(c, c->end.spaces[i]);
        if (at <= place && (!found || at > *from)) {
            *from = at;
            found = true;
        } else if (at > place && at < *to) {
            *to = at;
        }
    }
    return found;
}

/* What the sources at hand do not reach: they need not be those of the course, but are joined to
 * them in the first turn. False: they reach all. */
static bool what_goes(const course *c, const flood_world *w, const course_hanging *h, kept_dry *k)
{
    size_t from = 0, to = 0;
    *k = (kept_dry){h->first, h->last, 0, 0};
    if (h->turn > 0)
        return true;
    bool of_source = part_of(c, h->first, &from, &to), beyond = false, before = false;
    for (size_t i = 0; i < w->sources; i++) {
        int place = w->source[i] < 0 ? -1 : course_place(c, w->source[i]);
        if (place < 0)
            continue;
        size_t at = (size_t)place;
        bool hangs = at >= h->first && at < h->last;
        beyond = beyond || hangs;
        before = before || (!hangs && of_source && at >= from && at < to);
    }
    if (!beyond)
        return true;
    *k = (kept_dry){from, to, h->first, h->last};
    return of_source && !before;
}

/* Fills t->work with what the course has up to the end of the turn, less what stays dry. */
static void take_over(settler *t, const course *c, size_t turn, const kept_dry *k)
{
    size_t after = course_turn_end(c, turn);
    begin(t, NULL);
    for (size_t i = 0; i < after; i++)
        t->flooded[c->end.spaces[i]] = true;
    for (size_t i = k->first; i < k->last; i++)
        if (i < k->but_first || i >= k->but_last)
            t->flooded[c->order[i]] = false;
    for (size_t i = 0; i < after; i++)
        if (t->flooded[c->end.spaces[i]])
            flood_take(&t->work, t->flooded, c->end.spaces[i], c->end.by[i]);
    t->work.at = c->turns[turn].at;
    t->work.afloat_count = c->turns[turn].before;
}

/* The course with w->forced holding, into t->held; or its own end where that is the same. */
static coaming_status hold_in(settler *t, const flood_world *w, const course *c,
                              const settled **out, coaming_error *error)
{
    course_hanging h;
    kept_dry dry;
    *out = &c->end;
    if (!course_hangs(c, t->ship, w->forced, &h) || !what_goes(c, w, &h, &dry))
        return COAMING_OK;
    take_over(t, c, h.turn, &dry);
    coaming_status status = settle_on(t, w, c->turns[h.turn].before, TO_THE_END, error);
    copy_state(&t->held, &t->work);
    memcpy(t->held_flooded, t->flooded, t->ship->space_count * sizeof *t->flooded);
    *out = &t->held;
    return status;
}

/* --- courses --- */

static void mark_component(settler *t, const flood_world *w, int *component, int first)
{
    size_t before = t->work.count;
    flood_take(&t->work, t->flooded, first, -1);
    flood_spread_from(&t->plan, w, &t->work, t->flooded, before);
    for (size_t i = before; i < t->work.count; i++)
        component[t->work.spaces[i]] = first;
}

/* What is joined at the intact plane. */
static bool find_components(settler *t, bool untested_pass)
{
    size_t n = t->ship->space_count;
    int *component = arena_new(&t->memory, n, sizeof *component);
    flood_world w = {NULL, 0, answer_of(untested_pass), -1, false, NULL};
    if (!component)
        return false;
    begin(t, NULL);
    flood_spread(&t->plan, &w, &t->work, t->flooded);
    for (size_t i = 0; i < n; i++)
        component[i] = t->flooded[i] ? WITH_OUTSIDE : DRY_INTACT;
    for (size_t i = 0; i < n; i++)
        if (component[i] == DRY_INTACT && flood_space_wet(&t->plan, &t->work.at, (int)i))
            mark_component(t, &w, component, (int)i);
    t->component[untested_pass] = component;
    return true;
}

static coaming_status course_from(settler *t, coaming_place source, bool untested_pass,
                                  course **slot, coaming_error *error)
{
    flood_world w = {&source, 1, answer_of(untested_pass), -1, false, NULL};
    coaming_status status = *slot ? COAMING_OK : settle(t, &w, NULL, error);
    if (status != COAMING_OK || *slot)
        return status;
    course *made = arena_new(&t->memory, 1, sizeof *made);
    if (!made ||
        !course_make(made, &t->memory, &t->room, &t->plan, &w, &t->work, t->turns, t->turn_count)) {
        error_memory(error);
        return COAMING_MEMORY;
    }
    *slot = made;
    return COAMING_OK;
}

/* Does a source that is dry at first come under while all that the outside floods comes to rest? */
static bool comes_under(const settler *t, const course *outside, int source)
{
    for (size_t i = 0; i < outside->turn_count; i++)
        if (flood_space_wet(&t->plan, &outside->turns[i].at, source))
            return true;
    return flood_space_wet(&t->plan, &outside->end.at, source);
}

coaming_status settler_group(settler *t, coaming_place source, bool untested_pass, int *group,
                             coaming_error *error)
{
    *group = 0;
    if (source < 0)
        return COAMING_OK;
    if (!t->component[untested_pass] && !find_components(t, untested_pass))
        return error_memory(error);
    int joined = t->component[untested_pass][source];
    if (joined >= 0)
        *group = joined + 1;
    if (joined != DRY_INTACT)
        return COAMING_OK;
    course **outside = &t->courses[untested_pass][0];
    coaming_status status = course_from(t, COAMING_SEA, untested_pass, outside, error);
    if (status == COAMING_OK && comes_under(t, *outside, source))
        *group = source + 1;
    return status;
}

coaming_status settler_alike(settler *t, coaming_place source, bool untested_pass,
                             const course **out, coaming_error *error)
{
    int group;
    coaming_status status = settler_group(t, source, untested_pass, &group, error);
    if (status != COAMING_OK)
        return status;
    course **slot = &t->courses[untested_pass][group];
    status = course_from(t, group ? group - 1 : COAMING_SEA, untested_pass, slot, error);
    *out = *slot;
    return status;
}

bool settler_among(const settler *t, const settled *s, coaming_place place)
{
    if (place < 0)
        return true; /* the outside always has water */
    if (s == &t->work || s == &t->held)
        return s == &t->work ? t->flooded[place] : t->held_flooded[place];
    if (t->last && s == &t->last->end)
        return course_place(t->last, place) >= 0;
    for (size_t i = 0; i < s->count; i++)
        if (s->spaces[i] == place)
            return true;
    return false;
}

/* Water goes on from `held` by a link that gives way; into t->work, or held itself if nothing
 * comes of it. */
static coaming_status give_way(settler *t, const flood_world *w, const settled *held,
                               const settled **out, coaming_error *error)
{
    const flood_link *l = &t->plan.links[w->forced];
    bool a = settler_among(t, held, l->a), b = settler_among(t, held, l->b);
    coaming_place far = a ? l->b : l->a;
    *out = held;
    if (a == b || !settler_wet(t, held, w->forced) || !flood_space_wet(&t->plan, &held->at, far))
        return COAMING_OK;
    size_t turns = held == &t->held ? t->turn_count : 0;
    begin(t, held);
    t->turn_count = turns;
    flood_take(&t->work, t->flooded, far, w->forced);
    flood_spread_from(&t->plan, w, &t->work, t->flooded, held->count);
    *out = &t->work;
    return settle_on(t, w, held->count, TO_THE_END, error);
}

coaming_status settler_pair(settler *t, coaming_place source, bool untested_pass, int closure,
                            const settled **held, const settled **passing, coaming_error *error)
{
    flood_world w = {&source, 1, answer_of(untested_pass), closure, false, NULL};
    coaming_status status = settler_alike(t, source, untested_pass, &t->last, error);
    t->turn_count = 0;
    if (status == COAMING_OK)
        status = hold_in(t, &w, t->last, held, error);
    w.forced_passes = true;
    return status == COAMING_OK ? give_way(t, &w, *held, passing, error) : status;
}

bool settler_came_under(const settler *t, const settled *passing, int space)
{
    for (size_t i = 0; i < t->turn_count; i++)
        if (flood_space_wet(&t->plan, &t->turns[i].at, space))
            return true;
    return flood_space_wet(&t->plan, &passing->at, space);
}

/* --- states from the start --- */

static bool same_breach(const settler *t, const int *spaces, size_t count, coaming_answer answer)
{
    return t->breached && t->breached_count == count && t->breach_answer == answer &&
           memcmp(t->breached, spaces, count * sizeof *spaces) == 0;
}

/* The course of a breach, which many closures are asked of one after another. */
static coaming_status breach_course(settler *t, const flood_world *w, coaming_error *error)
{
    if (same_breach(t, w->source, w->sources, w->answer))
        return COAMING_OK;
    flood_world free_world = *w;
    free_world.forced = -1;
    t->breached = NULL;
    arena_free(&t->breach_memory);
    coaming_status status = settle(t, &free_world, NULL, error);
    if (status != COAMING_OK)
        return status;
    int *spaces = arena_new(&t->breach_memory, w->sources, sizeof *spaces);
    if (!spaces || !course_make(&t->breach, &t->breach_memory, &t->room, &t->plan, &free_world,
                                &t->work, t->turns, t->turn_count))
        return error_memory(error);
    memcpy(spaces, w->source, w->sources * sizeof *spaces);
    t->breached = spaces;
    t->breached_count = w->sources;
    t->breach_answer = w->answer;
    return COAMING_OK;
}

coaming_status settler_breach(settler *t, const int *spaces, size_t count, coaming_answer answer,
                              int held, const settled **out, coaming_error *error)
{
    flood_world w = {spaces, count, answer, held, false, NULL};
    coaming_status status = held < 0 ? settle(t, &w, NULL, error) : breach_course(t, &w, error);
    if (status != COAMING_OK || held < 0) {
        *out = &t->work;
        return status;
    }
    status = hold_in(t, &w, &t->breach, out, error);
    if (status == COAMING_OK)
        begin(t, *out);
    *out = &t->work;
    return status;
}

/* Breaches of the same parts flood alike; of a space that is dry at first, only its own. */
static int part_key(const settler *t, bool untested_pass, int space)
{
    int joined = t->component[untested_pass][space];
    return joined == DRY_INTACT ? -10 - space : joined;
}

static breach_way *find_way(settler *t, coaming_answer answer, const int parts[2])
{
    for (size_t i = t->way_count; i-- > 0;)
        if (t->ways[i].answer == answer && t->ways[i].parts[0] == parts[0] &&
            t->ways[i].parts[1] == parts[1])
            return &t->ways[i];
    return NULL;
}

/* Sums of what is taken of her, for a way that t->work has come to the end of. Contents weigh the
 * less the more is flooded: no closure that holds leaves less displacement than the end of the way. */
static void sum_taken(const settler *t, breach_way *way)
{
    const course *c = &way->way;
    for (size_t i = 0; i < c->end.count; i++)
        way->taken[i + 1] = way->taken[i] + flotation_takes(t->flotation, c->order[i]);
    way->most = flotation_spare(t->flotation, t->flooded);
    way->most += 1e-9 * (way->taken[c->end.count] + fabs(way->most)); /* rounding decides nothing */
}

/* Is she lost by volume alone, with what the course has up to the end of the turn, less what stays
 * dry? */
static bool too_much(const breach_way *way, size_t turn, const kept_dry *k)
{
    const double *taken = way->taken;
    double dry = taken[k->last] - taken[k->first] - (taken[k->but_last] - taken[k->but_first]);
    return taken[course_turn_end(&way->way, turn)] - dry > way->most;
}

/* Made with one space of each part, so that a link is a bridge for all breaches of these parts or for
 * none; what the outside floods needs no source. */
static coaming_status add_way(settler *t, const flood_world *w, const int parts[2],
                              coaming_error *error)
{
    coaming_place source[2];
    flood_world as_is = {source, 0, w->answer, -1, false, NULL};
    for (size_t i = 0; i < w->sources; i++) {
        int key = part_key(t, w->answer == COAMING_UNTESTED_LEAK, w->source[i]);
        if (key != WITH_OUTSIDE && (i == 0 || parts[0] != parts[1]))
            source[as_is.sources++] = w->source[i];
    }
    coaming_status status = settle(t, &as_is, NULL, error);
    if (status != COAMING_OK)
        return status;
    if (!MEMORY_ROOM(t->ways, t->way_count, t->way_room))
        return error_memory(error);
    breach_way *way = &t->ways[t->way_count];
    *way = (breach_way){.answer = w->answer, .parts = {parts[0], parts[1]}};
    for (int side = 0; side < 2; side++)
        way->saves[side] = arena_new(&t->memory, t->work.count, 1);
    way->taken = arena_new(&t->memory, t->work.count + 1, sizeof *way->taken);
    if (!way->saves[0] || !way->saves[1] || !way->taken ||
        !course_make(&way->way, &t->memory, &t->room, &t->plan, &as_is, &t->work, t->turns,
                     t->turn_count))
        return error_memory(error);
    sum_taken(t, way);
    t->way_count++;
    return COAMING_OK;
}

static coaming_status way_of(settler *t, const flood_world *w, breach_way **out,
                             coaming_error *error)
{
    bool untested = w->answer == COAMING_UNTESTED_LEAK;
    if (!t->component[untested] && !find_components(t, untested))
        return error_memory(error);
    int one = part_key(t, untested, w->source[0]);
    int other = w->sources > 1 ? part_key(t, untested, w->source[1]) : one;
    const int parts[2] = {one < other ? one : other, one < other ? other : one};
    *out = find_way(t, w->answer, parts);
    coaming_status status = *out ? COAMING_OK : add_way(t, w, parts, error);
    if (status == COAMING_OK)
        *out = find_way(t, w->answer, parts);
    return status;
}

coaming_status settler_saves(settler *t, const int *spaces, size_t count, coaming_answer answer,
                             int closure, bool *saves, coaming_error *error)
{
    flood_world w = {spaces, count, answer, closure, false, NULL};
    breach_way *way = NULL;
    course_hanging h;
    kept_dry dry;
    coaming_status status = way_of(t, &w, &way, error);
    if (status != COAMING_OK || !way)
        return status;
    *saves = way->way.end.at.afloat == COAMING_AFLOAT_YES;
    if (!course_hangs(&way->way, t->ship, closure, &h) || !what_goes(&way->way, &w, &h, &dry))
        return COAMING_OK;
    signed char *known = &way->saves[dry.but_last > 0][h.first];
    if (!*known && too_much(way, h.turn, &dry))
        *known = -1;
    if (!*known) {
        take_over(t, &way->way, h.turn, &dry);
        status = settle_on(t, &w, way->way.turns[h.turn].before, WHILE_AFLOAT, error);
        *known = t->work.at.afloat == COAMING_AFLOAT_YES ? 1 : -1;
    }
    *saves = *known > 0;
    return status;
}

/* What goes on is let in by the undamaged ship first, as into every other answer. */
static coaming_status settle_named(settler *t, const int *spaces, size_t count,
                                   const flood_world *w, bool goes_on, coaming_error *error)
{
    begin(t, NULL);
    for (size_t i = 0; i < count; i++)
        if (!t->flooded[spaces[i]])
            flood_take(&t->work, t->flooded, spaces[i], -1);
    t->work.afloat_count = t->work.count;
    if (!goes_on)
        return coaming_flotation_solve(t->flotation, t->flooded, &t->work.at, error);
    flood_spread(&t->plan, w, &t->work, t->flooded);
    return settle_on(t, w, 0, TO_THE_END, error);
}

coaming_status settler_named(settler *t, const int *spaces, size_t count, coaming_answer answer,
                             bool goes_on, const settled **out, coaming_error *error)
{
    flood_world w = {NULL, 0, answer, -1, false, NULL};
    *out = &t->work;
    return settle_named(t, spaces, count, &w, goes_on, error);
}

coaming_status settler_named_held(settler *t, const int *spaces, size_t count,
                                  coaming_answer answer, int held, const settled **out,
                                  coaming_error *error)
{
    flood_world w = {NULL, 0, answer, held, false, NULL};
    *out = &t->work;
    return settle_named(t, spaces, count, &w, true, error);
}

const course_turn *settler_turns(const settler *t, size_t *count)
{
    *count = t->turn_count;
    return t->turns;
}

coaming_status settler_on(settler *t, const settled *from, const settler_links *links,
                          const settled **out, coaming_error *error)
{
    flood_world w = {links->source, links->sources, COAMING_AS_TESTED, -1, false, links->passes};
    *out = &t->work;
    return settle(t, &w, from, error);
}

coaming_status settled_keep(const settled *s, arena *memory, settled *copy, coaming_error *error)
{
    int *spaces = arena_new(memory, s->count, sizeof *spaces);
    int *by = arena_new(memory, s->count, sizeof *by);
    if (!spaces || !by)
        return error_memory(error);
    *copy = (settled){spaces, by, 0, 0, s->at};
    copy_state(copy, s);
    return COAMING_OK;
}

size_t settler_next(settler *t, coaming_answer answer, const coaming_float *at)
{
    flood_world w = {NULL, 0, answer, -1, false, NULL};
    size_t before = t->work.count;
    t->work.at = *at;
    flood_spread(&t->plan, &w, &t->work, t->flooded);
    return before;
}

const bool *settler_flooded(const settler *t)
{
    return t->flooded;
}

coaming_status settler_base(settler *t, coaming_place source, bool untested_pass,
                            const settled **out, coaming_error *error)
{
    settled *base = &t->base[untested_pass][source < 0 ? 0 : source + 1];
    *out = base;
    if (base->spaces)
        return COAMING_OK;
    flood_world w = {&source, 1, answer_of(untested_pass), -1, false, NULL};
    coaming_status status = settle(t, &w, NULL, error);
    if (status != COAMING_OK)
        return status;
    return settled_keep(&t->work, &t->memory, base, error);
}
