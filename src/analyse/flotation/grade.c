#include "coaming/grade.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "base/error.h"
#include "base/order.h"
#include "ship/state.h"

#define TEXT_1(code, text)       text,
#define TEXT_2(code, word, text) text,
#define WORD(code, word, text)   word,

const char *coaming_grade_word(coaming_grade grade)
{
    static const char *const words[] = {COAMING_GRADE_TABLE(WORD)};
    return words[grade];
}

const char *coaming_grade_text(coaming_grade grade)
{
    static const char *const texts[] = {COAMING_GRADE_TABLE(TEXT_2)};
    return texts[grade];
}

const char *coaming_limit_text(coaming_limit limit)
{
    static const char *const texts[] = {COAMING_LIMIT_TABLE(TEXT_1)};
    return texts[limit];
}

double coaming_survival_factor(bool passenger, double heel, double greatest, double range)
{
    double tilt = fabs(heel), least = passenger ? 7 : 25, most = passenger ? 15 : 30;
    double k = tilt <= least ? 1 : tilt >= most ? 0 : sqrt((most - tilt) / (most - least));
    double arm = fmin(fmax(greatest, 0), 0.12) / 0.12, span = fmin(fmax(range, 0), 16) / 16;
    return k * pow(arm * span, 0.25);
}

/* --- openings --- */

typedef struct {
    coaming_flotation *f;
    const bool *flooded;
    const grade_terms *terms;
} state;

static bool passes(const state *w, int link)
{
    const grade_terms *t = w->terms;
    if (t->leaks && t->leaks[link])
        return true;
    return !(t->held && t->held[link]) &&
           link_passes(&w->f->ship->links[link], t->condition, COAMING_WATER,
                       t->answer != COAMING_AS_BUILT, t->answer == COAMING_UNTESTED_LEAK);
}

/* Does it keep water out by its make? What a test found failed does not. */
static bool kept_out(const state *w, int link)
{
    const ship_link *l = &w->f->ship->links[link];
    bool failed = l->result == COAMING_FAIL;
    if (w->terms->leaks && w->terms->leaks[link])
        return false;
    return l->protected && !(failed && w->terms->answer != COAMING_AS_BUILT);
}

static bool wet(const state *w, coaming_place place)
{
    return place < 0 || w->flooded[place] || w->f->open_by_design[place];
}

/* Marks spaces that are not flooded and in which water takes buoyancy, or that lead on to one. */
static void mark_inlets(const state *w)
{
    const coaming_ship *ship = w->f->ship;
    size_t count = 0;
    size_t left = 0; /* dry ones that may yet be found to lead on */
    for (size_t s = 0; s < ship->space_count; s++) {
        bool dry = !wet(w, (int)s);
        w->f->inlet[s] = dry && ship->spaces[s].inside->faces > 0;
        if (w->f->inlet[s])
            w->f->queue[count++] = (int)s;
        else
            left += dry;
    }
    for (size_t i = 0; left && i < count; i++) {
        int s = w->f->queue[i];
        for (int j = ship->first[s]; j < ship->first[s + 1]; j++) {
            const ship_link *l = &ship->links[ship->incident[j]];
            coaming_place from = l->a == s ? l->b : l->a;
            if (wet(w, from) || w->f->inlet[from] || !passes(w, ship->incident[j]))
                continue;
            w->f->inlet[from] = true;
            w->f->queue[count++] = from;
            left--;
        }
    }
}

/* Of a dry space. Where every space has part of it inside the hull nothing need be marked. */
static bool is_inlet(const state *w, coaming_place dry)
{
    return w->f->leads_on ? w->f->inlet[dry] : w->f->ship->spaces[dry].inside->faces > 0;
}

static void look_at(const state *w, int link)
{
    const ship_link *l = &w->f->ship->links[link];
    opening_list *list = &w->f->openings;
    if (wet(w, l->a) != wet(w, l->b) && is_inlet(w, wet(w, l->a) ? l->b : l->a) &&
        passes(w, link) && !kept_out(w, link))
        list->link[list->count++] = link;
}

/* Of a space that is wet. */
static void look_round(const state *w, int space)
{
    const coaming_ship *ship = w->f->ship;
    for (int j = ship->first[space]; j < ship->first[space + 1]; j++)
        look_at(w, ship->incident[j]);
}

/* Each has one wet side, and is looked at from there. In file order. */
static void list_openings(const state *w)
{
    const coaming_flotation *f = w->f;
    opening_list *list = &w->f->openings;
    const bool *end = w->flooded + f->ship->space_count;
    if (f->leads_on)
        mark_inlets(w);
    list->count = 0;
    for (size_t i = 0; i < f->outside_count; i++)
        look_at(w, f->outside[i]);
    for (size_t i = 0; i < f->open_count; i++)
        if (!w->flooded[f->open[i]])
            look_round(w, f->open[i]);
    for (const bool *at = w->flooded; at < end; at++) {
        if (!*at)
            at = memchr(at, 1, (size_t)(end - at));
        if (!at)
            break;
        look_round(w, (int)(at - w->flooded));
    }
    qsort(list->link, list->count, sizeof *list->link, order_ints);
}

