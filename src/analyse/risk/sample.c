/* Blocks of samples by threads (base/together.h). Each has a tally of its own, of whole numbers, so
 * that it is of no account which of them takes which block. */
#include "analyse/risk/sample.h"

#include <math.h>
#include <string.h>

#include "base/error.h"
#include "base/together.h"

bool risk_tally_new(risk_tally *t, size_t edges)
{
    *t = (risk_tally){.sums = memory_new(edges, sizeof *t->sums),
                      .base_effect = memory_new(edges, sizeof *t->base_effect),
                      .base_way = memory_new(edges, sizeof *t->base_way)};
    if (t->sums && t->base_effect && t->base_way)
        return true;
    risk_tally_free(t);
    return false;
}

void risk_tally_free(risk_tally *t)
{
    memory_free(t->sums);
    memory_free(t->base_effect);
    memory_free(t->base_way);
    *t = (risk_tally){0};
}

void risk_tally_add(risk_tally *t, const risk_tally *other, size_t edges)
{
    t->samples += other->samples;
    t->loss += other->loss;
    t->loss_squared += other->loss_squared;
    t->control += other->control;
    t->control_squared += other->control_squared;
    t->loss_control += other->loss_control;
    for (size_t e = 0; e < edges; e++) {
        risk_edge_sums *to = &t->sums[e];
        const risk_edge_sums *from = &other->sums[e];
        to->effect += from->effect;
        to->effect_squared += from->effect_squared;
        to->by_way += from->by_way;
        to->by_way_squared += from->by_way_squared;
        to->by_way_loss += from->by_way_loss;
        to->by_way_control += from->by_way_control;
    }
}

/* How many blocks a range has samples in. */
static size_t blocks_in(const risk_range *r)
{
    uint64_t end = risk_blocks_of(r->samples);
    end = r->end < end ? r->end : end;
    return r->first < end ? (size_t)((end - r->first - 1) / r->step) + 1 : 0;
}

/* A state for each thread. */
typedef struct {
    const risk_range *range;
    sample_state *states;
} sampling;

static coaming_status sample_one(void *data, unsigned thread, size_t job, coaming_error *error)
{
    const sampling *s = data;
    const risk_range *r = s->range;
    (void)error;
    sample_block_of(&s->states[thread], r->first + r->step * job, r->samples);
    return COAMING_OK;
}

static void take_base(risk_tally *t, const sample_plan *p)
{
    size_t n = (size_t)p->edges;
    t->base_loss = p->base_loss;
    t->control_shift = p->control_shift;
    t->loss_shift = p->loss_shift;
    t->most = p->most;
    t->greatest = p->greatest;
    t->control_mean = 0;
    if (n == 0)
        return;
    memcpy(t->base_effect, p->base_effect, n * sizeof *t->base_effect);
    memcpy(t->base_way, p->base_way, n * sizeof *t->base_way);
    for (size_t e = 0; e < n; e++)
        t->control_mean += p->model->edges[e].p * (double)p->control[e];
}

coaming_status risk_sample(const risk_model *m, uint64_t seed, unsigned model_number,
                           risk_range range, unsigned threads, risk_tally *t, coaming_error *error)
{
    sample_plan *plan = NULL;
    coaming_status status = sample_plan_new(m, seed, model_number, &plan, error);
    if (status != COAMING_OK)
        return status;
    size_t blocks = blocks_in(&range);
    unsigned count = threads ? threads : together_threads(blocks);
    sampling work = {&range, memory_new(count, sizeof *work.states)};
    bool made = work.states != NULL;
    for (unsigned i = 0; i < count && made; i++)
        made = sample_state_new(&work.states[i], plan);
    if (made) {
        together_do(count, blocks, sample_one, &work, NULL); /* a block cannot fail */
        take_base(t, plan);
    }
    for (unsigned i = 0; i < count && work.states; i++) {
        if (made)
            risk_tally_add(t, &work.states[i].tally, m->edge_count);
        sample_state_free(&work.states[i]);
    }
    memory_free(work.states);
    sample_plan_free(plan);
    return made ? COAMING_OK : error_memory(error);
}
