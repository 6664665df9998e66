/* Drawings: the palette's contrast and its distances for colour-blind readers, text that is set and
 * cut, boxes that are taken, outlines of several shapes together, and memory that runs out. */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"
#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "present/form/plot.h"
#include "runner.h"
#include "ships.h"

/* --- colours --- */

typedef struct {
    double r, g, b; /* linear, 0 to 1 */
} colour;

/* sRGB to linear light: W3C, Web Content Accessibility Guidelines 2.2, "relative luminance". */
static double linear(unsigned value)
{
    double c = value / 255.0;
    return c <= 0.04045 ? c / 12.92 : pow((c + 0.055) / 1.055, 2.4);
}

static colour parse(const char *hex)
{
    unsigned r, g, b;
    ck_assert_int_eq(sscanf(hex, "#%2x%2x%2x", &r, &g, &b), 3);
    return (colour){linear(r), linear(g), linear(b)};
}

static double luminance(colour c)
{
    return 0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b;
}

/* The same source: (L1 + 0.05) / (L2 + 0.05). */
static double contrast(const char *one, const char *other)
{
    double a = luminance(parse(one)) + 0.05, b = luminance(parse(other)) + 0.05;
    return a > b ? a / b : b / a;
}

START_TEST(the_contrast_formula_gives_the_published_extremes)
{
    /* WCAG 2.2: black on white 21:1. #777777 on white fails 4.5:1 by a little and #767676 passes:
     * from memory, well known. */
    ck_assert_double_eq_tol(contrast("#000000", "#ffffff"), 21, 1e-9);
    ck_assert_double_lt(contrast("#777777", "#ffffff"), 4.5);
    ck_assert_double_ge(contrast("#767676", "#ffffff"), 4.5);
}
END_TEST

START_TEST(lines_of_a_plot_are_seen_on_paper)
{
    /* success criterion 1.4.11: 3:1 for what is not text; thin lines are given more */
    for (int i = 0; i < PLOT_LINES; i++)
        ck_assert_msg(contrast(plot_lines[i].colour, PAPER_COLOUR) >= 4.5, "line %d: %.2f", i,
                      contrast(plot_lines[i].colour, PAPER_COLOUR));
}
END_TEST

START_TEST(text_reads_on_every_fill)
{
    /* success criterion 1.4.6: 7:1 for text */
    ck_assert_double_ge(contrast(INK_COLOUR, PAPER_COLOUR), 7);
    ck_assert_double_ge(contrast(QUIET_COLOUR, PAPER_COLOUR), 7);
    for (int f = 0; f < FILL_COUNT; f++)
        ck_assert_msg(contrast(INK_COLOUR, space_fills[f].fill) >= 7, "%s: %.2f",
                      space_fills[f].word, contrast(INK_COLOUR, space_fills[f].fill));
    for (int f = 0; f < SHADE_COUNT; f++)
        ck_assert_msg(contrast(INK_COLOUR, loss_shades[f].fill) >= 7, "%s: %.2f",
                      loss_shades[f].word, contrast(INK_COLOUR, loss_shades[f].fill));
}
END_TEST

START_TEST(marks_and_hatches_stand_out_from_every_fill)
{
    /* success criterion 1.4.11: 3:1 for what is not text */
    static const char *const marks[] = {PASS_COLOUR, FAIL_COLOUR, UNTESTED_COLOUR};
    for (int f = 0; f < FILL_COUNT; f++) {
        for (int m = 0; m < 3; m++)
            ck_assert_msg(contrast(marks[m], space_fills[f].fill) >= 3 - 1e-9, "%s on %s: %.2f",
                          marks[m], space_fills[f].word, contrast(marks[m], space_fills[f].fill));
        if (f != FILL_PLAIN)
            ck_assert_double_ge(contrast(space_fills[f].hatch, space_fills[f].fill), 3);
    }
}
END_TEST

