/*
 * What is seen of closures: what a call puts over a ship the next one takes away, and one that is
 * refused changes nothing.
 */
#include "coaming/seen.h"

#include <stdlib.h>

#include "coaming/likelihood.h"
#include "runner.h"
#include "ship/state.h"
#include "ships.h"

enum { SHIPS = 200, MOST = 14 };

static int number_of_ship;

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

typedef struct {
    const char *ids[COAMING_SEEN_KINDS][MOST];
    coaming_seen lists;
} drawn;

/* Closures at random; nontight ones are not seen shut, and none both open and shut. */
static void draw(drawn *d, const coaming_ship *ship, dice *at)
{
    *d = (drawn){0};
    for (size_t i = 0; i < ship->closure_count; i++) {
        int how = dice_below(at, 4);
        coaming_seen_kind kind =
            how == 1 && ship->links[i].rating != NONTIGHT ? COAMING_SEEN_SHUT : COAMING_SEEN_OPEN;
        if (how < 2)
            d->ids[kind][d->lists.count[kind]++] = ship->links[i].id;
        if (dice_below(at, 3) == 0)
            d->ids[COAMING_SEEN_FAILED][d->lists.count[COAMING_SEEN_FAILED]++] = ship->links[i].id;
    }
    for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
        d->lists.closures[kind] = d->ids[kind];
}

/* How each closure stands and passes, as bits and chances. */
typedef struct {
    unsigned bits[MOST];
    double leaks[MOST];
    coaming_date tested[MOST];
} state;

static state state_of(const coaming_ship *ship)
{
    state s = {{0}, {0}, {0}};
    coaming_likelihood_all(ship, s.leaks);
    for (size_t i = 0; i < ship->closure_count; i++) {
        const ship_link *l = &ship->links[i];
        unsigned bits = coaming_closure_result(ship, (int)i);
        for (int condition = -1; condition < (int)ship->condition_count; condition++)
            for (int h = 0; h < COAMING_HAZARDS; h++)
                bits = bits * 6 + 3 * link_shut(l, condition) +
                       link_state_in(l, condition, (coaming_hazard)h);
        s.bits[i] = bits * 2 + (l->repair_since != NULL);
        s.tested[i] = coaming_closure_tested(ship, (int)i);
    }
    return s;
}

static bool same(const coaming_ship *ship, const state *a, const state *b)
{
    for (size_t i = 0; i < ship->closure_count; i++)
        if (a->bits[i] != b->bits[i] || a->leaks[i] != b->leaks[i] || a->tested[i] != b->tested[i])
            return false;
    return true;
}

static coaming_ship *random_ship(int number)
{
    coaming_ship *ship = NULL;
    coaming_error error;
    char *text = random_arrangement((uint64_t)number, 6, MOST);
    ck_assert_ptr_nonnull(text);
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, &error), COAMING_OK);
    free(text);
    return ship;
}

static coaming_status see(coaming_ship *ship, const drawn *d)
{
    coaming_error error;
    return coaming_ship_see(ship, &d->lists, &error);
}

START_TEST(the_last_call_says_all_that_is_seen)
{
    static const drawn nothing;
    int differ = 0;
    for (number_of_ship = 0; number_of_ship < SHIPS; number_of_ship++) {
        coaming_ship *ship = random_ship(number_of_ship), *fresh = random_ship(number_of_ship);
        dice at = {(uint64_t)number_of_ship};
        drawn first, second;
        state unseen = state_of(ship);
        draw(&first, ship, &at);
        draw(&second, ship, &at);
        MUST(see(ship, &first) == COAMING_OK);
        state once = state_of(ship);
        MUST(see(ship, &second) == COAMING_OK && see(fresh, &second) == COAMING_OK);
        state twice = state_of(ship), alone = state_of(fresh);
        MUST(same(ship, &twice, &alone));
        differ += !same(ship, &once, &twice);
        MUST(see(ship, &nothing) == COAMING_OK);
        state after = state_of(ship);
        MUST(same(ship, &after, &unseen));
        coaming_ship_free(ship);
        coaming_ship_free(fresh);
    }
    ck_assert_int_gt(differ, SHIPS / 2);
}
END_TEST

