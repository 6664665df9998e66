/*
 * Lines that hold and weakest ways, on small ships against plain enumeration: of all sets of
 * closures, and of all ways that pass no place twice. The oracle reads the rules off the ship on
 * its own and knows nothing of flows.
 */
#include "coaming/hold.h"

#include <check.h>
#include <cjson/cJSON.h>
#include <limits.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "coaming/boundary.h"
#include "coaming/likelihood.h"
#include "graph/graph.h"
#include "runner.h"
#include "ships.h"
#include "starved.h"
#include "world.h"

enum { MAX_SPACES = 8, MAX_LINKS = 14, SHIPS = 600, INNER_SHIPS = 400 };

static int number_of_ship;

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

/* Chances of the links, as they are in a line. */
static world make_world(const coaming_ship *ship, const double *leaks,
                        const coaming_hold_answer *answer)
{
    world w = world_of(ship, answer);
    for (int i = 0; i < w.count; i++) {
        const ship_link *l = &ship->links[w.links[i].link];
        bool hopeless = l->passage || !l->ever_shut || l->rating == NONTIGHT ||
                        (answer->hazard == COAMING_WATER && l->rating == WEATHERTIGHT);
        w.links[i].p = hopeless ? 1 : leaks[w.links[i].link];
    }
    return w;
}

static unsigned hopeless(const world *w)
{
    unsigned set = 0;
    for (int i = 0; i < w->count; i++)
        if (w->links[i].p >= 1)
            set |= 1u << i;
    return set;
}

/* The greatest chance of a set of closures (none of `spent`) that parts sources from goals, and the
 * fewest closures of such a set; false if there is no such set. */
static bool best_set(const world *w, unsigned sources, unsigned goals, unsigned spent, double *best,
                     int *fewest)
{
    unsigned all = (1u << w->count) - 1, closures = all & ~hopeless(w) & ~spent;
    bool found = false;
    *best = -1;
    for (unsigned set = closures;; set = (set - 1) & closures) {
        if (!(reach_of(w, sources, all & ~set) & goals)) {
            double chance = 1;
            int count = 0;
            for (int i = 0; i < w->count; i++)
                if (set >> i & 1) {
                    chance *= 1 - w->links[i].p;
                    count++;
                }
            if (!found || chance > *best * (1 + 1e-10)) {
                *fewest = count;
                *best = chance;
            } else if (chance > *best * (1 - 1e-10) && count < *fewest) {
                *fewest = count;
            }
            found = true;
        }
        if (!set)
            return found;
    }
}

/* The greatest product over ways that pass no place twice. */
static double best_way(const world *w, int at, unsigned seen, unsigned goals, double product)
{
    if (goals >> at & 1)
        return product;
    double best = -1;
    for (int i = 0; i < w->count; i++) {
        const world_link *l = &w->links[i];
        int to = l->a == at ? l->b : l->b == at ? l->a : -1;
        if (to < 0 || seen >> to & 1 || l->p <= 0)
            continue;
        best = fmax(best, best_way(w, to, seen | 1u << to, goals, product * l->p));
    }
    return best;
}

static double best_way_from(const world *w, unsigned sources, unsigned goals)
{
    double best = -1;
    for (int v = 0; v < w->places; v++)
        if (sources >> v & 1)
            best = fmax(best, best_way(w, v, 1u << v, goals, 1));
    return best;
}

static bool near(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(fabs(a), fabs(b));
}

/* The links of a line in the oracle's numbers. */
static unsigned links_of(const world *w, const coaming_hold_line *line, const double *leaks)
{
    unsigned set = 0;
    for (size_t k = 0; k < line->closure_count; k++) {
        int found = -1;
        for (int i = 0; i < w->count; i++)
            if (w->links[i].link == line->closures[k].closure)
                found = i;
        MUST(found >= 0 && w->links[found].p < 1);
        MUST(line->closures[k].leak_probability == leaks[line->closures[k].closure]);
        MUST(k == 0 || line->closures[k - 1].closure < line->closures[k].closure);
        set |= 1u << found;
    }
    return set;
}

static void check_way(const world *w, const coaming_hold_way *way, unsigned goals)
{
    int at = way->from < 0 ? (int)w->ship->space_count : way->from;
    double product = 1;
    MUST(w->sources >> at & 1);
    for (size_t i = 0; i < way->step_count; i++) {
        const coaming_hold_step *step = &way->steps[i];
        bool joined = false;
        for (int k = 0; k < w->count; k++) {
            const world_link *l = &w->links[k];
            int to = l->a == at ? l->b : l->a;
            if (l->link == step->link && (l->a == at || l->b == at) && to == step->to) {
                MUST(l->p == step->leak_probability);
                joined = true;
            }
        }
        MUST(joined);
        at = step->to;
        product *= step->leak_probability;
    }
    MUST(goals >> at & 1);
    MUST(near(product, way->probability));
}

static int lines_seen, second_lines, lost_seen, apart_seen, wet_seen;

