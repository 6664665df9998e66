/* Names on spaces and ids on marks, each where it fits and covers nothing; what does not fit gets
 * its id, then a number, inside or beside the plan, and a row in the key. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "present/draw/drawing.h"
#include "present/form/markup.h"
#include "ship/state.h"

#define PAD        1.6
#define BADGE_HALF 5.6
#define BADGE_GAP  1.8 /* before the words */
/* Numbers of spaces slant and are not heavy: nobody takes them for a badge or a frame's number. */
#define NUMBER_STYLE "<g font-style=\"italic\">"

/* The place for a label of this size in the region that is nearest to its middle. */
static bool find_room(const view *v, const region *r, double width, double height, box *found)
{
    enum { STEPS = 21 };
    double w = width + 2 * PAD, h = height + 2 * PAD, best = INFINITY;
    double roomx = r->extent.x1 - r->extent.x0 - w, roomy = r->extent.y1 - r->extent.y0 - h;
    if (roomx < 0 || roomy < 0)
        return false;
    int nx = (int)fmin(STEPS, 1 + roomx / 3), ny = (int)fmin(STEPS, 1 + roomy / 3);
    for (int i = 0; i < nx * ny; i++) {
        int column = i % nx, line = i / nx;
        double fx = nx > 1 ? (double)column / (nx - 1) - 0.5 : 0;
        double fy = ny > 1 ? (double)line / (ny - 1) - 0.5 : 0;
        double x = (r->extent.x0 + r->extent.x1) / 2 + fx * roomx;
        double y = (r->extent.y0 + r->extent.y1) / 2 + fy * roomy;
        double off = hypot(fx * roomx, fy * roomy);
        box b = box_about(x, y, w, h);
        bool free = off < best && region_holds(r, &b) && !crowd_hits(&v->taken, &b);
        for (size_t k = 0; free && k < r->over_count; k++)
            free = !region_touches(&v->regions[r->over[k]], &b);
        if (!free)
            continue;
        best = off;
        *found = b;
    }
    return isfinite(best);
}

static void put_lines(drawing *d, const wrapped *w, const box *at, bool turned, bool number)
{
    double x = (at->x0 + at->x1) / 2, y = (at->y0 + at->y1) / 2;
    double first = -(w->count - 1) * LABEL_LINE / 2 + 2.5;
    if (number)
        fputs(NUMBER_STYLE, d->out);
    if (turned)
        markup_put(d->out, "<g transform=\"translate(%f %f) rotate(-90)\">", x, y);
    for (int i = 0; i < w->count; i++)
        draw_label(d->out, turned ? 0 : x, (turned ? 0 : y) + first + i * LABEL_LINE, "middle",
                   false, w->start[i], w->length[i]);
    if (turned)
        fputs("</g>", d->out);
    if (number)
        fputs("</g>", d->out);
}

static bool try_lines(drawing *d, view *v, const region *r, const char *text, int lines,
                      bool turned, bool number)
{
    box at = {0, 0, 0, 0};
    wrapped w = wrap_narrow(text, LABEL_SIZE, number, lines);
    double height = (w.count - 1) * LABEL_LINE + LABEL_SIZE;
    if (!w.count || !find_room(v, r, turned ? height : w.width, turned ? w.width : height, &at))
        return false;
    put_lines(d, &w, &at, turned, number);
    d->lost = !crowd_add(&v->taken, at) || d->lost;
    return true;
}

static bool try_name(drawing *d, view *v, const region *r, const char *name)
{
    for (int lines = 1; lines <= WRAP_MOST; lines++)
        if (try_lines(d, v, r, name, lines, false, false))
            return true;
    return try_lines(d, v, r, name, 1, true, false) || try_lines(d, v, r, name, 2, true, false);
}

/* The space's row in the key, with a number if it wants one. */
static int key_number(drawing *d, int space, bool numbered)
{
    if (d->number_of[space] < 0) {
        if (!MEMORY_ROOM(d->keys, d->key_count, d->key_capacity)) {
            d->lost = true;
            return 0;
        }
        d->number_of[space] = 0;
        d->keys[d->key_count++] = (key_row){0, space};
    }
    if (numbered && d->number_of[space] == 0)
        d->number_of[space] = ++d->numbers;
    return d->number_of[space];
}

