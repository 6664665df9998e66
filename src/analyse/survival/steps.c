/* What follows a node of the tree: who of those at a rest leaks, decided with her lying still; then she
 * settles on, and lies at another place. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "analyse/ranking/loss.h"
#include "analyse/survival/branching.h"
#include "base/error.h"
#include "base/order.h"

/* --- places --- */

static int by_space_behind(const void *left, const void *right)
{
    const int *a = left, *b = right;
    int by_space = order_ints(a, b);
    return by_space ? by_space : order_ints(a + 1, b + 1);
}

/* Adds the link to b->order if it would pass at the place, did it leak. */
static void try_link(branches *b, const coaming_float *at, int link, size_t *count)
{
    const ship_link *l = &b->ship->links[link];
    if (!b->uncertain[link] || has_water(b, l->a) == has_water(b, l->b))
        return;
    bool lost = at->afloat != COAMING_AFLOAT_YES;
    int behind = dry_side(b, link);
    if (!lost && (!(coaming_float_height(b->ship, at, link) < 0) ||
                  !settler_reaches(b->settler, at, behind)))
        return;
    b->order[2 * *count] = behind;
    b->order[2 * (*count)++ + 1] = link;
}

static bool list_links(branches *b, tree_place *p)
{
    size_t count = 0;
    branches_mark_flooded(b, p);
    for (size_t i = 0; i < b->outside_count; i++)
        try_link(b, &p->at, b->outside[i], &count);
    for (size_t i = 0; i < p->count; i++) {
        int s = p->spaces[i];
        for (int j = b->ship->first[s]; j < b->ship->first[s + 1]; j++)
            try_link(b, &p->at, b->ship->incident[j], &count);
    }
    qsort(b->order, count, 2 * sizeof *b->order, by_space_behind);
    p->links = arena_new(&b->tree.memory, count, sizeof *p->links);
    p->behind = arena_new(&b->tree.memory, count, sizeof *p->behind);
    if (!p->links || !p->behind)
        return false;
    b->tree.bytes += 2 * count * sizeof *p->links;
    for (size_t i = 0; i < count; i++) {
        p->behind[i] = b->order[2 * i];
        p->links[i] = b->order[2 * i + 1];
    }
    p->link_count = count;
    return true;
}

/* Of a ship that is lost s is 0, whatever floods then. */
static bool ends_at(const branches *b, const settled *s)
{
    return s->at.afloat != COAMING_AFLOAT_YES && b->terms.value == BRANCH_S;
}

size_t branches_flooded_at(const branches *b, const settled *s, int *list)
{
    size_t count = ends_at(b, s) ? s->afloat_count : s->count;
    memcpy(list, s->spaces, count * sizeof *list);
    qsort(list, count, sizeof *list, order_ints);
    return count;
}

int branches_place_from(branches *b, const settled *s)
{
    bool lost = s->at.afloat != COAMING_AFLOAT_YES, fresh, all = true;
    size_t count = branches_flooded_at(b, s, b->marked);
    int place = tree_place_of(&b->tree, b->marked, count, lost, &fresh);
    if (place < 0 || !fresh)
        return place;
    tree_place *p = &b->tree.places[place];
    p->at = s->at;
    if (b->terms.value == BRANCH_LOSS)
        p->loss = settled_loss(b->settler, b->ship, s, b->terms.measure);
    if (!ends_at(b, s))
        all = list_links(b, p);
    return all ? place : -1;
}

/* --- nodes --- */

double branches_loss_at_least(const branches *b, const int *spaces, size_t count)
{
    double sum = 0;
    for (size_t i = 0; i < count && b->terms.measure != COAMING_MEASURE_VOLUME; i++)
        sum += space_whole_loss(&b->ship->spaces[spaces[i]], b->terms.measure);
    return sum;
}

static void set_limits(const branches *b, tree_node *n)
{
    const tree_place *p = &b->tree.places[n->place];
    n->open = true;
    n->lost = (branch_limits){p->lost, 1};
    n->value = (branch_limits){0, 1};
    if (b->terms.value == BRANCH_LOSS) {
        n->value.high = b->most;
        n->value.low = branches_loss_at_least(b, p->spaces, p->count);
        if (n->step != STEP_GRADE)
            n->value.low += branches_loss_at_least(b, n->marked, (size_t)n->leaking);
    }
    if (n->step != STEP_GRADE || (b->terms.value == BRANCH_S && !p->lost))
        return;
    n->open = false;
    n->lost.high = p->lost;
    n->value.low = n->value.high = b->terms.value == BRANCH_S ? 0 : p->loss;
}

