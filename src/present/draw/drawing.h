/*
 * present/draw/drawing.h - what the parts of a drawing share.
 *
 * Places are in points of the page, y down, unless said to be the ship's. Everything hangs on one
 * arena; `lost` says that memory ran out, after which parts may be missing and nothing is written.
 */
#ifndef PRESENT_DRAWING_H
#define PRESENT_DRAWING_H

#include "coaming/draw.h"
#include "present/form/letters.h"
#include "present/form/palette.h"
#include "ship/ship.h"

#define FONTS      "Helvetica, Arial, 'Liberation Sans', 'DejaVu Sans', sans-serif"
#define LABEL_SIZE 7.0 /* points: the smallest text there is */
#define LABEL_LINE 8.2
#define NOTE_SIZE  8.0
#define NOTE_LINE  10.5
#define ALARM_SIZE 9.5

typedef struct {
    double x0, y0, x1, y1;
} box;

box box_about(double x, double y, double width, double height);
bool box_meets(const box *a, const box *b);
box box_grown(box b, double by);

/* --- text (draw_text.c) --- */

enum { WRAP_MOST = 4 };
typedef struct {
    const char *start[WRAP_MOST];
    size_t length[WRAP_MOST];
    int count;
    double width; /* of the widest line */
} wrapped;

/* The narrowest way to set text in at most `lines` lines, broken at spaces. */
wrapped wrap_narrow(const char *text, double size, bool bold, int lines);
/* Copies text, cut to `points` with "~" at its end; on the arena of the drawing. */
struct drawing;
const char *text_cut(struct drawing *d, const char *text, double size, bool bold, double points);

/* Text with a halo, so that what lies under it does not disturb it. */
void draw_label(FILE *out, double x, double y, const char *anchor, bool bold, const char *text,
                size_t length);
/* Wrapped lines at the left margin of a column; returns its height. */
double draw_paragraph(FILE *out, double x, double y, double width, double size, bool bold,
                      const char *colour, const char *text);

/* --- boxes that are taken (draw_crowd.c) --- */

typedef struct {
    box area, *boxes;
    int *heads, *next, *of; /* lists of boxes by cell */
    size_t count, capacity, nodes, node_capacity;
    int columns, rows;
} crowd;

bool crowd_open(crowd *c, box area);
void crowd_close(crowd *c);
bool crowd_add(crowd *c, box b); /* false when out of memory */
bool crowd_hits(const crowd *c, const box *b);
/* The same for a thin line; its first points are left out, where it leaves what it belongs to. */
bool crowd_hits_line(const crowd *c, double x0, double y0, double x1, double y1);
bool crowd_add_line(crowd *c, double x0, double y0, double x1, double y1);

/* --- outlines (draw_shape.c) --- */

typedef struct {
    double x0, y0, x1, y1; /* inside to the left, y up: as the rings run */
} edge;

typedef struct {
    const double *xy;
    size_t corners;
    /* of many corners: the sides by strips that they reach into, side[first[k] .. first[k+1]) */
    const int *first, *side;
    int strips; /* 0: not sorted */
    int axis;   /* of the strips: 0 along x, 1 along y */
    double from, step;
} ring;

/* draw_ring.c: sorts the sides of a ring where it has many; then whether a place lies in it takes
 * little time however many they are. False when out of memory. */
bool ring_sort(struct drawing *d, ring *r);
bool ring_has(const ring *r, double x, double y);

/* A space in a view: rings that may overlap, and the outline of all of them together. */
typedef struct {
    int space;
    ring *rings;
    size_t ring_count;
    edge *edges;
    size_t edge_count;
    box extent;
    double depth;    /* the later drawn lies nearer to who looks */
    const int *over; /* regions of the view drawn over this one, where their extents meet */
    size_t over_count;
    double inside_x, inside_y; /* a point in it, free of those over it if there is one */
    bool hidden;               /* no such point was found */
    bool named;                /* so little of it shows that it is named as hidden */
} region;

bool region_outline(struct drawing *d, region *r);

typedef struct {
    edge *edges; /* memory_free */
    size_t count, capacity;
} common_outline;