/* How colours look to the colour-blind: Machado, Oliveira and Fernandes, "A physiologically-based
 * model for simulation of color vision deficiency", IEEE Transactions on Visualization and Computer
 * Graphics 15(6), 2009, matrices for severity 1.0 on linear RGB. Written down from memory; each row
 * adds up to 1, so that greys stay grey, which is checked here. */
static const double seen_as[][9] = {
    {1, 0, 0, 0, 1, 0, 0, 0, 1},
    {0.152286, 1.052583, -0.204868, 0.114503, 0.786281, 0.099216, -0.003882, -0.048116, 1.051998},
    {0.367322, 0.860646, -0.227968, 0.280085, 0.672501, 0.047413, -0.011820, 0.042940, 0.968881},
    {1.255528, -0.076749, -0.178779, -0.078411, 0.930809, 0.147602, 0.004733, 0.691367, 0.303900}};
enum { EYES = sizeof seen_as / sizeof *seen_as };

static double within_gamut(double c)
{
    return c < 0 ? 0 : c > 1 ? 1 : c;
}

static colour simulate(colour c, const double *m)
{
    return (colour){within_gamut(m[0] * c.r + m[1] * c.g + m[2] * c.b),
                    within_gamut(m[3] * c.r + m[4] * c.g + m[5] * c.b),
                    within_gamut(m[6] * c.r + m[7] * c.g + m[8] * c.b)};
}

static double cube(double t)
{
    return t > 216.0 / 24389 ? cbrt(t) : (24389.0 / 27 * t + 16) / 116;
}

/* CIELAB of linear sRGB at D65: CIE 15, Colorimetry; matrix of IEC 61966-2-1 (both from memory). */
static void to_lab(colour c, double lab[3])
{
    double x = cube((0.4124 * c.r + 0.3576 * c.g + 0.1805 * c.b) / 0.9505);
    double y = cube(0.2126 * c.r + 0.7152 * c.g + 0.0722 * c.b);
    double z = cube((0.0193 * c.r + 0.1192 * c.g + 0.9505 * c.b) / 1.089);
    lab[0] = 116 * y - 16;
    lab[1] = 500 * (x - y);
    lab[2] = 200 * (y - z);
}

static double distance(const char *one, const char *other, const double *eye)
{
    double a[3], b[3];
    to_lab(simulate(parse(one), eye), a);
    to_lab(simulate(parse(other), eye), b);
    return hypot(hypot(a[0] - b[0], a[1] - b[1]), a[2] - b[2]);
}

START_TEST(the_simulation_leaves_greys_grey_and_takes_red_from_green)
{
    for (int e = 0; e < EYES; e++) {
        for (int row = 0; row < 3; row++)
            ck_assert_double_eq_tol(
                seen_as[e][3 * row] + seen_as[e][3 * row + 1] + seen_as[e][3 * row + 2], 1, 3e-6);
        ck_assert_double_gt(distance("#000000", "#ffffff", seen_as[e]), 99);
    }
    /* a red and a green of like lightness, which the colour-blind to red and green confuse */
    ck_assert_double_gt(distance("#c04a3a", "#5f8000", seen_as[0]), 60);
    ck_assert_double_lt(distance("#c04a3a", "#5f8000", seen_as[2]), 30);
}
END_TEST

/* A difference of about 2.3 is just seen side by side (from memory: Mahy, Van Eycken and
 * Oosterlinck, Color Research and Application 19(2), 1994); four times that is asked for here.
 * Plain and perhaps are both nearly white and are told apart by hatch. */
START_TEST(fills_stay_apart_for_colour_blind_eyes)
{
    for (int e = 0; e < EYES; e++)
        for (int a = 0; a < FILL_COUNT; a++)
            for (int b = a + 1; b < FILL_COUNT; b++)
                if (!(a == FILL_PLAIN && b == FILL_MAYBE))
                    ck_assert_msg(
                        distance(space_fills[a].fill, space_fills[b].fill, seen_as[e]) >= 9.2,
                        "%s and %s, eye %d: %.1f", space_fills[a].word, space_fills[b].word, e,
                        distance(space_fills[a].fill, space_fills[b].fill, seen_as[e]));
}
END_TEST

