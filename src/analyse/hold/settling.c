#include "analyse/hold/settling.h"

#include <stdint.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "analyse/hold/beyond.h"
#include "analyse/hold/giving_way.h"
#include "analyse/hold/search.h"
#include "base/error.h"

typedef struct {
    net *net;
    settler *settler;
    coaming_flotation *flotation; /* the settler's */
    bool *flooded;                /* by space */
    coaming_float at;
} turn;

/* Adds to the net what is under water where she floats. */
static void add_wet(const settler *boat, net *n, const coaming_float *at)
{
    bool lost = at->afloat != COAMING_AFLOAT_YES;
    for (size_t i = 0; i < n->ship->space_count; i++)
        n->space[i] = n->space[i] || settler_reaches(boat, at, (int)i);
    for (size_t i = 0; i < n->ship->link_count; i++)
        n->link[i] = n->link[i] || lost || coaming_float_height(n->ship, at, (int)i) < 0;
}

static bool flood(turn *t, int space)
{
    if (t->flooded[space])
        return false;
    return t->flooded[space] = true;
}

/* Floods what no line can keep dry; is it more than before? */
static bool flood_reached(turn *t)
{
    bool more = false;
    for (size_t i = 0; i < t->net->ship->space_count; i++)
        if (t->net->reached[i])
            more = flood(t, (int)i) || more;
    return more;
}

static bool flood_filled(turn *t, const coaming_hold_line *line)
{
    bool more = false;
    for (size_t i = 0; i < line->filled_count; i++)
        more = flood(t, line->filled[i]) || more;
    return more;
}

/*
 * Solving and settling by turns, until neither changes: first with what no line can keep dry, then
 * with what the source can fill up to the first line. What is flooded and what is under water only
 * grow, so there are at most as many turns as spaces.
 */
static coaming_status take_turns(turn *t, coaming_hold_answer *answer, coaming_error *error)
{
    bool behind_line = false;
    for (;;) {
        add_wet(t->settler, t->net, &t->at);
        answer->level = t->at.draught;
        coaming_status status = net_solve(t->net, 1, answer, error);
        if (status != COAMING_OK || t->at.afloat != COAMING_AFLOAT_YES)
            return status;
        bool more = flood_reached(t);
        if (!more && answer->line_count) {
            behind_line = true;
            more = flood_filled(t, &answer->lines[0]);
        }
        if (!more)
            return COAMING_OK;
        status = coaming_flotation_solve(t->flotation, t->flooded, &t->at, error);
        if (status != COAMING_OK)
            return status;
        if (t->at.afloat != COAMING_AFLOAT_YES && behind_line)
            return COAMING_OK; /* the line stays that of the last position in which she floated */
        answer->afloat = t->at.afloat;
    }
}

/* One line settled by itself */

typedef struct {
    net own;       /* the net, with what is under water where she floats behind this line */
    bool *settled; /* by space: flooded with the nearest line */
    bool *held;    /* by link: of the line */
    bool *kept;    /* by place: kept by the line */
    giving_way way;
} line_turn;

static bool line_turn_make(line_turn *l, const turn *t)
{
    const net *n = t->net;
    size_t spaces = n->ship->space_count, links = n->ship->link_count;
    l->own = *n;
    l->settled = arena_new(n->memory, spaces, sizeof *l->settled);
    l->held = arena_new(n->memory, links, sizeof *l->held);
    l->kept = arena_new(n->memory, spaces + 1, sizeof *l->kept);
    l->way = (giving_way){.n = &l->own,
                          .settler = t->settler,
                          .passes = arena_new(n->memory, links, sizeof *l->way.passes),
                          .held = l->held,
                          .sound = arena_new(n->memory, links, sizeof *l->way.sound),
                          .kept = l->kept,
                          .opened = arena_new(n->memory, spaces + 1, sizeof *l->way.opened)};
    return net_make(&l->own) && l->settled && l->held && l->kept && l->way.passes && l->way.sound &&
           l->way.opened;
}

static void line_turn_begin(line_turn *l, const turn *t, const coaming_hold_line *line)
{
    const net *n = t->net;
    size_t spaces = n->ship->space_count, links = n->ship->link_count;
    memcpy(l->own.space, n->space, spaces * sizeof *n->space);
    memcpy(l->own.link, n->link, links * sizeof *n->link);
    l->own.sound = NULL; /* those of the line before */
    memcpy(t->flooded, l->settled, spaces * sizeof *l->settled);
    memset(l->held, 0, links * sizeof *l->held);
    memset(l->kept, 0, spaces * sizeof *l->kept);
    for (size_t i = 0; i < line->closure_count; i++)
        l->held[line->closures[i].closure] = true;
    for (size_t i = 0; i < line->kept_count; i++)
        l->kept[line->kept[i]] = true;
}

/* Does it lead on past the line, and is it not of it? */
static bool leads_past(const line_turn *l, size_t link)
{
    int ends[2];
    return !l->held[link] && net_ends(&l->own, link, ends) && l->kept[ends[0]] != l->kept[ends[1]];
}

