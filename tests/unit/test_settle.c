/*
 * Flooding and floating by turns, against plain enumeration on random ships.
 *
 * The oracle starts afresh for each closure, source and answer, spreads over all links until
 * nothing changes, asks how she then floats (flotation is checked elsewhere), and goes round again;
 * it knows nothing of bases, pruning or kept results.
 */
#include <check.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/breaches.h"
#include "analyse/flotation/settle.h"
#include "analyse/ranking/ranking.h"
#include "coaming/flotation.h"
#include "runner.h"
#include "ships.h"

enum { MAX_SPACES = 12, SHIPS = 150 };

#define MUST(claim) CLAIM(claim, "ship %d: %s", number_of_ship, #claim)

#define FAILED "<test date=\"2026-05-01\" method=\"hose\" result=\"fail\"/>"

static int number_of_ship;

/* A box ship of three by two by two spaces, some left out, and links at every height. */
static char *random_ship(int number)
{
    dice d = {(uint64_t)number * 77 + 5};
    char *text = NULL;
    size_t size;
    int n = 0;
    FILE *out = open_memstream(&text, &size);
    fprintf(out,
            "<arrangement xmlns=\"urn:coaming:arrangement:1\" name=\"T\"><ship length=\"60\" "
            "beam=\"12\""
            " depth=\"7\" draft=\"%d.%d\" kg=\"4.%d\"/>",
            2 + dice_below(&d, 2), dice_below(&d, 10), dice_below(&d, 8));
    for (int i = 0; i < MAX_SPACES; i++) {
        if (dice_below(&d, 5) == 0)
            continue;
        int x = i % 3 * 20, y = i / 3 % 2 ? 0 : -6, z = i / 6 * 3;
        fprintf(out,
                "<space id=\"s%d\" name=\"n\" permeability=\"0.%d\" worth=\"%d\" people=\"%d\"%s>"
                "<box x=\"%d %d\" y=\"%d %d\" z=\"%d %d\"/></space>",
                n++, 1 + dice_below(&d, 9), dice_below(&d, 6), dice_below(&d, 3),
                dice_below(&d, 2) ? " shell=\"yes\"" : "", x, x + 20, y, y + 6, z, z + 3);
    }
    if (n == 0)
        fprintf(out, "<space id=\"s%d\" name=\"n\"><box x=\"0 9\" y=\"-6 6\" z=\"0 3\"/></space>",
                n++);
    for (int l = dice_below(&d, 20), k = 0; k < l; k++) {
        static const char *const ratings[] = {"watertight", "weathertight", "watertight",
                                              "nontight"};
        static const char *const tests[] = {"", "pass", "fail"};
        int a = dice_below(&d, n), b = dice_below(&d, n + 3) - 2, test = dice_below(&d, 3);
        if (a == b)
            continue;
        fprintf(out, "<closure id=\"c%d\" kind=\"door\" rating=\"%s\" between=\"s%d ", k,
                ratings[dice_below(&d, 4)], a);
        if (b < 0)
            fputs(b == -1 ? "sea" : "weather", out);
        else
            fprintf(out, "s%d", b < n ? b : a ? 0 : n > 1);
        fprintf(
            out,
            "\"><clear x=\"%d\" y=\"%d\" z=\"%d.%d\" width=\"0.6\" height=\"1\" lies=\"deck\"/>",
            dice_below(&d, 60), dice_below(&d, 12) - 6, dice_below(&d, 7), dice_below(&d, 10));
        if (test)
            fprintf(out, "<test date=\"2026-05-05\" method=\"chalk\" result=\"%s\"/>", tests[test]);
        fputs("</closure>", out);
    }
    fputs("</arrangement>", out);
    fclose(out);
    return text;
}

typedef struct {
    coaming_place source;
    bool untested_pass;
    int forced;
    bool forced_passes;
    const bool *decided; /* by link, whatever its state; NULL: as it stands */
    int also;            /* a second source + 1, 0: none */
} state;

typedef struct {
    bool wet[MAX_SPACES];
    coaming_float at;
    size_t afloat; /* how many were wet when she last floated */
} rest;

static bool passes(const coaming_ship *s, int l, const state *w)
{
    const ship_link *k = &s->links[l];
    if (l == w->forced)
        return w->forced_passes;
    if (w->decided)
        return w->decided[l];
    if (k->rating == NONTIGHT || k->rating == WEATHERTIGHT)
        return true;
    coaming_result r = coaming_closure_result(s, l);
    return r == COAMING_FAIL || (r == COAMING_UNTESTED && w->untested_pass);
}

static bool lost(const coaming_float *at)
{
    return at->afloat != COAMING_AFLOAT_YES;
}

static bool reaches(const coaming_ship *s, int space, const coaming_float *at)
{
    const solid *b = s->spaces[space].solids;
    for (int c = 0; c < 8 && !lost(at); c++)
        if (at->normal[0] * (c & 1 ? b->x1 : b->x0) + at->normal[1] * (c & 2 ? b->y1 : b->y0) +
                at->normal[2] * (c & 4 ? b->z1 : b->z0) <
            at->height)
            return true;
    return lost(at);
}

static size_t wet_count(const coaming_ship *s, const rest *r)
{
    size_t count = 0;
    for (size_t i = 0; i < s->space_count; i++)
        count += r->wet[i];
    return count;
}

/* from: the state to go on from, or NULL. */
static rest plain_rest(const coaming_ship *s, coaming_flotation *f, state w, const rest *from)
{
    rest r = {{false}, {0}, 0};
    if (from)
        r = *from;
    else
        MUST(coaming_flotation_solve(f, r.wet, &r.at, NULL) == COAMING_OK);
    for (bool deeper = true; deeper;) {
        bool grown = true;
        deeper = false;
        while (grown) {
            grown = false;
            if (w.source >= 0 && !r.wet[w.source] && reaches(s, w.source, &r.at))
                grown = r.wet[w.source] = true;
            if (w.also && !r.wet[w.also - 1] && reaches(s, w.also - 1, &r.at))
                grown = r.wet[w.also - 1] = true;
            for (size_t l = 0; l < s->link_count; l++) {
                const ship_link *k = &s->links[l];
                if (!passes(s, (int)l, &w) ||
                    (!lost(&r.at) && !(coaming_float_height(s, &r.at, (int)l) < 0)))
                    continue;
                bool a = k->a < 0 || r.wet[k->a], b = k->b < 0 || r.wet[k->b];
                coaming_place to = a && !b ? k->b : b && !a ? k->a : COAMING_SEA;
                if (to >= 0 && reaches(s, to, &r.at))
                    grown = r.wet[to] = true;
            }
            deeper = deeper || grown;
        }
        if (lost(&r.at))
            break;
        r.afloat = wet_count(s, &r);
        MUST(coaming_flotation_solve(f, r.wet, &r.at, NULL) == COAMING_OK);
    }
    return r;
}