/* Each darker than the one before, so that they are told in order in grey as well. */
START_TEST(shades_of_loss_grow_darker_and_stay_apart)
{
    for (int f = 1; f < SHADE_COUNT; f++) {
        const char *less = loss_shades[f - 1].fill, *more = loss_shades[f].fill;
        ck_assert_double_lt(luminance(parse(more)), luminance(parse(less)));
        for (int e = 0; e < EYES; e++)
            ck_assert_double_ge(distance(less, more, seen_as[e]), 9.2);
    }
}
END_TEST

START_TEST(pass_and_fail_stay_apart_for_colour_blind_eyes)
{
    for (int e = 0; e < EYES; e++)
        ck_assert_double_gt(distance(PASS_COLOUR, FAIL_COLOUR, seen_as[e]), 25);
}
END_TEST

/* --- markup --- */

static const char *put(void (*write)(FILE *, const void *), const void *what, char *buffer,
                       size_t size)
{
    FILE *out = fmemopen(buffer, size, "w");
    write(out, what);
    fputc('\0', out);
    fclose(out);
    return buffer;
}

static void put_text(FILE *out, const void *text)
{
    markup_text(out, text);
}

static void put_number(FILE *out, const void *number)
{
    markup_number(out, *(const double *)number);
}

START_TEST(markup_is_escaped_and_what_deceives_shown)
{
    static const char *const pairs[][2] = {
        {"<script>alert('x')</script>", "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;"},
        {"a & \"b\"", "a &amp; &quot;b&quot;"},
        {"one\ntwo\tthree\r", "one two three "},
        {"bell\a esc\033[0m", "bell&lt;U+0007&gt; esc&lt;U+001B&gt;[0m"},
        {"turned \xe2\x80\xae back", "turned &lt;U+202E&gt; back"},
        {"\xef\xbf\xbf stray \xff", "&lt;U+FFFF&gt; stray &lt;0xFF&gt;"},
        {"\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d \xf0\x9f\x9a\xa2",
         "\xd7\xa9\xd7\x9c\xd7\x95\xd7\x9d \xf0\x9f\x9a\xa2"}};
    char buffer[200];
    for (size_t i = 0; i < sizeof pairs / sizeof *pairs; i++)
        ck_assert_str_eq(put(put_text, pairs[i][0], buffer, sizeof buffer), pairs[i][1]);
}
END_TEST

START_TEST(numbers_have_two_decimals_at_most)
{
    static const struct {
        double value;
        const char *text;
    } rows[] = {{0, "0"},         {1.005, "1"},     {1.5, "1.5"},     {-0.001, "0"},
                {-2.25, "-2.25"}, {12.04, "12.04"}, {1e6, "1000000"}, {0.999, "1"}};
    char buffer[60];
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        ck_assert_str_eq(put(put_number, &rows[i].value, buffer, sizeof buffer), rows[i].text);
}
END_TEST

static void put_markup(FILE *out, const void *text)
{
    markup_put(out, "<a b=\"%s\"%-s>%s</a> %d %zu %f %g 5%%", (const char *)text, " c=\"d\"", "<",
               -3, (size_t)4, 1.239, 0.5);
}

/* Only what the format says is markup is written as it is. */
START_TEST(markup_escapes_all_text_but_its_own)
{
    char buffer[200];
    ck_assert_str_eq(put(put_markup, "\"><script>", buffer, sizeof buffer),
                     "<a b=\"&quot;&gt;&lt;script&gt;\" c=\"d\">&lt;</a> -3 4 1.24 0.5 5%");
}
END_TEST

/* --- setting text --- */

