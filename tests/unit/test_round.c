/* A round against plain methods: Floyd and Warshall over both sides of every opening for the ways,
 * dynamic programming over subsets for the order. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "analyse/rounds/tour.h"
#include "analyse/rounds/walk.h"
#include "base/memory.h"
#include "coaming/round.h"
#include "runner.h"
#include "ships.h"

/* ---- the exact order ---- */

enum { EXACT_MOST = 17 };

/* Shortest tour over n numbers from 0 in which those from `late` on come after all others (Held and
 * Karp, "A dynamic programming approach to sequencing problems", Journal of SIAM 10(1), 1962;
 * Bellman, Journal of the ACM 9(1), 1962). */
static double exact(const double *d, size_t n, size_t late)
{
    ck_assert_uint_le(n, EXACT_MOST);
    if (n < 2)
        return 0;
    size_t m = n - 1, sets = (size_t)1 << m, early = ((size_t)1 << (late - 1)) - 1;
    double *least = malloc(sets * m * sizeof *least), best = INFINITY;
    for (size_t s = 1; s < sets; s++)
        for (size_t last = 0; last < m; last++) {
            double *cell = &least[s * m + last];
            size_t rest = s & ~((size_t)1 << last);
            *cell = INFINITY;
            if (rest == s || (last + 1 >= late && (rest & early) != early))
                continue; /* it is not there; it is late, and an early one is missing */
            if (!rest)
                *cell = d[last + 1];
            for (size_t k = 0; k < m; k++)
                if (rest >> k & 1)
                    *cell = fmin(*cell, least[rest * m + k] + d[(k + 1) * n + last + 1]);
        }
    for (size_t last = 0; last < m; last++)
        best = fmin(best, least[(sets - 1) * m + last] + d[last + 1]);
    free(least);
    return best;
}

/* ---- tables of distances ---- */

static double unit(dice *d)
{
    return dice_below(d, 1000000) / 1e6;
}

typedef enum { POINTS, ANY, FEW_VALUES, SAME_PLACES, TABLES } table_kind;

static double *random_table(dice *throws, size_t n, table_kind kind)
{
    double *d = calloc(n * n, sizeof *d), *at = calloc(2 * n, sizeof *at);
    for (size_t i = 0; i < 2 * n; i++)
        at[i] = kind == SAME_PLACES ? dice_below(throws, 3) : 1000 * unit(throws);
    for (size_t i = 0; i < n; i++)
        for (size_t j = i + 1; j < n; j++) {
            double far = hypot(at[2 * i] - at[2 * j], at[2 * i + 1] - at[2 * j + 1]);
            if (kind == ANY)
                far = unit(throws);
            if (kind == FEW_VALUES)
                far = dice_below(throws, 3);
            d[i * n + j] = d[j * n + i] = far;
        }
    free(at);
    return d;
}

static void check_order(const int *order, size_t n, size_t late)
{
    bool met[2100] = {false};
    ck_assert_int_eq(order[0], 0);
    for (size_t i = 0; i < n; i++) {
        ck_assert_int_ge(order[i], 0);
        ck_assert_int_lt(order[i], (int)n);
        ck_assert(!met[order[i]]);
        ck_assert(i == 0 || (order[i] >= (int)late) == (i >= late));
        met[order[i]] = true;
    }
}

static void find(const double *d, size_t n, size_t late, double *length, double *bound)
{
    int *order = calloc(n, sizeof *order);
    ck_assert_int_eq(tour_find(d, n, late, order, NULL), COAMING_OK);
    check_order(order, n, late);
    *length = tour_length(d, n, order);
    ck_assert_int_eq(tour_bound(d, n, late, *length, bound, NULL), COAMING_OK);
    free(order);
}

typedef struct {
    int all, equal, near_best;
} tally;

static void try_table(dice *throws, size_t n, size_t late, table_kind kind, tally *count)
{
    double *d = random_table(throws, n, kind), length, bound, best = exact(d, n, late);
    find(d, n, late, &length, &bound);
    ck_assert_double_le(length, 1.05 * best + 1e-9);
    ck_assert_double_ge(length, best - 1e-9 * best);
    ck_assert_double_le(bound, best + 1e-12 * (1 + best));
    /* told of a poor tour only, it cannot lean on the length of a good one */
    ck_assert_int_eq(tour_bound(d, n, late, 3 * best + 1, &bound, NULL), COAMING_OK);
    ck_assert_double_le(bound, best + 1e-12 * (1 + best));
    count->near_best += n > 3 && bound >= 0.9 * best;
    count->equal += length <= best + 1e-9 * best;
    count->all++;
    free(d);
}

START_TEST(few_numbers_come_in_the_best_order)
{
    dice throws = {(uint64_t)_i + 5};
    tally count = {0, 0, 0};
    for (size_t n = 1; n <= 13; n++)
        for (int again = 0; again < (n < 12 ? 10 : 3); again++)
            try_table(&throws, n, n, (table_kind)_i, &count);
    printf("tables of kind %d: %d of %d in the best order; bound within a tenth: %d\n", _i,
           count.equal, count.all, count.near_best);
    ck_assert_int_ge(count.equal, count.all - 1);
    ck_assert_int_ge(count.near_best, 80); /* of 86: it is not merely low */
}
END_TEST

/* Every way to part the numbers into early and late ones. */
START_TEST(what_comes_last_comes_in_the_best_order)
{
    dice throws = {(uint64_t)_i + 77};
    tally count = {0, 0, 0};
    for (size_t n = 2; n <= 13; n++)
        for (size_t late = 1; late < n; late++)
            try_table(&throws, n, late, (table_kind)_i, &count);
    printf("tables of kind %d, some last: %d of %d in the best order; bound within a tenth: %d\n",
           _i, count.equal, count.all, count.near_best);
    ck_assert_int_ge(count.equal, count.all - 2);
    ck_assert_int_ge(count.near_best, count.all * 8 / 10);
}
END_TEST

/* gr17 of G. Reinelt, "TSPLIB - a traveling salesman problem library", ORSA Journal on Computing
 * 3(4), 1991: road distances of 17 towns; shortest tour 2085. */
START_TEST(seventeen_towns_take_2085)
{
    static const int below[] = {
        0,   633, 0,   257, 390, 0,   91,  661, 228, 0,   412, 227, 169, 383, 0,   150, 488,
        112, 120, 267, 0,   80,  572, 196, 77,  351, 63,  0,   134, 530, 154, 105, 309, 34,
        29,  0,   259, 555, 372, 175, 338, 264, 232, 249, 0,   505, 289, 262, 476, 196, 360,
        444, 402, 495, 0,   353, 282, 110, 324, 61,  208, 292, 250, 352, 154, 0,   324, 638,
        437, 240, 421, 329, 297, 314, 95,  578, 435, 0,   70,  567, 191, 27,  346, 83,  47,
        68,  189, 439, 287, 254, 0,   211, 466, 74,  182, 243, 105, 150, 108, 326, 336, 184,
        391, 145, 0,   268, 420, 53,  239, 199, 123, 207, 165, 383, 240, 140, 448, 202, 57,
        0,   246, 745, 472, 237, 528, 364, 332, 349, 202, 685, 542, 157, 289, 426, 483, 0,
        121, 518, 142, 84,  297, 35,  29,  36,  236, 390, 238, 301, 55,  96,  153, 336, 0};
    double d[17 * 17], length, bound;
    for (size_t i = 0, k = 0; i < 17; i++)
        for (size_t j = 0; j <= i; j++, k++)
            d[i * 17 + j] = d[j * 17 + i] = below[k];
    ck_assert_double_eq(exact(d, 17, 17), 2085);
    find(d, 17, 17, &length, &bound);
    ck_assert_double_eq(length, 2085);
    ck_assert_double_le(bound, 2085);
    ck_assert_double_ge(bound, 0.97 * 2085);
}
END_TEST

