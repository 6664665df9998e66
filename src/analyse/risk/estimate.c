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

/* Did a sample differ from the base state, by more than rounding of some units? */
static bool was_seen(risk_wide squared, double n)
{
    return (double)squared > 64 * n;
}

/* What has happened in none of n samples has a probability of at most this, with a confidence of
 * 1 - DOUBT / models for each of so many models: the upper limit of Clopper and Pearson ("The use
 * of confidence or fiducial limits illustrated in the case of the binomial", Biometrika 26(4),
 * 1934, from memory), which for no hits is where (1 - limit)^n is the doubt, some 3 / n. */
static const double DOUBT = 0.05;
static double never_seen(double n, size_t models)
{
    return n > 0 ? -expm1(log(DOUBT / (double)models) / n) : 1;
}

static risk_estimate about_base(int64_t base, risk_wide sum, risk_wide squared, double n)
{
    double mean = ((double)base + (double)sum / n) / (double)RISK_UNIT;
    double spread = fmax(0, products_about(squared, sum, sum, n));
    bool seen = was_seen(squared, n);
    return (risk_estimate){mean, seen ? over_samples(spread, n) : 0, seen ? 0 : 1};
}

/* The regression of the loss on its control. */
static double slope_of(const risk_tally *t)
{
    double n = (double)t->samples;
    double spread = products_about(t->control_squared, t->control, t->control, n);
    if (spread <= 0)
        return 0;
    return products_about(t->loss_control, t->loss, t->control, n) / spread;
}

static risk_estimate loss_of(const risk_tally *t)
{
    double n = (double)t->samples, slope = slope_of(t), unit = ldexp(1, t->loss_shift);
    risk_estimate e = about_base(0, t->loss, t->loss_squared, n);
    e.mean += slope * (t->control_mean - (double)t->control / n) / (double)RISK_UNIT;
    double about = products_about(t->loss_squared, t->loss, t->loss, n) -
                   slope * products_about(t->loss_control, t->loss, t->control, n);
    if (e.variance > 0)
        e.variance = over_samples(fmax(0, about), n);
    if (n > 2) /* the slope is of the same samples */
        e.variance *= (n - 1) / (n - 2);
    return (risk_estimate){t->base_loss + unit * e.mean, unit * unit * e.variance, e.unseen};
}

typedef struct {
    double mean, variance, unseen;
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
    return (way_estimate){
        plain.mean + slope * (t->control_mean - (double)t->control / n) / (double)RISK_UNIT,
        plain.unseen ? 0 : over_samples(fmax(0, squares - slope * with_control), n), plain.unseen,
        plain.unseen ? 0 : ldexp(over_samples(products - slope * loss, n), t->loss_shift)};
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
        return (risk_estimate){a->expected, 0, 0};
    double scale = risk_greatest_loss(m);
    risk_estimate loss = loss_of(&a->tally);
    return (risk_estimate){loss.mean * scale, loss.variance * scale * scale,
                           loss.unseen * scale * a->tally.most};
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
        e.effect.unseen = size * effect.unseen * t->most;
    }
    e.effect.mean = p * e.birnbaum;
    if (a->enumerated) {
        e.way.mean = a->by_way[edge];
    } else if (a->sampled) { /* else the ways were not asked for */
        way_estimate way = way_of(t, edge);
        e.way = (risk_estimate){size * way.mean, size * size * way.variance,
                                size * way.unseen * t->greatest};
        e.way_with_loss = a->exact ? 0 : size * scale * way.with_loss;
    }
    return e;
}

/* How much more a figure may be at most for what was never seen of it in a model, in a sample of
 * which it may be `unseen` more. */
static double beyond(const coaming_risk *k, const risk_answer *a, double unseen)
{
    size_t models = 0;
    for (size_t i = 0; i < k->model_count; i++)
        models += k->answers[i].sampled;
    return unseen > 0 ? unseen * never_seen((double)a->tally.samples, models) : 0;
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
        g->risk_beyond += beyond(k, a, e.effect.unseen);
        g->way += e.way.mean;
        g->way_variance += e.way.variance;
        g->way_beyond += beyond(k, a, e.way.unseen);
        g->way_covariance += e.way_with_loss;
    }
    return risk_loss_of(m, a);
}

/* Adds water where she settles, likewise. What passes whatever its gasket is in no branch: what it
 * costs is not known. */
static risk_estimate gather_settled(coaming_risk *k)
{
    const risk_settled *s = k->settled;
    for (size_t c = 0; c < k->closure_count; c++) {
        double p = k->whatever[c] ? 1 : k->probabilities[c];
        coaming_risk_row *row = &k->rows[c];
        struct risk_gathered *g = &k->gathered[c];
        double turn = risk_settled_turn(s, (int)c, TURN);
        row->probability = fmax(row->probability, p);
        row->birnbaum += k->whatever[c] || !(p > 0) ? NAN : turn;
        row->risk += k->whatever[c] ? NAN : p * turn;
        if (k->whatever[c])
            continue;
        g->passes_gain += p > 0 ? (1 - p) * turn : NAN;
        row->repair_gain += p * turn;
        g->risk_variance += p * p * risk_settled_turn(s, (int)c, TURN_VARIANCE);
        g->risk_beyond += p * (risk_settled_turn(s, (int)c, TURN_UNSEEN) +
                               risk_settled_turn(s, (int)c, TURN_NEVER));
    }
    return (risk_estimate){risk_settled_loss(s, LOSS), risk_settled_loss(s, LOSS_VARIANCE),
                           risk_settled_loss(s, LOSS_UNSEEN)};
}