static void random_text(dice *d, char *text, int words)
{
    *text = '\0';
    for (int w = 0; w < words; w++) {
        char word[16] = "";
        for (int i = 0, n = 1 + dice_below(d, 11); i < n; i++)
            word[i] = (char)('a' + dice_below(d, 26));
        if (w)
            strcat(text, " ");
        strcat(text, word);
    }
}

START_TEST(lines_keep_every_word_in_order_and_are_no_wider_than_said)
{
    dice d = {7};
    for (int turn = 0; turn < 500; turn++) {
        char text[200], together[200] = "";
        random_text(&d, text, 1 + dice_below(&d, 9));
        double before = INFINITY;
        for (int lines = 1; lines <= WRAP_MOST; lines++) {
            wrapped w = wrap_narrow(text, LABEL_SIZE, false, lines);
            ck_assert_int_le(w.count, lines);
            ck_assert_double_le(w.width, before + 1e-9);
            before = w.width;
            *together = '\0';
            for (int i = 0; i < w.count; i++) {
                char line[200];
                snprintf(line, sizeof line, "%.*s", (int)w.length[i], w.start[i]);
                ck_assert_double_le(text_points(line, LABEL_SIZE, false), w.width + 1e-9);
                if (i)
                    strcat(together, " ");
                strcat(together, line);
            }
            ck_assert_str_eq(together, text);
        }
    }
}
END_TEST

START_TEST(cut_text_fits_and_says_that_it_is_cut)
{
    dice d = {11};
    drawing drawn = {.lost = false};
    for (int turn = 0; turn < 300; turn++) {
        char text[200];
        random_text(&d, text, 1 + dice_below(&d, 9));
        double room = 10 + dice_below(&d, 150);
        const char *cut = text_cut(&drawn, text, LABEL_SIZE, true, room);
        size_t length = strlen(cut);
        ck_assert_double_le(text_points(cut, LABEL_SIZE, true), room);
        if (strcmp(cut, text)) {
            ck_assert_int_eq(cut[length - 1], '~');
            ck_assert(!strncmp(cut, text, length - 1));
        }
    }
    ck_assert_str_eq(text_cut(&drawn, "\xc3\xa9\xc3\xa9\xc3\xa9\xc3\xa9", 10, false, 25),
                     "\xc3\xa9~");
    arena_free(&drawn.memory);
}
END_TEST

/* --- boxes --- */

START_TEST(the_crowd_hits_what_any_of_its_boxes_hits)
{
    dice d = {13};
    crowd c;
    box all[300];
    ck_assert(crowd_open(&c, (box){0, 0, 500, 300}));
    for (int i = 0; i < 300; i++) { /* some of them beyond the area */
        box asked = box_about(dice_below(&d, 600) - 50, dice_below(&d, 400) - 50,
                              1 + dice_below(&d, 40), 1 + dice_below(&d, 40));
        bool plain = false;
        for (int k = 0; k < i; k++)
            plain = plain || box_meets(&all[k], &asked);
        ck_assert_int_eq(crowd_hits(&c, &asked), plain);
        all[i] = box_about(dice_below(&d, 600) - 50, dice_below(&d, 400) - 50,
                           1 + dice_below(&d, 40), 1 + dice_below(&d, 40));
        ck_assert(crowd_add(&c, all[i]));
    }
    crowd_close(&c);
}
END_TEST

/* --- outlines --- */

/* Boxes on whole numbers, corners as a region's rings run on the page: y down, inside to the left
 * seen with y up. */
static void box_ring(double *xy, double x0, double y0, double x1, double y1)
{
    const double corners[] = {x0, y1, x1, y1, x1, y0, x0, y0};
    memcpy(xy, corners, sizeof corners);
}