/* How many of so many that the full tier tries: a quarter. */
static int many(int whole)
{
    return getenv("COAMING_ROUND_WHOLE") ? whole : whole / 4;
}

/* For random points the bound is some 0.7 or 0.8 % under the shortest tour, and at 200 points the
 * edge of the square adds to it (Johnson and McGeoch, "The traveling salesman problem: a case
 * study", in Aarts and Lenstra, Local Search in Combinatorial Optimization, Wiley 1997; from
 * memory). So 1.3 % on average leaves the order within about 0.5 % of the best. */
START_TEST(two_hundred_points_are_close_to_the_bound)
{
    double sum = 0, worst = 0;
    int tables = many(20);
    for (int i = 0; i < tables; i++) {
        dice throws = {(uint64_t)i + 900};
        double *d = random_table(&throws, 200, POINTS), length, bound;
        find(d, 200, 200, &length, &bound);
        ck_assert_double_ge(length, bound);
        sum += length / bound;
        worst = fmax(worst, length / bound);
        free(d);
    }
    printf("200 points: tour/bound %.4f on average, %.4f at worst\n", sum / tables, worst);
    ck_assert_double_le(sum / tables, 1.013);
    ck_assert_double_le(worst, 1.025);
}
END_TEST

/* Heaps of numbers in one place, where the nearest others are all of one's own heap. */
static double *heaps(dice *throws, size_t places, size_t each)
{
    size_t n = places * each;
    double *spot = random_table(throws, places, POINTS), *d = calloc(n * n, sizeof *d);
    for (size_t i = 0; i < n * n; i++)
        d[i] = spot[i / n % places * places + i % n % places];
    free(spot);
    return d;
}

START_TEST(many_in_one_place_take_no_longer_than_one)
{
    static const size_t each[] = {8, 70};
    for (int i = 0; i < 2; i++) {
        dice one = {(uint64_t)i}, many = {(uint64_t)i};
        double *single = heaps(&one, 7, 1), *heap = heaps(&many, 7, each[i]);
        double best = exact(single, 7, 7), length, bound;
        find(heap, 7 * each[i], 7 * each[i], &length, &bound);
        ck_assert_double_eq_tol(length, best, 1e-9 * best);
        ck_assert_double_le(bound, best + 1e-9 * best);
        ck_assert_double_ge(bound, (i ? 0.5 : 0.97) * best); /* weaker for greater heaps */
        free(single);
        free(heap);
    }
}
END_TEST

/* ---- random ships ---- */

typedef struct {
    coaming_ship *ship;
    coaming_round_options options;
    int closures[64]; /* asked for */
    size_t count;
} question;

static void put_place(FILE *out, dice *d, int spaces, int not_this, int *place)
{
    do
        *place = dice_below(d, 5) ? dice_below(d, spaces) : -1 - dice_below(d, 2);
    while (*place == not_this || (*place < 0 && not_this < 0));
    if (*place < 0)
        fputs(*place == COAMING_SEA ? "sea" : "weather", out);
    else
        fprintf(out, "s%d", *place);
}

static void put_from(FILE *out, dice *d, int a, int b)
{
    int side = dice_below(d, 2) ? a : b;
    if (side < 0)
        fprintf(out, "<from side=\"%s\"/>", side == COAMING_SEA ? "sea" : "weather");
    else
        fprintf(out, "<from side=\"s%d\"/>", side);
}

static void put_link(FILE *out, dice *d, int number, int spaces)
{
    static const char *const closures[] = {"door",    "door",   "door",       "hatch",
                                           "scuttle", "valve",  "ventilator", "sidescuttle",
                                           "cover",   "manhole"};
    static const char *const passages[] = {"arch", "stair", "stair", "duct", "cable", "pipe"};
    static const char *const lies[] = {"transverse", "longitudinal", "deck"};
    static const char *const wide[] = {"0.3", "0.4", "0.6", "0.8", "1.2"};
    bool passage = dice_below(d, 5) == 0;
    const char *tag = passage ? "passage" : "closure";
    int a, b;
    fprintf(out, "<%s id=\"c%d\" kind=\"%s\" between=\"", tag, number,
            passage ? passages[dice_below(d, 6)] : closures[dice_below(d, 10)]);
    put_place(out, d, spaces, -9, &a);
    fputc(' ', out);
    put_place(out, d, spaces, a, &b);
    fprintf(out, "\"%s>", passage ? "" : " rating=\"watertight\"");
    if (dice_below(d, 6))
        fprintf(out, "<clear x=\"%d\" y=\"%d\" z=\"%d.5\" width=\"%s\" height=\"%s\" lies=\"%s\"/>",
                dice_below(d, 12), dice_below(d, 8) ? dice_below(d, 6) - 3 : 6, dice_below(d, 5),
                wide[dice_below(d, 5)], wide[dice_below(d, 5)], lies[dice_below(d, 3)]);
    if (!passage && dice_below(d, 6) == 0)
        put_from(out, d, a, b);
    fprintf(out, "</%s>\n", tag);
}

/* Spaces anywhere, links between any two of them: what is walked on is the links. */
static coaming_ship *random_ship(dice *d, int spaces, int links)
{
    char *parts = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&parts, &size);
    for (int s = 0; s < spaces; s++) {
        int x = dice_below(d, 12), y = dice_below(d, 6) - 3, z = dice_below(d, 5);
        fprintf(out,
                "<space id=\"s%d\" name=\"S\" enclosed=\"%s\" walkable=\"%s\"><box x=\"%d %d\" "
                "y=\"%d %d\" z=\"%d %d\"/>"
                "</space>\n",
                s, s > 1 && dice_below(d, 4) == 0 ? "yes" : "no",
                s > 1 && dice_below(d, 8) == 0 ? "no" : "yes", x, x + 1 + dice_below(d, 6), y,
                y + 1 + dice_below(d, 4), z, z + 2);
    }
    for (int pass = 0; pass < links; pass++)
        put_link(out, d, pass, spaces);
    fclose(out);
    char *text = arrangement_with(parts);
    free(parts);
    coaming_ship *ship = NULL;
    coaming_error error;
    coaming_status status = ship_from_text(text, NULL, NULL, &ship, &error);
    ck_assert_msg(status == COAMING_OK, "%s\n%s", status ? error.message : "", text);
    free(text);
    return ship;
}