START_TEST(as_the_header_says)
{
    for (number_of_ship = 0; number_of_ship < SHIPS; number_of_ship++) {
        coaming_ship *ship = random_ship(number_of_ship);
        dice at = {(uint64_t)number_of_ship};
        drawn d;
        draw(&d, ship, &at);
        MUST(see(ship, &d) == COAMING_OK);
        state s = state_of(ship);
        for (size_t i = 0; i < ship->closure_count; i++) {
            const ship_link *l = &ship->links[i];
            bool open = l->seen[COAMING_SEEN_OPEN], failed = l->seen[COAMING_SEEN_FAILED];
            for (int condition = -1; condition < (int)ship->condition_count; condition++)
                for (int h = 0; h < COAMING_HAZARDS; h++) {
                    coaming_hazard hazard = (coaming_hazard)h;
                    bool shut = link_shut(l, condition);
                    MUST(!open || !shut);
                    MUST(!l->seen[COAMING_SEEN_SHUT] || shut);
                    MUST(!open || link_state_as_built(l, condition, hazard) == LINK_PASSES);
                    MUST(!failed || link_state_in(l, condition, hazard) == LINK_PASSES);
                    MUST(!shut || l->rating == WEATHERTIGHT || l->rating == NONTIGHT ||
                         link_state_as_built(l, condition, hazard) == LINK_HOLDS);
                }
            MUST(!failed || (s.leaks[i] == 1 && s.tested[i] == COAMING_NO_DATE &&
                             coaming_closure_result(ship, (int)i) == COAMING_FAIL));
        }
        coaming_ship_free(ship);
    }
}
END_TEST

START_TEST(what_is_refused_changes_nothing)
{
    static const char *const wrong[] = {"no such closure", "P"};
    coaming_ship *ship = ship_from_elements(
        "<ship length=\"20\" beam=\"6\" depth=\"5\" draft=\"2\"/>"
        "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-3 3\" z=\"0 4\"/></space>"
        "<space id=\"b\" name=\"B\"><box x=\"10 20\" y=\"-3 3\" z=\"0 4\"/></space>"
        "<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"watertight\"/>"
        "<closure id=\"N\" kind=\"door\" between=\"a b\" rating=\"nontight\"/>"
        "<passage id=\"P\" kind=\"duct\" between=\"a b\"/>");
    drawn good = {0}, bad;
    coaming_error error;
    for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
        good.lists.closures[kind] = good.ids[kind];
    good.ids[COAMING_SEEN_FAILED][0] = "D";
    good.lists.count[COAMING_SEEN_FAILED] = 1;
    ck_assert_int_eq(see(ship, &good), COAMING_OK);
    state before = state_of(ship);
    for (int i = 0; i < 4; i++) {
        bad = (drawn){0};
        for (int kind = 0; kind < COAMING_SEEN_KINDS; kind++)
            bad.lists.closures[kind] = bad.ids[kind];
        bad.ids[COAMING_SEEN_OPEN][0] = i == 2 ? "D" : "N";
        bad.ids[COAMING_SEEN_SHUT][0] = i < 2 ? wrong[i] : i == 2 ? "D" : "N";
        bad.lists.count[COAMING_SEEN_OPEN] = i < 3;
        bad.lists.count[COAMING_SEEN_SHUT] = 1;
        ck_assert_int_eq(coaming_ship_see(ship, &bad.lists, &error),
                         i == 0 ? COAMING_UNKNOWN : COAMING_USAGE);
        state after = state_of(ship);
        ck_assert(same(ship, &before, &after));
        ck_assert(ship->links[0].seen[COAMING_SEEN_FAILED] &&
                  !ship->links[0].seen[COAMING_SEEN_OPEN]);
    }
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("seen");
    TCase *c = tcase_create("seen");
    tcase_add_test(c, the_last_call_says_all_that_is_seen);
    tcase_add_test(c, as_the_header_says);
    tcase_add_test(c, what_is_refused_changes_nothing);
    suite_add_tcase(suite, c);
    return run_suite(suite);
}
