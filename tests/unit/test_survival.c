/*
 * Survival of damage: indexes by hand, every case against plain asking, mirrored ships, loadings.
 */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "analyse/flotation/flotation.h"
#include "analyse/survival/index.h"
#include "analyse/survival/parts.h"
#include "coaming/survival.h"
#include "runner.h"
#include "ships.h"

static coaming_survival *survival_of(const coaming_ship *ship, int loading)
{
    coaming_survival *v = NULL;
    coaming_error error;
    coaming_survival_options how = coaming_survival_options_default();
    how.loading = loading;
    how.expected = false;
    coaming_status status = coaming_survival_new(ship, &how, &v, &error);
    ck_assert_msg(status == COAMING_OK, "%s", status ? error.message : "");
    return v;
}

#define BOX(id, x, y, z)                                                                           \
    "<space id=\"" id "\" name=\"" id "\" shell=\"yes\"><box x=\"" x "\" y=\"" y "\" z=\"" z       \
    "\"/></space>"
#define DOOR(id, between, x, y, z, result)                                                         \
    "<closure id=\"" id "\" kind=\"door\" between=\"" between                                      \
    "\" rating=\"watertight\"><clear x=\"" x "\" y=\"" y "\" z=\"" z                               \
    "\" width=\"0.7\" height=\"1\" lies=\"transverse\"/>" result "</closure>"
#define FAILED "<test date=\"2026-05-01\" method=\"hose\" result=\"fail\"/>"

/*
 * 40 x 6 x 4 m, draught 2, three holds of 12, 16 and 12 m. The middle one open loses 16 of 40 m: 2 x
 * 40 / 24 = 3.33 m, afloat; two open lose 28 m, 2 x 40 / 12 > 4, lost; an end one trims her under.
 * So as built the index is the p of the middle zone, with s 1. The door between the after two has
 * failed: damage of the middle one is damage of both, and nothing is left; the door gives it back.
 * p of an inner zone longer than Jm (regulation 7-1): the integral of b(y) (J - y), J - the mean
 * length of damage, by hand from b11 y + b12 to Jk = 5/33 and b21 y + b22 from there to Jm = 10/33.
 */
START_TEST(test_three_holds)
{
    coaming_ship *s = ship_from_elements(
        "<ship length=\"40\" beam=\"6\" depth=\"4\" draft=\"2\" kg=\"1.2\"/>" BOX(
            "a", "0 12", "-3 3", "0 4") BOX("b", "12 28", "-3 3", "0 4")
            BOX("c", "28 40", "-3 3", "0 4") DOOR("D1", "a b", "12", "0", "0.5", FAILED));
    coaming_survival *v = survival_of(s, COAMING_NO_LOADING);
    const coaming_survival_index *all = coaming_survival_get_index(v);
    double jk = 5.0 / 33, jm = 10.0 / 33, pk = 11.0 / 12;
    double b11 = 4 * (1 - pk) / (jk * jk) - 2 * pk / (jk * jk), b12 = 11;
    double b21 = -2 * (1 - pk) / (jk * jk), b22 = -b21 * jm;
    double mean = b11 * pow(jk, 3) / 3 + b12 * jk * jk / 2 + b21 * (pow(jm, 3) - pow(jk, 3)) / 3 +
                  b22 * (jm * jm - jk * jk) / 2;
    double middle = 0.4 - mean;
    size_t turned = 0;
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        bool survives = c->opened_count == 1 && c->opened[0] == 1;
        ck_assert_double_eq(c->s[COAMING_AS_BUILT], survives);
        ck_assert_double_eq(c->s[COAMING_AS_TESTED], 0);
        ck_assert_int_eq(c->grade[COAMING_AS_TESTED], COAMING_GRADE_LOST);
        ck_assert_uint_eq(c->turned_by_count, survives);
        turned += c->turned_by_count;
    }
    ck_assert_uint_eq(turned, 2); /* port and starboard */
    ck_assert_double_eq_tol(all->index[COAMING_AS_BUILT], middle, 1e-12);
    ck_assert_double_eq_tol(all->index[COAMING_AS_TESTED], 0, 1e-15);
    ck_assert_double_eq_tol(all->lost[COAMING_AS_BUILT], 1 - middle, 1e-12);
    ck_assert_double_eq_tol(all->lost[COAMING_AS_TESTED], 1, 1e-12);
    ck_assert_uint_eq(coaming_survival_closure_count(v), 1);
    const coaming_survival_closure *door = coaming_survival_closure_get(v, 0);
    ck_assert_double_eq_tol(door->tested_gain, middle, 1e-12);
    ck_assert_double_eq_tol(door->turned, middle, 1e-12);
    coaming_survival_free(v);
    coaming_ship_free(s);
}
END_TEST

/*
 * 60 x 12 x 8 m, draught 3, three holds of 20 m. The middle one open: 3 x 60 / 40 = 4.5 m, afloat; two
 * open: 3 x 60 / 20 = 9 m, over her depth, lost. Both doors have failed, so to survive damage of the
 * middle one both have to hold.
 */
START_TEST(test_both_have_to_hold)
{
    coaming_ship *s = ship_from_elements(
        "<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"3\" kg=\"4\"/>" BOX(
            "a", "0 20", "-6 6", "0 8") BOX("b", "20 40", "-6 6", "0 8")
            BOX("c", "40 60", "-6 6", "0 8") DOOR("D1", "a b", "20", "0", "0.5", FAILED)
                DOOR("D2", "b c", "40", "0", "0.5", FAILED)
                    DOOR("D3", "a b", "20", "2", "7", FAILED));
    coaming_survival *v = survival_of(s, COAMING_NO_LOADING);
    const coaming_survival_index *all = coaming_survival_get_index(v);
    double together = 0, alone[2] = {0, 0}, share = 0;
    size_t lost = 0;
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        if (!coaming_survival_turned(c, COAMING_TURN_LOST))
            continue;
        lost++;
        share += coaming_survival_share(v, i);
        ck_assert_uint_eq(c->opened_count, 1);
        if (c->opened[0] == 1) {
            ck_assert(c->turned_together);
            ck_assert_uint_eq(c->turned_by_count, 2);
            ck_assert_int_eq(c->turned_by[0], 0);
            ck_assert_int_eq(c->turned_by[1], 1);
            together += coaming_survival_share(v, i);
        } else {
            ck_assert(!c->turned_together);
            alone[c->opened[0] == 2] += coaming_survival_share(v, i);
        }
    }
    ck_assert(together > 0.1);
    ck_assert_double_eq_tol(all->turned[COAMING_TURN_LOST], share, 1e-12);
    ck_assert_uint_eq(all->turned_cases[COAMING_TURN_LOST], lost);
    ck_assert_uint_eq(coaming_survival_closure_count(v), 2); /* nothing hangs on D3 */
    for (size_t i = 0; i < 2; i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(v, i);
        ck_assert_double_eq_tol(c->turned_alone[COAMING_TURN_LOST], alone[c->closure], 1e-12);
        ck_assert_double_eq_tol(c->turned_together[COAMING_TURN_LOST], together, 1e-12);
        ck_assert_double_eq_tol(c->turned, alone[c->closure] + together, 1e-12);
    }
    coaming_survival_free(v);
    coaming_ship_free(s);
}
END_TEST