static question random_question(int number, size_t most)
{
    dice d = {(uint64_t)number * 7919 + 3};
    question q = {random_ship(&d, 2 + dice_below(&d, 5), 6 + dice_below(&d, 18)),
                  coaming_round_options_default(),
                  {0},
                  0};
    static const double doors[] = {0, 20, 3.3};
    q.options.door = doors[dice_below(&d, 3)];
    q.options.pace = 0.5 + unit(&d);
    if (dice_below(&d, 3))
        q.options.start = dice_below(&d, 2); /* the first two are open to walkers */
    q.options.inside = dice_below(&d, 3) == 0;
    for (size_t c = 0; c < q.ship->closure_count && q.count < most; c++)
        if (dice_below(&d, 4))
            q.closures[q.count++] = (int)c;
    for (size_t i = q.count; i > 1; i--) { /* in any order */
        size_t k = (size_t)dice_below(&d, (int)i);
        int kept = q.closures[i - 1];
        q.closures[i - 1] = q.closures[k];
        q.closures[k] = kept;
    }
    return q;
}

/* ---- the plain way, from the description ---- */

enum { NODES = 160 };

/* A node is a side of a link where one can stand; the start is another. */
typedef struct {
    int link; /* -1: the start */
    coaming_place place;
    double x, y, z;
} node;

typedef struct {
    node nodes[NODES];
    int count;
    /* ways that keep out of enclosed spaces, ways that need not */
    double seconds[2][NODES][NODES];
} plain;

static bool can_pass(const ship_link *l)
{
    switch (l->kind) {
    case DOOR:
    case HATCH:
    case SCUTTLE:
    case ARCH:
    case STAIR:
        return !l->clear.given || (l->clear.width >= 0.4 && l->clear.height >= 0.4);
    default:
        return false;
    }
}

static void edges_of(const ship_space *s, double *least, double *most)
{
    least[0] = s->solids[0].x0, most[0] = s->solids[0].x1;
    least[1] = s->solids[0].y0, most[1] = s->solids[0].y1;
    ck_assert_uint_eq(s->solid_count, 1);
}

static node spot_of(const coaming_ship *ship, int link, coaming_place place)
{
    const ship_link *l = &ship->links[link];
    node n = {link, place, l->clear.x, l->clear.y, l->clear.z};
    if (l->clear.given)
        return n;
    double a0[2], a1[2], b0[2], b1[2];
    if (l->a < 0 && l->b < 0)
        n.x = n.y = 0;
    else {
        edges_of(&ship->spaces[l->a >= 0 ? l->a : l->b], a0, a1);
        edges_of(&ship->spaces[l->b >= 0 ? l->b : l->a], b0, b1);
        n.x = (fmax(a0[0], b0[0]) + fmin(a1[0], b1[0])) / 2;
        n.y = (fmax(a0[1], b0[1]) + fmin(a1[1], b1[1])) / 2;
    }
    return n;
}

static bool at_weather(const ship_link *l)
{
    return l->a == COAMING_WEATHER || l->b == COAMING_WEATHER;
}

/* Is the weather side off the hull, a box of 60 x 12 m? Spaces are single boxes. */
static bool overboard(const coaming_ship *ship, const ship_link *l)
{
    coaming_place inner = l->a < 0 ? l->b : l->a;
    if (inner < 0 || !at_weather(l))
        return false;
    if (!l->clear.given || l->clear.lies == DECK)
        return l->kind == SIDESCUTTLE && !l->clear.given;
    int across = l->clear.lies == LONGITUDINAL;
    double least[2], most[2], far[2], at[] = {l->clear.x, l->clear.y};
    edges_of(&ship->spaces[inner], least, most);
    for (int i = 0; i < 2; i++) { /* back and on: how far from the box is one there? */
        double p[] = {at[0], at[1]};
        p[across] += i ? 0.5 : -0.5;
        far[i] = hypot(fmax(0, fmax(least[0] - p[0], p[0] - most[0])),
                       fmax(0, fmax(least[1] - p[1], p[1] - most[1])));
    }
    bool on = far[0] == far[1] ? at[across] >= (across ? 0 : 30) : far[1] > far[0];
    at[across] += on ? 0.5 : -0.5;
    return at[0] < 0 || at[0] > 60 || fabs(at[1]) > 6;
}

static bool on_deck(const question *q, int link)
{
    const ship_link *l = &q->ship->links[link];
    return at_weather(l) && !overboard(q->ship, l);
}

/* -1 where there is none */
static int first_weather_opening(const question *q)
{
    for (int l = 0; l < (int)q->ship->link_count; l++)
        if (on_deck(q, l) && can_pass(&q->ship->links[l]))
            return l;
    for (int l = 0; l < (int)q->ship->link_count && !q->options.inside; l++)
        if (on_deck(q, l))
            return l;
    return -1;
}

static bool can_stand(const question *q, int link, coaming_place place)
{
    if (place >= 0)
        return q->ship->spaces[place].walkable;
    if (place == COAMING_WEATHER && overboard(q->ship, &q->ship->links[link]))
        return false;
    if (place == COAMING_WEATHER && q->options.inside)
        return q->options.start == COAMING_WEATHER && link == first_weather_opening(q);
    return place != COAMING_SEA;
}

static double straight(const coaming_round_options *o, const node *a, const node *b, double *metres)
{
    double level = sqrt((a->x - b->x) * (a->x - b->x) + (a->y - b->y) * (a->y - b->y));
    if (metres)
        *metres += level + fabs(a->z - b->z);
    return level / o->pace + fabs(a->z - b->z) / o->climb;
}

static void put_nodes(plain *p, const question *q)
{
    node start = {-1, q->options.start, 0, 0, 0};
    int entry = first_weather_opening(q);
    if (start.place >= 0) {
        double least[2], most[2];
        edges_of(&q->ship->spaces[start.place], least, most);
        start.x = (least[0] + most[0]) / 2, start.y = (least[1] + most[1]) / 2;
        start.z = q->ship->spaces[start.place].bottom;
    } else if (entry >= 0) {
        start = spot_of(q->ship, entry, COAMING_WEATHER);
        start.link = -1;
    } else
        start.place = COAMING_SEA;
    p->nodes[p->count++] = start;
    for (int l = 0; l < (int)q->ship->link_count; l++) {
        const coaming_place sides[] = {q->ship->links[l].a, q->ship->links[l].b};
        for (int i = 0; i < 2; i++)
            if (can_stand(q, l, sides[i]))
                p->nodes[p->count++] = spot_of(q->ship, l, sides[i]);
    }
    ck_assert_int_le(p->count, NODES);
}

static bool is_enclosed(const question *q, coaming_place place)
{
    return place >= 0 && q->ship->spaces[place].enclosed;
}

static double step_seconds(const question *q, const node *a, const node *b, bool enter)
{
    if (a->place == b->place && a->place != COAMING_SEA)
        return enter || !is_enclosed(q, a->place) ? straight(&q->options, a, b, NULL) : INFINITY;
    if (a->link == b->link && a->link >= 0 && can_pass(&q->ship->links[a->link]))
        return q->ship->links[a->link].passage ? 0 : q->options.door;
    return INFINITY;
}

