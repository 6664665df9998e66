/*
 * What hangs on dry closures once she is at rest for good: s between all of them holding and all
 * leaking, and if these differ, the closure that makes the difference first is decided.
 */
#include <math.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "analyse/survival/branching.h"
#include "base/error.h"

/* Two factors s that differ by less are one. */
static const double S_ALIKE = 1e-10;

coaming_status branches_grade(branches *b, const tree_place *p, coaming_stability *out,
                              coaming_error *error)
{
    coaming_float at = p->at;
    grade_terms terms = {.condition = b->terms.condition,
                         .answer = COAMING_AS_BUILT,
                         .detail = ARMS_ENOUGH,
                         .leaks = b->leaks};
    b->work++;
    return flotation_grade(settler_flotation(b->settler), b->flooded, &at, &terms, out, error);
}

/* With all uncertain closures holding but those that leak at the node. */
static coaming_status grade_sound(branches *b, int node, double *s, bool *lost,
                                  coaming_error *error)
{
    const tree_node *n = &b->tree.nodes[node];
    tree_place *p = &b->tree.places[n->place];
    coaming_stability stability;
    *s = n->leaking ? n->value.high : p->s;
    *lost = p->graded && p->capsizes;
    if (n->high_known || (p->graded && !n->leaking))
        return COAMING_OK;
    memset(b->leaks, 0, b->ship->link_count * sizeof *b->leaks);
    for (int i = 0; i < n->leaking; i++)
        b->leaks[n->marked[i]] = true;
    coaming_status status = branches_grade(b, p, &stability, error);
    if (status != COAMING_OK)
        return status;
    *s = stability.s;
    *lost = stability.grade == COAMING_GRADE_LOST;
    if (!n->leaking) {
        p->s = *s;
        p->capsizes = *lost;
        p->graded = true;
    }
    return COAMING_OK;
}

static bool undecided(const branches *b, const tree_node *n, int link)
{
    return b->uncertain[link] && !sorted_has(n->marked, (size_t)n->leaking, link) &&
           !sorted_has(n->marked + n->leaking, (size_t)n->holding, link);
}

/* A closure on the way from the dry side of an opening to a space of the hull: breadth first.
 * b->flooded marks what is done, too. */
static int inside_of(branches *b, const tree_node *n, int at_end)
{
    const coaming_ship *ship = b->ship;
    int *queue = b->behind, *first = b->order, count = 0;
    queue[count] = dry_side(b, at_end);
    first[count++] = -1;
    for (int i = 0; i < count; i++) {
        int s = queue[i];
        if (ship->spaces[s].inside->faces > 0)
            return first[i];
        b->flooded[s] = true;
        for (int j = ship->first[s]; j < ship->first[s + 1]; j++) {
            int link = ship->incident[j];
            coaming_place to = link_other_side(&ship->links[link], s);
            bool free = undecided(b, n, link);
            if (to < 0 || b->flooded[to] || !(free || b->leaks[link] || b->passes[link]))
                continue;
            b->flooded[to] = true;
            queue[count] = to;
            first[count++] = first[i] >= 0 ? first[i] : free ? link : -1;
        }
    }
    return -1;
}

/* A closure that s hangs on, `at_end` being what ends the arms if all leak. */
static int choose(branches *b, const tree_node *n, int at_end)
{
    if (at_end >= 0 && undecided(b, n, at_end))
        return at_end;
    int link = at_end >= 0 ? inside_of(b, n, at_end) : -1;
    for (size_t l = 0; link < 0 && l < b->ship->closure_count; l++)
        if (undecided(b, n, (int)l))
            link = (int)l;
    return link;
}

static coaming_status decide_dry(branches *b, int node, int link, coaming_error *error)
{
    tree_node n = b->tree.nodes[node];
    int child[2];
    for (int leaks = 0; leaks < 2; leaks++) {
        tree_node next = {
            .place = n.place, .step = STEP_GRADE, .marked = b->marked, .open = true, .ahead = 1};
        next.leaking = sorted_with(b->marked, n.marked, n.leaking, leaks ? link : -1);
        next.holding = sorted_with(b->marked + next.leaking, n.marked + n.leaking, n.holding,
                                   leaks ? -1 : link);
        next.value = n.value;
        next.low_known = leaks; /* the same closures leak as if all did before */
        next.high_known = !leaks;
        child[leaks] = tree_node_of(&b->tree, &next);
    }
    return branches_follow(b, node, link, child[0], child[1], error);
}

/* At rest for good: what s is with the closures that are left holding, and with them leaking. More
 * openings never give a greater s: to one side they end the same arms earlier; upright with openings
 * alone differing from side to side, so it is for both. */
coaming_status branches_grade_rest(branches *b, int node, coaming_error *error)
{
    double high = 0;
    bool lost = false;
    coaming_stability all;
    branches_mark_flooded(b, &b->tree.places[b->tree.nodes[node].place]);
    coaming_status status = grade_sound(b, node, &high, &lost, error);
    if (status != COAMING_OK)
        return status;
    tree_node *n = &b->tree.nodes[node];
    double low = n->low_known ? n->value.low : 0;
    n->open = false;
    n->lost = (branch_limits){lost, lost};
    n->value = (branch_limits){fmin(low, high), high};
    if (lost || high <= 0 || (n->low_known && high - low < S_ALIKE))
        return COAMING_OK;
    for (size_t l = 0; l < b->ship->link_count; l++)
        b->leaks[l] =
            b->uncertain[l] && !sorted_has(n->marked + n->leaking, (size_t)n->holding, (int)l);
    status = branches_grade(b, &b->tree.places[n->place], &all, error);
    if (status != COAMING_OK)
        return status;
    n->value = (branch_limits){fmin(all.s, high), fmax(all.s, high)};
    if (fabs(high - all.s) < S_ALIKE)
        return COAMING_OK;
    int link = choose(b, n, all.flooding_opening);
    return link < 0 ? COAMING_OK : decide_dry(b, node, link, error);
}
