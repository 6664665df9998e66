#include "analyse/flotation/flotation.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/dot.h"
#include "base/error.h"
#include "base/fault.h"
#include "base/order.h"
#include "base/text.h"
#include "ship/opening.h"

static const double DEGREE = 57.29577951308232; /* in a radian */

const char *coaming_afloat_text(coaming_afloat afloat)
{
    static const char *const texts[] = {
#define TEXT(code, text) text,
        COAMING_AFLOAT_TABLE(TEXT)
#undef TEXT
    };
    return texts[afloat];
}

/* How much of the displacement a plane may be off: as good as nothing, and where what is left is
 * taken off as a slice of the waterplane on the way to where she rests. */
static const double EXACT = 1e-14, ON_THE_WAY = 2e-3;

/* What the flooded spaces that take buoyancy leave of the hull. */
typedef struct {
    size_t count;        /* of them */
    double volume;       /* with all of it under water, m3 */
    double displacement; /* that is to be under water, m3 */
    double off;          /* the part of it that may be off */
} losses;

static losses losses_of(coaming_flotation *f, const bool *flooded, double displacement)
{
    lost_choose(&f->lost, flooded);
    return (losses){f->lost.count, body_volume(&f->ship->hull->body) - f->lost.volume, displacement,
                    EXACT};
}

/* What is below the plane: the hull less the permeable part of the flooded spaces. */
static submerged below(coaming_flotation *f, const losses *l, const plane *p)
{
    submerged sum = {0};
    body_add(&f->ship->hull->body, p, 1, f->scratch, &sum);
    if (l->count)
        lost_take(&f->lost, p, f->scratch, &sum);
    return sum;
}

/* The plane whose height leaves the displacement: Newton inside a bracket, from the height d. */
static bool find_height(coaming_flotation *f, const losses *lost, double heel, double trim,
                        double d, position *at)
{
    double low, high;
    if (lost->volume <= lost->displacement)
        return false;
    plane level = plane_make(heel, trim, 0, f->middle);
    body_box_extent(&f->ship->hull->body, level.n, &low, &high);
    for (int step = 0; step < 200; step++) {
        at->plane = plane_make(heel, trim, d, f->middle);
        at->net = below(f, lost, &at->plane);
        double excess = at->net.volume - lost->displacement;
        if (fabs(excess) <= (at->net.area > 0 ? lost->off : EXACT) * lost->displacement)
            return true;
        if (high - low <= 1e-15 * (1 + fabs(d)))
            break;
        if (excess > 0)
            high = d;
        else
            low = d;
        double next = at->net.area > 0 ? d - excess / at->net.area : low;
        next = next > low && next < high ? next : (low + high) / 2;
        if (next == d)
            break;
        d = next;
    }
    return fabs(at->net.volume - lost->displacement) <= 1e-10 * lost->displacement;
}

/* What is taken to be under a plane, and whether liquids are to be level but for rounding. */
typedef struct {
    double volume, moment[3];
    bool exactly;
} immersed;

/* Levers and metacentric heights at a plane. */
static void take_levers(coaming_flotation *f, const bool *flooded, const laden *weight,
                        const immersed *in, position *at)
{
    const submerged *w = &at->net;
    laden_pull pull = laden_move(weight, f->ship, flooded, &at->plane, in->exactly, f->scratch);
    double volume = in->volume;
    double arm[3];
    for (int k = 0; k < 3; k++)
        arm[k] = weight->gravity[k] + pull.shift[k] - in->moment[k] / volume;
    at->lever[0] = dot(arm, at->plane.e1);
    at->lever[1] = dot(arm, at->plane.e2);
    at->lever[2] = dot(arm, at->plane.n);
    double area = w->area > 0 ? w->area : 1;
    at->guu = (w->auu - w->au * w->au / area) / volume - pull.uu - at->lever[2];
    at->guv = (w->auv - w->au * w->av / area) / volume - pull.uv;
    at->gvv = (w->avv - w->av * w->av / area) / volume - pull.vv - at->lever[2];
}

/* The middle of the waterplane from the plane's origin, along e1 and e2. */
static void surface_middle(const submerged *w, double *u, double *v)
{
    double area = w->area > 0 ? w->area : 1;
    *u = w->au / area;
    *v = w->av / area;
}