static void fill_ways(const question *q, plain *p, bool enter)
{
    int n = p->count;
    double(*seconds)[NODES] = p->seconds[enter];
    for (int i = 0; i < n; i++)
        for (int j = 0; j < n; j++)
            seconds[i][j] = i == j ? 0 : step_seconds(q, &p->nodes[i], &p->nodes[j], enter);
    for (int k = 0; k < n; k++)
        for (int i = 0; i < n; i++)
            for (int j = 0; j < n; j++)
                seconds[i][j] = fmin(seconds[i][j], seconds[i][k] + seconds[k][j]);
}

static plain *plain_ways(const question *q)
{
    plain *p = calloc(1, sizeof *p);
    put_nodes(p, q);
    fill_ways(q, p, false);
    fill_ways(q, p, true);
    return p;
}

/* Nodes from which a closure is got at: both sides where they are alike and it can be passed, else
 * the nearer. It is worked from there as the arrangement has it, and where somebody goes into an
 * enclosed space for it, there is no way without. */
static int access_of(const plain *p, const question *q, int closure, bool enter, int *access)
{
    const ship_link *l = &q->ship->links[closure];
    int count = 0;
    for (int v = 1; v < p->count; v++)
        if (p->nodes[v].link == closure && (!l->one_sided || p->nodes[v].place == l->from) &&
            isfinite(p->seconds[enter][0][v]) && (enter || !is_enclosed(q, p->nodes[v].place)))
            access[count++] = v;
    if (count == 2 && (!can_pass(l) || is_enclosed(q, p->nodes[access[0]].place) !=
                                           is_enclosed(q, p->nodes[access[1]].place))) {
        double first = p->seconds[enter][0][access[0]], second = p->seconds[enter][0][access[1]];
        access[0] = second < first - 1e-9 * first ? access[1] : access[0];
        count = 1;
    }
    return count;
}

/* Points and their distances; the start is point 0. */
typedef struct {
    size_t n, late; /* the first that takes going into an enclosed space */
    int closure[64], access[64][2], accesses[64];
    double seconds[64 * 64];
} points;

static void add_points(const plain *p, const question *q, bool enter, points *r)
{
    for (size_t i = 0; i < q->count; i++) {
        int closure = q->closures[i], other[2];
        if (enter && access_of(p, q, closure, false, other))
            continue;
        r->closure[r->n] = closure;
        r->accesses[r->n] = access_of(p, q, closure, enter, r->access[r->n]);
        r->n += r->accesses[r->n] > 0;
    }
}

static points *plain_points(const plain *p, const question *q)
{
    points *r = calloc(1, sizeof *r);
    r->n = 1;
    r->closure[0] = -1;
    r->accesses[0] = 1;
    add_points(p, q, false, r);
    r->late = r->n;
    add_points(p, q, true, r);
    for (size_t i = 0; i < r->n; i++)
        for (size_t j = 0; j < r->n; j++) {
            double least = i == j ? 0 : INFINITY;
            bool enter = i >= r->late || j >= r->late;
            for (int a = 0; a < r->accesses[i]; a++)
                for (int b = 0; b < r->accesses[j]; b++)
                    least = fmin(least, p->seconds[enter][r->access[i][a]][r->access[j][b]]);
            r->seconds[i * r->n + j] = least;
        }
    return r;
}

static bool may_stand_at(const plain *p, const points *r, size_t point, coaming_place place)
{
    for (int a = 0; a < r->accesses[point]; a++)
        if (p->nodes[r->access[point][a]].place == place)
            return true;
    return false;
}

/* Counts a place on a way if it is enclosed; false where the leg does not tell it. */
static bool told(const question *q, coaming_place place, const coaming_round_stop *leg, size_t *k)
{
    if (!is_enclosed(q, place))
        return true;
    return *k < leg->enclosed_count && leg->enclosed[(*k)++] == place;
}

/* Does the leg lead from a point at one of its places through its links to the other point? It
 * tells all enclosed spaces on the way, and early legs have none. */
static bool leads(const question *q, const plain *p, const points *r, size_t from, size_t to,
                  coaming_place place, const coaming_round_stop *leg)
{
    size_t k = 0;
    if (!may_stand_at(p, r, from, place) || !told(q, place, leg, &k))
        return false;
    for (size_t i = 0; i < leg->through_count; i++) {
        const ship_link *l = &q->ship->links[leg->through[i]];
        ck_assert(can_pass(l));
        if (l->a != place && l->b != place)
            return false;
        place = l->a == place ? l->b : l->a;
        if (!can_stand(q, leg->through[i], place) || !told(q, place, leg, &k))
            return false;
    }
    if (k != leg->enclosed_count || (k && from < r->late && to < r->late))
        return false;
    return place == leg->side && may_stand_at(p, r, to, place);
}

static void check_leg(const question *q, const plain *p, const points *r, size_t from, size_t to,
                      const coaming_round_stop *leg)
{
    bool good = from == to;
    for (int a = 0; a < r->accesses[from]; a++)
        good = good || leads(q, p, r, from, to, p->nodes[r->access[from][a]].place, leg);
    ck_assert(good);
    double seconds = 0, metres = 0;
    node at = p->nodes[r->access[from][0]];
    for (size_t i = 0; i < leg->through_count; i++) {
        node next = spot_of(q->ship, leg->through[i], 0);
        seconds += straight(&q->options, &at, &next, &metres) +
                   (q->ship->links[leg->through[i]].passage ? 0 : q->options.door);
        at = next;
    }
    seconds += straight(&q->options, &at, &p->nodes[r->access[to][0]], &metres);
    ck_assert_int_eq(leg->closure, r->closure[to]);
    ck_assert_double_eq_tol(leg->seconds, seconds, 1e-9 * (1 + seconds));
    ck_assert_double_eq_tol(leg->metres, metres, 1e-9 * (1 + metres));
    ck_assert_double_eq_tol(leg->seconds, r->seconds[from * r->n + to], 1e-9 * (1 + seconds));
}

static size_t through_total, unreached_total, late_total;

static void check_ways(int number)
{
    question q = random_question(number, 40);
    plain *p = plain_ways(&q);
    points *r = plain_points(p, &q);
    walk *w = NULL;
    ck_assert_int_eq(walk_new(q.ship, &q.options, q.closures, q.count, &w, NULL), COAMING_OK);
    ck_assert_uint_eq(walk_points(w), r->n);
    ck_assert_uint_eq(walk_late(w), r->late);
    late_total += r->n - r->late;
    size_t n = r->n, unreached;
    walk_unreached(w, &unreached);
    ck_assert_uint_eq(unreached + n - 1, q.count);
    double *seconds = calloc(n * n, sizeof *seconds);
    walk_table(w, seconds);
    arena memory = {NULL};
    for (size_t i = 0; i < n * n; i++) {
        coaming_round_stop leg;
        ck_assert_msg(fabs(seconds[i] - r->seconds[i]) <= 1e-9 * (1 + r->seconds[i]),
                      "ship %d, point %zu to %zu: %g, plain %g", number, i / n, i % n, seconds[i],
                      r->seconds[i]);
        ck_assert(seconds[i] == seconds[i % n * n + i / n]);
        ck_assert_int_eq(walk_leg(w, i / n, i % n, &memory, &leg, NULL), COAMING_OK);
        check_leg(&q, p, r, i / n, i % n, &leg);
        through_total += leg.through_count;
    }
    unreached_total += unreached;
    arena_free(&memory);
    walk_free(w);
    free(seconds);
    free(r);
    free(p);
    coaming_ship_free(q.ship);
}