static void check_lines(const world *w, const double *leaks, const coaming_hold_answer *a,
                        unsigned goals)
{
    unsigned all = (1u << w->count) - 1, sources = w->sources, spent = 0;
    for (size_t k = 0; k <= a->line_count; k++) {
        double best;
        int fewest = 0;
        bool there = best_set(w, sources, goals, spent, &best, &fewest);
        bool apart = !(reach_of(w, sources, all) & goals);
        if (k == a->line_count) {
            MUST(!there || apart);
            apart_seen += apart;
            return;
        }
        const coaming_hold_line *line = &a->lines[k];
        unsigned set = links_of(w, line, leaks), ends = 0;
        MUST(there && !apart && line->closure_count);
        MUST(!(set & spent));
        unsigned lost = reach_of(w, sources, all & ~set);
        MUST(!(lost & goals));
        MUST(near(line->holds, best));
        MUST((int)line->closure_count == fewest);
        unsigned given = spaces_of(line->given_up, line->given_up_count);
        unsigned wet = w->wet & lost;
        MUST(given == ((lost | w->begins) & w->spaces & ~wet));
        MUST(spaces_of(line->kept, line->kept_count) == (w->spaces & ~given & ~wet));
        wet_seen += wet != 0;
        unsigned inner = 0; /* what is not shut, and does not lead outside */
        for (int i = 0; i < w->count; i++)
            if (w->links[i].a < w->places - 1 && w->links[i].b < w->places - 1)
                inner |= set >> i & 1 ? 0 : 1u << i;
        MUST(spaces_of(line->filled, line->filled_count) ==
             reach_of(w, w->sources & w->spaces, inner));
        bool any_last = false;
        for (size_t c = 0; c < line->closure_count; c++)
            any_last = any_last || line->closures[c].last;
        MUST(any_last == (k + 1 == a->line_count));
        for (int i = 0; i < w->count; i++)
            if (set >> i & 1)
                ends |= 1u << w->links[i].a | 1u << w->links[i].b;
        sources = lost | ends;
        spent |= set;
        lines_seen++;
        second_lines += k > 0;
    }
}

static void check_answer(const coaming_ship *ship, const double *leaks,
                         const coaming_hold_answer *a)
{
    world w = make_world(ship, leaks, a);
    unsigned sure = reach_of(&w, w.sources, hopeless(&w));
    unsigned goals = spaces_of(a->protect, a->protect_count);
    unsigned lost = goals & sure, rest = goals & ~sure;
    MUST(spaces_of(a->lost_spaces, a->lost_count) == lost);
    for (size_t i = 0; i < a->lost_count; i++) {
        check_way(&w, &a->lost[i], 1u << a->lost_spaces[i]);
        MUST(a->lost[i].probability == 1);
    }
    lost_seen += lost != 0;
    if (!rest) {
        MUST(a->line_count == 0 && !a->has_way);
        return;
    }
    check_lines(&w, leaks, a, rest);
    double way = best_way_from(&w, w.sources, rest);
    MUST(a->has_way == (way > 0));
    if (a->has_way) {
        check_way(&w, &a->way, rest);
        MUST(near(a->way.probability, way));
    }
}

static coaming_ship *load_parts(const char *parts)
{
    char *text = arrangement_with(parts);
    coaming_ship *ship = load_numbered(text, number_of_ship);
    free(text);
    return ship;
}

/* random_arrangement, with leak probabilities on most closures. The values share no prime factors,
 * so that products agree only where the factors do. */
static coaming_ship *random_ship(int number, dice *d)
{
    static const char *const values[] = {"0.1", "0.25", "0.5", "0.03", "0", "1"};
    char *plain = random_arrangement((uint64_t)number + 1000, MAX_SPACES, MAX_LINKS);
    char *text = with_leaks(plain, values, 6, d);
    coaming_ship *ship = load_numbered(text, number_of_ship);
    free(plain);
    free(text);
    return ship;
}

/* Spaces one behind the other with many doors between near ones: lines behind lines. */
static coaming_ship *inner_ship(dice *d)
{
    static const char *const values[] = {"0.1", "0.25", "0.5", "0.03", "0"};
    char *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    int n = 5 + dice_below(d, MAX_SPACES - 4), m = 8 + dice_below(d, MAX_LINKS - 7);
    for (int s = 0; s < n; s++)
        fprintf(out, "<space id=\"s%d\" name=\"n\"><box x=\"%d %d\" y=\"0 1\" z=\"0 3\"/></space>",
                s, s, s + 1);
    for (int l = 0; l < m; l++) {
        int a = l < n - 1 ? l : dice_below(d, n - 2), b = a + 1 + (l >= n - 1 && dice_below(d, 2));
        if (dice_below(d, 12) == 0)
            fprintf(out, "<passage id=\"c%d\" kind=\"arch\" between=\"s%d s%d\"/>", l, a, b);
        else
            fprintf(out,
                    "<closure id=\"c%d\" kind=\"door\" rating=\"watertight\" between=\"s%d s%d\" "
                    "leak-probability=\"%s\"/>",
                    l, a, b, values[dice_below(d, 5)]);
    }
    fclose(out);
    coaming_ship *ship = load_parts(parts);
    free(parts);
    return ship;
}

