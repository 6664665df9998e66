/*
 * Plain enumeration on random small ships: every closure, side, hazard, level, condition, answer.
 *
 * The oracle below knows nothing of forests and bridges: it spreads from the sources over the links
 * until nothing changes, once with the closure forced to pass and once forced to hold.
 */
#include <check.h>
#include <math.h>
#include <stdlib.h>

#include "graph/graph.h"
#include "runner.h"
#include "ships.h"

enum { MAX_SPACES = 10, MAX_LINKS = 22, SHIPS = 600 };

/* Check's own assertions report each success through a pipe: too slow for millions of them. */
#define MUST(claim)                       CLAIM(claim, "%s", #claim)
#define MUST_EQ(left, right)              MUST((left) == (right))
#define MUST_NEAR(left, right, tolerance) MUST(fabs((left) - (right)) <= (tolerance))

typedef struct {
    coaming_hazard hazard;
    double level;
    int condition;
    bool untested_pass;
    int forced; /* closure */
    bool forced_to_pass;
} world;

static bool passes(const coaming_ship *s, int l, const world *w)
{
    const ship_link *k = &s->links[l];
    if (w->hazard == COAMING_WATER && !(k->clear.z < w->level))
        return false;
    if (w->hazard == COAMING_AIR && (k->a == COAMING_SEA || k->b == COAMING_SEA))
        return false;
    if (l == w->forced)
        return w->forced_to_pass;
    if (k->passage || k->rating == NONTIGHT || !k->ever_shut)
        return true;
    if (w->condition >= 0 && !k->always && !k->shut_in[w->condition])
        return true;
    if (w->hazard == COAMING_WATER && k->rating == WEATHERTIGHT)
        return true;
    coaming_result r = coaming_closure_result(s, l);
    return r == COAMING_FAIL || (r == COAMING_UNTESTED && w->untested_pass);
}

static bool can_fill(const coaming_ship *s, coaming_place p, const world *w)
{
    return p >= 0 && (w->hazard == COAMING_AIR || s->spaces[p].bottom < w->level);
}

/* reached: by space. */
static void spread(const coaming_ship *s, coaming_place source, const world *w, bool *reached)
{
    bool water = w->hazard == COAMING_WATER;
    bool outside = water || source == COAMING_WEATHER; /* a source of its own */
    for (size_t i = 0; i < s->space_count; i++)
        reached[i] = (int)i == source && can_fill(s, source, w);
    for (bool grown = true; grown;) {
        grown = false;
        for (size_t l = 0; l < s->link_count; l++) {
            const ship_link *k = &s->links[l];
            if (!passes(s, (int)l, w))
                continue;
            bool a = k->a >= 0 ? reached[k->a] : outside;
            bool b = k->b >= 0 ? reached[k->b] : outside;
            if (a && !b && can_fill(s, k->b, w))
                grown = reached[k->b] = true;
            if (b && !a && can_fill(s, k->a, w))
                grown = reached[k->a] = true;
        }
    }
}

/* Marks what closure c exposes to a source. */
static void plain_exposed(const coaming_ship *s, int c, coaming_place source, world w,
                          bool *exposed)
{
    bool with[MAX_SPACES], without[MAX_SPACES];
    w.forced = c;
    w.forced_to_pass = true;
    spread(s, source, &w, with);
    w.forced_to_pass = false;
    spread(s, source, &w, without);
    for (size_t i = 0; i < s->space_count; i++)
        exposed[i] = with[i] && !without[i];
    /* bad air has no source in the sea */
    if (w.hazard == COAMING_AIR && source == COAMING_SEA)
        for (size_t i = 0; i < s->space_count; i++)
            exposed[i] = false;
}

static double level_of(const coaming_ship *s, coaming_level level, coaming_place source)
{
    if (level.kind == COAMING_LEVEL_AT)
        return level.height;
    return level.kind == COAMING_LEVEL_FULL && source >= 0 ? s->spaces[source].top : s->draught;
}

