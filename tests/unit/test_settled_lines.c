/*
 * Lines where she comes to rest: whatever is given up, no way that is under water at the line's own
 * position leads on from there but by its closures. By hand, and on random ships (uncertain.h), with
 * nothing but heights above the plane.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/report/report.h"
#include "coaming/hold.h"
#include "coaming/likelihood.h"
#include "runner.h"
#include "ship/state.h"
#include "ships.h"
#include "uncertain.h"

/* Of every second ship some of what stands higher than this, m, is made such that nobody can hold it. */
#define NOT_HELD_FROM 2.5

/* Of so many lines one may come to rest elsewhere where water floods her in another order. */
enum { REST_AGREES = 100 };

enum { SETTLED_SHIPS = 150 };

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

static int number_of_ship;
static struct {
    int lines, not_held, more;  /* more: closures dry at the nearest line's position */
    int lost_by, stays, by_any; /* closures by which she is lost, or not; lines by any of theirs */
    int other_rest;             /* lines with which she comes to rest elsewhere in another order */
    int levels, other_level;    /* of lines that keep a space, and where she floats higher */
    int by_then_dry; /* what cannot hold was under water on the way, but is not at the end */
} seen;

static bool has_part_below(const coaming_ship *ship, coaming_place place, const coaming_float *at)
{
    double least, greatest;
    if (place < 0)
        return true;
    space_extent_along(&ship->spaces[place], at->normal, &least, &greatest);
    return least < at->height;
}

static bool is_kept(const coaming_hold_line *line, coaming_place place)
{
    return is_among(line->kept, line->kept_count, place);
}

static bool in_line(const coaming_hold_line *line, int link)
{
    for (size_t i = 0; i < line->closure_count; i++)
        if (line->closures[i].closure == link)
            return true;
    return false;
}

/* Does it lead from what is given up, or from outside, past the line? */
static bool leads_past(const coaming_ship *ship, const coaming_hold_line *line, int link)
{
    const ship_link *l = &ship->links[link];
    return is_kept(line, l->a) != is_kept(line, l->b) && !in_line(line, link);
}

/* And that under water. */
static bool leads_on(const coaming_ship *ship, const coaming_hold_line *line, int link)
{
    const ship_link *l = &ship->links[link];
    return leads_past(ship, line, link) && coaming_float_height(ship, &line->at, link) < 0 &&
           has_part_below(ship, l->a, &line->at) && has_part_below(ship, l->b, &line->at);
}

/* --- closures of a line that give way --- */

static bool lost_at(const question *q, const rest *r)
{
    coaming_float at = r->at;
    coaming_stability stability;
    ck_assert(coaming_flotation_grade(q->flotation, r->wet, &at, -1, COAMING_AS_TESTED, &stability,
                                      NULL) == COAMING_OK);
    return stability.grade == COAMING_GRADE_LOST;
}

/* Is she lost by this closure alone, after she has come to rest with all of the line held? */
static bool lost_by(question *q, const coaming_hold_line *line, const coaming_hold_closure *c,
                    const rest *held)
{
    bool leaking[CLOSURES];
    int opened[MOST_SPACES + 1];
    question with = *q;
    rest r = *held;
    const ship_link *l = &q->ship->links[c->closure];
    memcpy(leaking, q->leaking, sizeof leaking);
    memcpy(opened, q->opened, q->opened_count * sizeof *opened);
    opened[with.opened_count++] = is_kept(line, l->a) ? l->a : l->b;
    leaking[c->closure] = true;
    with.opened = opened;
    with.leaking = leaking;
    plain_settle(&with, &r);
    return lost_at(&with, &r);
}

/*
 * Each closure is lost_if or not as plain settling has it; expected loss lies between what follows from
 * these alone and all that she is worth, and where she is lost by any of the line it is all told by
 * that. ships have no passages: nothing is made to be wet.
 */