/* What is under the plane without a slice of so many m3 at the middle of its surface, of which the
 * middle is `deep` under it. */
static immersed without_slice(const position *at, double slice, double deep)
{
    const plane *p = &at->plane;
    immersed in = {.volume = at->net.volume - slice, .exactly = slice == 0};
    double u, v;
    surface_middle(&at->net, &u, &v);
    for (int k = 0; k < 3; k++)
        in.moment[k] = at->net.moment[k] -
                       slice * (p->origin[k] + u * p->e1[k] + v * p->e2[k] - deep * p->n[k]);
    return in;
}

/* An attitude, and the height of the plane to begin with. */
typedef struct {
    double heel, trim, d;
} stance;

static bool find_position(coaming_flotation *f, const bool *flooded, const stance *from, double off,
                          position *at)
{
    laden weight = laden_left(&f->laden, flooded);
    losses lost = losses_of(f, flooded, weight.weight);
    const submerged *w = &at->net;
    lost.off = off;
    if (!find_height(f, &lost, from->heel, from->trim, from->d, at))
        return false;
    double excess = w->volume - weight.weight;
    if (fabs(excess) <= EXACT * weight.weight || !(w->area > 0))
        excess = 0;
    at->slice = excess == 0 ? 0 : excess / w->area;
    immersed in = without_slice(at, excess, at->slice / 2);
    take_levers(f, flooded, &weight, &in, at);
    return true;
}

bool position_find(coaming_flotation *f, const bool *flooded, double heel, double trim, double d,
                   position *at)
{
    return find_position(f, flooded, &(stance){heel, trim, d}, EXACT, at);
}

/* Along the positions that balance in displacement and trim, and the trim and height that are nearest
 * to one of them: to first order in what is off. Turning the plane by a and b along e1 and e2 changes
 * the levers by the Hessian and by the turn of e1 and e2 themselves; water leaves and enters about
 * the middle of the surface, at u along e1 and v along e2. */
static void take_nearing(const coaming_flotation *f, const position *at, double u, double v,
                         double slice, nearing *to)
{
    const plane *p = &at->plane;
    double st = -p->n[0], ct = sqrt(1 - st * st), along = u + dot(p->e1, f->middle);
    double athwart = v + dot(p->e2, f->middle);
    double heel_moves = -ct * at->guv - st * at->lever[1];
    to->by = at->lever[0] / at->guu;
    to->slice = slice;
    to->lever = at->lever[1] - at->guv * to->by;
    to->trim_rate = heel_moves / at->guu;
    to->lever_rate = -ct * at->gvv - at->guv * to->trim_rate;
    to->d_rate = -along * to->trim_rate - ct * athwart;
    to->raise = -slice - along * to->by;
}

void position_rates(const coaming_flotation *f, const position *at, nearing *to)
{
    double u, v;
    surface_middle(&at->net, &u, &v);
    take_nearing(f, at, u, v, 0, to);
}

/* What is too much or too little under the plane is taken off as a slice at the middle of its
 * surface. */
bool position_near(coaming_flotation *f, const bool *flooded, double heel, double trim, double d,
                   position *at, nearing *to)
{
    laden weight = laden_left(&f->laden, flooded);
    losses lost = losses_of(f, flooded, weight.weight);
    at->plane = plane_make(heel, trim, d, f->middle);
    at->net = below(f, &lost, &at->plane);
    const submerged *w = &at->net;
    double excess = w->volume - weight.weight;
    if (!(w->area > 0) || fabs(excess) > 0.1 * weight.weight)
        return false;
    double u, v;
    surface_middle(w, &u, &v);
    immersed in = without_slice(at, excess, 0);
    in.exactly = false;
    take_levers(f, flooded, &weight, &in, at);
    if (!(at->guu > 0.1) || fabs(at->lever[0] / at->guu) > 0.1)
        return false;
    take_nearing(f, at, u, v, excess / w->area, to);
    return true;
}

/* Turns the normal by small amounts along e1 and e2 and reads heel and trim from it. */
static void turn(const plane *p, double a, double b, double *heel, double *trim)
{
    double n[3], size = 0;
    for (int k = 0; k < 3; k++) {
        n[k] = p->n[k] + a * p->e1[k] + b * p->e2[k];
        size += n[k] * n[k];
    }
    size = sqrt(size);
    *heel = atan2(-n[1], n[2]);
    *trim = asin(fmax(-1, fmin(1, -n[0] / size)));
}