/* --- against plain asking --- */

/* Ships with wings, a double bottom, doors in every state; turned -1: sides exchanged. */
static char *random_ship(uint64_t number, int turned)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    dice d = {number};
    int holds = 3 + dice_below(&d, 3), count = 0;
    double wing = 3 + dice_below(&d, 3), bottom = dice_below(&d, 2) ? 1 : 0;
    fputs("<ship length=\"60\" beam=\"14\" depth=\"8\" draft=\"4\" kg=\"4.5\"/>", out);
    for (int i = 0; i < holds; i++) {
        double from = 60.0 * i / holds, to = 60.0 * (i + 1) / holds;
        double y0 = turned > 0 ? -7 : -wing, y1 = turned > 0 ? wing : 7;
        if (bottom > 0)
            fprintf(out,
                    "<space id=\"t%d\" name=\"T\" shell=\"yes\"><box x=\"%.4f %.4f\" y=\"-7 7\" "
                    "z=\"0 1\"/></space>",
                    i, from, to);
        fprintf(out,
                "<space id=\"h%d\" name=\"H\" shell=\"yes\"><box x=\"%.4f %.4f\" y=\"%g %g\" "
                "z=\"%g 8\"/></space>",
                i, from, to, y0, y1, bottom);
        fprintf(out,
                "<space id=\"w%d\" name=\"W\" shell=\"yes\"><box x=\"%.4f %.4f\" y=\"%g %g\" "
                "z=\"%g 8\"/></space>",
                i, from, to, turned > 0 ? wing : -7, turned > 0 ? 7 : -wing, bottom);
    }
    for (int i = 0; i < 2 * holds; i++) {
        int at = dice_below(&d, holds - 1), result = dice_below(&d, 3), kind = dice_below(&d, 2);
        double y = (kind ? wing : 0) * turned, x = 60.0 * (at + 1) / holds - (kind ? 3 : 0);
        fprintf(out,
                "<closure id=\"D%d\" kind=\"door\" between=\"h%d %c%d\" rating=\"watertight\">"
                "<clear x=\"%.4f\" y=\"%g\" z=\"%d\" width=\"0.7\" height=\"1\" lies=\"%s\"/>",
                count++, at, kind ? 'w' : 'h', at + !kind, x, y, 2 + dice_below(&d, 6),
                kind ? "longitudinal" : "transverse");
        if (result < 2)
            fprintf(out, "<test date=\"2026-05-01\" method=\"hose\" result=\"%s\"/>",
                    result ? "fail" : "pass");
        fputs("</closure>", out);
    }
    fclose(out);
    return text;
}

/* s and grade with some spaces open, asked plainly. */
static double plain_s(settler *t, const int *spaces, size_t count, coaming_answer state, int held,
                      const coaming_ship *ship, coaming_grade *grade)
{
    const settled *rest;
    coaming_stability stability;
    bool *holding = calloc(ship->link_count, sizeof *holding);
    ck_assert_int_eq(settler_breach(t, spaces, count, state, held, &rest, NULL), COAMING_OK);
    if (held >= 0)
        holding[held] = true;
    coaming_float at = rest->at;
    grade_terms terms = {
        .condition = COAMING_NO_CONDITION, .answer = state, .detail = ARMS_ALL, .held = holding};
    ck_assert_int_eq(
        flotation_grade(settler_flotation(t), settler_flooded(t), &at, &terms, &stability, NULL),
        COAMING_OK);
    *grade = stability.grade;
    free(holding);
    return stability.s;
}

/* The least of all lower limits: what is opened above each top of a space below the water. */
static double least_s(settler *t, const coaming_survival_case *c, coaming_answer state, int held,
                      const coaming_ship *ship, coaming_grade *grade)
{
    int *spaces = calloc(c->opened_count, sizeof *spaces);
    double least = plain_s(t, c->opened, c->opened_count, state, held, ship, grade);
    for (size_t i = 0; i < c->opened_count; i++) {
        double limit = ship->spaces[c->opened[i]].top;
        coaming_grade found;
        size_t count = 0;
        for (size_t k = 0; k < c->opened_count; k++)
            if (ship->spaces[c->opened[k]].top > limit)
                spaces[count++] = c->opened[k];
        if (limit >= ship->draught || !count)
            continue;
        double s = plain_s(t, spaces, count, state, held, ship, &found);
        if (s < least || (s == least && found > *grade)) {
            least = s;
            *grade = found;
        }
    }
    free(spaces);
    return least;
}

START_TEST(test_cases_as_plainly_asked)
{
    char *text = random_ship(700 + (uint64_t)_i, 1);
    coaming_ship *ship = ship_from_elements(text);
    coaming_survival *v = survival_of(ship, COAMING_NO_LOADING);
    const coaming_survival_index *all = coaming_survival_get_index(v);
    settler *t = NULL;
    double index[COAMING_ANSWERS] = {0}, weight = 0, gone = 0;
    ck_assert_int_eq(settler_new(ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        weight += coaming_survival_share(v, i);
        for (int state = 0; state < COAMING_ANSWERS; state++) {
            coaming_grade grade;
            double s = least_s(t, c, (coaming_answer)state, -1, ship, &grade);
            CLAIM(fabs(s - c->s[state]) < 1e-9, "ship %d, case %zu, state %d: %g, not %g", _i, i,
                  state, c->s[state], s);
            CLAIM(grade == c->grade[state], "ship %d, case %zu, state %d: grade", _i, i, state);
            index[state] += coaming_survival_share(v, i) * s;
        }
        bool worse = c->s[COAMING_AS_TESTED] < c->s[COAMING_AS_BUILT] ||
                     coaming_survival_turned(c, COAMING_TURN_LOST);
        CLAIM((c->turned_by_count > 0) == worse, "ship %d, case %zu: turned by %zu", _i, i,
              c->turned_by_count);
    }
    ck_assert_double_eq_tol(weight, 1, 1e-12);
    for (int state = 0; state < COAMING_ANSWERS; state++)
        ck_assert_double_eq_tol(index[state], all->index[state], 1e-9);
    for (size_t z = 0; z < coaming_survival_zone_count(v); z++)
        gone += coaming_survival_zone_get(v, z)->gone[COAMING_AS_TESTED];
    ck_assert(gone >=
              1 - all->index[COAMING_AS_TESTED] - 1e-9); /* each case is in a zone or more */
    settler_free(t);
    coaming_survival_free(v);
    coaming_ship_free(ship);
    free(text);
}
END_TEST

static bool is_among(const int *list, size_t count, int one)
{
    for (size_t i = 0; i < count; i++)
        if (list[i] == one)
            return true;
    return false;
}

/* Sums over all cases, asked plainly with one closure holding. */
typedef struct {
    double gain, alone[COAMING_TURNS];
} plain_gain;

static plain_gain gain_of(settler *t, const coaming_survival *v, const coaming_ship *ship, int held)
{
    plain_gain sum = {0};
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        double share = coaming_survival_share(v, i);
        coaming_grade grade;
        double s = least_s(t, c, COAMING_AS_TESTED, held, ship, &grade);
        sum.gain += share * (s - c->s[COAMING_AS_TESTED]);
        bool helps = s > c->s[COAMING_AS_TESTED] + 1e-6 ||
                     (coaming_survival_turned(c, COAMING_TURN_LOST) && grade != COAMING_GRADE_LOST);
        CLAIM(!helps || (!c->turned_together && is_among(c->turned_by, c->turned_by_count, held)),
              "case %zu is not said to be turned by %s", i, ship->links[held].id);
        if (c->grade[COAMING_AS_TESTED] == COAMING_GRADE_LOST &&
            c->grade[COAMING_AS_BUILT] != COAMING_GRADE_LOST && grade != COAMING_GRADE_LOST)
            sum.alone[COAMING_TURN_LOST] += share;
        if (!(c->s[COAMING_AS_TESTED] > 0) && c->s[COAMING_AS_BUILT] > 0 && s > 0)
            sum.alone[COAMING_TURN_UNSURVIVED] += share;
    }
    return sum;
}