static void check_hold(const coaming_ship *ship, coaming_query query,
                       const coaming_hold_asked *asked)
{
    double leaks[MAX_LINKS];
    coaming_hold *hold = NULL;
    coaming_likelihood_all(ship, leaks);
    MUST(coaming_hold_keeping_new(ship, query, asked, &hold, NULL) == COAMING_OK);
    MUST(coaming_hold_count(hold) == 2);
    for (size_t i = 0; i < 2; i++) {
        MUST(coaming_hold_get(hold, i)->source_count == asked->source_count);
        check_answer(ship, leaks, coaming_hold_get(hold, i));
    }
    MUST(graph_left_over() == 0);
    coaming_hold_free(hold);
}

START_TEST(lines_and_ways_agree_with_enumeration)
{
    lines_seen = second_lines = lost_seen = apart_seen = 0;
    for (int number = 0; number < SHIPS; number++) {
        number_of_ship = number;
        dice d = {(uint64_t)number * 1299709 + 11};
        coaming_ship *ship = random_ship(number, &d);
        int n = (int)ship->space_count, protect[2] = {dice_below(&d, n), dice_below(&d, n)};
        coaming_query query = coaming_query_default();
        query.condition = dice_below(&d, 3) - 1;
        query.level.kind = (coaming_level_kind)dice_below(&d, 3);
        query.level.height = 1 + dice_below(&d, 4);
        coaming_place sources[WORLD_SOURCES];
        size_t count = random_sources(ship, &d, sources), kept = 1 + (size_t)dice_below(&d, 2);
        check_hold(ship, query, &(coaming_hold_asked){sources, count, protect, kept});
        coaming_ship_free(ship);
    }
    /* every kind of answer came up often enough for the claims to mean something */
    ck_assert_int_gt(lines_seen, 100);
    ck_assert_int_gt(lost_seen, 50);
    ck_assert_int_gt(wet_seen, 5);
    ck_assert_int_gt(apart_seen, 50);
}
END_TEST

START_TEST(lines_behind_lines_agree_with_enumeration)
{
    lines_seen = second_lines = 0;
    for (int number = 0; number < INNER_SHIPS; number++) {
        number_of_ship = number;
        dice d = {(uint64_t)number * 15485863 + 3};
        coaming_ship *ship = inner_ship(&d);
        int n = (int)ship->space_count, protect[2] = {n - 1, n - 2};
        coaming_place sources[2] = {dice_below(&d, 2), dice_below(&d, 2)};
        size_t count = 1 + (size_t)dice_below(&d, 2), kept = 1 + (size_t)dice_below(&d, 2);
        check_hold(ship, coaming_query_default(),
                   &(coaming_hold_asked){sources, count, protect, kept});
        coaming_ship_free(ship);
    }
    ck_assert_int_gt(lines_seen, 1000);
    ck_assert_int_gt(second_lines, 400);
}
END_TEST

/*
 * Published networks as ships: a vertex is a space, an edge of capacity c a door that holds with
 * exp(-c / 10). So the best line between two spaces holds with exp(-least cut / 10).
 */
typedef struct {
    int vertices, edges;
    const int (*edge)[3]; /* two vertices from 0, and the capacity */
} network;

static coaming_ship *ship_of_network(const network *n)
{
    char *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    for (int v = 0; v < n->vertices; v++)
        fprintf(out, "<space id=\"s%d\" name=\"n\"><box x=\"%d %d\" y=\"0 1\" z=\"0 3\"/></space>",
                v, v, v + 1);
    for (int e = 0; e < n->edges; e++)
        fprintf(out,
                "<closure id=\"c%d\" kind=\"door\" rating=\"watertight\" between=\"s%d s%d\" "
                "leak-probability=\"%.17g\"/>",
                e, n->edge[e][0], n->edge[e][1], -expm1(-n->edge[e][2] / 10.0));
    fclose(out);
    coaming_ship *ship = load_parts(parts);
    free(parts);
    return ship;
}

/* By all sets of vertices. */
static int least_cut(const network *n, int source, int goal, unsigned *least_side)
{
    int least = INT_MAX;
    for (unsigned set = 0; set < 1u << n->vertices; set++) {
        int cut = 0;
        if (!(set >> source & 1) || set >> goal & 1)
            continue;
        for (int e = 0; e < n->edges; e++)
            cut += (set >> n->edge[e][0] & 1) != (set >> n->edge[e][1] & 1) ? n->edge[e][2] : 0;
        if (cut < least)
            *least_side = set;
        else if (cut == least)
            *least_side &= set;
        least = cut < least ? cut : least;
    }
    return least;
}

/* The least cut that the best line has. */
static double cut_held(const network *n, const coaming_ship *ship, int source, int goal)
{
    unsigned side = 0;
    coaming_query query = coaming_query_default();
    coaming_hold *hold = NULL;
    query.hazard[COAMING_WATER] = false;
    ck_assert_int_eq(coaming_hold_new(ship, query, source, &goal, 1, &hold, NULL), COAMING_OK);
    const coaming_hold_line *line = coaming_hold_get(hold, 0)->lines;
    double cut = -10 * log(line->holds);
    ck_assert_double_eq_tol(cut, least_cut(n, source, goal, &side), 1e-9);
    int crossing = 0; /* of equal lines that of fewest closures is taken, not the nearest */
    for (int e = 0; e < n->edges; e++)
        crossing += (side >> n->edge[e][0] & 1) != (side >> n->edge[e][1] & 1);
    ck_assert_int_le((int)line->closure_count, crossing);
    coaming_hold_free(hold);
    return cut;
}