START_TEST(ways_between_all_pairs_agree_with_the_plain_method)
{
    through_total = unreached_total = late_total = 0;
    int ships = many(400);
    for (int i = 0; i < ships; i++)
        check_ways(i);
    ck_assert_uint_gt(through_total,
                      25 * (size_t)ships); /* the ships are no mere heaps of closures */
    ck_assert_uint_gt(unreached_total, (size_t)ships / 2);
    ck_assert_uint_gt(late_total, (size_t)ships / 2);
}
END_TEST

static size_t find_point(const points *r, int closure)
{
    for (size_t i = 0; i < r->n; i++)
        if (r->closure[i] == closure)
            return i;
    ck_abort_msg("closure %d is not to be reached", closure);
}

/* Every leg, the sums, and the closures left out. */
static void check_round(const coaming_round *round, const question *q, const plain *p,
                        const points *r)
{
    double seconds = 0, metres = 0;
    size_t n = coaming_round_count(round), at = 0, unreached, outside;
    bool met[64] = {true};
    ck_assert_uint_eq(n, r->n - 1);
    for (size_t i = 0; i <= n; i++) {
        const coaming_round_stop *leg =
            i < n ? coaming_round_get(round, i) : coaming_round_home(round);
        size_t to = i < n ? find_point(r, leg->closure) : 0;
        ck_assert(i == n || !met[to]);
        met[to] = true;
        ck_assert(i == n || (to >= r->late) == (i + 1 >= r->late)); /* enclosed spaces last */
        check_leg(q, p, r, at, to, leg);
        seconds += leg->seconds;
        metres += leg->metres;
        at = to;
    }
    ck_assert_double_eq_tol(coaming_round_seconds(round), seconds, 1e-9 * (1 + seconds));
    ck_assert_double_eq_tol(coaming_round_metres(round), metres, 1e-9 * (1 + metres));
    const int *left = coaming_round_unreached(round, &unreached);
    coaming_round_outside(round, &outside);
    ck_assert_uint_eq(unreached + outside + n, q->count);
    for (size_t i = 0, k = 0; i < unreached; i++) {
        while (q->closures[k] != left[i])
            ck_assert_uint_lt(++k, q->count); /* in the order given */
        for (size_t point = 1; point < r->n; point++)
            ck_assert_int_ne(r->closure[point], left[i]);
    }
}

START_TEST(rounds_of_up_to_twelve_stops_are_the_shortest)
{
    int all = 0, equal = 0, met = 0, entered = 0, rounds = many(300);
    for (int i = 1000; all < rounds; i++) {
        question q = random_question(i, 12);
        plain *p = plain_ways(&q);
        points *r = plain_points(p, &q);
        coaming_round *round = NULL;
        ck_assert_int_eq(coaming_round_new(q.ship, &q.options, q.closures, q.count, &round, NULL),
                         COAMING_OK);
        check_round(round, &q, p, r);
        double best = exact(r->seconds, r->n, r->late), found = coaming_round_seconds(round);
        double bound = coaming_round_bound(round);
        ck_assert_double_le(found, 1.05 * best + 1e-9);
        ck_assert_double_ge(found, best - 1e-9 * best);
        ck_assert_double_le(bound, best + 1e-9 * best);
        ck_assert_double_le(bound, found);
        if (r->n >= 5) {
            all++;
            entered += r->late < r->n;
            equal += found <= best + 1e-9 * best;
            met += bound >= best - 1e-6 * best;
        }
        coaming_round_free(round);
        free(r);
        free(p);
        coaming_ship_free(q.ship);
    }
    printf("rounds of 4 to 12 stops: %d of %d the shortest; %d proved so by the bound; enclosed "
           "spaces entered in %d\n",
           equal, all, met, entered);
    ck_assert_int_ge(entered, rounds * 2 / 15);
    ck_assert_int_ge(equal, all - 3);
}
END_TEST

/* ---- cases worked out by hand ---- */

/* Two spaces end to end, a door and a manhole between them, a valve to the sea, a hatch up. */
static const char two_spaces[] =
    "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-3 3\" z=\"0 3\"/></space>"
    "<space id=\"b\" name=\"B\"><box x=\"10 20\" y=\"-3 3\" z=\"0 3\"/></space>"
    "<space id=\"c\" name=\"C\"><box x=\"20 30\" y=\"-3 3\" z=\"0 3\"/></space>"
    "<closure id=\"door\" kind=\"door\" between=\"a b\" rating=\"watertight\">"
    "<clear x=\"10\" y=\"0\" z=\"0\" width=\"0.7\" height=\"1.7\" lies=\"transverse\"/></closure>"
    "<closure id=\"valve\" kind=\"valve\" between=\"sea a\" rating=\"watertight\">"
    "<clear x=\"2\" y=\"3\" z=\"1\" width=\"0.2\" height=\"0.2\" lies=\"longitudinal\"/></closure>"
    "<closure id=\"manhole\" kind=\"manhole\" between=\"b a\" rating=\"watertight\">"
    "<clear x=\"10\" y=\"3\" z=\"0\" width=\"0.5\" height=\"0.6\" lies=\"transverse\"/></closure>"
    "<closure id=\"hatch\" kind=\"hatch\" between=\"b weather\" rating=\"weathertight\">"
    "<clear x=\"15\" y=\"0\" z=\"3\" width=\"0.7\" height=\"0.7\" lies=\"deck\"/></closure>"
    "<closure id=\"far\" kind=\"valve\" between=\"c sea\" rating=\"watertight\">"
    "<clear x=\"25\" y=\"3\" z=\"1\" width=\"0.2\" height=\"0.2\" lies=\"longitudinal\"/></closure>"
    "<closure id=\"twin\" kind=\"door\" between=\"b a\" rating=\"watertight\">"
    "<clear x=\"10\" y=\"0\" z=\"0\" width=\"0.7\" height=\"1.7\" lies=\"transverse\"/></closure>"
    "<closure id=\"vent\" kind=\"ventilator\" between=\"b weather\" rating=\"weathertight\">"
    "<clear x=\"15\" y=\"4\" z=\"3\" width=\"0.2\" height=\"0.2\" lies=\"deck\"/></closure>";
enum { THE_DOOR, VALVE_A, MANHOLE_AB, THE_HATCH, FAR_VALVE, TWIN, VENT, CLOSURES };

static coaming_ship *hand_ship(void)
{
    char *text = arrangement_with(two_spaces);
    coaming_ship *ship = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    free(text);
    return ship;
}

static coaming_round_options hand_options(coaming_place start)
{
    return (coaming_round_options){.start = start, .pace = 1, .climb = 0.5, .door = 10};
}

static coaming_round *go(const coaming_ship *ship, coaming_round_options options, size_t count,
                         const int *closures)
{
    coaming_round *round = NULL;
    ck_assert_int_eq(coaming_round_new(ship, &options, closures, count, &round, NULL), COAMING_OK);
    ck_assert_double_le(coaming_round_bound(round), coaming_round_seconds(round));
    return round;
}