static void check_giving_way(const coaming_ship *ship, coaming_flotation *flotation,
                             const coaming_hold_answer *a, const coaming_hold_line *line)
{
    bool in_it[CLOSURES] = {false}, sure[CLOSURES] = {false};
    int opened[MOST_SPACES];
    question q = {
        .ship = ship, .flotation = flotation, .opened = opened, .held = in_it, .leaking = sure};
    rest held = {.at = flotation->intact};
    double all = 0, none = 1;
    size_t by = 0;
    for (size_t i = 0; i < ship->space_count; i++)
        all += ship->spaces[i].worth;
    double leaks[CLOSURES];
    coaming_likelihood_all(ship, leaks);
    for (size_t i = 0; i < ship->closure_count; i++)
        sure[i] = leaks[i] >= 1;
    for (size_t i = 0; i < line->closure_count; i++)
        in_it[line->closures[i].closure] = true;
    for (size_t i = 0; i < line->filled_count; i++)
        opened[q.opened_count++] = line->filled[i];
    if (a->source_dry)
        opened[q.opened_count++] = a->source;
    plain_settle(&q, &held);
    MUST(!lost_at(&q, &held));
    seen.other_rest += fabs(held.at.draught - line->at.draught) > 1e-6;
    for (size_t i = 0; i < line->closure_count; i++) {
        const coaming_hold_closure *c = &line->closures[i];
        bool lost = lost_by(&q, line, c, &held);
        MUST(lost == (c->then != COAMING_AFLOAT_YES));
        none *= lost ? 1 - c->leak_probability : 1;
        by += lost;
        seen.stays += !lost;
    }
    double least = (1 - none) * all + none * line->worth;
    MUST(line->expected_loss >= least * (1 - 1e-9) && line->expected_loss <= all * (1 + 1e-9));
    MUST(by < line->closure_count || fabs(line->expected_loss - least) <= 1e-9 * least);
    seen.lost_by += by;
    seen.by_any += by == line->closure_count;
}

/* flotation: of a random ship, for what happens as closures give way; NULL: that is not asked. */
static void check_line(const coaming_ship *ship, coaming_flotation *flotation,
                       const coaming_hold_answer *a, size_t index)
{
    const coaming_hold_line *line = &a->lines[index];
    double holds = 1, leaks[256] = {0};
    MUST(ship->closure_count <= 256);
    coaming_likelihood_all(ship, leaks);
    for (size_t i = 0; i < line->closure_count; i++) {
        const coaming_hold_closure *c = &line->closures[i];
        MUST(c->slows ? c->leak_probability >= leaks[c->closure]
                      : c->leak_probability == leaks[c->closure]);
        holds *= 1 - line->closures[i].leak_probability;
        MUST(!i || line->closures[i - 1].closure < line->closures[i].closure);
        seen.more += coaming_float_height(ship, &a->lines[0].at, line->closures[i].closure) >= 0;
    }
    for (size_t i = 1; i < line->filled_count; i++)
        MUST(line->filled[i - 1] < line->filled[i]);
    MUST(fabs(line->holds - holds) <= 1e-12);
    MUST(line->expected_loss >= line->worth * (1 - 1e-12));
    if (line->at.afloat != COAMING_AFLOAT_YES)
        return;
    if (line->not_held >= 0) {
        MUST(leads_past(ship, line, line->not_held));
        MUST(a->recommended != index);
        for (size_t i = 0; i < line->closure_count; i++) /* nothing is asked of it */
            MUST(line->closures[i].then == COAMING_AFLOAT_YES);
        seen.not_held++;
        seen.by_then_dry += !leads_on(ship, line, line->not_held);
        return;
    }
    for (int l = 0; l < (int)ship->link_count; l++)
        MUST(!leads_on(ship, line, l));
    seen.lines++;
    if (flotation && line->stability.grade != COAMING_GRADE_LOST)
        check_giving_way(ship, flotation, a, line);
}

/* Lines that keep a space are told for where she floats with what the source fills up to the first of them, and what
 * comes in from outside puts her no higher. */
