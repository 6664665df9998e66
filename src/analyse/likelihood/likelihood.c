#include "coaming/likelihood.h"

#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "ship/gasket.h"
#include "ship/standing.h"

static const double DAYS_A_YEAR = 365.25;
static const double BY_THE_RULE = -1; /* supposed age */

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

/* Published service lives of door gaskets were not found. Seats of metal (valves) and bolted covers
 * last longer than gaskets worked every day. In the order of CLOSURE_KINDS. */
#define AGEING(word, eta_years, beta) {eta_years, beta},
static const struct {
    double eta_years, beta;
} assumed_ageing[] = {COAMING_ASSUMED_AGEING(AGEING)};
#undef AGEING
_Static_assert(sizeof assumed_ageing / sizeof *assumed_ageing == ARCH, "one of each kind");

static ageing ageing_for(const coaming_ship *ship, link_kind kind, bool *assumed)
{
    *assumed = false;
    for (size_t i = 0; i < ship->ageing_count; i++)
        if (ship->ageings[i].kind == kind)
            return ship->ageings[i];
    *assumed = true;
    return (ageing){kind, assumed_ageing[kind].eta_years, assumed_ageing[kind].beta};
}

/* In the order of ACTIONS. */
#define SUCCESS(word, success) success,
static const double assumed_success[ACTION_COUNT] = {COAMING_ASSUMED_REPAIRS(SUCCESS)};
#undef SUCCESS

static double success_of(const coaming_ship *ship, repair_action action, bool *assumed)
{
    for (size_t i = 0; i < ship->repairing_count; i++)
        if (ship->repairings[i].action == action)
            return ship->repairings[i].success;
    *assumed = true;
    return assumed_success[action];
}

static bool may_need(link_kind kind, repair_action action)
{
    switch (action) {
    case DOGS:
    case KNIFE_EDGE:
        return kind != VALVE;
    case HINGE:
        return kind_hinged(kind);
    default:
        return true;
    }
}

double coaming_likelihood_planned_success(const coaming_ship *ship, int closure, bool *assumed)
{
    double least = 1; /* more than any */
    bool of_least = false;
    for (int i = 0; i < ACTION_COUNT; i++) {
        bool own = false;
        double success = success_of(ship, (repair_action)i, &own);
        if (!may_need(ship->links[closure].kind, (repair_action)i) || success >= least)
            continue;
        least = success;
        of_least = own;
    }
    if (assumed)
        *assumed = of_least;
    return least;
}

/* The recursion. */

typedef struct {
    const coaming_ship *ship;
    const ship_link *link;
    coaming_likelihood *shown; /* to be filled; its steps only if `steps` is there */
    coaming_step *steps;
    ageing ageing;
    bool older;      /* does an older gasket count, for a failure of its time still stands? */
    double supposed; /* years, of a gasket of unknown age; negative: by the rule */
    double fitted;   /* day number, may be before any calendar date */
    double age;      /* up to which `probability` holds, years */
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
    if (e->result == COAMING_FAIL && !(step.before > 0)) /* nothing is so certain */
        step.before = 1 - success_of(r->ship, GASKET, &r->shown->repairs_assumed);
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
    step.success = success_of(r->ship, e->action, &r->shown->repairs_assumed);
    step.after = r->probability = (1 - step.success) * step.before;
    if (gasket_renewed_by(e)) {
        r->fitted = e->date;
        r->age = 0;
    }
    add_step(r, step);
}

/* A gasket by its date of fitting: sound, or, where there was an older one with a failure that still
 * stands, as sound as a repair makes it. */
static void fit_gasket(recursion *r, coaming_date fitted)
{
    coaming_step step = {.kind = COAMING_STEP_FITTED, .date = fitted, .success = 1};
    if (r->older) {
        step.before = age_to(r, fitted);
        step.age = r->age;
        step.success = success_of(r->ship, GASKET, &r->shown->repairs_assumed);
    }
    step.after = r->probability = (1 - step.success) * step.before;
    r->fitted = fitted;
    r->age = 0;
    add_step(r, step);
}

/* The day up to which the first gasket was there: until a new one came, or the as-of date. */
static coaming_date until(const recursion *r, coaming_date fitted)
{
    for (size_t i = 0; i < r->link->event_count; i++)
        if (gasket_renewed_by(&r->link->events[i]) &&
            (fitted == COAMING_NO_DATE || r->link->events[i].date < fitted))
            return r->link->events[i].date;
    return fitted == COAMING_NO_DATE ? r->ship->as_of : fitted;
}

/* As old as the mean of the known ones of its kind aboard, if there are enough, else half its
 * characteristic life; but there at the first entry, and no older than the closure. */