/* What each closure gives back and turns alone, over all cases asked plainly; and nothing, where it
 * is not told. Cases name those that turn them. */
START_TEST(test_gains)
{
    char *text = random_ship(900 + (uint64_t)_i, 1);
    coaming_ship *ship = ship_from_elements(text);
    coaming_survival *v = survival_of(ship, COAMING_NO_LOADING);
    settler *t = NULL;
    ck_assert_int_eq(settler_new(ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    for (size_t i = 1; i < coaming_survival_closure_count(v); i++) /* what gains most comes first */
        CLAIM(coaming_survival_closure_get(v, i)->tested_gain <=
                  coaming_survival_closure_get(v, i - 1)->tested_gain,
              "ship %d: closure %zu gains more than that before it", _i, i);
    for (size_t k = 0; k < ship->closure_count; k++) {
        plain_gain plain = gain_of(t, v, ship, (int)k);
        coaming_survival_closure told = {0};
        for (size_t i = 0; i < coaming_survival_closure_count(v); i++)
            if (coaming_survival_closure_get(v, i)->closure == (int)k)
                told = *coaming_survival_closure_get(v, i);
        CLAIM(fabs(plain.gain - told.tested_gain) < 1e-9, "ship %d, %s: %g, not %g", _i,
              ship->links[k].id, told.tested_gain, plain.gain);
        for (int turn = 0; turn < COAMING_TURNS; turn++)
            CLAIM(fabs(plain.alone[turn] - told.turned_alone[turn]) < 1e-9,
                  "ship %d, %s, turn %d: %g, not %g", _i, ship->links[k].id, turn,
                  told.turned_alone[turn], plain.alone[turn]);
    }
    settler_free(t);
    coaming_survival_free(v);
    coaming_ship_free(ship);
    free(text);
}
END_TEST

static const coaming_survival_case *same_case(const coaming_survival *v,
                                              const coaming_survival_case *c, size_t which)
{
    const coaming_survival_case *other = coaming_survival_get(v, which);
    ck_assert(other->weight == c->weight && other->starboard == c->starboard &&
              other->opened_count == c->opened_count);
    return other;
}

/* Ship read anew, with other closures passed. */
static coaming_survival *survival_if_sound(const char *text, const int *sound, size_t count,
                                           size_t but, coaming_ship **ship)
{
    *ship = ship_from_elements(text);
    for (size_t i = 0; i < count; i++)
        if (i != but)
            (*ship)->links[sound[i]].result = COAMING_PASS;
    return survival_of(*ship, COAMING_NO_LOADING);
}

/* Is the case back as built, with those that turn it sound, but for one of them? */
static bool back_with(const char *text, const coaming_survival_case *c, size_t which, size_t but)
{
    coaming_ship *sound;
    coaming_survival *v = survival_if_sound(text, c->turned_by, c->turned_by_count, but, &sound);
    const coaming_survival_case *d = same_case(v, c, which);
    bool back = !(d->s[COAMING_AS_TESTED] < c->s[COAMING_AS_BUILT] - 1e-9) &&
                !coaming_survival_turned(d, COAMING_TURN_LOST);
    coaming_survival_free(v);
    coaming_ship_free(sound);
    return back;
}

static size_t look_at_together(const char *text, uint64_t number)
{
    coaming_ship *ship = ship_from_elements(text);
    coaming_survival *v = survival_of(ship, COAMING_NO_LOADING);
    size_t seen = 0;
    for (size_t i = 0; i < coaming_survival_count(v) && seen < 2; i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        if (!c->turned_together)
            continue;
        seen++;
        for (size_t but = 0; but <= c->turned_by_count; but++)
            CLAIM(back_with(text, c, i, but) == (but == c->turned_by_count),
                  "ship %d, case %zu, without %zu of %zu", (int)number, i, but, c->turned_by_count);
    }
    coaming_survival_free(v);
    coaming_ship_free(ship);
    return seen;
}

/* Those that turn a case together: with all of them sound she is as built; with one less, not. Ships
 * without a double bottom, so that a case is one extent. */
START_TEST(test_together)
{
    size_t seen = 0;
    for (uint64_t number = 300; number < 324; number++) {
        char *text = random_ship(number, 1);
        if (!strstr(text, "id=\"t0\""))
            seen += look_at_together(text, number);
        free(text);
    }
    ck_assert_uint_ge(seen, 4);
}
END_TEST

/* K of regulation 7-2 by the heel that is asked plainly: from 13 persons not of the crew on that of
 * passenger ships. Ships without a double bottom, so that a case is one extent. */
static double factor_of_heel(double heel, double least, double most)
{
    return heel <= least ? 1 : heel >= most ? 0 : sqrt((most - heel) / (most - least));
}

static size_t compare_passenger(const char *text, const char *persons, bool passenger)
{
    coaming_ship *cargo = ship_from_elements(text), *ship = ship_from_elements(text);
    ship->persons = atof(persons);
    coaming_survival *v = survival_of(cargo, COAMING_NO_LOADING),
                     *w = survival_of(ship, COAMING_NO_LOADING);
    settler *t = NULL;
    size_t less = 0;
    ck_assert_int_eq(settler_new(cargo, COAMING_NO_CONDITION, COAMING_NO_LOADING, &t, NULL),
                     COAMING_OK);
    ck_assert_uint_eq(coaming_survival_count(v), coaming_survival_count(w));
    ck_assert_int_eq(coaming_survival_get_index(w)->passenger, passenger);
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *a = coaming_survival_get(v, i);
        double s = a->s[COAMING_AS_BUILT], told = coaming_survival_get(w, i)->s[COAMING_AS_BUILT];
        const settled *rest;
        ck_assert_int_eq(
            settler_breach(t, a->opened, a->opened_count, COAMING_AS_BUILT, -1, &rest, NULL),
            COAMING_OK);
        double heel = fabs(rest->at.heel);
        if (passenger && s > 0)
            s *= factor_of_heel(heel, 7, 15) / factor_of_heel(heel, 25, 30);
        CLAIM(fabs(s - told) < 1e-9, "case %zu, heel %g: %g, not %g", i, heel, told, s);
        less += told < a->s[COAMING_AS_BUILT] - 0.01;
    }
    settler_free(t);
    coaming_survival_free(v);
    coaming_survival_free(w);
    coaming_ship_free(cargo);
    coaming_ship_free(ship);
    return less;
}

START_TEST(test_passenger_ships)
{
    size_t less = 0;
    for (uint64_t number = 500; number < 510; number++) {
        char *text = random_ship(number, 1);
        if (!strstr(text, "id=\"t0\"")) {
            ck_assert_uint_eq(compare_passenger(text, "12", false), 0);
            less += compare_passenger(text, "13", true);
        }
        free(text);
    }
    ck_assert_uint_ge(less, 10);
}
END_TEST

START_TEST(test_mirrored)
{
    char *one = random_ship(700 + (uint64_t)_i, 1), *two = random_ship(700 + (uint64_t)_i, -1);
    coaming_ship *a = ship_from_elements(one), *b = ship_from_elements(two);
    coaming_survival *v = survival_of(a, COAMING_NO_LOADING),
                     *w = survival_of(b, COAMING_NO_LOADING);
    size_t count = coaming_survival_count(v), starboard = 0;
    ck_assert_uint_eq(count, coaming_survival_count(w));
    for (size_t i = 0; i < count; i++)
        starboard += coaming_survival_get(v, i)->starboard;
    for (size_t i = 0; i < count; i++) {
        const coaming_survival_case *x = coaming_survival_get(v, i);
        size_t other = i < count - starboard ? i + starboard : i - (count - starboard);
        const coaming_survival_case *y = coaming_survival_get(w, other);
        CLAIM(x->starboard != y->starboard && x->weight == y->weight &&
                  x->opened_count == y->opened_count &&
                  !memcmp(x->opened, y->opened, x->opened_count * sizeof *x->opened),
              "ship %d, case %zu", _i, i);
        for (int state = 0; state < COAMING_ANSWERS; state++)
            CLAIM(fabs(x->s[state] - y->s[state]) < 1e-8 && x->grade[state] == y->grade[state],
                  "ship %d, case %zu, state %d: %g and %g", _i, i, state, x->s[state], y->s[state]);
        CLAIM(x->turned_by_count == y->turned_by_count, "ship %d, case %zu", _i, i);
    }
    coaming_survival_free(v);
    coaming_survival_free(w);
    coaming_ship_free(a);
    coaming_ship_free(b);
    free(one);
    free(two);
}
END_TEST

/* --- loadings --- */

#define LOADED(loadings)                                                                           \
    "<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"4\" kg=\"4\"/>" loadings BOX(             \
        "a", "0 20", "-6 6", "0 8") BOX("b", "20 40", "-6 6", "0 8")                               \
        BOX("c", "40 60", "-6 6", "0 8")

START_TEST(test_loadings_of_the_index)
{
    coaming_ship *s = ship_from_elements(
        LOADED("<loading id=\"light\" draft=\"3\" kg=\"4.4\" index=\"light\"/>"
               "<loading id=\"other\" draft=\"3.1\" kg=\"4.4\"/>"
               "<loading id=\"deep\" draft=\"4.5\" kg=\"4\" index=\"deepest\"/>"
               "<loading id=\"mid\" draft=\"3.8\" kg=\"4.2\" index=\"partial\"/>"));
    coaming_survival *v = survival_of(s, COAMING_NO_LOADING);
    const double shares[] = {0.4, 0.4, 0.2};
    const int number[] = {2, 3, 0};
    double sum[COAMING_ANSWERS] = {0};
    ck_assert_uint_eq(coaming_survival_loading_count(v), 3);
    for (size_t i = 0; i < 3; i++) {
        const coaming_survival_loading *l = coaming_survival_loading_get(v, i);
        ck_assert_str_eq(l->id, s->loadings[number[i]].id);
        ck_assert_double_eq(l->share, shares[i]);
        coaming_survival *alone = survival_of(s, number[i]);
        ck_assert_uint_eq(coaming_survival_loading_count(alone), 1);
        for (int state = 0; state < COAMING_ANSWERS; state++) {
            ck_assert_double_eq_tol(coaming_survival_get_index(alone)->index[state],
                                    l->index[state], 1e-12);
            sum[state] += l->share * l->index[state];
        }
        coaming_survival_free(alone);
    }
    for (int state = 0; state < COAMING_ANSWERS; state++)
        ck_assert_double_eq_tol(coaming_survival_get_index(v)->index[state], sum[state], 1e-12);
    ck_assert(isnan(coaming_survival_get_index(v)->required_each)); /* 60 m */
    coaming_survival_free(v);
    coaming_ship_free(s);
}
END_TEST

/* Spaces of two zones, three depths and three decks, listed in other orders, are the same ship: her index is the
 * same, and she has as many cases. */
START_TEST(test_order_of_spaces)
{
    enum { SPACES = 18 };
    static const char *const along[] = {"0 30", "30 60"}, *const across[] = {"5 6", "2 5", "-6 2"},
                             *const tiers[] = {"0 2", "2 5", "5 8"};
    double index[COAMING_ANSWERS] = {0};
    size_t cases = 0;
    dice d = {3};
    for (int turn = 0; turn < 6; turn++) {
        char text[8000] = "<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"3.5\" kg=\"4.2\"/>";
        int order[SPACES];
        for (int i = 0; i < SPACES; i++)
            order[i] = turn == 1 ? SPACES - 1 - i : i;
        for (int i = SPACES - 1; turn > 1 && i > 0; i--) {
            int other = dice_below(&d, i + 1), was = order[i];
            order[i] = order[other];
            order[other] = was;
        }
        for (int i = 0; i < SPACES; i++) {
            int s = order[i];
            snprintf(text + strlen(text), sizeof text - strlen(text),
                     "<space id=\"s%d\" name=\"S\" shell=\"yes\" permeability=\"0.9\"><box "
                     "x=\"%s\" y=\"%s\" "
                     "z=\"%s\"/></space>",
                     s, along[s % 2], across[s / 2 % 3], tiers[s / 6]);
        }
        coaming_ship *s = ship_from_elements(text);
        coaming_survival *v = survival_of(s, COAMING_NO_LOADING);
        const coaming_survival_index *told = coaming_survival_get_index(v);
        if (turn) {
            ck_assert_uint_eq(coaming_survival_count(v), cases);
            for (int state = 0; state < COAMING_ANSWERS; state++)
                ck_assert_double_eq_tol(told->index[state], index[state], 1e-9);
        }
        cases = coaming_survival_count(v);
        memcpy(index, told->index, sizeof index);
        coaming_survival_free(v);
        coaming_ship_free(s);
    }
    ck_assert_double_gt(index[0], 0.1);
    ck_assert_double_lt(index[0], 0.99);
}
END_TEST

/* Parts of an answer are of one ship alone: whatever the index goes by, changed, has another digest. */
static const char digested[] =
    "<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"4\" kg=\"4.25\" density=\"1.025\" "
    "persons=\"7\"/>"
    "<condition id=\"sea\" name=\"At sea\"/><condition id=\"port\" name=\"In port\"/>"
    "<loading id=\"l\" draft=\"3.5\" kg=\"4.5\" index=\"light\"><content space=\"a\" fill=\"0.25\" "
    "density=\"0.875\"/></loading>"
    "<loading id=\"m\" draft=\"3.75\" kg=\"4.75\"/>"
    "<space id=\"a\" name=\"A\" shell=\"yes\" permeability=\"0.9\"><box x=\"0 20\" y=\"-6 6\" "
    "z=\"0 "
    "8\"/></space>"
    "<space id=\"b\" name=\"B\" shell=\"yes\" permeability=\"0.8\"><box x=\"20 60\" y=\"-5.5 5.5\" "
    "z=\"0 "
    "7.5\"/></space>"
    "<closure id=\"D\" kind=\"door\" between=\"a b\" rating=\"watertight\" shut-in=\"sea\"><clear "
    "x=\"20\" y=\"0.5\" z=\"1.5\" width=\"0.75\" height=\"1.75\" "
    "lies=\"transverse\"/></closure>"
    "<closure id=\"E\" kind=\"ventilator\" between=\"b weather\" rating=\"weathertight\" "
    "shut-in=\"sea port\"><clear x=\"30\" y=\"0\" z=\"7.25\" width=\"0.3\" height=\"0.3\" "
    "lies=\"deck\"/></closure>";
static const char *const changed[][2] = {
    {"", ""}, /* as it is */
    {"length=\"60\"", "length=\"61\""},
    {"beam=\"12\"", "beam=\"12.5\""},
    {"depth=\"8\"", "depth=\"8.5\""},
    {"draft=\"4\"", "draft=\"4.1\""},
    {"kg=\"4.25\"", "kg=\"4.2\""},
    {"density=\"1.025\"", "density=\"1\""},
    {"persons=\"7\"", "persons=\"8\""},
    {"draft=\"3.5\"", "draft=\"3.6\""},
    {"kg=\"4.5\"", "kg=\"4.6\""},
    {"index=\"light\"", "index=\"partial\""},
    {"index=\"light\"", "index=\"deepest\""},
    {"space=\"a\" fill", "space=\"b\" fill"},
    {"fill=\"0.25\"", "fill=\"0.5\""},
    {"density=\"0.875\"", "density=\"0.9\""},
    {"<loading id=\"m\" draft=\"3.75\" kg=\"4.75\"/>", ""},
    {"kg=\"4.75\"", "kg=\"4.8\""},
    {"shell=\"yes\" permeability=\"0.8\"", "shell=\"no\" permeability=\"0.8\""},
    {"permeability=\"0.9\"", "permeability=\"0.95\""},
    {"x=\"0 20\"", "x=\"0.5 20\""},
    {"y=\"-5.5 5.5\"", "y=\"-5.5 5\""},
    {"7.5\"/>", "7.75\"/>"},
    {"between=\"b weather\"", "between=\"a weather\""},
    {"between=\"b weather\"", "between=\"b sea\""},
    {"shut-in=\"sea\"", "shut-in=\"port\""},
    {"rating=\"weathertight\"", "rating=\"watertight\""},
    {"x=\"30\"", "x=\"31\""},
    {"y=\"0.5\"", "y=\"0.25\""},
    {"z=\"1.5\"", "z=\"1.25\""}};

static coaming_ship *ship_changed(const char *const change[2])
{
    char text[4096];
    const char *at = strstr(digested, change[0]);
    ck_assert_ptr_nonnull(at);
    snprintf(text, sizeof text, "%.*s%s%s", (int)(at - digested), digested, change[1],
             at + strlen(change[0]));
    return ship_from_elements(text);
}

START_TEST(test_digests)
{
    enum { CHANGED = sizeof changed / sizeof *changed, ASKED = 4 };
    uint64_t digest[CHANGED + ASKED];
    coaming_survival_options options = coaming_survival_options_default();
    double leaks[] = {0.25, 0.5};
    options.condition = 0;
    for (int i = 0; i < CHANGED; i++) {
        coaming_ship *s = ship_changed(changed[i]);
        digest[i] = parts_digest(s, &options, leaks);
        ck_assert_uint_eq(digest[i], parts_digest(s, &options, leaks));
        coaming_ship_free(s);
    }
    coaming_ship *s = ship_changed(changed[0]);
    options.condition = 1;
    digest[CHANGED] = parts_digest(s, &options, leaks);
    options.condition = 0;
    options.loading = 1;
    digest[CHANGED + 1] = parts_digest(s, &options, leaks);
    options.loading = COAMING_NO_LOADING;
    leaks[1] = 0.75;
    digest[CHANGED + 2] = parts_digest(s, &options, leaks);
    leaks[0] = 0;
    digest[CHANGED + 3] = parts_digest(s, &options, leaks);
    coaming_ship_free(s);
    for (int i = 0; i < CHANGED + ASKED; i++)
        for (int j = 0; j < i; j++)
            CLAIM(digest[i] != digest[j], "changes %d and %d are not told apart", j, i);
}
END_TEST

/* Each partial index has to be 0.9 R of a passenger ship, 0.5 R of a cargo ship (regulation 6, read as
 * Division 221, article 221-II-1/06), where one each is named. Cargo R of 100 m .492063, passenger R of
 * 100 m and 500 persons .698341, worked out by another program. */
START_TEST(test_partial_indexes_required)
{
    static const struct {
        const char *persons;
        double all, each;
    } want[] = {{"", .492063, .492063 / 2}, {"persons=\"500\"", .698341, .698341 * 0.9}};
    for (size_t i = 0; i < 2; i++) {
        char parts[1000];
        snprintf(parts, sizeof parts,
                 "<ship length=\"100\" beam=\"16\" depth=\"8\" draft=\"4\" kg=\"4\" %s/>"
                 "<loading id=\"d\" draft=\"4.5\" kg=\"4\" index=\"deepest\"/>"
                 "<loading id=\"p\" draft=\"4\" kg=\"4\" index=\"partial\"/>"
                 "<loading id=\"l\" draft=\"3\" kg=\"4\" index=\"light\"/>" BOX("a", "0 100",
                                                                                "-8 8", "0 8"),
                 want[i].persons);
        coaming_ship *s = ship_from_elements(parts);
        coaming_survival *v = survival_of(s, COAMING_NO_LOADING), *alone = survival_of(s, 0);
        ck_assert_double_eq_tol(coaming_survival_get_index(v)->required, want[i].all, 6e-7);
        ck_assert_int_eq(coaming_survival_get_index(v)->at_least, i == 1);
        ck_assert_double_eq_tol(coaming_survival_get_index(v)->required_each, want[i].each, 6e-7);
        ck_assert(isnan(coaming_survival_get_index(alone)->required_each));
        coaming_survival_free(alone);
        coaming_survival_free(v);
        coaming_ship_free(s);
    }
}
END_TEST

START_TEST(test_loadings_all_alike)
{
    coaming_ship *s = ship_from_elements(
        LOADED("<loading id=\"one\" draft=\"3\" kg=\"4.4\"/>"
               "<loading id=\"deep\" draft=\"4.5\" kg=\"4\" index=\"deepest\"/>"));
    coaming_survival *v = survival_of(s, COAMING_NO_LOADING);
    ck_assert_uint_eq(coaming_survival_loading_count(v), 2);
    ck_assert_double_eq(coaming_survival_loading_get(v, 0)->share, 0.5);
    coaming_survival_free(v);
    coaming_ship_free(s);
}
END_TEST

static void refused(const char *parts, coaming_status status, const char *says)
{
    coaming_ship *s = ship_from_elements(parts);
    coaming_survival *v = NULL;
    coaming_error error;
    coaming_survival_options how = coaming_survival_options_default();
    ck_assert_int_eq(coaming_survival_new(s, &how, &v, &error), status);
    ck_assert_msg(strstr(error.message, says) != NULL, "%s", error.message);
    coaming_ship_free(s);
}

START_TEST(test_what_cannot_be_told)
{
    refused(LOADED("<loading id=\"one\" draft=\"3\" kg=\"4.4\"/>"), COAMING_INPUT,
            "no loading is named deepest");
    refused(LOADED("<loading id=\"top\" draft=\"4\" kg=\"9\" index=\"deepest\"/>"), COAMING_INPUT,
            "top");
    refused(
        "<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"4\"/>" BOX("a", "0 20", "-6 6", "0 8"),
        COAMING_USAGE, "kg");
    refused("<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"3\" kg=\"4\" density=\"1\"/>"
            "<loading id=\"loll\" draft=\"3\" kg=\"5.3\" index=\"deepest\"><content space=\"t\" "
            "fill=\"0.5\" density=\"1\"/></loading>" BOX("h", "0 60", "-6 6", "4 8")
                BOX("t", "0 60", "-6 6", "0 4"),
            COAMING_INPUT, "check kg, draft and contents");
    refused("<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"3\" kg=\"9\"/>" BOX("h", "0 60",
                                                                                     "-6 6", "0 8"),
            COAMING_INPUT, "check kg and draft");
    coaming_ship *s = ship_from_elements(LOADED(""));
    coaming_survival *v = NULL;
    coaming_survival_options how = coaming_survival_options_default();
    how.within = 0;
    ck_assert_int_eq(coaming_survival_new(s, &how, &v, NULL), COAMING_USAGE);
    coaming_ship_free(s);
}
END_TEST

/* --- as likely as the history says --- */

static coaming_survival *expected_of(const coaming_ship *ship, double within, size_t work)
{
    coaming_survival *v = NULL;
    coaming_survival_options how = coaming_survival_options_default();
    how.within = within;
    how.work = work;
    ck_assert_int_eq(coaming_survival_new(ship, &how, &v, NULL), COAMING_OK);
    return v;
}

static coaming_survival *survival_with(const coaming_ship *ship, coaming_survival_options *how,
                                       size_t work)
{
    coaming_survival *v = NULL;
    how->work = work;
    ck_assert_int_eq(coaming_survival_new(ship, how, &v, NULL), COAMING_OK);
    return v;
}

static coaming_survival_closure closure_of(const coaming_survival *v, int closure)
{
    for (size_t i = 0; i < coaming_survival_closure_count(v); i++)
        if (coaming_survival_closure_get(v, i)->closure == closure)
            return *coaming_survival_closure_get(v, i);
    return (coaming_survival_closure){.closure = -1};
}

/* Chances of a random ship's closures, none of which is rated to pass. */
static void set_chances(coaming_ship *ship, int number)
{
    dice d = {(uint64_t)number + 77};
    for (size_t k = 0; k < ship->closure_count; k++)
        ship->links[k].leak_probability = (1 + dice_below(&d, 9)) / 10.0;
}

/* Where no closure may leak nothing is guessed, however little a case counts for: here three zones at an
 * end count for 0.0013. */
START_TEST(test_nothing_uncertain)
{
    coaming_ship *s =
        ship_from_elements("<ship length=\"60\" beam=\"12\" depth=\"8\" draft=\"3\" kg=\"4\"/>" BOX(
            "a", "0 12", "-6 6", "0 8") BOX("b", "12 24", "-6 6", "0 8")
                               BOX("c", "24 36", "-6 6", "0 8") BOX("d", "36 48", "-6 6", "0 8")
                                   BOX("e", "48 60", "-6 6", "0 8"));
    coaming_survival_options usual = coaming_survival_options_default();
    coaming_survival *v = expected_of(s, usual.within, usual.work);
    const coaming_survival_index *all = coaming_survival_get_index(v);
    ck_assert_double_gt(all->index[COAMING_AS_BUILT], 0.5);
    ck_assert_double_eq_tol(all->expected.low, all->index[COAMING_AS_BUILT], 1e-12);
    ck_assert_double_eq_tol(all->expected.high, all->index[COAMING_AS_BUILT], 1e-12);
    ck_assert_double_eq(all->expected_error, 0);
    coaming_survival_free(v);
    coaming_ship_free(s);
}
END_TEST

static bool encloses(const coaming_survival_limits *l, double exact)
{
    return l->low <= exact + 1e-9 && l->high >= exact - 1e-9;
}

/* However little work it was, the limits of each case hold what much work finds, and its guess. */
static void check_case_limits(int number, const coaming_survival *exact,
                              const coaming_survival *less)
{
    for (size_t i = 0; i < coaming_survival_count(exact); i++) {
        const coaming_survival_case *c = coaming_survival_get(exact, i);
        const coaming_survival_case *as = coaming_survival_get(less, i);
        if (isnan(as->expected.value)) /* it was not looked into */
            continue;
        CLAIM(encloses(&as->expected, c->expected.value) && encloses(&as->lost, c->lost.value),
              "ship %d, case %zu: %g and %g are not in %g to %g and %g to %g", number, i,
              c->expected.value, c->lost.value, as->expected.low, as->expected.high, as->lost.low,
              as->lost.high);
    }
}

/* Within 1e-9 the expected index is that of cases by themselves; what a closure gains is the index of
 * a ship in which it never leaks less that of this one, and so with the chance that she is lost (to
 * 1e-4: another extent may be the worst of the case then); and hardly any work leaves limits that hold
 * both, and a guess as good as it says. */
START_TEST(test_expected)
{
    char *text = random_ship(900 + (uint64_t)_i, 1);
    coaming_ship *ship = ship_from_elements(text);
    set_chances(ship, _i);
    coaming_survival *exact = expected_of(ship, 1e-9, 0), *rough = expected_of(ship, 0.001, 150);
    const coaming_survival_index *all = coaming_survival_get_index(exact);
    const coaming_survival_index *guess = coaming_survival_get_index(rough);
    double index = 0, lost = 0, ways = 0;
    ck_assert_double_le(all->expected.high - all->expected.low, 2e-9);
    for (size_t i = 0; i < coaming_survival_count(exact); i++) {
        const coaming_survival_case *c = coaming_survival_get(exact, i);
        index += coaming_survival_share(exact, i) * c->expected.value;
        lost += coaming_survival_share(exact, i) * c->lost.value;
    }
    ck_assert_double_eq_tol(all->expected.value, index, 1e-12);
    ck_assert_double_eq_tol(all->lost_expected.value, lost, 1e-12);
    CLAIM(guess->expected.low <= index + 1e-12 && guess->expected.high >= index - 1e-12,
          "ship %d: %g not in %g to %g", _i, index, guess->expected.low, guess->expected.high);
    CLAIM(fabs(guess->expected.value - index) <= 5 * guess->expected_error + 0.01,
          "ship %d: %g +- %g, not %g", _i, guess->expected.value, guess->expected_error, index);
    for (size_t work = 20; work < 600; work = 2 * work) {
        coaming_survival *less = expected_of(ship, 0.001, work);
        const coaming_survival_index *as = coaming_survival_get_index(less);
        check_case_limits(_i, exact, less);
        CLAIM(2 * as->expected_error <= as->expected.high - as->expected.low + 1e-12,
              "ship %d, work %zu: +- %g, from %g to %g", _i, work, as->expected_error,
              as->expected.low, as->expected.high);
        CLAIM(fabs(as->expected.value - index) <= 2 * as->expected_error + 0.005,
              "ship %d, work %zu: %g +- %g, not %g", _i, work, as->expected.value,
              as->expected_error, index);
        CLAIM(fabs(as->lost_expected.value - lost) <= (work < 160 ? 0.3 : 0.05),
              "ship %d, work %zu: lost with %g, not %g", _i, work, as->lost_expected.value, lost);
        coaming_survival_free(less);
    }
    for (size_t i = 0; i < coaming_survival_way_count(exact); i++)
        ways += coaming_survival_way_get(exact, i)->probability;
    ck_assert_double_le(ways, lost + 1e-9);
    for (size_t k = 0; k < ship->closure_count; k++) {
        double chance = ship->links[k].leak_probability;
        ship->links[k].leak_probability = 0;
        coaming_survival *sound = expected_of(ship, 1e-9, 0);
        ship->links[k].leak_probability = chance;
        double gain = coaming_survival_get_index(sound)->expected.value - index;
        double lost_gain = lost - coaming_survival_get_index(sound)->lost_expected.value;
        coaming_survival_closure told = closure_of(exact, (int)k),
                                 rather = closure_of(rough, (int)k);
        CLAIM(fabs(told.index_gain.value - gain) < 1e-8, "ship %d, %s: %g, not %g", _i,
              ship->links[k].id, told.index_gain.value, gain);
        CLAIM(fabs(told.lost_gain.value - lost_gain) < 1e-4, "ship %d, %s: the chance %g, not %g",
              _i, ship->links[k].id, told.lost_gain.value, lost_gain);
        CLAIM(rather.closure < 0 || fabs(rather.lost_gain.value - lost_gain) < 0.06,
              "ship %d, %s: the chance %g by samples, not %g", _i, ship->links[k].id,
              rather.lost_gain.value, lost_gain);
        CLAIM(rather.closure < 0 ||
                  (rather.index_gain.low <= gain + 1e-9 && rather.index_gain.high >= gain - 1e-9),
              "ship %d, %s: %g is not in %g to %g", _i, ship->links[k].id, gain,
              rather.index_gain.low, rather.index_gain.high);
        CLAIM(rather.closure < 0 || (rather.lost_gain.low <= lost_gain + 1e-9 &&
                                     rather.lost_gain.high >= lost_gain - 1e-9),
              "ship %d, %s: the chance %g is not in limits", _i, ship->links[k].id, lost_gain);
        coaming_survival_free(sound);
    }
    coaming_survival_free(rough);
    coaming_survival_free(exact);
    coaming_ship_free(ship);
    free(text);
}
END_TEST

/* With little work guesses are off to either side of what much work finds: where damage may spare what
 * lies low the least of noisy guesses would be too low, the more so the less work. */
START_TEST(test_guesses_lean_to_no_side)
{
    const size_t works[] = {1300, 2600, 5200};
    enum { LOADINGS = 3, GUESSES = LOADINGS * sizeof works / sizeof works[0] };
    coaming_ship *ship = ship_with_history("2026-11-10");
    coaming_survival_options how = coaming_survival_options_default();
    double sum = 0;
    for (how.loading = 0; how.loading < LOADINGS; how.loading++) {
        coaming_survival *much = survival_with(ship, &how, 20000);
        double wanted = coaming_survival_get_index(much)->expected.value;
        for (size_t i = 0; i < sizeof works / sizeof works[0]; i++) {
            coaming_survival *little = survival_with(ship, &how, works[i]);
            const coaming_survival_index *guess = coaming_survival_get_index(little);
            sum += (guess->expected.value - wanted) / guess->expected_error;
            coaming_survival_free(little);
        }
        coaming_survival_free(much);
    }
    printf("%d guesses, off by %.2f standard errors in the mean\n", (int)GUESSES, sum / GUESSES);
    ck_assert_double_lt(fabs(sum / GUESSES), 0.5);
    coaming_ship_free(ship);
}
END_TEST

/* If what failed leaks for sure, and nothing else does, it is as last tested; but for a few cases in
 * which it matters that water comes by leaks once she is at rest, and by what failed from the start. */
START_TEST(test_expected_of_what_is_sure)
{
    char *text = random_ship(900 + (uint64_t)_i, 1);
    coaming_ship *ship = ship_from_elements(text);
    for (size_t k = 0; k < ship->closure_count; k++)
        ship->links[k].leak_probability = coaming_closure_result(ship, (int)k) == COAMING_FAIL;
    coaming_survival *v = expected_of(ship, 0.001, 0);
    const coaming_survival_index *all = coaming_survival_get_index(v);
    ck_assert_double_eq_tol(all->expected.low, all->index[COAMING_AS_TESTED], 5e-4);
    ck_assert_double_eq_tol(all->expected.high, all->index[COAMING_AS_TESTED], 5e-4);
    ck_assert_double_eq_tol(all->lost_expected.value, all->lost[COAMING_AS_TESTED], 5e-4);
    coaming_survival_free(v);
    coaming_ship_free(ship);
    free(text);
}
END_TEST

static void put_limits(FILE *out, const coaming_survival_limits *l)
{
    fprintf(out, " %a in %a to %a", l->value, l->low, l->high);
}

/* All that hangs on who worked what out, to the bit. */
static char *survival_in_full(const coaming_ship *ship, unsigned threads)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    coaming_survival *v = NULL;
    coaming_survival_options how = coaming_survival_options_default();
    how.loading = 0;
    how.work = 500;
    ck_assert_int_eq(survival_by(ship, &how, threads, &v, NULL), COAMING_OK);
    const coaming_survival_index *all = coaming_survival_get_index(v);
    fprintf(out, "%a %a %a %a", all->index[0], all->index[1], all->index[2], all->expected_error);
    put_limits(out, &all->expected);
    put_limits(out, &all->lost_expected);
    for (size_t i = 0; i < coaming_survival_count(v); i++) {
        const coaming_survival_case *c = coaming_survival_get(v, i);
        fprintf(out, "\n%zu: %a %a %a", i, c->s[0], c->s[1], c->s[2]);
        put_limits(out, &c->expected);
        put_limits(out, &c->lost);
    }
    for (size_t i = 0; i < coaming_survival_closure_count(v); i++) {
        const coaming_survival_closure *c = coaming_survival_closure_get(v, i);
        fprintf(out, "\nclosure %d: %a", c->closure, c->tested_gain);
        put_limits(out, &c->index_gain);
        put_limits(out, &c->lost_gain);
    }
    for (size_t i = 0; i < coaming_survival_way_count(v); i++) {
        const coaming_survival_way *w = coaming_survival_way_get(v, i);
        fprintf(out, "\nway of %zu: %a", w->which, w->probability);
        for (size_t k = 0; k < w->closure_count; k++)
            fprintf(out, " %d", w->closures[k]);
    }
    ck_assert_uint_gt(coaming_survival_way_count(v), 5);
    coaming_survival_free(v);
    fclose(out);
    return text;
}