/* Sure limits of the expected loss, where all else is exact. */
static void bound(coaming_risk *k, double others)
{
    bool sure = k->branched;
    for (size_t i = 0; i < k->model_count; i++)
        sure = sure && k->answers[i].exact;
    k->low = sure ? others + risk_settled_loss(k->settled, LOSS_LOW) : NAN;
    k->high = sure ? others + risk_settled_loss(k->settled, LOSS_HIGH) : NAN;
}

static double ratio(double a, double b, double where_none)
{
    if (b > 0)
        return a / b;
    return a > 0 ? INFINITY : where_none;
}

/* An error where the figure was seen to vary, or is exact; else a limit. */
static void tell(double variance, double value, double more, double *error, double *limit)
{
    bool unseen = !(variance > 0) && more > 0;
    *error = unseen ? NAN : sqrt(fmax(0, variance));
    *limit = unseen ? value + more : NAN;
}

static void finish_ways(const coaming_risk *k, coaming_risk_row *row, const struct risk_gathered *g)
{
    double all = k->expected, share = all > 0 ? g->way / all : 0;
    double error = isnan(k->error) ? 0 : k->error;
    row->fussell_vesely = fmin(1, share);
    if (all <= 0) { /* nothing is lost, or nothing was seen to be */
        bool unknown = isnan(k->error) && g->way_beyond > 0;
        tell(0, 0, unknown, &row->fussell_vesely_error, &row->fussell_vesely_limit);
        return;
    }
    /* of a quotient, to first order */
    double variance = g->way_variance - 2 * share * g->way_covariance;
    if (g->way_variance > 0 || share > 0)
        variance += share * share * error * error;
    tell(variance / all / all, share, g->way_beyond / all, &row->fussell_vesely_error,
         &row->fussell_vesely_limit);
    row->fussell_vesely_limit = row->fussell_vesely_limit > 1 ? 1 : row->fussell_vesely_limit;
}

/* What is left of the loss without the closure, but for what rounding, or two standard errors, may
 * have left. */
static double left_without(const coaming_risk *k, const coaming_risk_row *row)
{
    double left = k->expected - row->risk;
    double errors =
        k->error > 0 ? 2 * hypot(k->error, row->risk_error > 0 ? row->risk_error : 0) : 0;
    return left > 1e-12 * k->expected + 1e-14 * k->greatest + errors ? left : 0;
}

static void finish_row(const coaming_risk *k, coaming_risk_row *row, const struct risk_gathered *g)
{
    double all = k->expected;
    tell(g->risk_variance, row->risk, g->risk_beyond, &row->risk_error, &row->risk_limit);
    row->achievement = ratio(all + g->passes_gain, all, 1);
    row->reduction = isnan(row->risk) ? NAN : ratio(all, left_without(k, row), 1);
    if (isnan(row->risk))
        row->risk_error = row->risk_limit = NAN;
    row->criticality = all > 0 ? row->risk / all : 0;
    if (k->options.loss_only && all > 0)
        row->fussell_vesely = row->fussell_vesely_error = row->fussell_vesely_limit = NAN;
    else
        finish_ways(k, row, g);
}

static void finish_expected(coaming_risk *k, double variance, double more)
{
    tell(variance, k->expected, more, &k->error, &k->limit);
    if (!k->exact && k->error == 0) { /* nothing uncertain is left to vary; but it was sampled */
        k->error = NAN;
        k->limit = k->expected;
    }
}

void risk_fill_rows(coaming_risk *k)
{
    double variance = 0, more = 0;
    k->expected = k->greatest = 0;
    for (size_t c = 0; c < k->closure_count; c++) {
        k->rows[c] = (coaming_risk_row){.closure = (int)c};
        k->gathered[c] = (struct risk_gathered){0};
    }
    for (size_t i = 0; i < k->model_count; i++) {
        risk_estimate loss = gather(k, &k->models[i], &k->answers[i]);
        k->expected += loss.mean;
        k->greatest += risk_greatest_loss(&k->models[i]);
        variance += loss.variance;
        more += beyond(k, &k->answers[i], loss.unseen);
    }
    bound(k, k->expected);
    if (k->branched) {
        risk_estimate loss = gather_settled(k);
        k->expected += loss.mean;
        k->greatest += risk_settled_greatest(k->settled);
        variance += loss.variance;
        more += loss.unseen;
    }
    finish_expected(k, variance, more);
    for (size_t c = 0; c < k->closure_count; c++) {
        finish_row(k, &k->rows[c], &k->gathered[c]);
        if (k->rows[c].probability == 0) /* it is in no model, or never passes */
            k->rows[c].probability = k->probabilities[c];
    }
}