/* What is the same for every grade. */
static void note_ship(coaming_flotation *f)
{
    const coaming_ship *ship = f->ship;
    mark_open_by_design(ship, f->loading, f->open_by_design);
    for (size_t s = 0; s < ship->space_count; s++) {
        f->leads_on = f->leads_on || !ship->spaces[s].inside->faces;
        if (f->open_by_design[s])
            f->open[f->open_count++] = (int)s;
    }
    for (size_t l = 0; l < ship->link_count; l++)
        if (ship->links[l].a < 0 || ship->links[l].b < 0)
            f->outside[f->outside_count++] = (int)l;
}

static bool make_room(coaming_flotation *f)
{
    size_t spaces = f->ship->space_count;
    if (f->openings.link)
        return true;
    f->open_by_design = arena_new(&f->memory, spaces, sizeof *f->open_by_design);
    f->inlet = arena_new(&f->memory, spaces, sizeof *f->inlet);
    f->queue = arena_new(&f->memory, spaces, sizeof *f->queue);
    f->openings.link = arena_new(&f->memory, f->ship->link_count, sizeof *f->openings.link);
    f->open = arena_new(&f->memory, spaces, sizeof *f->open);
    f->outside = arena_new(&f->memory, f->ship->link_count, sizeof *f->outside);
    if (!f->open_by_design || !f->inlet || !f->queue || !f->openings.link || !f->open ||
        !f->outside)
        return false;
    note_ship(f);
    return true;
}

/* --- grades --- */

/* Degrees: of less range than this she has none; with less heel than that she is upright. */
#define LEAST_RANGE 1e-9
#define LEAST_HEEL  1e-6

/* Limits that the position alone decides. */
static void limit_at_rest(const state *w, const coaming_float *at, coaming_stability *out)
{
    bool named = w->f->ship->bulkhead_deck >= 0;
    out->passed[named ? COAMING_LIMIT_BULKHEAD_DECK : COAMING_LIMIT_DECK] = at->freeboard < 0;
    out->passed[COAMING_LIMIT_HEEL] = fabs(at->heel) > 15;
    double lowest = 0;
    for (size_t i = 0; i < w->f->openings.count; i++) {
        double height = coaming_float_height(w->f->ship, at, w->f->openings.link[i]);
        if (height >= lowest)
            continue;
        lowest = height;
        out->passed[COAMING_LIMIT_OPENING] = true;
        out->flooding_opening = w->f->openings.link[i];
        out->flooding_angle = fabs(at->heel);
    }
}

/* Is s 0 whatever the arms are? */
static bool no_factor(const state *w, const coaming_float *at, const coaming_stability *out)
{
    plane water = flotation_plane(w->f, at);
    return out->passed[COAMING_LIMIT_OPENING] || deck_crossed(w->f->ship, &water);
}

/* The arms to one side, up to the flooding angle. False: none at all. */
static bool measure(const state *w, const coaming_float *at, double side, coaming_stability *out)
{
    arm_curve *a = arms_of(w->f, w->flooded, at, side);
    double limit = COAMING_HEEL_MOST, end = limit, range;
    if (w->terms->detail == ARMS_FACTOR && no_factor(w, at, out) && arms_rise(w->f, w->flooded, a))
        return true;
    out->flooding_angle = NAN;
    range = arms_range(w->f, w->flooded, a, w->terms->detail);
    if (!(range > LEAST_RANGE))
        return false;
    if (w->terms->detail != ARMS_ALL)
        end = a->start + range;
    if (arms_flooding(w->f, w->flooded, a, &w->f->openings, end, &limit, &out->flooding_opening))
        out->flooding_angle = limit;
    else
        limit = COAMING_HEEL_MOST;
    arms_measure(w->f, w->flooded, a, limit, w->terms->detail, &out->righting);
    if (w->terms->detail != ARMS_ALL)
        return true;
    arms_put(w->f, w->flooded, a, &out->righting);
    out->arm_count = COAMING_RIGHTING_ARMS;
    while (out->arm_count > 1 && (out->arm_count - 1) * COAMING_RIGHTING_STEP > limit)
        out->arm_count--;
    return true;
}

/* Does any arm turn her back on this side? */
static bool turns_back(coaming_flotation *f, const bool *flooded, const coaming_float *at,
                       double side)
{
    arm_curve *a = arms_of(f, flooded, at, side);
    return arms_rise(f, flooded, a) || arms_range(f, flooded, a, ARMS_FACTOR) > LEAST_RANGE;
}

bool flotation_turns_back(coaming_flotation *f, const bool *flooded, const coaming_float *at)
{
    double side = at->heel < 0 ? -1 : 1;
    return turns_back(f, flooded, at, side) &&
           (fabs(at->heel) > LEAST_HEEL || turns_back(f, flooded, at, -side));
}