/* Is the closure decided, for water comes to the space behind it by another, or it is known to hold? */
static bool settled_before(const branches *b, const tree_place *p, int link, int behind, int held)
{
    return sorted_has(b->behind, (size_t)behind, p->behind[link]) ||
           sorted_has(b->held, (size_t)held, p->links[link]);
}

/* Chance of the likeliest way to decide all that are left from `next` on: each for itself, as if those
 * to the same space were not decided by the first that leaks. */
static double likeliest_end(const branches *b, const tree_place *p, int next, int behind, int held)
{
    double chance = 1;
    for (int i = next; i < (int)p->link_count; i++) {
        double leaks = b->terms.leaks[p->links[i]];
        if (!settled_before(b, p, i, behind, held))
            chance *= fmax(leaks, 1 - leaks);
    }
    return chance;
}

/* The node at a place once the closures before `next` are decided. Lists: b->behind, b->held. */
int branches_node_after(branches *b, int place, int next, int behind, int held)
{
    const tree_place *p = &b->tree.places[place];
    int holding = 0;
    memcpy(b->marked, b->behind, (size_t)behind * sizeof *b->marked);
    branches_mark_flooded(b, p);
    for (int i = 0; i < held; i++) /* those with water on both sides count no more */
        if (!has_water(b, b->ship->links[b->held[i]].a) ||
            !has_water(b, b->ship->links[b->held[i]].b))
            if (!sorted_has(b->behind, (size_t)behind, dry_side(b, b->held[i])))
                b->marked[behind + holding++] = b->held[i];
    while (next < (int)p->link_count && settled_before(b, p, next, behind, held))
        next++;
    bool more = next < (int)p->link_count;
    tree_node n = {.place = place,
                   .ahead = likeliest_end(b, p, next, behind, held),
                   .step = more     ? STEP_DECIDE
                           : behind ? STEP_SETTLE
                                    : STEP_GRADE,
                   .next = more ? next : 0,
                   .marked = b->marked,
                   .leaking = behind,
                   .holding = holding};
    set_limits(b, &n);
    return tree_node_of(&b->tree, &n);
}

/* --- what follows a node --- */

static coaming_status decide(branches *b, int node, coaming_error *error)
{
    tree_node n = b->tree.nodes[node];
    const tree_place *p = &b->tree.places[n.place];
    int link = p->links[n.next], behind = p->behind[n.next], child[2];
    for (int leaks = 0; leaks < 2; leaks++) {
        int leaking = sorted_with(b->behind, n.marked, n.leaking, leaks ? behind : -1);
        int holding = sorted_with(b->held, n.marked + n.leaking, n.holding, leaks ? -1 : link);
        child[leaks] = branches_node_after(b, n.place, n.next + 1, leaking, holding);
    }
    return branches_follow(b, node, link, child[0], child[1], error);
}

/* What has begun to leak lets water into the spaces behind it. */
coaming_status branches_settle_on(branches *b, int *place, const int *behind, size_t count,
                                  coaming_error *error)
{
    const tree_place *p = &b->tree.places[*place];
    const settled *s = NULL;
    memcpy(b->marked, b->opened, b->opened_count * sizeof *b->marked);
    memcpy(b->marked + b->opened_count, behind, count * sizeof *b->marked);
    settled from = {p->spaces, b->by, p->count, p->count, p->at};
    settler_links links = {b->passes, b->marked, b->opened_count + count};
    b->work++;
    coaming_status status = settler_on(b->settler, &from, &links, &s, error);
    if (status != COAMING_OK)
        return status;
    *place = branches_place_from(b, s);
    return *place < 0 ? error_memory(error) : COAMING_OK;
}

static coaming_status settle_on(branches *b, int node, coaming_error *error)
{
    tree_node n = b->tree.nodes[node];
    int place = n.place;
    coaming_status status = branches_settle_on(b, &place, n.marked, (size_t)n.leaking, error);
    if (status != COAMING_OK)
        return status;
    int held = sorted_with(b->held, n.marked + n.leaking, n.holding, -1);
    return branches_follow(b, node, -1, branches_node_after(b, place, 0, 0, held), -1, error);
}

coaming_status branches_expand(branches *b, int node, coaming_error *error)
{
    switch (b->tree.nodes[node].step) {
    case STEP_DECIDE:
        return decide(b, node, error);
    case STEP_SETTLE:
        return settle_on(b, node, error);
    default:
        return branches_grade_rest(b, node, error);
    }
}