static double measure_of(const ship_space *s, coaming_measure m, const world *w)
{
    double volume = 0;
    for (size_t i = 0; i < s->solid_count; i++) {
        const solid *b = &s->solids[i];
        double top = w->hazard == COAMING_WATER ? fmin(w->level, b->z1) : b->z1;
        volume += (b->x1 - b->x0) * (b->y1 - b->y0) * fmax(0, top - b->z0) * s->permeability;
    }
    const double values[] = {s->worth, volume, s->people, 1};
    return values[m];
}

static void same_set(const coaming_ship *s, const bool *expected, const int *got, size_t count)
{
    size_t wanted = 0;
    for (size_t i = 0; i < s->space_count; i++)
        wanted += expected[i];
    MUST_EQ(count, wanted);
    for (size_t i = 0; i < count; i++) {
        MUST(expected[got[i]]);
        MUST(i == 0 || got[i - 1] < got[i]);
    }
}

/* Each exposed space is entered by a passing link from the closure's far side on. */
static void way_leads(const coaming_ship *s, const coaming_exposure_row *row, const world *w)
{
    for (size_t i = 0; i < row->exposed_count; i++) {
        int at = row->exposed[i];
        size_t steps = 0;
        for (;;) {
            MUST(steps++ <= row->exposed_count);
            size_t j = 0;
            while (row->exposed[j] != at)
                MUST(++j < row->exposed_count);
            int l = row->by[j];
            const ship_link *k = &s->links[l];
            MUST(k->a == at || k->b == at);
            if (l == row->closure)
                break;
            MUST(passes(s, l, w));
            at = k->a == at ? k->b : k->a;
        }
    }
}

static void check_expose(const coaming_ship *s, coaming_query q)
{
    coaming_exposure *e = NULL;
    MUST_EQ(coaming_exposure_new(s, q, NULL, 0, &e, NULL), COAMING_OK);
    MUST_EQ(coaming_exposure_row_count(e), 4 * s->closure_count);
    for (size_t i = 0; i < coaming_exposure_row_count(e); i++) {
        coaming_exposure_row row;
        bool expected[MAX_SPACES];
        MUST_EQ(coaming_exposure_row_get(e, i, &row, NULL), COAMING_OK);
        const ship_link *k = &s->links[row.closure];
        MUST_EQ(row.closure, (int)(i / 4));
        MUST_EQ(row.hazard, i % 4 < 2 ? COAMING_WATER : COAMING_AIR);
        MUST_EQ(row.source, i % 2 ? k->b : k->a);
        world w = {row.hazard, level_of(s, q.level, row.source), q.condition, false, -1, false};
        plain_exposed(s, row.closure, row.source, w, expected);
        same_set(s, expected, row.exposed, row.exposed_count);
        double sums[COAMING_MEASURE_FREEBOARD] = {0};
        for (size_t j = 0; j < row.exposed_count; j++)
            for (int m = 0; m < COAMING_MEASURE_FREEBOARD; m++)
                sums[m] += measure_of(&s->spaces[row.exposed[j]], (coaming_measure)m, &w);
        /* the same few numbers added up in the same order, but for the grouping of a product */
        MUST_NEAR(row.volume, sums[COAMING_MEASURE_VOLUME], 1e-12);
        MUST_EQ(row.people, sums[COAMING_MEASURE_PEOPLE]);
        MUST_EQ(row.worth, sums[COAMING_MEASURE_WORTH]);
        MUST_EQ(row.note == COAMING_NOTE_NONE, row.exposed_count > 0);
        way_leads(s, &row, &w);
        w.untested_pass = true;
        plain_exposed(s, row.closure, row.source, w, expected);
        same_set(s, expected, row.exposed_if_untested_leak, row.exposed_if_untested_leak_count);
    }
    coaming_exposure_free(e);
}

