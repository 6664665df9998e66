#include "present/tell/survival_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"

const char *survival_state(coaming_answer state)
{
    static const char *const words[COAMING_ANSWERS] = {"as built", "as last tested",
                                                       "if untested closures leak"};
    return words[state];
}

const char *survival_state_key(coaming_answer state)
{
    static const char *const keys[COAMING_ANSWERS] = {"as_built", "as_tested", "if_untested_leak"};
    return keys[state];
}

const char *index_words(char buffer[SHOWN], double value)
{
    snprintf(buffer, SHOWN, "%.4f", value);
    if (!strchr(buffer, '.'))
        return buffer;
    size_t length = strlen(buffer);
    while (buffer[length - 1] == '0')
        buffer[--length] = '\0';
    if (buffer[length - 1] == '.')
        buffer[length - 1] = '\0';
    return buffer;
}

const char *gain_words(char buffer[SHOWN], const coaming_survival_closure *c)
{
    char value[SHOWN];
    index_words(value, fabs(c->tested_gain));
    if (c->tested_gain > 0)
        snprintf(buffer, SHOWN, "sound, it alone gives back %.60s", value);
    else if (c->tested_gain < 0)
        snprintf(buffer, SHOWN, "sound alone, it costs %.60s more: its water takes heel off her",
                 value);
    else
        snprintf(buffer, SHOWN, "sound alone, it gives back nothing");
    return buffer;
}

char *required_words(const coaming_survival_index *index)
{
    char value[SHOWN], length[SHOWN], *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    amount(length, index->length);
    if (isnan(index->required))
        fprintf(out,
                "Nothing is required of a cargo ship %s m long: SOLAS II-1/6 asks from 80 m on",
                length);
    else
        fprintf(out, "%s is required of a %s ship %s m long (SOLAS II-1/6, text of 2009)",
                index_words(value, index->required), index->passenger ? "passenger" : "cargo",
                length);
    return fclose(out) == 0 ? text : NULL;
}

const char *zone_words(char buffer[SHOWN], const coaming_survival_case *c)
{
    const char *side = c->starboard ? "starboard" : "port";
    if (c->last_zone > c->first_zone)
        snprintf(buffer, SHOWN, "%s, zones %d to %d", side, c->first_zone, c->last_zone);
    else
        snprintf(buffer, SHOWN, "%s, zone %d", side, c->first_zone);
    return buffer;
}

char *case_words(const coaming_survival *survival, const coaming_survival_case *c)
{
    char name[SHOWN], *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    const coaming_survival_loading *l = coaming_survival_loading_get(survival, (size_t)c->loading);
    if (coaming_survival_loading_count(survival) > 1)
        fprintf(out, "%s, ", shown(name, l->id, 30));
    fputs(zone_words(name, c), out);
    fprintf(out, ", %s m deep", amount(name, c->penetration));
    if (isfinite(c->height))
        fprintf(out, ", up to %s m", amount(name, c->height));
    return fclose(out) == 0 ? text : NULL;
}

static double tested_cost(const coaming_survival_index *index)
{
    return index->index[COAMING_AS_BUILT] - index->index[COAMING_AS_TESTED];
}

bool tested_costs(const coaming_survival_index *index)
{
    return tested_cost(index) > 0;
}

char *tested_cost_words(const coaming_survival_index *index)
{
    char value[SHOWN], *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    if (tested_costs(index))
        fprintf(out, "As last tested her closures cost her %s of the index as built",
                index_words(value, tested_cost(index)));
    else
        fputs("As last tested she survives what she does as built", out);
    return fclose(out) == 0 ? text : NULL;
}

static bool left_open(const coaming_survival_limits *l)
{
    char low[SHOWN], high[SHOWN];
    return strcmp(index_words(low, l->low), index_words(high, l->high)) != 0;
}