/* Upright she may go either way: the worse side counts. */
static bool measure_worse(const state *w, const coaming_float *at, coaming_stability *out)
{
    if (fabs(at->heel) > LEAST_HEEL)
        return measure(w, at, at->heel < 0 ? -1 : 1, out);
    coaming_stability starboard = *out;
    if (!measure(w, at, 1, out) || !measure(w, at, -1, &starboard))
        return false;
    bool alike = !righting_worse(&out->righting, &starboard.righting);
    if (righting_worse(&starboard.righting, &out->righting) ||
        (alike && starboard.flooding_opening >= 0 &&
         !(starboard.flooding_angle >= out->flooding_angle)))
        *out = starboard;
    return true;
}

static void decide(const state *w, const coaming_float *at, coaming_stability *out)
{
    const coaming_righting *r = &out->righting;
    out->passed[COAMING_LIMIT_RANGE] = r->range < 7;
    out->passed[COAMING_LIMIT_ARM] = r->greatest < 0.05;
    out->s = no_factor(w, at, out) ? 0
                                   : coaming_survival_factor(ship_takes_passengers(w->f->ship),
                                                             at->heel, r->greatest, r->range);
    out->grade = out->s < 1 ? COAMING_GRADE_BEYOND : COAMING_GRADE_WITHIN;
}

static void add_limits(coaming_stability *out)
{
    for (int i = 0; i < COAMING_LIMITS; i++)
        if (out->passed[i])
            out->grade = COAMING_GRADE_NOT_SURVIVING;
}

static const coaming_stability lost = {
    .grade = COAMING_GRADE_LOST, .flooding_angle = NAN, .flooding_opening = -1};

static void grade_here(const state *w, coaming_float *at, coaming_stability *out)
{
    *out = lost;
    out->grade = COAMING_GRADE_WITHIN;
    limit_at_rest(w, at, out);
    if (!measure_worse(w, at, out)) {
        bool sided = fabs(at->heel) > LEAST_HEEL && !at->either_side;
        int side = !sided ? 0 : at->heel < 0 ? -1 : 1;
        *at = flotation_nowhere(w->f, w->flooded, COAMING_AFLOAT_CAPSIZES);
        at->capsizes_to = side;
        *out = lost;
        return;
    }
    double side = at->heel < 0 ? -1 : 1;
    at->loll =
        at->heel != 0 && !arms_upright(w->f, w->flooded, arms_of(w->f, w->flooded, at, side));
    decide(w, at, out);
    add_limits(out);
}

/* Where she may as well lie to starboard the openings may be worse there: the worse side counts. */
static void grade_sides(const state *w, coaming_float *at, coaming_stability *out)
{
    coaming_float mirror = *at;
    coaming_stability other;
    grade_here(w, at, out);
    if (!at->either_side)
        return;
    mirror.heel = -mirror.heel;
    mirror.normal[1] = -mirror.normal[1];
    grade_here(w, &mirror, &other);
    if (other.grade > out->grade ||
        (other.grade == out->grade && righting_worse(&other.righting, &out->righting))) {
        *out = other;
        *at = mirror;
    }
}

static bool was_asked(const kept_grade *k, const coaming_float *at, const grade_terms *terms)
{
    return k->known && k->condition == terms->condition && k->detail == terms->detail &&
           same_rest(&k->asked, at);
}

/* Of a ship afloat. Of two states of her closures in which the same openings let water in, the second
 * costs nothing. */
static graded grade_afloat(const state *w, const coaming_float *at)
{
    arm_detail detail = w->terms->detail;
    graded g = {.at = *at};
    list_openings(w);
    const graded *known = kept_opened(w->f, w->flooded, at, detail);
    if (known)
        return *known;
    grade_sides(w, &g.at, &g.stability);
    kept_add_opened(w->f, w->flooded, at, detail, &g);
    return g;
}

/* Many closures lead to the same flooded spaces, and the same grade. */
coaming_status flotation_grade(coaming_flotation *f, const bool *flooded, coaming_float *at,
                               const grade_terms *terms, coaming_stability *out,
                               coaming_error *error)
{
    state w = {f, flooded, terms};
    *out = lost;
    if (!make_room(f))
        return error_memory(error);
    if (at->afloat != COAMING_AFLOAT_YES)
        return COAMING_OK;
    bool as_is = !terms->held && !terms->leaks;
    kept_grade *k = as_is ? kept_grade_of(f, flooded, terms->answer) : NULL;
    bool known = k && was_asked(k, at, terms);
    graded found = known ? k->found : grade_afloat(&w, at);
    if (k && !known)
        *k = (kept_grade){true, terms->condition, terms->detail, *at, found};
    *at = found.at;
    *out = found.stability;
    return COAMING_OK;
}

coaming_status coaming_flotation_grade(coaming_flotation *f, const bool *flooded, coaming_float *at,
                                       int condition, coaming_answer answer, coaming_stability *out,
                                       coaming_error *error)
{
    return flotation_grade(
        f, flooded, at,
        &(grade_terms){.condition = condition, .answer = answer, .detail = ARMS_ALL}, out, error);
}