/*
 * M. Stoer and F. Wagner, "A simple min-cut algorithm", Journal of the ACM 44(4), 1997, 585-591: the
 * graph, as told in test_nested.c. Its least cut, 4, parts {1, 2, 5, 6} from {3, 4, 7, 8}: so that is
 * the least between any vertex here and any there. The first phase of the paper tells that between 1
 * and 5 it is 5.
 */
static const int stoer_wagner[][3] = {{0, 1, 2}, {0, 4, 3}, {1, 2, 3}, {1, 4, 2},
                                      {1, 5, 2}, {2, 3, 4}, {2, 6, 2}, {3, 6, 2},
                                      {3, 7, 2}, {4, 5, 3}, {5, 6, 1}, {6, 7, 3}};

START_TEST(the_graph_of_stoer_and_wagner)
{
    static const int here[] = {0, 1, 4, 5}, there[] = {2, 3, 6, 7};
    network n = {8, sizeof stoer_wagner / sizeof *stoer_wagner, stoer_wagner};
    coaming_ship *ship = ship_of_network(&n);
    for (int i = 0; i < 16; i++) {
        ck_assert_double_eq_tol(cut_held(&n, ship, here[i / 4], there[i % 4]), 4, 1e-9);
        ck_assert_double_eq_tol(cut_held(&n, ship, there[i / 4], here[i % 4]), 4, 1e-9);
    }
    ck_assert_double_eq_tol(cut_held(&n, ship, 0, 4), 5, 1e-9);
    coaming_ship_free(ship);
}
END_TEST

/*
 * The example of the article "Gomory-Hu tree" of Wikipedia (after R. E. Gomory and T. C. Hu,
 * "Multi-terminal network flows", Journal of the Society for Industrial and Applied Mathematics 9(4),
 * 1961, 551-570). Read there: least cuts of 6 between 1 and 5, 8 between 3 and 5, 6 between 1 and 2;
 * capacities of 1-3, 3-4, 3-5 and 4-5, and 6 for those of 0-1, 1-2 and 2-4 together. The other
 * capacities, and the tree's 7 between 1 and 4 and 8 between 0 and 2, are from memory; that all
 * others are 6 follows from the tree. All are derived from all sets besides.
 */
static const int gomory_hu[][3] = {{0, 1, 1}, {0, 2, 7}, {1, 2, 1}, {1, 3, 3}, {1, 4, 2},
                                   {2, 4, 4}, {3, 4, 1}, {3, 5, 6}, {4, 5, 2}};

START_TEST(the_tree_of_gomory_and_hu)
{
    static const int more_than_six[][3] = {{0, 2, 8}, {3, 5, 8}, {1, 4, 7}};
    network n = {6, sizeof gomory_hu / sizeof *gomory_hu, gomory_hu};
    coaming_ship *ship = ship_of_network(&n);
    for (int a = 0; a < n.vertices; a++)
        for (int b = 0; b < n.vertices; b++) {
            int cut = 6;
            for (int i = 0; i < 3; i++)
                if ((more_than_six[i][0] == a && more_than_six[i][1] == b) ||
                    (more_than_six[i][0] == b && more_than_six[i][1] == a))
                    cut = more_than_six[i][2];
            if (a != b)
                ck_assert_double_eq_tol(cut_held(&n, ship, a, b), cut, 1e-9);
        }
    coaming_ship_free(ship);
}
END_TEST

/* Three spaces in a row, 3 m high, in water of 3 m; worked by hand. */
#define ROW                                                                                        \
    "<space id=\"a\" name=\"A\"><box x=\"0 9\" y=\"-5 5\" z=\"0 4\"/></space>"                     \
    "<space id=\"m\" name=\"M\"><box x=\"9 18\" y=\"-5 5\" z=\"0 4\"/></space>"                    \
    "<space id=\"b\" name=\"B\" vital=\"yes\"><box x=\"18 27\" y=\"-5 5\" z=\"0 4\"/></space>"
#define DOOR(id, ends, more)                                                                       \
    "<closure id=\"" id "\" kind=\"door\" between=\"" ends "\" " more                              \
    "><clear x=\"9\" y=\"0\" z=\"1\" width=\"0.6\" height=\"1\" lies=\"transverse\"/></closure>"
#define TIGHT "rating=\"watertight\" "

