#include "rest_plain.h"

#include <check.h>
#include <math.h>
#include <string.h>

bool is_lost(const coaming_float *at)
{
    return at->afloat != COAMING_AFLOAT_YES;
}

static bool reaches(const coaming_ship *s, int space, const coaming_float *at)
{
    const solid *b = s->spaces[space].solids;
    for (int c = 0; c < 8 && !is_lost(at); c++)
        if (at->normal[0] * (c & 1 ? b->x1 : b->x0) + at->normal[1] * (c & 2 ? b->y1 : b->y0) +
                at->normal[2] * (c & 4 ? b->z1 : b->z0) <
            at->height)
            return true;
    return is_lost(at);
}

/* The space that water would come to over the link, did it pass; -1: none. */
static int would_flood(const question *q, const rest *r, const bool *wet, int link)
{
    const ship_link *k = &q->ship->links[link];
    bool a = k->a < 0 || wet[k->a], b = k->b < 0 || wet[k->b];
    int to = a && !b ? k->b : b && !a ? k->a : -1;
    if (to < 0 || !reaches(q->ship, to, &r->at))
        return -1;
    return is_lost(&r->at) || coaming_float_height(q->ship, &r->at, link) < 0 ? to : -1;
}

bool as_built(const question *q, int link)
{
    const ship_link *k = &q->ship->links[link];
    return k->passage || k->rating == NONTIGHT || k->rating == WEATHERTIGHT;
}

static bool passes(const question *q, int link)
{
    if (q->leaking && q->leaking[link])
        return true;
    return as_built(q, link) && !(q->held && q->held[link]);
}

void plain_settle(const question *q, rest *r)
{
    for (bool first = true;; first = false) {
        bool grown = true, any = false;
        while (grown) {
            grown = false;
            for (size_t i = 0; i < q->opened_count; i++)
                if (!r->wet[q->opened[i]] && reaches(q->ship, q->opened[i], &r->at))
                    grown = r->wet[q->opened[i]] = true;
            for (size_t l = 0; l < q->ship->link_count; l++) {
                int to = passes(q, (int)l) ? would_flood(q, r, r->wet, (int)l) : -1;
                if (to >= 0)
                    grown = r->wet[to] = true;
            }
            any = any || grown;
        }
        if (is_lost(&r->at))
            return;
        memcpy(r->wet_afloat, r->wet, sizeof r->wet);
        if (!any && !first)
            return;
        ck_assert(coaming_flotation_solve(q->flotation, r->wet, &r->at, NULL) == COAMING_OK);
    }
}

void plain_rest(const question *q, int state, rest *r)
{
    *r = (rest){{false}, {false}, {0}, false, 0, 0, 0};
    ck_assert(coaming_flotation_solve(q->flotation, r->wet, &r->at, NULL) == COAMING_OK);
    for (bool more = true; more;) {
        plain_settle(q, r);
        bool before[MOST_SPACES];
        memcpy(before, r->wet, sizeof before);
        more = false;
        for (int i = 0; i < q->count; i++) {
            int to = state & 1 << i ? would_flood(q, r, before, q->uncertain[i]) : -1;
            if (to >= 0)
                more = r->wet[to] = true;
        }
    }
    bool leaks[CLOSURES] = {false};
    for (int i = 0; i < q->count; i++)
        leaks[q->uncertain[i]] = state & 1 << i;
    coaming_float at = r->at;
    coaming_stability stability;
    grade_terms terms = {-1, COAMING_AS_BUILT, ARMS_ALL, NULL, leaks};
    ck_assert(flotation_grade(q->flotation, r->wet, &at, &terms, &stability, NULL) == COAMING_OK);
    r->s = stability.s;
    r->lost = stability.grade == COAMING_GRADE_LOST;
    plane water = plane_make(atan2(-r->at.normal[1], r->at.normal[2]), asin(-r->at.normal[0]),
                             r->at.height, q->flotation->middle);
    for (size_t i = 0; i < q->ship->space_count; i++) {
        if (!r->wet[i])
            continue;
        r->worth += q->ship->spaces[i].worth;
        r->volume += is_lost(&r->at) ? q->ship->spaces[i].volume
                                     : flotation_water_in(q->flotation, (int)i, &water);
    }
}

void list_uncertain(question *q)
{
    q->count = 0;
    for (size_t c = 0; c < q->ship->closure_count; c++)
        if (!as_built(q, (int)c))
            q->uncertain[q->count++] = (int)c;
}

double chance_of(const question *q, int state)
{
    double chance = 1;
    for (int i = 0; i < q->count; i++) {
        double p = q->leaks[q->uncertain[i]];
        chance *= state & 1 << i ? p : 1 - p;
    }
    return chance;
}