/* The outline of all parts together. Cost: their edges by the parts that each meets, and by parts. */
common_outline outline_of_all(struct drawing *d, const region *const *parts, size_t count);
bool region_has(const region *r, double x, double y);
/* Is the box wholly inside / does it meet the region at all? */
bool region_holds(const region *r, const box *b);
bool region_touches(const region *r, const box *b);

/* --- the overlay --- */

#define MARK_HALF  4.3 /* half the room that a mark takes */
#define FRAME_HALF 7.2 /* with a frame round it */

/* Rings of lines one behind the other, points: told apart without colour, also on a small print. */
#define FIRST_WEIGHT  2.4
#define SECOND_WEIGHT 1.3
#define THIRD_WEIGHT  0.6

/* Edges of what these lines give up: by weight and by dashes. */
#define FIRST_EDGE  "stroke-width:3.2"
#define SECOND_EDGE "stroke-width:2.2;stroke-dasharray:7 3"
#define THIRD_EDGE  "stroke-width:1.6;stroke-dasharray:1.6 2.2"

/* A way through a deck, seen from above: paths about their middle. */
#define RISE_HALF 4.5
#define RISE_UP   "M-4 1h8M0 4.5V-1l-2.2 0L0 -4.5L2.2 -1L0 -1"
#define RISE_DOWN "M-4 -1h8M0 -4.5V1l-2.2 0L0 4.5L2.2 1L0 1"

/* The first three are one behind the other, so they differ by weight. */
typedef enum {
    FRAME_NONE,
    FRAME_FIRST,
    FRAME_SECOND,
    FRAME_THIRD,
    FRAME_RING,
    FRAME_SQUARE,
    FRAME_DASHED
} mark_frame;

typedef struct {
    mark_frame frame;
    int badge;      /* 0: none */
    unsigned lines; /* bit i: it is of the i-th of the lines one behind the other; told as badges */
    const char *tag; /* said beside the id; NULL */
    bool tag_spared; /* where there is no room for it near the mark, the id alone stands there */
    bool enters;     /* an arrow into the space `into` */
    coaming_place into;
    int rise; /* of that way, through a deck: 1 up, -1 down, else 0 */
} link_note;

/* Has the overlay anything to say of it? */
bool matters(const link_note *n);
/* The numbers of a mark's badge: its own, or those of all lines that it is of: "1 2 3". Returns the
 * buffer. */
enum { BADGE_NUMBERS = 16 };
const char *badge_numbers(const link_note *n, char numbers[BADGE_NUMBERS]);

typedef struct {
    const char *text;
    bool alarm; /* what must not be overlooked */
} overlay_line;

/* A part of her length, told below the profile: the share that is lost there of what damage to it
 * bears of the index. */
typedef struct {
    double from, to; /* m along her */
    double lost[COAMING_ANSWERS];
} zone_cell;

/* Lines one behind the other that are drawn. */
enum { LINES_DRAWN = 3 };

typedef struct {
    unsigned char *fills;  /* a space_fill for each space */
    unsigned char *behind; /* bit i: the i-th line gives the space up; NULL: there are no lines */
    link_note *links;
    bool picture;        /* a small one of several: shows only what it fills or marks, no legend */
    const char *heading; /* NULL: no overlay */
    overlay_line *lines; /* sentences */
    size_t line_count, line_capacity;
    const char **items; /* rows of a list after them */
    size_t item_count, item_capacity, items_left_out;
    const zone_cell *zones; /* from aft */
    size_t zone_count;
    const char *caution; /* NULL: none */
    const char *ring_means, *arrow_means, *badge_means;
    const char *line_means[LINES_DRAWN]; /* of the frames FIRST, SECOND and THIRD */
    const char *edge_means[LINES_DRAWN]; /* of the edge of what each line gives up */
} overlay;

/* --- the whole --- */

/* The signs that there are in a drawing. */
typedef struct {
    bool fills[FILL_COUNT], results[COAMING_UNTESTED + 1], frames[FRAME_DASHED + 1];
    bool shades[SHADE_COUNT];
    bool edges[LINES_DRAWN]; /* of what lines one behind the other give up */
    bool arrow, up, down, badge, leader, passage, open, nontight;
    bool under, flooded_under; /* outlines of what lies under another space */
} signs;

