/*
 * Nested lines on random ships, against all sets of places: a set that holds the sources, that no
 * link leaves which nothing can hold. Expected losses against all states of the closures, and
 * against the risk engine. The oracle reads the rules off the ship on its own and knows nothing of
 * flows or frontiers.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/hold/beyond.h"
#include "coaming/hold.h"
#include "coaming/likelihood.h"
#include "coaming/risk.h"
#include "graph/graph.h"
#include "runner.h"
#include "ship/state.h"
#include "ships.h"
#include "world.h"

enum { MOST_SPACES = 12, SHIPS = 60, STATES_LINKS = 12 };

static int number_of_ship;

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

static bool stands_open(const ship_link *l, int condition)
{
    return condition >= 0 && !l->passage && l->ever_shut && !l->always && !l->shut_in[condition];
}

/* Chances of the links, in a line and behind it. */
static world make_world(const coaming_ship *ship, const double *leaks, int condition,
                        const coaming_hold_answer *a)
{
    world w = world_of(ship, a);
    for (int i = 0; i < w.count; i++) {
        world_link *k = &w.links[i];
        const ship_link *l = &ship->links[k->link];
        bool never = l->passage || !l->ever_shut || l->rating == NONTIGHT;
        bool slows = a->hazard == COAMING_WATER && l->rating == WEATHERTIGHT;
        double p = never ? 1 : leaks[k->link];
        k->p = slows && !never ? fmax(p, 0.5) : p;
        k->beyond = slows || stands_open(l, condition) ? 1 : p;
    }
    return w;
}

static double worth_of(const world *w, unsigned set)
{
    double sum = 0;
    for (size_t i = 0; i < w->ship->space_count; i++)
        sum += (set & ~w->wet) >> i & 1 ? w->ship->spaces[i].worth : 0;
    return sum;
}

static bool leaves(const world_link *l, unsigned set)
{
    return (set >> l->a & 1) != (set >> l->b & 1);
}

/* Sum of -log(1 - p) over what leaves the set; infinite for what is no line. */
static double cut_of(const world *w, unsigned set)
{
    double sum = 0;
    for (int i = 0; i < w->count; i++)
        if (leaves(&w->links[i], set))
            sum += w->links[i].p >= 1 ? INFINITY : -log1p(-w->links[i].p);
    return sum;
}

/* Expected loss of a line by all states of the links that are not inside the set. */
static double expected_of(const world *w, unsigned set)
{
    double chance[WORLD_LINKS], sum = 0;
    unsigned uncertain[WORLD_LINKS], sure = 0;
    int count = 0;
    for (int i = 0; i < w->count; i++) {
        const world_link *l = &w->links[i];
        bool inside = (set >> l->a & 1) && (set >> l->b & 1);
        chance[i] = leaves(l, set) ? l->p : l->beyond;
        if (inside || chance[i] >= 1)
            sure |= 1u << i;
        else if (chance[i] > 0)
            uncertain[count++] = (unsigned)i;
    }
    if (count > STATES_LINKS)
        return NAN;
    for (unsigned state = 0; state < 1u << count; state++) {
        double p = 1;
        unsigned passing = sure;
        for (int i = 0; i < count; i++) {
            bool passes = state >> i & 1;
            p *= passes ? chance[uncertain[i]] : 1 - chance[uncertain[i]];
            passing |= passes ? 1u << uncertain[i] : 0;
        }
        sum += p * worth_of(w, reach_of(w, set, passing));
    }
    return sum;
}

static bool nearly(double a, double b)
{
    return fabs(a - b) <= 1e-9 * fmax(1, fmax(fabs(a), fabs(b)));
}

static int unseen_seen, lines_seen, states_seen, samples_seen, engine_seen, slow_seen,
    given_at_once, wet_seen, several_seen, ways_seen,
    rounded; /* rounded: of equal sets not the smallest */

/* What is not kept, with the outside, as the oracle has sets; a dry source stands apart. */
static unsigned set_of(const world *w, const coaming_hold_answer *a, size_t i)
{
    unsigned set = w->spaces & ~spaces_of(a->lines[i].kept, a->lines[i].kept_count);
    return (set & ~(w->begins & ~w->sources)) | w->sources;
}