/* Green: the area of the union from its outline alone; by counting unit cells. */
START_TEST(the_outline_of_boxes_encloses_what_they_cover)
{
    enum { MOST = 6, SIZE = 12 };
    dice d = {17};
    drawing drawn = {.lost = false};
    for (int turn = 0; turn < 400; turn++) {
        double xy[MOST][8];
        ring rings[MOST];
        bool cells[SIZE][SIZE] = {{false}};
        int count = 1 + dice_below(&d, MOST), area = 0;
        for (int i = 0; i < count; i++) {
            int x = dice_below(&d, SIZE - 3), y = dice_below(&d, SIZE - 3);
            int w = 1 + dice_below(&d, 3), h = 1 + dice_below(&d, 3);
            box_ring(xy[i], x, y, x + w, y + h);
            rings[i] = (ring){.xy = xy[i], .corners = 4};
            for (int cx = x; cx < x + w; cx++)
                for (int cy = y; cy < y + h; cy++)
                    cells[cx][cy] = true;
        }
        region r = {.rings = rings, .ring_count = (size_t)count};
        ck_assert(region_outline(&drawn, &r));
        double green = 0, length = 0;
        int sides = 0;
        for (size_t i = 0; i < r.edge_count; i++) {
            green += r.edges[i].x0 * r.edges[i].y1 - r.edges[i].x1 * r.edges[i].y0;
            length += hypot(r.edges[i].x1 - r.edges[i].x0, r.edges[i].y1 - r.edges[i].y0);
        }
        for (int x = 0; x < SIZE; x++) {
            for (int y = 0; y < SIZE; y++) {
                area += cells[x][y];
                sides += cells[x][y] && (x == 0 || !cells[x - 1][y]);
                sides += cells[x][y] && (x == SIZE - 1 || !cells[x + 1][y]);
                sides += cells[x][y] && (y == 0 || !cells[x][y - 1]);
                sides += cells[x][y] && (y == SIZE - 1 || !cells[x][y + 1]);
            }
        }
        ck_assert_double_eq_tol(fabs(green) / 2, area, 1e-6);
        ck_assert_double_eq_tol(length, sides, 1e-6);
    }
    arena_free(&drawn.memory);
}
END_TEST

/* A ring of many corners is looked through by strips, and has what it has side by side. */
START_TEST(many_corners_are_as_few)
{
    enum { CORNERS = 300 };
    static double xy[2 * CORNERS];
    dice d = {_i + 1};
    drawing drawn = {0};
    for (int i = 0; i < CORNERS; i++) { /* a star, long one way */
        double far = 1 + dice_below(&d, 100), round = 2 * 3.14159265358979 * i / CORNERS;
        xy[2 * i] = far * cos(round) * (_i % 2 ? 9 : 1);
        xy[2 * i + 1] = far * sin(round) * (_i % 2 ? 1 : 9);
    }
    ring plain = {.xy = xy, .corners = CORNERS}, sorted = plain;
    ck_assert(ring_sort(&drawn, &sorted));
    ck_assert_int_gt(sorted.strips, CORNERS / 10);
    size_t in = 0;
    for (int i = 0; i < 4000; i++) {
        double x = dice_below(&d, 1800) - 900 + 0.37, y = dice_below(&d, 1800) - 900 + 0.73;
        ck_assert_int_eq(ring_has(&sorted, x, y), ring_has(&plain, x, y));
        in += ring_has(&plain, x, y);
    }
    ck_assert_uint_gt(in, 10);
    arena_free(&drawn.memory);
}
END_TEST

START_TEST(a_box_is_held_only_where_all_of_it_is_inside)
{
    double one[8], two[8];
    drawing drawn = {.lost = false};
    box_ring(one, 0, 0, 10, 4);
    box_ring(two, 0, 4, 4, 10); /* an L */
    ring rings[] = {{.xy = one, .corners = 4}, {.xy = two, .corners = 4}};
    region r = {.rings = rings, .ring_count = 2};
    ck_assert(region_outline(&drawn, &r));
    const struct {
        box b;
        bool holds, touches;
    } rows[] = {{{1, 1, 9, 3}, true, true},   {{1, 1, 3, 9}, true, true},
                {{1, 3, 3, 5}, true, true},   {{3, 3, 6, 6}, false, true},
                {{5, 5, 9, 9}, false, false}, {{-1, -1, 11, 11}, false, true}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        ck_assert_int_eq(region_holds(&r, &rows[i].b), rows[i].holds);
        ck_assert_int_eq(region_touches(&r, &rows[i].b), rows[i].touches);
    }
    arena_free(&drawn.memory);
}
END_TEST

