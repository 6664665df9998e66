#include <math.h>
#include <stdlib.h>

#include "analyse/plan/planner.h"
#include "base/error.h"
#include "base/memory.h"

/* Bundles that are tried in a step, where a loss is exact and quick to work out; none are where it
 * is sampled. */
enum { BUNDLES_MOST = 24, PASSES_MOST = 3 };

/* Bundles. */

static int by_likely(const void *left, const void *right)
{
    const bundle *a = left, *b = right;
    if (a->likely != b->likely)
        return a->likely > b->likely ? -1 : 1;
    return (a->member[0] > b->member[0]) - (a->member[0] < b->member[0]);
}

/* Candidates that belong together: at one place (other -3), or between two. */
static bool gather(const planner *a, coaming_place one, coaming_place other, bundle *b)
{
    *b = (bundle){.count = 0};
    for (size_t i = 0; i < a->candidate_count; i++) {
        const ship_link *l = &a->ship->links[a->candidates[i]];
        bool here = other == -3 ? l->a == one || l->b == one
                                : (l->a == one && l->b == other) || (l->a == other && l->b == one);
        if (!here)
            continue;
        if (b->count == BUNDLE_SIZE)
            return false;
        b->member[b->count++] = a->candidates[i];
        b->likely += a->p[a->candidates[i]];
    }
    return b->count > 1;
}

bool plan_bundles(planner *a)
{
    bundle b;
    a->bundles = memory_new(a->candidate_count + a->ship->space_count, sizeof *a->bundles);
    if (!a->bundles)
        return false;
    for (size_t i = 0; i < a->candidate_count; i++) { /* once for each pair: by its first member */
        const ship_link *l = &a->ship->links[a->candidates[i]];
        if (gather(a, l->a, l->b, &b) && b.member[0] == a->candidates[i])
            a->bundles[a->bundle_count++] = b;
    }
    for (size_t s = 0; s < a->ship->space_count; s++)
        if (gather(a, (coaming_place)s, -3, &b))
            a->bundles[a->bundle_count++] = b;
    if (a->bundle_count)
        qsort(a->bundles, a->bundle_count, sizeof *a->bundles, by_likely);
    if (a->bundle_count > BUNDLES_MOST)
        a->bundle_count = BUNDLES_MOST;
    return true;
}

/* Greedy. */

typedef struct {
    int member[BUNDLE_SIZE];
    int count;
    double rate; /* gain for the hour */
} offer;

/* The best of the single repairs that fit. */
static void offer_singles(const planner *a, const choice *c, const coaming_risk *risk, offer *best)
{
    for (size_t i = 0; i < a->candidate_count; i++) {
        int closure = a->candidates[i];
        if (choice_has(c, closure) || !hours_fit(a, c->hours + repair_hours(a, closure)))
            continue;
        double rate = coaming_risk_get(risk, closure)->repair_gain / repair_hours(a, closure);
        if (rate > best->rate)
            *best = (offer){{closure}, 1, rate};
    }
}

static coaming_status offer_bundles(planner *a, const choice *c, offer *best, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < a->bundle_count && status == COAMING_OK; i++) {
        offer o = {.count = 0};
        double hours = 0, after = 0;
        for (int m = 0; m < a->bundles[i].count; m++) {
            if (choice_has(c, a->bundles[i].member[m]))
                continue;
            o.member[o.count++] = a->bundles[i].member[m];
            hours += repair_hours(a, a->bundles[i].member[m]);
        }
        if (o.count < 2 || !hours_fit(a, c->hours + hours))
            continue;
        status = choice_expected(a, c, o.member, (size_t)o.count, &after, error);
        o.rate = (c->after - after) / hours;
        if (status == COAMING_OK && o.rate > best->rate * (1 + 1e-9))
            *best = o;
    }
    return status;
}

/* Fills the hours that are left, the best rate first. */
static coaming_status fill(planner *a, choice *c, coaming_error *error)
{
    for (;;) {
        coaming_risk *risk = NULL;
        offer best = {.rate = 0};
        coaming_status status = choice_risk(a, c, NULL, 0, &risk, error);
        if (status != COAMING_OK)
            return status;
        c->after = coaming_risk_expected(risk);
        offer_singles(a, c, risk, &best);
        coaming_risk_free(risk);
        status = offer_bundles(a, c, &best, error);
        if (status != COAMING_OK || !best.count)
            return status;
        for (int i = 0; i < best.count; i++)
            choice_add(a, c, best.member[i]);
    }
}