static void check_level(const coaming_ship *ship, const coaming_hold_answer *a)
{
    const coaming_hold_line *line = a->lines;
    if (!a->line_count || line->at.afloat != COAMING_AFLOAT_YES || a->afloat != COAMING_AFLOAT_YES)
        return;
    bool opened[64] = {0};
    coaming_flotation *f = NULL;
    coaming_float at;
    MUST(ship->space_count <= 64);
    MUST(coaming_flotation_new(ship, -1, &f, NULL) == COAMING_OK);
    for (size_t i = 0; i < line->filled_count; i++)
        opened[line->filled[i]] = true;
    MUST(coaming_flotation_solve(f, opened, &at, NULL) == COAMING_OK);
    coaming_flotation_free(f);
    seen.levels++;
    seen.other_level += a->level < at.draught - 1e-6;
}

static void check_hold(const coaming_ship *ship, coaming_flotation *flotation, coaming_hold *hold)
{
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    for (size_t i = 0; i < a->line_count; i++)
        check_line(ship, flotation, a, i);
    coaming_hold_free(hold);
}

static void check_ship(const coaming_ship *ship, dice *d)
{
    coaming_hold *hold = NULL;
    coaming_flotation *flotation = NULL;
    int spaces = (int)ship->space_count, protect = dice_below(d, spaces);
    if (coaming_flotation_new(ship, -1, &flotation, NULL) != COAMING_OK)
        return;
    for (int s = 0; s < spaces; s++) {
        coaming_status status = coaming_hold_nested_new(ship, at_equilibrium(), s, &hold, NULL);
        if (status != COAMING_OK)
            break; /* she does not float undamaged */
        check_hold(ship, flotation, hold);
        MUST(coaming_hold_new(ship, at_equilibrium(), s, &protect, 1, &hold, NULL) == COAMING_OK);
        check_level(ship, coaming_hold_get(hold, 0));
        check_hold(ship, flotation, hold);
    }
    coaming_flotation_free(flotation);
}

START_TEST(no_way_under_water_leads_on_but_by_the_line)
{
    const char *asked = getenv("COAMING_LINE_SHIPS");
    int ships = asked ? atoi(asked) : SETTLED_SHIPS;
    for (number_of_ship = 0; number_of_ship < ships; number_of_ship++) {
        dice d = {(uint64_t)number_of_ship + 77};
        coaming_ship *ship = random_uncertain_ship(number_of_ship, "");
        for (size_t i = 0; i < ship->closure_count && number_of_ship % 2; i++)
            if (ship->links[i].clear.z > NOT_HELD_FROM && dice_below(&d, 3) == 0)
                ship->links[i].rating = NONTIGHT;
        check_ship(ship, &d);
        coaming_ship_free(ship);
    }
    ck_assert_int_gt(seen.lines, ships);
    ck_assert_int_gt(seen.not_held, ships / 20);
    ck_assert_int_le(20 * seen.by_then_dry, seen.not_held);
    ck_assert_int_gt(seen.more, ships / 10);
    ck_assert_int_gt(seen.lost_by, ships);
    ck_assert_int_gt(seen.stays, ships);
    ck_assert_int_gt(seen.by_any, ships / 10);
    ck_assert_int_le(REST_AGREES * seen.other_rest, seen.lines);
    ck_assert_int_gt(seen.levels, ships / 2);
    ck_assert_int_le(REST_AGREES * seen.other_level, seen.levels);
}
END_TEST

/* The same of every space of the demonstration ship. */
START_TEST(no_way_of_the_demonstration_leads_on_but_by_the_line)
{
    coaming_ship *ship = ship_from_tree("examples/fathom-lark.xml");
    coaming_hold *hold = NULL;
    int before = seen.lines;
    number_of_ship = -1;
    for (int s = 0; s < (int)ship->space_count; s++) {
        MUST(coaming_hold_nested_new(ship, at_equilibrium(), s, &hold, NULL) == COAMING_OK);
        check_hold(ship, NULL, hold);
    }
    ck_assert_int_gt(seen.lines - before, (int)ship->space_count);
    coaming_ship_free(ship);
}
END_TEST