static void check_closures(const world *w, const double *leaks, int condition,
                           const coaming_hold_line *line, unsigned set)
{
    size_t k = 0;
    double holds = 1;
    for (int i = 0; i < w->count; i++) {
        const world_link *l = &w->links[i];
        if (!leaves(l, set))
            continue;
        MUST(l->p < 1 && k < line->closure_count);
        const coaming_hold_closure *c = &line->closures[k++];
        MUST(c->closure == l->link && c->leak_probability == l->p);
        MUST(c->slows == (l->p != leaks[l->link] || l->beyond > l->p) ||
             !c->slows); /* open ones too pass beyond */
        MUST(c->must_be_shut == stands_open(&w->ship->links[l->link], condition));
        slow_seen += c->slows;
        holds *= 1 - l->p;
    }
    MUST(k == line->closure_count && k > 0);
    MUST(nearly(line->holds, holds));
}

/* Of the sets as good as this for t, has that with the least cut no link left to hold? */
static bool nothing_left_at(const world *w, unsigned set, double t)
{
    unsigned least = set;
    for (unsigned other = 0; other < 1u << w->places; other++)
        if ((other & w->sources) == w->sources && !isinf(cut_of(w, other)) &&
            nearly(worth_of(w, other) + t * cut_of(w, other),
                   worth_of(w, set) + t * cut_of(w, set)) &&
            cut_of(w, other) < cut_of(w, least))
            least = other;
    for (int i = 0; i < w->count; i++)
        if (leaves(&w->links[i], least))
            return false;
    return true;
}

/*
 * The lines are corners of the lower hull of all sets, none is left out, and each is the smallest of
 * its worth and chance; the first gives up only what nothing can part from the sources.
 */
static void check_hull(const world *w, const coaming_hold_answer *a)
{
    double t = 0;
    unsigned all = (1u << w->places) - 1, hopeless = 0;
    for (int i = 0; i < w->count; i++)
        hopeless |= w->links[i].p >= 1 ? 1u << i : 0;
    unsigned nearest = reach_of(w, w->sources, hopeless);
    unsigned reached = reach_of(w, w->sources, (1u << w->count) - 1);
    if (!a->line_count) {
        MUST(!(cut_of(w, nearest) > 0) || nearest == reached);
        return;
    }
    MUST(set_of(w, a, 0) == nearest);
    given_at_once += nearest != w->sources;
    for (size_t i = 0; i < a->line_count; i++) {
        unsigned set = set_of(w, a, i), before = i ? set_of(w, a, i - 1) : 0;
        double worth = worth_of(w, set), cut = cut_of(w, set), next = INFINITY;
        MUST((before & set) == before && before != set);
        /* the next t at which some set is as good as this */
        for (unsigned other = 0; other <= all; other++) {
            if ((other & w->sources) != w->sources || isinf(cut_of(w, other)))
                continue;
            double more = worth_of(w, other) - worth, less = cut - cut_of(w, other);
            if (less > 1e-12 && more >= 0)
                next = fmin(next, more / less);
        }
        /* at t, just where it begins, and up to next nothing is better */
        double ts[2] = {t, isinf(next) ? t + 1 : next};
        for (int e = 0; e < 2; e++)
            for (unsigned other = 0; other <= all; other++) {
                if ((other & w->sources) != w->sources || isinf(cut_of(w, other)))
                    continue;
                double here = worth + ts[e] * cut,
                       there = worth_of(w, other) + ts[e] * cut_of(w, other);
                MUST(here <= there + 1e-9 * fmax(1, there));
                if (nearly(worth, worth_of(w, other)) && nearly(cut, cut_of(w, other)))
                    rounded += !((set & other) == set || i == 0);
            }
        if (i + 1 < a->line_count) {
            unsigned after = set_of(w, a, i + 1);
            double slope = (worth_of(w, after) - worth) / (cut - cut_of(w, after));
            MUST(cut_of(w, after) < cut && nearly(slope, next));
        } else {
            MUST(isinf(next) || nothing_left_at(w, set, next));
        }
        t = isinf(next) ? t : next;
        lines_seen++;
    }
}

