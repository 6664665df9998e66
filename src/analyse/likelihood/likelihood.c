#include "coaming/likelihood.h"

#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "ship/standing.h"

static const double DAYS_A_YEAR = 365.25;

double coaming_weibull_failure(double eta, double beta, double a, double b)
{
    return -expm1(pow(a / eta, beta) - pow(b / eta, beta));
}

double coaming_after_test(double before, double sensitivity, double specificity,
                          coaming_result result)
{
    bool failed = result == COAMING_FAIL;
    double leaking = before * (failed ? sensitivity : 1 - sensitivity);
    double sound = (1 - before) * (failed ? 1 - specificity : specificity);
    if (leaking + sound <= 0)
        return failed ? 1 : 0;
    return leaking / (leaking + sound);
}

double coaming_average_unsoundness(double rate, double between)
{
    double x = rate * between;
    if (x < 1e-5) /* the series, for the difference loses its digits */
        return x / 2 - x * x / 6;
    return 1 + expm1(-x) / x;
}

/* Parameters. */

/* Assumptions, no source: published service lives of door gaskets were not found. Seats of metal
 * (valves) and bolted covers last longer than gaskets worked every day. In the order of
 * CLOSURE_KINDS. */
static const ageing assumed_ageing[] = {
    {DOOR, 8, 1.5},        {HATCH, 8, 1.5}, {SCUTTLE, 8, 1.5},      {MANHOLE, 15, 1.5},
    {VENTILATOR, 10, 1.5}, {VALVE, 15, 1},  {SIDESCUTTLE, 10, 1.5}, {COVER, 15, 1.5}};

static ageing ageing_for(const coaming_ship *ship, link_kind kind, bool *assumed)
{
    *assumed = false;
    for (size_t i = 0; i < ship->ageing_count; i++)
        if (ship->ageings[i].kind == kind)
            return ship->ageings[i];
    *assumed = true;
    return assumed_ageing[kind];
}

/* The recursion. */

typedef struct {
    const coaming_ship *ship;
    const ship_link *link;
    coaming_likelihood *shown; /* to be filled; its steps only if `steps` is there */
    coaming_step *steps;
    ageing ageing;
    double fitted; /* day number, may be before any calendar date */
    double age;    /* up to which `probability` holds, years */
    double probability;
} recursion;

static void add_step(recursion *r, coaming_step step)
{
    if (r->steps)
        r->steps[r->shown->step_count++] = step;
}

/* Ages to a day; returns the probability then. */
static double age_to(recursion *r, coaming_date day)
{
    double age = fmax(0, (day - r->fitted) / DAYS_A_YEAR);
    double fails = coaming_weibull_failure(r->ageing.eta_years, r->ageing.beta, r->age, age);
    r->age = age;
    r->probability += (1 - r->probability) * fails;
    return r->probability;
}

static void take_test(recursion *r, const ship_event *e)
{
    method_quality q = standing_quality(r->ship, e->method, &r->shown->methods_assumed);
    coaming_step step = {.kind = COAMING_STEP_TEST,
                         .date = e->date,
                         .what = method_words[e->method],
                         .result = e->result,
                         .sensitivity = q.sensitivity,
                         .specificity = q.specificity};
    step.before = age_to(r, e->date);
    step.age = r->age;
    step.after = r->probability =
        coaming_after_test(step.before, q.sensitivity, q.specificity, e->result);
    add_step(r, step);
}

static void take_repair(recursion *r, const ship_event *e)
{
    coaming_step step = {
        .kind = COAMING_STEP_REPAIR, .date = e->date, .what = action_words[e->action]};
    step.before = age_to(r, e->date);
    step.age = r->age;
    r->probability = 0;
    if (e->action == GASKET || e->action == REPLACED) {
        r->fitted = e->date;
        r->age = 0;
    }
    add_step(r, step);
}

static void start(recursion *r)
{
    const ship_link *l = r->link;
    coaming_date first = l->event_count ? l->events[0].date : r->ship->as_of;
    r->ageing = ageing_for(r->ship, l->kind, &r->shown->ageing_assumed);
    r->shown->eta_years = r->ageing.eta_years;
    r->shown->beta = r->ageing.beta;
    r->shown->age_assumed = l->gasket_fitted == COAMING_NO_DATE;
    r->fitted =
        r->shown->age_assumed ? first - r->ageing.eta_years * DAYS_A_YEAR : l->gasket_fitted;
    if (!r->shown->age_assumed)
        add_step(r, (coaming_step){.kind = COAMING_STEP_FITTED, .date = l->gasket_fitted});
}

/* steps: room for every event and two more, or NULL. */
static void run(const coaming_ship *ship, int closure, coaming_likelihood *shown,
                coaming_step *steps)
{
    recursion r = {.ship = ship, .link = &ship->links[closure], .shown = shown, .steps = steps};
    const ship_link *l = r.link;
    if (l->leak_probability >= 0) {
        shown->probability = l->leak_probability;
        add_step(&r, (coaming_step){.kind = COAMING_STEP_GIVEN,
                                    .date = ship->as_of,
                                    .before = l->leak_probability,
                                    .after = l->leak_probability});
        return;
    }
    start(&r);
    for (size_t i = 0; i < l->event_count; i++) {
        const ship_event *e = &l->events[i];
        if (l->gasket_fitted != COAMING_NO_DATE && e->date < l->gasket_fitted)
            continue;
        if (e->kind == EVENT_TEST)
            take_test(&r, e);
        else
            take_repair(&r, e);
    }
    shown->probability = age_to(&r, ship->as_of);
    add_step(&r, (coaming_step){.kind = COAMING_STEP_NOW,
                                .date = ship->as_of,
                                .age = r.age,
                                .before = r.probability,
                                .after = r.probability});
}

coaming_status coaming_likelihood_new(const coaming_ship *ship, int closure,
                                      coaming_likelihood **likelihood, coaming_error *error)
{
    coaming_likelihood *shown = memory_new(1, sizeof *shown);
    coaming_step *steps = memory_new(ship->links[closure].event_count + 2, sizeof *steps);
    if (!shown || !steps) {
        memory_free(shown);
        memory_free(steps);
        return error_memory(error);
    }
    shown->steps = steps;
    run(ship, closure, shown, steps);
    *likelihood = shown;
    return COAMING_OK;
}

void coaming_likelihood_free(coaming_likelihood *likelihood)
{
    if (!likelihood)
        return;
    memory_free(likelihood->steps);
    memory_free(likelihood);
}

void coaming_likelihood_all(const coaming_ship *ship, double *all)
{
    for (size_t i = 0; i < ship->closure_count; i++) {
        coaming_likelihood one = {0};
        run(ship, (int)i, &one, NULL);
        all[i] = one.probability;
    }
}