/* Beside the plan, over or under it, with a line to the space. */
static bool put_outside(drawing *d, view *v, const region *r, const char *text)
{
    enum { TRIES = 400 };
    double width = text_points(text, LABEL_SIZE, true) + 2;
    bool up = r->inside_y < (v->area.y0 + v->area.y1) / 2;
    for (int i = 0; i < 2 * TRIES; i++) { /* at first the line must cross nothing */
        int step = i % TRIES;
        double y = (up != (step % 2 == 1)) ? v->area.y0 - 7 : v->area.y1 + 7;
        int aside = step / 4 * (step / 2 % 2 ? -1 : 1);
        double x = r->inside_x + aside * 6.0;
        double end = y < r->inside_y ? y + 4 : y - 4;
        box b = box_about(x, y, width, LABEL_SIZE);
        if (b.x0 < d->margin || b.x1 > d->page - d->margin || crowd_hits(&v->taken, &b) ||
            (i < TRIES && crowd_hits_line(&v->taken, r->inside_x, r->inside_y, x, end)))
            continue;
        markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke=\"%s\" stroke-width=\"0.5\"/>",
                   r->inside_x, r->inside_y, x, end, INK_COLOUR);
        markup_put(d->out, "<circle cx=\"%f\" cy=\"%f\" r=\"1\" fill=\"%s\"/>", r->inside_x,
                   r->inside_y, INK_COLOUR);
        fputs(NUMBER_STYLE, d->out);
        draw_label(d->out, x, y + 2.5, "middle", false, text, strlen(text));
        fputs("</g>", d->out);
        d->lost = !crowd_add(&v->taken, b) ||
                  !crowd_add_line(&v->taken, r->inside_x, r->inside_y, x, end) || d->lost;
        return true;
    }
    return false;
}

static void label_space(drawing *d, view *v, const region *r)
{
    const ship_space *s = &d->ship->spaces[r->space];
    char number[16];
    if (d->over.picture && d->over.fills[r->space] == FILL_PLAIN)
        return;
    if (r->hidden) {
        if (!v->profile)
            key_number(d, r->space, false);
        return;
    }
    if (!d->what->compact && try_name(d, v, r, s->name))
        return;
    if (strlen(s->id) <= 40 &&
        (try_lines(d, v, r, s->id, 1, false, false) || try_lines(d, v, r, s->id, 1, true, false))) {
        key_number(d, r->space, false);
        return;
    }
    if (plans_tell(d, v))
        return;
    snprintf(number, sizeof number, "%d", key_number(d, r->space, true));
    if (!try_lines(d, v, r, number, 1, false, true) && !put_outside(d, v, r, number))
        draw_append(d, &d->unnumbered, &d->unnumbered_count, &d->unnumbered_capacity,
                    draw_format(d, "%s %s (%s)", number, s->id, v->name));
}

typedef struct {
    double size;
    size_t at;
} sized;

static int order_sizes(const void *left, const void *right)
{
    const sized *a = left, *b = right;
    return a->size != b->size ? (a->size > b->size) - (a->size < b->size)
                              : (a->at > b->at) - (a->at < b->at);
}

/* The largest last: what is small has few places. */
void draw_space_labels(drawing *d, view *v)
{
    sized *order = draw_new(d, v->region_count, sizeof *order);
    if (!order)
        return;
    for (size_t i = 0; i < v->region_count; i++) {
        box b = v->regions[i].extent;
        order[i] = (sized){(b.x1 - b.x0) * (b.y1 - b.y0), i};
    }
    qsort(order, v->region_count, sizeof *order, order_sizes);
    for (size_t i = 0; i < v->region_count; i++) {
        const region *r = &v->regions[order[i].at];
        markup_put(d->out, "<g class=\"name\" data-of=\"%s\">", d->ship->spaces[r->space].id);
        label_space(d, v, r);
        fputs("</g>\n", d->out);
    }
}

/* A disc, drawn out for more than two signs. */
static double badge_width(const char *numbers)
{
    return strlen(numbers) < 3 ? 2 * BADGE_HALF
                               : text_points(numbers, LABEL_SIZE, true) + BADGE_HALF;
}