static coaming_hold_closure joined_closure(const net *n, size_t link)
{
    const ship_link *l = &n->ship->links[link];
    bool last = (l->a >= 0 && n->protect[l->a]) || (l->b >= 0 && n->protect[l->b]);
    return net_closure(n, link, !n->nested && last);
}

/* Puts the closures that are marked as held into the line, in file order. */
static bool join_closures(line_turn *l, size_t joined, coaming_hold_line *line)
{
    const net *n = &l->own;
    size_t room = line->closure_count + joined, count = 0, old = 0;
    coaming_hold_closure *closures = arena_new(n->memory, room, sizeof *closures);
    if (!closures)
        return false;
    for (size_t i = 0; i < n->ship->closure_count && count < room; i++) {
        if (!l->held[i])
            continue;
        if (old < line->closure_count && line->closures[old].closure == (int)i) {
            closures[count++] = line->closures[old++];
            continue;
        }
        closures[count] = joined_closure(n, i);
        line->holds *= 1 - closures[count++].leak_probability;
    }
    line->closures = closures;
    line->closure_count = count;
    return true;
}

/* Can water go on by more than for all lines, given up on both sides left out? */
static bool has_more(const line_turn *l, const net *all)
{
    int ends[2];
    for (size_t i = 0; i < all->ship->link_count; i++)
        if (net_ends(&l->own, i, ends) && (l->kept[ends[0]] || l->kept[ends[1]]) &&
            !net_ends(all, i, ends))
            return true;
    return false;
}

/* What leads past the line joins it; what cannot hold makes it useless. */
static bool close_line(line_turn *l, coaming_hold_line *line)
{
    size_t joined = 0;
    for (size_t i = 0; i < l->own.ship->link_count; i++) {
        if (!leads_past(l, i))
            continue;
        if (net_leak(&l->own, i) >= 1) {
            line->not_held = line->not_held < 0 ? (int)i : line->not_held;
            continue;
        }
        l->held[i] = true;
        joined++;
    }
    return !joined || join_closures(l, joined, line);
}

/* Does water get over it as the doors are, where it has been under? Never past the line. */
static int lets_in(const turn *t, const line_turn *l, size_t link)
{
    int ends[2], outside = net_number(&l->own, NET_OUTSIDE);
    if (!net_ends(&l->own, link, ends) || l->held[link] || !net_lets_through(&l->own, link))
        return -1;
    bool a = ends[0] == outside || t->flooded[ends[0]],
         b = ends[1] == outside || t->flooded[ends[1]];
    int to = a && !b ? ends[1] : b && !a ? ends[0] : -1;
    return to >= 0 && !l->kept[to] ? to : -1;
}

/* Floods what else the sea is let into of what the line gives up; is it more than before? */
static bool flood_let_in(turn *t, const line_turn *l)
{
    bool any = false;
    for (bool more = true; more; any = any || more) {
        more = false;
        for (size_t i = 0; i < l->own.ship->link_count; i++) {
            int to = lets_in(t, l, i);
            if (to >= 0)
                more = t->flooded[to] = true;
        }
    }
    return any;
}

/* Counts what is flooded of what the line gives up, and not by its sources. */
static void count_let_in(const turn *t, coaming_hold_line *line)
{
    line->let_in_count = 0;
    for (size_t i = 0, f = 0; i < line->given_up_count; i++) {
        while (f < line->filled_count && line->filled[f] < line->given_up[i])
            f++;
        bool filled = f < line->filled_count && line->filled[f] == line->given_up[i];
        line->let_in_count += t->flooded[line->given_up[i]] && !filled;
    }
}

/* Floods what the source can fill up to the line as it stands, and what comes in from outside besides;
 * is it more than before? */
static coaming_status fill_line(turn *t, line_turn *l, coaming_hold_line *line, bool *more,
                                coaming_error *error)
{
    *more = false;
    if (!close_line(l, line) || (line->not_held < 0 && !search_fill(&l->own, l->held, line)))
        return error_memory(error);
    if (line->not_held < 0) {
        *more = flood_filled(t, line);
        *more = flood_let_in(t, l) || *more;
    }
    return COAMING_OK;
}

/*
 * Settles her with what the source can fill up to the line, and the sea is let into besides, by
 * turns: what comes under water on the way and leads past the line joins it, and what leads on before
 * it lets more fill. Only grows, so there are at most as many turns as spaces.
 */
