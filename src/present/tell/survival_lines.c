#include "present/tell/survival_lines.h"

#include <math.h>
#include <stdlib.h>

#include "base/memory.h"

/* Two sides are measured apart, so that what is alike may differ in its last digits. */
static bool alike(double a, double b)
{
    return a == b || fabs(a - b) <= 1e-6 * fmax(fabs(a), fabs(b));
}

static bool alike_by_state(const coaming_survival_case *a, const coaming_survival_case *b)
{
    bool same = true;
    for (int state = 0; state < COAMING_ANSWERS; state++)
        same =
            same && a->grade[state] == b->grade[state] && fabs(a->s[state] - b->s[state]) <= 1e-6;
    return same;
}

bool survival_twins(const coaming_survival_case *port, const coaming_survival_case *starboard)
{
    const coaming_survival_case *a = port, *b = starboard;
    return !a->starboard && b->starboard && a->loading == b->loading &&
           a->first_zone == b->first_zone && a->last_zone == b->last_zone &&
           alike(a->penetration, b->penetration) && alike(a->height, b->height) &&
           alike(a->weight, b->weight) && a->opened_count == b->opened_count &&
           a->spared_count == b->spared_count && a->turned_by_count == b->turned_by_count &&
           alike_by_state(a, b);
}

/* A case among those of the same loading and zones. */
typedef struct {
    const coaming_survival_case *of;
    size_t which, twin;
} member;

static int order_members(const void *left, const void *right)
{
    const member *a = left, *b = right;
    if (a->of->loading != b->of->loading)
        return a->of->loading < b->of->loading ? -1 : 1;
    if (a->of->first_zone != b->of->first_zone)
        return a->of->first_zone < b->of->first_zone ? -1 : 1;
    if (a->of->last_zone != b->of->last_zone)
        return a->of->last_zone < b->of->last_zone ? -1 : 1;
    return (a->which > b->which) - (a->which < b->which);
}

static bool together(const member *a, const member *b)
{
    return a->of->loading == b->of->loading && a->of->first_zone == b->of->first_zone &&
           a->of->last_zone == b->of->last_zone;
}

/* Of those from `i` on that lie together with it: the first that is its twin and no other's. */
static void find_twin(member *list, size_t count, size_t i)
{
    for (size_t k = i + 1; k < count && together(&list[i], &list[k]); k++) {
        if (list[k].twin != NO_TWIN || !survival_twins(list[i].of, list[k].of))
            continue;
        list[i].twin = list[k].which;
        list[k].twin = list[i].which;
        return;
    }
}

static int order_by_number(const void *left, const void *right)
{
    const member *a = left, *b = right;
    return (a->which > b->which) - (a->which < b->which);
}

static void find_twins(const coaming_survival *v, member *list, size_t count)
{
    for (size_t i = 0; i < count; i++)
        list[i] = (member){coaming_survival_get(v, i), i, NO_TWIN};
    qsort(list, count, sizeof *list, order_members);
    for (size_t i = 0; i < count; i++)
        find_twin(list, count, i);
    qsort(list, count, sizeof *list, order_by_number);
}

static void add(const coaming_survival *v, const member *m, size_t which, survival_line *line)
{
    double share = coaming_survival_share(v, which);
    line->share += share;
    line->cost += share * (1 - m[which].of->s[COAMING_AS_TESTED]);
    line->cases++;
}

survival_line *survival_lines(const coaming_survival *v, size_t *count)
{
    size_t cases = coaming_survival_count(v);
    member *members = memory_new(cases, sizeof *members);
    survival_line *lines = memory_new(cases, sizeof *lines);
    *count = 0;
    if (members && lines) {
        find_twins(v, members, cases);
        for (size_t i = 0; i < cases; i++) {
            size_t twin = members[i].twin;
            if (twin != NO_TWIN && members[i].of->starboard)
                continue;
            survival_line *line = &lines[(*count)++];
            *line = (survival_line){.which = i, .twin = twin};
            add(v, members, i, line);
            if (twin != NO_TWIN)
                add(v, members, twin, line);
        }
    } else {
        memory_free(lines);
        lines = NULL;
    }
    memory_free(members);
    return lines;
}

static int order_by_cost(const void *left, const void *right)
{
    const survival_line *a = left, *b = right;
    if (a->cost != b->cost)
        return a->cost > b->cost ? -1 : 1;
    return (a->which > b->which) - (a->which < b->which);
}

void survival_lines_by_cost(survival_line *lines, size_t count)
{
    if (count)
        qsort(lines, count, sizeof *lines, order_by_cost);
}
