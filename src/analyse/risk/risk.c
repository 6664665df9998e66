#include "analyse/risk/risk.h"

#include <math.h>

#include "base/error.h"
#include "base/memory.h"
#include "base/text.h"
#include "coaming/likelihood.h"
#include "ship/seen.h"
#include "ship/state.h"

/* Does a hazard pass it whatever its gasket, though it joins nothing more in any model? */
static bool passes_for_sure(const coaming_risk *k, const ship_link *l, coaming_query query)
{
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        coaming_hazard hazard = (coaming_hazard)h;
        if (!query.hazard[h] || link_state_as_built(l, query.condition, hazard) != LINK_PASSES)
            continue;
        if (hazard == COAMING_AIR || k->settles)
            return true;
        for (size_t i = 0; i < k->model_count; i++)
            if (k->models[i].hazard == hazard && link_reached(l, hazard, k->models[i].level))
                return true;
    }
    return false;
}

static coaming_status take_probabilities(coaming_risk *k, const coaming_ship *ship,
                                         const double *given, coaming_error *error)
{
    for (size_t c = 0; c < ship->closure_count && given; c++) {
        if (!(given[c] >= 0 && given[c] <= 1))
            return error_set(error, COAMING_USAGE,
                             "closure %s: a probability is a number from 0 to 1",
                             BRIEF(ship->links[c].id));
        k->probabilities[c] = given[c];
    }
    if (!given)
        coaming_likelihood_all(ship, k->probabilities);
    return COAMING_OK;
}

/* The models of what is counted at one plane, or in air; water where she settles apart. */
static coaming_status make_models(coaming_risk *k, const coaming_ship *ship, coaming_query query,
                                  coaming_measure measure, coaming_error *error)
{
    coaming_query others = query;
    others.hazard[COAMING_WATER] = query.hazard[COAMING_WATER] && !k->settles;
    coaming_status status = risk_models_new(ship, others, measure, k->probabilities, &k->models,
                                            &k->model_count, error);
    if (status == COAMING_OK && k->settles)
        status = risk_settled_new(ship, query, measure, k->probabilities, &k->settled, error);
    for (size_t c = 0; c < ship->closure_count; c++)
        k->whatever[c] = k->settles && link_state_as_built(&ship->links[c], query.condition,
                                                           COAMING_WATER) == LINK_PASSES;
    return status;
}

/* Fills in likelihoods where none are given, and makes the models. */
static coaming_status prepare(coaming_risk *k, const coaming_ship *ship, coaming_query query,
                              coaming_measure measure, const double *given, coaming_error *error)
{
    size_t n = k->closure_count = ship->closure_count;
    k->settles = query.hazard[COAMING_WATER] && query.level.kind == COAMING_LEVEL_EQUILIBRIUM;
    k->options.loss_only = k->options.loss_only || k->settles; /* no ways are told of the whole */
    k->rows = memory_new(n, sizeof *k->rows);
    k->gathered = memory_new(n, sizeof *k->gathered);
    k->probabilities = memory_new(n, sizeof *k->probabilities);
    k->whatever = memory_new(n, sizeof *k->whatever);
    if (!k->rows || !k->gathered || !k->probabilities || !k->whatever)
        return error_memory(error);
    coaming_status status = take_probabilities(k, ship, given, error);
    if (status == COAMING_OK)
        status = make_models(k, ship, query, measure, error);
    if (status != COAMING_OK)
        return status;
    for (size_t c = 0; c < n; c++)
        if (passes_for_sure(k, &ship->links[c], query))
            k->probabilities[c] = 1;
    k->answers = memory_new(k->model_count, sizeof *k->answers);
    return k->answers ? COAMING_OK : error_memory(error);
}

/* Everything about a model that is not sampled. */

static size_t uncertain_edges(const risk_model *m)
{
    size_t count = 0;
    for (size_t e = 0; e < m->edge_count; e++)
        count += m->edges[e].p > 0 && m->edges[e].p < 1;
    return count;
}