static coaming_status float_line(turn *t, line_turn *l, coaming_hold_line *line,
                                 coaming_error *error)
{
    grade_terms terms = {t->net->condition, COAMING_AS_TESTED, ARMS_ALL, l->held, NULL};
    coaming_status status = COAMING_OK;
    line_turn_begin(l, t, line);
    flood_filled(t, line);
    for (bool more = true; more && status == COAMING_OK;) {
        status = coaming_flotation_solve(t->flotation, t->flooded, &line->at, error);
        more = false;
        if (status != COAMING_OK || line->at.afloat != COAMING_AFLOAT_YES)
            break;
        add_wet(t->settler, &l->own, &line->at);
        status = fill_line(t, l, line, &more, error);
    }
    count_let_in(t, line);
    return status == COAMING_OK ? flotation_grade(t->flotation, t->flooded, &line->at, &terms,
                                                  &line->stability, error)
                                : status;
}

static double worth_of_all(const net *n)
{
    double sum = 0;
    for (size_t i = 0; i < n->ship->space_count; i++)
        sum += net_worth(n, (int)i);
    return sum;
}

/*
 * Expected loss anew, by what is under water behind this line. Where a closure of it that leaks loses
 * her all that she is worth is lost, and else these hold: so one sum with them sound, and the chance
 * that none of them leaks.
 */
static coaming_status cost_line(line_turn *l, const net *all, coaming_hold_line *line,
                                coaming_error *error)
{
    coaming_hold_answer one = {.hazard = COAMING_WATER, .lines = line, .line_count = 1};
    bool any = false, lost = line->stability.grade == COAMING_GRADE_LOST;
    coaming_status status = COAMING_OK;
    if (!lost && line->not_held < 0)
        status = giving_way_find(&l->way, line, &any, error);
    lost = line->stability.grade == COAMING_GRADE_LOST;
    if (status != COAMING_OK || (!any && !lost && !has_more(l, all)))
        return status;
    l->own.sound = any ? l->way.sound : NULL;
    if (!lost)
        status = beyond_fill(&l->own, true, &one, error);
    double chance = lost ? 1 : giving_way_chance(line);
    line->expected_loss = chance * worth_of_all(all) + (1 - chance) * line->expected_loss;
    line->expected_error = lost ? 0 : (1 - chance) * line->expected_error;
    return status;
}

static bool keep_under(const net *own, under_water *under)
{
    size_t spaces = own->ship->space_count, links = own->ship->link_count;
    under->space = arena_new(own->memory, spaces, sizeof *under->space);
    under->link = arena_new(own->memory, links, sizeof *under->link);
    if (!under->space || !under->link)
        return false;
    memcpy(under->space, own->space, spaces * sizeof *under->space);
    memcpy(under->link, own->link, links * sizeof *under->link);
    return true;
}

/* How she floats with what the source can fill up to each line, the line holding. */
static coaming_status float_lines(turn *t, coaming_hold_answer *answer, under_water *under,
                                  coaming_error *error)
{
    line_turn l;
    if (!under || !line_turn_make(&l, t))
        return error_memory(error);
    memcpy(l.settled, t->flooded, t->net->ship->space_count * sizeof *l.settled);
    coaming_status status = beyond_fill(t->net, true, answer, error);
    for (size_t i = 0; i < answer->line_count && status == COAMING_OK; i++) {
        status = float_line(t, &l, &answer->lines[i], error);
        if (status == COAMING_OK)
            status = search_behind(&l.own, &answer->lines[i], error);
        if (status == COAMING_OK)
            status = cost_line(&l, t->net, &answer->lines[i], error);
        if (status == COAMING_OK && !keep_under(&l.own, &under[i]))
            status = error_memory(error);
    }
    return status;
}

/* False: all lie above the water. */
static bool flood_sources(turn *t)
{
    const net *n = t->net;
    bool any = false;
    for (size_t i = 0; i < n->source_count; i++)
        if (n->sources[i] >= 0 && settler_reaches(t->settler, &t->at, n->sources[i]))
            any = t->flooded[n->sources[i]] = true;
    return any;
}

coaming_status settling_solve(net *n, coaming_hold_answer *answer, under_water **under,
                              coaming_error *error)
{
    turn t = {.net = n};
    coaming_status status = settler_new(n->ship, n->condition, n->loading, &t.settler, error);
    if (status != COAMING_OK)
        return status;
    t.flotation = settler_flotation(t.settler);
    t.flooded = arena_new(n->memory, n->ship->space_count, sizeof *t.flooded);
    if (!t.flooded) {
        settler_free(t.settler);
        return error_memory(error);
    }
    t.at = t.flotation->intact;
    add_wet(t.settler, n, &t.at); /* it is let in by what is under then before all else */
    if (flood_sources(&t)) {
        status = coaming_flotation_solve(t.flotation, t.flooded, &t.at, error);
        answer->afloat = t.at.afloat;
    }
    if (status == COAMING_OK)
        status = take_turns(&t, answer, error);
    if (status == COAMING_OK)
        status = net_solve(n, SIZE_MAX, answer, error);
    if (status == COAMING_OK) {
        *under = arena_new(n->memory, answer->line_count, sizeof **under);
        status = float_lines(&t, answer, *under, error);
    }
    answer->source_dry = net_all_dry(n);
    settler_free(t.settler);
    return status;
}