/* --- the whole --- */

static coaming_ship *demo(const char *name)
{
    char path[500];
    coaming_ship *ship = NULL;
    coaming_load_options options = {NULL, 0, 20767, 20767}; /* 2026-11-10 */
    coaming_faults *faults = coaming_faults_new();
    snprintf(path, sizeof path, "%s/examples/%s", getenv("COAMING_ROOT"), name);
    ck_assert_int_eq(coaming_ship_load(path, &options, faults, &ship, NULL), COAMING_OK);
    coaming_faults_free(faults);
    return ship;
}

/* With what the first closure exposes laid over; the answers are the caller's to free. */
static coaming_drawing exposing(const coaming_ship *ship, coaming_outset **outset)
{
    const int closure = 0;
    coaming_drawing what = coaming_drawing_default();
    what.overlay = COAMING_OVERLAY_EXPOSE;
    ck_assert_int_eq(coaming_exposure_new(ship, what.query, &closure, 1, &what.exposure, NULL),
                     COAMING_OK);
    ck_assert_int_eq(coaming_exposure_choose(what.exposure, closure, NULL, &what.row, NULL),
                     COAMING_OK);
    ck_assert_int_eq(coaming_outset_new(ship, what.query, outset, NULL), COAMING_OK);
    what.outset = *outset;
    return what;
}

/* Every allocation fails in turn; each is told, and nothing is written. */
static void run_out_of_memory(const coaming_ship *ship, const coaming_drawing *what)
{
    char *text = NULL;
    size_t size = 0, n = 1;
    for (bool done = false; !done; n++) {
        FILE *out = open_memstream(&text, &size);
        coaming_error error = {COAMING_OK, ""};
        memory_fail_at(n);
        coaming_status status = coaming_print_drawing(out, ship, what, &error);
        memory_fail_at(0);
        fclose(out);
        done = status == COAMING_OK;
        ck_assert_int_eq(status, done ? COAMING_OK : COAMING_MEMORY);
        ck_assert(done == (size > 0));
        free(text);
    }
    ck_assert_uint_gt(n, 20);
}