START_TEST(test_threads)
{
    coaming_ship *ship = ship_from_tree("examples/fathom-lark.xml");
    char *one = survival_in_full(ship, 1);
    for (unsigned threads = 2; threads <= 5; threads += 3) {
        char *more = survival_in_full(ship, threads);
        CLAIM(!strcmp(one, more), "%u threads find something else", threads);
        free(more);
    }
    free(one);
    coaming_ship_free(ship);
}
END_TEST

static void put_answers(FILE *out, const damage_cases *sets, const set_answer *answers)
{
    for (size_t i = 0; i < damage_cases_set_count(sets); i++) {
        const set_answer *a = &answers[i];
        fprintf(out, "%zu: %a %a %a, %d %d %d, needed", i, a->s[0], a->s[1], a->s[2],
                (int)a->grade[0], (int)a->grade[1], (int)a->grade[2]);
        for (size_t k = 0; k < a->needed_count; k++)
            fprintf(out, " %d", a->needed[k]);
        for (size_t k = 0; k < a->held_count; k++)
            fprintf(out, ", %d held %a", a->held[k].closure, a->held[k].s);
        fputc('\n', out);
    }
}

/* All sets answered by a settler that keeps no more than it may. */
static char *answers_within(const coaming_ship *ship, size_t most)
{
    char *text = NULL;
    size_t size;
    FILE *out = open_memstream(&text, &size);
    settlers by = {0};
    damage_cases *sets = NULL;
    case_list cases = {0};
    arena memory[TOGETHER_MOST] = {{NULL}};
    ck_assert_int_eq(settlers_make(&by, ship, COAMING_NO_CONDITION, COAMING_NO_LOADING, 1, NULL),
                     COAMING_OK);
    settler_keep(by.each[0], most);
    ck_assert_int_eq(damage_cases_new(ship, ship->draught, &sets, NULL), COAMING_OK);
    ck_assert_int_eq(damage_cases_list(sets, ship->draught, &cases, NULL), COAMING_OK);
    size_t count = damage_cases_set_count(sets), *list = calloc(count, sizeof *list);
    set_answer *answers = calloc(count, sizeof *answers);
    for (size_t i = 0; i < count; i++)
        list[i] = i;
    answer_terms terms = {ship, COAMING_NO_CONDITION, &by};
    ck_assert_int_eq(answer_sets(&terms, sets, list, count, memory, answers, NULL), COAMING_OK);
    put_answers(out, sets, answers);
    const coaming_flotation *f = settler_flotation(by.each[0]);
    CLAIM(f->kept_bytes <= most, "%zu bytes are kept, of %zu", f->kept_bytes, most);
    CLAIM(f->kept_bytes > most / 2 || f->kept_bytes > 100000, "only %zu are", f->kept_bytes);
    fclose(out);
    free(answers);
    free(list);
    arena_free(&memory[0]);
    case_list_free(&cases);
    damage_cases_free(sets);
    settlers_free(&by);
    return text;
}