static coaming_status enumerate(const risk_model *m, risk_answer *a, coaming_error *error)
{
    double expected;
    double *unused = memory_new(m->edge_count, sizeof *unused); /* these are exact already */
    if (!unused)
        return error_memory(error);
    a->enumerated = risk_enumerate(m, &expected, unused, a->by_way);
    memory_free(unused);
    return a->enumerated ? COAMING_OK : error_memory(error);
}

/* With AUTO half of the work that is left may be tried; what was in vain is counted off. */
static coaming_status try_exact(coaming_risk *k, const risk_model *m, risk_answer *a,
                                coaming_error *error)
{
    bool certain = k->options.method == COAMING_RISK_EXACT;
    uint64_t work = certain ? UINT64_MAX : k->work / 2;
    coaming_status status = risk_exact_bounded(m, k->options.memory, &work, &a->exact, &a->expected,
                                               a->birnbaum, error);
    if (!a->exact)
        k->work -= work < k->work ? work : k->work;
    return status;
}

static coaming_status answer_exactly(coaming_risk *k, const risk_model *m, risk_answer *a,
                                     coaming_error *error)
{
    coaming_status status = COAMING_OK;
    a->birnbaum = memory_new(m->edge_count, sizeof *a->birnbaum);
    a->by_way = memory_new(m->edge_count, sizeof *a->by_way);
    if (!a->birnbaum || !a->by_way)
        return error_memory(error);
    if (k->options.method != COAMING_RISK_SAMPLED) {
        status = try_exact(k, m, a, error);
        if (status == COAMING_OK && !k->options.loss_only && uncertain_edges(m) <= RISK_ENUMERATED)
            status = enumerate(m, a, error);
    }
    if (status == COAMING_OK && !a->exact && k->options.method == COAMING_RISK_EXACT)
        return risk_memory_refused(k->options.memory, error);
    a->sampled = !a->exact || (!a->enumerated && !k->options.loss_only);
    k->exact = k->exact && a->exact;
    if (status == COAMING_OK && a->sampled && !risk_tally_new(&a->tally, m->edge_count))
        return error_memory(error);
    return status;
}

static coaming_status answer_all_exactly(coaming_risk *k, const coaming_ship *ship,
                                         coaming_error *error)
{
    coaming_status status = COAMING_OK;
    k->exact = true;
    k->work = COAMING_RISK_WORK;
    for (size_t i = 0; i < k->model_count && status == COAMING_OK; i++)
        status = answer_exactly(k, &k->models[i], &k->answers[i], error);
    k->digest = seen_digest(ship, risk_digest_of(k));
    k->sum_count = risk_sums_of(k);
    return status;
}

/* Samples. */

static coaming_status sample_model(coaming_risk *k, size_t model, risk_range range,
                                   coaming_error *error)
{
    risk_tally *t = &k->answers[model].tally;
    if (!k->answers[model].sampled)
        return COAMING_OK;
    coaming_status status =
        risk_sample(&k->models[model], k->options.seed, (unsigned)model, range, 0, t, error);
    if (t->samples > k->samples)
        k->samples = t->samples;
    return status;
}

static coaming_status sample_all(coaming_risk *k, risk_range range, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    for (size_t i = 0; i < k->model_count && status == COAMING_OK; i++)
        status = sample_model(k, i, range, error);
    return status;
}

/* have, wanted: blocks by model. */
static coaming_status sample_more(coaming_risk *k, uint64_t *have, const uint64_t *wanted,
                                  bool *some, coaming_error *error)
{
    coaming_status status = COAMING_OK;
    *some = false;
    for (size_t i = 0; i < k->model_count && status == COAMING_OK; i++) {
        if (wanted[i] == have[i])
            continue;
        status = sample_model(k, i, (risk_range){have[i], 1, wanted[i], RISK_SAMPLES_MOST}, error);
        have[i] = wanted[i];
        *some = true;
    }
    return status;
}

/* Would as many samples again as there are be more than is to be done? */
static bool sampled_enough(const coaming_risk *k, const uint64_t *have)
{
    double work = 0;
    for (size_t i = 0; i < k->model_count; i++)
        if (k->answers[i].sampled)
            work += (double)have[i] * RISK_BLOCK *
                    ((double)k->models[i].edge_count + (double)k->models[i].node_count);
    return k->options.sampling && 2 * work > (double)k->options.sampling;
}