/* A search for rest, at the position that it has come to. */
typedef struct {
    position at;
    double side; /* to which she is let go where nothing decides: 1 port, -1 starboard */
    bool chose;  /* it had to be decided so */
    coaming_afloat end;
} search;

/* A step down the height of gravity over buoyancy: Newton where the Hessian is positive, else along
 * its steepest bend. */
static void choose_step(search *go, double *a, double *b)
{
    const position *at = &go->at;
    double ga = at->lever[0], gb = at->lever[1];
    double half = (at->guu + at->gvv) / 2, apart = (at->guu - at->gvv) / 2;
    double root = hypot(apart, at->guv), least = half - root;
    double shift = least > 1e-6 ? 0 : 1e-3 - least;
    double uu = at->guu + shift, vv = at->gvv + shift, det = uu * vv - at->guv * at->guv;
    *a = -(vv * ga - at->guv * gb) / det;
    *b = -(uu * gb - at->guv * ga) / det;
    if (shift > 0 && fabs(gb) < 1e-9) { /* nothing decides the side: either way is as good */
        if (fabs(ga) < 1e-9) {
            double angle = atan2(at->guv, apart) / 2; /* of the stiffest direction */
            *a = go->side * 0.02 * sin(angle);
        }
        *b = go->side * -0.02;
        go->chose = true;
    }
    double size = hypot(*a, *b), most = 0.2;
    if (size > most) {
        *a *= most / size;
        *b *= most / size;
    }
}

/* The height of a plane of other heel and trim through the middle of the surface: for small turns the
 * same displacement is under it. */
static double height_through(const position *at, double heel, double trim)
{
    const plane *p = &at->plane;
    double u, v, middle[3];
    surface_middle(&at->net, &u, &v);
    for (int k = 0; k < 3; k++)
        middle[k] = p->origin[k] + u * p->e1[k] + v * p->e2[k] - at->slice * p->n[k];
    plane turned = plane_make(heel, trim, 0, middle);
    return dot(turned.n, middle);
}

/* With a lever of less than this, m, each position is an exact one. */
static const double LEVER_NEAR = 1e-6;

static double lever_of(const position *at)
{
    return hypot(at->lever[0], at->lever[1]);
}

/* Goes one step down, halved until it is one. On failure the reason: of the shortest step. */
static coaming_afloat step_down(coaming_flotation *f, const bool *flooded, search *go, double off)
{
    position *at = &go->at;
    double a, b, heel, trim, lever = lever_of(at);
    coaming_afloat reason = COAMING_AFLOAT_UNKNOWN;
    choose_step(go, &a, &b);
    for (int halving = 0; halving < 40; halving++, a /= 2, b /= 2) {
        position next;
        turn(&at->plane, a, b, &heel, &trim);
        stance to = {heel, trim, height_through(at, heel, trim)};
        if (fabs(heel) * DEGREE >= 90)
            return COAMING_AFLOAT_CAPSIZES;
        if (fabs(trim) * DEGREE >= FLOTATION_ON_END) {
            reason = COAMING_AFLOAT_PLUNGES;
        } else if (!find_position(f, flooded, &to, off, &next)) {
            reason = COAMING_AFLOAT_SINKS;
        } else {
            double down = at->lever[2] - next.lever[2];
            reason = COAMING_AFLOAT_UNKNOWN;
            /* near the bottom heights differ by rounding only: there the lever tells */
            if (down > 0 || (down > -1e-9 && lever_of(&next) < 0.5 * lever)) {
                *at = next;
                return COAMING_AFLOAT_YES;
            }
        }
    }
    return reason;
}

static bool at_rest(const position *at, double lever)
{
    bool stable = at->guu > 0 && at->guu * at->gvv - at->guv * at->guv > 0;
    return stable && at->slice == 0 && lever_of(at) < lever;
}

/* The exact position where one on the way was taken as near. */
static bool come_near(coaming_flotation *f, const bool *flooded, position *at)
{
    if (at->slice == 0)
        return true;
    double heel = atan2(-at->plane.n[1], at->plane.n[2]), trim = asin(-at->plane.n[0]);
    return position_find(f, flooded, heel, trim, at->plane.d - at->slice, at);
}