/* With what nothing can part from where a closure of the line leads lost as well: does no closure
 * that can hold lead on from there to more of what is kept? */
static bool nothing_behind(const world *w, unsigned set, int closure)
{
    unsigned hopeless = 0, lost = 0;
    for (int i = 0; i < w->count; i++) {
        const world_link *l = &w->links[i];
        hopeless |= l->p >= 1 ? 1u << i : 0;
        if (l->link == closure)
            lost = (1u << l->a | 1u << l->b) & ~set;
    }
    lost = reach_of(w, lost, hopeless);
    for (int i = 0; i < w->count; i++)
        if (!leaves(&w->links[i], set) && leaves(&w->links[i], lost))
            return false;
    return true;
}

/* What else a line says: what it keeps, who is in what it gives up, what the source can fill without
 * going round by the outside, and behind which closures nothing is that can hold. */
static void check_rest(const world *w, const coaming_hold_answer *a, size_t index)
{
    const coaming_hold_line *line = &a->lines[index];
    unsigned set = set_of(w, a, index), given = spaces_of(line->given_up, line->given_up_count);
    unsigned outside = 1u << w->ship->space_count, inner = 0;
    double people = 0;
    unsigned kept = spaces_of(line->kept, line->kept_count);
    MUST(given == (w->spaces & ~kept & ~w->wet));
    for (size_t i = 0; i < line->given_up_count; i++)
        people += w->ship->spaces[line->given_up[i]].people;
    MUST(nearly(line->people, people));
    wet_seen += w->wet != 0;
    for (int i = 0; i < w->count; i++) {
        const world_link *l = &w->links[i];
        inner |= !((1u << l->a | 1u << l->b) & outside) && !leaves(l, set) ? 1u << i : 0;
    }
    MUST(spaces_of(line->filled, line->filled_count) == reach_of(w, w->sources & w->spaces, inner));
    for (size_t k = 0; k < line->closure_count; k++)
        MUST(line->closures[k].last == nothing_behind(w, set, line->closures[k].closure));
}

/* Does all that is given up hang together with the first source and the outside? */
static bool in_one(const world *w, const coaming_hold_answer *a, unsigned set)
{
    unsigned inside = 0,
             first = w->sources & ~(w->begins & ~(a->source >= 0 ? 1u << a->source : 0));
    if (a->hazard == COAMING_AIR && a->source >= 0 && w->sources >> w->ship->space_count)
        return false; /* the weather carries on only where the engine's own source is */
    for (int i = 0; i < w->count; i++)
        inside |= leaves(&w->links[i], set) ? 0 : 1u << i;
    return (reach_of(w, first, inside) & set) == set;
}

/* The risk engine with the first source alone: inside the line all passes. */
static void check_engine(coaming_ship *ship, const world *w, coaming_query query,
                         const coaming_hold_answer *a, const coaming_hold_line *line, unsigned set)
{
    double p[WORLD_LINKS];
    scenario only = {a->hazard, a->source, 1}, *kept = ship->scenarios;
    size_t kept_count = ship->scenario_count;
    coaming_risk *risk = NULL;
    coaming_risk_options exact = coaming_risk_options_default();
    exact.method = COAMING_RISK_EXACT;
    exact.loss_only = true;
    coaming_likelihood_all(ship, p);
    for (int i = 0; i < w->count; i++) {
        const world_link *l = &w->links[i];
        if (ship->links[l->link].passage)
            continue;
        if ((set >> l->a & 1) && (set >> l->b & 1))
            p[l->link] = 1;
        else if (leaves(l, set) && l->p != l->beyond)
            return; /* open in the condition, or slows: there the engine has 1 */
    }
    ship->scenarios = &only;
    ship->scenario_count = 1;
    query.hazard[COAMING_WATER] = a->hazard == COAMING_WATER;
    query.hazard[COAMING_AIR] = a->hazard == COAMING_AIR;
    MUST(coaming_risk_new(ship, query, COAMING_MEASURE_WORTH, p, &exact, &risk, NULL) ==
         COAMING_OK);
    double wet = 0; /* which the engine counts */
    for (size_t i = 0; i < ship->space_count; i++)
        wet += w->wet & set & 1u << i ? ship->spaces[i].worth : 0;
    bool beyond = w->wet & reach_of(w, set, (1u << w->count) - 1) & ~set;
    MUST(beyond || nearly(coaming_risk_expected(risk), line->expected_loss + wet));
    coaming_risk_free(risk);
    ship->scenarios = kept;
    ship->scenario_count = kept_count;
    engine_seen++;
}