/* Some of each model; then more of those that leave the errors too large. */
static coaming_status sample_in_rounds(coaming_risk *k, uint64_t *have, uint64_t *wanted,
                                       coaming_error *error)
{
    bool some = true;
    for (size_t i = 0; i < k->model_count; i++)
        wanted[i] = RISK_ALLOTTED;
    for (;;) {
        coaming_status status = sample_more(k, have, wanted, &some, error);
        if (status != COAMING_OK)
            return status;
        risk_fill_rows(k);
        if (!some || k->sum_count == 0 || risk_within(k) || sampled_enough(k, have))
            return COAMING_OK;
        status = risk_allot(k, wanted, error);
        if (status != COAMING_OK)
            return status;
    }
}

static coaming_status sample_until_within(coaming_risk *k, coaming_error *error)
{
    uint64_t *have = memory_new(k->model_count, sizeof *have);
    uint64_t *wanted = memory_new(k->model_count, sizeof *wanted);
    bool made = have && wanted;
    coaming_status status = made ? sample_in_rounds(k, have, wanted, error) : error_memory(error);
    memory_free(have);
    memory_free(wanted);
    return status;
}

static coaming_status sample_models(coaming_risk *k, coaming_error *error)
{
    const coaming_risk_options *o = &k->options;
    if (o->samples == 0)
        return sample_until_within(k, error);
    risk_range range = {o->share - 1, o->shares, risk_blocks_of(o->samples), o->samples};
    return sample_all(k, range, error);
}

/* What settles, after the models, whose samples do not hang on it. */

static coaming_status branch_once(coaming_risk *k, uint64_t settlings, coaming_error *error)
{
    coaming_risk_options o = k->options;
    o.settlings = settlings;
    coaming_status status = risk_settled_branch(k->settled, &o, 0, error);
    k->branched = true;
    return status;
}

static coaming_status branch_in_rounds(coaming_risk *k, coaming_error *error)
{
    uint64_t most = k->options.settlings;
    uint64_t now = most < COAMING_RISK_SETTLINGS ? most : COAMING_RISK_SETTLINGS;
    for (;; now = now <= most / 4 ? 4 * now : most) {
        coaming_status status = branch_once(k, now, error);
        if (status != COAMING_OK || now == most || k->options.samples ||
            !risk_settled_number(k->settled, RESTS_OPEN))
            return status;
        risk_fill_rows(k);
        if (risk_within(k))
            return COAMING_OK;
    }
}

static coaming_status sample(coaming_risk *k, coaming_error *error)
{
    coaming_status status = sample_models(k, error);
    return status == COAMING_OK && k->settled ? branch_in_rounds(k, error) : status;
}

/* Base values, then the sums of the parts. */
static coaming_status put_together(coaming_risk *k, const coaming_risk_part *parts, size_t count,
                                   coaming_error *error)
{
    coaming_status status = risk_read_parts(k, parts, count, error);
    if (status == COAMING_OK)
        status = sample_all(k, (risk_range){0, 1, 0, 0}, error);
    if (status != COAMING_OK)
        return status;
    k->branched = k->settled != NULL;
    k->options.seed = parts[0].seed;
    k->options.samples = parts[0].samples;
    return COAMING_OK;
}

static coaming_status finish(coaming_risk *k, coaming_error *error)
{
    if (k->settled) {
        uint64_t samples = risk_settled_number(k->settled, RESTS_SAMPLES);
        k->exact = k->exact && !risk_settled_number(k->settled, RESTS_OPEN);
        k->samples = samples > k->samples ? samples : k->samples;
    }
    risk_fill_rows(k);
    k->sums = memory_new(k->sum_count, sizeof *k->sums);
    if (!k->sums)
        return error_memory(error);
    risk_write_sums(k);
    return COAMING_OK;
}

static void free_workings(coaming_risk *k)
{
    for (size_t i = 0; k->answers && i < k->model_count; i++) {
        memory_free(k->answers[i].birnbaum);
        memory_free(k->answers[i].by_way);
        risk_tally_free(&k->answers[i].tally);
    }
    memory_free(k->answers);
    memory_free(k->whatever);
    risk_settled_free(k->settled);
    risk_models_free(k->models, k->model_count);
    memory_free(k->probabilities);
    memory_free(k->gathered);
    k->answers = NULL;
    k->whatever = NULL;
    k->settled = NULL;
    k->models = NULL;
    k->probabilities = NULL;
    k->gathered = NULL;
}

