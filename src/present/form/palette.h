/*
 * present/form/palette.h - the colours of the drawings, chosen here and checked by
 * tests/unit/test_draw.c: ink on every fill at 7:1 or more, marks on every fill at 3:1 (WCAG 2.2,
 * success criteria 1.4.6 and 1.4.11), fills apart for colour-blind readers; each state of a space
 * also has a hatch of its own, each state of a closure a shape.
 */
#ifndef PRESENT_PALETTE_H
#define PRESENT_PALETTE_H

/* Code, word in the document, fill, hatch ("" none), what the legend says. */
#define SPACE_FILLS(X)                                                                             \
    X(FILL_PLAIN, "plain", "#f6f4ee", "", "space")                                                 \
    X(FILL_SOURCE, "source", "#eab33f", "#4a3200", "where it is already")                          \
    X(FILL_WATER, "water", "#9ecbee", "#12466f", "floods")                                         \
    X(FILL_AIR, "air", "#cfa2ce", "#5a2168", "gets bad air")                                       \
    X(FILL_MAYBE, "perhaps", "#fdfdfb", "#4d4d4d", "also, if untested closures leak")              \
    X(FILL_LOST, "given-up", "#b4b0a6", "#3d3a34", "given up")                                     \
    X(FILL_KEEP, "keep", "#d3e29b", "#49590f", "is to stay clean")                                 \
    X(FILL_SHALLOW, "shallow", "#d8ecfb", "#12466f", "water under knee deep, 0.5 m")               \
    X(FILL_DEEP, "deep", "#5cb4f6", "#0b2d48", "water 0.5 m deep or more")                         \
    X(FILL_THIN, "thin", "#f6ccd8", "#5a2168", "bad air, little of it")                            \
    X(FILL_THICK, "thick", "#eaaecc", "#5a2168", "bad air, more of it")                            \
    X(FILL_WORST, "worst", "#f084f0", "#5a2168", "bad air, most of it")

#define PALETTE_CODE(code, word, fill, hatch, meaning) code,
typedef enum { SPACE_FILLS(PALETTE_CODE) FILL_COUNT } space_fill;
#undef PALETTE_CODE

typedef struct {
    const char *word, *fill, *hatch, *meaning;
} fill_row;
extern const fill_row space_fills[FILL_COUNT];

/* Shares of something lost, the darker the more. Code, word in the document, from which share on (of
 * the first: none), fill, what the legend says. */
#define LOSS_SHADES(X)                                                                             \
    X(SHADE_NONE, "none", 0, "#fdfdfb", "nothing lost there")                                      \
    X(SHADE_LITTLE, "little", 0, "#f9e9d6", "under 10 % lost")                                     \
    X(SHADE_SOME, "some", 0.1, "#f5d0ac", "10 % or more lost")                                     \
    X(SHADE_MUCH, "much", 0.25, "#efb386", "25 % or more lost")                                    \
    X(SHADE_MOST, "most", 0.5, "#e7965f", "half or more lost")

#define PALETTE_CODE(code, word, from, fill, meaning) code,
typedef enum { LOSS_SHADES(PALETTE_CODE) SHADE_COUNT } loss_shade;
#undef PALETTE_CODE

typedef struct {
    const char *word;
    double from;
    const char *fill, *meaning;
} shade_row;
extern const shade_row loss_shades[SHADE_COUNT];

/* Lines of a plot, told apart by dash and weight, the colour only underlines it. Colour, dashes and
 * gaps ("" none), weight; both in points. */
#define PLOT_STYLES(X)                                                                             \
    X("#12466f", "", 2.2)                                                                          \
    X("#a82e08", "7 3", 1.5)                                                                       \
    X("#49590f", "", 0.9)                                                                          \
    X("#5a2168", "2 2", 1.8)                                                                       \
    X("#1b1b1b", "9 2.5 2 2.5", 1.2)                                                               \
    X("#0c4a5a", "3.5 2", 0.9)                                                                     \
    X("#6b4200", "12 4", 2.2)                                                                      \
    X("#57534b", "1 3", 2.2)

#define INK_COLOUR      "#1b1b1b" /* text, bulkheads */
#define QUIET_COLOUR    "#57534b" /* scales, notes, passages */
#define PAPER_COLOUR    "#ffffff"
#define GRID_COLOUR     "#c9c5ba" /* behind a plot: says nothing that its scale does not */
#define PASS_COLOUR     "#0c4a5a"
#define FAIL_COLOUR     "#a82e08"
#define UNTESTED_COLOUR "#3b3b3b" /* ring on paper */

#endif