static coaming_afloat go_down(coaming_flotation *f, const bool *flooded, search *go)
{
    coaming_afloat reason = COAMING_AFLOAT_UNKNOWN;
    bool near = false;
    for (int step = 0; step < 400; step++) {
        near = near || lever_of(&go->at) < LEVER_NEAR;
        if (near && !come_near(f, flooded, &go->at))
            return COAMING_AFLOAT_UNKNOWN;
        if (at_rest(&go->at, LEVER_LEAST))
            return COAMING_AFLOAT_YES;
        reason = step_down(f, flooded, go, near ? EXACT : ON_THE_WAY);
        if (reason != COAMING_AFLOAT_YES && (near || reason != COAMING_AFLOAT_UNKNOWN))
            break;
        near = near || reason != COAMING_AFLOAT_YES; /* too coarse to tell a step down */
    }
    /* No step leads lower: rest, but for rounding, or no rest at all. */
    return at_rest(&go->at, 1e-7)         ? COAMING_AFLOAT_YES
           : reason == COAMING_AFLOAT_YES ? COAMING_AFLOAT_UNKNOWN
                                          : reason;
}

plane flotation_plane(const coaming_flotation *f, const coaming_float *at)
{
    const double *n = at->normal;
    return plane_make(atan2(-n[1], n[2]), asin(-n[0]), at->height, f->middle);
}

double flotation_water_in(const coaming_flotation *f, int space, const plane *p)
{
    const ship_space *s = &f->ship->spaces[space];
    submerged sum = {0};
    body_add(s->inside, p, s->permeability, f->scratch, &sum);
    body_add(s->above, p, s->permeability, f->scratch, &sum);
    return sum.volume;
}

double flotation_heel(const plane *p)
{
    return atan2(-p->n[1], p->n[2]) * DEGREE;
}

/* Looks for rest from where she floats, or from its mirror image. Beyond HEEL_MOST there may be a
 * balance of levers, but none that anybody calls afloat. */
static search seek(coaming_flotation *f, const bool *flooded, const coaming_float *from,
                   double side)
{
    search go = {.side = side, .end = COAMING_AFLOAT_SINKS};
    stance begin = {side * from->heel / DEGREE, asin(-from->normal[0]), from->height};
    if (!find_position(f, flooded, &begin, ON_THE_WAY, &go.at))
        return go;
    go.end = go_down(f, flooded, &go);
    if (go.end == COAMING_AFLOAT_YES && fabs(flotation_heel(&go.at.plane)) > COAMING_HEEL_MOST)
        go.end = COAMING_AFLOAT_CAPSIZES;
    return go;
}

/*
 * Of two searches that differ only in the side to which chance let her go: the one in which she is
 * lost, else the one that leads lower, which is where she has lost more buoyancy, or is heavier.
 * *either: they are each other's mirror image.
 */
static const search *deeper(const search *port, const search *starboard, bool *either)
{
    bool afloat = port->end == COAMING_AFLOAT_YES;
    *either = false;
    if (afloat != (starboard->end == COAMING_AFLOAT_YES))
        return afloat ? starboard : port;
    if (!afloat)
        return port;
    double down = port->at.lever[2] - starboard->at.lever[2],
           heel = flotation_heel(&port->at.plane);
    *either = fabs(down) < 1e-9 && fabs(heel) > 1e-6 &&
              fabs(heel + flotation_heel(&starboard->at.plane)) < 1e-4;
    return *either || down <= 0 ? port : starboard;
}

static double flooded_volume(coaming_flotation *f, const bool *flooded, const plane *p)
{
    double sum = 0;
    for (size_t s = 0; flooded && s < f->ship->space_count; s++)
        if (flooded[s])
            sum += flotation_water_in(f, (int)s, p);
    return sum;
}

double flotation_trim_angle(const plane *p)
{
    return asin(-p->n[0]) * DEGREE;
}

double flotation_draught(const plane *p, double x)
{
    return (p->d - p->n[0] * x) / p->n[2];
}

