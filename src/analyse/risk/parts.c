/* Parts of a sampled answer: what they are of, and putting them together. */
#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "analyse/risk/risk.h"
#include "analyse/risk/sample.h"
#include "base/error.h"
#include "base/hash.h"
#include "base/share.h"

enum { SUMS_OF_MODEL = 5, SUMS_OF_EDGE = 6 };

/* Digest. */

static uint64_t digest_word(uint64_t digest, uint64_t word)
{
    return hash_mix((digest ^ hash_mix(word + HASH_GOLDEN)) + HASH_GOLDEN);
}

static uint64_t digest_number(uint64_t digest, double number)
{
    return digest_word(digest, hash_bits(number));
}

static uint64_t digest_model(uint64_t d, const risk_model *m, const risk_answer *a)
{
    d = digest_word(d, (uint64_t)m->hazard);
    d = digest_number(d, m->hazard == COAMING_WATER ? m->level : 0);
    d = digest_word(d, (uint64_t)m->node_count);
    d = digest_word(d, (uint64_t)(int64_t)m->always);
    d = digest_number(d, m->total_weight);
    for (int v = 0; v < m->node_count; v++)
        d = digest_number(digest_number(d, m->weight[v]), m->mass[v]);
    d = digest_word(d, m->edge_count);
    for (size_t e = 0; e < m->edge_count; e++) {
        d = digest_word(digest_word(d, (uint64_t)m->edges[e].u), (uint64_t)m->edges[e].v);
        d = digest_number(digest_word(d, (uint64_t)m->edges[e].closure), m->edges[e].p);
    }
    return digest_word(d, a->sampled + 2u * a->exact);
}

uint64_t risk_digest_of(const coaming_risk *k)
{
    uint64_t d = digest_word(4, k->closure_count); /* 4: of this way of sampling */
    for (size_t i = 0; i < k->model_count; i++)
        d = digest_model(d, &k->models[i], &k->answers[i]);
    return k->settled ? digest_word(d, risk_settled_digest(k->settled, &k->options)) : d;
}

/* Sums. */

static coaming_risk_sum to_sum(risk_wide w)
{
    return (coaming_risk_sum){(int64_t)(w >> 64), (uint64_t)w};
}

static risk_wide from_sum(coaming_risk_sum s)
{
    return (risk_wide)s.high * ((risk_wide)1 << 64) + (risk_wide)s.low;
}

/* The numbers of a tally one after the other: place i of it. */
static risk_wide *number_of(risk_tally *t, size_t i)
{
    risk_wide *own[] = {&t->loss, &t->loss_squared, &t->control, &t->control_squared,
                        &t->loss_control};
    if (i < SUMS_OF_MODEL)
        return own[i];
    i -= SUMS_OF_MODEL;
    risk_edge_sums *s = &t->sums[i / SUMS_OF_EDGE];
    risk_wide *edge[SUMS_OF_EDGE] = {&s->effect,         &s->effect_squared, &s->by_way,
                                     &s->by_way_squared, &s->by_way_loss,    &s->by_way_control};
    return edge[i % SUMS_OF_EDGE];
}

static size_t numbers_of(const risk_model *m)
{
    return SUMS_OF_MODEL + SUMS_OF_EDGE * m->edge_count;
}

size_t risk_sums_of(const coaming_risk *k)
{
    size_t count = 0;
    for (size_t i = 0; i < k->model_count; i++)
        if (k->answers[i].sampled)
            count += 1 + numbers_of(&k->models[i]); /* the first is the number of samples */
    return count + (k->settled ? risk_settled_count(k->settled) : 0);
}

void risk_write_sums(coaming_risk *k)
{
    size_t at = 0;
    for (size_t i = 0; i < k->model_count; i++) {
        risk_tally *t = &k->answers[i].tally;
        if (!k->answers[i].sampled)
            continue;
        k->sums[at++] = to_sum((risk_wide)t->samples);
        for (size_t j = 0; j < numbers_of(&k->models[i]); j++)
            k->sums[at++] = to_sum(*number_of(t, j));
    }
    for (size_t j = 0; k->settled && j < risk_settled_count(k->settled); j++)
        k->sums[at++] = to_sum(risk_settled_get(k->settled, j));
}