static coaming_hold *ask(const coaming_ship *ship, int condition, coaming_place source)
{
    coaming_query query = coaming_query_default();
    query.condition = condition;
    coaming_hold *hold = NULL;
    coaming_error error;
    coaming_status status = coaming_hold_new(ship, query, source, NULL, 0, &hold, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    return hold;
}

START_TEST(a_row_of_two_doors_by_hand)
{
    coaming_ship *ship = load_parts(ROW DOOR("d1", "a m", TIGHT "leak-probability=\"0.25\"")
                                        DOOR("d2", "m b",
                                             TIGHT "leak-probability=\"0.1\" "
                                                   "shut-in=\"sea\""));
    coaming_hold *hold = ask(ship, 1, 0);
    for (size_t h = 0; h < 2; h++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, h);
        ck_assert_int_eq(a->protect[0], 2);
        ck_assert(a->vital && !a->lost_count && a->has_way);
        ck_assert_uint_eq(a->line_count, 1); /* d2 stands before B itself */
        ck_assert_int_eq(a->lines[0].closures[0].closure, 1);
        ck_assert(a->lines[0].closures[0].must_be_shut && a->lines[0].closures[0].last);
        ck_assert_double_eq_tol(a->lines[0].holds, 0.9, 1e-12);
        ck_assert_uint_eq(a->lines[0].given_up_count, 2);
        ck_assert_uint_eq(a->lines[0].kept_count, 1);
        ck_assert_double_eq_tol(a->way.probability, 0.025, 1e-12);
        ck_assert_uint_eq(a->way.step_count, 2);
        ck_assert_int_eq(a->way.from, 0);
    }
    coaming_hold_free(hold);
    hold = ask(ship, 0, 0);
    ck_assert(!coaming_hold_get(hold, 0)->lines[0].closures[0].must_be_shut);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* Two doors of 0.9 are worse than one of 0.9; of equal lines the nearest to the source gives up
 * least, and the other stands behind it. */
START_TEST(of_equal_lines_the_one_with_fewest_closures_nearest_the_source)
{
    coaming_ship *ship = load_parts(ROW DOOR("d1", "a m", TIGHT "leak-probability=\"0\"")
                                        DOOR("d2", "a m", TIGHT "leak-probability=\"0\"")
                                            DOOR("d3", "m b", TIGHT "leak-probability=\"0\""));
    coaming_hold *hold = ask(ship, COAMING_NO_CONDITION, 0);
    const coaming_hold_answer *a = coaming_hold_get(hold, 1);
    ck_assert_uint_eq(a->line_count, 1);
    ck_assert_uint_eq(a->lines[0].closure_count, 1);
    ck_assert_int_eq(a->lines[0].closures[0].closure, 2);
    ck_assert_double_eq(a->lines[0].holds, 1);
    ck_assert(!a->has_way);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
    ship = load_parts(ROW DOOR("d1", "a m", TIGHT "leak-probability=\"0.2\"")
                          DOOR("d2", "m b", TIGHT "leak-probability=\"0.2\""));
    hold = ask(ship, COAMING_NO_CONDITION, 0);
    a = coaming_hold_get(hold, 1);
    ck_assert_uint_eq(a->line_count, 2);
    ck_assert_int_eq(a->lines[0].closures[0].closure, 0);
    ck_assert_int_eq(a->lines[1].closures[0].closure, 1);
    ck_assert_uint_eq(a->lines[0].kept_count, 2);
    ck_assert_uint_eq(a->lines[1].kept_count, 1);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* Water goes round by the weather, bad air does not. */
START_TEST(water_comes_round_by_the_outside)
{
    coaming_ship *ship = load_parts(ROW DOOR("d1", "a b", TIGHT "leak-probability=\"0.1\"")
                                        DOOR("h1", "b weather", TIGHT "leak-probability=\"0.2\""));
    coaming_hold *hold = ask(ship, COAMING_NO_CONDITION, 0);
    const coaming_hold_answer *water = coaming_hold_get(hold, 0), *air = coaming_hold_get(hold, 1);
    ck_assert_uint_eq(water->lines[0].closure_count, 2);
    ck_assert_double_eq_tol(water->lines[0].holds, 0.72, 1e-12);
    ck_assert_int_eq(water->way.from, COAMING_WEATHER);
    ck_assert_double_eq_tol(water->way.probability, 0.2, 1e-12);
    ck_assert_uint_eq(air->lines[0].closure_count, 1);
    ck_assert_double_eq_tol(air->lines[0].holds, 0.9, 1e-12);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(where_no_line_can_stand_the_way_is_told)
{
    coaming_ship *ship =
        load_parts(ROW "<passage id=\"p\" kind=\"arch\" between=\"a m\">"
                       "<clear x=\"9\" y=\"0\" z=\"1\" width=\"0.6\" height=\"1\" "
                       "lies=\"transverse\"/></passage>" DOOR("d1", "m b", "rating=\"nontight\""));
    coaming_hold *hold = ask(ship, COAMING_NO_CONDITION, 0);
    const coaming_hold_answer *a = coaming_hold_get(hold, 1);
    ck_assert(!a->line_count && !a->has_way);
    ck_assert_uint_eq(a->lost_count, 1);
    ck_assert_int_eq(a->lost_spaces[0], 2);
    ck_assert_uint_eq(a->lost[0].step_count, 2);
    ck_assert_int_eq(a->lost[0].steps[0].link, 1); /* passages after closures */
    ck_assert_int_eq(a->lost[0].steps[0].to, 1);
    coaming_hold_free(hold);
    /* the source itself */
    int self = 0;
    ck_assert_int_eq(coaming_hold_new(ship, coaming_query_default(), 0, &self, 1, &hold, NULL),
                     COAMING_OK);
    ck_assert_uint_eq(coaming_hold_get(hold, 1)->lost_count, 1);
    ck_assert_uint_eq(coaming_hold_get(hold, 1)->lost[0].step_count, 0);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(something_must_be_asked_for)
{
    coaming_ship *ship = load_parts(ROW);
    coaming_hold *hold = NULL;
    coaming_query none = coaming_query_default(), settled = none;
    none.hazard[0] = none.hazard[1] = false;
    settled.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    ck_assert_int_eq(coaming_hold_new(ship, none, 0, NULL, 0, &hold, NULL), COAMING_USAGE);
    /* B alone is vital, and the source; then none is */
    coaming_error error;
    ck_assert_int_eq(coaming_hold_new(ship, coaming_query_default(), 2, NULL, 0, &hold, &error),
                     COAMING_USAGE);
    ck_assert_ptr_nonnull(strstr(error.message, "no other space is marked vital"));
    ship->spaces[2].vital = false;
    ck_assert_int_eq(coaming_hold_new(ship, coaming_query_default(), 2, NULL, 0, &hold, &error),
                     COAMING_USAGE);
    ck_assert_ptr_nonnull(strstr(error.message, "no space is marked vital"));
    ship->spaces[2].vital = true;
    ck_assert_int_eq(coaming_hold_new(ship, settled, 0, NULL, 0, &hold, NULL), COAMING_USAGE);
    ck_assert_ptr_null(hold);
    hold = ask(ship, COAMING_NO_CONDITION, 0);
    ck_assert(!coaming_hold_get(hold, 1)->line_count && !coaming_hold_get(hold, 1)->has_way);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* A box of 60 x 12 m floats at 3 m. With the after third A open to the sea she trims by the stern:
 * the edge of door d2 at x = 9, z = 3.4 comes under water, that of d3 at x = 59 does not. The still
 * plane does not tell of either. */
static const char floating[] =
    "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\">"
    "<ship length=\"60\" beam=\"12\" depth=\"9\" draft=\"3\" kg=\"3\"/>"
    "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-6 6\" z=\"0 9\"/></space>"
    "<space id=\"b\" name=\"B\" vital=\"yes\"><box x=\"10 60\" y=\"-6 6\" z=\"0 9\"/></space>"
    "<closure id=\"d1\" kind=\"door\" between=\"a b\" rating=\"watertight\" "
    "leak-probability=\"0.1\"><clear x=\"9\" y=\"0\" z=\"1\" width=\"1\" height=\"1\" "
    "lies=\"transverse\"/></closure>"
    "<closure id=\"d2\" kind=\"door\" between=\"a b\" rating=\"watertight\" "
    "leak-probability=\"0.2\"><clear x=\"9\" y=\"0\" z=\"3.4\" width=\"1\" height=\"1\" "
    "lies=\"transverse\"/></closure>"
    "<closure id=\"d3\" kind=\"hatch\" between=\"b weather\" rating=\"watertight\" "
    "leak-probability=\"0.2\"><clear x=\"59\" y=\"0\" z=\"3.4\" width=\"1\" height=\"1\" "
    "lies=\"deck\"/></closure></arrangement>";

START_TEST(the_line_counts_with_how_she_settles)
{
    coaming_ship *ship = load_numbered(floating, number_of_ship);
    coaming_query query = coaming_query_default();
    coaming_hold *hold = NULL;
    ck_assert_int_eq(coaming_hold_new(ship, query, 0, NULL, 0, &hold, NULL), COAMING_OK);
    ck_assert_double_eq_tol(coaming_hold_get(hold, 0)->lines[0].holds, 0.9, 1e-12);
    coaming_hold_free(hold);
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    ck_assert_int_eq(coaming_hold_new(ship, query, 0, NULL, 0, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert_int_eq(a->afloat, COAMING_AFLOAT_YES);
    ck_assert_int_eq(a->lines[0].at.afloat, COAMING_AFLOAT_YES);
    ck_assert_uint_eq(a->lines[0].closure_count, 2);
    ck_assert_double_eq_tol(a->lines[0].holds, 0.72, 1e-12);
    ck_assert_double_gt(a->level, 3);
    ck_assert_double_eq(a->level, a->lines[0].at.draught);
    ck_assert(isnan(coaming_hold_get(hold, 1)->level));
    coaming_hold_free(hold);
    /* nor does she stay afloat with B open: all is under water, and A is what is to be kept */
    int self = 0;
    ck_assert_int_eq(coaming_hold_new(ship, query, 1, &self, 1, &hold, NULL), COAMING_OK);
    a = coaming_hold_get(hold, 0);
    ck_assert_int_ne(a->afloat, COAMING_AFLOAT_YES);
    ck_assert(isnan(a->level));
    ck_assert_uint_eq(a->lines[0].closure_count, 2);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* Of the two doors d1 stands against A in water; d2 too once she has settled. The nearest line gives up
 * A alone, and with that she floats; B given up as well would sink her, and leaves nothing to hold. */
START_TEST(nested_lines_count_with_how_she_settles)
{
    coaming_ship *ship = load_numbered(floating, number_of_ship);
    coaming_query query = coaming_query_default();
    coaming_hold *hold = NULL;
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *a = coaming_hold_get(hold, 0);
    ck_assert(a->nested);
    ck_assert_uint_eq(a->line_count, 1);
    ck_assert_uint_eq(a->recommended, 0);
    ck_assert_uint_eq(a->lines[0].closure_count, 2);
    ck_assert_double_eq_tol(a->lines[0].holds, 0.72, 1e-12);
    ck_assert_double_eq(a->level, a->lines[0].at.draught);
    /* worth 1 each: A, and B unless both doors hold; d3 stays dry */
    ck_assert_double_eq_tol(a->lines[0].expected_loss, 1 + 0.28, 1e-12);
    coaming_hold_free(hold);
    /* nor does she float with B open, whatever line is held */
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 1, &hold, NULL), COAMING_OK);
    a = coaming_hold_get(hold, 0);
    ck_assert_uint_eq(a->line_count, 1);
    ck_assert_uint_eq(a->recommended, a->line_count);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* A, M and B in a row, worth 1 each; d1 stands open at sea, d2 is shut. Held at d1 (shut for it) 1 is
 * given up and 0.4 x (1 + 0.1) is lost beyond; held at d2 2 are given up and 0.1 is lost. A
 * weathertight d1 under water is taken to leak with 0.5 in the line. And where d1 can hardly hold and
 * d2 stands open, who holds d1 leaves d2 open: 1 + 0.95 x 2 against 2 + 0.1 at d2. */
START_TEST(a_row_from_near_to_far_by_hand)
{
    coaming_ship *ship = load_parts(ROW DOOR("d1", "a m",
                                             TIGHT "leak-probability=\"0.4\" "
                                                   "shut-in=\"port\"")
                                        DOOR("d2", "m b", TIGHT "leak-probability=\"0.1\""));
    coaming_query query = coaming_query_default();
    coaming_hold *hold = NULL;
    query.condition = 0; /* sea */
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
    for (size_t h = 0; h < 2; h++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, h);
        ck_assert_uint_eq(a->line_count, 2);
        ck_assert(a->lines[0].closures[0].must_be_shut && !a->lines[0].closures[0].last);
        ck_assert(!a->lines[1].closures[0].must_be_shut && a->lines[1].closures[0].last);
        ck_assert_double_eq_tol(a->lines[0].expected_loss, 1 + 0.4 * 1.1, 1e-12);
        ck_assert_double_eq_tol(a->lines[1].expected_loss, 2 + 0.1, 1e-12);
        ck_assert_uint_eq(a->recommended, 0);
        ck_assert(a->has_way && a->way.step_count == 2);
    }
    coaming_hold_free(hold);
    coaming_ship_free(ship);
    ship = load_parts(ROW DOOR("d1", "a m", "rating=\"weathertight\" leak-probability=\"0.1\"")
                          DOOR("d2", "m b", TIGHT "leak-probability=\"0.1\""));
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
    const coaming_hold_answer *water = coaming_hold_get(hold, 0), *air = coaming_hold_get(hold, 1);
    ck_assert(water->lines[0].closures[0].slows && !air->lines[0].closures[0].slows);
    ck_assert_double_eq(water->lines[0].holds, 0.5);
    ck_assert_double_eq(air->lines[0].holds, 0.9);
    ck_assert_double_eq_tol(water->lines[0].expected_loss, 1 + 0.5 * 1.1, 1e-12);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
    ship = load_parts(ROW DOOR("d1", "a m", TIGHT "leak-probability=\"0.95\"")
                          DOOR("d2", "m b", TIGHT "leak-probability=\"0.1\" shut-in=\"port\""));
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
    water = coaming_hold_get(hold, 0);
    ck_assert_double_eq_tol(water->lines[0].expected_loss, 1 + 0.95 * 2, 1e-12);
    ck_assert_double_eq_tol(water->lines[1].expected_loss, 2 + 0.1, 1e-12);
    ck_assert_uint_eq(water->recommended, 1);
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* What stands open behind a line, the first closure of the file, is told as long as it could hold; on the weakest way
 * one that is sure to leak is not told as one that only stands open. */
START_TEST(what_stands_open_could_hold)
{
    static const char *const chances[] = {"0.1", "1"};
    for (int i = 0; i < 2; i++) {
        char parts[2000];
        snprintf(parts, sizeof parts, "%s%s%s%s",
                 ROW "<closure id=\"d1\" kind=\"door\" between=\"m b\" " TIGHT
                     "shut-in=\"port\" leak-probability=\"",
                 chances[i], "\"/>", DOOR("d2", "a m", TIGHT "leak-probability=\"0.05\""));
        coaming_ship *ship = load_parts(parts);
        coaming_query query = coaming_query_default();
        coaming_hold *hold = NULL;
        query.condition = 0; /* sea */
        ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
        const coaming_hold_answer *air = coaming_hold_get(hold, 1);
        ck_assert_int_eq(air->lines[0].closures[0].closure, 1);
        ck_assert_uint_eq(air->lines[0].open_count, i ? 0 : 1);
        ck_assert(i || air->lines[0].open_behind[0] == 0);
        ck_assert(air->has_way && air->way.step_count == 2);
        ck_assert_int_eq(air->way.steps[1].link, 0);
        ck_assert_int_eq(air->way.steps[1].stands_open, i == 0);
        ck_assert_double_eq(air->way.steps[1].leak_probability, 1);
        coaming_hold_free(hold);
        coaming_ship_free(ship);
    }
}
END_TEST

/* A boundary is of spaces that there are. */
START_TEST(what_is_sealed_off_is_of_the_ship)
{
    coaming_ship *ship = load_parts(ROW);
    static const int sets[][2] = {{-1, 0}, {3, 0}, {0, -1}, {0, 3}};
    coaming_round_options walk = coaming_round_options_default();
    for (int i = 0; i < 4; i++) {
        coaming_boundary *boundary = NULL;
        ck_assert_int_eq(
            coaming_boundary_new(ship, coaming_query_default(), sets[i], 2, &walk, &boundary, NULL),
            COAMING_USAGE);
        ck_assert_ptr_null(boundary);
    }
    coaming_ship_free(ship);
}
END_TEST

/* A worse door behind the only line is a door all the same. */
START_TEST(a_door_behind_the_only_line_by_hand)
{
    coaming_ship *ship = load_parts(ROW DOOR("d1", "a m", TIGHT "leak-probability=\"0.1\"")
                                        DOOR("d2", "m b", TIGHT "leak-probability=\"0.2\""));
    coaming_hold *hold = NULL;
    coaming_query query = coaming_query_default();
    ck_assert_int_eq(coaming_hold_nested_new(ship, query, 0, &hold, NULL), COAMING_OK);
    for (size_t h = 0; h < 2; h++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, h);
        ck_assert_uint_eq(a->line_count, 1);
        ck_assert_int_eq(a->lines[0].closures[0].closure, 0);
        ck_assert(!a->lines[0].closures[0].last);
    }
    coaming_hold_free(hold);
    coaming_ship_free(ship);
}
END_TEST

/* The answer, and both ways of showing it. */
static coaming_status everything(const coaming_ship *ship, coaming_query query, bool nested)
{
    coaming_hold *hold = NULL;
    coaming_outset *outset = NULL;
    FILE *out = fopen("/dev/null", "w");
    coaming_status status = nested ? coaming_hold_nested_new(ship, query, 0, &hold, NULL)
                                   : coaming_hold_new(ship, query, 0, NULL, 0, &hold, NULL);
    if (status == COAMING_OK)
        status = coaming_outset_new(ship, query, &outset, NULL);
    for (int f = 0; f < 2 && status == COAMING_OK; f++) {
        coaming_style style = {f ? COAMING_JSON : COAMING_TEXT, true, 80};
        status = coaming_print_hold(out, style, outset, hold, NULL);
    }
    fclose(out);
    coaming_outset_free(outset);
    coaming_hold_free(hold);
    return status;
}

START_TEST(out_of_memory_is_told_at_every_allocation)
{
    coaming_ship *ship = load_numbered(floating, number_of_ship);
    coaming_query query = coaming_query_default();
    query.level.kind = COAMING_LEVEL_EQUILIBRIUM;
    cJSON_Hooks hooks = {counted, memory_free};
    cJSON_InitHooks(&hooks);
    for (int nested = 0; nested < 2; nested++) {
        memory_fail_at(0);
        ck_assert_int_eq(everything(ship, query, nested), COAMING_OK);
        size_t all = memory_asked();
        ck_assert_uint_gt(all, 200);
        for (size_t n = 1; n <= all; n++) {
            memory_fail_at(n);
            ck_assert_msg(everything(ship, query, nested) == COAMING_MEMORY,
                          "allocation %zu of %zu", n, all);
            ck_assert_int_eq(graph_left_over(), 0);
        }
    }
    memory_fail_at(0);
    cJSON_InitHooks(NULL);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("hold");
    TCase *all = tcase_create("all");
    tcase_add_test(all, lines_and_ways_agree_with_enumeration);
    tcase_add_test(all, lines_behind_lines_agree_with_enumeration);
    tcase_add_test(all, a_row_of_two_doors_by_hand);
    tcase_add_test(all, the_graph_of_stoer_and_wagner);
    tcase_add_test(all, the_tree_of_gomory_and_hu);
    tcase_add_test(all, of_equal_lines_the_one_with_fewest_closures_nearest_the_source);
    tcase_add_test(all, water_comes_round_by_the_outside);
    tcase_add_test(all, where_no_line_can_stand_the_way_is_told);
    tcase_add_test(all, something_must_be_asked_for);
    tcase_add_test(all, the_line_counts_with_how_she_settles);
    tcase_add_test(all, nested_lines_count_with_how_she_settles);
    tcase_add_test(all, a_row_from_near_to_far_by_hand);
    tcase_add_test(all, what_is_sealed_off_is_of_the_ship);
    tcase_add_test(all, what_stands_open_could_hold);
    tcase_add_test(all, a_door_behind_the_only_line_by_hand);
    tcase_add_test(all, out_of_memory_is_told_at_every_allocation);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
