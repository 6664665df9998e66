#include "present/tell/survival_words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/memory.h"
#include "present/tell/float_words.h"
#include "present/tell/place_words.h"

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

static bool counts(const coaming_survival *survival, const ship_loading *l)
{
    bool found = false;
    for (size_t i = 0; i < coaming_survival_loading_count(survival) && !found; i++)
        found = !strcmp(coaming_survival_loading_get(survival, i)->id, l->id);
    return found;
}

char *left_out_words(const coaming_ship *ship, const coaming_survival *survival, int asked)
{
    char id[SHOWN], *text = NULL;
    bool any = false;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (size_t i = 0; asked == COAMING_NO_LOADING && i < ship->loading_count; i++) {
        if (counts(survival, &ship->loadings[i]))
            continue;
        fprintf(out, "%s%s", any ? ", " : "", shown(id, ship->loadings[i].id, 30));
        any = true;
    }
    if (any)
        fputs(": not counted, for the index is made of the deepest, the partial and the light "
              "loading",
              out);
    return fclose(out) == 0 ? text : NULL;
}

char *loll_words(const coaming_ship *ship, const coaming_survival_loading *l)
{
    char id[SHOWN], *grade = NULL, *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    bool good =
        !l->undamaged.loll || (grade = grade_words(ship, &l->undamaged, &l->stability)) != NULL;
    if (grade)
        fprintf(out, "Undamaged%s%s she %s", l->id ? ", in loading " : "",
                l->id ? shown(id, l->id, 30) : "", grade);
    free(grade);
    if (fclose(out) == 0 && good)
        return text;
    free(text);
    return NULL;
}

/* An index, never 0 where there is something. */
static const char *part_words(char buffer[SHOWN], double value)
{
    if (value < 0.00005) {
        snprintf(buffer, SHOWN, "under 0.0001");
        return buffer;
    }
    return index_words(buffer, value);
}

/* What is less is rounding. */
static const double NOTHING = 1e-12;

const char *gain_words(char buffer[SHOWN], const coaming_survival_closure *c)
{
    char value[SHOWN];
    part_words(value, fabs(c->tested_gain));
    if (c->tested_gain > NOTHING)
        snprintf(buffer, SHOWN, "sound, it alone gives back %.60s", value);
    else if (c->tested_gain < -NOTHING)
        snprintf(buffer, SHOWN,
                 "sound alone, it costs %.60s more: in some damage she lies better with the water "
                 "that it lets by; it is still to be made good",
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
        fprintf(out, "%s%s is required of a %s ship %s m long (SOLAS II-1/6, text of 2009)",
                index->at_least ? "At least " : "", index_words(value, index->required),
                index->passenger ? "passenger" : "cargo", length);
    if (!isnan(index->required_each))
        fprintf(out, ", and %s in each loading", index_words(value, index->required_each));
    if (index->at_least)
        fputs(
            "; more by her crew, who count as persons, and by those without a place in a lifeboat",
            out);
    return fclose(out) == 0 ? text : NULL;
}

const char *zones_words(char buffer[SHOWN], const coaming_ship *ship,
                        const coaming_survival *survival, int first, int last)
{
    char where[SHOWN], number[SHOWN];
    double from = coaming_survival_zone_get(survival, (size_t)first - 1)->from;
    double to = coaming_survival_zone_get(survival, (size_t)last - 1)->to;
    snprintf(number, SHOWN, last > first ? "zones %d to %d" : "zone %d", first, last);
    snprintf(buffer, SHOWN, "%.60s (%.100s)", number, stretch_words(where, ship, from, to));
    return buffer;
}

const char *zone_words(char buffer[SHOWN], const coaming_ship *ship,
                       const coaming_survival *survival, const coaming_survival_case *c,
                       sides which)
{
    char zones[SHOWN];
    const char *side = which == SIDE_EITHER ? "port or starboard"
                       : c->starboard       ? "starboard"
                                            : "port";
    snprintf(buffer, SHOWN, "%s, %.200s", side,
             zones_words(zones, ship, survival, c->first_zone, c->last_zone));
    return buffer;
}

char *case_words(const coaming_ship *ship, const coaming_survival *survival,
                 const coaming_survival_case *c, sides which)
{
    char name[SHOWN], *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    const coaming_survival_loading *l = coaming_survival_loading_get(survival, (size_t)c->loading);
    if (coaming_survival_loading_count(survival) > 1)
        fprintf(out, "%s, ", shown(name, l->id, 30));
    fputs(zone_words(name, ship, survival, c, which), out);
    fprintf(out, ", %s m deep", amount(name, c->penetration));
    if (isfinite(c->height))
        fprintf(out, ", up to %s m", amount(name, c->height));
    return fclose(out) == 0 ? text : NULL;
}

/* How she fares as last tested beside as built, case by case: sums of both may hide it. */
typedef struct {
    size_t worse, better;
    double worse_share; /* of damage */
} tested_change;

static int change_of(const coaming_survival_case *c)
{
    double by = c->s[COAMING_AS_TESTED] - c->s[COAMING_AS_BUILT];
    if (fabs(by) > NOTHING)
        return by < 0 ? -1 : 1;
    return (c->grade[COAMING_AS_TESTED] < c->grade[COAMING_AS_BUILT]) -
           (c->grade[COAMING_AS_TESTED] > c->grade[COAMING_AS_BUILT]);
}

static tested_change tested_change_of(const coaming_survival *survival)
{
    tested_change sum = {0};
    for (size_t i = 0; i < coaming_survival_count(survival); i++) {
        int change = change_of(coaming_survival_get(survival, i));
        sum.worse += change < 0;
        sum.better += change > 0;
        sum.worse_share += change < 0 ? coaming_survival_share(survival, i) : 0;
    }
    return sum;
}

bool tested_differs(const coaming_survival *survival)
{
    tested_change change = tested_change_of(survival);
    return change.worse || change.better;
}

/* "the index is 0.0375 more": for all that, where cases are worse. */
static void put_sum(FILE *out, double cost)
{
    char value[SHOWN];
    if (cost < -NOTHING)
        fprintf(out, "the index is %s more", part_words(value, -cost));
    else
        fputs("the index is the same", out);
}

static void put_change(FILE *out, const coaming_survival *survival, double cost)
{
    char part[SHOWN];
    size_t count = coaming_survival_count(survival);
    tested_change change = tested_change_of(survival);
    if (change.worse)
        fprintf(out, "As last tested she fares worse in %zu of %zu cases, %s of damage%s: ",
                change.worse, count, percent(part, change.worse_share),
                change.better ? ", and better in others" : "");
    else
        fprintf(out, "As last tested she fares better in %zu of %zu cases, and worse in none: ",
                change.better, count);
    put_sum(out, cost);
}

char *tested_cost_words(const coaming_survival *survival)
{
    const coaming_survival_index *index = coaming_survival_get_index(survival);
    double cost = index->index[COAMING_AS_BUILT] - index->index[COAMING_AS_TESTED];
    char value[SHOWN], *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    if (cost > NOTHING)
        fprintf(out, "As last tested her closures cost her %s of the index as built",
                part_words(value, cost));
    else if (tested_differs(survival))
        put_change(out, survival, cost);
    else if (!(index->index[COAMING_AS_BUILT] > 0))
        fputs("As built she survives no damage that is counted, and as last tested none", out);
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
             !left_open(&index->expected) ? ""
             : index->expected_error > 0  ? " (best guesses, by samples)"
                                          : " (best guesses)");
    return buffer;
}