/* Samples in the blocks of one share. */
static uint64_t samples_in(uint64_t samples, unsigned share, unsigned shares)
{
    uint64_t count = 0;
    for (uint64_t at = (uint64_t)(share - 1) * RISK_BLOCK; at < samples;
         at += (uint64_t)shares * RISK_BLOCK)
        count += samples - at < RISK_BLOCK ? samples - at : RISK_BLOCK;
    return count;
}

/* A whole answer may have fewer samples, in whole blocks, of some models. */
static bool could_have(const coaming_risk_part *part, risk_wide samples)
{
    uint64_t all = samples_in(part->samples, part->share, part->shares);
    return samples == (risk_wide)all || (part->shares == 1 && samples > 0 &&
                                         samples < (risk_wide)all && samples % RISK_BLOCK == 0);
}

/* No figure of any rest is more than the greatest loss of it, but for rounding. */
static bool add_settled(coaming_risk *k, const coaming_risk_part *part, size_t at)
{
    risk_wide most = (risk_wide)1 << 82;
    if (!k->settled)
        return true;
    if (!risk_settled_fits(k->settled, part->share, part->shares, from_sum(part->sums[at])))
        return false;
    for (size_t j = 0; j < risk_settled_count(k->settled); j++) {
        risk_wide sum = from_sum(part->sums[at++]);
        if (sum > most || sum < -most)
            return false;
        risk_settled_add(k->settled, j, sum);
    }
    return true;
}

/* Of n samples: by Cauchy and Schwarz no sum is greater than what its squares allow, for all are
 * whole numbers and exact; what doubles lose of them is far less than the tolerance. */
static bool are_of(risk_wide sum, risk_wide squared, risk_wide n)
{
    return squared >= 0 && (double)sum * (double)sum <= (double)squared * (double)n * (1 + 1e-9);
}

static bool tally_fits(const risk_model *m, const risk_tally *t)
{
    risk_wide n = (risk_wide)t->samples;
    bool good = are_of(t->loss, t->loss_squared, n) && are_of(t->control, t->control_squared, n);
    for (size_t e = 0; good && e < m->edge_count; e++) {
        const risk_edge_sums *s = &t->sums[e];
        good = are_of(s->effect, s->effect_squared, n) && are_of(s->by_way, s->by_way_squared, n);
    }
    return good;
}

/* No value of a sample is more than about a unit, none of its squares more than its square. */
static bool add_model(const risk_model *m, risk_tally *t, const coaming_risk_part *part, size_t *at)
{
    risk_wide samples = from_sum(part->sums[(*at)++]);
    if (!could_have(part, samples)) /* before anything is worked out with it: it may be huge */
        return false;
    risk_wide most = samples * RISK_UNIT * RISK_UNIT * 2;
    t->samples += (uint64_t)samples;
    for (size_t j = 0; j < numbers_of(m); j++) {
        risk_wide sum = from_sum(part->sums[(*at)++]);
        if (sum > most || sum < -most)
            return false;
        *number_of(t, j) += sum;
    }
    return tally_fits(m, t);
}

static bool add_sums(coaming_risk *k, const coaming_risk_part *part)
{
    size_t at = 0;
    for (size_t i = 0; i < k->model_count; i++)
        if (k->answers[i].sampled && !add_model(&k->models[i], &k->answers[i].tally, part, &at))
            return false;
    return add_settled(k, part, at);
}