/* Where a plan begins. */
typedef struct {
    double z;
    const char *name;
    size_t order; /* in the file */
    bool asked;
} plan_level;

/* Spaces or links in the order of the ship, row by row: of[end[row] .. end[row + 1]). */
typedef struct {
    size_t *end;
    int *of;
} shelf;

typedef struct {
    const int *of;
    size_t count;
} shelf_row;

typedef struct {
    bool profile;
    const char *name;
    double low, high;        /* m: what a plan shows */
    shelf_row spaces, links; /* among them are those on it */
    double ox, oy;           /* page = ox + x * scale, oy - (y or z) * scale */
    box area;                /* of the ship's extents on the page */
    region *regions;
    size_t region_count;
    common_outline lines[LINES_DRAWN]; /* of what lines one behind the other give up */
    crowd taken;
    const char *under; /* below a plan: what it hides; NULL */
} view;

typedef struct {
    int link;
    double x, y;            /* its true place */
    double at_x, at_y;      /* where the mark stands */
    bool upright, flat;     /* how its bar lies: along y, or neither: seen from above */
    double length, breadth; /* of the bar, or of an opening seen face on */
    bool crowded_out;       /* no room for it */
} mark;

typedef struct {
    int number; /* 0: its id stands in the drawing */
    int space;
} key_row;

/* Where a drawing stands on another page, points; its height is told when it is drawn. */
typedef struct {
    double x, y, height;
} draw_place;

typedef struct drawing {
    draw_place *place; /* NULL: by itself */
    const coaming_ship *ship;
    const coaming_drawing *what;
    FILE *out;
    arena memory;
    bool lost;
    overlay over;
    double page, margin, y;        /* width; y: the next free line */
    double scale;                  /* points a metre */
    int one_to;                    /* 1:n */
    double x0, x1, y0, y1, z0, z1; /* the ship's extents that are drawn, m */
    plan_level *levels;            /* the highest first, each height once */
    size_t level_count;
    shelf spaces, links; /* what may be on the plan of each level; last all, for the profile */
    key_row *keys;
    size_t key_count, key_capacity;
    int *number_of; /* of each space in the key; -1 not in it, 0 by its id */
    int numbers;
    const char **hidden; /* ids that the profile hides */
    size_t hidden_count;
    const char **crowded; /* marks for which there was no room */
    size_t crowded_count, crowded_capacity;
    const char **unnamed; /* marks without room for their ids */
    size_t unnamed_count, unnamed_capacity;
    const char **unnumbered; /* spaces without room for their numbers */
    size_t unnumbered_count, unnumbered_capacity;
    bool *met;       /* of each space: is it in a view, to be seen or named as hidden there? */
    bool *met_links; /* of each closure and passage: has it a mark, or is it told that there is no
                      * room for one? */
    signs seen;
} drawing;

