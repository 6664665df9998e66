/* Blocks of samples by as many threads as are wanted. Each has a tally of its own, of whole
 * numbers, so that it is of no account which of them takes which block. */
#include "analyse/risk/sample.h"

#include <math.h>
#include <pthread.h>
#include <stdatomic.h>
#include <string.h>

#include "base/error.h"

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

/* What the threads share: which block is next. */
typedef struct {
    risk_range range;
    atomic_uint_fast64_t taken; /* blocks of the range so far */
} shared_range;

typedef struct {
    sample_state state;
    shared_range *shared;
    pthread_t thread;
    bool started;
} worker;

static void *work(void *given)
{
    worker *w = given;
    const risk_range *r = &w->shared->range;
    for (;;) {
        uint64_t block = r->first + r->step * atomic_fetch_add(&w->shared->taken, 1);
        if (block >= r->end || block * RISK_BLOCK >= r->samples)
            return NULL;
        sample_block_of(&w->state, block, r->samples);
    }
}

/* The first of the workers is the caller. */
static void work_together(worker *workers, unsigned count)
{
    for (unsigned i = 1; i < count; i++)
        workers[i].started = pthread_create(&workers[i].thread, NULL, work, &workers[i]) == 0;
    work(&workers[0]);
    for (unsigned i = 1; i < count; i++)
        if (workers[i].started)
            pthread_join(workers[i].thread, NULL);
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
    shared_range shared = {.range = range};
    unsigned count = threads > 1 ? threads : 1;
    worker *workers = memory_new(count, sizeof *workers);
    bool made = workers != NULL;
    for (unsigned i = 0; i < count && made; i++) {
        workers[i].shared = &shared;
        made = sample_state_new(&workers[i].state, plan);
    }
    if (made) {
        work_together(workers, count);
        take_base(t, plan);
    }
    for (unsigned i = 0; i < count && workers; i++) {
        if (made)
            risk_tally_add(t, &workers[i].state.tally, m->edge_count);
        sample_state_free(&workers[i].state);
    }
    memory_free(workers);
    sample_plan_free(plan);
    return made ? COAMING_OK : error_memory(error);
}