static void describe(coaming_flotation *f, const bool *flooded, const position *at,
                     coaming_float *result)
{
    const coaming_ship *ship = f->ship;
    const plane *p = &at->plane;
    result->afloat = COAMING_AFLOAT_YES;
    result->draught = flotation_draught(p, ship->length / 2);
    result->draught_aft = flotation_draught(p, 0);
    result->draught_fwd = flotation_draught(p, ship->length);
    result->trim = result->draught_fwd - result->draught_aft;
    result->heel = flotation_heel(p);
    if (fabs(result->trim) < 1e-11)
        result->trim = 0;
    result->gm = at->gvv;
    result->freeboard = deck_freeboard(ship, p);
    result->flooded_volume = flooded_volume(f, flooded, p);
    memcpy(result->normal, p->n, sizeof result->normal);
    result->height = p->d;
    if (fabs(result->heel) < 1e-9) { /* rounding of an upright ship: either side is as high */
        result->heel = 0;
        result->normal[1] = 0;
    }
}

coaming_float flotation_nowhere(const coaming_flotation *f, const bool *flooded, coaming_afloat why)
{
    return (coaming_float){.afloat = why,
                           .draught = NAN,
                           .draught_aft = NAN,
                           .draught_fwd = NAN,
                           .trim = NAN,
                           .heel = NAN,
                           .gm = NAN,
                           .displacement = laden_left(&f->laden, flooded).weight * f->ship->density,
                           .freeboard = NAN,
                           .flooded_volume = NAN,
                           .normal = {NAN, NAN, NAN},
                           .height = NAN};
}

/* from: where she floats before. */
static coaming_float solve(coaming_flotation *f, const bool *flooded, const coaming_float *from)
{
    search port = seek(f, flooded, from, 1), starboard;
    const search *found = &port;
    bool either = false;
    if (port.chose || from->either_side) {
        starboard = seek(f, flooded, from, -1);
        found = deeper(&port, &starboard, &either);
    }
    coaming_float result = flotation_nowhere(f, flooded, found->end);
    if (found->end == COAMING_AFLOAT_YES)
        describe(f, flooded, &found->at, &result);
    result.either_side = either;
    if (found->end == COAMING_AFLOAT_CAPSIZES && found == &port && !port.chose &&
        !from->either_side)
        result.capsizes_to = flotation_heel(&port.at.plane) < 0 ? -1 : 1;
    return result;
}

double flotation_takes(const coaming_flotation *f, int space)
{
    const lost_space *s = &f->lost.spaces[space];
    return s->there ? s->volume : 0;
}

double flotation_spare(const coaming_flotation *f, const bool *flooded)
{
    return body_volume(&f->ship->hull->body) - laden_left(&f->laden, flooded).weight;
}

/* Is what is left of her with all of it under water too little? */
static bool sinks_whole(coaming_flotation *f, const bool *flooded)
{
    losses left = losses_of(f, flooded, laden_left(&f->laden, flooded).weight);
    return left.volume <= left.displacement;
}

/* A ship that sinks whatever the plane is told as soon as her set is looked up: it is not kept. */
coaming_status coaming_flotation_solve(coaming_flotation *f, const bool *flooded,
                                       coaming_float *result, coaming_error *error)
{
    if (sinks_whole(f, flooded)) {
        *result = flotation_nowhere(f, flooded, COAMING_AFLOAT_SINKS);
        return COAMING_OK;
    }
    const coaming_float *kept = kept_find(f, flooded);
    if (kept) {
        *result = *kept;
        return COAMING_OK;
    }
    coaming_float found = solve(f, flooded, &f->intact);
    if (!kept_add(f, flooded, &found))
        return error_memory(error);
    *result = found;
    return COAMING_OK;
}

void coaming_flotation_free(coaming_flotation *f)
{
    if (!f)
        return;
    kept_free(f);
    arena_free(&f->memory);
    memory_free(f);
}

static size_t greater(size_t a, size_t b)
{
    return a > b ? a : b;
}