/* What it takes before the words; 0 where there is none. */
static double badge_room(const char *numbers)
{
    return *numbers ? badge_width(numbers) + BADGE_GAP : 0;
}

static bool is_bold(const link_note *n)
{
    return n->frame != FRAME_NONE || n->badge;
}

static void put_badge(drawing *d, const char *numbers, double x, double y)
{
    double width = badge_width(numbers);
    d->seen.badge = true;
    if (width <= 2 * BADGE_HALF)
        markup_put(d->out, "<circle cx=\"%f\" cy=\"%f\" r=\"5.6\" fill=\"%s\"/>", x + width / 2, y,
                   INK_COLOUR);
    else
        markup_put(d->out,
                   "<rect class=\"badge\" x=\"%f\" y=\"%f\" width=\"%f\" height=\"%f\" rx=\"%f\" "
                   "fill=\"%s\"/>",
                   x, y - BADGE_HALF, width, 2 * BADGE_HALF, BADGE_HALF, INK_COLOUR);
    markup_put(d->out, "<g fill=\"%s\" stroke=\"none\">", PAPER_COLOUR);
    draw_label(d->out, x + width / 2, y + 2.5, "middle", true, numbers, strlen(numbers));
    fputs("</g>", d->out);
}

/* The badge and words of a mark, from the left at x; y is their middle. */
static void put_mark_label(drawing *d, const link_note *n, const char *text, double x, double y)
{
    char numbers[BADGE_NUMBERS];
    if (*badge_numbers(n, numbers))
        put_badge(d, numbers, x, y);
    draw_label(d->out, x + badge_room(numbers), y + 2.5, "", is_bold(n), text, strlen(text));
}

static const char *const rise_words[] = {" (down)", "", " (up)"};

/* brief: without the tag if it can be spared. */
static const char *mark_words(drawing *d, const ship_link *l, const link_note *n, bool brief)
{
    const char *id = text_cut(d, l->id, LABEL_SIZE, is_bold(n), 60);
    const char *tag = n->tag && !(brief && n->tag_spared) ? n->tag : "";
    return draw_format(d, "%s%s%s%s", id, *tag ? " " : "", tag, rise_words[n->rise + 1]);
}

const char *draw_unseen_words(drawing *d, int link)
{
    char numbers[BADGE_NUMBERS];
    const link_note *n = &d->over.links[link];
    const char *words = mark_words(d, &d->ship->links[link], n, false);
    badge_numbers(n, numbers);
    return *numbers ? draw_format(d, "%s (%s)", words, numbers)
           : n->tag ? words
                    : draw_format(d, "%s%s", words, n->enters ? " (the way goes by it)" : "");
}

/* Does a bulkhead run through it? */
static bool struck(const view *v, const box *b)
{
    for (size_t i = 0; i < v->region_count; i++)
        if (region_touches(&v->regions[i], b) && !region_holds(&v->regions[i], b))
            return true;
    return false;
}

/* What a label may do, from the best: at first it stands near and nothing runs through it. */
typedef struct {
    bool far, through; /* with a line; over an edge */
    bool over, along;  /* the line over others; along an edge, where it is hard to see */
} label_ease;

typedef struct {
    const char *text;
    double width, height, half; /* of the label; half the mark */
} label_size;

static bool along_an_edge(double x0, double y0, double x1, double y1)
{
    return fabs(x1 - x0) < 2.5 || fabs(y1 - y0) < 2.5;
}

/* From the mark: which way, and how far off, points. */
typedef struct {
    double angle, far;
} label_way;