/* Five spaces of a box, 10 m each; s0 amidships is the source, s1 next to it can hardly be held, and
 * an arch (sill 4.2 m) leads on from there. With s0 alone she floats at 150/(50 - 9.5) = 3.70 m
 * (permeability 0.95), so the arch is dry; with s0 and s1 it is under. */
#define BOX(id, from, to, worth)                                                                   \
    "<space id=\"" id "\" name=\"" id "\" shell=\"yes\" worth=\"" worth "\"><box x=\"" from " " to \
    "\" y=\"-5 5\" z=\"0 6\"/></space>"
#define FIVE                                                                                       \
    BOX("s3", "0", "10", "3")                                                                      \
    BOX("s1", "10", "20", "1")                                                                     \
    BOX("s0", "20", "30", "1") BOX("s4", "30", "40", "1") BOX("s2", "40", "50", "20")
#define DOOR(id, ends, x, z, more)                                                                 \
    "<closure id=\"" id "\" kind=\"door\" between=\"" ends "\" rating=\"watertight\" " more        \
    "><clear x=\"" x "\" y=\"0\" z=\"" z "\" width=\"1\" height=\"1\" lies=\"transverse\"/>"       \
    "</closure>"
#define HEAD                                                                                       \
    FIVE DOOR("D1", "s0 s1", "20", "0.5", "leak-probability=\"0.95\"")                             \
        DOOR("D2", "s1 s2", "20", "0.5", "leak-probability=\"0.01\"")                              \
            DOOR("D4", "s0 s4", "30", "0.5", "leak-probability=\"0.01\"")
#define SHIP "length=\"50\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"2.5\""