START_TEST(no_closures_make_no_walk)
{
    coaming_ship *ship = hand_ship();
    coaming_round *round = go(ship, hand_options(0), 0, NULL);
    ck_assert_uint_eq(coaming_round_count(round), 0);
    ck_assert_double_eq(coaming_round_seconds(round), 0);
    ck_assert_double_eq(coaming_round_metres(round), 0);
    ck_assert_double_eq(coaming_round_bound(round), 0);
    ck_assert_int_eq(coaming_round_home(round)->closure, -1);
    ck_assert_int_eq(coaming_round_home(round)->side, 0);
    coaming_round_free(round);
    coaming_ship_free(ship);
    coaming_round_free(NULL);
}
END_TEST

static void check_one(const coaming_ship *ship, coaming_round_options o, int closure,
                      coaming_place side, double there, double metres, int through)
{
    coaming_round *round = go(ship, o, 1, &closure);
    ck_assert_uint_eq(coaming_round_count(round), 1);
    const coaming_round_stop *stop = coaming_round_get(round, 0), *home = coaming_round_home(round);
    ck_assert_int_eq(stop->closure, closure);
    ck_assert_int_eq(stop->side, side);
    ck_assert_double_eq_tol(stop->seconds, there, 1e-12);
    ck_assert_double_eq_tol(stop->metres, metres, 1e-12);
    ck_assert_double_eq_tol(home->seconds, there, 1e-12);
    ck_assert_int_eq(home->side, o.start);
    ck_assert_double_eq_tol(coaming_round_seconds(round), 2 * there, 1e-12);
    ck_assert_double_eq_tol(coaming_round_bound(round), 2 * there, 1e-12);
    ck_assert_uint_eq(stop->through_count, through >= 0);
    ck_assert_uint_eq(home->through_count, through >= 0);
    if (through >= 0)
        ck_assert_int_eq(stop->through[0], through);
    coaming_round_free(round);
}