/* One place about the mark; put there if it is free. */
static bool try_place(drawing *d, view *v, const mark *m, const label_size *s, label_ease ease,
                      label_way way)
{
    double angle = way.angle, far = way.far;
    double x = m->at_x + cos(angle) * (s->half + 1 + far + s->width / 2);
    double y = m->at_y + sin(angle) * (s->half + 0.5 + far + s->height / 2);
    box b = box_about(x, y, s->width, s->height);
    if (b.x0 < d->margin || b.x1 > d->page - d->margin || b.y0 < v->area.y0 - 14 ||
        b.y1 > v->area.y1 + 14 || crowd_hits(&v->taken, &b) || (!ease.through && struck(v, &b)))
        return false;
    double from_x = m->at_x + cos(angle) * s->half, from_y = m->at_y + sin(angle) * s->half;
    double to_x = fmin(fmax(m->at_x, b.x0), b.x1), to_y = fmin(fmax(m->at_y, b.y0), b.y1);
    bool line = far > 4;
    if (line && ((!ease.along && along_an_edge(from_x, from_y, to_x, to_y)) ||
                 (!ease.over && crowd_hits_line(&v->taken, from_x, from_y, to_x, to_y))))
        return false;
    if (line) {
        markup_put(d->out, "<path d=\"M%f %fL%f %f\" stroke=\"%s\" stroke-width=\"0.6\"/>", from_x,
                   from_y, to_x, to_y, INK_COLOUR);
        d->lost = !crowd_add_line(&v->taken, from_x, from_y, to_x, to_y) || d->lost;
    }
    put_mark_label(d, &d->over.links[m->link], s->text, b.x0, y);
    d->lost = !crowd_add(&v->taken, b) || d->lost;
    return true;
}

static bool try_places(drawing *d, view *v, const mark *m, const label_size *s, label_ease ease)
{
    enum { TURNS = 16, NEAR_RINGS = 2, RINGS = 9 };
    for (int i = 0; i < TURNS * (ease.far ? RINGS : NEAR_RINGS); i++) {
        int ring_at = i / TURNS;
        label_way way = {i % TURNS * 2 * M_PI / TURNS, ring_at * 4.0};
        if (try_place(d, v, m, s, ease, way))
            return true;
    }
    return false;
}

/* Beside the mark, as near as there is room, if need be without what can be spared; farther off with
 * a line. */
static bool label_mark(drawing *d, view *v, const mark *m)
{
    static const label_ease eases[] = {{0},
                                       {.through = true},
                                       {.far = true},
                                       {.far = true, .through = true},
                                       {.far = true, .through = true, .over = true},
                                       {.far = true, .through = true, .over = true, .along = true}};
    const link_note *n = &d->over.links[m->link];
    char numbers[BADGE_NUMBERS];
    double badge = badge_room(badge_numbers(n, numbers));
    for (size_t i = 0; i < sizeof eases / sizeof *eases; i++) {
        for (int brief = 0; brief <= (n->tag && n->tag_spared ? 1 : 0); brief++) {
            label_size s = {.text = mark_words(d, &d->ship->links[m->link], n, brief)};
            s.width = text_points(s.text, LABEL_SIZE, is_bold(n)) + badge;
            s.height = badge > 0 ? 2 * BADGE_HALF + 0.2 : LABEL_SIZE;
            s.half = n->frame ? FRAME_HALF : MARK_HALF;
            if (try_places(d, v, m, &s, eases[i]))
                return true;
        }
    }
    return false;
}

enum { LABEL_TURNS = 3 };

/* What the overlay is about has the first choice of places, and of that what has failed. */
static int label_turn(const drawing *d, int link)
{
    if (!matters(&d->over.links[link]))
        return 2;
    return d->ship->links[link].passage || coaming_closure_result(d->ship, link) != COAMING_FAIL;
}

void draw_mark_labels(drawing *d, view *v, const mark *marks, size_t count)
{
    for (int turn = 0; turn < LABEL_TURNS; turn++) {
        for (size_t i = 0; i < count; i++) {
            const link_note *n = &d->over.links[marks[i].link];
            if (label_turn(d, marks[i].link) != turn || (v->profile && !matters(n)))
                continue;
            markup_put(d->out, "<g class=\"id\" data-of=\"%s\">", d->ship->links[marks[i].link].id);
            if (!label_mark(d, v, &marks[i]))
                draw_append(d, &d->unnamed, &d->unnamed_count, &d->unnamed_capacity,
                            draw_format(d, "%s (%s)",
                                        mark_words(d, &d->ship->links[marks[i].link], n, false),
                                        v->name));
            fputs("</g>\n", d->out);
        }
    }
}