/* Takes one out, fills the hours again without it in the first place, keeps what is better. */
static coaming_status exchange(planner *a, choice *c, coaming_error *error)
{
    choice other;
    coaming_status status = COAMING_OK;
    if (!choice_new(a, &other))
        return error_memory(error);
    bool better = true;
    for (int pass = 0; pass < PASSES_MOST && better && status == COAMING_OK; pass++) {
        better = false;
        for (size_t i = 0; i < c->count && status == COAMING_OK; i++) {
            double kept = a->p[c->list[i]];
            int out = c->list[i];
            choice_copy(&other, c);
            choice_drop(a, &other, i);
            a->p[out] = 0; /* so that it offers nothing: it stays as it is until put back */
            status = fill(a, &other, error);
            a->p[out] = kept;
            if (status == COAMING_OK)
                status = choice_expected(a, &other, NULL, 0, &other.after, error);
            if (status == COAMING_OK && other.after < c->after * (1 - 1e-9)) {
                choice_copy(c, &other);
                better = true;
            }
        }
    }
    memory_free(other.list);
    return status;
}

/* The greatest single gain first, whatever its hours. */
static coaming_status start_large(planner *a, choice *c, coaming_error *error)
{
    coaming_risk *risk = NULL;
    coaming_status status = choice_risk(a, c, NULL, 0, &risk, error);
    int best = -1;
    double most = 0;
    for (size_t i = 0; i < a->candidate_count && status == COAMING_OK; i++) {
        double gain = coaming_risk_get(risk, a->candidates[i])->repair_gain;
        if (gain > most && hours_fit(a, repair_hours(a, a->candidates[i]))) {
            most = gain;
            best = a->candidates[i];
        }
    }
    coaming_risk_free(risk);
    if (best >= 0)
        choice_add(a, c, best);
    return status == COAMING_OK ? fill(a, c, error) : status;
}

/* Takes out what gains nothing on top of the others. */
static coaming_status prune(planner *a, choice *best, coaming_error *error)
{
    choice other;
    coaming_status status = COAMING_OK;
    if (!choice_new(a, &other))
        return error_memory(error);
    for (size_t i = best->count; i-- > 0 && status == COAMING_OK;) {
        choice_copy(&other, best);
        choice_drop(a, &other, i);
        status = choice_expected(a, &other, NULL, 0, &other.after, error);
        if (status == COAMING_OK && choice_better(&other, best))
            choice_copy(best, &other);
    }
    memory_free(other.list);
    return status;
}

coaming_status plan_search(planner *a, choice *best, coaming_error *error)
{
    choice other;
    if (!choice_new(a, &other))
        return error_memory(error);
    coaming_status status = fill(a, best, error);
    if (status == COAMING_OK && a->exact)
        status = exchange(a, best, error);
    if (status == COAMING_OK)
        status = start_large(a, &other, error);
    if (status == COAMING_OK && a->exact)
        status = exchange(a, &other, error);
    if (status == COAMING_OK && choice_better(&other, best))
        choice_copy(best, &other);
    if (status == COAMING_OK)
        status = prune(a, best, error);
    memory_free(other.list);
    return status;
}

/* Every set that fits. */
coaming_status plan_exhaust(planner *a, choice *best, coaming_error *error)
{
    choice c;
    if (!choice_new(a, &c))
        return error_memory(error);
    coaming_status status = choice_expected(a, best, NULL, 0, &best->after, error);
    for (unsigned set = 1; set < 1u << a->candidate_count && status == COAMING_OK; set++) {
        c.count = 0;
        c.hours = 0;
        for (size_t i = 0; i < a->candidate_count; i++)
            if (set >> i & 1)
                choice_add(a, &c, a->candidates[i]);
        if (!hours_fit(a, c.hours))
            continue;
        status = choice_expected(a, &c, NULL, 0, &c.after, error);
        if (status == COAMING_OK && choice_better(&c, best))
            choice_copy(best, &c);
    }
    memory_free(c.list);
    return status;
}
