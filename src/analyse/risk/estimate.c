/* From the sums of the models to the measures of the closures. */
#include <math.h>

#include "analyse/risk/risk.h"

/* Sum of products less the product of sums: (n - 1) n times the covariance of two means. */
static double products_about(risk_wide products, risk_wide a, risk_wide b, double n)
{
    return (double)products - (double)a * (double)b / n;
}

static double over_samples(double products, double n)
{
    double unit = (double)RISK_UNIT;
    return n > 1 ? products / (n * (n - 1)) / (unit * unit) : INFINITY;
}

static risk_estimate about_base(int64_t base, risk_wide sum, risk_wide squared, double n)
{
    double mean = ((double)base + (double)sum / n) / (double)RISK_UNIT;
    double spread = fmax(0, products_about(squared, sum, sum, n));
    return (risk_estimate){mean, over_samples(spread, n)};
}

/* The regression of the loss on its control; where the control never changed, each passing edge
 * counts for what it does alone. */
static double slope_of(const risk_tally *t)
{
    double n = (double)t->samples;
    double spread = products_about(t->control_squared, t->control, t->control, n);
    if (spread <= 0)
        return ldexp(1, t->control_shift);
    return products_about(t->loss_control, t->loss, t->control, n) / spread;
}

static risk_estimate loss_of(const risk_tally *t)
{
    double n = (double)t->samples, slope = slope_of(t);
    risk_estimate e = about_base(t->base_loss, t->loss, t->loss_squared, n);
    e.mean += slope * (t->control_mean - (double)t->control / n) / (double)RISK_UNIT;
    double about = products_about(t->loss_squared, t->loss, t->loss, n) -
                   slope * products_about(t->loss_control, t->loss, t->control, n);
    e.variance = over_samples(fmax(0, about), n);
    if (n > 2) /* the slope is of the same samples */
        e.variance *= (n - 1) / (n - 2);
    return e;
}

typedef struct {
    double mean, variance;
    double with_loss; /* covariance with the mean of the loss, both with what the control says */
} way_estimate;

/* The control tells of the ways through an edge also. */
static way_estimate way_of(const risk_tally *t, size_t edge)
{
    const risk_edge_sums *s = &t->sums[edge];
    double n = (double)t->samples;
    double spread = products_about(t->control_squared, t->control, t->control, n);
    double with_control = products_about(s->by_way_control, s->by_way, t->control, n);
    double slope = spread > 0 ? with_control / spread : 0;
    risk_estimate plain = about_base(t->base_way[edge], s->by_way, s->by_way_squared, n);
    double squares = products_about(s->by_way_squared, s->by_way, s->by_way, n);
    double products = products_about(s->by_way_loss, s->by_way, t->loss, n);
    double loss = products_about(t->loss_control, t->loss, t->control, n);
    return (way_estimate){plain.mean + slope * (t->control_mean - (double)t->control / n) /
                                           (double)RISK_UNIT,
                          over_samples(fmax(0, squares - slope * with_control), n),
                          over_samples(products - slope * loss, n)};
}

double risk_greatest_loss(const risk_model *m)
{
    double mass = 0;
    for (int v = 0; v < m->node_count; v++)
        mass += m->mass[v];
    return m->total_weight * mass;
}

risk_estimate risk_loss_of(const risk_model *m, const risk_answer *a)
{
    if (a->exact)
        return (risk_estimate){a->expected, 0};
    double scale = risk_greatest_loss(m);
    risk_estimate loss = loss_of(&a->tally);
    return (risk_estimate){loss.mean * scale, loss.variance * scale * scale};
}

risk_edge_estimate risk_edge_of(const risk_model *m, const risk_answer *a, size_t edge,
                                double scale)
{
    const risk_tally *t = &a->tally;
    double p = m->edges[edge].p, size = p * scale;
    risk_edge_estimate e = {0};
    if (a->exact) {
        e.birnbaum = a->birnbaum[edge];
    } else {
        const risk_edge_sums *s = &t->sums[edge];
        risk_estimate effect =
            about_base(t->base_effect[edge], s->effect, s->effect_squared, (double)t->samples);
        e.birnbaum = scale * effect.mean;
        e.effect.variance = size * size * effect.variance;
    }
    e.effect.mean = p * e.birnbaum;
    if (a->enumerated) {
        e.way.mean = a->by_way[edge];
    } else if (a->sampled) { /* else the ways were not asked for */
        way_estimate way = way_of(t, edge);
        e.way = (risk_estimate){size * way.mean, size * size * way.variance};
        e.way_with_loss = a->exact ? 0 : size * scale * way.with_loss;
    }
    return e;
}

/* Adds one model to the sums of its closures; returns its expected loss. */
static risk_estimate gather(coaming_risk *k, const risk_model *m, const risk_answer *a)
{
    double scale = risk_greatest_loss(m);
    for (size_t i = 0; i < m->edge_count; i++) {
        double p = m->edges[i].p;
        coaming_risk_row *row = &k->rows[m->edges[i].closure];
        struct risk_gathered *g = &k->gathered[m->edges[i].closure];
        risk_edge_estimate e = risk_edge_of(m, a, i, scale);
        row->probability = fmax(row->probability, p);
        row->birnbaum += e.birnbaum;
        g->passes_gain += (1 - p) * e.birnbaum;
        row->risk += e.effect.mean;
        if (!m->whatever || !m->whatever[i])
            row->repair_gain += e.effect.mean;
        g->risk_variance += e.effect.variance;
        g->way += e.way.mean;
        g->way_variance += e.way.variance;
        g->way_covariance += e.way_with_loss;
    }
    return risk_loss_of(m, a);
}

static double ratio(double a, double b, double where_none)
{
    if (b > 0)
        return a / b;
    return a > 0 ? INFINITY : where_none;
}

static void finish_row(const coaming_risk *k, coaming_risk_row *row, const struct risk_gathered *g)
{
    double all = k->expected;
    row->risk_error = sqrt(g->risk_variance);
    row->achievement = ratio(all + g->passes_gain, all, 1);
    row->reduction = ratio(all, all - row->risk, 1);
    row->criticality = row->fussell_vesely = row->fussell_vesely_error = 0;
    if (all <= 0)
        return;
    if (k->options.loss_only) {
        row->criticality = row->risk / all;
        row->fussell_vesely = row->fussell_vesely_error = NAN;
        return;
    }
    double share = g->way / all;
    row->criticality = row->risk / all;
    row->fussell_vesely = share;
    /* of a quotient, to first order */
    double variance = g->way_variance - 2 * share * g->way_covariance;
    if (g->way_variance > 0 || share > 0)
        variance += share * share * k->error * k->error;
    row->fussell_vesely_error = sqrt(fmax(0, variance)) / all;
}

void risk_fill_rows(coaming_risk *k)
{
    double variance = 0;
    k->expected = 0;
    for (size_t c = 0; c < k->closure_count; c++) {
        k->rows[c] = (coaming_risk_row){.closure = (int)c};
        k->gathered[c] = (struct risk_gathered){0};
    }
    for (size_t i = 0; i < k->model_count; i++) {
        risk_estimate loss = gather(k, &k->models[i], &k->answers[i]);
        k->expected += loss.mean;
        variance += loss.variance;
    }
    k->error = sqrt(variance);
    for (size_t c = 0; c < k->closure_count; c++) {
        finish_row(k, &k->rows[c], &k->gathered[c]);
        if (k->rows[c].probability == 0) /* it is in no model, or never passes */
            k->rows[c].probability = k->probabilities[c];
    }
}