const char *limit_words(char buffer[SHOWN], const coaming_survival_limits *l, double error)
{
    char low[SHOWN], high[SHOWN], value[SHOWN], sampled[80] = "";
    *buffer = '\0';
    if (!left_open(l))
        return buffer;
    if (error > 0)
        snprintf(sampled, sizeof sampled, "; sampled between them, standard error %.20s",
                 index_words(value, error));
    snprintf(buffer, SHOWN, " (for sure between %.20s and %.20s%s)", index_words(low, l->low),
             index_words(high, l->high), sampled);
    return buffer;
}

bool tested_hangs_on(const coaming_survival_closure *c)
{
    return fabs(c->tested_gain) > 1e-12 || c->turned > 0;
}

static int order_gains(const void *left, const void *right)
{
    const coaming_survival_closure *const *a = left, *const *b = right;
    double one = (*a)->index_gain.value, two = (*b)->index_gain.value;
    if (one > two || one < two)
        return one > two ? -1 : 1;
    return ((*a)->closure > (*b)->closure) - ((*a)->closure < (*b)->closure);
}

/* What is less is not shown by the digits of an index. */
static const double SHOWN_GAIN = 0.00005;

const coaming_survival_closure **survival_by_gain(const coaming_survival *survival, size_t *count)
{
    size_t all = coaming_survival_closure_count(survival);
    const coaming_survival_closure **list = memory_new(all, sizeof *list);
    *count = 0;
    for (size_t i = 0; list && i < all; i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(survival, i);
        if (c->index_gain.value >= SHOWN_GAIN)
            list[(*count)++] = c;
    }
    if (*count)
        qsort(list, *count, sizeof *list, order_gains);
    return list;
}

const char *gains_words(char buffer[SHOWN], const coaming_survival_index *index)
{
    snprintf(buffer, SHOWN,
             "As likely as her history says, what each would win of the index if it were sure to "
             "hold%s",
             left_open(&index->expected) ? " (best guesses, by samples)" : "");
    return buffer;
}

bool lost_as_tested_only(const coaming_survival_case *c)
{
    return c->grade[COAMING_AS_TESTED] == COAMING_GRADE_LOST &&
           c->grade[COAMING_AS_BUILT] != COAMING_GRADE_LOST;
}

char *lost_as_tested_words(const coaming_survival *survival, size_t *cases)
{
    char part[SHOWN], *text = NULL;
    size_t size, count = coaming_survival_count(survival);
    double share = 0;
    FILE *out = open_memstream(&text, &size);
    *cases = 0;
    if (!out)
        return NULL;
    for (size_t i = 0; i < count; i++) {
        bool counts = lost_as_tested_only(coaming_survival_get(survival, i));
        *cases += counts;
        share += counts ? coaming_survival_share(survival, i) : 0;
    }
    if (*cases)
        fprintf(out, "Lost as last tested and not as built: %zu of %zu cases, %s of damage", *cases,
                count, percent(part, share));
    else
        fputs("In no case is she lost as last tested and not as built", out);
    return fclose(out) == 0 ? text : NULL;
}

typedef struct {
    double cost;
    size_t which;
} costly;

static int order_by_cost(const void *left, const void *right)
{
    const costly *a = left, *b = right;
    if (a->cost != b->cost)
        return a->cost > b->cost ? -1 : 1;
    return (a->which > b->which) - (a->which < b->which);
}

size_t *survival_by_cost(const coaming_survival *survival)
{
    size_t count = coaming_survival_count(survival);
    costly *list = memory_new(count, sizeof *list);
    size_t *order = memory_new(count, sizeof *order);
    for (size_t i = 0; list && order && i < count; i++) {
        double s = coaming_survival_get(survival, i)->s[COAMING_AS_TESTED];
        list[i] = (costly){coaming_survival_share(survival, i) * (1 - s), i};
    }
    if (list && order) {
        qsort(list, count, sizeof *list, order_by_cost);
        for (size_t i = 0; i < count; i++)
            order[i] = list[i].which;
    } else {
        memory_free(order);
        order = NULL;
    }
    memory_free(list);
    return order;
}