static double worth_of(const coaming_ship *s, const rest *r)
{
    double worth = 0;
    for (size_t i = 0; i < s->space_count; i++)
        worth += r->wet[i] ? s->spaces[i].worth : 0;
    return worth;
}

static void same_list(const coaming_ship *s, const rest *with, const rest *without, const int *list,
                      size_t count)
{
    size_t at = 0;
    for (size_t i = 0; i < s->space_count; i++) {
        if (!with->wet[i] || without->wet[i])
            continue;
        MUST(at < count && list[at] == (int)i);
        at++;
    }
    MUST(at == count);
}

/* What would pass, from a space that the closure exposes to where no water is, and lies above the water: it is named with
 * its height. */
static void check_border(const coaming_ship *s, coaming_exposure *e, const state *w,
                         const rest *with, const rest *without)
{
    const coaming_border *border = NULL;
    size_t count = 0;
    MUST(coaming_exposure_border(e, &border, &count, NULL) == COAMING_OK);
    for (int l = 0; l < (int)s->link_count && !lost(&with->at); l++) {
        const int ends[] = {s->links[l].a, s->links[l].b};
        double height = coaming_float_height(s, &with->at, l);
        for (int i = 0; i < 2 && l != w->forced && passes(s, l, w) && height >= 0; i++) {
            int here = ends[i], beyond = ends[1 - i];
            bool named = false;
            if (here < 0 || !with->wet[here] || without->wet[here] ||
                (beyond >= 0 && with->wet[beyond]))
                continue;
            for (size_t b = 0; b < count; b++)
                named =
                    named || (border[b].link == l && border[b].kept == COAMING_KEPT_BY_HEIGHT &&
                              border[b].beyond == beyond && fabs(border[b].height - height) < 1e-9);
            MUST(named);
        }
    }
}

static void check_expose(const coaming_ship *s, coaming_flotation *f)
{
    coaming_exposure *e = NULL;
    MUST(coaming_exposure_new(s, at_equilibrium(), NULL, 0, &e, NULL) == COAMING_OK);
    for (size_t i = 0; i < coaming_exposure_row_count(e); i++) {
        coaming_exposure_row row;
        MUST(coaming_exposure_row_get(e, i, &row, NULL) == COAMING_OK);
        for (int untested = 0; untested < 2; untested++) {
            state w = {row.source, untested == 1, row.closure, false, NULL, 0};
            rest without = plain_rest(s, f, w, NULL);
            w.forced_passes = true;
            rest with = plain_rest(s, f, w, &without);
            /* one more way for the water never floods fewer spaces */
            for (size_t p = 0; p < s->space_count; p++)
                MUST(with.wet[p] || !without.wet[p]);
            if (untested) {
                same_list(s, &with, &without, row.exposed_if_untested_leak,
                          row.exposed_if_untested_leak_count);
                continue;
            }
            same_list(s, &with, &without, row.exposed, row.exposed_count);
            MUST(row.afloat == !lost(&with.at));
            MUST(!row.afloat || fabs(row.level - with.at.draught) < 1e-9);
            MUST((row.note == COAMING_NOTE_NONE) == (row.exposed_count > 0));
            check_border(s, e, &w, &with, &without);
        }
    }
    coaming_exposure_free(e);
}

static void check_rank(const coaming_ship *s, coaming_flotation *f, coaming_measure measure)
{
    coaming_ranking *k = NULL;
    int shell = 0;
    for (size_t i = 0; i < s->space_count; i++)
        shell += s->spaces[i].shell;
    MUST(coaming_ranking_new(s, at_equilibrium(), measure, &k, NULL) == COAMING_OK);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        double wanted = 0;
        bool sinks = false;
        for (int p = -1; p < (int)s->space_count; p++) {
            if (p >= 0 && !s->spaces[p].shell)
                continue;
            state w = {p, false, row->closure, false, NULL, 0};
            rest without = plain_rest(s, f, w, NULL);
            w.forced_passes = true;
            rest with = plain_rest(s, f, w, &without);
            double weight = p < 0 ? 1 : 1.0 / shell,
                   loss = worth_of(s, &with) - worth_of(s, &without);
            if (measure == COAMING_MEASURE_FREEBOARD)
                loss = (lost(&without.at) ? -s->depth : fmax(without.at.freeboard, -s->depth)) -
                       (lost(&with.at) ? -s->depth : fmax(with.at.freeboard, -s->depth));
            wanted += weight * loss;
            sinks = sinks || (lost(&with.at) && !lost(&without.at));
        }
        MUST(fabs(row->consequence - wanted) < 1e-8);
        MUST(row->lost == sinks);
        const int *spaces = NULL;
        size_t count = 0;
        MUST(coaming_ranking_exposes(k, i, &spaces, &count, NULL) == COAMING_OK);
        MUST(!row->has_worst || measure != COAMING_MEASURE_WORTH || count > 0);
    }
    coaming_ranking_free(k);
}

static void same_state(const coaming_ship *s, const settled *found, const rest *wanted)
{
    MUST(found->count == wet_count(s, wanted));
    MUST(found->afloat_count == wanted->afloat);
    for (size_t i = 0; i < found->count; i++)
        MUST(wanted->wet[found->spaces[i]]);
    MUST(lost(&found->at) == lost(&wanted->at));
    MUST(lost(&found->at) || fabs(found->at.draught - wanted->at.draught) < 1e-9);
}