static void check_losses(coaming_ship *ship, const world *w, coaming_query query,
                         const coaming_hold_answer *a)
{
    size_t best = 0;
    for (size_t i = 0; i < a->line_count; i++) {
        const coaming_hold_line *line = &a->lines[i];
        unsigned set = set_of(w, a, i), given = spaces_of(line->given_up, line->given_up_count);
        double apart = worth_of(w, given & ~set), expected = expected_of(w, set) + apart;
        check_rest(w, a, i);
        MUST(nearly(line->worth, worth_of(w, given)));
        MUST(line->expected_error == 0);
        MUST(line->expected_loss >= line->worth * (1 - 1e-12));
        if (!isnan(expected)) {
            MUST(nearly(line->expected_loss, expected));
            states_seen++;
        }
        several_seen += w->begins & (w->begins - 1) ? 1 : 0;
        if (apart == 0 && !(given & ~set) && in_one(w, a, set))
            check_engine(ship, w, query, a, line, set);
        if (line->expected_loss < a->lines[best].expected_loss * (1 - 1e-12))
            best = i;
    }
    MUST(a->recommended == (a->line_count ? best : 0));
}

/* The samples, against what is exact: within five standard errors, where the chance of more is below
 * one in a million for each line. */
static void check_samples(const coaming_ship *ship, coaming_query query, const double *leaks,
                          const coaming_hold_answer *a)
{
    bool water = a->hazard == COAMING_WATER;
    arena memory = {0};
    net n = {.ship = ship,
             .hazard = a->hazard,
             .condition = query.condition,
             .loading = query.loading,
             .sources = a->sources,
             .source_count = a->source_count,
             .nested = true,
             .outside = water || is_among(a->sources, a->source_count, COAMING_WEATHER),
             .leaks = leaks,
             .memory = &memory};
    coaming_hold_answer sampled = *a;
    sampled.lines = memory_new(a->line_count, sizeof *sampled.lines);
    MUST(net_make(&n) && sampled.lines);
    net_add_level(&n, a->level);
    for (size_t i = 0; i < a->line_count; i++)
        sampled.lines[i] = a->lines[i];
    MUST(beyond_fill(&n, false, &sampled, NULL) == COAMING_OK);
    for (size_t i = 0; i < a->line_count; i++) {
        const coaming_hold_line *line = &sampled.lines[i];
        double error = line->expected_error, off = line->expected_loss - a->lines[i].expected_loss;
        MUST(isnan(error) ? line->expected_loss == line->worth : fabs(off) <= 5 * error + 1e-9);
        samples_seen += error > 0;
        unseen_seen += isnan(error);
    }
    memory_free(sampled.lines);
    arena_free(&memory);
}

/* A random arrangement, with leak probabilities on most closures. */
static coaming_ship *random_ship(int number, dice *d, int spaces, int links)
{
    static const char *const leaks[] = {"0.1", "0.25", "0.5", "0.03", "0", "1", "0.2"};
    char *plain = random_arrangement((uint64_t)number + 5000, spaces, links);
    char *text = with_leaks(plain, leaks, 7, d);
    coaming_ship *ship = load_numbered(text, number_of_ship);
    free(plain);
    free(text);
    return ship;
}

/* Mostly watertight doors between spaces of different worth, near ones rather than far: many lines
 * one behind the other. */
