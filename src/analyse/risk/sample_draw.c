/*
 * Which edges pass. 64 samples are drawn at once, as the bits of a word: each has a number u of 64
 * binary digits, of which the words of a stream give one digit each, the highest first, and the
 * edge passes where u < p. After a few digits it is known of all 64 which it is. p is held to 64
 * digits, and so may be too small by at most 2^-64.
 *
 * The stream is SplitMix64 (base/hash.h), for each edge and each 64 samples one of its own, started
 * from a mix of seed, model, closure and the number of the samples.
 */
#include "analyse/risk/sample.h"

#include "base/hash.h"

/* The digits of p are shifted out; where no more follow, no u that is equal so far is less. */
static uint64_t draw_word(uint64_t stream, uint64_t p)
{
    uint64_t passes = 0, equal = ~(uint64_t)0;
    for (; p && equal; p <<= 1) {
        uint64_t digit = hash_mix(stream += HASH_GOLDEN), of_p = -(p >> 63);
        passes |= equal & of_p & ~digit;
        equal &= ~(of_p ^ digit);
    }
    return passes;
}

static void draw_words(sample_state *s, uint64_t word)
{
    const sample_plan *p = s->plan;
    for (int e = 0; e < p->edges; e++)
        s->bits[e] = draw_word(hash_mix(p->key[e] + HASH_GOLDEN * (word + 1)), p->chance[e]);
}

/* Lists the edges of the next samples of the word, and shifts these out of it. */
static void list_passing(sample_state *s)
{
    size_t edges = (size_t)s->plan->edges;
    for (int i = 0; i < SAMPLE_LISTS; i++)
        s->list_count[i] = 0;
    for (size_t e = 0; e < edges; e++) {
        unsigned left = s->bits[e] & ((1u << SAMPLE_LISTS) - 1);
        for (; left; left &= left - 1) {
            size_t i = (size_t)__builtin_ctz(left);
            s->lists[i * edges + (size_t)s->list_count[i]++] = (int)e;
        }
        s->bits[e] >>= SAMPLE_LISTS;
    }
}

void sample_draw_block(sample_state *s, uint64_t block)
{
    s->number = block;
    s->passing_count = s->touched_count = 0;
}

static inline void touch(sample_state *s, int node)
{
    int group = s->plan->group[node];
    s->touched[s->touched_count] = group; /* stays if it is the first time */
    s->touched_count += !s->is_touched[group];
    s->is_touched[group] = true;
}

static inline void list_end(sample_state *s, int node, int other, int end)
{
    s->link[end] = (sample_link){s->head[node], other};
    s->head[node] = end;
    touch(s, node);
}

void sample_draw(sample_state *s, int in_block)
{
    int word = in_block / SAMPLE_WORD, list = in_block % SAMPLE_LISTS;
    if (in_block % SAMPLE_WORD == 0)
        draw_words(s, s->number * (RISK_BLOCK / SAMPLE_WORD) + (uint64_t)word);
    if (list == 0)
        list_passing(s);
    s->passing = s->lists + (size_t)list * (size_t)s->plan->edges;
    s->passing_count = s->list_count[list];
    for (int i = 0; i < s->passing_count; i++) {
        sample_ends at = s->plan->ends[s->passing[i]];
        s->passes[s->passing[i]] = true;
        if (at.v == s->plan->always) {
            s->links[at.u]++;
            touch(s, at.u);
            continue;
        }
        list_end(s, at.u, at.v, 2 * i);
        list_end(s, at.v, at.u, 2 * i + 1);
    }
}

void sample_take_back(sample_state *s)
{
    for (int i = 0; i < s->passing_count; i++) {
        sample_ends at = s->plan->ends[s->passing[i]];
        s->head[at.u] = s->head[at.v] = -1;
        s->links[at.u] = 0;
        s->passes[s->passing[i]] = false;
    }
    for (int i = 0; i < s->touched_count; i++)
        s->is_touched[s->touched[i]] = false;
    for (int o = 1; o <= s->clock; o++) {
        int v = s->met[o];
        s->place[v].order = 0;
        s->place[v].side = s->plan->nodes + s->plan->group[v];
    }
    s->passing_count = s->touched_count = s->clock = 0;
}