static double suppose_fitted(recursion *r, coaming_date next)
{
    const ship_link *l = r->link;
    const gasket_ages *known = &r->ship->gaskets[l->kind];
    coaming_date last = until(r, next);
    bool enough = known->known >= GASKETS_KNOWN_LEAST;
    double years = r->supposed >= 0 ? r->supposed
                   : enough         ? known->days / (double)known->known / DAYS_A_YEAR
                                    : r->ageing.eta_years / 2;
    double fitted = last - years * DAYS_A_YEAR;
    if (l->event_count)
        fitted = fmin(fitted, l->events[0].date);
    if (l->fitted != COAMING_NO_DATE && l->fitted <= last)
        fitted = fmax(fitted, l->fitted);
    r->shown->supposed_age = (last - fitted) / DAYS_A_YEAR;
    r->shown->known_age_count = enough ? known->known : 0;
    return fitted;
}

/* fitted: the day of the present gasket, if that is given. */
static void start(recursion *r, coaming_date fitted)
{
    const ship_link *l = r->link;
    r->ageing = ageing_for(r->ship, l->kind, &r->shown->ageing_assumed);
    r->shown->eta_years = r->ageing.eta_years;
    r->shown->beta = r->ageing.beta;
    r->shown->supposed_age = NAN;
    r->shown->age_assumed = gasket_since(r->ship, l) == COAMING_NO_DATE;
    r->older = fitted != COAMING_NO_DATE && l->result == COAMING_FAIL && l->decided->date < fitted;
    if (fitted == COAMING_NO_DATE || r->older)
        r->fitted = suppose_fitted(r, fitted);
    else
        fit_gasket(r, fitted);
}

/* The entries one by one; `fitted` as for start. */
static void take_entries(recursion *r, coaming_date fitted)
{
    bool waits = r->older; /* for the day of fitting */
    for (size_t i = 0; i < r->link->event_count; i++) {
        const ship_event *e = &r->link->events[i];
        if (fitted != COAMING_NO_DATE && e->date < fitted && !r->older)
            continue;
        if (waits && e->date >= fitted) {
            fit_gasket(r, fitted);
            waits = false;
            if (gasket_renewed_by(e) && e->date == fitted)
                continue; /* it tells of the same */
        }
        if (e->kind == EVENT_TEST)
            take_test(r, e);
        else
            take_repair(r, e);
    }
    if (waits)
        fit_gasket(r, fitted);
}

/* steps: room for every event and two more, or NULL. */
static void run(const coaming_ship *ship, int closure, double supposed, coaming_likelihood *shown,
                coaming_step *steps)
{
    recursion r = {.ship = ship,
                   .link = &ship->links[closure],
                   .shown = shown,
                   .steps = steps,
                   .supposed = supposed};
    const ship_link *l = r.link;
    bool failed = l->seen[COAMING_SEEN_FAILED];
    if (failed || l->leak_probability >= 0) {
        double probability = failed ? 1 : l->leak_probability;
        shown->probability = probability;
        shown->supposed_age = NAN;
        add_step(&r, (coaming_step){.kind = failed ? COAMING_STEP_SEEN : COAMING_STEP_GIVEN,
                                    .date = ship->as_of,
                                    .before = probability,
                                    .after = probability});
        return;
    }
    coaming_date fitted = gasket_fitted(ship, l);
    start(&r, fitted);
    take_entries(&r, fitted);
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
    run(ship, closure, BY_THE_RULE, shown, steps);
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
        run(ship, (int)i, BY_THE_RULE, &one, NULL);
        all[i] = one.probability;
    }
}

double coaming_likelihood_supposing(const coaming_ship *ship, int closure, double years)
{
    coaming_likelihood one = {0};
    run(ship, closure, years, &one, NULL);
    return one.probability;
}

void coaming_likelihood_plausible(const coaming_ship *ship, int closure, double *youngest,
                                  double *oldest)
{
    const ship_link *l = &ship->links[closure];
    const gasket_ages *known = &ship->gaskets[l->kind];
    bool assumed;
    *youngest = 0;
    *oldest = ageing_for(ship, l->kind, &assumed).eta_years;
    if (known->known < GASKETS_KNOWN_LEAST)
        return;
    *youngest = known->least / DAYS_A_YEAR;
    *oldest = known->most / DAYS_A_YEAR;
}

bool coaming_likelihood_age_assumed(const coaming_ship *ship, int closure)
{
    const ship_link *l = &ship->links[closure];
    return l->leak_probability < 0 && !l->seen[COAMING_SEEN_FAILED] &&
           gasket_since(ship, l) == COAMING_NO_DATE;
}

size_t coaming_likelihood_age_assumed_count(const coaming_ship *ship)
{
    size_t count = 0;
    for (size_t i = 0; i < ship->closure_count; i++)
        count += coaming_likelihood_age_assumed(ship, (int)i);
    return count;
}