/* Links decided by dice; then, from what came of it, others let water on. */
static void check_decided(const coaming_ship *s, coaming_flotation *f)
{
    dice d = {(uint64_t)number_of_ship + 1};
    bool passing[64];
    settler *t = NULL;
    MUST(s->link_count <= 64 &&
         settler_new(s, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL) == COAMING_OK);
    for (int round = 0; round < 8; round++) {
        coaming_place source = dice_below(&d, (int)s->space_count + 1) - 1;
        arena memory = {0};
        settled before;
        const settled *found = NULL;
        rest wanted;
        for (int turn = 0; turn < 3; turn++) {
            for (size_t l = 0; l < s->link_count; l++)
                passing[l] = dice_below(&d, 2);
            state w = {source, false, -1, false, passing, 0};
            settler_links links = {passing, &source, 1};
            wanted = plain_rest(s, f, w, turn ? &wanted : NULL);
            MUST(settler_on(t, turn ? &before : NULL, &links, &found, NULL) == COAMING_OK);
            same_state(s, found, &wanted);
            for (size_t i = 0; turn && i < before.count; i++)
                MUST(found->spaces[i] == before.spaces[i]);
            MUST(settled_keep(found, &memory, &before, NULL) == COAMING_OK);
            for (size_t i = 0; i < s->space_count; i++)
                MUST(settler_flooded(t)[i] == wanted.wet[i]);
        }
        arena_free(&memory);
    }
    settler_free(t);
}

/* What she comes to with each closure holding after a breach of one space or two, and which save her,
 * asked of many breaches in turn. */
static void check_saves(const coaming_ship *s, coaming_flotation *f)
{
    settler *t = NULL;
    MUST(settler_new(s, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL) == COAMING_OK);
    for (int one = 0; one < (int)s->space_count; one++)
        for (int two = one; two < (int)s->space_count; two++)
            for (int l = 0; l < (int)s->closure_count; l++) {
                bool untested = (one + two + l) % 2, saves = false;
                const int spaces[] = {one, two};
                state w = {one, untested, l, false, NULL, two == one ? 0 : two + 1};
                rest wanted = plain_rest(s, f, w, NULL);
                const settled *held = NULL;
                coaming_answer answer = untested ? COAMING_UNTESTED_LEAK : COAMING_AS_TESTED;
                MUST(settler_breach(t, spaces, two == one ? 1 : 2, answer, l, &held, NULL) ==
                     COAMING_OK);
                same_state(s, held, &wanted);
                MUST(settler_saves(t, spaces, two == one ? 1 : 2, answer, l, &saves, NULL) ==
                     COAMING_OK);
                MUST(saves == !lost(&wanted.at));
            }
    settler_free(t);
}

START_TEST(settling_agrees_with_plain_enumeration)
{
    number_of_ship = _i;
    char *text = random_ship(_i);
    coaming_ship *s = NULL;
    coaming_flotation *f = NULL;
    coaming_error error;
    coaming_status status = ship_from_text(text, NULL, NULL, &s, &error);
    ck_assert_msg(status == COAMING_OK, "ship %d: %s", _i, status ? error.message : "");
    status = coaming_flotation_new(s, COAMING_NO_LOADING, &f, &error);
    if (status == COAMING_OK) { /* else she capsizes undamaged: some of them do */
        check_expose(s, f);
        check_rank(s, f, _i % 2 ? COAMING_MEASURE_WORTH : COAMING_MEASURE_FREEBOARD);
        check_decided(s, f);
        check_saves(s, f);
    } else {
        MUST(status == COAMING_INPUT);
    }
    coaming_flotation_free(f);
    coaming_ship_free(s);
    free(text);
}
END_TEST

static void check_alike(const coaming_stability *a, const coaming_stability *b)
{
    ck_assert_int_eq(a->grade, b->grade);
    ck_assert_mem_eq(a->passed, b->passed, sizeof a->passed);
    ck_assert_double_eq(a->s, b->s);
    ck_assert_int_eq(a->flooding_opening, b->flooding_opening);
    ck_assert_double_eq(a->righting.range, b->righting.range);
    ck_assert_double_eq(a->righting.greatest, b->righting.greatest);
    ck_assert_int_eq(a->arm_count, b->arm_count);
}

/* One set in one state: what `kept` says, after all that it was asked before, against a flotation
 * that was asked nothing yet. */
static void check_grade(coaming_flotation *kept, const bool *flooded, const grade_terms *terms)
{
    coaming_flotation *fresh = NULL;
    coaming_float at[2];
    coaming_stability stability[2];
    ck_assert_int_eq(coaming_flotation_new(kept->ship, COAMING_NO_LOADING, &fresh, NULL),
                     COAMING_OK);
    for (int i = 0; i < 2; i++) {
        coaming_flotation *f = i ? fresh : kept;
        ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at[i], NULL), COAMING_OK);
        ck_assert_int_eq(flotation_grade(f, flooded, &at[i], terms, &stability[i], NULL),
                         COAMING_OK);
    }
    ck_assert_int_eq(at[0].afloat, at[1].afloat);
    ck_assert_int_eq(at[0].loll, at[1].loll);
    ck_assert(at[0].heel == at[1].heel || at[0].afloat != COAMING_AFLOAT_YES);
    check_alike(&stability[0], &stability[1]);
    coaming_flotation_free(fresh);
}

/* Two of four spaces are open to the sea, one between them and one beside them is not. Of the passages that lead on the
 * one whose edge lies lowest floods her first as she heels, and when is the same in whatever order the
 * spaces are listed. Freehand: sill 3.2 m up, 3 m off the centre line, at a draught of some 2.2 m. */