/* What is kept ends at the bound, and no answer hangs on what is kept. */
START_TEST(test_bound_of_memory)
{
    const size_t bounds[] = {30000, 8000};
    char *text = random_ship(905, 1);
    coaming_ship *ship = ship_from_elements(text);
    char *all = answers_within(ship, FLOTATION_KEPT);
    for (size_t i = 0; i < sizeof bounds / sizeof bounds[0]; i++) {
        char *few = answers_within(ship, bounds[i]);
        CLAIM(!strcmp(all, few), "with %zu bytes something else is found", bounds[i]);
        free(few);
    }
    free(all);
    free(text);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("survival");
    TCase *t = tcase_create("by hand"), *many = tcase_create("random ships");
    tcase_add_test(t, test_three_holds);
    tcase_add_test(t, test_both_have_to_hold);
    tcase_add_test(t, test_loadings_of_the_index);
    tcase_add_test(t, test_digests);
    tcase_add_test(t, test_order_of_spaces);
    tcase_add_test(t, test_loadings_all_alike);
    tcase_add_test(t, test_partial_indexes_required);
    tcase_add_test(t, test_what_cannot_be_told);
    tcase_add_test(t, test_nothing_uncertain);
    tcase_add_loop_test(many, test_cases_as_plainly_asked, 0, 12);
    tcase_add_loop_test(many, test_gains, 0, 6);
    tcase_add_test(many, test_together);
    tcase_add_test(many, test_passenger_ships);
    tcase_add_loop_test(many, test_mirrored, 0, 8);
    tcase_add_loop_test(many, test_expected, 0, 4);
    tcase_add_loop_test(many, test_expected_of_what_is_sure, 0, 6);
    if (getenv("COAMING_SURVIVAL_GUESSES")) /* they take seconds: the full tier */
        tcase_add_test(many, test_guesses_lean_to_no_side);
    tcase_add_test(many, test_threads);
    tcase_add_test(many, test_bound_of_memory);
    suite_add_tcase(s, t);
    suite_add_tcase(s, many);
    return run_suite(s);
}