static bool make_room(coaming_flotation *f)
{
    const coaming_ship *ship = f->ship;
    size_t largest = ship->hull->body.largest;
    for (size_t s = 0; s < ship->space_count; s++)
        largest = greater(largest,
                          greater(ship->spaces[s].inside->largest, ship->spaces[s].above->largest));
    f->scratch = arena_new(&f->memory, 7 * (largest + 8), sizeof *f->scratch);
    f->kept_key = arena_new(&f->memory, order_words(ship->space_count), sizeof *f->kept_key);
    f->kept_most = FLOTATION_KEPT;
    const double middle[] = {ship->length / 2, 0, ship->depth / 2};
    return f->scratch && f->kept_key && lost_make(&f->lost, &f->memory, ship, middle);
}

/* As <ship> says, without a loading. */
static ship_loading loading_of(const coaming_flotation *f)
{
    const coaming_ship *s = f->ship;
    if (f->loading >= 0)
        return s->loadings[f->loading];
    return (ship_loading){.draught = s->draught, .kg = s->kg, .lcg = s->lcg, .tcg = s->tcg};
}

static coaming_status refuse(coaming_flotation *f, const char *why)
{
    snprintf(f->refused, sizeof f->refused, "%s", why);
    return COAMING_INPUT;
}

static coaming_status float_intact(coaming_flotation *f, const coaming_float *from,
                                   coaming_error *error)
{
    char why[sizeof f->refused];
    f->intact = solve(f, NULL, from);
    if (f->intact.afloat == COAMING_AFLOAT_YES)
        return kept_add(f, NULL, &f->intact) ? COAMING_OK : error_memory(error);
    bool contents = f->loading >= 0 && f->ship->loadings[f->loading].content_count;
    snprintf(why, sizeof why, "undamaged she %s; check %s", coaming_afloat_text(f->intact.afloat),
             contents ? "kg, draft and contents" : "kg and draft");
    return refuse(f, why);
}

/* Without lcg and tcg the centre is where it lies over that of buoyancy in the plane at rest, with
 * the liquids as they are then. */
static void place_gravity(coaming_flotation *f, const ship_loading *l, const plane *still,
                          const submerged *w)
{
    laden_pull pull = laden_move(&f->laden, f->ship, NULL, still, true, f->scratch);
    double up = (l->kg + pull.shift[2] - w->moment[2] / w->volume) / still->n[2];
    f->laden.gravity[0] = l->lcg;
    if (isnan(l->lcg))
        f->laden.gravity[0] = w->moment[0] / w->volume + up * still->n[0] - pull.shift[0];
    f->laden.gravity[1] = l->tcg;
    if (isnan(l->tcg))
        f->laden.gravity[1] = w->moment[1] / w->volume - pull.shift[1];
    f->laden.gravity[2] = l->kg;
}

static bool overladen(const laden *w)
{
    double sum = 0;
    for (size_t i = 0; i < w->liquid_count; i++)
        sum += w->liquids[i].weight;
    return sum >= w->weight;
}

/* Displacement and centre of gravity from the intact draught and trim. */
static coaming_status weigh(coaming_flotation *f, coaming_error *error)
{
    const coaming_ship *ship = f->ship;
    ship_loading l = loading_of(f);
    double trim = atan2(l.trim, ship->length);
    f->middle[0] = ship->length / 2;
    f->middle[2] = l.draught;
    plane level = plane_make(0, trim, 0, f->middle);
    plane still = plane_make(0, trim, dot(level.n, f->middle), f->middle);
    submerged w = below(f, &(losses){0}, &still);
    if (!(w.volume > 0))
        return refuse(f, "the hull has no volume below the draught");
    if (!laden_make(&f->laden, ship, &l, f->scratch, &f->memory))
        return error_memory(error);
    f->laden.weight = w.volume;
    if (overladen(&f->laden))
        return refuse(f, "its contents weigh more than she displaces at her draft");
    place_gravity(f, &l, &still, &w);
    coaming_float upright = {.normal = {still.n[0], still.n[1], still.n[2]}, .height = still.d};
    return float_intact(f, &upright, error);
}

coaming_status flotation_begin(const coaming_ship *ship, int loading, coaming_flotation **flotation,
                               coaming_error *error)
{
    coaming_flotation *f = *flotation = memory_new(1, sizeof *f);
    if (!f)
        return error_memory(error);
    f->ship = ship;
    f->loading = loading;
    return make_room(f) ? weigh(f, error) : error_memory(error);
}