START_TEST(memory_that_runs_out_anywhere_is_told_and_nothing_written)
{
    coaming_ship *ship = demo("barge.xml");
    coaming_outset *outset = NULL;
    coaming_drawing what = exposing(ship, &outset);
    coaming_survival_options how = coaming_survival_options_default();
    coaming_survival *survival = NULL;
    how.expected = false;
    ck_assert_int_eq(coaming_survival_new(ship, &how, &survival, NULL), COAMING_OK);
    run_out_of_memory(ship, &what);
    what.overlay = COAMING_OVERLAY_SURVIVAL;
    what.survival = survival;
    run_out_of_memory(ship, &what);
    coaming_survival_free(survival);
    coaming_exposure_free(what.exposure);
    coaming_outset_free(outset);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(what_cannot_be_drawn_is_refused)
{
    coaming_ship *ship = demo("barge.xml");
    const int far_deck[] = {2};
    enum { BAD = 13 };
    coaming_outset *outset = NULL;
    coaming_drawing good = exposing(ship, &outset), bad[BAD];
    for (int i = 0; i < BAD; i++)
        bad[i] = good;
    bad[0].width = 79;
    bad[1].width = NAN;
    bad[2].prefix = "1a";
    bad[3].prefix = "a\"";
    bad[4].profile = bad[4].plans = false;
    bad[5].decks = far_deck;
    bad[5].deck_count = 1;
    bad[6].exposure = NULL;
    bad[7].row = coaming_exposure_row_count(good.exposure);
    bad[8].overlay = COAMING_OVERLAY_HOLD;
    bad[9].overlay = COAMING_OVERLAY_RANK;
    bad[10].overlay = COAMING_OVERLAY_DUE;
    bad[11].outset = NULL;
    bad[12].overlay = COAMING_OVERLAY_SURVIVAL;
    for (int i = 0; i < BAD; i++)
        ck_assert_int_eq(coaming_print_drawing(stdout, ship, &bad[i], NULL), COAMING_USAGE);
    coaming_exposure_free(good.exposure);
    coaming_outset_free(outset);
    coaming_ship_free(ship);
}
END_TEST

START_TEST(an_embedded_drawing_has_no_declaration_no_caution_and_its_own_ids)
{
    coaming_ship *ship = demo("barge.xml");
    coaming_outset *outset = NULL;
    coaming_drawing what = exposing(ship, &outset);
    what.embedded = true;
    what.prefix = "p7";
    char *text = NULL;
    size_t size = 0;
    FILE *out = open_memstream(&text, &size);
    ck_assert_int_eq(coaming_print_drawing(out, ship, &what, NULL), COAMING_OK);
    fclose(out);
    ck_assert(!strncmp(text, "<svg ", 5));
    ck_assert_ptr_null(strstr(text, "Caution"));
    size_t ids = 0;
    for (const char *at = text; (at = strstr(at, " id=\"")); at += 5, ids++)
        ck_assert(!strncmp(at + 5, "p7-", 3));
    for (const char *at = text; (at = strstr(at, "url(#")); at += 5)
        ck_assert(!strncmp(at + 5, "p7-", 3));
    ck_assert_uint_ge(ids, 3);
    free(text);
    coaming_exposure_free(what.exposure);
    coaming_outset_free(outset);
    coaming_ship_free(ship);
}
END_TEST

int main(void)
{
    Suite *s = suite_create("draw");
    TCase *colours = tcase_create("colours"), *text = tcase_create("text"),
          *places = tcase_create("places"), *whole = tcase_create("whole");
    tcase_add_test(colours, the_contrast_formula_gives_the_published_extremes);
    tcase_add_test(colours, lines_of_a_plot_are_seen_on_paper);
    tcase_add_test(colours, text_reads_on_every_fill);
    tcase_add_test(colours, marks_and_hatches_stand_out_from_every_fill);
    tcase_add_test(colours, the_simulation_leaves_greys_grey_and_takes_red_from_green);
    tcase_add_test(colours, fills_stay_apart_for_colour_blind_eyes);
    tcase_add_test(colours, shades_of_loss_grow_darker_and_stay_apart);
    tcase_add_test(colours, pass_and_fail_stay_apart_for_colour_blind_eyes);
    tcase_add_test(text, markup_is_escaped_and_what_deceives_shown);
    tcase_add_test(text, markup_escapes_all_text_but_its_own);
    tcase_add_test(text, numbers_have_two_decimals_at_most);
    tcase_add_test(text, lines_keep_every_word_in_order_and_are_no_wider_than_said);
    tcase_add_test(text, cut_text_fits_and_says_that_it_is_cut);
    tcase_add_test(places, the_crowd_hits_what_any_of_its_boxes_hits);
    tcase_add_test(places, the_outline_of_boxes_encloses_what_they_cover);
    tcase_add_loop_test(places, many_corners_are_as_few, 0, 8);
    tcase_add_test(places, a_box_is_held_only_where_all_of_it_is_inside);
    tcase_add_test(whole, memory_that_runs_out_anywhere_is_told_and_nothing_written);
    tcase_add_test(whole, what_cannot_be_drawn_is_refused);
    tcase_add_test(whole, an_embedded_drawing_has_no_declaration_no_caution_and_its_own_ids);
    suite_add_tcase(s, colours);
    suite_add_tcase(s, text);
    suite_add_tcase(s, places);
    suite_add_tcase(s, whole);
    return run_suite(s);
}