/* The second line, and how she is held by it. */
static const coaming_hold_answer *ask_five(const char *way, coaming_ship **ship,
                                           coaming_hold **hold)
{
    char parts[4096];
    snprintf(parts, sizeof parts, "%s%s", HEAD, way);
    *ship = ship_from_parts(SHIP, parts);
    ck_assert_int_eq(coaming_hold_nested_new(*ship, at_equilibrium(), 2, hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(*hold, 0);
    ck_assert_uint_ge(a->line_count, 2);
    ck_assert_uint_eq(a->lines[1].given_up_count, 2); /* s0 and s1 */
    ck_assert_double_eq_tol(a->lines[0].at.draught, 150 / 40.5, 1e-9);
    ck_assert_uint_eq(a->lines[0].closure_count, 2);
    ck_assert_int_eq(a->lines[0].not_held, -1);
    return a;
}

START_TEST(a_line_that_goes_under_where_nothing_holds_is_not_named)
{
    coaming_ship *ship = NULL;
    coaming_hold *hold = NULL;
    const coaming_hold_answer *a = ask_five("<passage id=\"P\" kind=\"arch\" between=\"s1 "
                                            "s3\"><clear x=\"10\" y=\"0\" z=\"4.2\" width=\"1\" "
                                            "height=\"1\" lies=\"transverse\"/></passage>",
                                            &ship, &hold);
    ck_assert_int_eq(a->lines[1].not_held, (int)ship->closure_count);
    ck_assert_uint_ne(a->recommended, 1);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(what_goes_under_joins_the_line_if_it_can_hold)
{
    coaming_ship *ship = NULL;
    coaming_hold *hold = NULL;
    const coaming_hold_answer *a =
        ask_five(DOOR("D5", "s1 s3", "10", "4.2", "leak-probability=\"0.3\""), &ship, &hold);
    const coaming_hold_line *line = &a->lines[1];
    ck_assert_int_eq(line->not_held, -1);
    ck_assert_uint_eq(line->closure_count, 3);
    ck_assert_str_eq(ship->links[line->closures[2].closure].id, "D5");
    ck_assert_double_eq_tol(line->holds, 0.99 * 0.99 * 0.7, 1e-12);
    /* s0 and s1 given up; a third space, beyond any of them, is more than she bears: 6 m x 10 m x
     * (50 - 9.5 x 3) m is less than 1500 m3. She is worth 26. */
    double none = 0.99 * 0.99 * 0.7;
    ck_assert_double_eq_tol(line->expected_loss, (1 - none) * 26 + none * 2, 1e-9);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* The same with a door that leaks with 0.4 and a valve behind it that stands open in port, in a deeper
 * box. With n of the five flooded she floats while 1500 m3 are had of 6.7 m x 10 m x (50 - 9.5 n) m: n
 * of 2 at most. So nearest line D1, D4: D1 leaking floods s1 and s2, and she is lost; D4 leaking
 * floods s4 alone. Second line D2, D4, s0 and s1 given up: she is lost by either. In all she is worth
 * 33.9. */
#define DEEP "length=\"50\" beam=\"10\" depth=\"6.7\" draft=\"3\" kg=\"2.5\""
#define DEEP_BOX(id, from, to, worth)                                                              \
    "<space id=\"" id "\" name=\"" id "\" shell=\"yes\" worth=\"" worth "\"><box x=\"" from " " to \
    "\" y=\"-5 5\" z=\"0 6.7\"/></space>"
#define DEEP_FIVE                                                                                  \
    "<condition id=\"sea\"/><condition id=\"port\"/>" DEEP_BOX("s3", "0", "10", "30")              \
        DEEP_BOX("s1", "10", "20", "1") DEEP_BOX("s0", "20", "30", "1")                            \
            DEEP_BOX("s4", "30", "40", "1") DEEP_BOX("s2", "40", "50", "0.9")                      \
                DOOR("D1", "s0 s1", "20", "0.5", "leak-probability=\"0.4\"")                       \
                    DOOR("D2", "s1 s2", "20", "0.5", "leak-probability=\"0.01\" shut-in=\"sea\"")  \
                        DOOR("D4", "s0 s4", "30", "0.5", "leak-probability=\"0.01\"")

START_TEST(a_line_that_loses_her_as_it_gives_way_is_counted_with_all_she_is_worth)
{
    coaming_ship *ship = ship_from_parts(DEEP, DEEP_FIVE);
    coaming_hold *hold = NULL;
    coaming_query query = at_equilibrium();
    query.condition = 1;
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 2, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert_uint_ge(a->line_count, 2);
    const coaming_hold_line *near = &a->lines[0], *far = &a->lines[1];
    ck_assert_uint_eq(near->closure_count, 2);
    ck_assert_int_eq(near->closures[0].then, COAMING_AFLOAT_SINKS); /* D1 */
    ck_assert_int_eq(near->closures[1].then, COAMING_AFLOAT_YES);   /* D4 */
    ck_assert_double_eq_tol(near->expected_loss, 0.4 * 33.9 + 0.6 * (1 + 0.01 * 1), 1e-9);
    ck_assert_uint_eq(far->given_up_count, 2);
    ck_assert_int_eq(far->closures[0].then, COAMING_AFLOAT_SINKS); /* D2 */
    ck_assert_int_eq(far->closures[1].then, COAMING_AFLOAT_SINKS); /* D4 */
    ck_assert_double_eq_tol(far->expected_loss, (1 - 0.99 * 0.99) * 33.9 + 0.99 * 0.99 * 2, 1e-9);
    ck_assert_uint_ne(a->recommended, 0);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* The same with a door from s1 to s3 whose sill is dry where she floats behind the nearest line (3.70
 * m), and under behind the second (150 / 31 = 4.84 m): that is the line to hold, and past it by D1, which
 * is not of it, and by this door goes the weakest way to s3. */
START_TEST(the_weakest_way_is_told_where_she_floats_behind_the_line_to_hold)
{
    coaming_ship *ship = ship_from_parts(
        DEEP, DEEP_FIVE DOOR("D5", "s1 s3", "10", "4.2", "leak-probability=\"0.3\""));
    coaming_hold *hold = NULL;
    coaming_query query = at_equilibrium();
    query.condition = 1;
    ship->spaces[0].vital = true; /* s3 */
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 2, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert_uint_eq(a->recommended, 1);
    ck_assert_uint_eq(a->lines[1].closure_count, 3);
    ck_assert_double_eq_tol(a->lines[1].at.draught, 150 / 31., 0.3); /* and trimmed */
    ck_assert(a->has_way);
    ck_assert_uint_eq(a->way.step_count, 2);
    ck_assert_double_eq_tol(a->way.probability, 0.4 * 0.3, 1e-12);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* The same with a closure that cannot hold for the arch, the first in the file: of how such a line gives
 * way nothing is said. */
START_TEST(a_line_that_a_nontight_closure_leads_past_is_not_named)
{
    coaming_ship *ship = ship_from_parts(
        SHIP, FIVE DOOR("N", "s1 s3", "10", "4.2", "")
                  DOOR("D1", "s0 s1", "20", "0.5", "leak-probability=\"0.95\"")
                      DOOR("D2", "s1 s2", "20", "0.5", "leak-probability=\"0.01\"")
                          DOOR("D4", "s0 s4", "30", "0.5", "leak-probability=\"0.01\""));
    coaming_hold *hold = NULL;
    ship->links[0].rating = NONTIGHT;
    ck_assert_int_eq(coaming_hold_nested_new(ship, at_equilibrium(), 2, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert_uint_ge(a->line_count, 2);
    const coaming_hold_line *line = &a->lines[1];
    ck_assert_int_eq(line->not_held, 0);
    ck_assert_int_eq(line->at.afloat, COAMING_AFLOAT_YES); /* with what is within it alone */
    ck_assert_uint_ne(a->recommended, 1);
    for (size_t i = 0; i < line->closure_count; i++)
        ck_assert_int_eq(line->closures[i].then, COAMING_AFLOAT_YES);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* The same door to the weather, written from either side. s1 and s0 given up she is under it. */
START_TEST(what_leads_outside_joins_the_line)
{
    static const char *const ends[] = {
        DOOR("D5", "s3 weather", "10", "4.2", "leak-probability=\"0.3\""),
        DOOR("D5", "weather s3", "10", "4.2", "leak-probability=\"0.3\"")};
    for (int i = 0; i < 2; i++) {
        coaming_ship *ship = NULL;
        coaming_hold *hold = NULL;
        const coaming_hold_line *line = &ask_five(ends[i], &ship, &hold)->lines[1];
        ck_assert_int_eq(line->not_held, -1);
        ck_assert_uint_eq(line->closure_count, 3);
        ck_assert_str_eq(ship->links[line->closures[2].closure].id, "D5");
        ck_assert_double_eq_tol(line->holds, 0.99 * 0.99 * 0.7, 1e-12);
        coaming_hold_free(hold);
        coaming_ship_free(ship);
    }
}
END_TEST

/* s2 is to be kept clean, and s3 too or not. The second line is D2, and as she settles with s0 and s1 the
 * door to s3 joins it: the last before what is to be kept clean if s3 is. */
START_TEST(what_joins_is_the_last_where_it_leads_to_what_is_kept)
{
    static const char *const ways[] = {"s1 s3", "s3 s1"};
    static const int keep[] = {4, 0}; /* s2, s3 */
    for (int i = 0; i < 4; i++) {
        char parts[4096];
        coaming_hold *hold = NULL;
        snprintf(parts, sizeof parts,
                 FIVE DOOR("D1", "s0 s1", "20", "0.5", "leak-probability=\"0.01\"")
                     DOOR("D2", "s1 s2", "20", "0.5", "leak-probability=\"0.02\"")
                         DOOR("D5", "%s", "10", "4.2", "leak-probability=\"0.3\""),
                 ways[i % 2]);
        coaming_ship *ship = ship_from_parts(SHIP, parts);
        ck_assert_int_eq(
            coaming_hold_new(ship, at_equilibrium(), 2, keep, 1 + (size_t)i / 2, &hold, NULL),
            COAMING_OK);
        const coaming_hold_answer *a = coaming_hold_get(hold, 0);
        ck_assert_uint_eq(a->line_count, 2);
        ck_assert_uint_eq(a->lines[0].closure_count, 1);
        const coaming_hold_line *line = &a->lines[1];
        ck_assert_uint_eq(line->closure_count, 2);
        ck_assert_str_eq(ship->links[line->closures[1].closure].id, "D5");
        ck_assert_int_eq(line->closures[1].last, i / 2);
        ck_assert(line->closures[0].last);
        ck_assert_double_eq_tol(line->holds, 0.98 * 0.7, 1e-12);
        coaming_hold_free(hold);
        coaming_ship_free(ship);
    }
}
END_TEST

/* A box of 60 x 12 x 7 m at 5 m, 3600 m3. P, 1620 m3, is more than the 1440 m3 she can lose: P alone
 * sinks her. Above the water stands a tank T, 360 m3, of something 3.9 times as heavy as the sea: were it
 * open to the sea too she would weigh 2196 m3, and float at 4.5 m + (2196 - 30 x 12 x 4.5) / 720 m = 5.3
 * m. Behind the second line both may fill, T by a door that hardly holds: but she has gone down before
 * the sea gets there. That line loses her, held or not. */
START_TEST(a_line_behind_which_she_is_lost_before_all_is_filled_is_no_line_to_hold)
{
    coaming_ship *ship = ship_from_parts(
        "length=\"60\" beam=\"12\" depth=\"7\" draft=\"5\" kg=\"3.5\" density=\"1\"",
        "<loading id=\"L\" draft=\"5\" kg=\"3.5\"><content space=\"t\" fill=\"1\" "
        "density=\"3.9\"/></loading>"
        "<space id=\"p\" name=\"P\" worth=\"1\" permeability=\"1\"><box x=\"15 45\" y=\"-6 6\" "
        "z=\"0 4.5\"/></space>"
        "<space id=\"t\" name=\"T\" worth=\"1\" permeability=\"1\"><box x=\"20 40\" y=\"-6 6\" "
        "z=\"5.5 7\"/></space>"
        "<space id=\"a\" name=\"A\" worth=\"50\"><box x=\"45 60\" y=\"-6 6\" z=\"0 "
        "7\"/></space>" DOOR("D", "p t", "30", "4.5", "leak-probability=\"0.95\"")
            DOOR("E", "t a", "40", "5.5", "leak-probability=\"0.01\""));
    coaming_query query = at_equilibrium();
    coaming_hold *hold = NULL;
    coaming_flotation *f = NULL;
    coaming_float both;
    const bool flooded[] = {true, true, false};
    query.loading = 0;
    ck_assert_int_eq(coaming_flotation_new(ship, 0, &f, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &both, NULL), COAMING_OK);
    ck_assert_int_eq(both.afloat, COAMING_AFLOAT_YES);
    ck_assert_double_eq_tol(both.draught, 5.3, 1e-9);
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert_uint_eq(a->line_count, 2);
    const coaming_hold_line *line = &a->lines[1];
    ck_assert_uint_eq(line->given_up_count, 2);
    ck_assert_uint_eq(line->closure_count, 1);
    ck_assert_int_eq(line->at.afloat, COAMING_AFLOAT_SINKS);
    ck_assert_int_eq(line->stability.grade, COAMING_GRADE_LOST);
    ck_assert_double_eq_tol(line->expected_loss, 52, 1e-12);
    ck_assert_double_eq(line->expected_error, 0);
    ck_assert_uint_eq(a->recommended, a->line_count);
    coaming_hold_free(hold);
    coaming_flotation_free(f);
    coaming_ship_free(ship);
}
END_TEST

#define HALF(id, x)                                                                                \
    "<space id=\"" id "\" name=\"" id "\" permeability=\"1\" worth=\"1\"><box x=\"" x              \
    "\" y=\"-5 5\" z=\"0 6\"/></space>"

/* With 40 of 100 m open to the sea her deck is 1.7e-12 m out of the water: she is in balance there, but
 * nothing turns her back. So the door between the two halves of these 40 m loses her as it gives way. */
START_TEST(where_no_arm_turns_her_back_she_is_lost_as_the_line_gives_way)
{
    coaming_ship *ship =
        ship_from_parts("length=\"100\" beam=\"10\" depth=\"6\" draft=\"3.599999999999\" kg=\"4\"",
                        HALF("a", "30 50") HALF("b", "50 70")
                            DOOR("D", "a b", "50", "0.5", "leak-probability=\"0.1\""));
    coaming_hold *hold = NULL;
    ck_assert_int_eq(coaming_hold_nested_new(ship, at_equilibrium(), 0, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert_uint_eq(a->line_count, 1);
    ck_assert_int_eq(a->lines[0].at.afloat, COAMING_AFLOAT_YES);
    ck_assert_int_eq(a->lines[0].closures[0].then, COAMING_AFLOAT_CAPSIZES);
    ck_assert_double_eq_tol(a->lines[0].expected_loss, 0.1 * 2 + 0.9 * 1, 1e-9);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* The lines of a report: those sources first with which no line keeps her afloat, then by the expected
 * loss, whatever the order of their worth. */
START_TEST(the_worst_lines_of_a_report_come_first)
{
    int none_first = 0, pairs = 0;
    for (number_of_ship = 0; number_of_ship < 25; number_of_ship++) {
        coaming_ship *ship = random_uncertain_ship(number_of_ship, "");
        coaming_report r = {.ship = ship, .how = coaming_report_options_default()};
        coaming_error error = {COAMING_OK, ""};
        r.how.query = at_equilibrium();
        for (size_t i = 0; i < ship->space_count; i++)
            ship->spaces[i].vital = true;
        coaming_status status = report_ask_lines(&r, &error);
        MUST(status == COAMING_OK || status == COAMING_INPUT); /* she does not float by herself */
        const report_line *rows = r.lines.rows[COAMING_WATER];
        for (size_t i = 1; status == COAMING_OK && i < r.lines.count[COAMING_WATER]; i++) {
            const coaming_hold_answer *one = rows[i - 1].answer, *next = rows[i].answer;
            bool none = one->recommended == one->line_count;
            bool none_next = next->recommended == next->line_count;
            MUST(none || !none_next);
            MUST(none != none_next || one->lines[none ? 0 : one->recommended].expected_loss >=
                                          next->lines[none ? 0 : next->recommended].expected_loss);
            none_first += none && !none_next;
            pairs++;
        }
        report_free_lines(&r);
        coaming_ship_free(ship);
    }
    ck_assert_int_gt(pairs, 10);
    ck_assert_int_gt(none_first, 1);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("settled lines");
    TCase *all = tcase_create("all");
    tcase_add_test(all, a_line_that_goes_under_where_nothing_holds_is_not_named);
    tcase_add_test(all, what_goes_under_joins_the_line_if_it_can_hold);
    tcase_add_test(all, a_line_that_loses_her_as_it_gives_way_is_counted_with_all_she_is_worth);
    tcase_add_test(all, the_weakest_way_is_told_where_she_floats_behind_the_line_to_hold);
    tcase_add_test(all, a_line_that_a_nontight_closure_leads_past_is_not_named);
    tcase_add_test(all, what_leads_outside_joins_the_line);
    tcase_add_test(all, what_joins_is_the_last_where_it_leads_to_what_is_kept);
    tcase_add_test(all, a_line_behind_which_she_is_lost_before_all_is_filled_is_no_line_to_hold);
    tcase_add_test(all, where_no_arm_turns_her_back_she_is_lost_as_the_line_gives_way);
    tcase_add_test(all, the_worst_lines_of_a_report_come_first);
    tcase_add_test(all, no_way_under_water_leads_on_but_by_the_line);
    tcase_add_test(all, no_way_of_the_demonstration_leads_on_but_by_the_line);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