static void add_liquids(const laden *of, double share, double *weight, double moment[3])
{
    for (size_t i = 0; i < of->liquid_count; i++) {
        double heavy = share * of->liquids[i].weight;
        *weight += heavy;
        for (int k = 0; k < 3; k++)
            moment[k] += heavy * of->liquids[i].centre[k];
    }
}

/* Displacement and centre of gravity of her own weight, and then of what is put in. */
static void reweigh(laden *w, const laden *own)
{
    double weight = own->weight, moment[3];
    for (int k = 0; k < 3; k++)
        moment[k] = own->weight * own->gravity[k];
    add_liquids(own, -1, &weight, moment);
    add_liquids(w, 1, &weight, moment);
    w->weight = weight;
    for (int k = 0; k < 3; k++)
        w->gravity[k] = moment[k] / weight;
}

coaming_status flotation_refilled(const coaming_flotation *of, const loading_content *contents,
                                  size_t count, const coaming_float *near,
                                  coaming_flotation **flotation, coaming_error *error)
{
    const ship_loading filled = {.contents = contents, .content_count = count};
    coaming_flotation *f = memory_new(1, sizeof *f);
    if (!f)
        return error_memory(error);
    f->ship = of->ship;
    f->loading = of->loading;
    if (!make_room(f) || !laden_make(&f->laden, f->ship, &filled, f->scratch, &f->memory)) {
        coaming_flotation_free(f);
        return error_memory(error);
    }
    memcpy(f->middle, of->middle, sizeof f->middle);
    reweigh(&f->laden, &of->laden);
    f->intact = *near;
    *flotation = f;
    return COAMING_OK;
}

/* What was refused: <ship> itself, or a loading. */
static long refused_object(const coaming_flotation *f, char object[2 * TEXT_BRIEF])
{
    const coaming_ship *s = f->ship;
    if (f->loading < 0) {
        snprintf(object, 2 * TEXT_BRIEF, "ship");
        return s->line;
    }
    snprintf(object, 2 * TEXT_BRIEF, "loading %s", BRIEF(s->loadings[f->loading].id));
    return s->loadings[f->loading].line;
}

static coaming_status tell_refused(const coaming_flotation *f, coaming_error *error)
{
    char object[2 * TEXT_BRIEF];
    long line = refused_object(f, object);
    return error_set(error, COAMING_INPUT, "%s:%ld: %s: %s", f->ship->path, line, object,
                     f->refused);
}

coaming_status coaming_flotation_new(const coaming_ship *ship, int loading,
                                     coaming_flotation **flotation, coaming_error *error)
{
    coaming_flotation *f = NULL;
    if (!coaming_ship_floats(ship, loading))
        return error_set(error, COAMING_USAGE, "%s: ship: how she floats cannot be told without kg",
                         ship->path);
    coaming_status status = flotation_begin(ship, loading, &f, error);
    if (status == COAMING_INPUT)
        tell_refused(f, error);
    if (status == COAMING_OK)
        *flotation = f;
    else
        coaming_flotation_free(f);
    return status;
}

static coaming_status check_loading(const coaming_ship *ship, int loading, coaming_faults *faults,
                                    coaming_error *error)
{
    coaming_flotation *f = NULL;
    char object[2 * TEXT_BRIEF];
    coaming_status status = flotation_begin(ship, loading, &f, error);
    if (status == COAMING_INPUT) {
        long line = refused_object(f, object);
        faults_add(faults, COAMING_SEVERITY_ERROR, ship->path, line, object, "%s", f->refused);
        status = faults_lost(faults) ? error_memory(error) : COAMING_OK;
    }
    coaming_flotation_free(f);
    return status;
}

coaming_status coaming_loadings_check(const coaming_ship *ship, coaming_faults *faults,
                                      coaming_error *error)
{
    coaming_status status = COAMING_OK;
    if (coaming_ship_floats(ship, -1))
        status = check_loading(ship, -1, faults, error);
    for (size_t i = 0; i < ship->loading_count && status == COAMING_OK; i++)
        status = check_loading(ship, (int)i, faults, error);
    return status;
}

double coaming_float_height(const coaming_ship *ship, const coaming_float *at, int l)
{
    double place[3];
    opening_place(ship, &ship->links[l].clear, place);
    return dot(at->normal, place) - at->height;
}