START_TEST(one_stop_takes_the_way_there_twice)
{
    coaming_ship *ship = hand_ship();
    /* from (5, 0, 0) in A to the valve at (2, 3, 1) */
    check_one(ship, hand_options(0), VALVE_A, 0, sqrt(18) + 2, sqrt(18) + 1, -1);
    /* the door itself is not opened */
    check_one(ship, hand_options(0), THE_DOOR, 0, 5, 5, -1);
    check_one(ship, hand_options(1), THE_DOOR, 1, 5, 5, -1);
    /* the manhole, first of whose sides is B, from the side where one is */
    check_one(ship, hand_options(0), MANHOLE_AB, 0, sqrt(34), sqrt(34), -1);
    check_one(ship, hand_options(1), MANHOLE_AB, 1, sqrt(34), sqrt(34), -1);
    /* through the door and up to the hatch: 5 + 10 + 5 and 3 m up at 0.5 m/s */
    coaming_round *round = go(ship, hand_options(0), 1, (int[]){THE_HATCH});
    ck_assert_double_eq_tol(coaming_round_seconds(round), 52, 1e-12);
    coaming_round_free(round);
    /* from the weather one starts at the hatch: 10 s to pass it, 3 m down, 5 m on */
    check_one(ship, hand_options(COAMING_WEATHER), THE_HATCH, COAMING_WEATHER, 0, 0, -1);
    check_one(ship, hand_options(COAMING_WEATHER), THE_DOOR, 1, 21, 8, THE_HATCH);
    check_one(ship, hand_options(COAMING_WEATHER), VENT, COAMING_WEATHER, 4, 4, -1);
    /* with the deck closed to him he goes in and looks at the ventilator from below */
    coaming_round_options inside = hand_options(COAMING_WEATHER);
    inside.inside = true;
    check_one(ship, inside, VENT, 1, 14, 4, THE_HATCH);
    check_one(ship, inside, THE_HATCH, COAMING_WEATHER, 0, 0, -1);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(a_door_is_left_to_either_side)
{
    coaming_ship *ship = hand_ship();
    /* to the door 5, on to the hatch 5 + 6, and home through the door 5 + 6 + 10 + 5 */
    coaming_round *round = go(ship, hand_options(0), 2, (int[]){THE_HATCH, THE_DOOR});
    ck_assert_double_eq_tol(coaming_round_seconds(round), 42, 1e-12);
    ck_assert_double_eq_tol(coaming_round_bound(round), 42, 1e-9);
    ck_assert_int_eq(coaming_round_get(round, 0)->closure, THE_DOOR);
    coaming_round_free(round);
    /* two doors at one place: out by one and home by the other, none of them opened for passing */
    round = go(ship, hand_options(0), 3, (int[]){TWIN, THE_HATCH, THE_DOOR});
    ck_assert_double_eq_tol(coaming_round_seconds(round), 32, 1e-12);
    ck_assert_int_eq(coaming_round_get(round, 1)->closure, THE_HATCH);
    coaming_round_free(round);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(what_no_way_leads_to_is_left_out)
{
    coaming_ship *ship = hand_ship();
    size_t count;
    coaming_round *round = go(ship, hand_options(0), 3, (int[]){FAR_VALVE, VALVE_A, THE_DOOR});
    ck_assert_uint_eq(coaming_round_count(round), 2);
    ck_assert_int_eq(*coaming_round_unreached(round, &count), FAR_VALVE);
    ck_assert_uint_eq(count, 1);
    coaming_round_free(round);
    /* no way out of C: its own valve is all there is */
    round = go(ship, hand_options(2), 3, (int[]){THE_DOOR, FAR_VALVE, VALVE_A});
    ck_assert_uint_eq(coaming_round_count(round), 1);
    ck_assert_int_eq(coaming_round_get(round, 0)->closure, FAR_VALVE);
    const int *left = coaming_round_unreached(round, &count);
    ck_assert_uint_eq(count, 2);
    ck_assert(left[0] == THE_DOOR && left[1] == VALVE_A);
    coaming_round_free(round);
    coaming_ship_free(ship);
}
END_TEST

/* Nothing but valves and one opening too small for anybody. */
START_TEST(where_nobody_can_pass_the_walk_stays_in_its_space)
{
    char *text = arrangement_with(
        "<space id=\"a\" name=\"A\"><box x=\"0 10\" y=\"-3 3\" z=\"0 3\"/></space>"
        "<closure id=\"v\" kind=\"valve\" between=\"a sea\" rating=\"watertight\"/>"
        "<closure id=\"w\" kind=\"valve\" between=\"sea a\" rating=\"watertight\"/>"
        "<closure id=\"h\" kind=\"hatch\" between=\"weather a\" rating=\"weathertight\">"
        "<clear x=\"5\" y=\"0\" z=\"3\" width=\"0.39\" height=\"0.7\" lies=\"deck\"/></closure>");
    coaming_ship *ship = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    free(text);
    /* without <clear> both valves are at the middle of A's floor, where the walk starts */
    coaming_round *round = go(ship, hand_options(0), 2, (int[]){0, 1});
    ck_assert_uint_eq(coaming_round_count(round), 2);
    ck_assert_double_eq(coaming_round_seconds(round), 0);
    coaming_round_free(round);
    round = go(ship, hand_options(0), 3, (int[]){0, 1, 2});
    ck_assert_double_eq_tol(coaming_round_seconds(round), 12, 1e-12);
    coaming_round_free(round);
    /* from the weather only the hatch, from above; not even that with the deck closed */
    size_t count;
    round = go(ship, hand_options(COAMING_WEATHER), 3, (int[]){0, 1, 2});
    ck_assert_uint_eq(coaming_round_count(round), 1);
    ck_assert_int_eq(coaming_round_get(round, 0)->side, COAMING_WEATHER);
    coaming_round_free(round);
    coaming_round_options inside = hand_options(COAMING_WEATHER);
    inside.inside = true;
    round = go(ship, inside, 3, (int[]){0, 1, 2});
    ck_assert_uint_eq(coaming_round_count(round), 0);
    coaming_round_unreached(round, &count);
    ck_assert_uint_eq(count, 3);
    coaming_round_free(round);
    coaming_ship_free(ship);
}
END_TEST

/* A room, a void forward of it with a valve in it, a trunk where nobody walks, a house on deck. The
 * hull is a box of 60 x 12 m. */
static const char dangers[] =
    "<space id=\"room\" name=\"R\"><box x=\"0 10\" y=\"-6 6\" z=\"0 6\"/></space>"
    "<space id=\"void\" name=\"V\" use=\"void\"><box x=\"10 20\" y=\"-6 6\" z=\"0 6\"/></space>"
    "<space id=\"trunk\" name=\"T\" walkable=\"no\"><box x=\"20 30\" y=\"-6 6\" z=\"0 6\"/></space>"
    "<space id=\"house\" name=\"H\"><box x=\"0 10\" y=\"-5 6\" z=\"7 9\"/></space>"
    "<closure id=\"hatch\" kind=\"hatch\" between=\"weather room\" rating=\"weathertight\">"
    "<clear x=\"5\" y=\"0\" z=\"7\" width=\"1\" height=\"1\" lies=\"deck\"/></closure>"
    "<closure id=\"deep\" kind=\"valve\" between=\"void sea\" rating=\"watertight\">"
    "<clear x=\"15\" y=\"6\" z=\"1\" width=\"0.1\" height=\"0.1\" lies=\"longitudinal\"/></closure>"
    "<closure id=\"scuttle\" kind=\"scuttle\" between=\"void weather\" rating=\"weathertight\">"
    "<clear x=\"12\" y=\"0\" z=\"7\" width=\"0.6\" height=\"0.6\" lies=\"deck\"/></closure>"
    "<closure id=\"manhole\" kind=\"manhole\" between=\"void room\" rating=\"watertight\">"
    "<clear x=\"10\" y=\"0\" z=\"1\" width=\"0.5\" height=\"0.6\" lies=\"transverse\"/></closure>"
    "<closure id=\"light\" kind=\"sidescuttle\" between=\"weather room\" rating=\"watertight\">"
    "<clear x=\"5\" y=\"-6\" z=\"5\" width=\"0.3\" height=\"0.3\" lies=\"longitudinal\"/></closure>"
    "<closure id=\"blank\" kind=\"cover\" between=\"room weather\" rating=\"watertight\">"
    "<clear x=\"0\" y=\"1\" z=\"5\" width=\"1\" height=\"1\" lies=\"transverse\"/>"
    "<from side=\"weather\"/></closure>"
    "<closure id=\"chest\" kind=\"cover\" between=\"trunk sea\" rating=\"watertight\"/>"
    "<closure id=\"plate\" kind=\"cover\" between=\"trunk room\" rating=\"watertight\">"
    "<from side=\"trunk\"/></closure>"
    "<closure id=\"window\" kind=\"sidescuttle\" between=\"house weather\" rating=\"weathertight\">"
    "<clear x=\"5\" y=\"-5\" z=\"8\" width=\"0.3\" height=\"0.3\" lies=\"longitudinal\"/></closure>"
    "<closure id=\"flush\" kind=\"sidescuttle\" between=\"house weather\" rating=\"weathertight\">"
    "<clear x=\"5\" y=\"6\" z=\"8\" width=\"0.3\" height=\"0.3\" lies=\"longitudinal\"/></closure>";
enum {
    HATCH_UP,
    DEEP,
    VOID_SCUTTLE,
    VOID_MANHOLE,
    SIDE_LIGHT,
    BLANK,
    CHEST,
    PLATE,
    WINDOW,
    FLUSH,
    ALL
};

static void check_stop(const coaming_round *round, size_t index, int closure, coaming_place side,
                       size_t enclosed)
{
    const coaming_round_stop *s = coaming_round_get(round, index);
    ck_assert_int_eq(s->closure, closure);
    ck_assert_int_eq(s->side, side);
    ck_assert_uint_eq(s->enclosed_count, enclosed);
}

START_TEST(nobody_is_sent_into_danger_without_need)
{
    char *text = arrangement_with(dangers);
    coaming_ship *ship = NULL;
    ck_assert_int_eq(ship_from_text(text, NULL, NULL, &ship, NULL), COAMING_OK);
    free(text);
    /* the manhole from the room, the scuttle from the deck; the valve in the void comes last, also
     * where it is the nearest */
    coaming_round_options o = hand_options(COAMING_WEATHER);
    int asked[] = {DEEP, VOID_MANHOLE, VOID_SCUTTLE, SIDE_LIGHT};
    coaming_round *round = go(ship, o, 4, asked);
    ck_assert_uint_eq(coaming_round_count(round), 4);
    for (size_t i = 0; i < 3; i++) {
        const coaming_round_stop *s = coaming_round_get(round, i);
        ck_assert_int_eq(s->side, s->closure == VOID_SCUTTLE ? COAMING_WEATHER : 0);
        ck_assert_uint_eq(s->enclosed_count, 0);
    }
    check_stop(round, 3, DEEP, 1, 1);
    size_t count;
    const int *enclosed = coaming_round_enclosed(round, &count);
    ck_assert_uint_eq(count, 1);
    ck_assert_int_eq(enclosed[0], 1);
    coaming_round_free(round);
    /* nothing in the void: nobody goes in, though the way through it is shorter */
    round = go(ship, o, 2, (int[]){VOID_MANHOLE, VOID_SCUTTLE});
    coaming_round_enclosed(round, &count);
    ck_assert_uint_eq(count, 0);
    coaming_round_free(round);
    /* the ship's side from inside; from outside only: the cover worked from there and the sea chest
     * of the trunk; the plate that is worked from where nobody walks is not got at */
    static const int everything[] = {0, 1, 2, 3, 4, 5, 6, 7, 8, 9};
    round = go(ship, o, ALL, everything);
    const int *outside = coaming_round_outside(round, &count);
    ck_assert_uint_eq(count, 2);
    ck_assert(outside[0] == BLANK && outside[1] == CHEST);
    const int *left = coaming_round_unreached(round, &count);
    ck_assert_uint_eq(count, 2);
    ck_assert(left[0] == PLATE && left[1] == FLUSH); /* no way leads into the house */
    for (size_t i = 0; i < coaming_round_count(round); i++) {
        const coaming_round_stop *s = coaming_round_get(round, i);
        if (s->closure == SIDE_LIGHT)
            ck_assert_int_eq(s->side, 0);
        if (s->closure == WINDOW) /* there is a metre of deck outside it */
            ck_assert_int_eq(s->side, COAMING_WEATHER);
    }
    coaming_round_free(round);
    for (int start = 1; start <= 2; start++) {
        o.start = start;
        coaming_error error;
        ck_assert_int_eq(coaming_round_new(ship, &o, asked, 4, &round, &error), COAMING_USAGE);
        ck_assert_ptr_nonnull(strstr(error.message, start == 1 ? "'void'" : "'trunk'"));
    }
    coaming_ship_free(ship);
}
END_TEST

/* What is avoided is as if nobody walked there. */
START_TEST(spaces_to_be_avoided_are_as_those_where_nobody_walks)
{
    int changed = 0;
    for (int i = 0; i < 60; i++) {
        question q = random_question(i, 12);
        coaming_round *avoids = NULL, *all = NULL;
        int last = (int)q.ship->space_count - 1;
        if (q.options.start == last)
            q.options.start = COAMING_WEATHER;
        all = go(q.ship, q.options, q.count, q.closures);
        q.options.avoid = &last;
        q.options.avoid_count = 1;
        avoids = go(q.ship, q.options, q.count, q.closures);
        q.options.avoid_count = 0;
        changed += coaming_round_seconds(all) != coaming_round_seconds(avoids);
        coaming_round_free(all);
        q.ship->spaces[last].walkable = false;
        all = go(q.ship, q.options, q.count, q.closures);
        ck_assert_double_eq(coaming_round_seconds(all), coaming_round_seconds(avoids));
        ck_assert_uint_eq(coaming_round_count(all), coaming_round_count(avoids));
        for (size_t k = 0; k < coaming_round_count(all); k++) {
            ck_assert_int_eq(coaming_round_get(all, k)->closure,
                             coaming_round_get(avoids, k)->closure);
            ck_assert_int_ne(coaming_round_get(avoids, k)->side, last);
        }
        coaming_round_free(all);
        coaming_round_free(avoids);
        coaming_ship_free(q.ship);
    }
    ck_assert_int_ge(changed, 10);
}
END_TEST

START_TEST(what_is_not_offered_is_refused)
{
    enum { BAD = 12 };
    coaming_ship *ship = hand_ship();
    coaming_round *round = NULL;
    coaming_error error;
    static int many[COAMING_ROUND_MOST + 1];
    coaming_round_options good = hand_options(0), bad[BAD];
    for (int i = 0; i < BAD; i++)
        bad[i] = good;
    bad[0].start = COAMING_SEA;
    bad[1].start = 3;
    bad[2].pace = 0;
    bad[3].pace = INFINITY;
    bad[4].climb = NAN;
    bad[5].climb = -1;
    bad[6].door = -1;
    bad[7].door = INFINITY;
    bad[8].pace = 1e-308;
    bad[9].avoid = (int[]){1, 0}; /* the start among them */
    bad[9].avoid_count = 2;
    bad[10].avoid = (int[]){1, 3};
    bad[10].avoid_count = 2;
    bad[11].avoid = (int[]){COAMING_WEATHER};
    bad[11].avoid_count = 1;
    for (int i = 0; i < BAD; i++)
        ck_assert_int_eq(coaming_round_new(ship, &bad[i], (int[]){0}, 1, &round, &error),
                         COAMING_USAGE);
    ck_assert_int_eq(coaming_round_new(ship, &good, (int[]){0, 1, 0}, 3, &round, &error),
                     COAMING_USAGE);
    ck_assert_int_eq(coaming_round_new(ship, &good, (int[]){CLOSURES}, 1, &round, &error),
                     COAMING_USAGE);
    ck_assert_int_eq(coaming_round_new(ship, &good, (int[]){-1}, 1, &round, &error), COAMING_USAGE);
    ck_assert_int_eq(coaming_round_new(ship, &good, many, COAMING_ROUND_MOST + 1, &round, &error),
                     COAMING_USAGE);
    ck_assert_ptr_null(round);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(the_same_ship_gives_the_same_walk)
{
    for (int i = 0; i < 20; i++) {
        question q = random_question(i, 12);
        coaming_round *one = go(q.ship, q.options, q.count, q.closures);
        coaming_round *two = go(q.ship, q.options, q.count, q.closures);
        for (size_t k = 0; k < coaming_round_count(one); k++)
            ck_assert_int_eq(coaming_round_get(one, k)->closure,
                             coaming_round_get(two, k)->closure);
        coaming_round_free(one);
        coaming_round_free(two);
        coaming_ship_free(q.ship);
    }
}
END_TEST

START_TEST(out_of_memory_is_told_at_every_allocation)
{
    question q = random_question(3, 12);
    coaming_round *round = NULL;
    memory_fail_at(0);
    ck_assert_int_eq(coaming_round_new(q.ship, &q.options, q.closures, q.count, &round, NULL),
                     COAMING_OK);
    ck_assert_uint_ge(coaming_round_count(round), 5);
    size_t all = memory_asked();
    ck_assert_uint_gt(all, 30);
    coaming_round_free(round);
    for (size_t n = 1; n <= all; n++) {
        round = NULL;
        memory_fail_at(n);
        ck_assert_msg(coaming_round_new(q.ship, &q.options, q.closures, q.count, &round, NULL) ==
                          COAMING_MEMORY,
                      "allocation %zu of %zu", n, all);
        ck_assert_ptr_null(round);
    }
    memory_fail_at(0);
    coaming_ship_free(q.ship);
}
END_TEST

int main(void)
{
    Suite *suite = suite_create("round");
    TCase *all = tcase_create("all");
    tcase_add_loop_test(all, few_numbers_come_in_the_best_order, 0, TABLES);
    tcase_add_loop_test(all, what_comes_last_comes_in_the_best_order, 0, TABLES);
    tcase_add_test(all, seventeen_towns_take_2085);
    tcase_add_test(all, two_hundred_points_are_close_to_the_bound);
    tcase_add_test(all, many_in_one_place_take_no_longer_than_one);
    tcase_add_test(all, ways_between_all_pairs_agree_with_the_plain_method);
    tcase_add_test(all, rounds_of_up_to_twelve_stops_are_the_shortest);
    tcase_add_test(all, no_closures_make_no_walk);
    tcase_add_test(all, one_stop_takes_the_way_there_twice);
    tcase_add_test(all, a_door_is_left_to_either_side);
    tcase_add_test(all, what_no_way_leads_to_is_left_out);
    tcase_add_test(all, where_nobody_can_pass_the_walk_stays_in_its_space);
    tcase_add_test(all, nobody_is_sent_into_danger_without_need);
    tcase_add_test(all, spaces_to_be_avoided_are_as_those_where_nobody_walks);
    tcase_add_test(all, what_is_not_offered_is_refused);
    tcase_add_test(all, the_same_ship_gives_the_same_walk);
    tcase_add_test(all, out_of_memory_is_told_at_every_allocation);
    suite_add_tcase(suite, all);
    return run_suite(suite);
}