/* parts: NULL to sample. */
static coaming_status work_out(const coaming_ship *ship, coaming_query query,
                               coaming_measure measure, const double *probabilities,
                               const coaming_risk_options *options, const coaming_risk_part *parts,
                               size_t count, bool from_parts, coaming_risk **risk,
                               coaming_error *error)
{
    coaming_risk *k = memory_new(1, sizeof *k);
    if (!k)
        return error_memory(error);
    k->options = *options;
    coaming_status status = prepare(k, ship, query, measure, probabilities, error);
    if (status == COAMING_OK)
        status = answer_all_exactly(k, ship, error);
    if (status == COAMING_OK)
        status = from_parts ? put_together(k, parts, count, error) : sample(k, error);
    if (status == COAMING_OK)
        status = finish(k, error);
    free_workings(k);
    if (status != COAMING_OK)
        coaming_risk_free(k);
    else
        *risk = k;
    return status;
}

static coaming_status check_query(coaming_query query, coaming_error *error)
{
    if (!query.hazard[COAMING_WATER] && !query.hazard[COAMING_AIR])
        return error_set(error, COAMING_USAGE, "no hazard is asked for");
    return COAMING_OK;
}

coaming_status coaming_risk_new(const coaming_ship *ship, coaming_query query,
                                coaming_measure measure, const double *probabilities,
                                const coaming_risk_options *options, coaming_risk **risk,
                                coaming_error *error)
{
    coaming_risk_options o = options ? *options : coaming_risk_options_default();
    coaming_status status = check_query(query, error);
    if (status == COAMING_OK)
        status = risk_check_options(&o, error);
    if (status != COAMING_OK)
        return status;
    return work_out(ship, query, measure, probabilities, &o, NULL, 0, false, risk, error);
}

coaming_status coaming_risk_new_from_parts(const coaming_ship *ship, coaming_query query,
                                           coaming_measure measure, const double *probabilities,
                                           const coaming_risk_options *options,
                                           const coaming_risk_part *parts, size_t count,
                                           coaming_risk **risk, coaming_error *error)
{
    coaming_risk_options o = options ? *options : coaming_risk_options_default();
    coaming_status status = check_query(query, error);
    if (status != COAMING_OK)
        return status;
    o.share = o.shares = 1;
    if (count)
        o.method = parts[0].method;
    return work_out(ship, query, measure, probabilities, &o, parts, count, true, risk, error);
}

void coaming_risk_free(coaming_risk *k)
{
    if (!k)
        return;
    memory_free(k->rows);
    memory_free(k->sums);
    memory_free(k);
}

const coaming_risk_row *coaming_risk_get(const coaming_risk *k, int closure)
{
    return &k->rows[closure];
}

double coaming_risk_expected(const coaming_risk *k)
{
    return k->expected;
}

double coaming_risk_error(const coaming_risk *k)
{
    return k->error;
}

double coaming_risk_limit(const coaming_risk *k)
{
    return k->limit;
}

bool coaming_risk_bounds(const coaming_risk *k, double *low, double *high)
{
    *low = k->low;
    *high = k->high;
    return !isnan(k->low);
}

bool coaming_risk_is_exact(const coaming_risk *k)
{
    return k->exact;
}

uint64_t coaming_risk_sample_count(const coaming_risk *k)
{
    return k->samples;
}

uint64_t coaming_risk_digest(const coaming_risk *k)
{
    return k->digest;
}

coaming_risk_part coaming_risk_get_part(const coaming_risk *k)
{
    const coaming_risk_options *o = &k->options;
    return (coaming_risk_part){.digest = k->digest,
                               .seed = o->seed,
                               .method = o->method,
                               .samples = o->samples ? o->samples : k->samples,
                               .share = o->share,
                               .shares = o->shares,
                               .sum_count = k->sum_count,
                               .sums = k->sums};
}
