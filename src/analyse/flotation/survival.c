#include "coaming/survival.h"

#include <math.h>

#include "analyse/flotation/settle.h"
#include "base/error.h"

struct coaming_survival {
    coaming_survival_case *cases;
    size_t count, capacity;
};

void coaming_survival_free(coaming_survival *v)
{
    if (!v)
        return;
    memory_free(v->cases);
    memory_free(v);
}

size_t coaming_survival_count(const coaming_survival *v)
{
    return v->count;
}

const coaming_survival_case *coaming_survival_get(const coaming_survival *v, size_t index)
{
    return &v->cases[index];
}

double coaming_survival_share(const coaming_survival *v, int answer)
{
    size_t afloat = 0;
    for (size_t i = 0; i < v->count; i++)
        afloat += v->cases[i].answer[answer].at.afloat == COAMING_AFLOAT_YES;
    return v->count ? (double)afloat / (double)v->count : NAN;
}

double coaming_survival_factor(double heel, double greatest, double range)
{
    double tilt = fabs(heel);
    double k = tilt <= 25 ? 1 : tilt >= 30 ? 0 : sqrt((30 - tilt) / 5);
    double arm = fmin(fmax(greatest, 0), 0.12) / 0.12, span = fmin(fmax(range, 0), 16) / 16;
    return k * pow(arm * span, 0.25);
}

/* Do the two meet at a transverse boundary, with height and breadth in common? 0.15 m of bulkhead
 * and lining may stand between: common practice, no source. */
static bool meet(const solid *a, const solid *b)
{
    const double apart = 0.15;
    bool end_to_end = fabs(a->x1 - b->x0) <= apart || fabs(b->x1 - a->x0) <= apart;
    return end_to_end && fmin(a->z1, b->z1) > fmax(a->z0, b->z0) &&
           fmin(a->y1, b->y1) > fmax(a->y0, b->y0);
}

static bool neighbours(const ship_space *a, const ship_space *b)
{
    for (size_t i = 0; i < a->solid_count; i++)
        for (size_t j = 0; j < b->solid_count; j++)
            if (meet(&a->solids[i], &b->solids[j]))
                return true;
    return false;
}

static bool add_case(coaming_survival *v, int one, int two)
{
    if (!MEMORY_ROOM(v->cases, v->count, v->capacity))
        return false;
    v->cases[v->count] = (coaming_survival_case){.space = {one, two}};
    v->count++;
    return true;
}

static bool list_cases(coaming_survival *v, const coaming_ship *ship)
{
    for (size_t a = 0; a < ship->space_count; a++)
        if (ship->spaces[a].shell && !add_case(v, (int)a, -1))
            return false;
    for (size_t a = 0; a < ship->space_count; a++)
        for (size_t b = a + 1; ship->spaces[a].shell && b < ship->space_count; b++)
            if (ship->spaces[b].shell && neighbours(&ship->spaces[a], &ship->spaces[b]) &&
                !add_case(v, (int)a, (int)b))
                return false;
    return true;
}

static coaming_status answer_case(settler *t, coaming_survival_case *c, int which, bool arms,
                                  coaming_error *error)
{
    static const settle_answer answers[] = {[COAMING_AS_BUILT] = ANSWER_AS_BUILT,
                                            [COAMING_AS_TESTED] = ANSWER_TESTED,
                                            [COAMING_UNTESTED_LEAK] = ANSWER_UNTESTED_LEAK};
    const settled *s = NULL;
    coaming_survival_answer *a = &c->answer[which];
    coaming_status status =
        settler_breach(t, c->space, c->space[1] < 0 ? 1 : 2, answers[which], &s, error);
    if (status != COAMING_OK)
        return status;
    *a = (coaming_survival_answer){.at = s->at};
    if (!arms)
        a->range = a->greatest = a->s = NAN;
    if (!arms || s->at.afloat != COAMING_AFLOAT_YES)
        return COAMING_OK;
    coaming_righting righting;
    coaming_flotation_righting(settler_flotation(t), settler_flooded(t), &s->at, &righting);
    a->range = righting.range;
    a->greatest = righting.greatest;
    a->s = coaming_survival_factor(s->at.heel, righting.greatest, righting.range);
    return COAMING_OK;
}

static coaming_status make(const coaming_ship *ship, int condition, bool arms,
                           coaming_survival **survival, coaming_error *error)
{
    settler *t = NULL;
    coaming_status status = settler_new(ship, condition, &t, error);
    if (status != COAMING_OK)
        return status;
    coaming_survival *v = memory_new(1, sizeof *v);
    if (!v) {
        settler_free(t);
        return error_memory(error);
    }
    if (!list_cases(v, ship))
        status = error_memory(error);
    for (size_t i = 0; status == COAMING_OK && i < v->count; i++)
        for (int which = 0; which < COAMING_ANSWERS && status == COAMING_OK; which++)
            status = answer_case(t, &v->cases[i], which, arms, error);
    settler_free(t);
    if (status != COAMING_OK)
        coaming_survival_free(v);
    else
        *survival = v;
    return status;
}

coaming_status coaming_survival_new(const coaming_ship *ship, int condition,
                                    coaming_survival **survival, coaming_error *error)
{
    return make(ship, condition, true, survival, error);
}

coaming_status coaming_survival_afloat_new(const coaming_ship *ship, int condition,
                                           coaming_survival **survival, coaming_error *error)
{
    return make(ship, condition, false, survival, error);
}