static coaming_ship *row_ship(dice *d, int spaces, int links)
{
    static const char *const leaks[] = {"0.1", "0.25", "0.5", "0.03", "0", "0.2", "0.4", "0.01"};
    static const char *const ratings[] = {"watertight", "watertight", "watertight", "airtight",
                                          "weathertight"};
    char *parts = NULL;
    size_t size;
    FILE *out = open_memstream(&parts, &size);
    int n = 5 + dice_below(d, spaces - 4), m = n - 1 + dice_below(d, links - n + 2);
    for (int s = 0; s < n; s++)
        fprintf(out,
                "<space id=\"s%d\" name=\"n\" worth=\"%d\"><box x=\"%d %d\" y=\"0 1\" z=\"0 3\"/>"
                "</space>",
                s, dice_below(d, 7), s, s + 1);
    for (int l = 0; l < m; l++) {
        int a = l < n - 1 ? l : dice_below(d, n - 1), b = l < n - 1 ? l + 1 : dice_below(d, n);
        b = a == b ? n - 1 : b;
        if (dice_below(d, 16) == 0) {
            fprintf(out, "<passage id=\"c%d\" kind=\"arch\" between=\"s%d s%d\"/>", l, a, b);
            continue;
        }
        fprintf(out, "<closure id=\"c%d\" kind=\"door\" rating=\"%s\" leak-probability=\"%s\" ", l,
                ratings[dice_below(d, 5)], leaks[dice_below(d, 8)]);
        if (dice_below(d, 6) == 0)
            fputs("shut-in=\"sea\" ", out);
        if (dice_below(d, 12) == 0)
            fprintf(out, "between=\"s%d weather\"/>", a);
        else
            fprintf(out, "between=\"s%d s%d\"/>", a, b);
    }
    fclose(out);
    char *text = arrangement_with(parts);
    coaming_ship *ship = load_numbered(text, number_of_ship);
    free(parts);
    free(text);
    return ship;
}

/* Where it goes on as the doors are: by what nobody can hold, stands open or has failed. */
static void check_as_is(const world *w, const coaming_hold_answer *a, int condition)
{
    unsigned passing = 0, told = 0;
    for (int i = 0; i < w->count; i++) {
        const ship_link *l = &w->ship->links[w->links[i].link];
        bool never = l->passage || !l->ever_shut || l->rating == NONTIGHT ||
                     (a->hazard == COAMING_WATER && l->rating == WEATHERTIGHT);
        if (never || stands_open(l, condition) || l->result == COAMING_FAIL)
            passing |= 1u << i;
    }
    for (size_t i = 0; i < a->as_is.count; i++) {
        MUST(!(told >> a->as_is.entries[i].space & 1));
        told |= 1u << a->as_is.entries[i].space;
        ways_seen += a->as_is.entries[i].link >= 0;
    }
    MUST(told == ((reach_of(w, w->sources, passing) | w->begins) & w->spaces & ~w->wet));
}

static void check_ship(coaming_ship *ship, coaming_query query, const coaming_place *sources,
                       size_t count)
{
    double leaks[WORLD_LINKS];
    coaming_hold *hold = NULL;
    coaming_likelihood_all(ship, leaks);
    MUST(coaming_hold_set_new(ship, query, sources, count, &hold, NULL) == COAMING_OK);
    for (size_t h = 0; h < coaming_hold_count(hold); h++) {
        const coaming_hold_answer *a = coaming_hold_get(hold, h);
        world w = make_world(ship, leaks, query.condition, a);
        MUST(a->source_count == count && a->nested && a->line_count <= ship->space_count + 1);
        check_hull(&w, a);
        check_as_is(&w, a, query.condition);
        for (size_t i = 0; i < a->line_count; i++)
            check_closures(&w, leaks, query.condition, &a->lines[i], set_of(&w, a, i));
        check_losses(ship, &w, query, a);
        if (number_of_ship % 4 == 1)
            check_samples(ship, query, leaks, a);
    }
    MUST(graph_left_over() == 0);
    coaming_hold_free(hold);
}