START_TEST(every_flooded_space_has_its_openings)
{
    static const char *const spaces[] = {"a", "b", "c", "d"};
    static const char sills[][4] = {"4.4", "4.5", "3.2"};
    static const int orders[][4] = {{0, 1, 2, 3}, {3, 2, 1, 0}, {1, 3, 0, 2}, {2, 0, 3, 1}};
    double angle = NAN;
    for (int i = 0; i < 4; i++) {
        char parts[4000] = "";
        bool flooded[4] = {false};
        for (int k = 0; k < 4; k++) {
            int s = orders[i][k];
            flooded[k] = s == 0 || s == 2;
            snprintf(parts + strlen(parts), sizeof parts - strlen(parts),
                     "<space id=\"%s\" name=\"S\" permeability=\"0.2\"><box x=\"%d %d\" y=\"-4 4\" "
                     "z=\"0 "
                     "5\"/></space>",
                     spaces[s], 10 * s, 10 * s + 10);
        }
        for (int k = 0; k < 3; k++)
            snprintf(parts + strlen(parts), sizeof parts - strlen(parts),
                     "<passage id=\"P%d\" kind=\"duct\" between=\"%s %s\"><clear x=\"%d\" y=\"3\" "
                     "z=\"%s\" "
                     "width=\"0.2\" height=\"0.2\" lies=\"transverse\"/></passage>",
                     k, spaces[k], spaces[k + 1], 10 * k + 10, sills[k]);
        coaming_ship *s =
            ship_from_parts("length=\"40\" beam=\"8\" depth=\"5\" draft=\"2\" kg=\"2\"", parts);
        coaming_flotation *f = NULL;
        coaming_float at;
        coaming_stability stability;
        const grade_terms terms = {COAMING_NO_CONDITION, COAMING_AS_BUILT, ARMS_ALL, NULL, NULL};
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
        ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
        ck_assert_int_eq(at.afloat, COAMING_AFLOAT_YES);
        ck_assert_int_eq(flotation_grade(f, flooded, &at, &terms, &stability, NULL), COAMING_OK);
        ck_assert_int_eq(stability.flooding_opening, 2);
        ck_assert_double_eq_tol(stability.flooding_angle, 18, 3);
        ck_assert(i == 0 || fabs(stability.flooding_angle - angle) < 1e-6);
        angle = stability.flooding_angle;
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* Upright she may go to either side, and the worse one counts: an opening floods her at the same angle on whichever side
 * it is, 4 m off the centre line and 5 m up at a draught of 2.7 m: atan(2.3/4) = 30 degrees. */
START_TEST(an_opening_floods_her_on_either_side)
{
    static const char *const sides[] = {"4", "-4"};
    double angle = NAN;
    for (int i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts,
                 "<space id=\"w\" name=\"W\"><box x=\"10 30\" y=\"-5 5\" z=\"1 6\"/></space>"
                 "<space id=\"t\" name=\"T\" permeability=\"1\"><box x=\"10 30\" y=\"-2 2\" z=\"0 "
                 "1\"/></space>"
                 "<passage id=\"V\" kind=\"duct\" between=\"w weather\"><clear x=\"20\" y=\"%s\" "
                 "z=\"5\" "
                 "width=\"0.2\" height=\"0.2\" lies=\"deck\"/></passage>",
                 sides[i]);
        coaming_ship *s =
            ship_from_parts("length=\"40\" beam=\"10\" depth=\"6\" draft=\"2.5\" kg=\"3\"", parts);
        coaming_flotation *f = NULL;
        coaming_float at;
        coaming_stability stability;
        const bool flooded[] = {false, true};
        const grade_terms terms = {COAMING_NO_CONDITION, COAMING_AS_BUILT, ARMS_ALL, NULL, NULL};
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
        ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
        ck_assert_int_eq(flotation_grade(f, flooded, &at, &terms, &stability, NULL), COAMING_OK);
        ck_assert_double_eq_tol(at.heel, 0, 1e-9);
        ck_assert_int_eq(stability.flooding_opening, 0);
        ck_assert_double_eq_tol(stability.flooding_angle, 30, 1);
        ck_assert(i == 0 || fabs(stability.flooding_angle - angle) < 1e-6);
        angle = stability.flooding_angle;
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* What an earlier course knew of a space is forgotten. In the first T comes to be flooded, last of two; in the second, aft, she
 * lies by the stern and T is dry, though an opening from S leads there under water. The door to S keeps S dry all the same. */
START_TEST(a_course_knows_nothing_of_those_before_it)
{
    enum { F, T, A, B, S };
    coaming_ship *s = ship_from_parts(
        "length=\"60\" beam=\"12\" depth=\"7\" draft=\"2.5\" kg=\"3\"",
        "<space id=\"f\" name=\"F\"><box x=\"48 60\" y=\"-6 6\" z=\"0 3\"/></space>"
        "<space id=\"t\" name=\"T\"><box x=\"50 60\" y=\"-6 6\" z=\"3 5\"/></space>"
        "<space id=\"a\" name=\"A\"><box x=\"0 4\" y=\"-6 6\" z=\"0 3\"/></space>"
        "<space id=\"b\" name=\"B\"><box x=\"4 8\" y=\"-6 6\" z=\"0 3\"/></space>"
        "<space id=\"s\" name=\"S\"><box x=\"8 12\" y=\"-6 6\" z=\"0 3\"/></space>"
        "<closure id=\"C\" kind=\"door\" rating=\"watertight\" between=\"a b\"><clear x=\"4\" "
        "y=\"0\" "
        "z=\"1\" width=\"0.7\" height=\"1\" lies=\"transverse\"/>" FAILED "</closure>"
        "<closure id=\"D\" kind=\"door\" rating=\"watertight\" between=\"b s\"><clear x=\"8\" "
        "y=\"0\" "
        "z=\"1\" width=\"0.7\" height=\"1\" lies=\"transverse\"/>" FAILED "</closure>"
        "<passage id=\"U\" kind=\"duct\" between=\"f t\"><clear x=\"55\" y=\"0\" z=\"3\" "
        "width=\"0.2\" height=\"0.2\" lies=\"deck\"/></passage>"
        "<passage id=\"V\" kind=\"duct\" between=\"s t\"><clear x=\"1\" y=\"0\" z=\"2.4\" "
        "width=\"0.2\" height=\"0.2\" lies=\"deck\"/></passage>");
    settler *t = NULL;
    const settled *held = NULL, *passing = NULL;
    ck_assert_int_eq(settler_new(s, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    ck_assert_int_eq(settler_pair(t, F, false, 0, &held, &passing, NULL), COAMING_OK);
    ck_assert(passing->count == 2 && settler_among(t, passing, T));
    ck_assert_int_eq(settler_pair(t, A, false, 1, &held, &passing, NULL), COAMING_OK);
    ck_assert(passing->count == 3 && settler_among(t, passing, S));
    ck_assert(held->count == 2 && !settler_among(t, held, S) && settler_among(t, held, B));
    const settled *other = NULL; /* neither at hand nor of the last source */
    ck_assert_int_eq(settler_base(t, F, false, &other, NULL), COAMING_OK);
    ck_assert(settler_among(t, other, T) && !settler_among(t, other, A));
    settler_free(t);
    coaming_ship_free(s);
}
END_TEST

/* A house on deck above a flooded space takes no buoyancy and leads to none: the way up to it floods her at no angle. */
START_TEST(what_leads_to_no_dry_space_of_the_hull_floods_nothing)
{
    coaming_ship *s =
        ship_from_parts("length=\"40\" beam=\"10\" depth=\"6\" draft=\"2.5\" kg=\"3\"",
                        "<space id=\"h\" name=\"H\" permeability=\"0.5\"><box x=\"15 25\" y=\"-5 "
                        "5\" z=\"0 6\"/></space>"
                        "<space id=\"d\" name=\"D\"><box x=\"25 35\" y=\"-5 5\" z=\"0 6\"/></space>"
                        "<space id=\"k\" name=\"K\"><box x=\"15 25\" y=\"-5 5\" z=\"6 8\"/></space>"
                        "<passage id=\"V\" kind=\"duct\" between=\"h k\"><clear x=\"20\" y=\"4\" "
                        "z=\"6\" width=\"0.2\" "
                        "height=\"0.2\" lies=\"deck\"/></passage>");
    coaming_flotation *f = NULL;
    coaming_float at;
    coaming_stability stability;
    const bool flooded[] = {true, false, false};
    const grade_terms terms = {COAMING_NO_CONDITION, COAMING_AS_BUILT, ARMS_ALL, NULL, NULL};
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
    ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
    ck_assert_int_eq(flotation_grade(f, flooded, &at, &terms, &stability, NULL), COAMING_OK);
    ck_assert_int_eq(at.afloat, COAMING_AFLOAT_YES);
    ck_assert_int_eq(stability.flooding_opening, -1);
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Righting arms are told from upright on, also where she floats heeled: they rise from there through 0 at her heel, by
 * even steps. A box of 40 x 10 m whose wing is open to the sea, to port and to starboard. */
START_TEST(arms_are_told_from_upright_on)
{
    static const char *const wings[] = {"y=\"2 5\"", "y=\"-5 -2\""};
    double first = NAN;
    for (int i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(
            parts, sizeof parts,
            "<space id=\"w\" name=\"W\" permeability=\"1\"><box x=\"13 27\" %s z=\"0 6\"/></space>",
            wings[i]);
        coaming_ship *s =
            ship_from_parts("length=\"40\" beam=\"10\" depth=\"6\" draft=\"2.5\" kg=\"3\"", parts);
        coaming_flotation *f = NULL;
        coaming_float at;
        coaming_stability stability;
        const bool flooded[] = {true};
        const grade_terms terms = {COAMING_NO_CONDITION, COAMING_AS_BUILT, ARMS_ALL, NULL, NULL};
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
        ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
        ck_assert_int_eq(flotation_grade(f, flooded, &at, &terms, &stability, NULL), COAMING_OK);
        const coaming_righting_arm *arm = stability.righting.arm;
        double side = i ? -1 : 1, heel = side * at.heel;
        ck_assert_double_gt(heel, 11);
        ck_assert_double_lt(heel, 19);
        for (int k = 0; k < 4; k++) {
            ck_assert_double_eq_tol(arm[k].heel, side * 5 * k, 1e-12);
            ck_assert_int_eq(arm[k].gz > 0, 5 * k > heel);
            double rise = arm[k + 1].gz - arm[k].gz, next = arm[k + 2].gz - arm[k + 1].gz;
            ck_assert_double_gt(rise, 0);
            ck_assert_double_le(fabs(next - rise), 0.5 * rise);
        }
        ck_assert(i == 0 || fabs(arm[0].gz - first) < 1e-9);
        first = arm[0].gz;
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* All that is said of every breach, to the bit. */
static char *breaches_in_full(const coaming_ship *ship, unsigned threads)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    coaming_breaches *v = NULL;
    ck_assert_int_eq(breaches_by(ship, coaming_query_default(), true, threads, &v, NULL),
                     COAMING_OK);
    for (size_t i = 0; i < 3 * coaming_breaches_count(v); i++) {
        const coaming_breaches_case *c = coaming_breaches_get(v, i / 3);
        const coaming_breaches_answer *a = &c->answer[i % 3];
        ck_assert(a->at.afloat != COAMING_AFLOAT_YES || a->at.normal[2] > 0); /* it is answered */
        /* looked for from where she lies to where the curve ends */
        ck_assert(!(a->stability.flooding_angle > COAMING_HEEL_MOST) &&
                  !(a->stability.flooding_angle < fabs(a->at.heel) - 1e-6));
        fprintf(out, "%d %d: %d %a %a %a %a %a %a %a\n", c->space[0], c->space[1],
                (int)a->stability.grade, a->at.height, a->at.heel, a->at.gm, a->at.flooded_volume,
                a->range, a->greatest, a->s);
        for (size_t k = 0; k < a->flooded_count; k++)
            fprintf(out, " %d by %d", a->flooded[k].space, a->flooded[k].link);
        for (size_t k = 0; k < a->turned_by_count; k++)
            fprintf(out, " turned by %d", a->turned_by[k]);
    }
    ck_assert_uint_gt(coaming_breaches_count(v), 3 * 16);
    coaming_breaches_free(v);
    fclose(out);
    return text;
}

static char *ranking_in_full(const coaming_ship *ship, unsigned threads)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    coaming_ranking *k = NULL;
    ck_assert_int_eq(ranking_by(ship, at_equilibrium(), COAMING_MEASURE_VOLUME, threads, &k, NULL),
                     COAMING_OK);
    for (size_t i = 0; i < coaming_ranking_count(k); i++) {
        const coaming_rank *row = coaming_ranking_get(k, i);
        fprintf(out, "%d %a %d %a %d %d\n", row->closure, row->consequence, (int)row->worst_source,
                row->worst_loss, row->worst_scenario, row->lost);
    }
    coaming_ranking_free(k);
    fclose(out);
    return text;
}

static void same_by_any_threads(char *(*in_full)(const coaming_ship *ship, unsigned threads))
{
    coaming_ship *ship = ship_from_tree("examples/fathom-lark.xml");
    char *one = in_full(ship, 1);
    for (unsigned threads = 2; threads < 5; threads++) {
        char *more = in_full(ship, threads);
        ck_assert_str_eq(one, more);
        free(more);
    }
    free(one);
    coaming_ship_free(ship);
}

START_TEST(the_number_of_threads_is_of_no_account_to_a_ranking)
{
    same_by_any_threads(ranking_in_full);
}
END_TEST

START_TEST(the_number_of_threads_is_of_no_account)
{
    same_by_any_threads(breaches_in_full);
}
END_TEST

/* Each set is graded in every state, one after another and twice round, so that a grade kept for another
 * condition, answer, detail or closure held would be told for it. */
START_TEST(a_kept_grade_is_the_one_that_is_worked_out)
{
    coaming_ship *ship = ship_from_tree("examples/fathom-lark.xml");
    coaming_flotation *kept = NULL;
    ck_assert_int_eq(coaming_flotation_new(ship, COAMING_NO_LOADING, &kept, NULL), COAMING_OK);
    bool *flooded = calloc(ship->space_count, sizeof *flooded);
    bool *held = calloc(ship->link_count, sizeof *held);
    for (size_t l = 0; l < ship->link_count; l++)
        held[l] = true;
    size_t step = ship->space_count / 6;
    for (size_t s = 0; s < ship->space_count; s += step) {
        flooded[s] = s > 0; /* the first time none is */
        for (int i = 0; i < 48; i++) {
            int k = i / 3 % 8, gray = k ^ k >> 1; /* one thing changes at a time */
            grade_terms terms = {gray & 1 ? -1 : 0, (coaming_answer)(i % 3),
                                 gray & 2 ? ARMS_ENOUGH : ARMS_ALL, gray & 4 ? held : NULL, NULL};
            check_grade(kept, flooded, &terms);
        }
        flooded[s] = false;
    }
    free(held);
    free(flooded);
    coaming_flotation_free(kept);
    coaming_ship_free(ship);
}
END_TEST

/* Five spaces of 570 m3 in a box of 3000 m3 that weighs 1500 m3, four of them one behind the other by doors
 * that failed: she bears two open to the sea. From the first on, what holds with two before it saves her,
 * and with three before it does not, by volume alone. */
START_TEST(what_holds_too_late_saves_nobody)
{
    char parts[4000];
    size_t used = 0;
    for (int i = 0; i < 5; i++)
        used += (size_t)snprintf(parts + used, sizeof parts - used,
                                 "<space id=\"s%d\" name=\"S\" shell=\"yes\"><box x=\"%d %d\" "
                                 "y=\"-5 5\" z=\"0 6\"/></space>",
                                 i, 10 * i, 10 * i + 10);
    static const char *const ends[] = {"s2 s1", "s1 s3", "s3 s0"};
    for (int i = 0; i < 3; i++)
        used += (size_t)snprintf(parts + used, sizeof parts - used,
                                 "<closure id=\"D%d\" kind=\"door\" rating=\"watertight\" "
                                 "between=\"%s\"><clear x=\"20\" y=\"0\" z=\"0.5\" width=\"1\" "
                                 "height=\"1\" lies=\"transverse\"/>" FAILED "</closure>",
                                 i, ends[i]);
    coaming_ship *s =
        ship_from_parts("length=\"50\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"2.5\"", parts);
    settler *t = NULL;
    const int breached[] = {2};
    ck_assert_int_eq(settler_new(s, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    for (int closure = 0; closure < 3; closure++)
        for (int twice = 0; twice < 2; twice++) {
            bool saves = closure == 2;
            ck_assert_int_eq(
                settler_saves(t, breached, 1, COAMING_AS_TESTED, closure, &saves, NULL),
                COAMING_OK);
            ck_assert_int_eq(saves, closure < 2);
        }
    settler_free(t);
    coaming_ship_free(s);
}
END_TEST

/* Two planes are one if all numbers are. */
START_TEST(a_water_plane_is_its_four_numbers)
{
    const coaming_float one = {.normal = {0.1, 0.2, 0.9}, .height = 3};
    ck_assert(same_water_plane(&one, &one));
    for (int i = 0; i < 4; i++) {
        coaming_float other = one;
        *(i < 3 ? &other.normal[i] : &other.height) += 1e-15;
        ck_assert(!same_water_plane(&one, &other));
        ck_assert(!same_water_plane(&other, &one));
    }
}
END_TEST

/* With no memory to keep anything in, and with too little for one set, she floats and is graded the same. */
START_TEST(what_is_not_kept_is_worked_out_again)
{
    static const size_t most[] = {0, 10, 5000};
    coaming_ship *ship = ship_from_tree("examples/barge.xml");
    coaming_flotation *kept = NULL;
    bool *flooded = calloc(ship->space_count, sizeof *flooded);
    ck_assert_int_eq(coaming_flotation_new(ship, COAMING_NO_LOADING, &kept, NULL), COAMING_OK);
    for (int i = 0; i < 3; i++) {
        coaming_flotation *bare = NULL;
        ck_assert_int_eq(coaming_flotation_new(ship, COAMING_NO_LOADING, &bare, NULL), COAMING_OK);
        kept_bound(bare, most[i]);
        for (size_t s = 0; s < ship->space_count; s++)
            for (int twice = 0; twice < 2; twice++) {
                coaming_float a, b;
                coaming_stability one, two;
                flooded[s] = true;
                MUST(coaming_flotation_solve(kept, flooded, &a, NULL) == COAMING_OK);
                MUST(coaming_flotation_solve(bare, flooded, &b, NULL) == COAMING_OK);
                ck_assert_mem_eq(&a, &b, sizeof a);
                MUST(coaming_flotation_grade(kept, flooded, &a, COAMING_NO_CONDITION,
                                             COAMING_AS_TESTED, &one, NULL) == COAMING_OK);
                MUST(coaming_flotation_grade(bare, flooded, &b, COAMING_NO_CONDITION,
                                             COAMING_AS_TESTED, &two, NULL) == COAMING_OK);
                check_alike(&one, &two);
                flooded[s] = false;
            }
        coaming_flotation_free(bare);
    }
    free(flooded);
    coaming_flotation_free(kept);
    coaming_ship_free(ship);
}
END_TEST

/* What is settled from a source stays, whatever is asked besides; and to go on from a state is the same
 * from the state itself and from a copy of it. */
START_TEST(states_of_a_settler)
{
    coaming_ship *s = ship_from_tree("examples/barge.xml");
    settler *t = NULL;
    const settled *first = NULL, *again = NULL, *a = NULL, *b = NULL;
    settled copy, last;
    arena memory = {NULL};
    bool *passes = calloc(s->link_count, sizeof *passes), *none = calloc(s->link_count, 1);
    coaming_place source[] = {1};
    settler_links shut = {none, source, 1}, open = {passes, source, 1};
    for (size_t l = 0; l < s->link_count; l++)
        passes[l] = true;
    ck_assert_int_eq(settler_new(s, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    ck_assert_int_eq(settler_base(t, 1, true, &first, NULL), COAMING_OK);
    ck_assert_uint_ge(first->count, 1);
    for (int space = 0; space < (int)s->space_count; space++) {
        bool there = false;
        for (size_t i = 0; i < first->count; i++)
            there = there || first->spaces[i] == space;
        ck_assert_int_eq(settler_among(t, first, space), there);
    }
    ck_assert(settler_among(t, first, COAMING_SEA));
    ck_assert_int_eq(settler_on(t, NULL, &shut, &a, NULL), COAMING_OK);
    ck_assert_int_eq(settled_keep(a, &memory, &copy, NULL), COAMING_OK);
    ck_assert_int_eq(settler_on(t, a, &open, &b, NULL), COAMING_OK);
    ck_assert_int_eq(settled_keep(b, &memory, &last, NULL), COAMING_OK);
    ck_assert_uint_gt(last.count, copy.count);
    ck_assert_int_eq(settler_on(t, &copy, &open, &b, NULL), COAMING_OK);
    ck_assert_uint_eq(b->count, last.count);
    ck_assert_mem_eq(b->spaces, last.spaces, last.count * sizeof *last.spaces);
    ck_assert_mem_eq(&b->at, &last.at, sizeof last.at);
    ck_assert_int_eq(settler_base(t, 1, true, &again, NULL), COAMING_OK);
    ck_assert_ptr_eq(first, again);
    arena_free(&memory);
    free(passes);
    free(none);
    settler_free(t);
    coaming_ship_free(s);
}
END_TEST

/* What keeps water out by its make does so as built; once a test found it failed it does not. */
START_TEST(what_is_protected_and_failed_holds_as_built_alone)
{
    coaming_ship *s =
        ship_from_parts("length=\"40\" beam=\"10\" depth=\"6\" draft=\"2.5\" kg=\"3\"",
                        "<space id=\"w\" name=\"W\"><box x=\"10 30\" y=\"-5 5\" z=\"0 6\"/></space>"
                        "<closure id=\"V\" kind=\"ventilator\" rating=\"weathertight\" "
                        "protected=\"yes\" between=\"w "
                        "weather\"><clear x=\"20\" y=\"4\" z=\"5\" width=\"0.2\" height=\"0.2\" "
                        "lies=\"deck\"/>" FAILED "</closure>");
    coaming_flotation *f = NULL;
    const bool none[] = {false};
    ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
    for (int answer = 0; answer < COAMING_ANSWERS; answer++) {
        coaming_float at;
        coaming_stability stability;
        ck_assert_int_eq(coaming_flotation_solve(f, none, &at, NULL), COAMING_OK);
        ck_assert_int_eq(coaming_flotation_grade(f, none, &at, COAMING_NO_CONDITION,
                                                 (coaming_answer)answer, &stability, NULL),
                         COAMING_OK);
        ck_assert_int_eq(stability.flooding_opening, answer == COAMING_AS_BUILT ? -1 : 0);
    }
    coaming_flotation_free(f);
    coaming_ship_free(s);
}
END_TEST

/* Grades her as she lies in `at`, and says how far she goes. */
static coaming_stability grade_at(coaming_flotation *f, const bool *flooded, coaming_float *at)
{
    coaming_stability stability;
    ck_assert_int_eq(coaming_flotation_grade(f, flooded, at, COAMING_NO_CONDITION,
                                             COAMING_AS_TESTED, &stability, NULL),
                     COAMING_OK);
    return stability;
}

/* 60 x 12 m, the middle third open to the sea, where GM is 4.917 m less kg: of loll tan2(heel) = -2 GM /
 * 2.667, to either side. A vent 5 m off the centre line on one side: at 10 degrees it is under water 5.2 m
 * up, for 4.5 + 5 tan(10) is 5.38 m; at 20.3 degrees and 8 m up it is dry, and goes under at
 * atan(3.5/5). That side counts. */
START_TEST(lolling_the_side_of_the_opening_counts)
{
    static const struct {
        const char *kg;
        double up, heel;
    } table[] = {{"4.958", 5.2, 10}, {"5.1", 8, 20.345}};
    for (int i = 0; i < 4; i++) {
        char principal[200], parts[1000];
        bool low = i / 2 == 0;
        double side = i % 2 ? 1 : -1;
        snprintf(principal, sizeof principal,
                 "length=\"60\" beam=\"12\" depth=\"10\" draft=\"3\" kg=\"%s\"", table[i / 2].kg);
        snprintf(
            parts, sizeof parts,
            "<space id=\"m\" name=\"M\" permeability=\"1\"><box x=\"20 40\" y=\"-6 6\" z=\"0 "
            "10\"/></space><space id=\"d\" name=\"D\"><box x=\"0 20\" y=\"-6 6\" z=\"0 "
            "10\"/></space><passage id=\"V\" kind=\"duct\" between=\"d weather\"><clear x=\"10\" "
            "y=\"%g\" z=\"%g\" width=\"0.2\" height=\"0.2\" lies=\"deck\"/></passage>",
            5 * side, table[i / 2].up);
        coaming_ship *s = ship_from_parts(principal, parts);
        coaming_flotation *f = NULL;
        coaming_float at, mirror;
        const bool flooded[] = {true, false};
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
        ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
        ck_assert(at.either_side);
        mirror = at;
        coaming_stability worse = grade_at(f, flooded, &at);
        ck_assert_double_eq_tol(side * at.heel, table[i / 2].heel, 0.1);
        ck_assert_int_eq(worse.grade, COAMING_GRADE_NOT_SURVIVING);
        ck_assert_int_eq(worse.passed[COAMING_LIMIT_OPENING], low);
        ck_assert_int_eq(worse.flooding_opening, 0);
        if (!low)
            ck_assert_double_eq_tol(worse.righting.range, 34.992 - 20.345, 0.01);
        /* said to lie on one side she is graded there, though the set is the same */
        mirror.either_side = false;
        if (side * mirror.heel > 0) {
            mirror.heel = -mirror.heel;
            mirror.normal[1] = -mirror.normal[1];
        }
        coaming_stability better = grade_at(f, flooded, &mirror);
        ck_assert(!better.passed[COAMING_LIMIT_OPENING]);
        ck_assert_double_gt(better.righting.range, 30);
        ck_assert_int_eq(better.grade, low ? COAMING_GRADE_WITHIN : COAMING_GRADE_NOT_SURVIVING);
        /* and so does one that lies deeper than she would */
        coaming_float deeper = mirror;
        deeper.height += 1;
        better = grade_at(f, flooded, &deeper);
        coaming_flotation *anew = NULL;
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &anew, NULL), COAMING_OK);
        ck_assert_int_eq(better.grade, grade_at(anew, flooded, &deeper).grade);
        ck_assert_double_eq_tol(better.righting.range,
                                grade_at(anew, flooded, &deeper).righting.range, 1e-9);
        coaming_flotation_free(anew);
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* 40 of 100 m open to the sea, and on one side all that is more than 6 m up: she floats upright, 1.7e-12 m
 * below that. To the other side there is an arm; to this one the waterplane of half her breadth alone
 * counts, BM 1.389 / 8 m, and KM is less than KG. So she is lost; not so if that side is sound. A hole
 * under water makes s 0 anyhow, and no difference to it. */
START_TEST(on_the_edge_to_one_side_she_is_lost)
{
    for (int i = 0; i < 4; i++) {
        char parts[2000];
        bool sound = i / 2;
        snprintf(
            parts, sizeof parts,
            "<space id=\"m\" name=\"M\" permeability=\"1\"><box x=\"30 70\" y=\"-5 5\" z=\"0 "
            "8\"/></space><space id=\"u\" name=\"U\" permeability=\"1\"><box x=\"0 30\" y=\"%s\" "
            "z=\"6 8\"/><box x=\"70 100\" y=\"%s\" z=\"6 8\"/></space><space id=\"d\" "
            "name=\"D\"><box x=\"75 95\" y=\"-5 5\" z=\"0 5.9\"/></space><passage id=\"V\" "
            "kind=\"duct\" between=\"d weather\"><clear x=\"80\" y=\"0\" z=\"5.5\" width=\"0.2\" "
            "height=\"0.2\" lies=\"deck\"/></passage>",
            i % 2 ? "0 5" : "-5 0", i % 2 ? "0 5" : "-5 0");
        coaming_ship *s = ship_from_parts(
            "length=\"100\" beam=\"10\" depth=\"8\" draft=\"3.599999999999\" kg=\"4\"", parts);
        coaming_flotation *f = NULL;
        const bool flooded[] = {true, !sound, false};
        ck_assert_int_eq(coaming_flotation_new(s, COAMING_NO_LOADING, &f, NULL), COAMING_OK);
        for (arm_detail detail = ARMS_ALL; detail <= ARMS_FACTOR; detail++) {
            const grade_terms terms = {COAMING_NO_CONDITION, COAMING_AS_TESTED, detail, NULL, NULL};
            coaming_float at;
            coaming_stability stability;
            ck_assert_int_eq(coaming_flotation_solve(f, flooded, &at, NULL), COAMING_OK);
            ck_assert_int_eq(at.afloat, COAMING_AFLOAT_YES);
            ck_assert_double_eq(at.heel, 0);
            ck_assert_int_eq(flotation_turns_back(f, flooded, &at), sound);
            ck_assert_int_eq(flotation_grade(f, flooded, &at, &terms, &stability, NULL),
                             COAMING_OK);
            ck_assert_int_eq(stability.grade,
                             sound ? COAMING_GRADE_NOT_SURVIVING : COAMING_GRADE_LOST);
            ck_assert_int_eq(at.afloat, sound ? COAMING_AFLOAT_YES : COAMING_AFLOAT_CAPSIZES);
        }
        coaming_flotation_free(f);
        coaming_ship_free(s);
    }
}
END_TEST

/* Three of five spaces open to the sea are more than she bears: with the middle one holed and the one next
 * to it by a door that failed, the door on the other side loses her. By a scenario of weight 0 that does
 * not happen. */
START_TEST(a_scenario_without_weight_loses_nobody)
{
    for (int weight = 0; weight < 2; weight++) {
        char parts[4000];
        size_t used = 0;
        for (int i = 0; i < 5; i++)
            used +=
                (size_t)snprintf(parts + used, sizeof parts - used,
                                 "<space id=\"s%d\" name=\"S\" worth=\"1\"><box x=\"%d %d\" y=\"-5 "
                                 "5\" z=\"0 6\"/></space>",
                                 i, 10 * i, 10 * i + 10);
        for (int i = 1; i < 3; i++)
            used += (size_t)snprintf(
                parts + used, sizeof parts - used,
                "<closure id=\"D%d\" kind=\"door\" rating=\"watertight\" "
                "between=\"s%d s%d\"><clear x=\"%d\" y=\"0\" z=\"0.5\" width=\"1\" "
                "height=\"1\" lies=\"transverse\"/>%s</closure>",
                i, i, i + 1, 10 * i + 10, i == 1 ? FAILED : "");
        snprintf(
            parts + used, sizeof parts - used,
            "<scenario hazard=\"water\" source=\"s2\" weight=\"%d\"/><scenario hazard=\"water\" "
            "source=\"s4\"/>",
            weight);
        coaming_ship *s =
            ship_from_parts("length=\"50\" beam=\"10\" depth=\"6\" draft=\"3\" kg=\"2.5\"", parts);
        coaming_ranking *ranking = NULL;
        ck_assert_int_eq(
            coaming_ranking_new(s, at_equilibrium(), COAMING_MEASURE_WORTH, &ranking, NULL),
            COAMING_OK);
        for (size_t i = 0; i < 2; i++) {
            const coaming_rank *row = coaming_ranking_get(ranking, i);
            ck_assert_int_eq(row->lost, weight && row->closure == 1);
            ck_assert_double_eq(row->consequence, weight);
        }
        coaming_ranking_free(ranking);
        coaming_ship_free(s);
    }
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("settle");
    TCase *all = tcase_create("random ships");
    tcase_add_loop_test(all, settling_agrees_with_plain_enumeration, 0, SHIPS);
    tcase_add_test(all, every_flooded_space_has_its_openings);
    tcase_add_test(all, an_opening_floods_her_on_either_side);
    tcase_add_test(all, a_course_knows_nothing_of_those_before_it);
    tcase_add_test(all, what_leads_to_no_dry_space_of_the_hull_floods_nothing);
    tcase_add_test(all, arms_are_told_from_upright_on);
    tcase_add_test(all, a_kept_grade_is_the_one_that_is_worked_out);
    tcase_add_test(all, what_holds_too_late_saves_nobody);
    tcase_add_test(all, a_water_plane_is_its_four_numbers);
    tcase_add_test(all, what_is_not_kept_is_worked_out_again);
    tcase_add_test(all, states_of_a_settler);
    tcase_add_test(all, what_is_protected_and_failed_holds_as_built_alone);
    tcase_add_test(all, lolling_the_side_of_the_opening_counts);
    tcase_add_test(all, on_the_edge_to_one_side_she_is_lost);
    tcase_add_test(all, a_scenario_without_weight_loses_nobody);
    suite_add_tcase(suite, all);
    TCase *threads = tcase_create("threads");
    tcase_add_test(threads, the_number_of_threads_is_of_no_account);
    tcase_add_test(threads, the_number_of_threads_is_of_no_account_to_a_ranking);
    suite_add_tcase(suite, threads);
    return run_suite(suite);
}