/* Would it cost something to hold, whatever the samples? */
static bool costs_for_sure(const coaming_survival_closure *c)
{
    return c->index_gain.high < 0 && c->index_gain.value <= -SHOWN_GAIN;
}

char *costing_words(const coaming_ship *ship, const coaming_survival *survival)
{
    char id[SHOWN], value[SHOWN], *text = NULL;
    bool any = false;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    if (!out)
        return NULL;
    for (size_t i = 0; i < coaming_survival_closure_count(survival); i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(survival, i);
        if (!costs_for_sure(c))
            continue;
        fprintf(
            out, "%s%s %s",
            any ? ", "
                : "As likely as her history says, the index would be less by so much for each of "
                  "these, if it alone were sure to hold: ",
            shown(id, ship->links[c->closure].id, 24), index_words(value, -c->index_gain.value));
        any = true;
    }
    if (any)
        fputs("; in some damage she lies better with the water that it lets by; it is all the same "
              "to be made good or kept sound",
              out);
    return fclose(out) == 0 ? text : NULL;
}

bool is_one_zone(const coaming_ship *ship)
{
    bool shell = false;
    for (size_t i = 0; i < ship->space_count && !shell; i++)
        shell = ship->spaces[i].shell;
    return !shell && !ship->zone_count;
}

const char *turned_words(char buffer[SHOWN], const coaming_survival_closure *c)
{
    char part[SHOWN];
    size_t used = 0;
    double alone = c->turned_alone[COAMING_TURN_LOST];
    double together = c->turned_together[COAMING_TURN_LOST];
    buffer[0] = '\0';
    if (alone > 0)
        used = (size_t)snprintf(buffer, SHOWN, "; lost by it alone: %.40s of damage",
                                percent(part, alone));
    if (together > 0)
        snprintf(buffer + used, SHOWN - used,
                 "; lost by it with others, all to be made good: %.40s of damage",
                 percent(part, together));
    return buffer;
}

bool turned_as_tested(const coaming_survival_case *c)
{
    return coaming_survival_turned(c, COAMING_TURN_LOST) ||
           coaming_survival_turned(c, COAMING_TURN_UNSURVIVED);
}

bool unsurvived_as_tested_only(const coaming_survival_case *c)
{
    return coaming_survival_turned(c, COAMING_TURN_UNSURVIVED) &&
           !coaming_survival_turned(c, COAMING_TURN_LOST);
}

const char *unsurvived_words(char buffer[SHOWN], const coaming_survival *survival, size_t *cases)
{
    char part[SHOWN];
    double share = 0;
    *cases = 0;
    buffer[0] = '\0';
    for (size_t i = 0; i < coaming_survival_count(survival); i++) {
        if (!unsurvived_as_tested_only(coaming_survival_get(survival, i)))
            continue;
        share += coaming_survival_share(survival, i);
        ++*cases;
    }
    if (*cases)
        snprintf(buffer, SHOWN,
                 "; survived as built, and afloat with s 0 as last tested: %zu %s, %.40s of damage",
                 *cases, *cases == 1 ? "case" : "cases", percent(part, share));
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
