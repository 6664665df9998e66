/*
 * Which edges pass. Each edge has a stream of its own for each block of samples: SplitMix64
 * (Steele, Lea and Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014) started
 * from a mix of seed, model, closure and block. It is not asked for every sample: the number of
 * samples until the next in which an edge passes is geometric, floor(log(u) / log(1 - p)) with u in
 * (0, 1] (Devroye, Non-Uniform Random Variate Generation, 1986, chapter X.2; place from memory).
 */
#include <math.h>

#include "analyse/risk/sample.h"

static const uint64_t GOLDEN = 0x9e3779b97f4a7c15u;

uint64_t sample_mix(uint64_t z)
{
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return z ^ (z >> 31);
}

/* Puts an edge into the list of the next sample, from `from` on, in which it passes. */
static void put_next(sample_state *s, int edge, int from)
{
    uint64_t z = sample_mix(s->stream[edge] += GOLDEN);
    double u = (double)((z >> 11) + 1) * 0x1p-53;
    double wait = floor(log(u) * s->plan->skip[edge]);
    if (!(wait < RISK_BLOCK - from)) /* nor where p is so small that this is not a number */
        return;
    int at = from + (int)wait;
    s->next[edge] = s->drawn[at];
    s->drawn[at] = edge;
}

void sample_draw_block(sample_state *s, uint64_t block)
{
    for (int i = 0; i < RISK_BLOCK; i++)
        s->drawn[i] = -1;
    for (int e = 0; e < s->plan->edges; e++) {
        if (s->plan->skip[e] == 0)
            continue;
        s->stream[e] = sample_mix(s->plan->key[e] + GOLDEN * (block + 1));
        put_next(s, e, 0);
    }
}

static void list_end(sample_state *s, int node, int end)
{
    s->link[end] = s->head_at[node] == s->now ? s->head[node] : -1;
    s->head_at[node] = s->now;
    s->head[node] = end;
    int group = s->plan->group[node];
    if (s->group_at[group] != s->now) {
        s->group_at[group] = s->now;
        s->touched[s->touched_count++] = group;
    }
}

void sample_draw(sample_state *s, int in_block)
{
    s->now++;
    s->passing_count = s->touched_count = 0;
    for (int e = s->drawn[in_block], after; e >= 0; e = after) {
        after = s->next[e];
        const risk_edge *edge = &s->plan->model->edges[e];
        list_end(s, edge->u, 2 * s->passing_count);
        list_end(s, edge->v, 2 * s->passing_count + 1);
        s->passing[s->passing_count++] = e;
        s->pass_at[e] = s->now;
        put_next(s, e, in_block + 1);
    }
}