/* Of the right models, and of one piece with the first. */
static coaming_status check_part(const coaming_risk *k, const coaming_risk_part *parts,
                                 size_t index, coaming_error *error)
{
    const coaming_risk_part *part = &parts[index];
    char name[SHARE_NAME], first[SHARE_NAME];
    share_name(part->name, index, name);
    share_name(parts[0].name, 0, first);
    if (part->method != parts[0].method)
        return error_set(error, COAMING_INPUT, "%s: asked for --risk %s, but %s for --risk %s",
                         name, coaming_risk_method_word(part->method), first,
                         coaming_risk_method_word(parts[0].method));
    if (part->digest != k->digest)
        return share_of_other(name, error);
    if (part->seed != parts[0].seed)
        return error_set(error, COAMING_INPUT, "%s: of seed %" PRIu64 ", but %s of seed %" PRIu64,
                         name, part->seed, first, parts[0].seed);
    if (part->samples != parts[0].samples || part->shares != parts[0].shares)
        return error_set(error, COAMING_INPUT,
                         "%s: of %u shares of %" PRIu64 " samples, but %s of %u of %" PRIu64, name,
                         part->shares, part->samples, first, parts[0].shares, parts[0].samples);
    if (part->shares == 0 || part->share == 0 || part->share > part->shares ||
        part->samples < COAMING_RISK_SAMPLES_LEAST || part->samples > RISK_SAMPLES_MOST ||
        part->sum_count != k->sum_count)
        return share_damaged(name, error);
    return COAMING_OK;
}

/* The first share that is not there, of parts that are no two the same. */
static unsigned missing(const coaming_risk_part *parts, size_t count)
{
    for (unsigned share = 1;; share++) {
        size_t i = 0;
        while (i < count && parts[i].share != share)
            i++;
        if (i == count)
            return share;
    }
}

/* The sets of parts are small: each is compared with those before it. */
coaming_status risk_read_parts(coaming_risk *k, const coaming_risk_part *parts, size_t count,
                               coaming_error *error)
{
    char name[SHARE_NAME], other[SHARE_NAME];
    if (count == 0)
        return error_set(error, COAMING_USAGE, "there are no parts to put together");
    for (size_t i = 0; i < count; i++) {
        coaming_status status = check_part(k, parts, i, error);
        if (status != COAMING_OK)
            return status;
        for (size_t j = 0; j < i; j++)
            if (parts[j].share == parts[i].share)
                return share_twice(share_name(parts[i].name, i, name), parts[i].share,
                                   parts[i].shares, share_name(parts[j].name, j, other), error);
    }
    if (count < parts[0].shares)
        return error_set(error, COAMING_INPUT, "%zu of %u shares are missing; the first is %u/%u",
                         parts[0].shares - count, parts[0].shares, missing(parts, count),
                         parts[0].shares);
    for (size_t i = 0; i < count; i++)
        if (!add_sums(k, &parts[i]))
            return share_damaged(share_name(parts[i].name, i, name), error);
    return COAMING_OK;
}

/* Sums as text. */

const char *coaming_risk_sum_format(coaming_risk_sum sum, char text[COAMING_RISK_SUM_TEXT])
{
    uint64_t high = (uint64_t)sum.high, low = sum.low;
    size_t at = 0, digits = 1;
    if (sum.high < 0) {
        text[at++] = '-';
        low = ~low + 1;
        high = ~high + (low == 0);
    }
    while (digits < 32 && (digits < 16 ? low >> (4 * digits) || high : high >> (4 * (digits - 16))))
        digits++;
    while (digits-- > 0)
        text[at++] =
            "0123456789abcdef"[(digits < 16 ? low >> (4 * digits) : high >> (4 * (digits - 16))) &
                               15];
    text[at] = '\0';
    return text;
}

bool coaming_risk_sum_parse(const char *text, coaming_risk_sum *sum)
{
    static const char digits[] = "0123456789abcdef";
    bool negative = *text == '-';
    uint64_t high = 0, low = 0;
    size_t count = strlen(text += negative);
    if (count == 0 || count > 32)
        return false;
    for (; *text; text++) {
        const char *digit = strchr(digits, *text);
        if (!digit)
            return false;
        high = high << 4 | low >> 60;
        low = low << 4 | (uint64_t)(digit - digits);
    }
    if (high >> 63)
        return false;
    if (negative) {
        low = ~low + 1;
        high = ~high + (low == 0);
    }
    *sum = (coaming_risk_sum){(int64_t)high, low};
    return true;
}