static size_t plain_scenarios(const coaming_ship *s, coaming_hazard h, scenario *list)
{
    size_t count = 0, spaces = 0;
    for (size_t i = 0; i < s->scenario_count; i++)
        if (s->scenarios[i].hazard == h)
            list[count++] = s->scenarios[i];
    if (count)
        return count;
    for (size_t i = 0; i < s->space_count; i++)
        spaces += h == COAMING_AIR || s->spaces[i].shell;
    list[count++] = (scenario){h, h == COAMING_AIR ? COAMING_WEATHER : COAMING_SEA, 1};
    for (size_t i = 0; i < s->space_count; i++)
        if (h == COAMING_AIR || s->spaces[i].shell)
            list[count++] = (scenario){h, (int)i, 1.0 / (double)spaces};
    return count;
}

/* The first of the scenarios that lose most by the closure; weight 0: none loses. */
static scenario plain_worst(const coaming_ship *s, coaming_query q, coaming_measure m, int c)
{
    scenario list[MAX_SPACES + 8], worst = {COAMING_WATER, COAMING_SEA, 0};
    double most = 0;
    for (int h = 0; h < COAMING_HAZARDS; h++) {
        size_t count = plain_scenarios(s, (coaming_hazard)h, list);
        for (size_t i = 0; i < count; i++) {
            bool exposed[MAX_SPACES];
            double loss = 0;
            world w = {(coaming_hazard)h,
                       level_of(s, q.level, list[i].source),
                       q.condition,
                       false,
                       -1,
                       false};
            plain_exposed(s, c, list[i].source, w, exposed);
            for (size_t j = 0; j < s->space_count; j++)
                loss += exposed[j] ? measure_of(&s->spaces[j], m, &w) : 0;
            if (list[i].weight * loss > most) {
                most = list[i].weight * loss;
                worst = list[i];
            }
        }
    }
    return worst;
}

static double plain_consequence(const coaming_ship *s, coaming_query q, coaming_measure m,
                                coaming_hazard h, int c)
{
    scenario list[MAX_SPACES + 8];
    size_t count = plain_scenarios(s, h, list);
    double sum = 0;
    for (size_t i = 0; i < count; i++) {
        bool exposed[MAX_SPACES];
        world w = {h, level_of(s, q.level, list[i].source), q.condition, false, -1, false};
        plain_exposed(s, c, list[i].source, w, exposed);
        for (size_t j = 0; j < s->space_count; j++)
            if (exposed[j])
                sum += list[i].weight * measure_of(&s->spaces[j], m, &w);
    }
    return sum;
}

static void check_rank(const coaming_ship *s, coaming_query q, coaming_measure m)
{
    coaming_ranking *k = NULL;
    MUST_EQ(coaming_ranking_new(s, q, m, &k, NULL), COAMING_OK);
    MUST_EQ(coaming_ranking_count(k), s->closure_count);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        for (int h = 0; h < COAMING_HAZARDS; h++) {
            double wanted =
                q.hazard[h] ? plain_consequence(s, q, m, (coaming_hazard)h, row->closure) : 0;
            /* sums of up to 20 products of numbers below 100, grouped otherwise */
            MUST_NEAR(row->part[h], wanted, 1e-10);
        }
        if (i > 0) {
            const coaming_rank *before = coaming_ranking_get(k, i - 1);
            MUST(before->consequence + 1e-9 >= row->consequence);
            if (before->consequence == row->consequence)
                MUST(before->closure < row->closure);
        }
        const int *spaces = NULL;
        size_t count = 0;
        MUST_EQ(coaming_ranking_exposes(k, i, &spaces, &count, NULL), COAMING_OK);
        MUST_EQ(row->has_worst, row->consequence > 0);
        bool expected[MAX_SPACES] = {false};
        if (row->has_worst && m != COAMING_MEASURE_VOLUME) { /* whole numbers: no rounding */
            scenario worst = plain_worst(s, q, m, row->closure);
            MUST(worst.weight > 0);
            MUST_EQ(worst.hazard, row->worst_hazard);
            MUST_EQ(worst.source, row->worst_source);
        }
        if (row->has_worst) {
            world w = {row->worst_hazard,
                       level_of(s, q.level, row->worst_source),
                       q.condition,
                       false,
                       -1,
                       false};
            plain_exposed(s, row->closure, row->worst_source, w, expected);
        }
        same_set(s, expected, spaces, count);
    }
    coaming_ranking_free(k);
}