static int how_many(int usual)
{
    const char *asked = getenv("COAMING_LINE_SHIPS");
    return asked ? atoi(asked) : usual;
}

START_TEST(nested_lines_agree_with_all_sets)
{
    int ships = how_many(SHIPS);
    lines_seen = states_seen = samples_seen = engine_seen = slow_seen = given_at_once = 0;
    for (int number = 0; number < ships; number++) {
        number_of_ship = number;
        dice d = {(uint64_t)number * 104729 + 7};
        /* the oracle goes through 2^places sets: few of the ships are of the most spaces */
        int most = number % 8 ? MOST_SPACES - 3 : MOST_SPACES;
        coaming_ship *ship = number % 3 ? row_ship(&d, most, WORLD_LINKS - 6)
                                        : random_ship(number, &d, most, WORLD_LINKS);
        coaming_query query = coaming_query_default();
        query.condition = dice_below(&d, 3) - 1;
        query.level.kind = (coaming_level_kind)dice_below(&d, 3);
        query.level.height = 1 + dice_below(&d, 4);
        coaming_place sources[WORLD_SOURCES];
        check_ship(ship, query, sources, random_sources(ship, &d, sources));
        coaming_ship_free(ship);
    }
    /* every kind of answer came up often enough for the claims to mean something */
    ck_assert_int_gt(lines_seen, 2 * ships);
    ck_assert_int_gt(states_seen, ships);
    ck_assert_int_gt(engine_seen, ships);
    ck_assert_int_gt(samples_seen, ships / 4);
    ck_assert_int_gt(slow_seen, ships / 10);
    ck_assert_int_gt(given_at_once, ships / 4);
    ck_assert_int_gt(several_seen, ships / 2);
    ck_assert_int_gt(ways_seen, ships / 2);
    ck_assert_int_le(100 * rounded, ships);  /* chances as 0.75 x 0.8 and 0.6, by rounding alone */
    ck_assert_int_ge(wet_seen, ships / 300); /* seldom */
}
END_TEST

#define ROOM(id, from, to)                                                                         \
    "<space id=\"" id "\" name=\"R\" worth=\"1\"><box x=\"" from " " to                            \
    "\" y=\"-5 5\" z=\"0 6\"/></space>"
#define DOOR(id, ends, leak)                                                                       \
    "<closure id=\"" id "\" kind=\"door\" rating=\"watertight\" between=\"" ends                   \
    "\" leak-probability=\"" leak "\"><clear x=\"10\" y=\"0\" z=\"0.5\" width=\"1\" height=\"1\" " \
    "lies=\"transverse\"/></closure>"

/* A leak that no sample of some thousand shows is not told to be known to an error of 0; of what cannot
 * leak it is. */
START_TEST(what_no_sample_shows_has_no_error)
{
    static const char *const doors[] = {DOOR("D", "a b", "1e-12"), DOOR("D", "a b", "0")};
    for (int sure = 0; sure < 2; sure++) {
        char parts[2000];
        snprintf(parts, sizeof parts, "%s%s", ROOM("a", "0", "10") ROOM("b", "10", "20"),
                 doors[sure]);
        coaming_ship *ship =
            ship_from_parts("length=\"20\" beam=\"10\" depth=\"6\" draft=\"3\"", parts);
        coaming_hold *hold = NULL;
        double leaks[1];
        coaming_likelihood_all(ship, leaks);
        ck_assert_int_eq(coaming_hold_nested_new(ship, coaming_query_default(), 0, &hold, NULL),
                         COAMING_OK);
        ck_assert_uint_eq(coaming_hold_get(hold, 0)->line_count, 1);
        unseen_seen = 0;
        check_samples(ship, coaming_query_default(), leaks, coaming_hold_get(hold, 0));
        ck_assert_int_eq(unseen_seen, !sure);
        coaming_hold_free(hold);
        coaming_ship_free(ship);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("lines");
    TCase *all = tcase_create("all");
    tcase_add_test(all, what_no_sample_shows_has_no_error);
    tcase_add_test(all, nested_lines_agree_with_all_sets);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