/* Made for the drawing (draw_memory.c); NULL, or "" for a text, where memory ran out. */
void *draw_new(drawing *d, size_t count, size_t size);
const char *draw_format(drawing *d, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* One more at the end of a list that grows. */
void draw_append(drawing *d, const char ***list, size_t *count, size_t *capacity, const char *text);

/* Fill d->over from the answer (draw_expose.c and so on). */
coaming_status overlay_make_expose(drawing *d, coaming_error *error);
void overlay_make_rank(drawing *d);
void overlay_make_due(drawing *d);
void overlay_make_hold(drawing *d);
void overlay_make_survival(drawing *d);
void overlay_make_flood(drawing *d);
void overlay_make_air(drawing *d);

/* As coaming_print_drawing, at a place of a page whose units are points. */
coaming_status draw_at(FILE *out, const coaming_ship *ship, const coaming_drawing *what,
                       draw_place *place, coaming_error *error);

/* What they are made of (draw_overlay.c): a sentence, one that warns, and a row of the list. */
#define SAY(...)   overlay_say(d, false, draw_format(d, __VA_ARGS__))
#define ALARM(...) overlay_say(d, true, draw_format(d, __VA_ARGS__))
#define ITEM(...)  overlay_item(d, draw_format(d, __VA_ARGS__))
void overlay_say(drawing *d, bool alarm, const char *text);
void overlay_item(drawing *d, const char *text);
void overlay_say_level(drawing *d, bool water);
/* "galley (Galley)", and ids with commas. */
const char *overlay_place(drawing *d, coaming_place place);
const char *overlay_listed(drawing *d, const int *spaces, size_t count);
const char *overlay_listed_links(drawing *d, const int *links, size_t count);
void overlay_fill_all(drawing *d, const int *spaces, size_t count, space_fill fill);
void overlay_fill_source(drawing *d, coaming_place source);
/* The way goes by the link into the place. */
void overlay_way(drawing *d, int link, coaming_place into);

/* The heights at which plans begin, the views asked for, and what is on each (draw_level.c). */
bool levels_make(drawing *d);
bool part_on(const solid_part *p, const view *v);
/* What the shell leaves of a solid (draw_cut.c): is that drawn as it was given? Else its rings are
 * added to the region's, which has room for the most. */
bool drawn_as_given(const ship_space *s, size_t solid);
size_t cut_rings_most(const ship_space *s, size_t solid);
bool cut_rings(drawing *d, const view *v, const ship_space *s, size_t solid, region *r);
/* How many of its solids: all of them for a space that is too thin for any plan. */
size_t solids_on(const drawing *d, const view *v, const ship_space *s);
bool link_on(const drawing *d, const view *v, const ship_link *l);

/* Everything that the extents, scale and order of views follow from (draw_view.c). */
void views_measure(drawing *d);
size_t views_make(drawing *d, view **views);
/* Has the link a place on or near the ship? Else it is listed. */
bool placed(const drawing *d, const ship_link *l);
bool view_fill(drawing *d, view *v);
/* Marks and their labels keep within so much over and under the area, short of headings and of the
 * scale of frames. */
#define VIEW_LANE 15.0

/* Is it a small profile that has plans beside it, in this drawing or the next? */
bool plans_tell(const drawing *d, const view *v);

/* Drawing a view, back to front. */
void draw_axes(drawing *d, view *v); /* labels and marks keep off its heading */
void draw_regions(drawing *d, view *v);
void draw_water(drawing *d, view *v); /* in a profile; labels keep off it */
/* Zones of the overlay in step with the profile, below its frames (draw_strip.c): how high that is,
 * 0 for none, and drawing it. */
double strip_height(const drawing *d, const view *v);
void draw_strip(drawing *d, const view *v);
loss_shade shade_of(double lost);
/* The edges of what lines one behind the other give up, by weight and dashes (draw_line.c). */
void draw_lines(drawing *d, view *v);
/* Labels keep off them; marks stand on them, so this comes after the marks. Frees them. */
void take_lines(drawing *d, view *v);
size_t marks_make(drawing *d, view *v, mark **marks);
/* Returns how many of the marks are drawn; they stand first in the list. */
size_t draw_marks(drawing *d, view *v, mark *marks, size_t count);
void draw_mark_labels(drawing *d, view *v, const mark *marks, size_t count);
void draw_space_labels(drawing *d, view *v);

/* A link's mark about a place. */
void draw_symbol(drawing *d, const ship_link *l, const mark *m);
/* The sign of a result. */
void draw_state(FILE *out, coaming_result result, double x, double y);

void draw_title(drawing *d);
/* Keeps room for the legend, and writes it there once all signs are seen (draw_legend.c). */
void legend_make_room(drawing *d, const view *views, size_t count);
void draw_legend(drawing *d, const signs *used);
/* A sample of a fill and its pattern, of the drawing with this prefix. named: the document says of
 * which. */
void draw_fill_sample(FILE *out, const char *prefix, space_fill fill, bool named, double x,
                      double y);
void draw_notes(drawing *d);
void draw_foot(drawing *d);
/* Below a plan the spaces that it hides under others, by id, with what the overlay says of them. */
void draw_under(drawing *d, const view *v);
const char *draw_hidden_words(drawing *d, int space);
/* The same of a closure or passage: "D10 keep shut (2 3)". */
const char *draw_unseen_words(drawing *d, int link);
void draw_patterns(drawing *d, FILE *out);

#endif
