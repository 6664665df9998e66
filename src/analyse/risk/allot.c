/*
 * How many samples each model gets until the errors are as small as wanted.
 *
 * The variance of a figure is the sum over the models of what a sample of theirs varies by, over
 * their samples. Models differ much in both that and the work of a sample. So from the variances
 * that the samples so far show, always the figure that is furthest from its goal gets some blocks
 * more, of the model where they lessen its variance most for their work, until all goals are met as
 * far as is foreseen; but a model gets at most as many again as it had, for its variance is not yet
 * known well. Work is counted in edges and nodes, not by the clock, so that it comes out the same
 * everywhere.
 */
#include <math.h>

#include "analyse/risk/risk.h"
#include "base/error.h"
#include "base/memory.h"

enum { GREATEST = 10, FIGURES = 1 + 2 * GREATEST, STEP = RISK_ALLOTTED };

typedef struct {
    const coaming_risk_row *rows[GREATEST]; /* the greatest risks, the greatest first */
    int count;
} greatest;

static greatest greatest_of(const coaming_risk *k)
{
    greatest g = {{NULL}, 0};
    for (size_t c = 0; c < k->closure_count; c++) {
        const coaming_risk_row *row = &k->rows[c];
        for (int i = 0; i < GREATEST && row && row->risk > 0; i++)
            if (!g.rows[i] || row->risk > g.rows[i]->risk) {
                const coaming_risk_row *out = g.rows[i];
                g.rows[i] = row;
                row = out;
            }
    }
    while (g.count < GREATEST && g.rows[g.count])
        g.count++;
    return g;
}

bool risk_within(const coaming_risk *k)
{
    double within = k->options.within;
    if (k->error > within * fabs(k->expected))
        return false;
    greatest g = greatest_of(k);
    for (int i = 0; i < g.count; i++)
        if (g.rows[i]->risk_error > within * g.rows[i]->risk ||
            (!k->options.loss_only &&
             g.rows[i]->fussell_vesely_error > within * g.rows[i]->fussell_vesely))
            return false;
    return true;
}

/* The figures: the expected loss; then of each of the greatest its risk, and its Fussell-Vesely
 * measure times the expected loss. */
typedef struct {
    const coaming_risk *k;
    greatest g;
    double wanted[FIGURES], foreseen[FIGURES]; /* variances */
    bool done[FIGURES];
    double (*by_model)[FIGURES]; /* variance of one block */
    uint64_t *most;              /* by model: blocks that it may have now */
} allotment;

static void add_edge_variances(allotment *a, size_t model, size_t edge, double scale, int place)
{
    const risk_answer *answer = &a->k->answers[model];
    const coaming_risk_row *row = a->g.rows[place];
    double *variance = a->by_model[model], share = row->fussell_vesely;
    risk_edge_estimate e = risk_edge_of(&a->k->models[model], answer, edge, scale);
    variance[1 + 2 * place] += e.effect.variance;
    if (!answer->enumerated && !a->k->options.loss_only)
        variance[2 + 2 * place] +=
            e.way.variance - 2 * share * e.way_with_loss + share * share * variance[0];
}

/* What one block would leave of variance. */
static void find_variances(allotment *a, size_t model)
{
    const risk_model *m = &a->k->models[model];
    const risk_answer *answer = &a->k->answers[model];
    double *variance = a->by_model[model], scale = risk_greatest_loss(m);
    bool seen[GREATEST] = {false};
    variance[0] = answer->exact ? 0 : risk_loss_of(m, answer).variance;
    for (size_t e = 0; e < m->edge_count; e++)
        for (int i = 0; i < a->g.count; i++)
            if (a->g.rows[i]->closure == m->edges[e].closure) {
                add_edge_variances(a, model, e, scale, i);
                seen[i] = true;
            }
    for (int i = 0; i < a->g.count && !a->k->options.loss_only; i++)
        if (!seen[i]) /* its share of the loss depends on the loss here */
            variance[2 + 2 * i] += pow(a->g.rows[i]->fussell_vesely, 2) * variance[0];
    for (int f = 0; f < FIGURES; f++) {
        a->foreseen[f] += variance[f] = fmax(0, variance[f]);
        variance[f] *= (double)answer->tally.samples / RISK_BLOCK;
    }
}

static void find_goals(allotment *a)
{
    const coaming_risk *k = a->k;
    double within = k->options.within * (1 - 1e-9); /* what is not met is seen not to be */
    a->wanted[0] = pow(within * k->expected, 2);
    for (int i = 0; i < a->g.count; i++) {
        a->wanted[1 + 2 * i] = pow(within * a->g.rows[i]->risk, 2);
        a->wanted[2 + 2 * i] = pow(within * a->g.rows[i]->fussell_vesely * k->expected, 2);
    }
}

/* The figure furthest from its goal; -1: none is off. */
static int furthest(const allotment *a)
{
    int found = -1;
    for (int f = 0; f < 1 + 2 * a->g.count; f++)
        if (!a->done[f] && a->foreseen[f] > a->wanted[f] &&
            (found < 0 || a->foreseen[f] * a->wanted[found] > a->foreseen[found] * a->wanted[f]))
            found = f;
    return found;
}

static double lessened(const allotment *a, size_t model, int figure, uint64_t blocks)
{
    return a->by_model[model][figure] * (1 / (double)blocks - 1 / (double)(blocks + STEP));
}

static size_t best_model(const allotment *a, int figure, const uint64_t *blocks)
{
    size_t best = 0;
    double most = -1;
    for (size_t i = 0; i < a->k->model_count; i++) {
        const risk_model *m = &a->k->models[i];
        if (!a->k->answers[i].sampled)
            continue;
        double gain =
            lessened(a, i, figure, blocks[i]) / ((double)m->edge_count + (double)m->node_count + 1);
        if (gain > most) {
            most = gain;
            best = i;
        }
    }
    return best;
}

static void allot_steps(allotment *a, uint64_t *blocks)
{
    for (int f; (f = furthest(a)) >= 0;) {
        size_t model = best_model(a, f, blocks);
        if (blocks[model] + STEP > a->most[model]) {
            a->done[f] = true; /* for now */
            continue;
        }
        for (int i = 0; i < FIGURES; i++)
            a->foreseen[i] -= lessened(a, model, i, blocks[model]);
        blocks[model] += STEP;
    }
}

coaming_status risk_allot(const coaming_risk *k, uint64_t *blocks, coaming_error *error)
{
    allotment a = {.k = k,
                   .g = greatest_of(k),
                   .by_model = memory_new(k->model_count, sizeof *a.by_model),
                   .most = memory_new(k->model_count, sizeof *a.most)};
    bool made = a.by_model && a.most;
    if (made) {
        find_goals(&a);
        for (size_t i = 0; i < k->model_count; i++) {
            uint64_t all = RISK_SAMPLES_MOST / RISK_BLOCK;
            a.most[i] = 2 * blocks[i] < all ? 2 * blocks[i] : all;
            if (k->answers[i].sampled)
                find_variances(&a, i);
        }
        allot_steps(&a, blocks);
    }
    memory_free(a.by_model);
    memory_free(a.most);
    return made ? COAMING_OK : error_memory(error);
}