START_TEST(expose_and_rank_agree_with_plain_enumeration)
{
    char *text = random_arrangement((uint64_t)_i, MAX_SPACES, MAX_LINKS);
    coaming_ship *s = NULL;
    coaming_error error;
    coaming_status status = ship_from_text(text, NULL, NULL, &s, &error);
    ck_assert_msg(status == COAMING_OK, "ship %d: %s", _i, status ? error.message : "");
    for (int condition = -1; condition < 2; condition++) {
        for (int l = 0; l < 3; l++) {
            coaming_query q = coaming_query_default();
            q.condition = condition;
            q.level.kind = (coaming_level_kind)l;
            q.level.height = 2 + _i % 4;
            check_expose(s, q);
            check_rank(s, q,
                       (coaming_measure)((_i + l + condition + 1) % COAMING_MEASURE_FREEBOARD));
        }
    }
    ck_assert_int_eq(graph_left_over(), 0);
    coaming_ship_free(s);
    free(text);
}
END_TEST

/* The row of a closure that is looked at first is its own, and no other of its rows, or of those with the
 * source, exposes more. And a side is only said to be dry if no part of it lies below the water. */
START_TEST(the_row_looked_at_first_exposes_most)
{
    char *text = random_arrangement((uint64_t)_i, 9, 16);
    coaming_ship *s = NULL;
    coaming_exposure *e = NULL;
    coaming_query query = coaming_query_default();
    size_t chosen = SIZE_MAX;
    MUST(ship_from_text(text, NULL, NULL, &s, NULL) == COAMING_OK);
    query.level = (coaming_level){.kind = COAMING_LEVEL_AT, .height = 2.5};
    MUST(coaming_exposure_new(s, query, NULL, 0, &e, NULL) == COAMING_OK);
    size_t rows = coaming_exposure_row_count(e);
    for (int closure = 0; closure < (int)s->closure_count; closure++) {
        const coaming_place sides[] = {s->links[closure].a, s->links[closure].b};
        for (int side = -1; side < 2; side++) {
            coaming_exposure_row best, row;
            const coaming_place *source = side < 0 ? NULL : &sides[side];
            MUST(coaming_exposure_choose(e, closure, source, &chosen, NULL) == COAMING_OK);
            MUST(chosen < rows);
            MUST(coaming_exposure_row_get(e, chosen, &best, NULL) == COAMING_OK);
            MUST_EQ(best.closure, closure);
            MUST(!source || best.source == *source);
            double worth = best.worth;
            for (size_t i = 0; i < rows; i++) {
                MUST(coaming_exposure_row_get(e, i, &row, NULL) == COAMING_OK);
                bool own = row.closure == closure && (!source || row.source == *source);
                MUST(!own || row.worth <= worth);
                MUST(row.note != COAMING_NOTE_SOURCE_DRY ||
                     s->spaces[row.source].bottom >= row.level);
                MUST(row.note != COAMING_NOTE_FAR_DRY || row.source < 0 ||
                     s->spaces[row.source].bottom < row.level);
            }
        }
    }
    MUST(coaming_exposure_choose(e, (int)s->closure_count, NULL, &chosen, NULL) == COAMING_USAGE);
    coaming_exposure_free(e);
    coaming_ship_free(s);
    free(text);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("oracle");
    TCase *all = tcase_create("random ships");
    tcase_add_loop_test(all, expose_and_rank_agree_with_plain_enumeration, 0, SHIPS);
    tcase_add_loop_test(all, the_row_looked_at_first_exposes_most, 0, 30);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
